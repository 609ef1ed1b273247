//! Measures and findings as they are printed.

use serde::{Deserialize, Serialize};

/// Measures and findings.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Review {
    /// Orders to readbacks by role.
    pub readbacks: Vec<ReadbackMeasure>,
    /// Stops, oldest first.
    pub stops: Vec<Stop>,
    /// Findings, departures first.
    pub findings: Vec<Finding>,
    /// Personnel accountability reports, oldest first.
    pub pars: Vec<Par>,
    /// Called heights of the load over the ground, oldest first.
    pub heights: Vec<(i64, f64)>,
    /// How fast it was between two calls, as measured.
    #[serde(default)]
    pub speeds: Vec<Speed>,
    /// Every measure with its formula, table by table.
    pub measures: Vec<MeasureTable>,
}

/// How fast the load was between two called heights.
#[derive(Clone, Copy, Debug, Default, Serialize, Deserialize)]
pub struct Speed {
    /// When the first was called.
    pub from_ms: i64,
    /// When the second was.
    pub to_ms: i64,
    /// Metres a minute of the time in which it moved between them; down is positive.
    pub m_per_min: f64,
}

/// Measures of one kind, in words.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct MeasureTable {
    /// Its head ("Closed loop").
    pub head: String,
    /// The formula.
    pub how: String,
    /// The measures; none: the record says nothing of it.
    pub rows: Vec<MeasureRow>,
}

/// A measure in words.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct MeasureRow {
    /// What was measured.
    pub words: String,
    /// What came out, with its unit.
    pub value: String,
    /// Entry numbers it rests on; none: many.
    pub entries: Vec<u64>,
}

/// Delays from order to readback of one role.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct ReadbackMeasure {
    /// The role.
    pub role: String,
    /// Orders it was to read back.
    pub due: usize,
    /// Seconds to each right readback.
    pub delays_s: Vec<f64>,
    /// Seconds to each wrong one.
    pub wrong_s: Vec<f64>,
    /// Read back wrong.
    pub wrong: usize,
    /// Never read back.
    pub never: usize,
}

/// A stop.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Stop {
    /// Entry number.
    pub seq: u64,
    /// When.
    pub at_ms: i64,
    /// Who called it.
    pub from: String,
    /// Why, as said; empty when nobody said.
    pub cause: String,
    /// Each operator's seconds to "stopped"; `None`: never reported.
    pub stopped_s: Vec<(String, Option<f64>)>,
    /// Seconds until the load moved again; `None`: it did not.
    pub held_s: Option<f64>,
    /// The call's own words.
    #[serde(default)]
    pub text: String,
    /// The call, or what was said of its cause, tells of an emergency.
    #[serde(default)]
    pub emergency: bool,
}

/// A finding.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Finding {
    /// Departs from the guidelines; false: was good.
    pub departs: bool,
    /// Bold words.
    pub words: String,
    /// What follows them.
    pub detail: String,
    /// Entry numbers it rests on.
    pub entries: Vec<u64>,
    /// What people said to it, in words.
    pub people: String,
    /// The rule it is held against, in words; empty: none is named.
    #[serde(default)]
    pub rule: String,
    /// Where the rule comes from, or "common practice".
    #[serde(default)]
    pub source: String,
    /// How sure it is, in words.
    #[serde(default)]
    pub sure: String,
    /// Who found it: an opinion; `None`: a rule that read the record.
    #[serde(default)]
    pub by: Option<String>,
    /// Someone set it aside, and it stays.
    #[serde(default)]
    pub set_aside: bool,
    /// The rule's name; findings of one name are of one kind.
    #[serde(default)]
    pub kind: String,
    /// Which are read first where there is no room for all: 0 before 1 before 2.
    #[serde(default)]
    pub turn: u8,
}

/// A personnel accountability report.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Par {
    /// When it was called.
    pub at_ms: i64,
    /// When it had been due, if it came late.
    pub due_ms: Option<i64>,
    /// People accounted for.
    pub count: u64,
    /// People expected.
    pub of: Option<u64>,
    /// Entry number.
    pub seq: u64,
}
