//! Orders and what came back: how many were read back right, and how soon, by role, person and channel.

use super::{Measured, roles::holders, seconds};
use crate::event::Payload;
use crate::review::quantile;
use crate::state::{Loop, State, Wait};
use serde::Serialize;
use ts_rs::TS;

/// What came back to the orders for one role, person or channel.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct LoopMeasure {
    /// The role, person or channel; empty: all.
    pub who: String,
    /// Readbacks that were due: one for each role an order was for.
    pub due: u64,
    /// Read back right, or answered.
    pub right: u64,
    /// Read back wrong, and right when the order was given again in the same words.
    pub put_right: u64,
    /// Read back wrong, and that was all.
    pub wrong: u64,
    /// Never read back, as far as the record goes.
    pub never: u64,
    /// Right over due; `None`: nothing was due.
    pub rate: Option<f64>,
    /// Median of the delays of those that were right, s.
    pub median_s: Option<f64>,
    /// Nine of ten, s.
    pub p90_s: Option<f64>,
    /// Worst, s.
    pub worst_s: Option<f64>,
    /// Each delay, oldest first, s.
    pub delays_s: Vec<f64>,
    /// Delay of each wrong readback, s.
    pub wrong_s: Vec<f64>,
}

/// Orders and what came back.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct ClosedLoop {
    /// Orders that were for someone; stops are measured by themselves.
    pub orders: u64,
    /// Orders that everyone they were for read back right.
    pub by_all: u64,
    /// Within how many seconds a readback should come, from the guidelines.
    pub limit_s: f64,
    /// All together.
    pub all: LoopMeasure,
    /// By role, in the guidelines' order.
    pub by_role: Vec<LoopMeasure>,
    /// By person, by name.
    pub by_person: Vec<LoopMeasure>,
    /// By channel the order went out on, most orders first.
    pub by_channel: Vec<LoopMeasure>,
}

/// What stands where nobody said on which channel.
pub(super) const NOT_SAID: &str = "not said";

impl LoopMeasure {
    fn take(&mut self, l: &Loop, w: &Wait) {
        self.due += 1;
        match w.done {
            Some((_, at)) => {
                self.right += 1;
                self.delays_s.push(seconds(l.at_ms, at));
            }
            None if w.put_right.is_some() => self.put_right += 1,
            None if w.wrong.is_empty() => self.never += 1,
            None => self.wrong += 1,
        }
        self.wrong_s.extend(w.wrong.iter().map(|x| seconds(l.at_ms, x.1)));
    }

    fn done(&mut self) {
        self.rate = (self.due > 0).then(|| self.right as f64 / self.due as f64);
        self.median_s = quantile(&self.delays_s, 0.5);
        self.p90_s = quantile(&self.delays_s, 0.9);
        self.worst_s = quantile(&self.delays_s, 1.0);
    }
}

fn of<'a>(list: &'a mut Vec<LoopMeasure>, who: &str) -> &'a mut LoopMeasure {
    let place = list.iter().position(|m| m.who == who).unwrap_or_else(|| {
        list.push(LoopMeasure { who: who.into(), ..LoopMeasure::default() });
        list.len() - 1
    });
    &mut list[place]
}

/// Who was to read it back: the one who did, the one who held the role when the order was given, the team as one.
fn person(state: &State, l: &Loop, w: &Wait) -> String {
    let back = w.done.map(|d| d.0).and_then(|seq| state.at(seq)).and_then(|k| k.now.as_deref());
    if let Some(call) = back.and_then(Payload::call)
        && state.person(&call.from).is_some()
    {
        return call.from.clone();
    }
    match holders(state, &w.role, l.at_ms).as_slice() {
        [] => format!("nobody ({})", w.role),
        [one] => one.clone(),
        team => format!("{}, {} people", w.role, team.len()),
    }
}

/// Orders and what came back.
pub(super) fn closed_loop(state: &State) -> Measured<ClosedLoop> {
    let mut all = ClosedLoop { limit_s: state.guidelines.readback_s.value, ..ClosedLoop::default() };
    for l in state.loops.iter().filter(|l| !l.stop && !l.waits.is_empty()) {
        all.orders += 1;
        all.by_all += u64::from(l.waits.iter().all(|w| w.done.is_some()));
        let call = state.at(l.seq).and_then(|k| k.now.as_deref()).and_then(Payload::call);
        let channel = call.and_then(|c| c.by.as_deref()).map(str::trim).filter(|by| !by.is_empty());
        for w in &l.waits {
            all.all.take(l, w);
            of(&mut all.by_role, &w.role).take(l, w);
            of(&mut all.by_person, &person(state, l, w)).take(l, w);
            of(&mut all.by_channel, channel.unwrap_or(NOT_SAID)).take(l, w);
        }
    }
    let place = |role: &str| state.guidelines.roles.iter().position(|r| r.role == role).unwrap_or(usize::MAX);
    all.by_role.sort_by_key(|m| place(&m.who));
    all.by_person.sort_by(|a, b| a.who.cmp(&b.who));
    all.by_channel.sort_by(|a, b| b.due.cmp(&a.due).then_with(|| a.who.cmp(&b.who)));
    all.all.done();
    for m in all.by_role.iter_mut().chain(&mut all.by_person).chain(&mut all.by_channel) {
        m.done();
    }
    Measured {
        how: format!(
            "closed-loop rate: readbacks as ordered (an answer, to a question) over those due, one for each role an order was \
             for, stops left out; delay: from the order to the right readback, median and nine of ten by nearest rank, limit {} s; \
             person: who read back, or held the role when the order was given; channel: the one the order went out on",
            state.guidelines.readback_s.value
        ),
        value: all,
    }
}
