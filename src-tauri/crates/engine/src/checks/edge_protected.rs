//! Every rope over the edge runs over protection.

use super::{Seen, finding};
use rig::findings::{RuleFinding, Verdict};
use rig::model::PartKind;
use std::collections::BTreeSet;

/// Ropes that touch the edge and what lies under them there.
pub fn edge_protected(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let rig = seen.model.rig;
    let there = || rig.parts.iter().enumerate().filter(|(i, _)| !seen.model.absent[*i]).map(|(_, p)| p);
    let at = |id: &String, kind: PartKind| there().any(|p| p.kind == kind && p.at.contains(id));
    let mut over = 0;
    let mut bare = Vec::new();
    for rope in &rig.ropes {
        if !there().any(|p| p.id == rope.id) {
            continue;
        }
        let lip = rope.path.iter().any(|p| at(p, PartKind::EdgeLip) || at(p, PartKind::EdgeProtection));
        let protected = rope.path.iter().any(|p| at(p, PartKind::EdgeProtection));
        over += usize::from(lip);
        if lip && !protected {
            bare.push(rope.label.clone());
        }
    }
    if over == 0 {
        return Vec::new();
    }
    let (verdict, found) = if bare.is_empty() {
        let all: BTreeSet<&str> = super::there(seen, &[PartKind::EdgeProtection])
            .filter(|p| rig.ropes.iter().any(|rope| rope.path.iter().any(|at| p.at.contains(at))))
            .map(|p| p.label.as_str())
            .collect();
        let names = all.into_iter().collect::<Vec<_>>().join(", ");
        (Verdict::Holds, format!("{over} ropes on protection: {names}"))
    } else {
        (Verdict::FallsShort, format!("on the bare lip: {}", bare.join(", ")))
    };
    let source = "common practice, no source";
    vec![finding("edge_protected", verdict, "ropes protected at the edge", found, source)]
}
