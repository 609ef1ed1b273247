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
