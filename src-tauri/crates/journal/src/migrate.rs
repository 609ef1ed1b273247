//! Bringing a file of an older format to the one written now: a copy of it first, then one transaction.
//!
//! The copy, `NAME.format-0.ledge`, lies beside the file, holds every entry as it was, is verified before anything is
//! changed and never written over. A program that is killed on the way leaves the old file or the new one, each whole.

use crate::error::JournalError;
use crate::journal::Journal;
use crate::open::flags;
use crate::stored::Stored;
use crate::{private, schema};
use rusqlite::{Connection, OpenFlags};
use std::path::{Path, PathBuf};

/// Brings the file to the format of now; `rows` are all that is in it. Only under its lock.
pub(crate) fn raise(file: &Path, format: i64, rows: &[Stored]) -> Result<(), JournalError> {
    if format >= schema::FORMAT {
        return Ok(());
    }
    let sqlite = |e: rusqlite::Error| JournalError::sqlite(file, &e);
    let db = Connection::open_with_flags(file, flags(OpenFlags::SQLITE_OPEN_READ_WRITE)).map_err(sqlite)?;
    schema::guard(&db).map_err(sqlite)?;
    back_up(&db, file, format, rows)?;
    // Out of the log first: the change is then one write of the file itself.
    schema::switch(&db, "DELETE").map_err(sqlite)?;
    schema::raise(&db).map_err(sqlite)?;
    db.close().map_err(|(_, e)| sqlite(e))
}

/// A name for the copy; another when one is there that is not this file's.
fn name(file: &Path, format: i64, n: u32) -> PathBuf {
    let stem = file.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let number = if n == 1 { String::new() } else { format!("-{n}") };
    file.with_file_name(format!("{stem}.format-{format}{number}.ledge"))
}

fn back_up(db: &Connection, file: &Path, format: i64, rows: &[Stored]) -> Result<(), JournalError> {
    let copied = (1..100)
        .map(|n| name(file, format, n))
        .find(|copy| std::fs::symlink_metadata(copy).is_err() || holds(copy, rows));
    let disk = |why: &str| JournalError::Disk { file: file.to_path_buf(), why: why.to_string() };
    let copy = copied.ok_or_else(|| disk("too many copies of its older format lie beside it"))?;
    if std::fs::symlink_metadata(&copy).is_ok() {
        return Ok(()); // made before a program was killed on the way
    }
    let part = private::beside(&copy, ".part");
    let io = |e: std::io::Error| JournalError::disk(&copy, &e);
    let _ = std::fs::remove_file(&part);
    let made = write_copy(db, &part, rows)
        .and_then(|()| std::fs::rename(&part, &copy).and_then(|()| private::sync_folder(&copy)).map_err(io));
    if made.is_err() {
        let _ = std::fs::remove_file(&part);
    }
    made
}

fn write_copy(db: &Connection, part: &Path, rows: &[Stored]) -> Result<(), JournalError> {
    let io = |e: std::io::Error| JournalError::disk(part, &e);
    drop(private::create_new(part).map_err(io)?);
    let target = part.to_string_lossy();
    db.execute("VACUUM INTO ?1", [&target]).map_err(|e| JournalError::sqlite(part, &e))?;
    if !holds(part, rows) {
        let why = "the copy of the older format does not hold what the file does".to_string();
        return Err(JournalError::Disk { file: part.to_path_buf(), why });
    }
    std::fs::OpenOptions::new().write(true).open(part).and_then(|f| f.sync_all()).map_err(io)
}

/// Whether a file holds exactly these rows and is sound.
fn holds(copy: &Path, rows: &[Stored]) -> bool {
    Journal::open_read_only(copy)
        .and_then(|journal| journal.sound().and_then(|()| journal.stored()))
        .is_ok_and(|found| found == rows)
}
