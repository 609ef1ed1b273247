//! A rig changed part by part: always valid or refused in words, checked without a fault, and never rosier than it is.

mod rigs;

use rig::edit::{Edit, PartEdit, apply};
use rig::findings::{LossMode, LossVerdict, Verdict};
use rig::model::{DeviceClass, Gear, HandTask, Loading, PartKind, Support};
use rig::quantity::{Angle, Length, Mass};
use rigs::{guidelines, loss, make, part, rated};

fn metres(value: f64) -> Length {
    Length::metres(value).unwrap()
}

fn set(id: &str, set: PartEdit) -> Edit {
    Edit::Part { id: id.into(), set }
}

#[test]
fn a_rating_a_name_and_gear_are_kept_and_judged() {
    let rig = rated("twin-lower-two-knots", &[]);
    let known = PartEdit {
        label: Some("west bolts".into()),
        rating: Some("5kN".into()),
        rated_by: Some("judged on site".into()),
        gear: Some(Gear {
            name: "plate 2".into(),
            serial: Some("B-7".into()),
            in_service_since: Some("2024-03".into()),
        }),
        ..PartEdit::default()
    };
    let edited = apply(&rig, &[set("anchor_west", known)]).unwrap();
    assert_eq!(edited.template, None, "it stands on no template any more");
    let found = engine::check(&edited, &guidelines(), None).main;
    let west = part(&found, "anchor_west");
    assert_eq!(
        (west.label.as_str(), west.strength_kn, west.verdict),
        ("west bolts", Some(5.0), Verdict::FallsShort)
    );
    assert!(west.source.contains("judged on site"));
    // Unrated again: unknown again.
    let none = PartEdit { rating: Some(String::new()), ..PartEdit::default() };
    let edited = apply(&edited, &[set("anchor_west", none)]).unwrap();
    assert_eq!(
        part(&engine::check(&edited, &guidelines(), None).main, "anchor_west").verdict,
        Verdict::NotChecked
    );
}

#[test]
fn a_third_leg_shares_and_doubles_and_taking_it_out_gives_the_rig_back() {
    let rig = rated("twin-lower-one-knot", &[]);
    let add = [
        Edit::AddAnchor {
            id: "anchor_north".into(),
            label: "anchor north".into(),
            x: metres(0.0),
            y: metres(26.0),
        },
        Edit::AddTie {
            id: "leg_n".into(),
            label: "leg to north".into(),
            kind: PartKind::Sling,
            from: "at_focal_knot".into(),
            to: "at_anchor_north".into(),
        },
    ];
    let three = apply(&rig, &add).unwrap();
    let found = engine::check(&three, &guidelines(), None).main;
    assert!(found.residual_n.is_some_and(|r| r < 1e-6));
    assert!(part(&found, "leg_n").force_kn.unwrap().nominal > 0.0);
    assert_ne!(loss(&found, "leg_1a", LossMode::Part).verdict, LossVerdict::Dropped);
    let back =
        apply(&three, &[Edit::Remove { id: "leg_n".into() }, Edit::Remove { id: "anchor_north".into() }])
            .unwrap();
    assert_eq!(back, rig.off_template());
}

#[test]
fn what_would_leave_something_on_nothing_is_refused_with_its_name() {
    let rig = make("twin-lower-two-knots", &[]);
    let cases = [
        (Edit::Remove { id: "focal_knot_1".into() }, "connector 1"),
        (Edit::Remove { id: "device_1".into() }, "rope one, 11 mm"),
        (Edit::Remove { id: "rope_one".into() }, "is a rope"),
        (Edit::Remove { id: "nothing".into() }, "no part"),
        (Edit::Remove { id: "harness".into() }, "the load"),
        (set("anchor_west", PartEdit { rating: Some("strong".into()), ..PartEdit::default() }), "number"),
        (set("anchor_west", PartEdit { rating: Some("-3kN".into()), ..PartEdit::default() }), "rating"),
        (set("anchor_west", PartEdit { loading: Some(Loading::Minor), ..PartEdit::default() }), "axis"),
        (set("anchor_west", PartEdit { kind: Some(PartKind::Pulley), ..PartEdit::default() }), "place of"),
        (set("anchor_west", PartEdit { label: Some(" ".into()), ..PartEdit::default() }), "without a name"),
        (Edit::Move { point: "nowhere".into(), x: metres(0.0), y: metres(0.0) }, "no point"),
    ];
    for (edit, words) in cases {
        let error = apply(&rig, std::slice::from_ref(&edit)).expect_err(words);
        assert!(error.what.contains(words), "{edit:?}: {error:?}");
        assert!(error.place.starts_with("edit 1") && !error.remedy.is_empty(), "{error:?}");
    }
}

