//! Every template, as it comes and at the ends of its parameters, in each of its states: drawn without a
//! fault, with every part, and with nothing shown as holding that was not checked.

mod fixtures;

use drawing::audit::{clipped, faults, leaders, overlaps, struck, texts, twice};
use drawing::rig::{Form, Lost, RigDrawingOptions, RigPicture, WIDE_WIDTH, draw, pixels_per_mm};
use drawing::{DisplayList, Ink, Item, Seg};
use engine::falls::{Called, Runs};
use rig::Rig;
use rig::findings::{CheckReport, LossMode, StateFindings, Verdict};
use rig::guidelines::Guidelines;
use rig::model::PartKind;
use rig::templates;
use rig::units::Units;
use std::collections::BTreeMap;

/// Values to try for each template: names and texts of parameters.
fn variations() -> Vec<BTreeMap<String, String>> {
    let of = |rows: &[(&str, &str)]| rows.iter().map(|(k, v)| ((*k).to_string(), (*v).to_string())).collect();
    vec![
        of(&[]),
        of(&[("load", "80kg"), ("edge_height", "1m")]),
        of(&[("load", "600kg"), ("edge_height", "200m"), ("rope_length", "300m")]),
        of(&[("edge_height", "22m"), ("v_angle", "120deg"), ("ledge", "9m"), ("water", "0m")]),
        of(&[("ledge", "4m"), ("water", "2.5m")]),
    ]
}

/// Sheets that rigs are drawn on: the window's, and what a page of the report leaves, A4 and Letter, with more or less said
/// before it.
fn sheets() -> Vec<(&'static str, RigDrawingOptions<'static>)> {
    let paper = |height| RigDrawingOptions { height, ..RigDrawingOptions::default() };
    let large = Form::Screen { scale: 2.0 };
    vec![
        ("the window", RigDrawingOptions::window()),
        ("a wide window", RigDrawingOptions { width: WIDE_WIDTH, ..RigDrawingOptions::window() }),
        ("large type", RigDrawingOptions { form: large, ..RigDrawingOptions::window() }),
        ("A4", paper(235.0)),
        ("Letter", paper(217.0)),
        ("Letter in feet and pounds", RigDrawingOptions { units: Units::Us, ..paper(217.0) }),
        ("a short page", paper(150.0)),
    ]
}

/// A rig in a state on every sheet: its words are apart, whole, and no rope or leader runs through them; no leader crosses
/// another; no part lies over another; end knots lie on their ropes; whatever is rigged is in the order once
/// and in a group of its own; whatever is not is named and not drawn. Answers how many drawings were looked at.
fn looked_at(rig: &Rig, state: &StateFindings, lost: Option<Lost<'_>>, name: &str) -> usize {
    // A loss is shown in the window alone.
    let wanted = if lost.is_some() { 3 } else { sheets().len() };
    let of = rig.states.iter().find(|s| s.id == state.state).expect("the state is the rig's");
    for (sheet, options) in sheets().into_iter().take(wanted) {
        let picture = draw(rig, state, &RigDrawingOptions { lost, ..options });
        let name = format!("{name}, {sheet}");
        assert_eq!(faults(&picture.list), Vec::<String>::new(), "{name}");
        assert_eq!(twice(&picture.list.items), Vec::<String>::new(), "{name}");
        assert_eq!(struck(&picture.list, 0.5), Vec::<String>::new(), "{name}");
        // Where every part falls short and is critical, labels of five lines stand far from their parts, and so they do in type
        // larger than the window asks for: there a leader may cross another.
        let crowded = sheet == "large type" || rig.load.mass.to_kilograms() > 500.0;
        let crossed = if crowded { Vec::new() } else { leaders(&picture.list) };
        for found in [crossed, overlaps(&picture.list), clipped(&picture.list)] {
            assert_eq!(found, Vec::<String>::new(), "{name}");
        }
        let words = texts(&picture.list).join(" ");
        let flat = words.replace(' ', "");
        for part in rig.parts.iter().filter(|p| !p.always_critical) {
            let rigged = !of.without.contains(&part.id);
            let times = picture.order.iter().filter(|id| **id == part.id).count();
            assert_eq!(times, usize::from(rigged), "{name}: {} in the order", part.id);
            assert_eq!(drawn(&picture.list, &part.id), rigged, "{name}: {} is drawn", part.id);
            assert!(flat.contains(&part.label.replace(' ', "")), "{name}: {} is not named", part.label);
        }
        for knot in rig.parts.iter().filter(|p| p.kind == PartKind::EndKnot && !of.without.contains(&p.id)) {
            let off = off_its_rope(
                &picture.list,
                &knot.id,
                &knot.id.replace("end_knot_1", "rope_one").replace("end_knot_2", "rope_two"),
            );
            assert!(off < 0.3, "{name}: {} lies {off:.1} mm off its rope", knot.id);
        }
        for hand in &of.hands {
            assert!(drawn(&picture.list, hand), "{name}: {hand} is not drawn");
            assert_eq!(astray(&picture.list, hand), Vec::<String>::new(), "{name}: leaders of {hand}");
        }
        if lost.is_none() {
            let unchecked = state.parts.iter().filter(|p| p.verdict == Verdict::NotChecked);
            let here = unchecked.filter_map(|f| rig.part(&f.id));
            let shown = here.filter(|p| !p.always_critical && !of.without.contains(&p.id)).count();
            let said = words.matches("not checked").count();
            // What was not reckoned of falls says so too.
            let more = usize::from(state.falls.is_empty());
            assert!(said >= shown + more, "{name}: {shown} parts, said {said} times");
        }
    }
    wanted
}

