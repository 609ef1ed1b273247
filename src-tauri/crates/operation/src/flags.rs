//! Flags: what departs from normal, named with its entries and said in words. The log never refuses; it flags.

use crate::motion::Motion;
use crate::state::{State, span_words};
use crate::step::ZoneName;
use serde::{Deserialize, Serialize};

/// A flag.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Flag {
    /// One of the ids of the contract.
    pub id: &'static str,
    /// Entry numbers.
    pub entries: Vec<u64>,
    /// In words.
    pub words: String,
}

/// A flag as it is written out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[allow(missing_docs)]
pub struct FlagOut {
    pub id: String,
    pub entries: Vec<u64>,
    pub words: String,
}

impl From<&Flag> for FlagOut {
    fn from(f: &Flag) -> Self {
        FlagOut { id: f.id.into(), entries: f.entries.clone(), words: f.words.clone() }
    }
}

/// Flags as of `now_ms`: those that entries raised, and those that only the clock raises.
pub fn flags(state: &State, now_ms: i64) -> Vec<Flag> {
    latest(state, now_ms, usize::MAX)
}

/// The same with at most `most` of those that entries raised, the newest: a screen shows what stands, not a day of it.
pub fn latest(state: &State, now_ms: i64, most: usize) -> Vec<Flag> {
    let now = state.facts.closed_ms.unwrap_or(now_ms);
    let raised = &state.raised;
    let mut all = raised[raised.len().saturating_sub(most)..].to_vec();
    unanswered(state, now, &mut all);
    all.extend(crate::watch::watches(state).iter().filter(|w| w.over(now)).map(|w| w.flag(now)));
    if let Some(of) = state.unequal {
        let words = "slack or unequal tension was called and not yet “equal”".into();
        all.push(Flag { id: "unequal_tension", entries: vec![of], words });
    }
    let exposed = !state.in_zone(ZoneName::OnRope).is_empty() || !state.in_zone(ZoneName::Edge).is_empty();
    if let Some(due) = state.par_due().filter(|d| *d < now && exposed) {
        let entries = state.pars.last().map(|p| vec![p.seq]).unwrap_or_default();
        all.push(Flag {
            id: "par_overdue",
            entries,
            words: format!("PAR is overdue by {}", span_words(now - due)),
        });
    }
    all.extend(state.count_due_ms().filter(|due| *due < now).and_then(|_| count_due(state, now)));
    if state.motion == Motion::Stopping
        && let Some(s) = state.stops.last().filter(|s| s.operators.is_empty())
        && !raised.iter().rev().any(|f| f.id == "stop_nobody_assigned" && f.entries == vec![s.seq])
    {
        all.push(Flag {
            id: "stop_nobody_assigned",
            entries: vec![s.seq],
            words: "nobody is assigned to report stopped".into(),
        });
    }
    all
}

/// Nobody counted after an event, or the count did not match.
fn count_due(state: &State, now: i64) -> Option<Flag> {
    let event = state.count_due.as_ref()?;
    let words = format!(
        "{} {} ago, and no PAR that matches has come since; the guidelines say within {} min",
        event.after,
        span_words(now - event.at_ms),
        state.guidelines.people.par_event_min.value
    );
    Some(Flag { id: "par_after_event", entries: vec![event.seq], words })
}

fn unanswered(state: &State, now: i64, all: &mut Vec<Flag>) {
    for l in state.unanswered() {
        let limit = if l.stop { state.guidelines.stop_s.value } else { state.guidelines.readback_s.value };
        let silent: Vec<&str> = l.waits.iter().filter(|w| w.waits()).map(|w| w.role.as_str()).collect();
        if !silent.is_empty() && (now - l.at_ms) as f64 > limit * 1000.0 {
            let what = if l.stop { "has not reported stopped" } else { "has not read back" };
            let words = format!(
                "{} {what} to “{}” (order {}) after {}",
                silent.join(", "),
                l.text,
                l.seq,
                span_words(now - l.at_ms)
            );
            all.push(Flag { id: "order_unanswered", entries: vec![l.seq], words });
        }
    }
}
