//! What holds a device swings: beside falls in which nothing does, beside slack without mass, and what must hold for all.

use engine::drop::swing::{At, Node, Rope, Swing, Tie, fall, quick};
use engine::drop::{Drop, Edge, End, Grip, Limits, stepped};
use engine::falls::band::{self, Band, Run, percentiles};
use engine::falls::setting::Setting;
use engine::falls::swinging::{self, swing_of};
use engine::falls::{Called, Runs, settings_of};
use proptest::prelude::*;
use rig::findings::{FallFinding, Verdict};
use rig::guidelines::Guidelines;
use rig::quantity::G;
use std::collections::BTreeMap;
use std::sync::OnceLock;

const LIMITS: Limits = Limits { fall: 100.0, time: 30.0 };

fn drop(below: f64, edge: Option<Edge>) -> Drop {
    Drop {
        mass: 200.0,
        gravity: G,
        speed: 0.0,
        stiffness: 30e3,
        damping: 0.03,
        below,
        edge,
        slack: 0.0,
        carried: 0.5 * 200.0 * G,
        grip: Grip::constant(6000.0),
    }
}

fn over(ratio: f64, above: f64) -> Option<Edge> {
    Some(Edge { ratio, above })
}

/// A device on the ground, 4 m behind the edge.
fn still(drop: Drop) -> Rope {
    let from = if drop.edge.is_some() { (0.0, 20.0) } else { (0.0, 20.0 - drop.below) };
    let device = if drop.edge.is_some() { (-4.0, 20.0) } else { (0.0, 20.0) };
    Rope { drop, device: At::Ground(device), from }
}

#[test]
fn where_nothing_swings_it_is_the_fall_by_plain_steps() {
    for drops in [
        vec![drop(10.0, None)],
        vec![drop(10.0, over(1.48, 4.0))],
        vec![drop(10.0, over(1.48, 4.0)), Drop { slack: 0.3, carried: 0.0, ..drop(12.0, over(1.2, 4.0)) }],
    ] {
        let swing = Swing { nodes: vec![], ties: vec![], ropes: drops.iter().cloned().map(still).collect() };
        let found = fall(&swing, LIMITS, 1e-4).unwrap();
        let (wanted, _) = stepped::together(&drops, LIMITS, 1e-4).unwrap();
        assert_eq!(found.stop.end, End::Stopped);
        assert!((found.stop.fall - wanted.fall).abs() < 2e-5, "{found:?} {wanted:?}");
        assert!((found.stop.peak / wanted.peak - 1.0).abs() < 1e-4, "{found:?} {wanted:?}");
        assert!((found.stop.time - wanted.time).abs() < 1e-4);
        assert!((found.balance - 1.0).abs() < 1e-4, "{}", found.balance);
        let found = quick(&swing, LIMITS).unwrap();
        assert_eq!(found.stop.end, End::Stopped);
        assert!((found.stop.fall - wanted.fall).abs() < 1e-4, "{found:?} {wanted:?}");
        assert!((found.stop.peak / wanted.peak - 1.0).abs() < 1e-3, "{found:?} {wanted:?}");
        assert!((found.stop.time - wanted.time).abs() < 1e-3);
        assert!((found.balance - 1.0).abs() < 1e-3, "{}", found.balance);
    }
}

/// A knot that lost one of its two legs, its device on it, the rope level to the edge 4 m on; and what rope comes loose when it runs
/// straight from the anchor to the edge, m.
fn lost_leg(mass: f64, stiffness: f64, ratio: f64) -> (Swing, f64) {
    let (knot, anchor, from) = ((-4.0, 0.0), (-5.5, 1.2), (0.0, 0.0));
    let long = libm::hypot(knot.0 - anchor.0, knot.1 - anchor.1);
    let drop = Drop { carried: 200.0 * G, ..drop(10.0, over(ratio, 4.0)) };
    let device = At::Node(0);
    let tie = Tie { ends: [device, At::Ground(anchor)], natural: long, stiffness, damping: 0.002 };
    let nodes = vec![Node { place: knot, mass }];
    let loose = long + 4.0 - libm::hypot(anchor.0, anchor.1);
    (Swing { nodes, ties: vec![tie], ropes: vec![Rope { drop, device, from }] }, loose)
}

