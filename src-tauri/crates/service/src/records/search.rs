//! Finding words in what was said, in people, places and gear.

use super::Read;
use crate::wire::Hit;
use operation::Payload;
use operation::line::{clock, said};

/// Most hits that are listed.
const MOST: usize = 200;

/// Without case and accents.
fn plain(text: &str) -> String {
    deunicode::deunicode(text).to_lowercase()
}

/// Entries that hold each of the words, newest operation first; how many more there are. A word of the operation's own name or
/// place finds the operation, by its opening.
pub(super) fn find(all: &[Read], text: &str) -> (Vec<Hit>, u64) {
    let words: Vec<String> = plain(text).split_whitespace().map(str::to_string).collect();
    let (mut hits, mut more) = (vec![], 0);
    if words.is_empty() {
        return (hits, more);
    }
    for r in all {
        for kept in r.state.happened().iter().filter_map(|seq| r.state.at(*seq)) {
            let Some(payload) = kept.now.as_deref() else { continue };
            let (who, text) = said(&r.state, payload);
            let whole = plain(&format!("{who} {text} {} {}", people(payload), gear(payload)));
            if !words.iter().all(|w| whole.contains(w.as_str())) {
                continue;
            }
            if hits.len() == MOST {
                more += 1;
                continue;
            }
            hits.push(Hit {
                file: r.file.display().to_string(),
                operation: r.name(),
                when: r.when(),
                seq: kept.seq,
                time: clock(kept.told_ms, kept.offset_min),
                who,
                text,
            });
        }
    }
    (hits, more)
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
