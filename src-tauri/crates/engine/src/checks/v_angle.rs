//! The legs of a V do not spread too far.
//!
//! At 120° included each leg carries as much as hangs on the knot: 1 / (2 cos 60°) = 1.

use super::{Seen, finding};
use rig::findings::{RuleFinding, Verdict};
use rig::model::PartKind;

/// Widest included angle, degrees.
const WIDEST: f64 = 90.0;

/// One finding a knot.
pub fn v_angle(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let rig = seen.model.rig;
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
        let [a, b] = ways.as_slice() else { continue };
        let cross = a.0 * b.1 - a.1 * b.0;
        let degrees = libm::atan2(cross.abs(), a.0 * b.0 + a.1 * b.1).to_degrees();
        // An angle set to the limit itself must not fall over it by rounding.
        let verdict = if degrees <= WIDEST + 1e-6 { Verdict::Holds } else { Verdict::FallsShort };
        findings.push(finding(
            "v_angle",
            verdict,
            "V opens no wider than 90° (at 120° each leg carries the whole)",
            format!("{} opens {degrees:.1}°", knot.label),
            "90°: common practice, no source; 120°: 1 / (2 cos 60°) = 1",
        ));
    }
    findings
}
