//! The teaching cases of the trade, each a small rig made by hand: which part or hand is critical.

mod rigs;

use rig::Rig;
use rig::findings::{LossMode, LossVerdict, StateFindings, Verdict};
use rig::model::{DeviceClass, DeviceState, HandTask, Line, PartKind, Sliding, Support};
use rigs::small::{any, backup, device, hand, on, part, point, rig, rope, state, two_ropes};
use rigs::{guidelines, loss, twisted};

fn check(rig: &Rig) -> StateFindings {
    let state = engine::check(rig, &guidelines(), None).main;
    // Other ids and another order of the lists change nothing.
    assert_eq!(twisted::said(&twisted::undone(rig)), twisted::said(rig));
    // Whatever the state, a stored rig gives the same findings.
    let again = engine::check(&rig::read(&rig::write(rig)).unwrap(), &guidelines(), None).main;
    assert_eq!(state, again);
    state
}

fn verdict(state: &StateFindings, id: &str, mode: LossMode) -> LossVerdict {
    loss(state, id, mode).verdict
}

const NONE: [&str; 0] = [];

/// Two ropes on one plate that hangs in a V; with a cord past it, the plate is doubled.
///
/// ```text
///  west     east
///     \     /      cord (slack) to a third anchor
///      plate ------
///      |   |
///    d1     d2
/// ```
fn plate(with_cord: bool) -> StateFindings {
    let mut r = rig(200.0, any(&["knot_1", "knot_2"]), &["load_1", "load_2"]);
    for (id, x, y, fixed) in [
        ("at_west", -1.0, 12.0, true),
        ("at_east", 1.0, 12.0, true),
        ("at_third", 0.0, 14.0, true),
        ("at_plate", 0.0, 10.0, false),
        ("at_d1", 0.0, 9.0, false),
        ("at_d2", 0.0, 8.9, false),
        ("load_1", 0.0, 0.0, false),
        ("load_2", 0.0, 0.1, false),
    ] {
        point(&mut r, id, x, y, fixed);
    }
    for side in ["west", "east"] {
        let (anchor, at) = (format!("anchor_{side}"), format!("at_{side}"));
        part(&mut r, &anchor, PartKind::Anchor, Line::Shared, &[&at], Support::Ground);
        part(&mut r, &format!("leg_{side}"), PartKind::Sling, Line::Shared, &["at_plate", &at], on(&anchor));
    }
    part(&mut r, "plate", PartKind::Plate, Line::Shared, &["at_plate"], any(&["leg_west", "leg_east"]));
    if with_cord {
        part(&mut r, "anchor_third", PartKind::Anchor, Line::Shared, &["at_third"], Support::Ground);
        part(
            &mut r,
            "cord",
            PartKind::BackupCord,
            Line::Shared,
            &["at_plate", "at_third"],
            on("anchor_third"),
        );
    }
    for (n, line) in [("1", Line::One), ("2", Line::Two)] {
        let holds = if with_cord { backup(&["plate", "cord"]) } else { on("plate") };
        let (link, dev, at) = (format!("link_{n}"), format!("device_{n}"), format!("at_d{n}"));
        part(&mut r, &link, PartKind::Connector, line, &[&at, "at_plate"], holds);
        device(&mut r, &dev, DeviceClass::SelfClosing, line, &at, on(&link));
        rope(&mut r, &format!("rope_{n}"), line, &[&format!("load_{n}"), &at], on(&dev));
        part(
            &mut r,
            &format!("knot_{n}"),
            PartKind::EndKnot,
            line,
            &[&format!("load_{n}")],
            on(&format!("rope_{n}")),
        );
    }
    state(&mut r, Sliding::Held, DeviceState::Closed);
    check(&r)
}

#[test]
fn two_ropes_on_one_plate() {
    let bare = plate(false);
    assert_eq!(bare.critical_parts, ["plate"]);
    let doubled = plate(true);
    assert_eq!(doubled.critical_parts, NONE);
    assert_eq!(doubled.unknown_parts, NONE);
    let lost = loss(&doubled, "plate", LossMode::Part);
    assert_eq!((lost.verdict, lost.moves), (LossVerdict::Moves, true));
    assert!(lost.words.contains("cord"), "{}", lost.words);
    // Slack, the cord carries nothing while the plate holds.
    assert_eq!(rigs::part(&doubled, "cord").force_kn.unwrap().high, 0.0);
}