#[test]
fn a_moved_anchor_changes_the_angle_and_the_forces() {
    let rig = make("twin-lower-one-knot", &[]);
    let force = |rig: &rig::Rig| {
        part(&engine::check(rig, &guidelines(), None).main, "leg_1a").force_kn.unwrap().nominal
    };
    let at = rig.point("at_west").unwrap();
    let wider = Edit::Move { point: "at_west".into(), x: metres(at.x.to_metres() - 2.0), y: at.y };
    assert_ne!(force(&apply(&rig, &[wider]).unwrap()), force(&rig));
    let heavier = apply(&rig, &[Edit::Load { mass: Mass::kilograms(400.0).unwrap() }]).unwrap();
    assert!((force(&heavier) / force(&rig) - 2.0).abs() < 1e-9);
}

fn text(words: &str) -> String {
    words.to_string()
}

fn degrees(value: f64) -> Angle {
    Angle::degrees(value).unwrap()
}

fn nominal(rig: &rig::Rig, id: &str) -> f64 {
    part(&engine::check(rig, &guidelines(), None).main, id).force_kn.unwrap().nominal
}

fn distance(rig: &rig::Rig, a: &str, b: &str) -> f64 {
    let (a, b) = (rig.point(a).unwrap(), rig.point(b).unwrap());
    (a.x.to_metres() - b.x.to_metres()).hypot(a.y.to_metres() - b.y.to_metres())
}

#[test]
fn a_typed_angle_gives_the_leg_forces_of_the_closed_form() {
    let rig = make("twin-lower-one-knot", &[]);
    for angle in [40.0_f64, 90.0, 120.0] {
        let edited =
            apply(&rig, &[Edit::VAngle { knot: text("focal_knot"), angle: degrees(angle) }]).unwrap();
        // load / (2 cos φ), φ half of the included angle; the load is what the knot bears.
        let wanted = nominal(&edited, "focal_knot") / (2.0 * (angle / 2.0).to_radians().cos());
        for leg in ["leg_1a", "leg_1b"] {
            assert!((nominal(&edited, leg) - wanted).abs() < 1e-6, "{leg} at {angle}");
        }
        for (low, high) in [("at_device_1", "at_focal_knot"), ("at_device_2", "at_focal_knot")] {
            assert!(
                (distance(&edited, low, high) - distance(&rig, low, high)).abs() < 1e-9,
                "the links kept theirs"
            );
        }
    }
    let flat = Edit::VAngle { knot: text("focal_knot"), angle: degrees(179.0) };
    assert!(apply(&rig, &[flat]).unwrap_err().what.contains("179"));
    let none = Edit::VAngle { knot: text("anchor_west"), angle: degrees(60.0) };
    assert!(apply(&rig, &[none]).unwrap_err().what.contains("no two legs of"));
}

#[test]
fn a_typed_length_keeps_the_other_leg_and_what_cannot_meet_is_refused() {
    let rig = make("twin-lower-one-knot", &[]);
    let (a, b) = (distance(&rig, "at_focal_knot", "at_west"), distance(&rig, "at_focal_knot", "at_east"));
    let longer = Edit::TieLength { id: text("leg_1a"), length: metres(a + 0.4) };
    let edited = apply(&rig, &[longer]).unwrap();
    assert!((distance(&edited, "at_focal_knot", "at_west") - a - 0.4).abs() < 1e-9);
    assert!((distance(&edited, "at_focal_knot", "at_east") - b).abs() < 1e-9);
    assert!(nominal(&edited, "leg_1b") > nominal(&edited, "leg_1a"), "the steeper leg bears more");
    let link = Edit::TieLength { id: text("connector_1"), length: metres(0.7) };
    let edited = apply(&rig, &[link]).unwrap();
    assert!((distance(&edited, "at_device_1", "at_focal_knot") - 0.7).abs() < 1e-9);
    let short = Edit::TieLength { id: text("leg_1a"), length: metres(9.0) };
    assert!(apply(&rig, &[short]).unwrap_err().what.contains("would not meet"));
}

