//! Static system safety factor: the margin of the weakest part that carries.

use super::{Seen, finding};
use crate::margin;
use rig::findings::{RuleFinding, Verdict};

/// The weakest part by name; not checked while anything that carries is unrated.
pub fn safety_factor(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let Ok(forces) = &seen.intact.forces else { return Vec::new() };
    let mut weakest: Option<(f64, usize)> = None;
    let mut unrated = Vec::new();
    for (part, force) in forces.parts.iter().enumerate().filter(|(_, force)| force[2] > 1e-6) {
        let own = &seen.model.rig.parts[part];
        match margin::strength(seen.model.rig, own) {
            Some(strength) if weakest.is_none_or(|(least, _)| strength / force[2] < least) => {
                weakest = Some((strength / force[2], part));
            }
            Some(_) => {}
            None => unrated.push(own.label.as_str()),
        }
    }
    let Some((least, part)) = weakest else { return Vec::new() };
    let own = &seen.model.rig.parts[part];
    let limit = margin::required(seen.guidelines, own.kind);
    let words = format!("{} at {}", margin::ratio(least), own.label);
    let (verdict, found) = match (least < limit.value, unrated.len()) {
        (true, _) => (Verdict::FallsShort, format!("at most {words}; {} : 1 is required of it", limit.value)),
        (false, 0) => (Verdict::Holds, format!("{words}, the weakest of all that carry")),
        (false, n) => (Verdict::NotChecked, format!("at most {words}; {n} parts that carry have no rating")),
    };
    let source = format!("weakest strength over the highest static force there; required: {}", limit.source);
    vec![finding("safety_factor", verdict, "static system safety factor", found, &source)]
}
