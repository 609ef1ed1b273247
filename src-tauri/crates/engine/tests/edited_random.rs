//! Random edits of every template: the rig is valid and checked without a fault, or as it was; nothing gets rosier by being
//! taken out, and taking out what was put in gives the rig back.

mod rigs;

use proptest::prelude::*;
use rig::Rig;
use rig::edit::{Edit, PartEdit, apply, changes};
use rig::findings::{LossMode, LossVerdict, Verdict};
use rig::model::{DeviceClass, HandTask, Material, PartKind};
use rig::quantity::{Angle, Length, Mass};
use rig::templates;
use rigs::guidelines;
use std::collections::{BTreeMap, BTreeSet};

fn metres(value: f64) -> Length {
    Length::metres(value).unwrap()
}

fn template(number: usize) -> Rig {
    let all = templates::list();
    templates::make(all[number % all.len()].name, &BTreeMap::new()).unwrap()
}

/// Something put in under an id that no rig has.
fn any_addition(rig: &Rig, pick: usize, what: u8, number: f64) -> Edit {
    let id = format!("new_{pick}");
    let label = "new".to_string();
    let part = rig.parts[pick % rig.parts.len()].id.clone();
    let point = |n: usize| rig.points[n % rig.points.len()].id.clone();
    let kinds =
        [PartKind::Sling, PartKind::Tether, PartKind::BackupCord, PartKind::Guy, PartKind::WebbingLeg];
    match what % 7 {
        0 => Edit::AddTie {
            id,
            label,
            kind: kinds[pick % kinds.len()],
            from: point(pick),
            to: point(pick / 7),
        },
        1 => Edit::AddAnchor { id, label, x: metres(number), y: metres(25.0) },
        2 => Edit::AddLink { id, label, kind: PartKind::Connector, below: part },
        3 => {
            let rope = &rig.ropes[pick % rig.ropes.len()];
            let after = rope.path[pick % rope.path.len()].clone();
            Edit::AddPulley { id, label, rope: rope.id.clone(), after, to: point(pick / 3) }
        }
        4 => Edit::AddEdge { id, label, at: point(pick) },
        5 => Edit::AddHand { id, role: label, task: HandTask::Tailer, works: vec![part], people: 1 },
        _ => Edit::Group { id, label, members: vec![part, rig.parts[pick / 5 % rig.parts.len()].id.clone()] },
    }
}

/// A random edit of a rig, most of them possible.
fn any_edit(rig: &Rig, pick: usize, what: u8, number: f64) -> Edit {
    let id = rig.parts[pick % rig.parts.len()].id.clone();
    let point = rig.points[pick % rig.points.len()].id.clone();
    let to = rig.points[(pick / 7) % rig.points.len()].id.clone();
    let set = |set| Edit::Part { id: id.clone(), set };
    match what % 14 {
        0 | 1 => Edit::Remove { id },
        2 => set(PartEdit { rating: Some(format!("{:.1}kN", number.abs())), ..PartEdit::default() }),
        3 => set(PartEdit {
            material: Some(Material::Hmpe),
            slack: Some(format!("{number:.2}m")),
            ..PartEdit::default()
        }),
        4 => Edit::Move { point, x: metres(number), y: metres(number * 0.7) },
        5 => Edit::Retie { id, to },
        6 => Edit::TieLength { id, length: metres(number / 10.0) },
        7 => Edit::VAngle { knot: id, angle: Angle::degrees(number * 3.0).unwrap() },
        8 => Edit::EdgeHeight { height: metres(number) },
        9 => set(PartEdit { class: Some(DeviceClass::Passive), ..PartEdit::default() }),
        10 => Edit::RemoveHand { id: rig.hands.get(pick % 4).map_or(id, |h| h.id.clone()) },
        11 => Edit::Load { mass: Mass::kilograms(number.abs() + 1.0).unwrap() },
        _ => any_addition(rig, pick, what / 14, number),
    }
}

