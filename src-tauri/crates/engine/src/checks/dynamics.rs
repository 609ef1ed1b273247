//! What is asked of every rig and not computed yet: it reads so, and is never left out.

use super::{Seen, finding};
use rig::findings::{RuleFinding, Verdict};

const SOURCE: &str = "needs the dynamics of the ropes, which this version does not compute";

/// How far the load drops after a loss, and whether the ground or a ledge is nearer.
pub fn drop(_: &Seen<'_>) -> Vec<RuleFinding> {
    let (rule, found) = ("how far the load drops after a loss", "not computed yet");
    vec![finding("drop_after_loss", Verdict::NotChecked, rule, found, SOURCE)]
}

/// How hard it stops.
pub fn peak(_: &Seen<'_>) -> Vec<RuleFinding> {
    let (rule, found) = ("peak force when the load is caught", "not computed yet");
    vec![finding("peak_force", Verdict::NotChecked, rule, found, SOURCE)]
}
