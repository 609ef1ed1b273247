//! After the operation: measures and findings, each resting on entries. Nothing is invented: what the log does not say is not said.

mod findings;
pub mod measures;
mod words;

pub(crate) use findings::key_of;
pub use findings::{Finding, Said, Sure, findings, findings_with};
pub use measures::{Measures, measures, named};
pub use words::{Learned, Quarantine, due_words, lessons, quarantined, said};

use crate::state::State;

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

/// “7:01” or “1:02:03”.
pub fn clock_span(seconds: f64) -> String {
    let s = seconds.round().max(0.0) as i64;
    if s >= 3600 {
        format!("{}:{:02}:{:02}", s / 3600, s / 60 % 60, s % 60)
    } else {
        format!("{}:{:02}", s / 60, s % 60)
    }
}
