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
        // The length a template put in says nothing of how far this rope's end is.
        let left = seen.model.rig.length_said(rope).then(|| super::rope::left(seen, rope));
        let rest = left.map_or("its length is not said".to_string(), |left| {
            format!("{left:.1} m left with the load at the ground")
        });
        let (verdict, found) = match (rope.stopper, left) {
            (Some(true), _) => (Verdict::Holds, "its end is stopped".to_string()),
            (Some(false), Some(left)) if left < near.value - 1e-9 => {
                (Verdict::FallsShort, format!("none, and its end is near, {rest}"))
            }
            (Some(false), Some(_)) => (Verdict::Holds, format!("none, {rest}")),
            (Some(false), None) => (Verdict::NotChecked, format!("none, and {rest}")),
            (None, _) => (Verdict::NotChecked, format!("whether its end is stopped is not said; {rest}")),
        };
        let words = format!("{}: {found}", rope.label);
        let source = format!(
            "common practice, no source; an end is near with less than {} m left: {}",
            near.value, near.source
        );
        finding("rope_end_stopped", verdict, "end of the rope cannot run out", words, &source)
    });
    found.collect()
}