#[test]
fn a_link_that_goes_leaves_two_things_that_meet_and_one_put_in_is_critical() {
    let rig = rated("twin-lower-two-knots", &[]);
    let without = apply(&rig, &[Edit::Remove { id: text("connector_1") }]).unwrap();
    assert_eq!(without.part("device_1").unwrap().held_by, Support::Part(text("focal_knot_1")));
    assert_eq!(without.part("device_1").unwrap().at, ["at_focal_knot_1"]);
    assert!(without.point("at_device_1").is_none());
    let found = engine::check(&without, &guidelines(), None).main;
    assert!(found.residual_n.is_some_and(|r| r < 1e-6));
    let with = [Edit::AddLink {
        id: text("swivel"),
        label: text("swivel"),
        kind: PartKind::Connector,
        below: text("device_1"),
    }];
    let longer = apply(&rig, &with).unwrap();
    let found = engine::check(&longer, &guidelines(), None).main;
    assert!((nominal(&longer, "swivel") - nominal(&rig, "connector_1")).abs() < 1e-9);
    assert_eq!(part(&found, "swivel").verdict, Verdict::NotChecked, "nobody rated it");
    let one = |id: &str| loss(&found, id, LossMode::Part).verdict;
    assert_eq!(one("swivel"), one("connector_1"));
    assert_eq!(
        apply(&longer, &[Edit::Remove { id: text("swivel") }]).unwrap().part("device_1").unwrap().at,
        ["at_swivel"]
    );
}

#[test]
fn a_plate_on_one_connector_is_a_link_and_one_on_a_v_is_not() {
    let rig = make("twin-lower-plate", &[]);
    let error = apply(&rig, &[Edit::Remove { id: text("plate") }]).unwrap_err();
    assert!(error.what.contains("would hang on nothing without it"), "{error:?}");
}

#[test]
fn an_anchor_goes_with_the_legs_that_were_tied_to_it_alone() {
    let rig = rated("twin-lower-two-knots", &[]);
    let one = apply(&rig, &[Edit::Remove { id: text("anchor_west") }]).unwrap();
    for gone in ["anchor_west", "leg_1a", "leg_2b"] {
        assert!(one.part(gone).is_none(), "{gone}");
    }
    assert!(one.point("at_west").is_none());
    let found = engine::check(&one, &guidelines(), None).main;
    assert_eq!(loss(&found, "anchor_east", LossMode::Part).verdict, LossVerdict::Dropped);
    assert!(found.critical_parts.contains(&text("anchor_east")));
    let error = apply(&one, &[Edit::Remove { id: text("anchor_east") }]).unwrap_err();
    assert!(error.what.contains("focal knot 1 would hang on nothing"), "{error:?}");
}

#[test]
fn a_pulley_put_in_bears_what_the_turn_makes_of_the_tension() {
    let rig = rated("twin-lower-two-knots", &[]);
    let edge = rig.point("at_edge_1").unwrap();
    let (x, y) = (edge.x.to_metres() - 2.0, edge.y.to_metres() + 1.0);
    let edits = [
        Edit::AddAnchor { id: text("aside"), label: text("anchor aside"), x: metres(x), y: metres(y) },
        Edit::AddPulley {
            id: text("turn"),
            label: text("redirect"),
            rope: text("rope_one"),
            after: text("at_edge_1"),
            to: text("at_aside"),
        },
    ];
    let turned = apply(&rig, &edits).unwrap();
    assert_eq!(turned.rope("rope_one").unwrap().path, ["at_ring_1", "at_edge_1", "at_aside", "at_device_1"]);
    let found = engine::check(&turned, &guidelines(), Some("tied_off")).main;
    let force = |id: &str| part(&found, id).force_kn.unwrap().nominal;
    // Held still and frictionless nominally: the same tension on both sides, 2 T cos(θ/2).
    let at = |id: &str| (turned.point(id).unwrap().x.to_metres(), turned.point(id).unwrap().y.to_metres());
    let way = |to: (f64, f64)| {
        let far = (to.0 - x).hypot(to.1 - y);
        ((to.0 - x) / far, (to.1 - y) / far)
    };
    let (u, v) = (way(at("at_edge_1")), way(at("at_device_1")));
    let wanted = force("rope_one") * (u.0 + v.0).hypot(u.1 + v.1);
    assert!((force("turn") - wanted).abs() < 1e-6, "{} {wanted}", force("turn"));
    assert!((force("aside") - wanted).abs() < 1e-6);
    assert!(loss(&found, "turn", LossMode::Part).moves, "past a lost pulley the rope runs straight");
    let back =
        apply(&turned, &[Edit::Remove { id: text("turn") }, Edit::Remove { id: text("aside") }]).unwrap();
    assert_eq!(back, rig.off_template());
}

