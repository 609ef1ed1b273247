//! Bringing a mirror up to its record, and adding to it. Nothing here runs on the writer's path.

use crate::error::JournalError;
use crate::journal::Journal;
use crate::line;
use crate::private;
use crate::stored::Stored;
use std::collections::BTreeSet;
use std::fs::{File, OpenOptions};
use std::io::{BufReader, Read, Seek, SeekFrom, Write};
use std::path::Path;

/// Entries read from the record in one go; no reader stays connected while the stick is slow.
const AT_ONCE: usize = 256;
/// Most bytes written before they are made durable, unless one entry alone is longer.
const MOST_BYTES: usize = 256 << 10;
/// How much of a mirror's end may be unreadable and still be mended.
const MOST_TORN: u64 = 1 << 20;

/// Why a mirror could not be kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Fault {
    /// It may be there again later: missing, full, read-only, slow.
    Away(String),
    /// It is not this record's, or not as this record was: never written over.
    Differs(String),
}

impl Fault {
    fn io(error: &std::io::Error) -> Fault {
        use std::io::ErrorKind::{
            IsADirectory, NotFound, PermissionDenied, ReadOnlyFilesystem, StorageFull, WouldBlock,
        };
        match error.kind() {
            IsADirectory => Fault::Differs("this is a folder: name a file in it".into()),
            NotFound => Fault::Away("it is not there".into()),
            PermissionDenied | ReadOnlyFilesystem => Fault::Away("it cannot be written".into()),
            StorageFull => Fault::Away("its disk is full".into()),
            WouldBlock => Fault::Away("another program writes into it".into()),
            _ => Fault::Away(format!("its disk did not take it ({error})")),
        }
    }
}

/// How far a mirror is known to go, and how to know it again.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Position {
    /// Entries in it.
    pub count: u64,
    /// Number of the last of them.
    pub seq: u64,
    /// Its length in bytes.
    pub len: u64,
    /// Its last bytes.
    tail: Vec<u8>,
}

impl Position {
    fn take(&mut self, rows: u64, seq: u64, bytes: &[u8]) {
        self.count += rows;
        self.seq = seq;
        self.len += bytes.len() as u64;
        self.tail = bytes[bytes.len().saturating_sub(160)..].to_vec();
    }

    /// Whether the file is still as it was left.
    fn holds(&self, file: &mut File) -> std::io::Result<bool> {
        if file.metadata()?.len() != self.len {
            return Ok(false);
        }
        let mut end = vec![0; self.tail.len()];
        file.seek(SeekFrom::Start(self.len - end.len() as u64))?;
        file.read_exact(&mut end)?;
        Ok(end == self.tail)
    }
}

/// Opens a mirror to write it, alone.
fn open(mirror: &Path, make: bool) -> Result<File, Fault> {
    let opened = OpenOptions::new().read(true).write(true).open(mirror);
    let file = match opened {
        Err(e) if make && e.kind() == std::io::ErrorKind::NotFound => {
            let made = private::create_new(mirror).map_err(|e| Fault::io(&e))?;
            private::sync_folder(mirror).map_err(|e| Fault::io(&e))?;
            made
        }
        other => other.map_err(|e| Fault::io(&e))?,
    };
    match file.metadata() {
        Ok(about) if about.is_dir() => return Err(Fault::io(&std::io::ErrorKind::IsADirectory.into())),
        Ok(about) if !about.is_file() => return Err(Fault::Differs("this is not a plain file".into())),
        _ => {}
    }
    match file.try_lock() {
        Err(std::fs::TryLockError::WouldBlock) => Err(Fault::io(&std::io::ErrorKind::WouldBlock.into())),
        // A disk without locks: the record's own lock stands for it.
        Ok(()) | Err(std::fs::TryLockError::Error(_)) => Ok(file),
    }
}

/// Adds rows that follow on what is there. `Ok(None)`: it is no longer as it was left, look at it whole.
pub(crate) fn append(mirror: &Path, at: &Position, rows: &[Stored]) -> Result<Option<Position>, Fault> {
    let mut file = open(mirror, false)?;
    if !at.holds(&mut file).map_err(|e| Fault::io(&e))? {
        return Ok(None);
    }
    let named = erased_by(rows);
    if !named.is_empty() {
        drop(file);
        return erase(mirror, &named, rows).map(Some);
    }
    let mut at = at.clone();
    write_rows(&mut file, &mut at, rows)?;
    Ok(Some(at))
}

fn erased_by(rows: &[Stored]) -> BTreeSet<&str> {
    rows.iter().filter(|r| r.entry.kind == "erased").filter_map(|r| r.entry.corrects.as_deref()).collect()
}

