//! Values of closed forms: W = 2000 N.

use super::*;

/// A knot at the origin on legs that leave it at the angles from vertical (left negative).
fn knot(legs: &[f64], force: Vec2) -> Network {
    let mut points = vec![(0.0, 0.0)];
    points.extend(legs.iter().map(|deg| {
        let (sin, cos) = libm::sincos(deg.to_radians());
        (3.0 * sin, 3.0 * cos)
    }));
    let fixed = std::iter::once(false).chain(legs.iter().map(|_| true)).collect();
    let ties = (1..=legs.len()).map(|high| Tie::plain(0, high)).collect();
    Network { points, fixed, ties, runs: Vec::new(), forces: vec![(0, force)] }
}

fn close(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-4, "{a} is not {b}");
}

#[test]
fn legs_carry_what_the_closed_forms_give() {
    let down = (0.0, -2000.0);
    let off_axis = libm::sincos(20.0_f64.to_radians());
    let cases: [(&[f64], Vec2, [f64; 2]); 4] = [
        (&[-45.0, 45.0], down, [1414.2136, 1414.2136]),
        (&[-60.0, 60.0], down, [2000.0, 2000.0]),
        (&[-30.0, 50.0], down, [1555.7238, 1015.4266]),
        // A load pulled 20° towards the right loads the left leg more.
        (&[-45.0, 45.0], (2000.0 * off_axis.0, -2000.0 * off_axis.1), [1812.6156, 845.2365]),
    ];
    for (legs, force, expected) in cases {
        let solution = knot(legs, force).solve().unwrap();
        close(solution.ties[0], expected[0]);
        close(solution.ties[1], expected[1]);
        assert!(solution.residual < 1e-9);
        assert!(!solution.moved[0]);
    }
    let solution = knot(&[-45.0, 45.0], down).solve().unwrap();
    close(solution.ties[0] * solution.along[0].0.abs(), 1000.0);
}

#[test]
fn a_leg_that_would_push_is_slack_and_the_other_swings_into_line() {
    let solution = knot(&[-10.0, 30.0], (2000.0, -2000.0)).solve().unwrap();
    close(solution.ties[0], 2000.0 * std::f64::consts::SQRT_2);
    close(solution.ties[1], 0.0);
    assert!(solution.moved[0]);
    close(solution.along[0].0, -std::f64::consts::FRAC_1_SQRT_2);
}

#[test]
fn nothing_hangs_on_no_leg() {
    assert_eq!(knot(&[], (0.0, -2000.0)).solve(), Err(Unsolved::Hangs(0)));
}

/// Three bars of one stiffness that meet at a point under a load, the classic case of least work: the middle one carries
/// W / (1 + 2 cos³ θ), each outer one cos² θ of that (Timoshenko, Strength of Materials).
#[test]
fn three_equal_legs_share_as_the_textbook_says() {
    for degrees in [15.0_f64, 30.0, 45.0, 60.0] {
        let (sin, cos) = libm::sincos(degrees.to_radians());
        let points = vec![(0.0, 0.0), (-3.0 * sin / cos, 3.0), (0.0, 3.0), (3.0 * sin / cos, 3.0)];
        let three = Network {
            points,
            fixed: vec![false, true, true, true],
            ties: (1..=3).map(|high| Tie::plain(0, high)).collect(),
            runs: Vec::new(),
            forces: vec![(0, (0.0, -2000.0))],
        };
        let solution = three.solve().unwrap();
        let middle = 2000.0 / (1.0 + 2.0 * cos * cos * cos);
        close(solution.ties[1], middle);
        close(solution.ties[0], middle * cos * cos);
        close(solution.ties[2], middle * cos * cos);
        assert!(solution.shared && solution.residual < 1e-6);
    }
}

