//! A rig changed part by part, beyond its template's values. Each edit answers a whole new rig that is valid, or says in words
//! why not; the old one is left as it was, so that taking back an edit is dropping it from the list.
//!
//! An edit never makes the support rules rosier than the rig is: what hung on a part that is taken out hangs on nothing, unless
//! something beside it held too, and what is put in holds only from where it is made fast.

use crate::error::RigError;
use crate::model::{Cited, Standing};
use crate::model::{
    DeviceState, Gear, Line, Loading, Material, Part, PartKind, Point, Purpose, RatedLoading, Rig, Strength,
    Support,
};
use crate::quantity::{Force, Length, Mass};
use crate::validate::validate;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// One change of a rig.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(tag = "edit", rename_all = "snake_case")]
pub enum Edit {
    /// What is known of a part; what is left out stays as it is.
    Part {
        /// Its id.
        id: String,
        /// What is known now.
        set: PartEdit,
    },
    /// A part is taken out.
    Remove {
        /// Its id.
        id: String,
    },
    /// A leg, sling, cord, tether or guy is put in between two points.
    AddTie {
        /// Its id.
        id: String,
        /// Its name.
        label: String,
        /// Its kind.
        kind: PartKind,
        /// Load end.
        from: String,
        /// Anchor end.
        to: String,
    },
    /// An anchor is put in on ground of its own.
    AddAnchor {
        /// Its id; its point is `at_ID`.
        id: String,
        /// Its name.
        label: String,
        /// Place across.
        x: Length,
        /// Place up, over the ground below the edge.
        y: Length,
    },
    /// A point is moved.
    Move {
        /// Its id.
        point: String,
        /// Place across.
        x: Length,
        /// Place up.
        y: Length,
    },
    /// The load.
    Load {
        /// Its mass.
        mass: Mass,
    },
}

/// What an edit says of a part; `None`: as it is.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(default, deny_unknown_fields)]
pub struct PartEdit {
    /// Its name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub label: Option<String>,
    /// Its rated strength as text with unit; empty: unrated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rating: Option<String>,
    /// Who says so ("team gear list", "judged on site by …").
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rated_by: Option<String>,
    /// Another kind of leg, connector or hitch in its place.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kind: Option<PartKind>,
    /// What it is made of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub material: Option<Material>,
    /// How a connector is loaded.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub loading: Option<Loading>,
    /// What must be taken up before it bears, as text with unit; empty: nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slack: Option<String>,
    /// The team's own piece; an empty name: none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gear: Option<Gear>,
    /// What a device may be used for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub purpose: Option<Purpose>,
    /// State of a device in the states named, by id of the state.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub state: Option<(String, DeviceState)>,
}

/// The rig after these edits, in order; it stands on no template any more.
///
/// # Errors
/// The first edit that cannot be done: `place` begins with its place in the list.
pub fn apply(rig: &Rig, edits: &[Edit]) -> Result<Rig, RigError> {
    let mut now = rig.clone();
    for (i, edit) in edits.iter().enumerate() {
        let mut next = now.clone();
        one(&mut next, edit)
            .and_then(|()| validate(&next))
            .map_err(|error| RigError { place: format!("edit {}: {}", i + 1, error.place), ..error })?;
        now = next;
    }
    if !edits.is_empty() {
        now.template = None;
    }
    Ok(now)
}

fn one(rig: &mut Rig, edit: &Edit) -> Result<(), RigError> {
    match edit {
        Edit::Part { id, set } => change(rig, id, set),
        Edit::Remove { id } => remove(rig, id),
        Edit::AddTie { id, label, kind, from, to } => add_tie(rig, id, label, *kind, from, to),
        Edit::AddAnchor { id, label, x, y } => {
            let at = format!("at_{id}");
            let draw = place_on_sheet(rig, *x, *y);
            rig.points.push(Point { id: at.clone(), x: *x, y: *y, fixed: true, draw });
            rig.parts.push(Part::plain(id, label, PartKind::Anchor, Line::Shared, &[&at], Support::Ground));
            Ok(())
        }
        Edit::Move { point, x, y } => {
            let own = rig.points.iter_mut().find(|p| p.id == *point);
            let own = own.ok_or_else(|| unknown("point", point))?;
            (own.x, own.y) = (*x, *y);
            Ok(())
        }
        Edit::Load { mass } => {
            if !rig.load.bodies.is_empty() {
                let remedy = "make the rig anew with other masses";
                return Err(RigError::new(
                    "load.mass",
                    "the load is made of bodies with masses of their own",
                    remedy,
                ));
            }
            rig.load.mass = *mass;
            Ok(())
        }
    }
}

fn unknown(what: &str, id: &str) -> RigError {
    RigError::new(id, format!("there is no {what} “{id}”"), "name one of this rig")
}

