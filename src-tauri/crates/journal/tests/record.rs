//! What an operation file promises: what was appended is there, what was done to it from outside shows.

mod common;

use common::{event, file_of, stamp};
use journal::chain::PREIMAGE_SQL;
use journal::{
    CopyAnswer, Durability, Journal, JournalError, Stored, Witness, WitnessAnswer, against, beside, verify,
};
use operation::NewEvent;
use rusqlite::Connection;
use sha2::{Digest, Sha256};
use std::path::Path;

#[test]
fn entries_come_back_as_they_were_written_and_the_file_stands_alone() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.ledge");
    file_of(&path, 5);
    let beside: Vec<_> = std::fs::read_dir(dir.path()).unwrap().map(|f| f.unwrap().file_name()).collect();
    assert_eq!(beside, ["a.ledge"], "nothing lies beside a closed file");
    let copy = dir.path().join("copy.ledge");
    std::fs::copy(&path, &copy).unwrap();
    let journal = Journal::open_read_only(&copy).unwrap();
    let entries = journal.entries().unwrap();
    assert_eq!(entries.len(), 5);
    for (n, entry) in (1..).zip(&entries) {
        assert_eq!(entry.payload.as_deref(), Some(event(n).payload.as_str()));
        assert_eq!((&entry.author, &entry.recorded_at), (&event(n).author, &stamp(n).recorded_at));
        assert_eq!(entry.happened_at, entry.recorded_at);
    }
    assert_eq!(journal.verify().unwrap().head.count, 5);
}

#[test]
fn appending_goes_on_in_the_same_chain_after_the_file_was_closed() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.ledge");
    file_of(&path, 3);
    let mut journal = Journal::open(&path, "a test").unwrap();
    assert_eq!(journal.left_by(), None);
    let (ack, entry) = journal.append("top", &event(4), &stamp(4)).unwrap();
    assert_eq!((ack.seq, entry.station_seq), (4, 4));
    let head = journal.head();
    journal.close().unwrap();
    assert_eq!(Journal::open_read_only(&path).unwrap().verify().unwrap().head, head);
}

/// The second path: SQL alone writes what each hash is the hash of, as the module tells a stranger.
#[test]
fn a_stranger_with_sqlite_and_sha_256_makes_the_same_chain() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.ledge");
    file_of(&path, 7);
    let db = Connection::open(&path).unwrap();
    let mut statement = db.prepare(PREIMAGE_SQL).unwrap();
    let mut rows = statement.query([]).unwrap();
    let mut last = String::new();
    let mut seen = 0;
    while let Some(row) = rows.next().unwrap() {
        let (hash, preimage): (String, String) = (row.get(1).unwrap(), row.get(2).unwrap());
        assert_eq!(hex::encode(Sha256::digest(hex::decode(preimage).unwrap())), hash);
        last = hash;
        seen += 1;
    }
    assert_eq!(seen, 7);
    let mut head =
        b"\0\0\0\0\0\0\0\x10ledgebook-head/0\0\0\0\0\0\0\0\x03top\0\0\0\0\0\0\0\x017\0\0\0\0\0\0\0\x20"
            .to_vec();
    head.extend(hex::decode(last).unwrap());
    let journal = Journal::open_read_only(&path).unwrap();
    assert_eq!(journal.verify().unwrap().head.hex, hex::encode(Sha256::digest(head)));
}

