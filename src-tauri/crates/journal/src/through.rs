//! Going through a whole record once: its chain here, what its entries mean on a second thread meanwhile.
//!
//! Only one thread asks the database. The other takes the entries as they are read: a long record would otherwise keep one
//! processor waiting for the other.

use crate::error::JournalError;
use crate::journal::Journal;
use crate::verify::{Misfit, Verified, Verifier};
use operation::event::Lent;
use std::sync::mpsc::{Receiver, Sender, channel, sync_channel};
use std::thread::{Scope, ScopedJoinHandle};

/// Entries handed over in one go, and how often that before the reader waits for the other thread. Few enough that their memory
/// is used again and again.
const AT_ONCE: usize = 128;
const AHEAD: usize = 128;
/// Room is made beforehand for no more entries than this: the number of the last one is what a file says.
const MOST_EXPECTED: usize = 200_000;

/// Entries in file order, some at once, as they are read.
#[derive(Debug)]
pub struct Entries {
    about: usize,
    read: Receiver<Batch>,
    /// Batches that were gone through, to be filled again.
    empty: Sender<Batch>,
}

impl Entries {
    /// About how many there are.
    pub fn about(&self) -> usize {
        self.about
    }

    /// Each batch of them, until all are read.
    pub fn each_batch(self, mut take: impl FnMut(&Batch)) {
        for mut some in self.read {
            take(&some);
            some.clear();
            // The reader may be through.
            let _ = self.empty.send(some);
        }
    }
}

/// Some entries that follow each other, their texts in one piece.
#[derive(Debug, Default)]
pub struct Batch {
    texts: String,
    entries: Vec<Place>,
}

/// Where the texts of an entry end, one after the other.
#[derive(Debug)]
struct Place {
    seq: u64,
    boot_ms: i64,
    version: u32,
    begins: usize,
    ends: [usize; 6],
    payload: Option<usize>,
}

impl Batch {
    fn push(&mut self, entry: &Lent<'_>) {
        let texts = &mut self.texts;
        let begins = texts.len();
        let mut add = |text: &str| {
            texts.push_str(text);
            texts.len()
        };
        let all = [entry.id, entry.station, entry.session, entry.recorded_at, entry.happened_at, entry.kind];
        let ends = all.map(&mut add);
        let payload = entry.payload.map(add);
        let (seq, boot_ms, version) = (entry.seq, entry.boot_ms, entry.version);
        self.entries.push(Place { seq, boot_ms, version, begins, ends, payload });
    }

    fn clear(&mut self) {
        self.texts.clear();
        self.entries.clear();
    }

    fn lent(&self, place: &Place) -> Lent<'_> {
        let mut from = place.begins;
        let mut next = |end: usize| &self.texts[std::mem::replace(&mut from, end)..end];
        let [id, station, session, recorded_at, happened_at, kind] = place.ends.map(&mut next);
        let payload = place.payload.map(next);
        let (seq, boot_ms, version) = (place.seq, place.boot_ms, place.version);
        Lent { seq, id, station, session, boot_ms, recorded_at, happened_at, kind, version, payload }
    }

    /// Each of them.
    pub fn each(&self, take: impl FnMut(Lent<'_>)) {
        self.entries.iter().map(|place| self.lent(place)).for_each(take);
    }

    /// The last of them.
    pub fn last(&self) -> Option<Lent<'_>> {
        self.entries.last().map(|place| self.lent(place))
    }
}

/// Reads every row of `journal` and holds it against the chain, while `take` gets the entries on a thread of its own. Answers
/// what became of the chain, and the thread, which may still be at work.
pub(crate) fn through<'scope, R: Send + 'scope>(
    journal: &Journal,
    scope: &'scope Scope<'scope, '_>,
    take: impl FnOnce(Entries) -> R + Send + 'scope,
) -> Result<(Result<Verified, Misfit>, ScopedJoinHandle<'scope, R>), JournalError> {
    let (send, read) = sync_channel(AHEAD);
    let (empty, emptied) = channel();
    let about = usize::try_from(journal.number_of_last()?).unwrap_or(0).min(MOST_EXPECTED);
    let taking = scope.spawn(move || take(Entries { about, read, empty }));
    let mut verifier = Verifier::expecting(about);
    let mut some = Batch::default();
    // Whoever takes no more has all it wants: what cannot be handed over is not missed.
    let read = journal.each_row(|row| {
        verifier.take_row(&row);
        some.push(&row.lent());
        if some.entries.len() == AT_ONCE {
            let next = emptied.try_recv().unwrap_or_default();
            let _ = send.send(std::mem::replace(&mut some, next));
        }
    });
    let _ = send.send(some);
    drop(send);
    read?;
    Ok((verifier.done(), taking))
}

/// What the other thread made of the entries.
pub(crate) fn taken<R>(taking: ScopedJoinHandle<'_, R>) -> R {
    taking.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))
}

impl Journal {
    /// Goes through all rows of a file that is open: what became of its chain, and what `take` made of the entries, which it
    /// gets in file order on a thread of its own.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn go_through<R: Send>(
        &self,
        take: impl FnOnce(Entries) -> R + Send,
    ) -> Result<(Result<Verified, Misfit>, R), JournalError> {
        std::thread::scope(|scope| {
            let (chain, taking) = through(self, scope, take)?;
            Ok((chain, taken(taking)))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_come_out_as_they_went_in() {
        let entry = |payload| Lent {
            seq: 7,
            id: "an id",
            station: "top",
            session: "",
            boot_ms: -1,
            recorded_at: "2026-05-14T13:02:00+02:00",
            happened_at: "då",
            kind: "note",
            version: 1,
            payload,
        };
        let mut some = Batch::default();
        assert!(some.last().is_none());
        let given = [Some("{\"text\":\"é\"}"), None, Some("")];
        given.iter().for_each(|payload| some.push(&entry(*payload)));
        let mut found = Vec::new();
        some.each(|e| found.push(format!("{e:?}")));
        assert_eq!(found, given.map(|payload| format!("{:?}", entry(payload))));
        assert_eq!(some.last().map(|e| format!("{e:?}")), found.pop());
    }
}
