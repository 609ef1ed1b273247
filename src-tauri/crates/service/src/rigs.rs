//! Rigs: made from a template or whole, checked, drawn.

use crate::wire::{ParameterView, TemplateView, Trouble};
use engine::falls::{ASKED, CHECK, Called};
use operation::State;
use operation::state::RigState;
use operation::step::RigStep;
use rig::findings::{CheckReport, FallFinding, LossFinding, SystemFall};
use rig::guidelines::Guidelines;
use rig::model::Rig;
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::path::Path;

/// SHA-256 of something as compact JSON, hex: the digest a check names rig and guidelines by.
pub fn digest<T: serde::Serialize>(thing: &T) -> String {
    hex::encode(Sha256::digest(serde_json::to_vec(thing).unwrap_or_default()))
}

/// Checks a rig in one state and the others, falls too, and names what was checked by its digests. `called`: what was called about
/// the ropes.
pub fn check(rig: &Rig, guidelines: &Guidelines, state: Option<&str>, called: &Called) -> CheckReport {
    named_by_digests(engine::check_with_falls(rig, guidelines, state, called, CHECK), rig, guidelines)
}

/// What was called about the ropes of the rig in use.
pub fn called(state: &State) -> Called {
    let words = |seq: u64| format!("slack or unequal tension called in entry {seq}, not yet equal");
    Called { unequal: state.called_unequal().map(words) }
}

/// As [`check`] without falls: for what is still being changed, and is checked at every key.
pub fn check_without_falls(rig: &Rig, guidelines: &Guidelines, state: Option<&str>) -> CheckReport {
    named_by_digests(engine::check(rig, guidelines, state), rig, guidelines)
}

fn named_by_digests(mut report: CheckReport, rig: &Rig, guidelines: &Guidelines) -> CheckReport {
    report.rig_digest = digest(rig);
    report.guidelines_digest = digest(guidelines);
    report
}

/// Templates with their parameters.
pub fn templates() -> Vec<TemplateView> {
    rig::templates::list()
        .into_iter()
        .map(|t| TemplateView {
            name: t.name.to_string(),
            title: t.title.to_string(),
            about: t.about.to_string(),
            parameters: t
                .parameters
                .into_iter()
                .map(|p| ParameterView {
                    name: p.name.to_string(),
                    label: p.label.to_string(),
                    unit: p.unit.symbol().to_string(),
                    default: p.default.to_string(),
                    low: p.low.to_string(),
                    high: p.high.to_string(),
                    choices: p.choices.iter().map(ToString::to_string).collect(),
                })
                .collect(),
        })
        .collect()
}

/// A rig from a template; `edge_height_m`, m, is the operation's: it counts where the template asks for it and nothing was set.
///
/// # Errors
/// An unknown template or parameter, a value that cannot be read or is out of range; `where` is the parameter.
pub fn from_template(
    edge_height_m: Option<f64>,
    template: &str,
    set: &BTreeMap<String, String>,
) -> Result<Rig, Trouble> {
    let mut set = set.clone();
    let asks = rig::templates::list()
        .iter()
        .any(|t| t.name == template && t.parameters.iter().any(|p| p.name == "edge_height"));
    if let Some(height) = edge_height_m
        && asks
    {
        set.entry("edge_height".into()).or_insert_with(|| format!("{height}m"));
    }
    Ok(rig::templates::make(template, &set)?)
}

/// The rig a `rig` step asks for.
///
/// # Errors
/// When it names neither a template nor a rig, or both, or the rig is not well-formed.
pub fn make(state: &State, wanted: &RigStep) -> Result<Rig, Trouble> {
    let mut rig = match (&wanted.template, &wanted.rig) {
        (Some(template), None) => from_template(state.facts.edge_height_m, template, &texts(&wanted.set)?)?,
        (None, Some(whole)) => rig::read(&whole.to_string())?,
        (None, None) => {
            let remedy = "name a \"template\" (`ledgebook rig templates` lists them) or give a whole \"rig\"";
            return Err(Trouble::new("bad_step", "the step names no rig", "rig", remedy));
        }
        (Some(_), Some(_)) => {
            let remedy = "keep the template, or the whole rig";
            return Err(Trouble::new("bad_step", "the step names a template and a whole rig", "rig", remedy));
        }
    };
    if let Some(name) = wanted.name.as_deref().map(str::trim).filter(|name| !name.is_empty()) {
        rig.name = name.to_string();
    }
    Ok(rig)
}

