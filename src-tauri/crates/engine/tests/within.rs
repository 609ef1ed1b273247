//! What hangs within the load and loses a tether: beside closed forms, beside the plane with its masses, and in whole rigs.

use engine::drop::swing::{self, At, Node, Rope, Swing, Tie};
use engine::drop::{Drop, Grip, Limits};
use engine::falls::within::{Arc, Hung};
use engine::falls::{Called, Runs};
use proptest::prelude::*;
use rig::findings::{FallFinding, FallOutcome};
use rig::guidelines::Guidelines;
use rig::quantity::G;
use std::collections::BTreeMap;

fn hung(mass: f64, stiffness: f64) -> Hung {
    Hung { mass, gravity: G, stiffness }
}

fn near(found: f64, wanted: f64, within: f64, what: &str) {
    assert!((found - wanted).abs() <= within * wanted.abs(), "{what}: {found}, not {wanted}");
}

/// Straight below its end: all at once 2 W; carried a share a, (2 − a) W; fallen h onto it W + √(W² + 2 W h EA/L), for 100 kg, 1 m,
/// 3 m and 30 kN 5516.63 N. From an angle θ, where it bore W cos θ already: W (3 − 2 cos θ) at the bottom.
#[test]
fn it_pulls_as_textbooks_have_it() {
    let own = hung(100.0, 10e3);
    let weight = 100.0 * G;
    let straight = |share: f64, slack: f64| {
        let arc = Arc { aside: 0.0, below: 3.0 - slack, long: 3.0, share };
        arc.run(&own).peak
    };
    near(straight(0.0, 0.0), 2.0 * weight, 1e-9, "at once");
    near(straight(0.5, 0.0), 1.5 * weight, 1e-9, "half carried");
    near(straight(0.0, 1.0), 5516.63, 1e-6, "fallen 1 m");
    for degrees in [10.0_f64, 30.0, 60.0, 85.0] {
        let cos = degrees.to_radians().cos();
        let arc = Arc { aside: 2.0 * degrees.to_radians().sin(), below: 2.0 * cos, long: 2.0, share: cos };
        // On a tether that hardly stretches, and on one that does.
        let rigid = arc.run(&hung(100.0, 1e12));
        near(rigid.peak, weight * (3.0 - 2.0 * cos), 1e-6, "swung");
        near(rigid.fall, 2.0 * (1.0 - cos), 1e-6, "down");
        let soft = arc.run(&own);
        near(soft.fall, 2.0 * (1.0 - cos) + (soft.peak - cos * weight) / 10e3, 1e-9, "down and stretched");
        assert!(soft.peak > rigid.peak && soft.peak < 1.2 * rigid.peak);
    }
    // A quarter of a pendulum’s period from 90°: √(L/g) times the complete elliptic integral K(sin 45°) = 1.854 074 677.
    let level = Arc { aside: 2.0, below: 1e-9, long: 2.0, share: 0.0 };
    near(level.run(&own).time, 1.854_074_677 * (2.0 / G).sqrt(), 1e-6, "to the bottom");
}

/// The same in the plane by small steps: a load that stands on its rope, and the mass on a tie beside it.
fn in_the_plane(arc: &Arc, own: &Hung) -> f64 {
    let load = Drop {
        mass: 10.0,
        gravity: G,
        speed: 0.0,
        stiffness: 30e3,
        damping: 0.03,
        below: 10.0,
        edge: None,
        slack: 0.0,
        carried: 10.0 * G,
        grip: Grip::tied_off(),
    };
    let end = (0.0, 0.0);
    let bore = arc.share * own.mass * G / own.stiffness;
    let tie = Tie {
        ends: [At::Node(0), At::Ground(end)],
        natural: arc.long - bore,
        stiffness: own.stiffness,
        damping: 0.0,
    };
    let swing = Swing {
        nodes: vec![Node { place: (arc.aside, -arc.below), mass: own.mass }],
        ties: vec![tie],
        ropes: vec![Rope { drop: load, device: At::Ground((50.0, 0.0)), from: (50.0, -10.0) }],
    };
    swing::fall(&swing, Limits { fall: 100.0, time: 30.0 }, 1e-4).unwrap().ties[0]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    /// Never less than in the plane by more than a hundredth; on a taut tether not much more.
    #[test]
    fn it_pulls_no_less_than_in_the_plane(
        angle in 0.0..1.2_f64, long in 0.5..2.5_f64, mass in 50.0..150.0_f64, share in 0.0..1.0_f64,
        ea in 20e3..200e3_f64, slack in proptest::option::of(0.02..0.3_f64),
    ) {
        let aside = long * angle.sin();
        let below = (long * angle.cos() - slack.unwrap_or(0.0)).max(0.05);
        let share = if slack.is_some() { 0.0 } else { share * angle.cos() };
        let arc = Arc { aside, below, long, share };
        let own = hung(mass, ea / long);
        let (closed, stepped) = (arc.run(&own).peak, in_the_plane(&arc, &own));
        prop_assert!(closed > 0.99 * stepped, "{closed} below {stepped}");
        prop_assert!(slack.is_some() || closed < 1.3 * stepped, "{closed} far over {stepped}");
    }
}

