//! What is on the disk, and the clocks.

use serde::Serialize;
use ts_rs::TS;

/// The clock on the wall beside the line's time. The line's time (every `_ms` of a view) only runs on; the clock on
/// the wall may be set.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub struct ClockView {
    /// Added to the line's time, gives the time of day.
    pub to_wall_ms: f64,
    /// Offset of the local time from UTC now, minutes.
    pub offset_min: i32,
    /// When the program was last started again, if it was: what began before is measured across a restart.
    pub restart_ms: Option<f64>,
    /// What became of the clocks, in words, the latest last.
    pub notes: Vec<String>,
}

/// What is on disk.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct SavedView {
    pub count: u64,
    /// Head of the record, hex.
    pub head: String,
    /// Set when the last write failed, or nothing can be written: what, and what to do.
    pub trouble: Option<String>,
    /// Whether this program writes; else it reads along.
    pub writes: bool,
    /// Who writes instead, if another program does.
    pub holder: Option<String>,
    /// The second copy, if one is kept.
    pub mirror: Option<MirrorView>,
    /// The program that wrote is gone: this one may take over, when it is told to.
    pub may_take_over: bool,
}

/// The second copy.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub struct MirrorView {
    /// Where it is.
    pub path: String,
    /// `kept`, `behind` (it catches up by itself) or `refused` (it needs another name).
    pub standing: String,
    /// Entries in it, as far as known.
    pub count: Option<u64>,
    /// Why it is not kept; empty when it is.
    pub why: String,
}

/// Whether this machine and this file will do.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub struct Health {
    /// What was looked at, in a fixed order.
    pub rows: Vec<HealthRow>,
}

/// One thing that was looked at.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub struct HealthRow {
    /// `disk`, `clock`, `file`, `mirror`, `lock`, `fonts`, `display` or `versions`.
    pub id: String,
    /// `in_order`, `look`, `not_checked` or `trouble`.
    pub standing: String,
    /// What was found.
    pub words: String,
    /// What to do; empty when there is nothing to do.
    pub remedy: String,
}
