//! Everything the program reads from outside, changed at random: it is taken or refused in words, and nothing
//! panics, hangs or eats the memory. What once failed is kept in `corpus/KIND` and read again each time.

mod edit;
mod target;

use crate::flips;
use crate::model::run_seeded;
use crate::promise::{Tally, Trial, count};
use edit::Edit;
use proptest::strategy::BoxedStrategy;
use rig::guidelines::Guidelines;
use serde_json::json;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// What an input became.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Became {
    /// Taken.
    Taken,
    /// Refused in words.
    Refused,
}

/// A way in: its name, valid inputs, and what reads them.
struct Way {
    kind: &'static str,
    bases: Vec<Vec<u8>>,
    read: fn(&[u8]) -> Result<Became, String>,
}

/// The ways in, by the name of their corpus.
fn way(kind: &str) -> Result<Way, String> {
    let (kind, bases, read): (_, _, fn(&[u8]) -> _) = match kind {
        "file" => ("file", vec![flips::closed_bytes()?], target::file),
        "salvage" => ("salvage", vec![flips::kept_bytes()?.to_vec()], target::salvage),
        "script" => ("script", scripts()?, target::script),
        "rig" => ("rig", rigs()?, target::rig),
        "guidelines" => ("guidelines", guidelines()?, target::guidelines),
        "steps" => ("steps", steps(), target::steps),
        "mirror" => ("mirror", mirrors()?, target::mirror),
        _ => return Err(format!("no way in called {kind:?}")),
    };
    Ok(Way { kind, bases, read })
}

/// Names of all ways in.
pub const KINDS: [&str; 7] = ["file", "salvage", "script", "rig", "guidelines", "steps", "mirror"];

/// Operation files.
///
/// # Errors
/// When the valid inputs cannot be made.
pub fn files() -> Result<Trial, String> {
    trial("file")
}
/// Scripts.
///
/// # Errors
/// As [`files`].
pub fn of_scripts() -> Result<Trial, String> {
    trial("script")
}
/// Rigs.
///
/// # Errors
/// As [`files`].
pub fn of_rigs() -> Result<Trial, String> {
    trial("rig")
}
/// Guidelines.
///
/// # Errors
/// As [`files`].
pub fn of_guidelines() -> Result<Trial, String> {
    trial("guidelines")
}
/// Steps as JSON Lines.
///
/// # Errors
/// As [`files`].
pub fn of_steps() -> Result<Trial, String> {
    trial("steps")
}

/// Damaged files to be salvaged.
///
/// # Errors
/// As [`files`].
pub fn of_salvages() -> Result<Trial, String> {
    trial("salvage")
}

/// Mirrors.
///
/// # Errors
/// As [`files`].
pub fn of_mirrors() -> Result<Trial, String> {
    trial("mirror")
}

fn trial(kind: &str) -> Result<Trial, String> {
    let way = way(kind)?;
    let strategy = cases(&way);
    Ok(Box::new(move |seed, tally| one(&way, &strategy, seed, tally)))
}

/// A base and its edits; at times plain noise in place of both.
type Cases = BoxedStrategy<(usize, Vec<Edit>, Option<Vec<u8>>)>;

fn cases(way: &Way) -> Cases {
    use proptest::prelude::*;
    let bytes = matches!(way.kind, "file" | "salvage" | "mirror");
    let edits = if bytes { edit::of_file().boxed() } else { edit::of_json().boxed() };
    let noise = proptest::option::weighted(0.02, proptest::collection::vec(any::<u8>(), 0..4000));
    (0..way.bases.len(), edits, noise).boxed()
}

fn one(way: &Way, strategy: &Cases, seed: u64, tally: &mut Tally) -> Result<(), String> {
    let mut became = None;
    let mut last = Vec::new();
    let done = run_seeded(seed, strategy, |(base, edits, noise)| {
        last = noise.unwrap_or_else(|| edit::apply(&way.bases[base], &edits));
        became = Some((way.read)(&last)?);
        Ok(())
    });
    match became {
        Some(Became::Taken) => count(tally, "taken", 1),
        Some(Became::Refused) => count(tally, "refused in words", 1),
        None => {}
    }
    done.map_err(|broken| match keep(way.kind, seed, &last) {
        Some(file) => format!("{broken}\n  the last input tried lies in {}", file.display()),
        None => broken,
    })
}

/// Where an input that failed is kept to be looked at; into the corpus it goes by hand, once it is small.
fn keep(kind: &str, seed: u64, input: &[u8]) -> Option<PathBuf> {
    let file = std::env::temp_dir().join(format!("ledgebook-torture-{kind}-{seed}"));
    std::fs::write(&file, input).ok().map(|()| file)
}

/// Reads every kept input of a kind again; answers how many there are.
///
/// # Errors
/// The first that breaks a promise.
pub fn replay(kind: &str) -> Result<usize, String> {
    let way = way(kind)?;
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("corpus").join(kind);
    let entries = std::fs::read_dir(&folder).into_iter().flatten();
    let mut files: Vec<PathBuf> = entries.filter_map(|entry| Some(entry.ok()?.path())).collect();
    files.sort();
    for file in &files {
        let input = std::fs::read(file).map_err(|e| format!("{}: {e}", file.display()))?;
        (way.read)(&input).map_err(|broken| format!("{}: {broken}", file.display()))?;
    }
    for base in &way.bases {
        match (way.read)(base)? {
            Became::Taken => {}
            Became::Refused => return Err(format!("a valid {kind} is refused")),
        }
    }
    Ok(files.len())
}

