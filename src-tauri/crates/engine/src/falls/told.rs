//! A fall as it is told: band, what catches it, what it hits, what moves it most.

use super::band::{self, Band, percentiles};
use super::of_rig::Instead;
use super::setting::{Pull, Setting};
use super::{Runs, clearance};
use crate::case::Case;
use crate::margin;
use crate::support::Model;
use rig::findings::{CaughtBy, FallAt, FallFinding, FallOutcome, FallParameter, Percentiles};

/// Heights from which the fall is reckoned beside the rig's own.
const HEIGHTS: u32 = 12;
/// Of the runs, so many for each height.
const SHARE_OF_RUNS: u32 = 10;
/// The least rope below that a height is reckoned with, m.
const SHORTEST: f64 = 1.0;
/// A part that bears less than this, N, catches nothing.
const BEARS: f64 = 5.0;

/// What becomes of the load where no band is reckoned.
pub fn instead(model: &Model<'_>, (outcome, words): &Instead, runs: Runs) -> FallFinding {
    let (clearance_m, below) = clearance(model, 0.0);
    let words = match outcome {
        FallOutcome::NotComputed => format!("not checked: {words}"),
        _ => words.clone(),
    };
    FallFinding {
        of: Vec::new(),
        outcome: *outcome,
        words,
        fall_m: None,
        peak_force_kn: None,
        stop_s: None,
        never_stops: None,
        clearance_m,
        below,
        reaches: None,
        free_length_m: None,
        survivors: Vec::new(),
        parameters: Vec::new(),
        heights: Vec::new(),
        reaches_between_m: Vec::new(),
        motion: Vec::new(),
        runs: 0,
        seed: runs.seed,
    }
}

/// The band of a fall, with `whole` from all the heights of the lower too, and how it goes.
pub fn band(model: &Model<'_>, setting: &Setting, case: &Case, runs: Runs, whole: bool) -> FallFinding {
    let band = match band::band(setting, runs) {
        Ok(band) => band,
        Err(wrong) => return instead(model, &(FallOutcome::NotComputed, wrong.to_string()), runs),
    };
    let mut told = instead(model, &(FallOutcome::Stops, String::new()), runs);
    let heights = if whole { heights(model, setting, runs) } else { Vec::new() };
    told.fall_m = Some(percentiles(&band.falls, 1.0));
    told.peak_force_kn = Some(percentiles(&band.peaks, 1e-3));
    told.stop_s = Some(percentiles(&band.times, 1.0));
    told.never_stops = Some(band.never);
    told.reaches = Some(band.reaches(told.clearance_m));
    told.free_length_m = Some(setting.free_length());
    told.survivors = survivors(model, setting, case, &band);
    told.parameters = parameters(setting);
    told.reaches_between_m = stretches(&heights);
    told.heights = heights;
    told.motion = if whole { band::motion(setting) } else { Vec::new() };
    told.runs = runs.count;
    told.outcome = if band.never > 0.0 { FallOutcome::MayNotStop } else { FallOutcome::Stops };
    told.words = words(&told);
    told
}

/// A figure in words; what has no bound as that.
fn figure(value: Option<f64>, digits: usize) -> String {
    value.map_or_else(|| "does not stop".into(), |value| format!("{value:.digits$}"))
}

fn words(told: &FallFinding) -> String {
    let (Some(fall), Some(peak)) = (told.fall_m, told.peak_force_kn) else { return String::new() };
    let mut words = match (fall.p10, fall.p50, fall.p90) {
        (Some(p10), Some(p50), Some(p90)) => {
            format!("drops {p10:.2} – {p50:.2} – {p90:.2} m (p10 – p50 – p90)")
        }
        _ => format!(
            "drops {} – {} – {} m (p10 – p50 – p90)",
            figure(fall.p10, 2),
            figure(fall.p50, 2),
            figure(fall.p90, 2)
        ),
    };
    if let (Some(p50), Some(p90)) = (peak.p50, peak.p90) {
        words.push_str(&format!(", peak {p50:.2} – {p90:.2} kN (p50 – p90)"));
    }
    let percent = |share: f64| format!("{:.0} %", libm::ceil(share * 100.0));
    if let Some(never) = told.never_stops.filter(|never| *never > 0.0) {
        words.push_str(&format!("; nothing stops it in {} of the runs", percent(never)));
    }
    match told.reaches.filter(|reaches| *reaches > 0.0) {
        Some(reaches) => words.push_str(&format!(
            "; reaches the {}, {:.1} m below, in {} of the runs",
            told.below,
            told.clearance_m,
            percent(reaches)
        )),
        None => words.push_str(&format!("; the {} is {:.1} m below", told.below, told.clearance_m)),
    }
    words
}