/// Each change made behind the program's back, with the guards taken off, and the entry that must be named.
#[test]
fn what_was_changed_from_outside_is_named() {
    let swap = "UPDATE event SET seq = -3 WHERE seq = 3; UPDATE event SET seq = 3 WHERE seq = 4; UPDATE event SET seq = 4 WHERE seq = -3";
    let exchange =
        "UPDATE event SET (payload, salt) = (SELECT payload, salt FROM event WHERE seq = 5) WHERE seq = 2";
    for (change, first) in [
        ("UPDATE event SET payload = replace(payload, 'note 3', 'note 9') WHERE seq = 3", 3),
        ("UPDATE event SET recorded_at = '2026-05-14T13:09:00.000+02:00' WHERE seq = 4", 4),
        ("UPDATE event SET happened_at = '2026-05-14T13:00:01.000+02:00' WHERE seq = 2", 2),
        ("UPDATE event SET author = NULL WHERE seq = 2", 2),
        ("UPDATE event SET author = '' WHERE seq = 1", 1),
        ("UPDATE event SET kind = 'order' WHERE seq = 1", 1),
        ("UPDATE event SET boot_ms = boot_ms + 1 WHERE seq = 6", 6),
        ("UPDATE event SET corrects = id WHERE seq = 6", 6),
        ("DELETE FROM event WHERE seq = 3", 4),
        ("DELETE FROM event WHERE seq = 1", 2),
        (swap, 3),
        (exchange, 2),
        ("UPDATE event SET payload = NULL, salt = NULL WHERE seq = 5", 5),
        ("UPDATE event SET salt = NULL WHERE seq = 5", 5),
        ("UPDATE event SET hash = zeroblob(32) WHERE seq = 6", 6),
        ("UPDATE event SET seq = 7 WHERE seq = 6", 7),
    ] {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("a.ledge");
        file_of(&path, 6);
        let db = Connection::open(&path).unwrap();
        let guards: Vec<String> = ["event_no_update", "event_no_delete"]
            .iter()
            .map(|name| {
                db.query_row("SELECT sql FROM sqlite_schema WHERE name = ?1", [name], |r| r.get(0)).unwrap()
            })
            .collect();
        db.execute_batch("DROP TRIGGER event_no_update; DROP TRIGGER event_no_delete").unwrap();
        db.execute_batch(change).unwrap();
        guards.iter().for_each(|sql| db.execute_batch(sql).unwrap());
        drop(db);
        let as_found = std::fs::read(&path).unwrap();
        for error in [
            Journal::open_read_only(&path).unwrap().verify().unwrap_err(),
            Journal::open(&path, "a test").unwrap_err(),
        ] {
            assert_eq!(error.code(), "chain_altered", "{change}: {error}");
            assert!(
                matches!(&error, JournalError::Altered { seq, .. } if *seq == first),
                "{change}: {error}"
            );
        }
        assert!(std::fs::read(&path).unwrap() == as_found, "{change}: kept as it was found");
    }
}

/// One who knows the scheme writes an entry anew with hashes that fit, or brings one over from another record: the next
/// entry no longer follows. The last entry of all has no next: only a witness tells.
#[test]
fn an_entry_written_anew_or_brought_from_another_record_breaks_the_chain_after_it() {
    let dir = tempfile::tempdir().unwrap();
    let rows = |name: &str, change: &dyn Fn(u64) -> NewEvent| -> Vec<Stored> {
        let path = dir.path().join(name);
        let mut journal = Journal::create(&path, "a test", Durability::AtClose).unwrap();
        for n in 1..=6 {
            journal.append("top", &change(n), &stamp(n)).unwrap();
        }
        journal.close().unwrap();
        Journal::open_read_only(&path).unwrap().stored().unwrap()
    };
    let original = rows("a.ledge", &event);
    for n in 1..=6usize {
        // All before it are the same, so entry n of this record has a hash that fits and follows.
        let other = |seq: u64| if seq == n as u64 { event(99) } else { event(seq) };
        let anew = rows(&format!("{n}.ledge"), &other);
        let mut changed = original.clone();
        changed[n - 1] = anew[n - 1].clone();
        match verify(&changed) {
            Err(misfit) => {
                assert_eq!(misfit.seq, n as u64 + 1);
                assert!(misfit.why.contains("written anew"), "{}", misfit.why);
            }
            Ok(verified) => {
                assert_eq!(n, 6);
                let copy = verify(&original).unwrap();
                assert_eq!(beside(&verified, &copy), CopyAnswer::Differs { seq: 6 });
            }
        }
        // From there on all of it written anew: it fits, and the copy names the first.
        let verified = verify(&anew).unwrap();
        let copy = verify(&original).unwrap();
        assert_eq!(beside(&verified, &copy), CopyAnswer::Differs { seq: n as u64 });
        let cut = verify(&original[..n]).unwrap();
        let expected = match n {
            6 => CopyAnswer::Complete { since: 0 },
            n => CopyAnswer::Cut { from: n as u64 + 1, missing: 6 - n as u64 },
        };
        assert_eq!(beside(&cut, &copy), expected);
        assert_eq!(beside(&copy, &cut), CopyAnswer::Complete { since: 6 - n as u64 });
    }
    let stranger = rows("stranger.ledge", &|n| event(n + 50));
    for n in 1..6 {
        let mut changed = original.clone();
        changed[n] = stranger[n].clone();
        assert_eq!(verify(&changed).unwrap_err().seq, n as u64 + 1);
    }
}

