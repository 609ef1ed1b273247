//! Falls, stiffness, slopes and taut ropes against published values: one row a value, each with its source and standing.
//! Tolerance is half a unit of the last digit printed, unless the row says why not.

use engine::{fall, slope, span};
use rig::quantity::{Angle, Force, Length, Mass, Ratio};

const G: f64 = 9.80665;
/// Gravity of the OpenStax books.
const G_OPENSTAX: f64 = 9.80;

fn stopped(kilograms: f64, drop: f64, rope: f64, modulus_kn: f64, gravity: f64) -> engine::Fall {
    let (mass, modulus) = (Mass::kilograms(kilograms).unwrap(), Force::newtons(modulus_kn * 1000.0).unwrap());
    let metres = |v| Length::metres(v).unwrap();
    fall(mass, metres(drop), metres(rope), modulus, gravity).unwrap()
}

fn peak_kn(kilograms: f64, factor: f64, modulus_kn: f64) -> f64 {
    stopped(kilograms, factor * 3.0, 3.0, modulus_kn, G).peak.to_newtons() / 1000.0
}

fn taut(load: f64, length: f64, sag: f64) -> engine::Span {
    let metres = |v| Length::metres(v).unwrap();
    span(Force::newtons(load).unwrap(), metres(length), metres(sag)).unwrap()
}

/// Rope force on a slope, N.
fn rope(kilograms: f64, degrees: f64, mu: f64, raising: bool, gravity: f64) -> f64 {
    let (mass, angle) = (Mass::kilograms(kilograms).unwrap(), Angle::degrees(degrees).unwrap());
    slope(mass, angle, Ratio::new(mu).unwrap(), raising, gravity).unwrap().to_newtons()
}

/// Row, what our sum gives, what print says, tolerance, source with its standing.
type Row = (&'static str, f64, f64, f64, &'static str);

fn check(rows: &[Row]) {
    for (id, got, printed, tolerance, source) in rows {
        assert!(
            (got - printed).abs() <= tolerance * (1.0 + 1e-9),
            "{id}: {got} against {printed} ± {tolerance} ({source})"
        );
    }
}

/// A fall on a rope by the standard equation.
#[test]
fn falls() {
    let derived = "standard equation with g 9.80665 (derived)";
    let belay = |kg: f64, k: f64| peak_kn(kg, 1.0 / 3.0, k);
    check(&[
        ("5.16 280 kg, 20 kN", belay(280.0, 20.0), 9.39, 0.005, derived),
        ("5.16 280 kg, 30 kN", belay(280.0, 30.0), 10.65, 0.005, derived),
        ("5.16 280 kg, 40 kN", belay(280.0, 40.0), 11.73, 0.005, derived),
        ("5.16 280 kg, 60 kN", belay(280.0, 60.0), 13.58, 0.005, derived),
        ("5.17 200 kg, 20 kN", belay(200.0, 20.0), 7.44, 0.005, derived),
        ("5.17 200 kg, 30 kN", belay(200.0, 30.0), 8.52, 0.005, derived),
        ("5.17 200 kg, 40 kN", belay(200.0, 40.0), 9.45, 0.005, derived),
        ("5.17 200 kg, 60 kN", belay(200.0, 60.0), 11.03, 0.005, derived),
        ("5.18 factor 2", stopped(80.0, 4.0, 2.0, 30.0, G).fall_factor, 2.0, 0.05, "teaching page (seen)"),
        ("5.18 factor 0.2", stopped(80.0, 2.0, 10.0, 30.0, G).fall_factor, 0.2, 0.05, "teaching page (seen)"),
        // A measured peak gives the stiffness back: K = F (F − 2 W) / (2 W f), then our sum the peak.
        ("5.10 old ropes", peak_kn(100.0, 1.0, 41.0), 10.0, 0.05, "rope-ageing test log (seen)"),
        ("5.10 new ropes", peak_kn(100.0, 1.0, 61.0), 12.0, 0.05, "rope-ageing test log (seen)"),
        ("5.11 EN 1891 A limit", peak_kn(100.0, 0.3, 41.2), 6.0, 0.005, "EN 1891 limit (from memory)"),
        ("5.14 80 kg, 9 kN", peak_kn(80.0, 1.77, 24.1), 9.0, 0.01, "EN 892 test (derived)"),
        ("5.14 80 kg, 12 kN", peak_kn(80.0, 1.77, 45.1), 12.0, 0.01, "EN 892 test (derived)"),
    ]);
}

/// What texts print that leave the weight out while the rope stretches is given beside the whole, never in its place.
#[test]
fn the_weight_while_it_stretches_counts() {
    for (kg, drop, length, k) in [(100.0, 1.0, 3.0, 30.0), (200.0, 0.0, 10.0, 30.0), (80.0, 4.0, 2.0, 45.0)] {
        let found = stopped(kg, drop, length, k, G);
        let weight = kg * G;
        let (whole, without) = (found.peak.to_newtons(), found.peak_without_stretch.to_newtons());
        assert!(whole > without + weight * 0.999, "{whole} is the larger by a weight at least");
        // The whole is the height of a spring's swing: ½ k x² = W (h + x).
        let stiffness = k * 1000.0 / length;
        let energy = 0.5 * stiffness * found.stretch_m * found.stretch_m;
        assert!((energy - weight * found.fall_m).abs() < 1e-9 * energy);
    }
}

