//! Connectors are pulled along their major axis by two things, gate locked.

use super::{Seen, finding};
use crate::margin;
use rig::findings::{RuleFinding, Verdict};
use rig::model::{Loading, Part, PartKind};

/// Pulls that part by less than this count as one direction, degrees: what a shackle of rope takes up.
const ONE_WAY: f64 = 15.0;

/// One finding for those that are not, one when all are.
pub fn connector_loading(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let connectors: Vec<&Part> = super::there(seen, &[PartKind::Connector]).collect();
    if connectors.is_empty() {
        return Vec::new();
    }
    let wrong: Vec<String> = connectors
        .iter()
        .filter_map(|part| {
            let loading = match part.loading {
                None | Some(Loading::Major) if ways(seen, part) > 2 => Loading::ThreeWay,
                None | Some(Loading::Major) => return None,
                Some(other) => other,
            };
            let rated = part.strength.as_ref().and_then(|s| s.loaded(Some(loading)));
            let rated = rated.map_or_else(
                || "unrated for it".to_string(),
                |(force, _)| format!("rated {} for it", margin::kilonewtons(force.to_newtons())),
            );
            Some(format!("{} is loaded {}, {rated}", part.label, loading.words()))
        })
        .collect();
    let (verdict, found) = if wrong.is_empty() {
        (Verdict::Holds, format!("{} connectors, each between two things", connectors.len()))
    } else {
        (Verdict::FallsShort, wrong.join("; "))
    };
    let source = "ratings are for the major axis, gate locked (EN 362:2004, second-hand); pulls less than 15° apart count as one (assumed)";
    vec![finding("connector_loading", verdict, "connectors loaded along their axis", found, source)]
}

/// From how many directions a connector at one point is pulled; one between two points lies in line.
fn ways(seen: &Seen<'_>, part: &Part) -> usize {
    let rig = seen.model.rig;
    let [at] = part.at.as_slice() else { return 2 };
    let place = |id: &String| rig.point(id).map(|p| (p.x.to_metres(), p.y.to_metres()));
    let Some(here) = place(at) else { return 2 };
    let there = rig.parts.iter().zip(&seen.model.absent).filter(|(_, absent)| !**absent).map(|(p, _)| p);
    let ties = there.filter(|p| p.at.len() == 2 && p.at.contains(at)).flat_map(|p| &p.at);
    let strands = rig
        .ropes
        .iter()
        .flat_map(|rope| rope.path.windows(2).filter(|ends| ends.contains(at)).flatten().collect::<Vec<_>>());
    let mut seen: Vec<f64> = Vec::new();
    for (x, y) in ties.chain(strands).filter(|id| *id != at).filter_map(place) {
        let (dx, dy) = (x - here.0, y - here.1);
        if libm::hypot(dx, dy) < 1e-9 {
            continue;
        }
        let way = libm::atan2(dy, dx).to_degrees();
        let apart = |a: f64, b: f64| {
            let d = (a - b).abs();
            d.min(360.0 - d)
        };
        if seen.iter().all(|known| apart(*known, way) > ONE_WAY) {
            seen.push(way);
        }
    }
    seen.len()
}