#[test]
fn pages_that_no_longer_fit_are_found_before_they_are_written_to() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.ledge");
    file_of(&path, 6);
    let mut bytes = std::fs::read(&path).unwrap();
    // The count of free pages in the file's first page: no row is read through it.
    bytes[38] ^= 1;
    std::fs::write(&path, &bytes).unwrap();
    let reader = Journal::open_read_only(&path).unwrap();
    assert_eq!(reader.entries().unwrap().len(), 6);
    assert_eq!(reader.verify().unwrap_err().code(), "file_damaged");
    drop(reader);
    assert_eq!(Journal::open(&path, "a test").unwrap_err().code(), "file_damaged");
    assert!(std::fs::read(&path).unwrap() == bytes, "kept as it was found");
}

#[test]
fn a_cut_tail_and_a_rewrite_show_only_beside_a_witness() {
    let dir = tempfile::tempdir().unwrap();
    let (whole, cut, other) =
        (dir.path().join("a.ledge"), dir.path().join("b.ledge"), dir.path().join("c.ledge"));
    file_of(&whole, 6);
    file_of(&cut, 4);
    let mut journal = Journal::create(&other, "a test", Durability::EachEntry).unwrap();
    for n in [1, 2, 9, 4, 5, 6] {
        journal.append("top", &event(n), &stamp(n)).unwrap();
    }
    journal.close().unwrap();
    let verified = |path: &Path| Journal::open_read_only(path).unwrap().verify().unwrap();
    let full = verified(&whole).head;
    let early = verified(&cut).head;
    let witness = |head: &str, count| Witness::read(&format!("{head}:{count}")).unwrap();
    let seen = witness(&full.hex, 6);
    assert_eq!(against(&verified(&whole), &seen), WitnessAnswer::Complete { since: 0 });
    assert_eq!(against(&verified(&whole), &witness(&early.hex, 4)), WitnessAnswer::Complete { since: 2 });
    assert_eq!(
        against(&verified(&whole), &witness(&full.hex[..12].to_uppercase(), 6)),
        WitnessAnswer::Complete { since: 0 }
    );
    assert_eq!(against(&verified(&cut), &seen), WitnessAnswer::Cut { missing: 2 });
    assert_eq!(against(&verified(&other), &seen), WitnessAnswer::Rewritten);
    assert_eq!(against(&verified(&whole), &witness(&full.hex, 5)), WitnessAnswer::Rewritten);
    for bad in
        ["", "abc:3", &full.hex, "zzzzzzzzzzzzzz:3", &format!("{}:-1", full.hex), &format!("{}:x", full.hex)]
    {
        assert_eq!(Witness::read(bad), None, "{bad}");
    }
}