/// Whether something has a group with lines in it: a part that stands in words alone is drawn nowhere.
fn drawn(list: &DisplayList, wanted: &str) -> bool {
    list.items.iter().any(|item| match item {
        Item::Group { id, items, .. } if id == wanted => {
            items.iter().any(|item| matches!(item, Item::Path { .. }))
        }
        _ => false,
    })
}

/// Middle of what a path covers, and its width.
fn middle(segs: &[Seg]) -> ((f64, f64), f64) {
    let at = |seg: &Seg| match *seg {
        Seg::Move { x, y } | Seg::Line { x, y } | Seg::Curve { x, y, .. } => Some((x, y)),
        Seg::Close => None,
    };
    let ends: Vec<(f64, f64)> = segs.iter().filter_map(at).collect();
    let low = ends.iter().fold((f64::MAX, f64::MAX), |a, b| (a.0.min(b.0), a.1.min(b.1)));
    let high = ends.iter().fold((f64::MIN, f64::MIN), |a, b| (a.0.max(b.0), a.1.max(b.1)));
    (((low.0 + high.0) / 2.0, (low.1 + high.1) / 2.0), high.0 - low.0)
}

/// How far the disc of a knot lies from the way of a rope, mm.
fn off_its_rope(list: &DisplayList, knot: &str, rope: &str) -> f64 {
    let of = |wanted: &str| -> Vec<&Item> {
        let groups = list.items.iter().filter_map(|item| match item {
            Item::Group { id, items, .. } if id == wanted => Some(items),
            _ => None,
        });
        groups.flatten().collect()
    };
    let disc = of(knot).into_iter().find_map(|item| match item {
        Item::Path { segs, fill: Some(Ink::Ink), stroke: Some(_) } => Some(middle(segs).0),
        _ => None,
    });
    let (x, y) = disc.expect("a knot is drawn");
    let mut least = f64::INFINITY;
    for item in of(rope) {
        let Item::Path { segs, fill: None, .. } = item else { continue };
        let mut last: Option<(f64, f64)> = None;
        for seg in segs {
            let (Seg::Move { x: u, y: v } | Seg::Line { x: u, y: v } | Seg::Curve { x: u, y: v, .. }) = *seg
            else {
                continue;
            };
            if let Some((a, b)) = last {
                let (dx, dy) = (u - a, v - b);
                let along = (((x - a) * dx + (y - b) * dy) / (dx * dx + dy * dy).max(1e-9)).clamp(0.0, 1.0);
                least = least.min((a + along * dx - x).hypot(b + along * dy - y));
            }
            last = Some((u, v));
        }
    }
    least
}

