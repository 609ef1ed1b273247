//! A fall as it is told: band, what catches it, what it hits, what moves it most.

use super::band::{self, Band, percentiles};
use super::of_rig::{DAMPING, Instead, LIP};
use super::setting::{Pull, Setting};
use super::survivors::survivors;
use super::swinging::{self, Sway, Swings};
use super::{FIRST, Runs, clearance, reach, within};
use crate::case::Case;
use crate::drop::OutOfRange;
use crate::support::Model;
use rig::findings::{FallAt, FallFinding, FallOutcome, FallParameter, SWING_NOT_RECKONED};

/// Heights from which the fall is reckoned beside the rig's own.
const HEIGHTS: u32 = 12;
/// Of the runs, so many for each height.
const SHARE_OF_RUNS: u32 = 10;
/// The least rope below that a height is reckoned with, m.
const SHORTEST: f64 = 1.0;

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
        bare_edge: false,
        team_lets_go: false,
        who: String::new(),
        taken: Vec::new(),
        swing: String::new(),
        runs: 0,
        seed: runs.seed,
    }
}

/// The band of a fall, and what swinging changes in it.
pub fn band(model: &Model<'_>, setting: &Setting, case: &Case, runs: Runs) -> (FallFinding, Option<Sway>) {
    let not_computed =
        |wrong: &OutOfRange| (instead(model, &(FallOutcome::NotComputed, wrong.to_string()), runs), None);
    let plain = match band::many(setting, runs) {
        Ok(runs) => runs,
        Err(wrong) => return not_computed(&wrong),
    };
    let mut told = instead(model, &(FallOutcome::Stops, String::new()), runs);
    let swings = swings(setting, runs, &mut told);
    let sway = match swings.map(|swings| swinging::sway(setting, swings, runs, &plain)) {
        None => None,
        Some(Ok(sway)) => Some(sway),
        Some(Err(wrong)) => return not_computed(&wrong),
    };
    let without = Band::of(&plain, setting.strands.len());
    let band = sway.as_ref().map_or_else(|| without.clone(), |sway| sway.band(&without));
    if let Some(sway) = &sway {
        told.swing = swung(sway, [&without, &band], runs);
    }
    told.fall_m = Some(percentiles(&band.falls, 1.0));
    told.peak_force_kn = Some(percentiles(&band.peaks, 1e-3));
    told.stop_s = Some(percentiles(&band.times, 1.0));
    told.never_stops = Some(band.never);
    told.reaches = Some(band.reaches(told.clearance_m));
    told.free_length_m = Some(setting.free_length());
    told.survivors = match &setting.within {
        Some(within) => {
            let peaks = percentiles(&band.peaks, 1.0);
            let peaks = [peaks.p10, peaks.p50, peaks.p90].map(|peak| peak.unwrap_or(0.0));
            within::survivors(model, setting, within, case, peaks)
        }
        None => {
            let chains = sway.as_ref().map_or(&[][..], |sway| &sway.chains);
            survivors(model, setting, case, &band, chains)
        }
    };
    told.parameters = parameters(setting);
    // On a tether no damping is taken: that is no range.
    told.parameters.retain(|own| setting.within.is_none() || own.id != DAMPING);
    told.runs = runs.count;
    told.outcome = if band.never > 0.0 { FallOutcome::MayNotStop } else { FallOutcome::Stops };
    (told.bare_edge, told.team_lets_go) = (setting.bare_edge, setting.team_lets_go);
    told.who = setting.within.as_ref().map_or_else(String::new, |within| within.label.clone());
    told.taken = taken(model, setting, case);
    told.words = words(&told);
    (told, sway)
}

/// How a fall of the load goes, and how far it would from all the heights of the lower.
pub fn whole(model: &Model<'_>, setting: &Setting, sway: Option<&Sway>, runs: Runs, told: &mut FallFinding) {
    if setting.within.is_some() || told.fall_m.is_none() {
        return;
    }
    let heights = heights(model, setting, sway, runs);
    told.reaches_between_m = reach::stretches(&surfaces(model), &heights);
    told.heights = heights;
    told.motion = match &setting.swings {
        Some(Ok(swings)) if sway.is_some() => swinging::motion(setting, swings),
        _ => band::motion(setting),
    };
}

