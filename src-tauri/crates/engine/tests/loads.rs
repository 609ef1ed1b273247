//! What the load does to its ropes: which way they leave it, and what it hangs on.

use engine::statics::{self, Forces, Scene};
use engine::support::{Lost, Model};
use rig::Rig;
use rig::model::{PartKind, Point, Sliding, Support};
use rig::quantity::{G, Length};
use std::collections::BTreeMap;

fn rig(x: [f64; 2], ring: f64) -> Rig {
    let set = ["edge_friction", "edge_friction_low", "edge_friction_high"]
        .map(|name| (name.to_string(), "1".to_string()));
    let mut rig = rig::templates::make("twin-lower-two-knots", &BTreeMap::from(set)).unwrap();
    for (n, x) in ["at_edge_1", "at_edge_2"].into_iter().zip(x) {
        place(&mut rig, n).x = Length::metres(x).unwrap();
    }
    for n in ["at_ring_1", "at_ring_2"] {
        let point = place(&mut rig, n);
        (point.x, point.y) = (Length::metres(0.0).unwrap(), Length::metres(ring).unwrap());
    }
    rig
}

fn place<'a>(rig: &'a mut Rig, id: &str) -> &'a mut Point {
    rig.points.iter_mut().find(|p| p.id == id).unwrap()
}

fn forces(rig: &Rig, lost: &[&str]) -> Result<(Forces, BTreeMap<String, [f64; 3]>), String> {
    let model = Model::new(rig, rig.state(Some("tied_off")).unwrap());
    let parts: Vec<usize> = lost.iter().map(|id| model.index[*id]).collect();
    let outcome = model.solve(&Lost { parts: parts.clone(), hands: Vec::new() });
    let scene = Scene::new(&model, &outcome, &parts)?;
    let found = statics::solve(&model, &outcome, Sliding::Held, &scene)?;
    let by_id = rig.parts.iter().zip(&found.parts).map(|(part, force)| (part.id.clone(), *force)).collect();
    Ok((found, by_id))
}

fn weight(rig: &Rig) -> f64 {
    rig.load.mass.to_kilograms() * G
}

/// The edges stand at 20 m: 3, 4, 5 on the left, and the law of sines for two unequal ones.
#[test]
fn ropes_that_leave_the_load_apart_share_it_by_balance() {
    let even = rig([-6.0, 6.0], 12.0);
    let (found, parts) = forces(&even, &[]).unwrap();
    for rope in ["rope_one", "rope_two"] {
        assert!((parts[rope][1] - 0.625 * weight(&even)).abs() < 1e-6, "{:?}", parts[rope]);
        // It may have shifted to hang on one of them as the range of shares says.
        assert!(parts[rope][0] <= 0.3 * weight(&even) + 1e-9 && parts[rope][2] >= 0.7 * weight(&even) - 1e-9);
    }
    assert!(found.residual < 1e-6);
    let uneven = rig([-6.0, 8.0], 12.0);
    let (_, parts) = forces(&uneven, &[]).unwrap();
    let (a, b) = (libm::atan2(6.0, 8.0), libm::atan2(8.0, 8.0));
    let one = weight(&uneven) * libm::sin(b) / libm::sin(a + b);
    let two = weight(&uneven) * libm::sin(a) / libm::sin(a + b);
    assert!((parts["rope_one"][1] - one).abs() < 1e-6 && (parts["rope_two"][1] - two).abs() < 1e-6);
    // One of them gone, the other bears it all.
    let (_, alone) = forces(&uneven, &["rope_two"]).unwrap();
    assert!((alone["rope_one"][1] - weight(&uneven)).abs() < 1e-6);
}

#[test]
fn ropes_side_by_side_are_shared_by_hands_as_before() {
    let rig = rig([-0.15, 0.15], 7.0);
    let (_, parts) = forces(&rig, &[]).unwrap();
    for (n, share) in [0.3, 0.5, 0.7].into_iter().enumerate() {
        assert!((parts["rope_one"][n] - share * weight(&rig)).abs() < 1e-9, "{:?}", parts["rope_one"]);
    }
}

#[test]
fn a_load_that_both_ropes_pull_to_one_side_is_not_solved() {
    let why = forces(&rig([4.0, 10.0], 12.0), &[]).unwrap_err();
    assert!(why.contains("to one side"), "{why}");
    let found = engine::check(&rig([4.0, 10.0], 12.0), &rig::guidelines::Guidelines::defaults(), None).main;
    let rope = found.parts.iter().find(|p| p.id == "rope_one").unwrap();
    assert!(rope.force_kn.is_none() && rope.verdict == rig::findings::Verdict::NotChecked, "{}", rope.words);
}

/// The load tied to a leg beside its ropes: nobody says how much that takes.
#[test]
fn a_tie_beside_the_ropes_is_not_solved() {
    let mut rig = rig([-0.15, 0.15], 7.0);
    let leg = rig.parts.iter().find(|p| p.id == "leg_1a").unwrap().clone();
    let at = vec!["at_ring_1".to_string(), "at_west".to_string()];
    rig.parts.push(rig::model::Part {
        id: "beside".into(),
        label: "sling beside".into(),
        at,
        held_by: Support::Part("anchor_west".into()),
        kind: PartKind::Sling,
        ..leg
    });
    let own = rig.load.held_by.clone();
    rig.load.held_by = Support::All(vec![own, Support::Part("beside".into())]);
    let why = forces(&rig, &[]).map(|(found, _)| found).unwrap_err();
    assert!(why.contains("sling beside") && why.contains("share is not stated"), "{why}");
}

/// A leg lost, the knot swings until the other lies in line with its rope: its tension is the rope's, the anchor stands in that line,
/// and what is left of the rig is in balance where it came to rest.
#[test]
fn what_is_left_after_a_loss_is_solved_where_it_comes_to_rest() {
    let rig = rig([-0.15, 0.15], 7.0);
    for (lost, left) in [("leg_1a", "leg_1b"), ("leg_1b", "leg_1a")] {
        let (found, parts) = forces(&rig, &[lost]).unwrap();
        let rope = parts["rope_one"];
        for n in 0..3 {
            assert!((parts[left][n] - rope[n]).abs() < 1e-6 * rope[2], "{left} {:?} {rope:?}", parts[left]);
        }
        let end = if left == "leg_1a" { "at_west" } else { "at_east" };
        let place = |id: &str| rig.point(id).map(|p| (p.x.to_metres(), p.y.to_metres())).unwrap();
        let (edge, anchor) = (place("at_edge_1"), place(end));
        let long = libm::hypot(anchor.0 - edge.0, anchor.1 - edge.1);
        let index = rig.parts.iter().position(|p| p.id == left).unwrap();
        let way = found.ways.iter().find(|(part, _)| *part == index).unwrap().1;
        let line = ((anchor.0 - edge.0) / long, (anchor.1 - edge.1) / long);
        assert!((way.0 - line.0).abs() < 1e-6 && (way.1 - line.1).abs() < 1e-6, "{way:?} {line:?}");
        assert!(found.residual < 1e-4, "{}", found.residual);
    }
}
