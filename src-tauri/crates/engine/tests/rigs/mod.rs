//! Rigs for the tests: templates with every part rated, and small ones made by hand.
#![allow(dead_code)]

use rig::Rig;
use rig::findings::{LossFinding, LossMode, PartFinding, StateFindings};
use rig::guidelines::{FORMAT, Guidelines, Limit, MotionWords};
use std::collections::BTreeMap;

/// A template with what is set.
pub fn make(name: &str, set: &[(&str, &str)]) -> Rig {
    let set: BTreeMap<String, String> = set.iter().map(|(k, v)| ((*k).into(), (*v).into())).collect();
    rig::templates::make(name, &set).unwrap_or_else(|e| panic!("{name}: {e}"))
}

/// A template with every part rated, and what is set besides.
pub fn rated(name: &str, set: &[(&str, &str)]) -> Rig {
    let mut all: BTreeMap<&str, &str> = [
        "anchor_west",
        "anchor_east",
        "device",
        "edge_protection",
        "edge_lip",
        "bridle_ring",
        "bridle",
        "litter",
        "patient_tie_in",
        "harness",
    ]
    .into_iter()
    .map(|name| (name, "30kN"))
    .collect();
    if name.starts_with("raise") {
        all.extend([("pulley", "30kN"), ("haul_hitch", "9kN"), ("progress_capture", "9kN")]);
    }
    all.extend(set.iter().copied());
    make(name, &all.into_iter().collect::<Vec<_>>())
}

fn limit(value: f64) -> Limit {
    Limit { value, source: "common practice, no source".into() }
}

/// 10:1, and a survivor at its strength.
pub fn guidelines() -> Guidelines {
    Guidelines {
        format: FORMAT.into(),
        name: "for the tests".into(),
        required_margin: limit(10.0),
        required_after_loss: limit(1.0),
        required_by_kind: BTreeMap::new(),
        roles: Vec::new(),
        readback_s: limit(10.0),
        stop_s: limit(5.0),
        par_min: limit(30.0),
        pull_per_person_kn: limit(0.222),
        words: MotionWords {
            load_test: Vec::new(),
            at_the_edge: Vec::new(),
            lower: Vec::new(),
            raise: Vec::new(),
            slow: Vec::new(),
            stop: Vec::new(),
            stopped: Vec::new(),
            tied_off: Vec::new(),
            landed: Vec::new(),
        },
        whistle: BTreeMap::new(),
    }
}

/// The finding of a part.
pub fn part<'a>(state: &'a StateFindings, id: &str) -> &'a PartFinding {
    state.parts.iter().find(|p| p.id == id).unwrap_or_else(|| panic!("no part {id}"))
}

/// The finding of a loss.
pub fn loss<'a>(state: &'a StateFindings, id: &str, mode: LossMode) -> &'a LossFinding {
    state
        .losses
        .iter()
        .find(|l| l.mode == mode && l.lost.iter().any(|i| i == id))
        .unwrap_or_else(|| panic!("no loss {id}"))
}
