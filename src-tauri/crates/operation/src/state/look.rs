//! Looking things up in the state.

use super::{Kept, Loop, Moment, State, StopState};
use crate::event::Payload;
use crate::flags::Flag;
use crate::motion::Span;
use chrono::{DateTime, FixedOffset};
use std::borrow::Cow;
use std::ops::Range;

impl State {
    /// Whether `open` has been recorded.
    pub fn is_open(&self) -> bool {
        self.facts.purpose.is_some()
    }

    /// When it was opened.
    pub fn opened_at(&self) -> Option<DateTime<FixedOffset>> {
        self.opened_at
    }

    /// How many entries there are.
    pub fn count(&self) -> usize {
        self.kept.len()
    }

    /// An entry by its number.
    pub fn at(&self, seq: u64) -> Option<&Kept> {
        self.kept.get(self.place(seq)?)
    }

    pub(super) fn at_mut(&mut self, seq: u64) -> Option<&mut Kept> {
        let place = self.place(seq)?;
        self.kept.get_mut(place)
    }

    /// Where an entry is kept: at its number, unless the record was salvaged and entries before it are missing.
    fn place(&self, seq: u64) -> Option<usize> {
        let due = usize::try_from(seq).ok()?.checked_sub(1)?;
        match self.kept.get(due) {
            Some(kept) if kept.seq == seq => Some(due),
            _ => self.kept.binary_search_by_key(&seq, |kept| kept.seq).ok(),
        }
    }

    /// Entries in the order they were written.
    pub fn written(&self) -> &[Kept] {
        &self.kept
    }

    /// Numbers of entries in the order they happened.
    pub fn happened(&self) -> &[u64] {
        &self.order
    }

    /// Orders and stops that someone has not read back or reported yet, oldest first. A stop that ended with an order to move
    /// waits for nobody any more; that it was never reported stays a finding.
    pub fn unanswered(&self) -> impl Iterator<Item = &Loop> {
        let ended = |l: &Loop| l.stop && self.stop_of(l.seq).is_some_and(|s| s.ended_ms.is_some());
        self.open_loops().filter(move |l| !ended(l))
    }

    /// Orders and stops that someone has not read back or reported, oldest first; also stops that have ended since.
    pub fn open_loops(&self) -> impl Iterator<Item = &Loop> {
        self.waiting.iter().filter_map(|place| self.loops.get(*place))
    }

    /// The order or stop that an entry gave.
    pub fn loop_of(&self, seq: u64) -> Option<&Loop> {
        self.loops.get(self.loop_place(seq)?)
    }

    pub(super) fn loop_place(&self, seq: u64) -> Option<usize> {
        let list = &self.loops;
        self.among(seq, list.len(), |i| list[i].at_ms).rev().find(|i| list[*i].seq == seq)
    }

    /// The stop that an entry called.
    pub fn stop_of(&self, seq: u64) -> Option<&StopState> {
        let list = &self.stops;
        self.among(seq, list.len(), |i| list[i].at_ms).rev().map(|i| &list[i]).find(|s| s.seq == seq)
    }

    /// The stretch of motion that an entry began.
    pub fn span_of(&self, seq: u64) -> Option<&Span> {
        let list = &self.spans;
        self.among(seq, list.len(), |i| list[i].from_ms).rev().map(|i| &list[i]).find(|s| s.seq == seq)
    }

    /// Flags that an entry raised.
    pub fn flags_of(&self, seq: u64) -> impl Iterator<Item = &Flag> {
        let at = |i: usize| {
            let by = self.raised[i].entries.last();
            by.and_then(|by| self.at(*by)).map_or(0, |k| k.happened_ms)
        };
        let among = self.among(seq, self.raised.len(), at);
        among.map(|i| &self.raised[i]).filter(move |f| f.entries.last() == Some(&seq))
    }

    /// Where what an entry brought about can lie in a list that was filled in the order things happened: at its own
    /// moment. A day's list is not gone through for each row of a screen.
    fn among(&self, seq: u64, len: usize, at_ms: impl Fn(usize) -> i64) -> Range<usize> {
        let Some(moment) = self.at(seq).map(|k| k.happened_ms) else { return 0..0 };
        let first = |wanted: i64| {
            let (mut low, mut high) = (0, len);
            while low < high {
                let middle = low + (high - low) / 2;
                if at_ms(middle) < wanted { low = middle + 1 } else { high = middle }
            }
            low
        };
        first(moment)..first(moment.saturating_add(1))
    }

    /// The patient's marks on the way, oldest first; vital signs alone are none and have a list of their own.
    pub fn patient_way(&self) -> impl Iterator<Item = &Moment> {
        let alone = |seq: u64| {
            let said = self.at(seq).and_then(|k| k.now.as_deref());
            matches!(said, Some(Payload::Patient(p)) if p.mark == "vitals")
        };
        self.patient.iter().filter(move |m| !alone(m.seq))
    }

    /// An entry's payload as first written.
    pub fn payload(&self, seq: u64) -> Option<&Payload> {
        self.at(seq).and_then(|k| k.first.as_deref())
    }

    /// An entry's number and id, from a label, number or id.
    pub fn resolve(&self, of: &str) -> Option<(u64, String)> {
        let seq = self.labels.get(of).or_else(|| self.ids.get(of)).copied().or_else(|| of.parse().ok())?;
        self.at(seq).map(|k| (seq, k.id.to_string()))
    }

    /// Number of an id.
    pub fn seq_of(&self, id: &str) -> Option<u64> {
        self.ids.get(id).copied()
    }

    /// The call's words as they stood when entry `by` was written.
    pub fn text_as_of(&self, seq: u64, by: u64) -> Option<String> {
        let k = self.at(seq)?;
        let mut payload = Cow::Borrowed(k.first.as_deref()?);
        for c in k.corrected_by.iter().filter(|c| **c < by) {
            if let Some(Payload::Corrected(c)) = self.payload(*c) {
                let mut fields = c.fields.clone();
                fields.remove("happened");
                payload = payload.with(&fields).map_or(payload, Cow::Owned);
            }
        }
        payload.call().map(|c| c.text.clone())
    }
}
