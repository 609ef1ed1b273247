//! Ropes that come down on a bare edge, and haul teams taken to let go.

use engine::falls::{Called, Runs, settings_of};
use rig::Rig;
use rig::findings::{FallFinding, FallOutcome, Verdict};
use rig::guidelines::Guidelines;
use rig::quantity::Length;
use std::collections::BTreeMap;

const FEW: Runs = Runs { count: 400, seed: 1 };

fn made(template: &str) -> Rig {
    rig::templates::make(template, &BTreeMap::new()).unwrap()
}

fn fall(rig: &Rig, state: &str, lost: &str) -> FallFinding {
    let guidelines = Guidelines::defaults();
    engine::fall_after(rig, &guidelines, Some(state), lost, &Called::default(), FEW).unwrap()
}

fn median(fall: &FallFinding) -> f64 {
    fall.fall_m.and_then(|m| m.p50).unwrap_or_else(|| panic!("{:?}: {}", fall.of, fall.words))
}

/// Load 0.3 m out and 15 m below the head, devices 4 m behind the edge and half a metre above it: over the head the rope goes
/// 15 + √(4.3² + 1.5²) m, over the edge √(0.3² + 13²) + √(4² + 0.5²) m, 2.52 m less.
#[test]
fn a_head_that_is_lost_lets_loose_what_the_way_over_it_was_longer() {
    let rig = made("twin-lower-high-directional");
    let (out, in_air) = (0.09_f64, 15.0);
    let (below, behind) = ((out + 169.0).sqrt(), 16.25_f64.sqrt());
    let loose = in_air + (4.3_f64 * 4.3 + 1.5 * 1.5).sqrt() - below - behind;
    assert!((loose - 2.5195).abs() < 1e-4, "{loose}");
    let all = settings_of(&rig, &Guidelines::defaults(), "tied_off", &Called::default());
    let (_, setting) = all.iter().find(|(name, _)| name.starts_with("head")).expect("the head");
    let swings = setting.swings.as_ref().expect("the knots turn to the edge").as_ref().unwrap();
    assert_eq!(setting.strands.len(), 2);
    for (strand, (_, _, spare)) in setting.strands.iter().zip(&swings.ropes) {
        assert!((spare - loose).abs() < 1e-9, "{spare} beside {loose}");
        assert!((strand.below - below).abs() < 1e-9 && (strand.above - behind).abs() < 1e-9, "{strand:?}");
        // The knot turns to the edge too, and lets no less loose by that.
        assert!(strand.loose >= loose - 1e-3 && strand.loose < loose + 0.5, "{}", strand.loose);
    }
    for lost in ["high_directional", "guy", "leg_front", "leg_back"] {
        let told = fall(&rig, "tied_off", lost);
        assert!(told.bare_edge && median(&told) > loose, "{lost}: {}", told.words);
        assert!(told.words.contains("whether it cuts a rope is not checked"), "{}", told.words);
    }
    // One pulley: the other rope stays where it is, and holds.
    let one = fall(&rig, "tied_off", "pulley_1");
    assert!(one.bare_edge && median(&one) < loose, "{}", one.words);
}

#[test]
fn a_fall_onto_a_bare_edge_never_holds() {
    let (rig, guidelines) = (made("twin-lower-high-directional"), Guidelines::defaults());
    let report = engine::check_with_falls(&rig, &guidelines, Some("tied_off"), &Called::default(), FEW);
    assert!(
        report.main.falls.iter().all(|f| f.outcome != FallOutcome::NotComputed),
        "{:?}",
        report.main.falls
    );
    let drop = report.main.checks.iter().find(|c| c.id == "drop_after_loss").unwrap();
    assert_eq!(drop.verdict, Verdict::NotChecked, "{}", drop.found);
    assert!(drop.found.contains("on a bare edge"), "{}", drop.found);
}

