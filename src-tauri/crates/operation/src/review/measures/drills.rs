//! Losses called into a drill, in words only: how soon STOP was called and each operator had stopped. What they took can be taken into
//! the guidelines, from where falls are reckoned.

use super::{Measured, OperatorStopped, seconds};
use crate::event::Payload;
use crate::review::quantile;
use crate::state::{Kept, State};
use serde::Serialize;
use ts_rs::TS;

/// A loss that was called, and what the crew did.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct CalledLoss {
    /// Entry number of the call.
    pub seq: u64,
    /// When.
    pub at_ms: i64,
    /// What was called ("rope one lost").
    pub text: String,
    /// Entry number of the STOP that followed; `None`: nobody called one before the next loss or the load's next movement.
    pub stop_seq: Option<u64>,
    /// Until that STOP, s.
    pub stop_s: Option<f64>,
    /// Each operator that the STOP waited for, from the call of the loss.
    pub operators: Vec<OperatorStopped>,
}

/// All losses that were called.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct DrillMeasures {
    /// Each, oldest first.
    pub list: Vec<CalledLoss>,
    /// From the call of a loss to an operator's “stopped”: least, median and most over all of them, s; `None`: no operator answered.
    pub reaction_s: Option<[f64; 3]>,
    /// How many answers that rests on.
    pub answers: u64,
    /// The same for a guidelines file, as JSON; `None` without an answer.
    pub for_guidelines: Option<String>,
}

/// What a loss that is called is answered by: the first STOP after it, before the next loss.
fn one(state: &State, kept: &Kept, until: i64) -> Option<CalledLoss> {
    let Some(Payload::Exercise(called)) = kept.now.as_deref() else { return None };
    let at = kept.happened_ms;
    let stop = state.stops.iter().find(|s| s.at_ms >= at && s.at_ms < until);
    Some(CalledLoss {
        seq: kept.seq,
        at_ms: at,
        text: called.text.clone(),
        stop_seq: stop.map(|s| s.seq),
        stop_s: stop.map(|s| seconds(at, s.at_ms)),
        operators: stop.map_or_else(Vec::new, |s| {
            s.operators
                .iter()
                .map(|(role, stopped)| OperatorStopped {
                    role: role.clone(),
                    people: super::roles::holders(state, role, at),
                    after_s: stopped.map(|stopped| seconds(at, stopped)),
                })
                .collect()
        }),
    })
}

/// Losses called into the drill, with what the crew did.
pub(super) fn drills(state: &State) -> Measured<DrillMeasures> {
    let mut called: Vec<&Kept> =
        state.written().iter().filter(|k| matches!(k.now.as_deref(), Some(Payload::Exercise(_)))).collect();
    called.sort_by_key(|k| k.happened_ms);
    let list: Vec<CalledLoss> = called
        .iter()
        .enumerate()
        .filter_map(|(n, k)| one(state, k, called.get(n + 1).map_or(i64::MAX, |next| next.happened_ms)))
        .collect();
    let times: Vec<f64> = list.iter().flat_map(|c| &c.operators).filter_map(|o| o.after_s).collect();
    let reaction_s = quantile(&times, 0.0)
        .zip(quantile(&times, 0.5))
        .zip(quantile(&times, 1.0))
        .map(|((least, median), most)| [least, median, most]);
    let source = format!(
        "measured in the drill “{}”: {} answers, from the loss being called to “stopped”, so no shorter than the hand",
        state.facts.name,
        times.len()
    );
    Measured {
        how: "from the call of a loss to the first STOP after it, and to each operator’s own report “stopped”: longer than the hand \
              itself took; least, median and most over all operators"
            .into(),
        value: DrillMeasures {
            list,
            reaction_s,
            answers: times.len() as u64,
            for_guidelines: reaction_s.map(|[low, likely, high]| {
                let spread = serde_json::json!({"low": low, "likely": likely, "high": high, "source": source});
                serde_json::json!({"format": "ledgebook-guidelines/0", "falls": {"reaction_s": spread}}).to_string()
            }),
        },
    }
}
