//! Making, opening, appending, erasing and closing.

use crate::chain::{Head, Heads};
use crate::error::JournalError;
use crate::insert::{insert, link};
use crate::lock::Lock;
use crate::schema;
use crate::stored::{COLUMNS, Stored};
use crate::verify::{Verified, verify};
use operation::{Entry, NewEvent};
use rusqlite::{Connection, OpenFlags};
use std::fs::{File, OpenOptions};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// What comes from outside with an entry: made from the real clock, or derived from a script.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stamp {
    /// Id of the entry, UUIDv7 text.
    pub id: String,
    /// Id of the session: one start of the program.
    pub session: String,
    /// Milliseconds of the machine's boot clock.
    pub boot_ms: i64,
    /// When it is written, RFC 3339 with offset.
    pub recorded_at: String,
    /// Salt of the payload's digest.
    pub salt: [u8; 32],
}

/// The answer to an append: the entry is on the disk.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ack {
    /// Number in the file.
    pub seq: u64,
    /// Id.
    pub id: String,
    /// Chain hash, hex.
    pub hash: String,
}

/// When an entry is on the disk.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Durability {
    /// When its append returns.
    EachEntry,
    /// When the file is closed: for a rehearsal, which can be played again.
    AtClose,
}

/// How a close ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Closed {
    /// The file stands alone.
    Alone,
    /// Someone still reads it: all is in the file, its journal goes when they leave.
    StillRead,
}

/// An open operation file.
#[derive(Debug)]
pub struct Journal {
    file: PathBuf,
    db: Connection,
    /// Held while open for writing.
    lock: Option<Lock>,
    heads: Heads,
    last_seq: u64,
    erasing: Arc<AtomicBool>,
    durability: Durability,
    /// A write failed: what is on the disk is looked up again before the next.
    unsure: bool,
}

impl Journal {
    /// Makes a new, empty operation file and opens it for writing. `holder` says who, for a second program.
    ///
    /// # Errors
    /// When there is a file of that name already, or it cannot be written; then nothing is left behind.
    pub fn create(file: &Path, holder: &str, durability: Durability) -> Result<Journal, JournalError> {
        if file.is_dir() {
            return Err(JournalError::Folder { file: file.to_path_buf() });
        }
        if std::fs::symlink_metadata(file).is_ok() {
            return Err(JournalError::Exists { file: file.to_path_buf() });
        }
        let lock = Lock::take(file, holder)?;
        // The name is taken before SQLite sees it: whoever comes at the same moment is refused.
        match OpenOptions::new().write(true).create_new(true).open(file) {
            Ok(reserved) => drop(reserved),
            Err(e) if e.kind() == std::io::ErrorKind::AlreadyExists => {
                return Err(JournalError::Exists { file: file.to_path_buf() });
            }
            Err(e) => return Err(JournalError::disk(file, &e)),
        }
        let made = Self::fill(file).and_then(|()| Self::writable(file, lock, durability, &[]));
        if made.is_err() {
            // Ours, empty and unacknowledged: nothing is lost with it.
            let _ = std::fs::remove_file(file);
        }
        made
    }

    fn fill(file: &Path) -> Result<(), JournalError> {
        let sqlite = |e: rusqlite::Error| JournalError::sqlite(file, &e);
        let db =
            Connection::open_with_flags(file, flags(OpenFlags::SQLITE_OPEN_READ_WRITE)).map_err(sqlite)?;
        schema::guard(&db).map_err(sqlite)?;
        schema::make(&db).map_err(sqlite)?;
        db.close().map_err(|(_, e)| sqlite(e))?;
        sync_folder(file)
    }

    /// Opens a file for writing. The whole chain is gone through first: nothing new is hung on a record that
    /// was altered.
    ///
    /// # Errors
    /// When it is not there, not ours, damaged, altered, of a newer format, held by another program or not writable.
    pub fn open(file: &Path, holder: &str) -> Result<Journal, JournalError> {
        look(file)?;
        // Looked at before the lock is taken, so that nothing is left beside a file that is not ours.
        drop(Self::open_read_only(file)?);
        if std::fs::metadata(file).is_ok_and(|m| m.permissions().readonly()) {
            return Err(JournalError::ReadOnly { file: file.to_path_buf() });
        }
        let lock = Lock::take(file, holder)?;
        // By a connection that cannot write: a file that is damaged or altered stays to the byte as it was found.
        let looked = Self::open_read_only(file)?;
        looked.sound()?;
        let rows = looked.stored()?;
        drop(looked);
        Self::writable(file, lock, Durability::EachEntry, &rows)
    }

