//! An open operation: the record on disk and what stands because of it.

use crate::rig_look::Checking;
use crate::wire::Trouble;
use chrono::{DateTime, FixedOffset};
use journal::{Ack, Durability, Head, Journal, JournalError, MirrorState, Stamp};
use operation::clock::{Now, Reading};
use operation::event::{Began, Machine, Slept};
use operation::state::Filing;
use operation::{Act, Entry, NewEvent, Payload, State, Step, decide};
use rig::guidelines::Guidelines;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::{path::Path, time::SystemTime};

mod computed;
mod seal;

/// Version of the program, as it stands in the record and on the report.
pub const PROGRAM: &str = env!("CARGO_PKG_VERSION");

/// Name of the station that writes, unless a script says otherwise.
pub const STATION: &str = "top";

/// An open operation.
#[derive(Debug)]
pub struct Session {
    journal: Journal,
    station: String,
    /// What stands.
    pub state: State,
    labels: BTreeMap<String, u64>,
    last_session: Option<String>,
    /// This machine beside the one of the last session; said by whoever knows it.
    machine: Option<Machine>,
    /// Sleep of the machine that stands in no entry yet, ms.
    slept_ms: i64,
    /// A write failed: what is on the disk is looked up before the next.
    unsure: bool,
    /// The file as it lay when it was last read, of a session that only looks.
    lay: Lay,
    head: Head,
    /// A check worked out ahead of being recorded.
    ready: Option<Checking>,
    /// Why nothing can be recorded, or why the last entry was not.
    pub trouble: Option<Trouble>,
}

impl Session {
    /// Makes a new operation file; no entry is in it yet.
    ///
    /// # Errors
    /// When there is a file of that name, or it cannot be written.
    pub fn create(
        file: &Path,
        station: &str,
        holder: &str,
        durability: Durability,
    ) -> Result<Session, Trouble> {
        let journal = Journal::create(file, holder, durability)?;
        let head = journal.head();
        Ok(Self::load(journal, head, Filed::none(), station))
    }

    /// Makes a new operation file of the usual station, each entry on the disk when it is acknowledged.
    ///
    /// # Errors
    /// As [`Session::create`].
    pub fn create_new(file: &Path, holder: &str) -> Result<Session, Trouble> {
        Self::create(file, STATION, holder, Durability::EachEntry)
    }

    /// Opens an operation file for writing.
    ///
    /// # Errors
    /// When it cannot be read, is altered, or another program holds it.
    pub fn open(file: &Path, holder: &str) -> Result<Session, Trouble> {
        Ok(Self::open_journal(file, holder)?)
    }

    /// Opens an operation file to look at it.
    ///
    /// # Errors
    /// When it cannot be read.
    pub fn look(file: &Path) -> Result<Session, Trouble> {
        let journal = Journal::open_read_only(file)?;
        // Looked at all the same when it does not fit; whoever needs a whole chain asks for it.
        let (chain, filed) = journal.go_through(Filed::of)?;
        let count = filed.state.count() as u64;
        let head = chain.map_or_else(|_| Head { count, hex: String::new() }, |verified| verified.head);
        let missing = journal.without_log().cloned();
        let mut session = Self::load(journal, head, filed, STATION);
        session.trouble = missing.map(Trouble::from);
        Ok(session)
    }

    /// Opens for writing; when another program holds the file, it cannot be written or its chain is altered, opens
    /// it to look, with the reason in [`Session::trouble`].
    ///
    /// # Errors
    /// When it cannot even be read.
    pub fn open_or_look(file: &Path, holder: &str) -> Result<Session, Trouble> {
        match Self::open_journal(file, holder) {
            Ok(session) => Ok(session),
            Err(
                error @ (JournalError::Locked { .. }
                | JournalError::ReadOnly { .. }
                | JournalError::OddHeader { .. }
                | JournalError::WithoutLog { .. }
                | JournalError::Altered { .. }),
            ) => {
                let mut session = Self::look(file)?;
                session.trouble = Some(error.into());
                Ok(session)
            }
            Err(error) => Err(error.into()),
        }
    }

    fn open_journal(file: &Path, holder: &str) -> Result<Session, JournalError> {
        let (journal, filed) = Journal::open_with(file, holder, Filed::of)?;
        let head = journal.head();
        Ok(Self::load(journal, head, filed, STATION))
    }