/// Leaders of a hand that end at none of its discs, and a word where it has no leader at all.
fn astray(list: &DisplayList, hand: &str) -> Vec<String> {
    let (mut discs, mut dots) = (Vec::new(), Vec::new());
    for item in &list.items {
        let Item::Group { id, items, .. } = item else { continue };
        for item in items.iter().filter(|_| id == hand) {
            let Item::Path { segs, fill: Some(Ink::Ink), stroke } = item else { continue };
            let (at, wide) = middle(segs);
            match stroke {
                Some(stroke) if stroke.ink == Ink::Sheet && (wide - 3.5).abs() < 0.1 => discs.push(at),
                None if (wide - 0.9).abs() < 0.01 => dots.push(at),
                _ => {}
            }
        }
    }
    let near = |dot: &(f64, f64)| discs.iter().any(|d| (d.0 - dot.0).hypot(d.1 - dot.1) < 2.0);
    let mut out: Vec<String> =
        dots.iter().filter(|dot| !near(dot)).map(|dot| format!("{dot:?} of {discs:?}")).collect();
    if dots.is_empty() {
        out.push("none".into());
    }
    out
}

/// A check with bands; of so few runs that it takes no time.
fn with_falls(rig: &Rig, guidelines: &Guidelines) -> CheckReport {
    engine::check_with_falls(rig, guidelines, None, &Called::default(), Runs { count: 40, seed: 1 })
}

#[test]
fn all_templates_are_drawn_whole() {
    let guidelines: Guidelines = fixtures::guidelines();
    let mut looked = 0;
    for template in templates::list() {
        for set in variations() {
            let made = templates::make(template.name, &set);
            let rig = made.unwrap_or_else(|e| panic!("{} {set:?}: {e}", template.name));
            let report = with_falls(&rig, &guidelines);
            for state in std::iter::once(&report.main).chain(&report.other_states) {
                let name = format!("{} {set:?} {}", template.name, state.state);
                looked += looked_at(&rig, state, None, &name);
            }
        }
    }
    let states: usize = templates::list().iter().map(|t| made(t.name).states.len()).sum();
    assert_eq!(looked, states * variations().len() * sheets().len(), "none was left out");
    assert!(templates::list().len() >= 26 && states >= 85);
}

#[test]
fn all_templates_are_drawn_whole_with_each_part_and_hand_lost() {
    let guidelines: Guidelines = fixtures::guidelines();
    let mut bands = 0;
    for template in templates::list() {
        let rig = made(template.name);
        let report = with_falls(&rig, &guidelines);
        let mut banded = 0;
        for state in std::iter::once(&report.main).chain(&report.other_states) {
            let mut tried = 0;
            for loss in state.losses.iter().filter(|l| l.lost.len() == 1) {
                let id = match loss.mode {
                    LossMode::HandOff => format!("{}:hand_off", loss.lost[0]),
                    LossMode::FreezesOn => format!("{}:freezes_on", loss.lost[0]),
                    _ => loss.lost[0].clone(),
                };
                let Some(what) = engine::what_if(&rig, &guidelines, Some(&state.state), &id) else {
                    continue;
                };
                let fall = loss.fall.and_then(|n| state.falls.get(n));
                banded += usize::from(fall.is_some_and(|f| f.fall_m.is_some()));
                let lost = Lost { loss: &what.loss, parts: &what.parts, fall };
                let name = format!("{} {} without {id}", template.name, state.state);
                looked_at(&rig, state, Some(lost), &name);
                tried += 1;
            }
            assert!(tried > 10, "{} {}: only {tried} losses", template.name, state.state);
        }
        println!("{}: {banded} losses drawn with a band", template.name);
        bands += banded;
    }
    assert!(bands > 200, "only {bands} losses with a band");
}

/// What the windows leave for the drawing, px, while a bar over every screen says what is overdue and the words of a loss take
/// four lines, and the least height of type in them.
const ROOMS: [(&str, (f64, f64), f64); 4] = [
    ("1024 × 768", (548.0, 533.0), 11.0),
    ("1280 × 800", (764.0, 575.0), 12.0),
    ("1366 × 768", (850.0, 543.0), 12.0),
    ("1920 × 1080", (1404.0, 873.0), 20.0),
];