fn part_of<'a>(rig: &'a mut Rig, id: &str) -> Result<&'a mut Part, RigError> {
    rig.parts.iter_mut().find(|p| p.id == id).ok_or_else(|| unknown("part", id))
}

fn change(rig: &mut Rig, id: &str, set: &PartEdit) -> Result<(), RigError> {
    if let Some((state, how)) = &set.state {
        let own = rig.states.iter_mut().find(|s| s.id == *state).ok_or_else(|| unknown("state", state))?;
        own.devices.insert(id.to_string(), *how);
    }
    let part = part_of(rig, id)?;
    if let Some(label) = &set.label {
        if label.trim().is_empty() {
            return Err(RigError::new(format!("{id}.label"), "a part without a name", "name it"));
        }
        part.label = label.trim().to_string();
    }
    if let Some(kind) = set.kind {
        if !alike(part.kind, kind) {
            let what = format!("a {} cannot take the place of a {}", kind.words(), part.kind.words());
            return Err(RigError::new(format!("{id}.kind"), what, "take the part out and put the other in"));
        }
        part.kind = kind;
    }
    part.loading = set.loading.or(part.loading);
    if let Some(text) = &set.rating {
        let new = rated(id, text, set.rated_by.as_deref())?;
        part.strength = match (part.loading, new) {
            (Some(loading), Some(new)) if loading != Loading::Major => Some(for_loading(part, loading, new)),
            (_, new) => new,
        };
    }
    if let Some(text) = &set.slack {
        let slack = text.trim();
        part.slack = match slack {
            "" => None,
            _ => Some(
                Length::parse(slack)
                    .map_err(|e| RigError::new(format!("{id}.slack"), e.to_string(), "write it like 0.1m"))?,
            ),
        };
    }
    part.material = set.material.or(part.material);
    if let Some(gear) = &set.gear {
        part.gear = (!gear.name.trim().is_empty()).then(|| gear.clone());
    }
    if let Some(purpose) = set.purpose {
        let none = || RigError::new(format!("{id}.purpose"), "it is no device", "choose a device");
        part.device.as_mut().ok_or_else(none)?.purpose = Some(purpose);
    }
    Ok(())
}

/// A rating from text; what weakened the old one (a knot) does not weaken what the team rates as it is.
fn rated(id: &str, text: &str, by: Option<&str>) -> Result<Option<Strength>, RigError> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    let rating = Force::parse(text.trim()).map_err(|e| {
        RigError::new(
            format!("{id}.rating"),
            e.to_string(),
            "write it like 22kN, or leave it empty: not checked",
        )
    })?;
    let words = by.map(str::trim).filter(|by| !by.is_empty()).unwrap_or("set by the team").to_string();
    Ok(Some(Strength::plain(rating, Cited { words, standing: Standing::TeamGear })))
}

/// A rating that speaks of a connector as it is loaded, beside the one it has for its major axis: that is never less.
fn for_loading(part: &Part, loading: Loading, new: Strength) -> Strength {
    let mut whole = part.strength.clone().unwrap_or_else(|| new.clone());
    whole.by_loading.retain(|r| r.loading != loading);
    whole.by_loading.push(RatedLoading { loading, rating: new.rating, cited: new.cited });
    whole
}

/// Kinds that can stand in each other's place without another layout.
fn alike(a: PartKind, b: PartKind) -> bool {
    let hitch = |k| matches!(k, PartKind::ProgressCapture | PartKind::FrictionHitch | PartKind::HaulHitch);
    let knot = |k| matches!(k, PartKind::FocalKnot | PartKind::Plate | PartKind::Ring);
    a == b || (a.is_leg() && b.is_leg()) || (hitch(a) && hitch(b)) || (knot(a) && knot(b))
}

/// Takes a part out of lists, groups, hands and states, and out of every rule that names it.
fn remove(rig: &mut Rig, id: &str) -> Result<(), RigError> {
    let Some(at) = rig.parts.iter().position(|p| p.id == id) else { return Err(unknown("part", id)) };
    if rig.ropes.iter().any(|rope| rope.id == id) {
        let what = format!("“{}” is a rope", rig.parts[at].label);
        return Err(RigError::new(id, what, "make the rig from another template to do without a rope"));
    }
    rig.parts.remove(at);
    for part in &mut rig.parts {
        part.held_by = without(&part.held_by, id).ok_or_else(|| {
            let what = format!("{} would hang on nothing without it", part.label);
            RigError::new(id, what, "put in what holds it first, or take that out before")
        })?;
    }
    let load = without(&rig.load.held_by, id);
    rig.load.held_by = load.ok_or_else(|| {
        RigError::new(id, "the load would hang on nothing without it", "put in what holds it first")
    })?;
    for body in &mut rig.load.bodies {
        let what = format!("{} would hang on nothing without it", body.label);
        body.held_by = without(&body.held_by, id)
            .ok_or_else(|| RigError::new(id, what, "put in what holds it first"))?;
    }
    rig.groups.iter_mut().for_each(|g| g.members.retain(|m| m != id));
    rig.groups.retain(|g| !g.members.is_empty());
    rig.hands.iter_mut().for_each(|h| h.works.retain(|w| w != id));
    for state in &mut rig.states {
        state.devices.remove(id);
        state.without.retain(|w| w != id);
    }
    rig.ropes.iter_mut().for_each(|r| r.joints.retain(|j| j.knot != id));
    Ok(())
}

