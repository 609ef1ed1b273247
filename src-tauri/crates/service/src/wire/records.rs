//! The records of a folder.

use serde::Serialize;
use ts_rs::TS;

/// All operations of a folder.
#[derive(Clone, Debug, Default, Serialize, TS)]
pub struct Records {
    /// The folder.
    pub folder: String,
    /// How hours, metres and use are counted.
    pub how: String,
    /// Operations, newest first; a copy counts once.
    pub operations: Vec<RecordedOperation>,
    /// Hours by person, most first.
    pub people: Vec<PersonHours>,
    /// Use of ropes and devices, what is to be inspected first.
    pub gear: Vec<GearUse>,
    /// Files that could not be read.
    pub unread: Vec<Unread>,
    /// What was asked for.
    pub hits: Vec<Hit>,
    /// Hits that are not listed.
    pub more_hits: u64,
}

/// An operation.
#[derive(Clone, Debug, Default, Serialize, TS)]
#[allow(missing_docs)]
pub struct RecordedOperation {
    pub file: String,
    pub name: String,
    pub place: String,
    pub purpose: String,
    pub when: String,
    pub closed: bool,
    pub entries: u64,
    pub lasted_s: f64,
    pub people: u64,
    pub stops: u64,
    /// What keeps the record from being whole.
    pub trouble: Option<String>,
}

/// Hours of a person over all operations.
#[derive(Clone, Debug, Default, Serialize, TS)]
#[allow(missing_docs)]
pub struct PersonHours {
    pub person: String,
    pub operations: u64,
    pub here_s: f64,
    pub on_rope_s: f64,
    /// By role, longest first, s.
    pub roles: Vec<(String, f64)>,
}

/// The use of a rope or a device over all operations.
#[derive(Clone, Debug, Default, Serialize, TS)]
pub struct GearUse {
    /// Its name in its rig.
    pub gear: String,
    /// `rope`, `device`, or `gear` that is only known from its quarantine.
    pub what: String,
    /// Operations in which it carried a load in movement.
    pub operations: u64,
    /// Metres that the load travelled on it, as called.
    pub metres: f64,
    /// Losses of it called into drills, in words only.
    pub losses: u64,
    /// Operations in which it carried the load beyond the guidelines.
    pub beyond: u64,
    /// Out of use.
    pub quarantined: bool,
    /// Used last.
    pub last: String,
    /// Why it is to be inspected before use; empty: nothing in the records asks for it.
    pub inspect: Vec<String>,
}

/// A file that could not be read.
#[derive(Clone, Debug, Default, Serialize, TS)]
#[allow(missing_docs)]
pub struct Unread {
    pub file: String,
    pub why: String,
}

/// An entry that was found.
#[derive(Clone, Debug, Default, Serialize, TS)]
#[allow(missing_docs)]
pub struct Hit {
    pub file: String,
    pub operation: String,
    pub when: String,
    pub seq: u64,
    pub time: String,
    pub who: String,
    pub text: String,
}
