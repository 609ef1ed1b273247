//! The end of each rope that is let out cannot run through its device.

use super::{Seen, finding};
use rig::findings::{RuleFinding, Verdict};
use rig::model::Sliding;

/// Rope left below which its end is near, m: an assumption.
const NEAR: f64 = 3.0;

/// One finding a rope that runs out while lowering.
pub fn stopper(seen: &Seen<'_>) -> Vec<RuleFinding> {
    if seen.model.state.motion != Sliding::Lowering {
        return Vec::new();
    }
    let ropes = seen.model.rig.ropes.iter().filter(|rope| super::rope::from_load(seen, rope));
    let found = ropes.map(|rope| {
        let left = super::rope::left(seen, rope);
        let (verdict, words) = match rope.stopper {
            Some(true) => (Verdict::Holds, format!("{}: its end is stopped", rope.label)),
            Some(false) if left < NEAR => (
                Verdict::FallsShort,
                format!("{}: none, and {left:.1} m left with the load at the ground", rope.label),
            ),
            Some(false) => (
                Verdict::Holds,
                format!("{}: none, {left:.1} m left with the load at the ground", rope.label),
            ),
            None => (Verdict::NotChecked, format!("{}: whether its end is stopped is not said", rope.label)),
        };
        let source = "common practice, no source; an end is near with less than 3 m left, an assumption";
        finding("rope_end_stopped", verdict, "end of the rope cannot run out", words, source)
    });
    found.collect()
}