/// What the runs are gone through with; where something swings and they are not, the fall says so.
fn swings<'a>(setting: &'a Setting, runs: Runs, told: &mut FallFinding) -> Option<&'a Swings> {
    match setting.swings.as_ref()? {
        Err(why) => {
            told.swing = format!("{SWING_NOT_RECKONED}: {why}");
            None
        }
        Ok(_) if runs.count <= FIRST.count => {
            told.swing = format!("{SWING_NOT_RECKONED}: these are the first figures");
            None
        }
        Ok(swings) => Some(swings),
    }
}

/// What was done about what swings, and what that makes of the band without it.
fn swung(sway: &Sway, bands: [&Band; 2], runs: Runs) -> String {
    let [was, is] = bands.map(|band| percentiles(&band.falls, 1.0));
    let changes = |was: Option<f64>, is: Option<f64>| match (was, is) {
        (Some(was), Some(is)) if (is - was).abs() < 0.005 => "no deeper".into(),
        (Some(was), Some(is)) if is < was => format!("{:.2} m shorter", was - is),
        (Some(was), Some(is)) => format!("{:.2} m deeper", is - was),
        (None, None) => "endless as without it".into(),
        (Some(_), None) => "endless".into(),
        (None, Some(_)) => "one that ends".into(),
    };
    let others = if sway.runs < runs.count { ", the others taken to change as they do" } else { "" };
    format!(
        "what holds the device swings: {} of the {} runs gone through with its mass{others}, which makes the fall {} at p50 and {} at p90; legs \
         and links bear what pulled on them there",
        sway.runs,
        runs.count,
        changes(was.p50, is.p50),
        changes(was.p90, is.p90)
    )
}

/// A figure in words; what has no bound as that.
fn figure(value: Option<f64>, digits: usize) -> String {
    value.map_or_else(|| "does not stop".into(), |value| format!("{value:.digits$}"))
}

/// What is taken of how it goes, in words.
fn taken(model: &Model<'_>, setting: &Setting, case: &Case) -> Vec<String> {
    let mut all = Vec::new();
    if setting.within.is_some() {
        all.push("within the load, on a tether that is left, while the ropes hold the rest".into());
    }
    if let Some(lip) = setting.parameters.0.iter().find(|p| p.id == LIP) {
        all.push(format!("{} to {} m of the edge are taken to break off", lip.low, lip.high));
    }
    if let Ok(scene) = &case.scene {
        all.extend(scene.ran_on_cord(model));
    }
    all
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
    for taken in &told.taken {
        words.push_str(&format!("; {taken}"));
    }
    if !told.who.is_empty() {
        words = format!("{} {words}", told.who);
    }
    if told.bare_edge {
        words.push_str("; on a bare edge: whether it cuts a rope is not checked");
    }
    if told.team_lets_go {
        words.push_str("; the haul team is taken to let go");
    }
    words
}

/// Each parameter with what it does to the fall alone, that which moves it most first.
pub fn parameters(setting: &Setting) -> Vec<FallParameter> {
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
fn heights(model: &Model<'_>, setting: &Setting, sway: Option<&Sway>, runs: Runs) -> Vec<FallAt> {
    let shortest = setting.strands.iter().map(|s| s.below).fold(f64::INFINITY, f64::min);
    if setting.pull != Pull::Free || !(shortest.is_finite() && setting.above_ground > 0.0) {
        return Vec::new();
    }
    let top = setting.above_ground + (shortest - SHORTEST).max(0.0);
    let few = Runs { count: (runs.count / SHARE_OF_RUNS).max(1), ..runs };
    let at = |n: u32| {
        let above_ground_m = top * f64::from(HEIGHTS - n) / f64::from(HEIGHTS);
        let higher = above_ground_m - setting.above_ground;
        let without = band::band(&setting.raised(higher), few).ok()?;
        // What swings does so as it does below.
        let band = sway.map_or_else(|| without.clone(), |sway| sway.band(&without));
        let (clearance_m, below) = clearance(model, higher);
        let reaches = band.reaches(clearance_m);
        let below = if below == "ground" { String::new() } else { below };
        Some(FallAt { above_ground_m, clearance_m, below, fall_m: percentiles(&band.falls, 1.0), reaches })
    };
    (0..HEIGHTS).filter_map(at).collect()
}

/// Heights over the ground that a fall could end on, m, from the ground up.
fn surfaces(model: &Model<'_>) -> Vec<f64> {
    let below = model.rig.edge.below.iter().map(|b| b.height.to_metres());
    let mut all: Vec<f64> = std::iter::once(0.0).chain(below).collect();
    all.sort_by(f64::total_cmp);
    all.dedup();
    all
}
