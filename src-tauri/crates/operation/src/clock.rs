//! The line's time: what order and lengths of time rest on, whatever becomes of the clock on the wall.
//!
//! Each entry carries two clocks: the time of day, which people and the network set, and the machine's boot
//! clock, which only runs on (through suspend too). Within one run of the machine the two must move alike; where
//! they part by more than the guidelines' tolerance the clock was set, and the line goes on as the boot clock did.
//! Over a restart of the machine, or on another one, there is no boot clock to hold against: the line goes on by
//! the time of day, never back, and what is measured across it is marked. A clock set *forward* while the machine
//! was off cannot be told from a long pause. Daylight saving moves the local time and no clock: noted, no jump.

use crate::event::Machine;
use crate::state::span_words;

/// Both clocks at one moment.
#[derive(Debug, PartialEq, Eq)]
pub struct Reading {
    /// Session that read them.
    pub session: String,
    /// Boot clock, ms.
    pub boot_ms: i64,
    /// Time of day, ms since the epoch.
    pub wall_ms: i64,
    /// Offset of the local time from UTC, minutes.
    pub offset_min: i32,
}

impl Clone for Reading {
    fn clone(&self) -> Self {
        Reading { session: self.session.clone(), ..*self }
    }
    /// Most entries are of the session of the one before: its name is not made anew.
    fn clone_from(&mut self, other: &Self) {
        let mut session = std::mem::take(&mut self.session);
        session.clone_from(&other.session);
        *self = Reading { session, ..*other };
    }
}

/// What became of the clocks between an entry and the one before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// The time of day was set, by so many ms (back: below 0).
    Set(i64),
    /// The local time changed its offset from UTC, minutes before and after.
    Offset(i32, i32),
    /// The program was started again.
    Again(Option<Machine>),
    /// The machine slept, ms.
    Slept(i64),
}

/// A change, and the entry that shows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClockNote {
    /// Number of the first entry after it.
    pub seq: u64,
    /// That entry's place on the line, ms.
    pub at_ms: i64,
    /// The place of the entry before, ms.
    pub before_ms: i64,
    /// What changed.
    pub change: Change,
}

impl ClockNote {
    /// In words.
    pub fn words(&self) -> String {
        let seq = self.seq;
        match self.change {
            Change::Set(by) => {
                let way = if by > 0 { "forward" } else { "back" };
                format!("the clock was set {way} by {} before entry {seq}", span_words(by))
            }
            Change::Offset(from, to) => {
                format!(
                    "local time went from {} to {} before entry {seq}; the clock ran on",
                    utc(from),
                    utc(to)
                )
            }
            Change::Again(machine) => {
                let how = match machine {
                    Some(Machine::SameRun) => "",
                    Some(Machine::Restarted) => " after the machine was restarted",
                    Some(Machine::Another) => " on another machine",
                    None => " (whether on the same machine is not known)",
                };
                format!("the program was started again{how} before entry {seq}")
            }
            Change::Slept(ms) => format!("the machine slept for {} before entry {seq}", span_words(ms)),
        }
    }
}

/// “UTC+2:00”.
fn utc(offset_min: i32) -> String {
    let sign = if offset_min < 0 { '-' } else { '+' };
    format!("UTC{sign}{}:{:02}", offset_min.abs() / 60, offset_min.abs() % 60)
}

/// The line's clock as of the last entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LineClock {
    /// How far the two clocks may part before it is told as set, ms.
    tolerance_ms: i64,
    /// Added to the time of day to give the line's time.
    shift_ms: i64,
    /// Line's time minus boot clock in this run of the machine.
    base_ms: i64,
    last: Option<(Reading, i64)>,
}

/// The present, on the line and on the wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Now {
    /// On the line, ms: what lengths of time are measured to.
    pub line_ms: i64,
    /// Added to the line's time, gives the time of day.
    pub to_wall_ms: i64,
    /// Offset of the local time from UTC, minutes; `None`: as the last entry's.
    pub offset_min: Option<i32>,
    /// Read in a session that has no entry yet: all that began before is measured across a restart.
    pub again: bool,
}

/// A plain time, of a record whose clocks nobody can read any more.
impl From<i64> for Now {
    fn from(line_ms: i64) -> Self {
        Now { line_ms, to_wall_ms: 0, offset_min: None, again: false }
    }
}

impl LineClock {
    /// Before the first entry; `tolerance_s` is the guidelines'.
    pub fn new(tolerance_s: f64) -> Self {
        LineClock { tolerance_ms: (tolerance_s * 1000.0) as i64, shift_ms: 0, base_ms: 0, last: None }
    }

    /// The operation's own guidelines came into force.
    pub fn tolerate(&mut self, tolerance_s: f64) {
        self.tolerance_ms = (tolerance_s * 1000.0) as i64;
    }

    /// Added to the time of day, gives the line's time.
    pub fn shift_ms(&self) -> i64 {
        self.shift_ms
    }

    /// Takes the next entry's clocks; answers its place on the line, never before the last one's, and what changed.
    /// `machine` is what a new session said of it.
    pub fn take(&mut self, reading: &Reading, machine: Option<Machine>) -> (i64, Vec<Change>) {
        let mut changes = vec![];
        let shifted = |shift: i64| reading.wall_ms.saturating_add(shift);
        let Some((mut last, last_ms)) = self.last.take() else {
            self.base_ms = reading.wall_ms.saturating_sub(reading.boot_ms);
            self.last = Some((reading.clone(), reading.wall_ms));
            return (reading.wall_ms, changes);
        };
        let again = last.session != reading.session;
        if again {
            changes.push(Change::Again(machine));
        }
        if !again || machine == Some(Machine::SameRun) {
            let by = shifted(self.shift_ms).saturating_sub(reading.boot_ms).saturating_sub(self.base_ms);
            if by.saturating_abs() > self.tolerance_ms {
                changes.push(Change::Set(by));
                self.shift_ms = self.shift_ms.saturating_sub(by);
            }
        } else {
            let back = last_ms.saturating_sub(shifted(self.shift_ms));
            if back > self.tolerance_ms {
                changes.push(Change::Set(-back));
                self.shift_ms = self.shift_ms.saturating_add(back);
            }
            self.base_ms = shifted(self.shift_ms).saturating_sub(reading.boot_ms);
        }
        if last.offset_min != reading.offset_min {
            changes.push(Change::Offset(last.offset_min, reading.offset_min));
        }
        let line_ms = shifted(self.shift_ms).max(last_ms);
        last.clone_from(reading);
        self.last = Some((last, line_ms));
        (line_ms, changes)
    }

    /// The present by these clocks; `machine` is what is known of it when the session has no entry yet.
    pub fn now(&self, reading: &Reading, machine: Option<Machine>) -> Now {
        let mut ahead = self.clone();
        let (line_ms, changes) = ahead.take(reading, machine);
        Now {
            line_ms,
            to_wall_ms: reading.wall_ms.saturating_sub(line_ms),
            offset_min: Some(reading.offset_min),
            again: changes.iter().any(|c| matches!(c, Change::Again(_))),
        }
    }
}
