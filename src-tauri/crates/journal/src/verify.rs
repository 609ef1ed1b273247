//! Whether the record is whole: each entry against the chain, and the whole against a witness.

use crate::chain::{Hash, Head, Heads, entry_hash, payload_digest};
use crate::error::JournalError;
use crate::stored::{Lying, Stored};
use serde::Deserialize;
use std::collections::HashSet;
use std::path::Path;

/// A record whose every entry fits.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Verified {
    /// Count and head of the whole file.
    pub head: Head,
    /// Entries whose payload was erased by law, each named by an `erased` entry.
    pub erased: Vec<u64>,
    /// Where entries are missing, as a `salvaged` entry says: such a record fits, and is not whole.
    pub gaps: Vec<Gap>,
    /// Set when the file was salvaged from a damaged one: what came after its last whole entry is not known.
    pub salvaged: bool,
    /// The stations' chains.
    pub stations: Heads,
    /// Number of the last entry.
    pub last: u64,
    /// Names of the stations in the order they came.
    names: Vec<String>,
    seen: Vec<Seen>,
}

/// What is kept of an entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Seen {
    seq: u64,
    /// Place of its station's name.
    station: usize,
    station_seq: u64,
    hash: Hash,
}

/// Entries that are missing between two others.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
pub struct Gap {
    /// Number of the last entry before it; 0: the beginning is missing.
    pub after: u64,
    /// Number of the first entry after it.
    pub before: u64,
}

/// The first entry that does not fit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Misfit {
    /// Its number in the file.
    pub seq: u64,
    /// Why, in words.
    pub why: String,
}

impl Misfit {
    /// As what is told of the file.
    pub(crate) fn of(self, file: &Path) -> JournalError {
        JournalError::Altered { file: file.to_path_buf(), seq: self.seq, why: self.why }
    }
}

/// Goes through all entries in file order.
///
/// # Errors
/// The first entry that does not fit: edited, re-dated, swapped, written anew, from another chain, or after one that was
/// taken out.
pub fn verify(rows: &[Stored]) -> Result<Verified, Misfit> {
    let mut verifier = Verifier::default();
    rows.iter().for_each(|row| verifier.take(row));
    verifier.done()
}

/// The same, entry by entry, so that nobody must hold all of them.
#[derive(Debug, Default)]
pub struct Verifier {
    heads: Heads,
    names: Vec<String>,
    seen: Vec<Seen>,
    ids: HashSet<Id>,
    /// Entries without words: good if an `erased` entry names them.
    wordless: Vec<(u64, String)>,
    erased: HashSet<String>,
    /// Numbers that are missing, and how many entries of its chain are missing before an entry.
    holes: Vec<Gap>,
    jumps: Vec<(u64, u64)>,
    told: Vec<Gap>,
    salvaged: bool,
    last: u64,
    misfit: Option<Misfit>,
}

/// An id as it is told from others: a UUID in its usual form takes 16 bytes, anything else what it is.
#[derive(Debug, PartialEq, Eq, Hash)]
enum Id {
    Uuid(u128),
    Other(Box<str>),
}

impl Id {
    fn of(text: &str) -> Id {
        let form = |(place, letter): (usize, u8)| match place {
            8 | 13 | 18 | 23 => letter == b'-',
            // Small letters only: “A” and “a” are two texts.
            _ => letter.is_ascii_digit() || (b'a'..=b'f').contains(&letter),
        };
        if text.len() != 36 || !text.bytes().enumerate().all(form) {
            return Id::Other(text.into());
        }
        let digits = text.bytes().filter_map(|letter| char::from(letter).to_digit(16));
        Id::Uuid(digits.fold(0, |sum, digit| sum << 4 | u128::from(digit)))
    }
}

/// What a `salvaged` entry says, as far as the chain needs it.
#[derive(Deserialize)]
struct Told {
    gaps: Vec<Gap>,
}

impl Verifier {
    /// Expects about so many entries.
    pub(crate) fn expecting(about: usize) -> Verifier {
        Verifier {
            seen: Vec::with_capacity(about),
            ids: HashSet::with_capacity(about),
            ..Verifier::default()
        }
    }

    /// Takes the next entry in file order.
    pub fn take(&mut self, row: &Stored) {
        self.take_row(&row.lying());
    }

    pub(crate) fn take_row(&mut self, row: &Lying<'_>) {
        match row.columns.kind {
            "erased" => self.erased.extend(row.columns.corrects.map(str::to_string)),
            "salvaged" => self.take_told(row),
            _ => {}
        }
        if self.misfit.is_none()
            && let Err(why) = self.fits(row)
        {
            self.misfit = Some(Misfit { seq: row.seq, why });
        }
    }

    fn take_told(&mut self, row: &Lying<'_>) {
        let told = row.payload.and_then(|text| serde_json::from_str::<Told>(text).ok());
        if let Some(told) = told {
            self.salvaged = true;
            self.told.extend(told.gaps);
        }
    }

