//! What was called, marked and counted, each with its time and entry.

/// A called height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Called {
    /// Metres out below the edge.
    pub metres: f64,
    /// When.
    pub at_ms: i64,
    /// Entry number.
    pub seq: u64,
}

/// A named moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    /// What.
    pub words: String,
    /// When.
    pub at_ms: i64,
    /// Entry number.
    pub seq: u64,
}

/// A personnel accountability report.
#[derive(Clone, Debug, PartialEq)]
pub struct ParState {
    /// Accounted for.
    pub count: u64,
    /// Of how many.
    pub of: Option<u64>,
    /// Checked in at that moment.
    pub expected: u64,
    /// When.
    pub at_ms: i64,
    /// When it was due, if it was late.
    pub due_ms: Option<i64>,
    /// The event it was due after, if not by the interval.
    pub after: Option<String>,
    /// Entry number.
    pub seq: u64,
}

impl ParState {
    /// How many it did not account for: of those checked in then, or of those it speaks of, whichever are more.
    pub fn missing(&self) -> u64 {
        self.expected.max(self.of.unwrap_or(0)).saturating_sub(self.count)
    }
}

/// A length of time in words ("3 min 10 s").
pub fn span_words(ms: i64) -> String {
    let s = (ms.abs() + 500) / 1000;
    match (s / 3600, s / 60 % 60, s % 60) {
        (0, 0, s) => format!("{s} s"),
        (0, m, 0) => format!("{m} min"),
        (0, m, s) => format!("{m} min {s} s"),
        (h, m, _) => format!("{h} h {m} min"),
    }
}
