//! What parts bear: strength, devices, forces, gear.

use super::{Band, Cited};
use crate::quantity::{Force, Length, Mass};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// Strength of a part: a rating times what weakens it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Strength {
    /// Rated strength.
    pub rating: Force,
    /// Where the rating comes from.
    pub cited: Cited,
    /// Factors ≤ 1 (knot, bend, choke); the low end counts.
    pub factors: Vec<Factor>,
    /// For connectors: what it bears loaded in another way than along its major axis; what is not here is unrated.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub by_loading: Vec<RatedLoading>,
}

impl Strength {
    /// A rating without anything that weakens it.
    pub fn plain(rating: Force, cited: Cited) -> Strength {
        Strength { rating, cited, factors: Vec::new(), by_loading: Vec::new() }
    }

    /// The rating for a way of loading with its source; `None`: unrated for it.
    pub fn loaded(&self, loading: Option<Loading>) -> Option<(Force, &Cited)> {
        match loading {
            None | Some(Loading::Major) => Some((self.rating, &self.cited)),
            Some(other) => self.by_loading.iter().find(|r| r.loading == other).map(|r| (r.rating, &r.cited)),
        }
    }
}

/// What a connector bears in a way of loading.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct RatedLoading {
    /// How it is loaded.
    pub loading: Loading,
    /// What it bears so.
    pub rating: Force,
    /// Where that comes from.
    pub cited: Cited,
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
    /// What its maker lets it be used for; `None`: not said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub purpose: Option<Purpose>,
    /// The greatest load its maker rates it for; `None`: not said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rated_load: Option<Mass>,
}

/// What a descent control device may be used for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum Purpose {
    /// To let a load down.
    Descent,
    /// To catch a load on a rope that is tended without tension.
    Belay,
    /// Both.
    Both,
}

/// What a part is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum Material {
    Hmpe,
    Aramid,
    Polyester,
    Nylon,
    Steel,
    Aluminium,
    Other,
}

/// How a connector is loaded.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum Loading {
    /// Along its major axis, gate locked.
    Major,
    /// Across.
    Minor,
    /// Along its major axis, gate open.
    OpenGate,
    /// From three ways.
    ThreeWay,
}

impl Loading {
    /// How it is loaded, in words.
    pub fn words(self) -> &'static str {
        match self {
            Loading::Major => "along its major axis",
            Loading::Minor => "across its minor axis",
            Loading::OpenGate => "with its gate open",
            Loading::ThreeWay => "from three ways",
        }
    }
}

/// A piece of the team's own gear, without its maker.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Gear {
    /// What the team calls it ("blue rope 2").
    pub name: String,
    /// Its serial or tag; `None`: not said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub serial: Option<String>,
    /// Since when it is in service, as the team writes it ("2024-03"); `None`: not said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub in_service_since: Option<String>,
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
