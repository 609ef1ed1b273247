//! Falls drawn to scale: over random figures no text lies over text, nothing leaves the sheet, and what has no bound says so.

use drawing::audit::{clipped, faults, texts};
use drawing::fall::draw;
use drawing::list::Item;
use proptest::prelude::*;
use rig::findings::{FallFinding, FallOutcome, Percentiles};

fn fall(figures: [Option<f64>; 3], clearance_m: f64, never: f64, reaches: f64) -> FallFinding {
    let [p10, p50, p90] = figures;
    let band = Percentiles { p10, p50, p90 };
    FallFinding {
        of: vec!["rope one".into()],
        outcome: if never > 0.0 { FallOutcome::MayNotStop } else { FallOutcome::Stops },
        words: "drops".into(),
        fall_m: Some(band),
        peak_force_kn: Some(Percentiles { p10: Some(3.0), p50: Some(3.2), p90: Some(3.6) }),
        stop_s: Some(Percentiles { p10: Some(0.8), p50: Some(0.9), p90: Some(1.1) }),
        never_stops: Some(never),
        clearance_m,
        below: "ground".into(),
        reaches: Some(reaches),
        free_length_m: Some(13.0),
        survivors: Vec::new(),
        parameters: Vec::new(),
        heights: Vec::new(),
        reaches_between_m: vec![[0.0, 1.9]],
        motion: Vec::new(),
        bare_edge: false,
        team_lets_go: false,
        who: String::new(),
        taken: Vec::new(),
        swing: String::new(),
        runs: 1000,
        seed: 1,
    }
}

#[test]
fn the_band_is_drawn_to_scale_and_its_figures_stand_beside_it() {
    let picture = draw(&fall([Some(0.76), Some(1.12), Some(1.64)], 7.0, 0.0, 0.0), 56.0, 1.0);
    let words = texts(&picture.list);
    for wanted in
        ["0.76 m", "1.12 m", "1.64 m", "1 in 10 runs", "half of them", "9 in 10", "ground, 7.0 m below"]
    {
        assert!(words.iter().any(|t| t == wanted), "{wanted}: {words:?}");
    }
    assert!((picture.scale - 62.0 / (1.64 * 1.5)).abs() < 1e-9);
    assert_eq!(picture.load, Some([16.0, 20.0]));
    // The ground near: its own height is the scale.
    let near = draw(&fall([Some(0.76), Some(1.12), Some(1.64)], 1.5, 0.0, 0.2), 56.0, 1.0);
    assert!((near.scale - 62.0 / 1.5).abs() < 1e-9);
    assert!(texts(&near.list).iter().any(|t| t == "reached in 20 in 100 runs"));
}

#[test]
fn what_does_not_stop_and_what_is_not_computed_is_said() {
    let words = texts(&draw(&fall([Some(1.0), Some(2.0), None], 7.0, 0.2, 0.2), 56.0, 1.0).list);
    assert!(words.iter().any(|t| t == "no stop"), "{words:?}");
    assert!(words.iter().any(|t| t == "nothing stops it in 20 in 100 runs"), "{words:?}");
    let mut none = fall([None; 3], 7.0, 0.0, 0.0);
    none.outcome = FallOutcome::NotComputed;
    none.fall_m = None;
    none.words = "not checked: what the ropes then bear on is unknown".into();
    let picture = draw(&none, 56.0, 1.0);
    assert!(texts(&picture.list).concat().contains("not checked") && picture.load.is_none());
    assert_eq!(faults(&picture.list), Vec::<String>::new());
}

#[test]
fn who_drops_within_the_load_is_named_and_what_is_taken_is_said() {
    let mut within = fall([Some(0.01), Some(0.02), Some(0.05)], 7.0, 0.0, 0.0);
    within.who = "attendant".into();
    within.taken = vec!["the ring runs".into()];
    let words = texts(&draw(&within, 56.0, 1.0).list).join(" ");
    for wanted in ["13.0 m of tether", "pull on attendant: half", "the ring runs"] {
        assert!(words.contains(wanted), "{wanted}: {words}");
    }
    assert!(!words.contains("pull on the load"), "{words}");
    // So small a fall stands clear of the length above it.
    let picture = draw(&within, 96.0, 1.5);
    let foot = |wanted: &str| {
        let texts = picture.list.items.iter();
        let mut found = texts.filter_map(|item| match item {
            Item::Text { text, y, .. } if text == wanted => Some(*y),
            _ => None,
        });
        found.next().unwrap()
    };
    assert!(foot("0.01 m") - foot("free above it") > 4.0);
}

#[test]
fn a_bare_edge_and_a_team_that_lets_go_are_said() {
    let mut onto = fall([Some(0.76), Some(1.12), Some(1.64)], 7.0, 0.0, 0.0);
    let said = |f: &FallFinding| texts(&draw(f, 96.0, 1.5).list).join(" ");
    assert!(!said(&onto).contains("bare edge") && !said(&onto).contains("haul team"));
    (onto.bare_edge, onto.team_lets_go) = (true, true);
    let words = said(&onto);
    for wanted in
        ["on a bare edge: whether it cuts a rope is not checked", "the haul team is taken to let go"]
    {
        assert!(words.contains(wanted), "{wanted}: {words}");
    }
}

proptest! {
    #[test]
    fn no_fall_has_a_fault(
        a in 0.0..8.0_f64, b in 0.0..8.0_f64, c in 0.0..8.0_f64, clearance in 0.0..200.0_f64,
        unbounded in 0usize..4, screen in any::<bool>(), bare in any::<bool>(),
    ) {
        let mut figures = [a, a + b, a + b + c].map(Some);
        figures.iter_mut().rev().take(unbounded).for_each(|f| *f = None);
        let (width, larger) = if screen { (96.0, 1.5) } else { (56.0, 1.0) };
        let own = fall(figures, clearance, unbounded as f64 / 9.0, 0.3);
        let picture = draw(&FallFinding { bare_edge: bare, team_lets_go: bare, ..own }, width, larger);
        prop_assert_eq!(faults(&picture.list), Vec::<String>::new());
        prop_assert_eq!(clipped(&picture.list), Vec::<String>::new());
    }
}
