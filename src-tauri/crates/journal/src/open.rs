//! Opening an operation file.

use crate::chain::Heads;
use crate::error::JournalError;
use crate::journal::{Durability, Journal};
use crate::lock::{self, Lock};
use crate::mirror::{self, Mirror};
use crate::through::{Entries, taken, through};
use crate::{again, migrate, private, schema};
use rusqlite::{Connection, OpenFlags};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

impl Journal {
    /// Opens a file for writing. The whole chain is gone through first: nothing new is hung on a record that
    /// was altered.
    ///
    /// # Errors
    /// When it is not there, not ours, damaged, altered, of a newer format, held by another program or not writable.
    pub fn open(file: &Path, holder: &str) -> Result<Journal, JournalError> {
        Self::open_with(file, holder, |entries| entries.each_batch(|_| ())).map(|(journal, ())| journal)
    }

    /// As [`Journal::open`], with what `take` made of the entries: it gets them in file order on a thread of its own, while the
    /// chain is gone through. What it makes of a record that turns out not to fit is thrown away.
    ///
    /// # Errors
    /// As [`Journal::open`].
    pub fn open_with<R: Send>(
        file: &Path,
        holder: &str,
        take: impl FnOnce(Entries) -> R + Send,
    ) -> Result<(Journal, R), JournalError> {
        look(file)?;
        if let Some(byte) = again::odd_header(file) {
            return Err(JournalError::OddHeader { file: file.to_path_buf(), byte });
        }
        // Looked at before the lock is taken, so that nothing is left beside a file that is not ours.
        if let Some(missing) = Self::open_read_only(file)?.without_log {
            return Err(missing);
        }
        if std::fs::metadata(file).is_ok_and(|m| m.permissions().readonly()) {
            return Err(JournalError::ReadOnly { file: file.to_path_buf() });
        }
        let lock = Lock::take(file, holder)?;
        // By a connection that cannot write: a file that is damaged or altered stays to the byte as it was found.
        let looked = Self::open_read_only_under(file, &lock)?;
        if let Some(missing) = looked.without_log {
            return Err(missing);
        }
        looked.sound()?;
        std::thread::scope(|scope| {
            let (chain, taking) = through(&looked, scope, take)?;
            let fits = chain.map_err(|misfit| misfit.of(file))?;
            if looked.format < schema::FORMAT {
                migrate::raise(file, looked.format, &looked.stored()?)?;
            }
            drop(looked);
            let stock = (fits.stations, fits.last);
            Ok((Self::writable(file, lock, Durability::EachEntry, stock)?, taken(taking)))
        })
    }

    /// `stock`: heads and last number of what is in the file, read while the lock was held.
    pub(crate) fn writable(
        file: &Path,
        mut lock: Lock,
        durability: Durability,
        stock: (Heads, u64),
    ) -> Result<Journal, JournalError> {
        let (heads, last_seq) = stock;
        // Before SQLite makes its files beside it: they take its rights.
        private::tighten(file);
        let sqlite = |e: rusqlite::Error| JournalError::sqlite(file, &e);
        let mut db =
            Connection::open_with_flags(file, flags(OpenFlags::SQLITE_OPEN_READ_WRITE)).map_err(sqlite)?;
        schema::guard(&db).map_err(sqlite)?;
        schema::recognise(&db, file)?;
        if db.is_readonly("main").map_err(sqlite)? {
            return Err(JournalError::ReadOnly { file: file.to_path_buf() });
        }
        // From here on the file says that entries may be in its log: the sidecar says so too until it is closed, also
        // when opening fails now.
        lock.confirm();
        let mode = schema::switch(&db, "WAL").map_err(sqlite)?;
        if !mode.eq_ignore_ascii_case("wal") {
            let why = "the disk does not allow a write-ahead log; take a disk of this machine".to_string();
            return Err(JournalError::Disk { file: file.to_path_buf(), why });
        }
        let level = match durability {
            Durability::EachEntry => "FULL",
            Durability::AtClose => "OFF",
        };
        db.pragma_update(None, "synchronous", level).map_err(sqlite)?;
        // What a program that ended left in the log is written anew before anything is hung on it: a sync that
        // failed then may have left it in the system's memory alone, and the next sync would not tell.
        db.query_row("PRAGMA wal_checkpoint(PASSIVE)", [], |_| Ok(())).map_err(sqlite)?;
        let erasing = Arc::new(AtomicBool::new(false));
        schema::lock_down(&mut db, Arc::clone(&erasing)).map_err(sqlite)?;
        let mirror = match durability {
            Durability::EachEntry => mirror::mirrored_to(file).map(|to| Mirror::start(file, &to, last_seq)),
            Durability::AtClose => None,
        };
        lock.note(last_seq);
        Ok(Journal {
            file: file.to_path_buf(),
            db,
            format: schema::FORMAT,
            lock: Some(lock),
            heads,
            last_seq,
            erasing,
            durability,
            unsure: false,
            lingers: false,
            without_log: None,
            mirror,
        })
    }