/// Legs side by side: by stiffness over length, and a long one bears nothing until the others have stretched to it.
#[test]
fn legs_side_by_side_share_by_stiffness_and_a_long_one_is_slack() {
    let side_by_side = |gaps: &[f64], stiffness: &[f64], load: f64| {
        let mut network = knot(&vec![0.0; gaps.len()], (0.0, -load));
        network.points.iter_mut().skip(1).for_each(|p| *p = (0.0, 2.0));
        for ((tie, gap), ea) in network.ties.iter_mut().zip(gaps).zip(stiffness) {
            (tie.gap, tie.stiffness) = (*gap, *ea);
        }
        network.solve().unwrap().ties
    };
    let even = [30e3; 3];
    // Natural lengths 2, 2 and 2.2 m.
    for (found, expected) in
        side_by_side(&[0.0, 0.0, 0.2], &even, 2000.0).into_iter().zip([1000.0, 1000.0, 0.0])
    {
        close(found, expected);
    }
    for (found, expected) in side_by_side(&[0.0, 0.0], &[30e3, 90e3], 2000.0).into_iter().zip([500.0, 1500.0])
    {
        close(found, expected);
    }
    // 6 kN stretch the two by 0.2 m; beyond that all three share, the long one by 30 kN over 2.2 m:
    // (9000 + 30 000 · 0.2 / 2.2) N over 2 · 15 + 30 / 2.2 kN/m is how far the knot sinks.
    let sinks = (9000.0 + 6000.0 / 2.2) / (30_000.0 + 30_000.0 / 2.2);
    let each = [15_000.0 * sinks, 15_000.0 * sinks, 30_000.0 / 2.2 * (sinks - 0.2)];
    for (found, expected) in side_by_side(&[0.0, 0.0, 0.2], &even, 9000.0).into_iter().zip(each) {
        close(found, expected);
    }
    // Tied shorter than the other by 10 mm: stiffer by 2 / 1.99, and 10 mm ahead of it.
    let (short, long) = (30e3 / 1.99, 15e3);
    let sinks = (2000.0 - short * 0.01) / (short + long);
    let each = [short * (sinks + 0.01), long * sinks];
    for (found, expected) in side_by_side(&[-0.01, 0.0], &[30e3, 30e3], 2000.0).into_iter().zip(each) {
        close(found, expected);
    }
}

/// Two struts under a head: compression shows as a tension below 0, and only in them.
#[test]
fn struts_bear_compression() {
    let strut = |high| Tie { strut: true, stiffness: 1e7, ..Tie::plain(0, high) };
    let frame = Network {
        points: vec![(0.0, 3.0), (-1.0, 0.0), (1.0, 0.0)],
        fixed: vec![false, true, true],
        ties: vec![strut(1), strut(2)],
        runs: Vec::new(),
        forces: vec![(0, (0.0, -2000.0))],
    };
    let solution = frame.solve().unwrap();
    // Each carries W / (2 cos θ), tan θ = 1/3.
    let expected = -1000.0 * libm::sqrt(10.0) / 3.0;
    close(solution.ties[0], expected);
    close(solution.ties[1], expected);
}

#[test]
fn a_deflection_pulley_pulls_its_sling_into_the_bisector() {
    // The rope comes up from the left below and leaves to the right below, 90° included; the sling lies in between, or aside.
    for anchor in [(0.0, 1.0), (0.5, 1.0)] {
        let network = Network {
            points: vec![(-1.0, -1.0), (0.0, 0.0), (1.0, -1.0), anchor],
            fixed: vec![false, false, true, true],
            ties: vec![Tie::plain(1, 3)],
            runs: vec![Run::over(vec![0, 1, 2], vec![Contact::Ratio(1.0)], Some(2000.0))],
            forces: Vec::new(),
        };
        let solution = network.solve_placed().unwrap();
        close(solution.ties[0], 2828.4271);
        close(solution.along[0].1, 1.0);
        assert_eq!(solution.moved[1], anchor.0 != 0.0);
        if !solution.moved[1] {
            assert_eq!(network.solve().unwrap(), solution);
        }
    }
}

/// A 3:1: load, hitch, fixed pulley, moving pulley, hands; the hitch ties the rope to the moving pulley.
fn three_to_one(past_sheave: f64) -> Network {
    Network {
        points: vec![(0.0, 0.0), (0.0, 5.0), (0.0, 9.0), (0.0, 5.5), (0.0, 12.0), (0.0, 10.0)],
        fixed: vec![false, false, false, false, true, true],
        ties: vec![Tie::plain(1, 3), Tie::plain(2, 5)],
        runs: vec![Run::over(
            vec![0, 1, 2, 3, 4],
            vec![Contact::Grip, Contact::Ratio(1.0 / past_sheave), Contact::Ratio(1.0 / past_sheave)],
            Some(2000.0),
        )],
        forces: Vec::new(),
    }
}

