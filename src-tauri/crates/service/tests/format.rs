//! Format 1 is frozen: what was written once stays readable and means what it meant, and no stored shape changes
//! without a new version of it.

use journal::Journal;
use operation::event::{VERSION, version_of};
use operation::{Payload, State};
use rig::guidelines::Guidelines;
use schemars::schema_for;
use serde_json::{Map, Value, json};
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// What was written since the format was frozen has a folder of its own.
const SINCE: [&str; 2] = ["format-1-review", "format-1-lessons"];

fn fixture(name: &str) -> PathBuf {
    fixture_in("format-1", name)
}

fn fixture_in(folder: &str, name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../tests/fixtures").join(folder).join(name)
}

fn facts_in(folder: &str) -> Value {
    serde_json::from_slice(&std::fs::read(fixture_in(folder, "facts.json")).unwrap()).unwrap()
}

fn facts() -> Value {
    serde_json::from_slice(&std::fs::read(fixture("facts.json")).unwrap()).unwrap()
}

/// The fixture copied to where it may be opened.
fn copy(dir: &Path, name: &str) -> PathBuf {
    let path = dir.join(name);
    std::fs::copy(fixture(name), &path).unwrap();
    path
}

fn sha(bytes: &[u8]) -> String {
    hex::encode(Sha256::digest(bytes))
}

#[test]
fn the_files_of_format_1_are_as_they_were_made() {
    for folder in ["format-1"].into_iter().chain(SINCE) {
        for (name, digest) in facts_in(folder)["files"].as_object().unwrap() {
            let now = sha(&std::fs::read(fixture_in(folder, name)).unwrap());
            assert_eq!(now, digest.as_str().unwrap(), "{folder}/{name}");
        }
    }
}

/// What came since is whole too: nothing in it is dropped, and its head is what it was.
#[test]
fn what_came_since_is_read_and_written_as_ever() {
    for folder in SINCE {
        let record = fixture_in(folder, "every-kind.ledge");
        let dir = tempfile::tempdir().unwrap();
        let copy = dir.path().join("every-kind.ledge");
        std::fs::copy(&record, &copy).unwrap();
        let journal = Journal::open_read_only(&copy).unwrap();
        assert_eq!(journal.verify().unwrap().head.hex, facts_in(folder)["head"].as_str().unwrap());
        drop(journal);
        let export = service::export::of_file(&copy, service::export::Kind::Jsonl).unwrap().0;
        assert!(export == std::fs::read(fixture_in(folder, "every-kind.jsonl")).unwrap(), "{folder}");
        let review = serde_json::to_value(
            service::review::of_file(&copy, service::paper::Units::Si).unwrap().findings,
        )
        .unwrap();
        for (id, said) in facts_in(folder)["said"].as_object().unwrap() {
            let found = review.as_array().unwrap().iter().find(|f| f["id"] == **id).unwrap();
            let people: Vec<&str> =
                found["said"].as_array().unwrap().iter().map(|s| s["person"].as_str().unwrap()).collect();
            assert_eq!(
                (json!(people), &found["set_aside"]),
                (said["people"].clone(), &said["set_aside"]),
                "{id}"
            );
        }
    }
}

#[test]
fn they_open_verify_and_are_written_out_as_ever() {
    let dir = tempfile::tempdir().unwrap();
    let record = copy(dir.path(), "every-kind.ledge");
    let journal = Journal::open_read_only(&record).unwrap();
    assert_eq!((journal.format(), journal.without_log()), (1, None));
    let verified = journal.verify().unwrap();
    assert_eq!(verified.head.hex, facts()["head"].as_str().unwrap());
    assert_eq!(json!(verified.erased), facts()["erased"]);
    drop(journal);
    let export = service::export::of_file(&record, service::export::Kind::Jsonl).unwrap().0;
    assert!(export == std::fs::read(fixture("every-kind.jsonl")).unwrap(), "the export");
    let mirror = copy(dir.path(), "every-kind.ledge.jsonl");
    let before = std::fs::read(&mirror).unwrap();
    let count = service::log::mirror(&record, &mirror).unwrap();
    assert_eq!(count, verified.head.count);
    assert!(std::fs::read(&mirror).unwrap() == before, "the mirror is up to date as it is");
    for witness in ["every-kind.jsonl", "every-kind.ledge.jsonl", "every-kind.ledge"] {
        let against = fixture(witness).display().to_string();
        let against = if witness.ends_with(".ledge") { record.display().to_string() } else { against };
        let verdict = service::witness::verify(&record, Some(&against)).unwrap();
        assert!(matches!(verdict, service::witness::Verdict::Consistent(_)), "{witness}: {verdict:?}");
    }
    // And it goes on.
    let mut journal = Journal::open(&record, "a test").unwrap();
    assert!(!dir.path().join("every-kind.format-1.ledge").exists());
    let event = operation::NewEvent::of(&Payload::Slept(operation::event::Slept { ms: 1 })).unwrap();
    let stamp = journal::Stamp {
        id: "one more".into(),
        session: "s".into(),
        boot_ms: 0,
        recorded_at: "2026-10-25T04:00:00.000+01:00".into(),
        salt: [1; 32],
    };
    journal.append("base", &event, &stamp).unwrap();
    journal.close().unwrap();
}

