//! The rig file: points, parts, ropes, hands, groups and states in one namespace of ids.

mod part;
mod rope;
mod run;
mod strength;

pub use part::{Line, Part, PartKind};
pub use rope::{Hand, HandTask, Joint, Rope};
pub use run::ROPE_LENGTH;
pub use strength::{
    Device, DeviceClass, DeviceState, Factor, ForceBand, Gear, Loading, Material, Purpose, RatedLoading,
    Strength, Support,
};

use crate::quantity::{Angle, Length, Mass, Ratio};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use ts_rs::TS;

/// The rig file's format word.
pub const FORMAT: &str = "ledgebook-rig/0";

/// A rig as the team made it. Ratings are copied in, so that an old rig means what it meant.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Rig {
    /// `ledgebook-rig/0`.
    pub format: String,
    /// Short name in this operation ("lower").
    pub name: String,
    /// What it is, in words ("Twin lower, two focal knots").
    pub title: String,
    /// The template it was made from and what was set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub template: Option<TemplateUse>,
    /// The load.
    pub load: Load,
    /// The edge.
    pub edge: Edge,
    /// Points of the rig.
    pub points: Vec<Point>,
    /// Parts.
    pub parts: Vec<Part>,
    /// Ropes, each one element over a path of points.
    pub ropes: Vec<Rope>,
    /// Hands: slots that the operation binds to people by role.
    pub hands: Vec<Hand>,
    /// Common causes: parts that share one fate.
    pub groups: Vec<Group>,
    /// States, the first being the one that is checked first.
    pub states: Vec<State>,
    /// What the numbers rest on.
    pub assumptions: Vec<Assumption>,
    /// Version of the catalogue that the ratings came from.
    pub catalogue: String,
}

impl Rig {
    /// The point of an id.
    pub fn point(&self, id: &str) -> Option<&Point> {
        self.points.iter().find(|p| p.id == id)
    }
    /// The part of an id.
    pub fn part(&self, id: &str) -> Option<&Part> {
        self.parts.iter().find(|p| p.id == id)
    }
    /// The rope of an id.
    pub fn rope(&self, id: &str) -> Option<&Rope> {
        self.ropes.iter().find(|r| r.id == id)
    }
    /// The hand of an id.
    pub fn hand(&self, id: &str) -> Option<&Hand> {
        self.hands.iter().find(|h| h.id == id)
    }
    /// The state of an id, or the first.
    pub fn state(&self, id: Option<&str>) -> Option<&State> {
        match id {
            Some(id) => self.states.iter().find(|s| s.id == id),
            None => self.states.first(),
        }
    }
}

/// Which template, and what was set.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct TemplateUse {
    /// Template id ("twin-lower-two-knots").
    pub name: String,
    /// Parameter values as text with unit, defaults included; but the length of the ropes only where somebody said it.
    pub set: BTreeMap<String, String>,
}

/// What hangs on the rig.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Load {
    /// Mass of everything that hangs below the edge.
    pub mass: Mass,
    /// Share of the load on rope one, when both carry.
    pub share_one: Band,
    /// Ids of the points the ropes end at (bridle rings, harness points).
    pub points: Vec<String>,
    /// What the load must be held by: the rule that every loss is judged by.
    pub held_by: Support,
    /// Which way the load pulls, off the vertical, to the right positive; `None`: straight down.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pull: Option<Angle>,
    /// Shares of the load by rope where more than two carry; what is left out carries what is left.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub shares: BTreeMap<String, Band>,
    /// Who and what the load is made of, where each hangs on something of its own; the masses add up to the load's.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub bodies: Vec<Body>,
}

/// One body of the load: the litter with the patient, an attendant.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Body {
    /// Id.
    pub id: String,
    /// In words ("attendant").
    pub label: String,
    /// Its mass.
    pub mass: Mass,
    /// What it must be held by.
    pub held_by: Support,
}

/// The edge and what lies below.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Edge {
    /// Height of the edge over the ground.
    pub height: Length,
    /// Tension ratio across the edge when the rope slides, loaded side over slack side (≥ 1).
    pub friction: Band,
    /// How far a rope turns over the edge; for the force on what protects it.
    pub turn: Angle,
    /// Slope of the ground that the load lies on, from the horizontal; `None`: it hangs free.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slope: Option<Slope>,
    /// What the load would meet before the ground on its way down.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub below: Vec<Below>,
}

