//! Clocks: the place of each entry on the line, and the flags that speak of time.

use super::{State, span_words};
use crate::clock::{Change, ClockNote, Now, Reading};
use crate::event::{Lent, Machine, Payload};

/// So long before the opening something may still have happened that belongs to the operation (the call-out, the way there), ms:
/// an assumption. What is said to be older is a slip of the date.
const BEFORE_OPENING_MS: i64 = 24 * 3_600_000;

/// From here on an entry's two times are told apart, ms.
const TOLD_APART_MS: i64 = 1000;

/// When an entry happened on the line, ms: so much before it was written as it is said to have been, or after it, but not later than
/// `said_ms`, when that was said. What is said to happen only later stands there: nobody reports what has not been, and a slip of the
/// hour must not rule all that comes after. What is said to be older than the operation can be (`opened_ms`, asked for only then)
/// stands where it was written: a slip of the year must not stretch the line over it.
pub(super) fn placed(
    line_ms: i64,
    (recorded_ms, told_ms): (i64, i64),
    said_ms: i64,
    opened_ms: impl FnOnce() -> Option<i64>,
) -> i64 {
    let before_ms = recorded_ms.saturating_sub(told_ms);
    let told_line_ms = line_ms.saturating_sub(before_ms);
    let too_old = before_ms > BEFORE_OPENING_MS
        && opened_ms().is_some_and(|opened| told_line_ms < opened.saturating_sub(BEFORE_OPENING_MS));
    if too_old { line_ms } else { told_line_ms.min(said_ms) }
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

    /// When the operation was opened, on the line, ms.
    pub(super) fn opened_line_ms(&self) -> Option<i64> {
        self.kept.iter().find(|k| k.kind == "open").map(|k| k.line_ms)
    }

    /// Flags an entry that was written later than it happened, and one whose time, as told or as corrected, cannot be.
    pub(super) fn time_flags(&mut self, seq: u64) {
        let Some(k) = self.at(seq) else { return };
        let late_ms = k.recorded_ms.saturating_sub(k.first_happened_ms);
        let before_ms = k.recorded_ms.saturating_sub(k.told_ms);
        let told_line_ms = k.line_ms.saturating_sub(before_ms);
        let hangs = match k.happened_ms {
            as_told if as_told == told_line_ms => None,
            written if written == k.line_ms => Some("; it hangs where it was written"),
            _ => Some("; it hangs where that was corrected"),
        };
        if late_ms >= TOLD_APART_MS {
            self.raise(
                "late_entry",
                vec![seq],
                format!("entry {seq} was written {} after it happened", span_words(late_ms)),
            );
        }
        if before_ms.abs() < TOLD_APART_MS {
            return;
        }
        if hangs.is_some() || self.opened_line_ms().is_some_and(|opened| told_line_ms < opened) {
            let hangs = hangs.unwrap_or_default();
            self.raise(
                "time_out_of_range",
                vec![seq],
                format!(
                    "entry {seq} is said to have happened before the start or after that was said{hangs}"
                ),
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
