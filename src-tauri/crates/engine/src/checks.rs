//! Rules that are no part's margin: one file a rule, id, words, source and sum together.

mod advantage;
mod connector_loading;
mod converted;
mod dynamics;
mod edge_protected;
mod feet;
mod fits_pulley;
mod held;
mod hitch_cord;
mod joining_knot;
mod points;
mod purpose;
mod rope;
mod safety_factor;
mod sheave;
mod single;
mod stopper;
mod v_angle;

use crate::case::Case;
use crate::support::Model;
use rig::findings::{FallFinding, HandsOff, Hauling, LossFinding, RuleFinding, Verdict};
use rig::guidelines::Guidelines;
use rig::model::{Part, PartKind};

/// What a rule may look at.
pub struct Seen<'a> {
    /// The rig in its state.
    pub model: &'a Model<'a>,
    /// The team's rules.
    pub guidelines: &'a Guidelines,
    /// With nothing lost.
    pub intact: &'a Case,
    /// Every single loss.
    pub losses: &'a [LossFinding],
    /// Losses that are dropped or overloaded.
    pub critical: &'a [String],
    /// Losses not checked.
    pub unknown: &'a [String],
    /// Everyone lets go.
    pub hands_off: &'a HandsOff,
    /// Hauling, where a team hauls; in words why it could not be traced.
    pub hauling: Option<&'a Result<Hauling, String>>,
    /// How far the load drops after each loss; `None` where that was not asked for.
    pub falls: Option<&'a [FallFinding]>,
}

/// A rule looks and says what it found; nothing when it does not concern this rig.
type Rule = fn(&Seen<'_>) -> Vec<RuleFinding>;

/// All rules, in the order they stand among equals.
const RULES: &[Rule] = &[
    held::load_held,
    held::solved,
    single::no_single_critical,
    single::hands_off,
    safety_factor::safety_factor,
    points::two_points,
    v_angle::v_angle,
    edge_protected::edge_protected,
    rope::long_enough,
    rope::fits_device,
    fits_pulley::fits_pulley,
    fits_pulley::fits_hitch,
    sheave::sheave,
    stopper::stopper,
    joining_knot::joining_knot,
    purpose::purpose,
    purpose::rated_load,
    connector_loading::connector_loading,
    hitch_cord::hitch_cord,
    feet::feet,
    converted::converted,
    advantage::traced,
    advantage::haulers,
    advantage::hauler_limit,
    advantage::jammed,
    dynamics::drop,
    dynamics::peak,
];

/// Every finding, worst first.
pub fn all(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let mut findings: Vec<RuleFinding> = RULES.iter().flat_map(|rule| rule(seen)).collect();
    findings.sort_by_key(|f| f.verdict);
    findings
}

fn finding(id: &str, verdict: Verdict, rule: &str, found: impl Into<String>, source: &str) -> RuleFinding {
    RuleFinding { id: id.into(), verdict, rule: rule.into(), found: found.into(), source: source.into() }
}

/// Parts of these kinds that are there in this state.
fn there<'a>(seen: &'a Seen<'_>, kinds: &'a [PartKind]) -> impl Iterator<Item = &'a Part> {
    let parts = seen.model.rig.parts.iter().zip(&seen.model.absent);
    parts.filter(|(part, absent)| kinds.contains(&part.kind) && !**absent).map(|(part, _)| part)
}

/// Labels of ids, joined.
fn names(model: &Model<'_>, ids: &[String]) -> String {
    let label = |id: &String| {
        let part = model.rig.part(id).map(|p| p.label.clone());
        part.or_else(|| model.rig.hand(id).map(|h| h.role.clone())).unwrap_or_else(|| id.clone())
    };
    ids.iter().map(label).collect::<Vec<_>>().join("; ")
}
