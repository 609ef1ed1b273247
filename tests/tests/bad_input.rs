//! What is damaged, foreign or malformed: a plain message with file, place and remedy, exit 2, nothing
//! lost or half written.

use ledgebook_tests::cli::{Ran, run, run_in, start};
use ledgebook_tests::records::rehearsed;
use serde_json::{Value, json};
use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use tempfile::tempdir;

/// Exit 2 with what, where and remedy; answers them as one text.
#[track_caller]
fn refused(ran: &Ran) -> String {
    assert_eq!(ran.code, 2, "{ran:?}");
    let trouble = ran.trouble();
    for field in ["code", "what", "where", "remedy"] {
        assert!(trouble[field].as_str().is_some_and(|words| !words.is_empty()), "{field} of {trouble}");
    }
    trouble.to_string()
}

fn script(steps: Value) -> Value {
    json!({ "format": "ledgebook-script/0", "start": "2026-03-02T08:00:00+01:00", "station": "top", "seed": 3, "steps": steps })
}

#[test]
fn a_malformed_script_is_refused_with_its_place_and_leaves_nothing() {
    let open = json!({"at": "PT0S", "do": "open", "name": "A", "place": "B", "purpose": "drill", "edge_height": "10m"});
    let cases = [
        (
            "a time that cannot be read",
            json!([open, {"at": "soon", "do": "check_in", "person": "K"}]),
            "soon",
        ),
        (
            "a time that runs back",
            json!([open, {"at": "PT2M", "do": "check_in", "person": "K"}, {"at": "PT1M", "do": "check_in", "person": "L"}]),
            "PT1M",
        ),
        ("an unknown word", json!([open, {"at": "PT1M", "do": "levitate", "person": "K"}]), "levitate"),
        ("a missing field", json!([open, {"at": "PT1M", "do": "check_in"}]), "person"),
        (
            "a field nobody knows",
            json!([open, {"at": "PT1M", "do": "check_in", "person": "K", "shoe": 43}]),
            "shoe",
        ),
    ];
    for (what, steps, named) in cases {
        let dir = tempdir().unwrap();
        let file = dir.path().join("script.json");
        fs::write(&file, script(steps).to_string()).unwrap();
        let out = dir.path().join("out");
        let ran = run(&["rehearse", &file.to_string_lossy(), "--out", &out.to_string_lossy(), "--json"]);
        let words = refused(&ran);
        assert!(words.contains(named), "{what}: {words}");
        assert!(
            !out.join("operation.ledge").exists() && !out.join("report.pdf").exists(),
            "{what}: something was left"
        );
    }
}

#[test]
fn a_foreign_or_damaged_operation_file_is_refused_and_not_touched() {
    let dir = tempdir().unwrap();
    let cases: [(&str, &[u8]); 3] = [
        ("foreign.ledge", b"GIF89a, a picture"),
        ("empty.ledge", b""),
        ("half.ledge", b"SQLite format 3\0\x10\0"),
    ];
    for (name, bytes) in cases {
        let file = dir.path().join(name);
        fs::write(&file, bytes).unwrap();
        let path = file.to_string_lossy().into_owned();
        let pdf = dir.path().join("report.pdf");
        let runs: [&[&str]; 4] = [
            &["log", "show", &path, "--json"],
            &["state", &path, "--json"],
            &["report", &path, "--pdf", &pdf.to_string_lossy(), "--json"],
            &["log", "append", &path, "--json"],
        ];
        for args in runs {
            let words = refused(&run(args));
            assert!(words.contains(name), "{args:?}: {words}");
        }
        assert_eq!(fs::read(&file).unwrap(), bytes, "{name} was touched");
        assert!(!pdf.exists());
    }
    let missing = dir.path().join("missing.ledge");
    let words = refused(&run(&["log", "show", &missing.to_string_lossy(), "--json"]));
    assert!(words.contains("missing.ledge"), "{words}");
    assert!(!missing.exists(), "looking made a file");
}

