//! A rig changed part by part: always valid or refused in words, checked without a fault, and never rosier than it is.

mod rigs;

use proptest::prelude::*;
use rig::edit::{Edit, PartEdit, apply};
use rig::findings::{LossMode, LossVerdict, Verdict};
use rig::model::{Gear, Loading, Material, PartKind};
use rig::quantity::{Length, Mass};
use rig::templates;
use rigs::{guidelines, loss, make, part, rated};
use std::collections::BTreeMap;

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
    let plain = engine::check(&rig, &guidelines(), None).main;
    let again = engine::check(&back, &guidelines(), None).main;
    assert_eq!((plain.parts, plain.losses), (again.parts, again.losses));
}

#[test]
fn what_would_leave_something_on_nothing_is_refused_with_its_name() {
    let rig = make("twin-lower-two-knots", &[]);
    let cases = [
        (Edit::Remove { id: "focal_knot_1".into() }, "connector 1"),
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

/// A random edit of a rig, most of them possible.
fn any_edit(rig: &rig::Rig, pick: usize, what: u8, number: f64) -> Edit {
    let id = rig.parts[pick % rig.parts.len()].id.clone();
    let point = rig.points[pick % rig.points.len()].id.clone();
    let to = rig.points[(pick / 7) % rig.points.len()].id.clone();
    match what % 7 {
        0 => Edit::Remove { id },
        1 => set(&id, PartEdit { rating: Some(format!("{:.1}kN", number.abs())), ..PartEdit::default() }),
        2 => set(
            &id,
            PartEdit {
                material: Some(Material::Hmpe),
                slack: Some(format!("{number:.2}m")),
                ..PartEdit::default()
            },
        ),
        3 => Edit::Move { point, x: metres(number), y: metres(number * 0.7) },
        4 => Edit::AddTie {
            id: format!("new_{pick}"),
            label: "new".into(),
            kind: PartKind::Sling,
            from: point,
            to,
        },
        5 => Edit::AddAnchor {
            id: format!("anchor_{pick}"),
            label: "new".into(),
            x: metres(number),
            y: metres(25.0),
        },
        _ => Edit::Load { mass: Mass::kilograms(number.abs() + 1.0).unwrap() },
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]
    /// Whatever is edited in whatever order: the rig is valid and checked, or it is as it was. Nothing unrated or unsolved holds.
    #[test]
    fn any_edits_leave_a_rig_that_is_valid_and_checked(
        template in 0usize..25,
        edits in proptest::collection::vec((0usize..500, any::<u8>(), -30.0f64..60.0), 1..8),
    ) {
        let all = templates::list();
        let name = all[template % all.len()].name;
        let mut rig = templates::make(name, &BTreeMap::new()).unwrap();
        for (pick, what, number) in edits {
            if let Ok(next) = apply(&rig, &[any_edit(&rig, pick, what, number)]) {
                prop_assert_eq!(rig::read(&rig::write(&next)).unwrap(), next.clone());
                rig = next;
            }
        }
        let found = engine::check(&rig, &guidelines(), None).main;
        for finding in &found.parts {
            let own = rig.part(&finding.id).unwrap();
            prop_assert!(finding.verdict != Verdict::Holds || own.strength.is_some(), "{} holds unrated", finding.id);
            if let Some(force) = finding.force_kn {
                prop_assert!(force.low.is_finite() && force.low <= force.nominal + 1e-9 && force.nominal <= force.high + 1e-9);
            }
        }
        if found.residual_n.is_none() {
            prop_assert!(found.losses.iter().all(|l| l.verdict != LossVerdict::Held || !l.lost.is_empty()));
            prop_assert!(found.parts.iter().all(|p| p.verdict != Verdict::Holds));
        }
    }
}