#[test]
fn a_head_needs_each_of_its_guys() {
    let rig = make("twin-lower-high-directional", &[]);
    let add = [
        Edit::AddAnchor { id: text("stake"), label: text("stake"), x: metres(-6.0), y: metres(22.0) },
        Edit::AddTie {
            id: text("guy_2"),
            label: text("second guy"),
            kind: PartKind::Guy,
            from: text("at_head"),
            to: text("at_stake"),
        },
    ];
    let more = apply(&rig, &add).unwrap();
    let Support::All(rules) = &more.part("high_directional").unwrap().held_by else { panic!("all of them") };
    assert_eq!(rules.len(), 4);
    let dropped = |rig: &rig::Rig, id: &str| {
        loss(&engine::check(rig, &guidelines(), None).main, id, LossMode::Part).verdict
    };
    assert_eq!(dropped(&more, "guy"), dropped(&rig, "guy"), "a second guy is not said to hold for the first");
    let leg = Edit::AddTie {
        id: text("leg"),
        label: text("leg"),
        kind: PartKind::Sling,
        from: text("at_head"),
        to: text("at_west"),
    };
    assert!(apply(&rig, &[leg]).unwrap_err().what.contains("does not hold"));
    let back = [Edit::Remove { id: text("guy_2") }, Edit::Remove { id: text("stake") }];
    assert_eq!(apply(&more, &back).unwrap(), rig.clone().off_template());
    assert!(apply(&rig, &[Edit::Remove { id: text("guy") }]).unwrap_err().what.contains("head of the high"));
}

#[test]
fn a_tie_to_what_hangs_on_it_is_refused() {
    let rig = make("twin-lower-plate-backup", &[]);
    let anchored = |from: &str, to: &str| Edit::AddTie {
        id: text("new"),
        label: text("new"),
        kind: PartKind::Sling,
        from: text(from),
        to: text(to),
    };
    assert!(apply(&rig, &[anchored("at_plate", "at_plate")]).unwrap_err().what.contains("itself"));
    let retie = Edit::Retie { id: text("leg_a"), to: text("at_plate") };
    let error = apply(&rig, &[retie]).unwrap_err();
    assert!(error.what.contains("itself") || error.what.contains("one point"), "{error:?}");
}

#[test]
fn a_leg_made_fast_elsewhere_hangs_on_what_sits_there() {
    let rig = rated("twin-lower-two-knots", &[]);
    let both = apply(&rig, &[Edit::Retie { id: text("leg_1a"), to: text("at_east") }]).unwrap();
    assert_eq!(both.part("leg_1a").unwrap().held_by, Support::Part(text("anchor_east")));
    let found = engine::check(&both, &guidelines(), None).main;
    let before = engine::check(&rig, &guidelines(), None).main;
    let lost = |f: &rig::findings::StateFindings| loss(f, "anchor_east", LossMode::Part).verdict;
    assert!(lost(&found) < lost(&before), "knot one hangs on the east anchor alone: {:?}", lost(&found));
}

#[test]
fn hands_and_common_causes_are_put_in_and_taken_out() {
    let rig = rated("twin-lower-two-knots", &[]);
    let two = [text("rope_one"), text("rope_two")];
    let edits = [
        Edit::AddHand {
            id: text("second_tailer"),
            role: text("second tailer"),
            task: HandTask::Tailer,
            works: two.to_vec(),
            people: 1,
        },
        Edit::Group {
            id: text("tree"),
            label: text("one tree"),
            members: vec![text("anchor_west"), text("anchor_east")],
        },
    ];
    let more = apply(&rig, &edits).unwrap();
    assert!(more.states[0].hands.contains(&text("second_tailer")));
    let found = engine::check(&more, &guidelines(), None).main;
    let tree = found.losses.iter().find(|l| l.group.as_deref() == Some("tree")).unwrap();
    assert_eq!(tree.verdict, LossVerdict::Dropped);
    let words = rig::edit::changes(&rig, &more).join("\n");
    assert!(
        words.contains("one fate: one tree, anchor west") && words.contains("second tailer put to work"),
        "{words}"
    );
    let back = [Edit::RemoveHand { id: text("second_tailer") }, Edit::Ungroup { id: text("tree") }];
    assert_eq!(apply(&more, &back).unwrap(), rig.clone().off_template());
    let nobody = apply(&rig, &[Edit::RemoveHand { id: text("rope_one_operator") }]).unwrap();
    assert!(nobody.hands.iter().all(|h| h.id != "rope_one_operator"));
    for (edit, words) in [
        (
            Edit::HandWorks { id: text("rope_one_operator"), works: vec![text("anchor_west")] },
            "nothing that a hand works",
        ),
        (Edit::HandWorks { id: text("rope_one_operator"), works: vec![] }, "works nothing"),
        (Edit::Group { id: text("x"), label: text("x"), members: vec![text("anchor_west")] }, "two or more"),
        (Edit::Ungroup { id: text("x") }, "no common cause"),
    ] {
        let error = apply(&rig, std::slice::from_ref(&edit)).expect_err(words);
        assert!(error.what.contains(words), "{error:?}");
    }
}

