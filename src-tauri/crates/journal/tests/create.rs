//! Making a file: what a program that was killed on the way leaves behind is whole or can be made again, and nothing that was
//! acknowledged goes with it.

mod common;

use common::{event, file_of, stamp};
use journal::{Durability, Journal, JournalError};
use std::path::{Path, PathBuf};

fn with(path: &Path, end: &str) -> PathBuf {
    let mut name = path.as_os_str().to_os_string();
    name.push(end);
    PathBuf::from(name)
}

fn names(dir: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        std::fs::read_dir(dir).unwrap().map(|f| f.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn a_name_that_was_only_reserved_can_be_used_again() {
    let whole = tempfile::tempdir().unwrap();
    file_of(&whole.path().join("whole.ledge"), 3);
    let of_another = std::fs::read(whole.path().join("whole.ledge")).unwrap();
    let rests: [&[(&str, &[u8])]; 5] = [
        &[("", b"")],
        &[("", b""), (".lock", b"the window, process 1\n00000000000000000000\n")],
        &[("", b""), (".part", &of_another[..5000]), (".part-journal", &[0xd9; 700])],
        &[("", b""), (".part", &of_another), (".lock", b"")],
        &[(".part", b"SQLite format 3\0"), ("-wal", &[0; 32]), ("-shm", &[1; 40])],
    ];
    for rest in rests {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("a.ledge");
        rest.iter().for_each(|(end, bytes)| std::fs::write(with(&path, end), bytes).unwrap());
        if path.exists() {
            assert_eq!(Journal::open(&path, "a test").unwrap_err().code(), "file_empty");
        }
        let mut journal = Journal::create(&path, "a test", Durability::EachEntry).unwrap();
        assert_eq!(journal.left_by(), None);
        journal.append("top", &event(1), &stamp(1)).unwrap();
        journal.close().unwrap();
        assert_eq!(Journal::open_read_only(&path).unwrap().verify().unwrap().head.count, 1);
        assert_eq!(names(dir.path()), ["a.ledge"]);
    }
}

#[test]
fn what_may_hold_entries_keeps_its_name() {
    let dir = tempfile::tempdir().unwrap();
    let (path, other) = (dir.path().join("a.ledge"), dir.path().join("b.ledge"));
    // Killed and moved away without its log: entries that were acknowledged lie in the log alone.
    file_of(&path, 2);
    let mut journal = Journal::open(&path, "a test").unwrap();
    journal.append("top", &event(3), &stamp(3)).unwrap();
    std::fs::copy(&path, &other).unwrap();
    std::fs::copy(with(&path, "-wal"), with(&other, "-wal")).unwrap();
    journal.close().unwrap();
    let log = std::fs::read(with(&other, "-wal")).unwrap();
    std::fs::rename(&other, dir.path().join("elsewhere.ledge")).unwrap();
    for empty in [false, true] {
        if empty {
            std::fs::write(&other, b"").unwrap();
        }
        let error = Journal::create(&other, "a test", Durability::EachEntry).unwrap_err();
        assert_eq!(error, JournalError::Exists { file: with(&other, "-wal") });
        assert_eq!(std::fs::read(with(&other, "-wal")).unwrap(), log);
    }
    // A file that was closed stands, also without entries; one that was left open without any, and without its lock, was never begun.
    let new = dir.path().join("new.ledge");
    Journal::create(&new, "a test", Durability::EachEntry).unwrap().close().unwrap();
    let error = Journal::create(&new, "a test", Durability::EachEntry).unwrap_err();
    assert_eq!(error, JournalError::Exists { file: new.clone() });
    let (open, copy) = (Journal::open(&new, "a test").unwrap(), dir.path().join("copy.ledge"));
    std::fs::copy(&new, &copy).unwrap();
    Journal::create(&copy, "a test", Durability::EachEntry).unwrap().close().unwrap();
    open.close().unwrap();
    let mut open = Journal::open(&new, "a test").unwrap();
    open.append("top", &event(1), &stamp(1)).unwrap();
    open.close().unwrap();
    let (open, copy) = (Journal::open(&new, "a test").unwrap(), dir.path().join("copy of one.ledge"));
    std::fs::copy(&new, &copy).unwrap();
    let error = Journal::create(&copy, "a test", Durability::EachEntry).unwrap_err();
    assert_eq!(error, JournalError::Exists { file: copy });
    open.close().unwrap();
    for (name, bytes) in [("c.ledge", &b"x"[..]), ("d.ledge-journal", b"x")] {
        std::fs::write(dir.path().join(name), bytes).unwrap();
        let wanted = dir.path().join(&name[..7]);
        let error = Journal::create(&wanted, "a test", Durability::EachEntry).unwrap_err();
        assert_eq!(error, JournalError::Exists { file: dir.path().join(name) });
        assert_eq!(std::fs::read(dir.path().join(name)).unwrap(), bytes);
        assert!(!with(&wanted, ".lock").exists());
    }
}

#[test]
fn of_two_that_make_it_at_once_one_has_it() {
    for _ in 0..20 {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("a.ledge");
        let make = || {
            let mut journal = Journal::create(&path, "a test", Durability::EachEntry)?;
            journal.append("top", &event(1), &stamp(1))?;
            Ok::<_, JournalError>(journal)
        };
        let made = std::thread::scope(|scope| {
            let both = [scope.spawn(make), scope.spawn(make)];
            both.map(|one| one.join().unwrap())
        });
        let won = made.iter().filter(|one| one.is_ok()).count();
        assert_eq!(won, 1, "{made:?}");
        for one in made.into_iter().flatten() {
            assert_eq!(one.verify().unwrap().head.count, 1);
            one.close().unwrap();
        }
        assert_eq!(names(dir.path()), ["a.ledge"]);
    }
}