fn rigs() -> Result<Vec<Vec<u8>>, String> {
    let made = rig::templates::list().into_iter().map(|template| {
        let rig = rig::templates::make(template.name, &BTreeMap::new());
        rig.map(|rig| rig::write(&rig).into_bytes()).map_err(|e| format!("{}: {e}", template.name))
    });
    made.collect()
}

/// A whole one, one cut off between two lines, one cut off in a line.
fn mirrors() -> Result<Vec<Vec<u8>>, String> {
    let whole = flips::mirror_bytes()?;
    let half = whole.len() / 2;
    let line = whole[..half].iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1);
    Ok(vec![whole[..line].to_vec(), whole[..half].to_vec(), whole])
}

fn guidelines() -> Result<Vec<Vec<u8>>, String> {
    Ok(vec![serde_json::to_vec(&Guidelines::defaults()).map_err(|e| e.to_string())?])
}

fn scripts() -> Result<Vec<Vec<u8>>, String> {
    let demonstration = Path::new(env!("CARGO_MANIFEST_DIR")).join("../operations/demonstration.json");
    let demonstration =
        std::fs::read(&demonstration).map_err(|e| format!("{}: {e}", demonstration.display()))?;
    let whole: serde_json::Value = serde_json::from_slice(&demonstration).map_err(|e| e.to_string())?;
    let mut small = json!({ "format": operation::step::FORMAT, "start": "2026-05-14T13:02:00+02:00", "station": "top", "seed": 7 });
    small["steps"] = step_list().into_iter().enumerate().map(|(n, step)| at(step, n)).collect();
    let each = serde_json::to_vec(&small).map_err(|e| e.to_string())?;
    // The small one first: most of the time goes into it, and it holds a step of every kind.
    let whole = serde_json::to_vec(&whole).map_err(|e| e.to_string())?;
    Ok(vec![each.clone(), each.clone(), each, whole])
}

fn at(mut step: serde_json::Value, n: usize) -> serde_json::Value {
    step["at"] = format!("PT{n}M").into();
    step
}

/// A step of every kind, in an order that makes sense.
fn step_list() -> Vec<serde_json::Value> {
    vec![
        json!({"do": "open", "name": "Tern Ledge", "place": "North face", "purpose": "drill", "edge_height": "18m"}),
        json!({"do": "check_in", "person": "Odile Marn", "qualifications": ["control"], "agency": "Valley team"}),
        json!({"do": "check_in", "person": "Per Aske"}),
        json!({"do": "check_in", "person": "Ruta Vilks"}),
        json!({"do": "assign", "role": "control", "person": "Odile Marn"}),
        json!({"do": "assign", "role": "rope one operator", "person": "Per Aske"}),
        json!({"do": "assign", "role": "rope two operator", "person": "Ruta Vilks"}),
        json!({"do": "zone", "person": "Per Aske", "zone": "edge", "tied_in": true}),
        json!({"do": "rig", "name": "lower", "template": "twin-lower-two-knots", "set": {"load": "220kg"}}),
        json!({"do": "use", "rig": "lower", "state": "lowering"}),
        json!({"do": "check"}),
        json!({"do": "sign", "role": "rigging lead", "person": "Odile Marn"}),
        json!({"do": "order", "from": "control", "to": ["rope one operator", "rope two operator"], "text": "lower slow", "label": "k1", "by": "voice"}),
        json!({"do": "readback", "from": "rope one operator", "of": "k1", "text": "lower slow"}),
        json!({"do": "order", "from": "edge attendant", "to": ["all"], "text": "stop"}),
        json!({"do": "report", "from": "rope one operator", "text": "stopped", "metres": 4.5, "happened": "PT14M20S"}),
        json!({"do": "answer", "from": "rope two operator", "of": "k1", "text": "say again"}),
        json!({"do": "signal", "from": "edge attendant", "count": 2, "by": "whistle"}),
        json!({"do": "note", "from": "scribe", "text": "rain"}),
        json!({"do": "correct", "of": "k1", "text": "lower"}),
        json!({"do": "par", "count": 3, "of": 3, "missing": []}),
        json!({"do": "patient", "mark": "reached", "text": "awake"}),
        json!({"do": "benchmark", "name": "edge"}),
        json!({"do": "hazard", "text": "loose stone", "control": "helmets"}),
        json!({"do": "exercise", "lose": "rope one", "text": "rope one is cut"}),
        json!({"do": "erase", "of": "19", "person": "Odile Marn", "reason": "asked for"}),
        json!({"do": "relieve", "role": "rope two operator", "person": "Ruta Vilks"}),
        json!({"do": "check_out", "person": "Ruta Vilks"}),
        json!({"do": "close"}),
    ]
}

/// The same as one JSON list: the edits need one document; the lines are made of it when it is read.
fn steps() -> Vec<Vec<u8>> {
    let mut list = step_list();
    for step in &mut list {
        if let Some(happened) = step.get_mut("happened") {
            *happened = "13:02:05".into();
        }
    }
    serde_json::to_vec(&list).into_iter().collect()
}
