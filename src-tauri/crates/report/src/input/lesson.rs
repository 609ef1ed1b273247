//! Lessons that were entered after the operation.

use serde::{Deserialize, Serialize};

/// What is to be kept or changed.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Lesson {
    /// Entry number.
    pub seq: u64,
    /// Changed; false: kept.
    pub change: bool,
    /// What, in the words of who said it.
    pub text: String,
    /// Who said it.
    pub person: String,
    /// Who sees to it; empty: nobody was named.
    pub who: String,
    /// By when, in words; empty: not said.
    pub by_when: String,
}