    /// `filed`: all that is in the journal.
    fn load(journal: Journal, head: Head, filed: Filed, station: &str) -> Session {
        let (station, last_session) = match filed.last {
            Some(last) => (last.0, Some(last.1)),
            None => (station.to_string(), None),
        };
        Session {
            state: filed.state,
            last_session,
            journal,
            station,
            labels: BTreeMap::new(),
            machine: None,
            slept_ms: 0,
            unsure: false,
            ready: None,
            lay: Lay::default(),
            head,
            trouble: None,
        }
    }

    /// Where the file lies.
    pub fn file(&self) -> &Path {
        self.journal.file()
    }

    /// Name of the station that writes.
    pub fn station(&self) -> &str {
        &self.station
    }

    /// Count and head of the record; the head is empty when the chain does not fit.
    pub fn head(&self) -> &Head {
        &self.head
    }

    /// Id of the session that wrote the last entry.
    pub fn last_session(&self) -> Option<&str> {
        self.last_session.as_deref()
    }

    /// Says what this machine is beside the one of the last session: it stands in the entry that a new session
    /// begins with.
    pub fn on_machine(&mut self, machine: Option<Machine>) {
        self.machine = machine;
    }

    /// Says that the machine slept: it stands in an entry before the next one.
    pub fn slept(&mut self, ms: i64) {
        self.slept_ms = self.slept_ms.saturating_add(ms);
    }

    /// Sleep of the machine that stands in no entry yet, ms.
    pub fn slept_ms(&self) -> i64 {
        self.slept_ms
    }

    /// The present by these clocks, on the line.
    pub fn now(&self, reading: &Reading) -> Now {
        self.state.now(reading, self.machine)
    }

    /// Whether steps can be recorded.
    pub fn writes(&self) -> bool {
        self.journal.writes()
    }

    /// The record.
    pub fn journal(&self) -> &Journal {
        &self.journal
    }

    /// From now on the operation is mirrored to `path`, on a thread of its own; kept beside the file for next time.
    ///
    /// # Errors
    /// When the operation is open to be read only, or the choice cannot be kept.
    pub fn mirror_to(&mut self, path: &Path) -> Result<(), Trouble> {
        Ok(self.journal.mirror_to(path)?)
    }

    /// From now on the operation has no mirror.
    ///
    /// # Errors
    /// When the choice cannot be kept.
    pub fn mirror_off(&mut self) -> Result<(), Trouble> {
        Ok(self.journal.mirror_off()?)
    }

    /// Where the mirror lies and how it stands; `None` without one.
    pub fn mirror(&self) -> Option<(&Path, MirrorState)> {
        self.journal.mirror().map(|mirror| (mirror.path(), mirror.state()))
    }

    /// As [`Session::mirror`], once it is kept up or cannot be, at most after `most`.
    pub fn mirror_settled(&self, most: std::time::Duration) -> Option<(&Path, MirrorState)> {
        self.journal.mirror().map(|mirror| (mirror.path(), mirror.wait(most)))
    }

    /// Closes the file cleanly, so that it can be copied alone.
    ///
    /// # Errors
    /// When the disk does not take the last of it; what was acknowledged is kept.
    pub fn close(self) -> Result<(), Trouble> {
        let Session { journal, state, .. } = self;
        // What stood is let go of while the disk takes the last of it.
        std::thread::scope(|scope| {
            scope.spawn(move || drop(state));
            journal.close()
        })?;
        Ok(())
    }

    /// Records one step; when it returns, the entry is on the disk. Window, command line and rehearsal all come
    /// through here.
    ///
    /// # Errors
    /// A malformed step, a rig that cannot be made, a disk that does not take it. Nothing is recorded then.
    pub fn act(&mut self, step: &Step, stamp: &Stamp) -> Result<Ack, Trouble> {
        if !self.journal.writes() {
            return Err(self.read_only());
        }
        if self.unsure {
            self.catch_up()?;
        }
        // Its acknowledgement was lost, the entry was not: it is answered again and not written twice.
        if let Some(seq) = self.state.seq_of(&stamp.id) {
            return self.acknowledged(seq);
        }
        let now = DateTime::parse_from_rfc3339(&stamp.recorded_at).map_err(|_| {
            Trouble::new(
                "bad_time",
                format!("“{}” is not a time", stamp.recorded_at),
                "stamp",
                "set the machine's clock",
            )
        })?;
        let event = self.event_of(step, now)?;
        let recorded = self.record(&event, stamp);
        self.trouble = recorded.as_ref().err().cloned();
        self.unsure = recorded.is_err();
        let ack = recorded?;
        if let Some(label) = &step.label {
            self.labels.insert(label.clone(), ack.seq);
            self.state.label(label, ack.seq);
        }
        Ok(ack)
    }

