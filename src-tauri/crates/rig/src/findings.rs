//! What a check found. Stored whole in the log when a rig is checked; printed, never computed anew.

mod falls;
mod hauling;

pub use falls::{
    CaughtBy, FallAt, FallFinding, FallOutcome, FallParameter, Percentiles, SWING_NOT_RECKONED, SystemFall,
};
pub use hauling::{HaulTravel, Hauling, Jammed, PulleyUsed, Strand, SystemBeside};

use crate::quantity::BandKn;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// The verdict of one check.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Strength or rule falls short of what the guidelines require.
    FallsShort,
    /// Unknown, unsolved or unrated: never shown as holding.
    NotChecked,
    /// Meets what the guidelines require.
    Holds,
}

/// What becomes of the load after a loss; declared worst first, and every table sorts so.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum LossVerdict {
    /// Nothing is left that holds the load.
    Dropped,
    /// Held on paper, and a survivor is loaded past its strength.
    Overloaded,
    /// Not computed, or a survivor is unrated.
    NotChecked,
    /// Held only if a named hand acts in time.
    HeldIfActs,
    /// Held after a drop or a swing.
    Moves,
    /// Held.
    Held,
}

/// How a thing is lost.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum LossMode {
    /// A part fails.
    Part,
    /// A hand lets go; shown as "hand off".
    HandOff,
    /// A hand freezes on: handle or hitch held open.
    FreezesOn,
    /// Several parts share one fate.
    CommonCause,
}

/// Force, strength and margin of one part in one state.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct PartFinding {
    /// Id in the rig's one namespace.
    pub id: String,
    /// Kind, in the trade's words ("focal knot").
    pub kind: String,
    /// Name on drawings ("V leg 1a").
    pub label: String,
    /// Force in kN; `None` when not solved.
    #[serde(rename = "force_kN")]
    pub force_kn: Option<BandKn>,
    /// Strength in kN at its low end (knots, bends and cross-loads counted); `None` when unrated.
    #[serde(rename = "strength_kN")]
    pub strength_kn: Option<f64>,
    /// Strength over high force; `None` when either is unknown.
    pub margin: Option<f64>,
    /// Margin the guidelines require.
    pub required: Option<f64>,
    /// The verdict.
    pub verdict: Verdict,
    /// What it rests on, in a few words ("EN 1891 A; end knot 0.66").
    pub words: String,
    /// Where the strength comes from, with its standing.
    pub source: String,
    /// How the force and the strength were got, one line a step ("2.45 kN × 0.7 = 1.72 kN").
    pub how: Vec<String>,
}

/// What becomes of the load when one thing is lost.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct LossFinding {
    /// Ids that are lost together (one, but for a common cause).
    pub lost: Vec<String>,
    /// Id of the common cause; `None` for one part or hand, and in checks stored before it was kept.
    #[serde(default)]
    pub group: Option<String>,
    /// Name of what is lost ("rope one operator freezes on").
    pub label: String,
    /// How it is lost.
    pub mode: LossMode,
    /// The worst that applies.
    pub verdict: LossVerdict,
    /// Whether the load drops or swings before it is held.
    pub moves: bool,
    /// What becomes of the load ("held only if rope two operator releases").
    pub words: String,
    /// Roles whose act it hangs on.
    pub acts: Vec<String>,
    /// The weakest survivor and its margin after the loss; `None` when unknown.
    pub weakest: Option<Survivor>,
    /// Ids of the parts that still carry.
    pub path: Vec<String>,
    /// Which of the state's falls it is; `None` where none was computed, and in checks stored before it was kept.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fall: Option<usize>,
}

/// A survivor of a loss with its margin.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Survivor {
    /// Id of the part.
    pub id: String,
    /// Its name.
    pub label: String,
    /// Strength over high force after the loss.
    pub margin: f64,
}

/// Everyone lets go at once.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct HandsOff {
    /// The verdict.
    pub verdict: Verdict,
    /// Whether the load drops before it is held.
    pub moves: bool,
    /// In words.
    pub words: String,
}

/// A rule that is not a part's margin ("rope long enough").
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct RuleFinding {
    /// Id of the rule ("rope_long_enough").
    pub id: String,
    /// The verdict.
    pub verdict: Verdict,
    /// The rule in words.
    pub rule: String,
    /// What was found, with numbers and units.
    pub found: String,
    /// Source of the rule, with its standing.
    pub source: String,
}

/// All findings for one state of one rig.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
pub struct StateFindings {
    /// Id of the state ("lowering").
    pub state: String,
    /// Force and margin of every part.
    pub parts: Vec<PartFinding>,
    /// Single losses that are dropped or overloaded.
    pub critical_parts: Vec<String>,
    /// Single losses not checked.
    pub unknown_parts: Vec<String>,
    /// What a wearer cannot double; named every time.
    pub always_critical: Vec<String>,
    /// Pairs dropped by support, none of which is critical alone.
    pub critical_pairs: Vec<[String; 2]>,
    /// Everyone lets go at once.
    pub hands_off: HandsOff,
    /// Every single loss, hand and common cause, worst first.
    pub losses: Vec<LossFinding>,
    /// Rules, worst first.
    pub checks: Vec<RuleFinding>,
    /// Equilibrium residual of the statics in N; `None` when unsolved (the reason stands in `checks`).
    pub residual_n: Option<f64>,
    /// What hauling takes and does; `None` when nobody hauls in this state, and in checks stored before it was kept.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hauling: Option<Hauling>,
    /// How far the load drops after a loss: one for all losses that leave the same. None in checks stored before it was kept.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub falls: Vec<FallFinding>,
}

/// What a check stores: the state the team is on, and the other states of the rig.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
pub struct CheckReport {
    /// `ledgebook-check/0`.
    pub format: String,
    /// Version of the engine.
    pub engine: String,
    /// SHA-256 of the rig as checked, hex.
    pub rig_digest: String,
    /// SHA-256 of the guidelines as applied, hex.
    pub guidelines_digest: String,
    /// Worst verdict over all states: parts, rules, critical parts, hands-off.
    pub verdict: Verdict,
    /// The state that was asked for, or the rig's first.
    #[serde(flatten)]
    pub main: StateFindings,
    /// The other states.
    pub other_states: Vec<StateFindings>,
    /// What the numbers rest on, each with its range and standing.
    pub assumptions: Vec<String>,
    /// The caution that stands beside every result.
    pub caution: String,
}

impl CheckReport {
    /// The name of a part, hand or rule as this check names it ("end knot 1"); its id in words when it names none.
    pub fn label(&self, id: &str) -> String {
        let states = || std::iter::once(&self.main).chain(&self.other_states);
        let part = states().flat_map(|s| &s.parts).find(|p| p.id == id).map(|p| &p.label);
        let lost = || {
            let mut all = states().flat_map(|s| &s.losses);
            all.find(|l| l.mode == LossMode::Part && l.lost == [id]).map(|l| &l.label)
        };
        let rule = || states().flat_map(|s| &s.checks).find(|c| c.id == id).map(|c| &c.rule);
        part.or_else(lost).or_else(rule).cloned().unwrap_or_else(|| id.replace('_', " "))
    }
}

/// The caution that stands on screen and paper beside every result.
pub const CAUTION: &str =
    "Decision support only. Local rules, the makers’ instructions and a qualified rigger come first.";
