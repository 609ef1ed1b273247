//! After the operation: measures and findings, each resting on entries. Nothing is invented: what the log does not say is not said.

mod findings;
mod people;

pub use findings::{Finding, findings};

use crate::clock::Change;
use crate::motion::{ALL, Motion};
use crate::state::State;
use crate::step::ZoneName;

/// Delays from order to readback of one role.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Readbacks {
    /// The role.
    pub role: String,
    /// Orders it was to read back (stops not counted).
    pub due: usize,
    /// Seconds to each right readback or answer.
    pub delays_s: Vec<f64>,
    /// Seconds to each wrong one.
    pub wrong_s: Vec<f64>,
    /// Never, not even wrong.
    pub never: usize,
}

/// Seconds in each motion, in the motions' order.
pub fn motions(state: &State, now_ms: i64) -> Vec<(Motion, f64)> {
    let end = state.facts.closed_ms.unwrap_or(now_ms);
    ALL.iter()
        .map(|m| {
            let ms: i64 = state
                .spans
                .iter()
                .filter(|s| s.motion == *m)
                .map(|s| (s.to_ms.unwrap_or(end) - s.from_ms).max(0))
                .sum();
            (*m, ms as f64 / 1000.0)
        })
        .collect()
}

/// Order to readback, by role, in the guidelines' order.
pub fn readbacks(state: &State) -> Vec<Readbacks> {
    let mut list: Vec<Readbacks> = state
        .guidelines
        .roles
        .iter()
        .map(|r| Readbacks { role: r.role.clone(), ..Readbacks::default() })
        .collect();
    for l in state.loops.iter().filter(|l| !l.stop) {
        for w in &l.waits {
            let i = match list.iter().position(|r| r.role == w.role) {
                Some(i) => i,
                None => {
                    list.push(Readbacks { role: w.role.clone(), ..Readbacks::default() });
                    list.len() - 1
                }
            };
            let r = &mut list[i];
            r.due += 1;
            match w.done {
                Some((_, at)) => r.delays_s.push((at - l.at_ms) as f64 / 1000.0),
                None if w.wrong.is_empty() => r.never += 1,
                None => {}
            }
            r.wrong_s.extend(w.wrong.iter().map(|x| (x.1 - l.at_ms) as f64 / 1000.0));
        }
    }
    list.retain(|r| r.due > 0);
    list
}

/// A quantile by nearest rank; `None` of nothing.
pub fn quantile(values: &[f64], q: f64) -> Option<f64> {
    let mut v = values.to_vec();
    v.sort_by(f64::total_cmp);
    let rank = (q * v.len() as f64).ceil().max(1.0) as usize;
    v.get(rank.checked_sub(1)?).copied()
}

/// Seconds on rope of each person who was.
pub fn on_rope(state: &State, now_ms: i64) -> Vec<(String, f64)> {
    let end = state.facts.closed_ms.unwrap_or(now_ms);
    let mut list: Vec<(String, f64)> = vec![];
    for s in state.stays.iter().filter(|s| s.zone == ZoneName::OnRope) {
        let d = (s.to_ms.unwrap_or(end) - s.from_ms).max(0) as f64 / 1000.0;
        match list.iter_mut().find(|(p, _)| *p == s.person) {
            Some((_, t)) => *t += d,
            None => list.push((s.person.clone(), d)),
        }
    }
    list.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
    list
}

/// “7:01” or “1:02:03”.
pub fn clock_span(seconds: f64) -> String {
    let s = seconds.round().max(0.0) as i64;
    if s >= 3600 {
        format!("{}:{:02}:{:02}", s / 3600, s / 60 % 60, s % 60)
    } else {
        format!("{}:{:02}", s / 60, s % 60)
    }
}

/// What became of the clocks, but for one that was set: that is a finding.
fn clock_measures(state: &State) -> Vec<(String, String)> {
    let told = state.clock_notes.iter().filter_map(|n| match n.change {
        Change::Set(_) => None,
        Change::Again(_) => Some((n.words(), "lengths of time across it go by the time of day".to_string())),
        Change::Offset(..) => Some((n.words(), "order and lengths of time are not touched".to_string())),
        Change::Slept(_) => Some((n.words(), "lengths of time count it".to_string())),
    });
    told.collect()
}

/// Named measures.
pub fn measures(state: &State, now_ms: i64) -> Vec<(String, String)> {
    let orders: Vec<_> = state.loops.iter().filter(|l| !l.stop && !l.waits.is_empty()).collect();
    let back = orders.iter().filter(|l| l.waits.iter().all(|w| w.done.is_some())).count();
    let mut list = vec![(format!("read back by all, of {} orders", orders.len()), back.to_string())];
    let limit = state.guidelines.stop_s.value;
    let slowest = state.stops.iter().filter(|s| !s.operators.is_empty()).map(|s| {
        s.operators
            .iter()
            .map(|(_, at)| at.map(|t| (t - s.at_ms) as f64 / 1000.0))
            .collect::<Option<Vec<_>>>()
            .map(|v| v.into_iter().fold(0.0, f64::max))
    });
    for (i, s) in slowest.enumerate() {
        let value = s.map_or_else(|| "never".into(), |s| format!("{s:.0} s"));
        list.push((format!("stop {} to all stopped, limit {limit:.0} s", i + 1), value));
    }
    if let Some((person, s)) = on_rope(state, now_ms).first() {
        let mut stays = state.stays.iter().filter(|x| x.zone == ZoneName::OnRope && x.person == *person);
        let end = state.facts.closed_ms.unwrap_or(now_ms);
        let across = stays.any(|x| state.across_restart(x.from_ms, x.to_ms.unwrap_or(end)));
        let mark = if across { ", across a restart" } else { "" };
        list.push((format!("longest on rope, {person}"), format!("{}{mark}", clock_span(*s))));
    }
    let kept = state.pars.iter().filter(|p| p.due_ms.is_none()).count();
    list.extend(clock_measures(state));
    if !state.pars.is_empty() {
        list.push((format!("PAR kept in time, of {}", state.pars.len()), kept.to_string()));
    }
    list
}