/// However far the knot swings, the rope that comes loose by it is what the load sinks by in the end: tied off, at rest it hangs so
/// much lower, whatever the knot weighs.
#[test]
fn a_knot_of_any_mass_lets_the_load_sink_by_what_comes_loose() {
    let far = |mass: f64| {
        let (mut swing, _) = lost_leg(mass, 1e6, 1.0);
        swing.ropes[0].drop.grip = Grip::tied_off();
        let (even, quick) = (fall(&swing, LIMITS, 5e-5).unwrap(), quick(&swing, LIMITS).unwrap());
        assert!((even.stop.fall - quick.stop.fall).abs() < 2e-4, "{even:?} {quick:?}");
        even
    };
    let (_, loose) = lost_leg(1.0, 1e6, 1.0);
    let falls = [0.2, 1.0, 4.0].map(|mass| far(mass).stop);
    for stop in falls {
        assert_eq!(stop.end, End::Stopped);
        // It overshoots its rest, by no more than as far again.
        assert!(stop.fall > loose && stop.fall < 2.0 * loose + 0.05, "{} of {loose}", stop.fall);
    }
    assert!((falls[0].fall - falls[1].fall).abs() < 0.25 * falls[1].fall, "{falls:?}");
}

/// A knot that runs 20 cm into its backup is stopped by it: that bears more than the rope pulls, and more still when nothing damps it.
#[test]
fn a_backup_stops_the_knot_hard() {
    let backup = |damping: f64| {
        let (mut swing, _) = lost_leg(2.0, 3e5, 1.3);
        swing.ties[0].damping = damping;
        swing.ties[0].natural += 0.2;
        fall(&swing, LIMITS, 2e-5).unwrap()
    };
    let (damped, free) = (backup(2e-3), backup(1e-6));
    assert!(free.ties[0] > 1.05 * damped.ties[0], "{} {}", free.ties[0], damped.ties[0]);
    assert!(free.ties[0] > 1.3 * free.devices[0], "{free:?}");
    assert!((free.balance - 1.0).abs() < 2e-3 && (damped.balance - 1.0).abs() < 2e-3, "{free:?} {damped:?}");
}

#[test]
fn what_cannot_be_stepped_through_is_refused_with_its_range() {
    let (swing, _) = lost_leg(2.0, 1e6, 1.3);
    let with = |change: fn(&mut Swing)| {
        let mut wrong = swing.clone();
        change(&mut wrong);
        let refused = fall(&wrong, LIMITS, 1e-4).unwrap_err();
        // What even steps are too many for, others may go through.
        assert!(
            quick(&wrong, LIMITS)
                .map_or_else(|e| e.to_string() == refused.to_string(), |_| refused.what == "the step, s,")
        );
        refused.to_string()
    };
    for (words, refused) in [
        ("mass of what swings", with(|s| s.nodes[0].mass = 0.0)),
        ("stiffness of a tie", with(|s| s.ties[0].stiffness = -1.0)),
        ("length of a tie", with(|s| s.ties[0].natural = f64::NAN)),
        ("number of ropes", with(|s| s.ropes.clear())),
        ("points that swing", with(|s| s.nodes = vec![s.nodes[0]; 9])),
        ("so stiff", with(|s| s.ties[0].stiffness = 1e15)),
    ] {
        assert!(refused.contains(words), "{refused}");
    }
}

fn after(template: &str, lost: &str, runs: Runs) -> FallFinding {
    let rig = rig::templates::make(template, &BTreeMap::new()).unwrap();
    let g = Guidelines::defaults();
    engine::fall_after(&rig, &g, Some("lowering"), lost, &Called::default(), runs).unwrap()
}

