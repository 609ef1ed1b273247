//! Making, opening, appending, erasing and closing.

use crate::again;
use crate::chain::{Head, Heads, payload_digest};
use crate::error::JournalError;
use crate::insert::{insert, link};
use crate::lock::Lock;
use crate::mirror::{AT_CLOSE, Mirror};
use crate::private;
use crate::schema;
use crate::stored::{COLUMNS, Lying, Stored};
use crate::verify::{Verified, Verifier, verify};
use operation::{Entry, NewEvent};
use rusqlite::Connection;
use std::fs::OpenOptions;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

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
    pub(crate) file: PathBuf,
    pub(crate) db: Connection,
    /// The format it is stored in.
    pub(crate) format: i64,
    /// Held while open for writing.
    pub(crate) lock: Option<Lock>,
    pub(crate) heads: Heads,
    pub(crate) last_seq: u64,
    pub(crate) erasing: Arc<AtomicBool>,
    pub(crate) durability: Durability,
    /// A write failed: what is on the disk is looked up again before the next.
    pub(crate) unsure: bool,
    /// Words that were erased may still lie in its write-ahead log.
    pub(crate) lingers: bool,
    /// Entries may be missing that were in its write-ahead log.
    pub(crate) without_log: Option<JournalError>,
    /// Kept while open for writing, if the operation has one.
    pub(crate) mirror: Option<Mirror>,
}

