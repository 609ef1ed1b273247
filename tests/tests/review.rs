//! The review on the command line: whatever can be read of a record is reviewed, and what is missing is said.

use ledgebook_tests::cli::{run, run_in};
use ledgebook_tests::records::{record_of, rehearsed};
use serde_json::{Value, json};
use std::fs;
use tempfile::tempdir;

fn missing(review: &Value) -> String {
    review["measures"]["missing"].to_string()
}

/// Worked out by hand from `tests/operations/demonstration.json`: first lower 33:10, last landing 1:11:50; STOP by the edge
/// attendant 38:02, rope one 38:04, rope two 38:07, moved again 40:50 (168 s); whistle 1:06:30, haul team 32, rope one 33, rope two
/// 36, moved again 1:08:00 (90 s). “match rope one” (34:05) was never read back; “lower slow” (34:40) was read back wrong by rope
/// two, and right once it was given again. Heights 20 to 29 m out, 42:10 to 43:50: 100 s of lowering, 5.4 m/min.
#[test]
fn the_demonstration_is_measured_as_worked_out_by_hand() {
    let (_dir, record) = rehearsed();
    let review = run(&["review", &record, "--json"]).done().json();
    let m = &review["measures"];
    let moments = m["milestones"]["value"].as_array().unwrap();
    let at = |id: &str| moments.iter().find(|x| x["id"] == id).unwrap()["at_ms"].as_i64().unwrap();
    assert_eq!(at("at_the_end") - at("first_moved"), (71 * 60 + 50 - 33 * 60 - 10) * 1000);
    let stops = m["stops"]["value"]["list"].as_array().unwrap();
    let lengths: Vec<f64> = stops.iter().map(|s| s["length_s"].as_f64().unwrap()).collect();
    assert_eq!(lengths, [168.0, 90.0]);
    assert_eq!((&stops[0]["all_stopped_s"], &stops[1]["all_stopped_s"]), (&json!(5.0), &json!(6.0)));
    assert_eq!((&stops[0]["within_limit"], &stops[1]["within_limit"]), (&json!(true), &json!(false)));
    let all = &m["closed_loop"]["value"]["all"];
    assert_eq!((&all["never"], &all["put_right"], &all["wrong"]), (&json!(1), &json!(1), &json!(0)));
    let speeds = m["speeds"]["value"].as_array().unwrap();
    let between = speeds.iter().find(|s| s["from_m"] == 20.0 && s["to_m"] == 29.0).unwrap();
    assert!((between["m_per_min"].as_f64().unwrap() - 5.4).abs() < 1e-9, "{between}");
    for (section, measured) in m.as_object().unwrap().iter().filter(|(_, v)| v.is_object()) {
        assert!(!measured["how"].as_str().unwrap().is_empty(), "{section} has no formula");
    }
    let words = run(&["review", &record]).done().out;
    for part in ["Time in each motion", "5.4 m/min down", "How: ", "silent:"] {
        assert!(words.contains(part), "{part}: {words}");
    }
}

#[test]
fn what_was_said_to_a_finding_is_recorded_and_shown() {
    let (dir, record) = rehearsed();
    let review = run(&["review", &record, "--json"]).done().json();
    let findings = review["findings"].as_array().unwrap();
    let silent = findings.iter().find(|f| f["mark"] == "silent").unwrap()["id"].as_str().unwrap();
    let steps = [
        json!({"do": "set_aside", "of": silent, "person": "Ilse Vandamme", "reason": "answered by hand"}),
        json!({"do": "finding", "person": "Hana Šilhavá", "text": "the roller wants a tether", "entries": [1]}),
        json!({"do": "quarantine", "gear": "roller two", "person": "Hana Šilhavá", "reason": "shifted under load"}),
    ];
    let lines: String = steps.iter().map(|step| format!("{step}\n")).collect();
    run_in(dir.path(), &[], &["log", "append", &record], &lines).done();
    let after = run(&["review", &record, "--json"]).done().json();
    let found = after["findings"].as_array().unwrap();
    let f = found.iter().find(|f| f["id"] == silent).unwrap();
    assert_eq!((&f["set_aside"], &f["said"][0]["reason"]), (&json!(true), &json!("answered by hand")));
    assert_eq!(found.iter().filter(|f| f["sure"] == "opinion").count(), 1);
    // After the close, and no fault.
    assert!(found.iter().all(|f| !f["id"].as_str().unwrap().starts_with("after_close")), "{found:#?}");
    let wrong = json!({"do": "agree", "of": "silent:999999", "person": "X"}).to_string();
    let ran = run_in(dir.path(), &[], &["log", "append", &record, "--json"], &wrong);
    assert_eq!((ran.code, &ran.trouble()["code"]), (2, &json!("bad_step")));
    assert!(ran.trouble()["remedy"].as_str().unwrap().contains("name one as the review names it"));
}

