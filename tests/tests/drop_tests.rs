//! Drops that people measured and published, beside what falls are reckoned with: the measured peak lies within what the ranges of
//! stiffness and damping give for such a rope, or the test says how far it lies beyond them and why. Few: what is published of low-stretch ropes without a device is little.

use engine::drop::{Drop, Grip, Limits, exact};
use rig::guidelines::Guidelines;
use rig::quantity::G;
use serde::Deserialize;

#[derive(Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Measured {
    what: String,
    mass_kg: f64,
    drop_m: f64,
    rope_m: f64,
    #[serde(rename = "measured_kN")]
    measured: Option<f64>,
    #[serde(rename = "at_most_kN")]
    at_most: Option<f64>,
    /// By how much it lies over all that is reckoned, kN, and why.
    #[serde(rename = "beyond_kN")]
    beyond: Option<f64>,
    because: Option<String>,
    source: String,
    standing: String,
}

/// The range of stiffness of a low-stretch rope, N, as the templates state it.
fn stiffness() -> [f64; 2] {
    let rig = rig::templates::make("twin-lower-two-knots", &Default::default()).unwrap();
    let own = &rig.ropes[0].stiffness;
    [own.low.to_newtons(), own.high.to_newtons()]
}

/// The lowest and the highest peak over the corners of the ranges, kN.
fn peaks(test: &Measured) -> (f64, f64) {
    let damping = Guidelines::defaults().falls.damping_s;
    let corners = stiffness().into_iter().flat_map(|k| [damping.low, damping.high].map(|c| (k, c)));
    let peak = |(stiffness, damping)| {
        let drop = Drop {
            mass: test.mass_kg,
            gravity: G,
            speed: 0.0,
            stiffness,
            damping,
            below: test.rope_m,
            edge: None,
            slack: test.drop_m,
            carried: 0.0,
            grip: Grip::tied_off(),
        };
        exact::fall(&drop, Limits { fall: 100.0, time: 30.0 }).unwrap().peak / 1000.0
    };
    corners.map(peak).fold((f64::INFINITY, 0.0), |(low, high), kn| (low.min(kn), high.max(kn)))
}

/// Whether what was measured fits what is reckoned: within it; a bound that nothing went over must not lie under all of it.
fn fits(test: &Measured) -> bool {
    let (low, high) = peaks(test);
    let within = test.measured.is_none_or(|kn| match test.beyond {
        None => low <= kn && kn <= high,
        Some(beyond) => (kn - high - beyond).abs() < 0.01,
    });
    // Where no more than a bound is known, to be reckoned harder than it was is no fault.
    within && test.at_most.is_none_or(|kn| low <= kn && high >= 0.5 * kn)
}

fn all() -> Vec<Measured> {
    serde_json::from_str(include_str!("../fixtures/drop-tests.json")).unwrap()
}

#[test]
fn what_was_measured_lies_within_what_is_reckoned() {
    for test in all() {
        let (low, high) = peaks(&test);
        println!("{}: {low:.2} to {high:.2} kN", test.what);
        assert!(fits(&test), "{}: {low:.2} to {high:.2} kN", test.what);
        assert!(!test.source.is_empty() && test.standing == "seen");
        assert_eq!(test.beyond.is_some(), test.because.is_some(), "{}", test.what);
        assert!(test.measured.is_some() != test.at_most.is_some(), "{}", test.what);
    }
}

#[test]
fn a_measurement_that_is_far_off_does_not_fit() {
    for test in all() {
        for by in [0.3, 2.5] {
            let wrong = Measured {
                measured: test.measured.map(|kn| by * kn),
                at_most: test.at_most.map(|kn| if by > 1.0 { 4.0 * kn } else { by * kn }),
                ..test.clone()
            };
            assert!(!fits(&wrong), "{} times {by}", test.what);
        }
    }
}
