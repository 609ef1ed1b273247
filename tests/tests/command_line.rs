//! What other programs and a scribe at a terminal rest on: answers, exit codes, witnesses, tables.

use ledgebook_tests::cli::{run, run_in, start};
use ledgebook_tests::place::root;
use ledgebook_tests::records::{record_of, rehearsed};
use serde_json::{Value, json};
use std::fs;
use std::io::{BufRead, BufReader, Write};
use tempfile::tempdir;

fn open() -> Value {
    json!({"do": "open", "name": "Tern Ledge", "place": "North face", "purpose": "drill", "edge_height": "12m"})
}

#[test]
fn a_report_an_export_and_a_written_head_are_witnesses() {
    let (dir, record) = rehearsed();
    let plain = run(&["log", "verify", &record, "--json"]).done().json();
    assert_eq!(plain["completeness"], "not_checked");
    let (head, count) = (plain["head"].as_str().unwrap().to_string(), plain["count"].as_u64().unwrap());
    let lines = dir.path().join("mirror.jsonl").to_string_lossy().into_owned();
    run(&["export", &record, "--to", "jsonl", "--out", &lines]).done();
    let pdf = dir.path().join("report.pdf").to_string_lossy().into_owned();
    let written = format!("{}:{count}", head[..12].to_uppercase());
    for witness in [pdf.as_str(), &lines, &written] {
        let answer = run(&["log", "verify", &record, "--against", witness, "--json"]).done().json();
        assert_eq!(answer["completeness"], "complete", "{witness}: {answer}");
    }
    let before = dir.path().join("before.ledge").to_string_lossy().into_owned();
    fs::copy(&record, &before).unwrap();
    // More may be said after the report; less may not.
    run_in(
        dir.path(),
        &[],
        &["log", "append", &record],
        "{\"do\":\"note\",\"from\":\"scribe\",\"text\":\"later\"}\n",
    )
    .done();
    let longer = run(&["log", "verify", &record, "--against", &pdf, "--json"]).done().json();
    assert!(longer["words"].as_str().unwrap().contains("2 came after"), "{longer}");
    let fresh = tempdir().unwrap();
    let short = record_of(fresh.path(), &[open()]);
    let whole = dir.path().join("longer.jsonl").to_string_lossy().into_owned();
    run(&["export", &record, "--to", "jsonl", "--out", &whole]).done();
    let zeros = format!("{}:1", "0".repeat(64));
    for (file, witness, words) in [
        (&before, whole.as_str(), "cut off"),
        (&before, &format!("{head}:{}", count + 1), "cut off"),
        (&short, &pdf, "entry 1 is the first"),
        (&short, &zeros, "rewritten"),
    ] {
        let ran = run(&["log", "verify", file, "--against", witness, "--json"]);
        assert_eq!(ran.code, 1, "{ran:?}");
        assert_eq!(ran.trouble()["code"], "chain_altered");
        assert!(ran.out.contains(words), "{ran:?}");
    }
    // A copy of the record is a witness too.
    let answer = run(&["log", "verify", &record, "--against", &before, "--json"]).done().json();
    assert_eq!(answer["completeness"], "complete", "{answer}");
    for nonsense in ["abc:1", "no-such-file.pdf"] {
        let ran = run(&["log", "verify", &record, "--against", nonsense, "--json"]);
        assert_eq!((ran.code, &ran.trouble()["code"]), (2, &json!("bad_witness")), "{nonsense}");
    }
}