#[test]
fn tension_is_traced_through_a_three_to_one() {
    for (efficiency, haul) in [(1.0, 666.6667), (0.9, 738.0074)] {
        let solution = three_to_one(efficiency).solve().unwrap();
        close(solution.runs[0][3], haul);
        // The fixed pulley’s anchor takes both strands.
        close(solution.ties[1], solution.runs[0][1] + solution.runs[0][2]);
        assert!(solution.residual < 1e-9);
    }
}

#[test]
fn virtual_work_gives_the_same_ideal_advantage() {
    // Lift the load 1 m: hitch and moving pulley go with it. Rope between fixed and moving points shortens.
    let network = three_to_one(1.0);
    let lengths = |lift: f64| -> Vec<f64> {
        let mut points = network.points.clone();
        for moving in [0, 1, 3] {
            points[moving].1 += lift;
        }
        network.runs[0].path.windows(2).map(|e| (points[e[0]].1 - points[e[1]].1).abs()).collect()
    };
    let (before, after) = (lengths(0.0), lengths(1.0));
    // The last stretch runs up from the moving pulley to the hands: its own shortening is pulled in too.
    let taken: f64 = before.iter().zip(&after).map(|(b, a)| b - a).sum();
    let haul = network.solve().unwrap().runs[0][3];
    close(2000.0 * 1.0, haul * taken);
}

/// A trolley that runs free on a rope of this length over a span of 40 m, from wherever on it.
fn trolley(x: f64, long: f64) -> Network {
    let half = long / 2.0;
    let sag = libm::sqrt(half * half - 400.0);
    // On the ellipse of places that the rope reaches.
    let y = -sag * libm::sqrt(1.0 - (x - 20.0) * (x - 20.0) / (half * half));
    Network {
        points: vec![(0.0, 0.0), (x, y), (40.0, 0.0)],
        fixed: vec![true, false, true],
        ties: Vec::new(),
        runs: vec![Run::over(vec![0, 1, 2], vec![Contact::Ratio(1.0)], None)],
        forces: vec![(1, (0.0, -2000.0))],
    }
}

/// EA 30 kN, natural length 40.4 m: T 2474.0030 N, sag 8.83824 m; drawn at the length that it then has, from wherever on it,
/// it rolls to the middle and stays as long as drawn. So does one that does not stretch: T = W · 20.2 / (2 sag).
#[test]
fn a_free_trolley_rolls_to_the_middle_and_its_rope_stays_as_long_as_drawn() {
    let stiff = libm::sqrt(20.2_f64 * 20.2 - 400.0);
    let cases =
        [(40.4 * (1.0 + 2474.0030 / 30e3), 2474.0030, 8.83824), (40.4, 2000.0 * 20.2 / (2.0 * stiff), stiff)];
    for (long, tension, sag) in cases {
        for x in [20.0, 12.0, 31.0] {
            let network = trolley(x, long);
            let solution = network.solve().unwrap();
            let found = solution.runs[0][0];
            assert!((found - tension).abs() < 1e-7 * tension, "{x}: {found} beside {tension}");
            let place = solution.places(&network)[1];
            assert!((place.0 - 20.0).abs() < 1e-6 && (place.1 + sag).abs() < 5e-6, "{place:?}");
            assert!(solution.residual < 1e-4 && !solution.shared);
        }
    }
}

