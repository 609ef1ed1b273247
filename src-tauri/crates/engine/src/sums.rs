//! The trade's working figures, each by its formula: share of a leg, force on a redirect, wraps, advantage,
//! slope, fall, span. Every angle names its convention.

mod advantage;
mod fall;

pub use advantage::{Advantage, SystemKind, advantage};
pub use fall::{Fall, Span, fall, span};

use rig::quantity::{Angle, Force, Mass, Ratio};
use thiserror::Error;

/// Why a sum has no answer.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum SumError {
    /// An input lies outside what the formula is for.
    #[error("{0} is outside {1}")]
    Range(String, &'static str),
    /// A system that is not computed.
    #[error("{0}")]
    Unknown(String),
    /// The answer is not finite.
    #[error("the answer is not a finite number")]
    NotFinite,
}

/// From what the angle of a leg is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AngleFrom {
    /// Between the two legs.
    Included,
    /// Between a leg and the horizontal.
    Horizontal,
    /// Between a leg and the vertical.
    Vertical,
}

/// From what the angle of a redirect is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RedirectFrom {
    /// Between the two strands.
    Included,
    /// Between the rope’s way in and its way out.
    Deflection,
}

/// Tensions of two unequal legs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LegPair {
    /// The left leg.
    pub left: Force,
    /// The right leg.
    pub right: Force,
}

fn newtons(value: f64) -> Result<Force, SumError> {
    Force::newtons(value).ok_or(SumError::NotFinite)
}

fn within(value: f64, low: f64, high: f64, range: &'static str) -> Result<f64, SumError> {
    if value >= low && value < high { Ok(value) } else { Err(SumError::Range(format!("{value}"), range)) }
}

/// Tension of each of two equal legs: load / (2 cos φ), φ from the vertical.
///
/// Source: statics; the same figures stand in NFPA 1670 annex A as credited by a US rope-rescue manual.
///
/// ```
/// use engine::{AngleFrom, leg_share};
/// use rig::quantity::{Angle, Force};
/// let load = Force::newtons(1000.0).unwrap();
/// let leg = leg_share(load, Angle::degrees(120.0).unwrap(), AngleFrom::Included).unwrap();
/// assert!((leg.to_newtons() - 1000.0).abs() < 1e-9); // 1000 / (2 cos 60°)
/// ```
///
/// # Errors
/// An angle at which the legs lie level or point down.
pub fn leg_share(load: Force, angle: Angle, from: AngleFrom) -> Result<Force, SumError> {
    let degrees = angle.to_degrees();
    let from_vertical = match from {
        AngleFrom::Included => degrees / 2.0,
        AngleFrom::Horizontal => 90.0 - degrees,
        AngleFrom::Vertical => degrees,
    };
    let phi = within(from_vertical, 0.0, 90.0, "0° to less than 90° from the vertical")?;
    newtons(load.to_newtons() / (2.0 * libm::cos(phi.to_radians())))
}

/// Tensions of two legs at unequal angles from the vertical, one to each side:
/// left = load sin β / sin(α + β), right = load sin α / sin(α + β).
///
/// Source: balance of forces at the knot.
///
/// # Errors
/// Angles that do not open, or open to a straight line.
pub fn leg_pair(load: Force, left: Angle, right: Angle) -> Result<LegPair, SumError> {
    let range = "0° to less than 90° from the vertical";
    let alpha = within(left.to_degrees(), 0.0, 90.0, range)?.to_radians();
    let beta = within(right.to_degrees(), 0.0, 90.0, range)?.to_radians();
    let sum = libm::sin(alpha + beta);
    if sum <= 0.0 {
        return Err(SumError::Range("0°".into(), "more than 0° between the legs"));
    }
    Ok(LegPair {
        left: newtons(load.to_newtons() * libm::sin(beta) / sum)?,
        right: newtons(load.to_newtons() * libm::sin(alpha) / sum)?,
    })
}

/// Force on a frictionless redirect: 2 T cos(θ/2), θ included; 2 T sin(δ/2), δ the deflection.
///
/// Source: statics; printed in block-loading tables.
///
/// # Errors
/// An angle outside 0° to 180°.
pub fn redirect(tension: Force, angle: Angle, from: RedirectFrom) -> Result<Force, SumError> {
    let degrees = within(angle.to_degrees(), 0.0, 180.000_001, "0° to 180°")?;
    let deflection = match from {
        RedirectFrom::Included => 180.0 - degrees,
        RedirectFrom::Deflection => degrees,
    };
    newtons(2.0 * tension.to_newtons() * libm::sin((deflection / 2.0).to_radians()).abs())
}

/// Force on the far side of rope wrapped round a bar: load ÷ e^{μβ} to hold it, × e^{μβ} to raise it.
/// The angle is turned into radians here; the bar’s radius does not matter.
///
/// Source: capstan equation (belt friction), Baker & Haynes, Engineering Statics, ch. 9.
///
/// # Errors
/// A negative friction or wrap, or an answer beyond all numbers.
pub fn wrap(load: Force, friction: Ratio, wrap: Angle, raising: bool) -> Result<Force, SumError> {
    let mu = within(friction.value(), 0.0, f64::INFINITY, "0 or more")?;
    let beta = within(wrap.to_degrees(), 0.0, f64::INFINITY, "0° or more")?.to_radians();
    let ratio = libm::exp(mu * beta);
    newtons(if raising { load.to_newtons() * ratio } else { load.to_newtons() / ratio })
}

/// Rope force on a slope: m g (sin α + μ cos α) to raise, m g (sin α − μ cos α) to lower, not below 0
/// (then the load rests by itself). `gravity` in m/s².
///
/// Source: balance along the slope.
///
/// # Errors
/// An angle outside 0° to 90°, a negative mass, friction or gravity.
pub fn slope(
    mass: Mass,
    angle: Angle,
    friction: Ratio,
    raising: bool,
    gravity: f64,
) -> Result<Force, SumError> {
    let alpha = within(angle.to_degrees(), 0.0, 90.000_001, "0° to 90°")?.to_radians();
    let mu = within(friction.value(), 0.0, f64::INFINITY, "0 or more")?;
    let kilograms = within(mass.to_kilograms(), 0.0, f64::INFINITY, "0 kg or more")?;
    let weight = kilograms * within(gravity, 0.0, f64::INFINITY, "0 or more m/s²")?;
    let sign = if raising { 1.0 } else { -1.0 };
    newtons((weight * (libm::sin(alpha) + sign * mu * libm::cos(alpha))).max(0.0))
}

/// The steepest slope on which a load of this friction rests by itself, degrees from the horizontal: tan θ = μ.
///
/// Source: balance along the slope; OpenStax College Physics.
pub fn repose_deg(friction: Ratio) -> f64 {
    libm::atan(friction.value()).to_degrees()
}
