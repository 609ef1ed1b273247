//! The page of working figures: what each sum asks for, and its answer from the same functions as the command line.

use super::{AngleFrom, Answer, RedirectFrom, SystemKind, advantage, fall, gravity, leg_pair, leg_share};
use super::{redirect, slope, span, wrap};
use crate::wire::{SumAnswer, SumField, SumFigure, SumView, Trouble};
use std::collections::BTreeMap;

/// Name, label, what to write, choices with their words; a field without choices is typed.
type Field = (&'static str, &'static str, &'static str, &'static [(&'static str, &'static str)]);

const LOAD: Field = ("load", "Load, a force or a mass", "2kN or 200kg", &[]);
const MASS: Field = ("mass", "Mass, or its weight", "200kg or 2kN", &[]);
const FRICTION: Field = ("friction", "Friction coefficient μ", "0.25", &[]);
const WAY: Field = ("way", "The load", "", &[("lowering", "goes down, or is held"), ("raising", "goes up")]);

const SUMS: &[(&str, &str, &[Field])] = &[
    (
        "leg-share",
        "Two equal legs",
        &[
            LOAD,
            ("angle", "Angle", "90deg", &[]),
            (
                "angle_from",
                "Angle taken",
                "",
                &[
                    ("included", "between the legs (included)"),
                    ("horizontal", "from the horizontal"),
                    ("vertical", "from the vertical"),
                ],
            ),
        ],
    ),
    (
        "leg-pair",
        "Two unequal legs",
        &[
            LOAD,
            ("left", "Left leg, from the vertical", "30deg", &[]),
            ("right", "Right leg, from the vertical", "50deg", &[]),
        ],
    ),
    (
        "redirect",
        "Redirect",
        &[
            ("tension", "Tension of the rope", "2kN", &[]),
            ("angle", "Angle", "90deg", &[]),
            (
                "angle_from",
                "Angle taken",
                "",
                &[
                    ("included", "between the strands (included)"),
                    ("deflection", "the rope is turned by (deflection)"),
                ],
            ),
        ],
    ),
    (
        "wrap",
        "Wrap",
        &[LOAD, FRICTION, ("wrap", "Wrap, the whole angle of contact", "540deg or 1.5turns", &[]), WAY],
    ),
    (
        "advantage",
        "Advantage",
        &[
            ("system", "System", "3:1", &[]),
            (
                "kind",
                "Built up",
                "",
                &[
                    ("simple", "simple: all moving pulleys go with the load"),
                    ("compound", "compound: one simple pulls on another"),
                    ("complex", "complex: neither"),
                ],
            ),
            LOAD,
            ("efficiency", "Left past each sheave, 1 is perfect", "0.9", &[]),
            ("redirects", "Changes of direction", "0", &[]),
        ],
    ),
    ("slope", "Slope", &[MASS, ("angle", "Slope, from the horizontal", "35deg", &[]), FRICTION, WAY]),
    (
        "fall",
        "Fall",
        &[
            MASS,
            ("drop", "Free fall before the rope is taut", "1m", &[]),
            ("rope", "Rope in service", "3m", &[]),
            ("modulus", "Stiffness EA of the rope", "30kN", &[]),
        ],
    ),
    (
        "span",
        "Taut rope",
        &[LOAD, ("span", "Span, ends level", "40m", &[]), ("sag", "Sag in the middle, as loaded", "4m", &[])],
    ),
];

/// What each sum asks for.
pub fn page() -> Vec<SumView> {
    SUMS.iter()
        .map(|(name, title, fields)| SumView {
            name: (*name).into(),
            title: (*title).into(),
            fields: fields
                .iter()
                .map(|(name, label, like, choices)| SumField {
                    name: (*name).into(),
                    label: (*label).into(),
                    like: (*like).into(),
                    choices: choices.iter().map(|(id, words)| ((*id).into(), (*words).into())).collect(),
                })
                .collect(),
        })
        .collect()
}

