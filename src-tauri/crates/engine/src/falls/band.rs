//! Many runs of one fall, and what they come to.

use super::setting::Setting;
use super::{Runs, WORTH_A_THREAD, shared};
use crate::drop::{Drop, End, Limits, OutOfRange, exact, quick, stepped};
use rig::findings::Percentiles;

/// s: a band's percentiles are known to a hundredth of a metre at best.
pub const STEP: f64 = 5e-3;
/// s: the longest step where each is as long as its error allows.
const LONGEST: f64 = 0.05;
/// Beyond this it is not stopped.
pub const LIMITS: Limits = Limits { fall: 100.0, time: 30.0 };

/// s between two pictures of a motion.
pub const PICTURE: f64 = 0.02;

/// One run.
#[derive(Clone, Copy, Debug)]
pub struct Run {
    /// How far, m; infinite where nothing stopped it.
    pub fall: f64,
    /// The most on the load, N.
    pub peak: f64,
    /// The most on each rope's device, N.
    pub at_device: [f64; stepped::MOST_ROPES],
    /// When it stood, s.
    pub time: f64,
}

/// What many runs come to, each list in rising order.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// How far, m; infinite where nothing stopped it.
    pub falls: Vec<f64>,
    /// The most on the load, N.
    pub peaks: Vec<f64>,
    /// The most on each rope's device, N.
    pub at_device: Vec<Vec<f64>>,
    /// When it stood, s.
    pub times: Vec<f64>,
    /// Share of the runs in which nothing stopped it.
    pub never: f64,
}

/// One run from its falls; a single rope that runs over nothing by its exact solution.
///
/// # Errors
/// A value outside its range.
pub fn run(drops: &[Drop], step: f64) -> Result<Run, OutOfRange> {
    let mut at_device = [0.0; stepped::MOST_ROPES];
    let stop = match drops {
        [one] if one.edge.is_none() => {
            let stop = exact::fall(one, LIMITS)?;
            at_device[0] = stop.at_device;
            stop
        }
        several => {
            let (stop, pulled) = quick::together(several, LIMITS, longest(several, step)?)?;
            for (into, own) in at_device.iter_mut().zip(pulled) {
                *into = own.at_device;
            }
            stop
        }
    };
    let stopped = stop.end == End::Stopped;
    let fall = if stopped { stop.fall } else { f64::INFINITY };
    Ok(Run { fall, peak: stop.peak, at_device, time: if stopped { stop.time } else { f64::INFINITY } })
}

/// One run of a fall with these values.
fn run_of(setting: &Setting, values: &[f64], acts: bool) -> Result<Run, OutOfRange> {
    match &setting.within {
        Some(within) => within.run(setting, values),
        None => run(&setting.drops(values, acts), STEP),
    }
}

/// The step that these ropes need, at most `most`, s: half of what rope over an edge takes to follow, a quarter of a swing's radian.
///
/// # Errors
/// They are so stiff, or so light a load hangs on them, that it would be smaller than 20 µs.
fn fine(drops: &[Drop], most: f64) -> Result<f64, OutOfRange> {
    let mass = drops[0].mass;
    let stiff: f64 =
        drops.iter().map(|d| d.stiffness / d.below.min(d.edge.map_or(d.below, |edge| edge.above))).sum();
    let damped: f64 = drops.iter().map(|d| d.damping * d.stiffness / d.below).sum();
    let follows = drops.iter().filter(|d| d.edge.is_some()).map(|d| d.damping).fold(f64::INFINITY, f64::min);
    let step = most.min(0.5 * follows).min(0.5 * mass / damped).min(0.25 * libm::sqrt(mass / stiff));
    if step >= 20e-6 {
        return Ok(step);
    }
    Err(OutOfRange {
        what: "the stiffness of the ropes over the load, 1/s²,",
        value: stiff / mass,
        range: "so stiff a fall is not stepped through",
    })
}

