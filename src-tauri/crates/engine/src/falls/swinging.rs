//! What holds a device swings after a loss: some runs of a fall once more, in the plane and with the mass of what swings
//! ([`drop::swing`](crate::drop::swing)), beside the same runs without it. What they show worse is added to the band.

use super::parameter::At;
use super::setting::{Setting, Strand};
use super::{band, shared};
use crate::drop::Limits;
use crate::drop::swing::{self, Node, Rope, Swing, Tie};
use crate::statics::RopeRun;
use crate::statics::swinging::Swinging;

/// s: what the runs of a band are stepped by in the plane.
const STEP: f64 = 2e-4;
/// Nothing is stiffer than this, N/m: a link of metal is not told from one that gives by 1 mm for each kN.
const STIFFEST: f64 = 1e6;
/// Of a band’s runs, one in so many once more; at most so many.
const ONE_IN: u32 = 250;
const MOST: u32 = 16;

/// What swings in a fall.
#[derive(Clone, Debug, PartialEq)]
pub struct Swings {
    /// Points and ties of the rig.
    pub what: Swinging,
    /// Mass of all that swings, kg.
    pub mass: At,
    /// For each strand the point its device is at, the one it comes from, and rope that comes loose besides, m.
    pub ropes: Vec<(usize, usize, f64)>,
}

/// What swinging makes worse.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sway {
    /// Runs that were gone through.
    pub runs: u32,
    /// How much deeper the worst of them fell, m; 0: none did.
    pub deeper: f64,
    /// How much harder the worst of them pulled on the load, as a multiple; 1: none did.
    pub harder: f64,
    /// For each chain the most that pulled on it in each run, N, and what each rope pulled on its device in the run without mass, N.
    pub pulls: Vec<(Vec<f64>, Vec<f64>)>,
}

/// The strand’s device, and where its rope comes from, by points of the rig.
pub fn ends(run: &RopeRun) -> Option<(usize, usize)> {
    let [.., before, last] = run.path.as_slice() else { return None };
    Some((*last, *before))
}

/// Goes through some runs of a band, the first with every value in the middle.
///
/// # Errors
/// In words: why it could not be stepped through.
pub fn sway(setting: &Setting, swings: &Swings, runs: super::Runs) -> Result<Sway, String> {
    let count = (runs.count / ONE_IN).clamp(1, MOST);
    let one = |n: u32| {
        let (values, acts) = match n {
            0 => (setting.parameters.likely(), true),
            _ => {
                let values = setting.parameters.drawn(runs.seed, n);
                let acts = values[values.len() - 1] >= setting.never_acts;
                (values, acts)
            }
        };
        let plain = band::run(&setting.drops(&values, acts), band::STEP).map_err(|e| e.to_string())?;
        let swung = swing::fall(&swing_of(setting, swings, &values, acts), band::LIMITS, STEP)
            .map_err(|e| e.to_string())?;
        if plain.fall.is_finite() && swung.stop.end != crate::drop::End::Stopped {
            return Err("in a run that would stop without it, it does not stop".to_string());
        }
        Ok((plain, swung))
    };
    let mut sway = Sway { harder: 1.0, runs: count, ..Sway::default() };
    for (plain, swung) in shared::each(count, 1, one)? {
        if plain.fall.is_finite() {
            sway.deeper = sway.deeper.max(swung.stop.fall - plain.fall);
            sway.harder = sway.harder.max(swung.stop.peak / plain.peak.max(1.0));
            sway.pulls.push((swung.ties, plain.at_device.to_vec()));
        }
    }
    Ok(sway)
}

/// The fall of one run in the plane.
pub fn swing_of(setting: &Setting, swings: &Swings, values: &[f64], acts: bool) -> Swing {
    let what = &swings.what;
    let mass = values[swings.mass] / what.points.len().max(1) as f64;
    let at = |point: usize| match what.points.iter().position(|p| *p == point) {
        Some(node) => swing::At::Node(node),
        None => swing::At::Ground(what.places[point]),
    };
    let damping = values[setting.damping];
    let ties = what.chains.iter().map(|chain| {
        let stiffness = chain.stiffness.min(STIFFEST);
        // Damped like a rope, but no more than lets it swing at all: what metal and knots take is not known.
        let critical = 2.0 * libm::sqrt(mass / stiffness);
        Tie { ends: chain.ends.map(at), natural: chain.natural, stiffness, damping: damping.min(critical) }
    });
    // What comes loose by the swing is not slack from the beginning here.
    let strands = setting.strands.iter().zip(&swings.ropes);
    let taut: Vec<Strand> = strands.map(|(s, (_, _, spare))| Strand { loose: *spare, ..s.clone() }).collect();
    let drops = Setting { strands: taut, ..setting.clone() }.drops(values, acts);
    let ropes = drops.into_iter().zip(&swings.ropes).map(|(drop, (device, from, _))| Rope {
        drop,
        device: at(*device),
        from: what.places[*from],
    });
    Swing {
        nodes: what.points.iter().map(|p| Node { place: what.places[*p], mass }).collect(),
        ties: ties.collect(),
        ropes: ropes.collect(),
    }
}

/// The limits of a run, for another solver.
pub fn limits() -> Limits {
    band::LIMITS
}