impl Journal {
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
        self.lock.as_ref().and_then(Lock::left_by)
    }

    /// Set when the file lies without the write-ahead log that may hold its last entries
    /// ([`JournalError::WithoutLog`]): it can be read, and not written.
    pub fn without_log(&self) -> Option<&JournalError> {
        self.without_log.as_ref()
    }

    /// The format the file is stored in.
    pub fn format(&self) -> i64 {
        self.format
    }

    fn number(&self, sql: &str) -> Result<u64, JournalError> {
        self.db.query_row(sql, [], |row| row.get(0)).map_err(|e| JournalError::sqlite(&self.file, &e))
    }

    /// How many entries there are.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn count(&self) -> Result<u64, JournalError> {
        self.number("SELECT count(*) FROM event")
    }

    pub(crate) fn number_of_last(&self) -> Result<u64, JournalError> {
        self.number("SELECT ifnull(max(seq), 0) FROM event")
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

    /// Every row in file order, one after the other; nobody holds all of them.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn each(&self, mut take: impl FnMut(Stored)) -> Result<(), JournalError> {
        self.each_row(|row| take(row.stored()))
    }

    /// The same, as they lie in the database.
    pub(crate) fn each_row(&self, mut take: impl FnMut(Lying<'_>)) -> Result<(), JournalError> {
        let sqlite = |e: rusqlite::Error| JournalError::sqlite(&self.file, &e);
        let sql = format!("SELECT {COLUMNS} FROM event ORDER BY seq");
        let mut statement = self.db.prepare_cached(&sql).map_err(sqlite)?;
        let mut rows = statement.query([]).map_err(sqlite)?;
        while let Some(row) = rows.next().map_err(sqlite)? {
            take(Lying::read(row).map_err(sqlite)?);
        }
        Ok(())
    }

    /// The rows after number `seq`, at most so many, in file order.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn stored_after(&self, seq: u64, most: usize) -> Result<Vec<Stored>, JournalError> {
        let sqlite = |e: rusqlite::Error| JournalError::sqlite(&self.file, &e);
        let sql = format!("SELECT {COLUMNS} FROM event WHERE seq > ?1 ORDER BY seq LIMIT ?2");
        let mut statement = self.db.prepare_cached(&sql).map_err(sqlite)?;
        let most = i64::try_from(most).unwrap_or(i64::MAX);
        let rows = statement.query_map((seq, most), Stored::read).map_err(sqlite)?;
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
        let mut verifier = Verifier::default();
        self.each_row(|row| verifier.take_row(&row))?;
        verifier.done().map_err(|misfit| misfit.of(&self.file))
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
        done.pop().ok_or_else(|| self.nothing_written())
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
        let found = self.ready()?;
        if let Some(there) = already(&found, station, events) {
            // Its commit was answered with an error and had been done all the same: it is not written twice.
            return Ok(there.into_iter().map(acknowledged).collect());
        }
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
        self.note();
        if let Some(mirror) = &self.mirror {
            mirror.hand(&rows);
        }
        self.clear_log();
        Ok(rows.into_iter().map(acknowledged).collect())
    }

    /// Takes rows over from another record, as they stand, into a file that has none.
    pub(crate) fn adopt(&mut self, rows: &[Stored]) -> Result<(), JournalError> {
        self.write(rows, None)?;
        (self.heads, self.last_seq) = stock(&self.file, rows)?;
        self.note();
        Ok(())
    }

    pub(crate) fn note(&mut self) {
        if let (Some(lock), Durability::EachEntry) = (&mut self.lock, self.durability) {
            lock.note(self.last_seq);
        }
    }

    pub(crate) fn nothing_written(&self) -> JournalError {
        JournalError::Disk { file: self.file.clone(), why: "nothing was written".into() }
    }

    /// Writable, and sure of what is on the disk.
    /// Answers what turned out to be on the disk although its commit was answered with an error.
    pub(crate) fn ready(&mut self) -> Result<Vec<Stored>, JournalError> {
        if self.lock.is_none() {
            return Err(JournalError::ReadOnly { file: self.file.clone() });
        }
        if self.unsure {
            let (known, rows) = (self.last_seq, self.stored()?);
            (self.heads, self.last_seq) = stock(&self.file, &rows)?;
            self.unsure = false;
            return Ok(rows.into_iter().filter(|row| row.entry.seq > known).collect());
        }
        Ok(Vec::new())
    }

    pub(crate) fn write(&mut self, rows: &[Stored], erase: Option<&str>) -> Result<(), JournalError> {
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
    pub fn close(mut self) -> Result<Closed, JournalError> {
        if let Some(mirror) = self.mirror.take() {
            mirror.stop(AT_CLOSE);
        }
        let Journal { file, db, lock, durability, last_seq, .. } = self;
        let sqlite = |e: rusqlite::Error| JournalError::sqlite(&file, &e);
        let disk = |e: std::io::Error| JournalError::disk(&file, &e);
        let Some(lock) = lock else {
            db.close().map_err(|(_, e)| sqlite(e))?;
            again::tidy(&file);
            return Ok(Closed::Alone);
        };
        db.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).map_err(sqlite)?;
        let alone = match schema::switch(&db, "DELETE") {
            Ok(mode) => mode.eq_ignore_ascii_case("delete"),
            // A reader holds it: the last one to leave clears up.
            Err(error) if schema::held(&error) => false,
            // All is in the file or its log, and the sidecar stays: the next start goes on from there.
            Err(error) => return Err(sqlite(error)),
        };
        db.close().map_err(|(_, e)| sqlite(e))?;
        if durability == Durability::AtClose {
            // No longer connected: plain calls are harmless now.
            OpenOptions::new().write(true).open(&file).and_then(|f| f.sync_all()).map_err(disk)?;
        }
        private::sync_folder(&file).map_err(disk)?;
        match (alone, again::says_closed(&file)) {
            (true, true) => {
                lock.closed();
                Ok(Closed::Alone)
            }
            (true, false) => {
                let why = "it still says that it is open: the disk did not take its last page".into();
                Err(JournalError::Disk { file, why })
            }
            (false, _) => {
                lock.closed_while_read(last_seq);
                Ok(Closed::StillRead)
            }
        }
    }
}

pub(crate) fn acknowledged(row: Stored) -> (Ack, Entry) {
    (Ack { seq: row.entry.seq, id: row.entry.id.clone(), hash: row.entry.hash.clone() }, row.entry)
}

