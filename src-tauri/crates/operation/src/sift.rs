//! Part of the line: the entries of one person, of one kind, or those that were flagged. Whatever is asked for, a stop stays in
//! sight whole, and every change of the motion, so that the rope tells no lie between two rows.

use crate::event::{Call, Payload};
use crate::flags::latest;
use crate::motion::Motion;
use crate::state::{Kept, State};
use crate::words::commands;
use std::collections::BTreeSet;

/// What is asked for; what is left out asks for everything.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sift {
    /// A person: what was said by or to them in any role they held then, and what was recorded about them.
    pub who: Option<String>,
    /// A kind.
    pub kind: Option<Kind>,
    /// Only what was flagged, or is flagged now.
    pub flagged: bool,
}

/// Kinds of entries that can be asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Orders.
    Orders,
    /// Readbacks and answers.
    Readbacks,
    /// Reports and signals.
    Reports,
    /// Notes.
    Notes,
    /// Who came, went, holds what role and stands where; counts.
    People,
    /// The rig: made, used, checked, signed, accepted.
    Rig,
}

impl Kind {
    /// The kind of this word.
    pub fn of(word: &str) -> Option<Kind> {
        Some(match word {
            "orders" => Kind::Orders,
            "readbacks" => Kind::Readbacks,
            "reports" => Kind::Reports,
            "notes" => Kind::Notes,
            "people" => Kind::People,
            "rig" => Kind::Rig,
            _ => return None,
        })
    }

    fn has(self, payload: &Payload) -> bool {
        use Payload as P;
        match self {
            Kind::Orders => matches!(payload, P::Order(_)),
            Kind::Readbacks => matches!(payload, P::Readback(_) | P::Answer(_)),
            Kind::Reports => matches!(payload, P::Report(_) | P::Signal(_)),
            Kind::Notes => matches!(payload, P::Note(_)),
            Kind::People => matches!(
                payload,
                P::CheckIn(_) | P::CheckOut(_) | P::Assign(_) | P::Relieve(_) | P::Zone(_) | P::Par(_)
            ),
            Kind::Rig => {
                matches!(payload, P::RigSet(_) | P::Use(_) | P::RigChecked(_) | P::Signed(_) | P::Accepted(_))
            }
        }
    }
}

/// Numbers of the entries that are asked for, in the order they happened, as of `now_ms`.
pub fn sift(state: &State, asked: &Sift, now_ms: i64) -> Vec<u64> {
    let mut flagged = BTreeSet::new();
    if asked.flagged {
        flagged
            .extend(latest(state, now_ms, usize::MAX).into_iter().filter_map(|f| f.entries.last().copied()));
    }
    let held: Vec<Held<'_>> = state
        .duties
        .iter()
        .filter(|d| asked.who.as_deref() == Some(d.person.as_str()))
        .map(|d| (d.role.as_str(), d.from_ms, d.to_ms.unwrap_or(i64::MAX)))
        .collect();
    let wanted = |k: &Kept| {
        let said = k.now.as_deref().or(k.first.as_deref());
        let kind = asked.kind.is_none_or(|kind| said.is_some_and(|p| kind.has(p)));
        let who = asked
            .who
            .as_deref()
            .is_none_or(|who| said.is_some_and(|p| concerns(p, k.happened_ms, who, &held)));
        kind && who && (!asked.flagged || flagged.contains(&k.seq))
    };
    let all = state.happened().iter().filter_map(|seq| state.at(*seq));
    all.filter(|k| wanted(k) || stays(state, k)).map(|k| k.seq).collect()
}

/// A role that somebody held, from and to.
type Held<'a> = (&'a str, i64, i64);

/// What stays in sight whatever is asked for: a call of stop in whatever words, all that is said until everyone has
/// stopped, what changes the motion, and what corrects one of these.
fn stays(state: &State, k: &Kept) -> bool {
    if state.stop_of(k.seq).is_some() || state.span_of(k.seq).is_some() {
        return true;
    }
    let stop = &state.guidelines.words.stop;
    let calls = |p: &Payload| p.call().is_some_and(|c| commands(&c.text, stop));
    if k.now.as_deref().is_some_and(calls) || k.first.as_deref().is_some_and(calls) {
        return true;
    }
    let after = state.spans.partition_point(|s| s.from_ms <= k.happened_ms);
    if after.checked_sub(1).is_some_and(|i| state.spans[i].motion == Motion::Stopping) {
        return true;
    }
    // An entry corrects an earlier one: this ends.
    k.corrects.filter(|of| *of < k.seq).and_then(|of| state.at(of)).is_some_and(|of| stays(state, of))
}

fn concerns(payload: &Payload, at_ms: i64, who: &str, held: &[Held<'_>]) -> bool {
    let holds = |role: &str| held.iter().any(|(r, from, to)| *r == role && (*from..*to).contains(&at_ms));
    if let Some(call) = payload.call() {
        let Call { from, from_people, to, to_roles, .. } = call;
        let named = from == who || to.iter().chain(from_people).any(|one| one == who);
        return named || holds(from) || to_roles.iter().any(|role| holds(role));
    }
    match payload {
        Payload::CheckIn(p) => p.person == who,
        Payload::CheckOut(p) => p.person == who,
        Payload::Assign(p) | Payload::Relieve(p) => p.person == who,
        Payload::Zone(p) => p.person == who || p.partner.as_deref() == Some(who),
        Payload::Par(p) => p.missing.iter().any(|one| one == who),
        Payload::Signed(p) => p.person == who,
        Payload::Accepted(p) => p.person == who,
        Payload::Erased(p) => p.person == who,
        _ => false,
    }
}
