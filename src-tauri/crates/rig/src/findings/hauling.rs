//! What hauling takes and does, for a state in which a team hauls.

use crate::quantity::BandKn;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// Hauling in one state.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Hauling {
    /// Load over haul with perfect pulleys.
    pub theoretical: f64,
    /// Load over haul with these pulleys at their nominal efficiency, the edge left out.
    pub practical: f64,
    /// The efficiency that the practical advantage used, pulley by pulley.
    pub pulleys: Vec<PulleyUsed>,
    /// Force on the haul line.
    #[serde(rename = "haul_kN")]
    pub haul_kn: BandKn,
    /// What it would take without an edge, nominal.
    #[serde(rename = "without_edge_kN")]
    pub without_edge_kn: f64,
    /// People there are to haul.
    pub people: u32,
    /// People needed, nominal and at the high end of every range.
    pub needed: [u32; 2],
    /// Pull a person, of the guidelines.
    #[serde(rename = "pull_per_person_kN")]
    pub pull_per_person_kn: f64,
    /// How the load travels; `None` when the layout does not say.
    pub travel: Option<HaulTravel>,
    /// Every stretch of every rope that takes part, from the load to the haulers.
    pub strands: Vec<Strand>,
    /// Every anchor, while hauling and at full haul on a jammed load.
    pub anchors: Vec<Jammed>,
    /// The whole team pulls and nothing moves: every part that bears then; empty when it was not solved.
    pub jammed: Vec<Jammed>,
    /// Force of the whole team on the haul line.
    #[serde(rename = "full_haul_kN")]
    pub full_haul_kn: f64,
    /// Other systems for this load, this edge and this crew.
    pub beside: Vec<SystemBeside>,
}

/// A pulley and the efficiency that was used.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct PulleyUsed {
    /// Id of the pulley.
    pub id: String,
    /// Share of the tension left past it, nominal.
    pub efficiency: f64,
}

/// How the load travels while it is hauled, from the rig's lengths by virtual work.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct HaulTravel {
    /// Rope hauled in for a metre of load, m.
    pub rope_per_metre: f64,
    /// How far the load rises from the start of a pull until two things meet, m. Their own size is not counted.
    pub throw_m: f64,
    /// What meets then ("moving pulley and fixed pulley").
    pub meets: String,
    /// Resets for the height of the edge.
    pub resets: u32,
    /// Rope hauled in for the height of the edge, m.
    pub rope_m: f64,
}

/// A stretch of rope between two points.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Strand {
    /// Id of the rope.
    pub rope: String,
    /// Its points, the load's side first.
    pub between: [String; 2],
    /// Its tension while hauling.
    #[serde(rename = "force_kN")]
    pub force_kn: BandKn,
}

/// A part while hauling, and when the whole team pulls and nothing moves.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Jammed {
    /// Id of the part.
    pub id: String,
    /// Its name.
    pub label: String,
    /// Force while hauling.
    #[serde(rename = "hauling_kN")]
    pub hauling_kn: BandKn,
    /// Force at full haul on a jammed load; `None` when it was not solved.
    #[serde(rename = "jammed_kN")]
    pub jammed_kn: Option<BandKn>,
    /// Strength over the high force then; `None` when either is unknown.
    pub margin: Option<f64>,
}

/// Another system for this load, this edge and this crew.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct SystemBeside {
    /// The system ("9:1 compound").
    pub system: String,
    /// Load over haul with perfect pulleys.
    pub theoretical: f64,
    /// Load over haul with every pulley at `efficiency`.
    pub practical: f64,
    /// The efficiency that was used for every pulley.
    pub efficiency: f64,
    /// Force on the haul line: nominal, and at the high end of every range.
    #[serde(rename = "haul_kN")]
    pub haul_kn: [f64; 2],
    /// People needed, nominal and high.
    pub needed: [u32; 2],
    /// Resets for the height; `None` when the throw is unknown.
    pub resets: Option<u32>,
    /// Rope hauled in for the height of the edge, m.
    pub rope_m: f64,
    /// Pull on the anchor of the system, nominal and high: load less haul, as the team pulls away from the edge.
    #[serde(rename = "anchor_kN")]
    pub anchor_kn: [f64; 2],
    /// Tension at the load's side when the whole team pulls and nothing moves: with these pulleys, and without any loss.
    #[serde(rename = "jammed_kN")]
    pub jammed_kn: [f64; 2],
}