/// What catches it, with the most that pulls on each. What hangs below the ropes, and they themselves, by the peak on the load;
/// what holds their devices: the force at rest after the loss, grown as the pull on the device is over that at rest.
fn survivors(model: &Model<'_>, setting: &Setting, case: &Case, band: &Band) -> Vec<CaughtBy> {
    let (Ok(forces), Ok(scene)) = (&case.forces, &case.scene) else { return Vec::new() };
    let of = |rising: &[f64]| {
        let p = percentiles(rising, 1.0);
        [p.p10, p.p50, p.p90].map(|p| p.unwrap_or(0.0))
    };
    let at_rest =
        |rope: usize| scene.ropes.iter().position(|r| r.part == rope).map_or((0.0, 0.0), |n| forces.ropes[n]);
    let still: f64 = setting.strands.iter().map(|s| at_rest(s.rope).0).sum();
    let on_load = of(&band.peaks).map(|peak| peak / still.max(1.0));
    let pulls: Vec<([f64; 3], f64)> =
        setting.strands.iter().zip(&band.at_device).map(|(s, p)| (of(p), at_rest(s.rope).1)).collect();
    let mut caught = Vec::new();
    for part in (0..model.parts()).filter(|p| case.outcome.path[*p]) {
        let own = &model.rig.parts[part];
        let force = forces.parts[part][1];
        let near =
            model.below_rope(part) || setting.strands.iter().any(|s| s.rope == part) || own.kind.is_edge();
        let newtons = if near {
            on_load.map(|grows| force * grows)
        } else {
            let mut grows = [0.0_f64; 3];
            let mut idle = [0.0; 3];
            for (strand, (peaks, rest)) in setting.strands.iter().zip(&pulls) {
                if strand.device.is_none_or(|device| !model.hangs_on(device, part)) {
                    continue;
                }
                for n in 0..3 {
                    // A rope that carries nothing at rest brings all that it pulls.
                    if *rest > BEARS { grows[n] = grows[n].max(peaks[n] / rest) } else { idle[n] += peaks[n] }
                }
            }
            std::array::from_fn(|n| force * grows[n] + idle[n])
        };
        if newtons[2] < BEARS {
            continue;
        }
        let [p10, p50, p90] = newtons.map(|newtons| Some(newtons / 1000.0));
        let strength = margin::strength(model.rig, own).map(|newtons| newtons / 1000.0);
        caught.push(CaughtBy {
            id: own.id.clone(),
            label: own.label.clone(),
            peak_kn: Percentiles { p10, p50, p90 },
            strength_kn: strength,
            margin: strength.map(|kn| kn * 1000.0 / newtons[2]),
        });
    }
    let rank = |c: &CaughtBy| c.margin.unwrap_or(f64::INFINITY);
    caught.sort_by(|a, b| rank(a).total_cmp(&rank(b)));
    caught
}

/// Each parameter with what it does to the fall alone, that which moves it most first.
fn parameters(setting: &Setting) -> Vec<FallParameter> {
    let likely = setting.parameters.likely();
    let fall = |n: usize, value: f64| {
        let mut values = likely.clone();
        values[n] = value;
        band::fall_at(setting, &values).ok().filter(|fall| fall.is_finite())
    };
    let all = setting.parameters.0.iter().enumerate();
    let mut told: Vec<FallParameter> = all
        .map(|(n, own)| {
            let ends = [fall(n, own.low), fall(n, own.high)];
            own.told(if own.low == own.high { [ends[0], ends[0]] } else { ends })
        })
        .collect();
    // What ends the catch altogether moves it most.
    let moves = |p: &FallParameter| match p.moves_m {
        [Some(a), Some(b)] => (a - b).abs(),
        [None, None] => 0.0,
        _ => f64::INFINITY,
    };
    told.sort_by(|a, b| moves(b).total_cmp(&moves(a)));
    told
}

/// The fall from heights of the whole lower, from the top down.
fn heights(model: &Model<'_>, setting: &Setting, runs: Runs) -> Vec<FallAt> {
    let shortest = setting.strands.iter().map(|s| s.below).fold(f64::INFINITY, f64::min);
    if setting.pull != Pull::Free || !(shortest.is_finite() && setting.above_ground > 0.0) {
        return Vec::new();
    }
    let top = setting.above_ground + (shortest - SHORTEST).max(0.0);
    let few = Runs { count: (runs.count / SHARE_OF_RUNS).max(1), ..runs };
    let at = |n: u32| {
        let above_ground_m = top * f64::from(HEIGHTS - n) / f64::from(HEIGHTS);
        let higher = above_ground_m - setting.above_ground;
        let band = band::band(&setting.raised(higher), few).ok()?;
        let (clearance_m, _) = clearance(model, higher);
        let reaches = band.reaches(clearance_m);
        Some(FallAt { above_ground_m, clearance_m, fall_m: percentiles(&band.falls, 1.0), reaches })
    };
    (0..HEIGHTS).filter_map(at).collect()
}

/// Stretches in which the ninetieth of a hundred falls reaches what lies below, from the ground up; ends between two heights by
/// the straight line.
fn stretches(heights: &[FallAt]) -> Vec<[f64; 2]> {
    let over = |at: &FallAt| at.fall_m.p90.map_or(f64::INFINITY, |fall| fall - at.clearance_m);
    let mut found: Vec<[f64; 2]> = Vec::new();
    // From the ground up: there it always reaches it.
    let (mut from, mut below) = (heights.last().map(|_| 0.0), (0.0, f64::INFINITY));
    for at in heights.iter().rev() {
        let (height, now) = (at.above_ground_m, over(at));
        let crossing = |(low, was): (f64, f64)| {
            if was.is_finite() && now.is_finite() {
                low + (height - low) * was.abs() / (was.abs() + now.abs()).max(1e-12)
            } else if now.is_finite() {
                // Above the last height that has no bound, or the ground: where the fall equals the way.
                (at.above_ground_m - at.clearance_m + at.fall_m.p90.unwrap_or(0.0)).clamp(low, height)
            } else {
                low
            }
        };
        match from {
            Some(start) if now < 0.0 => {
                found.push([start, crossing(below)]);
                from = None;
            }
            None if now >= 0.0 => from = Some(crossing(below)),
            _ => {}
        }
        below = (height, now);
    }
    if let (Some(start), Some(top)) = (from, heights.first()) {
        found.push([start, top.above_ground_m]);
    }
    found
}
