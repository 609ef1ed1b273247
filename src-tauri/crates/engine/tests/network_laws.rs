//! Laws of the statics of any plane network: balance, load, turning, mirror, order, and one leg more.

use engine::statics::network::{Contact, Network, Run, Tie, Vec2};
use proptest::prelude::*;

/// A knot on legs, a second knot that may hang from it, a rope over a pulley on a sling, a load on each.
#[derive(Clone, Debug)]
struct Drawn {
    legs: Vec<(f64, f64, f64, f64)>,
    below: bool,
    redirect: Option<(f64, f64)>,
    load: (f64, f64),
}

fn drawn() -> impl Strategy<Value = Drawn> {
    let leg = (0.1f64..0.9, 1.0f64..4.0, 2e4f64..2e5, prop_oneof![3 => Just(0.0), 1 => 0.0f64..0.05]);
    let redirect = proptest::option::of((0.6f64..1.0, 300.0f64..3000.0));
    let load = (-0.3f64..0.3, 500.0f64..8000.0);
    (proptest::collection::vec(leg, 2..6), any::<bool>(), redirect, load)
        .prop_map(|(legs, below, redirect, load)| Drawn { legs, below, redirect, load })
}

fn network(drawn: &Drawn) -> Network {
    let mut net = Network { points: vec![(0.0, 0.0)], fixed: vec![false], ..Network::default() };
    let count = drawn.legs.len() as f64;
    for (n, (spread, length, stiffness, gap)) in drawn.legs.iter().enumerate() {
        let (sin, cos) = libm::sincos(-1.2 + 2.4 * (n as f64 + spread) / count);
        net.points.push((length * sin, length * cos));
        net.fixed.push(true);
        net.ties.push(Tie { low: 0, high: n + 1, stiffness: *stiffness, gap: *gap, strut: false });
    }
    let (sin, cos) = libm::sincos(drawn.load.0);
    let force = (drawn.load.1 * sin, -drawn.load.1 * cos);
    if drawn.below {
        let at = net.points.len();
        net.points.push((1.5 * sin, -1.5 * cos));
        net.fixed.push(false);
        net.ties.push(Tie::plain(at, 0));
        net.forces.push((at, force));
    } else {
        net.forces.push((0, force));
    }
    if let Some((ratio, tension)) = drawn.redirect {
        // The sling is drawn upright: it must swing into the strands.
        let at = net.points.len();
        net.points.extend([(6.0, -8.0), (6.5, 2.0), (10.0, -3.0), (6.0, 3.5)]);
        net.fixed.extend([false, false, true, true]);
        net.ties.push(Tie::plain(at + 1, at + 3));
        let path = vec![at, at + 1, at + 2];
        net.runs.push(Run::over(path, vec![Contact::Ratio(ratio)], Some(tension)));
    }
    net
}

fn changed(net: &Network, place: impl Fn(Vec2) -> Vec2, size: f64) -> Network {
    let mut net = net.clone();
    net.points.iter_mut().for_each(|p| *p = place(*p));
    // A vector turns as the places do: they keep the origin.
    net.forces.iter_mut().for_each(|(_, f)| *f = place((f.0 * size, f.1 * size)));
    net.runs.iter_mut().for_each(|run| run.tension = run.tension.map(|t| t * size));
    net
}

fn tensions(net: &Network) -> Option<Vec<f64>> {
    net.solve().ok().map(|s| s.ties.iter().chain(s.runs.iter().flatten()).copied().collect())
}

/// Every free point in balance by a sum of its own; nothing pushes, nothing is not a number.
fn balanced(net: &Network) {
    let Ok(solution) = net.solve() else { return };
    let places = solution.places(net);
    let largest = solution.ties.iter().fold(1.0_f64, |a, b| a.max(b.abs()));
    let mut sums = vec![(0.0, 0.0); net.points.len()];
    let mut pulls = |a: usize, b: usize, size: f64| {
        let (from, to) = (places[a], places[b]);
        let long = libm::hypot(to.0 - from.0, to.1 - from.1);
        let way = ((to.0 - from.0) / long * size, (to.1 - from.1) / long * size);
        sums[a] = (sums[a].0 + way.0, sums[a].1 + way.1);
        sums[b] = (sums[b].0 - way.0, sums[b].1 - way.1);
    };
    let mut turned = Vec::new();
    for ((tie, tension), way) in net.ties.iter().zip(&solution.ties).zip(&solution.along) {
        assert!(tension.is_finite() && *tension >= -1e-6 * largest);
        // Where it stays as placed a tie may hang out of its drawn line by a thousandth, no more.
        let (from, to) = (places[tie.low], places[tie.high]);
        let long = libm::hypot(to.0 - from.0, to.1 - from.1);
        let off = libm::hypot(way.0 - (to.0 - from.0) / long, way.1 - (to.1 - from.1) / long);
        assert!(*tension == 0.0 || off <= if solution.at_rest.is_some() { 1e-9 } else { 1.001e-3 }, "{off}");
        turned.push((tie.low, (way.0 * tension, way.1 * tension)));
        turned.push((tie.high, (-way.0 * tension, -way.1 * tension)));
    }
    let mut aside = Vec::new();
    for (n, (run, tensions)) in net.runs.iter().zip(&solution.runs).enumerate() {
        for (i, (ends, tension)) in run.path.windows(2).zip(tensions).enumerate() {
            // What came to rest elsewhere is pulled the way the load pulled it as placed.
            match solution.at_rest.as_ref().and_then(|rest| rest.runs[n].leaves).filter(|_| i == 0) {
                Some(way) => aside.push((ends[1], (-way.0 * tension, -way.1 * tension))),
                None => pulls(ends[0], ends[1], *tension),
            }
        }
    }
    for (at, force) in aside.into_iter().chain(turned) {
        sums[at] = (sums[at].0 + force.0, sums[at].1 + force.1);
    }
    for (at, force) in &net.forces {
        sums[*at] = (sums[*at].0 + force.0, sums[*at].1 + force.1);
    }
    let held = |p: usize| net.fixed[p] || net.runs.iter().any(|r| r.path[0] == p && r.tension.is_some());
    for (point, sum) in sums.iter().enumerate().filter(|(p, _)| !held(*p)) {
        assert!(libm::hypot(sum.0, sum.1) <= 1e-6 * largest, "point {point}: {sum:?} of {largest}");
    }
}

