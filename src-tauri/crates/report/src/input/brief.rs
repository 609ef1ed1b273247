//! The brief: what had been agreed when it was read out, by whom and when.

use serde::{Deserialize, Serialize};

/// The brief: what had been agreed when it was read out.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Brief {
    /// When it was read out, oldest first; none: nobody wrote that down.
    pub read: Vec<BriefRead>,
    /// What is agreed at a brief, in the order it is read.
    pub lines: Vec<BriefLine>,
    /// Roles that were needed or held then.
    pub roles: Vec<BriefRole>,
}

/// A reading of the brief.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct BriefRead {
    /// Entry number.
    pub seq: u64,
    /// When.
    pub at_ms: i64,
    /// Who: the role, and who held it.
    pub by: String,
    /// What was said.
    pub words: String,
}

/// A line of the brief.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct BriefLine {
    /// What ("Abort").
    pub head: String,
    /// As it had been agreed; empty: it had not.
    pub words: String,
    /// Where that comes from, where nobody entered it ("from the guidelines").
    pub note: String,
    /// Entry it was agreed in.
    pub seq: Option<u64>,
    /// What it is now, where that is something else.
    pub later: String,
    /// Entry that changed it; `None`: it is what it was.
    pub later_seq: Option<u64>,
}

/// A role at the brief.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct BriefRole {
    /// The role.
    pub role: String,
    /// Who held it; none: vacant.
    pub people: Vec<String>,
}
