//! Falls beside each other: over random figures no text lies over text, nothing leaves the sheet, and what has no bound says so.

use drawing::audit::{clipped, faults, texts};
use drawing::fall_beside::{ranks, systems};
use proptest::prelude::*;
use rig::findings::{FallParameter, Percentiles, SystemFall};

fn parameter(label: &str, moves_m: [Option<f64>; 2]) -> FallParameter {
    FallParameter {
        id: label.into(),
        label: label.into(),
        unit: "s".into(),
        low: 0.3,
        likely: 0.6,
        high: 1.0,
        source: "assumption".into(),
        assumed: true,
        moves_m,
    }
}

fn system(label: &str, figures: [Option<f64>; 3], never: f64, reaches: f64) -> SystemFall {
    let [p10, p50, p90] = figures;
    SystemFall {
        id: label.into(),
        label: label.into(),
        note: "dropped if that one freezes on; the figures are for one who lets go".into(),
        fall_m: Percentiles { p10, p50, p90 },
        peak_force_kn: Percentiles { p10: Some(3.0), p50: Some(3.2), p90: Some(3.6) },
        never_stops: never,
        reaches,
        parameters: Vec::new(),
    }
}

#[test]
fn each_system_says_its_figures_and_what_lies_below_is_on_the_scale_where_it_is_near() {
    let all = [
        system("one loaded rope", [Some(2.3), Some(3.7), Some(5.7)], 0.0, 0.04),
        system("two loaded ropes", [Some(0.7), Some(1.3), None], 0.12, 0.2),
    ];
    let words = texts(&systems(&all, 6.0, "ledge", 96.0, 1.5)).join(" | ");
    for wanted in [
        "2.30 m – 3.70 m – 5.70 m",
        "0.70 m – 1.30 m – no stop",
        "12 in 100",
        "reaches the ledge in 4 in 100",
        "the ledge, 6.0 m below",
    ] {
        assert!(words.contains(wanted), "{wanted}: {words}");
    }
    let far = texts(&systems(&all, 60.0, "ground", 96.0, 1.5)).join(" ");
    assert!(far.contains("60.0 m below, beyond the scale"), "{far}");
}

#[test]
fn what_moves_a_fall_most_stands_first_and_what_moves_nothing_is_left_out() {
    let all = [
        parameter("reaction", [Some(1.1), None]),
        parameter("closing", [Some(1.2), Some(1.9)]),
        parameter("still", [Some(1.3), Some(1.3)]),
    ];
    let words = texts(&ranks(&all, 96.0, 1.5)).join(" | ");
    assert!(words.contains("1.10 m at 0.3 s, no stop at 1 s, assumed"), "{words}");
    assert!(words.find("reaction") < words.find("closing") && !words.contains("still"), "{words}");
    assert!(texts(&ranks(&all[2..], 96.0, 1.5)).concat().contains("nothing that is drawn moves it"));
}

proptest! {
    #[test]
    fn none_has_a_fault(
        figures in proptest::collection::vec((0.0..8.0_f64, 0.0..8.0_f64, 0.0..8.0_f64, 0usize..4), 0..6),
        clearance in 0.0..200.0_f64, paper in any::<bool>(),
    ) {
        let (width, larger) = if paper { (82.0, 1.0) } else { (96.0, 1.5) };
        let of = |(a, b, c, open): &(f64, f64, f64, usize)| {
            let mut own = [*a, a + b, a + b + c].map(Some);
            own.iter_mut().rev().take(*open).for_each(|f| *f = None);
            own
        };
        let label = "two loaded ropes, an operator on each and somebody with a long name behind both of them";
        let all: Vec<SystemFall> = figures.iter().map(|f| system(label, of(f), f.3 as f64 / 9.0, 0.3)).collect();
        let list = systems(&all, clearance, "foot of the slope", width, larger);
        prop_assert_eq!(faults(&list), Vec::<String>::new());
        prop_assert_eq!(clipped(&list), Vec::<String>::new());
        let moved: Vec<FallParameter> = figures.iter().map(|f| { let [a, _, c] = of(f); parameter(label, [a, c]) }).collect();
        let list = ranks(&moved, width, larger);
        prop_assert_eq!(faults(&list), Vec::<String>::new());
        prop_assert_eq!(clipped(&list), Vec::<String>::new());
    }
}
