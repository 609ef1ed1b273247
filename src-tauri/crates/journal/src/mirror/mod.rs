//! The mirror: a second copy of the record on another path, a stick, as JSON Lines ([`crate::line`]).
//!
//! It runs on a thread of its own, beside the writer: an entry is acknowledged when it is in the operation file, never
//! sooner or later because of the mirror. New rows are handed over in a bounded queue; what does not fit, and whatever was
//! written while the mirror was away, is read from the operation file over a connection that is open only for
//! that moment. Each batch is made durable before it counts as kept.
//!
//! At the start, and whenever the mirror is not as it was left, it is gone through line by line beside the record: a torn
//! end is cut off and written again, what is missing is added. A mirror of another operation, one that differs or one that
//! has more than the record is never written over: another name is needed.
//!
//! A payload that is erased in the record is erased here by writing the mirror anew and moving it into its place; the
//! words are then written over in what it was (a disk that moves blocks about, as sticks do, may still keep them).
//!
//! Which mirror an operation has is kept beside it in `NAME.ledge.mirror` (JSON: `format`, `to`, `made`), not in the
//! record: it is a fact of this machine. `made` is true once the mirror was there; from then on it is not made anew when
//! it is missing, so that an empty mount point is not taken for the stick.

mod keep;
mod settings;

pub(crate) use settings::{forget, remember};
pub use settings::{mirrored_to, settings_of};

use crate::error::JournalError;
use crate::journal::Journal;
use crate::stored::Stored;
use keep::{Fault, Position};
use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant, SystemTime};

/// Rows handed over and not yet written, at most; the rest is read from the record.
const MOST_QUEUED: usize = 1024;
/// How often a mirror that is away is looked for.
const LOOK_AGAIN: Duration = Duration::from_secs(2);
/// How long an entry may be on its way before the mirror counts as behind.
const SLOW: Duration = Duration::from_secs(3);

/// How long a close waits for the mirror's disk.
pub(crate) const AT_CLOSE: Duration = Duration::from_secs(3);

/// How the mirror stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum MirrorState {
    /// Every acknowledged entry is in it, or on its way since a moment.
    Kept {
        /// Entries in it.
        count: u64,
    },
    /// Entries are missing in it; it is looked for again by itself.
    Behind {
        /// Entries that are in it, as far as known.
        count: u64,
        /// Since when.
        since: SystemTime,
        /// Why, in words.
        why: String,
    },
    /// It is not this record's mirror, or not as the record is: nothing was written over; it needs another name.
    Refused {
        /// Since when.
        since: SystemTime,
        /// Why, in words.
        why: String,
    },
}

/// A running mirror.
#[derive(Debug)]
pub struct Mirror {
    path: PathBuf,
    shared: Arc<Shared>,
}

#[derive(Debug)]
struct Shared {
    inner: Mutex<Inner>,
    changed: Condvar,
}

#[derive(Debug)]
struct Inner {
    queue: VecDeque<Stored>,
    /// Number of the last acknowledged entry.
    due: u64,
    /// Number and count of the last entries in the mirror.
    kept: (u64, u64),
    /// Since when the oldest missing entry waits.
    waiting: Option<(Instant, SystemTime)>,
    fault: Option<(SystemTime, Fault)>,
    looked: bool,
    stop: bool,
    ended: bool,
}

