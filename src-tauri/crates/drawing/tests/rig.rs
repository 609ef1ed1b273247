//! Drawn rigs: extremes of height, load and names, with and without a loss, on paper and on screen. No text
//! lies over text, nothing leaves the sheet, and no part, hand, name or verdict is missing.

mod fixtures;

use drawing::audit::{faults, texts};
use drawing::rig::{Form, Lost, RigDrawingOptions, RigPicture, SCREEN_WIDTH, draw, small};
use drawing::{DisplayList, Item};
use fixtures::rigs::{findings, loss, lower, people, raise};
use proptest::prelude::*;
use rig::Rig;
use rig::units::Units;
use std::collections::BTreeMap;

fn options() -> RigDrawingOptions<'static> {
    RigDrawingOptions { people: people(), ..RigDrawingOptions::default() }
}

fn screen(scale: f64, height: f64) -> RigDrawingOptions<'static> {
    RigDrawingOptions { form: Form::Screen { scale }, height, ..options() }
}

fn words_of(list: &DisplayList) -> String {
    texts(list).join(" ").replace("  ", " ")
}

fn groups(items: &[Item]) -> Vec<String> {
    let ids = items.iter().filter_map(|item| match item {
        Item::Group { id, .. } => Some(id.clone()),
        _ => None,
    });
    ids.collect()
}

fn check_whole(rig: &Rig, picture: &RigPicture) {
    assert_eq!(faults(&picture.list), Vec::<String>::new(), "{}", rig.name);
    let ids = groups(&picture.list.items);
    for part in rig.parts.iter().filter(|p| !p.always_critical) {
        assert!(ids.contains(&part.id), "{} is not drawn", part.id);
        assert!(picture.order.contains(&part.id), "{} has no place in the order", part.id);
    }
    for hand in &rig.states[0].hands {
        assert!(ids.contains(hand), "{hand} is not drawn");
    }
    let words = words_of(&picture.list);
    for always in ["always critical", "how far the load drops: not checked (not computed here)"] {
        let flat = words.replace(' ', "");
        assert!(flat.contains(&always.replace(' ', "")), "{always}: {words}");
    }
}

#[test]
fn both_rigs_at_every_extreme() {
    for (edge, load) in [(1.0, 0.5), (1.0, 0.0), (22.0, 12.0), (38.0, 38.0), (200.0, 3.0), (200.0, 199.0)] {
        for mass in [80.0, 250.0, 600.0] {
            for rig in [lower(edge, load, mass), raise(edge, load, mass)] {
                let found = findings(&rig);
                for height in [190.0, 217.0, 240.0] {
                    let picture = draw(&rig, &found, &RigDrawingOptions { height, ..options() });
                    check_whole(&rig, &picture);
                }
                check_whole(&rig, &draw(&rig, &found, &screen(1.5, 190.0)));
            }
        }
    }
}

#[test]
fn a_loss_shows_what_is_left_and_what_the_margins_were() {
    let rig = lower(38.0, 12.0, 250.0);
    let (found, (loss, parts)) = (findings(&rig), loss(&rig));
    for form in [Form::Paper, Form::Screen { scale: 1.5 }] {
        let options = RigDrawingOptions {
            lost: Some(Lost { loss: &loss, parts: &parts, fall: None }),
            form,
            ..options()
        };
        let picture = draw(&rig, &found, &options);
        check_whole(&rig, &picture);
        let words = words_of(&picture.list);
        for wanted in ["lost", "was", "must act"] {
            assert!(words.contains(wanted), "{wanted}: {words}");
        }
        // A screen says over the drawing what becomes of the load, and keeps the scale of widths.
        let (said, scale) = (words.contains("rope one lost:"), words.contains("needs"));
        assert_eq!((said, !said && !scale), (form == Form::Paper, false), "{words}");
    }
}

#[test]
fn hands_carry_the_names_bound_to_them_and_a_vacancy_says_so() {
    let rig = lower(38.0, 12.0, 250.0);
    let words = words_of(&draw(&rig, &findings(&rig), &options()).list);
    assert!(words.contains("João Falcão") && words.contains("Олена Гайдук"), "{words}");
    assert!(!words.contains("nobody assigned"));
    let nobody = RigDrawingOptions { people: BTreeMap::new(), ..options() };
    assert!(words_of(&draw(&rig, &findings(&rig), &nobody).list).contains("nobody assigned"));
}

#[test]
fn what_is_not_checked_says_so_in_words() {
    let rig = lower(38.0, 12.0, 250.0);
    let mut found = findings(&rig);
    let before = words_of(&draw(&rig, &found, &options()).list).matches("not checked").count();
    // A part without any finding at all is not checked either.
    found.parts.retain(|f| f.id != "knot_1");
    let after = words_of(&draw(&rig, &found, &options()).list).matches("not checked").count();
    assert_eq!(after, before + 1);
}