    /// `rows`: all that is in the file, read while the lock was held.
    fn writable(
        file: &Path,
        lock: Lock,
        durability: Durability,
        rows: &[Stored],
    ) -> Result<Journal, JournalError> {
        let (heads, last_seq) = stock(file, rows)?;
        let sqlite = |e: rusqlite::Error| JournalError::sqlite(file, &e);
        let mut db =
            Connection::open_with_flags(file, flags(OpenFlags::SQLITE_OPEN_READ_WRITE)).map_err(sqlite)?;
        schema::guard(&db).map_err(sqlite)?;
        schema::recognise(&db, file)?;
        if db.is_readonly("main").map_err(sqlite)? {
            return Err(JournalError::ReadOnly { file: file.to_path_buf() });
        }
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
        Ok(Journal {
            file: file.to_path_buf(),
            db,
            lock: Some(lock),
            heads,
            last_seq,
            erasing,
            durability,
            unsure: false,
        })
    }

    /// Opens a file to read it. Nothing is locked and nothing is written; a chain that does not fit is
    /// not an error here, ask [`Journal::verify`].
    ///
    /// # Errors
    /// When it is not there, not ours, damaged, or of a newer format.
    pub fn open_read_only(file: &Path) -> Result<Journal, JournalError> {
        look(file)?;
        match Self::readable(file) {
            // A program that ended in the middle of a write: what it had not finished is rolled back first.
            Err(JournalError::LeftOpen { .. }) => {
                recover(file)?;
                Self::readable(file)
            }
            other => other,
        }
    }

    fn readable(file: &Path) -> Result<Journal, JournalError> {
        let sqlite = |e: rusqlite::Error| JournalError::sqlite(file, &e);
        let mut db =
            Connection::open_with_flags(file, flags(OpenFlags::SQLITE_OPEN_READ_ONLY)).map_err(sqlite)?;
        schema::guard(&db).map_err(sqlite)?;
        schema::recognise(&db, file)?;
        let erasing = Arc::new(AtomicBool::new(false));
        schema::lock_down(&mut db, Arc::clone(&erasing)).map_err(sqlite)?;
        Ok(Journal {
            file: file.to_path_buf(),
            db,
            lock: None,
            heads: Heads::default(),
            last_seq: 0,
            erasing,
            durability: Durability::EachEntry,
            unsure: false,
        })
    }

    /// Where it lies.
    pub fn file(&self) -> &Path {
        &self.file
    }

    /// Whether entries can be appended.
    pub fn writes(&self) -> bool {
        self.lock.is_some()
    }

    /// Who held the file before and ended without closing it.
    pub fn left_by(&self) -> Option<&str> {
        self.lock.as_ref().and_then(|lock| lock.left_by.as_deref())
    }

