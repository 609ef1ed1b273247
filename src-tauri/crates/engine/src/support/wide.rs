//! Many losses at once: whether nothing holds the load, for some hundred losses in one pass over the rules.
//!
//! That something is held at all (however surely) goes from rule to rule by “and” and “or” alone, so that one bit a loss is
//! enough, and one pass serves as many losses as there are bits in a set.

use super::model::{HandMode, Lost, Rule};
use super::{Hold, Model};

const WORDS: usize = 8;
/// One bit a loss.
type Set = [u64; WORDS];
const LOSSES: usize = 64 * WORDS;
const NONE: Set = [0; WORDS];
const ALL: Set = [u64::MAX; WORDS];

fn put(set: &mut Set, bit: usize, on: bool) {
    let (word, mask) = (&mut set[bit / 64], 1 << (bit % 64));
    if on {
        *word |= mask;
    } else {
        *word &= !mask;
    }
}

fn both(a: &Set, b: &Set) -> Set {
    std::array::from_fn(|n| a[n] & b[n])
}

fn either(a: &Set, b: &Set) -> Set {
    std::array::from_fn(|n| a[n] | b[n])
}

/// For each loss of a set, what could hold if the rules were all that mattered.
struct There {
    /// Parts that are not lost, and grip.
    parts: Vec<Set>,
    /// Hands that hold.
    hands: Vec<Set>,
}

impl Model<'_> {
    /// For each pair of losses that come together, whether nothing holds the load.
    ///
    /// That another rope is gone makes a grip hang on an act, and never takes it away: so this needs no look at what is disturbed.
    pub fn drops_each(&self, losses: &[[&Lost; 2]]) -> Vec<bool> {
        let mut dropped = Vec::with_capacity(losses.len());
        for some in losses.chunks(LOSSES) {
            let held = self.held_in(&self.there(some));
            dropped.extend((0..some.len()).map(|n| held[n / 64] >> (n % 64) & 1 == 0));
        }
        dropped
    }

    fn there(&self, losses: &[[&Lost; 2]]) -> There {
        let works = |h: usize| if self.at_work[h] { ALL } else { NONE };
        let mut there =
            There { parts: vec![ALL; self.parts()], hands: (0..self.at_work.len()).map(works).collect() };
        for part in (0..self.parts()).filter(|p| self.counts_for_nothing[*p]) {
            there.parts[part] = NONE;
        }
        for (part, set) in there.parts.iter_mut().enumerate() {
            if self.grip(part, &Lost::default(), false).is_some_and(|grip| grip.hold == Hold::Not) {
                *set = NONE;
            }
        }
        for (n, pair) in losses.iter().enumerate() {
            if pair.iter().any(|lost| !lost.hands.is_empty()) {
                self.hands_lost(n, pair, &mut there);
            }
            for part in pair.iter().flat_map(|lost| &lost.parts) {
                put(&mut there.parts[*part], n, false);
                // A rope holds no longer than the knots that join it.
                self.joins[*part].iter().for_each(|rope| put(&mut there.parts[*rope], n, false));
            }
        }
        there
    }

    /// What hands that are lost take with them: their own hold, and the grips that hang on them.
    fn hands_lost(&self, n: usize, pair: &[&Lost; 2], there: &mut There) {
        let hands: Vec<(usize, HandMode)> = pair.iter().flat_map(|lost| lost.hands.iter().copied()).collect();
        let lost = Lost { parts: Vec::new(), hands };
        for (hand, _) in lost.hands.iter().filter(|(_, mode)| *mode == HandMode::Off) {
            put(&mut there.hands[*hand], n, false);
        }
        let on = |part: usize| {
            let hands = self.operators[part].iter().chain(&self.tailers[part]);
            hands.into_iter().any(|hand| lost.hand(*hand) != HandMode::Works)
        };
        for part in (0..self.parts()).filter(|p| !self.counts_for_nothing[*p] && on(*p)) {
            if let Some(grip) = self.grip(part, &lost, false) {
                put(&mut there.parts[part], n, grip.hold > Hold::Not);
            }
        }
    }

    /// From the ground upwards: the losses in which the load is held.
    fn held_in(&self, there: &There) -> Set {
        let mut held = vec![NONE; self.parts()];
        loop {
            let mut changed = false;
            for part in self.order.iter().copied() {
                let value = both(&wide(&self.rules[part], &held, there), &there.parts[part]);
                changed |= value != held[part];
                held[part] = value;
            }
            if !changed {
                return wide(&self.load, &held, there);
            }
        }
    }
}

fn wide(rule: &Rule, held: &[Set], there: &There) -> Set {
    match rule {
        Rule::Ground => ALL,
        Rule::Part(part) => held[*part],
        Rule::Hand(hand) => there.hands[*hand],
        Rule::All(rules) => rules.iter().fold(ALL, |set, rule| both(&set, &wide(rule, held, there))),
        Rule::Any(rules) | Rule::Backup(_, rules) => {
            rules.iter().fold(NONE, |set, rule| either(&set, &wide(rule, held, there)))
        }
    }
}
