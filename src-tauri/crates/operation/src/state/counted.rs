//! Counting everyone after an event: a stop for an emergency, a landing, a hand-over of the patient. The interval's own clock is
//! [`State::par_due`].

use super::State;
use crate::event::Call;
use crate::words::Said;

/// An event after which everyone is counted.
#[derive(Clone, Debug, PartialEq)]
pub struct CountDue {
    /// Entry number.
    pub seq: u64,
    /// When it happened.
    pub at_ms: i64,
    /// What, in words.
    pub after: String,
}

/// Words that make a stop one for an emergency.
const EMERGENCY: [&str; 17] = [
    "emergency",
    "mayday",
    "help",
    "abort",
    "fell",
    "fallen",
    "falls",
    "hurt",
    "injured",
    "injury",
    "missing",
    "rockfall",
    "avalanche",
    "lightning",
    "evacuate",
    "failed",
    "broken",
];

/// Whether words tell of an emergency, and not that there is none.
pub fn tells_of_emergency(words: &str) -> bool {
    let said = Said::of(words);
    said.has_word(&EMERGENCY) && !said.has_word(&["no", "not", "nobody"])
}

impl State {
    /// When a PAR is due because of an event; `None`: none, or it was had.
    pub fn count_due_ms(&self) -> Option<i64> {
        let limit_ms = (self.guidelines.people.par_event_min.value * 60_000.0) as i64;
        self.count_due.as_ref().map(|c| c.at_ms.saturating_add(limit_ms))
    }

    /// The first event since the last PAR that matched starts the clock; those after it do not put it off.
    pub(super) fn count_after(&mut self, after: &str, seq: u64, at_ms: i64) {
        let here = self.present() > 0;
        if here && self.count_due.is_none() {
            self.count_due = Some(CountDue { seq, at_ms, after: after.into() });
        }
    }

    /// Words that call a stop, or say why it was called, may tell of an emergency.
    pub(super) fn emergency_by(&mut self, seq: u64, at_ms: i64, call: &Call, said: &Said) {
        let cause = call.cause.as_deref().is_some_and(tells_of_emergency);
        if !said.asks() && (tells_of_emergency(&call.text) || cause) {
            self.count_after("a stop for an emergency", seq, at_ms);
        }
    }

    /// A patient who is handed over: everyone is counted, and the record says to whom and with what summary.
    pub(super) fn patient_handed(&mut self, seq: u64, at_ms: i64, p: &crate::step::Patient) {
        if p.mark != "handed_over" {
            return;
        }
        self.count_after("the patient was handed over", seq, at_ms);
        let text = p.text.as_deref().unwrap_or_default();
        let said = Said::of(text);
        let whom = said.has_word(&["to"]) || said.lower().contains("taken over by");
        // A summary is named, or stands there after whom, or in the vital signs beside it.
        let summed = said.has_word(&["summary", "written", "spoken", "verbal", "form", "card"])
            || said.clauses().count() > 1
            || p.vitals.as_deref().is_some_and(|v| !v.trim().is_empty());
        let lacks = match (whom, summed) {
            (true, true) => return,
            (false, false) => "to whom, nor with what summary",
            (false, true) => "to whom",
            (true, false) => "with what summary",
        };
        let words = format!("the patient was handed over, and it is not said {lacks}");
        self.raise("patient_handover_unsaid", vec![seq], words);
    }
}
