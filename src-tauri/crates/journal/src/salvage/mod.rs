//! Salvage: every whole entry of a damaged file, in a new file that says so.
//!
//! The damaged file is only read. An entry counts as whole when its hash is that of its columns and its digest that of
//! its words ([`pages`] finds them, in the file and in the log beside it; a mirror is read line by line). In the
//! new file they keep their numbers and hashes; after them stands one `salvaged` entry that names each gap (`after`,
//! `before`: the numbers of the entries beside it). Such a file verifies as “salvaged”, with its gaps, never as whole.

mod pages;

use crate::chain::Heads;
use crate::error::JournalError;
use crate::insert::link;
use crate::journal::{Durability, Journal, Stamp};
use crate::lock;
use crate::stored::Stored;
use crate::verify::{Gap, verify};
use crate::{line, private};
use operation::NewEvent;
use pages::{Pages, proves_itself};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// What could be had from a damaged file.
#[derive(Clone, Debug, PartialEq)]
pub struct Salvage {
    /// Every whole entry, in file order.
    pub rows: Vec<Stored>,
    /// Where entries are missing between them.
    pub gaps: Vec<Gap>,
    /// How many entries there were at least, when the file's sidecar tells.
    pub at_least: Option<u64>,
    /// What was wrong, in words.
    pub why: String,
}

/// Looks for whole entries in a damaged operation file, or in a mirror (`.jsonl`). Nothing is written.
///
/// # Errors
/// When it cannot be read, is open for writing, or has not one whole entry.
pub fn find(file: &Path) -> Result<Salvage, JournalError> {
    crate::open::look(file)?;
    if let Some(holder) = lock::held_by(file) {
        return Err(JournalError::Locked { file: file.to_path_buf(), holder });
    }
    let noted = lock::left_behind(file).map_or(0, |left| left.noted);
    let bytes = {
        let _apart = lock::apart();
        std::fs::read(file).map_err(|e| JournalError::disk(file, &e))?
    };
    let (found, why) = if line::is_lines(&bytes) {
        (of_lines(&bytes), wrong_with_lines(&bytes))
    } else {
        let log = std::fs::read(private::beside(file, "-wal")).unwrap_or_default();
        (Pages::new(&bytes, &log).rows(), wrong_with(file))
    };
    let rows = in_order(found);
    let Some(last) = rows.last() else {
        let why = "not one whole entry is in it".to_string();
        return Err(JournalError::Damaged { file: file.to_path_buf(), why });
    };
    let at_least = Some(noted.max(last.entry.seq)).filter(|n| *n > rows.len() as u64);
    Ok(Salvage { gaps: gaps(&rows), rows, at_least, why })
}

fn wrong_with(file: &Path) -> String {
    let looked = Journal::open_read_only(file).and_then(|journal| match journal.without_log() {
        Some(missing) => Err(missing.clone()),
        None => journal.verify(),
    });
    looked.map_or_else(|error| error.to_string(), |_| "nothing was found to be wrong with it".into())
}

fn of_lines(bytes: &[u8]) -> Vec<Stored> {
    let lines = bytes.split(|byte| *byte == b'\n');
    lines.filter_map(|line| line::read(line).ok()).filter(proves_itself).collect()
}

fn wrong_with_lines(bytes: &[u8]) -> String {
    match line::read_all(bytes).map_err(|(n, why)| format!("line {n} is no entry: {why}")) {
        Err(why) => why,
        Ok(rows) => match verify(&rows) {
            Err(misfit) => format!("entry {} does not fit: {}", misfit.seq, misfit.why),
            Ok(_) => "nothing was found to be wrong with it".into(),
        },
    }
}