/// Both ropes to one harness point; perhaps a tether from a second point to rope one, ahead of its knot.
fn harness(tether: bool, rated: bool) -> StateFindings {
    let held = if tether { backup(&["point", "loop"]) } else { on("point") };
    let mut r = rig(100.0, held, &["at_point"]);
    point(&mut r, "at_point", 0.0, 0.0, false);
    point(&mut r, "at_loop", 0.0, -0.3, false);
    two_ropes(&mut r, DeviceClass::SelfClosing, ["at_point", "at_point"]);
    part(&mut r, "point", PartKind::HarnessPoint, Line::Shared, &["at_point"], any(&["knot_1", "knot_2"]));
    if tether {
        part(&mut r, "tether", PartKind::Tether, Line::One, &["at_loop", "at_point"], on("rope_1"));
        let second = part(&mut r, "loop", PartKind::HarnessPoint, Line::One, &["at_loop"], on("tether"));
        if !rated {
            second.strength = None;
        }
    }
    state(&mut r, Sliding::Held, DeviceState::Closed);
    check(&r)
}

#[test]
fn both_ropes_to_one_harness_point() {
    assert_eq!(harness(false, true).critical_parts, ["point"]);
    let tethered = harness(true, true);
    assert_eq!(tethered.critical_parts, NONE);
    assert_eq!(verdict(&tethered, "point", LossMode::Part), LossVerdict::Moves);
    let unrated = harness(true, false);
    assert_eq!(unrated.critical_parts, ["point"]);
    assert_eq!(rigs::part(&unrated, "loop").verdict, Verdict::NotChecked);
}

/// Two ropes on two devices of a class, handles open; who works them is given.
fn two_devices(class: DeviceClass, kilograms: f64, hands: &[(&str, HandTask, &[&str])]) -> StateFindings {
    let mut r = rig(kilograms, any(&["knot_1", "knot_2"]), &["load_1", "load_2"]);
    two_ropes(&mut r, class, ["load_1", "load_2"]);
    for (id, task, works) in hands {
        hand(&mut r, id, *task, works);
    }
    state(&mut r, Sliding::Lowering, DeviceState::Open);
    check(&r)
}

const BOTH: &[&str] = &["device_1", "device_2"];
const ONE_OPERATOR: (&str, HandTask, &[&str]) = ("operator", HandTask::Operator, BOTH);
const TAILER: (&str, HandTask, &[&str]) = ("tailer", HandTask::Tailer, &["rope_1", "rope_2"]);
const TWO_OPERATORS: [(&str, HandTask, &[&str]); 2] = [
    ("operator_one", HandTask::Operator, &["device_1"]),
    ("operator_two", HandTask::Operator, &["device_2"]),
];

#[test]
fn two_operators_on_self_closing_devices() {
    let state = two_devices(DeviceClass::SelfClosing, 200.0, &TWO_OPERATORS);
    let lost = loss(&state, "device_1", LossMode::Part);
    assert_eq!(
        (lost.verdict, lost.acts.as_slice()),
        (LossVerdict::HeldIfActs, &["operator two".to_string()][..])
    );
    assert_eq!(verdict(&state, "operator_one", LossMode::HandOff), LossVerdict::Held);
    let frozen = loss(&state, "operator_one", LossMode::FreezesOn);
    assert_eq!(
        (frozen.verdict, frozen.acts.as_slice()),
        (LossVerdict::HeldIfActs, &["operator two".to_string()][..])
    );
    assert_eq!(state.critical_parts, NONE);
    assert_eq!(state.hands_off.verdict, Verdict::Holds);
}

#[test]
fn one_operator_on_both_self_closing_devices() {
    let state = two_devices(DeviceClass::SelfClosing, 200.0, &[ONE_OPERATOR]);
    assert_eq!(verdict(&state, "operator", LossMode::HandOff), LossVerdict::Held);
    assert_eq!(verdict(&state, "operator", LossMode::FreezesOn), LossVerdict::Dropped);
    assert_eq!(state.critical_parts, ["operator"]);
}

