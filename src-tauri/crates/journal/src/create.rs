//! Making an operation file: whole beside its place first, then under its name, so that half a file never holds a name.
//!
//! The name is reserved by an empty file, which a program that is killed may leave behind; the power may take the sidecar of a
//! whole file that has no entry yet, so that nobody can tell it from a copy without its log. Neither was begun, nothing can be lost
//! with it, and making the operation again under that name takes it over. What of `NAME.ledge.part` lies beside it goes then too:
//! it is only ever made by whoever holds the lock. A file that was closed is never taken over, also one without entries.

use crate::error::JournalError;
use crate::journal::{Durability, Journal};
use crate::lock::{self, Lock};
use crate::open::flags;
use crate::{again, private, schema};
use rusqlite::{Connection, OpenFlags};
use std::fs::Metadata;
use std::io::ErrorKind;
use std::path::Path;
use std::time::SystemTime;

impl Journal {
    /// Makes a new, empty operation file and opens it for writing. `holder` says who, for a second program.
    ///
    /// # Errors
    /// When there is a file of that name already, or the log of one, or it cannot be written; then nothing is left behind.
    pub fn create(file: &Path, holder: &str, durability: Durability) -> Result<Journal, JournalError> {
        if file.is_dir() {
            return Err(JournalError::Folder { file: file.to_path_buf() });
        }
        let found = is_free(file)?;
        if let Some(folder) = file.parent().filter(|f| !f.as_os_str().is_empty() && !f.is_dir()) {
            return Err(JournalError::NoFolder { folder: folder.to_path_buf() });
        }
        let mut lock = Lock::take(file, holder)?;
        lock.forget();
        // The name is taken before anything is made: whoever comes at the same moment is refused.
        match private::create_new(file) {
            Ok(reserved) => drop(reserved),
            // Another program may have made it meanwhile.
            Err(e) if e.kind() == ErrorKind::AlreadyExists && found == lies(file) && found.is_some() => {}
            Err(e) if e.kind() == ErrorKind::AlreadyExists => {
                return Err(JournalError::Exists { file: file.to_path_buf() });
            }
            Err(e) => return Err(JournalError::disk(file, &e)),
        }
        let made = make(file).and_then(|()| Self::writable(file, lock, durability, Default::default()));
        if made.is_err() {
            // Ours and unacknowledged: nothing is lost with it. The file last, so that no log is left without it.
            for end in [".part", ".part-journal", "-wal", "-shm", "-journal", ""] {
                let _ = std::fs::remove_file(private::beside(file, end));
            }
            let _ = std::fs::remove_file(lock::sidecar(file));
        }
        made
    }
}

/// Nothing of that name is there, but for what was never begun: answers how that lies. The log of a file that is gone may hold
/// entries, and would be taken for the new one's.
fn is_free(file: &Path) -> Result<Option<Lies>, JournalError> {
    let taken = |by: &Path| Err(JournalError::Exists { file: by.to_path_buf() });
    for (end, most) in [("-journal", 0), ("-wal", again::EMPTY_LOG)] {
        let log = private::beside(file, end);
        if std::fs::symlink_metadata(&log).is_ok_and(|about| !about.is_file() || about.len() > most) {
            return taken(&log);
        }
    }
    let Ok(about) = std::fs::symlink_metadata(file) else { return Ok(None) };
    let begun = about.len() > 0 && !(again::lies_without_log(file) && has_no_entry(file));
    if !about.is_file() || begun { taken(file) } else { Ok(lies(file)) }
}

/// A file as it lies, to know it again.
type Lies = (u64, Option<SystemTime>, u64);

fn lies(file: &Path) -> Option<Lies> {
    let about = std::fs::symlink_metadata(file).ok()?;
    Some((about.len(), about.modified().ok(), number(&about)))
}

#[cfg(unix)]
fn number(about: &Metadata) -> u64 {
    std::os::unix::fs::MetadataExt::ino(about)
}

#[cfg(not(unix))]
fn number(_: &Metadata) -> u64 {
    0
}

fn has_no_entry(file: &Path) -> bool {
    Journal::readable(file, true).and_then(|journal| journal.number_of_last()).is_ok_and(|last| last == 0)
}

/// Fills a file aside and moves it to the name that was reserved for it.
fn make(file: &Path) -> Result<(), JournalError> {
    let part = private::beside(file, ".part");
    let disk = |e: std::io::Error| JournalError::disk(file, &e);
    // SQLite would roll a new file back by the journal of an old one: that goes first.
    for end in ["-journal", "-wal", "-shm", ""] {
        match std::fs::remove_file(private::beside(&part, end)) {
            Err(e) if e.kind() != ErrorKind::NotFound => return Err(disk(e)),
            _ => {}
        }
    }
    drop(private::create_new(&part).map_err(disk)?);
    let sqlite = |e: rusqlite::Error| JournalError::sqlite(file, &e);
    let db = Connection::open_with_flags(&part, flags(OpenFlags::SQLITE_OPEN_READ_WRITE)).map_err(sqlite)?;
    schema::guard(&db).map_err(sqlite)?;
    // Each of its commits is on the disk when it returns.
    schema::make(&db).map_err(sqlite)?;
    db.close().map_err(|(_, e)| sqlite(e))?;
    std::fs::rename(&part, file).and_then(|()| private::sync_folder(file)).map_err(disk)
}
