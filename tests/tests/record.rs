//! The record on the command line: its mirror, its witnesses, a copy without its log, salvage, and who may read it.

use ledgebook_tests::cli::{run, run_in, start};
use serde_json::{Value, json};
use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use tempfile::{TempDir, tempdir};

fn note(n: u32) -> String {
    format!("{}\n", json!({"do": "note", "from": "control", "text": format!("note {n}")}))
}

fn text(path: &Path) -> String {
    path.to_string_lossy().into_owned()
}

/// A folder, the record in it, and where its mirror shall be.
fn record_of(notes: u32) -> (TempDir, PathBuf, PathBuf) {
    let dir = tempdir().unwrap();
    let (record, mirror) = (dir.path().join("tern.ledge"), dir.path().join("tern.ledge.jsonl"));
    run(&["log", "new", &text(&record)]).done();
    let open = json!({"do": "open", "name": "Tern Ledge", "place": "North face", "purpose": "drill"});
    let lines = format!("{open}\n{}", (1..=notes).map(note).collect::<String>());
    run_in(dir.path(), &[], &["log", "append", &text(&record), "--mirror", &text(&mirror)], &lines).done();
    (dir, record, mirror)
}

fn verified(record: &Path) -> Value {
    run(&["log", "verify", &text(record), "--json"]).done().json()
}

#[test]
fn the_mirror_is_kept_and_is_a_record_and_a_witness() {
    let (dir, record, mirror) = record_of(3);
    let lines = fs::read_to_string(&mirror).unwrap();
    assert_eq!(lines.lines().count(), 4);
    assert_eq!(verified(&mirror)["head"], verified(&record)["head"]);
    // Not named again: it is kept beside the file which mirror it has.
    run_in(dir.path(), &[], &["log", "append", &text(&record)], &note(4)).done();
    let answer = run(&["log", "verify", &text(&record), "--against", &text(&mirror), "--json"]).done().json();
    assert_eq!((&answer["completeness"], &answer["count"]), (&json!("complete"), &json!(6)));
    // Put back as it was: it catches up; edited: it is not touched, and verifying names the entry.
    fs::write(&mirror, &lines).unwrap();
    let caught = run(&["log", "mirror", &text(&record), "--to", &text(&mirror), "--json"]).done().json();
    assert_eq!(caught["count"], 6);
    let edited = fs::read_to_string(&mirror).unwrap().replace("note 2", "note 9");
    fs::write(&mirror, &edited).unwrap();
    let refused = run(&["log", "mirror", &text(&record), "--to", &text(&mirror), "--json"]);
    assert_eq!((refused.code, &refused.trouble()["code"]), (2, &json!("mirror_differs")));
    assert_eq!(fs::read_to_string(&mirror).unwrap(), edited);
    let altered = run(&["log", "verify", &text(&mirror), "--json"]);
    assert_eq!((altered.code, &altered.json()["entry"]), (1, &json!(3)), "{altered:?}");
    // As a witness it is refused itself: it says nothing about the record.
    let bad = run(&["log", "verify", &text(&record), "--against", &text(&mirror), "--json"]);
    assert_eq!((bad.code, &bad.trouble()["code"]), (2, &json!("bad_witness")));
}

#[test]
fn a_mirror_that_cannot_be_written_is_a_warning_and_the_entries_are_kept() {
    let (dir, record, mirror) = record_of(1);
    fs::remove_file(&mirror).unwrap();
    let ran = run_in(dir.path(), &[], &["log", "append", &text(&record), "--json"], &note(2)).done();
    assert_eq!(ran.json_lines().len(), 1);
    assert_eq!(ran.trouble()["code"], "mirror_away");
    assert!(!mirror.exists(), "a mirror that was there is not begun anew: the stick may be out");
    assert_eq!(verified(&record)["count"], 4);
}

