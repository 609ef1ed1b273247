//! Rope enough, and of a diameter its device takes.

use super::{Seen, finding};
use rig::findings::{RuleFinding, Verdict};
use rig::model::{PartKind, Rope};

/// From the edge up to the far end, by the rope's path, m.
pub(super) fn above_edge(seen: &Seen<'_>, rope: &Rope) -> f64 {
    seen.model.rig.ways_above_edge(rope).last().map_or(0.0, |(way, _)| *way)
}

/// Whether a rope ends at the load: a haul rope does not.
pub(super) fn from_load(seen: &Seen<'_>, rope: &Rope) -> bool {
    seen.model.rig.from_load(rope)
}

/// Rope left with the load at the ground, m, taking its length as it stands; below 0: it is too short.
pub(super) fn left(seen: &Seen<'_>, rope: &Rope) -> f64 {
    let height = seen.model.rig.edge.height.to_metres();
    rope.length.to_metres() - height - above_edge(seen, rope) - rope.knots.to_metres()
}

/// Rope for the height, the way to the device, the haul system and the knots. Nothing is held of a rope whose length nobody
/// said: how much the place asks for is told instead.
pub fn long_enough(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let rig = seen.model.rig;
    rig.ropes
        .iter()
        .filter(|rope| from_load(seen, rope))
        .map(|rope| {
            let (height, above) = (rig.edge.height.to_metres(), above_edge(seen, rope));
            let knots = rope.knots.to_metres();
            let spare = &seen.guidelines.rope_spare_m;
            let asked = format!("{height} m of height, {above:.1} m above the edge, {knots} m for knots");
            let (verdict, found) = if rig.length_said(rope) {
                let left = left(seen, rope);
                let enough = left >= spare.value - 1e-9;
                let verdict = if enough { Verdict::Holds } else { Verdict::FallsShort };
                let rest = match left {
                    left if left < 0.0 => format!("{:.1} m short", -left),
                    left if enough => format!("{left:.1} m left with the load at the ground"),
                    left => {
                        format!(
                            "{left:.1} m left with the load at the ground, {} m to spare are asked",
                            spare.value
                        )
                    }
                };
                (verdict, format!("{} m; {asked}; {rest}", rope.length.to_metres()))
            } else {
                let least = height + above + knots + spare.value;
                let words = format!(
                    "its length is not said; {least:.1} m are asked: {asked}, {} m to spare",
                    spare.value
                );
                (Verdict::NotChecked, words)
            };
            finding(
                "rope_long_enough",
                verdict,
                "rope long enough",
                format!("{}: {found}", rope.label),
                &format!(
                    "sum of lengths of this rig; rope for knots is an assumption; to spare: {}",
                    spare.source
                ),
            )
        })
        .collect()
}

/// Diameter of each rope against the device it runs through.
pub fn fits_device(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let mm = |length: rig::quantity::Length| format!("{:.1} mm", length.to_metres() * 1000.0);
    let mut findings = Vec::new();
    for part in super::there(seen, &[PartKind::Device]) {
        let Some(device) = &part.device else { continue };
        for rope in super::fits_pulley::through(seen, part) {
            let (verdict, found) = match device.takes {
                None => {
                    let words = format!("{}: what {} takes is not set", mm(rope.diameter), part.label);
                    (Verdict::NotChecked, words)
                }
                Some([low, high]) => {
                    let fits = rope.diameter >= low && rope.diameter <= high;
                    let verdict = if fits { Verdict::Holds } else { Verdict::FallsShort };
                    let words =
                        format!("{}; {} takes {} to {}", mm(rope.diameter), part.label, mm(low), mm(high));
                    (verdict, words)
                }
            };
            let source = "the device maker’s instructions, as set by the team";
            let rule = "rope diameter against device";
            findings.push(finding("rope_fits_device", verdict, rule, found, source));
        }
    }
    findings
}
