//! Ropes, and the hands at work on them.

use super::{ForceBand, Line, Material};
use crate::quantity::Length;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// A rope: one element over a path of points, load end first.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Rope {
    /// Id; its strength stands in the part of the same id.
    pub id: String,
    /// Name ("rope one").
    pub label: String,
    /// Which rope system.
    pub line: Line,
    /// Points it runs over, load end first.
    pub path: Vec<String>,
    /// Whole length of the rope.
    pub length: Length,
    /// Whether somebody said that length; `None`: told by the template (`Rig::length_said`).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_said: Option<bool>,
    /// Diameter.
    pub diameter: Length,
    /// Stiffness EA.
    pub stiffness: ForceBand,
    /// Rope taken by knots and tails.
    pub knots: Length,
    /// What it is made of; `None`: not said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub material: Option<Material>,
    /// Knots that join it to another length, load end first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub joints: Vec<Joint>,
    /// Whether its far end has a stopper knot or is tied off; `None`: not said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stopper: Option<bool>,
}

/// A knot in the run of a rope.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Joint {
    /// The part that is this knot; its strength stands there.
    pub knot: String,
    /// How far from the load's end of the rope.
    pub at: Length,
}

/// A hand at work: a slot that the operation binds to a person by role.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Hand {
    /// Id, also its name before anyone is bound ("rope_one_operator").
    pub id: String,
    /// The role, as in the guidelines ("rope one operator").
    pub role: String,
    /// What it does.
    pub task: HandTask,
    /// Ids of the devices, hitches or ropes it works.
    pub works: Vec<String>,
    /// Force of its grip on a rope; `None`: unknown.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grip: Option<ForceBand>,
    /// How many people share the slot (a haul team).
    #[serde(default = "one", skip_serializing_if = "is_one")]
    pub people: u32,
}

fn one() -> u32 {
    1
}

#[allow(clippy::trivially_copy_pass_by_ref)]
fn is_one(people: &u32) -> bool {
    *people == 1
}

/// What a hand does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum HandTask {
    /// Works the handle of a device.
    Operator,
    /// Holds the rope behind a device.
    Tailer,
    /// Pulls.
    Haul,
    /// Minds a hitch.
    HitchMinder,
    /// Tends a guide line.
    GuideLine,
    /// Is an anchor with the own body.
    HumanAnchor,
}
