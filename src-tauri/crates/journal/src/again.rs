//! A file that is opened again: whether all of it is here.
//!
//! While a file is open for writing, SQLite's header says so: bytes 18 and 19 of the file are 2 (write-ahead log), and 1
//! again after a clean close. That is the mark. A file with the mark, with no entries in a `-wal` beside it and no sidecar
//! lock, was copied alone while entries may still have been in its log. After a program was killed the sidecar is still
//! there, so that a log which SQLite has taken in since is not missed; and the sidecar notes how far the record went, so that
//! a log that was removed is.

use crate::error::JournalError;
use crate::journal::Journal;
use crate::lock::{Lock, apart, left_behind, sidecar};
use crate::open::flags;
use crate::private::beside;
use crate::schema;
use rusqlite::{Connection, OpenFlags};
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// A write-ahead log no longer than its own header holds nothing.
pub(crate) const EMPTY_LOG: u64 = 32;

/// Whether the file was copied without the log that may hold its last entries.
pub(crate) fn lies_without_log(file: &Path) -> bool {
    let log = std::fs::metadata(beside(file, "-wal")).map_or(0, |about| about.len());
    // A rollback journal: the mark was being set or taken away, with nothing in a log; SQLite finishes that first.
    let rollback = std::fs::metadata(beside(file, "-journal")).map_or(0, |about| about.len());
    if log > EMPTY_LOG || rollback > 0 {
        return false;
    }
    // Nobody writes it while there is no sidecar, and nobody can begin to before this is over.
    let _apart = apart();
    if sidecar(file).exists() {
        return false;
    }
    marked(file) == Some(true)
}

/// Whether the file says that it is open for writing; `None`: it cannot be read or is no database.
fn marked(file: &Path) -> Option<bool> {
    let [write, read] = versions(file)?;
    Some(write == 2 && read == 2)
}

/// Bytes 18 and 19 of the header.
fn versions(file: &Path) -> Option<[u8; 2]> {
    let mut header = [0; 100];
    File::open(file).and_then(|mut f| f.read_exact(&mut header)).ok()?;
    header.starts_with(b"SQLite format 3\0").then_some([header[18], header[19]])
}

/// Byte 18 of the header, when it makes SQLite read a file and refuse to write it, as no program of ours leaves it. Not
/// looked at while a program may have the file open.
pub(crate) fn odd_header(file: &Path) -> Option<u8> {
    let _apart = apart();
    if sidecar(file).exists() {
        return None;
    }
    versions(file).filter(|[write, read]| *write > 2 && *read <= 2).map(|[write, _]| write)
}

/// Whether a file that was closed says so too: a disk that failed at that moment may have kept the mark.
pub(crate) fn says_closed(file: &Path) -> bool {
    let _apart = apart();
    marked(file) == Some(false)
}

/// What is told of it.
pub(crate) fn without_log(journal: &Journal, noted: u64) -> Result<JournalError, JournalError> {
    let have = journal.count()?;
    Ok(JournalError::WithoutLog { file: journal.file.clone(), have, noted })
}

/// A reader leaves a file that was closed while it was read: if it was the last, the file stands alone from now on.
pub(crate) fn tidy(file: &Path) {
    if left_behind(file).is_none_or(|left| left.by.is_some()) {
        return;
    }
    // Only to clear up: whoever cannot, leaves it to the next.
    let Ok(lock) = Lock::take(file, "clearing up after closing") else { return };
    let alone = Connection::open_with_flags(file, flags(OpenFlags::SQLITE_OPEN_READ_WRITE))
        .and_then(|db| {
            schema::recognise(&db, file).map_or(Ok(String::new()), |_| schema::switch(&db, "DELETE"))
        })
        .is_ok_and(|mode| mode.eq_ignore_ascii_case("delete"));
    if alone {
        lock.closed();
    }
}
