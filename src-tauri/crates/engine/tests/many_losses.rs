//! Many losses judged in one pass are what each of them is alone.

use engine::support::{HandMode, Hold, Lost, Model};
use std::collections::BTreeMap;

/// Everything that can be lost alone: each part, and each hand in both ways.
fn singles(model: &Model<'_>) -> Vec<Lost> {
    let parts = (0..model.parts()).map(|part| Lost { parts: vec![part], hands: Vec::new() });
    let hand = |hand, mode| Lost { parts: Vec::new(), hands: vec![(hand, mode)] };
    let hands = model.hands_at_work().flat_map(|h| [hand(h, HandMode::Off), hand(h, HandMode::Frozen)]);
    parts.chain(hands).collect()
}

#[test]
fn every_pair_in_every_template_drops_the_load_in_one_pass_as_it_does_alone() {
    let (mut dropped, mut held) = (0, 0);
    for template in rig::templates::list() {
        let rig = rig::templates::make(template.name, &BTreeMap::new()).unwrap_or_else(|e| panic!("{e}"));
        for state in &rig.states {
            let model = Model::new(&rig, state);
            let singles = singles(&model);
            let same_hand = |a: &Lost, b: &Lost| {
                !a.hands.is_empty()
                    && a.hands.iter().zip(&b.hands).all(|((a, _), (b, _))| a == b)
                    && a.hands.len() == b.hands.len()
            };
            let pairs: Vec<[&Lost; 2]> = singles
                .iter()
                .enumerate()
                .flat_map(|(i, a)| singles[i..].iter().map(move |b| [a, b]))
                .filter(|[a, b]| !same_hand(a, b) || a == b)
                .collect();
            for ([a, b], drops) in pairs.iter().zip(model.drops_each(&pairs)) {
                let both = Lost {
                    parts: [a.parts.clone(), b.parts.clone()].concat(),
                    hands: [a.hands.clone(), b.hands.clone()].concat(),
                };
                let alone = model.solve(&both).load == Hold::Not;
                assert_eq!(drops, alone, "{} {}: {both:?}", template.name, state.id);
                if drops { dropped += 1 } else { held += 1 }
            }
        }
    }
    assert!(dropped > 1000 && held > 1000, "{dropped} {held}");
}
