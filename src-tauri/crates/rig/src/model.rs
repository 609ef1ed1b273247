//! The rig file: points, parts, ropes, hands, groups and states in one namespace of ids.

use crate::quantity::{Angle, Force, Length, Mass, Ratio};
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
    /// Parameter values as text with unit, defaults included.
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

/// A part.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Part {
    /// Id.
    pub id: String,
    /// Name on drawings ("V leg 1a, cord 8 mm").
    pub label: String,
    /// Kind.
    pub kind: PartKind,
    /// Which rope system it belongs to.
    pub line: Line,
    /// One point (anchor, knot, device) or two (leg, connector), load end first.
    pub at: Vec<String>,
    /// Strength; `None` when there is no published rating or team value: not checked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub strength: Option<Strength>,
    /// What it must be held by.
    pub held_by: Support,
    /// A part whose loss cannot be doubled by its wearer (bridle, litter, tie-in, harness).
    #[serde(default)]
    pub always_critical: bool,
    /// For whatever grips a rope: descent control devices, hitches, progress captures.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub device: Option<Device>,
    /// For pulleys: the part of a tension that is left past the sheave (≤ 1).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub efficiency: Option<Band>,
}

/// Which rope system a part belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum Line {
    /// Rope one.
    One,
    /// Rope two.
    Two,
    /// Both.
    Shared,
}

/// Kinds of part, in the trade's general terms.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum PartKind {
    Anchor,
    Sling,
    CordLeg,
    FocalKnot,
    Connector,
    Plate,
    Device,
    Pulley,
    ProgressCapture,
    HaulHitch,
    EdgeProtection,
    EdgeLip,
    Rope,
    EndKnot,
    BridleRing,
    Bridle,
    Litter,
    PatientTieIn,
    Harness,
    HarnessPoint,
    Tether,
    BackupCord,
}

impl PartKind {
    /// The kind in the trade's words.
    pub fn words(self) -> &'static str {
        match self {
            PartKind::Anchor => "anchor",
            PartKind::Sling => "sling",
            PartKind::CordLeg => "cord leg",
            PartKind::FocalKnot => "focal knot",
            PartKind::Connector => "connector",
            PartKind::Plate => "rigging plate",
            PartKind::Device => "device",
            PartKind::Pulley => "pulley",
            PartKind::ProgressCapture => "progress capture",
            PartKind::HaulHitch => "haul hitch",
            PartKind::EdgeProtection => "edge protection",
            PartKind::EdgeLip => "edge lip",
            PartKind::Rope => "rope",
            PartKind::EndKnot => "end knot",
            PartKind::BridleRing => "bridle ring",
            PartKind::Bridle => "litter bridle",
            PartKind::Litter => "litter",
            PartKind::PatientTieIn => "patient tie-in",
            PartKind::Harness => "harness",
            PartKind::HarnessPoint => "harness point",
            PartKind::Tether => "tether",
            PartKind::BackupCord => "backup cord",
        }
    }
}

/// Strength of a part: a rating times what weakens it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Strength {
    /// Rated strength.
    pub rating: Force,
    /// Where the rating comes from.
    pub cited: Cited,
    /// Factors ≤ 1 (knot, bend, cross-load); the low end counts.
    pub factors: Vec<Factor>,
}

/// Something that weakens a part.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Factor {
    /// What it is ("figure eight loop").
    pub words: String,
    /// How much is left.
    pub ratio: Band,
}

/// A support rule: what must be held for this to be held.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum Support {
    /// The ground itself.
    Ground,
    /// Another id holds.
    Part(String),
    /// All of these hold.
    All(Vec<Support>),
    /// Any of these holds.
    Any(Vec<Support>),
    /// As `Any`, but the later ones bear only after a drop or a swing onto them.
    Backup(Vec<Support>),
}

/// A descent control device.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Device {
    /// What its handle does.
    pub class: DeviceClass,
    /// Rope diameters it takes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub takes: Option<[Length; 2]>,
    /// Slip force when closed, as an assumption or the maker's value.
    pub closed: ForceBand,
    /// How many times the grip of a hand on the rope behind it the device resists; `None`: unknown.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gain: Option<Band>,
    /// What it resists open, with no hand on the rope; `None`: unknown.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub residual: Option<ForceBand>,
}

/// A range of force with its standing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct ForceBand {
    /// Low end.
    pub low: Force,
    /// Most likely.
    pub nominal: Force,
    /// High end.
    pub high: Force,
    /// Where it comes from.
    pub cited: Cited,
}

/// Device classes by what the handle does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum DeviceClass {
    /// Closes when released.
    SelfClosing,
    /// Closes when released or over-pulled.
    SelfClosingPanic,
    /// Runs unless tied off.
    Passive,
    /// Locks on a quick rope; may not lock on a slow or slack one.
    SnatchLocking,
    /// A friction hitch: sets only if nobody holds it.
    FrictionHitch,
}

/// State of a device or hitch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum DeviceState {
    /// Tied off: holds whoever acts.
    TiedOff,
    /// Closed.
    Closed,
    /// Handle held open by its operator.
    Open,
    /// Rope fed through without load.
    Feeding,
}

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
    /// Diameter.
    pub diameter: Length,
    /// Stiffness EA.
    pub stiffness: ForceBand,
    /// Rope taken by knots and tails.
    pub knots: Length,
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
