//! How far the load drops when something is lost, and how hard what is left stops it: for each loss a band of many runs, from
//! the rig's own lengths, shares, devices and hands. What is drawn for a run, and from which range, stands with the result.
//!
//! What is let loose when an anchor's leg, a plate or a pulley goes is taken as slack; where a knot or plate that holds a device
//! swings, some of the runs are gone through once more with its mass ([`swinging`]). Ropes come down on a bare edge (`bare`), which
//! may cut them: that is not checked. A haul team is taken to let go (`hauled`). Limits beside those of [`drop`](crate::drop): both
//! ropes to one side, ropes apart, loads on ties or on a running pulley are not computed, and said so.

pub mod band;
mod bare;
mod beside;
mod hauled;
mod holds;
mod of_rig;
pub mod parameter;
mod reach;
pub mod setting;
mod shared;
mod survivors;
pub mod swinging;
mod told;
pub mod within;

use crate::case::Case;
use crate::loss::Loss;
use crate::support::Model;
use rig::findings::{FallFinding, FallOutcome, HandsOff, LossFinding, Verdict};
use rig::guidelines::Guidelines;
use setting::Setting;
use swinging::Sway;

/// Fewer runs than this are not worth a thread of their own.
const WORTH_A_THREAD: usize = 64;

/// What every fall of a check is reckoned with.
pub const CHECK: Runs = Runs { count: 1000, seed: 1 };
/// What is shown of a fall at once, without what swings, while the rest is reckoned.
pub const FIRST: Runs = Runs { count: 100, seed: 1 };
/// What one fall that is asked for is reckoned with.
pub const ASKED: Runs = Runs { count: 4000, seed: 1 };

/// How many runs, and what they are drawn by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Runs {
    /// How many.
    pub count: u32,
    /// The same seed draws the same.
    pub seed: u64,
}

/// What was called about the ropes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Called {
    /// Slack or unequal tension was called and not yet equal: in words, by what.
    pub unequal: Option<String>,
}

/// Where the load hangs, m above the ground: the lowest point its ropes end at.
fn hangs_at(model: &Model<'_>) -> f64 {
    let ends = model.rig.load.points.iter().filter_map(|id| model.rig.point(id));
    ends.map(|point| point.y.to_metres()).fold(1e6, f64::min).max(0.0)
}

/// From the load, `higher` than it is placed, to what lies below it, m, and what that is.
fn clearance(model: &Model<'_>, higher: f64) -> (f64, String) {
    let height = hangs_at(model) + higher;
    let edge = &model.rig.edge;
    let under = edge.under(height);
    let down = height - under.map_or(0.0, |(_, at)| at);
    match (under, &edge.slope) {
        (None, None) => (down, "ground".into()),
        (Some((kind, _)), None) => (down, kind.words().into()),
        // Along the slope.
        (under, Some(slope)) => (
            down / libm::sin(slope.angle.to_radians()).max(0.01),
            under.map_or("foot of the slope", |(kind, _)| kind.words()).into(),
        ),
    }
}

/// The falls after losses; for each loss which of them it is.
pub(crate) fn falls(
    model: &Model<'_>,
    guidelines: &Guidelines,
    intact: &Case,
    losses: &[(LossFinding, Case, Loss)],
    called: &Called,
    runs: Runs,
) -> (Vec<FallFinding>, Vec<usize>) {
    let mut known: Vec<(&Result<Setting, of_rig::Instead>, FallFinding, Option<Sway>)> = Vec::new();
    let mut which = Vec::with_capacity(losses.len());
    let settings: Vec<_> =
        losses.iter().map(|own| hauled::setting(model, guidelines, intact, own, called)).collect();
    for ((_, case, loss), (setting, let_go)) in losses.iter().zip(&settings) {
        let case = let_go.as_ref().unwrap_or(case);
        let place = known.iter().position(|(other, ..)| *other == setting).unwrap_or_else(|| {
            let (told, sway) = match setting {
                Ok(setting) => told::band(model, setting, case, runs),
                Err(instead) => (told::instead(model, instead, runs), None),
            };
            known.push((setting, told, sway));
            known.len() - 1
        });
        known[place].1.of.push(loss.label.clone());
        which.push(place);
    }
    // The deepest fall also from every height of the lower.
    let deep = |told: &FallFinding| told.fall_m.map_or(-1.0, |fall| fall.p90.unwrap_or(f64::INFINITY));
    let deepest = (0..known.len()).reduce(|a, b| if deep(&known[b].1) > deep(&known[a].1) { b } else { a });
    if let Some((Ok(setting), told, sway)) = deepest.map(|place| &mut known[place]) {
        told::whole(model, setting, sway.as_ref(), runs, told);
    }
    (known.into_iter().map(|(_, told, _)| told).collect(), which)
}

/// Everyone let go and the load runs back: how far, and whether what lies below is nearer.
pub(crate) fn run_back(hands_off: &mut HandsOff, fall: &FallFinding) {
    let far = fall.fall_m.and_then(|m| m.p10.zip(m.p90));
    (hands_off.verdict, hands_off.words) = match (fall.outcome, far) {
        (FallOutcome::Stops, Some((p10, p90))) if fall.reaches == Some(0.0) => (
            Verdict::Holds,
            format!(
                "the load runs back {p10:.2} to {p90:.2} m (8 in 10 runs) until it is caught: an assumed run-back"
            ),
        ),
        (FallOutcome::Stops | FallOutcome::MayNotStop, _) => (Verdict::FallsShort, fall.words.clone()),
        _ => (Verdict::NotChecked, fall.words.clone()),
    };
}

/// What there is to reckon after each loss that leaves something to catch the load, by the name of the loss: for another solver to
/// go through.
pub fn settings_of(
    rig: &rig::Rig,
    guidelines: &Guidelines,
    state: &str,
    called: &Called,
) -> Vec<(String, Setting)> {
    let Some(state) = rig.state(Some(state)) else { return Vec::new() };
    let model = Model::new(rig, state);
    let intact = Case::new(&model, &crate::support::Lost::default());
    let each = crate::loss::singles(&model).into_iter().filter_map(|loss| {
        let (finding, case) = crate::loss::judge(&model, guidelines, &intact, &loss);
        let own = (finding, case, loss);
        let setting = hauled::setting(&model, guidelines, &intact, &own, called).0.ok()?;
        Some((own.2.label, setting))
    });
    each.collect()
}

/// From where the load hangs to what lies below it, m, and what that is.
pub fn below(rig: &rig::Rig, state: &str) -> Option<(f64, String)> {
    let state = rig.state(Some(state))?;
    Some(clearance(&Model::new(rig, state), 0.0))
}

/// The same site and load on other systems, beside the deepest fall onto one rope in a state; empty where there is none.
pub fn beside(
    rig: &rig::Rig,
    guidelines: &Guidelines,
    state: &str,
    runs: Runs,
) -> Vec<rig::findings::SystemFall> {
    let Some(own) = rig.state(Some(state)) else { return Vec::new() };
    let model = Model::new(rig, own);
    let settings = settings_of(rig, guidelines, state, &Called::default());
    let middle = |setting: &Setting| band::fall_at(setting, &setting.parameters.likely()).unwrap_or(0.0);
    let alone = settings
        .into_iter()
        .filter(|(_, s)| s.strands.len() == 1 && !s.bare_edge && s.within.is_none())
        .map(|(_, s)| (middle(&s), s));
    let deepest = alone.reduce(|a, b| if b.0 > a.0 { b } else { a });
    deepest.map_or_else(Vec::new, |(_, setting)| beside::beside(&model, guidelines, &setting, runs))
}
