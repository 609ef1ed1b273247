//! How much rope is left, from what the rig in use says of its ropes and what was called of the load.

use super::{State, moments::Called};
use crate::motion::Motion;
use rig::units::{Kind, Side, Units};
use std::sync::Arc;

/// What is left of one rope.
#[derive(Clone, Debug, PartialEq)]
pub struct RopeLeft {
    /// Its id in the rig.
    pub rope: Arc<str>,
    /// Its name ("rope one").
    pub label: Arc<str>,
    /// Metres left behind the last thing it runs through ([`rig::Rig::rope_left`]); else why that is not known.
    pub left: Result<f64, NotKnown>,
    /// Less than the guidelines ask to spare.
    pub near: bool,
}

/// Why it is not known how much rope is left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotKnown {
    /// Nobody said how long the rope is.
    Length,
    /// No metres out were called in this run of the load.
    Metres,
}

impl RopeLeft {
    /// "12.4 m left", "rope length not known".
    pub fn words(&self) -> String {
        self.words_in(Units::Si)
    }

    /// The same, its length in the units asked for.
    pub fn words_in(&self, units: Units) -> String {
        match self.left {
            Err(NotKnown::Length) => "rope length not known".into(),
            Err(NotKnown::Metres) => "no metres called yet".into(),
            Ok(left) => left_words(left, units),
        }
    }
}

/// What is left of a rope, m, in words; below 0 more is out than there is: one of the two is wrong, and no number says which.
pub fn left_words(left: f64, units: Units) -> String {
    if left < 0.0 {
        let short = units.told(Kind::Length, -left, &tenths(-left), Side::Up);
        return format!("{short} short: metres or rope length are wrong");
    }
    // Never more than there is.
    format!("{} left", units.told(Kind::Length, left, &tenths(left), Side::Down))
}

/// Tenths of a metre, never more than there are.
fn tenths(metres: f64) -> String {
    ((metres * 10.0 + 1e-6).floor() / 10.0).to_string()
}

/// What is left of each loaded rope, from one entry to the next that says otherwise.
#[derive(Clone, Debug, PartialEq)]
pub struct RopesLeft {
    /// The entry: a call of metres, a rig or its state, an order that begins another run.
    pub seq: u64,
    /// When.
    pub at_ms: i64,
    /// The rig in use.
    pub rig: Arc<str>,
    /// Metres out below the edge as they were called last in this run.
    pub out: Option<f64>,
    /// Each loaded rope that is there in the rig's state.
    pub ropes: Vec<RopeLeft>,
}

/// What is left of the ropes, and what that rests on.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RopeWatch {
    /// Oldest first; the last one stands.
    pub list: Vec<RopesLeft>,
    /// Metres out of this run.
    out: Option<f64>,
    /// The load landed, and has not moved since.
    landed: bool,
}

impl RopeWatch {
    /// What stands.
    pub fn now(&self) -> Option<&RopesLeft> {
        self.list.last()
    }
}

impl State {
    /// Metres out were called.
    pub(super) fn height_called(&mut self, called: Called) {
        self.heights.push(called);
        self.ropes.out = Some(called.metres);
        self.rope_is_left(called.seq, called.at_ms);
    }

    /// The motion turns: what was called before the load landed says nothing of the run that begins when it moves again.
    pub(super) fn ropes_turn(&mut self, motion: Motion, at: i64, seq: u64) {
        if motion == Motion::Landed {
            self.ropes.landed = true;
        } else if motion.moves() && std::mem::take(&mut self.ropes.landed) && self.ropes.out.take().is_some()
        {
            self.rope_is_left(seq, at);
        }
    }

    /// Works out anew how much rope is left, and flags each rope whose end has come near with this entry.
    pub(super) fn rope_is_left(&mut self, seq: u64, at_ms: i64) {
        let (out, spare) = (self.ropes.out, self.guidelines.rope_spare_m.value);
        let Some((name, used)) = self.rig_in_use.as_ref().and_then(|n| Some((n, self.rigs.get(n)?))) else {
            return;
        };
        let Some(state) = used.rig.state(Some(&used.state)) else { return };
        let rig = &used.rig;
        let loaded = rig.ropes.iter().filter(|r| rig.from_load(r) && !state.without.contains(&r.id));
        let ropes: Vec<RopeLeft> = loaded
            .map(|rope| {
                let left = match out {
                    _ if !rig.length_said(rope) => Err(NotKnown::Length),
                    None => Err(NotKnown::Metres),
                    Some(out) => Ok(rig.rope_left(rope, state, out)),
                };
                let near = left.is_ok_and(|left| left < spare);
                RopeLeft { rope: rope.id.as_str().into(), label: rope.label.as_str().into(), left, near }
            })
            .collect();
        let now = RopesLeft { seq, at_ms, rig: name.as_str().into(), out, ropes };
        let before = self.ropes.list.last();
        let was_near = |rope: &RopeLeft| {
            let same = |b: &&RopesLeft| b.rig == now.rig;
            before.filter(same).is_some_and(|b| b.ropes.iter().any(|r| r.rope == rope.rope && r.near))
        };
        let words: Vec<String> = now
            .ropes
            .iter()
            .filter(|rope| rope.near && !was_near(rope))
            .map(|rope| {
                let out = out.unwrap_or_default();
                format!("{}: {} with {out} m out; {spare} m to spare are asked", rope.label, rope.words())
            })
            .collect();
        self.ropes.list.push(now);
        for words in words {
            self.raise("rope_end_near", vec![seq], words);
        }
    }
}
