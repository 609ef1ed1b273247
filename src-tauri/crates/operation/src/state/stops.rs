//! Stops: who is waited for, who reported, and when it is over; tied off, which ends one too.

use super::calls::Wait;
use super::{Loop, State};
use crate::event::{Call, Payload};
use crate::motion::Motion;
use crate::words::{Said, commands};
use rig::guidelines::StopsWhen;

/// A stop.
#[derive(Clone, Debug, PartialEq)]
pub struct StopState {
    /// Entry number of the call.
    pub seq: u64,
    /// When.
    pub at_ms: i64,
    /// Who called it.
    pub from: String,
    /// Why, as said.
    pub cause: String,
    /// Operators, and when each reported stopped.
    pub operators: Vec<(String, Option<i64>)>,
    /// When the load moved again.
    pub ended_ms: Option<i64>,
}

impl StopState {
    /// Operators who have not reported stopped.
    pub fn silent(&self) -> Vec<String> {
        self.operators.iter().filter(|(_, at)| at.is_none()).map(|(r, _)| r.clone()).collect()
    }
}

impl State {
    /// Device operators that a stop waits for, as assigned now.
    pub fn operators(&self, raising: bool) -> Vec<String> {
        self.guidelines
            .roles
            .iter()
            .filter(|r| r.stops == StopsWhen::Always || (raising && r.stops == StopsWhen::Raising))
            .filter(|r| self.held(&r.role))
            .map(|r| r.role.clone())
            .collect()
    }

    /// The first report after a stop, by whoever called it, says why; control may say it with the order that ends it.
    pub(super) fn cause(
        &mut self,
        (seq, at): (u64, i64),
        (call, said): (&Call, &Said),
        answered: Option<u64>,
        payload: &Payload,
    ) {
        if answered.is_some() || !matches!(payload, Payload::Report(_)) {
            return;
        }
        if let Some(s) = self.stops.last_mut()
            && s.cause.is_empty()
            && s.from == call.from
        {
            s.cause.clone_from(&call.text);
            self.emergency_by(seq, at, call, said);
        }
    }

    pub(super) fn stop(&mut self, seq: u64, at: i64, (call, said): (&Call, &Said), order: bool) {
        if self.stop_is_on() {
            return;
        }
        let operators = self.operators(self.raised_last());
        if operators.is_empty() {
            self.raise(
                "stop_nobody_assigned",
                vec![seq],
                "a stop was called and nobody is assigned to a device: nobody can report stopped".into(),
            );
        }
        let cause = call.cause.clone().unwrap_or_else(|| {
            let others = said.clauses().skip(1).filter(|c| c.as_slice() != ["stop"]);
            others.map(|c| c.join(" ")).collect::<Vec<_>>().join(", ")
        });
        let waits: Vec<Wait> = operators.iter().cloned().map(Wait::new).collect();
        if !order {
            let (from, text) = (call.from.clone(), "stop".into());
            self.wait_for(Loop { seq, at_ms: at, from, text, stop: true, ready: false, waits });
        }
        let operators = operators.into_iter().map(|r| (r, None)).collect();
        // One that the load landed on, or that nobody could report, is no longer waited for: this one is.
        self.end_stop(at);
        self.stops.push(StopState {
            seq,
            at_ms: at,
            from: call.from.clone(),
            cause,
            operators,
            ended_ms: None,
        });
        self.turn(Motion::Stopping, false, at, seq);
    }

    /// Whether the load goes up, or went up before the stop that stands.
    pub(super) fn raised_last(&self) -> bool {
        let stopped = matches!(self.motion, Motion::Stopping | Motion::Stopped);
        let before = || self.spans.iter().rev().find(|s| s.motion.moves()).map(|s| s.motion);
        self.motion == Motion::Raising || (stopped && before() == Some(Motion::Raising))
    }

    /// Whether a stop waits for operators: called again meanwhile, it is the same stop, and who reported has reported. Called
    /// again after all had reported, somebody sees the load move: it is a new one.
    pub(super) fn stop_is_on(&self) -> bool {
        self.motion == Motion::Stopping && self.stops.last().is_some_and(|s| !s.operators.is_empty())
    }

    /// Whether an entry called a stop, the same again or by whistle too.
    pub(super) fn called_stop(&self, seq: u64) -> bool {
        let call = self.at(seq).and_then(|k| k.now.as_deref()).and_then(Payload::call);
        call.is_some_and(|c| commands(&c.text, &self.words.stop) || self.whistles_stop(c))
    }

    pub(super) fn whistles_stop(&self, call: &Call) -> bool {
        let meaning = call.count.and_then(|n| self.guidelines.whistle.get(&n.to_string()));
        meaning.is_some_and(|m| commands(m, &self.words.stop))
    }

    /// Counts for the stop that stands, also when the load has landed meanwhile: who is waited for has answered.
    pub(super) fn reported_stopped(&mut self, seq: u64, at: i64, from: &str) {
        let roles = self.speaks_as(from);
        let stops = self.operators(true);
        let now = self.operators(self.raised_last());
        let Some(s) = self.stops.last_mut().filter(|s| s.ended_ms.is_none()) else { return };
        let late = s.operators.is_empty()
            && self.motion == Motion::Stopping
            && roles.iter().any(|r| stops.contains(r));
        if late {
            // Nobody was assigned when the stop was called: whoever is by now must report, each of them.
            s.operators = now.iter().map(|r| (r.clone(), None)).collect();
        }
        for (_, when) in s.operators.iter_mut().filter(|(r, when)| roles.contains(r) && when.is_none()) {
            *when = Some(at);
        }
        let done = !s.operators.is_empty() && s.operators.iter().all(|(_, when)| when.is_some());
        if let Some(i) = self.loops.iter().rposition(|l| l.stop) {
            if late {
                self.loops[i].waits = now.into_iter().map(Wait::new).collect();
                self.waiting.push(i);
                self.waiting.sort_unstable();
            }
            for w in self.loops[i].waits.iter_mut().filter(|w| roles.contains(&w.role) && w.done.is_none()) {
                w.done = Some((seq, at));
            }
            self.waited(i);
        }
        if done && self.motion == Motion::Stopping {
            self.turn(Motion::Stopped, false, at, seq);
        }
    }

    pub(super) fn reported_tied(&mut self, seq: u64, at: i64, from: &str) {
        for r in self.speaks_as(from) {
            if !self.tied.iter().any(|t| t.0 == r) {
                self.tied.push((r, seq));
            }
        }
        let operators = self.operators(false);
        if !operators.is_empty() && operators.iter().all(|r| self.tied.iter().any(|t| t.0 == *r)) {
            self.end_stop(at);
            self.turn(Motion::TiedOff, false, at, seq);
        }
    }

    pub(super) fn end_stop(&mut self, at: i64) {
        if let Some(s) = self.stops.last_mut().filter(|s| s.ended_ms.is_none()) {
            s.ended_ms = Some(at);
        }
    }
}
