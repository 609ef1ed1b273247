//! Reading what was written behind an option: a plain error names the option, what is wrong and the remedy.

use crate::wire::Trouble;
use engine::SumError;
use rig::quantity::{Angle, Force, G, Length, Mass, QuantityError, Ratio};

/// What was written cannot be taken.
fn wrong(option: &str, what: impl Into<String>, remedy: impl Into<String>) -> Trouble {
    Trouble::new("bad_argument", what, format!("--{option}"), remedy)
}

fn unreadable(option: &str, text: &str, error: &QuantityError, example: &str) -> Trouble {
    let remedy = if text.contains(',') {
        format!("write decimals with a point, like {example}")
    } else {
        format!("write the number with its unit, like {example}")
    };
    wrong(option, error.to_string(), remedy)
}

/// The answer lies outside what the formula is for, by reason of one option.
pub(super) fn outside(option: &str, error: &SumError) -> Trouble {
    let remedy = match error {
        SumError::Range(_, range) => format!("write a value in {range}"),
        SumError::Unknown(_) => "`ledgebook sum --help` says what each sum takes".into(),
        SumError::NotFinite => "write smaller or larger numbers".into(),
    };
    wrong(option, error.to_string(), remedy)
}

/// A force, or a mass that hangs: turned into its weight.
pub(super) fn force(option: &str, text: &str, gravity: f64) -> Result<Force, Trouble> {
    let example = "2kN, 600lbf or 280kg";
    let force = match Mass::parse(text) {
        Ok(mass) => Force::newtons(mass.to_kilograms() * gravity),
        Err(_) => Some(Force::parse(text).map_err(|e| unreadable(option, text, &e, example))?),
    };
    force
        .filter(|force| force.to_newtons() > 0.0)
        .ok_or_else(|| wrong(option, format!("“{text}” is not over 0"), format!("write it like {example}")))
}

/// A mass, or the weight of one: divided by gravity.
pub(super) fn mass(option: &str, text: &str, gravity: f64) -> Result<Mass, Trouble> {
    let example = "100kg, 220lb or 2kN";
    let mass = match (Mass::parse(text), Force::parse(text)) {
        (Ok(mass), _) => Some(mass),
        (Err(_), Ok(weight)) => Mass::kilograms(weight.to_newtons() / gravity),
        (Err(error), Err(_)) => return Err(unreadable(option, text, &error, example)),
    };
    mass.filter(|mass| mass.to_kilograms() > 0.0)
        .ok_or_else(|| wrong(option, format!("“{text}” is not over 0"), format!("write it like {example}")))
}

/// A stiffness: a force over 0.
pub(super) fn stiffness(option: &str, text: &str) -> Result<Force, Trouble> {
    let modulus = Force::parse(text).map_err(|e| unreadable(option, text, &e, "30kN"))?;
    if modulus.to_newtons() > 0.0 {
        return Ok(modulus);
    }
    Err(wrong(option, format!("“{text}” is not over 0"), "write it like 30kN"))
}

/// A length; `least` is whether 0 itself is one.
pub(super) fn length(option: &str, text: &str, zero: bool) -> Result<Length, Trouble> {
    let length = Length::parse(text).map_err(|e| unreadable(option, text, &e, "3m or 10ft"))?;
    match length.to_metres() {
        metres if metres > 0.0 || (zero && metres == 0.0) => Ok(length),
        _ if zero => Err(wrong(option, format!("“{text}” is under 0"), "write a length of 0m or more")),
        _ => Err(wrong(option, format!("“{text}” is not over 0"), "write a length over 0, like 3m or 10ft")),
    }
}

/// An angle; its range is the formula's.
pub(super) fn angle(option: &str, text: &str) -> Result<Angle, Trouble> {
    Angle::parse(text).map_err(|e| unreadable(option, text, &e, "60deg or 1.5turns"))
}

/// A plain number from 0.
pub(super) fn ratio(option: &str, text: &str) -> Result<Ratio, Trouble> {
    let ratio = Ratio::parse(text).map_err(|e| unreadable(option, text, &e, "0.25 or 25%"))?;
    if ratio.value() >= 0.0 {
        return Ok(ratio);
    }
    Err(wrong(option, format!("“{text}” is under 0"), "write a number of 0 or more, like 0.25"))
}

/// How many there are.
pub(super) fn count(option: &str, text: &str) -> Result<u32, Trouble> {
    let remedy = "write a whole number of 0 or more, like 1";
    text.trim().parse().map_err(|_| wrong(option, format!("“{text}” is no such number"), remedy))
}

/// Standard gravity, or the one that was set, m/s².
///
/// # Errors
/// A gravity that is not over 0.
pub fn gravity(set: Option<&str>) -> Result<f64, Trouble> {
    let Some(text) = set else { return Ok(G) };
    let plain = text.trim().trim_end_matches("m/s²").trim_end_matches("m/s2").trim();
    match plain.parse::<f64>() {
        Ok(g) if g.is_finite() && g > 0.0 => Ok(g),
        _ => {
            Err(wrong("gravity", format!("“{text}” is no gravity"), "write it in m/s² and over 0, like 9.80"))
        }
    }
}