/// A rule without an id; `None` when nothing is left of it. Of “all of these” nothing is left when one goes.
fn without(rule: &Support, id: &str) -> Option<Support> {
    let rest = |rules: &[Support]| rules.iter().filter_map(|r| without(r, id)).collect::<Vec<_>>();
    match rule {
        Support::Ground => Some(Support::Ground),
        Support::Part(named) => (named != id).then(|| rule.clone()),
        Support::All(rules) => {
            let left = rest(rules);
            (left.len() == rules.len()).then_some(Support::All(left))
        }
        Support::Any(rules) => Some(rest(rules)).filter(|left| !left.is_empty()).map(Support::Any),
        Support::Backup(rules) => Some(rest(rules)).filter(|left| !left.is_empty()).map(Support::Backup),
    }
}

/// A tie holds what sits at its load end beside what holds that already, and is held by what sits at its anchor end.
fn add_tie(
    rig: &mut Rig,
    id: &str,
    label: &str,
    kind: PartKind,
    from: &str,
    to: &str,
) -> Result<(), RigError> {
    let ties = [PartKind::Tether, PartKind::BackupCord, PartKind::Guy];
    if !kind.is_leg() && !ties.contains(&kind) {
        let what = format!("a {} is not put in between two points", kind.words());
        return Err(RigError::new("kind", what, "choose a sling, cord, webbing, tether, backup cord or guy"));
    }
    let holder = rig.parts.iter().find(|p| p.at.len() == 1 && p.at[0] == to).map(|p| p.id.clone());
    let holder = holder.ok_or_else(|| {
        RigError::new(
            "to",
            format!("nothing sits at “{to}” that could hold it"),
            "choose the point of an anchor, knot or plate",
        )
    })?;
    let held = rig.parts.iter_mut().find(|p| {
        p.at.len() == 1
            && p.at[0] == from
            && matches!(
                p.kind,
                PartKind::FocalKnot | PartKind::Plate | PartKind::Ring | PartKind::HighDirectional
            )
    });
    let held = held.ok_or_else(|| {
        RigError::new(
            "from",
            format!("no knot, plate or ring sits at “{from}”"),
            "choose the point of a knot, plate or ring",
        )
    })?;
    let backup = kind == PartKind::BackupCord;
    let line = held.line;
    let new = Support::Part(id.to_string());
    held.held_by = match (&held.held_by, backup) {
        (Support::Any(rules), false) => Support::Any(rules.iter().cloned().chain([new]).collect()),
        (Support::Backup(rules), true) => Support::Backup(rules.iter().cloned().chain([new]).collect()),
        (other, false) => Support::Any(vec![other.clone(), new]),
        (other, true) => Support::Backup(vec![other.clone(), new]),
    };
    rig.parts.push(Part::plain(id, label.trim(), kind, line, &[from, to], Support::Part(holder)));
    Ok(())
}

/// Where a new point lies on the drawing: between its nearest neighbours by real place, or beside them, clear of all others.
fn place_on_sheet(rig: &Rig, x: Length, y: Length) -> [f64; 2] {
    let distance = |p: &Point| {
        let (dx, dy) = (p.x.to_metres() - x.to_metres(), p.y.to_metres() - y.to_metres());
        dx * dx + dy * dy
    };
    let anchors = rig.points.iter().filter(|p| p.fixed && p.draw[1] < 30.0);
    let Some(near) = anchors.min_by(|a, b| distance(a).total_cmp(&distance(b))) else { return [75.0, 9.0] };
    let side = if x >= near.x { 1.0 } else { -1.0 };
    let mut draw = [near.draw[0] + side * 16.0, near.draw[1]];
    let taken = |draw: &[f64; 2]| {
        rig.points.iter().any(|p| (p.draw[0] - draw[0]).abs() < 10.0 && (p.draw[1] - draw[1]).abs() < 6.0)
    };
    while taken(&draw) {
        draw[0] += side * 11.0;
    }
    draw
}