#[test]
fn one_operator_on_both_passive_devices() {
    let state = two_devices(DeviceClass::Passive, 200.0, &[ONE_OPERATOR]);
    assert_eq!(verdict(&state, "operator", LossMode::HandOff), LossVerdict::Dropped);
    assert_eq!(state.hands_off.verdict, Verdict::FallsShort);
}

#[test]
fn a_tailer_behind_both_passive_devices_is_as_good_as_his_grip() {
    // Two ropes at the low end: 2 × (100 N + 6 × 50 N) = 0.8 kN, the weight of 81.6 kg.
    let light = two_devices(DeviceClass::Passive, 81.0, &[ONE_OPERATOR, TAILER]);
    let off = loss(&light, "operator", LossMode::HandOff);
    assert_eq!((off.verdict, off.acts.as_slice()), (LossVerdict::HeldIfActs, &["tailer".to_string()][..]));
    let heavy = two_devices(DeviceClass::Passive, 82.0, &[ONE_OPERATOR, TAILER]);
    let off = loss(&heavy, "operator", LossMode::HandOff);
    assert_eq!(off.verdict, LossVerdict::Overloaded);
    assert!(off.words.contains("tailer"), "{}", off.words);
    for state in [light, heavy] {
        assert!(state.critical_pairs.contains(&["operator".into(), "tailer".into()]));
        assert_eq!(state.hands_off.verdict, Verdict::FallsShort);
    }
}

#[test]
fn a_hand_on_an_open_device_is_a_strength_like_any_other() {
    // Low end of one hand: 100 N + 6 × 150 N = 1.0 kN, the weight of 101.97 kg.
    for (kilograms, expected) in
        [(101.0, LossVerdict::HeldIfActs), (103.0, LossVerdict::Overloaded), (200.0, LossVerdict::Overloaded)]
    {
        let state = two_devices(DeviceClass::Passive, kilograms, &TWO_OPERATORS);
        assert_eq!(verdict(&state, "rope_1", LossMode::Part), expected, "{kilograms} kg");
    }
}

#[test]
fn a_device_that_may_not_lock_is_not_checked() {
    let state = two_devices(DeviceClass::SnatchLocking, 100.0, &TWO_OPERATORS);
    assert_eq!(verdict(&state, "rope_1", LossMode::Part), LossVerdict::NotChecked);
    assert_eq!(state.hands_off.verdict, Verdict::NotChecked);
    let state = two_devices(DeviceClass::SelfClosingPanic, 100.0, &TWO_OPERATORS);
    assert_eq!(verdict(&state, "operator_one", LossMode::HandOff), LossVerdict::Held);
    let mut alone = rig(100.0, on("knot_1"), &["load_1"]);
    two_ropes(&mut alone, DeviceClass::SelfClosingPanic, ["load_1", "load_2"]);
    hand(&mut alone, "operator", HandTask::Operator, &["device_1"]);
    rigs::small::state(&mut alone, Sliding::Lowering, DeviceState::Open);
    assert_eq!(verdict(&check(&alone), "operator", LossMode::FreezesOn), LossVerdict::NotChecked);
}

#[test]
fn a_rope_over_a_directional_pulley_is_no_second_path() {
    let mut r = rig(100.0, on("knot"), &["at_load"]);
    for (id, x, y, fixed) in
        [("at_load", 0.0, 0.0, false), ("at_pulley", 0.0, 10.0, true), ("at_device", 5.0, 9.0, true)]
    {
        point(&mut r, id, x, y, fixed);
    }
    part(&mut r, "anchor", PartKind::Anchor, Line::One, &["at_device"], Support::Ground);
    device(&mut r, "device", DeviceClass::SelfClosing, Line::One, "at_device", on("anchor"));
    part(&mut r, "pulley_anchor", PartKind::Anchor, Line::One, &["at_pulley"], Support::Ground);
    part(&mut r, "pulley", PartKind::Pulley, Line::One, &["at_pulley"], on("pulley_anchor")).efficiency =
        Some(rigs::small::band(0.9, 0.9, 0.9));
    rope(&mut r, "rope", Line::One, &["at_load", "at_pulley", "at_device"], on("device"));
    part(&mut r, "knot", PartKind::EndKnot, Line::One, &["at_load"], on("rope"));
    state(&mut r, Sliding::Held, DeviceState::TiedOff);
    let state = check(&r);
    assert_eq!(state.critical_parts, ["anchor", "device", "rope", "knot"]);
    for id in ["pulley", "pulley_anchor"] {
        let lost = loss(&state, id, LossMode::Part);
        assert_eq!((lost.verdict, lost.moves), (LossVerdict::Moves, true), "{id}");
    }
    // The pulley bears both strands: more than the load.
    assert!(rigs::part(&state, "pulley").force_kn.unwrap().nominal > 0.98);
    assert_eq!(rigs::part(&state, "pulley_anchor").force_kn, rigs::part(&state, "pulley").force_kn);
}