#[test]
fn legs_and_links_of_what_swings_bear_what_its_swing_adds() {
    let told = after("twin-lower-two-knots", "leg_1a", Runs { count: 1000, seed: 1 });
    assert!(told.swing.contains("250 of the 1000 runs gone through with its mass"), "{}", told.swing);
    let of = |told: &FallFinding, id: &str| {
        told.survivors.iter().find(|s| s.id == id).unwrap().peak_kn.p90.unwrap()
    };
    assert!(of(&told, "leg_1b") > 1.3 * of(&told, "leg_2a").min(of(&told, "leg_2b")));
    // Nothing swings when a rope goes.
    assert_eq!(after("twin-lower-two-knots", "rope_one", Runs { count: 300, seed: 1 }).swing, "");
    // Said the same every time.
    assert_eq!(told, after("twin-lower-two-knots", "leg_1a", Runs { count: 1000, seed: 1 }));
}

/// One run in some is gone through and the others are taken to change alike: the band is what it would be of all of them, each gone
/// through.
#[test]
fn the_band_of_some_runs_is_that_of_all_of_them() {
    for (template, lost) in [
        ("twin-lower-two-knots", "leg_1a"),
        ("twin-lower-two-knots", "anchor_west"),
        ("main-and-belay-lower", "leg_1b"),
    ] {
        let runs = Runs { count: 600, seed: 5 };
        let told = after(template, lost, runs);
        let rig = rig::templates::make(template, &BTreeMap::new()).unwrap();
        let label = rig.parts.iter().find(|part| part.id == lost).map(|part| part.label.clone()).unwrap();
        let all = settings_of(&rig, &Guidelines::defaults(), "lowering", &Called::default());
        let (_, setting) =
            all.iter().find(|(own, _)| own.starts_with(&label)).unwrap_or_else(|| panic!("{label}"));
        let Some(Ok(swings)) = &setting.swings else { panic!("{label}: nothing swings") };
        let each: Vec<Run> = (0..runs.count)
            .map(|n| {
                let (values, acts) = setting.drawn(runs, n);
                swinging::run(setting, swings, &values, acts).unwrap().0
            })
            .collect();
        let whole = Band::of(&each, setting.strands.len());
        let (wanted, found) = (percentiles(&whole.falls, 1.0), told.fall_m.unwrap());
        for (wanted, found) in [(wanted.p10, found.p10), (wanted.p50, found.p50), (wanted.p90, found.p90)] {
            let (wanted, found) = (wanted.unwrap(), found.unwrap());
            assert!(
                (wanted - found).abs() < 0.03 * wanted.max(1.0),
                "{template} {lost}: {found}, of all {wanted}"
            );
        }
        let (wanted, found) = (percentiles(&whole.peaks, 1e-3), told.peak_force_kn.unwrap());
        assert!(
            (wanted.p90.unwrap() / found.p90.unwrap() - 1.0).abs() < 0.03,
            "{found:?}, of all {wanted:?}"
        );
    }
}

/// As it goes it only falls, with what swings, and ends where the run with every value in the middle stops.
#[test]
fn the_motion_is_that_of_the_run_in_the_middle() {
    let told = after("twin-lower-two-knots", "leg_1a", Runs { count: 200, seed: 1 });
    let rig = rig::templates::make("twin-lower-two-knots", &BTreeMap::new()).unwrap();
    let all = settings_of(&rig, &Guidelines::defaults(), "lowering", &Called::default());
    let (_, setting) = all.iter().find(|(lost, _)| lost.starts_with("V leg 1a")).unwrap();
    let Some(Ok(swings)) = &setting.swings else { panic!("nothing swings") };
    let (middle, _) = swinging::run(setting, swings, &setting.parameters.likely(), true).unwrap();
    assert!(told.motion.len() > 10 && told.motion[0][..2] == [0.0, 0.0], "{:?}", told.motion);
    assert!(told.motion.windows(2).all(|pair| pair[1][0] > pair[0][0] && pair[1][1] >= pair[0][1]));
    let last = told.motion[told.motion.len() - 1];
    assert!(
        (last[1] - middle.fall).abs() < 1e-9 && (last[0] - middle.time).abs() < 1e-9,
        "{last:?} {middle:?}"
    );
    assert!(told.motion.iter().all(|picture| picture[2] * 1000.0 <= middle.peak * 1.001));
}

