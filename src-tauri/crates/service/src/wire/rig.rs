//! The rig in use, who signed it, and its drawing, for the screens.

use ::rig::findings::{CheckReport, FallFinding, LossFinding, PartFinding, SystemFall};
use drawing::DisplayList;
use drawing::fall::FallPicture;
use serde::Serialize;
use std::collections::BTreeMap;
use ts_rs::TS;

/// The rig in use.
#[derive(Clone, Debug, Serialize, TS)]
pub struct RigView {
    /// Name in this operation.
    pub name: String,
    /// Title.
    pub title: String,
    /// Template and what was set.
    pub template: Option<String>,
    /// Parameters as text with unit.
    pub set: BTreeMap<String, String>,
    /// States (id, label).
    pub states: Vec<(String, String)>,
    /// State the team is on.
    pub state: String,
    /// Set while it is in use only because it was made last: the rig the team was on.
    pub instead_of: Option<InsteadOf>,
    /// Last check, as stored.
    pub check: Option<CheckReport>,
    /// Entry number of that check.
    pub check_seq: Option<u64>,
    /// Local time of the check.
    pub check_time: Option<String>,
    /// The rig or guidelines changed since the check.
    pub stale: bool,
    /// Signatures.
    pub signatures: Vec<SignatureView>,
    /// Acceptances of failing checks, in words.
    pub accepted: Vec<String>,
}

/// The rig the team was on when another was made and came into use unsaid.
#[derive(Clone, Debug, Serialize, TS)]
pub struct InsteadOf {
    /// Its name.
    pub rig: String,
    /// Its state, in words.
    pub state: String,
    /// Local time the other was made.
    pub time: String,
    /// Entry number of that.
    pub seq: u64,
}

/// A signature.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct SignatureView {
    pub role: String,
    pub person: String,
    pub time: String,
    /// Entry number of the check that was signed.
    pub covers: u64,
    pub stale: bool,
}

/// The rig drawing for the screen.
#[derive(Clone, Debug, Serialize, TS)]
pub struct RigDrawing {
    /// The drawing; groups carry part ids.
    pub list: DisplayList,
    /// The same on a wider sheet: the screen shows the one whose words come out larger.
    pub wide: Option<DisplayList>,
    /// Ids along the load path, anchors to load, for the arrow keys.
    pub order: Vec<String>,
    /// What becomes of the load, when something is marked lost.
    pub loss: Option<LossFinding>,
    /// Parts as drawn (after the loss, if any).
    pub parts: Vec<PartFinding>,
    /// How far the load drops after that loss, and its drawing; `None` while nothing is lost.
    pub fall: Option<FallView>,
}

/// A fall as it is told, drawn and played.
#[derive(Clone, Debug, Serialize, TS)]
pub struct FallView {
    /// What becomes of the load.
    pub finding: FallFinding,
    /// To scale.
    pub picture: FallPicture,
    /// What moves it most, a bar each; `None` where no fall is reckoned.
    pub ranks: Option<DisplayList>,
    /// The first figures, from few runs: the rest is still to be asked for.
    pub first: bool,
}

/// The same site and load on other systems.
#[derive(Clone, Debug, Serialize, TS)]
pub struct BesideView {
    /// The falls; empty where there is nothing to set beside, and the words say why.
    pub systems: Vec<SystemFall>,
    /// Side by side.
    pub picture: DisplayList,
    /// For each of them what moves it most.
    pub ranks: Vec<DisplayList>,
    /// What they are of.
    pub words: String,
}
