//! The mirror: what is in the record is in it, whatever became of the stick meanwhile; and what it is not is never touched.

mod common;

use common::{event, file_of, stamp};
use journal::{Journal, JournalError, MirrorState, line, mirror};
use operation::NewEvent;
use std::path::{Path, PathBuf};
use std::time::Duration;

const LONG: Duration = Duration::from_secs(20);

/// The record written out, as the mirror must be.
fn written(record: &Path) -> Vec<u8> {
    let mut out = Vec::new();
    for row in Journal::open_read_only(record).unwrap().stored().unwrap() {
        line::write(&row, &mut out);
    }
    out
}

fn append(journal: &mut Journal, from: u64, to: u64) {
    for n in from..=to {
        journal.append("top", &event(n), &stamp(n)).unwrap();
    }
}

fn kept(journal: &Journal) -> u64 {
    match journal.mirror().unwrap().wait(LONG) {
        MirrorState::Kept { count } => count,
        other => panic!("{other:?}"),
    }
}

struct Place {
    dir: tempfile::TempDir,
    record: PathBuf,
    stick: PathBuf,
    mirror: PathBuf,
}

fn place() -> Place {
    let dir = tempfile::tempdir().unwrap();
    let stick = dir.path().join("stick");
    std::fs::create_dir(&stick).unwrap();
    let (record, mirror) = (dir.path().join("a.ledge"), stick.join("a.ledge.jsonl"));
    Place { dir, record, stick, mirror }
}

#[test]
fn the_mirror_is_the_record_and_is_kept_again_when_the_file_is_opened_again() {
    let Place { dir: _dir, record, mirror, .. } = place();
    file_of(&record, 300);
    let mut journal = Journal::open(&record, "a test").unwrap();
    journal.mirror_to(&mirror).unwrap();
    append(&mut journal, 301, 600);
    assert_eq!(kept(&journal), 600);
    assert_eq!(std::fs::read(&mirror).unwrap(), written(&record));
    journal.close().unwrap();
    let mut journal = Journal::open(&record, "a test").unwrap();
    append(&mut journal, 601, 601);
    journal.close().unwrap();
    assert_eq!(std::fs::read(&mirror).unwrap(), written(&record));
    let mut journal = Journal::open(&record, "a test").unwrap();
    journal.mirror_off().unwrap();
    append(&mut journal, 602, 602);
    journal.close().unwrap();
    assert_eq!(mirror::mirrored_to(&record), None);
    assert_ne!(std::fs::read(&mirror).unwrap(), written(&record));
}

#[test]
fn a_stick_that_is_pulled_is_told_and_catches_up_when_it_is_put_back() {
    let Place { dir, record, stick, mirror } = place();
    file_of(&record, 3);
    let mut journal = Journal::open(&record, "a test").unwrap();
    journal.mirror_to(&mirror).unwrap();
    assert_eq!(kept(&journal), 3);
    let pulled = dir.path().join("pulled");
    std::fs::rename(&stick, &pulled).unwrap();
    append(&mut journal, 4, 6);
    match journal.mirror().unwrap().wait(LONG) {
        MirrorState::Behind { count: 3, why, .. } => assert!(why.contains("not there"), "{why}"),
        other => panic!("{other:?}"),
    }
    // An empty mount point is not the stick.
    std::fs::create_dir(&stick).unwrap();
    append(&mut journal, 7, 7);
    std::thread::sleep(Duration::from_millis(2500));
    assert!(matches!(journal.mirror().unwrap().state(), MirrorState::Behind { .. }));
    assert!(!mirror.exists());
    std::fs::remove_dir(&stick).unwrap();
    std::fs::rename(&pulled, &stick).unwrap();
    let until = std::time::Instant::now() + LONG;
    while !matches!(journal.mirror().unwrap().state(), MirrorState::Kept { count: 7 }) {
        assert!(std::time::Instant::now() < until, "{:?}", journal.mirror().unwrap().state());
        std::thread::sleep(Duration::from_millis(50));
    }
    assert_eq!(std::fs::read(&mirror).unwrap(), written(&record));
    journal.close().unwrap();
}

/// A disk that is full from the first byte on: the record goes on, the mirror says so.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_under_the_mirror_halts_nothing() {
    let Place { dir: _dir, record, .. } = place();
    file_of(&record, 2);
    let mut journal = Journal::open(&record, "a test").unwrap();
    journal.mirror_to(Path::new("/dev/full")).unwrap();
    append(&mut journal, 3, 50);
    assert!(!matches!(journal.mirror().unwrap().wait(LONG), MirrorState::Kept { .. }));
    assert_eq!(journal.last_seq(), 50);
    journal.close().unwrap();
}

