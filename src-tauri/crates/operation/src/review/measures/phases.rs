//! Time in each phase: what was done inside the motions.

use super::{Measured, seconds};
use crate::phase::{Phase, PhaseEnd};
use crate::state::State;
use serde::Serialize;
use ts_rs::TS;

/// Time in one phase.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct PhaseTime {
    /// `knot_pass`, `reset` or `change_over`.
    pub phase: String,
    /// In words ("knot pass").
    pub words: String,
    /// Altogether, s.
    pub total_s: f64,
    /// How often.
    pub spells: u64,
    /// The longest, s.
    pub longest_s: f64,
    /// How often it ended without anybody reporting it done; one that still lasts is not counted.
    pub unsaid: u64,
    /// Whether the last one still lasts.
    pub lasts: bool,
    /// Control's orders that began them.
    pub entries: Vec<u64>,
    /// The program was started again within one.
    pub across_restart: bool,
}

/// Time in each phase, those that were had, in the phases' order.
pub(super) fn phases(state: &State, end: i64) -> Measured<Vec<PhaseTime>> {
    let of = |phase: Phase| {
        let mut time =
            PhaseTime { phase: phase.word().into(), words: phase.words().into(), ..PhaseTime::default() };
        for p in state.phases.iter().filter(|p| p.phase == phase) {
            let to = p.to_ms.unwrap_or(end);
            let length = seconds(p.from_ms, to).max(0.0);
            time.total_s += length;
            time.spells += 1;
            time.longest_s = time.longest_s.max(length);
            time.unsaid += u64::from(p.end.is_some_and(|(how, _)| how == PhaseEnd::Unsaid));
            time.lasts = p.to_ms.is_none();
            time.entries.push(p.seq);
            time.across_restart |= state.across_restart(p.from_ms, to);
        }
        time
    };
    let all = [Phase::KnotPass, Phase::Reset, Phase::ChangeOver].map(of);
    Measured {
        how: "from control’s order to the report that it is done; where nobody said so, to the order that moved the load on, \
              the landing, the next phase or the close; each counts beside the motion that it lies in"
            .into(),
        value: all.into_iter().filter(|t| t.spells > 0).collect(),
    }
}