#[test]
fn a_record_that_is_not_whole_is_reviewed_as_far_as_it_goes() {
    let dir = tempdir().unwrap();
    let open = json!({"do": "open", "name": "Tern Ledge", "place": "North face", "purpose": "drill"});
    let file = record_of(dir.path(), &[open]);
    let review = run(&["review", &file, "--json"]).done().json();
    for part in ["not closed", "no rig", "no calls", "nobody was checked in"] {
        assert!(missing(&review).contains(part), "{part}: {}", missing(&review));
    }
    let (whole, record) = rehearsed();
    let mut bytes = fs::read(&record).unwrap();
    // A word of an entry is another: the entries before it are reviewed, and it is called altered.
    let word = b"radio check";
    let at = bytes.windows(word.len()).position(|w| w == word).unwrap();
    bytes[at] ^= 1;
    let altered = whole.path().join("altered.ledge").to_string_lossy().into_owned();
    fs::write(&altered, &bytes).unwrap();
    let ran = run(&["review", &altered, "--json"]);
    assert_eq!((ran.code, &ran.trouble()["code"]), (1, &json!("chain_altered")));
    assert!(missing(&ran.json()).contains("were reviewed"), "{}", missing(&ran.json()));
    assert!(ran.json()["measures"]["entries"].as_u64().unwrap() > 20);
    // Cut off in the middle: what is whole in it is reviewed.
    let cut = whole.path().join("cut.ledge").to_string_lossy().into_owned();
    let whole_bytes = fs::read(&record).unwrap();
    fs::write(&cut, &whole_bytes[..whole_bytes.len() / 4096 * 4096 - 8 * 4096]).unwrap();
    let ran = run(&["review", &cut, "--json"]);
    assert_eq!((ran.code, &ran.trouble()["code"]), (3, &json!("file_damaged")), "{ran:?}");
    assert!(missing(&ran.json()).contains("damaged"), "{}", missing(&ran.json()));
    let ran = run(&["review", "no-such.ledge", "--json"]);
    assert_eq!((ran.code, &ran.trouble()["code"]), (2, &json!("file_missing")));
}

#[test]
fn a_sealed_copy_is_made_and_bears_witness() {
    let (dir, record) = rehearsed();
    let args =
        ["seal", &record, "--person", "Ingvild Aasen", "--reason", "the load dropped by a metre", "--json"];
    let answer = run(&args).done().json();
    let copy = answer["copy"].as_str().unwrap().to_string();
    assert!(copy.contains(".sealed-") && fs::metadata(&copy).unwrap().permissions().readonly());
    run(&["log", "verify", &copy, "--json"]).done();
    let answer = run(&["log", "verify", &record, "--against", &copy, "--json"]).done().json();
    assert_eq!(answer["completeness"], "complete", "{answer}");
    let shown = run(&["log", "show", &record]).done().out;
    assert!(shown.contains("sealed copy made") && shown.contains("the load dropped by a metre"), "{shown}");
    let note = json!({"do": "note", "from": "scribe", "text": "later"}).to_string();
    let ran = run_in(dir.path(), &[], &["log", "append", &copy, "--json"], &note);
    assert_ne!(ran.code, 0, "a sealed copy is not written: {ran:?}");
    let ran = run(&["seal", &record, "--person", " ", "--reason", "x", "--json"]);
    assert_eq!((ran.code, &ran.trouble()["code"]), (2, &json!("bad_step")));
}

#[test]
fn an_operation_alone_is_compared_with_nothing_and_says_by_what_rule() {
    let (dir, record) = rehearsed();
    let found = run(&["compare", &record, "--json"]).done().json();
    assert_eq!(found["operations"].as_array().unwrap().len(), 1, "{found}");
    assert!(found["how"].as_str().unwrap().contains("assumption"), "{found}");
    let words = run(&["compare", &record]).done().out;
    assert!(words.contains("readback, 9 in 10, s") && words.contains("How: "), "{words}");
    let torn = dir.path().join("torn.ledge").to_string_lossy().into_owned();
    fs::write(&torn, "torn").unwrap();
    let ran = run(&["compare", &torn, "--json"]);
    assert_eq!((ran.code, &ran.trouble()["code"]), (2, &json!("not_ours")));
    let nowhere = dir.path().join("nowhere.ledge").to_string_lossy().into_owned();
    let ran = run(&["compare", &nowhere, "--json"]);
    assert_eq!((ran.code, &ran.trouble()["code"]), (2, &json!("file_missing")));
}

#[test]
fn a_folder_of_records_is_summed_and_searched() {
    let (dir, _record) = rehearsed();
    let folder = dir.path().to_string_lossy().into_owned();
    let found = run(&["records", &folder, "--find", "roller shifted", "--json"]).done().json();
    assert_eq!(found["operations"].as_array().unwrap().len(), 1);
    assert!(
        found["hits"].as_array().unwrap().iter().all(|h| h["text"].as_str().unwrap().contains("roller")),
        "{found}"
    );
    assert!(!found["hits"].as_array().unwrap().is_empty());
    let rope = found["gear"].as_array().unwrap().iter().find(|g| g["gear"] == "rope one").unwrap().clone();
    assert!(rope["metres"].as_f64().unwrap() > 20.0, "{rope}");
    let words = run(&["records", &folder]).done().out;
    for part in ["Skarnholt Quarry", "Ropes and devices", "Paweł Dziedzic", "How: "] {
        assert!(words.contains(part), "{part}: {words}");
    }
    fs::write(dir.path().join("torn.ledge"), "torn").unwrap();
    let ran = run(&["records", &folder]);
    assert_eq!(ran.code, 3, "{ran:?}");
    assert!(ran.out.contains("not read: "), "{ran:?}");
    let ran = run(&["records", "no-such-folder", "--json"]);
    assert_eq!((ran.code, &ran.trouble()["code"]), (2, &json!("file_missing")));
}