#[test]
fn a_state_is_told_for_any_moment() {
    let dir = tempdir().unwrap();
    let script = dir.path().join("script.json");
    let steps = json!([
        {"at": "PT0S", "do": "open", "name": "A", "purpose": "drill", "edge_height": "10m"},
        {"at": "PT1M", "do": "check_in", "person": "Odile Marn"},
        {"at": "PT1M", "do": "assign", "role": "control", "person": "Odile Marn"},
        {"at": "PT1M", "do": "assign", "role": "rope one operator", "person": "Per Aske"},
        {"at": "PT10M", "do": "order", "from": "control", "to": ["rope one operator"], "text": "lower", "label": "k"},
        {"at": "PT10M4S", "do": "readback", "from": "rope one operator", "of": "k", "text": "lower"},
        {"at": "PT12M", "do": "order", "from": "edge attendant", "to": ["all"], "text": "stop"},
        {"at": "PT12M3S", "do": "report", "from": "rope one operator", "text": "stopped"},
        {"at": "PT15M", "do": "zone", "person": "Per Aske", "zone": "on_rope", "tied_in": true, "happened": "PT9M"},
        {"at": "PT20M", "do": "close"}
    ]);
    let whole = json!({"format": "ledgebook-script/0", "start": "2026-03-02T23:55:00+01:00", "seed": 1, "steps": steps});
    fs::write(&script, whole.to_string()).unwrap();
    run(&["rehearse", &script.to_string_lossy(), "--out", &dir.path().to_string_lossy()]).done();
    let record = dir.path().join("operation.ledge").to_string_lossy().into_owned();
    let at = |time: &str| run(&["state", &record, "--at", time, "--json"]).done().json();
    let cases = [
        ("PT5M", "at_rest", 0, 0),
        ("PT10M2S", "lowering", 1, 1),
        ("PT11M", "lowering", 0, 1),
        ("PT12M1S", "stopping", 1, 1),
        ("PT13M", "stopped", 0, 1),
        // Past midnight, in each way a time can be written.
        ("00:06", "lowering", 0, 1),
        ("2026-03-03T00:06:00+01:00", "lowering", 0, 1),
        ("2026-03-02T23:06:00Z", "lowering", 0, 1),
    ];
    for (time, motion, unanswered, on_rope) in cases {
        let state = at(time);
        assert_eq!(state["motion"], motion, "{time}: {state}");
        assert_eq!(state["unanswered"].as_array().unwrap().len(), unanswered, "{time}: {state}");
        assert_eq!(state["on_rope"].as_array().unwrap().len(), on_rope, "{time}: {state}");
    }
    assert_eq!(at("PT11M")["since_s"], 60.0);
    assert_eq!(at("PT10M2S")["unanswered"][0]["waiting_for"], json!(["rope one operator"]));
    let ran = run(&["state", &record, "--at", "noonish", "--json"]);
    assert_eq!((ran.code, &ran.trouble()["code"]), (2, &json!("bad_time")));
}

#[test]
fn a_check_answers_with_its_exit_code() {
    let dir = tempdir().unwrap();
    for (template, expected) in [("twin-lower-one-knot", 1), ("twin-lower-two-knots", 3)] {
        let rig = dir.path().join("rig.json");
        // A light load on strong parts: what is left is what nobody rated.
        let made = run(&["rig", "make", template, "--set", "load=60kg"]).done();
        fs::write(&rig, made.out).unwrap();
        let ran = run(&["rig", "check", &rig.to_string_lossy(), "--json"]);
        let answer = ran.json();
        assert_eq!(ran.code, expected, "{template}: {:?} {:?}", answer["critical_parts"], answer["verdict"]);
        for field in [
            "parts",
            "critical_parts",
            "unknown_parts",
            "always_critical",
            "critical_pairs",
            "hands_off",
            "losses",
            "checks",
        ] {
            assert!(answer.get(field).is_some(), "{template}: {field}");
        }
        for part in answer["parts"].as_array().unwrap() {
            for field in ["id", "kind", "force_kN", "strength_kN", "margin", "verdict"] {
                assert!(part.get(field).is_some(), "{template}: {field} of {part}");
            }
        }
        let words = run(&["rig", "check", &rig.to_string_lossy()]).out;
        assert!(words.contains("Decision support only") && words.contains("Always critical"), "{words}");
        assert!(!words.to_lowercase().contains("is safe"));
    }
    let templates = run(&["rig", "templates", "--json"]).done().json();
    for template in templates["templates"].as_array().unwrap() {
        let names: Vec<&str> =
            template["parameters"].as_array().unwrap().iter().map(|p| p["name"].as_str().unwrap()).collect();
        for name in ["load", "v_angle", "edge_height"] {
            assert!(names.contains(&name), "{}: {names:?}", template["name"]);
        }
    }
}