impl Shared {
    fn inner(&self) -> MutexGuard<'_, Inner> {
        // Plain values, whole at every moment: a thread that died leaves them as they are.
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Mirror {
    /// Begins to keep `path` as the mirror of `record`, of which `due` is the last entry.
    pub(crate) fn start(record: &Path, path: &Path, due: u64) -> Mirror {
        let inner = Inner {
            queue: VecDeque::new(),
            due,
            kept: (0, 0),
            waiting: Some((Instant::now(), SystemTime::now())),
            fault: None,
            looked: false,
            stop: false,
            ended: false,
        };
        let shared = Arc::new(Shared { inner: Mutex::new(inner), changed: Condvar::new() });
        let keeper =
            Keeper { record: record.to_path_buf(), mirror: path.to_path_buf(), shared: Arc::clone(&shared) };
        let begun = std::thread::Builder::new().name("mirror".into()).spawn(move || keeper.run());
        if let Err(error) = begun {
            let mut inner = shared.inner();
            let why = format!("this machine has no thread for it ({error})");
            inner.fault = Some((SystemTime::now(), Fault::Away(why)));
            inner.ended = true;
        }
        Mirror { path: path.to_path_buf(), shared }
    }

    /// Where it lies.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Hands over rows that were acknowledged; never waits for the mirror's disk.
    pub(crate) fn hand(&self, rows: &[Stored]) {
        let mut inner = self.shared.inner();
        for row in rows {
            inner.due = row.entry.seq;
            if inner.fault.is_none() && inner.queue.len() < MOST_QUEUED {
                inner.queue.push_back(row.clone());
            } else {
                // A hole in the queue: all of it comes from the record, later.
                inner.queue.clear();
            }
        }
        inner.waiting.get_or_insert_with(|| (Instant::now(), SystemTime::now()));
        drop(inner);
        self.shared.changed.notify_all();
    }

    /// How it stands now.
    pub fn state(&self) -> MirrorState {
        self.shared.inner().state()
    }

    /// Waits until it is kept up or cannot be, at most so long.
    pub fn wait(&self, most: Duration) -> MirrorState {
        let until = Instant::now() + most;
        let mut inner = self.shared.inner();
        while !inner.settled() && !inner.ended {
            let left = until.saturating_duration_since(Instant::now());
            if left.is_zero() {
                break;
            }
            inner = self.shared.changed.wait_timeout(inner, left).unwrap_or_else(PoisonError::into_inner).0;
        }
        inner.state()
    }

    /// Lets it write what it was handed, at most so long, and ends it.
    pub(crate) fn stop(&self, most: Duration) -> MirrorState {
        let until = Instant::now() + most;
        let state = self.wait(most);
        let mut inner = self.shared.inner();
        inner.stop = true;
        self.shared.changed.notify_all();
        while !inner.ended {
            let left = until.saturating_duration_since(Instant::now()).max(Duration::from_millis(20));
            let (held, out) =
                self.shared.changed.wait_timeout(inner, left).unwrap_or_else(PoisonError::into_inner);
            inner = held;
            if out.timed_out() {
                break; // a disk that does not answer: its thread ends when it does
            }
        }
        state
    }
}

impl Drop for Mirror {
    fn drop(&mut self) {
        self.shared.inner().stop = true;
        self.shared.changed.notify_all();
    }
}

impl Inner {
    fn caught_up(&self) -> bool {
        self.looked && self.kept.0 >= self.due && self.queue.is_empty()
    }

    /// Nothing more comes of waiting.
    fn settled(&self) -> bool {
        self.fault.is_some() || self.caught_up()
    }

    fn state(&self) -> MirrorState {
        let count = self.kept.1;
        match (&self.fault, self.waiting) {
            (Some((since, Fault::Differs(why))), _) => {
                MirrorState::Refused { since: *since, why: why.clone() }
            }
            (Some((since, Fault::Away(why))), _) => {
                MirrorState::Behind { count, since: *since, why: why.clone() }
            }
            (None, Some((begun, since))) if begun.elapsed() > SLOW => {
                MirrorState::Behind { count, since, why: "its disk is slow".into() }
            }
            (None, _) => MirrorState::Kept { count },
        }
    }
}

/// The thread's side.
struct Keeper {
    record: PathBuf,
    mirror: PathBuf,
    shared: Arc<Shared>,
}

impl Keeper {
    fn run(self) {
        let mut at: Option<Position> = None;
        while let Some(rows) = self.next() {
            let kept = self.keep(at.take(), rows);
            let mut inner = self.shared.inner();
            match kept {
                Ok(position) => {
                    inner.looked = true;
                    inner.kept = (position.seq, position.count);
                    inner.fault = None;
                    if inner.caught_up() {
                        inner.waiting = None;
                    }
                    at = Some(position);
                }
                Err(fault) => {
                    let since = match (&inner.fault, inner.waiting) {
                        (Some((since, _)), _) => *since,
                        (None, Some((_, since))) => since,
                        (None, None) => SystemTime::now(),
                    };
                    inner.fault = Some((since, fault));
                    inner.queue.clear();
                }
            }
            drop(inner);
            self.shared.changed.notify_all();
        }
        self.shared.inner().ended = true;
        self.shared.changed.notify_all();
    }

