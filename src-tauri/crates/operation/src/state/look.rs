//! Looking things up in the state.

use super::{Kept, Loop, State};
use crate::event::{Payload, time_of};
use chrono::{DateTime, FixedOffset};

impl State {
    /// Whether `open` has been recorded.
    pub fn is_open(&self) -> bool {
        self.facts.purpose.is_some()
    }

    /// When it was opened.
    pub fn opened_at(&self) -> Option<DateTime<FixedOffset>> {
        self.kept
            .iter()
            .find(|k| matches!(k.first, Some(Payload::Open(_))))
            .and_then(|k| time_of(&k.recorded_at))
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
        let ended = |l: &Loop| l.stop && self.stops.iter().any(|s| s.seq == l.seq && s.ended_ms.is_some());
        self.loops.iter().filter(move |l| l.open() && !ended(l))
    }

    /// An entry's payload as first written.
    pub fn payload(&self, seq: u64) -> Option<&Payload> {
        self.at(seq).and_then(|k| k.first.as_ref())
    }

    /// When an entry was written, RFC 3339.
    pub fn recorded_at(&self, seq: u64) -> String {
        self.at(seq).map(|k| k.recorded_at.clone()).unwrap_or_default()
    }

    /// An entry's number and id, from a label, number or id.
    pub fn resolve(&self, of: &str) -> Option<(u64, String)> {
        let seq = self.labels.get(of).or_else(|| self.ids.get(of)).copied().or_else(|| of.parse().ok())?;
        self.at(seq).map(|k| (seq, k.id.clone()))
    }

    /// Number of an id.
    pub fn seq_of(&self, id: &str) -> Option<u64> {
        self.ids.get(id).copied()
    }

    /// The call's words as they stood when entry `by` was written.
    pub fn text_as_of(&self, seq: u64, by: u64) -> Option<String> {
        let k = self.at(seq)?;
        let mut payload = k.first.clone()?;
        for c in k.corrected_by.iter().filter(|c| **c < by) {
            if let Some(Payload::Corrected(c)) = self.payload(*c) {
                let mut fields = c.fields.clone();
                fields.remove("happened");
                payload = payload.with(&fields).unwrap_or(payload);
            }
        }
        payload.call().map(|c| c.text.clone())
    }
}