#[test]
fn a_class_of_the_catalogue_rates_a_part_with_its_knot_and_another_piece_is_unknown() {
    let rig = make("twin-lower-two-knots", &[]);
    let class =
        |id: &str, class: &str| set(id, PartEdit { catalogue: Some(class.into()), ..PartEdit::default() });
    let edited =
        apply(&rig, &[class("end_knot_1", "NFPA general"), class("connector_1", "EN 362 Q")]).unwrap();
    let found = engine::check(&edited, &guidelines(), None).main;
    let low = rig.part("end_knot_1").unwrap().strength.as_ref().unwrap().factors[0].ratio.low.value();
    assert!(
        (part(&found, "end_knot_1").strength_kn.unwrap() - 40.0 * low).abs() < 1e-9,
        "its knot is still in it"
    );
    assert_eq!(part(&found, "connector_1").strength_kn, Some(25.0));
    assert!(apply(&rig, &[class("anchor_west", "EN 362 Q")]).unwrap_err().remedy.contains("who says so"));
    let other = PartEdit { class: Some(DeviceClass::Passive), ..PartEdit::default() };
    let rated_one = rated("twin-lower-two-knots", &[]);
    let edited = apply(&rated_one, &[set("device_1", other)]).unwrap();
    assert_eq!(edited.part("device_1").unwrap().strength, None, "another piece: its rating is not known");
    let found = engine::check(&edited, &guidelines(), None).main;
    let before = engine::check(&rated_one, &guidelines(), None).main;
    let off = |f: &rig::findings::StateFindings| loss(f, "rope_one_operator", LossMode::HandOff).verdict;
    assert!(off(&found) <= off(&before), "a passive device is never better with nobody on it");
}

#[test]
fn a_higher_edge_takes_what_lies_above_with_it() {
    let rig = make("twin-lower-two-knots", &[("edge_height", "20m")]);
    let edited = apply(&rig, &[Edit::EdgeHeight { height: metres(30.0) }]).unwrap();
    let y = |rig: &rig::Rig, id: &str| rig.point(id).unwrap().y.to_metres();
    assert!((y(&edited, "at_west") - y(&rig, "at_west") - 10.0).abs() < 1e-9);
    assert!((y(&edited, "at_ring_1") - y(&rig, "at_ring_1") * 1.5).abs() < 1e-9);
    let template = make("twin-lower-two-knots", &[("edge_height", "30m")]);
    for point in &template.points {
        assert!((y(&edited, &point.id) - point.y.to_metres()).abs() < 1e-9, "{}", point.id);
    }
    assert_eq!(rig::edit::changes(&rig, &edited), ["edge 30m high, was 20m"]);
}

#[test]
fn what_changed_is_said_with_what_it_was() {
    let rig = make("twin-lower-two-knots", &[]);
    let known =
        PartEdit { rating: Some("18kN".into()), rated_by: Some("team list".into()), ..PartEdit::default() };
    let edits = [
        set("anchor_west", known),
        Edit::Remove { id: text("leg_1b") },
        Edit::Rope { id: text("rope_one"), length: Some(metres(80.0)), diameter: None, stopper: Some(true) },
        Edit::Load { mass: Mass::kilograms(300.0).unwrap() },
        Edit::Move { point: text("at_east"), x: metres(9.0), y: rig.point("at_east").unwrap().y },
    ];
    let words = rig::edit::changes(&rig, &apply(&rig, &edits).unwrap());
    let has = |text: &str| assert!(words.iter().any(|w| w.contains(text)), "{text}: {words:?}");
    has("anchor west: rated 18 kN, team list; was not rated");
    has("V leg 1b");
    has("taken out");
    has("80m long, was");
    has("its end stopped");
    has("load 300kg, was");
    has("anchor east moved by");
    assert_eq!(words.len(), 5, "{words:?}");
    assert!(rig::edit::changes(&rig, &rig).is_empty());
}
