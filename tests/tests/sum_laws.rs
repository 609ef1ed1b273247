//! Laws of the trade's sums beside their published values: what has no answer says so, what belongs together agrees.

use engine::{
    AngleFrom, RedirectFrom, SystemKind, advantage, fall, leg_pair, leg_share, redirect, slope, span, wrap,
};
use rig::quantity::{Angle, Force, Length, Mass, Ratio};

const G: f64 = 9.80665;

fn n(value: f64) -> Force {
    Force::newtons(value).expect("finite")
}
fn m(value: f64) -> Length {
    Length::metres(value).expect("finite")
}
fn deg(value: f64) -> Angle {
    Angle::degrees(value).expect("finite")
}
fn plain(value: f64) -> Ratio {
    Ratio::new(value).expect("finite")
}

/// Raising undoes holding, and degrees are no radians.
#[test]
fn a_wrap_that_raises_undoes_one_that_holds() {
    let turns = Angle::parse("1.25turns").expect("turns");
    let raised = wrap(n(1234.0), plain(0.3), turns, true).expect("in range");
    let back = wrap(raised, plain(0.3), turns, false).expect("in range");
    assert!((back.to_newtons() - 1234.0).abs() < 1e-9);
    let half_turn = wrap(n(1.0), plain(0.25), deg(180.0), true).expect("in range").to_newtons();
    assert!((half_turn - (0.25 * std::f64::consts::PI).exp()).abs() < 1e-12);
}

/// Tension is the only thing traced: each strand's share, haulers' side first.
#[test]
fn each_strand_carries_what_its_sheave_passes() {
    let strands = advantage("3:1", SystemKind::Simple, plain(0.9), 0, n(1.0)).expect("known").strands;
    assert_eq!(strands.len(), 1);
    assert!(strands[0].iter().zip([1.0, 0.9, 0.81]).all(|(a, b)| (a - b).abs() < 1e-12));
}

/// At the angle of repose, tan α = μ, the load rests by itself.
#[test]
fn at_the_angle_of_repose_the_load_rests() {
    let rope = |degrees: f64, mu: f64| {
        let mass = Mass::kilograms(100.0).expect("finite");
        slope(mass, deg(degrees), plain(mu), false, G).expect("in range").to_newtons()
    };
    for mu in [0.1, 0.5, 1.0_f64] {
        let repose = mu.atan().to_degrees();
        assert!(rope(repose, mu) < 1e-9 && rope(repose + 1.0, mu) > 1.0);
    }
}

/// The ends of a taut rope carry the load between them, and nothing else.
#[test]
fn the_ends_of_a_taut_rope_carry_its_load() {
    let found = span(n(2000.0), m(40.0), m(4.0)).expect("in range");
    let (sin, cos) = found.angle_deg.to_radians().sin_cos();
    assert!((2.0 * found.tension.to_newtons() * sin - 2000.0).abs() < 1e-9);
    assert!((found.tension.to_newtons() * cos - found.across.to_newtons()).abs() < 1e-9);
}

/// What texts print that leave the weight out while the rope stretches is given beside the whole, never in its place.
#[test]
fn the_weight_while_it_stretches_counts() {
    for (kg, drop, length, k) in [(100.0, 1.0, 3.0, 30.0), (200.0, 0.0, 10.0, 30.0), (80.0, 4.0, 2.0, 45.0)] {
        let mass = Mass::kilograms(kg).expect("finite");
        let found = fall(mass, m(drop), m(length), n(k * 1000.0), G).expect("in range");
        let weight = kg * G;
        let (whole, without) = (found.peak.to_newtons(), found.peak_without_stretch.to_newtons());
        assert!(whole > without + weight * 0.999, "{whole} is the larger by a weight at least");
        // The whole is the height of a spring's swing: ½ k x² = W (h + x).
        let stiffness = k * 1000.0 / length;
        let energy = 0.5 * stiffness * found.stretch_m * found.stretch_m;
        assert!((energy - weight * found.fall_m).abs() < 1e-9 * energy);
    }
}

/// What has no answer says so.
#[test]
fn sums_refuse_what_they_are_not_for() {
    assert!(leg_share(n(1.0), deg(180.0), AngleFrom::Included).is_err());
    assert!(leg_share(n(1.0), deg(-1.0), AngleFrom::Vertical).is_err());
    assert!(leg_share(n(1.0), deg(0.0), AngleFrom::Horizontal).is_err());
    assert!(leg_pair(n(1.0), deg(0.0), deg(0.0)).is_err());
    assert!(redirect(n(1.0), deg(181.0), RedirectFrom::Included).is_err());
    assert!(wrap(n(1.0), plain(-0.1), deg(90.0), true).is_err());
    assert!(wrap(n(1.0), plain(9.0), deg(360_000.0), true).is_err());
    for system in ["0:1", "25:1", "3", "3:2", "x:1", "-3:1", ""] {
        assert!(advantage(system, SystemKind::Simple, plain(0.9), 0, n(1.0)).is_err(), "{system}");
    }
    assert!(advantage("5:1", SystemKind::Compound, plain(0.9), 0, n(1.0)).is_err());
    assert!(advantage("5:1", SystemKind::Complex, plain(0.9), 0, n(1.0)).is_err());
    assert!(advantage("3:1", SystemKind::Simple, plain(0.0), 0, n(1.0)).is_err());
    assert!(advantage("3:1", SystemKind::Simple, plain(1.1), 0, n(1.0)).is_err());
}
