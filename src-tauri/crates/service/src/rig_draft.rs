//! A rig that is changed part by part before it is recorded: the rig in use with a list of edits. Nothing is kept here; the screen
//! holds the list, so that taking one back is dropping it.

use crate::rig_look::RigLook;
use crate::rigs;
use crate::wire::{DraftClass, DraftPart, DraftPoint, RigDraft, Trouble};
pub use rig::edit::{Edit, PartEdit};
use rig::edit::{apply, changes, classes};
use rig::findings::Verdict;
use rig::model::{Part, PartKind, Rig};

/// The rig in use after these edits, drawn and checked in the state in use, with what to record; `lost`: with that lost.
///
/// # Errors
/// When there is no rig, an edit cannot be done, or nothing of that id can be lost.
pub fn draft(look: &RigLook, edits: &[Edit], lost: Option<&str>) -> Result<RigDraft, Trouble> {
    let (in_use, state, guidelines) = look.rig_in_use()?;
    let rig = apply(in_use, edits)?;
    let report = rigs::check_without_falls(&rig, guidelines, Some(state));
    let drawing = look.drawn_now(&rig, &report, lost)?;
    let short = |wanted: Verdict| {
        let parts = report.main.parts.iter().filter(|p| p.verdict == wanted).count();
        parts + report.main.checks.iter().filter(|c| c.verdict == wanted).count()
    };
    Ok(RigDraft {
        drawing,
        changes: changes(in_use, &rig),
        falls_short: short(Verdict::FallsShort),
        not_checked: short(Verdict::NotChecked),
        critical: report.main.critical_parts.iter().map(|id| report.label(id)).collect(),
        parts: rig.parts.iter().map(|part| known(&rig, part, state)).collect(),
        points: points(&rig),
        ropes: rig.clone().off_template().ropes,
        hands: rig.hands.clone(),
        groups: rig.groups.clone(),
        load_kg: rig.load.mass.to_kilograms(),
        edge_height_m: rig.edge.height.to_metres(),
        below: rig.edge.below.clone(),
        rig: serde_json::to_value(&rig).unwrap_or_default(),
        assumptions: report.assumptions,
        findings: report.main,
    })
}

/// What is known of a part, as texts for a form.
fn known(rig: &Rig, part: &Part, state: &str) -> DraftPart {
    let (rating, rated_by) = match &part.strength {
        Some(strength) => (kilonewtons(strength.rating.to_newtons()), strength.cited.words.clone()),
        None => (String::new(), String::new()),
    };
    let device = part.device.as_ref();
    DraftPart {
        id: part.id.clone(),
        label: part.label.clone(),
        kind: part.kind,
        at: part.at.clone(),
        rating,
        rated_by,
        weakened_by: part.strength.iter().flat_map(|s| &s.factors).map(|f| f.words.clone()).collect(),
        classes: classes(part.kind)
            .into_iter()
            .map(|c| DraftClass { id: c.id.into(), label: format!("{}, {} kN", c.label, c.rating_kn) })
            .collect(),
        material: part.material,
        loading: part.loading,
        slack: part.slack.map(|s| s.to_string()).unwrap_or_default(),
        gear: part.gear.clone(),
        purpose: device.and_then(|d| d.purpose),
        class: device.map(|d| d.class),
        rated_load: device.and_then(|d| d.rated_load).map(|m| m.to_string()).unwrap_or_default(),
        state: rig.state(Some(state)).and_then(|s| s.devices.get(&part.id)).copied(),
        efficiency: part.efficiency.as_ref().map(|e| e.nominal.to_string()).unwrap_or_default(),
        length_m: length(rig, part),
        angle_deg: angle(rig, part),
        is_device: part.device.is_some(),
    }
}

/// A force as it is typed; a whole number of newtons keeps all its digits.
fn kilonewtons(newtons: f64) -> String {
    format!("{}kN", newtons / 1000.0)
}

fn place(rig: &Rig, id: &str) -> Option<(f64, f64)> {
    rig.point(id).map(|p| (p.x.to_metres(), p.y.to_metres()))
}

/// From point to point; `None` where a part does not lie between two, or the ground holds its load end.
fn length(rig: &Rig, part: &Part) -> Option<f64> {
    let [low, high] = part.at.as_slice() else { return None };
    let (a, b) = (place(rig, low)?, place(rig, high)?);
    let free =
        rig.point(low).is_some_and(|p| !p.fixed) && !part.kind.is_edge() && part.kind != PartKind::Bridle;
    free.then(|| (a.0 - b.0).hypot(a.1 - b.1))
}

/// Included angle of the outermost legs of a knot, plate or ring.
fn angle(rig: &Rig, part: &Part) -> Option<f64> {
    let own = part.at.first().filter(|_| part.at.len() == 1)?;
    if !matches!(part.kind, PartKind::FocalKnot | PartKind::Plate | PartKind::Ring) {
        return None;
    }
    let knot = place(rig, own)?;
    let up = rig.parts.iter().filter(|p| p.at.len() == 2 && p.at[0] == *own);
    let ways: Vec<f64> = up
        .filter_map(|p| place(rig, &p.at[1]))
        .map(|end| (end.1 - knot.1).atan2(end.0 - knot.0).to_degrees())
        .collect();
    let mut widest: Option<f64> = None;
    for (i, a) in ways.iter().enumerate() {
        for b in &ways[i + 1..] {
            let open = (a - b).abs();
            let open = if open > 180.0 { 360.0 - open } else { open };
            widest = Some(widest.map_or(open, |w| w.max(open)));
        }
    }
    widest.filter(|open| *open > 0.1)
}

/// Points by what sits there.
fn points(rig: &Rig) -> Vec<DraftPoint> {
    let name = |id: &str| {
        let here = rig.parts.iter().find(|p| p.at.len() == 1 && p.at[0] == id);
        here.map_or_else(|| id.trim_start_matches("at_").replace('_', " "), |p| p.label.clone())
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
