//! What weakens a part: knots as ranges, a choke, a bend. The low end of a range counts.

use super::Knot;
use crate::model::{Material, Standing};
use serde::Serialize;

const fn knot(id: &'static str, low: f64, high: f64, words: &'static str, standing: Standing) -> Knot {
    Knot { id, label: id, low, high, words, standing }
}

/// Knots in kernmantle rope, cord or webbing. Values for laid rope (USDA 1964, Day 1970) are left out: another
/// rope. A girth hitch is not here: no number was found, so it is not rated.
pub const KNOTS: &[Knot] = &[
    knot(
        "figure eight loop",
        0.66,
        0.80,
        "0.66 to 0.77 HSE CRR 364/2001 (from memory); 0.75 to 0.80 Army Mountain Warfare School 2010; 0.80 a rescue training site",
        Standing::Memory,
    ),
    knot("figure nine loop", 0.68, 0.84, "0.68 to 0.84 HSE CRR 364/2001 (from memory)", Standing::Memory),
    knot(
        "overhand loop",
        0.58,
        0.68,
        "0.58 to 0.68 HSE CRR 364/2001 (from memory); 0.60 to 0.65 Army Mountain Warfare School 2010",
        Standing::Memory,
    ),
    knot(
        "bowline",
        0.55,
        0.90,
        "0.55 to 0.74 HSE CRR 364/2001 (from memory); 0.60 a rescue training site; 0.70 to 0.75 Army Mountain Warfare School 2010; 0.80 to 0.90 with backup, Fitch & Funderburke",
        Standing::Memory,
    ),
    knot(
        "alpine butterfly",
        0.57,
        0.75,
        "0.57 in line, 0.75 loop, a rescue training site; 0.61 to 0.72 HSE CRR 364/2001 (from memory)",
        Standing::Published,
    ),
    knot(
        "double fisherman",
        0.67,
        0.77,
        "0.67 to 0.77 HSE CRR 364/2001 (from memory); 0.68 a rescue training site",
        Standing::Memory,
    ),
    knot(
        "clove hitch",
        0.60,
        0.75,
        "0.60 to 0.65 Army Mountain Warfare School 2010; 0.75 Avery; it may slip before it breaks (HSE CRR 364/2001, from memory)",
        Standing::Published,
    ),
    knot(
        "water knot in webbing",
        0.60,
        0.70,
        "0.60 to 0.70 Army Mountain Warfare School 2010; 0.64 a rescue training site",
        Standing::Published,
    ),
    knot(
        "round turn and two half hitches",
        0.60,
        0.75,
        "0.60 to 0.70 Army Mountain Warfare School 2010; 0.75 with a round turn, a rescue training site",
        Standing::Published,
    ),
    knot(
        "tensionless hitch",
        1.0,
        1.0,
        "1.00 a rescue training site; one source, and only while the wraps bear the whole",
        Standing::Published,
    ),
    knot("eye splice", 0.90, 0.95, "to 0.90 Avery; 0.95 Day 1970, laid rope", Standing::Published),
];

/// A sling choked round what it holds.
pub const CHOKED: Knot = knot(
    "choke",
    0.75,
    0.80,
    "0.75 to 0.80 of a straight pull, sling practice (ASME B30.9)",
    Standing::Memory,
);

/// What is left of a rope bent over something round.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Bend {
    /// Diameter of what it is bent over, over the rope's, at least.
    pub from: f64,
    /// What is left.
    pub left: f64,
}

/// Where the bends come from.
pub const BEND_WORDS: &str = "wire-rope practice from memory, assumed for fibre rope";

/// Bends, tightest first. Under one rope's own thickness nothing is known.
const BENDS: &[Bend] = &[
    Bend { from: 1.0, left: 0.50 },
    Bend { from: 2.0, left: 0.65 },
    Bend { from: 4.0, left: 0.75 },
    Bend { from: 6.0, left: 0.79 },
    Bend { from: 8.0, left: 0.83 },
    Bend { from: 10.0, left: 0.86 },
    Bend { from: 20.0, left: 0.91 },
];

/// What is left of a rope bent over something `over` times as wide as it is thick: the value of the next tighter
/// bend. `None`: tighter than its own thickness, not known.
pub fn bend(over: f64) -> Option<(f64, &'static str)> {
    let known = BENDS.iter().rev().find(|bend| over >= bend.from * (1.0 - 1e-9))?;
    Some((known.left, BEND_WORDS))
}

/// Whether the ranges of knots speak of this material: they were measured on nylon and polyester. HMPE slips in
/// knots and aramid is weak in bends.
pub fn knot_range_holds(material: Option<Material>) -> bool {
    !matches!(material, Some(Material::Hmpe | Material::Aramid))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tighter_bend_never_leaves_more() {
        assert_eq!(bend(0.9), None);
        let mut before = 0.0;
        for tenths in 10..300 {
            let left = bend(f64::from(tenths) / 10.0).unwrap().0;
            assert!(left >= before && left < 1.0);
            before = left;
        }
        assert_eq!(bend(4.0).unwrap().0, 0.75);
    }
}
