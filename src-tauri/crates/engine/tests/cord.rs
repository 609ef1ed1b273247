//! A ring on its cord that lost a leg: where it comes to rest beside closed forms, and what a whole rig then says.

use engine::falls::{Called, Runs};
use engine::statics::cord;
use proptest::prelude::*;
use rig::findings::{FallOutcome, LossVerdict};
use rig::guidelines::Guidelines;
use rig::quantity::G;

type Place = (f64, f64);

fn far(a: Place, b: Place) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

/// Foci 2c apart and a string 2a long: at the bottom of the ellipse, √(a² − c²) below the middle. On one anchor it hangs straight.
#[test]
fn a_ring_rests_where_the_ellipse_of_its_cord_is_lowest() {
    let below = [(0.0, -100.0)];
    let rest = cord::rest(&[(-1.0, 0.0), (1.0, 0.0)], 5.0, &below).unwrap();
    assert!(far(rest, (0.0, -(2.5_f64 * 2.5 - 1.0).sqrt())) < 1e-6, "{rest:?}");
    let rest = cord::rest(&[(0.0, 0.0)], 3.0, &[(30.0, -40.0)]).unwrap();
    assert!(far(rest, (1.8, -2.4)) < 1e-6, "{rest:?}");
    // A cord shorter than its anchors are apart reaches none of it; one longer than the way stays as long as it is.
    assert_eq!(cord::rest(&[(-1.0, 0.0), (1.0, 0.0)], 1.9, &below), None);
}

proptest! {
    /// The string property and the reflecting property of the ellipse; with more anchors, the balance of equal tensions.
    #[test]
    fn its_legs_pull_equally_against_the_load(
        half in 0.3..3.0_f64, rise in -0.5..0.5_f64, third in proptest::option::of((-1.0..1.0_f64, 0.0..1.0_f64)),
        spare in 1.1..4.0_f64, pulled in (-5.0..5.0_f64, -60.0..-15.0_f64),
    ) {
        let mut anchors = vec![(-half, 0.0), (half, rise)];
        anchors.extend(third);
        let middle = anchors.iter().fold((0.0, 0.0), |sum, a| {
            (sum.0 + a.0 / anchors.len() as f64, sum.1 + a.1 / anchors.len() as f64)
        });
        let whole = spare * anchors.iter().map(|a| far(*a, middle)).sum::<f64>();
        let rest = cord::rest(&anchors, whole, &[pulled]).unwrap();
        let long: f64 = anchors.iter().map(|a| far(*a, rest)).sum();
        prop_assert!((long - whole).abs() < 1e-9 * whole, "{long} of {whole}");
        let way = |to: Place| ((to.0 - rest.0) / far(to, rest), (to.1 - rest.1) / far(to, rest));
        let pull = way(pulled);
        let sum = anchors.iter().map(|a| way(*a)).fold((0.0, 0.0), |sum, w| (sum.0 + w.0, sum.1 + w.1));
        let aside = sum.0 * pull.1 - sum.1 * pull.0;
        prop_assert!(aside.abs() < 1e-6, "out of line by {aside}");
        prop_assert!(sum.0 * pull.0 + sum.1 * pull.1 < 0.0);
    }
}

