//! The catalogue: generic classes with their ratings, and knots as ranges. Embedded and versioned;
//! what a rig uses is copied into it, so that an old rig means what it meant.
//!
//! Nothing here is a limit to work by: a rating is the least a class must bear in its standard, as read
//! where the words say. What no standard rates (natural anchors, cord tied by the team, a bridle's rings)
//! is not here: its strength is unknown until the team sets it.

use crate::model::Standing;

/// Version of the ratings.
pub const VERSION: &str = "1";

/// A class of gear with its rating.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rated {
    /// Id, also the choice in a template.
    pub id: &'static str,
    /// In words.
    pub label: &'static str,
    /// Least strength, kN.
    pub rating_kn: f64,
    /// Where the rating was read.
    pub words: &'static str,
    /// How well it is known.
    pub standing: Standing,
}

/// Strength of a knot as a share of the unknotted rope; the low end counts.
#[derive(Clone, Copy, Debug, PartialEq)]
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

/// Ropes by class.
pub const ROPES: &[Rated] = &[
    Rated {
        id: "EN 1891 A",
        label: "low-stretch rope, EN 1891 type A",
        rating_kn: 22.0,
        words: "EN 1891 type A, 22 kN, as stated in a UK event-safety manual",
        standing: Standing::Published,
    },
    Rated {
        id: "EN 1891 B",
        label: "low-stretch rope, EN 1891 type B",
        rating_kn: 18.0,
        words: "EN 1891 type B, 18 kN, from summaries of the standard",
        standing: Standing::SecondHand,
    },
    Rated {
        id: "NFPA general",
        label: "life safety rope, general use",
        rating_kn: 40.0,
        words: "NFPA 1983:2012 general use, 40 kN, as stated in a fire department’s rope policy",
        standing: Standing::Published,
    },
    Rated {
        id: "NFPA technical",
        label: "life safety rope, technical use",
        rating_kn: 20.0,
        words: "NFPA 1983 technical use, 20 kN, from a summary of the standard",
        standing: Standing::SecondHand,
    },
];

/// Connectors by class, along the major axis with the gate locked.
pub const CONNECTORS: &[Rated] = &[
    Rated {
        id: "EN 362 B",
        label: "connector, EN 362 class B",
        rating_kn: 20.0,
        words: "EN 362:2004 class B, major axis, gate locked, 20 kN, from a consultant’s summary",
        standing: Standing::SecondHand,
    },
    Rated {
        id: "EN 362 Q",
        label: "screw link, EN 362 class Q",
        rating_kn: 25.0,
        words: "EN 362:2004 class Q, major axis, gate locked, 25 kN, from a consultant’s summary",
        standing: Standing::SecondHand,
    },
    Rated {
        id: "EN 12275 H",
        label: "connector, EN 12275 type H",
        rating_kn: 20.0,
        words: "EN 12275:2013 type H, major axis, 20 kN, from a consultant’s summary",
        standing: Standing::SecondHand,
    },
    Rated {
        id: "NFPA general",
        label: "connector, general use",
        rating_kn: 40.0,
        words: "NFPA 1983, older edition, general use, major axis, 40 kN, from a training text",
        standing: Standing::SecondHand,
    },
    Rated {
        id: "NFPA technical",
        label: "connector, technical use",
        rating_kn: 26.67,
        words: "NFPA 1983, older edition, light use, major axis, 26.67 kN, from a training text",
        standing: Standing::SecondHand,
    },
];

/// Legs of an anchor by material; a cord the team tied has no rating of its own.
pub const LEGS: &[Rated] = &[
    Rated {
        id: "sewn sling",
        label: "sewn sling",
        rating_kn: 22.0,
        words: "EN 566 sewn sling, 22 kN",
        standing: Standing::Memory,
    },
    Rated {
        id: "low-stretch rope",
        label: "low-stretch rope",
        rating_kn: 22.0,
        words: "EN 1891 type A, 22 kN, as stated in a UK event-safety manual",
        standing: Standing::Published,
    },
];

/// Knots.
pub const KNOTS: &[Knot] = &[
    Knot {
        id: "figure eight loop",
        label: "figure eight loop",
        low: 0.66,
        high: 0.80,
        words: "0.66 to 0.77 HSE CRR 364/2001 (from memory); 0.75 to 0.80 Army Mountain Warfare School 2010",
        standing: Standing::Memory,
    },
    Knot {
        id: "figure nine loop",
        label: "figure nine loop",
        low: 0.68,
        high: 0.84,
        words: "0.68 to 0.84 HSE CRR 364/2001 (from memory)",
        standing: Standing::Memory,
    },
    Knot {
        id: "overhand loop",
        label: "overhand loop",
        low: 0.58,
        high: 0.68,
        words: "0.58 to 0.68 HSE CRR 364/2001 (from memory); 0.60 to 0.65 Army Mountain Warfare School 2010",
        standing: Standing::Memory,
    },
    Knot {
        id: "bowline",
        label: "bowline",
        low: 0.55,
        high: 0.90,
        words: "0.55 to 0.74 HSE CRR 364/2001 (from memory); 0.70 to 0.75 Army Mountain Warfare School 2010; 0.80 to 0.90 with backup, Fitch & Funderburke",
        standing: Standing::Memory,
    },
    Knot {
        id: "alpine butterfly",
        label: "alpine butterfly",
        low: 0.57,
        high: 0.75,
        words: "0.57 in line, 0.75 loop, a rescue training site; 0.61 to 0.72 HSE CRR 364/2001 (from memory)",
        standing: Standing::Published,
    },
    Knot {
        id: "double fisherman",
        label: "double fisherman",
        low: 0.67,
        high: 0.77,
        words: "0.67 to 0.77 HSE CRR 364/2001 (from memory); 0.68 a rescue training site",
        standing: Standing::Memory,
    },
];

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

    #[test]
    fn every_entry_has_its_own_name_a_source_and_a_sensible_number() {
        for list in [ROPES, CONNECTORS, LEGS] {
            let ids: BTreeSet<_> = list.iter().map(|r| r.id).collect();
            assert_eq!(ids.len(), list.len());
            for rated in list {
                assert!(rated.rating_kn > 5.0 && rated.rating_kn < 100.0, "{}", rated.id);
                assert!(!rated.words.is_empty());
            }
        }
        for knot in KNOTS {
            assert!(0.4 < knot.low && knot.low < knot.high && knot.high <= 1.0, "{}", knot.id);
        }
    }

    #[test]
    fn a_rating_in_words_is_the_rating_in_numbers() {
        for rated in [ROPES, CONNECTORS, LEGS].concat() {
            assert!(rated.words.contains(&format!("{} kN", rated.rating_kn)), "{}", rated.id);
        }
    }
}