#[test]
fn nothing_is_edited_deleted_or_replaced_from_inside() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.ledge");
    file_of(&path, 3);
    let db = Connection::open(&path).unwrap();
    db.execute_batch("PRAGMA recursive_triggers = ON").unwrap();
    for sql in [
        "DELETE FROM event",
        "UPDATE event SET kind = 'order'",
        "UPDATE event SET payload = NULL, salt = NULL WHERE seq = 2",
        "INSERT OR REPLACE INTO event(seq, kind) VALUES (2, 'note')",
        "REPLACE INTO event(seq, kind) VALUES (3, 'note')",
        "INSERT INTO event(seq, kind) VALUES (2, 'note') ON CONFLICT(seq) DO UPDATE SET kind = 'order'",
        "INSERT INTO event(seq, kind) VALUES (0, 'note')",
        "INSERT OR IGNORE INTO event(seq, kind) VALUES (-5, 'note')",
        "PRAGMA recursive_triggers = OFF; INSERT OR REPLACE INTO event(seq, kind) VALUES (2, 'note')",
    ] {
        let error = db.execute_batch(sql).unwrap_err().to_string();
        assert!(error.contains("append-only"), "{sql}: {error}");
    }
}

#[test]
fn an_erased_payload_is_gone_from_the_disk_and_the_chain_stays_whole() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.ledge");
    file_of(&path, 4);
    let mut journal = Journal::open(&path, "a test").unwrap();
    let erased = |id: String| NewEvent {
        kind: "erased".into(),
        payload: "{\"reason\":\"asked for by the person\"}".into(),
        corrects: Some(id),
        ..event(5)
    };
    let missing = journal.erase("top", &erased("nowhere".into()), &stamp(5)).unwrap_err();
    assert_eq!(missing.code(), "nothing_to_erase");
    let (ack, _) = journal.erase("top", &erased(stamp(2).id), &stamp(5)).unwrap();
    assert_eq!(ack.seq, 5);
    journal.append("top", &event(6), &stamp(6)).unwrap();
    journal.close().unwrap();
    let journal = Journal::open_read_only(&path).unwrap();
    let verified = journal.verify().unwrap();
    assert_eq!((verified.head.count, verified.erased), (6, vec![2]));
    assert_eq!(journal.entries().unwrap()[1].payload, None);
    drop(journal);
    let bytes = std::fs::read(&path).unwrap();
    assert!(!bytes.windows(7).any(|w| w == b"note 2 "), "the words are still on the disk");
    assert!(bytes.windows(7).any(|w| w == b"note 3 "));
}

#[test]
fn the_second_program_reads_while_the_first_writes() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.ledge");
    file_of(&path, 1);
    let mut first = Journal::open(&path, "the window").unwrap();
    first.append("top", &event(2), &stamp(2)).unwrap();
    let error = Journal::open(&path, "log append").unwrap_err();
    assert!(error.to_string().contains("the window, process"), "{error}");
    assert_eq!(error.code(), "file_locked");
    let mut second = Journal::open_read_only(&path).unwrap();
    assert_eq!(second.entries().unwrap().len(), 2);
    assert_eq!(second.append("top", &event(3), &stamp(3)).unwrap_err().code(), "file_read_only");
    first.append("top", &event(3), &stamp(3)).unwrap();
    assert_eq!(second.entries().unwrap().len(), 3);
}

