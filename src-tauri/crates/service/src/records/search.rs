//! Finding words in what was said, in people, places and gear.

use crate::wire::{Hit, RecordedOperation};
use operation::Payload;
use operation::line::{clock, said};
use operation::state::State;

/// Most hits that are listed.
const MOST: usize = 200;

/// Without case and accents.
fn plain(text: &str) -> String {
    deunicode::deunicode(text).to_lowercase()
}

/// What is asked for, word by word.
pub(super) fn words(text: &str) -> Vec<String> {
    plain(text).split_whitespace().map(str::to_string).collect()
}

/// Entries that were found, and how many more there are.
#[derive(Debug, Default)]
pub(super) struct Found {
    pub hits: Vec<Hit>,
    pub more: u64,
}

impl Found {
    fn one(&mut self, hit: Hit) {
        if self.hits.len() < MOST {
            self.hits.push(hit);
        } else {
            self.more += 1;
        }
    }

    /// What was found in the next operation.
    pub fn add(&mut self, next: Found) {
        next.hits.into_iter().for_each(|hit| self.one(hit));
        self.more += next.more;
    }
}

/// Entries of one operation that hold each of the words. A word of the operation's own name or place finds it, by its opening.
pub(super) fn find(state: &State, of: &RecordedOperation, words: &[String]) -> Found {
    let mut found = Found::default();
    if words.is_empty() {
        return found;
    }
    for kept in state.happened().iter().filter_map(|seq| state.at(*seq)) {
        let Some(payload) = kept.now.as_deref() else { continue };
        let (who, text) = said(state, payload);
        let whole = plain(&format!("{who} {text} {} {}", people(payload), gear(payload)));
        if !words.iter().all(|w| whole.contains(w.as_str())) {
            continue;
        }
        found.one(Hit {
            file: of.file.clone(),
            operation: of.name.clone(),
            when: of.when.clone(),
            seq: kept.seq,
            time: clock(kept.told_ms, kept.offset_min),
            who,
            text,
        });
    }
    found
}

/// Who spoke and who was spoken to, by name too.
fn people(payload: &Payload) -> String {
    let call = payload.call();
    call.map_or(String::new(), |c| format!("{} {} {}", c.from, c.from_people.join(" "), c.to.join(" ")))
}

/// What a rig is made of, by name.
fn gear(payload: &Payload) -> String {
    match payload {
        Payload::RigSet(set) => {
            let parts = set.rig.parts.iter().map(|p| p.label.as_str());
            parts.chain(set.rig.ropes.iter().map(|r| r.label.as_str())).collect::<Vec<_>>().join(" ")
        }
        _ => String::new(),
    }
}
