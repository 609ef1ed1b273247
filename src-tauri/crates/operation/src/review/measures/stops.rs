//! Stops: how many, how long, why, and how long until each operator reported stopped.

use super::{Measured, seconds};
use crate::review::quantile;
use crate::state::{State, StopState};
use serde::Serialize;
use ts_rs::TS;

/// From STOP to “stopped” of one operator.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct OperatorStopped {
    /// The role.
    pub role: String,
    /// Who held it when the stop was called.
    pub people: Vec<String>,
    /// After so many seconds; `None`: never reported.
    pub after_s: Option<f64>,
}

/// A stop.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct StopMeasure {
    /// Entry number of the call.
    pub seq: u64,
    /// When.
    pub at_ms: i64,
    /// Who called it.
    pub from: String,
    /// Why, as said; empty: nobody said.
    pub cause: String,
    /// Each operator it waited for.
    pub operators: Vec<OperatorStopped>,
    /// Until the last of them had reported, s; `None`: someone never did, or nobody was assigned.
    pub all_stopped_s: Option<f64>,
    /// Whether that is within the guidelines' limit; `None`: nobody was assigned.
    pub within_limit: Option<bool>,
    /// Until the load moved again, was tied off or the stop was called anew, s; else to the end of what is measured.
    pub length_s: f64,
    /// Whether it ended so.
    pub ended: bool,
    /// The program was started again within it.
    pub across_restart: bool,
}

/// Why stops were called.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct StopCause {
    /// As said; empty: nobody said.
    pub cause: String,
    /// How many.
    pub count: u64,
    /// Their lengths together, s.
    pub total_s: f64,
}

/// Stops.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct StopMeasures {
    /// How many.
    pub count: u64,
    /// Their lengths together, s.
    pub total_s: f64,
    /// The longest, s.
    pub longest_s: Option<f64>,
    /// Within how many seconds all should have reported, from the guidelines.
    pub limit_s: f64,
    /// By cause, most stops first.
    pub causes: Vec<StopCause>,
    /// Each, oldest first.
    pub list: Vec<StopMeasure>,
}

/// From STOP to “stopped” by operator, over all stops.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct Reaction {
    /// The role.
    pub role: String,
    /// Stops that waited for it.
    pub stops: u64,
    /// Never reported.
    pub never: u64,
    /// Median, s.
    pub median_s: Option<f64>,
    /// Nine of ten, s.
    pub p90_s: Option<f64>,
    /// Worst, s.
    pub worst_s: Option<f64>,
    /// Each, oldest first, s.
    pub after_s: Vec<f64>,
}

fn one(state: &State, s: &StopState, end: i64) -> StopMeasure {
    let operators: Vec<OperatorStopped> = s
        .operators
        .iter()
        .map(|(role, at)| OperatorStopped {
            role: role.clone(),
            people: super::roles::holders(state, role, s.at_ms),
            after_s: at.map(|at| seconds(s.at_ms, at)),
        })
        .collect();
    let each: Option<Vec<f64>> = operators.iter().map(|o| o.after_s).collect();
    let all = each.filter(|e| !e.is_empty()).map(|e| e.into_iter().fold(0.0, f64::max));
    let to = s.ended_ms.unwrap_or(end);
    StopMeasure {
        seq: s.seq,
        at_ms: s.at_ms,
        from: s.from.clone(),
        cause: s.cause.clone(),
        within_limit: (!operators.is_empty())
            .then(|| all.is_some_and(|s| s <= state.guidelines.stop_s.value)),
        all_stopped_s: all,
        operators,
        length_s: seconds(s.at_ms, to).max(0.0),
        ended: s.ended_ms.is_some(),
        across_restart: state.across_restart(s.at_ms, to),
    }
}

/// Stops with lengths and causes.
pub(super) fn stops(state: &State, end: i64) -> Measured<StopMeasures> {
    let list: Vec<StopMeasure> = state.stops.iter().map(|s| one(state, s, end)).collect();
    let mut causes: Vec<StopCause> = vec![];
    for s in &list {
        let place = causes.iter().position(|c| c.cause == s.cause).unwrap_or_else(|| {
            causes.push(StopCause { cause: s.cause.clone(), ..StopCause::default() });
            causes.len() - 1
        });
        causes[place].count += 1;
        causes[place].total_s += s.length_s;
    }
    causes.sort_by(|a, b| b.count.cmp(&a.count).then(b.total_s.total_cmp(&a.total_s)));
    Measured {
        how: format!(
            "length: from the call of STOP until the load moved again, was tied off or STOP was called anew; all stopped: until \
             the last operator assigned then had reported “stopped” (a readback of “stop” does not count), limit {} s; cause: as \
             said with it, by its caller first, or with the order that ended it",
            state.guidelines.stop_s.value
        ),
        value: StopMeasures {
            count: list.len() as u64,
            total_s: list.iter().map(|s| s.length_s).sum(),
            longest_s: list.iter().map(|s| s.length_s).reduce(f64::max),
            limit_s: state.guidelines.stop_s.value,
            causes,
            list,
        },
    }
}

/// From STOP to “stopped” by operator, in the guidelines' order.
pub(super) fn reactions(state: &State) -> Measured<Vec<Reaction>> {
    let mut list: Vec<Reaction> = vec![];
    for (s, (role, at)) in state.stops.iter().flat_map(|s| s.operators.iter().map(move |o| (s, o))) {
        let place = list.iter().position(|r| r.role == *role).unwrap_or_else(|| {
            list.push(Reaction { role: role.clone(), ..Reaction::default() });
            list.len() - 1
        });
        let r = &mut list[place];
        r.stops += 1;
        match at {
            Some(at) => r.after_s.push(seconds(s.at_ms, *at)),
            None => r.never += 1,
        }
    }
    for r in &mut list {
        r.median_s = quantile(&r.after_s, 0.5);
        r.p90_s = quantile(&r.after_s, 0.9);
        r.worst_s = quantile(&r.after_s, 1.0);
    }
    let place = |role: &str| state.guidelines.roles.iter().position(|r| r.role == role).unwrap_or(usize::MAX);
    list.sort_by_key(|r| place(&r.role));
    Measured {
        how: "from the call of STOP to that operator’s own report “stopped”; median and nine of ten by nearest rank".into(),
        value: list,
    }
}
