//! A mass that falls on a rope, and a load in the middle of a taut rope: closed forms, undamped.

use super::{SumError, newtons, within};
use rig::quantity::{Force, Length, Mass};

/// What stops a fall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fall {
    /// Peak force on the rope and the load.
    pub peak: Force,
    /// The same with the weight left out while the rope stretches: what some texts print.
    pub peak_without_stretch: Force,
    /// How far the rope stretches, m.
    pub stretch_m: f64,
    /// The same with the weight left out while it stretches, m.
    pub stretch_without_m: f64,
    /// How far the load falls in all, m.
    pub fall_m: f64,
    /// From the release to the lowest point, s.
    pub stop_s: f64,
    /// Drop over rope in service.
    pub fall_factor: f64,
}

/// Peak force of a fall on an elastic rope without slip, friction or damping: F = W + √(W² + 2 W h EA / L), an upper bound where
/// any of these is there. `gravity` in m/s²; `modulus` is EA, the force that would stretch the rope to twice its length.
///
/// Source: energy of a spring; Goldstone, The Standard Equation for Impact Force.
///
/// ```
/// use rig::quantity::{Force, Length, Mass};
/// let (m, h, l) = (Mass::kilograms(100.0).unwrap(), Length::metres(1.0).unwrap(), Length::metres(3.0).unwrap());
/// let fall = engine::fall(m, h, l, Force::newtons(30_000.0).unwrap(), 9.80665).unwrap();
/// assert!((fall.peak.to_newtons() - 5516.63).abs() < 0.01);
/// ```
///
/// # Errors
/// A negative drop, or a mass, rope, modulus or gravity that is not over 0.
pub fn fall(mass: Mass, drop: Length, rope: Length, modulus: Force, gravity: f64) -> Result<Fall, SumError> {
    let over_0 = |value: f64, what| over(value, what);
    let m = over_0(mass.to_kilograms(), "a mass over 0 kg")?;
    let h = within(drop.to_metres(), 0.0, f64::INFINITY, "a drop of 0 m or more")?;
    let l = over_0(rope.to_metres(), "a rope over 0 m")?;
    let ea = over_0(modulus.to_newtons(), "a modulus over 0 kN")?;
    let weight = m * over_0(gravity, "a gravity over 0 m/s²")?;
    let (k, swing) = (ea / l, libm::sqrt(ea / l / m));
    let peak = weight + libm::sqrt(weight * weight + 2.0 * weight * h * k);
    let stretch = peak / k;
    // Free fall, then half a swing about the place where the rope bears the weight, from the speed of the fall.
    let speed = libm::sqrt(2.0 * gravity * h);
    let stop = speed / gravity + (std::f64::consts::PI - libm::atan(speed * swing / gravity)) / swing;
    let finite = [peak, stretch, stop].iter().all(|v| v.is_finite());
    if !finite {
        return Err(SumError::NotFinite);
    }
    Ok(Fall {
        peak: newtons(peak)?,
        peak_without_stretch: newtons(libm::sqrt(2.0 * weight * h * k))?,
        stretch_m: stretch,
        stretch_without_m: libm::sqrt(2.0 * weight * h / k),
        fall_m: h + stretch,
        stop_s: stop,
        fall_factor: h / l,
    })
}

/// A load in the middle of a rope.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Tension of the rope.
    pub tension: Force,
    /// Pull of each end along the span.
    pub across: Force,
    /// Sag over span.
    pub sag_share: f64,
    /// Angle of the rope from the horizontal, degrees.
    pub angle_deg: f64,
}

/// Tension of a weightless rope with a load in the middle: T = P √((L/2)² + s²) / (2 s), ends level.
///
/// Source: balance of forces at the load.
///
/// # Errors
/// A span or a sag that is not over 0, a negative load.
pub fn span(load: Force, span: Length, sag: Length) -> Result<Span, SumError> {
    let p = within(load.to_newtons(), 0.0, f64::INFINITY, "a load of 0 N or more")?;
    let half = over(span.to_metres(), "a span over 0 m")? / 2.0;
    let s = over(sag.to_metres(), "a sag over 0 m")?;
    Ok(Span {
        tension: newtons(p * libm::hypot(half, s) / (2.0 * s))?,
        across: newtons(p * half / (2.0 * s))?,
        sag_share: s / (2.0 * half),
        angle_deg: libm::atan2(s, half).to_degrees(),
    })
}

fn over(value: f64, range: &'static str) -> Result<f64, SumError> {
    if value > 0.0 && value.is_finite() { Ok(value) } else { Err(SumError::Range(format!("{value}"), range)) }
}
