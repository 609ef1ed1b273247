//! Entries of no meaning, stamped by counting, and what a record must hold after them.

use journal::{Ack, Stamp, Stored};
use operation::NewEvent;
use std::collections::{BTreeMap, BTreeSet};

/// Name of the station that writes.
pub const STATION: &str = "top";

/// The n-th event: texts of many lengths, so that pages fill unevenly and some overflow.
pub fn event(n: u64) -> NewEvent {
    let more = match n % 7 {
        3 => 900,
        5 => 5_000,
        _ => n % 60,
    };
    let tail = "å – rope ".repeat(usize::try_from(more / 9).unwrap_or(0));
    NewEvent {
        kind: "note".into(),
        version: 0,
        payload: format!("{{\"from\":\"control\",\"text\":\"note {n} {tail}\"}}"),
        happened_at: None,
        author: n.is_multiple_of(2).then(|| "Ines Moreau".into()),
        corrects: None,
    }
}

/// The n-th stamp of the life-th start of the program.
pub fn stamp(life: u64, n: u64) -> Stamp {
    let mut salt = [0; 32];
    for (chunk, part) in salt.chunks_mut(8).zip(1u64..) {
        chunk.copy_from_slice(&crate::chance::Chance::of(n ^ (part << 40)).next().to_be_bytes());
    }
    Stamp {
        id: format!("019e0000-0000-7000-8000-{n:012x}"),
        session: format!("019e0000-0000-7000-9000-{life:012x}"),
        boot_ms: 1000 * i64::try_from(n % (1 << 40)).unwrap_or(0),
        recorded_at: format!(
            "2026-05-{:02}T{:02}:{:02}:{:02}.000+02:00",
            14 + n / 86_400 % 14,
            n / 3_600 % 24,
            n / 60 % 60,
            n % 60
        ),
        salt,
    }
}

/// An `erased` event that names the entry with this id.
pub fn erasure(id: &str, seq: u64) -> NewEvent {
    NewEvent {
        kind: "erased".into(),
        version: 0,
        payload: format!("{{\"of\":\"{seq}\",\"person\":\"Ines Moreau\",\"reason\":\"asked for\"}}"),
        happened_at: None,
        author: Some("Ines Moreau".into()),
        corrects: Some(id.to_string()),
    }
}

/// What was asked of a record and what it answered: what must be found in it later.
#[derive(Clone, Debug, Default)]
pub struct Expected {
    /// Acknowledged: number to hash.
    acked: BTreeMap<u64, String>,
    /// Everything that was ever handed in: id to payload.
    tried: BTreeMap<String, String>,
    /// Ids whose erasure was acknowledged.
    erased: BTreeSet<String>,
    /// Ids whose erasure was asked for; whether it came about may be unknown.
    erasing: BTreeSet<String>,
}

impl Expected {
    /// An event is about to be handed in.
    pub fn trying(&mut self, event: &NewEvent, stamp: &Stamp) {
        self.tried.insert(stamp.id.clone(), event.payload.clone());
        if let (true, Some(id)) = (event.kind == "erased", &event.corrects) {
            self.erasing.insert(id.clone());
        }
    }

    /// The record said that it has an entry.
    pub fn acknowledged(&mut self, seq: u64, hash: &str) {
        self.acked.insert(seq, hash.to_string());
    }

    /// The record answered an append.
    pub fn answered(&mut self, ack: &Ack) {
        self.acknowledged(ack.seq, &ack.hash);
    }

    /// The record said that the payload of this entry is gone.
    pub fn erased(&mut self, id: &str) {
        self.erased.insert(id.to_string());
        self.erasing.insert(id.to_string());
    }

    /// How many entries were acknowledged.
    pub fn acknowledgements(&self) -> usize {
        self.acked.len()
    }

    /// The rows of the file against all of that. Entries that were tried and not acknowledged may be there;
    /// an entry nobody tried may not.
    ///
    /// # Errors
    /// The first thing that is not as it must be, in words.
    pub fn hold(&self, rows: &[Stored]) -> Result<(), String> {
        for (seq, row) in (1u64..).zip(rows) {
            if row.entry.seq != seq {
                return Err(format!("number {seq} is missing: the next is {}", row.entry.seq));
            }
            self.hold_row(row)?;
        }
        for (seq, hash) in &self.acked {
            let row = usize::try_from(*seq).ok().and_then(|n| rows.get(n.checked_sub(1)?));
            match row {
                None => {
                    return Err(format!("acknowledged entry {seq} is lost: the record has {}", rows.len()));
                }
                Some(row) if row.entry.hash != *hash => {
                    return Err(format!("entry {seq} is not the one that was acknowledged"));
                }
                Some(_) => {}
            }
        }
        let verified =
            journal::verify(rows).map_err(|m| format!("entry {} does not fit: {}", m.seq, m.why))?;
        if verified.head.count != rows.len() as u64 {
            return Err(format!("the head counts {} of {} entries", verified.head.count, rows.len()));
        }
        Ok(())
    }

    fn hold_row(&self, row: &Stored) -> Result<(), String> {
        let (seq, id) = (row.entry.seq, &row.entry.id);
        if self.tried.is_empty() {
            return Ok(()); // written by another process: only its acknowledgements are known
        }
        let Some(payload) = self.tried.get(id) else {
            return Err(format!("entry {seq} was never handed in"));
        };
        match &row.entry.payload {
            None if !self.erasing.contains(id) => Err(format!("the words of entry {seq} are gone unasked")),
            Some(_) if self.erased.contains(id) => Err(format!("entry {seq} was erased and is there again")),
            Some(found) if found != payload => Err(format!("entry {seq} says something else")),
            _ => Ok(()),
        }
    }
}