#[test]
fn sums_take_units_and_say_their_method() {
    let first = |args: &[&str]| {
        let answer = run(&[&["sum"], args, &["--json"]].concat()).done().json();
        assert!(
            !answer["method"].as_str().unwrap().is_empty() && !answer["source"].as_str().unwrap().is_empty()
        );
        let first = answer["results"][0].clone();
        assert_eq!(first["unit"], "kN");
        first["value"].as_f64().unwrap()
    };
    let cases: [(&[&str], f64); 9] = [
        (&["leg-share", "--load", "2kN", "--angle", "90deg"], std::f64::consts::SQRT_2),
        (&["leg-share", "--load", "2kN", "--angle", "30deg", "--angle-from", "horizontal"], 2.0),
        (&["leg-share", "--load", "2kN", "--left", "30deg", "--right", "50deg"], 1.555_723_83),
        (&["redirect", "--tension", "2kN", "--angle", "90deg"], 2.828_427_12),
        (&["wrap", "--load", "2kN", "--friction", "0.25", "--wrap", "2.5turns"], 0.039_405_75),
        (&["advantage", "--system", "3:1", "--load", "2kN", "--efficiency", "0.9"], 0.738_007_4),
        (&["slope", "--mass", "100kg", "--angle", "90deg", "--friction", "0", "--gravity", "9.8"], 0.98),
        (&["fall", "--mass", "100kg", "--drop", "1m", "--rope", "3m", "--modulus", "30kN"], 5.516_632_795),
        (&["span", "--load", "2kN", "--span", "40m", "--sag", "4m"], 5.099_019_51),
    ];
    for (args, expected) in cases {
        let value = first(args);
        assert!((value - expected).abs() < 1e-6, "{args:?}: {value}");
    }
    let short = run(&["sum", "fall", "--mass", "100kg", "--drop", "1m", "--rope", "3m", "--json"]);
    assert!(short.trouble()["what"].as_str().unwrap().ends_with("--modulus <MODULUS>"), "{short:?}");
    // An option without its value does not take the next option for one.
    let none =
        run(&["sum", "fall", "--mass", "100kg", "--drop", "--rope", "3m", "--modulus", "30kN", "--json"]);
    assert!(
        none.trouble()["what"].as_str().unwrap().ends_with("'--drop <DROP>' but none was supplied"),
        "{none:?}"
    );
}

/// What is written, the option at fault, and a word of the remedy.
const BAD_SUMS: &[(&[&str], &str, &str)] = &[
    (&["leg-share", "--load", "2", "--angle", "90deg"], "--load", "unit"),
    (&["leg-share", "--load", "2kN", "--angle", "180deg"], "--angle", "90°"),
    (&["leg-share", "--load", "-2kN", "--angle", "90deg"], "--load", "2kN"),
    (&["leg-share", "--load=-2kN", "--angle", "90deg"], "--load", "2kN"),
    (&["leg-share", "--load", "2kN", "--left", "-30deg", "--right", "50deg"], "--left", "0°"),
    (&["leg-share", "--load", "2kN", "--left", "30deg", "--right", "90deg"], "--right", "90°"),
    (&["redirect", "--tension", "2kN", "--angle", "-90deg"], "--angle", "180°"),
    (&["redirect", "--tension", "2,5kN", "--angle", "90deg"], "--tension", "point"),
    (&["wrap", "--load", "2kN", "--friction", "-.1", "--wrap", "90deg"], "--friction", "0.25"),
    (&["wrap", "--load", "2kN", "--friction", "0.1", "--wrap", "-1turn"], "--wrap", "0°"),
    (&["advantage", "--system", "three", "--load", "2kN"], "--system", "24:1"),
    (&["advantage", "--system", "3:1", "--load", "2kN", "--efficiency", "1.2"], "--efficiency", "at most 1"),
    (&["advantage", "--system", "3:1", "--load", "2kN", "--redirects", "-1"], "--redirects", "whole number"),
    (&["slope", "--mass", "-5kg", "--angle", "30deg", "--friction", "0.1"], "--mass", "100kg"),
    (
        &["slope", "--mass", "5kg", "--angle", "30deg", "--friction", "0.1", "--gravity", "-9.8"],
        "--gravity",
        "9.80",
    ),
    (&["fall", "--mass", "100kg", "--drop", "-1m", "--rope", "3m", "--modulus", "30kN"], "--drop", "0m"),
    (&["fall", "--mass", "100kg", "--drop", "1m", "--rope", "0m", "--modulus", "30kN"], "--rope", "10ft"),
    (&["fall", "--mass", "100kg", "--drop", "1m", "--rope", "3m", "--modulus", "-2"], "--modulus", "30kN"),
    (&["span", "--load", "-2kN", "--span", "40m", "--sag", "4m"], "--load", "2kN"),
    (&["span", "--load", "2kN", "--span", "40m", "--sag", "-2"], "--sag", "unit"),
];