/// A redirect whose pulley hangs on a sling of 1 m that is drawn upright: it swings until sling and strands balance, and
/// what it bears is what the strands make of the place it swings to. Beside the same by bisection.
#[test]
fn a_redirect_swings_to_where_it_balances() {
    let (load, top, anchor) = ((0.0, -4.0), (3.0, -3.0), (0.5, 1.0));
    let network = Network {
        points: vec![load, (0.5, 0.0), top, anchor],
        fixed: vec![false, false, true, true],
        ties: vec![Tie::plain(1, 3)],
        runs: vec![Run::over(vec![0, 1, 2], vec![Contact::Ratio(1.0)], Some(2000.0))],
        forces: Vec::new(),
    };
    // Place on the circle about the anchor, by its angle from straight down; across the sling the strands must balance.
    let at = |a: f64| (anchor.0 + libm::sin(a), anchor.1 - libm::cos(a));
    let strands = |a: f64| {
        let (x, y) = at(a);
        let one = |way: Vec2| {
            (2000.0 * way.0 / libm::hypot(way.0, way.1), 2000.0 * way.1 / libm::hypot(way.0, way.1))
        };
        // The load hangs as far aside as its pulley swings: it pulls the way it pulled.
        let (p, q) = (one((load.0 - 0.5, load.1)), one((top.0 - x, top.1 - y)));
        (p.0 + q.0, p.1 + q.1)
    };
    let (mut low, mut high) = (-1.0_f64, 1.0_f64);
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        let pull = strands(middle);
        if pull.0 * libm::cos(middle) + pull.1 * libm::sin(middle) > 0.0 {
            low = middle
        } else {
            high = middle
        }
    }
    let (pull, place) = (strands(low), at(low));
    let solution = network.solve().unwrap();
    assert!(solution.moved[1]);
    assert!((solution.ties[0] - libm::hypot(pull.0, pull.1)).abs() < 1e-2, "{} {pull:?}", solution.ties[0]);
    assert!(
        libm::hypot(solution.places(&network)[1].0 - place.0, solution.places(&network)[1].1 - place.1)
            < 1e-5
    );
}

/// A knot that hangs between a leg and a long guy swings until the guy bears.
#[test]
fn a_slack_leg_bears_once_the_knot_has_swung_so_far() {
    let mut network = knot(&[0.0, -60.0], (1500.0, -2000.0));
    network.ties[1].gap = 0.4;
    let solution = network.solve().unwrap();
    assert!(solution.moved[0] && solution.ties[0] > 0.0 && solution.ties[1] > 0.0, "{:?}", solution.ties);
    let way = |i: usize| solution.along[i];
    let sum = |axis: fn(Vec2) -> f64| axis(way(0)) * solution.ties[0] + axis(way(1)) * solution.ties[1];
    assert!((sum(|v| v.0) + 1500.0).abs() < 1e-3 && (sum(|v| v.1) - 2000.0).abs() < 1e-3);
    let long = libm::hypot(
        solution.places(&network)[0].0 - network.points[2].0,
        solution.places(&network)[0].1 - network.points[2].1,
    );
    assert!((long - 3.4).abs() < 0.2, "{long}");
}

/// A strut that stands on its foot alone tips; a rope that would have to push is no answer.
#[test]
fn what_tips_or_pushes_is_no_answer() {
    let strut = Tie { strut: true, stiffness: 1e7, ..Tie::plain(0, 1) };
    let alone = Network {
        points: vec![(0.0, 3.0), (0.0, 0.0)],
        fixed: vec![false, true],
        ties: vec![strut],
        runs: Vec::new(),
        forces: vec![(0, (300.0, -2000.0))],
    };
    assert_eq!(alone.solve(), Err(Unsolved::Tips(0)));
    let mut pushed = trolley(20.0, 40.4);
    pushed.forces[0].1 = (0.0, 2000.0);
    let up = pushed.solve();
    assert!(up.as_ref().map_or(true, |s| s.runs[0][0] > 0.0 && s.places(&pushed)[1].1 > 0.0), "{up:?}");
}

/// Two legs tied so long that neither bears as placed: the knot sinks until both are as long as they are tied and stretch.
#[test]
fn a_knot_on_two_slack_legs_sinks_until_both_bear() {
    let mut network = knot(&[-30.0, 20.0], (0.0, -2000.0));
    (network.ties[0].gap, network.ties[1].gap) = (0.1, 0.3);
    network.ties.iter_mut().for_each(|tie| tie.stiffness = 30e3);
    let solution = network.solve().unwrap();
    let place = solution.places(&network)[0];
    let mut sum = (0.0, -2000.0);
    for (tie, (gap, tension)) in
        [(1, 0.1), (2, 0.3)].into_iter().zip(&solution.ties).map(|((p, g), t)| (p, (g, *t)))
    {
        let (dx, dy) = (network.points[tie].0 - place.0, network.points[tie].1 - place.1);
        let long = libm::hypot(dx, dy);
        close(tension, 30e3 * (long / (3.0 + gap) - 1.0));
        assert!(tension > 0.0);
        sum = (sum.0 + tension * dx / long, sum.1 + tension * dy / long);
    }
    assert!(libm::hypot(sum.0, sum.1) < 1e-6, "{sum:?}");
}
