//! What is handed on: the archive, its digests, records without names, and the schema of a line.

use serde_json::{Value, json};
use service::bundle::{bundle, forms};
use service::export::{Kind, written};
use service::paper::Asked;
use service::witness::{Verdict, verify};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::io::Read;
use std::path::PathBuf;

fn played() -> (tempfile::TempDir, PathBuf) {
    let steps = json!([
        {"at": "PT0S", "do": "open", "name": "Grenshaw Gully", "purpose": "drill", "edge_height": "22m"},
        {"at": "PT1M", "do": "check_in", "person": "Torvald Quist", "agency": "Vale"},
        {"at": "PT2M", "do": "check_in", "person": "Zlata Perić-Moor"},
        {"at": "PT3M", "do": "assign", "role": "control", "person": "Torvald Quist"},
        {"at": "PT4M", "do": "assign", "role": "rope one operator", "person": "Zlata Perić-Moor"},
        {"at": "PT5M", "do": "rig", "name": "Quist’s lower", "template": "twin-lower-two-knots"},
        {"at": "PT6M", "do": "check"},
        {"at": "PT7M", "do": "sign", "role": "rigging lead", "person": "Zlata Perić-Moor"},
        {"at": "PT8M", "do": "order", "from": "control", "to": ["rope one operator"], "text": "=lower, Zlata", "label": "k"},
        {"at": "PT9M", "do": "readback", "from": "rope one operator", "of": "k", "text": "lower"},
        {"at": "PT10M", "do": "correct", "of": "k", "text": "lower, peric"},
        {"at": "PT11M", "do": "note", "from": "Ossian Grebe", "text": "-2m, quist looks well"},
        {"at": "PT12M", "do": "close"},
        {"at": "PT13M", "do": "lesson", "what": "change", "person": "Zlata Perić-Moor", "text": "ask quist first",
            "who": "Berta Holmgren", "by_when": "the next drill"},
        {"at": "PT14M", "do": "lesson", "what": "keep", "person": "Ossian Grebe", "text": "spare rollers",
            "who": "whoever keeps the ropes"}
    ]);
    let script = json!({"format": "ledgebook-script/0", "start": "2026-05-14T23:52:07+02:00", "seed": 3, "steps": steps});
    let dir = tempfile::tempdir().unwrap();
    service::rehearse::rehearse(&script.to_string(), &dir.path().join("out")).unwrap();
    let file = dir.path().join("out/operation.ledge");
    (dir, file)
}

const NAMES: [&str; 8] = ["orvald", "uist", "lata", "Peri", "peric", "Moor", "rebe", "olmgren"];

fn unpacked(bytes: &[u8]) -> BTreeMap<String, Vec<u8>> {
    let mut zip = zip::ZipArchive::new(std::io::Cursor::new(bytes)).unwrap();
    let mut out = BTreeMap::new();
    for i in 0..zip.len() {
        let mut file = zip.by_index(i).unwrap();
        let time = file.last_modified().unwrap();
        // The last entry was written at six past midnight of the next day, by local time.
        assert_eq!((time.year(), time.month(), time.day(), time.hour(), time.minute()), (2026, 5, 15, 0, 6));
        let name = file.name().unwrap().into_owned();
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).unwrap();
        out.insert(name, bytes);
    }
    out
}

#[test]
fn the_archive_holds_everything_with_its_digest_and_has_the_same_bytes_again() {
    let (dir, file) = played();
    let made = bundle(&file, &Asked::default()).unwrap();
    assert!(made.bytes == bundle(&file, &Asked::default()).unwrap().bytes);
    let files = unpacked(&made.bytes);
    for name in
        ["operation.ledge", "report.pdf", "record.jsonl", "record.csv", "forms/ics-201.pdf", "README.txt"]
    {
        assert!(files.contains_key(name), "{name} in {:?}", made.files);
    }
    assert!(files.contains_key("rigs/entry-6-quist-s-lower.json"), "{:?}", made.files);
    let sums = String::from_utf8(files["SHA256SUMS"].clone()).unwrap();
    assert_eq!(sums.lines().count(), files.len() - 1);
    for line in sums.lines() {
        let (sum, name) = line.split_once("  ").unwrap();
        assert_eq!(sum, hex::encode(Sha256::digest(&files[name])), "{name}");
    }
    assert!(files["operation.ledge"] == std::fs::read(&file).unwrap());
    // What comes out proves itself.
    for name in ["operation.ledge", "report.pdf", "record.jsonl"] {
        let path = dir.path().join(name);
        std::fs::write(&path, &files[name]).unwrap();
        assert!(matches!(verify(&path, None).unwrap(), Verdict::Consistent(_)), "{name}");
    }
    let rig: Value = serde_json::from_slice(&files["rigs/entry-6-quist-s-lower.json"]).unwrap();
    assert!(rig["format"].as_str().unwrap().starts_with("ledgebook-rig/"));
}