#[test]
fn a_bad_value_names_its_option_what_is_wrong_and_the_remedy() {
    for (args, option, remedy) in BAD_SUMS {
        let ran = run(&[&["sum"], *args, &["--json"]].concat());
        assert_eq!(ran.code, 2, "{args:?}: {ran:?}");
        let said = ran.trouble();
        assert_eq!((&said["code"], &said["where"]), (&json!("bad_argument"), &json!(option)), "{args:?}");
        assert!(said["remedy"].as_str().unwrap().contains(remedy), "{args:?}: {said}");
        // A value below 0 is judged as a value, never taken for an option.
        assert!(!said["what"].as_str().unwrap().contains("unexpected argument"), "{args:?}: {said}");
        // The same in words.
        let plain = run(&[&["sum"], *args].concat());
        assert!(plain.code == 2 && plain.err.contains(option), "{args:?}: {plain:?}");
    }
}

/// Arguments of a sum, figures it must give by name, words its answer must hold.
type SumCase = (&'static [&'static str], &'static [(&'static str, f64)], &'static [&'static str]);

/// Where conventions differ, both stand in the answer.
#[test]
// A table of data.
#[allow(clippy::too_many_lines)]
fn a_sum_names_its_conventions_and_shows_those_that_differ() {
    let cases: &[SumCase] = &[
        (
            &["redirect", "--tension", "2kN", "--angle", "60deg"],
            &[("included", 60.0), ("deflection", 120.0)],
            &["read as the angle between", "(deflection) it would be 2.000 kN"],
        ),
        (
            &["leg-share", "--load", "1kN", "--angle", "60deg"],
            &[("included", 60.0), ("from the vertical", 30.0), ("from the horizontal", 60.0)],
            &["from the horizontal it would be 0.577 kN", "from the vertical it would be 1.000 kN"],
        ),
        (
            &["advantage", "--system", "4:1", "--load", "2kN", "--efficiency", "0.95"],
            &[
                ("rule of 18", 4.0),
                ("rule of 12", 3.0),
                ("efficiency of each", 0.95),
                ("0.222 kN", 3.0),
                ("0.133 kN", 5.0),
            ],
            &["sources disagree", "0.95 × 4 = 3.80; traced through the rope it is 3.710"],
        ),
        (
            &[
                "fall",
                "--mass",
                "90kg",
                "--drop",
                "2m",
                "--rope",
                "3m",
                "--modulus",
                "42kN",
                "--gravity",
                "9.80",
            ],
            &[("stretch, weight left out", 0.502), ("stretch", 0.5689)],
            &["over 6 kN (EU and Alberta), within 8 kN", "within 12 kN"],
        ),
        (
            &["span", "--load", "2kN", "--span", "100ft", "--sag", "5ft"],
            &[("tenth of the span", 3.048), ("sag over span", 0.05)],
            &["tighter"],
        ),
        (
            &["slope", "--mass", "600lbf", "--angle", "47deg", "--friction", "0"],
            &[("share of the weight", 0.731_354)],
            &["steep, 30° to 50°", "steep, 40° to 60°", "high, 45° to 90°", "low, 15° to 67.5°"],
        ),
        (
            &["slope", "--mass", "90kg", "--angle", "20deg", "--friction", "0.5"],
            &[("rope", 0.0)],
            &["friction alone"],
        ),
        (
            &["wrap", "--load", "600lbf", "--friction", "0.25", "--wrap", "1.5turns"],
            &[("wrap", 540.0)],
            &["contact"],
        ),
    ];
    for (args, figures, notes) in cases {
        let answer = run(&[&["sum"], *args, &["--json"]].concat()).done().json();
        let words = answer["notes"].to_string();
        for (name, expected) in *figures {
            let rows = answer["results"].as_array().unwrap();
            let named = |row: &&Value, whole| {
                let own = row["name"].as_str().unwrap();
                if whole { own == *name } else { own.contains(name) }
            };
            let row = rows.iter().find(|r| named(r, true)).or_else(|| rows.iter().find(|r| named(r, false)));
            let value =
                row.unwrap_or_else(|| panic!("{args:?}: no {name} in {answer}"))["value"].as_f64().unwrap();
            assert!((value - expected).abs() < 6e-4, "{args:?} {name}: {value}");
        }
        for note in *notes {
            assert!(words.contains(note), "{args:?}: {note} in {words}");
        }
        let plain = run(&[&["sum"], *args].concat()).done().out;
        assert!(
            plain.contains("Decision support only") && notes.iter().all(|note| plain.contains(note)),
            "{plain}"
        );
    }
}

