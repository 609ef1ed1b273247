//! Words erased by law while somebody reads the file, and headers and folders that are not as they should be.

mod common;

use common::{event, file_of, stamp};
use journal::{Durability, Journal};
use operation::NewEvent;
use rusqlite::Connection;
use std::path::Path;

fn words_in(path: &Path, words: &str) -> bool {
    std::fs::read(path).unwrap_or_default().windows(words.len()).any(|w| w == words.as_bytes())
}

#[test]
fn erased_words_that_a_reader_keeps_in_the_log_are_told_and_go_as_soon_as_he_does() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.ledge");
    let log = dir.path().join("a.ledge-wal");
    file_of(&path, 4);
    let mut journal = Journal::open(&path, "a test").unwrap();
    journal.append("top", &event(5), &stamp(5)).unwrap();
    let reader = Connection::open(&path).unwrap();
    reader.execute_batch("BEGIN; SELECT count(*) FROM event;").unwrap();
    let erased = NewEvent {
        kind: "erased".into(),
        payload: "{\"reason\":\"asked for by the person\"}".into(),
        corrects: Some(stamp(5).id),
        ..event(6)
    };
    journal.erase("top", &erased, &stamp(6)).unwrap();
    assert!(journal.erased_words_linger());
    assert!(words_in(&log, "note 5 "), "else this test shows nothing");
    journal.append("top", &event(7), &stamp(7)).unwrap();
    assert!(journal.erased_words_linger(), "he still reads");
    drop(reader);
    journal.append("top", &event(8), &stamp(8)).unwrap();
    assert!(!journal.erased_words_linger());
    assert!(!words_in(&log, "note 5 ") && !words_in(&path, "note 5 "));
    journal.close().unwrap();
}

#[test]
fn a_header_that_forbids_writing_is_named_with_its_byte_and_the_file_is_left_as_it_is() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.ledge");
    file_of(&path, 4);
    let mut bytes = std::fs::read(&path).unwrap();
    bytes[18] ^= 0x40;
    std::fs::write(&path, &bytes).unwrap();
    let error = Journal::open(&path, "a test").unwrap_err();
    assert_eq!(error.code(), "file_header");
    assert!(error.to_string().contains("byte 18") && error.remedy().contains("salvage"), "{error}");
    assert_eq!(Journal::open_read_only(&path).unwrap().entries().unwrap().len(), 4);
    assert!(std::fs::read(&path).unwrap() == bytes);
    let left: Vec<_> = std::fs::read_dir(dir.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(left, ["a.ledge"], "nothing is left beside it");
}

#[test]
fn a_folder_that_is_not_there_is_named() {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().join("no such folder");
    let error = Journal::create(&folder.join("a.ledge"), "a test", Durability::EachEntry).unwrap_err();
    assert_eq!((error.code(), error.file()), ("folder_missing", folder.as_path()));
}
