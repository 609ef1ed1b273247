//! What holds a device swings after a loss: some of the runs of such a fall are gone through once more, in the plane and with the mass
//! of what swings ([`drop::swing`](crate::drop::swing)). The others are taken to change as these do: what is at a share of a band, the
//! hundredth deepest fall or the median pull, moves by as much as what is at the same share of the runs that were gone through,
//! between without the mass and with it.

use super::band::{self, Band, Run, quantile, risen};
use super::parameter::At;
use super::setting::{Setting, Strand};
use super::{Runs, shared};
use crate::drop::swing::{self, Node, Rope, Swing, Swung, Tie};
use crate::drop::{End, Limits, OutOfRange};
use crate::statics::RopeRun;
use crate::statics::swinging::Swinging;

/// s: what a run is stepped by that the quick solver does not close.
const STEP: f64 = 1e-4;
/// So far the sum of energy may be off 1 in a run.
const CLOSED: f64 = 2e-3;
/// Nothing is stiffer than this, N/m: a link of metal is not told from one that gives by 1 mm for each kN.
const STIFFEST: f64 = 1e6;
/// Fewer runs than this are not worth a thread of their own.
const WORTH_A_THREAD: usize = 8;

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

/// The strand’s device, and where its rope comes from, by points of the rig.
pub fn ends(run: &RopeRun) -> Option<(usize, usize)> {
    let [.., before, last] = run.path.as_slice() else { return None };
    Some((*last, *before))
}

/// Of a band’s runs, one in so many is gone through, by how many points swing: about a tenth of a second of one core for a thousand.
fn one_in(swings: &Swings) -> u32 {
    match swings.what.points.len() {
        0..=1 => 4,
        2 => 8,
        _ => 16,
    }
}

/// What swinging changes.
#[derive(Clone, Debug, PartialEq)]
pub struct Sway {
    /// Runs that were gone through.
    pub runs: u32,
    /// These without the mass, and with it.
    without: Band,
    with: Band,
    /// For each chain the most that pulled on it, N, in rising order.
    pub chains: Vec<Vec<f64>>,
}

/// Goes through some runs of a band; `plain`: all of it without the mass.
///
/// # Errors
/// A value outside its range; what swings is so stiff that it is not stepped through.
pub fn sway(setting: &Setting, swings: &Swings, runs: Runs, plain: &[Run]) -> Result<Sway, OutOfRange> {
    let every = one_in(swings);
    let count = runs.count.div_ceil(every);
    let one = |n: u32| {
        let (values, acts) = setting.drawn(runs, n * every);
        run(setting, swings, &values, acts)
    };
    let all = shared::each(count, WORTH_A_THREAD, one)?;
    let chain = |n: usize| risen(all.iter().map(|(_, ties)| ties[n]).collect());
    let chains = (0..swings.what.chains.len()).map(chain).collect();
    let with: Vec<Run> = all.into_iter().map(|(run, _)| run).collect();
    let without: Vec<Run> = plain.iter().step_by(every as usize).copied().collect();
    let [without, with] = [without, with].map(|runs| Band::of(&runs, setting.strands.len()));
    Ok(Sway { runs: count, without, with, chains })
}

impl Sway {
    /// What becomes of a band that was reckoned without the mass.
    pub fn band(&self, band: &Band) -> Band {
        let (was, is) = (&self.without, &self.with);
        let falls = moved(&band.falls, &was.falls, &is.falls);
        let never = falls.iter().filter(|fall| fall.is_infinite()).count() as f64;
        let devices = band.at_device.iter().zip(was.at_device.iter().zip(&is.at_device));
        Band {
            never: never / falls.len().max(1) as f64,
            peaks: moved(&band.peaks, &was.peaks, &is.peaks),
            at_device: devices.map(|(all, (was, is))| moved(all, was, is)).collect(),
            times: moved(&band.times, &was.times, &is.times),
            falls,
        }
    }
}

/// A list in rising order, each moved by what lies between two others at the same share of them; what has no bound in the second
/// has none.
fn moved(all: &[f64], was: &[f64], is: &[f64]) -> Vec<f64> {
    let last = all.len().max(2) - 1;
    let one = |(n, own): (usize, &f64)| {
        let share = n as f64 / last as f64;
        let Some(is) = quantile(is, share) else { return f64::INFINITY };
        match quantile(was, share) {
            Some(was) => (own + is - was).max(0.0),
            None => is,
        }
    };
    risen(all.iter().enumerate().map(one).collect())
}

/// One run, and the most that pulled on each chain in it, N.
///
/// # Errors
/// As [`sway`].
pub fn run(
    setting: &Setting,
    swings: &Swings,
    values: &[f64],
    acts: bool,
) -> Result<(Run, Vec<f64>), OutOfRange> {
    let swung = gone_through(&swing_of(setting, swings, values, acts))?;
    let stopped = swung.stop.end == End::Stopped;
    let run = Run {
        fall: if stopped { swung.stop.fall } else { f64::INFINITY },
        peak: swung.stop.peak,
        at_device: std::array::from_fn(|n| swung.devices.get(n).copied().unwrap_or(0.0)),
        time: if stopped { swung.stop.time } else { f64::INFINITY },
    };
    Ok((run, swung.ties))
}

/// The run with every value in the middle, as it goes: as [`band::motion`], with what swings.
pub fn motion(setting: &Setting, swings: &Swings) -> Vec<[f64; 3]> {
    let swing = swing_of(setting, swings, &setting.parameters.likely(), true);
    let mut motion = Vec::new();
    let ended = swing::watched(&swing, band::LIMITS, band::PICTURE, &mut |time, fallen, newtons| {
        motion.push([time, fallen, newtons / 1000.0]);
    });
    if ended.is_ok() { motion } else { Vec::new() }
}

/// By the quick solver; a run that it does not end, or whose energy it does not close, by small even steps.
fn gone_through(swing: &Swing) -> Result<Swung, OutOfRange> {
    match swing::quick(swing, band::LIMITS) {
        Ok(swung) if (swung.balance - 1.0).abs() <= CLOSED => Ok(swung),
        _ => swing::fall(swing, band::LIMITS, STEP),
    }
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
