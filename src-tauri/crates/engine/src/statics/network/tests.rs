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
    // Four tonnes stretch the two by 0.2 m with 3 kN each; beyond that all three share.
    for (found, expected) in
        side_by_side(&[0.0, 0.0, 0.2], &even, 9000.0).into_iter().zip([4000.0, 4000.0, 1000.0])
    {
        close(found, expected);
    }
    // Tied shorter than the other by 10 mm: k · 10 mm = 150 N more than it, half of it on each side of the mean.
    for (found, expected) in
        side_by_side(&[-0.01, 0.0], &[30e3, 30e3], 2000.0).into_iter().zip([1075.0, 925.0])
    {
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
    // The rope comes up from the left below and leaves to the right below, 90° included.
    let network = Network {
        points: vec![(-1.0, -1.0), (0.0, 0.0), (1.0, -1.0), (0.5, 1.0)],
        fixed: vec![false, false, true, true],
        ties: vec![Tie::plain(1, 3)],
        runs: vec![Run { path: vec![0, 1, 2], contacts: vec![Contact::Ratio(1.0)], tension: Some(2000.0) }],
        forces: Vec::new(),
    };
    let solution = network.solve().unwrap();
    close(solution.ties[0], 2828.4271);
    close(solution.along[0].1, 1.0);
    assert!(solution.moved[1]);
}

/// A 3:1: load, hitch, fixed pulley, moving pulley, hands; the hitch ties the rope to the moving pulley.
fn three_to_one(past_sheave: f64) -> Network {
    Network {
        points: vec![(0.0, 0.0), (0.0, 5.0), (0.0, 9.0), (0.0, 5.5), (0.0, 12.0), (0.0, 10.0)],
        fixed: vec![false, false, false, false, true, true],
        ties: vec![Tie::plain(1, 3), Tie::plain(2, 5)],
        runs: vec![Run {
            path: vec![0, 1, 2, 3, 4],
            contacts: vec![
                Contact::Grip,
                Contact::Ratio(1.0 / past_sheave),
                Contact::Ratio(1.0 / past_sheave),
            ],
            tension: Some(2000.0),
        }],
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