/// Closed forms of an undamped spring, to all digits that were worked out beforehand.
#[test]
fn closed_forms_of_a_spring() {
    let one = stopped(100.0, 1.0, 3.0, 30.0, G);
    let two = stopped(200.0, 1.0, 3.0, 30.0, G);
    let sudden = stopped(200.0, 0.0, 10.0, 30.0, G);
    let worked = "closed form, worked by hand";
    check(&[
        ("100 kg, 1 m on 3 m", one.peak.to_newtons(), 5516.63, 0.005, worked),
        ("its fall", one.fall_m, 1.551_663, 5e-7, worked),
        ("its stop", one.stop_s, 0.630_472, 5e-7, worked),
        ("200 kg, 1 m on 3 m", two.peak.to_newtons(), 8524.36, 0.005, worked),
        ("sudden load: twice the weight", sudden.peak.to_newtons(), 3922.66, 0.005, worked),
        // Half a swing, π √(m / k).
        ("its stop", sudden.stop_s, 0.811_156, 5e-7, worked),
    ]);
}

/// Stretch under a steady force, from the same modulus.
#[test]
fn stiffness_as_printed() {
    // The stretch of a sudden load is twice that of a steady one.
    let steady =
        |kg: f64, length: f64, ea_kn: f64, g: f64| stopped(kg, 0.0, length, ea_kn, g).stretch_m / 2.0;
    let area = |mm: f64| std::f64::consts::PI * (mm / 2000.0) * (mm / 2000.0);
    check(&[
        (
            "5.6 30 m stretched by 90 kg",
            steady(90.0, 30.0, 1.35e9 * area(10.0) / 1000.0, G_OPENSTAX),
            0.25,
            0.0005,
            "OpenStax University Physics (seen)",
        ),
        (
            "5.8 mine cable",
            steady(3.0e6 / G, 3020.0, 210e9 * area(56.0) / 1000.0, G),
            18.0,
            0.5,
            "OpenStax College Physics (seen)",
        ),
    ]);
}

#[test]
fn slopes() {
    let openstax = "OpenStax College Physics, Normal, Tension (seen)";
    check(&[
        ("10.1 skier, W sin α", rope(60.0, 25.0, 0.0, false, G_OPENSTAX), 248.0, 0.5, openstax),
        ("10.1 a without friction", rope(60.0, 25.0, 0.0, false, G_OPENSTAX) / 60.0, 4.14, 0.005, openstax),
        // 45.0 N of friction on it: μ = 45 / (W cos α).
        (
            "10.1 a with friction",
            rope(60.0, 25.0, 45.0 / (60.0 * G_OPENSTAX * 25.0_f64.to_radians().cos()), false, G_OPENSTAX)
                / 60.0,
            3.39,
            0.005,
            openstax,
        ),
        (
            "10.3 sled lowered",
            rope(90.0, 60.0, 0.1, false, G_OPENSTAX),
            720.0,
            0.5,
            "OpenStax, question seen, derived",
        ),
        (
            "10.3 sled raised",
            rope(90.0, 60.0, 0.1, true, G_OPENSTAX),
            808.0,
            0.5,
            "OpenStax, question seen, derived",
        ),
    ]);
    for (degrees, percent) in
        [(15.0, 26.0), (30.0, 50.0), (40.0, 64.0), (45.0, 71.0), (50.0, 77.0), (60.0, 87.0)]
    {
        let share = rope(100.0, degrees, 0.0, false, G) / (100.0 * G) * 100.0;
        assert!((share - percent).abs() <= 0.5, "10.8 {degrees}°: {share} % against {percent} %");
    }
    // 10.4: at the angle of repose, tan α = μ, the load rests by itself.
    for mu in [0.1, 0.5, 1.0_f64] {
        let repose = mu.atan().to_degrees();
        assert!(rope(100.0, repose, mu, false, G) < 1e-9 && rope(100.0, repose + 1.0, mu, false, G) > 1.0);
    }
}

#[test]
fn loads_on_a_taut_rope() {
    // The sag that gives an angle: s = L/2 tan α.
    let at = |kg: f64, degrees: f64, g: f64| {
        taut(kg * g, 10.0, 5.0 * f64::to_radians(degrees).tan()).tension.to_newtons()
    };
    check(&[
        ("11.1 rope walker", at(70.0, 5.0, G_OPENSTAX), 3900.0, 50.0, "OpenStax College Physics (seen)"),
        ("5.7 the same", at(70.0, 5.0, G_OPENSTAX), 3940.0, 5.0, "OpenStax University Physics (seen)"),
        // Its last digit is cut off in print: 6553.8117.
        ("11.3", at(70.0, 3.0, 9.8), 6553.811, 0.001, "worked answer (seen)"),
        // Print has the small-angle value: 0.5 % is granted for it.
        (
            "11.4",
            taut(70.0 * 9.8, 460.0, 1.5).tension.to_newtons(),
            5.25e4,
            5.25e4 * 0.005,
            "worked answer (seen)",
        ),
        (
            "11.5 a tenth",
            taut(2000.0, 40.0, 4.0).tension.to_newtons() / 1000.0,
            5.10,
            0.005,
            "formula (derived)",
        ),
        (
            "11.5 a twentieth",
            taut(2000.0, 40.0, 2.0).tension.to_newtons() / 1000.0,
            10.05,
            0.005,
            "formula (derived)",
        ),
        (
            "11.6 a tenth of the span",
            taut(2000.0, 100.0, 10.0).sag_share,
            0.1,
            1e-12,
            "exam page (second-hand)",
        ),
    ]);
    // The ends carry the load between them, and nothing else.
    let found = taut(2000.0, 40.0, 4.0);
    let upright = found.tension.to_newtons() * found.angle_deg.to_radians().sin();
    assert!((2.0 * upright - 2000.0).abs() < 1e-9);
    assert!(
        (found.tension.to_newtons() * found.angle_deg.to_radians().cos() - found.across.to_newtons()).abs()
            < 1e-9
    );
}
