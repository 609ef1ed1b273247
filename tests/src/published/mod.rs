//! Published values as data: `tests/published/*.json`, one row a value with its unit, source and standing, and which computation
//! of the program must give it, or why none does.

mod computed;
mod networks;

pub use computed::range;

use crate::place::root;
use serde::Deserialize;
use serde_json::Value;
use std::collections::BTreeMap;

/// How a value is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Known {
    /// Read in a page.
    Seen,
    /// Read in a secondary summary.
    SecondHand,
    /// From memory; recomputed.
    Memory,
    /// Arithmetic from a cited input.
    Derived,
}

/// One published value.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Row {
    /// Its number in the list of published values, the topic before the point.
    pub row: String,
    /// What it is.
    pub what: String,
    /// As printed, with its unit. Half a unit of its last digit is granted.
    pub printed: String,
    /// Where it was read.
    pub source: String,
    /// How it is known.
    pub standing: Known,
    /// Another tolerance than half a unit of the last digit, in the printed unit; `because` says why.
    pub within: Option<f64>,
    /// The print and the program differ: what is right, which the program must give, and not the print.
    pub differs: Option<String>,
    /// Why there is a tolerance of its own, or a difference.
    pub because: Option<String>,
    /// What must give it.
    pub by: Option<By>,
    /// Why the program does not compute it.
    pub not_computed: Option<String>,
}

/// What must give a value.
#[derive(Clone, Debug, Deserialize)]
#[serde(untagged, deny_unknown_fields)]
#[allow(missing_docs)]
pub enum By {
    /// A figure of a working sum, asked for with texts as they are typed; `then` is done with it.
    Sum {
        sum: String,
        set: BTreeMap<String, String>,
        figure: String,
        gravity: Option<String>,
        then: Option<Then>,
    },
    /// The notes of a working sum say the printed words.
    Note { sum: String, set: BTreeMap<String, String>, note: bool },
    /// A rating of a class of the catalogue, `loaded` in another way, or with a knot; or the printed words in its label or source.
    Class {
        class: String,
        id: String,
        loaded: Option<rig::model::Loading>,
        knot: Option<String>,
        #[serde(default)]
        label: bool,
        #[serde(default)]
        words: bool,
    },
    /// A source of a knot’s range: it lies in the range, and the catalogue names it with its source.
    Knot { knot: String, said: String },
    /// A convention of the catalogue whose words name this; or the printed words in it.
    Convention {
        convention: String,
        of: String,
        #[serde(default)]
        words: bool,
    },
    /// A number of the default guidelines.
    Guideline { guideline: String, unit: String },
    /// A force, read.
    Force { force: String },
    /// A length, read.
    Length { length: String },
    /// A network solved by the engine.
    Network { network: networks::Drawn, give: String },
    /// The margin that the check of a template gives a part.
    Margin { template: String, set: BTreeMap<String, String>, margin_of: String },
    /// A check of a template holds as set, and says the printed words.
    Check { check: String, template: String, set: BTreeMap<String, String> },
}

/// What is done with a figure.
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Then {
    /// Times this.
    Times(f64),
    /// One over this many times it.
    Inverse(f64),
}

/// All rows, file by file.
pub fn rows() -> Vec<Row> {
    let dir = root().join("tests/published");
    let mut files: Vec<_> = std::fs::read_dir(&dir)
        .expect("tests/published")
        .map(|entry| entry.expect("readable").path())
        .collect();
    files.sort();
    let mut all = Vec::new();
    for file in files {
        let text = std::fs::read_to_string(&file).expect("readable");
        let rows: Vec<Value> =
            serde_json::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", file.display()));
        for row in rows {
            let read = serde_json::from_value(row.clone());
            all.push(read.unwrap_or_else(|e| panic!("{}: {e}: {row}", file.display())));
        }
    }
    all
}

/// A printed number: its value, half a unit of its last digit, and its unit.
pub fn number(printed: &str) -> Option<(f64, f64, &str)> {
    let (digits, unit) = printed.split_once(' ').unwrap_or((printed, ""));
    let value: f64 = digits.parse().ok()?;
    let decimals = digits.split_once('.').map_or(0, |(_, after)| after.len());
    Some((value, 0.5 * 10_f64.powi(-i32::try_from(decimals).ok()?), unit))
}

impl Row {
    /// Whether the program gives what it must.
    ///
    /// # Errors
    /// What it gives instead, or what is wrong with the row.
    pub fn holds(&self) -> Result<(), String> {
        match (&self.by, &self.not_computed) {
            (Some(by), None) => self.computed(by),
            (None, Some(why)) if !why.is_empty() => Ok(()),
            _ => Err("either what computes it, or why nothing does".into()),
        }
        .map_err(|why| format!("{} {}: {why} ({}, {:?})", self.row, self.what, self.source, self.standing))
    }

    fn computed(&self, by: &By) -> Result<(), String> {
        if (self.within.is_some() || self.differs.is_some()) != self.because.is_some() {
            return Err("a tolerance of its own or a difference says why, and nothing else does".into());
        }
        let wanted = self.differs.as_ref().unwrap_or(&self.printed);
        let Some(found) = computed::figure(self, by)? else { return Ok(()) };
        let (value, half, unit) = number(wanted).ok_or_else(|| format!("“{wanted}” is no number"))?;
        let (near, ours) = (self.within.unwrap_or(half), found.in_unit(unit)?);
        if (ours - value).abs() > near * (1.0 + 1e-9) {
            return Err(format!("{ours} {unit} against {wanted} ± {near}"));
        }
        // A difference that is none has no place there.
        match number(&self.printed).filter(|_| self.differs.is_some()) {
            Some((printed, half, unit)) if (found.in_unit(unit)? - printed).abs() <= half => {
                Err(format!("{} is right after all", self.printed))
            }
            _ => Ok(()),
        }
    }

    /// The same row with another value, which must not hold.
    pub fn altered(&self) -> Row {
        let mut other = self.clone();
        let wanted = other.differs.as_mut().unwrap_or(&mut other.printed);
        *wanted = match number(wanted) {
            Some((value, half, unit)) => {
                let by = 2.5 * self.within.unwrap_or(half);
                format!("{} {unit}", value + by).trim().to_string()
            }
            None => format!("{wanted} and more"),
        };
        // Written with more digits than the print, so its own half unit would be another.
        other.within = Some(
            self.within
                .or(number(self.differs.as_ref().unwrap_or(&self.printed)).map(|n| n.1))
                .unwrap_or(0.0),
        );
        other.because = Some("altered".into());
        other
    }
}