#[test]
fn a_table_is_harmless_to_a_spreadsheet_and_lines_are_exact() {
    let dir = tempdir().unwrap();
    let bad = "=HYPERLINK(\"http://x\",\"roll call\")";
    let record = record_of(dir.path(), &[open(), json!({"do": "note", "from": "@scribe", "text": bad})]);
    let (csv, jsonl) = (dir.path().join("a.csv"), dir.path().join("a.jsonl"));
    run(&["export", &record, "--to", "csv", "--out", &csv.to_string_lossy()]).done();
    run(&["export", &record, "--to", "jsonl", "--out", &jsonl.to_string_lossy()]).done();
    let table = fs::read_to_string(csv).unwrap();
    assert!(table.contains("\"'=HYPERLINK(") && table.contains("'@scribe"), "{table}");
    let last = fs::read_to_string(jsonl).unwrap().lines().last().unwrap().to_string();
    let entry: Value = serde_json::from_str(&last).unwrap();
    let payload: Value = serde_json::from_str(entry["payload"].as_str().unwrap()).unwrap();
    assert_eq!(payload["text"], bad);
}

#[test]
fn a_second_writer_is_told_who_holds_the_file_and_can_read_it() {
    let dir = tempdir().unwrap();
    let record = record_of(dir.path(), &[open()]);
    let mut first = start(dir.path(), &[], &["log", "append", &record]);
    let mut to = first.stdin.take().unwrap();
    let mut answers = BufReader::new(first.stdout.take().unwrap()).lines();
    writeln!(to, "{}", json!({"do": "note", "from": "scribe", "text": "one"})).unwrap();
    answers.next().unwrap().unwrap();
    let second = run_in(dir.path(), &[], &["log", "append", &record, "--json"], "");
    assert_eq!((second.code, &second.trouble()["code"]), (4, &json!("file_locked")), "{second:?}");
    assert!(second.trouble()["what"].as_str().unwrap().contains("log append"), "{second:?}");
    assert!(run(&["log", "show", &record]).done().out.contains("one"));
    drop(to);
    assert!(first.wait().unwrap().success());
    run_in(dir.path(), &[], &["log", "append", &record], "").done();
}

#[test]
fn nothing_is_written_over() {
    let (dir, record) = rehearsed();
    let before = fs::read(&record).unwrap();
    let script = root().join("tests/operations/demonstration.json");
    let again =
        run(&["rehearse", &script.to_string_lossy(), "--out", &dir.path().to_string_lossy(), "--json"]);
    assert_eq!((again.code, &again.trouble()["code"]), (2, &json!("file_exists")));
    let new = run(&["log", "new", &record, "--json"]);
    assert_eq!((new.code, &new.trouble()["code"]), (2, &json!("file_exists")));
    let folder = run(&["report", &record, "--pdf", &dir.path().to_string_lossy(), "--json"]);
    assert_eq!((folder.code, &folder.trouble()["code"]), (2, &json!("file_is_folder")));
    assert!(fs::read(&record).unwrap() == before);
    let left: Vec<String> = fs::read_dir(dir.path())
        .unwrap()
        .map(|f| f.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    assert_eq!(left.len(), 2, "{left:?}");
}

/// What the doctor says of one thing.
fn standing<'a>(answer: &'a Value, id: &str) -> &'a Value {
    answer["rows"].as_array().unwrap().iter().find(|row| row["id"] == id).unwrap()
}

#[test]
fn the_doctor_tells_a_good_file_an_altered_one_and_one_that_is_not_ours() {
    let dir = tempdir().unwrap();
    let file = record_of(dir.path(), &[open()]);
    let good = run(&["doctor", &file, "--json"]).json();
    assert_eq!(standing(&good, "file")["standing"], "in_order", "{good}");
    assert_ne!(standing(&good, "disk")["standing"], "not_checked");
    assert_eq!(standing(&good, "lock")["standing"], "in_order");
    assert!(standing(&good, "versions")["words"].as_str().unwrap().contains("SQLite 3."));

    let altered = dir.path().join("altered.ledge");
    let mut bytes = fs::read(&file).unwrap();
    let at = bytes.windows(10).position(|w| w == b"Tern Ledge").unwrap();
    bytes[at] = b'F';
    fs::write(&altered, bytes).unwrap();
    let ran = run(&["doctor", &altered.to_string_lossy(), "--json"]);
    assert_eq!(ran.code, 1, "{ran:?}");
    assert!(standing(&ran.json(), "file")["words"].as_str().unwrap().contains("entry 1"));

    let other = dir.path().join("other.ledge");
    fs::write(&other, "no record").unwrap();
    let ran = run(&["doctor", &other.to_string_lossy()]);
    assert_eq!(ran.code, 2, "{ran:?}");
    assert!(ran.out.contains("TROUBLE"), "{}", ran.out);
    assert_eq!(run(&["doctor", "/nowhere/at/all.ledge"]).code, 2);
}
