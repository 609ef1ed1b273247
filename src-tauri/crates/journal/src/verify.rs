//! Whether the record is whole: each entry against the chain, and the whole against a witness.

use crate::chain::{Head, Heads, payload_digest};
use crate::stored::Stored;
use std::collections::BTreeSet;

/// A record whose every entry fits.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Verified {
    /// Count and head of the whole file.
    pub head: Head,
    /// Entries whose payload was erased by law, each named by an `erased` entry.
    pub erased: Vec<u64>,
    /// The head after each entry, in file order: what a witness of that many entries must say.
    heads: Vec<String>,
    /// The stations' chains.
    pub stations: Heads,
}

/// The first entry that does not fit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Misfit {
    /// Its number in the file.
    pub seq: u64,
    /// Why, in words.
    pub why: String,
}

/// Goes through all entries in file order.
///
/// # Errors
/// The first entry that does not fit: edited, re-dated, swapped, or after one that was taken out.
pub fn verify(rows: &[Stored]) -> Result<Verified, Misfit> {
    let mut heads = Heads::default();
    let mut ids = BTreeSet::new();
    let mut erased = Vec::new();
    let mut after = Vec::with_capacity(rows.len());
    let named: BTreeSet<&str> = rows
        .iter()
        .filter(|r| r.entry.kind == "erased")
        .filter_map(|r| r.entry.corrects.as_deref())
        .collect();
    for (due, row) in (1u64..).zip(rows) {
        let entry = &row.entry;
        let misfit = |why: String| Misfit { seq: entry.seq, why };
        let (count, prev) = heads.of(&entry.station);
        if entry.station_seq != count + 1 {
            return Err(misfit(format!(
                "it is number {} of station “{}”, and {} is due: an entry was taken out, put in or moved",
                entry.station_seq,
                entry.station,
                count + 1
            )));
        }
        if row.prev != prev {
            return Err(misfit(
                "it does not follow the entry before it: one of the two was exchanged".into(),
            ));
        }
        match (&row.salt, &entry.payload) {
            (Some(salt), Some(payload)) => {
                if payload_digest(salt, payload)[..] != row.payload_digest[..] {
                    return Err(misfit("what it says was changed after it was written".into()));
                }
            }
            (None, None) if named.contains(entry.id.as_str()) => erased.push(entry.seq),
            (None, None) => {
                return Err(misfit("its words are gone and no entry says that they were erased".into()));
            }
            _ => return Err(misfit("only part of what it says is there".into())),
        }
        let hash = row.computed_hash();
        if hex::encode(hash) != entry.hash {
            return Err(misfit("its time, author or another column was changed after it was written".into()));
        }
        if !ids.insert(entry.id.as_str()) {
            return Err(misfit("an entry before it has the same id".into()));
        }
        // Not hashed, because it is the file's own; but it is what people call the entry by.
        if entry.seq != due {
            return Err(misfit(format!("its number in the file is {}, and {due} is due", entry.seq)));
        }
        heads.push(&entry.station, entry.station_seq, hash);
        after.push(heads.head().hex);
    }
    Ok(Verified { head: heads.head(), erased, heads: after, stations: heads })
}

/// What someone wrote down of a record earlier: on a report, or in a note-book.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Witness {
    /// Its head: all 64 hexadecimal digits, or the first of them (12 at least).
    pub head: String,
    /// How many entries it had.
    pub count: u64,
}

impl Witness {
    /// Reads `HEAD:COUNT`.
    pub fn read(text: &str) -> Option<Witness> {
        let (head, count) = text.trim().split_once(':')?;
        let head = head.trim().to_ascii_lowercase();
        let fits = (12..=64).contains(&head.len()) && head.bytes().all(|b| b.is_ascii_hexdigit());
        fits.then_some(Witness { head, count: count.trim().parse().ok()? })
    }
}

/// What a record looks like beside its witness.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum WitnessAnswer {
    /// Every entry the witness saw is there as it was; so many came after.
    Complete {
        /// Entries after those of the witness.
        since: u64,
    },
    /// The record ends before what the witness saw.
    Cut {
        /// Entries that are gone.
        missing: u64,
    },
    /// As many entries, and not the same ones.
    Rewritten,
}

/// Holds a record that fits within itself against a witness.
pub fn against(record: &Verified, witness: &Witness) -> WitnessAnswer {
    let have = record.head.count;
    if witness.count > have {
        return WitnessAnswer::Cut { missing: witness.count - have };
    }
    let then = match usize::try_from(witness.count).ok().and_then(|n| n.checked_sub(1)) {
        Some(last) => record.heads.get(last).cloned().unwrap_or_default(),
        None => Heads::default().head().hex,
    };
    if then.starts_with(&witness.head) {
        WitnessAnswer::Complete { since: have - witness.count }
    } else {
        WitnessAnswer::Rewritten
    }
}
