//! Erasing by law: the one place where words leave the record.

use crate::error::JournalError;
use crate::insert::link;
use crate::journal::{Ack, Journal, Stamp, acknowledged, already};
use crate::schema;
use operation::{Entry, NewEvent};
use std::sync::atomic::Ordering;
use std::time::Duration;

impl Journal {
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
        let found = self.ready()?;
        if let Some(there) = already(&found, station, &[(event, stamp)]) {
            return there.into_iter().next_back().map(acknowledged).ok_or_else(|| self.nothing_written());
        }
        let id = event.corrects.clone().unwrap_or_default();
        let (station_seq, prev) = self.heads.of(station);
        let (row, hash) = link(self.last_seq + 1, station, station_seq + 1, prev, event, stamp);
        self.erasing.store(true, Ordering::Relaxed);
        let written = self.write(std::slice::from_ref(&row), Some(&id));
        self.erasing.store(false, Ordering::Relaxed);
        written?;
        self.heads.push(station, row.entry.station_seq, hash);
        self.last_seq += 1;
        self.note();
        if let Some(mirror) = &self.mirror {
            mirror.hand(std::slice::from_ref(&row));
        }
        self.lingers = true;
        self.clear_log();
        Ok(acknowledged(row))
    }

    /// Whether words that were erased may still lie in the write-ahead log beside the file: a reader held it, or the disk did
    /// not do it. It is tried again with every entry, and when the file is closed.
    pub fn erased_words_linger(&self) -> bool {
        self.lingers
    }

    /// The old words must not live on in the write-ahead log.
    pub(crate) fn clear_log(&mut self) {
        if self.lingers {
            // An entry must not wait for a reader.
            let _ = self.db.busy_timeout(Duration::from_millis(50));
            let emptied =
                self.db.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |row| row.get::<_, i64>(0));
            // 1: someone reads in it.
            self.lingers = !matches!(emptied, Ok(0));
            let _ = self.db.busy_timeout(schema::BUSY);
        }
    }
}
