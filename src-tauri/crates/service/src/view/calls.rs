//! Motion, unanswered orders and order keys.

use crate::wire::{MotionView, OrderKey, Slot};
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
        nobody_on_rope: state.motion.moves() && state.in_zone(ZoneName::OnRope).is_empty(),
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
