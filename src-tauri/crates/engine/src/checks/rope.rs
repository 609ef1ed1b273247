//! Rope enough, and of a diameter its device takes.

use super::{Seen, finding};
use rig::findings::{RuleFinding, Verdict};
use rig::model::{Point, Rope};

/// From the edge up to the far end, by the rope's path, m.
pub(super) fn above_edge(seen: &Seen<'_>, rope: &Rope) -> f64 {
    let rig = seen.model.rig;
    let edge = rig.edge.height.to_metres();
    let points: Vec<&Point> = rope.path.iter().filter_map(|id| rig.point(id)).collect();
    let stretch = |a: &Point, b: &Point| {
        libm::hypot(b.x.to_metres() - a.x.to_metres(), b.y.to_metres() - a.y.to_metres())
    };
    points
        .windows(2)
        .filter(|ends| ends.iter().all(|p| p.y.to_metres() >= edge - 1e-9))
        .map(|ends| stretch(ends[0], ends[1]))
        .sum()
}

/// Whether a rope ends at the load: a haul rope does not.
pub(super) fn from_load(seen: &Seen<'_>, rope: &Rope) -> bool {
    rope.path.first().is_some_and(|first| seen.model.rig.load.points.contains(first))
}

/// Rope left with the load at the ground, m; below 0: it is too short.
pub(super) fn left(seen: &Seen<'_>, rope: &Rope) -> f64 {
    let height = seen.model.rig.edge.height.to_metres();
    rope.length.to_metres() - height - above_edge(seen, rope) - rope.knots.to_metres()
}

/// Rope for the height, the way to the device, the haul system and the knots.
pub fn long_enough(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let rig = seen.model.rig;
    rig.ropes
        .iter()
        .filter(|rope| from_load(seen, rope))
        .map(|rope| {
            let (height, above) = (rig.edge.height.to_metres(), above_edge(seen, rope));
            let (knots, length) = (rope.knots.to_metres(), rope.length.to_metres());
            let left = left(seen, rope);
            let verdict = if left >= 0.0 { Verdict::Holds } else { Verdict::FallsShort };
            let rest = if left >= 0.0 {
                format!("{left:.1} m left with the load at the ground")
            } else {
                format!("{:.1} m short", -left)
            };
            finding(
                "rope_long_enough",
                verdict,
                "rope long enough",
                format!(
                    "{}: {length} m; {height} m of height, {above:.1} m above the edge, {knots} m for knots; {rest}",
                    rope.label
                ),
                "sum of lengths of this rig; rope for knots is an assumption",
            )
        })
        .collect()
}

/// Diameter of each rope against the device it runs through.
pub fn fits_device(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let rig = seen.model.rig;
    let mut findings = Vec::new();
    for part in rig.parts.iter().filter(|p| p.kind == rig::model::PartKind::Device) {
        let Some(device) = &part.device else { continue };
        let through = rig.ropes.iter().find(|r| part.at.first().is_some_and(|at| r.path.contains(at)));
        let Some(rope) = through else { continue };
        let mm = |length: rig::quantity::Length| format!("{:.1} mm", length.to_metres() * 1000.0);
        let (verdict, found) = match device.takes {
            None => {
                (Verdict::NotChecked, format!("{}: what {} takes is not set", mm(rope.diameter), part.label))
            }
            Some([low, high]) => {
                let fits = rope.diameter >= low && rope.diameter <= high;
                let verdict = if fits { Verdict::Holds } else { Verdict::FallsShort };
                (verdict, format!("{}; {} takes {} to {}", mm(rope.diameter), part.label, mm(low), mm(high)))
            }
        };
        let source = "the device maker’s instructions, as set by the team";
        findings.push(finding("rope_fits_device", verdict, "rope diameter against device", found, source));
    }
    findings
}