/// Where no tailer helps and an operator acts in seven of ten runs, nothing stops it in the others, with what swings as without: that
/// is counted, and no error.
#[test]
fn a_run_that_does_not_stop_is_one_that_does_not() {
    let rig = rig::templates::make("twin-lower-two-knots", &BTreeMap::new()).unwrap();
    let all = settings_of(&rig, &Guidelines::defaults(), "lowering", &Called::default());
    let (_, mut setting) = all.into_iter().find(|(lost, _)| lost.starts_with("V leg 1a")).unwrap();
    setting.never_acts = 0.3;
    setting.strands.iter_mut().for_each(|strand| strand.tailer = None);
    let runs = Runs { count: 400, seed: 1 };
    let plain = band::many(&setting, runs).unwrap();
    let without = Band::of(&plain, setting.strands.len());
    let Some(Ok(swings)) = &setting.swings else { panic!("nothing swings") };
    let with = swinging::sway(&setting, swings, runs, &plain).unwrap().band(&without);
    assert!((0.2..0.4).contains(&without.never), "{}", without.never);
    assert!((with.never - without.never).abs() < 0.02, "{} {}", with.never, without.never);
    let (was, is) = (percentiles(&without.falls, 1.0), percentiles(&with.falls, 1.0));
    assert!(was.p50.is_some() && is.p50.is_some() && was.p90.is_none() && is.p90.is_none(), "{was:?} {is:?}");
}

/// On a slope what swings is not reckoned with its mass: the fall says so, and the check of the peak does not hold.
#[test]
fn what_swings_and_is_not_reckoned_is_not_checked() {
    let told = after("low-angle-lower", "leg_1a", Runs { count: 100, seed: 1 });
    assert!(
        told.swing_not_reckoned().is_some_and(|why| why.ends_with("the load lies on a slope")),
        "{}",
        told.swing
    );
    let rig = rig::templates::make("low-angle-lower", &BTreeMap::new()).unwrap();
    let runs = Runs { count: 100, seed: 1 };
    let report = engine::check_with_falls(&rig, &Guidelines::defaults(), None, &Called::default(), runs);
    let check = report.main.checks.iter().find(|c| c.id == "peak_force").unwrap();
    assert_ne!(check.verdict, Verdict::Holds, "{}", check.found);
}

/// Any run of any fall of the templates in which something swings: by steps as long as they may be, and by even ones.
fn any_run(pick: usize, run: u32) -> (String, Swing) {
    static FALLS: OnceLock<Vec<(String, Setting)>> = OnceLock::new();
    let falls = FALLS.get_or_init(|| {
        let made = |name: &str| rig::templates::make(name, &BTreeMap::new()).unwrap();
        let each = rig::templates::list().into_iter().map(|template| (template.name, made(template.name)));
        let guidelines = Guidelines::defaults();
        let all = each.flat_map(|(name, rig)| {
            let state = rig.states[0].id.clone();
            let all = settings_of(&rig, &guidelines, &state, &Called::default());
            all.into_iter().map(move |(lost, setting)| (format!("{name} {state} without {lost}"), setting))
        });
        all.filter(|(_, setting)| matches!(setting.swings, Some(Ok(_)))).collect()
    });
    let (of, setting) = &falls[pick % falls.len()];
    let Some(Ok(swings)) = &setting.swings else { panic!("{of}") };
    let (values, acts) = setting.drawn(Runs { count: 1, seed: 7 }, run);
    (format!("{of}, run {run}"), swing_of(setting, swings, &values, acts))
}

