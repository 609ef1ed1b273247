//! What was set in a template: read, checked against its range, and stored as it was given.

use super::parameters::{Parameter, Unit};
use crate::error::RigError;
use crate::model::{Band, Cited, Standing, Strength};
use crate::quantity::{Angle, Force, G, Length, Mass, Ratio};
use std::collections::BTreeMap;

/// Every parameter of a template with its text, defaults included.
#[derive(Debug)]
pub struct Values {
    parameters: Vec<&'static Parameter>,
    texts: BTreeMap<&'static str, String>,
}

/// A number in the parameter's own unit (kg, m, deg, N).
pub(super) fn read(unit: Unit, text: &str) -> Result<f64, String> {
    let words = |e: crate::quantity::QuantityError| e.to_string();
    match unit {
        Unit::Load => Mass::parse(text)
            .map(Mass::to_kilograms)
            .or_else(|mass| Force::parse(text).map(|f| f.to_newtons() / G).map_err(|_| mass))
            .map_err(words),
        Unit::Length => Length::parse(text).map(Length::to_metres).map_err(words),
        Unit::Angle => Angle::parse(text).map(Angle::to_degrees).map_err(words),
        Unit::Force => Force::parse(text).map(Force::to_newtons).map_err(words),
        Unit::Ratio => Ratio::parse(text).map(Ratio::value).map_err(words),
        Unit::Count => match text.trim().parse::<u32>() {
            Ok(count) => Ok(f64::from(count)),
            Err(_) => Err(format!("“{text}” is no whole number")),
        },
        Unit::Choice => Err(format!("“{text}” is a choice")),
    }
}

impl Values {
    /// Reads what was set; what is not set takes its default.
    ///
    /// # Errors
    /// A name no parameter has, a text that does not fit, a value out of range: `place` is the name.
    pub fn read(
        parameters: Vec<&'static Parameter>,
        set: &BTreeMap<String, String>,
    ) -> Result<Values, RigError> {
        for name in set.keys() {
            if !parameters.iter().any(|p| p.name == name) {
                let known = parameters.iter().map(|p| p.name).collect::<Vec<_>>().join(", ");
                return Err(RigError::new(
                    name.as_str(),
                    format!("this template has nothing called “{name}”"),
                    format!("set one of: {known}"),
                ));
            }
        }
        let mut texts = BTreeMap::new();
        for parameter in &parameters {
            let text = set.get(parameter.name).map_or(parameter.default, |t| t.trim());
            check(parameter, text)?;
            texts.insert(parameter.name, text.to_string());
        }
        Ok(Values { parameters, texts })
    }

    /// As it is stored with the rig; what is unset is left out.
    pub fn stored(&self) -> BTreeMap<String, String> {
        let given = self.texts.iter().filter(|(_, text)| !text.is_empty());
        given.map(|(name, text)| ((*name).to_string(), text.clone())).collect()
    }

    /// The text of a choice.
    pub fn choice(&self, name: &str) -> &str {
        self.texts.get(name).map_or("", String::as_str)
    }

    /// The number of a parameter in its own unit; `None` when unset.
    pub fn number(&self, name: &str) -> Option<f64> {
        let parameter = self.parameter(name)?;
        let text = self.texts.get(name).filter(|t| !t.is_empty())?;
        read(parameter.unit, text).ok()
    }

    /// The number of a parameter that has a default.
    ///
    /// # Errors
    /// When it is unset after all.
    pub fn needed(&self, name: &str) -> Result<f64, RigError> {
        self.number(name).ok_or_else(|| RigError::new(name, "it is not set", "set it"))
    }

    /// A length that has a default.
    ///
    /// # Errors
    /// When it is unset.
    pub fn length(&self, name: &str) -> Result<Length, RigError> {
        metres(self.needed(name)?)
    }

