//! What the commander's window shows: read from three metres, on another display.

use super::{ClockView, MotionView, ParView, PersonView, RoleView, Slot, WatchView};
use serde::Serialize;
use ts_rs::TS;

/// What the commander's window is told, once a second.
#[derive(Clone, Debug, Serialize, TS)]
pub struct Told {
    /// The open operation as it stands in the record; `None` while none is open.
    pub operation: Option<CommanderView>,
    /// Entries that the scribe's window holds and no disk has yet: they are not in `operation`.
    pub unsaved: usize,
    /// How long the scribe's window has asked for nothing, ms; it asks once a second.
    pub scribe_silent_ms: f64,
}

/// The open operation for the commander: who, where, since when, motion, flags. Not the line, and nothing of the patient's state.
#[derive(Clone, Debug, Serialize, TS)]
pub struct CommanderView {
    /// Name of the operation.
    pub name: String,
    /// `drill` or `rescue`.
    pub purpose: String,
    /// When it was closed, if it was.
    pub closed_ms: Option<f64>,
    /// Local time of the operation, minutes from UTC.
    pub offset_min: i32,
    /// The time this is of.
    pub now_ms: f64,
    /// The clock on the wall beside the line's time.
    pub clock: ClockView,
    /// What the load is doing.
    pub motion: MotionView,
    /// Orders that someone has not read back, oldest first.
    pub slots: Vec<Slot>,
    /// The personnel accountability report.
    pub par: ParView,
    /// How many of those who were checked in then the last report did not account for; `None`: there was none.
    pub par_missing: Option<u64>,
    /// People, checked out ones last.
    pub people: Vec<PersonView>,
    /// Roles that the rig and the motion ask for.
    pub roles: Vec<RoleView>,
    /// The rig in use.
    pub rig: Option<RigStands>,
    /// Flags on the movement, newest first, one of a kind and words.
    pub flags: Vec<DatedFlag>,
    /// Clocks on people that run, worst kind first, over their limit or not.
    pub watches: Vec<WatchView>,
    /// Whether this program writes; else it reads along.
    pub writes: bool,
    /// Set when nothing can be written: what, and what to do.
    pub trouble: Option<String>,
}

/// How the rig in use stands, without its numbers.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub struct RigStands {
    /// Name in this operation.
    pub name: String,
    /// `not_checked`, `stale` (changed since its check), or the check's own: `falls_short`, `not_checked_whole`, `holds`.
    pub check: String,
    /// A signature covers the check that stands.
    pub signed: bool,
}

/// A flag and when it was raised.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub struct DatedFlag {
    /// One of the contract's ids.
    pub id: String,
    /// In words.
    pub words: String,
    /// The line's time of the last entry it names.
    pub at_ms: f64,
    /// Stands now, whatever its age; else it was raised at that entry.
    pub stands: bool,
}
