//! Classes of gear with the least that their standards ask of them.

use super::{Other, Rated};
use crate::model::{Loading, Standing};

const fn class(
    id: &'static str,
    label: &'static str,
    rating_kn: f64,
    words: &'static str,
    standing: Standing,
) -> Rated {
    Rated { id, label, rating_kn, words, standing, other: &[] }
}

/// A connector; its other ways of loading have the standing of the whole.
const fn connector(
    id: &'static str,
    label: &'static str,
    rating_kn: f64,
    words: &'static str,
    other: &'static [Other],
) -> Rated {
    Rated { id, label, rating_kn, words, standing: Standing::SecondHand, other }
}

const fn minor(rating_kn: f64, words: &'static str) -> Other {
    Other { loading: Loading::Minor, rating_kn, words, standing: Standing::SecondHand }
}

const fn open(rating_kn: f64, words: &'static str) -> Other {
    Other { loading: Loading::OpenGate, rating_kn, words, standing: Standing::SecondHand }
}

const fn open_from_memory(rating_kn: f64, words: &'static str) -> Other {
    Other { loading: Loading::OpenGate, rating_kn, words, standing: Standing::Memory }
}

/// Ropes by class.
pub const ROPES: &[Rated] = &[
    class(
        "EN 1891 A",
        "low-stretch rope, EN 1891 type A",
        22.0,
        "EN 1891 type A, 22 kN, as stated in a UK event-safety manual",
        Standing::Published,
    ),
    class(
        "EN 1891 B",
        "low-stretch rope, EN 1891 type B",
        18.0,
        "EN 1891 type B, 18 kN, from summaries of the standard",
        Standing::SecondHand,
    ),
    class(
        "NFPA general",
        "life safety rope, general use, 11 to 16 mm",
        40.0,
        "NFPA 1983:2012 general use, 40 kN, as stated in a fire department’s rope policy",
        Standing::Published,
    ),
    class(
        "NFPA technical",
        "life safety rope, technical use, 9.5 to 12.5 mm (diameters from memory)",
        20.0,
        "NFPA 1983 technical use, 20 kN, from a summary of the standard",
        Standing::SecondHand,
    ),
    class(
        "NFPA escape",
        "escape rope, for one person’s own escape",
        13.5,
        "NFPA 1983:2017 escape rope, 13.5 kN (verify before use)",
        Standing::Memory,
    ),
];

/// Connectors by class, along the major axis with the gate locked.
pub const CONNECTORS: &[Rated] = &[
    connector(
        "EN 362 B",
        "connector, EN 362 class B",
        20.0,
        "EN 362:2004 class B, major axis, gate locked, 20 kN, from a consultant’s summary (closed and not locked 15 kN)",
        &[minor(7.0, "EN 362:2004 class B, minor axis, 7 kN, from a consultant’s summary")],
    ),
    connector(
        "EN 362 M",
        "connector, EN 362 class M",
        20.0,
        "EN 362:2004 class M, major axis, gate locked, 20 kN, from a consultant’s summary (closed and not locked 15 kN)",
        &[minor(15.0, "EN 362:2004 class M, minor axis, 15 kN, from a consultant’s summary")],
    ),
    connector(
        "EN 362 T",
        "connector with a tied end, EN 362 class T",
        20.0,
        "EN 362:2004 class T, major axis, gate locked, 20 kN, from a consultant’s summary (closed and not locked 15 kN)",
        &[],
    ),
    connector(
        "EN 362 A",
        "connector for an anchor, EN 362 class A",
        20.0,
        "EN 362:2004 class A, major axis, gate locked, 20 kN, from a consultant’s summary (closed and not locked 15 kN)",
        &[],
    ),
    connector(
        "EN 362 Q",
        "screw link, EN 362 class Q",
        25.0,
        "EN 362:2004 class Q, major axis, gate locked, 25 kN, from a consultant’s summary",
        &[minor(10.0, "EN 362:2004 class Q, minor axis, 10 kN, from a consultant’s summary")],
    ),
    connector(
        "EN 12275 B",
        "connector, EN 12275 type B",
        20.0,
        "EN 12275:2013 type B, major axis, 20 kN, from a consultant’s summary",
        &[
            minor(7.0, "EN 12275:2013 type B, minor axis, 7 kN, from a consultant’s summary"),
            open(7.0, "EN 12275:2013 type B, gate open, 7 kN, from a consultant’s summary"),
        ],
    ),
    connector(
        "EN 12275 H",
        "connector, EN 12275 type H",
        20.0,
        "EN 12275:2013 type H, major axis, 20 kN, from a consultant’s summary",
        &[
            minor(7.0, "EN 12275:2013 type H, minor axis, 7 kN, from a consultant’s summary"),
            open(6.0, "EN 12275:2013 type H, gate open, 6 kN, from a consultant’s summary"),
        ],
    ),
    connector(
        "EN 12275 K",
        "connector, EN 12275 type K",
        25.0,
        "EN 12275:2013 type K, major axis, 25 kN, from a consultant’s summary",
        &[
            minor(7.0, "EN 12275:2013 type K, minor axis, 7 kN, from a consultant’s summary"),
            open(8.0, "EN 12275:2013 type K, gate open, 8 kN, from a consultant’s summary"),
        ],
    ),
    connector(
        "EN 12275 A",
        "connector, EN 12275 types A and T",
        20.0,
        "EN 12275:2013 types A and T, major axis, 20 kN, from a consultant’s summary",
        &[open(7.0, "EN 12275:2013 types A and T, gate open, 7 kN, from a consultant’s summary")],
    ),
    connector(
        "EN 12275 Q",
        "screw link, EN 12275 type Q",
        25.0,
        "EN 12275:2013 type Q, major axis, 25 kN, from a consultant’s summary",
        &[minor(10.0, "EN 12275:2013 type Q, minor axis, 10 kN, from a consultant’s summary")],
    ),
    connector(
        "EN 12275 X",
        "connector, EN 12275 type X",
        18.0,
        "EN 12275:2013 type X, major axis, 18 kN, from a consultant’s summary",
        &[
            minor(7.0, "EN 12275:2013 type X, minor axis, 7 kN, from a consultant’s summary"),
            open(5.0, "EN 12275:2013 type X, gate open, 5 kN, from a consultant’s summary"),
        ],
    ),
    connector(
        "NFPA general",
        "connector, general use",
        40.0,
        "NFPA 1983, older edition, general use, major axis, 40 kN, from a training text",
        &[minor(10.67, "NFPA 1983, older edition, general use, minor axis, 10.67 kN, from a training text")],
    ),
    connector(
        "NFPA technical",
        "connector, technical use",
        26.67,
        "NFPA 1983, older edition, light use, major axis, 26.67 kN, from a training text",
        &[
            minor(7.33, "NFPA 1983, older edition, light use, minor axis, 7.33 kN, from a training text"),
            open_from_memory(7.33, "NFPA 1983, older edition, light use, gate open, 7.33 kN"),
        ],
    ),
];

