//! A rig that is changed part by part and not recorded yet.

use super::RigDrawing;
use rig::findings::StateFindings;
use rig::model::{
    Below, DeviceClass, DeviceState, Gear, Group, Hand, Loading, Material, PartKind, Purpose, Rope,
};
use serde::Serialize;
use serde_json::Value;
use ts_rs::TS;

/// The rig in use after a list of edits.
#[derive(Clone, Debug, Serialize, TS)]
pub struct RigDraft {
    /// Its drawing, checked.
    pub drawing: RigDrawing,
    /// What differs from the rig that is recorded, in words.
    pub changes: Vec<String>,
    /// What its check found in the state in use.
    pub findings: StateFindings,
    /// What its numbers rest on.
    pub assumptions: Vec<String>,
    /// Parts and rules that fall short in the state in use.
    pub falls_short: usize,
    /// Parts and rules that are not checked.
    pub not_checked: usize,
    /// Names of critical parts and hands.
    pub critical: Vec<String>,
    /// Its parts, for the form.
    pub parts: Vec<DraftPart>,
    /// Its points.
    pub points: Vec<DraftPoint>,
    /// Its ropes.
    pub ropes: Vec<Rope>,
    /// Its hands.
    pub hands: Vec<Hand>,
    /// Its common causes.
    pub groups: Vec<Group>,
    /// Mass of the load.
    pub load_kg: f64,
    /// Height of the edge.
    pub edge_height_m: f64,
    /// What lies under the load.
    pub below: Vec<Below>,
    /// The whole rig, as the step that records it takes it.
    #[ts(type = "unknown")]
    pub rig: Value,
}

/// What is known of a part, as texts for a form.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct DraftPart {
    pub id: String,
    pub label: String,
    pub kind: PartKind,
    /// Points, load end first.
    pub at: Vec<String>,
    /// Rated strength with unit; empty: none.
    pub rating: String,
    pub rated_by: String,
    /// What weakens the rating, in words.
    pub weakened_by: Vec<String>,
    /// Classes of the catalogue that it can be rated by.
    pub classes: Vec<DraftClass>,
    pub material: Option<Material>,
    pub loading: Option<Loading>,
    /// With unit; empty: none.
    pub slack: String,
    pub gear: Option<Gear>,
    pub purpose: Option<Purpose>,
    pub class: Option<DeviceClass>,
    /// With unit; empty: not said.
    pub rated_load: String,
    /// State of a device in the state in use.
    pub state: Option<DeviceState>,
    /// Share of the tension left past a pulley; empty: no pulley.
    pub efficiency: String,
    /// From point to point, where its load end is free.
    pub length_m: Option<f64>,
    /// Included angle of the outermost legs that hold it.
    pub angle_deg: Option<f64>,
    pub is_device: bool,
}

/// A class of the catalogue.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct DraftClass {
    pub id: String,
    pub label: String,
}

/// A point by what sits there.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct DraftPoint {
    pub id: String,
    pub label: String,
    pub x_m: f64,
    pub y_m: f64,
}
