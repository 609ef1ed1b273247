//! A sealed copy holds what the file held, cannot be written, and bears witness against the file later.

mod common;

use common::{event, stamp};
use journal::{Durability, Journal, JournalError, seal::seal, verify};
use std::path::{Path, PathBuf};

fn created(dir: &Path) -> (PathBuf, Journal) {
    let file = dir.join("tern.ledge");
    let journal = Journal::create(&file, "a test", Durability::EachEntry).unwrap();
    (file, journal)
}

fn note(journal: &mut Journal, n: u64) {
    journal.append("top", &event(n), &stamp(n)).unwrap();
}

#[test]
fn a_copy_is_made_while_the_file_is_open_and_is_whole() {
    let dir = tempfile::tempdir().unwrap();
    let (file, mut journal) = created(dir.path());
    for n in 1..=5 {
        note(&mut journal, n);
    }
    let (copy, head) = seal(&file).unwrap();
    assert_eq!((head.count, head.hex.clone()), (5, journal.head().hex));
    let name = copy.file_name().unwrap().to_string_lossy().into_owned();
    assert!(name.ends_with(&format!(".sealed-5-{}.ledge", &head.hex[..8])), "{name}");
    assert!(std::fs::metadata(&copy).unwrap().permissions().readonly());
    // Asked again it is the same one; the file goes on and the copy does not.
    assert_eq!(seal(&file).unwrap().0, copy);
    note(&mut journal, 6);
    let read = Journal::open_read_only(&copy).unwrap();
    let rows = read.stored().unwrap();
    assert_eq!(verify(&rows).unwrap().head.hex, head.hex);
    assert_eq!(journal.stored().unwrap()[..5], rows[..]);
    drop(read);
    assert!(matches!(Journal::open(&copy, "a test"), Err(JournalError::ReadOnly { .. })));
    journal.close().unwrap();
    let left: Vec<_> = std::fs::read_dir(dir.path()).unwrap().map(|f| f.unwrap().file_name()).collect();
    assert!(!left.iter().any(|f| f.to_string_lossy().ends_with(".part")), "{left:?}");
}

#[test]
fn another_file_of_that_name_is_left_alone() {
    let dir = tempfile::tempdir().unwrap();
    let (file, mut journal) = created(dir.path());
    note(&mut journal, 1);
    let stem = file.file_stem().unwrap().to_string_lossy().into_owned();
    let name = dir.path().join(format!("{stem}.sealed-1-{}.ledge", &journal.head().hex[..8]));
    std::fs::write(&name, b"something else").unwrap();
    assert!(matches!(seal(&file), Err(JournalError::Exists { .. })));
    assert_eq!(std::fs::read(&name).unwrap(), b"something else");
}
