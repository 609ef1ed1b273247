//! Quantities with units. SI inside (angles in degrees, so that input comes back as it was given);
//! finite at construction; text in and out always carries the unit.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::fmt;
use thiserror::Error;
use ts_rs::TS;

/// Standard gravity, m/s² (exact by definition, CGPM 1901).
pub const G: f64 = 9.80665;

/// Why a quantity could not be read: says what, and the remedy.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum QuantityError {
    /// No number before the unit.
    #[error("“{0}” is not a number with a unit; write it like {1}")]
    NotANumber(String, &'static str),
    /// The unit is not known for this quantity.
    #[error("“{0}” has no unit that fits; write it like {1} (known: {2})")]
    Unit(String, &'static str, String),
    /// Infinite or not a number.
    #[error("“{0}” is not a finite number")]
    NotFinite(String),
}

/// Splits text into number and unit, and scales by the table of exact unit sizes.
fn parse(text: &str, example: &'static str, units: &[(&str, f64)]) -> Result<f64, QuantityError> {
    let trimmed = text.trim();
    let number: String = trimmed
        .chars()
        .enumerate()
        .take_while(|(i, c)| c.is_ascii_digit() || *c == '.' || ((*c == '-' || *c == '+') && *i == 0))
        .map(|(_, c)| c)
        .collect();
    let unit = trimmed[number.len()..].trim();
    let value: f64 = number.parse().map_err(|_| QuantityError::NotANumber(trimmed.to_string(), example))?;
    if !value.is_finite() {
        return Err(QuantityError::NotFinite(trimmed.to_string()));
    }
    match units.iter().find(|(name, _)| *name == unit) {
        Some((_, size)) => Ok(value * size),
        None => {
            let known = units.iter().map(|(n, _)| *n).collect::<Vec<_>>().join(", ");
            Err(QuantityError::Unit(trimmed.to_string(), example, known))
        }
    }
}

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $ctor:ident / $getter:ident = $si:literal, $example:literal, [$(($unit:literal, $size:expr)),+ $(,)?]) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// From a number in the unit the name says; `None` when not finite.
            pub fn $ctor(value: f64) -> Option<Self> {
                value.is_finite().then_some($name(value))
            }
            /// The number in the unit the name says.
            pub fn $getter(self) -> f64 {
                self.0
            }
            /// Reads a number with its unit.
            pub fn parse(text: &str) -> Result<Self, QuantityError> {
                let value = parse(text, $example, &[$(($unit, $size)),+])?;
                Self::$ctor(value).ok_or_else(|| QuantityError::NotFinite(text.to_string()))
            }
        }
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{}{}", self.0, $si)
            }
        }
        impl Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
                s.collect_str(self)
            }
        }
        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
                let text = String::deserialize(d)?;
                $name::parse(&text).map_err(serde::de::Error::custom)
            }
        }
        impl JsonSchema for $name {
            fn schema_name() -> Cow<'static, str> {
                stringify!($name).into()
            }
            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!({ "type": "string", "description": "a number with its unit", "examples": [$example] })
            }
        }
        impl TS for $name {
            type WithoutGenerics = Self;
            type OptionInnerType = Self;
            fn name(_: &ts_rs::Config) -> String { "string".into() }
            fn inline(_: &ts_rs::Config) -> String { "string".into() }
        }
    };
}

quantity!(
    /// A force; N inside.
    Force, newtons / to_newtons = "N", "2.67kN",
    [("N", 1.0), ("kN", 1000.0), ("lbf", 4.448_221_615_260_5), ("kgf", 9.80665), ("daN", 10.0)]
);
quantity!(
    /// A length; m inside.
    Length, metres / to_metres = "m", "22m",
    [("m", 1.0), ("cm", 0.01), ("mm", 0.001), ("km", 1000.0), ("ft", 0.3048), ("in", 0.0254)]
);
quantity!(
    /// A mass; kg inside.
    Mass, kilograms / to_kilograms = "kg", "250kg",
    [("kg", 1.0), ("g", 0.001), ("lb", 0.453_592_37), ("t", 1000.0)]
);
quantity!(
    /// An angle; degrees inside.
    Angle, degrees / to_degrees = "deg", "60deg",
    [("deg", 1.0), ("°", 1.0), ("rad", 180.0 / std::f64::consts::PI), ("turn", 360.0), ("turns", 360.0)]
);
quantity!(
    /// A plain ratio (efficiency, friction, share).
    Ratio, new / value = "", "0.9",
    [("", 1.0), ("%", 0.01)]
);

impl Angle {
    /// The angle in radians.
    pub fn to_radians(self) -> f64 {
        self.0.to_radians()
    }
}

/// A force known as a range, in kN. Margins use `high`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct BandKn {
    /// Low end.
    pub low: f64,
    /// As planned.
    pub nominal: f64,
    /// High end.
    pub high: f64,
}
