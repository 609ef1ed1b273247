//! A knot in the run of a rope must not reach what grips it or turns it, unless a knot pass is planned.

use super::{Seen, finding};
use rig::findings::{RuleFinding, Verdict};
use rig::model::PartKind;

/// One finding a knot: whether it comes to the device while the load goes from the edge to the ground.
pub fn joining_knot(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let rig = seen.model.rig;
    // Steps that say where the knot does not bear yet plan its pass.
    let planned = |knot: &String| rig.states.iter().any(|s| s.without.contains(knot));
    let mut findings = Vec::new();
    for rope in rig.ropes.iter().filter(|rope| super::rope::from_load(seen, rope)) {
        let (above, height) = (super::rope::above_edge(seen, rope), rig.edge.height.to_metres());
        let meets = |kinds: &[PartKind]| {
            rig.parts
                .iter()
                .find(|p| kinds.contains(&p.kind) && p.at.first().is_some_and(|at| rope.path.contains(at)))
        };
        let what =
            meets(&[PartKind::Device, PartKind::Pulley, PartKind::FrictionHitch, PartKind::ProgressCapture]);
        let Some(what) = what else { continue };
        for joint in &rope.joints {
            let at = joint.at.to_metres();
            // From the load's end the device is `above` away at the edge, and the whole height more at the ground.
            let reaches = (above..=above + height).contains(&at);
            let (verdict, words) = match (reaches, planned(&joint.knot)) {
                (false, _) => (
                    Verdict::Holds,
                    format!("{}: the knot at {at} m does not reach {}", rope.label, what.label),
                ),
                (true, true) => (
                    Verdict::NotChecked,
                    format!(
                        "{}: the knot at {at} m reaches {}; its pass is checked step by step",
                        rope.label, what.label
                    ),
                ),
                (true, false) => (
                    Verdict::FallsShort,
                    format!("{}: the knot at {at} m reaches {}: plan a knot pass", rope.label, what.label),
                ),
            };
            let source = "lengths of this rig; common practice, no source";
            findings.push(finding(
                "joining_knot",
                verdict,
                "joining knot against what it reaches",
                words,
                source,
            ));
        }
    }
    findings
}
