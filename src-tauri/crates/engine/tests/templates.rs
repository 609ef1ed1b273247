//! The templates: forces by closed forms, verdicts, and laws that must hold for any setting.

mod rigs;

use proptest::prelude::*;
use rig::Rig;
use rig::findings::{LossMode, LossVerdict, StateFindings, Verdict};
use rig::quantity::G;
use rigs::{guidelines, loss, make, part, rated};

const TEMPLATES: [&str; 3] = ["twin-lower-two-knots", "twin-lower-one-knot", "raise-3-to-1-and-belay"];
/// No friction, no loss at the pulleys, equal shares: what is left is closed form.
const EXACT: [(&str, &str); 6] = [
    ("edge_friction", "1"),
    ("edge_friction_low", "1"),
    ("edge_friction_high", "1"),
    ("share", "0.5"),
    ("share_low", "0.5"),
    ("share_high", "0.5"),
];

fn main_state(rig: &Rig) -> StateFindings {
    engine::check(rig, &guidelines(), None).main
}

fn force(state: &StateFindings, id: &str) -> f64 {
    part(state, id).force_kn.unwrap_or_else(|| panic!("{id} not solved")).nominal
}

fn close(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-9 * b.abs().max(1.0), "{a} is not {b}");
}

#[test]
fn one_knot_shares_the_load_as_the_v_formula_says() {
    for degrees in [10.0_f64, 60.0, 90.0, 120.0, 170.0] {
        let angle = format!("{degrees}deg");
        let rig = rated("twin-lower-one-knot", &[&EXACT[..], &[("v_angle", &angle)]].concat());
        let state = main_state(&rig);
        let weight = 200.0 * G / 1000.0;
        let leg = weight / (2.0 * (degrees / 2.0).to_radians().cos());
        close(force(&state, "focal_knot"), weight);
        close(force(&state, "leg_1a"), leg);
        close(force(&state, "leg_1b"), leg);
        close(force(&state, "anchor_west"), leg);
        assert!(state.residual_n.unwrap() < 1e-8);
    }
}

#[test]
fn lowering_over_the_edge_divides_and_raising_multiplies() {
    let state = main_state(&rated("twin-lower-two-knots", &[("load", "250kg")]));
    let weight = 250.0 * G / 1000.0;
    let rope = part(&state, "rope_one").force_kn.unwrap();
    close(rope.low, weight * 0.3);
    close(rope.nominal, weight * 0.5);
    close(rope.high, weight * 0.7);
    let device = part(&state, "device_1").force_kn.unwrap();
    close(device.low, weight * 0.3 / 2.6);
    close(device.nominal, weight * 0.5 / 1.48);
    close(device.high, weight * 0.7 / 1.1);
    let raise = main_state(&rated("raise-3-to-1-and-belay", &[]));
    let weight = 200.0 * G / 1000.0;
    close(part(&raise, "rope_one").force_kn.unwrap().high, weight * 2.6);
}

#[test]
fn held_still_the_edge_may_help_or_hinder() {
    let rig = rated("twin-lower-two-knots", &[]);
    let state = engine::check(&rig, &guidelines(), Some("tied_off")).main;
    let weight = 200.0 * G / 1000.0;
    let device = part(&state, "device_1").force_kn.unwrap();
    close(device.low, weight * 0.3 / 2.6);
    close(device.nominal, weight * 0.5);
    close(device.high, weight * 0.7 * 2.6);
}

#[test]
fn the_raise_traces_its_tension_sheave_by_sheave() {
    let state = main_state(&rated("raise-3-to-1-and-belay", &EXACT[..3]));
    let weight = 200.0 * G / 1000.0;
    let haul = weight / 2.71;
    close(force(&state, "pulley_moving"), haul + haul * 0.9);
    close(force(&state, "haul_hitch"), haul + haul * 0.9);
    close(force(&state, "pulley_fixed"), haul * 0.9 + haul * 0.81);
    close(force(&state, "connector_1"), haul * 0.9 + haul * 0.81);
    let found = &state.checks.iter().find(|c| c.id == "haulers").unwrap().found;
    assert!(found.contains("theoretical advantage 3 : 1, practical 2.71 : 1"), "{found}");
}

