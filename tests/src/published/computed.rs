//! What the program gives for a row.

use super::{By, Known, Row, Then};
use rig::guidelines::Guidelines;
use rig::model::Standing;
use rig::quantity::{Force, Length};
use service::sums::{self, AngleFrom, Answer, RedirectFrom, SystemKind};
use std::collections::BTreeMap;

/// A number of the program with its unit.
#[derive(Clone, Debug)]
pub struct Found {
    value: f64,
    unit: &'static str,
}

fn found(value: f64, unit: &'static str) -> Found {
    Found { value, unit }
}

/// Sizes of units, by what they measure.
const UNITS: &[(&str, &[(&str, f64)])] = &[
    ("force", &[("N", 1.0), ("kN", 1e3), ("lbf", 4.448_221_615_260_5)]),
    ("length", &[("m", 1.0), ("cm", 0.01), ("ft", 0.3048)]),
    ("plain", &[("", 1.0), ("%", 0.01), (": 1", 1.0)]),
    ("people", &[("people", 1.0)]),
    ("time", &[("s", 1.0)]),
    ("frequency", &[("Hz", 1.0)]),
    ("angle", &[("deg", 1.0)]),
    ("mass", &[("kg", 1.0)]),
];

impl Found {
    /// In the unit of the print.
    pub fn in_unit(&self, unit: &str) -> Result<f64, String> {
        let size =
            |of: &[(&str, f64)], unit: &str| of.iter().find(|(name, _)| *name == unit).map(|(_, size)| *size);
        let sizes = UNITS.iter().find_map(|(_, of)| Some((size(of, self.unit)?, size(of, unit)?)));
        let (own, wanted) = sizes.ok_or_else(|| format!("{} is not counted in “{unit}”", self.unit))?;
        Ok(self.value * own / wanted)
    }
}

/// The number; `None` where words were asked for, and stand there.
pub fn figure(row: &Row, by: &By) -> Result<Option<Found>, String> {
    match by {
        By::Sum { sum, set, figure, gravity, then } => {
            let answer = ask(sum, set, gravity.as_deref())?;
            let there = answer.results.iter().find(|f| f.name == *figure);
            let own = there.ok_or_else(|| format!("{sum} gives no “{figure}”"))?;
            Ok(Some(match then {
                None => found(own.value, own.unit),
                Some(Then::Times(times)) => found(own.value * times, own.unit),
                Some(Then::Inverse(times)) => {
                    found(1.0 / (own.value * times), if own.unit == "s" { "Hz" } else { own.unit })
                }
            }))
        }
        By::Note { sum, set, .. } => said(row, &ask(sum, set, None)?.notes.join("\n")),
        By::Class { class, id, loaded, knot, label, words } => {
            class_of(class, id).and_then(|own| match (label, words, loaded) {
                (true, ..) => said(row, own.label),
                (_, true, _) => said(row, own.words),
                (.., Some(loaded)) => other_way(row, &own, *loaded),
                _ => rated(row, &own, knot.as_deref()),
            })
        }
        By::Knot { knot, said } => within_the_range(row, knot, said),
        By::Convention { convention, of, words } => convention_of(row, convention, of, *words),
        By::Guideline { guideline, unit } => {
            let all = serde_json::to_value(Guidelines::defaults()).map_err(|e| e.to_string())?;
            let own = all[guideline]["value"].as_f64().ok_or_else(|| format!("no guideline {guideline}"))?;
            Ok(Some(found(own, if unit == "kN" { "kN" } else { "" })))
        }
        By::Force { force } => {
            Ok(Some(found(Force::parse(force).map_err(|e| e.to_string())?.to_newtons(), "N")))
        }
        By::Length { length } => {
            Ok(Some(found(Length::parse(length).map_err(|e| e.to_string())?.to_metres(), "m")))
        }
        By::Network { network, give } => Ok(Some(found(network.give(give)?, "N"))),
        By::Margin { template, set, margin_of } => {
            let checked = check(template, set)?;
            let part = checked.parts.iter().find(|p| p.id == *margin_of);
            let margin = part.and_then(|p| p.margin).ok_or_else(|| format!("no margin of {margin_of}"))?;
            Ok(Some(found(margin, "")))
        }
        By::Check { check: id, template, set } => {
            let checked = check(template, set)?;
            let rule = checked
                .checks
                .iter()
                .find(|c| c.id == *id && c.verdict == rig::findings::Verdict::Holds)
                .ok_or_else(|| format!("no check {id}"))?;
            said(row, &format!("{}\n{}", rule.rule, rule.found))
        }
    }
}

/// The print stands word for word in a text.
fn said(row: &Row, text: &str) -> Result<Option<Found>, String> {
    match text.contains(&row.printed) {
        true => Ok(None),
        false => Err(format!("“{}” does not stand in: {text}", row.printed)),
    }
}

