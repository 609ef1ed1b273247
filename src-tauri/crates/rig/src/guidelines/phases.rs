//! Words that begin and end what is done inside a motion: a knot pass, a reset of the haul, a change-over.

use super::words;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// Words of each phase, in lower case. Each default means what its absence in an older record is read as; never to be changed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct PhaseWords {
    /// A knot in a loaded rope goes through or round its device.
    #[serde(default = "knot_pass")]
    pub knot_pass: Phrases,
    /// A haul system is drawn out again.
    #[serde(default = "reset")]
    pub reset: Phrases,
    /// The devices are changed from lowering to raising or back.
    #[serde(default = "change_over")]
    pub change_over: Phrases,
}

/// What begins something and what tells that it is done.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Phrases {
    /// Control's order; the first is the one the keys write.
    pub begins: Vec<String>,
    /// Anyone's report; the first is the one the keys write.
    pub done: Vec<String>,
}

fn phrases(begins: &[&str], done: &[&str]) -> Phrases {
    Phrases { begins: words(begins), done: words(done) }
}

fn knot_pass() -> Phrases {
    phrases(
        &["knot pass", "pass the knot", "pass knot"],
        &["knot passed", "knot pass done", "knot pass complete", "knot is past", "past the knot"],
    )
}

fn reset() -> Phrases {
    phrases(&["reset"], &["reset done", "reset complete", "ready to haul", "ready to raise"])
}

fn change_over() -> Phrases {
    phrases(
        &["change over", "changeover"],
        &[
            "changed over",
            "change over done",
            "change over complete",
            "changeover done",
            "changeover complete",
        ],
    )
}

impl Default for PhaseWords {
    fn default() -> Self {
        PhaseWords { knot_pass: knot_pass(), reset: reset(), change_over: change_over() }
    }
}

impl PhaseWords {
    /// Left out of the file where it is what its absence means, so that guidelines of format 1 stay what they were to the letter.
    pub(super) fn as_since_format_1(&self) -> bool {
        *self == PhaseWords::default()
    }

    /// Each list with its name.
    pub(super) fn lists(&self) -> [(&'static str, &Vec<String>); 6] {
        [
            ("phases.knot_pass.begins", &self.knot_pass.begins),
            ("phases.knot_pass.done", &self.knot_pass.done),
            ("phases.reset.begins", &self.reset.begins),
            ("phases.reset.done", &self.reset.done),
            ("phases.change_over.begins", &self.change_over.begins),
            ("phases.change_over.done", &self.change_over.done),
        ]
    }
}
