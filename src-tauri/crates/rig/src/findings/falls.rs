//! How far the load drops after a loss and how hard it is stopped: as a band from many runs, never one figure.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// Ten, fifty and ninety of a hundred runs lie below; `None`: so many runs never stopped that it has no bound.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Percentiles {
    /// A tenth of the runs lies below.
    pub p10: Option<f64>,
    /// Half of them.
    pub p50: Option<f64>,
    /// Nine tenths.
    pub p90: Option<f64>,
}

impl Percentiles {
    /// Decimals that a length in m is told with in a line: of one that stays within 0.1 m two.
    pub fn digits(&self) -> usize {
        if self.p90.is_some_and(|p90| p90 < 0.1) { 2 } else { 1 }
    }
}

/// What becomes of the load; declared worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum FallOutcome {
    /// Nothing is left to catch it: no figure is given.
    Dropped,
    /// It could not be computed; the words say why.
    NotComputed,
    /// In some runs nothing stopped it.
    MayNotStop,
    /// It was stopped in every run.
    Stops,
    /// It stays where it is, or goes on as it went.
    Stays,
}

/// The fall after a loss, or after several that leave the same.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
pub struct FallFinding {
    /// Names of the losses.
    pub of: Vec<String>,
    /// What becomes of the load.
    pub outcome: FallOutcome,
    /// In words.
    pub words: String,
    /// How far it falls, m.
    pub fall_m: Option<Percentiles>,
    /// The most that pulls on the load, kN.
    #[serde(rename = "peak_force_kN")]
    pub peak_force_kn: Option<Percentiles>,
    /// When it stands, s after the loss.
    pub stop_s: Option<Percentiles>,
    /// Share of the runs in which nothing stopped it, 0 to 1.
    pub never_stops: Option<f64>,
    /// From the load's place to what lies below it, m.
    pub clearance_m: f64,
    /// What that is.
    pub below: String,
    /// Share of the runs in which it falls that far, 0 to 1.
    pub reaches: Option<f64>,
    /// Rope from the load to the first thing it runs over, the longest of those that catch it, m.
    pub free_length_m: Option<f64>,
    /// What catches it, weakest first.
    pub survivors: Vec<CaughtBy>,
    /// What was drawn for each run, that which moves the fall most first.
    pub parameters: Vec<FallParameter>,
    /// The fall from other heights of the lower, from the top down.
    pub heights: Vec<FallAt>,
    /// Stretches of the lower, m above the ground, in which more than a tenth of the runs reach what lies below.
    pub reaches_between_m: Vec<[f64; 2]>,
    /// How it goes with every value in the middle: s since the loss, m fallen, kN on the load. Told for the deepest fall of a
    /// check, and for one that is asked for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub motion: Vec<[f64; 3]>,
    /// Ropes come down on a bare edge, and whether it cuts them is not known: the figures hold only if it does not.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub bare_edge: bool,
    /// What a haul team holds is not known: it is taken to let go, and the load runs back until the capture sets.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub team_lets_go: bool,
    /// Who drops within the load while it stays where it is; empty: the load drops.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub who: String,
    /// What is taken of how it goes, in words: how far a ring runs on its cord, how much of an edge breaks off.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub taken: Vec<String>,
    /// What holds a device swings: how that was reckoned, or why it was not; empty: nothing swings.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub swing: String,
    /// How many runs.
    pub runs: u32,
    /// What they were drawn by: the same gives the same.
    pub seed: u64,
}

/// How a fall begins that says why what swings was not reckoned with its mass.
pub const SWING_NOT_RECKONED: &str = "what swings is taken as slack, without its mass";

impl FallFinding {
    /// Who drops, in words.
    pub fn dropper(&self) -> &str {
        if self.who.is_empty() { "the load" } else { &self.who }
    }

    /// Why what swings was not reckoned with its mass: then what pulls on it while it swings is not known.
    pub fn swing_not_reckoned(&self) -> Option<&str> {
        Some(self.swing.as_str()).filter(|words| words.starts_with(SWING_NOT_RECKONED))
    }

    /// Where on the way down more than a tenth of the runs end on what lies below, in words, heights (m) as `told` tells them; `None`:
    /// nowhere that is known.
    pub fn reaches_words(&self, told: &dyn Fn(f64) -> String) -> Option<String> {
        let each: Vec<String> = self
            .reaches_between_m
            .iter()
            .map(|[from, to]| match from {
                0.0 => format!("lower than {}", told(*to)),
                _ => format!("between {} and {}", told(*from), told(*to)),
            })
            .collect();
        let whole = format!("{} over the ground, 1 in 10 runs or more reach ", each.join(" and "));
        let what = if self.reaches_between_m.len() > 1 || self.reaches_between_m.first()?[0] > 0.0 {
            "what lies below"
        } else {
            "it"
        };
        Some(whole + what)
    }
}

/// A part that catches the load.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct CaughtBy {
    /// Id of the part.
    pub id: String,
    /// Its name.
    pub label: String,
    /// The most that pulls on it, kN.
    #[serde(rename = "peak_kN")]
    pub peak_kn: Percentiles,
    /// Strength in kN; `None` when unrated.
    #[serde(rename = "strength_kN")]
    pub strength_kn: Option<f64>,
    /// Strength over the ninetieth of a hundred peaks; `None` when unrated.
    pub margin: Option<f64>,
}

/// Something that was drawn anew for each run.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct FallParameter {
    /// Id.
    pub id: String,
    /// What it is ("reaction of rope two operator").
    pub label: String,
    /// Its unit; empty for a plain ratio.
    pub unit: String,
    /// Low end.
    pub low: f64,
    /// Most likely.
    pub likely: f64,
    /// High end.
    pub high: f64,
    /// Where the range comes from.
    pub source: String,
    /// Whether it is an assumption.
    pub assumed: bool,
    /// The fall in m with this at its low and at its high end and all else most likely; `None`: nothing stops it then.
    pub moves_m: [Option<f64>; 2],
}

/// The fall from one height.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct FallAt {
    /// Where the load hangs, m above the ground.
    pub above_ground_m: f64,
    /// From there to what lies below it, m.
    pub clearance_m: f64,
    /// What that is; empty: the ground.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub below: String,
    /// How far it falls, m.
    pub fall_m: Percentiles,
    /// Share of the runs in which it reaches what lies below, 0 to 1.
    pub reaches: f64,
}

/// The same site and load on another system, the rope that carries most of it lost.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
pub struct SystemFall {
    /// Id.
    pub id: String,
    /// What it is ("two loaded ropes, an operator on each").
    pub label: String,
    /// What the figures leave out; empty: nothing.
    pub note: String,
    /// How far it falls, m.
    pub fall_m: Percentiles,
    /// The most that pulls on the load, kN.
    #[serde(rename = "peak_force_kN")]
    pub peak_force_kn: Percentiles,
    /// Share of the runs in which nothing stopped it, 0 to 1.
    pub never_stops: f64,
    /// Share of the runs in which it reaches what lies below, 0 to 1.
    pub reaches: f64,
    /// What was drawn for each run, that which moves the fall most first.
    pub parameters: Vec<FallParameter>,
}
