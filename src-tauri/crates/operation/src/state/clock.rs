//! Clocks: the place of each entry on the line, and the flags that speak of time.

use super::{State, span_words};
use crate::clock::{Change, ClockNote, Now, Reading};
use crate::event::{Lent, Machine, Payload};

/// When an entry happened on the line, ms: so much before it was written as it is said to have been, or after it, but not later than
/// `said_ms`, when that was said. What is said to happen only later stands there: nobody reports what has not been, and a slip of the
/// hour must not rule all that comes after.
pub(super) fn placed(line_ms: i64, recorded_ms: i64, told_ms: i64, said_ms: i64) -> i64 {
    line_ms.saturating_sub(recorded_ms.saturating_sub(told_ms)).min(said_ms)
}

impl State {
    /// Reads an entry's clocks as it is filed; answers when it was written on the line.
    pub(super) fn take_clocks(
        &mut self,
        e: Lent<'_>,
        (wall_ms, offset_min): (i64, i32),
        payload: Option<&Payload>,
    ) -> i64 {
        if let Some(Payload::Open(open)) = payload
            && let Some(own) = &open.guidelines
        {
            self.line_clock.tolerate(own.clock_s.value);
        }
        let machine = match payload {
            Some(Payload::SessionBegan(began)) => began.machine,
            _ => None,
        };
        let reading = Reading { session: e.session.to_string(), boot_ms: e.boot_ms, wall_ms, offset_min };
        let (at_ms, mut changes) = self.line_clock.take(&reading, machine);
        if let Some(Payload::Slept(slept)) = payload {
            changes.push(Change::Slept(slept.ms));
        }
        let before_ms = self.last_line_ms();
        let note = |change| ClockNote { seq: e.seq, at_ms, before_ms, change };
        self.clock_notes.extend(changes.into_iter().map(note));
        at_ms
    }

    /// What became of the clocks just before an entry.
    pub fn clock_notes_of(&self, seq: u64) -> impl Iterator<Item = &ClockNote> {
        let first = self.clock_notes.partition_point(|n| n.seq < seq);
        self.clock_notes[first..].iter().take_while(move |n| n.seq == seq)
    }

    /// The present by these clocks. `machine` says what is known of it while the session has no entry yet.
    pub fn now(&self, reading: &Reading, machine: Option<Machine>) -> Now {
        self.line_clock.now(reading, machine)
    }

    /// The last entry's place on the line, ms; 0 before the first.
    pub fn last_line_ms(&self) -> i64 {
        self.written().last().map_or(0, |k| k.line_ms)
    }

    /// Whether the program was started again between two moments of the line, so that the length of time between
    /// them rests on the time of day.
    pub fn across_restart(&self, from_ms: i64, to_ms: i64) -> bool {
        self.clock_notes.iter().filter(|n| matches!(n.change, Change::Again(_))).any(|n| {
            // A line that had to wait for the clock has both sides at one moment: marked rather than missed.
            (from_ms < n.at_ms || from_ms <= n.before_ms) && n.at_ms <= to_ms
        })
    }

    /// By how much the clock was set since the operation was opened, ms (forward: below 0).
    pub(crate) fn clock_set_since_opening(&self) -> i64 {
        let opened = self.written().iter().find(|k| matches!(k.first.as_deref(), Some(Payload::Open(_))));
        let then = opened.map_or(0, |k| k.line_ms.saturating_sub(k.recorded_ms));
        self.line_clock.shift_ms().saturating_sub(then)
    }

    pub(super) fn time_flags(&mut self, seq: u64, late_ms: i64) {
        let Some(k) = self.at(seq) else { return };
        let (told, recorded) = (k.first_happened_ms, k.recorded_ms);
        let on_line = k.line_ms.saturating_sub(late_ms);
        if late_ms > 0 {
            self.raise(
                "late_entry",
                vec![seq],
                format!("entry {seq} was written {} after it happened", span_words(late_ms)),
            );
        }
        let opened = self.kept.iter().find(|k| k.kind == "open").map(|k| k.line_ms);
        if told > recorded || opened.is_some_and(|o| on_line < o) {
            self.raise(
                "time_out_of_range",
                vec![seq],
                format!("entry {seq} is said to have happened before the start or after it was written"),
            );
        }
    }

    /// A clock that was set is flagged at the first entry after it.
    pub(super) fn clock_flags(&mut self, seq: u64) {
        let set: Vec<String> = self
            .clock_notes_of(seq)
            .filter(|n| matches!(n.change, Change::Set(_)))
            .map(ClockNote::words)
            .collect();
        for words in set {
            self.raise("clock_jump", vec![seq], words);
        }
    }
}