#[test]
fn on_the_better_of_two_sheets_words_are_as_large_as_each_window_lets_them_be() {
    let type_mm = 12.0 * 25.4 / 72.0;
    for template in templates::list() {
        let rig = made(template.name);
        let report = engine::check(&rig, &fixtures::guidelines(), None);
        for state in std::iter::once(&report.main).chain(&report.other_states) {
            let narrow = draw(&rig, state, &RigDrawingOptions::window()).list;
            let wide = RigDrawingOptions { width: WIDE_WIDTH, ..RigDrawingOptions::window() };
            let wide = draw(&rig, state, &wide).list;
            assert!(wide.height <= narrow.height, "{}: wider and yet higher", template.name);
            for (window, room, least) in ROOMS {
                let px = type_mm * pixels_per_mm(&narrow, room).max(pixels_per_mm(&wide, room));
                println!("{window}: {px:.1} px, {} {}", template.name, state.state);
                assert!(px >= least, "{window} {} {}: {px:.1} px", template.name, state.state);
            }
        }
    }
}

#[test]
fn a_rope_whose_haul_system_is_not_rigged_ends_at_its_device() {
    let rig = made("change-over-lower-to-raise");
    let report = engine::check(&rig, &fixtures::guidelines(), Some("lowering"));
    let picture = draw(&rig, &report.main, &RigDrawingOptions::default());
    assert_eq!(widths(&picture, "rope_one").len(), widths(&picture, "rope_two").len());
    let reach = |id: &str| -> f64 {
        let groups = picture.list.items.iter().filter_map(|item| match item {
            Item::Group { id: own, items, .. } if own == id => Some(items),
            _ => None,
        });
        let strands = groups.flatten().filter_map(|item| match item {
            Item::Path { segs, stroke: Some(s), .. } if s.ink == Ink::Light => Some(middle(segs).1),
            _ => None,
        });
        strands.fold(0.0, f64::max)
    };
    assert!(
        (reach("rope_one") - reach("rope_two")).abs() < 0.1,
        "it does not run on to where a team would stand"
    );
}

#[test]
fn what_bears_the_load_after_a_loss_is_never_drawn_as_bearing_nothing() {
    // Both ropes end at one point of the harness: the knot of the lost one says nothing of the other.
    for name in ["twin-lower-rescuer", "twin-lower-rescuer-tether"] {
        let rig = made(name);
        let report = engine::check(&rig, &fixtures::guidelines(), Some("lowering"));
        for (lost, left) in [("rope_one", "rope_two"), ("rope_two", "rope_one")] {
            let what =
                engine::what_if(&rig, &fixtures::guidelines(), Some("lowering"), lost).expect("a loss");
            let options = RigDrawingOptions::window();
            let before = widths(&draw(&rig, &report.main, &options), left);
            let options = RigDrawingOptions {
                lost: Some(Lost { loss: &what.loss, parts: &what.parts, fall: None }),
                ..options
            };
            let after = widths(&draw(&rig, &report.main, &options), left);
            assert_eq!(after.len(), 2, "{name}: {left} below and above the edge");
            assert!(
                after[0] > after[1] * 0.9 && after[0] > before[0] * 0.9,
                "{name}: {before:?}, then {after:?}"
            );
        }
    }
}

#[test]
fn a_rope_on_a_hitch_is_drawn_loaded_up_to_the_hitch_and_slack_behind_it() {
    let rig = made("knot-pass");
    for (state, stretches) in [("lowering", 2), ("on_the_hitch", 2), ("device_past_the_knot", 2)] {
        let report = engine::check(&rig, &fixtures::guidelines(), Some(state));
        let picture = draw(&rig, &report.main, &RigDrawingOptions::default());
        let drawn = widths(&picture, "rope_one");
        assert_eq!(drawn.len(), stretches, "{state}: below the edge and up to what holds it: {drawn:?}");
        assert!(drawn.iter().all(|w| *w > 2.0), "{state}: {drawn:?}");
    }
}

