//! The trade's working figures, from texts with units: `ledgebook sum`.

use crate::wire::Trouble;
use engine::SumError;
pub use engine::{AngleFrom, RedirectFrom, SystemKind};
use rig::quantity::{Angle, Force, G, Length, Mass, QuantityError, Ratio};
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
}

/// A figure with its unit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figure {
    /// What it is.
    pub name: &'static str,
    /// The number.
    pub value: f64,
    /// Its unit.
    pub unit: &'static str,
}

fn kn(name: &'static str, force: Force) -> Figure {
    Figure { name, value: force.to_newtons() / 1000.0, unit: "kN" }
}

fn answer(results: Vec<Figure>, method: &str, source: &str) -> Answer {
    Answer { results, method: method.into(), source: source.into() }
}

fn unreadable(option: &str, error: &QuantityError) -> Trouble {
    Trouble::new("bad_argument", error.to_string(), format!("--{option}"), "write the number with its unit")
}

fn outside(error: &SumError) -> Trouble {
    Trouble::new("bad_argument", error.to_string(), "sum", "`ledgebook sum --help` says what each sum takes")
}

/// A force, or a mass that hangs: turned into its weight.
fn force(option: &str, text: &str, gravity: f64) -> Result<Force, Trouble> {
    match Mass::parse(text) {
        Ok(mass) => Force::newtons(mass.to_kilograms() * gravity),
        Err(_) => Some(Force::parse(text).map_err(|e| unreadable(option, &e))?),
    }
    .filter(|force| force.to_newtons() >= 0.0)
    .ok_or_else(|| {
        Trouble::new(
            "bad_argument",
            format!("“{text}” is no load"),
            format!("--{option}"),
            "write a force or mass from 0, like 2kN or 200kg",
        )
    })
}

fn angle(option: &str, text: &str) -> Result<Angle, Trouble> {
    Angle::parse(text).map_err(|e| unreadable(option, &e))
}

fn ratio(option: &str, text: &str) -> Result<Ratio, Trouble> {
    Ratio::parse(text).map_err(|e| unreadable(option, &e))
}

/// Standard gravity, or the one that was set, m/s².
///
/// # Errors
/// A gravity that is not over 0.
pub fn gravity(set: Option<f64>) -> Result<f64, Trouble> {
    match set {
        None => Ok(G),
        Some(g) if g.is_finite() && g > 0.0 => Ok(g),
        Some(g) => Err(Trouble::new(
            "bad_argument",
            format!("{g} is no gravity"),
            "--gravity",
            "write it in m/s², like 9.80",
        )),
    }
}

/// Tension of each of two equal legs.
///
/// # Errors
/// A text that is no quantity, an angle at which the legs lie level.
pub fn leg_share(load: &str, at: &str, from: AngleFrom, gravity: f64) -> Result<Answer, Trouble> {
    let (load, at) = (force("load", load, gravity)?, angle("angle", at)?);
    let leg = engine::leg_share(load, at, from).map_err(|e| outside(&e))?;
    let share = Figure { name: "share of the load", value: leg.to_newtons() / load.to_newtons(), unit: "" };
    Ok(answer(
        vec![kn("each leg", leg), share],
        "load / (2 cos φ), φ of each leg from the vertical",
        "balance of forces at the knot",
    ))
}

/// Tensions of two legs at unequal angles from the vertical.
///
/// # Errors
/// As [`leg_share`].
pub fn leg_pair(load: &str, left: &str, right: &str, gravity: f64) -> Result<Answer, Trouble> {
    let (load, left, right) = (force("load", load, gravity)?, angle("left", left)?, angle("right", right)?);
    let pair = engine::leg_pair(load, left, right).map_err(|e| outside(&e))?;
    let method =
        "left: load sin β / sin(α + β); right: load sin α / sin(α + β); α left, β right, from the vertical";
    Ok(answer(
        vec![kn("left leg", pair.left), kn("right leg", pair.right)],
        method,
        "balance of forces at the knot",
    ))
}

/// Force on a redirect.
///
/// # Errors
/// A text that is no quantity, an angle outside 0° to 180°.
pub fn redirect(tension: &str, at: &str, from: RedirectFrom, gravity: f64) -> Result<Answer, Trouble> {
    let (tension, at) = (force("tension", tension, gravity)?, angle("angle", at)?);
    let pulley = engine::redirect(tension, at, from).map_err(|e| outside(&e))?;
    let method = "2 T cos(θ/2), θ included between the strands; frictionless";
    Ok(answer(vec![kn("pulley", pulley)], method, "balance of forces at the pulley"))
}