/// A wrong name behind `--out` or `--pdf` must not cost an operation its record.
#[test]
fn what_is_made_of_a_record_is_never_written_over_one() {
    let (dir, record) = rehearsed();
    let at = |name: &str| dir.path().join(name).to_string_lossy().into_owned();
    // Another record, under its own name and under one that does not say what it is; and the second copy.
    fs::copy(&record, at("other.ledge")).unwrap();
    fs::copy(&record, at("other")).unwrap();
    let note = "{\"do\":\"note\",\"from\":\"scribe\",\"text\":\"later\"}\n";
    run_in(dir.path(), &[], &["log", "append", &record, "--mirror", &at("copy.jsonl")], note).done();
    let link = at("link");
    #[cfg(unix)]
    std::os::unix::fs::symlink(&record, &link).unwrap();
    #[cfg(not(unix))]
    fs::copy(&record, &link).unwrap();
    let whole = |path: &str| fs::read(path).unwrap();
    for out in
        [record.clone(), at("other.ledge"), at("other"), at("copy.jsonl"), link, format!("{record}-wal")]
    {
        let before = Path::new(&out).exists().then(|| (whole(&record), whole(&out)));
        for asked in [
            vec!["report", &record, "--pdf", &out],
            vec!["export", &record, "--to", "csv", "--out", &out],
            vec!["export", &record, "--to", "jsonl", "--out", &out],
            vec!["export", &record, "--to", "bundle", "--out", &out],
        ] {
            let words = refused(&run(&[&asked[..], &["--json"]].concat()));
            assert!(words.contains("never written over") && words.contains(&out), "{words}");
            assert_eq!(Path::new(&out).exists().then(|| (whole(&record), whole(&out))), before, "{asked:?}");
        }
    }
    // What is no record is made anew as it always was.
    let again = at("again.pdf");
    run(&["report", &record, "--pdf", &again]).done();
    run(&["report", &record, "--pdf", &again]).done();
}

#[test]
fn a_file_where_a_folder_is_asked_for_is_called_a_file() {
    let (_dir, record) = rehearsed();
    let words = refused(&run(&["records", &record, "--json"]));
    assert!(words.contains("not a folder") && words.contains("name the folder"), "{words}");
}

/// Without names, each way out says what may still name somebody.
#[test]
fn what_is_not_found_as_a_name_is_said_wherever_names_are_removed() {
    let (dir, record) = rehearsed();
    let at = |name: &str| dir.path().join(name).to_string_lossy().into_owned();
    let (pdf, csv, lines, zip, forms) = (at("n.pdf"), at("n.csv"), at("n.jsonl"), at("n.zip"), at("n"));
    for asked in [
        vec!["report", &record, "--pdf", &pdf],
        vec!["export", &record, "--to", "csv", "--out", &csv],
        vec!["export", &record, "--to", "jsonl", "--out", &lines],
        vec!["export", &record, "--to", "bundle", "--out", &zip],
        vec!["export", &record, "--to", "forms", "--out", &forms],
    ] {
        let said = "Not found: a nickname, a misspelling";
        let told = run(&[&asked[..], &["--no-names"]].concat()).done().out;
        assert!(told.contains(said), "{told}");
        let told = run(&[&asked[..], &["--no-names", "--json"]].concat()).done().json();
        assert!(told["names_not_found"].as_str().is_some_and(|words| words.contains(said)), "{told}");
        let told = run(&[&asked[..], &["--json"]].concat()).done().json();
        assert!(told.get("names_not_found").is_none(), "{told}");
    }
}