fn alike(a: &Option<Vec<f64>>, b: &Option<Vec<f64>>, size: f64, slip: f64) {
    match (a, b) {
        (None, None) => {}
        (Some(a), Some(b)) => {
            let largest = a.iter().fold(1.0_f64, |m, t| m.max(t.abs()));
            for (a, b) in a.iter().zip(b) {
                assert!((a * size - b).abs() <= slip * largest * size, "{a} × {size} is not {b}");
            }
        }
        _ => panic!("solved one way and not the other: {a:?} {b:?}"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn every_answer_is_in_balance(drawn in drawn()) {
        balanced(&network(&drawn));
    }

    #[test]
    fn it_may_be_turned_and_seen_from_behind(drawn in drawn(), angle in -3.0f64..3.0) {
        let net = network(&drawn);
        let (sin, cos) = libm::sincos(angle);
        let turned = changed(&net, |p| (p.0 * cos - p.1 * sin, p.0 * sin + p.1 * cos), 1.0);
        let mirrored = changed(&net, |p| (-p.0, p.1), 1.0);
        alike(&tensions(&net), &tensions(&turned), 1.0, 1e-6);
        alike(&tensions(&net), &tensions(&mirrored), 1.0, 1e-6);
    }

    /// With legs snug, and so stiff that none stretches, twice the load is twice the force.
    #[test]
    fn stiff_rigs_scale_with_their_load(drawn in drawn(), size in 0.3f64..4.0) {
        let mut net = network(&drawn);
        net.ties.iter_mut().for_each(|tie| (tie.gap, tie.stiffness) = (0.0, tie.stiffness * 1e5));
        alike(&tensions(&net), &tensions(&changed(&net, |p| p, size)), size, 1e-5);
    }

    #[test]
    fn the_order_of_points_and_ties_says_nothing(drawn in drawn()) {
        let net = network(&drawn);
        let last = net.points.len() - 1;
        let mut other = net.clone();
        other.points.reverse();
        other.fixed.reverse();
        other.ties.reverse();
        for tie in &mut other.ties {
            (tie.low, tie.high) = (last - tie.low, last - tie.high);
        }
        other.runs.iter_mut().for_each(|run| run.path.iter_mut().for_each(|p| *p = last - *p));
        other.forces.iter_mut().for_each(|(p, _)| *p = last - *p);
        let (a, b) = (net.solve().ok(), other.solve().ok());
        let back = b.map(|mut s| { s.ties.reverse(); s });
        let flat = |s: &Option<engine::statics::network::Solution>| {
            s.as_ref().map(|s| s.ties.iter().chain(s.runs.iter().flatten()).copied().collect::<Vec<_>>())
        };
        alike(&flat(&a), &flat(&back), 1.0, 1e-6);
    }

    /// One leg more, snug, never makes what was held not held; where all lie as placed, no knot is left with more than it had.
    #[test]
    fn one_leg_more_never_takes_the_hold_away(drawn in drawn(), spread in -1.0f64..1.0, stiffness in 2e4f64..2e5) {
        let net = network(&drawn);
        let Ok(before) = net.solve() else { return Ok(()) };
        let mut more = net.clone();
        let (sin, cos) = libm::sincos(spread);
        more.points.push((2.0 * sin, 2.0 * cos));
        more.fixed.push(true);
        more.ties.push(Tie { low: 0, high: net.points.len(), stiffness, gap: 0.0, strut: false });
        let after = more.solve();
        prop_assert!(after.is_ok(), "{after:?}");
        // Least work: what the legs store together grows no larger with one leg more.
        let work = |net: &Network, s: &engine::statics::network::Solution| -> f64 {
            net.ties.iter().zip(&s.ties).map(|(tie, t)| {
                let (a, b) = (net.points[tie.low], net.points[tie.high]);
                let long = libm::hypot(a.0 - b.0, a.1 - b.1);
                0.5 * t * t * long / tie.stiffness + tie.gap * t
            }).sum()
        };
        if let Ok(after) = after && !before.moved.contains(&true) && !after.moved.contains(&true) {
            prop_assert!(work(&more, &after) <= work(&net, &before) * (1.0 + 1e-9) + 1e-9);
        }
    }
}
