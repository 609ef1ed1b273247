//! The trade's working figures, from texts with units: `ledgebook sum`. Each answer names the convention of its
//! angles, and where published conventions differ it shows both.

mod conventions;
mod page;
mod read;

use crate::wire::Trouble;
pub use engine::{AngleFrom, RedirectFrom, SystemKind};
pub use page::{ask, page};
pub use read::gravity;
use read::{angle, count, force, length, mass, outside, ratio, stiffness};
use rig::quantity::Force;
use serde::Serialize;

/// What a sum answers.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Answer {
    /// The quantity asked for first.
    pub results: Vec<Figure>,
    /// The formula.
    pub method: String,
    /// Where it stands.
    pub source: String,
    /// How angles were read, what is assumed, and where published conventions differ.
    pub notes: Vec<String>,
}

/// A figure with its unit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figure {
    /// What it is.
    pub name: String,
    /// The number.
    pub value: f64,
    /// Its unit.
    pub unit: &'static str,
}

fn figure(name: &str, value: f64, unit: &'static str) -> Figure {
    Figure { name: name.into(), value, unit }
}

fn kn(name: &str, force: Force) -> Figure {
    figure(name, force.to_newtons() / 1000.0, "kN")
}

fn answer(results: Vec<Figure>, method: &str, source: &str, notes: Vec<String>) -> Answer {
    Answer { results, method: method.into(), source: source.into(), notes }
}

/// Tension of each of two equal legs.
///
/// # Errors
/// A text that is no quantity, an angle at which the legs lie level.
pub fn leg_share(load: &str, at: &str, from: AngleFrom, gravity: f64) -> Result<Answer, Trouble> {
    let (load, at) = (force("load", load, gravity)?, angle("angle", at)?);
    let leg = engine::leg_share(load, at, from).map_err(|e| outside("angle", &e))?;
    let vertical = match from {
        AngleFrom::Included => at.to_degrees() / 2.0,
        AngleFrom::Horizontal => 90.0 - at.to_degrees(),
        AngleFrom::Vertical => at.to_degrees(),
    };
    Ok(answer(
        vec![
            kn("each leg", leg),
            figure("share of the load", leg.to_newtons() / load.to_newtons(), ""),
            figure("angle between the legs (included)", 2.0 * vertical, "deg"),
            figure("angle of each leg from the vertical", vertical, "deg"),
            figure("angle of each leg from the horizontal", 90.0 - vertical, "deg"),
        ],
        "load / (2 cos φ), φ of each leg from the vertical",
        "balance of forces at the knot",
        vec![conventions::other_legs(load, at, from)],
    ))
}

/// Tensions of two legs at unequal angles from the vertical.
///
/// # Errors
/// As [`leg_share`].
pub fn leg_pair(load: &str, left: &str, right: &str, gravity: f64) -> Result<Answer, Trouble> {
    let (load, left, right) = (force("load", load, gravity)?, angle("left", left)?, angle("right", right)?);
    // Which of the two is out of range: each beside an upright one.
    for (option, at) in [("left", left), ("right", right)] {
        engine::leg_share(load, at, AngleFrom::Vertical).map_err(|e| outside(option, &e))?;
    }
    let pair = engine::leg_pair(load, left, right).map_err(|e| outside("left and --right", &e))?;
    let method =
        "left: load sin β / sin(α + β); right: load sin α / sin(α + β); α left, β right, from the vertical";
    Ok(answer(
        vec![
            kn("left leg", pair.left),
            kn("right leg", pair.right),
            figure("angle between the legs (included)", left.to_degrees() + right.to_degrees(), "deg"),
        ],
        method,
        "balance of forces at the knot",
        vec!["both angles read from the vertical, one leg to each side".into()],
    ))
}

/// Force on a redirect.
///
/// # Errors
/// A text that is no quantity, an angle outside 0° to 180°.
pub fn redirect(tension: &str, at: &str, from: RedirectFrom, gravity: f64) -> Result<Answer, Trouble> {
    let (tension, at) = (force("tension", tension, gravity)?, angle("angle", at)?);
    let pulley = engine::redirect(tension, at, from).map_err(|e| outside("angle", &e))?;
    let included = match from {
        RedirectFrom::Included => at.to_degrees(),
        RedirectFrom::Deflection => 180.0 - at.to_degrees(),
    };
    Ok(answer(
        vec![
            kn("pulley", pulley),
            figure("share of the tension", pulley.to_newtons() / tension.to_newtons(), ""),
            figure("angle between the strands (included)", included, "deg"),
            figure("angle the rope is turned by (deflection)", 180.0 - included, "deg"),
        ],
        "2 T cos(θ/2), θ included between the strands; = 2 T sin(δ/2), δ the deflection; frictionless",
        "balance of forces at the pulley",
        vec![conventions::other_redirect(tension, at, from)],
    ))
}

/// Force on the other side of a wrap.
///
/// # Errors
/// A text that is no quantity, a negative friction or wrap.
pub fn wrap(load: &str, friction: &str, wrap: &str, raising: bool, gravity: f64) -> Result<Answer, Trouble> {
    let (load, mu, beta) =
        (force("load", load, gravity)?, ratio("friction", friction)?, angle("wrap", wrap)?);
    let other = engine::wrap(load, mu, beta, raising).map_err(|e| outside("wrap", &e))?;
    let name = if raising { "to raise" } else { "to hold" };
    let method = "load × e^(μβ) to raise, load / e^(μβ) to hold; β in radians";
    let source = "capstan equation: Baker & Haynes, Engineering Statics, ch. 9";
    Ok(answer(
        vec![
            kn(name, other),
            figure("wrap", beta.to_degrees(), "deg"),
            figure("wrap", beta.to_degrees() / 360.0, "turns"),
            figure("ratio e^(μβ)", if raising { other.to_newtons() / load.to_newtons() } else { load.to_newtons() / other.to_newtons() }, ""),
        ],
        method,
        source,
        vec!["the wrap is the whole angle of contact; the bar’s radius does not matter; weight of rope left out".into()],
    ))
}