    /// All rows as they stand, in file order, read in one go.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn stored(&self) -> Result<Vec<Stored>, JournalError> {
        let sqlite = |e: rusqlite::Error| JournalError::sqlite(&self.file, &e);
        let sql = format!("SELECT {COLUMNS} FROM event ORDER BY seq");
        let mut statement = self.db.prepare_cached(&sql).map_err(sqlite)?;
        let rows = statement.query_map([], Stored::read).map_err(sqlite)?;
        rows.collect::<Result<Vec<_>, _>>().map_err(sqlite)
    }

    /// All entries in file order.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn entries(&self) -> Result<Vec<Entry>, JournalError> {
        Ok(self.stored()?.into_iter().map(|row| row.entry).collect())
    }

    /// Whether the file is sound below its rows: rows can be read as they were from a file whose pages are not,
    /// and the next write would then spoil them.
    ///
    /// # Errors
    /// [`JournalError::Damaged`] with the first fault.
    pub fn sound(&self) -> Result<(), JournalError> {
        let sqlite = |e: rusqlite::Error| JournalError::sqlite(&self.file, &e);
        let fault: String =
            self.db.query_row("PRAGMA quick_check(1)", [], |row| row.get(0)).map_err(sqlite)?;
        match fault.as_str() {
            "ok" => Ok(()),
            _ => Err(JournalError::Damaged { file: self.file.clone(), why: fault }),
        }
    }

    /// Goes through the pages of the file and the whole chain.
    ///
    /// # Errors
    /// [`JournalError::Damaged`] when the file is not sound, [`JournalError::Altered`] with the first entry that
    /// does not fit.
    pub fn verify(&self) -> Result<Verified, JournalError> {
        self.sound()?;
        verify(&self.stored()?).map_err(|misfit| JournalError::Altered {
            file: self.file.clone(),
            seq: misfit.seq,
            why: misfit.why,
        })
    }

    /// Count and head of the file as this journal has written it.
    pub fn head(&self) -> Head {
        self.heads.head()
    }

    /// Number of the last entry.
    pub fn last_seq(&self) -> u64 {
        self.last_seq
    }

    /// Appends one entry; when it returns, the entry is on the disk.
    ///
    /// # Errors
    /// When the disk does not take it; then it is not acknowledged, and all before it is kept.
    pub fn append(
        &mut self,
        station: &str,
        event: &NewEvent,
        stamp: &Stamp,
    ) -> Result<(Ack, Entry), JournalError> {
        let mut done = self.append_all(station, &[(event, stamp)])?;
        done.pop()
            .ok_or_else(|| JournalError::Disk { file: self.file.clone(), why: "nothing was written".into() })
    }

    /// Appends several entries that belong together: all of them are on the disk when it returns, or none.
    ///
    /// # Errors
    /// As [`Journal::append`].
    pub fn append_all(
        &mut self,
        station: &str,
        events: &[(&NewEvent, &Stamp)],
    ) -> Result<Vec<(Ack, Entry)>, JournalError> {
        self.ready()?;
        let (mut station_seq, mut prev) = self.heads.of(station);
        let mut rows = Vec::with_capacity(events.len());
        for (offset, (event, stamp)) in (1u64..).zip(events) {
            let (row, hash) = link(self.last_seq + offset, station, station_seq + 1, prev, event, stamp);
            rows.push(row);
            (station_seq, prev) = (station_seq + 1, hash);
        }
        self.write(&rows, None)?;
        for row in &rows {
            self.heads.push(station, row.entry.station_seq, row.computed_hash());
        }
        self.last_seq += rows.len() as u64;
        Ok(rows
            .into_iter()
            .map(|row| {
                (
                    Ack { seq: row.entry.seq, id: row.entry.id.clone(), hash: row.entry.hash.clone() },
                    row.entry,
                )
            })
            .collect())
    }

    /// Appends an `erased` entry that names (`corrects`) another and takes that one's payload and salt out
    /// of the file, both or neither. The chain stays whole.
    ///
    /// # Errors
    /// When there is no such entry; else as [`Journal::append`].
    pub fn erase(
        &mut self,
        station: &str,
        event: &NewEvent,
        stamp: &Stamp,
    ) -> Result<(Ack, Entry), JournalError> {
        self.ready()?;
        let id = event.corrects.clone().unwrap_or_default();
        let (station_seq, prev) = self.heads.of(station);
        let (row, hash) = link(self.last_seq + 1, station, station_seq + 1, prev, event, stamp);
        self.erasing.store(true, Ordering::Relaxed);
        let written = self.write(std::slice::from_ref(&row), Some(&id));
        self.erasing.store(false, Ordering::Relaxed);
        written?;
        self.heads.push(station, row.entry.station_seq, hash);
        self.last_seq += 1;
        // The old words must not live on in the write-ahead log.
        let _ = self.db.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()));
        let ack = Ack { seq: row.entry.seq, id: row.entry.id.clone(), hash: row.entry.hash.clone() };
        Ok((ack, row.entry))
    }

    /// Writable, and sure of what is on the disk.
    fn ready(&mut self) -> Result<(), JournalError> {
        if self.lock.is_none() {
            return Err(JournalError::ReadOnly { file: self.file.clone() });
        }
        if self.unsure {
            (self.heads, self.last_seq) = stock(&self.file, &self.stored()?)?;
            self.unsure = false;
        }
        Ok(())
    }

    fn write(&mut self, rows: &[Stored], erase: Option<&str>) -> Result<(), JournalError> {
        let written = insert(&self.db, rows, erase);
        written.map_err(|error| {
            self.unsure = true;
            let file = self.file.clone();
            match error.sqlite_error_code() {
                Some(rusqlite::ErrorCode::ConstraintViolation) if erase.is_none() => {
                    JournalError::WrittenElsewhere { file }
                }
                _ if matches!(error, rusqlite::Error::QueryReturnedNoRows) => {
                    JournalError::NothingToErase { file, id: erase.unwrap_or_default().to_string() }
                }
                _ => JournalError::sqlite(&self.file, &error),
            }
        })
    }

    /// Closes: all is in the one file, which can be copied alone.
    ///
    /// # Errors
    /// When the disk does not take the last of it; what was acknowledged is still kept.
    pub fn close(self) -> Result<Closed, JournalError> {
        let Journal { file, db, lock, durability, .. } = self;
        let sqlite = |e: rusqlite::Error| JournalError::sqlite(&file, &e);
        let mut closed = Closed::Alone;
        if lock.is_some() {
            db.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).map_err(sqlite)?;
            match schema::switch(&db, "DELETE") {
                Ok(mode) if mode.eq_ignore_ascii_case("delete") => {}
                // A reader holds it: the last one to leave clears up.
                Ok(_) | Err(_) => closed = Closed::StillRead,
            }
        }
        db.close().map_err(|(_, e)| sqlite(e))?;
        if durability == Durability::AtClose {
            // No longer connected: plain calls are harmless now.
            let disk = |e: std::io::Error| JournalError::disk(&file, &e);
            OpenOptions::new().write(true).open(&file).and_then(|f| f.sync_all()).map_err(disk)?;
        }
        if lock.is_some() {
            sync_folder(&file)?;
        }
        drop(lock);
        Ok(closed)
    }
}