/// What people do to files, and what they are told. Nothing is left beside, nothing is touched.
#[test]
fn what_is_no_operation_file_is_refused_in_words_and_left_as_it_is() {
    let dir = tempfile::tempdir().unwrap();
    let path = |name: &str| dir.path().join(name);
    std::fs::write(path("empty"), b"").unwrap();
    std::fs::write(path("text"), b"the radio plan is on the back\n".repeat(200)).unwrap();
    Connection::open(path("foreign")).unwrap().execute_batch("CREATE TABLE t(a)").unwrap();
    file_of(&path("newer"), 2);
    Connection::open(path("newer")).unwrap().pragma_update(None, "user_version", 7).unwrap();
    file_of(&path("unguarded"), 2);
    Connection::open(path("unguarded")).unwrap().execute_batch("DROP TRIGGER event_no_delete").unwrap();
    file_of(&path("more"), 2);
    Connection::open(path("more"))
        .unwrap()
        .execute_batch("CREATE TRIGGER x AFTER INSERT ON event BEGIN SELECT 1; END")
        .unwrap();
    file_of(&path("cut"), 200);
    let whole = std::fs::read(path("cut")).unwrap();
    std::fs::write(path("cut"), &whole[..whole.len() / 3]).unwrap();
    std::fs::create_dir(path("folder")).unwrap();
    let before = std::fs::read_dir(dir.path()).unwrap().count();
    for (name, code) in [
        ("missing", "file_missing"),
        ("folder", "file_is_folder"),
        ("empty", "file_empty"),
        ("text", "not_ours"),
        ("foreign", "not_ours"),
        ("newer", "newer_format"),
        ("unguarded", "file_damaged"),
        ("more", "file_damaged"),
        ("cut", "file_damaged"),
    ] {
        let bytes = std::fs::read(path(name)).ok();
        let read = Journal::open_read_only(&path(name)).and_then(|j| j.entries().map(|_| ())).unwrap_err();
        let write = Journal::open(&path(name), "a test").map(|_| ()).unwrap_err();
        for error in [read, write] {
            assert_eq!(error.code(), code, "{name}: {error}");
            assert_eq!(error.file(), path(name));
            assert!(!error.remedy().is_empty());
        }
        assert_eq!(std::fs::read(path(name)).ok(), bytes, "{name} was touched");
    }
    assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), before, "something was left beside");
    // An empty file is a name that was only reserved: `tests/create.rs`.
    for name in ["text", "newer"] {
        let bytes = std::fs::read(path(name)).unwrap();
        let error = Journal::create(&path(name), "a test", Durability::EachEntry).unwrap_err();
        assert_eq!(error.code(), "file_exists");
        assert_eq!(std::fs::read(path(name)).unwrap(), bytes);
    }
}

#[test]
fn several_events_of_one_step_stand_together() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.ledge");
    let mut journal = Journal::create(&path, "a test", Durability::AtClose).unwrap();
    let (one, two) = (event(1), event(2));
    let done = journal.append_all("top", &[(&one, &stamp(1)), (&two, &stamp(2))]).unwrap();
    assert_eq!(done.iter().map(|(ack, _)| ack.seq).collect::<Vec<_>>(), [1, 2]);
    journal.append("base", &event(3), &stamp(3)).unwrap();
    let head = journal.head();
    journal.close().unwrap();
    let journal = Journal::open_read_only(&path).unwrap();
    assert_eq!(journal.verify().unwrap().head, head);
    assert_eq!(journal.entries().unwrap()[2].station_seq, 1, "each station has a chain of its own");
}

/// A program killed while the file was in rollback mode leaves a journal that must be rolled back before anything is read:
/// made here by copying both files in the middle of a write.
#[test]
fn a_half_written_file_is_rolled_back_to_what_was_acknowledged() {
    let dir = tempfile::tempdir().unwrap();
    let (path, copy) = (dir.path().join("a.ledge"), dir.path().join("b.ledge"));
    file_of(&path, 40);
    let whole = Journal::open_read_only(&path).unwrap().verify().unwrap().head;
    let db = Connection::open(&path).unwrap();
    db.execute_batch("PRAGMA cache_size = 1; BEGIN IMMEDIATE").unwrap();
    let sql = "INSERT INTO event SELECT seq + (SELECT max(seq) FROM event), id, station, station_seq, session, boot_ms, recorded_at, happened_at, author, \
               kind, version, payload, salt, payload_digest, corrects, prev, hash FROM event";
    for _ in 0..4 {
        db.execute(sql, []).unwrap();
    }
    std::fs::copy(&path, &copy).unwrap();
    std::fs::copy(dir.path().join("a.ledge-journal"), dir.path().join("b.ledge-journal")).unwrap();
    drop(db);
    assert_ne!(std::fs::read(&path).unwrap(), std::fs::read(&copy).unwrap(), "nothing was half written");
    assert_eq!(Journal::open_read_only(&copy).unwrap().verify().unwrap().head, whole);
    let mut journal = Journal::open(&copy, "a test").unwrap();
    assert_eq!(journal.append("top", &event(41), &stamp(41)).unwrap().0.seq, 41);
}
