//! Entries of the review in words, and gear that is out of use.

use crate::event::Payload;
use crate::state::State;

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
        other => (String::new(), other.kind().replace('_', " ")),
    }
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
