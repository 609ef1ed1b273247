//! A file that is opened again, or elsewhere, after it was copied, killed, closed while read, or left without its log.

mod common;

use common::{event, file_of, stamp};
use journal::{Closed, Durability, Journal, JournalError};
use std::path::{Path, PathBuf};

fn with(path: &Path, end: &str) -> PathBuf {
    let mut name = path.as_os_str().to_os_string();
    name.push(end);
    PathBuf::from(name)
}

fn append(journal: &mut Journal, from: u64, to: u64) {
    for n in from..=to {
        journal.append("top", &event(n), &stamp(n)).unwrap();
    }
}

/// An open file of so many entries, of which the last `in_log` are in its log alone.
fn open_file(path: &Path, entries: u64, in_log: u64) -> Journal {
    file_of(path, entries - in_log);
    let mut journal = Journal::open(path, "a test").unwrap();
    append(&mut journal, entries - in_log + 1, entries);
    journal
}

fn names(dir: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        std::fs::read_dir(dir).unwrap().map(|f| f.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

/// Copied while open: alone it says so, whatever was in the log; with its log it is whole.
#[test]
fn a_file_copied_without_its_log_says_so_instead_of_opening_short() {
    for (entries, in_log) in [(5, 5), (5, 2), (5, 0), (0, 0)] {
        let dir = tempfile::tempdir().unwrap();
        let (path, elsewhere) = (dir.path().join("a.ledge"), dir.path().join("elsewhere"));
        std::fs::create_dir(&elsewhere).unwrap();
        let journal = open_file(&path, entries, in_log);
        let copy = elsewhere.join("a.ledge");
        std::fs::copy(&path, &copy).unwrap();
        let as_copied = std::fs::read(&copy).unwrap();
        let read = Journal::open_read_only(&copy).unwrap();
        assert_eq!(read.count().unwrap(), entries - in_log);
        read.verify().unwrap();
        let told = read.without_log().unwrap().clone();
        assert!(matches!(told, JournalError::WithoutLog { have, noted: 0, .. } if have == entries - in_log));
        assert!(told.to_string().contains("without its write-ahead log"), "{told}");
        drop(read);
        assert_eq!(Journal::open(&copy, "a test").unwrap_err(), told);
        assert_eq!(names(&elsewhere), ["a.ledge"], "nothing was made beside it");
        assert_eq!(std::fs::read(&copy).unwrap(), as_copied, "it was not touched");
        // Its log beside it makes it whole.
        std::fs::copy(with(&path, "-wal"), with(&copy, "-wal")).unwrap();
        if in_log > 0 {
            let read = Journal::open_read_only(&copy).unwrap();
            assert_eq!((read.count().unwrap(), read.without_log()), (entries, None));
            drop(read);
            let mut writer = Journal::open(&copy, "a test").unwrap();
            append(&mut writer, entries + 1, entries + 1);
            writer.close().unwrap();
        }
        journal.close().unwrap();
    }
}

#[test]
fn a_file_copied_after_a_clean_close_is_whole() {
    let dir = tempfile::tempdir().unwrap();
    let (path, copy) = (dir.path().join("a.ledge"), dir.path().join("b.ledge"));
    open_file(&path, 5, 3).close().unwrap();
    std::fs::copy(&path, &copy).unwrap();
    assert_eq!(Journal::open_read_only(&copy).unwrap().without_log(), None);
    Journal::open(&copy, "a test").unwrap().close().unwrap();
}

/// What a killed program leaves: all three files as they lie. `tests/killed.rs` kills real ones.
fn killed(dir: &Path) -> PathBuf {
    let (path, left) = (dir.join("a.ledge"), dir.join("left.ledge"));
    let journal = open_file(&path, 6, 4);
    for end in ["", "-wal", ".lock"] {
        std::fs::copy(with(&path, end), with(&left, end)).unwrap();
    }
    journal.close().unwrap();
    left
}

#[test]
fn a_killed_program_with_its_log_beside_it_raises_no_alarm() {
    let dir = tempfile::tempdir().unwrap();
    let left = killed(dir.path());
    let read = Journal::open_read_only(&left).unwrap();
    assert_eq!((read.count().unwrap(), read.without_log()), (6, None));
    drop(read);
    let writer = Journal::open(&left, "a test").unwrap();
    assert!(writer.left_by().unwrap().starts_with("a test, process"));
    assert_eq!(writer.last_seq(), 6);
    writer.close().unwrap();
}

/// Another program on SQLite takes the log in and removes it.
#[test]
fn a_log_that_sqlite_has_taken_in_since_is_not_missed() {
    let dir = tempfile::tempdir().unwrap();
    let left = killed(dir.path());
    let other = rusqlite::Connection::open(&left).unwrap();
    let count: u64 = other.query_row("SELECT count(*) FROM event", [], |row| row.get(0)).unwrap();
    drop(other);
    assert_eq!(count, 6);
    assert!(!with(&left, "-wal").exists());
    let read = Journal::open_read_only(&left).unwrap();
    assert_eq!((read.count().unwrap(), read.without_log()), (6, None));
    drop(read);
    Journal::open(&left, "a test").unwrap().close().unwrap();
}

#[test]
fn a_log_that_was_removed_after_a_crash_is_missed_and_counted() {
    let dir = tempfile::tempdir().unwrap();
    let left = killed(dir.path());
    std::fs::remove_file(with(&left, "-wal")).unwrap();
    for _ in 0..2 {
        let told = Journal::open_read_only(&left).unwrap().without_log().unwrap().clone();
        assert!(told.to_string().contains("2 entries are here, and 4 more were recorded"), "{told}");
        assert_eq!(Journal::open(&left, "a test").unwrap_err(), told, "asking does not make it forget");
    }
}

#[test]
fn a_file_closed_while_it_is_read_raises_no_alarm_and_stands_alone_when_the_reader_leaves() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.ledge");
    let journal = open_file(&path, 5, 3);
    let reader = Journal::open_read_only(&path).unwrap();
    assert_eq!(reader.count().unwrap(), 5);
    assert_eq!(journal.close().unwrap(), Closed::StillRead);
    assert_eq!(reader.count().unwrap(), 5);
    let second = Journal::open_read_only(&path).unwrap();
    assert_eq!((second.count().unwrap(), second.without_log()), (5, None));
    second.close().unwrap();
    // Copied alone now, the copy cannot tell that nothing is missing, and claims neither.
    let copy = dir.path().join("copy.ledge");
    std::fs::copy(&path, &copy).unwrap();
    let told = Journal::open_read_only(&copy).unwrap().without_log().unwrap().to_string();
    assert!(
        told.contains("or still read it: 5 entries came over; whether that log had more cannot be told"),
        "{told}"
    );
    std::fs::remove_file(&copy).unwrap();
    reader.close().unwrap();
    assert_eq!(names(dir.path()), ["a.ledge"]);
    let writer = Journal::open(&path, "a test").unwrap();
    assert_eq!((writer.last_seq(), writer.left_by()), (5, None));
    writer.close().unwrap();
}

#[test]
fn a_new_file_where_another_was_left_open_forgets_that_one() {
    let dir = tempfile::tempdir().unwrap();
    let left = killed(dir.path());
    std::fs::remove_file(&left).unwrap();
    std::fs::remove_file(with(&left, "-wal")).unwrap();
    let mut journal = Journal::create(&left, "a test", Durability::EachEntry).unwrap();
    assert_eq!(journal.left_by(), None);
    append(&mut journal, 1, 1);
    drop(journal);
    let journal = Journal::open(&left, "a test").unwrap();
    assert!(journal.left_by().is_some(), "dropped, not closed");
    journal.close().unwrap();
}

#[cfg(unix)]
#[test]
fn every_file_of_an_operation_is_its_owners_alone() {
    use std::os::unix::fs::PermissionsExt;
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.ledge");
    let mut journal = Journal::create(&path, "a test", Durability::EachEntry).unwrap();
    journal.mirror_to(&dir.path().join("a.ledge.jsonl")).unwrap();
    append(&mut journal, 1, 3);
    journal.mirror().unwrap().wait(std::time::Duration::from_secs(20));
    let seen = names(dir.path());
    for name in ["a.ledge", "a.ledge-wal", "a.ledge.lock", "a.ledge.mirror", "a.ledge.jsonl"] {
        assert!(seen.iter().any(|n| n == name), "{name} of {seen:?}");
    }
    for name in seen {
        let mode = std::fs::metadata(dir.path().join(&name)).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600, "{name}");
    }
    journal.close().unwrap();
}

/// Copied or unpacked with wider rights, it is its owner's alone again once it is opened for writing; looking changes nothing.
#[cfg(unix)]
#[test]
fn wider_rights_are_taken_away_when_it_is_opened_for_writing() {
    use journal::private::open_to_others;
    use std::os::unix::fs::PermissionsExt;
    let dir = tempfile::tempdir().unwrap();
    let path = killed(dir.path());
    let widen = |path: &Path, mode| {
        std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).unwrap();
    };
    for name in names(dir.path()) {
        widen(&dir.path().join(name), 0o664);
    }
    drop(Journal::open_read_only(&path).unwrap());
    assert_eq!(open_to_others(&path), Some(0o664));
    let mut journal = Journal::open(&path, "a test").unwrap();
    append(&mut journal, 7, 7);
    for name in names(dir.path()).iter().filter(|name| name.starts_with("left")) {
        assert_eq!(open_to_others(&dir.path().join(name)), None, "{name}");
    }
    journal.close().unwrap();
    assert_eq!(std::fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o600);
}
