//! The commander's window: what stands, without the line.

use super::{calls, clock_view, offset_min, people, rig as rigs};
use crate::Session;
use crate::wire::{CommanderView, DatedFlag, RigStands};
use operation::Flag;
use operation::State;
use operation::clock::Now;
use operation::flags::latest;
use operation::state::ParState;
use operation::step::Purpose;
use rig::findings::Verdict;

/// Flags of the movement, which have no place of their own on that window. Others are shown where they belong (who is
/// silent, who stands in the drop zone), or are the scribe's matter (a late entry).
const OF_THE_MOVEMENT: [&str; 17] = [
    "contradicting_orders",
    "move_during_stop",
    "role_not_ready",
    "role_excluded",
    "unequal_tension",
    "moved_unsigned",
    "moved_on_failing_check",
    "stop_nobody_assigned",
    "no_roll_call",
    "no_load_test",
    "handover_unconfirmed",
    "par_after_event",
    "span_of_control",
    "role_held_long",
    "phase_not_done",
    "rope_end_near",
    "change_over_skipped",
];

/// Flags that entries raised that are looked through, the newest.
const LOOKED_AT: usize = 200;

/// What stands as of `now`. Reads only.
pub fn commander(session: &Session, now: impl Into<Now>) -> CommanderView {
    let present = now.into();
    let state = &session.state;
    let now = state.facts.closed_ms.unwrap_or(present.line_ms);
    let slots = calls::slots(state);
    CommanderView {
        name: state.facts.name.clone(),
        purpose: if state.facts.purpose == Some(Purpose::Rescue) { "rescue" } else { "drill" }.into(),
        closed_ms: state.facts.closed_ms.map(|ms| ms as f64),
        offset_min: offset_min(state),
        now_ms: present.line_ms as f64,
        clock: clock_view(session, &present),
        motion: calls::motion(state, offset_min(state)),
        par: people::par(state, now),
        par_missing: state.pars.last().map(ParState::missing),
        people: people::people(state, &slots, now),
        slots,
        roles: people::roles(state).into_iter().filter(|r| r.needed).collect(),
        rig: rig_stands(state),
        flags: flags(state, now),
        watches: people::watches(state),
        writes: session.writes(),
        trouble: session.trouble.as_ref().map(ToString::to_string),
    }
}

fn rig_stands(state: &State) -> Option<RigStands> {
    let view = rigs::rig(state, 0)?;
    let check = match &view.check {
        None => "not_checked",
        Some(_) if view.stale => "stale",
        Some(report) => match report.verdict {
            Verdict::FallsShort => "falls_short",
            Verdict::NotChecked => "not_checked_whole",
            Verdict::Holds => "holds",
        },
    };
    Some(RigStands {
        name: view.name,
        check: check.into(),
        signed: view.signatures.iter().any(|signature| !signature.stale),
    })
}

/// Flags of the movement: what stands first, then the newest; the same said again is one.
fn flags(state: &State, now: i64) -> Vec<DatedFlag> {
    let ours = |all: Vec<Flag>| all.into_iter().rev().filter(|f| OF_THE_MOVEMENT.contains(&f.id));
    // Without those that entries raised, what is left stands now, whenever it began.
    let standing = ours(latest(state, now, 0)).map(|flag| dated(state, flag, true, now));
    let raised = ours(latest(state, now, LOOKED_AT)).map(|flag| dated(state, flag, false, now));
    let mut out: Vec<DatedFlag> = vec![];
    for one in standing.chain(raised) {
        if !out.iter().any(|o| o.id == one.id && (o.stands || o.words == one.words)) {
            out.push(one);
        }
    }
    out
}

fn dated(state: &State, flag: Flag, stands: bool, now: i64) -> DatedFlag {
    let at_ms = flag.entries.iter().filter_map(|seq| Some(state.at(*seq)?.line_ms)).max().unwrap_or(now);
    DatedFlag { id: flag.id.into(), words: flag.words, at_ms: at_ms as f64, stands }
}