/// The longest step of these ropes, s, where each is as long as its error allows: a quarter of a swing's radian.
///
/// # Errors
/// As [`fine`].
fn longest(drops: &[Drop], most: f64) -> Result<f64, OutOfRange> {
    fine(drops, most)?;
    let stiff: f64 = drops.iter().map(Drop::below_k).sum();
    Ok(LONGEST.min(0.25 * libm::sqrt(drops[0].mass / stiff)))
}

/// The fall with these values, m; infinite where nothing stops it.
///
/// # Errors
/// A value outside its range.
pub fn fall_at(setting: &Setting, values: &[f64]) -> Result<f64, OutOfRange> {
    run_of(setting, values, true).map(|run| run.fall)
}

/// The run with every value in the middle, as it goes: s since the loss, m fallen, kN on the load; some fifty a second, and its
/// end. Nothing where a value is outside its range.
pub fn motion(setting: &Setting) -> Vec<[f64; 3]> {
    let mut motion: Vec<[f64; 3]> = Vec::new();
    let mut last = [0.0; 3];
    let drops = setting.drops(&setting.parameters.likely(), true);
    let Ok(step) = fine(&drops, STEP) else { return Vec::new() };
    let ended = stepped::watched(&drops, LIMITS, step, &mut |time, fallen, newtons| {
        last = [time, fallen, newtons / 1000.0];
        if motion.last().is_none_or(|before| time - before[0] >= PICTURE) {
            motion.push(last);
        }
    });
    if motion.last().is_some_and(|told| *told != last) {
        motion.push(last);
    }
    if ended.is_ok() { motion } else { Vec::new() }
}

/// All runs.
///
/// # Errors
/// A value outside its range.
pub fn band(setting: &Setting, runs: Runs) -> Result<Band, OutOfRange> {
    Ok(Band::of(&many(setting, runs)?, setting.strands.len()))
}

/// Each run, in their order.
///
/// # Errors
/// A value outside its range.
pub fn many(setting: &Setting, runs: Runs) -> Result<Vec<Run>, OutOfRange> {
    let one = |n: u32| {
        let (values, acts) = setting.drawn(runs, n);
        run_of(setting, &values, acts)
    };
    shared::each(runs.count, WORTH_A_THREAD, one)
}

impl Band {
    /// Of some runs, each with so many ropes.
    pub fn of(all: &[Run], ropes: usize) -> Band {
        let rising = |of: &dyn Fn(&Run) -> f64| risen(all.iter().map(of).collect());
        let never = all.iter().filter(|run| run.fall.is_infinite()).count() as f64;
        Band {
            falls: rising(&|run| run.fall),
            peaks: rising(&|run| run.peak),
            at_device: (0..ropes).map(|n| rising(&move |run: &Run| run.at_device[n])).collect(),
            times: rising(&|run| run.time),
            never: never / all.len().max(1) as f64,
        }
    }

    /// Share of the runs that fall at least so far.
    pub fn reaches(&self, metres: f64) -> f64 {
        let short = self.falls.partition_point(|fall| *fall < metres);
        (self.falls.len() - short) as f64 / self.falls.len().max(1) as f64
    }
}

/// A list in rising order.
pub fn risen(mut list: Vec<f64>) -> Vec<f64> {
    list.sort_by(f64::total_cmp);
    list
}

/// The tenth, fiftieth and ninetieth of a hundred of a list in rising order, times `scale`.
pub fn percentiles(rising: &[f64], scale: f64) -> Percentiles {
    let at = |share: f64| quantile(rising, share).map(|value| value * scale);
    Percentiles { p10: at(0.1), p50: at(0.5), p90: at(0.9) }
}

/// Between the two nearest, in the straight line (type 7 of Hyndman and Fan 1996); `None` where one of them is unbounded.
pub fn quantile(rising: &[f64], share: f64) -> Option<f64> {
    let place = share * rising.len().checked_sub(1)? as f64;
    let below = libm::floor(place) as usize;
    let (low, high) = (rising[below], rising[(below + 1).min(rising.len() - 1)]);
    let part = place - below as f64;
    // Nothing of an unbounded neighbour that does not count.
    let value = if part > 0.0 { low + (high - low) * part } else { low };
    value.is_finite().then_some(value)
}