/// Force on the other side of a wrap.
///
/// # Errors
/// A text that is no quantity, a negative friction or wrap.
pub fn wrap(load: &str, friction: &str, wrap: &str, raising: bool, gravity: f64) -> Result<Answer, Trouble> {
    let (load, mu, beta) =
        (force("load", load, gravity)?, ratio("friction", friction)?, angle("wrap", wrap)?);
    let other = engine::wrap(load, mu, beta, raising).map_err(|e| outside(&e))?;
    let name = if raising { "to raise" } else { "to hold" };
    let method = "load × e^(μβ) to raise, load / e^(μβ) to hold; β in radians";
    Ok(answer(vec![kn(name, other)], method, "capstan equation: Baker & Haynes, Engineering Statics, ch. 9"))
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
    redirects: u32,
    gravity: f64,
) -> Result<Answer, Trouble> {
    let (load, eta) = (force("load", load, gravity)?, ratio("efficiency", efficiency)?);
    let found = engine::advantage(system, kind, eta, redirects, load).map_err(|e| outside(&e))?;
    let ratio = |name, value| Figure { name, value, unit: "" };
    let results = vec![
        kn("haul force", found.haul),
        ratio("theoretical advantage", found.theoretical),
        ratio("practical advantage", found.practical),
    ];
    let method = "simple n:1 gives 1 + η + … + ηⁿ⁻¹, a compound one the product of its stages, each redirect one more η";
    Ok(answer(results, method, "tension traced through the rope, each sheave passing η of it"))
}

/// Rope force on a slope.
///
/// # Errors
/// A text that is no quantity, an angle outside 0° to 90°.
pub fn slope(mass: &str, at: &str, friction: &str, raising: bool, gravity: f64) -> Result<Answer, Trouble> {
    let mass = Mass::parse(mass).map_err(|e| unreadable("mass", &e))?;
    let (at, mu) = (angle("angle", at)?, ratio("friction", friction)?);
    let rope = engine::slope(mass, at, mu, raising, gravity).map_err(|e| outside(&e))?;
    let method = "m g (sin α + μ cos α) to raise, m g (sin α − μ cos α) to lower, not below 0";
    Ok(answer(vec![kn("rope", rope)], method, "balance of forces along the slope"))
}

/// Peak force of a fall.
///
/// # Errors
/// A text that is no quantity, or outside what the formula is for.
pub fn fall(mass: &str, drop: &str, rope: &str, modulus: &str, gravity: f64) -> Result<Answer, Trouble> {
    let mass = Mass::parse(mass).map_err(|e| unreadable("mass", &e))?;
    let (drop, rope) = (length("drop", drop)?, length("rope", rope)?);
    let modulus = Force::parse(modulus).map_err(|e| unreadable("modulus", &e))?;
    let found = engine::fall(mass, drop, rope, modulus, gravity).map_err(|e| outside(&e))?;
    let results = vec![
        kn("peak force", found.peak),
        kn("peak force, weight left out while it stretches", found.peak_without_stretch),
        Figure { name: "stretch", value: found.stretch_m, unit: "m" },
        Figure { name: "fall", value: found.fall_m, unit: "m" },
        Figure { name: "time to stop", value: found.stop_s, unit: "s" },
        Figure { name: "fall factor", value: found.fall_factor, unit: "" },
    ];
    let method = "W + √(W² + 2 W h EA / L), modulus EA; elastic rope, no slip, friction or damping: an upper bound. \
                  Texts that leave the weight out while the rope stretches print √(2 W h EA / L)";
    Ok(answer(results, method, "energy of a spring; Goldstone, The Standard Equation for Impact Force"))
}

/// Tension of a taut rope with a load in the middle.
///
/// # Errors
/// As [`fall`].
pub fn span(load: &str, span: &str, sag: &str, gravity: f64) -> Result<Answer, Trouble> {
    let load = force("load", load, gravity)?;
    let found = engine::span(load, length("span", span)?, length("sag", sag)?).map_err(|e| outside(&e))?;
    let results = vec![
        kn("tension", found.tension),
        kn("pull of each end along the span", found.across),
        Figure { name: "sag over span", value: found.sag_share, unit: "" },
        Figure { name: "angle of the rope, from the horizontal", value: found.angle_deg, unit: "deg" },
    ];
    let method = "P √((L/2)² + s²) / (2 s); load in the middle, ends level, weight of the rope left out, sag as loaded. \
                  A sag of a tenth of the span is a guide in print (second-hand)";
    Ok(answer(results, method, "balance of forces at the load"))
}

fn length(option: &str, text: &str) -> Result<Length, Trouble> {
    Length::parse(text).map_err(|e| unreadable(option, &e))
}