/// Feet that stand above the edge do not say where it is; an anchor that lies as high as the edge says nothing of it.
#[test]
fn where_the_edge_is_not_drawn_nothing_is_reckoned() {
    let mut rig = made("twin-lower-high-directional");
    for point in rig.points.iter_mut().filter(|p| p.id.starts_with("at_foot")) {
        point.y = Length::metres(20.2).unwrap();
    }
    let told = fall(&rig, "tied_off", "high_directional");
    assert_eq!(told.outcome, FallOutcome::NotComputed, "{}", told.words);
    assert!(told.words.contains("bear on is unknown") && told.fall_m.is_none(), "{}", told.words);
}

/// 2 to 15 cm of rope: with 13 m below and half the load on it, less than the stretch that is in it.
#[test]
fn a_roller_that_goes_lets_the_load_down_by_little() {
    let rig = made("twin-lower-two-knots");
    let told = fall(&rig, "tied_off", "roller_1");
    assert!(told.bare_edge && (0.02..0.2).contains(&median(&told)), "{}", told.words);
    assert!(told.parameters.iter().any(|p| p.label == "rope let loose as it comes off its roller"));
}

/// A load that hangs again below where its ropes then bear hangs lower by as much as that lies behind the lip, and a little more for
/// the stretch of a rope that catches it moving.
#[test]
fn a_lip_that_breaks_lets_the_load_down_by_what_broke_off() {
    let rig = made("twin-lower-two-knots");
    let fell = |depth: f64| {
        let mut guidelines = Guidelines::defaults();
        let lip = &mut guidelines.falls.lip_m;
        (lip.low, lip.likely, lip.high) = (depth, depth, depth);
        engine::fall_after(&rig, &guidelines, Some("tied_off"), "edge_lip", &Called::default(), FEW).unwrap()
    };
    let (small, large) = (fell(0.3), fell(0.6));
    assert!(
        small.bare_edge && small.words.contains("whether it cuts a rope is not checked"),
        "{}",
        small.words
    );
    assert!((0.3..0.9).contains(&median(&small)), "{}", small.words);
    let more = median(&large) - median(&small);
    assert!((0.3..0.6).contains(&more), "{more}: {} {}", small.words, large.words);
    let told = fall(&rig, "tied_off", "edge_lip");
    assert!(told.words.contains("0.1 to 1 m of the edge are taken to break off"), "{}", told.words);
    let own = |f: &FallFinding| f.parameters.iter().find(|p| p.id == "lip").map(|p| p.assumed);
    assert_eq!(own(&told), Some(true));
    // Whatever the lip is rated at, a rope on what broke never plainly holds.
    let report =
        engine::check_with_falls(&rig, &Guidelines::defaults(), Some("tied_off"), &Called::default(), FEW);
    let drop = report.main.checks.iter().find(|c| c.id == "drop_after_loss").unwrap();
    assert_eq!(drop.verdict, Verdict::NotChecked, "{}", drop.found);
}

#[test]
fn a_haul_team_that_may_hold_is_taken_to_let_go() {
    for template in ["raise-3-to-1-and-belay", "raise-2-to-1", "raise-9-to-1", "raise-4-to-1-compound"] {
        let rig = made(template);
        let told = fall(&rig, "raising", "anchor_west");
        assert!(told.words.contains("the haul team is taken to let go"), "{template}: {}", told.words);
        let capture = |f: &FallFinding| f.parameters.iter().any(|p| p.label.starts_with("run-back"));
        assert!(capture(&told), "{template}: {:?}", told.parameters);
        // On its capture already, the load has no run-back before it.
        let held = fall(&rig, "held_on_capture", "anchor_west");
        assert!(
            !capture(&held) && median(&told) > median(&held),
            "{template}: {} {}",
            told.words,
            held.words
        );
        // What carries none of it lets nothing loose, whoever hauls.
        let belay = fall(&rig, "raising", "leg_2a");
        assert_eq!(belay.outcome, FallOutcome::Stays, "{template}: {}", belay.words);
    }
}