/// Three legs 2, √3 and 2 m long, anchors a metre apart: the middle one lost, what it took lets the ring run from √3 to
/// √((2 + √3/2)² − 1) m below them.
#[test]
fn an_anchor_lost_lets_the_ring_run_and_the_load_fall_and_either_leg_may_bear_all() {
    let rig = rig::templates::make("twin-lower-three-legs-adjusting", &Default::default()).unwrap();
    let place = |id: &str| {
        let point = rig.point(id).unwrap();
        (point.x.to_metres(), point.y.to_metres())
    };
    let ring = place("at_ring");
    let whole: f64 = ["at_west", "at_middle", "at_east"].iter().map(|id| far(place(id), ring)).sum();
    let runs = ((0.5 * whole).powi(2) - 1.0).sqrt() - (place("at_middle").1 - ring.1);
    assert!((0.9..1.0).contains(&runs), "{runs}");
    let g = Guidelines::defaults();
    let settings = engine::falls::settings_of(&rig, &g, "lowering", &Called::default());
    let loose = |lost: &str| {
        let setting = &settings.iter().find(|(label, _)| label == lost).unwrap().1;
        setting.strands.iter().map(|s| s.loose).collect::<Vec<f64>>()
    };
    for own in loose("middle anchor") {
        // Cord gives a little under the load too, by its stiffness.
        assert!((runs..runs + 0.1).contains(&own), "{own} beside {runs}");
    }
    // Ring, devices and the links between them swing as one.
    let swings = settings.iter().find(|(label, _)| label == "anchor west").unwrap().1.swings.clone();
    let swings = swings.unwrap().unwrap();
    assert_eq!(swings.what.points.len(), 1, "{:?}", swings.what);
    assert!(swings.ropes.iter().all(|(device, ..)| *device == swings.what.points[0]));
    assert!(swings.what.chains.iter().all(|c| c.ends.contains(&swings.what.points[0]) && c.stiffness < 1e6));
    assert!(loose("anchor west").iter().all(|own| *own > runs), "to one side it runs farther");

    let weight = rig.load.mass.to_kilograms() * G / 1e3;
    let state = engine::check(&rig, &g, Some("lowering")).main;
    let lost = state.losses.iter().find(|l| l.lost == ["anchor_middle"]).unwrap();
    assert_eq!(lost.verdict, LossVerdict::NotChecked, "no leg has a rating: {}", lost.words);
    let words = format!("is taken to run {runs:.2} m on it");
    assert!(lost.words.contains(&words) && lost.words.contains("moves onto V leg"), "{}", lost.words);
    let what = engine::what_if(&rig, &g, Some("lowering"), "anchor_middle").unwrap();
    let force = |id: &str| what.parts.iter().find(|p| p.id == id).unwrap().force_kn.unwrap();
    let (hung, leg) = (force("ring").high, force("leg_a"));
    // Each leg a half over the cosine of its angle to the pull, as they lie; and with friction anything up to all.
    let cosine = (1.0 - (1.0 / (0.5 * whole)).powi(2)).sqrt();
    let half = 0.5 * force("ring").nominal / cosine;
    assert!((leg.nominal / half - 1.0).abs() < 0.02, "{leg:?} beside {half}");
    assert!(leg.low == 0.0 && (leg.high / hung - 1.0).abs() < 1e-9, "{leg:?} of {hung}");
    assert!((force("anchor_west").high - leg.high).abs() < 1e-9 && force("anchor_west").low == 0.0);
    let fall = |lost: &str, count| {
        let (called, runs) = (Called::default(), Runs { count, seed: 1 });
        engine::fall_after(&rig, &g, Some("lowering"), lost, &called, runs).unwrap()
    };
    let first = fall("anchor_middle", 100);
    assert_eq!(first.outcome, FallOutcome::Stops, "{}", first.words);
    assert!(first.fall_m.unwrap().p10.unwrap() > runs && first.words.contains(&words), "{}", first.words);
    // With the mass of what swings and without: of what comes to the ring any leg that is left may bear all.
    for (lost, count) in
        [("anchor_middle", 100), ("anchor_middle", 800), ("anchor_west", 100), ("anchor_west", 800)]
    {
        let fall = fall(lost, count);
        assert_eq!(fall.swing_not_reckoned().is_none(), count > 100, "{}", fall.swing);
        let most = |id: &str| fall.survivors.iter().find(|s| s.id == id).unwrap().peak_kn.p50.unwrap();
        let all = most("connector_1") + most("connector_2");
        assert!(all > weight / 1.5, "{all}");
        for id in ["leg_c", "anchor_east", if lost == "anchor_west" { "leg_b" } else { "leg_a" }] {
            assert!(most(id) > 0.95 * all, "{id} after {lost}, {count}: {} of {all}", most(id));
        }
    }
}

/// Whatever the legs are made of; and a ring that would run over the edge is said to be unknown, with no figure.
#[test]
fn a_ring_that_would_run_over_the_edge_is_not_checked() {
    let after = |set: &[(&str, &str)]| {
        let set = set.iter().map(|(k, v)| ((*k).into(), (*v).into())).collect();
        let rig = rig::templates::make("twin-lower-three-legs-adjusting", &set).unwrap();
        let (g, called, runs) = (Guidelines::defaults(), Called::default(), Runs { count: 20, seed: 1 });
        engine::fall_after(&rig, &g, Some("lowering"), "anchor_west", &called, runs).unwrap()
    };
    for material in ["cord, tied", "low-stretch rope", "sewn sling"] {
        assert_eq!(after(&[("leg_material", material)]).outcome, FallOutcome::Stops, "{material}");
    }
    for near in ["0.5m", "1m"] {
        let told = after(&[("edge_to_device", near), ("anchor_spacing", "6m"), ("v_angle", "120deg")]);
        assert_eq!(told.outcome, FallOutcome::NotComputed, "{near}: {}", told.words);
        assert!(told.fall_m.is_none() && told.words.contains("runs to"), "{}", told.words);
    }
}