#[test]
fn parts_that_only_hold_each_other_are_not_held_and_named() {
    let mut r = rig(100.0, any(&["knot_1", "knot_2"]), &["load_1", "load_2"]);
    two_ropes(&mut r, DeviceClass::SelfClosing, ["load_1", "load_2"]);
    for n in ["1", "2"] {
        let device = format!("device_{n}");
        let anchor = format!("anchor_{n}");
        r.parts.iter_mut().find(|p| p.id == anchor).unwrap().held_by = on(&device);
    }
    state(&mut r, Sliding::Held, DeviceState::TiedOff);
    let state = check(&r);
    let held = state.checks.iter().find(|c| c.id == "load_held").unwrap();
    assert_eq!(held.verdict, Verdict::FallsShort);
    for name in ["anchor 1", "device 1", "rope 1"] {
        assert!(held.found.contains(name), "{}", held.found);
    }
    assert!(state.parts.iter().all(|p| p.force_kn.is_none() && p.verdict == Verdict::NotChecked));
    assert!(state.losses.iter().all(|l| l.verdict == LossVerdict::Dropped));
}

/// Rope one hangs on a plate with three slings to three anchors, rope two on an anchor of its own.
fn three_legs() -> rig::Rig {
    let mut r = rig(200.0, any(&["knot_1", "knot_2"]), &["load_1", "load_2"]);
    two_ropes(&mut r, DeviceClass::SelfClosing, ["load_1", "load_2"]);
    point(&mut r, "plate_at", 0.0, 11.0, false);
    r.points.iter_mut().find(|p| p.id == "top_1").unwrap().fixed = false;
    let mut legs = Vec::new();
    for (n, x) in [("a", -1.0), ("b", 0.0), ("c", 1.0)] {
        let (at, anchor, leg) = (format!("at_{n}"), format!("anchor_{n}"), format!("leg_{n}"));
        point(&mut r, &at, x, 13.0, true);
        part(&mut r, &anchor, PartKind::Anchor, Line::One, &[&at], Support::Ground);
        part(&mut r, &leg, PartKind::Sling, Line::One, &["plate_at", &at], on(&anchor));
        legs.push(on(&leg));
    }
    part(&mut r, "plate", PartKind::Plate, Line::One, &["plate_at"], Support::Any(legs));
    part(&mut r, "link", PartKind::Connector, Line::One, &["top_1", "plate_at"], on("plate"));
    r.parts.iter_mut().find(|p| p.id == "device_1").unwrap().held_by = on("link");
    r.parts.retain(|p| p.id != "anchor_1");
    state(&mut r, Sliding::Held, DeviceState::TiedOff);
    r
}

/// How three tied legs share is never known well: the range goes from slack to more than an even share, in balance throughout.
#[test]
fn three_tied_legs_share_over_a_range() {
    let r = three_legs();
    let state = check(&r);
    assert!(state.residual_n.unwrap() < 1e-6);
    let force = |id: &str| rigs::part(&state, id).force_kn.unwrap();
    // Legs of 1 across on 2 down: the middle one 1 / (1 + 2 cos³ θ) of the whole, the others cos² θ of that.
    let cos = 2.0 / libm::sqrt(5.0);
    let middle = force("link").nominal / (1.0 + 2.0 * cos * cos * cos);
    assert!((force("leg_b").nominal - middle).abs() < 1e-9, "{:?}", force("leg_b"));
    assert!((force("leg_a").nominal - middle * cos * cos).abs() < 1e-9);
    // One of them tied 1 % long is slack at a load this small, and the rest bear it.
    assert!(force("leg_b").low < 1e-9 && force("leg_b").high > 1.5 * middle, "{:?}", force("leg_b"));
    for id in ["leg_a", "leg_b", "leg_c"] {
        let f = force(id);
        assert!(f.low <= f.nominal && f.nominal <= f.high);
        assert!(
            rigs::part(&state, id).how.iter().any(|line| line.contains("1 %")),
            "{id} says what it rests on"
        );
    }
    // A middle leg that is lost leaves the outer ones as they lie.
    assert_eq!(verdict(&state, "leg_b", LossMode::Part), LossVerdict::Held);
}

