//! What lies below the load is the nearest of ledge, water and ground, at every height of the lower.

use engine::falls::{Called, Runs};
use rig::Rig;
use rig::edit::{Edit, apply, changes};
use rig::findings::{FallFinding, Verdict};
use rig::guidelines::Guidelines;
use rig::model::{Below, BelowKind};
use rig::quantity::Length;
use std::collections::BTreeMap;

fn made(set: &[(&str, &str)]) -> Rig {
    let set: BTreeMap<String, String> = set.iter().map(|(k, v)| ((*k).into(), (*v).into())).collect();
    rig::templates::make("twin-lower-two-knots", &set).unwrap()
}

fn fall(rig: &Rig) -> FallFinding {
    let runs = Runs { count: 600, seed: 1 };
    let g = Guidelines::defaults();
    engine::fall_after(rig, &g, Some("lowering"), "rope_one", &Called::default(), runs).unwrap()
}

/// Where the load of this template hangs, m over the ground, as the plain ground tells it.
fn hangs_at() -> f64 {
    fall(&made(&[])).clearance_m
}

#[test]
fn the_nearest_surface_under_the_load_counts() {
    let height = hangs_at();
    let plain = fall(&made(&[]));
    assert_eq!(plain.below, "ground");
    for (set, below, at) in [
        (vec![("ledge", "4m")], "ledge", 4.0),
        (vec![("water", "0m")], "water", 0.0),
        (vec![("ledge", "4m"), ("water", "1m")], "ledge", 4.0),
        (vec![("ledge", "1m"), ("water", "2m")], "water", 2.0),
        // A ledge over the load is behind it.
        (vec![("ledge", "19m")], "ground", 0.0),
    ] {
        let found = fall(&made(&set));
        assert_eq!(found.below, below, "{set:?}");
        assert!((found.clearance_m - (height - at)).abs() < 1e-9, "{set:?}: {}", found.clearance_m);
        assert_eq!(found.fall_m, plain.fall_m, "how far it falls has nothing to do with what is below");
        let down = format!("{:.1} m below", height - at);
        assert!(
            found.words.contains(&format!("the {below}")) && found.words.contains(&down),
            "{}",
            found.words
        );
    }
}

#[test]
fn a_ledge_has_a_stretch_over_it_and_below_it_the_ground_counts_again() {
    let plain = fall(&made(&[]));
    let found = fall(&made(&[("ledge", "9m")]));
    let [[_, near_ground], [from, to]] = found.reaches_between_m[..] else {
        panic!("{:?}", found.reaches_between_m)
    };
    assert_eq!(plain.reaches_between_m, [[0.0, near_ground]]);
    assert!(from == 9.0 && to > 9.5 && to < 13.0, "{from} to {to}");
    for at in &found.heights {
        let surface = if at.above_ground_m > 9.0 { 9.0 } else { 0.0 };
        assert!((at.clearance_m - (at.above_ground_m - surface)).abs() < 1e-9, "{at:?}");
        assert_eq!(at.below, if surface > 0.0 { "ledge" } else { "" }, "{at:?}");
    }
    let words = found.reaches_words(&|m| format!("{m:.1} m")).unwrap();
    assert!(words.contains("lower than") && words.contains("between 9.0 m and"), "{words}");
}

#[test]
fn a_ledge_close_under_the_load_makes_the_check_fall_short() {
    let height = hangs_at();
    let near = made(&[("ledge", &format!("{}m", height - 0.5))]);
    let runs = Runs { count: 300, seed: 1 };
    let check = |rig: &Rig| {
        let report = engine::check_with_falls(rig, &Guidelines::defaults(), None, &Called::default(), runs);
        report.main.checks.into_iter().find(|c| c.id == "drop_after_loss").unwrap()
    };
    let found = check(&near);
    assert_eq!(found.verdict, Verdict::FallsShort, "{}", found.found);
    assert!(found.found.contains("reaches the ledge"), "{}", found.found);
    assert_ne!(check(&made(&[])).verdict, Verdict::FallsShort);
}

#[test]
fn what_lies_below_is_edited_and_a_height_that_cannot_be_is_refused() {
    let rig = made(&[]);
    let lying = |kind, metres: f64| Below { kind, height: Length::metres(metres).unwrap() };
    let edit = Edit::Below { below: vec![lying(BelowKind::Ledge, 9.0), lying(BelowKind::Water, 0.0)] };
    let edited = apply(&rig, &[edit]).unwrap();
    assert_eq!(changes(&rig, &edited), ["under the load ledge at 9m, water at 0m, ground, was ground"]);
    assert_eq!(rig::read(&rig::write(&edited)).unwrap(), edited);
    for wrong in [lying(BelowKind::Ledge, 0.0), lying(BelowKind::Water, -1.0)] {
        let refused = apply(&rig, &[Edit::Below { below: vec![wrong] }]).unwrap_err();
        assert!(refused.to_string().contains("over the ground"), "{refused}");
    }
    let refused =
        rig::templates::make("twin-lower-two-knots", &BTreeMap::from([("ledge".into(), "0m".into())]));
    assert!(refused.is_err());
}