fn fall(template: &str, set: &[(&str, &str)], lost: &str) -> FallFinding {
    let set: BTreeMap<String, String> = set.iter().map(|(k, v)| ((*k).into(), (*v).into())).collect();
    let rig = rig::templates::make(template, &set).unwrap();
    let (g, called, runs) = (Guidelines::defaults(), Called::default(), Runs { count: 200, seed: 1 });
    engine::fall_after(&rig, &g, Some("lowering"), lost, &called, runs).unwrap()
}

/// 90 kg a metre below rings 0.3 m apart, half on each tether: it drops 11 mm on the other one and what that stretches.
#[test]
fn an_attendant_swings_onto_the_other_tether_and_the_load_stays() {
    let told = fall("twin-lower-attendant-own", &[], "attendant_tether_to_1");
    assert_eq!(told.outcome, FallOutcome::Stops, "{}", told.words);
    let metres = told.fall_m.unwrap();
    let long = 1.0225_f64.sqrt();
    assert!(metres.p10.unwrap() > long - 1.0 && metres.p90.unwrap() < 0.1, "{metres:?}");
    assert!(
        told.words.starts_with("attendant drops") && told.words.contains("within the load"),
        "{}",
        told.words
    );
    let weight = 90.0 * G / 1e3;
    let tether = told.survivors.iter().find(|s| s.id == "attendant_tether_to_2").unwrap();
    near(
        tether.peak_kn.p50.unwrap(),
        weight * (3.0 - 1.0 / long - 0.5 * long),
        3e-3,
        "swung, and what it bore less",
    );
    let harness = told.survivors.iter().find(|s| s.id == "harness").unwrap();
    assert_eq!(harness.peak_kn.p50, tether.peak_kn.p50);
    // The rope behind bears what it bore and all that came on top; the other rope nothing more.
    let rope = told.survivors.iter().find(|s| s.id == "rope_two").unwrap();
    near(rope.peak_kn.p50.unwrap(), 100.0 * G / 1e3 + weight * (3.0 - 1.0 / long - long), 3e-3, "rope two");
    assert!(!told.survivors.iter().any(|s| s.id == "rope_one"));
    assert!(told.heights.is_empty() && told.motion.is_empty());
    // Its one range: an assumption, from the rope behind it to the tether alone.
    let [stiffness] = told.parameters.as_slice() else { panic!("{:?}", told.parameters) };
    assert!(stiffness.assumed && stiffness.low % 10.0 == 0.0 && stiffness.low < 2000.0, "{stiffness:?}");
}

/// On a slope three attendants beside each other: the outer ones drop farther onto the far ring’s tether than onto the near one’s.
#[test]
fn who_hangs_to_the_side_drops_farther() {
    let drops = |lost: &str| fall("low-angle-lower", &[], lost).fall_m.unwrap().p50.unwrap();
    let (near_left, far_left) = (drops("attendant_tether_to_1"), drops("attendant_tether_to_2"));
    assert!(near_left > far_left && far_left > drops("attendant_tether_2_to_1"), "{near_left} {far_left}");
    assert!((drops("attendant_tether_3_to_2") - near_left).abs() < 0.02);
}

/// A rig in which a tether is drawn upwards, as records of before have it, says so and gives no figure.
#[test]
fn a_tether_that_is_drawn_upwards_is_not_checked() {
    let mut rig = rig::templates::make("twin-lower-attendant-own", &BTreeMap::new()).unwrap();
    let above = rig.point("at_ring_1").unwrap().y.to_metres() + 1.0;
    let point = rig.points.iter_mut().find(|p| p.id == "at_attendant").unwrap();
    point.y = rig::quantity::Length::metres(above).unwrap();
    let told = engine::fall_after(
        &rig,
        &Guidelines::defaults(),
        Some("lowering"),
        "attendant_tether_to_1",
        &Called::default(),
        Runs { count: 20, seed: 1 },
    );
    let told = told.unwrap();
    assert_eq!(told.outcome, FallOutcome::NotComputed);
    assert!(told.words.contains("drawn upwards") && told.fall_m.is_none(), "{}", told.words);
}
