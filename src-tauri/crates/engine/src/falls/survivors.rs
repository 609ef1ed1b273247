//! What catches a load, with the most that pulls on each part.

use super::band::{Band, percentiles};
use super::setting::Setting;
use crate::case::Case;
use crate::margin;
use crate::statics::swinging::Chain;
use crate::statics::{Forces, Scene};
use crate::support::Model;
use rig::findings::{CaughtBy, Percentiles};

/// A part that bears less than this, N, catches nothing.
const BEARS: f64 = 5.0;

/// What hangs below the ropes, and they themselves, by the peak on the load; what holds their devices: the force at rest after the
/// loss, grown as the pull on the device is over that at rest; what swings by what pulled on it, and what that is tied to grown as
/// that. `chains`: the most that pulled on each chain of what swings, N, in rising order; none where it was not gone through.
pub fn survivors(
    model: &Model<'_>,
    setting: &Setting,
    case: &Case,
    band: &Band,
    chains: &[Vec<f64>],
) -> Vec<CaughtBy> {
    let (Ok(forces), Ok(scene)) = (&case.forces, &case.scene) else { return Vec::new() };
    let of = |rising: &[f64]| {
        let p = percentiles(rising, 1.0);
        [p.p10, p.p50, p.p90].map(|p| p.unwrap_or(0.0))
    };
    let at_rest =
        |rope: usize| scene.ropes.iter().position(|r| r.part == rope).map_or((0.0, 0.0), |n| forces.ropes[n]);
    let still: f64 = setting.strands.iter().map(|s| at_rest(s.rope).0).sum();
    let on_load = of(&band.peaks).map(|peak| peak / still.max(1.0));
    let rest = setting.strands.iter().map(|s| at_rest(s.rope).1).collect();
    let pulls: Vec<[f64; 3]> = setting.strands.iter().zip(&band.at_device).map(|(_, p)| of(p)).collect();
    let chains: Vec<[f64; 3]> = chains.iter().map(|own| of(own)).collect();
    let growing = Growing { model, setting, forces, scene, rest };
    let mut caught = Vec::new();
    for part in (0..model.parts()).filter(|p| case.outcome.path[*p]) {
        let own = &model.rig.parts[part];
        let force = forces.parts[part][1];
        let near =
            model.below_rope(part) || setting.strands.iter().any(|s| s.rope == part) || own.kind.is_edge();
        let newtons = if near {
            on_load.map(|grows| force * grows)
        } else {
            std::array::from_fn(|n| {
                let pulls: Vec<f64> = pulls.iter().map(|p| p[n]).collect();
                let swung: Vec<f64> = chains.iter().map(|c| c[n]).collect();
                growing.bears(part, &pulls, &swung)
            })
        };
        if newtons[2] < BEARS {
            continue;
        }
        caught.push(beside_its_strength(model, part, newtons));
    }
    ranked(caught)
}

/// A part with what pulls on it, N: p10, p50, p90.
pub(super) fn beside_its_strength(model: &Model<'_>, part: usize, newtons: [f64; 3]) -> CaughtBy {
    let own = &model.rig.parts[part];
    let [p10, p50, p90] = newtons.map(|newtons| Some(newtons / 1000.0));
    let strength = margin::strength(model.rig, own).map(|newtons| newtons / 1000.0);
    CaughtBy {
        id: own.id.clone(),
        label: own.label.clone(),
        peak_kn: Percentiles { p10, p50, p90 },
        strength_kn: strength,
        margin: strength.map(|kn| kn * 1000.0 / newtons[2]),
    }
}

/// The one with the least margin first.
pub(super) fn ranked(mut caught: Vec<CaughtBy>) -> Vec<CaughtBy> {
    let rank = |c: &CaughtBy| c.margin.unwrap_or(f64::INFINITY);
    caught.sort_by(|a, b| rank(a).total_cmp(&rank(b)));
    caught
}

struct Growing<'a, 'm> {
    model: &'a Model<'m>,
    setting: &'a Setting,
    forces: &'a Forces,
    scene: &'a Scene,
    /// What each strand pulls on its device at rest, N.
    rest: Vec<f64>,
}

impl Growing<'_, '_> {
    /// What pulls on a part when the strands pull so much on their devices, N.
    fn grown(&self, part: usize, pulls: &[f64]) -> f64 {
        let (mut grows, mut idle) = (0.0_f64, 0.0);
        for ((strand, peak), rest) in self.setting.strands.iter().zip(pulls).zip(&self.rest) {
            if strand.device.is_none_or(|device| !self.model.hangs_on(device, part)) {
                continue;
            }
            // A rope that carries nothing at rest brings all that it pulls.
            if *rest > BEARS { grows = grows.max(peak / rest) } else { idle += peak }
        }
        self.at_rest(part) * grows + idle
    }

    /// What pulls on a part at rest after the loss, N; of the legs of one cord any may bear all.
    fn at_rest(&self, part: usize) -> f64 {
        self.forces.parts[part][if self.scene.shares_a_cord(self.model, part) { 2 } else { 1 }]
    }

    /// What pulls on a part when the strands pull so much on their devices, and so much pulls on each chain of what swings, N.
    fn bears(&self, part: usize, pulls: &[f64], chains: &[f64]) -> f64 {
        let grown = self.grown(part, pulls);
        let Some(Ok(swings)) = &self.setting.swings else { return grown };
        let own = &self.model.rig.parts[part];
        let at = |point: usize| own.at.contains(&self.model.rig.points[point].id);
        let each = || swings.what.chains.iter().zip(chains);
        if let Some((_, pull)) = each().find(|(chain, _)| chain.parts.contains(&part)) {
            // How a cord shares between its legs hangs on friction, which the swing does not have: no less than all of it.
            return if self.scene.shares_a_cord(self.model, part) { pull.max(grown) } else { *pull };
        }
        let tied = |chain: &Chain| chain.ends.into_iter().chain(chain.within.iter().copied()).any(at);
        let still = self.at_rest(part);
        let by = each().filter(|(chain, _)| tied(chain)).map(|(chain, pull)| {
            let rest = self.at_rest(chain.parts[0]);
            // A chain that carries nothing at rest brings all that pulls on it.
            if rest > BEARS { still * pull / rest } else { still + pull }
        });
        by.fold(grown, f64::max)
    }
}