#[test]
fn a_critical_part_is_named_on_the_drawing() {
    let rig = lower(38.0, 12.0, 250.0);
    let mut found = findings(&rig);
    found.critical_parts = vec!["knot_1".into(), "rope_one_operator".into()];
    let picture = draw(&rig, &found, &options());
    check_whole(&rig, &picture);
    assert!(words_of(&picture.list).contains("critical: lost alone"));
}

#[test]
fn very_long_names_make_the_sheet_higher_and_lose_no_letter() {
    let mut rig = lower(38.0, 12.0, 250.0);
    let long = "Rückhaltesystemverankerung-am-Felskopf-Αγκύρωση-κορυφής-Верхняя-точка ".repeat(4);
    for part in &mut rig.parts {
        part.label = format!("{} {long}", part.label);
    }
    let found = findings(&rig);
    let picture = draw(&rig, &found, &options());
    check_whole(&rig, &picture);
    assert!(picture.list.height > 300.0);
    let flat = words_of(&picture.list).replace(' ', "");
    let times = flat.matches(&long.replace(' ', "")).count();
    assert!(times >= 17, "{times}");
}

#[test]
fn a_replaced_rig_is_drawn_small_with_its_critical_parts_named() {
    for rig in [lower(38.0, 12.0, 250.0), raise(1.0, 0.5, 80.0)] {
        let mut found = findings(&rig);
        found.critical_parts = vec!["knot_1".into()];
        let list = small(&rig, &found, 46.0);
        assert_eq!(faults(&list), Vec::<String>::new());
        assert!(list.width <= 46.0 && words_of(&list).contains("focal knot 1: critical"));
    }
}

#[test]
fn the_same_rig_gives_the_same_drawing() {
    let rig = raise(22.0, 5.0, 180.0);
    let (a, b) = (draw(&rig, &findings(&rig), &options()), draw(&rig, &findings(&rig), &options()));
    assert_eq!((a.list, a.order), (b.list, b.order));
}

#[test]
fn a_rig_of_nothing_is_drawn_without_fault() {
    let mut rig = lower(0.0, 0.0, 80.0);
    rig.points.clear();
    rig.ropes.clear();
    rig.load.points.clear();
    let found = findings(&rig);
    let picture = draw(&rig, &found, &options());
    assert_eq!(faults(&picture.list), Vec::<String>::new());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn no_drawing_has_text_over_text_or_leaves_its_sheet(
        edge in 0.1f64..300.0,
        share in -0.2f64..1.2,
        mass in 1.0f64..2000.0,
        names in prop::collection::vec("[ -~Àžбшθ日𝛼]{0,70}", 30),
        height in 100.0f64..300.0,
        scale in 1.0f64..2.0,
        is_raise in any::<bool>(),
        is_paper in any::<bool>(),
        shift in prop::collection::vec(-12.0f64..12.0, 28),
    ) {
        let mut rig = if is_raise { raise(edge, edge * share, mass) } else { lower(edge, edge * share, mass) };
        for (part, name) in rig.parts.iter_mut().zip(&names) {
            part.label = name.clone();
        }
        for (point, by) in rig.points.iter_mut().zip(shift.chunks(2)) {
            point.draw = [point.draw[0] + by[0], point.draw[1] + by[1] / 2.0];
        }
        let people: BTreeMap<String, String> = rig.hands.iter().zip(names.iter().rev()).map(|(h, n)| (h.role.clone(), n.clone())).collect();
        let accepted: BTreeMap<String, String> = [("leg_1a".to_string(), names[3].clone())].into();
        let (found, (lost, parts)) = (findings(&rig), loss(&rig));
        let form = if is_paper { Form::Paper } else { Form::Screen { scale } };
        let units = if scale > 1.4 { Units::Us } else { Units::Si };
        for lost in [None, Some(Lost { loss: &lost, parts: &parts, fall: None })] {
            let options = RigDrawingOptions { people: people.clone(), accepted: accepted.clone(), lost, form, height, width: SCREEN_WIDTH, units };
            let picture = draw(&rig, &found, &options);
            prop_assert_eq!(faults(&picture.list), Vec::<String>::new());
        }
    }
}

#[test]
fn in_the_window_a_rig_with_a_loss_or_without_needs_no_scrolling() {
    for rig in [lower(14.0, 5.0, 250.0), raise(14.0, 5.0, 250.0)] {
        let (found, (loss, parts)) = (findings(&rig), loss(&rig));
        let whole = RigDrawingOptions { people: people(), ..RigDrawingOptions::window() };
        let lost = RigDrawingOptions {
            lost: Some(Lost { loss: &loss, parts: &parts, fall: None }),
            ..whole.clone()
        };
        for options in [whole, lost] {
            let picture = draw(&rig, &found, &options);
            check_whole(&rig, &picture);
            // 784 px over 650 px.
            let ratio = picture.list.width / picture.list.height;
            assert!(ratio > 784.0 / 660.0, "{}: {} by {}", rig.name, picture.list.width, picture.list.height);
        }
    }
}
