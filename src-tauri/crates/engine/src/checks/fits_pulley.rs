//! Rope diameter against every pulley that it runs through, and every hitch that grips it.

use super::{Seen, finding};
use rig::findings::{RuleFinding, Verdict};
use rig::model::{Part, PartKind, Rope};

/// The ropes through a part: those of its line whose path runs over where it sits on them.
pub(super) fn through<'a>(seen: &'a Seen<'_>, part: &'a Part) -> impl Iterator<Item = &'a Rope> {
    let at = part.at.first();
    seen.model.rig.ropes.iter().filter(move |rope| {
        let own = part.line == rope.line || part.line == rig::model::Line::Shared;
        own && at.is_some_and(|at| rope.path.contains(at))
    })
}

/// One finding for the pulleys: those that do not fit, or those of which it is not said.
pub fn fits_pulley(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let rule = ["rope_fits_pulley", "rope diameter against pulleys"];
    fits(seen, &[PartKind::Pulley], rule, "the makers’ instructions, as set by the team")
}

/// One finding for the hitches: cord too thick for its rope does not grip.
pub fn fits_hitch(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let kinds = [PartKind::FrictionHitch, PartKind::HaulHitch, PartKind::ProgressCapture];
    let rule = ["rope_fits_hitch", "rope diameter against friction hitches"];
    fits(seen, &kinds, rule, "what their cord or their maker is for, as set by the team")
}

fn fits(seen: &Seen<'_>, kinds: &[PartKind], rule: [&str; 2], source: &str) -> Vec<RuleFinding> {
    let mm = |metres: f64| format!("{:.1} mm", metres * 1000.0);
    let (mut wrong, mut unknown, mut fit) = (Vec::new(), Vec::new(), 0);
    for part in super::there(seen, kinds) {
        let takes = part.takes.or_else(|| part.device.as_ref().and_then(|d| d.takes));
        for rope in through(seen, part) {
            match takes {
                Some([low, high]) if rope.diameter < low || rope.diameter > high => wrong.push(format!(
                    "{} takes {} to {}, {} has {}",
                    part.label,
                    mm(low.to_metres()),
                    mm(high.to_metres()),
                    rope.label,
                    mm(rope.diameter.to_metres())
                )),
                Some(_) => fit += 1,
                None => unknown.push(part.label.clone()),
            }
        }
    }
    unknown.dedup();
    let (verdict, found) = match (wrong.is_empty(), unknown.is_empty(), fit) {
        (false, ..) => (Verdict::FallsShort, wrong.join("; ")),
        (_, false, _) => (Verdict::NotChecked, format!("what they take is not set: {}", unknown.join(", "))),
        (_, _, 0) => return Vec::new(),
        (_, _, n) => (Verdict::Holds, format!("{n} take the rope that runs through them")),
    };
    vec![finding(rule[0], verdict, rule[1], found, source)]
}
