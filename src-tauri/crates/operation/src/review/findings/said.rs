//! What people found, agreed with and set aside: opinions, each by name, told beside what the record shows and never in its
//! place. Nothing is deleted: who set a finding aside says why, and it stays.

use super::Finding;
use crate::event::{Judged, Payload};
use crate::state::State;
use serde::Serialize;
use std::collections::HashMap;
use ts_rs::TS;

/// What a person said to a finding.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct Said {
    /// Entry number.
    pub seq: u64,
    /// Who.
    pub person: String,
    /// Agrees; false: sets it aside.
    pub agrees: bool,
    /// What they said; why, when they set it aside.
    pub reason: String,
    /// When.
    pub at_ms: i64,
}

/// Rule and entry of a finding's id; the entry may be named by label, number or id.
pub(crate) fn key_of(state: &State, of: &str) -> Option<(String, Option<String>)> {
    let (rule, entry) = of.trim().split_once(':')?;
    match entry {
        "0" => Some((rule.into(), None)),
        entry => state.resolve(entry).map(|(_, id)| (rule.into(), Some(id))),
    }
}

/// What people found by themselves.
pub(super) fn added(state: &State, list: &mut Vec<Finding>) {
    for kept in state.happened().iter().filter_map(|seq| state.at(*seq)) {
        let Some(Payload::Finding(f)) = kept.now.as_deref() else { continue };
        let mut entries: Vec<u64> = f.entries.iter().filter_map(|id| state.seq_of(id)).collect();
        entries.push(kept.seq);
        let first =
            entries.first().and_then(|seq| state.at(*seq)).map_or(kept.happened_ms, |k| k.happened_ms);
        let found = Finding::of(state, "added", kept.seq, first).saying(f.text.clone());
        list.push(Finding {
            departs: !f.good,
            mark: if f.good { "good" } else { "departs" },
            detail: format!("found by {}", f.person),
            entries,
            by: Some(f.person.clone()),
            ..found
        });
    }
}

fn id_of(state: &State, j: &Judged) -> String {
    let seq = j.entry.as_deref().map_or(Some(0), |id| state.seq_of(id)).unwrap_or(0);
    format!("{}:{seq}", j.rule)
}

/// Puts what people said to each finding beside it.
pub(super) fn say(state: &State, list: &mut Vec<Finding>) {
    let mut places: HashMap<String, usize> =
        list.iter().enumerate().map(|(i, f)| (f.id.clone(), i)).collect();
    for kept in state.happened().iter().filter_map(|seq| state.at(*seq)) {
        let (judged, agrees) = match kept.now.as_deref() {
            Some(Payload::Agreed(j)) => (j, true),
            Some(Payload::SetAside(j)) => (j, false),
            _ => continue,
        };
        let id = id_of(state, judged);
        let place = *places.entry(id.clone()).or_insert_with(|| {
            // Found then, and no longer: corrected since, or read otherwise by this program. What was said to it stays.
            let gone = Finding::of(state, &judged.rule, 0, kept.happened_ms).saying(judged.words.clone());
            list.push(Finding {
                id,
                detail: "found when this was said, and no longer found in the record as it stands".into(),
                entries: judged.entry.as_deref().and_then(|id| state.seq_of(id)).into_iter().collect(),
                ..gone
            });
            list.len() - 1
        });
        let f = &mut list[place];
        f.said.push(Said {
            seq: kept.seq,
            person: judged.person.clone(),
            agrees,
            reason: judged.reason.clone().unwrap_or_default(),
            at_ms: kept.happened_ms,
        });
        let last = |person: &str| f.said.iter().rev().find(|s| s.person == person);
        f.set_aside = f.said.iter().any(|s| last(&s.person).is_some_and(|l| !l.agrees));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_is_rule_and_entry() {
        let state = State::default();
        assert_eq!(key_of(&state, "par_missed:0"), Some(("par_missed".into(), None)));
        assert_eq!((key_of(&state, "silent"), key_of(&state, "silent:7")), (None, None));
    }
}
