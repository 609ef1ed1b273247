//! Entries as the state keeps them, and on their way there.

use super::State;
use crate::event::{Lent, Payload};
use chrono::{DateTime, FixedOffset};
use rig::guidelines::Guidelines;
use std::borrow::Cow;
use std::sync::Arc;

/// One entry as the state keeps it.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept {
    /// Number, id, kind.
    pub seq: u64,
    /// Id.
    pub id: Arc<str>,
    /// Kind as stored.
    pub kind: Cow<'static, str>,
    /// When it was written by the time of day, ms.
    pub recorded_ms: i64,
    /// When it was written on the line, ms: never before the entry before it.
    pub line_ms: i64,
    /// When it happened on the line, ms, corrections counted, at the latest when that was written: what order and lengths of time go by.
    pub happened_ms: i64,
    /// When it happened by the time of day as told, ms, corrections counted.
    pub told_ms: i64,
    /// When it happened as first written, ms.
    pub first_happened_ms: i64,
    /// Boot clock, ms.
    pub boot_ms: i64,
    /// Offset from UTC, minutes.
    pub offset_min: i32,
    /// As first written; `None`: erased, or not known to this program.
    pub first: Option<Arc<Payload>>,
    /// What it says as it stands, when it is not known to this program.
    pub unread: Option<String>,
    /// As it stands now.
    pub now: Option<Arc<Payload>>,
    /// Numbers of the entries that correct it.
    pub corrected_by: Vec<u64>,
    /// Number of the entry it corrects.
    pub corrects: Option<u64>,
    /// Erased by law.
    pub erased: bool,
    /// Number of the entry that says who erased it and why.
    pub erased_by: Option<u64>,
}

impl Kept {
    /// When it was written, by its local time.
    pub fn recorded(&self) -> DateTime<FixedOffset> {
        let local = FixedOffset::east_opt(self.offset_min.saturating_mul(60));
        let time = DateTime::from_timestamp_millis(self.recorded_ms).unwrap_or_default();
        local.map_or_else(|| time.fixed_offset(), |local| time.with_timezone(&local))
    }
}

/// Entries on their way into a state: filed one by one as they are read, judged once all of them are there, because a
/// correction changes what came before it.
#[derive(Debug)]
pub struct Filing(State);

impl Filing {
    /// Nothing is filed yet; about so many entries are to come.
    pub fn new(guidelines: Guidelines, about: usize) -> Filing {
        let mut state = State::new(guidelines);
        state.expect(about);
        Filing(state)
    }

    /// Files the next entry in the order they were written.
    pub fn file(&mut self, entry: Lent<'_>) {
        self.0.keep(entry);
    }

    /// The state after all of them.
    pub fn done(mut self) -> State {
        self.0.again();
        self.0
    }
}
