//! A file of the format before the first frozen one: read as it is, copied before it is changed, changed whole or not.

mod common;

use common::{event, file_of, stamp};
use journal::{FORMAT, Journal};
use rusqlite::Connection;
use std::path::Path;
use std::process::Command;
use std::time::Duration;

/// A file as format 0 was: one trigger fewer.
fn format_0(path: &Path, entries: u64) {
    file_of(path, entries);
    let db = Connection::open(path).unwrap();
    db.execute_batch("DROP TRIGGER event_no_replace; PRAGMA user_version = 0").unwrap();
}

fn format(path: &Path) -> i64 {
    Journal::open_read_only(path).unwrap().format()
}

#[test]
fn an_older_file_is_copied_before_it_becomes_a_new_one() {
    let dir = tempfile::tempdir().unwrap();
    let (path, copy) = (dir.path().join("a.ledge"), dir.path().join("a.format-0.ledge"));
    format_0(&path, 30);
    let before = Journal::open_read_only(&path).unwrap().stored().unwrap();
    assert_eq!((format(&path), copy.exists()), (0, false), "looking changes nothing");
    let mut journal = Journal::open(&path, "a test").unwrap();
    journal.append("top", &event(31), &stamp(31)).unwrap();
    journal.close().unwrap();
    assert_eq!((format(&path), format(&copy)), (FORMAT, 0));
    assert_eq!(Journal::open_read_only(&copy).unwrap().stored().unwrap(), before);
    let after = Journal::open_read_only(&path).unwrap().stored().unwrap();
    assert_eq!(after[..30], before, "no entry was changed");
    assert_eq!(Journal::open_read_only(&path).unwrap().verify().unwrap().head.count, 31);
}

#[test]
fn a_copy_that_is_there_is_never_written_over() {
    let dir = tempfile::tempdir().unwrap();
    let (path, there) = (dir.path().join("a.ledge"), dir.path().join("a.format-0.ledge"));
    format_0(&path, 3);
    for bytes in [b"the radio plan".to_vec(), Vec::new()] {
        format_0(&dir.path().join("b.ledge"), 3);
        std::fs::rename(dir.path().join("b.ledge"), &path).unwrap();
        std::fs::write(&there, &bytes).unwrap();
        Journal::open(&path, "a test").unwrap().close().unwrap();
        assert_eq!(std::fs::read(&there).unwrap(), bytes);
        assert_eq!(format(&dir.path().join("a.format-0-2.ledge")), 0);
    }
}

/// Not a test by itself: this test program started again to be killed while it opens the file.
#[test]
fn opener_until_it_is_killed() {
    let Some(path) = std::env::var_os("LEDGEBOOK_OLDER_FILE") else { return };
    Journal::open(Path::new(&path), "a test").unwrap().close().unwrap();
}

#[test]
fn killed_on_the_way_it_is_the_old_file_or_the_new_one() {
    let (mut old, mut new) = (0, 0);
    for round in 0..24u64 {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("a.ledge");
        format_0(&path, 200);
        let before = Journal::open_read_only(&path).unwrap().stored().unwrap();
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "opener_until_it_is_killed"])
            .env("LEDGEBOOK_OLDER_FILE", &path)
            .stdout(std::process::Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(Duration::from_millis(2 + 3 * round));
        let _ = child.kill();
        child.wait().unwrap();
        match format(&path) {
            0 => old += 1,
            _ => new += 1,
        }
        assert_eq!(Journal::open_read_only(&path).unwrap().stored().unwrap(), before, "round {round}");
        Journal::open(&path, "a test").unwrap().close().unwrap();
        assert_eq!(format(&path), FORMAT);
        let copy = dir.path().join("a.format-0.ledge");
        assert_eq!(Journal::open_read_only(&copy).unwrap().stored().unwrap(), before, "round {round}");
    }
    assert!(old > 0, "killed before it was changed: {old}, after: {new}");
}