    /// Opens a file to read it. Nothing is locked and nothing is written; a chain that does not fit is
    /// not an error here, ask [`Journal::verify`]; nor is a missing write-ahead log, ask [`Journal::without_log`].
    ///
    /// # Errors
    /// When it is not there, not ours, damaged, or of a newer format.
    pub fn open_read_only(file: &Path) -> Result<Journal, JournalError> {
        look(file)?;
        if again::lies_without_log(file) {
            let mut journal = Self::readable(file, true)?;
            journal.without_log = Some(again::without_log(&journal, 0)?);
            return Ok(journal);
        }
        // What was noted is read before the entries are: they can only have become more since.
        let noted = lock::left_behind(file).map_or(0, |left| left.noted);
        Self::read_noted(file, noted)
    }

    fn open_read_only_under(file: &Path, lock: &Lock) -> Result<Journal, JournalError> {
        Self::read_noted(file, lock.noted())
    }

    fn read_noted(file: &Path, noted: u64) -> Result<Journal, JournalError> {
        let mut journal = match Self::readable(file, false) {
            // A program that ended in the middle of a write: what it had not finished is rolled back first.
            Err(JournalError::LeftOpen { .. }) => {
                recover(file)?;
                Self::readable(file, false)
            }
            other => other,
        }?;
        if noted > 0 && journal.number_of_last()? < noted {
            journal.without_log = Some(again::without_log(&journal, noted)?);
        }
        Ok(journal)
    }

    /// `as_it_lies`: nobody writes it, and no file beside it is looked at or made.
    pub(crate) fn readable(file: &Path, as_it_lies: bool) -> Result<Journal, JournalError> {
        let sqlite = |e: rusqlite::Error| JournalError::sqlite(file, &e);
        let mut db = if as_it_lies {
            open_as_it_lies(file)
        } else {
            Connection::open_with_flags(file, flags(OpenFlags::SQLITE_OPEN_READ_ONLY))
        }
        .map_err(sqlite)?;
        schema::guard(&db).map_err(sqlite)?;
        let format = schema::recognise(&db, file)?;
        let erasing = Arc::new(AtomicBool::new(false));
        schema::lock_down(&mut db, Arc::clone(&erasing)).map_err(sqlite)?;
        Ok(Journal {
            file: file.to_path_buf(),
            db,
            format,
            lock: None,
            heads: Heads::default(),
            last_seq: 0,
            erasing,
            durability: Durability::EachEntry,
            unsure: false,
            lingers: false,
            without_log: None,
            mirror: None,
        })
    }
}

fn open_as_it_lies(file: &Path) -> rusqlite::Result<Connection> {
    let uri = format!("file:{}?immutable=1", escaped(file));
    Connection::open_with_flags(uri, flags(OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI))
}

/// Lets SQLite finish or roll back what a program that ended left behind; only in a file that is ours.
fn recover(file: &Path) -> Result<(), JournalError> {
    let left = || JournalError::LeftOpen { file: file.to_path_buf() };
    let ours = open_as_it_lies(file)
        .and_then(|db| db.pragma_query_value(None, "application_id", |row| row.get::<_, i64>(0)))
        .map_err(|_| left())?;
    if ours != schema::APPLICATION_ID {
        let why = "it is a database of another program".to_string();
        return Err(JournalError::NotOurs { file: file.to_path_buf(), why });
    }
    let db =
        Connection::open_with_flags(file, flags(OpenFlags::SQLITE_OPEN_READ_WRITE)).map_err(|_| left())?;
    schema::guard(&db).map_err(|_| left())?;
    schema::recognise(&db, file).map(|_| ())
}

/// A path as SQLite's URIs want it.
fn escaped(file: &Path) -> String {
    file.to_string_lossy().replace('%', "%25").replace('?', "%3f").replace('#', "%23")
}

/// What can be told without opening the file.
pub(crate) fn look(file: &Path) -> Result<(), JournalError> {
    match std::fs::metadata(file) {
        Ok(about) if about.is_dir() => Err(JournalError::Folder { file: file.to_path_buf() }),
        Ok(about) if about.len() == 0 => Err(JournalError::Empty { file: file.to_path_buf() }),
        Ok(_) => Ok(()),
        Err(e) if e.kind() == std::io::ErrorKind::PermissionDenied => {
            Err(JournalError::Forbidden { file: file.to_path_buf() })
        }
        Err(_) => Err(JournalError::Missing { file: file.to_path_buf() }),
    }
}

pub(crate) fn flags(access: OpenFlags) -> OpenFlags {
    access | OpenFlags::SQLITE_OPEN_NO_MUTEX | OpenFlags::SQLITE_OPEN_EXRESCODE
}
