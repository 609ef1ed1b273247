//! Motion, unanswered orders and order keys.

use crate::wire::{
    ChangeOverLine, ChangeOverView, DoesView, MotionView, OrderKey, PhaseView, RollCallView, Slot,
};
use operation::change_over::{self, Does, Item};
use operation::line::clock;
use operation::motion::Motion;
use operation::state::{Loop, Wait};
use operation::step::ZoneName;
use operation::{State, suggest};

/// What the load is doing.
pub fn motion(state: &State, offset: i32) -> MotionView {
    let called = state.heights.last();
    let stop = state.stops.last().filter(|_| state.motion == Motion::Stopping);
    let silent: Vec<String> = stop
        .map(|s| s.silent())
        .unwrap_or_default()
        .iter()
        .map(|r| state.guidelines.short(r).to_string())
        .collect();
    let detail = if !silent.is_empty() {
        format!("silent: {}", silent.join(", "))
    } else if stop.is_some() {
        "nobody is assigned to report stopped".into()
    } else {
        match (called, state.facts.edge_height_m) {
            (Some(c), Some(edge)) => {
                format!("{} m out of {edge}, called {}", c.metres, clock(c.at_ms, offset))
            }
            (Some(c), None) => format!("{} m out, called {}", c.metres, clock(c.at_ms, offset)),
            (None, _) => String::new(),
        }
    };
    MotionView {
        motion: state.motion.word().into(),
        words: if state.slow && state.motion.moves() {
            format!("{}, slow", state.motion.words())
        } else {
            state.motion.words().into()
        },
        since_ms: state.motion_since() as f64,
        slow: state.slow,
        detail,
        silent,
        metres_out: called.map(|c| c.metres),
        metres_ms: called.map(|c| c.at_ms as f64),
        ropes: super::ropes::ropes(state),
        nobody_on_rope: state.motion.moves() && state.in_zone(ZoneName::OnRope).is_empty(),
        phase: state.phase().map(|p| PhaseView {
            phase: p.phase.word().into(),
            words: p.words(),
            since_ms: p.from_ms as f64,
            seq: p.seq,
            done: change_over::phase_done(state).map(does),
        }),
    }
}

/// Orders that someone has not read back, oldest first.
pub fn slots(state: &State) -> Vec<Slot> {
    let waits =
        |l: &'_ Loop| l.waits.iter().filter(|w| w.waits()).map(|w| slot(state, l, w)).collect::<Vec<_>>();
    state.unanswered().flat_map(waits).collect()
}

fn slot(state: &State, l: &Loop, w: &Wait) -> Slot {
    let rule = state.guidelines.role(&w.role);
    let said = w.wrong.last().map(|wrong| wrong.2.clone());
    Slot {
        order: state.at(l.seq).map(|kept| kept.id.to_string()).unwrap_or_default(),
        text: l.text.clone(),
        role: w.role.clone(),
        short: state.guidelines.short(&w.role).to_string(),
        code: rule.map(|r| r.code.clone()).unwrap_or_default(),
        since_ms: l.at_ms as f64,
        limit_s: if l.stop { state.guidelines.stop_s.value } else { state.guidelines.readback_s.value },
        state: if l.stop {
            "stop"
        } else if said.is_some() {
            "wrong"
        } else {
            "waiting"
        }
        .into(),
        said,
    }
}

/// Order keys; place and key never change, only the weight.
pub fn order_keys(state: &State) -> Vec<OrderKey> {
    suggest::ORDER_KEYS
        .iter()
        .map(|(key, text)| OrderKey {
            key: (*key).into(),
            text: (*text).into(),
            now: suggest::makes_sense(state.motion, text),
        })
        .collect()
}

fn does(d: Does) -> DoesView {
    DoesView { label: d.label, step: d.step }
}

/// The last roll call.
pub fn roll_call(state: &State) -> Option<RollCallView> {
    let roll = state.roll_call()?;
    Some(RollCallView {
        text: roll.text,
        at_ms: roll.at_ms as f64,
        seq: roll.seq,
        of: roll.answered.len() + roll.silent.len(),
        silent: roll.silent.iter().map(|r| state.guidelines.short(r).to_string()).collect(),
    })
}

/// The change-over's list, for the likely direction first.
pub fn change_over(state: &State) -> Vec<ChangeOverView> {
    if state.facts.closed_ms.is_some() {
        return vec![];
    }
    let likely = change_over::goes_to(state);
    let line = |i: Item| ChangeOverLine {
        id: i.id.into(),
        words: i.words,
        standing: i.standing.word().into(),
        found: i.found,
        does: i.does.into_iter().map(does).collect(),
    };
    [likely, change_over::other(likely)]
        .into_iter()
        .map(|to| ChangeOverView {
            to: if to == Motion::Raising { "raise" } else { "lower" }.into(),
            lines: change_over::list(state, to).into_iter().map(line).collect(),
        })
        .collect()
}