/// Something under the load that a fall could end on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Below {
    /// What it is.
    pub kind: BelowKind,
    /// Its height over the ground at the foot.
    pub height: Length,
}

/// What lies under the load.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum BelowKind {
    /// A ledge of the wall.
    Ledge,
    /// A surface of water.
    Water,
}

impl BelowKind {
    /// In one word.
    pub fn words(self) -> &'static str {
        match self {
            BelowKind::Ledge => "ledge",
            BelowKind::Water => "water",
        }
    }
}

impl Edge {
    /// What a load at a height over the ground, m, would meet first when it falls, with that one's height; `None`: the ground.
    /// What it just touches is behind it.
    pub fn under(&self, height: f64) -> Option<(BelowKind, f64)> {
        let lower =
            self.below.iter().map(|b| (b.kind, b.height.to_metres())).filter(|b| b.1 < height - TOUCH);
        lower.reduce(|a, b| if b.1 > a.1 { b } else { a })
    }
}

/// Nearer than this, m, it is passed.
const TOUCH: f64 = 1e-6;

/// A slope under the load: rope force = W (sin α ∓ μ cos α).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Slope {
    /// Angle from the horizontal.
    pub angle: Angle,
    /// Coefficient of friction between load and ground.
    pub friction: Band,
}

/// A range of a plain number with its standing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Band {
    /// Low end.
    pub low: Ratio,
    /// Most likely.
    pub nominal: Ratio,
    /// High end.
    pub high: Ratio,
    /// Where it comes from.
    pub cited: Cited,
}

/// Where a number comes from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Cited {
    /// Edition or origin in words ("EN 1891:1998 type A, 22 kN").
    pub words: String,
    /// How well it is known.
    pub standing: Standing,
}

/// How well a number is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// Read in the published text itself.
    Published,
    /// Read in a secondary summary.
    SecondHand,
    /// From memory, not seen.
    Memory,
    /// Common practice without a source.
    CommonPractice,
    /// An assumption.
    Assumption,
    /// From the team's own gear list or measurement.
    TeamGear,
}

impl Standing {
    /// The standing in words, as it stands beside a number.
    pub fn words(self) -> &'static str {
        match self {
            Standing::Published => "published",
            Standing::SecondHand => "second-hand",
            Standing::Memory => "from memory",
            Standing::CommonPractice => "common practice, no source",
            Standing::Assumption => "assumed",
            Standing::TeamGear => "set by the team",
        }
    }
}

/// A point of the rig: real place for the statics, and a place on the drawing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Point {
    /// Id.
    pub id: String,
    /// Real place across, right positive.
    pub x: Length,
    /// Real place up, above the ground below the edge.
    pub y: Length,
    /// Whether the ground, or the stance of a haul team, holds it.
    pub fixed: bool,
    /// Place on the drawing in mm of a 174 mm wide sheet: x from the left, y down from the top.
    pub draw: [f64; 2],
}

/// A common cause.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Group {
    /// Id.
    pub id: String,
    /// What happens ("edge lip cuts both ropes").
    pub label: String,
    /// Ids that are lost together.
    pub members: Vec<String>,
}

/// A state of the rig.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct State {
    /// Id ("lowering").
    pub id: String,
    /// In words.
    pub label: String,
    /// Which way the load goes.
    pub motion: Sliding,
    /// State of each device and hitch.
    pub devices: BTreeMap<String, DeviceState>,
    /// Ids of hands at work in this state.
    pub hands: Vec<String>,
    /// Ids of parts that are not there (not rigged yet, or taken out) in this state: a step of a change-over.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub without: Vec<String>,
}

/// Which way rope slides over contacts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum Sliding {
    /// Held still: friction may act either way.
    Held,
    /// The load goes down.
    Lowering,
    /// The load goes up.
    Raising,
}

/// Something the numbers rest on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Assumption {
    /// What ("edge friction ratio").
    pub label: String,
    /// Its value and range in words, with unit ("1.48 (1.1 to 2.6)").
    pub value: String,
    /// Where it comes from.
    pub cited: Cited,
}