/// Haul force of a system.
///
/// # Errors
/// A text that is no quantity, a system that is not computed.
pub fn advantage(
    system: &str,
    kind: SystemKind,
    load: &str,
    efficiency: &str,
    redirects: &str,
    gravity: f64,
) -> Result<Answer, Trouble> {
    let (load, eta) = (force("load", load, gravity)?, ratio("efficiency", efficiency)?);
    let redirects = count("redirects", redirects)?;
    let option = if eta.value() > 0.0 && eta.value() <= 1.0 { "system" } else { "efficiency" };
    let found = engine::advantage(system, kind, eta, redirects, load).map_err(|e| outside(option, &e))?;
    let mut results = vec![
        kn("haul force", found.haul),
        figure("theoretical advantage", found.theoretical, ""),
        figure("practical advantage", found.practical, ""),
        figure("efficiency of each sheave", eta.value(), ""),
        figure("rope hauled for each metre of load", found.theoretical, "m"),
    ];
    results.extend(conventions::people(found.haul, found.theoretical));
    let method = "simple n:1 gives 1 + η + … + ηⁿ⁻¹, a compound one the product of its stages, each redirect one more η";
    let source = "tension traced through the rope, each sheave passing η of it";
    Ok(answer(results, method, source, conventions::of_hauling(&found, eta, redirects)))
}

/// Rope force on a slope.
///
/// # Errors
/// A text that is no quantity, an angle outside 0° to 90°.
pub fn slope(weight: &str, at: &str, friction: &str, raising: bool, gravity: f64) -> Result<Answer, Trouble> {
    let mass = mass("mass", weight, gravity)?;
    let (at, mu) = (angle("angle", at)?, ratio("friction", friction)?);
    let rope = engine::slope(mass, at, mu, raising, gravity).map_err(|e| outside("angle", &e))?;
    let whole = mass.to_kilograms() * gravity;
    let method =
        "m g (sin α + μ cos α) to raise, m g (sin α − μ cos α) to lower, not below 0; α from the horizontal";
    let repose = engine::repose_deg(mu);
    Ok(answer(
        vec![
            kn("rope", rope),
            figure("share of the weight", rope.to_newtons() / whole, ""),
            figure("angle of the slope, from the horizontal", at.to_degrees(), "deg"),
            figure("angle of repose for this friction", repose, "deg"),
        ],
        method,
        "balance of forces along the slope",
        conventions::of_slope(at.to_degrees(), rope.to_newtons(), raising),
    ))
}

/// Peak force of a fall.
///
/// # Errors
/// A text that is no quantity, or outside what the formula is for.
pub fn fall(weight: &str, drop: &str, rope: &str, modulus: &str, gravity: f64) -> Result<Answer, Trouble> {
    let mass = mass("mass", weight, gravity)?;
    let (drop, rope) = (length("drop", drop, true)?, length("rope", rope, false)?);
    let modulus = stiffness("modulus", modulus)?;
    let found = engine::fall(mass, drop, rope, modulus, gravity).map_err(|e| outside("modulus", &e))?;
    let results = vec![
        kn("peak force", found.peak),
        kn("peak force, weight left out while it stretches", found.peak_without_stretch),
        figure("stretch", found.stretch_m, "m"),
        figure("stretch, weight left out while it stretches", found.stretch_without_m, "m"),
        figure("fall", found.fall_m, "m"),
        figure("time to stop", found.stop_s, "s"),
        figure("fall factor", found.fall_factor, ""),
    ];
    let method = "W + √(W² + 2 W h EA / L), modulus EA; elastic rope, undamped, no slip or friction: an upper bound under \
                  these assumptions. Texts that leave the weight out while the rope stretches print √(2 W h EA / L)";
    let source = "energy of a spring; Goldstone, The Standard Equation for Impact Force";
    Ok(answer(results, method, source, conventions::of_falls(&found)))
}

/// Tension of a taut rope with a load in the middle.
///
/// # Errors
/// As [`fall`].
pub fn span(load: &str, span: &str, sag: &str, gravity: f64) -> Result<Answer, Trouble> {
    let load = force("load", load, gravity)?;
    let (span, sag) = (length("span", span, false)?, length("sag", sag, false)?);
    let found = engine::span(load, span, sag).map_err(|e| outside("sag", &e))?;
    let tenth = engine::span(load, span, tenth(span)).map_err(|e| outside("span", &e))?;
    let results = vec![
        kn("tension", found.tension),
        kn("pull of each end along the span", found.across),
        figure("tension over load", found.tension.to_newtons() / load.to_newtons(), ""),
        figure("sag over span", found.sag_share, ""),
        figure("angle of the rope, from the horizontal", found.angle_deg, "deg"),
        figure("sag of a tenth of the span", span.to_metres() / 10.0, "m"),
        kn("tension at that sag", tenth.tension),
    ];
    let method = "P √((L/2)² + s²) / (2 s); load in the middle, ends level, weight of the rope left out, sag as loaded";
    Ok(answer(results, method, "balance of forces at the load", conventions::of_spans(&found)))
}

fn tenth(span: rig::quantity::Length) -> rig::quantity::Length {
    rig::quantity::Length::metres(span.to_metres() / 10.0).unwrap_or(span)
}
