//! Each hauling template, its tension traced strand by strand through the network, against the trade's formulas and against
//! virtual work.

mod rigs;

use engine::statics::{self, Scene};
use engine::support::{Lost, Model};
use engine::{SystemKind, advantage};
use rig::model::Sliding;
use rig::quantity::{Force, Ratio};
use rig::templates::make;
use std::collections::BTreeMap;

/// Template, system, how it is built up, and the advantage with every sheave at 0.9 (physics of the trade, recomputed).
const SYSTEMS: &[(&str, &str, SystemKind, f64)] = &[
    ("raise-2-to-1", "2:1", SystemKind::Simple, 1.9),
    ("raise-3-to-1-and-belay", "3:1", SystemKind::Simple, 2.71),
    ("raise-4-to-1", "4:1", SystemKind::Simple, 3.439),
    ("raise-5-to-1", "5:1", SystemKind::Simple, 4.0951),
    ("raise-4-to-1-compound", "4:1", SystemKind::Compound, 3.61),
    ("raise-6-to-1", "6:1", SystemKind::Compound, 5.149),
    ("raise-9-to-1", "9:1", SystemKind::Compound, 7.3441),
    ("main-and-belay-raise", "3:1", SystemKind::Simple, 2.71),
];

/// Advantages of a template: theoretical, and practical with its pulleys at 0.9.
fn traced(template: &str) -> (f64, f64) {
    let set = BTreeMap::from([("share_low".to_string(), "1".to_string())]);
    let rig = make(template, &set).unwrap_or_else(|e| panic!("{template}: {e}"));
    let model = Model::new(&rig, rig.state(Some("raising")).unwrap());
    let outcome = model.solve(&Lost::default());
    let scene = Scene::new(&model, &outcome, &[]).unwrap_or_else(|e| panic!("{template}: {e}"));
    let hauled = rig.hands.iter().find(|h| h.id == "haul_team").unwrap().works[0].clone();
    let rope = scene.ropes.iter().position(|r| rig.parts[r.part].id == hauled).unwrap();
    let found =
        statics::haul(&model, &scene, rope, Sliding::Raising).unwrap_or_else(|e| panic!("{template}: {e}"));
    (found.theoretical, found.practical)
}

#[test]
fn every_system_has_the_advantage_that_its_formula_gives() {
    for (template, system, kind, printed) in SYSTEMS {
        let (theoretical, practical) = traced(template);
        let by_formula = |eta: f64| {
            let load = Force::newtons(1.0).unwrap();
            advantage(system, *kind, Ratio::new(eta).unwrap(), 0, load).unwrap().practical
        };
        assert!((theoretical - by_formula(1.0)).abs() < 1e-9, "{template}: {theoretical}");
        assert!((practical - by_formula(0.9)).abs() < 1e-9, "{template}: {practical}");
        assert!((practical - printed).abs() < 5e-4, "{template}: {practical} against {printed}");
    }
}

/// Virtual work: rope hauled in for a metre of load, from how far each pulley travels, worked by hand from the layout. A rope
/// over a pulley that travels v gives 2 v less; what is hauled travels as its hitch does.
#[test]
fn every_system_takes_in_as_much_rope_as_virtual_work_says() {
    let hauled = |template: &str| match template {
        // The moving pulley travels with the load: two strands of the haul rope shorten by a metre each.
        "raise-2-to-1" => 2.0,
        // The hauled end runs over fixed and moving: the load's own metre and two strands at the moving pulley.
        "raise-3-to-1-and-belay" | "main-and-belay-raise" => 1.0 + 2.0,
        // Four strands at the moving double pulley.
        "raise-4-to-1" => 4.0,
        "raise-5-to-1" => 1.0 + 2.0 + 2.0,
        // The second moving pulley travels as the first 2:1 takes in.
        "raise-4-to-1-compound" => 2.0 * 2.0,
        "raise-6-to-1" => (1.0 + 2.0) * 2.0,
        // The hauled strand of the first 3:1 is the load of the second.
        "raise-9-to-1" => (1.0 + 2.0) + 2.0 * (1.0 + 2.0),
        other => panic!("{other}"),
    };
    for (template, ..) in SYSTEMS {
        let (theoretical, _) = traced(template);
        assert!(
            (theoretical - hauled(template)).abs() < 1e-9,
            "{template}: {theoretical} against {}",
            hauled(template)
        );
    }
}

/// A hauling rig lowers the load onto its capture when everyone lets go, and never reads held meanwhile.
#[test]
fn hands_off_while_hauling_is_a_run_back_and_not_checked() {
    for (template, ..) in SYSTEMS {
        let rig = make(template, &BTreeMap::new()).unwrap();
        let found = engine::check(&rig, &rig::guidelines::Guidelines::defaults(), Some("raising")).main;
        assert_eq!(found.hands_off.verdict, rig::findings::Verdict::NotChecked, "{template}");
        assert!(found.hands_off.moves, "{template}");
        assert!(found.residual_n.is_some_and(|r| r < 1e-6), "{template}");
    }
}
