//! Entries of the review in words, gear that is out of use, and lessons.

use crate::event::Payload;
use crate::state::State;
use crate::step::{Lesson, LessonKind};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// Who, and what an entry of the review says.
pub fn said(payload: &Payload) -> (String, String) {
    match payload {
        Payload::Finding(f) => {
            (f.person.clone(), format!("finds{}: {}", if f.good { ", as good" } else { "" }, f.text))
        }
        Payload::Agreed(j) => {
            let why = j.reason.as_ref().map(|r| format!(": {r}")).unwrap_or_default();
            (j.person.clone(), format!("agrees with “{}”{why}", j.words))
        }
        Payload::SetAside(j) => {
            let why = j.reason.as_deref().unwrap_or("no reason said");
            (j.person.clone(), format!("sets aside “{}”: {why}", j.words))
        }
        Payload::Quarantined(g) => {
            (g.person.clone(), format!("quarantine: {}, out of use: {}", g.gear, g.reason))
        }
        Payload::ReturnedToService(g) => {
            (g.person.clone(), format!("{} is back in use: {}", g.gear, g.reason))
        }
        Payload::Sealed(s) => (
            s.person.clone(),
            format!(
                "had a sealed copy made, {} ({} entries, head {:.12}): {}",
                s.copy, s.count, s.head, s.reason
            ),
        ),
        Payload::Lesson(l) => (l.person.clone(), lesson_words(l)),
        other => (String::new(), other.kind().replace('_', " ")),
    }
}

/// “change: a spare roller on each edge (Ada, by the next drill)”.
fn lesson_words(l: &Lesson) -> String {
    let who = l.who.as_deref().filter(|w| !w.trim().is_empty());
    let when = l.by_when.as_deref().filter(|w| !w.trim().is_empty()).map(due_words);
    let due = match (who, when) {
        (None, None) => String::new(),
        (Some(who), None) => format!(" ({who})"),
        (None, Some(when)) => format!(" ({when})"),
        (Some(who), Some(when)) => format!(" ({who}, {when})"),
    };
    format!("{}: {}{due}", l.what.word(), l.text)
}

/// Words that “by when” was answered with and that say of themselves how they are meant: “by before the next drill” says nothing.
const SAY_WHEN: [&str; 21] = [
    "after",
    "always",
    "as",
    "asap",
    "at",
    "before",
    "by",
    "during",
    "each",
    "every",
    "from",
    "immediately",
    "in",
    "not",
    "on",
    "once",
    "straight",
    "until",
    "when",
    "whenever",
    "within",
];

/// When a lesson is to be seen to: “by May”, “before the next drill”.
pub fn due_words(when: &str) -> String {
    let when = when.trim();
    let first = when.split(|c: char| !c.is_alphanumeric()).next().unwrap_or_default().to_lowercase();
    if SAY_WHEN.contains(&first.as_str()) { when.to_string() } else { format!("by {when}") }
}

/// A lesson as it stands now.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, TS)]
pub struct Learned {
    /// Entry number.
    pub seq: u64,
    /// It asks for a change; false: for keeping what was.
    pub change: bool,
    /// What, in the words of who said it.
    pub text: String,
    /// Who said it.
    pub person: String,
    /// Who sees to it; empty: nobody was named.
    pub who: String,
    /// By when, in words; empty: not said.
    pub by_when: String,
}

/// Lessons as they stand now, oldest first.
pub fn lessons(state: &State) -> Vec<Learned> {
    let kept = state.happened().iter().filter_map(|seq| state.at(*seq));
    kept.filter_map(|kept| match kept.now.as_deref() {
        Some(Payload::Lesson(l)) => Some(Learned {
            seq: kept.seq,
            change: l.what == LessonKind::Change,
            text: l.text.clone(),
            person: l.person.clone(),
            who: l.who.clone().unwrap_or_default(),
            by_when: l.by_when.clone().unwrap_or_default(),
        }),
        _ => None,
    })
    .collect()
}

/// Gear that is out of use.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Quarantine {
    /// What.
    pub gear: String,
    /// Why.
    pub reason: String,
    /// Who said so.
    pub person: String,
    /// Entry number.
    pub seq: u64,
    /// When.
    pub at_ms: i64,
}

/// Gear that was taken out of use and has not come back, oldest first.
pub fn quarantined(state: &State) -> Vec<Quarantine> {
    let mut out: Vec<Quarantine> = vec![];
    for kept in state.happened().iter().filter_map(|seq| state.at(*seq)) {
        match kept.now.as_deref() {
            Some(Payload::Quarantined(g)) => out.push(Quarantine {
                gear: g.gear.clone(),
                reason: g.reason.clone(),
                person: g.person.clone(),
                seq: kept.seq,
                at_ms: kept.happened_ms,
            }),
            Some(Payload::ReturnedToService(g)) => out.retain(|q| q.gear != g.gear),
            _ => {}
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::due_words;

    /// What was answered and what is said, one table for here and for the screen.
    #[test]
    fn by_when_is_said_as_a_person_would() {
        let table = include_str!("../../tests/due.json");
        let table: Vec<(String, String)> = serde_json::from_str(table).expect("a table");
        for (when, said) in table {
            assert_eq!(due_words(&when), said);
        }
    }
}
