//! The team's own rules as one file: required margins, roles, words, signals, intervals.
//! Each default cites its source or says "common practice".

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use ts_rs::TS;

/// The guidelines file's format word.
pub const FORMAT: &str = "ledgebook-guidelines/0";

/// The team's own rules.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Guidelines {
    /// `ledgebook-guidelines/0`.
    pub format: String,
    /// Name and edition ("Ledgebook defaults, edition 1").
    pub name: String,
    /// Required margin (strength over high force) for every part.
    pub required_margin: Limit,
    /// Required margin after any single loss, for a survivor not to be named overloaded (1 = its strength).
    pub required_after_loss: Limit,
    /// Other required margins by kind of part.
    #[serde(default)]
    pub required_by_kind: BTreeMap<String, Limit>,
    /// Roles with the code that names each in the free line.
    pub roles: Vec<RoleRule>,
    /// Seconds until an order that is not read back stands out.
    pub readback_s: Limit,
    /// Seconds within which a stop should be reported by every operator.
    pub stop_s: Limit,
    /// Minutes between personnel accountability reports.
    pub par_min: Limit,
    /// Planning pull of one hauler, kN.
    #[serde(rename = "pull_per_person_kN")]
    pub pull_per_person_kn: Limit,
    /// Words that start or end each motion.
    pub words: MotionWords,
    /// Whistle code: how many blasts mean what.
    pub whistle: BTreeMap<String, String>,
}

/// A number with its source.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Limit {
    /// The number, in the unit its field says.
    pub value: f64,
    /// Where it comes from, or "common practice, no source".
    pub source: String,
}

/// A role.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct RoleRule {
    /// Name ("rope one operator").
    pub role: String,
    /// Short form on the line ("rope one").
    pub short: String,
    /// Code in the free line ("1").
    pub code: String,
    /// Whether a stop waits for this role's report.
    #[serde(default)]
    pub stops: StopsWhen,
}

/// When a stop waits for a role to report stopped.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum StopsWhen {
    /// Never.
    #[default]
    Never,
    /// At every stop.
    Always,
    /// Only when the stop ends a raise.
    Raising,
}

/// Words that change the motion, in lower case; the first of each list is the one the keys write.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct MotionWords {
    pub load_test: Vec<String>,
    pub at_the_edge: Vec<String>,
    pub lower: Vec<String>,
    pub raise: Vec<String>,
    pub slow: Vec<String>,
    pub stop: Vec<String>,
    pub stopped: Vec<String>,
    pub tied_off: Vec<String>,
    pub landed: Vec<String>,
}