/// Cut after every byte: what is left is the beginning of the record, and it is whole again after catching up.
#[test]
fn a_torn_end_is_mended_wherever_it_tore() {
    let Place { dir: _dir, record, mirror, .. } = place();
    file_of(&record, 3);
    let whole = written(&record);
    for cut in 0..whole.len() {
        std::fs::write(&mirror, &whole[..cut]).unwrap();
        assert_eq!(mirror::catch_up(&record, &mirror).unwrap(), 3, "cut at {cut}");
        assert_eq!(std::fs::read(&mirror).unwrap(), whole, "cut at {cut}");
    }
    // A pulled plug leaves zeros where the file had grown already.
    for cut in [0, 9, whole.len() - 300, whole.len() - 1] {
        let mut bytes = whole[..cut].to_vec();
        bytes.resize(whole.len() + 40, 0);
        std::fs::write(&mirror, &bytes).unwrap();
        assert_eq!(mirror::catch_up(&record, &mirror).unwrap(), 3, "zeros from {cut}");
        assert_eq!(std::fs::read(&mirror).unwrap(), whole, "zeros from {cut}");
    }
}

#[test]
fn what_is_not_this_records_mirror_is_never_written_over() {
    let Place { dir, record, mirror, .. } = place();
    file_of(&record, 5);
    let whole = String::from_utf8(written(&record)).unwrap();
    let lines: Vec<&str> = whole.lines().collect();
    let other = dir.path().join("other.ledge");
    let mut journal = Journal::create(&other, "a test", journal::Durability::EachEntry).unwrap();
    append(&mut journal, 101, 103);
    journal.close().unwrap();
    let longer = dir.path().join("longer.ledge");
    file_of(&longer, 8);
    for (what, bytes, why) in [
        ("of another operation", written(&other), "another operation"),
        ("has more than the record", written(&longer), "entry 6, which the record does not have"),
        ("edited", whole.replace("note 3 ", "note 9 ").into_bytes(), "entry 3 is not as it stands"),
        ("re-dated", whole.replace("T13:00:04.000", "T13:00:05.000").into_bytes(), "entry 4"),
        ("entry taken out", format!("{}\n{}\n{}\n", lines[0], lines[2], lines[3]).into_bytes(), "entry 2 on"),
        ("notes", b"the radio plan is on the back\n".to_vec(), "line 1 is no entry"),
        ("a picture", vec![0x89; 3 << 20], "line 1 is no entry"),
        ("the record itself", std::fs::read(&other).unwrap(), "line 1 is no entry"),
    ] {
        std::fs::write(&mirror, &bytes).unwrap();
        let error = mirror::catch_up(&record, &mirror).unwrap_err();
        assert_eq!(error.code(), "mirror_differs", "{what}: {error}");
        assert!(error.to_string().contains(why), "{what}: {error}");
        assert_eq!(std::fs::read(&mirror).unwrap(), bytes, "{what} was touched");
        let mut journal = Journal::open(&record, "a test").unwrap();
        journal.mirror_to(&mirror).unwrap();
        assert!(matches!(journal.mirror().unwrap().wait(LONG), MirrorState::Refused { .. }), "{what}");
        journal.mirror_off().unwrap();
        journal.close().unwrap();
        assert_eq!(std::fs::read(&mirror).unwrap(), bytes, "{what} was touched");
    }
    for itself in [&record, &dir.path().join(".").join("a.ledge")] {
        let error = mirror::catch_up(&record, itself).unwrap_err();
        assert!(matches!(error, JournalError::MirrorDiffers { .. }), "{error}");
    }
}

fn erased(n: u64, of: u64) -> NewEvent {
    NewEvent {
        kind: "erased".into(),
        payload: "{\"reason\":\"asked for by the person\"}".into(),
        corrects: Some(stamp(of).id),
        ..event(n)
    }
}

#[test]
fn what_is_erased_in_the_record_is_erased_in_the_mirror_also_when_it_was_away() {
    let Place { dir: _dir, record, mirror, .. } = place();
    file_of(&record, 4);
    let mut journal = Journal::open(&record, "a test").unwrap();
    journal.mirror_to(&mirror).unwrap();
    assert_eq!(kept(&journal), 4);
    let before = std::fs::read(&mirror).unwrap();
    journal.erase("top", &erased(5, 2), &stamp(5)).unwrap();
    append(&mut journal, 6, 6);
    assert_eq!(kept(&journal), 6);
    journal.close().unwrap();
    let bytes = std::fs::read(&mirror).unwrap();
    assert_eq!(bytes, written(&record));
    assert!(!bytes.windows(7).any(|w| w == b"note 2 "));
    // The same, caught up later from a mirror that still has the words.
    std::fs::write(&mirror, &before).unwrap();
    assert_eq!(mirror::catch_up(&record, &mirror).unwrap(), 6);
    assert_eq!(std::fs::read(&mirror).unwrap(), written(&record));
}

#[test]
fn a_second_program_does_not_write_into_the_same_mirror() {
    let Place { dir: _dir, record, mirror, .. } = place();
    file_of(&record, 2);
    mirror::catch_up(&record, &mirror).unwrap();
    let held = std::fs::OpenOptions::new().read(true).write(true).open(&mirror).unwrap();
    held.lock().unwrap();
    let error = mirror::catch_up(&record, &mirror).unwrap_err();
    assert_eq!(error.code(), "mirror_away", "{error}");
    drop(held);
    mirror::catch_up(&record, &mirror).unwrap();
}
