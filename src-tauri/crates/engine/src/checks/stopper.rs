//! The end of each rope that is let out cannot run through its device.

use super::{Seen, finding};
use rig::findings::{RuleFinding, Verdict};
use rig::model::Sliding;

/// One finding a rope that runs out while lowering.
pub fn stopper(seen: &Seen<'_>) -> Vec<RuleFinding> {
    if seen.model.state.motion != Sliding::Lowering {
        return Vec::new();
    }
    let ropes = seen.model.rig.ropes.iter().filter(|rope| super::rope::from_load(seen, rope));
    let near = &seen.guidelines.rope_spare_m;
    let found = ropes.map(|rope| {
        let left = super::rope::left(seen, rope);
        let (verdict, words) = match rope.stopper {
            Some(true) => (Verdict::Holds, format!("{}: its end is stopped", rope.label)),
            Some(false) if left < near.value - 1e-9 => (
                Verdict::FallsShort,
                format!(
                    "{}: none, and its end is near, {left:.1} m left with the load at the ground",
                    rope.label
                ),
            ),
            Some(false) => (
                Verdict::Holds,
                format!("{}: none, {left:.1} m left with the load at the ground", rope.label),
            ),
            None => {
                let words =
                    format!("{}: whether its end is stopped is not said, {left:.1} m left", rope.label);
                (Verdict::NotChecked, words)
            }
        };
        let source = format!(
            "common practice, no source; an end is near with less than {} m left: {}",
            near.value, near.source
        );
        finding("rope_end_stopped", verdict, "end of the rope cannot run out", words, &source)
    });
    found.collect()
}