/// A working sum, from texts as they are typed.
fn ask(sum: &str, set: &BTreeMap<String, String>, gravity: Option<&str>) -> Result<Answer, String> {
    let text = |name: &str| set.get(name).map(String::as_str).unwrap_or_default();
    let g = sums::gravity(gravity).map_err(|e| e.to_string())?;
    let raising = text("way") == "raising";
    let answer = match sum {
        "leg-share" => {
            let from = match text("angle_from") {
                "included" => AngleFrom::Included,
                "horizontal" => AngleFrom::Horizontal,
                "vertical" => AngleFrom::Vertical,
                other => return Err(format!("no such angle “{other}”")),
            };
            sums::leg_share(text("load"), text("angle"), from, g)
        }
        "leg-pair" => sums::leg_pair(text("load"), text("left"), text("right"), g),
        "redirect" => {
            let from = match text("angle_from") {
                "included" => RedirectFrom::Included,
                "deflection" => RedirectFrom::Deflection,
                other => return Err(format!("no such angle “{other}”")),
            };
            sums::redirect(text("tension"), text("angle"), from, g)
        }
        "wrap" => sums::wrap(text("load"), text("friction"), text("wrap"), raising, g),
        "advantage" => {
            let kind = match text("kind") {
                "simple" => SystemKind::Simple,
                "compound" => SystemKind::Compound,
                other => return Err(format!("no such kind “{other}”")),
            };
            let (efficiency, redirects) = (text("efficiency"), text("redirects"));
            sums::advantage(text("system"), kind, text("load"), efficiency, redirects, g)
        }
        "slope" => sums::slope(text("mass"), text("angle"), text("friction"), raising, g),
        "fall" => sums::fall(text("mass"), text("drop"), text("rope"), text("modulus"), g),
        "span" => sums::span(text("load"), text("span"), text("sag"), g),
        other => return Err(format!("there is no sum “{other}”")),
    };
    answer.map_err(|e| e.to_string())
}

/// What is known no better than the row must not stand there as known better.
fn as_known(row: &Row, standing: Standing) -> Result<(), String> {
    let fits = match row.standing {
        Known::Seen | Known::Derived => true,
        Known::SecondHand => standing != Standing::Published,
        Known::Memory => standing == Standing::Memory || standing == Standing::Assumption,
    };
    if fits { Ok(()) } else { Err(format!("it stands there as {}", standing.words())) }
}

fn class_of(class: &str, id: &str) -> Result<rig::catalogue::Rated, String> {
    let all = service::catalogue::whole();
    let list = all.classes.get(class).ok_or_else(|| format!("no classes of {class}"))?;
    let own = list.iter().find(|own| own.id == id).ok_or_else(|| format!("no class {id}"))?;
    Ok(*own)
}

fn rated(row: &Row, own: &rig::catalogue::Rated, knot: Option<&str>) -> Result<Option<Found>, String> {
    let left = match knot {
        // Rests on the knot's standing too.
        Some(knot) => rig::catalogue::knot(knot).ok_or_else(|| format!("no knot {knot}"))?.low,
        None => {
            as_known(row, own.standing)?;
            1.0
        }
    };
    let whole = own.strength().ok_or("not finite")?.rating.to_newtons();
    Ok(Some(found(whole * left, "N")))
}

fn other_way(
    row: &Row,
    own: &rig::catalogue::Rated,
    loaded: rig::model::Loading,
) -> Result<Option<Found>, String> {
    let strength = own.strength().ok_or("not finite")?;
    match strength.loaded(Some(loaded)) {
        None => said(row, "unrated"),
        Some((rating, cited)) => {
            as_known(row, cited.standing)?;
            Ok(Some(found(rating.to_newtons(), "N")))
        }
    }
}

/// The ends of a printed range.
pub fn range(printed: &str) -> Option<(f64, f64)> {
    let (low, high) = printed.split_once(" to ").unwrap_or((printed, printed));
    Some((low.parse().ok()?, high.parse().ok()?))
}

fn within_the_range(row: &Row, id: &str, source: &str) -> Result<Option<Found>, String> {
    let knot = service::catalogue::whole().knots.into_iter().find(|knot| knot.id == id);
    let knot = knot.ok_or_else(|| format!("no knot {id}"))?;
    let (low, high) = range(&row.printed).ok_or("no range")?;
    if low < knot.low || high > knot.high {
        return Err(format!("{low} to {high} reaches out of {} to {}", knot.low, knot.high));
    }
    let words = format!("{} {source}", row.printed);
    if low == knot.low {
        as_known(row, knot.standing)?;
    }
    if knot.words.contains(&words) {
        Ok(None)
    } else {
        Err(format!("“{words}” does not stand in: {}", knot.words))
    }
}

fn convention_of(row: &Row, of: &str, name: &str, words: bool) -> Result<Option<Found>, String> {
    let all = service::catalogue::whole();
    let list = all.conventions.get(of).ok_or_else(|| format!("no conventions on {of}"))?;
    let named: Vec<_> = list.iter().filter(|c| c.words.contains(name)).collect();
    let [own] = named[..] else { return Err(format!("{} conventions name “{name}”", named.len())) };
    as_known(row, own.standing)?;
    if words { said(row, own.words) } else { Ok(Some(found(own.value, own.unit))) }
}

fn check(template: &str, set: &BTreeMap<String, String>) -> Result<rig::findings::StateFindings, String> {
    let rig = rig::templates::make(template, set).map_err(|e| e.to_string())?;
    Ok(engine::check(&rig, &Guidelines::defaults(), None).main)
}
