//! Whether things fit each other: each rule on a template, right and wrong and unsaid.

mod rigs;

use rig::findings::{RuleFinding, Verdict};
use rig::model::{Joint, Line, Loading, Part, PartKind, Support};
use rig::quantity::Length;
use rigs::{guidelines, make, rated};

fn found(rig: &rig::Rig, state: Option<&str>, rule: &str) -> Vec<RuleFinding> {
    let main = engine::check(rig, &guidelines(), state).main;
    main.checks.into_iter().filter(|c| c.id == rule).collect()
}

/// The worst of a rule's findings; `None` when the rule says nothing.
fn worst(rig: &rig::Rig, rule: &str) -> Option<Verdict> {
    found(rig, None, rule).iter().map(|f| f.verdict).min()
}

const TWIN: &str = "twin-lower-two-knots";
/// A length that was said, though it is the one the template puts in.
const LONG: (&str, &str) = ("rope_length", "60m");
const RAISE: &str = "raise-3-to-1-and-belay";
const BELAY: &str = "main-and-belay-lower";

/// Template, what is set, rule, what it must say.
type Case = (&'static str, &'static [(&'static str, &'static str)], &'static str, Option<Verdict>);

const CASES: &[Case] = &[
    (TWIN, &[], "rope_fits_pulley", None),
    (RAISE, &[], "rope_fits_pulley", Some(Verdict::NotChecked)),
    (
        RAISE,
        &[("pulley_takes_low", "9mm"), ("pulley_takes_high", "13mm")],
        "rope_fits_pulley",
        Some(Verdict::Holds),
    ),
    (
        RAISE,
        &[("pulley_takes_low", "9mm"), ("pulley_takes_high", "10mm")],
        "rope_fits_pulley",
        Some(Verdict::FallsShort),
    ),
    (RAISE, &[], "sheave_size", Some(Verdict::NotChecked)),
    (RAISE, &[("pulley_sheave", "44mm")], "sheave_size", Some(Verdict::Holds)),
    (RAISE, &[("pulley_sheave", "43mm")], "sheave_size", Some(Verdict::FallsShort)),
    (TWIN, &[], "rope_fits_hitch", None),
    (BELAY, &[], "rope_fits_hitch", Some(Verdict::NotChecked)),
    (
        BELAY,
        &[("hitch_takes_low", "11mm"), ("hitch_takes_high", "12mm")],
        "rope_fits_hitch",
        Some(Verdict::Holds),
    ),
    (
        BELAY,
        &[("hitch_takes_low", "11.5mm"), ("hitch_takes_high", "13mm")],
        "rope_fits_hitch",
        Some(Verdict::FallsShort),
    ),
    // 60 m less 4 m above the edge and 3 m of knots: 53 m of height at most, 3 m of them to spare.
    (TWIN, &[LONG, ("edge_height", "50m")], "rope_long_enough", Some(Verdict::Holds)),
    (TWIN, &[LONG, ("edge_height", "50.1m")], "rope_long_enough", Some(Verdict::FallsShort)),
    (TWIN, &[LONG, ("edge_height", "54m")], "rope_long_enough", Some(Verdict::FallsShort)),
    // The same 60 m, which nobody said: neither enough nor too short.
    (TWIN, &[], "rope_long_enough", Some(Verdict::NotChecked)),
    (TWIN, &[("edge_height", "54m")], "rope_long_enough", Some(Verdict::NotChecked)),
    (TWIN, &[LONG, ("stopper", "no"), ("edge_height", "50m")], "rope_end_stopped", Some(Verdict::Holds)),
    (
        TWIN,
        &[("device_takes_low", "10mm"), ("device_takes_high", "11mm")],
        "rope_fits_device",
        Some(Verdict::Holds),
    ),
    (
        TWIN,
        &[("device_takes_low", "11.5mm"), ("device_takes_high", "13mm")],
        "rope_fits_device",
        Some(Verdict::FallsShort),
    ),
    (TWIN, &[], "rope_fits_device", Some(Verdict::NotChecked)),
    (TWIN, &[], "rope_end_stopped", Some(Verdict::NotChecked)),
    (TWIN, &[("stopper", "yes")], "rope_end_stopped", Some(Verdict::Holds)),
    (TWIN, &[LONG, ("stopper", "no")], "rope_end_stopped", Some(Verdict::Holds)),
    (TWIN, &[("stopper", "no")], "rope_end_stopped", Some(Verdict::NotChecked)),
    // 60 m less 4 m above the edge, 3 m of knots and 51 m of height: 2 m left.
    (TWIN, &[LONG, ("stopper", "no"), ("edge_height", "51m")], "rope_end_stopped", Some(Verdict::FallsShort)),
    (TWIN, &[], "device_purpose", Some(Verdict::NotChecked)),
    (TWIN, &[("device_purpose", "descent and belay")], "device_purpose", Some(Verdict::Holds)),
    (TWIN, &[("device_purpose", "descent only")], "device_purpose", Some(Verdict::NotChecked)),
    (TWIN, &[("device_purpose", "belay only")], "device_purpose", Some(Verdict::FallsShort)),
    (RAISE, &[("device_purpose", "descent only")], "device_purpose", Some(Verdict::FallsShort)),
    (RAISE, &[("device_purpose", "belay only")], "device_purpose", Some(Verdict::Holds)),
    (TWIN, &[], "device_rated_load", Some(Verdict::NotChecked)),
    (TWIN, &[("device_rated_load", "200kg")], "device_rated_load", Some(Verdict::Holds)),
    (TWIN, &[("device_rated_load", "199kg")], "device_rated_load", Some(Verdict::FallsShort)),
    (TWIN, &[], "hitch_cord", None),
    (BELAY, &[], "hitch_cord", Some(Verdict::NotChecked)),
    (BELAY, &[("hitch_cord", "nylon")], "hitch_cord", Some(Verdict::Holds)),
    (BELAY, &[("hitch_cord", "HMPE, bare")], "hitch_cord", Some(Verdict::FallsShort)),
    (TWIN, &[], "connector_loading", Some(Verdict::Holds)),
    (TWIN, &[], "feet_pressed", None),
    ("twin-lower-high-directional", &[], "feet_pressed", Some(Verdict::Holds)),
    // A head far out past the edge lifts the back foot.
    (
        "twin-lower-high-directional",
        &[("frame_reach", "3m"), ("edge_to_device", "1m")],
        "feet_pressed",
        Some(Verdict::FallsShort),
    ),
    (TWIN, &[], "safety_factor", Some(Verdict::NotChecked)),
];

#[test]
fn each_rule_says_what_is_right_wrong_and_unsaid() {
    for (template, set, rule, expected) in CASES {
        let rig = make(template, set);
        assert_eq!(worst(&rig, rule), *expected, "{template} {set:?} {rule}: {:?}", found(&rig, None, rule));
    }
}

#[test]
fn the_static_system_safety_factor_is_the_weakest_margin_of_all() {
    let rig = rated(TWIN, &[]);
    let main = engine::check(&rig, &guidelines(), None).main;
    let least = main.parts.iter().filter_map(|p| p.margin).fold(f64::INFINITY, f64::min);
    let said = found(&rig, None, "safety_factor");
    let words = format!(
        "{}",
        (least * if least < 10.0 { 100.0 } else { 10.0 }).floor() / if least < 10.0 { 100.0 } else { 10.0 }
    );
    assert!(said[0].found.contains(&words), "{words}: {}", said[0].found);
    assert_ne!(said[0].verdict, Verdict::NotChecked, "everything that carries is rated");
    // It is never better than the worst of the parts.
    let parts = main.parts.iter().map(|p| p.verdict).min();
    assert_eq!(Some(said[0].verdict), parts);
}

#[test]
fn a_connector_that_is_pulled_from_three_ways_or_across_falls_short() {
    for loading in [Loading::Minor, Loading::OpenGate, Loading::ThreeWay] {
        let mut rig = make(TWIN, &[]);
        rig.parts.iter_mut().find(|p| p.id == "connector_1").unwrap().loading = Some(loading);
        assert_eq!(worst(&rig, "connector_loading"), Some(Verdict::FallsShort), "{loading:?}");
    }
    // One at the focal knot's own point, with its legs and what hangs below: three ways.
    let mut rig = make("twin-lower-one-knot", &[]);
    let at = ["at_focal_knot"];
    rig.parts.push(Part::plain(
        "link",
        "link",
        PartKind::Connector,
        Line::Shared,
        &at,
        Support::Part("focal_knot".into()),
    ));
    assert_eq!(worst(&rig, "connector_loading"), Some(Verdict::FallsShort));
}

#[test]
fn a_joining_knot_that_comes_to_the_device_falls_short_unless_its_pass_is_planned() {
    // The device is 4 m from the edge, the ground 20 m below that.
    for (metres, expected) in [
        (3.0, Verdict::Holds),
        (4.0, Verdict::FallsShort),
        (24.0, Verdict::FallsShort),
        (25.0, Verdict::Holds),
    ] {
        let mut rig = make(TWIN, &[]);
        rig.parts.push(Part::plain(
            "bend",
            "joining knot",
            PartKind::JoiningKnot,
            Line::One,
            &[],
            Support::Part("rope_one".into()),
        ));
        let joint = Joint { knot: "bend".into(), at: Length::metres(metres).unwrap() };
        rig.ropes.iter_mut().find(|r| r.id == "rope_one").unwrap().joints.push(joint);
        rig::validate(&rig).unwrap();
        assert_eq!(worst(&rig, "joining_knot"), Some(expected), "{metres} m");
        // While the load goes down the knot does not bear yet, later it does; that alone leaves the device in its way.
        rig.states[0].without.push("bend".into());
        assert_eq!(worst(&rig, "joining_knot"), Some(expected), "{metres} m, not passed");
        // With a step in which the device is off the rope the pass is planned.
        rig.states[1].without.push("device_1".into());
        let planned = if expected == Verdict::FallsShort { Verdict::NotChecked } else { expected };
        assert_eq!(
            worst(&rig, "joining_knot"),
            Some(planned),
            "{metres} m, planned: {:?}",
            found(&rig, None, "joining_knot")
        );
    }
}

/// A change-over is a rig whose states are its steps: each solved, and rope one never converted on an open rope two.
#[test]
fn a_change_over_and_a_knot_pass_are_checked_step_by_step() {
    for template in ["change-over-lower-to-raise", "change-over-raise-to-lower", "knot-pass"] {
        let rig = make(template, &[]);
        let report = engine::check(&rig, &guidelines(), None);
        for state in std::iter::once(&report.main).chain(&report.other_states) {
            assert!(state.residual_n.is_some_and(|r| r < 1e-6), "{template} {}", state.state);
            assert_eq!(state.critical_parts, Vec::<String>::new(), "{template} {}", state.state);
        }
        assert_eq!(worst(&rig, "converted_tied_off"), Some(Verdict::Holds), "{template}");
        let mut hasty = rig.clone();
        for state in &mut hasty.states {
            state.devices.insert("device_2".into(), rig::model::DeviceState::Open);
        }
        assert_eq!(worst(&hasty, "converted_tied_off"), Some(Verdict::FallsShort), "{template}");
    }
    assert_eq!(worst(&make(TWIN, &[]), "converted_tied_off"), None);
}

/// What is taken out in a step is not there: the load hangs on what is.
#[test]
fn on_the_capture_the_load_hangs_on_the_capture() {
    let rig = make("change-over-lower-to-raise", &[]);
    let main = engine::check(&rig, &guidelines(), Some("on_the_capture")).main;
    let force = |id: &str| main.parts.iter().find(|p| p.id == id).and_then(|p| p.force_kn).map(|f| f.nominal);
    assert!(force("progress_capture").unwrap() > 0.5 && force("device_1") == Some(0.0));
    assert!(main.losses.iter().all(|l| !l.lost.contains(&"device_1".to_string())));
}

/// A knot comes to each thing on its rope at its own time: the capture beside the edge before the device behind it.
#[test]
fn a_joining_knot_is_judged_against_everything_on_its_rope() {
    let rig = make("change-over-lower-to-raise", &[]);
    let y = |id: &str| rig.point(id).unwrap().y.to_metres();
    // On this rig the ropes run straight up: capture, device, fixed pulley, each higher than the one before.
    let edge = rig.edge.height.to_metres();
    let (capture, device) = (y("at_capture") - edge, y("at_device_1") - edge);
    assert!(0.0 < capture && capture < device, "{capture} {device}");
    let with = |at: f64| {
        let mut rig = rig.clone();
        let on = Support::Part("rope_one".into());
        rig.parts.push(Part::plain("bend", "bend", PartKind::JoiningKnot, Line::One, &[], on));
        let joint = Joint { knot: "bend".into(), at: Length::metres(at).unwrap() };
        rig.ropes.iter_mut().find(|r| r.id == "rope_one").unwrap().joints.push(joint);
        rig::validate(&rig).unwrap();
        found(&rig, None, "joining_knot").remove(0)
    };
    let near = with((capture + device) / 2.0);
    assert_eq!(near.verdict, Verdict::FallsShort);
    assert!(near.found.contains("progress capture") && !near.found.contains("device 1"), "{near:?}");
    let both = with(device + 1.0);
    assert!(both.found.contains("progress capture") && both.found.contains("device 1"), "{both:?}");
}

/// What is not there in a step protects nothing, and grips nothing.
#[test]
fn protection_that_is_taken_away_protects_nothing() {
    let mut rig = make(TWIN, &[]);
    assert_eq!(worst(&rig, "edge_protected"), Some(Verdict::Holds));
    let said = found(&rig, None, "edge_protected").remove(0).found;
    assert!(said.contains("edge roller 1") && said.contains("edge roller 2"), "{said}");
    rig.states[0].without = vec!["roller_1".into()];
    assert_eq!(worst(&rig, "edge_protected"), Some(Verdict::FallsShort));
    // One roller under both ropes is named once.
    let mut rig = make(TWIN, &[]);
    rig.parts.retain(|p| p.id != "roller_2");
    let both = ["at_edge_1".to_string(), "at_edge_2".to_string()];
    rig.parts.iter_mut().find(|p| p.id == "roller_1").unwrap().at = both.to_vec();
    let said = found(&rig, None, "edge_protected").remove(0).found;
    assert_eq!(said, "2 ropes on protection: edge roller 1");
}

/// A capture of metal is tied of no cord.
#[test]
fn a_capture_that_is_no_hitch_asks_for_no_cord() {
    let mut rig = make(RAISE, &[]);
    assert_eq!(worst(&rig, "hitch_cord"), Some(Verdict::NotChecked));
    for part in
        rig.parts.iter_mut().filter(|p| matches!(p.kind, PartKind::HaulHitch | PartKind::ProgressCapture))
    {
        part.device.as_mut().unwrap().class = rig::model::DeviceClass::SelfClosing;
    }
    assert_eq!(worst(&rig, "hitch_cord"), None);
}

/// Without forces, or without a single rating, there is no factor, and that is said.
#[test]
fn a_factor_that_cannot_be_had_is_not_checked() {
    let mut unrated = make(TWIN, &[]);
    unrated.parts.iter_mut().for_each(|p| p.strength = None);
    assert_eq!(worst(&unrated, "safety_factor"), Some(Verdict::NotChecked));
    let mut loose = make(TWIN, &[]);
    loose.parts.retain(|p| !p.kind.is_leg());
    for part in &mut loose.parts {
        if part.kind == PartKind::FocalKnot {
            part.held_by = Support::Part("anchor_west".into());
        }
    }
    let said = found(&loose, None, "safety_factor");
    assert_eq!(said.len(), 1);
    assert_ne!(said[0].verdict, Verdict::Holds, "{said:?}");
}

#[test]
fn a_connector_across_names_the_rating_it_has_so() {
    for (class, words) in [("EN 362 B", "rated 7.000 kN for it"), ("EN 362 T", "unrated for it")] {
        let mut rig = make(TWIN, &[("connector_class", class)]);
        rig.parts.iter_mut().find(|p| p.id == "connector_1").unwrap().loading = Some(Loading::Minor);
        let said = found(&rig, None, "connector_loading").remove(0).found;
        assert!(said.contains("across its minor axis") && said.contains(words), "{said}");
    }
}
