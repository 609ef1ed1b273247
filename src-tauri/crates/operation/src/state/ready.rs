//! What should have been said before the load moves or goes to the edge: a roll call since the last stop, a hand-over confirmed
//! by both, a load test.

use super::{Loop, State};
use crate::event::{Call, Payload};
use crate::motion::{Motion, Span};
use crate::step::Act;
use crate::words::Said;

/// A roll call, a radio check or a question whether everyone is ready: who answered and when, and who did not.
#[derive(Clone, Debug, PartialEq)]
pub struct RollCall {
    /// Entry number.
    pub seq: u64,
    /// When it was called.
    pub at_ms: i64,
    /// Its words.
    pub text: String,
    /// Roles that answered, and when.
    pub answered: Vec<(String, i64)>,
    /// Roles that did not.
    pub silent: Vec<String>,
}

/// Words by which a giver hands a role over.
const GIVES: [&str; 6] = ["hand", "handing", "handed", "yours", "giving", "given"];
/// Who goes to the edge to work there, and is not the load.
const AT_WORK: [&str; 4] = ["edge attendant", "rigging lead", "safety officer", "incident commander"];

/// Whether an order asks everyone it is for to answer: a roll call, a radio check, a question whether they are ready.
pub(super) fn calls_the_roll(l: &Loop) -> bool {
    !l.stop && (l.ready || l.text.to_lowercase().contains("radio check"))
}

impl State {
    /// The last roll call, with what came of it so far.
    pub fn roll_call(&self) -> Option<RollCall> {
        let l = self.loops.get(self.roll?)?;
        let answered = l.waits.iter().filter_map(|w| w.done.map(|(_, at)| (w.role.clone(), at)));
        let silent = l.waits.iter().filter(|w| w.waits()).map(|w| w.role.clone());
        let (seq, at_ms, text) = (l.seq, l.at_ms, l.text.clone());
        Some(RollCall { seq, at_ms, text, answered: answered.collect(), silent: silent.collect() })
    }

    /// What stands against moving the load for want of a roll call: the stop since which there was none, and words.
    fn roll_call_missing(&self) -> Option<(u64, String)> {
        let stop = self.stops.last()?;
        // Only the first movement after a stop: the next ones have been told.
        let moved =
            self.spans.iter().rev().find(|s| s.motion.moves()).is_some_and(|s| s.from_ms > stop.at_ms);
        let mut since = self.loops.iter().rev().take_while(|l| l.at_ms >= stop.at_ms);
        let called = since.any(|l| calls_the_roll(l) && !l.waits.is_empty());
        let words = || {
            format!("no roll call since the stop by {} in entry {}: call the roll first", stop.from, stop.seq)
        };
        (!moved && !called).then(|| (stop.seq, words()))
    }

    /// The order in entry `seq` moves the load, and nobody called the roll since the stop before it.
    pub(super) fn roll_call_flag(&mut self, seq: u64) {
        if let Some((stop, words)) = self.roll_call_missing() {
            self.raise("no_roll_call", vec![stop, seq], format!("ordered to move with {words}"));
        }
    }

    /// Roles that work the load and were taken over since it first hung, where whoever gave them did not say so: the entry
    /// of each, and words.
    fn givers_silent(&self) -> Vec<(u64, String)> {
        let words = |(seq, from, to, role): (u64, String, String, String)| {
            (seq, format!("{from} had said that {to} has {role} (entry {seq}): both confirm a hand-over"))
        };
        self.not_given().into_iter().map(words).collect()
    }

    /// The same by entry, giver, taker and role.
    pub(crate) fn not_given(&self) -> Vec<(u64, String, String, String)> {
        let Some(hung) = self.hung_since() else { return vec![] };
        let works = |role: &str| role == "control" || self.operators(false).iter().any(|r| r == role);
        let mut found = vec![];
        for (i, d) in self.duties.iter().enumerate().filter(|(_, d)| d.to_ms.is_none() && works(&d.role)) {
            let before = self.duties[..i].iter().rev().find(|o| o.role == d.role);
            let Some(giver) = before.filter(|o| o.person != d.person && d.from_ms > hung) else { continue };
            let here = self.person(&giver.person).is_some_and(|p| p.out_ms.is_none());
            if here && !self.gave(&giver.person, &d.role, d.from_ms) {
                found.push((d.seq, giver.person.clone(), d.person.clone(), d.role.clone()));
            }
        }
        found
    }

