//! Rigs that were changed part by part are drawn whole too: what was put in has a place of its own, and no label lies on another.

mod fixtures;

use drawing::audit::faults;
use drawing::rig::{RigDrawingOptions, draw};
use rig::Rig;
use rig::edit::{Edit, PartEdit, apply};
use rig::model::PartKind;
use rig::quantity::Length;
use rig::templates;
use std::collections::BTreeMap;

fn metres(value: f64) -> Length {
    Length::metres(value).expect("finite")
}

fn text(words: &str) -> String {
    words.to_string()
}

/// Edits to try on a rig, one after the other; those that a rig cannot take are left out.
fn edits(rig: &Rig) -> Vec<Edit> {
    let (x, y) = rig.points.first().map_or((0.0, 20.0), |p| (p.x.to_metres(), p.y.to_metres()));
    let mut all = Vec::new();
    for (n, side) in [-3.0, 0.5, 3.0, 6.0].into_iter().enumerate() {
        let id = format!("north_{n}");
        all.push(Edit::AddAnchor {
            id,
            label: format!("anchor north {n}"),
            x: metres(x + side),
            y: metres(y),
        });
    }
    for point in &rig.points {
        let (id, to) = (format!("leg_to_{}", point.id), text("at_north_0"));
        let label = format!("leg of {}", point.id.replace('_', " "));
        all.push(Edit::AddTie { id, label, kind: PartKind::Sling, from: point.id.clone(), to });
    }
    for part in &rig.parts {
        let (id, label) = (format!("link_{}", part.id), format!("link under {}", part.label));
        all.push(Edit::AddLink { id, label, kind: PartKind::Connector, below: part.id.clone() });
    }
    // One turn is enough: each more doubles the cases that the check goes through.
    if let Some(rope) = rig.ropes.first() {
        let (after, to) = (rope.path[rope.path.len() - 2].clone(), text("at_north_2"));
        let (id, label) = (text("turn"), format!("turn of {}", rope.label));
        all.push(Edit::AddPulley { id, label, rope: rope.id.clone(), after, to });
    }
    let long =
        "the east side’s older pair of expansion bolts in the boulder behind the larch, judged on site";
    let set = PartEdit { label: Some(text(long)), ..PartEdit::default() };
    all.push(Edit::Part { id: text("anchor_east"), set });
    for id in rig.parts.iter().map(|p| p.id.clone()) {
        all.push(Edit::Remove { id });
    }
    all
}

fn audited(rig: &Rig, name: &str) {
    let report = engine::check(rig, &fixtures::guidelines(), None);
    for options in [RigDrawingOptions::default(), RigDrawingOptions::window()] {
        let picture = draw(rig, &report.main, &options);
        assert_eq!(faults(&picture.list), Vec::<String>::new(), "{name}");
        let absent = rig.states.iter().find(|s| s.id == report.main.state).map(|s| &s.without);
        let here = |id: &String| absent.is_none_or(|absent| !absent.contains(id));
        for part in rig.parts.iter().filter(|p| !p.always_critical && here(&p.id)) {
            assert!(picture.order.contains(&part.id), "{name}: {} is not in the order", part.id);
        }
    }
}

#[test]
fn every_template_is_drawn_whole_with_all_that_can_be_put_in_and_without_what_can_be_taken_out() {
    for template in templates::list() {
        let rig = templates::make(template.name, &BTreeMap::new()).expect(template.name);
        let (mut more, mut less) = (rig.clone(), rig.clone());
        let (mut put, mut taken) = (0, 0);
        for edit in edits(&rig) {
            let (of, count) = match edit {
                Edit::Remove { .. } => (&mut less, &mut taken),
                _ => (&mut more, &mut put),
            };
            if let Ok(next) = apply(of, std::slice::from_ref(&edit)) {
                *of = next;
                *count += 1;
            }
        }
        assert!(put > 6 && taken > 2, "{}: {put} put in, {taken} taken out", template.name);
        audited(&more, &format!("{} with all that can be put in", template.name));
        audited(&less, &format!("{} without what can be taken out", template.name));
    }
}

#[test]
fn a_rig_is_drawn_whole_after_each_edit() {
    for name in ["twin-lower-plate-backup", "raise-3-to-1-and-belay"] {
        let rig = templates::make(name, &BTreeMap::new()).expect(name);
        for edit in edits(&rig) {
            if let Ok(next) = apply(&rig, std::slice::from_ref(&edit)) {
                audited(&next, &format!("{name} {edit:?}"));
            }
        }
    }
}

#[test]
fn what_is_put_in_lies_on_nothing_else() {
    for template in templates::list() {
        let rig = templates::make(template.name, &BTreeMap::new()).expect(template.name);
        let mut all = rig.clone();
        for edit in
            edits(&rig).into_iter().filter(|e| matches!(e, Edit::AddAnchor { .. } | Edit::AddLink { .. }))
        {
            let Ok(next) = apply(&all, std::slice::from_ref(&edit)) else { continue };
            for new in next.points.iter().filter(|p| all.point(&p.id).is_none()) {
                for old in all.points.iter() {
                    let (dx, dy) = (new.draw[0] - old.draw[0], new.draw[1] - old.draw[1]);
                    assert!(dx.hypot(dy) > 2.0, "{}: {} lies on {}", template.name, new.id, old.id);
                }
                assert!((2.0..172.0).contains(&new.draw[0]), "{} lies off the sheet", new.id);
            }
            all = next;
        }
    }
}
