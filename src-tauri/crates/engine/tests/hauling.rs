//! Each hauling template, its tension traced strand by strand through the network, against the trade's formulas and against
//! virtual work.

mod rigs;

use engine::statics::{self, Scene};
use engine::support::{Lost, Model};
use engine::{SystemKind, advantage};
use rig::findings::Hauling;
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

/// The engine's own virtual work goes by the rig's lengths alone, the traced advantage by forces alone: they agree.
#[test]
fn lengths_alone_say_the_same_advantage_as_forces() {
    for (template, ..) in SYSTEMS {
        let rig = make(template, &BTreeMap::new()).unwrap();
        let found = hauling(&rig);
        let travel = found.travel.unwrap_or_else(|| panic!("{template} does not say how it travels"));
        assert!((travel.rope_per_metre - found.theoretical).abs() < 1e-9, "{template}: {travel:?}");
        assert!((travel.rope_m - 20.0 * found.theoretical).abs() < 1e-6, "{template}: {travel:?}");
    }
}

fn hauling(rig: &rig::Rig) -> Hauling {
    let report = engine::check(rig, &rig::guidelines::Guidelines::defaults(), Some("raising"));
    report.main.hauling.unwrap_or_else(|| panic!("{} is not traced: {:?}", rig.title, report.main.checks))
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

/// 200 kg on the main rope alone, every sheave at 0.9, edge left out: the haul forces of the trade's table.
#[test]
fn haul_force_rope_and_anchor_of_a_raise_come_out_as_worked_by_hand() {
    let set: &[(&str, &str)] = &[
        ("edge_friction_low", "1"),
        ("edge_friction", "1"),
        ("edge_friction_high", "1"),
        ("pulley_efficiency_low", "0.9"),
        ("pulley_efficiency_high", "0.9"),
        ("share_low", "1"),
    ];
    let set: BTreeMap<String, String> =
        set.iter().map(|(k, v)| ((*k).to_string(), (*v).to_string())).collect();
    let weight = 200.0 * 9.80665 / 1000.0;
    for (template, _, _, practical) in SYSTEMS {
        let found = hauling(&make(template, &set).unwrap());
        let haul = weight / found.practical;
        assert!((found.practical - practical).abs() < 5e-4, "{template}");
        assert!((found.haul_kn.nominal - haul).abs() < 1e-9, "{template}");
        assert!((found.haul_kn.high - haul).abs() < 1e-9 && (found.haul_kn.low - haul).abs() < 1e-9);
        assert!((found.without_edge_kn - haul).abs() < 1e-9, "{template}");
        assert_eq!(found.needed[0], (haul / 0.222).ceil() as u32, "{template}");
        // All strands run one way: the knot that holds the system bears load less haul.
        let knot = found.jammed.iter().find(|j| j.id == "focal_knot_1").unwrap();
        assert!((knot.hauling_kn.nominal - (weight - haul)).abs() < 1e-9, "{template}: {knot:?}");
        // Five people pull 1.11 kN: with these pulleys at least practical times that reaches the load, without loss theoretical.
        let ring = found.jammed.iter().find(|j| j.id == "end_knot_1").unwrap().jammed_kn.unwrap();
        let most = (5.0 * 0.222 * found.theoretical).max(weight);
        assert!((ring.high - most).abs() < 1e-6, "{template}: {ring:?}");
        assert!((ring.low - 5.0 * 0.222 * found.practical).abs() < 1e-6, "{template}: {ring:?}");
    }
}

/// 3:1, 5:1 and 9:1 beside each other say what the templates of those systems say of themselves.
#[test]
fn systems_side_by_side_say_what_each_says_of_itself() {
    for (template, place) in [("raise-3-to-1-and-belay", 0), ("raise-5-to-1", 1), ("raise-9-to-1", 2)] {
        let found = hauling(&make(template, &BTreeMap::new()).unwrap());
        let beside = &found.beside[place];
        assert!((beside.theoretical - found.theoretical).abs() < 1e-9, "{template}");
        assert!((beside.practical - found.practical).abs() < 1e-9, "{template}");
        assert!((beside.haul_kn[0] - found.haul_kn.nominal).abs() < 1e-9, "{template}");
        assert!((beside.haul_kn[1] - found.haul_kn.high).abs() < 1e-9, "{template}: {beside:?} {found:?}");
        assert_eq!(beside.needed, found.needed, "{template}");
        assert_eq!(beside.rope_m, found.travel.as_ref().unwrap().rope_m, "{template}");
        let knot = found.jammed.iter().find(|j| j.id == "focal_knot_1").unwrap();
        assert!((beside.anchor_kn[0] - knot.hauling_kn.nominal).abs() < 1e-9, "{template}: {beside:?}");
        assert!((beside.anchor_kn[1] - knot.hauling_kn.high).abs() < 1e-9, "{template}: {beside:?} {knot:?}");
    }
}

/// A raise whose haul line does what no template does: the second pulley is hauled towards the first (complex 5:1).
#[test]
fn a_complex_system_is_traced_like_any_other() {
    let found = hauling(&complex());
    assert!((found.theoretical - 5.0).abs() < 1e-9, "{}", found.theoretical);
    // By hand, from the haulers: 1, η, η² past the two pulleys; the second hitch adds 1 + η, the fixed pulley takes η of it.
    let eta: f64 = 0.9;
    let by_hand = eta * (1.0 + eta + eta * eta) + eta + eta * eta;
    assert!((found.practical - by_hand).abs() < 1e-9, "{} against {by_hand}", found.practical);
    let travel = found.travel.unwrap();
    assert!((travel.rope_per_metre - 5.0).abs() < 1e-9, "{travel:?}");
    // The two pulleys meet half way: 1.9 m of room, closing by two metres for each of load.
    assert!((travel.throw_m - 0.95).abs() < 1e-9, "{travel:?}");
}

/// A 6:1's points and parts, laid out anew as a complex 5:1 with its team at the edge.
fn complex() -> rig::Rig {
    let mut rig = make("raise-6-to-1", &BTreeMap::new()).unwrap();
    let base = rig.point("at_hitch").unwrap().y.to_metres();
    let heights =
        [("at_pulley_moving", 0.3), ("at_pulley_second", 2.2), ("at_hitch_2", 2.5), ("at_haul_team", -1.0)];
    for (id, up) in heights {
        let point = rig.points.iter_mut().find(|p| p.id == id).unwrap();
        point.y = rig::quantity::Length::metres(base + up).unwrap();
    }
    let path = [
        "at_ring_1",
        "at_edge_1",
        "at_hitch",
        "at_pulley_fixed",
        "at_hitch_2",
        "at_pulley_moving",
        "at_pulley_second",
        "at_haul_team",
    ];
    let rope = rig.ropes.iter_mut().find(|r| r.id == "rope_one").unwrap();
    rope.path = path.map(String::from).to_vec();
    rig.ropes.retain(|r| r.id != "haul_rope");
    rig.parts.retain(|p| p.id != "haul_rope");
    rig.hands.iter_mut().find(|h| h.id == "haul_team").unwrap().works = vec!["rope_one".into()];
    let rope = rig.parts.iter_mut().find(|p| p.id == "rope_one").unwrap();
    let without = |rule: &rig::model::Support| match rule {
        rig::model::Support::All(all) => rig::model::Support::All(
            all.iter().filter(|r| **r != rig::model::Support::Part("haul_rope".into())).cloned().collect(),
        ),
        other => other.clone(),
    };
    if let rig::model::Support::Backup(ways) = &rope.held_by {
        rope.held_by = rig::model::Support::Backup(ways.iter().map(without).collect());
    }
    rig.template = None;
    rig
}