#[test]
fn what_is_not_solved_is_not_checked() {
    // A pulley whose friction nobody knows.
    let mut r = three_legs();
    point(&mut r, "turn", 0.0, 5.0, false);
    part(&mut r, "pulley", PartKind::Pulley, Line::One, &["turn"], Support::Ground);
    r.ropes.iter_mut().find(|r| r.id == "rope_1").unwrap().path.insert(1, "turn".into());
    let state = check(&r);
    assert_eq!(state.residual_n, None);
    let solved = state.checks.iter().find(|c| c.id == "forces_solved").unwrap();
    assert_eq!(solved.verdict, Verdict::NotChecked);
    assert!(solved.found.contains("pulley"), "{}", solved.found);
    assert!(state.parts.iter().all(|p| p.verdict == Verdict::NotChecked));
    assert_eq!(verdict(&state, "rope_2", LossMode::Part), LossVerdict::NotChecked);
    // Without that rope the other is solved.
    assert_ne!(verdict(&state, "rope_1", LossMode::Part), LossVerdict::NotChecked);
}

#[test]
fn a_part_that_nothing_joins_is_not_said_to_carry_nothing() {
    for place in [None, Some("at_nothing")] {
        let mut r = rig(100.0, any(&["knot_1", "knot_2"]), &["load_1", "load_2"]);
        two_ropes(&mut r, DeviceClass::SelfClosing, ["load_1", "load_2"]);
        point(&mut r, "at_nothing", 3.0, 12.0, true);
        let anchor = r.parts.iter_mut().find(|p| p.id == "anchor_1").unwrap();
        anchor.at = place.into_iter().map(String::from).collect();
        state(&mut r, Sliding::Held, DeviceState::TiedOff);
        let state = check(&r);
        assert_eq!(rigs::part(&state, "anchor_1").verdict, Verdict::NotChecked);
        let solved = state.checks.iter().find(|c| c.id == "forces_solved").unwrap();
        assert!(solved.found.contains("anchor 1"), "{}", solved.found);
    }
}

#[test]
fn a_load_on_the_haulers_alone_is_never_called_held() {
    let mut r = rig(100.0, on("knot"), &["at_load"]);
    for (id, y, fixed) in [("at_load", 0.0, false), ("at_team", 10.0, true)] {
        point(&mut r, id, 0.0, y, fixed);
    }
    part(&mut r, "spare", PartKind::Anchor, Line::Two, &["at_team"], Support::Ground);
    hand(&mut r, "team", HandTask::Haul, &["rope"]);
    rope(&mut r, "rope", Line::One, &["at_load", "at_team"], on("team"));
    part(&mut r, "knot", PartKind::EndKnot, Line::One, &["at_load"], on("rope"));
    state(&mut r, Sliding::Held, DeviceState::Closed);
    let state = check(&r);
    assert_eq!(verdict(&state, "team", LossMode::HandOff), LossVerdict::Dropped);
    assert_eq!(verdict(&state, "spare", LossMode::Part), LossVerdict::NotChecked);
    assert_eq!(state.hands_off.verdict, Verdict::FallsShort);
}

#[test]
fn a_device_whose_state_is_not_said_is_not_relied_on() {
    let mut r = rig(100.0, any(&["knot_1", "knot_2"]), &["load_1", "load_2"]);
    two_ropes(&mut r, DeviceClass::SelfClosing, ["load_1", "load_2"]);
    state(&mut r, Sliding::Held, DeviceState::TiedOff);
    r.states[0].devices.clear();
    let found = engine::check(&r, &guidelines(), None).main;
    assert!(found.losses.iter().all(|l| matches!(l.verdict, LossVerdict::NotChecked | LossVerdict::Dropped)));
    assert_eq!(found.hands_off.verdict, Verdict::NotChecked);
}