/// While a program writes, the file is copied alone; the copy says what it cannot have.
#[test]
fn a_copy_without_its_log_is_read_and_told_and_never_written() {
    let (dir, record, _) = record_of(2);
    let elsewhere = tempdir().unwrap();
    let copy = elsewhere.path().join("tern.ledge");
    let mut writer = start(dir.path(), &[], &["log", "append", &text(&record)]);
    let mut to = writer.stdin.take().unwrap();
    to.write_all(note(3).as_bytes()).unwrap();
    let mut answers = BufReader::new(writer.stdout.take().unwrap()).lines();
    assert!(answers.next().unwrap().unwrap().contains("\"seq\":5"));
    fs::copy(&record, &copy).unwrap();
    drop(to);
    assert!(writer.wait().unwrap().success());
    let ran = run(&["log", "verify", &text(&copy), "--json"]);
    let answer = ran.json();
    assert_eq!((ran.code, &answer["count"]), (3, &json!(3)), "{answer}");
    assert!(answer["without_log"].as_str().unwrap().contains("without its write-ahead log"), "{answer}");
    let refused = run_in(dir.path(), &[], &["log", "append", &text(&copy), "--json"], &note(4));
    assert_eq!((refused.code, &refused.trouble()["code"]), (2, &json!("without_log")));
    let witnessed = run(&["log", "verify", &text(&copy), "--against", &text(&record), "--json"]);
    assert_eq!(witnessed.code, 1);
    assert!(witnessed.out.contains("2 are gone"), "{witnessed:?}");
    assert_eq!(fs::read_dir(elsewhere.path()).unwrap().count(), 1, "nothing was made beside the copy");
    let new = elsewhere.path().join("new.ledge");
    let salvaged = run(&["log", "salvage", &text(&copy), "--out", &text(&new), "--json"]).done().json();
    assert_eq!((&salvaged["entries"], &salvaged["gaps"]), (&json!(3), &json!([])));
    run_in(dir.path(), &[], &["log", "append", &text(&new)], &note(4)).done();
}

#[test]
fn a_damaged_file_gives_back_what_is_whole_and_says_what_is_missing() {
    let (dir, record, _) = record_of(12);
    let damaged = dir.path().join("damaged.ledge");
    let mut bytes = fs::read(&record).unwrap();
    let at = bytes.windows(7).position(|w| w == b"note 5\"").unwrap();
    bytes[at + 5] ^= 1;
    fs::write(&damaged, &bytes).unwrap();
    let altered = run(&["log", "verify", &text(&damaged), "--json"]);
    assert_eq!((altered.code, &altered.json()["entry"]), (1, &json!(6)), "{altered:?}");
    let new = dir.path().join("new.ledge");
    let salvaged = run(&["log", "salvage", &text(&damaged), "--out", &text(&new), "--json"]).done().json();
    assert_eq!((&salvaged["entries"], &salvaged["gaps"]), (&json!(12), &json!([{"after": 5, "before": 7}])));
    assert!(fs::read(&damaged).unwrap() == bytes, "the damaged file is left as it is");
    let ran = run(&["log", "verify", &text(&new), "--json"]);
    let answer = ran.json();
    assert_eq!((ran.code, &answer["verdict"]), (3, &json!("salvaged")));
    assert!(answer["words"].as_str().unwrap().contains("gap after entry 5: 1 is missing"), "{answer}");
    // Beside the whole record it lacks an entry, and is not called rewritten.
    let ran = run(&["log", "verify", &text(&new), "--against", &text(&record), "--json"]);
    let answer = ran.json();
    assert_eq!((ran.code, &answer["completeness"]), (3, &json!("lacks")), "{answer}");
    let words =
        "the witness has entries that this file lacks: entry 6; the 12 entries that both have are the same";
    assert!(answer["words"].as_str().unwrap().contains(words), "{answer}");
    let again = run(&["log", "salvage", &text(&damaged), "--out", &text(&new), "--json"]);
    assert_eq!((again.code, &again.trouble()["code"]), (2, &json!("file_exists")));
    let nothing = dir.path().join("nothing.ledge");
    fs::write(&nothing, vec![7; 9000]).unwrap();
    let out = dir.path().join("none.ledge");
    let ran = run(&["log", "salvage", &text(&nothing), "--out", &text(&out), "--json"]);
    assert_eq!((ran.code, &ran.trouble()["code"]), (2, &json!("file_damaged")));
    assert!(!out.exists());
}

/// Whatever the umask lets through.
#[cfg(unix)]
#[test]
fn what_is_written_is_its_owners_alone() {
    use std::os::unix::fs::PermissionsExt;
    let (dir, record, _) = record_of(1);
    let path = |name: &str| text(&dir.path().join(name));
    run(&["report", &text(&record), "--pdf", &path("report.pdf")]).done();
    run(&["export", &text(&record), "--to", "jsonl", "--out", &path("export.jsonl")]).done();
    run(&["export", &text(&record), "--to", "csv", "--out", &path("export.csv")]).done();
    run(&["log", "salvage", &text(&record), "--out", &path("salvaged.ledge")]).done();
    let mut seen = 0;
    for file in fs::read_dir(dir.path()).unwrap().map(Result::unwrap) {
        assert_eq!(file.metadata().unwrap().permissions().mode() & 0o777, 0o600, "{:?}", file.file_name());
        seen += 1;
    }
    assert_eq!(seen, 7, "record, its mirror and which it is, report, two exports, salvaged");
}
