//! The legs of a V do not spread too far.
//!
//! At 120° included each leg carries as much as hangs on the knot: 1 / (2 cos 60°) = 1.

use super::{Seen, finding};
use rig::findings::{RuleFinding, Verdict};
use rig::model::PartKind;

/// One finding a knot.
pub fn v_angle(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let rig = seen.model.rig;
    let widest = &seen.guidelines.v_angle_deg;
    let knots = rig.parts.iter().filter(|p| p.kind == PartKind::FocalKnot);
    let mut findings = Vec::new();
    for knot in knots {
        let Some(at) = knot.at.first() else { continue };
        let ways: Vec<(f64, f64)> = rig
            .parts
            .iter()
            .filter(|p| matches!(p.kind, PartKind::Sling | PartKind::CordLeg) && p.at.first() == Some(at))
            .filter_map(|leg| Some((rig.point(leg.at.first()?)?, rig.point(leg.at.get(1)?)?)))
            .map(|(low, high)| {
                (high.x.to_metres() - low.x.to_metres(), high.y.to_metres() - low.y.to_metres())
            })
            .collect();
        let pairs = ways.iter().enumerate().flat_map(|(n, a)| ways[n + 1..].iter().map(move |b| (a, b)));
        let opens = pairs.map(|(a, b)| {
            let cross = a.0 * b.1 - a.1 * b.0;
            libm::atan2(cross.abs(), a.0 * b.0 + a.1 * b.1).to_degrees()
        });
        // The outermost legs of three or more count.
        let Some(degrees) = opens.reduce(f64::max) else { continue };
        // An angle set to the limit itself must not fall over it by rounding.
        let verdict = if degrees <= widest.value + 1e-6 { Verdict::Holds } else { Verdict::FallsShort };
        findings.push(finding(
            "v_angle",
            verdict,
            &format!("V opens no wider than {}° (at 120° each leg carries the whole)", widest.value),
            format!("{} opens {degrees:.1}°", knot.label),
            &format!("{}°: {}; 120°: 1 / (2 cos 60°) = 1", widest.value, widest.source),
        ));
    }
    findings
}