/// Ids of single parts whose loss drops the load.
fn dropping(rig: &Rig) -> BTreeSet<String> {
    let found = engine::check(rig, &guidelines(), None).main;
    let lost = found.losses.iter().filter(|l| l.mode == LossMode::Part && l.verdict == LossVerdict::Dropped);
    lost.flat_map(|l| l.lost.clone()).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    /// Whatever is edited in whatever order: the rig is valid and checked, or it is as it was. Nothing unrated or unsolved holds.
    #[test]
    fn any_edits_leave_a_rig_that_is_valid_and_checked(
        number in 0usize..50,
        edits in proptest::collection::vec((0usize..500, any::<u8>(), -30.0f64..60.0), 1..10),
    ) {
        let first = template(number);
        let mut rig = first.clone();
        for (pick, what, number) in edits {
            match apply(&rig, &[any_edit(&rig, pick, what, number)]) {
                Ok(next) => {
                    prop_assert_eq!(rig::read(&rig::write(&next)).unwrap(), next.clone());
                    prop_assert_eq!(changes(&rig, &next).is_empty(), rig == Rig { template: rig.template.clone(), ..next.clone() });
                    rig = next;
                }
                Err(error) => prop_assert!(!error.what.is_empty() && !error.remedy.is_empty(), "{error:?}"),
            }
        }
        let _ = changes(&first, &rig);
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

    /// What dropped the load before something was taken out still drops it after, while it is there.
    #[test]
    fn taking_out_makes_nothing_rosier(number in 0usize..50, picks in proptest::collection::vec(0usize..200, 1..5)) {
        let mut rig = template(number);
        let mut dropped = dropping(&rig);
        for pick in picks {
            let id = rig.parts[pick % rig.parts.len()].id.clone();
            let Ok(next) = apply(&rig, &[Edit::Remove { id: id.clone() }]) else { continue };
            let now = dropping(&next);
            for lost in dropped.iter().filter(|lost| next.part(lost).is_some()) {
                prop_assert!(now.contains(lost), "{lost} no longer drops the load without {id}");
            }
            (rig, dropped) = (next, now);
        }
    }

    /// Ids are one namespace: what is put in under an id that is taken is refused.
    #[test]
    fn an_id_that_is_taken_is_refused(number in 0usize..50, pick in 0usize..200, of in 0usize..200) {
        let rig = template(number);
        let ids: Vec<String> = rig.parts.iter().map(|p| p.id.clone())
            .chain(rig.points.iter().map(|p| p.id.clone()))
            .chain(rig.hands.iter().map(|h| h.id.clone()))
            .collect();
        let taken = ids[pick % ids.len()].clone();
        let anchor = Edit::AddAnchor { id: taken.clone(), label: "new".into(), x: metres(0.0), y: metres(25.0) };
        let hand = Edit::AddHand { id: taken.clone(), role: "new".into(), task: HandTask::Tailer, works: vec![rig.ropes[of % rig.ropes.len()].id.clone()], people: 1 };
        for edit in [anchor, hand] {
            let error = apply(&rig, &[edit]).unwrap_err();
            prop_assert!(error.what.contains("stands twice"), "{error:?}");
        }
    }

    /// Taking out what was put in gives the rig back, but for a link: the two things that it linked meet where it was.
    #[test]
    fn taking_out_what_was_put_in_gives_the_rig_back(
        number in 0usize..50, pick in 0usize..2000, what in any::<u8>(), place in -30.0f64..60.0,
    ) {
        let rig = template(number).off_template();
        let edit = any_addition(&rig, pick, what, place);
        let id = format!("new_{pick}");
        if let (Ok(more), false) = (apply(&rig, std::slice::from_ref(&edit)), matches!(edit, Edit::AddLink { .. })) {
            let out = match edit {
                Edit::AddHand { .. } => Edit::RemoveHand { id },
                Edit::Group { .. } => Edit::Ungroup { id },
                _ => Edit::Remove { id },
            };
            prop_assert_eq!(apply(&more, &[out]).unwrap(), rig);
        }
    }
}
