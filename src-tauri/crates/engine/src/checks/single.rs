//! No single loss of a part or a hand drops the load; nor do all hands at once.

use super::{Seen, finding, names};
use rig::findings::{RuleFinding, Verdict};

/// Holds only when no single loss is dropped or overloaded, and none is unknown.
pub fn no_single_critical(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let (verdict, found) = if !seen.critical.is_empty() {
        (Verdict::FallsShort, format!("critical: {}", names(seen.model, seen.critical)))
    } else if !seen.unknown.is_empty() {
        let (unknown, all) = (seen.unknown.len(), seen.losses.len());
        (Verdict::NotChecked, format!("not checked for {unknown} of {all} losses{}", why(seen)))
    } else {
        let lost = seen.losses.len();
        (Verdict::Holds, format!("{lost} losses in turn, support and forces solved again after each"))
    };
    let source = "critical point test: no single failure of equipment or person may fail the whole system \
                  (Zone 3 Technical Rescue Manual, Rope Rescue, quoted)";
    vec![finding(
        "no_single_critical_part",
        verdict,
        "critical part test: each part and hand lost in turn",
        found,
        source,
    )]
}

/// What has to be rated before it can be said.
fn why(seen: &Seen<'_>) -> String {
    let unrated: Vec<&str> = (0..seen.model.parts())
        .filter(|p| seen.intact.outcome.path[*p])
        .map(|p| &seen.model.rig.parts[p])
        .filter(|p| p.strength.is_none() && !p.always_critical)
        .map(|p| p.label.as_str())
        .collect();
    if unrated.is_empty() { String::new() } else { format!(": no rating for {}", unrated.join(", ")) }
}

/// The whistle test.
pub fn hands_off(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let source = "whistle test: everyone lets go, nothing catastrophic to the live load \
                  (Zone 3 Technical Rescue Manual, Rope Rescue, quoted)";
    let own = seen.hands_off;
    vec![finding("hands_off", own.verdict, "hands-off", own.words.clone(), source)]
}