/// The rows of these events, when all of them stand among those found, as they would be written now: same ids, same
/// words.
pub(crate) fn already(
    found: &[Stored],
    station: &str,
    events: &[(&NewEvent, &Stamp)],
) -> Option<Vec<Stored>> {
    let there = events.iter().map(|(event, stamp)| {
        found.iter().find(|row| {
            row.entry.id == stamp.id
                && row.entry.station == station
                && row.entry.kind == event.kind
                && row.payload_digest[..] == payload_digest(&stamp.salt, &event.payload)[..]
        })
    });
    there.map(|row| row.cloned()).collect::<Option<Vec<_>>>().filter(|rows| !rows.is_empty())
}

/// The heads and the number of the last of these rows, once all of them fit.
pub(crate) fn stock(file: &Path, rows: &[Stored]) -> Result<(Heads, u64), JournalError> {
    let verified = verify(rows).map_err(|misfit| misfit.of(file))?;
    Ok((verified.stations, verified.last))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn event(n: u8) -> NewEvent {
        NewEvent {
            kind: "note".into(),
            version: 1,
            payload: format!("{{\"text\":\"{n}\"}}"),
            happened_at: None,
            author: None,
            corrects: None,
        }
    }

    fn stamp(n: u8) -> Stamp {
        let recorded_at = "2026-05-14T13:02:00.000+02:00".to_string();
        Stamp { id: format!("id {n}"), session: "s".into(), boot_ms: 1, recorded_at, salt: [n; 32] }
    }

    /// The commit was done and answered with an error; the caller tries again with the same stamp, as the window does.
    #[test]
    fn an_entry_whose_commit_was_answered_with_an_error_is_not_written_twice() {
        let dir = tempfile::tempdir().unwrap();
        let mut journal =
            Journal::create(&dir.path().join("a.ledge"), "a test", Durability::EachEntry).unwrap();
        journal.append("top", &event(1), &stamp(1)).unwrap();
        let lost = |journal: &mut Journal, numbers: &[u8]| {
            let (mut station_seq, mut prev) = journal.heads.of("top");
            let mut rows = Vec::new();
            for n in numbers {
                let seq = journal.last_seq + 1 + rows.len() as u64;
                let (row, hash) = link(seq, "top", station_seq + 1, prev, &event(*n), &stamp(*n));
                rows.push(row);
                (station_seq, prev) = (station_seq + 1, hash);
            }
            insert(&journal.db, &rows, None).unwrap();
            journal.unsure = true;
        };
        lost(&mut journal, &[2]);
        assert_eq!(journal.append("top", &event(2), &stamp(2)).unwrap().0.seq, 2, "answered, not written");
        lost(&mut journal, &[3, 4]);
        let pairs = [(&event(3), &stamp(3)), (&event(4), &stamp(4))];
        let seqs: Vec<u64> = journal.append_all("top", &pairs).unwrap().iter().map(|(a, _)| a.seq).collect();
        assert_eq!(seqs, [3, 4]);
        lost(&mut journal, &[5]);
        assert_eq!(journal.append("top", &event(6), &stamp(6)).unwrap().0.seq, 6, "another follows it");
        let ids: Vec<String> = journal.entries().unwrap().into_iter().map(|e| e.id).collect();
        assert_eq!(ids, (1..=6).map(|n| format!("id {n}")).collect::<Vec<_>>());
        assert_eq!(journal.verify().unwrap().head, journal.head());
        journal.close().unwrap();
    }

    /// Another connection holds the database for longer than is waited: refused, and taken when it is let go.
    #[test]
    fn an_entry_that_was_refused_is_taken_when_it_is_tried_again() {
        let dir = tempfile::tempdir().unwrap();
        let file = dir.path().join("a.ledge");
        let mut journal = Journal::create(&file, "a test", Durability::EachEntry).unwrap();
        journal.append("top", &event(1), &stamp(1)).unwrap();
        let other = Connection::open(&file).unwrap();
        other.execute_batch("BEGIN IMMEDIATE").unwrap();
        assert_eq!(journal.append("top", &event(2), &stamp(2)).unwrap_err().code(), "file_locked");
        assert_eq!((journal.last_seq(), journal.count().unwrap()), (1, 1));
        drop(other);
        assert_eq!(journal.append("top", &event(2), &stamp(2)).unwrap().0.seq, 2);
        journal.close().unwrap();
    }
}
