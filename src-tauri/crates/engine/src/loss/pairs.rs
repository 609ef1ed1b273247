//! Pairs that drop the load though neither does alone: minimal cut sets of two, by support.

use crate::support::{HandMode, Hold, Lost, Model};
use rig::model::PartKind;
use std::collections::BTreeSet;

/// Pairs of ids, in the order of the rig.
pub fn critical_pairs(model: &Model<'_>) -> Vec<[String; 2]> {
    let part = |p: usize| Lost { parts: vec![p], hands: Vec::new() };
    let hand = |h: usize, mode| Lost { parts: Vec::new(), hands: vec![(h, mode)] };
    let whole = model.solve(&Lost::default());
    let mut singles: Vec<(&str, Lost)> = (0..model.parts())
        .filter(|p| whole.parts[*p] > Hold::Not)
        .filter(|p| {
            let own = &model.rig.parts[*p];
            !own.always_critical && !matches!(own.kind, PartKind::EdgeProtection | PartKind::EdgeLip)
        })
        .map(|p| (model.rig.parts[p].id.as_str(), part(p)))
        .collect();
    for h in model.hands_at_work() {
        for mode in [HandMode::Off, HandMode::Frozen] {
            singles.push((model.rig.hands[h].id.as_str(), hand(h, mode)));
        }
    }
    let nothing = Lost::default();
    let alone: Vec<[&Lost; 2]> = singles.iter().map(|(_, lost)| [lost, &nothing]).collect();
    let critical = model.drops_each(&alone);
    let mut critical = critical.iter();
    singles.retain(|_| critical.next() == Some(&false));
    let mut seen = BTreeSet::new();
    let mut pairs = Vec::new();
    for (i, (a, first)) in singles.iter().enumerate() {
        let others: Vec<[&Lost; 2]> = singles[i + 1..].iter().map(|(_, second)| [first, second]).collect();
        let dropped = model.drops_each(&others);
        for ((b, _), _) in singles[i + 1..].iter().zip(dropped).filter(|(_, dropped)| *dropped) {
            // A hand has two ways; a pair stands once.
            if a != b && seen.insert((*a, *b)) {
                pairs.push([(*a).to_string(), (*b).to_string()]);
            }
        }
    }
    pairs
}
