//! Entries of no meaning, stamped by counting.
#![allow(dead_code)]

use journal::{Durability, Journal, Stamp};
use operation::NewEvent;
use std::path::Path;

/// The n-th event.
pub fn event(n: u64) -> NewEvent {
    NewEvent {
        kind: "note".into(),
        version: 0,
        payload: format!("{{\"from\":\"control\",\"text\":\"note {n} – größer\"}}"),
        happened_at: None,
        author: (n.is_multiple_of(2)).then(|| "Ines Moreau".into()),
        corrects: None,
    }
}

/// The n-th stamp.
pub fn stamp(n: u64) -> Stamp {
    Stamp {
        id: format!("019e0000-0000-7000-8000-{n:012x}"),
        session: "019e0000-0000-7000-8000-5e5510000000".into(),
        boot_ms: 1000 + i64::try_from(n).unwrap(),
        recorded_at: format!("2026-05-14T13:{:02}:{:02}.000+02:00", n / 60 % 60, n % 60),
        salt: [u8::try_from(n % 251).unwrap(); 32],
    }
}

/// A closed file with so many entries.
pub fn file_of(path: &Path, entries: u64) {
    let mut journal = Journal::create(path, "a test", Durability::EachEntry).unwrap();
    for n in 1..=entries {
        let (ack, entry) = journal.append("top", &event(n), &stamp(n)).unwrap();
        assert_eq!((ack.seq, entry.station_seq), (n, n));
    }
    journal.close().unwrap();
}