    /// What there is to do; `None` when it is to end.
    fn next(&self) -> Option<Vec<Stored>> {
        let mut inner = self.shared.inner();
        loop {
            if inner.stop {
                return None;
            }
            let wait = match &inner.fault {
                None if inner.caught_up() => None,
                None => return Some(inner.queue.drain(..).collect()),
                Some((_, Fault::Away(_))) => Some(LOOK_AGAIN),
                Some((_, Fault::Differs(_))) => None,
            };
            match wait {
                None => inner = self.shared.changed.wait(inner).unwrap_or_else(PoisonError::into_inner),
                Some(wait) => {
                    let (held, out) =
                        self.shared.changed.wait_timeout(inner, wait).unwrap_or_else(PoisonError::into_inner);
                    inner = held;
                    if out.timed_out() {
                        return Some(inner.queue.drain(..).collect());
                    }
                }
            }
        }
    }

    fn keep(&self, at: Option<Position>, mut rows: Vec<Stored>) -> Result<Position, Fault> {
        if let Some(at) = at {
            // What a look at the whole has found already came over the queue too.
            rows.retain(|row| row.entry.seq > at.seq);
            if rows.first().is_none_or(|row| row.entry.seq != at.seq + 1) {
                rows = keep::rows_after(&self.record, at.seq)?;
            }
            if let Some(position) = keep::append(&self.mirror, &at, &rows)? {
                return Ok(position);
            }
        }
        let go_on = || !self.shared.inner().stop;
        let make = !settings::made(&self.record);
        let position = keep::catch_up(&self.record, &self.mirror, make, &go_on)?;
        if make {
            settings::note_made(&self.record, &self.mirror);
        }
        Ok(position)
    }
}

impl Journal {
    /// From now on the operation is mirrored to `path`; it is made when it is not there. What is missing there is written on
    /// a thread of its own; [`Journal::mirror`] says how it stands.
    ///
    /// # Errors
    /// When the journal is open to be read only, or the choice cannot be kept beside the file.
    pub fn mirror_to(&mut self, path: &Path) -> Result<(), JournalError> {
        if self.lock.is_none() {
            return Err(JournalError::ReadOnly { file: self.file.clone() });
        }
        let to = remember(&self.file, path)?;
        if let Some(before) = self.mirror.take() {
            before.stop(AT_CLOSE);
        }
        self.mirror = Some(Mirror::start(&self.file, &to, self.last_seq));
        Ok(())
    }

    /// From now on the operation has no mirror; what was mirrored stays where it is.
    ///
    /// # Errors
    /// When the choice cannot be kept beside the file.
    pub fn mirror_off(&mut self) -> Result<(), JournalError> {
        forget(&self.file)?;
        if let Some(before) = self.mirror.take() {
            before.stop(AT_CLOSE);
        }
        Ok(())
    }

    /// The mirror, if the operation has one and is open for writing here.
    pub fn mirror(&self) -> Option<&Mirror> {
        self.mirror.as_ref()
    }
}

/// Brings a mirror up to its record once, now: what `log mirror` does. Makes it when it is not there.
///
/// # Errors
/// [`JournalError::MirrorAway`] when it cannot be written, [`JournalError::MirrorDiffers`] when it is not
/// this record's or not as the record is; then it was not touched.
pub fn catch_up(record: &Path, mirror: &Path) -> Result<u64, JournalError> {
    if settings::same_place(record, mirror) {
        let why = "this is the operation file itself".to_string();
        return Err(JournalError::MirrorDiffers { file: mirror.to_path_buf(), why });
    }
    keep::catch_up(record, mirror, true, &|| true).map(|at| at.count).map_err(|fault| of(fault, mirror))
}

fn of(fault: Fault, mirror: &Path) -> JournalError {
    let file = mirror.to_path_buf();
    match fault {
        Fault::Away(why) => JournalError::MirrorAway { file, why },
        Fault::Differs(why) => JournalError::MirrorDiffers { file, why },
    }
}