    fn acknowledged(&mut self, seq: u64) -> Result<Ack, Trouble> {
        let entry = self.journal.entries()?.into_iter().find(|entry| entry.seq == seq);
        self.trouble = None;
        let entry = entry.ok_or_else(nothing_written)?;
        Ok(Ack { seq, id: entry.id, hash: entry.hash })
    }

    /// Takes in what is in the file and not yet in memory. A chain that does not fit leaves the head empty.
    fn catch_up(&mut self) -> Result<(), Trouble> {
        let rows = self.journal.stored()?;
        let head = journal::verify(&rows).map(|verified| verified.head);
        self.head = head.unwrap_or(Head { count: rows.len() as u64, hex: String::new() });
        let known = self.state.count();
        let erased = rows.iter().skip(known).any(|row| row.entry.kind == "erased");
        if erased || rows.len() < known {
            self.replay()?;
        } else {
            rows.iter().skip(known).for_each(|row| self.state.apply(&row.entry));
        }
        self.last_session = rows.last().map(|row| row.entry.session.clone());
        self.unsure = false;
        Ok(())
    }

    /// Of a session that only looks: takes in what another program has written since. Costs next to nothing
    /// while the file lies as it did.
    ///
    /// # Errors
    /// When the file can no longer be read.
    pub fn follow(&mut self) -> Result<(), Trouble> {
        if self.writes() {
            return Ok(());
        }
        let lay = Lay::of(self.file());
        if lay != self.lay {
            self.catch_up()?;
            self.lay = lay;
        }
        Ok(())
    }

    /// Who writes into the file, if another program does.
    pub fn holder(&self) -> Option<String> {
        if self.writes() { None } else { journal::held_by(self.file()) }
    }

    /// Of a session that only looks because another program wrote: that program is gone, and this one may write.
    pub fn may_take_over(&self) -> bool {
        let locked = self.trouble.as_ref().is_some_and(|trouble| trouble.code == "file_locked");
        !self.writes() && locked && self.holder().is_none()
    }

    /// Why nothing can be recorded.
    fn read_only(&self) -> Trouble {
        let (what, place) = ("the operation is open to be read only", self.file().display().to_string());
        self.trouble.clone().unwrap_or(Trouble::new("file_read_only", what, place, "open it for writing"))
    }

    fn event_of(&self, step: &Step, now: DateTime<FixedOffset>) -> Result<NewEvent, Trouble> {
        let mut event = decide(&self.state, step, now, self.computed(&step.act)?)?;
        if let Act::Erase(erase) = &step.act {
            event.corrects = self.state.resolve(&erase.of).map(|(_, id)| id);
        }
        Ok(event)
    }

    fn record(&mut self, event: &NewEvent, stamp: &Stamp) -> Result<Ack, Trouble> {
        let before = self.before(stamp)?;
        if event.kind == "erased" {
            if !before.is_empty() {
                let pairs: Vec<_> = before.iter().map(|(e, s)| (e, s)).collect();
                let done = self.journal.append_all(&self.station, &pairs)?;
                done.iter().for_each(|(_, entry)| self.take(entry));
            }
            for (event, stamp) in self.erased_with(event, stamp)? {
                self.journal.erase(&self.station, &event, &stamp)?;
            }
            let (ack, _) = self.journal.erase(&self.station, event, stamp)?;
            self.replay()?;
            self.last_session = Some(stamp.session.clone());
            self.slept_ms = 0;
            self.head = self.journal.head();
            return Ok(ack);
        }
        // All or none: a session that began to say nothing would be noise.
        let mut pairs: Vec<_> = before.iter().map(|(e, s)| (e, s)).collect();
        pairs.push((event, stamp));
        let done = self.journal.append_all(&self.station, &pairs)?;
        done.iter().for_each(|(_, entry)| self.take(entry));
        done.into_iter().next_back().map(|(ack, _)| ack).ok_or_else(nothing_written)
    }

