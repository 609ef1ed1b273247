//! Operations of one team beside each other: which are compared, and with what.

use serde_json::{Value, json};
use service::review::compare;
use std::path::{Path, PathBuf};

/// A drill of three people on a day: one order read back after so many seconds, one stop reported after so many.
fn drill(
    dir: &Path,
    name: &str,
    day: u32,
    people: [&str; 3],
    (readback, stopped): (u32, u32),
    purpose: &str,
) -> PathBuf {
    let mut steps = vec![json!({"at": "PT0S", "do": "open", "name": name, "purpose": purpose})];
    let roles = ["control", "rope one operator", "rope two operator"];
    for (person, role) in people.iter().zip(roles) {
        steps.push(json!({"at": "PT10S", "do": "check_in", "person": person}));
        steps.push(json!({"at": "PT10S", "do": "assign", "role": role, "person": person}));
    }
    let at = |s: u32| format!("PT{s}S");
    let back = |from: &str| json!({"at": at(120 + readback), "do": "readback", "from": from, "of": "k", "text": "lower"});
    let stop = |from: &str| json!({"at": at(200 + stopped), "do": "report", "from": from, "text": "stopped"});
    steps.push(json!({"at": at(120), "do": "order", "from": "control", "to": ["both"], "text": "lower", "label": "k"}));
    steps.extend([back("rope one operator"), back("rope two operator")]);
    steps.push(json!({"at": at(200), "do": "order", "from": "control", "to": ["all"], "text": "stop"}));
    steps.extend([stop("rope one operator"), stop("rope two operator")]);
    steps.push(json!({"at": at(300), "do": "report", "from": "control", "text": "on the ground"}));
    steps.push(json!({"at": at(400), "do": "close"}));
    let script: Value = json!({"format": "ledgebook-script/0", "start": format!("2026-05-{day:02}T09:00:00+02:00"),
        "station": "top", "seed": day, "steps": steps});
    let out = dir.join(format!("made {name}"));
    service::rehearse::rehearse(&script.to_string(), &out).unwrap();
    let file = dir.join(format!("{name}.ledge"));
    std::fs::rename(out.join(service::rehearse::OPERATION), &file).unwrap();
    file
}

const TEAM: [&str; 3] = ["Ada", "Ben", "Cleo"];

/// Opened to first moved: 120 s = 2 min; first moved to the ground: 180 s = 3 min; both readbacks right: 100 %.
#[test]
fn a_drill_stands_beside_the_last_ones_of_its_team() {
    let dir = tempfile::tempdir().unwrap();
    drill(dir.path(), "first", 1, TEAM, (9, 8), "drill");
    // Two of three are the same people: one team still.
    drill(dir.path(), "second", 8, ["Ada", "Ben", "Dov"], (5, 6), "drill");
    drill(dir.path(), "strangers", 9, ["Eve", "Fay", "Cleo"], (1, 1), "drill");
    drill(dir.path(), "rescue", 10, TEAM, (1, 1), "rescue");
    drill(dir.path(), "later", 20, TEAM, (1, 1), "drill");
    std::fs::write(dir.path().join("torn.ledge"), b"torn").unwrap();
    let this = drill(dir.path(), "this", 15, TEAM, (4, 3), "drill");
    // A copy of the first is the first.
    std::fs::copy(dir.path().join("first.ledge"), dir.path().join("first, copied.ledge")).unwrap();
    let found = compare(&this).unwrap();
    let mut names: Vec<&str> = found.operations.iter().map(|o| o.name.as_str()).collect();
    assert_eq!(names, ["first", "second", "this"]);
    let row = |words: &str| {
        let rows: Vec<_> = found.rows.iter().filter(|r| r.words == words).collect();
        assert_eq!(rows.len(), 1, "{words}");
        rows[0].values.clone()
    };
    assert_eq!(row("readback, 9 in 10"), [Some(9.0), Some(5.0), Some(4.0)]);
    assert_eq!(row("read back as ordered"), [Some(100.0); 3]);
    assert_eq!(row("STOP to all stopped, slowest"), [Some(8.0), Some(6.0), Some(3.0)]);
    assert_eq!(row("opened to load first moved"), [Some(2.0); 3]);
    assert_eq!(row("load first moved to its end"), [Some(3.0); 3]);
    // Five at most, the last ones.
    for day in 2..=6 {
        drill(dir.path(), &format!("more {day}"), day, TEAM, (2, 2), "drill");
    }
    let found = compare(&this).unwrap();
    names = found.operations.iter().map(|o| o.name.as_str()).collect();
    assert_eq!(names, ["more 4", "more 5", "more 6", "second", "this"]);
}

#[test]
fn what_cannot_be_compared_says_so() {
    let dir = tempfile::tempdir().unwrap();
    let alone = drill(dir.path(), "alone", 1, TEAM, (4, 3), "drill");
    let found = compare(&alone).unwrap();
    assert_eq!((found.operations.len(), found.rows[0].values.len()), (1, 1));
    let torn = dir.path().join("torn.ledge");
    std::fs::write(&torn, b"torn").unwrap();
    assert!(compare(&torn).unwrap_err().what.contains("not an operation file"));
    assert_eq!(compare(&dir.path().join("nowhere.ledge")).unwrap_err().code, "file_missing");
    let empty = dir.path().join("empty.ledge");
    service::Session::create_new(&empty, "a test").unwrap().close().unwrap();
    assert_eq!(compare(&empty).unwrap_err().code, "not_comparable");
}