/// Legs of an anchor by material; a cord the team tied has no rating of its own.
pub const LEGS: &[Rated] = &[
    class("sewn sling", "sewn sling", 22.0, "EN 566 sewn sling, 22 kN", Standing::Memory),
    class(
        "low-stretch rope",
        "low-stretch rope",
        22.0,
        "EN 1891 type A, 22 kN, as stated in a UK event-safety manual",
        Standing::Published,
    ),
];

/// Pulleys.
pub const PULLEYS: &[Rated] = &[
    class(
        "NFPA technical",
        "pulley, technical use",
        22.0,
        "NFPA 1983:2017 pulley, technical use, 22 kN (verify before use)",
        Standing::Memory,
    ),
    class(
        "NFPA general",
        "pulley, general use",
        36.0,
        "NFPA 1983:2017 pulley, general use, 36 kN (verify before use)",
        Standing::Memory,
    ),
];

/// High directionals, as portable anchors.
pub const DIRECTIONALS: &[Rated] = &[
    class(
        "NFPA technical",
        "portable anchor, technical use",
        22.0,
        "NFPA 1983:2017 portable anchor, technical use, 22 kN (verify before use)",
        Standing::Memory,
    ),
    class(
        "NFPA general",
        "portable anchor, general use",
        36.0,
        "NFPA 1983:2017 portable anchor, general use, 36 kN (verify before use)",
        Standing::Memory,
    ),
];

/// What grips a rope: the force that it holds for three minutes, or fails at.
pub const DEVICES: &[Rated] = &[
    class(
        "EN 12841 A",
        "rope adjustment device for a working line’s backup, EN 12841 type A",
        15.0,
        "EN 12841:2006 type A, static for 3 min, 15 kN, from a summary",
        Standing::SecondHand,
    ),
    class(
        "EN 12841 B",
        "ascender, EN 12841 type B",
        4.0,
        "EN 12841:2006 type B, static for 3 min, 4 kN, from a summary",
        Standing::SecondHand,
    ),
    class(
        "EN 12841 C",
        "descender, EN 12841 type C",
        12.0,
        "EN 12841:2006 type C, static for 3 min, 12 kN, from a summary",
        Standing::SecondHand,
    ),
    class(
        "NFPA technical",
        "descent control device, technical use",
        13.5,
        "NFPA 1983:2017 descent control device, technical use, without failure, 13.5 kN (verify before use)",
        Standing::Memory,
    ),
    class(
        "NFPA general",
        "descent control device, general use",
        22.0,
        "NFPA 1983:2017 descent control device, general use, without failure, 22 kN (verify before use)",
        Standing::Memory,
    ),
];

/// Anchor devices that are made and tested; none of these speaks of rock, trees or what they are set in.
pub const ANCHORS: &[Rated] = &[
    class(
        "EN 795 metal",
        "anchor device all of metal, EN 795, one user",
        12.0,
        "EN 795:2012, metal, static for 3 min, one user, 12 kN, as stated by a test house",
        Standing::Published,
    ),
    class(
        "EN 795 textile",
        "anchor device with a part that is not of metal, EN 795, one user",
        18.0,
        "EN 795:2012, a part not of metal, static for 3 min, one user, 18 kN, as stated by a test house",
        Standing::Published,
    ),
];
