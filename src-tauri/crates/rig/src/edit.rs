//! A rig changed part by part, beyond its template's values. Each edit answers a whole new rig that is valid, or says in words
//! why not; the old one is left as it was, so that taking back an edit is dropping it from the list.
//!
//! An edit never makes the support rules rosier than the rig is: what hung on a part that is taken out hangs on nothing, unless
//! something beside it held too or it was a link between two things; what is put in holds only from where it is made fast.

mod add;
mod changes;
mod hands;
mod part;
mod remove;
mod shape;
mod sheet;

pub use changes::changes;
pub use part::{PartEdit, classes};

use crate::error::RigError;
use crate::model::{Below, HandTask, Part, PartKind, Rig};
use crate::quantity::{Angle, Length, Mass};
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
    /// A part is taken out, with what was tied to it alone. Where a link between two things goes, they meet.
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
    /// A connector, sling or load-release hitch is put in as a link between a part and what holds it.
    AddLink {
        /// Its id; its upper point is `at_ID`.
        id: String,
        /// Its name.
        label: String,
        /// Its kind.
        kind: PartKind,
        /// The part that hangs on it from then on.
        below: String,
    },
    /// A pulley is put into a rope's path, on a point that something holds.
    AddPulley {
        /// Its id.
        id: String,
        /// Its name.
        label: String,
        /// The rope that runs through it.
        rope: String,
        /// The point of the rope's path that it follows, seen from the load.
        after: String,
        /// The point where it is made fast.
        to: String,
    },
    /// Edge protection is put under the ropes at a point of the edge.
    AddEdge {
        /// Its id.
        id: String,
        /// Its name.
        label: String,
        /// The point where a rope meets the edge.
        at: String,
    },
    /// A leg, sling, cord, tether or guy is made fast elsewhere.
    Retie {
        /// Its id.
        id: String,
        /// Its anchor end from now on.
        to: String,
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
    /// A leg or link gets this length; what hangs below moves with it.
    TieLength {
        /// Its id.
        id: String,
        /// From point to point.
        length: Length,
    },
    /// The outermost legs of a knot, plate or ring enclose this angle; what hangs below moves with it.
    VAngle {
        /// The knot, plate or ring.
        knot: String,
        /// Included angle.
        angle: Angle,
    },
    /// The edge gets another height over the ground below; what lies above it keeps its place beside it.
    EdgeHeight {
        /// Its height.
        height: Length,
    },
    /// What lies under the load, in place of what was said before.
    Below {
        /// All of it; nothing: the ground alone.
        below: Vec<Below>,
    },
    /// What is known of a rope; `None`: as it is.
    Rope {
        /// Its id.
        id: String,
        /// Whole length.
        length: Option<Length>,
        /// Diameter.
        diameter: Option<Length>,
        /// Whether its far end is stopped or tied off.
        stopper: Option<bool>,
    },
    /// The load.
    Load {
        /// Its mass.
        mass: Mass,
    },
    /// A hand is put to work in every state in which hands are at work.
    AddHand {
        /// Its id.
        id: String,
        /// Its role ("tailer").
        role: String,
        /// What it does.
        task: HandTask,
        /// Ids of the devices, hitches or ropes it works.
        works: Vec<String>,
        /// How many share it.
        people: u32,
    },
    /// A hand works these from now on.
    HandWorks {
        /// Its id.
        id: String,
        /// Ids of devices, hitches or ropes.
        works: Vec<String>,
    },
    /// A hand is taken away.
    RemoveHand {
        /// Its id.
        id: String,
    },
    /// Parts share one fate from now on; a common cause of this id is made anew.
    Group {
        /// Its id.
        id: String,
        /// What happens ("one tree carries both").
        label: String,
        /// What is lost together.
        members: Vec<String>,
    },
    /// Parts no longer share one fate.
    Ungroup {
        /// Its id.
        id: String,
    },
}

