//! Calls: what moves the load, what waits for a readback, who has not stopped.

use super::{Called, Moment, State};
use crate::event::{Call, Payload};
use crate::motion::Motion;
use crate::words::{asks, commands, has_word, metres, states};
use crate::{judge, words};
use rig::guidelines::StopsWhen;
use std::sync::Arc;

/// What one role did with an order.
#[derive(Clone, Debug, PartialEq)]
pub struct Wait {
    /// The role.
    pub role: String,
    /// Entry and time of the right readback, the answer, or the report "stopped".
    pub done: Option<(u64, i64)>,
    /// Wrong readbacks: entry, time, what was said, what differs.
    pub wrong: Vec<(u64, i64, String, String)>,
}

/// An order and who it waits for.
#[derive(Clone, Debug, PartialEq)]
pub struct Loop {
    /// Entry number of the order.
    pub seq: u64,
    /// When.
    pub at_ms: i64,
    /// Who gave it.
    pub from: String,
    /// Its words.
    pub text: String,
    /// A stop: waits for the operators' reports.
    pub stop: bool,
    /// Each role it was for.
    pub waits: Vec<Wait>,
}

impl Loop {
    /// Whether someone it was for has not read back yet.
    pub fn open(&self) -> bool {
        self.waits.iter().any(|w| w.done.is_none())
    }
}

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
    pub(super) fn take_call(&mut self, seq: u64, at: i64, payload: &Payload) {
        let Some(call) = payload.call().cloned() else { return };
        self.heard(&call, at);
        if matches!(payload, Payload::Note(_)) {
            self.size_up_note(seq, at, &call.text);
        }
        if let Some(m) = call.metres.or_else(|| {
            matches!(payload, Payload::Report(_) | Payload::Answer(_)).then(|| metres(&call.text)).flatten()
        }) {
            self.heights.push(Called { metres: m, at_ms: at, seq });
        }
        let answered = call.of.as_ref().and_then(|id| self.seq_of(id));
        match payload {
            Payload::Order(_) => self.open_loop(seq, at, &call),
            Payload::Readback(_) | Payload::Answer(_) => {
                self.close_loop(seq, at, &call, answered, matches!(payload, Payload::Readback(_)))
            }
            _ => {}
        }
        self.move_by(seq, at, payload, &call, answered);
        self.unequal_by(seq, &call, payload);
    }

    fn size_up_note(&mut self, seq: u64, at: i64, text: &str) {
        const HEADS: [&str; 9] =
            ["size-up", "weather", "light", "objective", "channel", "patient", "access", "plan", "hazards"];
        if let Some((head, words)) = text.split_once(':')
            && HEADS.contains(&head.trim().to_lowercase().as_str())
        {
            self.size_up.insert(
                head.trim().to_lowercase(),
                Moment { words: words.trim().to_string(), at_ms: at, seq },
            );
        }
    }

    /// Device operators that a stop waits for, as assigned now.
    pub fn operators(&self, raising: bool) -> Vec<String> {
        self.guidelines
            .roles
            .iter()
            .filter(|r| r.stops == StopsWhen::Always || (raising && r.stops == StopsWhen::Raising))
            .filter(|r| !self.holder(&r.role).is_empty())
            .map(|r| r.role.clone())
            .collect()
    }

    fn open_loop(&mut self, seq: u64, at: i64, call: &Call) {
        let w = Arc::clone(&self.words);
        for role in &call.to_roles {
            if self.holder(role).is_empty() {
                self.raise(
                    "role_vacant",
                    vec![seq],
                    format!("order {seq} is for the {role}, a role nobody holds"),
                );
            }
        }
        let stop = commands(&call.text, &w.stop);
        if !stop {
            self.contradiction(seq, call);
        }
        let roles = if stop { self.operators(self.motion == Motion::Raising) } else { call.to_roles.clone() };
        let waits = roles.into_iter().map(|role| Wait { role, done: None, wrong: vec![] }).collect();
        self.loops.push(Loop {
            seq,
            at_ms: at,
            from: call.from.clone(),
            text: call.text.clone(),
            stop,
            waits,
        });
    }

    /// An order up while an order down is still open to the same role, or the other way round.
    fn contradiction(&mut self, seq: u64, call: &Call) {
        let w = Arc::clone(&self.words);
        let (up, down) = (commands(&call.text, &w.raise), commands(&call.text, &w.lower));
        if up == down {
            return;
        }
        // The last order each of these roles got is the one they would still act on.
        let other = call.to_roles.iter().find_map(|role| {
            let last =
                self.loops.iter().rev().find(|l| !l.stop && l.waits.iter().any(|w| w.role == *role))?;
            let open = last.waits.iter().any(|w| w.role == *role && w.done.is_none());
            (open && commands(&last.text, if up { &w.lower } else { &w.raise })).then_some(last)
        });
        if let Some(l) = other {
            let (first, words) = (
                l.seq,
                format!(
                    "order {seq} “{}” contradicts order {} “{}”, which is still open",
                    call.text, l.seq, l.text
                ),
            );
            self.raise("contradicting_orders", vec![first, seq], words);
        }
    }

    fn close_loop(&mut self, seq: u64, at: i64, call: &Call, answered: Option<u64>, readback: bool) {
        let Some(of) = answered else { return };
        let Some(ordered) = self.text_as_of(of, seq) else { return };
        let roles = self.speaks_as(&call.from);
        let Some(i) = self.loops.iter().rposition(|l| l.seq == of) else { return };
        if self.loops[i].stop {
            return;
        }
        // A question, a roll call or a radio check is closed by whatever is answered.
        let free = !readback || asks(&ordered) || has_word(&ordered, &["call", "check"]);
        let difference = if free { None } else { judge::differs(&ordered, &call.text) };
        for w in self.loops[i].waits.iter_mut().filter(|w| roles.contains(&w.role)) {
            match &difference {
                None if w.done.is_none() => w.done = Some((seq, at)),
                None => {}
                Some(d) => w.wrong.push((seq, at, call.text.clone(), d.clone())),
            }
        }
        if let Some(d) = difference {
            let words = format!("{} read back “{}” to “{ordered}”: {d}", call.from, call.text);
            self.raise("wrong_readback", vec![of, seq], words);
        }
    }

    fn move_by(&mut self, seq: u64, at: i64, payload: &Payload, call: &Call, answered: Option<u64>) {
        let w = Arc::clone(&self.words);
        let reads_back = matches!(payload, Payload::Readback(_));
        let whistled = call.count.is_some_and(|n| {
            self.guidelines.whistle.get(&n.to_string()).is_some_and(|m| commands(m, &w.stop))
        });
        let reply_to_stop =
            answered.is_some_and(|of| self.loops.iter().rev().find(|l| l.seq == of).is_some_and(|l| l.stop));
        if (commands(&call.text, &w.stop) || whistled) && !(reads_back && reply_to_stop) {
            return self.stop(seq, at, call, matches!(payload, Payload::Order(_)));
        }
        if matches!(payload, Payload::Order(_)) {
            return self.move_by_order(seq, at, call);
        }
        if reads_back {
            return;
        }
        let says = |phrases: &[String]| {
            matches!(payload, Payload::Report(_) | Payload::Answer(_)) && commands(&call.text, phrases)
        };
        if says(&w.stopped) {
            self.reported_stopped(seq, at, &call.from);
        } else if says(&w.tied_off) {
            self.reported_tied(seq, at, &call.from);
        } else if states(&call.text, &w.landed) {
            self.turn(Motion::Landed, false, at, seq);
        } else if states(&call.text, &w.at_the_edge)
            && !matches!(self.motion, Motion::Stopping | Motion::Stopped)
        {
            self.turn(Motion::AtTheEdge, false, at, seq);
        } else if self.motion == Motion::Stopped || self.motion == Motion::Stopping {
            self.cause(call, answered, payload);
        }
    }

    /// The first report after a stop, by whoever called it, says why; control may say it with the order that ends it.
    fn cause(&mut self, call: &Call, answered: Option<u64>, payload: &Payload) {
        if answered.is_some() || !matches!(payload, Payload::Report(_)) {
            return;
        }
        if let Some(s) = self.stops.last_mut()
            && s.cause.is_empty()
            && s.from == call.from
        {
            s.cause.clone_from(&call.text);
        }
    }

    fn stop(&mut self, seq: u64, at: i64, call: &Call, order: bool) {
        if matches!(self.motion, Motion::Stopping | Motion::Stopped) {
            return;
        }
        let operators = self.operators(self.motion == Motion::Raising);
        if operators.is_empty() {
            self.raise(
                "stop_nobody_assigned",
                vec![seq],
                "a stop was called and nobody is assigned to a device: nobody can report stopped".into(),
            );
        }
        let cause = call.cause.clone().unwrap_or_else(|| {
            words::clauses(&call.text).get(1..).map_or_else(String::new, |c| {
                c.iter()
                    .filter(|c| c.as_slice() != ["stop"])
                    .map(|c| c.join(" "))
                    .collect::<Vec<_>>()
                    .join(", ")
            })
        });
        let waits: Vec<Wait> =
            operators.iter().map(|r| Wait { role: r.clone(), done: None, wrong: vec![] }).collect();
        if !order {
            self.loops.push(Loop {
                seq,
                at_ms: at,
                from: call.from.clone(),
                text: "stop".into(),
                stop: true,
                waits,
            });
        }
        let operators = operators.into_iter().map(|r| (r, None)).collect();
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

    fn reported_stopped(&mut self, seq: u64, at: i64, from: &str) {
        let roles = self.speaks_as(from);
        let stops = self.operators(true);
        if !matches!(self.motion, Motion::Stopping) {
            return;
        }
        let Some(s) = self.stops.last_mut() else { return };
        if s.operators.is_empty() {
            // Nobody was assigned when the stop was called; someone who is now may report.
            s.operators = roles.iter().filter(|r| stops.contains(r)).map(|r| (r.clone(), None)).collect();
        }
        for (_, when) in s.operators.iter_mut().filter(|(r, when)| roles.contains(r) && when.is_none()) {
            *when = Some(at);
        }
        let done = !s.operators.is_empty() && s.operators.iter().all(|(_, when)| when.is_some());
        if let Some(l) = self.loops.iter_mut().rev().find(|l| l.stop) {
            for w in l.waits.iter_mut().filter(|w| roles.contains(&w.role) && w.done.is_none()) {
                w.done = Some((seq, at));
            }
        }
        if done {
            self.turn(Motion::Stopped, false, at, seq);
        }
    }

    fn reported_tied(&mut self, seq: u64, at: i64, from: &str) {
        for r in self.speaks_as(from) {
            if !self.tied.contains(&r) {
                self.tied.push(r);
            }
        }
        let operators = self.operators(false);
        if !operators.is_empty() && operators.iter().all(|r| self.tied.contains(r)) {
            self.end_stop(at);
            self.turn(Motion::TiedOff, false, at, seq);
        }
    }

    fn end_stop(&mut self, at: i64) {
        if let Some(s) = self.stops.last_mut().filter(|s| s.ended_ms.is_none()) {
            s.ended_ms = Some(at);
        }
    }

    fn move_by_order(&mut self, seq: u64, at: i64, call: &Call) {
        let w = Arc::clone(&self.words);
        let (down, up) = (commands(&call.text, &w.lower), commands(&call.text, &w.raise));
        let moves = down || up;
        let by_control = self.speaks_as(&call.from).iter().any(|r| r == "control");
        if self.motion == Motion::Stopping || (self.motion == Motion::Stopped && !by_control) {
            if moves {
                let words = format!("order {seq} “{}” moves the load during a stop", call.text);
                self.raise("move_during_stop", vec![seq], words);
            }
            return;
        }
        if moves && by_control {
            self.movement_flags(seq, up);
            if let (Motion::Stopped, Some(s)) = (self.motion, self.stops.last_mut()) {
                s.ended_ms = Some(at);
                if s.cause.is_empty() {
                    s.cause = call.cause.clone().unwrap_or_default();
                }
            }
            let slow = has_word(&call.text, &w.slow.iter().map(String::as_str).collect::<Vec<_>>());
            self.turn(if down { Motion::Lowering } else { Motion::Raising }, slow, at, seq);
        } else if by_control && self.motion.moves() && commands(&call.text, &w.slow) {
            self.turn(self.motion, true, at, seq);
        } else if by_control && self.motion != Motion::Stopped && commands(&call.text, &w.load_test) {
            self.load_test_flags(seq);
            self.turn(Motion::UnderLoadTest, false, at, seq);
        } else if self.motion != Motion::Stopped && states(&call.text, &w.at_the_edge) {
            self.turn(Motion::AtTheEdge, false, at, seq);
        }
    }

    fn unequal_by(&mut self, seq: u64, call: &Call, payload: &Payload) {
        if matches!(payload, Payload::Readback(_)) || asks(&call.text) {
            return;
        }
        if has_word(&call.text, &["equal"]) && !has_word(&call.text, &["not", "un"]) {
            self.unequal = None;
        } else if has_word(&call.text, &["slack", "unequal"]) && !has_word(&call.text, &["no", "not"]) {
            self.unequal = Some(seq);
        }
    }

    /// Roles a speaker has: the role itself, or those a person holds.
    pub fn speaks_as(&self, from: &str) -> Vec<String> {
        let role = self.role_name(from);
        if self.guidelines.roles.iter().any(|r| r.role == role) {
            return vec![role];
        }
        let held = self.roles_of(from);
        if held.is_empty() { vec![role] } else { held }
    }
}