    /// Where a parameter's value comes from.
    pub fn cited(&self, name: &str) -> Cited {
        let parameter = self.parameter(name);
        let text = self.choice(name);
        match parameter {
            Some(p) if text == p.default => {
                let standing = match p.source {
                    s if s.contains("from memory") => Standing::Memory,
                    s if s.contains("common practice") => Standing::CommonPractice,
                    _ => Standing::Assumption,
                };
                Cited { words: p.source.into(), standing }
            }
            _ => Cited { words: "set by the team".into(), standing: Standing::TeamGear },
        }
    }

    /// A range from three parameters: NAME, NAME_low, NAME_high. A default end gives way to the nominal value; one
    /// that the team set must be on its own side of it, or the high force would be told too low.
    ///
    /// # Errors
    /// When one is unset or not finite, or an end that was set lies on the wrong side.
    pub fn band(&self, name: &str) -> Result<Band, RigError> {
        let nominal = self.needed(name)?;
        let end = |which: &str, wrong: &dyn Fn(f64) -> bool, side: &str| {
            let own = format!("{name}_{which}");
            let value = self.needed(&own)?;
            let default = self.parameter(&own).is_some_and(|p| self.choice(&own) == p.default);
            if wrong(value) && !default {
                let what = format!("{} is {side} {name}, {}", self.choice(&own), self.choice(name));
                return Err(RigError::new(
                    own,
                    what,
                    format!("set {name} and both its ends in rising order"),
                ));
            }
            Ok(value)
        };
        let low = end("low", &|v| v > nominal, "over")?.min(nominal);
        let high = end("high", &|v| v < nominal, "under")?.max(nominal);
        Ok(Band { low: ratio(low)?, nominal: ratio(nominal)?, high: ratio(high)?, cited: self.cited(name) })
    }

    /// A strength the team may have set; `None`: no rating, not checked.
    pub fn team_rating(&self, name: &str) -> Option<Strength> {
        let rating = Force::newtons(self.number(name)?)?;
        Some(Strength::plain(rating, Cited { words: "team gear list".into(), standing: Standing::TeamGear }))
    }

    fn parameter(&self, name: &str) -> Option<&'static Parameter> {
        self.parameters.iter().find(|p| p.name == name).copied()
    }
}

/// Checks one text against its parameter.
fn check(parameter: &Parameter, text: &str) -> Result<(), RigError> {
    let name = parameter.name;
    if parameter.unit == Unit::Choice {
        if parameter.choices.contains(&text) {
            return Ok(());
        }
        let known = parameter.choices.join(", ");
        return Err(RigError::new(
            name,
            format!("“{text}” is not one of the choices"),
            format!("set one of: {known}"),
        ));
    }
    if text.is_empty() && parameter.default.is_empty() {
        return Ok(());
    }
    let range = format!("set {name} from {} to {}", parameter.low, parameter.high);
    let value = read(parameter.unit, text).map_err(|what| RigError::new(name, what, range.clone()))?;
    let bound = |text: &str| read(parameter.unit, text).unwrap_or(f64::NAN);
    if value >= bound(parameter.low) && value <= bound(parameter.high) {
        return Ok(());
    }
    Err(RigError::new(
        name,
        format!("{text} is outside {} to {} ({})", parameter.low, parameter.high, parameter.label),
        range,
    ))
}

/// A finite length.
pub fn metres(value: f64) -> Result<Length, RigError> {
    Length::metres(value)
        .ok_or_else(|| RigError::new("geometry", "a length is not finite", "check the lengths set"))
}

/// A finite ratio.
pub fn ratio(value: f64) -> Result<Ratio, RigError> {
    Ratio::new(value)
        .ok_or_else(|| RigError::new("geometry", "a ratio is not finite", "check the ratios set"))
}

/// A finite force from newtons.
pub fn newtons(value: f64) -> Result<Force, RigError> {
    Force::newtons(value)
        .ok_or_else(|| RigError::new("geometry", "a force is not finite", "check the forces set"))
}