#[test]
fn a_focal_knot_for_each_rope_leaves_nothing_critical_and_one_for_both_is() {
    let two = main_state(&rated("twin-lower-two-knots", &[]));
    assert_eq!(two.critical_parts, Vec::<String>::new());
    assert_eq!(two.unknown_parts, Vec::<String>::new());
    let one = main_state(&rated("twin-lower-one-knot", &[]));
    assert_eq!(one.critical_parts, ["focal_knot"]);
    let raise = main_state(&rated("raise-3-to-1-and-belay", &[]));
    assert_eq!(raise.critical_parts, Vec::<String>::new());
    for state in [&two, &one, &raise] {
        assert_eq!(state.always_critical, ["litter_bridle", "litter", "patient_tie_in", "harness"]);
        assert_eq!(loss(state, "rope_one", LossMode::CommonCause).verdict, LossVerdict::Dropped);
    }
}

#[test]
fn both_anchors_on_one_boulder_are_a_common_cause_and_no_critical_part() {
    let state = main_state(&rated("twin-lower-two-knots", &[("one_boulder", "yes")]));
    assert_eq!(state.critical_parts, Vec::<String>::new());
    let boulder = loss(&state, "anchor_west", LossMode::CommonCause);
    assert_eq!(boulder.verdict, LossVerdict::Dropped);
    assert!(boulder.label.contains("boulder"));
}

#[test]
fn two_ropes_two_devices_handles_open() {
    let state = main_state(&rated("twin-lower-two-knots", &[]));
    for id in ["device_1", "rope_one", "end_knot_1", "bridle_ring_1", "connector_1", "focal_knot_1"] {
        let lost = loss(&state, id, LossMode::Part);
        assert_eq!(lost.verdict, LossVerdict::HeldIfActs, "{id}");
        assert_eq!(lost.acts, ["rope two operator"], "{id}");
        assert!(lost.moves && lost.words.contains("rope two operator releases"));
    }
    let off = loss(&state, "rope_one_operator", LossMode::HandOff);
    assert_eq!((off.verdict, off.moves), (LossVerdict::Held, false));
    let frozen = loss(&state, "rope_one_operator", LossMode::FreezesOn);
    assert_eq!(frozen.verdict, LossVerdict::HeldIfActs);
    assert_eq!(frozen.acts, ["rope two operator"]);
    assert_eq!(state.hands_off.verdict, Verdict::Holds);
    assert!(!state.hands_off.moves);
    let pair = ["rope_one".to_string(), "rope_two".to_string()];
    assert!(state.critical_pairs.contains(&pair));
    // By support the tailer behind both devices still holds rope one; forces of pairs are not solved.
    assert!(!state.critical_pairs.contains(&["device_2".into(), "rope_one_operator".into()]));
}

#[test]
fn a_survivor_without_a_rating_is_not_checked_and_an_overloaded_one_is_named() {
    let state = main_state(&rated("twin-lower-two-knots", &[("device", "")]));
    let lost = loss(&state, "rope_one", LossMode::Part);
    assert_eq!(lost.verdict, LossVerdict::NotChecked);
    assert_eq!(
        lost.words,
        "not checked: device 2 has no rating; otherwise held only if rope two operator releases"
    );
    assert_eq!(lost.weakest, None);
    assert!(state.unknown_parts.contains(&"rope_two_operator".to_string()));
    // An anchor that cannot carry what swings onto it.
    let state = main_state(&rated("twin-lower-two-knots", &[("anchor_east", "1.2kN")]));
    let lost = loss(&state, "anchor_west", LossMode::Part);
    assert_eq!(lost.verdict, LossVerdict::Overloaded);
    assert!(lost.words.contains("anchor east"), "{}", lost.words);
    assert!(state.critical_parts.contains(&"anchor_west".to_string()));
    // Overloaded is worse than not checked.
    let state = main_state(&rated("twin-lower-two-knots", &[("anchor_east", "1.2kN"), ("device", "")]));
    assert_eq!(loss(&state, "anchor_west", LossMode::Part).verdict, LossVerdict::Overloaded);
}

