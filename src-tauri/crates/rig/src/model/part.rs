//! Parts of a rig, and what they must be held by.

use super::{Band, Device, ForceBand, Gear, Loading, Material, Strength, Support};
use crate::quantity::Length;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

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
    /// What it is made of, where that matters; `None`: not said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub material: Option<Material>,
    /// Stiffness EA of a leg, sling, tether, guy or strut; `None`: a class assumption of the engine.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stiffness: Option<ForceBand>,
    /// What has to be taken up before it bears (a backup cord, a tether); `None`: none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slack: Option<Length>,
    /// How a connector is loaded; `None`: along its major axis, gate locked, as its rating says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub loading: Option<Loading>,
    /// Coefficient of friction μ where a rope bears on it (edge, roller, ring): the ratio is e^(μθ), θ the
    /// turn that the rope makes there. `None`: the rig's ratio at the edge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub friction: Option<Band>,
    /// Rope diameters that a pulley or a hitch takes, least and greatest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub takes: Option<[Length; 2]>,
    /// Diameter of a pulley's sheave.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sheave: Option<Length>,
    /// Which piece of the team's own gear it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gear: Option<Gear>,
}

impl Part {
    /// A part with nothing known of it but what it is, where, and what holds it.
    pub fn plain(id: &str, label: &str, kind: PartKind, line: Line, at: &[&str], held_by: Support) -> Part {
        Part {
            id: id.into(),
            label: label.into(),
            kind,
            line,
            at: at.iter().map(|s| (*s).to_string()).collect(),
            strength: None,
            held_by,
            always_critical: false,
            device: None,
            efficiency: None,
            material: None,
            stiffness: None,
            slack: None,
            loading: None,
            friction: None,
            takes: None,
            sheave: None,
            gear: None,
        }
    }
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
    WebbingLeg,
    Ring,
    FrictionHitch,
    LoadReleaseHitch,
    JoiningKnot,
    StopperKnot,
    /// A leg of a high directional: it bears compression.
    Strut,
    Guy,
    /// The head of a high directional, where its legs, guys and pulleys meet.
    HighDirectional,
    /// A person who hangs on the load's side.
    Attendant,
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
            PartKind::WebbingLeg => "webbing leg",
            PartKind::Ring => "ring",
            PartKind::FrictionHitch => "friction hitch",
            PartKind::LoadReleaseHitch => "load-release hitch",
            PartKind::JoiningKnot => "joining knot",
            PartKind::StopperKnot => "stopper knot",
            PartKind::Strut => "leg of the high directional",
            PartKind::Guy => "guy",
            PartKind::HighDirectional => "high directional",
            PartKind::Attendant => "attendant",
        }
    }

    /// Whether it is a leg of an anchor: cord, webbing or a sling.
    pub fn is_leg(self) -> bool {
        matches!(self, PartKind::Sling | PartKind::CordLeg | PartKind::WebbingLeg)
    }

    /// Whether a rope bears on it at the edge.
    pub fn is_edge(self) -> bool {
        matches!(self, PartKind::EdgeProtection | PartKind::EdgeLip)
    }
}
