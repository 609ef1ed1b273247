//! The rig in use, with its last check as it was stored.

use crate::rigs::digest;
use crate::wire::{InsteadOf, RigView, SignatureView};
use operation::State;
use operation::line::clock;
use rig::Rig;
use rig::model::ROPE_LENGTH;
use std::collections::BTreeMap;

/// The rig in use.
pub fn rig(state: &State, offset: i32) -> Option<RigView> {
    let name = state.rig_in_use.clone()?;
    let rig = state.rig_now()?;
    let check = rig.checks.last();
    let guidelines = digest(&state.guidelines);
    let stale = rig.stale() || check.is_some_and(|c| c.report.guidelines_digest != guidelines);
    let signatures = rig.signed.iter().map(|s| SignatureView {
        role: s.role.clone(),
        person: s.person.clone(),
        time: clock(s.at_ms, offset),
        covers: s.check_seq.unwrap_or(0),
        stale: stale || s.check_seq != check.map(|c| c.seq),
    });
    let accepted = rig.accepted.iter().map(|a| {
        let (what, at) = (rig.label(&a.finding, a.check_seq), clock(a.at_ms, offset));
        let stands = !stale && a.check_seq == check.map(|c| c.seq);
        let only = match a.check_seq {
            _ if stands => String::new(),
            Some(n) => format!(" (check {n} only, not what stands now)"),
            None => " (no check was there)".into(),
        };
        format!("{} accepted {what} at {at}{only}: {}", a.who(), a.reason)
    });
    Some(RigView {
        name,
        title: rig.rig.title.clone(),
        template: rig.rig.template.as_ref().map(|t| t.name.clone()),
        set: set(&rig.rig),
        states: rig.rig.states.iter().map(|s| (s.id.clone(), s.label.clone())).collect(),
        state: rig.state.clone(),
        instead_of: instead_of(state, offset),
        check: check.map(|c| c.report.clone()),
        check_seq: check.map(|c| c.seq),
        check_time: check.map(|c| clock(c.at_ms, offset)),
        stale: check.is_some() && stale,
        signatures: signatures.collect(),
        accepted: accepted.collect(),
    })
}

/// What was set in its template; without the length of its ropes where nobody said it.
fn set(rig: &Rig) -> BTreeMap<String, String> {
    let mut set = rig.template.as_ref().map(|made| made.set.clone()).unwrap_or_default();
    if rig.ropes.iter().any(|rope| !rig.length_said(rope)) {
        set.remove(ROPE_LENGTH);
    }
    set
}

/// The rig the team was on, while the one in use is so only because it was made last.
fn instead_of(state: &State, offset: i32) -> Option<InsteadOf> {
    let made = state.by_making.as_ref()?;
    let was = state.rigs.get(&made.was)?;
    let mode = was.rig.states.iter().find(|s| s.id == was.state);
    Some(InsteadOf {
        rig: made.was.clone(),
        state: mode.map_or_else(|| was.state.replace('_', " "), |s| s.label.clone()),
        time: clock(made.at_ms, offset),
        seq: made.seq,
    })
}