    /// The order in entry `seq` moves the load before every giver has said it.
    pub(super) fn given_flag(&mut self, seq: u64) {
        for (taken, words) in self.givers_silent() {
            let words = format!("ordered to move before {words}");
            self.raise("handover_unconfirmed", vec![taken, seq], words);
        }
    }

    /// What the scribe should know before an order is recorded: what is told already, else what was left out before it.
    pub(crate) fn doubt(&self, told: &str, act: &Act) -> String {
        let Act::Order(order) = act else { return told.into() };
        let said = Said::of(&order.text);
        if !told.is_empty() || said.commands(&self.words.stop) {
            return told.into();
        }
        let moves = said.commands(&self.words.lower) || said.commands(&self.words.raise);
        let may = moves && self.motion != Motion::Stopping && self.speaks_for(&order.from, "control");
        let mut doubts: Vec<String> = vec![];
        if may {
            doubts.extend(self.roll_call_missing().map(|m| m.1));
            doubts.extend(self.givers_silent().into_iter().map(|g| format!("wait until {}", g.1)));
            let up = said.commands(&self.words.raise);
            let to = if up { Motion::Raising } else { Motion::Lowering };
            doubts.extend(crate::change_over::skipped(self, to).map(|s| s.1));
        }
        let to = self.roles_meant(&order.to, &order.from);
        doubts.extend(self.load_test_missing(&to, &said).map(|m| m.1));
        doubts.join("; ")
    }

    /// Since when the load has hung, or been tried: nothing was in anyone's hands before.
    fn hung_since(&self) -> Option<i64> {
        let hangs = |m: Motion| m.moves() || matches!(m, Motion::UnderLoadTest | Motion::AtTheEdge);
        self.spans.iter().find(|s| hangs(s.motion)).map(|s| s.from_ms)
    }

    /// Whether a giver said a word by name since the role changed hands, or said before it, since the load last moved, that
    /// it would.
    fn gave(&self, giver: &str, role: &str, at: i64) -> bool {
        let stood = self.spans.iter().rev().find(|s| s.motion.moves() && s.from_ms < at);
        let since = stood.and_then(|s| s.to_ms).unwrap_or(i64::MIN);
        let calls = self.order.iter().rev().filter_map(|seq| self.at(*seq));
        let mut calls = calls.take_while(|k| k.happened_ms >= since).filter_map(|k| {
            let call = k.now.as_deref().and_then(Payload::call)?;
            Some((k.happened_ms, call))
        });
        let by = |c: &Call| {
            c.from == giver || (c.from_people.iter().any(|p| p == giver) && self.role_name(&c.from) == role)
        };
        calls.any(
            |(when, c)| {
                if when >= at { c.from == giver } else { by(c) && Said::of(&c.text).has_word(&GIVES) }
            },
        )
    }

    /// What stands against an order to these roles, if it is one to the edge, for want of a load test on the rig as it is: the
    /// entry of the rig, if there is one, and words.
    fn load_test_missing(&self, to: &[String], said: &Said) -> Option<(Option<u64>, String)> {
        let phrases = ["to the edge", "over the edge", "to the lip", "over the lip"].map(str::to_string);
        let goes = said.states(&phrases) || said.states(&self.words.at_the_edge);
        if !goes || to.iter().all(|r| AT_WORK.contains(&r.as_str())) {
            return None;
        }
        let rig = self.rig_now().map(|r| r.seq);
        let entered = rig.and_then(|seq| self.at(seq)).map_or(i64::MIN, |k| k.happened_ms);
        let tested = |s: &Span| s.motion == Motion::UnderLoadTest && s.to_ms.is_none_or(|to| to > entered);
        let words = match rig {
            Some(rig) => format!("no load test since the rig was entered ({rig})"),
            None => "no load test".into(),
        };
        (!self.spans.iter().any(tested)).then_some((rig, words))
    }

    /// The order in entry `seq` goes to the edge, with no load test on the rig as it is.
    pub(super) fn edge_flag(&mut self, seq: u64, call: &Call, said: &Said) {
        if let Some((rig, words)) = self.load_test_missing(&call.to_roles, said) {
            let entries = rig.into_iter().chain([seq]).collect();
            self.raise("no_load_test", entries, format!("ordered to the edge with {words}"));
        }
    }
}
