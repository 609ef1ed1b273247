//! What a rig does: forces, margins, and what becomes of the load when anything is lost. No input or
//! output, no clock, no chance: the same rig and guidelines give the same findings everywhere.
//!
//! `support` says what is held, `statics` what it carries, `loss` what is left after each loss,
//! `checks` holds one file a rule, `sums` the trade's working figures.

mod case;
pub mod checks;
pub mod drop;
pub mod falls;
pub mod hauling;
mod loss;
mod margin;
pub mod statics;
pub mod sums;
pub mod support;

pub use sums::{
    Advantage, AngleFrom, Fall, LegPair, RedirectFrom, Span, SumError, SystemKind, advantage, fall, leg_pair,
    leg_share, redirect, repose_deg, slope, span, wrap,
};

use case::Case;
use falls::{Called, Runs};
use loss::Loss;
use rig::Rig;
use rig::findings::{
    CAUTION, CheckReport, FallFinding, HandsOff, LossFinding, LossMode, LossVerdict, PartFinding,
    StateFindings, Verdict,
};
use rig::guidelines::Guidelines;
use rig::model::State;
use support::{Lost, Model};

/// What the findings were computed by.
pub fn version() -> &'static str {
    concat!("engine ", env!("CARGO_PKG_VERSION"))
}

/// The findings of one what-if.
#[derive(Clone, Debug, PartialEq)]
pub struct WhatIf {
    /// What becomes of the load.
    pub loss: LossFinding,
    /// Every part after the loss.
    pub parts: Vec<PartFinding>,
}

/// Checks a rig in the state asked for (or its first), and in its other states, without falls: how far the load drops reads not
/// checked. The digests are left empty for whoever stores the report.
pub fn check(rig: &Rig, guidelines: &Guidelines, state: Option<&str>) -> CheckReport {
    checked(rig, guidelines, state, None)
}

/// As [`check`], and how far the load drops after each loss.
pub fn check_with_falls(
    rig: &Rig,
    guidelines: &Guidelines,
    state: Option<&str>,
    called: &Called,
    runs: Runs,
) -> CheckReport {
    checked(rig, guidelines, state, Some((called, runs)))
}

fn checked(
    rig: &Rig,
    guidelines: &Guidelines,
    state: Option<&str>,
    falls: Option<(&Called, Runs)>,
) -> CheckReport {
    let asked = rig.state(state).or_else(|| rig.states.first());
    let nowhere = State {
        id: String::new(),
        label: String::new(),
        motion: rig::model::Sliding::Held,
        devices: std::collections::BTreeMap::new(),
        hands: Vec::new(),
        without: Vec::new(),
    };
    let main = findings(rig, guidelines, asked.unwrap_or(&nowhere), falls);
    let other_states: Vec<StateFindings> = rig
        .states
        .iter()
        .filter(|s| s.id != main.state)
        .map(|s| findings(rig, guidelines, s, falls))
        .collect();
    let verdict = std::iter::once(&main).chain(&other_states).map(worst).min().unwrap_or(Verdict::NotChecked);
    CheckReport {
        format: "ledgebook-check/0".into(),
        engine: version().into(),
        rig_digest: String::new(),
        guidelines_digest: String::new(),
        verdict,
        main,
        other_states,
        assumptions: rig
            .assumptions
            .iter()
            .map(|a| format!("{} {} ({})", a.label, a.value, a.cited.standing.words()))
            .collect(),
        caution: CAUTION.into(),
    }
}

/// The worst verdict of one state: its parts, rules and hands-off.
fn worst(state: &StateFindings) -> Verdict {
    let parts = state.parts.iter().map(|p| p.verdict);
    let rules = state.checks.iter().map(|c| c.verdict);
    parts.chain(rules).chain([state.hands_off.verdict]).min().unwrap_or(Verdict::NotChecked)
}

/// What becomes of the load, and of every part, when one thing is lost: the id of a part or a common
/// cause, or `HAND:hand_off` and `HAND:freezes_on`; a bare hand stands for the worse of the two.
/// `None` for an id that names nothing, or nothing at work in this state.
pub fn what_if(rig: &Rig, guidelines: &Guidelines, state: Option<&str>, lost: &str) -> Option<WhatIf> {
    let model = Model::new(rig, rig.state(state)?);
    let (_, (loss, case, which)) = worst_of(&model, guidelines, lost)?;
    let parts = (0..model.parts())
        .map(|p| margin::finding(&model, guidelines, &case, p, which.lost.part(p)))
        .collect();
    Some(WhatIf { loss, parts })
}

/// How far the load drops when one thing is lost, named as for [`what_if`].
pub fn fall_after(
    rig: &Rig,
    guidelines: &Guidelines,
    state: Option<&str>,
    lost: &str,
    called: &Called,
    runs: Runs,
) -> Option<FallFinding> {
    let model = Model::new(rig, rig.state(state)?);
    let (intact, worst) = worst_of(&model, guidelines, lost)?;
    falls::falls(&model, guidelines, &intact, &[worst], called, runs).0.pop()
}

