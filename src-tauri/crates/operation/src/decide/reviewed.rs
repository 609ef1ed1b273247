//! Steps of the review: what a person finds, agrees with, sets aside; gear taken out of use; lessons.

use super::{Computed, no_entry};
use crate::event::{Found, Judged, Payload, Sealed};
use crate::review::{Finding, findings, key_of};
use crate::state::State;
use crate::step::{Act, Seal, StepError};
use chrono::{DateTime, FixedOffset};

pub(super) fn payload(
    state: &State,
    act: Act,
    now: DateTime<FixedOffset>,
    place: &str,
) -> Result<Payload, StepError> {
    let judged = |of: &str, person: String, reason: Option<String>| {
        let found = named(state, of, now, place)?;
        let (rule, entry) = key_of(state, &found.id).unwrap_or_default();
        Ok(Judged { rule, entry, words: found.words, person, reason })
    };
    Ok(match act {
        Act::Finding(f) => {
            let id = |of: &String| {
                state.resolve(of).map(|(_, id)| id).ok_or_else(|| no_entry(of, &format!("{place}, entries")))
            };
            let entries = f.entries.iter().map(id).collect::<Result<_, _>>()?;
            Payload::Finding(Found { person: f.person, text: f.text, good: f.good, entries })
        }
        Act::Agree(a) => Payload::Agreed(judged(&a.of, a.person, a.text)?),
        Act::SetAside(a) => Payload::SetAside(judged(&a.of, a.person, Some(a.reason))?),
        Act::Quarantine(a) => Payload::Quarantined(a),
        Act::Lesson(l) => Payload::Lesson(l),
        Act::ReturnToService(a) => {
            let out = crate::review::quarantined(state);
            if !out.iter().any(|q| q.gear == a.gear) {
                let names: Vec<&str> = out.iter().map(|q| q.gear.as_str()).collect();
                let remedy = match names.as_slice() {
                    [] => "nothing is in quarantine in this record".to_string(),
                    some => format!("use one of: {}", some.join(", ")),
                };
                let what = format!("“{}” is not in quarantine", a.gear);
                return Err(StepError::new(what, place, remedy));
            }
            Payload::ReturnedToService(a)
        }
        other => {
            let what = format!("“{}” is no step of the review", other.word());
            return Err(StepError::new(what, place, "report this as a fault of the program"));
        }
    })
}

/// A sealed copy was made.
pub(super) fn sealed(a: Seal, computed: Computed, place: &str) -> Result<Payload, StepError> {
    let Computed::Sealed(copy, count, head) = computed else {
        let remedy = "use `ledgebook seal`, or the window";
        return Err(StepError::new("no sealed copy was made", place, remedy));
    };
    Ok(Payload::Sealed(Sealed { copy, count, head, person: a.person, reason: a.reason }))
}

/// The finding of this name as it stands now.
fn named(state: &State, of: &str, now: DateTime<FixedOffset>, place: &str) -> Result<Finding, StepError> {
    let all = findings(state, state.last_line_ms().max(now.timestamp_millis()));
    let key = key_of(state, of);
    let same = |f: &Finding| f.id == of || (key.is_some() && key_of(state, &f.id) == key);
    let known: Vec<String> = all.iter().take(8).map(|f| f.id.clone()).collect();
    all.into_iter().find(same).ok_or_else(|| {
        let remedy = match known.as_slice() {
            [] => "the record has no findings yet".to_string(),
            some => format!("name one as the review names it: {}", some.join(", ")),
        };
        StepError::new(format!("“of”: there is no finding “{of}”"), place, remedy)
    })
}