/// What was set, as text with its unit.
fn texts(set: &BTreeMap<String, Value>) -> Result<BTreeMap<String, String>, Trouble> {
    set.iter()
        .map(|(name, value)| match value {
            Value::String(text) => Ok((name.clone(), text.clone())),
            Value::Number(number) => Ok((name.clone(), number.to_string())),
            Value::Bool(yes) => Ok((name.clone(), yes.to_string())),
            _ => Err(Trouble::new(
                "bad_step",
                format!("“{name}” is {value}"),
                name,
                "write it as text with its unit, like \"250kg\"",
            )),
        })
        .collect()
}

/// The rig of a name, or the one in use.
pub fn named<'a>(state: &'a State, name: Option<&str>) -> Option<&'a RigState> {
    match name {
        Some(name) => state.rigs.get(name),
        None => state.rig_now(),
    }
}

/// A rig file's text from a template.
///
/// # Errors
/// As [`from_template`].
pub fn made(template: &str, set: &BTreeMap<String, String>) -> Result<String, Trouble> {
    Ok(rig::write(&rig::templates::make(template, set)?))
}

/// A rig file and its check.
#[derive(Clone, Debug)]
pub struct Checked {
    /// What the rig is, in words.
    pub title: String,
    /// The findings.
    pub report: CheckReport,
    rig: Rig,
    guidelines: Guidelines,
}

impl Checked {
    /// The same site and load on other systems.
    pub fn beside(&self) -> Vec<SystemFall> {
        engine::falls::beside(&self.rig, &self.guidelines, &self.report.main.state, CHECK)
    }

    /// What becomes of the load when this is lost, and how far it drops.
    ///
    /// # Errors
    /// When the rig has nothing of that id.
    pub fn lose(&self, id: &str) -> Result<(LossFinding, FallFinding), Trouble> {
        let state = Some(self.report.main.state.as_str());
        let loss = engine::what_if(&self.rig, &self.guidelines, state, id);
        let fall = engine::fall_after(&self.rig, &self.guidelines, state, id, &Called::default(), ASKED);
        loss.map(|what| what.loss).zip(fall).ok_or_else(|| {
            Trouble::new(
                "no_part",
                format!("the rig has nothing called “{id}”"),
                "--lose",
                "name a part, a hand or a common cause of this rig",
            )
        })
    }
}

/// Checks a rig file by the team's guidelines, or the defaults.
///
/// # Errors
/// A file that cannot be read, is no rig or no guidelines, or has no such state.
pub fn check_file(file: &Path, state: Option<&str>, guidelines: Option<&Path>) -> Result<Checked, Trouble> {
    let rig = rig::read(&crate::read_text(file)?).map_err(|e| {
        let trouble = Trouble::from(e);
        Trouble { place: format!("{}: {}", file.display(), trouble.place), ..trouble }
    })?;
    if let Some(state) = state
        && !rig.states.iter().any(|s| s.id == state)
    {
        let known: Vec<&str> = rig.states.iter().map(|s| s.id.as_str()).collect();
        return Err(Trouble::new(
            "bad_rig",
            format!("the rig has no state “{state}”"),
            "--state",
            format!("use one of: {}", known.join(", ")),
        ));
    }
    let guidelines = match guidelines {
        Some(file) => read_guidelines(file)?,
        None => Guidelines::defaults(),
    };
    Ok(Checked {
        title: rig.title.clone(),
        report: check(&rig, &guidelines, state, &Called::default()),
        rig,
        guidelines,
    })
}

fn read_guidelines(file: &Path) -> Result<Guidelines, Trouble> {
    Guidelines::read(&crate::read_text(file)?).map_err(|e| {
        Trouble::new("bad_guidelines", e.what, format!("{}, {}", file.display(), e.place), e.remedy)
    })
}