/// One row for each place of each chain, those that hang together, under numbers that rise.
fn in_order(found: Vec<Stored>) -> Vec<Stored> {
    let named: BTreeSet<String> =
        found.iter().filter(|r| r.entry.kind == "erased").filter_map(|r| r.entry.corrects.clone()).collect();
    let followed: BTreeSet<Vec<u8>> = found.iter().map(|row| row.prev.clone()).collect();
    let mut chains: BTreeMap<String, BTreeMap<u64, Stored>> = BTreeMap::new();
    for mut row in found {
        if named.contains(&row.entry.id) {
            // An older page may still have the words.
            (row.entry.payload, row.salt) = (None, None);
        } else if row.entry.payload.is_none() {
            continue; // the entry that says who erased it is gone: it would read as tampered with
        }
        let chain = chains.entry(row.entry.station.clone()).or_default();
        let hangs = |row: &Stored| hex::decode(&row.entry.hash).is_ok_and(|hash| followed.contains(&hash));
        match chain.get(&row.entry.station_seq) {
            Some(there) if there.entry.hash == row.entry.hash && there.entry.seq <= row.entry.seq => {}
            Some(there) if there.entry.hash != row.entry.hash && (hangs(there) || !hangs(&row)) => {}
            _ => {
                chain.insert(row.entry.station_seq, row);
            }
        }
    }
    let mut rows: Vec<Stored> = chains.into_values().flat_map(linked).collect();
    rows.sort_by_key(|row| row.entry.seq);
    rows.dedup_by_key(|row| row.entry.seq);
    rows
}

/// The rows of a chain that follow one another, or follow a gap. The number a row is stored under is not in its hash:
/// one that does not lie between its neighbours' was damaged, and is put right where there is only one place for it.
fn linked(chain: BTreeMap<u64, Stored>) -> Vec<Stored> {
    let mut rows: Vec<Stored> = Vec::new();
    let chain: Vec<Stored> = chain.into_values().collect();
    for (place, row) in chain.iter().enumerate() {
        let mut row = row.clone();
        let last = rows.last();
        let follows = last.is_none_or(|last| {
            last.entry.station_seq + 1 < row.entry.station_seq || last.entry.hash == hex::encode(&row.prev)
        });
        let (low, next) = (last.map_or(0, |last| last.entry.seq), chain.get(place + 1));
        let lies =
            |seq: u64| seq > low && next.is_none_or(|next| seq < next.entry.seq || next.entry.seq <= low + 1);
        if !lies(row.entry.seq) {
            row.entry.seq = low + 1;
        }
        if follows && lies(row.entry.seq) {
            rows.push(row);
        }
    }
    rows
}

fn gaps(rows: &[Stored]) -> Vec<Gap> {
    let mut last = 0;
    let mut gaps = Vec::new();
    for row in rows {
        if row.entry.seq > last + 1 {
            gaps.push(Gap { after: last, before: row.entry.seq });
        }
        last = row.entry.seq;
    }
    gaps
}

/// Writes what was found into a new file, with `event` (a `salvaged` entry that names the gaps) after it: all of it or none.
///
/// # Errors
/// When there is a file of that name, the disk does not take it, or the event does not name the gaps.
pub fn write(
    salvage: &Salvage,
    out: &Path,
    holder: &str,
    event: &NewEvent,
    stamp: &Stamp,
) -> Result<Journal, JournalError> {
    let mut heads = Heads::default();
    let mut rows = salvage.rows.clone();
    for row in &rows {
        heads.push(&row.entry.station, row.entry.station_seq, row.computed_hash());
    }
    let (seq, station) =
        rows.last().map_or((0, "top".to_string()), |row| (row.entry.seq, row.entry.station.clone()));
    let (station_seq, prev) = heads.of(&station);
    rows.push(link(seq + 1, &station, station_seq + 1, prev, event, stamp).0);
    verify(&rows).map_err(|misfit| JournalError::Altered {
        file: out.to_path_buf(),
        seq: misfit.seq,
        why: misfit.why,
    })?;
    let mut journal = Journal::create(out, holder, Durability::EachEntry)?;
    match journal.adopt(&rows) {
        Ok(()) => Ok(journal),
        Err(error) => {
            // Ours, and nothing in it yet.
            let _ = journal.close();
            let _ = std::fs::remove_file(out);
            Err(error)
        }
    }
}