#[test]
fn a_closed_device_that_slips_under_the_whole_load_is_overloaded() {
    // Closed it slips at 4 kN at the low end; the edge holds back a tenth: 4.4 kN hold 448 kg, not 460 kg.
    let frictionless = |mass| rated("twin-lower-two-knots", &[("load", mass), ("edge_friction_low", "1.1")]);
    assert_eq!(
        loss(&main_state(&frictionless("440kg")), "rope_one", LossMode::Part).verdict,
        LossVerdict::HeldIfActs
    );
    assert_eq!(
        loss(&main_state(&frictionless("460kg")), "rope_one", LossMode::Part).verdict,
        LossVerdict::Overloaded
    );
}

#[test]
fn the_raise_runs_back_onto_its_capture_when_the_team_lets_go() {
    let state = main_state(&rated("raise-3-to-1-and-belay", &[]));
    let off = loss(&state, "haul_team", LossMode::HandOff);
    assert_eq!(off.verdict, LossVerdict::Moves);
    assert!(off.words.contains("progress capture"), "{}", off.words);
    assert_eq!((state.hands_off.verdict, state.hands_off.moves), (Verdict::NotChecked, true));
    for id in ["haul_hitch", "pulley_moving", "pulley_fixed"] {
        assert_eq!(loss(&state, id, LossMode::Part).verdict, LossVerdict::Moves, "{id}");
    }
    let main = loss(&state, "rope_one", LossMode::Part);
    assert_eq!((main.verdict, main.moves), (LossVerdict::Moves, true));
    assert_eq!(loss(&state, "rope_two", LossMode::Part).verdict, LossVerdict::Held);
}

#[test]
fn nothing_unknown_is_ever_shown_as_holding() {
    for name in TEMPLATES {
        let report = engine::check(&make(name, &[]), &guidelines(), None);
        for state in std::iter::once(&report.main).chain(&report.other_states) {
            for part in &state.parts {
                if part.strength_kn.is_none() {
                    assert_eq!(part.verdict, Verdict::NotChecked, "{}", part.id);
                }
                assert!(!part.how.is_empty());
            }
            for lost in &state.losses {
                let rated = |id: &String| part(state, id).strength_kn.is_some();
                let fine =
                    matches!(lost.verdict, LossVerdict::Held | LossVerdict::Moves | LossVerdict::HeldIfActs);
                let path = lost.path.iter().filter(|id| !state.always_critical.contains(id));
                assert!(!fine || path.clone().all(rated), "{name} {}", lost.label);
            }
            assert!(
                state.checks.iter().any(|c| c.id == "drop_after_loss" && c.verdict == Verdict::NotChecked)
            );
        }
        assert_ne!(report.verdict, Verdict::Holds);
    }
}

#[test]
fn losses_stand_worst_first_and_a_what_if_says_the_same() {
    for name in TEMPLATES {
        let rig = rated(name, &[]);
        let state = main_state(&rig);
        assert!(state.losses.windows(2).all(|w| w[0].verdict <= w[1].verdict));
        for lost in &state.losses {
            let id = match lost.mode {
                LossMode::Part => lost.lost[0].clone(),
                LossMode::HandOff => format!("{}:hand_off", lost.lost[0]),
                LossMode::FreezesOn => format!("{}:freezes_on", lost.lost[0]),
                LossMode::CommonCause => lost.group.clone().expect("a common cause says its id"),
            };
            let what_if = engine::what_if(&rig, &guidelines(), None, &id).unwrap();
            assert_eq!(&what_if.loss, lost);
            assert_eq!(lost.group.is_some(), lost.mode == LossMode::CommonCause);
            // A check stored before the id was kept reads as it did, and knows of none.
            let mut old = serde_json::to_value(lost).unwrap();
            old.as_object_mut().unwrap().remove("group");
            let old: rig::findings::LossFinding = serde_json::from_value(old).unwrap();
            assert_eq!(old, rig::findings::LossFinding { group: None, ..lost.clone() });
            assert_eq!(what_if.parts.len(), rig.parts.len());
        }
        assert_eq!(engine::what_if(&rig, &guidelines(), None, "nobody"), None);
    }
    let rig = rated("twin-lower-two-knots", &[]);
    let bare = engine::what_if(&rig, &guidelines(), None, "rope_one_operator").unwrap();
    assert_eq!(bare.loss.mode, LossMode::FreezesOn);
}

