//! Every template, as it comes and at the ends of its parameters, in each of its states: drawn without a
//! fault, with every part, and with nothing shown as holding that was not checked.

mod fixtures;

use drawing::audit::{faults, texts};
use drawing::rig::{RigDrawingOptions, draw};
use rig::guidelines::Guidelines;
use rig::templates;
use std::collections::BTreeMap;

/// Values to try for each template: names and texts of parameters.
fn variations() -> Vec<BTreeMap<String, String>> {
    let of = |rows: &[(&str, &str)]| rows.iter().map(|(k, v)| ((*k).to_string(), (*v).to_string())).collect();
    vec![
        of(&[]),
        of(&[("load", "80kg"), ("edge_height", "1m")]),
        of(&[("load", "600kg"), ("edge_height", "200m"), ("rope_length", "300m")]),
        of(&[("edge_height", "22m"), ("v_angle", "120deg")]),
    ]
}

#[test]
fn all_templates_are_drawn_whole() {
    let guidelines: Guidelines = fixtures::guidelines();
    for template in templates::list() {
        for set in variations() {
            let made = templates::make(template.name, &set);
            let rig = made.unwrap_or_else(|e| panic!("{} {set:?}: {e}", template.name));
            let report = engine::check(&rig, &guidelines, None);
            for state in std::iter::once(&report.main).chain(&report.other_states) {
                for options in [RigDrawingOptions::default(), RigDrawingOptions::window()] {
                    let picture = draw(&rig, state, &options);
                    let name = format!("{} {set:?} {}", template.name, state.state);
                    assert_eq!(faults(&picture.list), Vec::<String>::new(), "{name}");
                    for part in rig.parts.iter().filter(|p| !p.always_critical) {
                        assert!(picture.order.contains(&part.id), "{name}: {} is not in the order", part.id);
                    }
                    let words = texts(&picture.list).join(" ");
                    let unchecked =
                        state.parts.iter().filter(|p| p.verdict == rig::findings::Verdict::NotChecked);
                    let drawn =
                        unchecked.filter(|f| rig.part(&f.id).is_some_and(|p| !p.always_critical)).count();
                    let said = words.matches("not checked").count();
                    assert!(said > drawn, "{name}: {drawn} parts, said {said} times");
                }
            }
        }
    }
}

#[test]
fn each_piece_of_a_hauled_rope_is_as_wide_as_its_own_tension() {
    use drawing::{Ink, Item};
    let rig = templates::make("raise-3-to-1-and-belay", &BTreeMap::new()).expect("template");
    let report = engine::check(&rig, &fixtures::guidelines(), Some("raising"));
    let picture = draw(&rig, &report.main, &RigDrawingOptions::default());
    let rope = picture.list.items.iter().find_map(|item| match item {
        Item::Group { id, items, .. } if id == "rope_one" => Some(items),
        _ => None,
    });
    let is_strand = |item: &&Item| matches!(item, Item::Path { stroke: Some(s), fill: None, .. } if s.ink == Ink::Light && s.dash.is_empty());
    let width = |item: &Item| match item {
        Item::Path { stroke: Some(s), .. } => s.width,
        _ => 0.0,
    };
    let widths: Vec<f64> = rope.expect("rope one is drawn").iter().filter(is_strand).map(width).collect();
    let high =
        |id: &str| report.main.parts.iter().find(|p| p.id == id).and_then(|p| p.force_kn).map(|f| f.high);
    let forces = [high("end_knot_1"), high("rope_one"), high("pulley_moving").map(|f| f / 2.0)];
    let [Some(load), Some(edge), Some(strand)] = forces else { panic!("not solved: {forces:?}") };
    assert_eq!(widths.len(), 3, "below the edge, to the hitch, past it");
    for (drawn, force) in widths.iter().zip([load, edge, strand]) {
        assert!((drawn / widths[1] - force / edge).abs() < 1e-9, "{widths:?} for {forces:?}");
    }
}