#[test]
fn somebody_who_hangs_alone_is_no_litter() {
    let litters = |name: &str| {
        let rig = made(name);
        let report = engine::check(&rig, &fixtures::guidelines(), None);
        let list = draw(&rig, &report.main, &RigDrawingOptions::window()).list;
        let outlined = list.items.iter().filter(|item| match item {
            Item::Path { segs, fill: Some(Ink::Sheet), stroke: Some(_) } => middle(segs).1 > 30.0,
            _ => false,
        });
        outlined.count()
    };
    assert_eq!((litters("twin-lower-rescuer"), litters("twin-lower-rescuer-tether")), (0, 0));
    assert_eq!((litters("twin-lower-two-knots"), litters("low-angle-lower")), (1, 1));
}

fn made(name: &str) -> Rig {
    templates::make(name, &BTreeMap::new()).expect(name)
}

/// Widths of the strands that a part is drawn with, in the order of its way.
fn widths(picture: &RigPicture, id: &str) -> Vec<f64> {
    let group = picture.list.items.iter().find_map(|item| match item {
        Item::Group { id: own, items, .. } if own == id => Some(items),
        _ => None,
    });
    let is_strand = |item: &&Item| matches!(item, Item::Path { stroke: Some(s), fill: None, .. } if s.ink == Ink::Light && s.dash.is_empty());
    let width = |item: &Item| match item {
        Item::Path { stroke: Some(s), .. } => s.width,
        _ => 0.0,
    };
    group.expect("it is drawn").iter().filter(is_strand).map(width).collect()
}

/// Whether a part is drawn with the empty outline of a tension that was not solved.
fn outlined(picture: &RigPicture, id: &str) -> bool {
    picture.list.items.iter().any(|item| match item {
        Item::Group { id: own, items, .. } if own == id => items.iter().any(|item| {
            matches!(item, Item::Path { stroke: Some(s), fill: None, .. } if s.ink == Ink::Ink && s.dash == [1.6, 0.7])
        }),
        _ => false,
    })
}

/// Every raise: how many stretches each of its ropes has, the main rope's below and over the edge counted.
const STRETCHES: [(&str, &[(&str, usize)]); 8] = [
    ("raise-2-to-1", &[("rope_one", 2), ("haul_rope", 2)]),
    ("raise-3-to-1-and-belay", &[("rope_one", 5)]),
    ("main-and-belay-raise", &[("rope_one", 5)]),
    ("raise-4-to-1", &[("rope_one", 2), ("haul_rope", 4)]),
    ("raise-4-to-1-compound", &[("rope_one", 2), ("haul_rope", 2), ("haul_rope_2", 2)]),
    ("raise-5-to-1", &[("rope_one", 7)]),
    ("raise-6-to-1", &[("rope_one", 5), ("haul_rope", 2)]),
    ("raise-9-to-1", &[("rope_one", 8)]),
];

#[test]
fn each_stretch_of_a_rope_that_hauls_is_as_wide_as_its_own_tension() {
    for (name, ropes) in STRETCHES {
        let rig = made(name);
        let report = engine::check(&rig, &fixtures::guidelines(), Some("raising"));
        let picture = draw(&rig, &report.main, &RigDrawingOptions::default());
        let hauling = report.main.hauling.as_ref().expect("a team hauls");
        let knot = report.main.parts.iter().find(|p| p.id == "end_knot_1").and_then(|p| p.force_kn);
        let per_kn = widths(&picture, "rope_one")[0] / knot.expect("solved").high;
        for (rope, count) in ropes {
            let traced = hauling.strands.iter().filter(|s| s.rope == *rope).map(|s| s.force_kn.high);
            let mut wanted: Vec<f64> = traced.collect();
            if *rope == "rope_one" {
                // Below the edge the end knot says it.
                wanted[0] = knot.expect("solved").high;
            }
            wanted.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
            wanted.retain(|force| *force > 1e-6);
            let drawn: Vec<f64> = widths(&picture, rope).iter().map(|w| w / per_kn).collect();
            assert_eq!(drawn.len(), wanted.len(), "{name} {rope}: {drawn:?} for {wanted:?}");
            assert_eq!(drawn.len(), *count, "{name} {rope}: {drawn:?}");
            assert!(!outlined(&picture, rope), "{name} {rope}: every stretch is traced, or slack");
            for (d, w) in drawn.iter().zip(&wanted) {
                assert!((d - w).abs() < 1e-6, "{name} {rope}: {drawn:?} for {wanted:?}");
            }
        }
    }
}
