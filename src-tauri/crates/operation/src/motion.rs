//! What the load is doing.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The nine motions.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum Motion {
    #[default]
    AtRest,
    UnderLoadTest,
    AtTheEdge,
    Lowering,
    Raising,
    Stopping,
    Stopped,
    TiedOff,
    Landed,
}

/// All motions, in the order tables show them.
pub const ALL: [Motion; 9] = [
    Motion::AtRest,
    Motion::UnderLoadTest,
    Motion::AtTheEdge,
    Motion::Lowering,
    Motion::Raising,
    Motion::Stopping,
    Motion::Stopped,
    Motion::TiedOff,
    Motion::Landed,
];

impl Motion {
    /// The word in files.
    pub fn word(self) -> &'static str {
        match self {
            Motion::AtRest => "at_rest",
            Motion::UnderLoadTest => "under_load_test",
            Motion::AtTheEdge => "at_the_edge",
            Motion::Lowering => "lowering",
            Motion::Raising => "raising",
            Motion::Stopping => "stopping",
            Motion::Stopped => "stopped",
            Motion::TiedOff => "tied_off",
            Motion::Landed => "landed",
        }
    }
    /// The words on screen and paper.
    pub fn words(self) -> &'static str {
        match self {
            Motion::AtRest => "At rest",
            Motion::UnderLoadTest => "Under load test",
            Motion::AtTheEdge => "At the edge",
            Motion::Lowering => "Lowering",
            Motion::Raising => "Raising",
            Motion::Stopping => "Stopping",
            Motion::Stopped => "Stopped",
            Motion::TiedOff => "Tied off",
            Motion::Landed => "Landed",
        }
    }
    /// Whether the load goes up or down.
    pub fn moves(self) -> bool {
        matches!(self, Motion::Lowering | Motion::Raising)
    }
}

/// A stretch of one motion.
#[derive(Clone, Debug, PartialEq)]
pub struct Span {
    /// The motion.
    pub motion: Motion,
    /// Ordered slow.
    pub slow: bool,
    /// From, ms since the epoch.
    pub from_ms: i64,
    /// To; `None`: still.
    pub to_ms: Option<i64>,
    /// Entry number that began it.
    pub seq: u64,
}
