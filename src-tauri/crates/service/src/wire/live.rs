//! What stands in the live operation: the motion with what is done inside it, and who has not answered.

use serde::Serialize;
use ts_rs::TS;

/// What the load is doing.
#[derive(Clone, Debug, Serialize, TS)]
pub struct MotionView {
    /// One of the motions (`at_rest`, `under_load_test`, …).
    pub motion: String,
    /// In words ("Lowering").
    pub words: String,
    /// Since when.
    pub since_ms: f64,
    /// Ordered slow.
    pub slow: bool,
    /// Second line ("9 m out of 14, called 13:31:05" or "silent: rope two").
    pub detail: String,
    /// Short names of operators who have not reported stopped.
    pub silent: Vec<String>,
    /// Last called metres out, and when.
    pub metres_out: Option<f64>,
    /// When the metres were called.
    pub metres_ms: Option<f64>,
    /// How much rope is left; `None`: no rig was entered and no metres were called.
    pub ropes: Option<RopesView>,
    /// The load moves, and nobody stands in the record as on rope.
    pub nobody_on_rope: bool,
    /// What is done inside the motion.
    pub phase: Option<PhaseView>,
}

/// How much rope is left behind what the ropes run through.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub struct RopesView {
    /// Loaded ropes, those of which the same is said together.
    pub lines: Vec<RopeLine>,
    /// What else is to be known ("at that call; less by now", "not checked: no rig was entered"); empty: nothing.
    pub note: String,
}

/// What is left of one rope, or of several alike.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub struct RopeLine {
    /// Names ("rope one"; "both ropes" where the same is said of both).
    pub ropes: String,
    /// Metres left; `None`: not known.
    pub left_m: Option<f64>,
    /// In words ("12.4 m left", "rope length not known").
    pub words: String,
    /// Less than the guidelines ask to spare.
    pub near: bool,
}

/// A phase inside the motion: a knot pass, a reset, a change-over.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub struct PhaseView {
    /// `knot_pass`, `reset` or `change_over`.
    pub phase: String,
    /// In words ("change-over to raise").
    pub words: String,
    /// Since when.
    pub since_ms: f64,
    /// Entry number of control's order.
    pub seq: u64,
    /// What tells that it is done.
    pub done: Option<DoesView>,
}

/// An order that one role has not read back.
#[derive(Clone, Debug, Serialize, TS)]
pub struct Slot {
    /// Id of the order's entry.
    pub order: String,
    /// The order's words.
    pub text: String,
    /// Whom it waits for ("rope two operator").
    pub role: String,
    /// Short name ("rope two").
    pub short: String,
    /// Code that answers it in the free line ("2").
    pub code: String,
    /// Since when.
    pub since_ms: f64,
    /// Seconds until it stands out.
    pub limit_s: f64,
    /// `waiting`, `wrong` or `stop` (not reported stopped).
    pub state: String,
    /// What was said instead, when wrong.
    pub said: Option<String>,
}

/// The last roll call, radio check or question whether everyone is ready.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub struct RollCallView {
    /// Its words.
    pub text: String,
    /// When it was called.
    pub at_ms: f64,
    /// Entry number.
    pub seq: u64,
    /// How many it was for.
    pub of: usize,
    /// Short names of the roles that have not answered.
    pub silent: Vec<String>,
}

/// Vital signs of the patient, in the words they were said in.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub struct VitalsView {
    /// Local time, "13:31:05".
    pub time: String,
    /// In words.
    pub text: String,
    /// Entry number.
    pub seq: u64,
}

/// The change-over as a list, for one direction.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub struct ChangeOverView {
    /// `raise` or `lower`.
    pub to: String,
    /// Its lines, in the order things are done.
    pub lines: Vec<ChangeOverLine>,
}

/// A line of the change-over's list.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub struct ChangeOverLine {
    /// `stopped`, `ordered`, `tied_off`, `operators`, `state`, `converted`, `load_test`, `roll_call` or `move`.
    pub id: String,
    /// What should be true.
    pub words: String,
    /// `done`: the record says so; `owed`: it does not; `free`: not needed any more.
    pub standing: String,
    /// What the record says about it, with its entries.
    pub found: String,
    /// What meets it, likeliest first.
    pub does: Vec<DoesView>,
}

/// A step behind a key, with words that name who says it.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub struct DoesView {
    /// Who says or orders what ("rope one: tied off").
    pub label: String,
    /// The step it records; `None`: it is done on the Team screen.
    #[ts(type = "Record<string, unknown> | null")]
    pub step: Option<serde_json::Value>,
}