fn write_rows(file: &mut File, at: &mut Position, rows: &[Stored]) -> Result<(), Fault> {
    let mut bytes = Vec::new();
    let mut from = 0;
    for (n, row) in (1..).zip(rows) {
        line::write(row, &mut bytes);
        if bytes.len() < MOST_BYTES && n < rows.len() {
            continue;
        }
        let written = file
            .seek(SeekFrom::Start(at.len))
            .and_then(|_| file.write_all(&bytes))
            .and_then(|()| file.sync_data());
        if let Err(error) = written {
            // Whole lines only, if it can still be had; else the next look mends it.
            let _ = file.set_len(at.len);
            return Err(Fault::io(&error));
        }
        at.take((n - from) as u64, row.entry.seq, &bytes);
        from = n;
        bytes.clear();
    }
    Ok(())
}

/// Looks at a mirror whole, mends its end, takes out what was erased and adds what is missing. `go_on` is asked between
/// batches.
pub(crate) fn catch_up(
    record: &Path,
    mirror: &Path,
    make: bool,
    go_on: &dyn Fn() -> bool,
) -> Result<Position, Fault> {
    let mut file = open(mirror, make)?;
    let seen = compare(record, &file, go_on)?;
    let mut at = seen.at;
    let len = file.metadata().map_err(|e| Fault::io(&e))?.len();
    if len > at.len {
        file.set_len(at.len).and_then(|()| file.sync_data()).map_err(|e| Fault::io(&e))?;
    }
    if !seen.erased.is_empty() {
        drop(file);
        at = erase(mirror, &seen.erased.iter().map(String::as_str).collect(), &[])?;
        file = open(mirror, false)?;
    }
    loop {
        if !go_on() {
            return Err(Fault::Away("it was left before it had caught up".into()));
        }
        let rows = rows_after(record, at.seq)?;
        if rows.is_empty() {
            return Ok(at);
        }
        write_rows(&mut file, &mut at, &rows)?;
    }
}

struct Compared {
    at: Position,
    /// Ids whose words are gone from the record and still stand in the mirror.
    erased: BTreeSet<String>,
}

/// Goes through mirror and record side by side as far as both go.
fn compare(record: &Path, file: &File, go_on: &dyn Fn() -> bool) -> Result<Compared, Fault> {
    let io = |e: std::io::Error| Fault::io(&e);
    let len = file.metadata().map_err(io)?.len();
    let mut lines = BufReader::with_capacity(1 << 16, file);
    let mut seen = Compared { at: Position::default(), erased: BTreeSet::new() };
    let (mut bytes, mut due) = (Vec::new(), Vec::new());
    loop {
        if !go_on() {
            return Err(Fault::Away("it was left before it had caught up".into()));
        }
        let rows = rows_after(record, seen.at.seq)?;
        for row in &rows {
            line::next(&mut lines, &mut bytes).map_err(io)?;
            if bytes.is_empty() {
                return Ok(seen);
            }
            due.clear();
            line::write(row, &mut due);
            if bytes != due && !same(&bytes, row, &mut seen.erased)? {
                return torn(record, &seen.at, &bytes, &mut lines, len, &due).map(|()| seen);
            }
            seen.at.take(1, row.entry.seq, &bytes);
        }
        if rows.is_empty() {
            line::next(&mut lines, &mut bytes).map_err(io)?;
            return match bytes.is_empty() {
                true => Ok(seen),
                false => torn(record, &seen.at, &bytes, &mut lines, len, b"{\"seq\":").map(|()| seen),
            };
        }
    }
}

/// Whether a line that is not written as it would be today is the row all the same; `Ok(false)`: it cannot be read.
fn same(bytes: &[u8], row: &Stored, erased: &mut BTreeSet<String>) -> Result<bool, Fault> {
    if bytes.last() != Some(&b'\n') {
        return Ok(false);
    }
    let Ok(mut theirs) = line::read(bytes) else { return Ok(false) };
    if theirs == *row {
        return Ok(true);
    }
    if row.entry.payload.is_none() && row.salt.is_none() {
        (theirs.entry.payload, theirs.salt) = (None, None);
        if theirs == *row {
            erased.insert(row.entry.id.clone());
            return Ok(true);
        }
    }
    Err(Fault::Differs(if theirs.entry.id == row.entry.id {
        format!("its entry {} is not as it stands in the record", row.entry.seq)
    } else if row.entry.seq == 1 {
        "it is the mirror of another operation".into()
    } else {
        format!("from entry {} on it is not the mirror of this record", row.entry.seq)
    }))
}

