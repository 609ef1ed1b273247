//! The load: its speed between called heights, how much rope was left, and resets of the hauling system.

use super::{Measured, seconds};
use crate::event::Payload;
use crate::motion::Motion;
use crate::state::State;
use crate::words::Said;
use serde::Serialize;
use ts_rs::TS;

/// Speed between two called heights.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct Speed {
    /// Entry of the first call.
    pub from_seq: u64,
    /// Entry of the second.
    pub to_seq: u64,
    /// When the first was called.
    pub from_ms: i64,
    /// When the second was.
    pub to_ms: i64,
    /// Metres out below the edge at the first.
    pub from_m: f64,
    /// At the second.
    pub to_m: f64,
    /// How long the load was lowered or raised between them, s.
    pub moving_s: f64,
    /// Metres a minute of that; down is positive.
    pub m_per_min: f64,
}

/// A reset of the hauling system.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct Reset {
    /// Entry number of the order.
    pub seq: u64,
    /// When.
    pub at_ms: i64,
    /// Until the load was raised again, s; `None`: it was not.
    pub until_raise_s: Option<f64>,
}

/// The least that was left of a rope.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct RopeLeast {
    /// Name of the rig.
    pub rig: String,
    /// Id of the rope in it.
    pub rope: String,
    /// Its name.
    pub label: String,
    /// The least, m; `None`: not known.
    pub left_m: Option<f64>,
    /// Metres out below the edge then.
    pub out_m: Option<f64>,
    /// Less than the guidelines ask to spare.
    pub near: bool,
    /// In words ("12.4 m left", "rope length not known").
    pub words: String,
    /// The entry it rests on: the call of metres, or the rig.
    pub seq: u64,
}

/// Less movement than this between two calls says nothing of the speed, ms.
const LEAST_MS: i64 = 1000;

/// Speed between called heights.
pub(super) fn speeds(state: &State, end: i64) -> Measured<Vec<Speed>> {
    let mut list = vec![];
    for (a, b) in state.heights.iter().zip(state.heights.iter().skip(1)) {
        let within =
            || state.spans.iter().filter(|s| s.from_ms < b.at_ms && s.to_ms.unwrap_or(end) > a.at_ms);
        // Over a whole rest, landed or tied off, another run begins: what was called before it is no start of it.
        let rests = within().any(|s| {
            matches!(s.motion, Motion::Landed | Motion::TiedOff)
                && s.from_ms >= a.at_ms
                && s.to_ms.unwrap_or(end) <= b.at_ms
        });
        let moving_ms: i64 = within()
            .filter(|s| s.motion.moves())
            .map(|s| s.to_ms.unwrap_or(end).min(b.at_ms) - s.from_ms.max(a.at_ms))
            .sum();
        if rests || moving_ms < LEAST_MS {
            continue;
        }
        let moving_s = moving_ms as f64 / 1000.0;
        list.push(Speed {
            from_seq: a.seq,
            to_seq: b.seq,
            from_ms: a.at_ms,
            to_ms: b.at_ms,
            from_m: a.metres,
            to_m: b.metres,
            moving_s,
            m_per_min: (b.metres - a.metres) / moving_s * 60.0,
        });
    }
    Measured {
        how: "metres between two calls that follow each other, over the time in which the load was lowered or raised between \
              them (stops left out; under 1 s, or over a rest landed or tied off, it is not given); down is positive; as exact as \
              the heights that were called"
            .into(),
        value: list,
    }
}

/// The least rope left on each loaded rope of each rig.
pub(super) fn ropes(state: &State) -> Measured<Vec<RopeLeast>> {
    let mut list: Vec<RopeLeast> = vec![];
    for at in &state.ropes.list {
        for rope in &at.ropes {
            let now = RopeLeast {
                rig: at.rig.to_string(),
                rope: rope.rope.to_string(),
                label: rope.label.to_string(),
                left_m: rope.left.ok(),
                out_m: at.out,
                near: rope.near,
                words: rope.words(),
                seq: at.seq,
            };
            match list.iter_mut().find(|r| r.rig == now.rig && r.rope == now.rope) {
                None => list.push(now),
                Some(least) => {
                    let less = now.left_m.is_some_and(|left| least.left_m.is_none_or(|was| left < was));
                    if less {
                        *least = now;
                    }
                }
            }
        }
    }
    Measured {
        how: format!(
            "length of the rope as it was said, less rope for knots, less its way above the edge as the rig places it, less \
             metres out as they were called; stretch is left out; a rope whose length nobody said is not known; {} m to spare \
             are asked ({})",
            state.guidelines.rope_spare_m.value, state.guidelines.rope_spare_m.source
        ),
        value: list,
    }
}

/// Resets, each an order to reset.
pub(super) fn resets(state: &State) -> Measured<Vec<Reset>> {
    let reset = ["reset".to_string()];
    let orders = || {
        let is_order =
            |seq: u64| matches!(state.at(seq).and_then(|k| k.now.as_deref()), Some(Payload::Order(_)));
        state.loops.iter().filter(move |l| !l.stop && is_order(l.seq))
    };
    // The load may hang on the capture meanwhile and still count as raising: the next order to raise ends it.
    let raises: Vec<i64> = orders()
        .filter(|l| Said::of(&l.text).commands(&state.guidelines.words.raise))
        .map(|l| l.at_ms)
        .collect();
    let list = orders().filter(|l| Said::of(&l.text).commands(&reset)).map(|l| {
        let raised = raises.iter().find(|at| **at > l.at_ms);
        Reset { seq: l.seq, at_ms: l.at_ms, until_raise_s: raised.map(|at| seconds(l.at_ms, *at)) }
    });
    Measured {
        how: "orders that begin with “reset”; each lasts until the next order to raise".into(),
        value: list.collect(),
    }
}
