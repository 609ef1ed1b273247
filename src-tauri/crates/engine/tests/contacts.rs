//! What a rope bears on, slopes, bodies of a load, and parts that are not there in a state.

mod rigs;

use rig::findings::{LossMode, LossVerdict, StateFindings};
use rig::model::*;
use rig::quantity::{Angle, Mass, Ratio};
use rigs::small::{any, device, hand, on, part, point, rig, rope, state, two_ropes};
use rigs::{guidelines, loss, part as found};

fn check(rig: &rig::Rig) -> StateFindings {
    engine::check(rig, &guidelines(), None).main
}

fn verdict(state: &StateFindings, id: &str, mode: LossMode) -> LossVerdict {
    loss(state, id, mode).verdict
}

fn exactly(value: f64) -> Band {
    let ratio = Ratio::new(value).unwrap();
    let cited = Cited { words: "set".into(), standing: Standing::TeamGear };
    Band { low: ratio, nominal: ratio, high: ratio, cited }
}

/// One rope from the load over an edge with μ of its own to a device that is tied off; 2 kN hang on it.
fn over_edge(motion: Sliding) -> rig::Rig {
    let mut r = rig(2000.0 / rig::quantity::G, on("knot"), &["load"]);
    point(&mut r, "load", 0.0, 0.0, false);
    point(&mut r, "edge", 0.0, 10.0, true);
    point(&mut r, "top", 0.0, 14.0, true);
    part(&mut r, "anchor", PartKind::Anchor, Line::One, &["top"], Support::Ground);
    if motion == Sliding::Raising {
        // A raise that nobody hauls runs back.
        hand(&mut r, "team", HandTask::Haul, &["rope"]);
        rope(
            &mut r,
            "rope",
            Line::One,
            &["load", "edge", "top"],
            Support::All(vec![on("anchor"), on("team")]),
        );
    } else {
        device(&mut r, "device", DeviceClass::SelfClosing, Line::One, "top", on("anchor"));
        rope(&mut r, "rope", Line::One, &["load", "edge", "top"], on("device"));
    }
    part(&mut r, "knot", PartKind::EndKnot, Line::One, &["load"], on("rope"));
    part(&mut r, "roller", PartKind::EdgeProtection, Line::One, &["edge"], Support::Ground).friction =
        Some(exactly(0.3));
    state(&mut r, motion, DeviceState::TiedOff);
    r
}

/// 2000 N over a right angle at μ 0.3: 2000 e^(∓0.3 π/2) on the anchor's side.
#[test]
fn a_contact_with_a_friction_of_its_own_follows_the_capstan_equation() {
    for (motion, expected) in [(Sliding::Lowering, 1248.457), (Sliding::Raising, 3203.955)] {
        let state = check(&over_edge(motion));
        let force = found(&state, "anchor").force_kn.unwrap();
        assert!((force.nominal * 1000.0 - expected).abs() < 5e-4, "{motion:?}: {force:?}");
        assert!((force.high - force.low).abs() < 1e-9, "one value in, one value out");
    }
    // Held still it may lie anywhere between.
    let force = found(&check(&over_edge(Sliding::Held)), "anchor").force_kn.unwrap();
    assert!((force.low * 1000.0 - 1248.457).abs() < 5e-4 && (force.high * 1000.0 - 3203.955).abs() < 5e-4);
}

/// W (sin α ∓ μ cos α) on the rope; 90 kg on 60° at μ 0.1 with g 9.80665 as the sum gives it.
#[test]
fn a_load_on_a_slope_pulls_what_the_sum_says() {
    for (motion, raising) in [(Sliding::Lowering, false), (Sliding::Raising, true)] {
        let mut r = over_edge(motion);
        r.load.mass = Mass::kilograms(90.0).unwrap();
        let angle = Angle::degrees(60.0).unwrap();
        r.edge.slope = Some(Slope { angle, friction: exactly(0.1) });
        let rope = found(&check(&r), "knot").force_kn.unwrap();
        let expected =
            engine::slope(r.load.mass, angle, Ratio::new(0.1).unwrap(), raising, rig::quantity::G).unwrap();
        assert!((rope.nominal * 1000.0 - expected.to_newtons()).abs() < 1e-6, "{motion:?}: {rope:?}");
    }
}

/// Two bodies, each on something of its own: each bears its own mass, and who is dropped is named.
#[test]
fn bodies_bear_their_own_and_the_one_that_is_dropped_is_named() {
    let mut r = over_edge(Sliding::Held);
    r.load.mass = Mass::kilograms(200.0).unwrap();
    for (id, kilograms) in [("patient", 110.0), ("attendant", 90.0)] {
        part(&mut r, &format!("{id}_tie"), PartKind::Tether, Line::Shared, &[], on("knot")).always_critical =
            true;
        let (label, mass) = (id.to_string(), Mass::kilograms(kilograms).unwrap());
        r.load.bodies.push(Body { id: id.into(), label, mass, held_by: on(&format!("{id}_tie")) });
    }
    rig::validate(&r).unwrap();
    let state = check(&r);
    let force = |id: &str| found(&state, id).force_kn.unwrap().nominal * 1000.0;
    assert!((force("attendant_tie") - 90.0 * rig::quantity::G).abs() < 1e-6);
    assert!((force("patient_tie") - 110.0 * rig::quantity::G).abs() < 1e-6);
    let lost = state.losses.iter().find(|l| l.lost == ["attendant_tie"]).unwrap();
    assert_eq!(
        (lost.verdict, lost.words.as_str()),
        (LossVerdict::Dropped, "nothing is left that holds attendant")
    );
}

/// What is not rigged in a state neither holds nor can be lost in it.
#[test]
fn what_is_not_there_in_a_state_holds_nothing() {
    let mut r = rig(200.0, any(&["knot_1", "knot_2"]), &["load_1", "load_2"]);
    two_ropes(&mut r, DeviceClass::SelfClosing, ["load_1", "load_2"]);
    state(&mut r, Sliding::Held, DeviceState::TiedOff);
    assert_eq!(verdict(&check(&r), "rope_1", LossMode::Part), LossVerdict::Moves);
    r.states[0].without = vec!["knot_2".into()];
    let state = check(&r);
    assert_eq!(verdict(&state, "rope_1", LossMode::Part), LossVerdict::Dropped);
    assert!(state.losses.iter().all(|l| !l.lost.contains(&"knot_2".to_string())));
    assert!(state.critical_parts.contains(&"device_1".to_string()));
}