/// A line that cannot be read: the end of a write that was cut short may be cut off, anything else is kept.
fn torn(
    record: &Path,
    at: &Position,
    first: &[u8],
    rest: &mut impl std::io::BufRead,
    len: u64,
    due: &[u8],
) -> Result<(), Fault> {
    let line_number = at.count + 1;
    let unlike = || Fault::Differs(format!("its line {line_number} is no entry of a record"));
    if len - at.len > MOST_TORN.max(due.len() as u64) {
        return Err(unlike());
    }
    let begins = first.iter().zip(due).take_while(|(a, b)| a == b).count();
    if at.count == 0 && begins < first.len().min(b"{\"seq\":".len()) && first.iter().any(|b| *b != 0) {
        return Err(unlike());
    }
    let known = rows_after(record, at.seq)?;
    let mut bytes = first.to_vec();
    while !bytes.is_empty() {
        if let Ok(theirs) = line::read(&bytes)
            && !known
                .iter()
                .any(|row| row.entry.seq == theirs.entry.seq && row.entry.hash == theirs.entry.hash)
        {
            return Err(Fault::Differs(if known.is_empty() {
                format!("it has entry {}, which the record does not have", theirs.entry.seq)
            } else {
                format!("its entry {} is not as it stands in the record", theirs.entry.seq)
            }));
        }
        line::next(rest, &mut bytes).map_err(|e| Fault::io(&e))?;
    }
    Ok(())
}

/// The record's next rows, read over a connection of their own that is gone when they are there.
pub(crate) fn rows_after(record: &Path, seq: u64) -> Result<Vec<Stored>, Fault> {
    let away = |e: JournalError| Fault::Away(format!("the record cannot be read ({e})"));
    Journal::open_read_only(record).and_then(|j| j.stored_after(seq, AT_ONCE)).map_err(away)
}

/// Takes the words of the named entries out of a mirror and adds `more`: written anew beside it and moved into its
/// place, so that it is whole at every moment; then the words are written over in what it was.
fn erase(mirror: &Path, named: &BTreeSet<&str>, more: &[Stored]) -> Result<Position, Fault> {
    let io = |e: std::io::Error| Fault::io(&e);
    let aside = private::beside(mirror, ".part");
    let _ = std::fs::remove_file(&aside);
    let made = rewrite(mirror, &aside, named, more);
    let (at, mut old, gone) = match made {
        Ok(made) => made,
        Err(fault) => {
            let _ = std::fs::remove_file(&aside);
            return Err(fault);
        }
    };
    let moved = std::fs::rename(&aside, mirror).and_then(|()| private::sync_folder(mirror));
    if let Err(error) = moved {
        let _ = std::fs::remove_file(&aside);
        return Err(io(error));
    }
    // A new file stands in its place: what is left to do is to leave nothing readable on the disk.
    for (start, len) in gone {
        let _ = old.seek(SeekFrom::Start(start)).and_then(|_| old.write_all(&vec![b' '; len]));
    }
    let _ = old.sync_data();
    Ok(at)
}

/// Where words stood: first byte and length.
type Spans = Vec<(u64, usize)>;

fn rewrite(
    mirror: &Path,
    aside: &Path,
    named: &BTreeSet<&str>,
    more: &[Stored],
) -> Result<(Position, File, Spans), Fault> {
    let io = |e: std::io::Error| Fault::io(&e);
    let old = open(mirror, false)?;
    let mut new = private::create_new(aside).map_err(io)?;
    let mut at = Position::default();
    let mut gone = Spans::new();
    let mut lines = BufReader::new(&old);
    let (mut bytes, mut place) = (Vec::new(), 0u64);
    loop {
        line::next(&mut lines, &mut bytes).map_err(io)?;
        if bytes.is_empty() {
            break;
        }
        let mut row =
            line::read(&bytes).map_err(|why| Fault::Differs(format!("a line is no entry: {why}")))?;
        let len = bytes.len();
        if named.contains(row.entry.id.as_str()) {
            (row.entry.payload, row.salt) = (None, None);
            gone.push((place, len));
            bytes.clear();
            line::write(&row, &mut bytes);
        }
        new.write_all(&bytes).map_err(io)?;
        at.take(1, row.entry.seq, &bytes);
        place += len as u64;
    }
    drop(lines);
    let more: Vec<Stored> = more
        .iter()
        .cloned()
        .map(|mut row| {
            if named.contains(row.entry.id.as_str()) {
                (row.entry.payload, row.salt) = (None, None);
            }
            row
        })
        .collect();
    write_rows(&mut new, &mut at, &more)?;
    new.sync_all().map_err(io)?;
    Ok((at, old, gone))
}
