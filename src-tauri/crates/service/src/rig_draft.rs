//! A rig changed part by part before it is recorded: the rig in use with a list of edits. Nothing is kept here; the screen holds
//! the list, so that taking one back is dropping it.

use crate::rigs;
use crate::wire::{DraftPart, DraftPoint, RigDraft, Trouble};
use operation::State;
use rig::edit::apply;
pub use rig::edit::{Edit, PartEdit};
use rig::findings::Verdict;
use rig::model::{Part, Rig};

/// The rig in use after these edits, drawn and checked in the state in use, with what to record; `lost`: with that lost.
///
/// # Errors
/// When there is no rig, an edit cannot be done, or nothing of that id can be lost.
pub fn draft(state: &State, edits: &[Edit], lost: Option<&str>) -> Result<RigDraft, Trouble> {
    let Some(in_use) = state.rig_now() else {
        return Err(Trouble::new("no_rig", "no rig was entered yet", "rig", "make one from a template"));
    };
    let rig = apply(&in_use.rig, edits)?;
    let report = rigs::check(&rig, &state.guidelines, Some(&in_use.state));
    let drawing = rigs::drawn_now(state, &rig, &report, lost)?;
    let short = |wanted: Verdict| {
        let parts = report.main.parts.iter().filter(|p| p.verdict == wanted).count();
        parts + report.main.checks.iter().filter(|c| c.verdict == wanted).count()
    };
    Ok(RigDraft {
        drawing,
        falls_short: short(Verdict::FallsShort),
        not_checked: short(Verdict::NotChecked),
        critical: report.main.critical_parts.iter().map(|id| report.label(id)).collect(),
        parts: rig.parts.iter().map(known).collect(),
        points: points(&rig),
        rig: serde_json::to_value(&rig).unwrap_or_default(),
    })
}

/// What is known of a part, as texts for a form.
fn known(part: &Part) -> DraftPart {
    let (rating, rated_by) = match &part.strength {
        Some(strength) => (strength.rating.to_string(), strength.cited.words.clone()),
        None => (String::new(), String::new()),
    };
    DraftPart {
        id: part.id.clone(),
        label: part.label.clone(),
        kind: part.kind,
        at: part.at.clone(),
        rating,
        rated_by,
        weakened_by: part.strength.iter().flat_map(|s| &s.factors).map(|f| f.words.clone()).collect(),
        material: part.material,
        loading: part.loading,
        slack: part.slack.map(|s| s.to_string()).unwrap_or_default(),
        gear: part.gear.clone(),
        purpose: part.device.as_ref().and_then(|d| d.purpose),
        is_device: part.device.is_some(),
    }
}

/// Points by what sits there.
fn points(rig: &Rig) -> Vec<DraftPoint> {
    let name = |id: &str| {
        let here = rig.parts.iter().find(|p| p.at.len() == 1 && p.at[0] == id);
        here.map_or_else(|| id.replace('_', " "), |p| p.label.clone())
    };
    rig.points
        .iter()
        .map(|p| DraftPoint {
            id: p.id.clone(),
            label: name(&p.id),
            x_m: p.x.to_metres(),
            y_m: p.y.to_metres(),
        })
        .collect()
}