/// The rig after these edits, in order; it stands on no template any more.
///
/// # Errors
/// The first edit that cannot be done: `place` begins with its place in the list.
pub fn apply(rig: &Rig, edits: &[Edit]) -> Result<Rig, RigError> {
    if edits.is_empty() {
        return Ok(rig.clone());
    }
    let mut now = rig.clone().off_template();
    for (i, edit) in edits.iter().enumerate() {
        let mut next = now.clone();
        one(&mut next, edit)
            .and_then(|()| validate(&next))
            .map_err(|error| RigError { place: format!("edit {}: {}", i + 1, error.place), ..error })?;
        now = next;
    }
    Ok(now)
}

fn one(rig: &mut Rig, edit: &Edit) -> Result<(), RigError> {
    match edit {
        Edit::Part { id, set } => part::change(rig, id, set),
        Edit::Remove { id } => remove::remove(rig, id),
        Edit::AddTie { id, label, kind, from, to } => {
            add::tie(rig, &add::New { id, label, kind: *kind }, from, to)
        }
        Edit::AddAnchor { id, label, x, y } => add::anchor(rig, id, label, *x, *y),
        Edit::AddLink { id, label, kind, below } => {
            add::link(rig, &add::New { id, label, kind: *kind }, below)
        }
        Edit::AddPulley { id, label, rope, after, to } => {
            add::pulley(rig, &add::New { id, label, kind: PartKind::Pulley }, rope, after, to)
        }
        Edit::AddEdge { id, label, at } => add::edge(rig, id, label, at),
        Edit::Retie { id, to } => shape::retie(rig, id, to),
        Edit::Move { point, x, y } => shape::moved(rig, point, *x, *y),
        Edit::TieLength { id, length } => shape::tie_length(rig, id, *length),
        Edit::VAngle { knot, angle } => shape::v_angle(rig, knot, *angle),
        Edit::EdgeHeight { height } => shape::edge_height(rig, *height),
        Edit::Below { below } => {
            rig.edge.below = below.clone();
            Ok(())
        }
        Edit::Rope { id, length, diameter, stopper } => {
            let rope = rig.ropes.iter_mut().find(|r| r.id == *id).ok_or_else(|| unknown("rope", id))?;
            if let Some(length) = length {
                (rope.length, rope.length_said) = (*length, Some(true));
            }
            rope.diameter = diameter.unwrap_or(rope.diameter);
            rope.stopper = stopper.or(rope.stopper);
            Ok(())
        }
        Edit::Load { mass } => load(rig, *mass),
        Edit::AddHand { id, role, task, works, people } => hands::add(rig, id, role, *task, works, *people),
        Edit::HandWorks { id, works } => hands::works(rig, id, works),
        Edit::RemoveHand { id } => hands::remove(rig, id),
        Edit::Group { id, label, members } => hands::group(rig, id, label, members),
        Edit::Ungroup { id } => hands::ungroup(rig, id),
    }
}

fn load(rig: &mut Rig, mass: Mass) -> Result<(), RigError> {
    if !rig.load.bodies.is_empty() {
        let remedy = "make the rig anew with other masses";
        return Err(RigError::new(
            "load.mass",
            "the load is made of bodies with masses of their own",
            remedy,
        ));
    }
    rig.load.mass = mass;
    Ok(())
}

fn unknown(what: &str, id: &str) -> RigError {
    RigError::new(id, format!("there is no {what} “{id}”"), "name one of this rig")
}

fn part_of<'a>(rig: &'a mut Rig, id: &str) -> Result<&'a mut Part, RigError> {
    rig.parts.iter_mut().find(|p| p.id == id).ok_or_else(|| unknown("part", id))
}

/// A part that others can be made fast to: it sits at this one point.
fn holder_at<'a>(rig: &'a Rig, point: &str) -> Result<&'a Part, RigError> {
    let kinds = [PartKind::Anchor, PartKind::FocalKnot, PartKind::Plate, PartKind::Ring];
    let here = rig.parts.iter().find(|p| p.at.len() == 1 && p.at[0] == point && kinds.contains(&p.kind));
    here.ok_or_else(|| {
        let what = format!("nothing sits at “{point}” that could hold it");
        RigError::new(point, what, "choose the point of an anchor, knot, plate or ring")
    })
}
