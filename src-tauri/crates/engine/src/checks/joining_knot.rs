//! A knot in the run of a rope must not reach what grips it or turns it, unless a knot pass is planned.

use super::{Seen, finding};
use rig::findings::{RuleFinding, Verdict};
use rig::model::{Joint, Part, PartKind, Rope};

/// What a knot does not pass: what grips the rope, and what it runs through.
const STOPS: [PartKind; 5] = [
    PartKind::Device,
    PartKind::Pulley,
    PartKind::FrictionHitch,
    PartKind::HaulHitch,
    PartKind::ProgressCapture,
];

/// One finding a knot: what it comes to while the load goes from the edge to the ground, or back.
pub fn joining_knot(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let rig = seen.model.rig;
    let height = rig.edge.height.to_metres();
    let mut findings = Vec::new();
    for rope in rig.ropes.iter().filter(|rope| super::rope::from_load(seen, rope)) {
        let contacts = contacts(seen, rope);
        for joint in rope.joints.iter().filter(|_| !contacts.is_empty()) {
            let at = joint.at.to_metres();
            // With the load at the edge a contact is its own way from it; at the ground the height is added.
            let reached = |far: f64| (far..=far + height).contains(&at);
            let met: Vec<&Part> = contacts.iter().filter(|(far, _)| reached(*far)).map(|(_, p)| *p).collect();
            let names =
                |parts: &[&Part]| parts.iter().map(|p| p.label.as_str()).collect::<Vec<_>>().join(", ");
            let unplanned: Vec<&Part> =
                met.iter().copied().filter(|part| !planned(seen, joint, part)).collect();
            let label = &rope.label;
            let (verdict, words) = match (met.is_empty(), unplanned.is_empty()) {
                (true, _) => {
                    let all: Vec<&Part> = contacts.iter().map(|(_, p)| *p).collect();
                    let words = format!("{label}: the knot at {at} m does not reach {}", names(&all));
                    (Verdict::Holds, format!("{words} over {height} m of height"))
                }
                (_, true) => {
                    let words = format!("{label}: the knot at {at} m reaches {}", names(&met));
                    (Verdict::NotChecked, format!("{words}; its pass is checked step by step"))
                }
                (_, false) => {
                    let words = format!("{label}: the knot at {at} m reaches {}", names(&unplanned));
                    (Verdict::FallsShort, format!("{words}: plan a knot pass"))
                }
            };
            let source = "lengths of this rig; common practice, no source";
            let rule = "joining knot against what it reaches";
            findings.push(finding("joining_knot", verdict, rule, words, source));
        }
    }
    findings
}

/// What stops a knot on a rope, each with its way along the rope from the edge, m.
fn contacts<'a>(seen: &'a Seen<'_>, rope: &Rope) -> Vec<(f64, &'a Part)> {
    let stops = |part: &&Part| {
        STOPS.contains(&part.kind) && (part.line == rope.line || part.line == rig::model::Line::Shared)
    };
    let parts: Vec<&Part> = seen.model.rig.parts.iter().filter(stops).collect();
    let mut contacts = Vec::new();
    for (way, point) in seen.model.rig.ways_above_edge(rope) {
        let here = parts.iter().filter(|p| p.at.first() == Some(point));
        contacts.extend(here.map(|part| (way, *part)));
    }
    contacts
}

/// Whether a step takes the part out of the knot's way: neither is there in every state.
fn planned(seen: &Seen<'_>, joint: &Joint, part: &Part) -> bool {
    let left_out = |id: &String| seen.model.rig.states.iter().any(|s| s.without.contains(id));
    left_out(&joint.knot) && left_out(&part.id)
}
