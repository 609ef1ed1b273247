//! The catalogue: generic classes with their ratings, knots as ranges, what else weakens a part, and where
//! published conventions differ. Embedded and versioned; what a rig uses is copied into it, so that an old rig means
//! what it meant.
//!
//! Nothing here is a limit to work by: a rating is the least a class must bear in its standard, as read
//! where the words say. What no standard rates (natural anchors, cord tied by the team, a bridle's rings)
//! is not here: its strength is unknown until the team sets it.

mod classes;
mod conventions;
mod weakened;

pub use classes::{ANCHORS, CONNECTORS, DEVICES, DIRECTIONALS, LEGS, PULLEYS, ROPES};
pub use conventions::{ANCHOR_MINIMUMS, ARREST_LIMITS, Convention, DESIGN_LOADS, MARGINS, MATERIALS, Matter};
pub use weakened::{Bend, CHOKED, KNOTS, bend, knot_range_holds};

use crate::model::{Cited, Loading, RatedLoading, Standing, Strength};
use crate::quantity::Force;
use serde::Serialize;

/// Version of the ratings.
pub const VERSION: &str = "2";

/// A class of gear with its rating.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Rated {
    /// Id, also the choice in a template.
    pub id: &'static str,
    /// In words.
    pub label: &'static str,
    /// Least strength, kN.
    #[serde(rename = "rating_kN")]
    pub rating_kn: f64,
    /// Where the rating was read.
    pub words: &'static str,
    /// How well it is known.
    pub standing: Standing,
    /// For connectors: what it bears loaded in another way. What is not here is unrated.
    #[serde(skip_serializing_if = "<[Other]>::is_empty")]
    pub other: &'static [Other],
}

impl Rated {
    /// What a part of this class bears, each way of loading with its source; `None`: not a finite number.
    pub fn strength(&self) -> Option<Strength> {
        let cited = |words: &str, standing| Cited { words: words.into(), standing };
        let kn = |rating: f64| Force::newtons(rating * 1000.0);
        let mut strength = Strength::plain(kn(self.rating_kn)?, cited(self.words, self.standing));
        for other in self.other {
            let cited = cited(other.words, other.standing);
            strength.by_loading.push(RatedLoading {
                loading: other.loading,
                rating: kn(other.rating_kn)?,
                cited,
            });
        }
        Some(strength)
    }
}

/// What a connector bears that is not loaded along its major axis with the gate locked.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Other {
    /// How it is loaded.
    pub loading: Loading,
    /// Least strength, kN.
    #[serde(rename = "rating_kN")]
    pub rating_kn: f64,
    /// Where it was read.
    pub words: &'static str,
    /// How well it is known.
    pub standing: Standing,
}

/// Strength of a knot as a share of the unknotted rope; the low end counts.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Knot {
    /// Id, also the choice in a template.
    pub id: &'static str,
    /// In words.
    pub label: &'static str,
    /// Low end of what the sources give.
    pub low: f64,
    /// High end.
    pub high: f64,
    /// Where the range was read; the low end's source first.
    pub words: &'static str,
    /// Standing of the low end.
    pub standing: Standing,
}

/// The class of an id.
pub fn rated<'a>(list: &'a [Rated], id: &str) -> Option<&'a Rated> {
    list.iter().find(|rated| rated.id == id)
}

/// The knot of an id.
pub fn knot(id: &str) -> Option<&'static Knot> {
    KNOTS.iter().find(|knot| knot.id == id)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    const LISTS: [&[Rated]; 7] = [ROPES, CONNECTORS, LEGS, PULLEYS, DIRECTIONALS, DEVICES, ANCHORS];

    #[test]
    fn every_entry_has_its_own_name_a_source_and_a_sensible_number() {
        for list in LISTS {
            let ids: BTreeSet<_> = list.iter().map(|r| r.id).collect();
            assert_eq!(ids.len(), list.len());
            for rated in list {
                assert!(rated.rating_kn > 3.0 && rated.rating_kn < 100.0, "{}", rated.id);
                assert!(!rated.words.is_empty());
            }
        }
        let ids: BTreeSet<_> = KNOTS.iter().map(|k| k.id).collect();
        assert_eq!(ids.len(), KNOTS.len());
        for knot in KNOTS {
            assert!(0.4 < knot.low && knot.low <= knot.high && knot.high <= 1.0, "{}", knot.id);
        }
    }

    #[test]
    fn a_rating_in_words_is_the_rating_in_numbers() {
        for rated in LISTS.concat() {
            assert!(rated.words.contains(&format!("{} kN", rated.rating_kn)), "{}", rated.id);
            for other in rated.other {
                assert!(other.words.contains(&format!("{} kN", other.rating_kn)), "{}", rated.id);
                // Loaded in any other way a connector never bears more.
                assert!(
                    other.rating_kn <= rated.rating_kn && other.loading != Loading::Major,
                    "{}",
                    rated.id
                );
            }
        }
    }
}