/// The answer of a sum from what was typed.
///
/// # Errors
/// A sum that is not there, a field that is missing or cannot be read; `where` is the field.
pub fn ask(name: &str, set: &BTreeMap<String, String>) -> Result<SumAnswer, Trouble> {
    let field = |name: &str| set.get(name).map(|text| text.trim()).unwrap_or_default();
    let g = gravity(None)?;
    let raising = field("way") == "raising";
    let found = match name {
        "leg-share" => {
            let from = match field("angle_from") {
                "horizontal" => AngleFrom::Horizontal,
                "vertical" => AngleFrom::Vertical,
                _ => AngleFrom::Included,
            };
            leg_share(field("load"), field("angle"), from, g)
        }
        "leg-pair" => leg_pair(field("load"), field("left"), field("right"), g),
        "redirect" => {
            let deflection = field("angle_from") == "deflection";
            let from = if deflection { RedirectFrom::Deflection } else { RedirectFrom::Included };
            redirect(field("tension"), field("angle"), from, g)
        }
        "wrap" => wrap(field("load"), field("friction"), field("wrap"), raising, g),
        "advantage" => {
            let kind = match field("kind") {
                "compound" => SystemKind::Compound,
                "complex" => SystemKind::Complex,
                _ => SystemKind::Simple,
            };
            advantage(field("system"), kind, field("load"), field("efficiency"), field("redirects"), g)
        }
        "slope" => slope(field("mass"), field("angle"), field("friction"), raising, g),
        "fall" => fall(field("mass"), field("drop"), field("rope"), field("modulus"), g),
        "span" => span(field("load"), field("span"), field("sag"), g),
        _ => {
            return Err(Trouble::new(
                "bad_argument",
                format!("there is no sum “{name}”"),
                "sum",
                "choose one",
            ));
        }
    };
    let found = found.map_err(|e| Trouble { place: e.place.trim_start_matches('-').to_string(), ..e })?;
    Ok(shown(found))
}

fn shown(found: Answer) -> SumAnswer {
    let figures = found.results.into_iter();
    SumAnswer {
        results: figures.map(|f| SumFigure { name: f.name, value: f.value, unit: f.unit.into() }).collect(),
        method: found.method,
        source: found.source,
        notes: found.notes,
        caution: rig::findings::CAUTION.into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every sum, asked with what its fields say to write (the first of the two ways).
    fn as_written(view: &SumView) -> BTreeMap<String, String> {
        let text = |f: &SumField| match f.choices.first() {
            Some((id, _)) => id.clone(),
            None => f.like.split(" or ").next().unwrap_or_default().to_string(),
        };
        view.fields.iter().map(|f| (f.name.clone(), text(f))).collect()
    }

    #[test]
    fn every_sum_answers_what_its_fields_say_to_write() {
        for view in page() {
            let answer = ask(&view.name, &as_written(&view)).unwrap_or_else(|e| panic!("{}: {e}", view.name));
            assert!(answer.results[0].value > 0.0 && answer.results[0].unit == "kN", "{}", view.name);
            assert!(!answer.method.is_empty() && !answer.source.is_empty() && !answer.caution.is_empty());
        }
    }

    #[test]
    fn each_choice_counts() {
        let first = |name: &str, set: &BTreeMap<String, String>| ask(name, set).unwrap().results[0].value;
        for view in page() {
            let set = as_written(&view);
            for field in view.fields.iter().filter(|f| f.choices.len() > 1 && f.name != "kind") {
                // 90° reads alike as included and as deflection.
                let base = BTreeMap::from([("angle".to_string(), "60deg".to_string())]);
                let base =
                    set.clone().into_iter().chain(base.into_iter().filter(|_| set.contains_key("angle")));
                let base: BTreeMap<String, String> = base.collect();
                let mut other = base.clone();
                other.insert(field.name.clone(), field.choices[1].0.clone());
                assert!(
                    (first(&view.name, &base) - first(&view.name, &other)).abs() > 1e-6
                        || view.name == "leg-share",
                    "{} {}",
                    view.name,
                    field.name
                );
            }
        }
        let legs = |from: &str| {
            let set = [("load", "2kN"), ("angle", "50deg"), ("angle_from", from)];
            first("leg-share", &set.map(|(k, v)| (k.to_string(), v.to_string())).into())
        };
        assert!(legs("included") < legs("horizontal") && legs("horizontal") < legs("vertical"));
    }

    #[test]
    fn what_is_missing_or_wrong_is_named_by_its_field() {
        let error = ask("leg-share", &BTreeMap::from([("load".into(), "2kN".into())])).unwrap_err();
        assert_eq!(error.place, "angle");
        assert!(!error.remedy.is_empty());
        assert!(ask("nothing", &BTreeMap::new()).is_err());
    }
}
