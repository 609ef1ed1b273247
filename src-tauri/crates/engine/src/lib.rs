//! What a rig does: forces, margins, and what becomes of the load when anything is lost. No input or
//! output, no clock, no chance: the same rig and guidelines give the same findings everywhere.

use rig::Rig;
use rig::findings::{
    CAUTION, CheckReport, HandsOff, LossFinding, LossMode, LossVerdict, PartFinding, StateFindings, Verdict,
};
use rig::guidelines::Guidelines;
use rig::model::State;

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

/// Checks a rig in the state asked for (or its first), and in its other states.
pub fn check(rig: &Rig, guidelines: &Guidelines, state: Option<&str>) -> CheckReport {
    let asked = rig.state(state).or_else(|| rig.states.first());
    let main = asked.map_or_else(|| empty(rig, ""), |s| findings(rig, guidelines, s));
    let others =
        rig.states.iter().filter(|s| s.id != main.state).map(|s| findings(rig, guidelines, s)).collect();
    CheckReport {
        format: "ledgebook-check/0".into(),
        engine: version().into(),
        rig_digest: String::new(),
        guidelines_digest: String::new(),
        verdict: Verdict::NotChecked,
        main,
        other_states: others,
        assumptions: rig
            .assumptions
            .iter()
            .map(|a| format!("{} {} ({})", a.label, a.value, a.cited.standing.words()))
            .collect(),
        caution: CAUTION.into(),
    }
}

/// What becomes of the load, and of every part, when one thing is lost; `None` for an id that is none.
pub fn what_if(rig: &Rig, guidelines: &Guidelines, state: Option<&str>, lost: &str) -> Option<WhatIf> {
    let state = rig.state(state)?;
    let part = rig.part(lost)?;
    let loss = LossFinding {
        lost: vec![lost.into()],
        label: part.label.clone(),
        mode: LossMode::Part,
        verdict: LossVerdict::NotChecked,
        moves: false,
        words: "not computed yet".into(),
        acts: Vec::new(),
        weakest: None,
        path: Vec::new(),
    };
    Some(WhatIf { loss, parts: findings(rig, guidelines, state).parts })
}

fn findings(rig: &Rig, guidelines: &Guidelines, state: &State) -> StateFindings {
    let mut all = empty(rig, &state.id);
    all.parts = rig
        .parts
        .iter()
        .map(|part| PartFinding {
            id: part.id.clone(),
            kind: part.kind.words().into(),
            label: part.label.clone(),
            force_kn: None,
            strength_kn: None,
            margin: None,
            required: Some(guidelines.required_margin.value),
            verdict: Verdict::NotChecked,
            words: "not computed yet".into(),
            source: part.strength.as_ref().map_or(String::new(), |s| s.cited.words.clone()),
            how: Vec::new(),
        })
        .collect();
    all
}

fn empty(rig: &Rig, state: &str) -> StateFindings {
    StateFindings {
        state: state.into(),
        parts: Vec::new(),
        critical_parts: Vec::new(),
        unknown_parts: rig.parts.iter().map(|p| p.id.clone()).collect(),
        always_critical: rig.parts.iter().filter(|p| p.always_critical).map(|p| p.id.clone()).collect(),
        critical_pairs: Vec::new(),
        hands_off: HandsOff { verdict: Verdict::NotChecked, moves: false, words: "not computed yet".into() },
        losses: Vec::new(),
        checks: Vec::new(),
        residual_n: None,
    }
}