/// Every payload of a known kind is read, and written again it says the same: nothing in it is dropped.
#[test]
fn every_kind_is_there_and_nothing_in_it_is_dropped() {
    let dir = tempfile::tempdir().unwrap();
    let entries = Journal::open_read_only(&copy(dir.path(), "every-kind.ledge")).unwrap().entries().unwrap();
    let since = SINCE.map(|folder| {
        let copy = dir.path().join(format!("{folder}.ledge"));
        std::fs::copy(fixture_in(folder, "every-kind.ledge"), &copy).unwrap();
        Journal::open_read_only(&copy).unwrap().entries().unwrap()
    });
    let mut seen = BTreeSet::new();
    let mut unread = Vec::new();
    for entry in entries.iter().chain(since.iter().flatten()) {
        let Some(text) = entry.payload.as_deref() else { continue };
        match Payload::read(&entry.kind, entry.version, text) {
            Some(payload) => {
                assert_eq!(payload.kind(), entry.kind);
                let again: Value = serde_json::from_str(&payload.write().unwrap()).unwrap();
                let stored: Value = serde_json::from_str(text).unwrap();
                assert_eq!(again, stored, "entry {}", entry.seq);
                seen.insert(entry.kind.clone());
            }
            None => unread.push((entry.kind.as_str(), entry.version)),
        }
    }
    assert_eq!(unread, [("tide", 7), ("note", 99)]);
    let kinds: BTreeSet<String> = shapes().into_keys().collect();
    let none: BTreeSet<&String> = kinds.difference(&seen).collect();
    assert!(
        none.is_empty(),
        "a kind needs an entry in a fixture of its own (examples/format_fixture.rs): {none:?}"
    );
    let state = State::replay(Guidelines::defaults(), &entries);
    let shown: Vec<String> = entries
        .iter()
        .filter(|e| e.kind == "tide" || e.version == 99)
        .map(|e| operation::line::row(&state, e.seq).unwrap().text)
        .collect();
    assert!(shown[0].contains("{\"height\" : 1.50, \"text\":\"rising\"}"), "{shown:?}");
    assert!(shown[1].contains("\"place\":[1,2]"), "{shown:?}");
}

#[test]
fn they_mean_what_they_meant() {
    let dir = tempfile::tempdir().unwrap();
    let record = copy(dir.path(), "every-kind.ledge");
    for (at, expected) in facts()["states"].as_object().unwrap() {
        let mut state = serde_json::to_value(service::state_at::of_file(&record, Some(at)).unwrap()).unwrap();
        // What is judged of it may grow, and be said better, and more may be told beside it; what happened stays.
        for judged in ["flags", "clock", "roll_call", "patient", "phase", "metres_out", "rope_left"] {
            state.as_object_mut().unwrap().remove(judged);
        }
        assert_eq!(&state, expected, "{at}: {state}");
    }
}

/// A rig, a check's findings and guidelines have formats of their own inside: they are held by the fixture being read, and by
/// `own_shapes.rs`.
const OWN: [&str; 3] = ["Rig", "CheckReport", "Guidelines"];

/// A shape without its words, its references written out.
fn plain(shape: &Value, defs: &Map<String, Value>) -> Value {
    match shape {
        Value::Object(map) => {
            if let Some(name) =
                map.get("$ref").and_then(Value::as_str).and_then(|r| r.strip_prefix("#/$defs/"))
            {
                return if OWN.contains(&name) { json!(name) } else { plain(&defs[name], defs) };
            }
            let kept =
                map.iter().filter(|(key, _)| !["description", "title", "examples"].contains(&key.as_str()));
            let sorted: BTreeMap<String, Value> = kept.map(|(k, v)| (k.clone(), plain(v, defs))).collect();
            json!(sorted)
        }
        Value::Array(list) => Value::Array(list.iter().map(|v| plain(v, defs)).collect()),
        other => other.clone(),
    }
}

/// By kind, the digest of what is stored.
fn shapes() -> BTreeMap<String, String> {
    let schema = schema_for!(Payload).to_value();
    let defs = schema["$defs"].as_object().unwrap();
    let kinds = schema["oneOf"].as_array().unwrap().iter().map(|shape| {
        let kind = shape["properties"]["kind"]["const"].as_str().unwrap().to_string();
        let text = serde_json::to_string(&plain(&shape["properties"]["payload"], defs)).unwrap();
        (kind, sha(text.as_bytes()))
    });
    kinds.collect()
}

#[test]
fn no_stored_shape_changes_without_a_new_version() {
    assert_eq!(VERSION, 1);
    let mut known = facts()["shapes"].clone();
    for folder in SINCE {
        let more = facts_in(folder)["shapes"].as_object().unwrap().clone();
        known.as_object_mut().unwrap().extend(more);
    }
    let now: BTreeMap<String, String> = shapes()
        .into_iter()
        .map(|(kind, digest)| (format!("{kind}/{}", version_of(&kind)), digest))
        .collect();
    for (shape, digest) in &now {
        assert_eq!(
            known[shape].as_str(),
            Some(digest.as_str()),
            "{shape} is not stored as it was: give it the next version (operation::event::version_of), let Payload::read \
             read both, add a fixture and a line in facts.json. All now: {}",
            serde_json::to_string_pretty(&now).unwrap()
        );
    }
}
