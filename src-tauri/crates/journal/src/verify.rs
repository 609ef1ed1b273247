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
    pub(crate) names: Vec<String>,
    pub(crate) seen: Vec<Seen>,
    /// Place of the first `salvaged` entry.
    pub(crate) branch: Option<usize>,
}

/// What is kept of an entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Seen {
    pub seq: u64,
    /// Place of its station's name.
    pub station: usize,
    pub station_seq: u64,
    pub hash: Hash,
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
    branch: Option<usize>,
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
        if entry.kind == "salvaged" {
            self.branch.get_or_insert(self.seen.len());
        }
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
            branch: self.branch,
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