/// The heads and the number of the last of these rows, once all of them fit.
fn stock(file: &Path, rows: &[Stored]) -> Result<(Heads, u64), JournalError> {
    let verified = verify(rows).map_err(|misfit| JournalError::Altered {
        file: file.to_path_buf(),
        seq: misfit.seq,
        why: misfit.why,
    })?;
    Ok((verified.stations, rows.last().map_or(0, |row| row.entry.seq)))
}

/// Lets SQLite finish or roll back what a program that ended left behind; only in a file that is ours.
fn recover(file: &Path) -> Result<(), JournalError> {
    let left = || JournalError::LeftOpen { file: file.to_path_buf() };
    let uri = format!("file:{}?immutable=1", escaped(file));
    let as_it_lies = flags(OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI);
    let ours = Connection::open_with_flags(uri, as_it_lies)
        .and_then(|db| db.pragma_query_value(None, "application_id", |row| row.get::<_, i64>(0)))
        .map_err(|_| left())?;
    if ours != schema::APPLICATION_ID {
        let why = "it is a database of another program".to_string();
        return Err(JournalError::NotOurs { file: file.to_path_buf(), why });
    }
    let db =
        Connection::open_with_flags(file, flags(OpenFlags::SQLITE_OPEN_READ_WRITE)).map_err(|_| left())?;
    schema::guard(&db).map_err(|_| left())?;
    schema::recognise(&db, file)
}

/// A path as SQLite's URIs want it.
fn escaped(file: &Path) -> String {
    file.to_string_lossy().replace('%', "%25").replace('?', "%3f").replace('#', "%23")
}

/// What can be told without opening the file.
fn look(file: &Path) -> Result<(), JournalError> {
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

fn flags(access: OpenFlags) -> OpenFlags {
    access | OpenFlags::SQLITE_OPEN_NO_MUTEX | OpenFlags::SQLITE_OPEN_EXRESCODE
}

/// A new name is on the disk once its folder is.
fn sync_folder(file: &Path) -> Result<(), JournalError> {
    let folder = file.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if cfg!(unix) {
        File::open(folder).and_then(|f| f.sync_all()).map_err(|e| JournalError::disk(folder, &e))?;
    }
    Ok(())
}
