//! Part of the line.

use super::LineRow;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// Which part of the line is asked for; what is left out asks for everything.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize, Serialize, TS)]
#[serde(deny_unknown_fields)]
pub struct Asked {
    /// A person.
    pub who: Option<String>,
    /// `orders`, `readbacks`, `reports`, `notes`, `people` or `rig`.
    pub kind: Option<String>,
    /// Only what was flagged.
    pub flagged: bool,
}

/// Rows of a part of the line. A stop and every change of the motion are among them, whatever was asked for.
#[derive(Clone, Debug, Serialize, TS)]
pub struct Sifted {
    /// The rows, oldest first.
    pub rows: Vec<LineRow>,
    /// Place of the first among all of the part, the oldest being 0.
    pub from: usize,
    /// How many there are in the part.
    pub total: usize,
}
