//! The review as the screen shows it.

use super::MotionSpan;
use drawing::DisplayList;
use operation::review::{Learned, Said, measures::MeasureTable};
use serde::Serialize;
use ts_rs::TS;

/// The review.
#[derive(Clone, Debug, Serialize, TS)]
pub struct ReviewView {
    /// Time in each motion, seconds, in the motions' order.
    pub motions: Vec<(String, f64)>,
    /// Order to readback by role: count, median, worst, never.
    pub readbacks: Vec<ReadbackMeasure>,
    /// Named measures ("read back, of 41 orders", "40").
    pub measures: Vec<(String, String)>,
    /// All measures in words, each section with its formula.
    pub tables: Vec<MeasureTable>,
    /// Findings, departures first.
    pub findings: Vec<FindingView>,
    /// Gear out of use, and why.
    pub quarantined: Vec<(String, String)>,
    /// Lessons that were entered, oldest first.
    pub lessons: Vec<Learned>,
    /// The whole motion, for the overview.
    pub spans: Vec<MotionSpan>,
    /// Benchmarks and marks for the overview.
    pub marks: Vec<MarkView>,
    /// What stood from when to when, for the replay.
    pub tape: Tape,
    /// All rows' times and sides, for the overview's ticks.
    pub ticks: Vec<(f64, &'static str)>,
}

/// Order-to-readback delays of one role.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct ReadbackMeasure {
    pub role: String,
    pub orders: usize,
    pub never: usize,
    pub median_s: Option<f64>,
    pub p90_s: Option<f64>,
    pub worst_s: Option<f64>,
}

/// A finding.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct FindingView {
    /// True when it departs from the guidelines; false for what was good.
    pub departs: bool,
    /// Bold words.
    pub words: String,
    /// Quiet words.
    pub detail: String,
    /// Mark (`silent`, `wrong`, `stop`, `good` …).
    pub mark: String,
    pub entries: Vec<u64>,
    pub at_ms: f64,
    /// Its name for `agree` and `set_aside`.
    pub id: String,
    /// The rule it is held against.
    pub rule: String,
    /// Where the rule comes from.
    pub source: String,
    /// How sure it is, in words.
    pub sure: String,
    /// Who found it; `None`: a rule that read the record.
    pub by: Option<String>,
    /// What people said to it.
    pub said: Vec<Said>,
    /// Set aside, and still there.
    pub set_aside: bool,
}

/// A mark on the overview.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct MarkView {
    pub at_ms: f64,
    pub words: String,
    /// Number of the finding, if it is one.
    pub finding: Option<usize>,
}

/// The operation as a tape: what stood from when to when, for a replay that looks moments up.
#[derive(Clone, Debug, Serialize, TS)]
pub struct Tape {
    /// From.
    pub from_ms: f64,
    /// To.
    pub to_ms: f64,
    /// Height of the edge, m.
    pub edge_m: Option<f64>,
    /// Who held which role.
    pub roles: Vec<TapeHeld>,
    /// Who was in which zone (`on_rope`, `edge`, `drop`).
    pub zones: Vec<TapeHeld>,
    /// Called heights: when, metres out below the edge, the same in words in the units asked for.
    pub heights: Vec<(f64, f64, String)>,
    /// The rig and state the team was on, from when.
    pub rigs: Vec<TapeRig>,
    /// What was done inside the motion.
    pub phases: Vec<TapePhase>,
    /// How much rope was left, from when.
    pub ropes: Vec<TapeRopes>,
    /// What was flagged, and when.
    pub flags: Vec<TapeFlag>,
    /// Entry numbers in the order of the line.
    pub order: Vec<u64>,
}

/// A role or a zone of one person for a time.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct TapeHeld {
    /// The role, or the zone.
    pub what: String,
    pub person: String,
    pub from_ms: f64,
    /// `None`: still.
    pub to_ms: Option<f64>,
}

/// The rig the team was on from a moment.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct TapeRig {
    pub at_ms: f64,
    pub rig: String,
    /// Id of its state.
    pub state: String,
}

/// A phase inside the motion.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct TapePhase {
    /// In words ("change-over to raise").
    pub words: String,
    pub from_ms: f64,
    /// `None`: still.
    pub to_ms: Option<f64>,
}

/// How much rope was left from a moment.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct TapeRopes {
    pub at_ms: f64,
    pub lines: Vec<super::RopeLine>,
}

/// Something that was flagged.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct TapeFlag {
    pub at_ms: f64,
    pub words: String,
}

/// This operation beside the last ones of the same team.
#[derive(Clone, Debug, Serialize, TS)]
pub struct CompareView {
    /// Which operations are compared, in words.
    pub how: String,
    /// The operations, oldest first, this one last.
    pub operations: Vec<ComparedOperation>,
    /// What is compared.
    pub rows: Vec<ComparedRow>,
}

/// An operation that is compared.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct ComparedOperation {
    pub file: String,
    pub name: String,
    pub when: String,
}

/// One measure from operation to operation.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct ComparedRow {
    pub words: String,
    pub unit: String,
    /// As the operations; `None`: not measured.
    pub values: Vec<Option<f64>>,
    /// The same as a small picture.
    pub picture: DisplayList,
}