#[test]
fn a_rig_with_an_unknown_field_or_a_negative_length_is_refused_with_its_place() {
    let dir = tempdir().unwrap();
    let made = run(&["rig", "make", "twin-lower-two-knots", "--json"]).done().json();
    let check = |rig: &Value| {
        let file = dir.path().join("rig.json");
        fs::write(&file, rig.to_string()).unwrap();
        run(&["rig", "check", &file.to_string_lossy(), "--json"])
    };
    assert!([0, 1, 3].contains(&check(&made).code), "a made rig can be checked");

    let mut unknown = made.clone();
    unknown["colour_of_the_rope"] = "mauve".into();
    assert!(refused(&check(&unknown)).contains("colour_of_the_rope"));

    let mut negative = made.clone();
    negative["ropes"][0]["length"] = json!("-3m");
    let words = refused(&check(&negative));
    assert!(words.contains("rope") || words.contains("length"), "{words}");

    assert!(
        refused(&run(&["rig", "make", "twin-lower-two-knots", "--set", "load=-5kg", "--json"]))
            .contains("load")
    );
    assert!(refused(&run(&["rig", "make", "no-such-rig", "--json"])).contains("no-such-rig"));
}

const STEPS: &str = r#"{"do":"open","name":"Tern Ledge","place":"Tern Ledge","purpose":"drill","edge_height":"12m"}
{"do":"check_in","person":"Odile Marn"}
{"do":"assign","role":"control","person":"Odile Marn"}
"#;

/// A new file with three entries.
fn begun(dir: &Path) -> String {
    let file = dir.join("tern.ledge").to_string_lossy().into_owned();
    run(&["log", "new", &file]).done();
    run_in(dir, &[], &["log", "append", &file], STEPS).done();
    file
}

#[test]
fn the_first_malformed_line_stops_an_append_and_earlier_lines_stay() {
    let dir = tempdir().unwrap();
    let file = begun(dir.path());
    let more = "{\"do\":\"note\",\"from\":\"control\",\"text\":\"first\"}\n{\"do\":\"note\",\"from\":\n{\"do\":\"note\",\"from\":\"control\",\"text\":\"third\"}\n";
    let ran = run_in(dir.path(), &[], &["log", "append", &file, "--json"], more);
    assert_eq!(ran.code, 2, "{ran:?}");
    assert_eq!(ran.json_lines().len(), 1, "one line was acknowledged: {ran:?}");
    assert!(ran.trouble()["where"].as_str().unwrap().contains('2'), "the line is named: {ran:?}");
    let shown = run(&["log", "show", &file, "--json"]).done().out;
    assert!(shown.contains("first") && !shown.contains("third"));
}

#[test]
fn what_was_acknowledged_is_there_after_a_kill() {
    let dir = tempdir().unwrap();
    let file = begun(dir.path());
    let mut child = start(dir.path(), &[], &["log", "append", &file, "--json"]);
    let mut to = child.stdin.take().unwrap();
    let mut answers = BufReader::new(child.stdout.take().unwrap()).lines();
    let mut acknowledged = Vec::new();
    for n in 0..40 {
        writeln!(to, "{}", json!({"do": "report", "from": "control", "text": format!("call {n}")})).unwrap();
        let answer: Value = serde_json::from_str(&answers.next().unwrap().unwrap()).unwrap();
        acknowledged.push((answer["seq"].as_u64().unwrap(), answer["hash"].as_str().unwrap().to_string()));
    }
    // One more on its way when the plug is pulled.
    writeln!(to, "{}", json!({"do": "report", "from": "control", "text": "unheard"})).unwrap();
    child.kill().unwrap();
    child.wait().unwrap();

    let shown = run(&["log", "show", &file, "--json"]).done().json_lines();
    for (seq, hash) in acknowledged {
        let entry = shown.iter().find(|entry| entry["seq"].as_u64() == Some(seq));
        assert_eq!(entry.and_then(|entry| entry["hash"].as_str()), Some(hash.as_str()), "entry {seq}");
    }
    run(&["log", "verify", &file]).done();
    // The operation goes on.
    run_in(dir.path(), &[], &["log", "append", &file], "{\"do\":\"close\"}\n").done();
}

#[test]
fn a_word_the_program_does_not_know_is_bad_input() {
    for args in [&["frobnicate"][..], &["rig", "chek"], &["rehearse"], &["report", "x.ledge"]] {
        let ran = run(args);
        assert_eq!(ran.code, 2, "{args:?}: {ran:?}");
        assert!(!ran.err.is_empty(), "{args:?}");
    }
}