#[test]
fn renamed_ids_give_the_same_verdicts() {
    let rig = rated("twin-lower-two-knots", &[]);
    let mut lines: Vec<String> = rig::write(&rig).lines().map(String::from).collect();
    for id in rig.parts.iter().map(|p| &p.id).chain(rig.hands.iter().map(|h| &h.id)) {
        for line in lines.iter_mut().filter(|line| !line.contains("\"kind\"") && !line.contains("\"task\"")) {
            *line = line.replace(&format!("\"{id}\""), &format!("\"zz {id}\""));
        }
    }
    // The template's own parameters keep their names.
    let text = lines.join("\n");
    let renamed = main_state(&rig::read(&text).unwrap());
    let before = main_state(&rig);
    let verdicts = |s: &StateFindings| {
        s.losses.iter().map(|l| (l.label.replace("zz ", ""), l.verdict, l.moves)).collect::<Vec<_>>()
    };
    assert_eq!(verdicts(&renamed), verdicts(&before));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn forces_scale_with_the_load_and_margins_fall(mass in 50.0_f64..400.0, degrees in 20.0_f64..150.0) {
        for name in TEMPLATES {
            let angle = format!("{degrees}deg");
            let one = main_state(&rated(name, &[("load", &format!("{mass}kg")), ("v_angle", &angle)]));
            let two = main_state(&rated(name, &[("load", &format!("{}kg", mass * 2.0)), ("v_angle", &angle)]));
            for (a, b) in one.parts.iter().zip(&two.parts) {
                let (fa, fb) = (a.force_kn.unwrap(), b.force_kn.unwrap());
                prop_assert!((fb.high - 2.0 * fa.high).abs() < 1e-6, "{}: {fa:?} {fb:?}", a.id);
                prop_assert!(fa.low <= fa.nominal && fa.nominal <= fa.high);
                if let (Some(a), Some(b)) = (a.margin, b.margin) {
                    prop_assert!(b < a);
                }
            }
        }
    }

    #[test]
    fn legs_carry_more_the_wider_they_open(degrees in 10.0_f64..160.0) {
        let leg = |d: f64| {
            let rig = rated("twin-lower-one-knot", &[("v_angle", &format!("{d}deg"))]);
            part(&main_state(&rig), "leg_1a").force_kn.unwrap().high
        };
        prop_assert!(leg(degrees + 5.0) > leg(degrees));
    }

    #[test]
    fn taking_a_part_away_never_holds_the_load_more(first in 0_usize..25, second in 0_usize..25) {
        let rig = rated("twin-lower-two-knots", &[]);
        let state = &rig.states[0];
        let model = engine::support::Model::new(&rig, state);
        let lost = |parts: Vec<usize>| engine::support::Lost { parts, hands: Vec::new() };
        let one = model.solve(&lost(vec![first]));
        let two = model.solve(&lost(vec![first, second]));
        prop_assert!(two.load <= one.load);
        for (a, b) in two.parts.iter().zip(&one.parts) {
            // A rope that takes over holds only if its operator acts; by support nothing is ever gained.
            prop_assert!(*a <= *b || *b == engine::support::Hold::IfActs);
        }
    }
}
