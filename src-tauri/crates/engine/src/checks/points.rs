//! The load hangs on two points.

use super::{Seen, finding};
use rig::findings::{RuleFinding, Verdict};
use std::collections::BTreeSet;

/// Each rope ends at a point of its own on the load.
pub fn two_points(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let loaded = || seen.model.rig.ropes.iter().filter(|rope| super::rope::from_load(seen, rope));
    let ends: BTreeSet<&str> = loaded().filter_map(|r| r.path.first()).map(String::as_str).collect();
    let ropes = loaded().count();
    let (verdict, found) = if ends.len() >= 2 {
        (Verdict::Holds, format!("{ropes} ropes on {} points of the load", ends.len()))
    } else {
        (Verdict::FallsShort, format!("{ropes} ropes on one point of the load"))
    };
    vec![finding("load_on_two_points", verdict, "load on two points", found, "common practice, no source")]
}
