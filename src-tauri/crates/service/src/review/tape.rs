//! The operation as a tape: everything that stands from one moment to another, so that a replay looks a moment up and never
//! goes through the record again. What it says of a moment is what [`crate::state_at`] says of it (a test holds that).

use crate::view::rope_lines;
use crate::wire::{Tape, TapeFlag, TapeHeld, TapePhase, TapeRig, TapeRopes};
use operation::review::Measures;
use operation::review::measures::{MotionTime, metres_told};
use operation::state::State;
use operation::step::ZoneName;
use rig::units::Units;

/// The tape of an operation, with the measures that were taken of it, its lengths in words in the units asked for.
pub fn tape(state: &State, measured: &Measures, units: Units) -> Tape {
    let held = |what: &str, person: &str, from: i64, to: Option<i64>| TapeHeld {
        what: what.into(),
        person: person.into(),
        from_ms: from as f64,
        to_ms: to.map(|to| to as f64),
    };
    let flagged = state.raised.iter().filter_map(|f| {
        let at = state.at(*f.entries.last()?)?.happened_ms;
        Some(TapeFlag { at_ms: at as f64, words: f.words.clone() })
    });
    let mut flags: Vec<TapeFlag> = flagged.collect();
    flags.sort_by(|a, b| a.at_ms.total_cmp(&b.at_ms));
    Tape {
        from_ms: measured.from_ms as f64,
        to_ms: measured.to_ms as f64,
        edge_m: state.facts.edge_height_m,
        roles: state.duties.iter().map(|d| held(&d.role, &d.person, d.from_ms, d.to_ms)).collect(),
        zones: state
            .stays
            .iter()
            .filter(|s| s.zone != ZoneName::Clear)
            .map(|s| held(s.zone.word(), &s.person, s.from_ms, s.to_ms))
            .collect(),
        heights: state
            .heights
            .iter()
            .map(|h| (h.at_ms as f64, h.metres, metres_told(h.metres, units)))
            .collect(),
        rigs: measured
            .rig
            .value
            .changes
            .iter()
            .map(|c| TapeRig { at_ms: c.at_ms as f64, rig: c.rig.clone(), state: c.state.clone() })
            .collect(),
        phases: state
            .phases
            .iter()
            .map(|p| TapePhase {
                words: p.words(),
                from_ms: p.from_ms as f64,
                to_ms: p.to_ms.map(|to| to as f64),
            })
            .collect(),
        ropes: state
            .ropes
            .list
            .iter()
            .map(|r| TapeRopes { at_ms: r.at_ms as f64, lines: rope_lines(r, units) })
            .collect(),
        flags,
        order: state.happened().to_vec(),
    }
}

/// Seconds in each motion, as the bars show them.
pub fn motions(times: &[MotionTime]) -> Vec<(String, f64)> {
    times.iter().map(|m| (m.motion.clone(), m.total_s)).collect()
}