    /// The corrections of an entry say its words again: they are erased with it, each by an entry of its own.
    fn erased_with(&self, event: &NewEvent, stamp: &Stamp) -> Result<Vec<(NewEvent, Stamp)>, Trouble> {
        let of = event.corrects.as_deref().and_then(|id| self.state.seq_of(id));
        let Some(Payload::Erased(erase)) = Payload::read(&event.kind, event.version, &event.payload) else {
            return Ok(Vec::new());
        };
        let corrections = self.state.written().iter().filter(|kept| {
            of.is_some()
                && kept.corrects == of
                && matches!(kept.first.as_deref(), Some(Payload::Corrected(_)))
        });
        corrections
            .map(|kept| {
                let erase = operation::step::Erase { of: kept.id.to_string(), ..erase.clone() };
                let own = NewEvent {
                    happened_at: event.happened_at.clone(),
                    author: event.author.clone(),
                    corrects: Some(kept.id.to_string()),
                    ..NewEvent::of(&Payload::Erased(erase))?
                };
                Ok((own, derived(stamp, &format!("erased-{}", kept.id))))
            })
            .collect()
    }

    fn take(&mut self, entry: &Entry) {
        self.state.apply(entry);
        self.last_session = Some(entry.session.clone());
        self.slept_ms = 0;
        self.head = self.journal.head();
    }

    /// Everything anew from the disk: what was erased must not live on in memory.
    fn replay(&mut self) -> Result<(), Trouble> {
        self.state = State::replay(Guidelines::defaults(), &self.journal.entries()?);
        for (label, seq) in &self.labels {
            self.state.label(label, *seq);
        }
        Ok(())
    }

    /// What must stand before an entry: that the program was started again on a file with entries (written with the
    /// first step of the new session, so that looking changes nothing), or that the machine slept.
    fn before(&self, stamp: &Stamp) -> Result<Vec<(NewEvent, Stamp)>, Trouble> {
        let payload = match &self.last_session {
            Some(last) if *last != stamp.session => Payload::SessionBegan(Began {
                program: PROGRAM.into(),
                machine: self.machine,
                left_by: self.journal.left_by().map(str::to_string),
            }),
            Some(_) if self.slept_ms > 0 => Payload::Slept(Slept { ms: self.slept_ms }),
            _ => return Ok(Vec::new()),
        };
        Ok(vec![(NewEvent::of(&payload)?, derived(stamp, "began"))])
    }
}

/// What the entries of a record come to.
struct Filed {
    state: State,
    /// Station and session of the last entry.
    last: Option<(String, String)>,
}

impl Filed {
    fn none() -> Filed {
        Filed { state: State::new(Guidelines::defaults()), last: None }
    }

    fn of(entries: journal::Entries) -> Filed {
        let mut filing = Filing::new(Guidelines::defaults(), entries.about());
        let mut last: Option<(String, String)> = None;
        entries.each_batch(|some| {
            some.each(|entry| filing.file(entry));
            let of = some.last().map(|e| (e.station.to_string(), e.session.to_string()));
            last = of.or(last.take());
        });
        Filed { state: filing.done(), last }
    }
}

/// Length and time of change of the file and of its write-ahead log, asked by name: the file itself is not opened.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Lay([Option<(u64, SystemTime)>; 2]);

impl Lay {
    fn of(file: &Path) -> Lay {
        let mut log = file.as_os_str().to_os_string();
        log.push("-wal");
        let about = |path: &Path| {
            let about = std::fs::metadata(path).ok()?;
            Some((about.len(), about.modified().ok()?))
        };
        Lay([about(file), about(Path::new(&log))])
    }
}

fn nothing_written() -> Trouble {
    Trouble::new("disk", "nothing was written", "", "say it again")
}

/// A stamp of the same moment with an id and a salt of its own.
fn derived(stamp: &Stamp, what: &str) -> Stamp {
    let sum = |tag: &str| -> [u8; 32] {
        let mut sum = Sha256::new();
        sum.update(tag.as_bytes());
        sum.update(stamp.salt);
        sum.update(stamp.id.as_bytes());
        sum.finalize().into()
    };
    let milliseconds = uuid::Uuid::parse_str(&stamp.id)
        .ok()
        .map_or(0, |id| id.as_bytes()[..6].iter().fold(0u64, |ms, byte| ms << 8 | u64::from(*byte)));
    Stamp {
        id: id_v7(milliseconds, &sum(&format!("ledgebook-{what}-id"))),
        salt: sum(&format!("ledgebook-{what}-salt")),
        ..stamp.clone()
    }
}

/// A UUIDv7 of a time and of bytes that are random, or stand for it.
pub fn id_v7(milliseconds: u64, bytes: &[u8; 32]) -> String {
    let mut tail = [0; 10];
    tail.copy_from_slice(&bytes[..10]);
    uuid::Builder::from_unix_timestamp_millis(milliseconds, &tail).into_uuid().to_string()
}
