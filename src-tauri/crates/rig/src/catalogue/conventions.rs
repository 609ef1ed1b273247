//! Where published conventions differ: the team chooses, with the source beside the choice.

use crate::model::{Material, Standing};
use serde::Serialize;

/// A number somebody goes by.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Convention {
    /// The number.
    pub value: f64,
    /// Its unit.
    pub unit: &'static str,
    /// What it is for, and who goes by it.
    pub words: &'static str,
    /// How well it is known.
    pub standing: Standing,
}

const fn convention(value: f64, unit: &'static str, words: &'static str, standing: Standing) -> Convention {
    Convention { value, unit, words, standing }
}

/// Required margins: strength over force.
pub const MARGINS: &[Convention] = &[
    convention(
        15.0,
        ": 1",
        "design of life safety rope: 9000 lbf for a load of 600 lbf (NFPA 1983, as stated in a fire department’s rope policy)",
        Standing::Published,
    ),
    convention(
        10.0,
        ": 1",
        "static system safety factor, advocated since the 1980s, now questioned (ITRS 2014 abstract)",
        Standing::Published,
    ),
    convention(5.0, ": 1", "design of slings (DOE-STD-1090-96, 11.3)", Standing::Published),
    convention(
        2.0,
        ": 1",
        "on a known force of arrest, under a qualified person (29 CFR 1910.140 and 1926.502, quoted)",
        Standing::Published,
    ),
];

/// Least strengths asked of an anchor.
pub const ANCHOR_MINIMUMS: &[Convention] = &[
    convention(12.0, "kN", "EN 795:2012, metal, one user (a test house)", Standing::Published),
    convention(
        15.0,
        "kN",
        "rope access in the UK, 2.5 × 6 kN (a consultant’s note on BS 7985)",
        Standing::Published,
    ),
    convention(16.0, "kN", "Alberta, each worker (OHS Code 2009, s. 829)", Standing::Published),
    convention(20.0, "kN", "target of a whole rescue anchor (ITRS paper)", Standing::Published),
    convention(
        21.0,
        "kN",
        "Australia, two people on one anchor (training unit RIIWHS204E)",
        Standing::Published,
    ),
    convention(22.2, "kN", "USA, each person, 5000 lbf (29 CFR 1910.140, quoted)", Standing::Published),
];

/// Loads that rigs are planned for.
pub const DESIGN_LOADS: &[Convention] = &[
    convention(2.669, "kN", "two people, 600 lbf (NFPA 1983, from exam notes)", Standing::SecondHand),
    convention(1.334, "kN", "one person, 300 lbf (NFPA 1983, from exam notes)", Standing::SecondHand),
    convention(200.0, "kg", "rescue load, also called 2 kN (from memory)", Standing::Memory),
    convention(280.0, "kg", "rescue load (from memory)", Standing::Memory),
    convention(100.0, "kg", "one person (from memory)", Standing::Memory),
];

/// Limits on the force that stops a person.
pub const ARREST_LIMITS: &[Convention] = &[
    convention(6.0, "kN", "EU and Alberta (OHS Code Explanation Guide 2009, s. 828)", Standing::Published),
    convention(8.0, "kN", "USA, 1800 lbf (Washington WAC 296-880-40020)", Standing::Published),
];

/// What a material does that a rig must know.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Matter {
    /// The material.
    pub material: Material,
    /// In words.
    pub words: &'static str,
    /// How well it is known.
    pub standing: Standing,
}

/// Materials of ropes, cords and slings.
pub const MATERIALS: &[Matter] = &[
    Matter {
        material: Material::Hmpe,
        words: "little friction, slips in knots, melts near 150 °C: no friction hitch of bare cord; ranges of knots do not hold",
        standing: Standing::Memory,
    },
    Matter {
        material: Material::Aramid,
        words: "hardly stretches, does not melt, weak in tight bends: ranges of knots do not hold",
        standing: Standing::Memory,
    },
    Matter {
        material: Material::Polyester,
        words: "stretches little, melts near 260 °C",
        standing: Standing::Memory,
    },
    Matter {
        material: Material::Nylon,
        words: "stretches most, weaker when wet, melts between 220 and 260 °C by its kind",
        standing: Standing::Memory,
    },
];