/// The rig with nothing lost, and the worst of the losses that an id names.
fn worst_of(
    model: &Model<'_>,
    guidelines: &Guidelines,
    lost: &str,
) -> Option<(Case, (LossFinding, Case, Loss))> {
    let intact = Case::new(model, &Lost::default());
    // A hand stands for the person who has it, with all that this person does.
    let names = |loss: &Loss, id: &str| loss.ids.iter().any(|own| own == id);
    let wanted = |loss: &Loss| match loss.mode {
        LossMode::CommonCause => loss.group.as_deref() == Some(lost),
        LossMode::Part => loss.ids[0] == lost,
        LossMode::HandOff => {
            names(loss, lost) || lost.strip_suffix(":hand_off").is_some_and(|id| names(loss, id))
        }
        LossMode::FreezesOn => {
            names(loss, lost) || lost.strip_suffix(":freezes_on").is_some_and(|id| names(loss, id))
        }
    };
    let judged = loss::singles(model).into_iter().filter(wanted).map(|loss| {
        let (finding, case) = loss::judge(model, guidelines, &intact, &loss);
        (finding, case, loss)
    });
    let worst = judged.min_by_key(|(finding, _, _)| finding.verdict)?;
    Some((intact, worst))
}

/// All findings of one state.
fn findings(
    rig: &Rig,
    guidelines: &Guidelines,
    state: &State,
    falls: Option<(&Called, Runs)>,
) -> StateFindings {
    let model = Model::new(rig, state);
    let intact = Case::new(&model, &Lost::default());
    let parts: Vec<PartFinding> =
        (0..model.parts()).map(|p| margin::finding(&model, guidelines, &intact, p, false)).collect();
    let hauling = hauling::hauling(&model, guidelines, &intact, &parts);
    let (mut losses, falls, hands_off) = losses(&model, guidelines, &intact, falls);
    losses.sort_by_key(|l| l.verdict);
    loss::worst_of_each_cause(&mut losses);
    let critical_parts = named(rig, &losses, |v| matches!(v, LossVerdict::Dropped | LossVerdict::Overloaded));
    let unknown_parts: Vec<String> = named(rig, &losses, |v| v == LossVerdict::NotChecked)
        .into_iter()
        .filter(|id| !critical_parts.contains(id))
        .collect();
    let checks = checks::all(&checks::Seen {
        model: &model,
        guidelines,
        intact: &intact,
        losses: &losses,
        critical: &critical_parts,
        unknown: &unknown_parts,
        hands_off: &hands_off,
        hauling: hauling.as_ref(),
        falls: falls.as_deref(),
    });
    StateFindings {
        state: state.id.clone(),
        parts,
        critical_parts,
        unknown_parts,
        always_critical: rig.parts.iter().filter(|p| p.always_critical).map(|p| p.id.clone()).collect(),
        critical_pairs: loss::critical_pairs(&model),
        hands_off,
        losses,
        checks,
        residual_n: intact.forces.as_ref().ok().map(|f| f.residual),
        hauling: hauling.and_then(Result::ok),
        falls: falls.unwrap_or_default(),
    }
}

/// Every single loss, the falls after them where they are asked for, and everyone letting go.
fn losses(
    model: &Model<'_>,
    guidelines: &Guidelines,
    intact: &Case,
    falls: Option<(&Called, Runs)>,
) -> (Vec<LossFinding>, Option<Vec<FallFinding>>, HandsOff) {
    let singles = loss::singles(model);
    let mut hands_off = loss::hands_off(model, intact);
    let Some((called, runs)) = falls else {
        let judged = singles.iter().map(|loss| loss::judge(model, guidelines, intact, loss).0);
        return (judged.collect(), None, hands_off);
    };
    // All hands at once come last, where the load runs back until something catches it.
    let runs_back = hands_off.verdict == Verdict::NotChecked && hands_off.moves;
    let judged: Vec<(LossFinding, Case, Loss)> = singles
        .into_iter()
        .chain(runs_back.then(|| loss::everyone(model)))
        .map(|loss| {
            let (finding, case) = loss::judge(model, guidelines, intact, &loss);
            (finding, case, loss)
        })
        .collect();
    let (falls, which) = falls::falls(model, guidelines, intact, &judged, called, runs);
    let with_fall = |((mut finding, _, _), fall): ((LossFinding, Case, Loss), usize)| {
        finding.fall = Some(fall);
        finding
    };
    let mut losses: Vec<LossFinding> = judged.into_iter().zip(which).map(with_fall).collect();
    if runs_back && let Some(fall) = losses.pop().and_then(|all| falls.get(all.fall?)) {
        falls::run_back(&mut hands_off, fall);
    }
    (losses, Some(falls), hands_off)
}

/// Ids of single losses of a verdict, in the order of the rig; what a wearer cannot double is named apart,
/// and a common cause is no single part.
fn named(rig: &Rig, losses: &[LossFinding], wanted: impl Fn(LossVerdict) -> bool) -> Vec<String> {
    let lost = |id: &String| {
        losses.iter().any(|l| l.mode != LossMode::CommonCause && l.lost.contains(id) && wanted(l.verdict))
    };
    let parts = rig.parts.iter().filter(|p| !p.always_critical).map(|p| &p.id);
    parts.chain(rig.hands.iter().map(|h| &h.id)).filter(|id| lost(id)).cloned().collect()
}