#[test]
fn without_names_nobody_is_named_in_any_file() {
    let (_dir, file) = played();
    let asked = Asked { no_names: true, ..Asked::default() };
    let files = unpacked(&bundle(&file, &asked).unwrap().bytes);
    assert!(
        !files.contains_key("operation.ledge") && files.contains_key("rigs/entry-6-person-1-s-lower.json")
    );
    for (name, bytes) in files.iter().filter(|(name, _)| !name.ends_with(".pdf")) {
        let text = format!("{name}\n{}", String::from_utf8_lossy(bytes));
        for part in NAMES {
            assert!(!text.contains(part), "{part} stands in {name}");
        }
    }
    let lines = String::from_utf8(files["record.jsonl"].clone()).unwrap();
    assert!(lines.contains("lower, Person 2") && lines.contains("Person 1 looks well"), "{lines}");
    assert!(lines.contains("ask Person 1 first") && lines.contains("whoever keeps the ropes"), "{lines}");
    for line in lines.lines() {
        let line: Value = serde_json::from_str(line).unwrap();
        assert_eq!(line["names"], "removed");
        for proof in ["salt", "payload_digest", "hash", "prev"] {
            assert!(line.get(proof).is_none(), "{proof} would prove or give away what was written");
        }
    }
    // No form names anyone either; the text of their pages is looked at where it can be taken out.
    for form in forms(&file, &asked).unwrap().forms {
        for part in NAMES {
            assert!(!String::from_utf8_lossy(&form.bytes).contains(part), "{part} in {}", form.file);
        }
    }
}

#[test]
fn every_line_of_a_record_has_the_columns_of_its_schema() {
    let (_dir, file) = played();
    let schema = service::schema::schema("record").unwrap();
    let known = schema["properties"].as_object().unwrap();
    for (no_names, which) in [(false, 0), (true, 1)] {
        let (bytes, count) = written(&file, Kind::Jsonl, no_names).unwrap();
        let wanted = schema["anyOf"][which]["required"].as_array().unwrap();
        let lines = String::from_utf8(bytes).unwrap();
        assert_eq!(lines.lines().count(), count);
        for (place, line) in lines.lines().enumerate() {
            let mut line: Value = serde_json::from_str(line).unwrap();
            let line = line.as_object_mut().unwrap();
            // What may still name somebody is said once, at the beginning.
            let said = line.remove("names_not_found");
            assert_eq!(said.is_some(), no_names && place == 0, "{line:?}");
            assert!(said.is_none_or(|said| said.as_str().unwrap().contains("Not found: a nickname")));
            assert_eq!(known["names_not_found"]["type"], "string");
            assert_eq!(line.len(), wanted.len(), "{line:?}");
            for (name, value) in line {
                assert!(wanted.iter().any(|w| w == name), "{name} is not in the schema");
                let types = &known[name]["type"];
                let is = match value {
                    Value::Null => "null",
                    Value::Number(_) => "integer",
                    _ => "string",
                };
                let fits = types == is || types.as_array().is_some_and(|all| all.iter().any(|t| t == is));
                assert!(fits || known[name].get("const") == Some(value), "{name}: {value} is no {types}");
            }
        }
    }
}

#[test]
fn no_cell_of_the_table_is_a_formula_with_or_without_names() {
    let (_dir, file) = played();
    for no_names in [false, true] {
        let (bytes, count) = written(&file, Kind::Csv, no_names).unwrap();
        let mut table = csv::Reader::from_reader(bytes.as_slice());
        let rows: Vec<csv::StringRecord> = table.records().map(Result::unwrap).collect();
        assert_eq!(rows.len(), count);
        for cell in rows.iter().flatten() {
            assert!(!cell.trim_start().starts_with(['=', '+', '-', '@']), "{cell}");
        }
        let text = String::from_utf8(bytes).unwrap();
        assert_eq!(NAMES.iter().any(|part| text.contains(part)), !no_names);
        assert!(text.contains(if no_names { "'=lower, Person 2" } else { "'=lower, Zlata" }), "{text}");
    }
}
