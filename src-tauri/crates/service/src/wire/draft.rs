//! A rig that is changed part by part and not recorded yet.

use super::RigDrawing;
use rig::model::{Gear, Loading, Material, PartKind, Purpose};
use serde::Serialize;
use serde_json::Value;
use ts_rs::TS;

/// The rig in use after a list of edits.
#[derive(Clone, Debug, Serialize, TS)]
pub struct RigDraft {
    /// Its drawing, checked.
    pub drawing: RigDrawing,
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
    pub material: Option<Material>,
    pub loading: Option<Loading>,
    /// With unit; empty: none.
    pub slack: String,
    pub gear: Option<Gear>,
    pub purpose: Option<Purpose>,
    pub is_device: bool,
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
