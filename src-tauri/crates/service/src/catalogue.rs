//! The catalogue as a document: every class, range and convention with its source and standing.

use rig::catalogue::{self, Convention, Knot, Matter, Rated};
use serde::Serialize;
use std::collections::BTreeMap;

/// The whole catalogue.
#[derive(Debug, Serialize)]
pub struct Catalogue {
    /// Version of the ratings.
    pub version: &'static str,
    /// Classes by what they are.
    pub classes: BTreeMap<&'static str, &'static [Rated]>,
    /// Knots, and a choke.
    pub knots: Vec<Knot>,
    /// Where conventions differ, by what they are for.
    pub conventions: BTreeMap<&'static str, &'static [Convention]>,
    /// Materials.
    pub materials: &'static [Matter],
}

/// What the program knows of gear.
pub fn whole() -> Catalogue {
    Catalogue {
        version: catalogue::VERSION,
        classes: BTreeMap::from([
            ("ropes", catalogue::ROPES),
            ("connectors", catalogue::CONNECTORS),
            ("legs", catalogue::LEGS),
            ("pulleys", catalogue::PULLEYS),
            ("high directionals", catalogue::DIRECTIONALS),
            ("devices", catalogue::DEVICES),
            ("anchor devices", catalogue::ANCHORS),
        ]),
        knots: catalogue::KNOTS.iter().copied().chain([catalogue::CHOKED]).collect(),
        conventions: BTreeMap::from([
            ("required margins", catalogue::MARGINS),
            ("least strength of an anchor", catalogue::ANCHOR_MINIMUMS),
            ("planned loads", catalogue::DESIGN_LOADS),
            ("force that stops a person", catalogue::ARREST_LIMITS),
        ]),
        materials: catalogue::MATERIALS,
    }
}

impl Catalogue {
    /// Rows under a heading each: what, number with unit, source, standing.
    pub fn rows(&self) -> Vec<(String, Vec<[String; 4]>)> {
        let mut all = Vec::new();
        for (name, classes) in &self.classes {
            let mut rows = Vec::new();
            for class in *classes {
                let row = |label: String, kn: f64, words: &str, standing: rig::model::Standing| {
                    [label, format!("{kn} kN"), words.to_string(), standing.words().to_string()]
                };
                rows.push(row(class.label.into(), class.rating_kn, class.words, class.standing));
                rows.extend(class.other.iter().map(|other| {
                    row(format!("  {}", other.loading.words()), other.rating_kn, other.words, other.standing)
                }));
            }
            all.push(((*name).to_string(), rows));
        }
        let knots = self.knots.iter().map(|k| {
            let range = if k.low < k.high { format!("{} to {}", k.low, k.high) } else { k.low.to_string() };
            [k.label.to_string(), range, k.words.to_string(), k.standing.words().to_string()]
        });
        all.push(("knots, the low end counts".into(), knots.collect()));
        for (name, conventions) in &self.conventions {
            let rows = conventions.iter().map(|c| {
                [String::new(), format!("{} {}", c.value, c.unit), c.words.into(), c.standing.words().into()]
            });
            all.push((format!("{name}: sources differ, the team chooses"), rows.collect()));
        }
        let materials = self.materials.iter().map(|m| {
            let name = format!("{:?}", m.material).to_lowercase();
            [name, String::new(), m.words.to_string(), m.standing.words().to_string()]
        });
        all.push(("materials".into(), materials.collect()));
        all
    }
}
