//! The ropes over a high directional press it onto both its feet: a leg that is pulled lifts its foot.

use super::{Seen, finding};
use rig::findings::{RuleFinding, Verdict};
use rig::model::PartKind;

/// One finding for a rig with legs.
pub fn feet(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let Ok(forces) = &seen.intact.forces else { return Vec::new() };
    let rig = seen.model.rig;
    let legs: Vec<usize> = (0..rig.parts.len()).filter(|p| rig.parts[*p].kind == PartKind::Strut).collect();
    if legs.is_empty() {
        return Vec::new();
    }
    let lifted: Vec<&str> =
        legs.iter().filter(|p| forces.lifted.contains(p)).map(|p| rig.parts[*p].label.as_str()).collect();
    let (verdict, found) = if lifted.is_empty() {
        (Verdict::Holds, "what the ropes pull together falls between the feet in every case".to_string())
    } else {
        (Verdict::FallsShort, format!("pulled up, not pressed down: {}", lifted.join(", ")))
    };
    let source = "balance of forces at its head, over every combination of the ranges";
    vec![finding("feet_pressed", verdict, "resultant within the feet", found, source)]
}