    fn fits(&mut self, row: &Lying<'_>) -> Result<(), String> {
        let (seq, entry) = (row.seq, &row.columns);
        let (count, prev) = self.heads.of(entry.station);
        if entry.station_seq <= count {
            return Err(format!(
                "it is number {} of station “{}”, and {} is due: an entry was put in or moved",
                entry.station_seq,
                entry.station,
                count + 1
            ));
        }
        let jump = entry.station_seq - count - 1;
        if jump == 0 && entry.prev != prev {
            return Err("it does not follow the entry before it: one of the two was exchanged, written anew, or comes \
                        from another record"
                .into());
        }
        match (row.salt, row.payload) {
            (Some(salt), Some(payload)) => {
                if payload_digest(salt, payload)[..] != *entry.payload_digest {
                    return Err("what it says was changed after it was written".into());
                }
            }
            (None, None) => self.wordless.push((seq, entry.id.to_string())),
            _ => return Err("only part of what it says is there".into()),
        }
        let hash = entry_hash(entry);
        if !row.carries.is(&hash) {
            return Err("its time, author or another column was changed after it was written".into());
        }
        if !self.ids.insert(Id::of(entry.id)) {
            return Err("an entry before it has the same id".into());
        }
        // Not hashed, because it is the file's own; but it is what people call the entry by.
        if seq <= self.last {
            return Err(format!("its number in the file is {}, and {} is due", seq, self.last + 1));
        }
        if seq > self.last + 1 {
            self.holes.push(Gap { after: self.last, before: seq });
        }
        if jump > 0 {
            self.jumps.push((seq, jump));
        }
        self.last = seq;
        self.heads.push(entry.station, entry.station_seq, hash);
        let station = self.names.iter().position(|name| name == entry.station).unwrap_or_else(|| {
            self.names.push(entry.station.to_string());
            self.names.len() - 1
        });
        self.seen.push(Seen { seq, station, station_seq: entry.station_seq, hash });
        Ok(())
    }

    /// What became of it.
    ///
    /// # Errors
    /// As [`verify`].
    pub fn done(mut self) -> Result<Verified, Misfit> {
        let misfits = [self.misfit.take(), self.unnamed(), self.untold()];
        if let Some(first) = misfits.into_iter().flatten().min_by_key(|misfit| misfit.seq) {
            return Err(first);
        }
        Ok(Verified {
            head: self.heads.head(),
            erased: self.wordless.into_iter().map(|(seq, _)| seq).collect(),
            gaps: self.holes,
            salvaged: self.salvaged,
            stations: self.heads,
            last: self.last,
            names: self.names,
            seen: self.seen,
        })
    }

    /// The first entry without words that no entry says was erased.
    fn unnamed(&self) -> Option<Misfit> {
        let (seq, _) = self.wordless.iter().find(|(_, id)| !self.erased.contains(id))?;
        Some(Misfit { seq: *seq, why: "its words are gone and no entry says that they were erased".into() })
    }

    /// The first entry after a hole that no entry tells of.
    fn untold(&self) -> Option<Misfit> {
        let hole = self.holes.iter().find(|hole| !self.told.contains(hole)).map(|hole| Misfit {
            seq: hole.before,
            why: format!("its number in the file is {}, and {} is due", hole.before, hole.after + 1),
        });
        // Entries missing in the chains are at most those missing in the file: none was taken out beside the gaps.
        let mut missing = 0u64;
        let jump = self.jumps.iter().find(|(seq, jump)| {
            missing = missing.saturating_add(*jump);
            let room: u64 = self
                .holes
                .iter()
                .filter(|hole| hole.before <= *seq && self.told.contains(hole))
                .map(|hole| hole.before - hole.after - 1)
                .sum();
            missing > room
        });
        let jump = jump.map(|(seq, missing)| Misfit {
            seq: *seq,
            why: format!(
                "{missing} of its chain should stand before it: an entry was taken out, put in or moved"
            ),
        });
        [hole, jump].into_iter().flatten().min_by_key(|misfit| misfit.seq)
    }
}

impl Verified {
    /// The head as it was when it counted so many entries.
    fn head_at(&self, count: u64) -> Option<String> {
        let mut heads = Heads::default();
        let mut last = vec![0u64; self.names.len()];
        let mut so_far = 0u64;
        let mut seen = self.seen.iter();
        while so_far < count {
            let next = seen.next()?;
            so_far += next.station_seq - last[next.station];
            last[next.station] = next.station_seq;
            heads.push(&self.names[next.station], next.station_seq, next.hash);
        }
        (so_far == count).then(|| heads.head().hex)
    }
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
    let then = record.head_at(witness.count).unwrap_or_default();
    if then.starts_with(&witness.head) {
        WitnessAnswer::Complete { since: have - witness.count }
    } else {
        WitnessAnswer::Rewritten
    }
}

/// What a record looks like beside another copy of it: a mirror, an exported record, another file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CopyAnswer {
    /// Every entry of the copy is there as it was; so many came after.
    Complete {
        /// Entries after those of the copy.
        since: u64,
    },
    /// The record ends before the copy does; up to there they agree.
    Cut {
        /// Number in the copy of the first entry that is gone.
        from: u64,
        /// Entries that are gone.
        missing: u64,
    },
    /// From this entry of the record on they do not agree.
    Differs {
        /// Its number.
        seq: u64,
    },
}

/// Holds a record that fits within itself against a copy that does too.
pub fn beside(record: &Verified, copy: &Verified) -> CopyAnswer {
    let unlike = record.seen.iter().zip(&copy.seen).find(|(ours, theirs)| ours.hash != theirs.hash);
    if let Some((ours, _)) = unlike {
        return CopyAnswer::Differs { seq: ours.seq };
    }
    match copy.seen.get(record.seen.len()) {
        Some(gone) => {
            CopyAnswer::Cut { from: gone.seq, missing: (copy.seen.len() - record.seen.len()) as u64 }
        }
        None => CopyAnswer::Complete { since: (record.seen.len() - copy.seen.len()) as u64 },
    }
}