/// The more slowly a hand reacts, the farther it falls, with what swings too: a grip that is the same but comes later.
#[test]
fn a_slower_reaction_never_shortens_the_fall() {
    let after = |reaction: f64| {
        let (mut swing, _) = lost_leg(2.0, 3e5, 1.48);
        swing.ropes[0].drop.grip =
            Grip::over_time(vec![(0.0, 1000.0), (reaction, 1000.0), (reaction + 0.15, 6000.0)]);
        quick(&swing, LIMITS).unwrap().stop.fall
    };
    let falls: Vec<f64> = (0..40).map(|n| after(0.05 * f64::from(n))).collect();
    assert!(falls.windows(2).all(|pair| pair[1] >= pair[0] - 1e-4), "{falls:?}");
    assert!(falls[39] > falls[0] + 1.0);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// The two solvers go by equations written apart, one of them with every slope of them.
    #[test]
    fn long_steps_agree_with_even_ones(pick in any::<usize>(), run in 0..100_000_u32) {
        let (of, swing) = any_run(pick, run);
        let (even, quick) = (fall(&swing, LIMITS, 5e-5).unwrap(), quick(&swing, LIMITS).unwrap());
        prop_assert_eq!(even.stop.end, quick.stop.end, "{}", &of);
        prop_assert!((even.stop.fall - quick.stop.fall).abs() < 3e-4 * even.stop.fall.max(1.0), "{of}: {even:?} {quick:?}");
        prop_assert!((even.stop.peak / quick.stop.peak - 1.0).abs() < 2e-3, "{of}: {even:?} {quick:?}");
        prop_assert!((quick.balance - 1.0).abs() < 1e-3, "{of}: {quick:?}");
        for (own, other) in [(&even.ties, &quick.ties), (&even.devices, &quick.devices)] {
            let most = own.iter().copied().fold(1.0, f64::max);
            for (own, other) in own.iter().zip(other) {
                prop_assert!((own - other).abs() < 3e-2 * most, "{of}: {even:?} {quick:?}");
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// No energy comes from nowhere and none is lost unseen, whatever swings on what.
    #[test]
    fn energy_is_kept(
        mass in 0.5..6.0_f64, stiffness in 2e4..1e6_f64, ratio in 1.0..2.6_f64, above in 1.0..6.0_f64,
        below in 4.0..30.0_f64, x in -7.0..-4.5_f64, y in 0.3..2.0_f64, slips in 2000.0..9000.0_f64, edge in any::<bool>(),
    ) {
        let knot = (-above, 0.0);
        let anchor = (x - above, y);
        let long = libm::hypot(knot.0 - anchor.0, knot.1 - anchor.1);
        let (edge, from) = if edge { (over(ratio, above), (0.0, 0.0)) } else { (None, (-above, -below)) };
        let drop = Drop { carried: 200.0 * G, grip: Grip::constant(slips), ..drop(below, edge) };
        let device = At::Node(0);
        let tie = Tie { ends: [device, At::Ground(anchor)], natural: long, stiffness, damping: 0.01 };
        let swing = Swing { nodes: vec![Node { place: knot, mass }], ties: vec![tie], ropes: vec![Rope { drop, device, from }] };
        let found = fall(&swing, Limits { fall: 30.0, time: 5.0 }, 5e-5).unwrap();
        prop_assert!((found.balance - 1.0).abs() < 5e-3, "{found:?}");
        let quick = quick(&swing, Limits { fall: 30.0, time: 5.0 }).unwrap();
        prop_assert!((quick.balance - 1.0).abs() < 1e-3, "{quick:?}");
        prop_assert_eq!(quick.stop.end, found.stop.end);
        prop_assert!((quick.stop.fall - found.stop.fall).abs() < 5e-4 * found.stop.fall.max(1.0), "{quick:?} {found:?}");
        prop_assert!(found.stop.fall >= 0.0 && found.ties.iter().chain(&found.devices).all(|f| f.is_finite()));
    }
}
