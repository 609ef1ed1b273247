//! Where published conventions differ, an answer shows both: how an angle was read and what the other readings
//! would give, limits on haulers, names of slopes, limits on the force of an arrest.

use super::{AngleFrom, Figure, RedirectFrom, figure};
use engine::{Advantage, Fall, Span};
use rig::guidelines::Guidelines;
use rig::quantity::{Angle, Force, Ratio};

/// Grip strength as a planning pull, kN: about 30 lbf.
const GRIP_KN: f64 = 0.133;

fn kilonewtons(force: Force) -> String {
    format!("{:.3} kN", force.to_newtons() / 1000.0)
}

/// The same number read by the other conventions of two legs.
pub(super) fn other_legs(load: Force, at: Angle, from: AngleFrom) -> String {
    let words = |from| match from {
        AngleFrom::Included => "between the legs (included)",
        AngleFrom::Horizontal => "from the horizontal",
        AngleFrom::Vertical => "from the vertical",
    };
    let others = [AngleFrom::Included, AngleFrom::Horizontal, AngleFrom::Vertical]
        .into_iter()
        .filter(|other| *other != from)
        .map(|other| match engine::leg_share(load, at, other) {
            Ok(leg) => format!("{} it would be {}", words(other), kilonewtons(leg)),
            Err(_) => format!("{} there would be no answer", words(other)),
        });
    let others: Vec<String> = others.collect();
    format!("{}° read as {}; {}", at.to_degrees(), words(from), others.join(", "))
}

/// The same number read by the other convention of a redirect.
pub(super) fn other_redirect(tension: Force, at: Angle, from: RedirectFrom) -> String {
    let words = |from| match from {
        RedirectFrom::Included => "the angle between the strands (included)",
        RedirectFrom::Deflection => "the angle the rope is turned by (deflection)",
    };
    let other = match from {
        RedirectFrom::Included => RedirectFrom::Deflection,
        RedirectFrom::Deflection => RedirectFrom::Included,
    };
    let read = format!("{}° read as {}", at.to_degrees(), words(from));
    match engine::redirect(tension, at, other) {
        Ok(pulley) => format!("{read}; as {} it would be {}", words(other), kilonewtons(pulley)),
        Err(_) => read,
    }
}

/// People for a haul force at both planning pulls, and the most that both limits allow.
pub(super) fn people(haul: Force, theoretical: f64) -> Vec<Figure> {
    let defaults = Guidelines::defaults();
    let planned = defaults.pull_per_person_kn.value;
    let needed = |pull_kn: f64| (haul.to_newtons() / 1000.0 / pull_kn - 1e-9).ceil();
    let most = |product: f64| (product / theoretical + 1e-9).floor();
    let (high, low) = (defaults.haul_product_most.value, defaults.haul_product.value);
    vec![
        figure(&format!("people at {planned} kN each (50 lbf)"), needed(planned), "people"),
        figure(&format!("people at {GRIP_KN} kN each (30 lbf)"), needed(GRIP_KN), "people"),
        figure(&format!("most people by the rule of {high}"), most(high), "people"),
        figure(&format!("most people by the rule of {low}"), most(low), "people"),
    ]
}

/// Sources on haulers and on losses, which disagree.
pub(super) fn of_hauling(found: &Advantage, eta: Ratio, redirects: u32) -> Vec<String> {
    let defaults = Guidelines::defaults();
    let mut notes = vec![
        format!(
            "pull a person: {}; 30 lbf: grip strength in studies, from a training article (second-hand)",
            defaults.pull_per_person_kn.source
        ),
        format!(
            "haulers × theoretical advantage at most {} ({}) or at most {} ({}): the sources disagree, the team must choose",
            defaults.haul_product_most.value,
            defaults.haul_product_most.source,
            defaults.haul_product.value,
            defaults.haul_product.source
        ),
    ];
    if eta.value() < 1.0 {
        let turned =
            if redirects == 0 { "" } else { " (each change of direction × the efficiency besides)" };
        let traced = found.practical / (0..redirects).fold(1.0, |left, _| left * eta.value());
        notes.push(format!(
            "as a share of the theoretical advantage, as some sources print it, the practical one would be {:.2} × {} = {:.2}; traced through the rope it is {traced:.3}{turned}",
            eta.value(),
            found.theoretical,
            eta.value() * found.theoretical,
        ));
    } else {
        notes.push("perfect pulleys: with `--efficiency` their loss is counted; what a sheave passes is the team’s to measure".into());
    }
    notes
}

/// A name for slopes with its range in degrees from the horizontal, and where it was read.
struct SlopeName(&'static str, f64, f64, &'static str);

const SLOPE_NAMES: &[SlopeName] = &[
    SlopeName(
        "steep",
        30.0,
        50.0,
        "a riggers’ guide, second edition, and a British Columbia search and rescue manual",
    ),
    SlopeName("steep", 40.0, 60.0, "an earlier edition of that guide"),
    SlopeName("low", 0.0, 45.0, "a state’s rescue course, California"),
    SlopeName("high", 45.0, 90.0, "a state’s rescue course, California"),
    SlopeName("low", 15.0, 67.5, "a journal"),
    SlopeName("high", 60.0, 90.0, "a seller’s article"),
];

/// What a slope of this angle is called, and whether the load rests by itself.
pub(super) fn of_slope(degrees: f64, rope_n: f64, raising: bool) -> Vec<String> {
    let mut notes = Vec::new();
    if !raising && rope_n <= 0.0 {
        notes.push(
            "friction alone holds the load: it does not move by itself, and must be pushed to go down".into(),
        );
    }
    let called: Vec<String> = SLOPE_NAMES
        .iter()
        .filter(|SlopeName(_, low, high, _)| (*low..=*high).contains(&degrees))
        .map(|SlopeName(name, low, high, source)| format!("{name}, {low}° to {high}° ({source})"))
        .collect();
    if !called.is_empty() {
        notes.push(format!("what it is called differs: {}", called.join("; ")));
    }
    notes.push("friction of a slope is a range: rubber on dry concrete 1.0 resting, 0.7 sliding; waxed wood on wet snow 0.14, 0.1 (OpenStax College Physics)".into());
    notes
}

/// Limits on the force of an arrest and on belays, beside a peak.
pub(super) fn of_falls(found: &Fall) -> Vec<String> {
    let peak = found.peak.to_newtons() / 1000.0;
    let limit =
        |kn: f64, words: &str| format!("{} {kn} kN ({words})", if peak > kn { "over" } else { "within" });
    vec![
        "EA by class of rope, an assumption: low-stretch 20 kN to 61 kN, very low stretch 60 kN to 130 kN; not known, 20 kN to 130 kN".into(),
        format!(
            "force on a person: {}, {}; they differ",
            limit(6.0, "EU and Alberta"),
            limit(8.0, "USA, 1800 lbf")
        ),
        format!(
            "force of a belay’s test: {}, {}; its mass is 200 kg or 280 kg (second-hand and from memory)",
            limit(12.0, "some users"),
            limit(15.0, "1 m on 3 m of rope")
        ),
    ]
}

/// The guide for the sag of a taut rope.
pub(super) fn of_spans(found: &Span) -> Vec<String> {
    // A sag set to a tenth of the span itself must not fall under it by rounding.
    let tight = found.sag_share < 0.1 - 1e-9;
    vec![format!(
        "a sag of a tenth of the span is a guide in print (an exam page, second-hand): this one is {}",
        if tight { "tighter" } else { "not tighter" }
    )]
}
