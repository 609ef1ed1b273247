//! Phases inside the motion: control's order begins one; a report that it is done ends it, or the motion that goes on.

use super::State;
use crate::event::{Call, Payload};
use crate::judge;
use crate::motion::Motion;
use crate::phase::{Phase, PhaseEnd, PhaseSpan};
use crate::words::{Said, has_word};
use rig::guidelines::Phrases;

const ALL: [Phase; 3] = [Phase::KnotPass, Phase::Reset, Phase::ChangeOver];

impl State {
    /// The phase that lasts, if one does.
    pub fn phase(&self) -> Option<&PhaseSpan> {
        self.phases.last().filter(|p| p.to_ms.is_none())
    }

    /// The phase that an entry at this place on the line lies in, from the order that begins it up to the entry before its end.
    pub fn phase_at(&self, at_ms: i64, seq: u64) -> Option<&PhaseSpan> {
        let begun = |p: &&PhaseSpan| (p.from_ms, p.seq) <= (at_ms, seq);
        let last = self.phases.iter().rev().find(begun)?;
        let over = last.to_ms.zip(last.end).is_some_and(|(to, (_, by))| (to, by) <= (at_ms, seq));
        (!over).then_some(last)
    }

    /// What phase an entry ended, in words; empty: none.
    pub fn phase_words(&self, seq: u64) -> String {
        let ends = |p: &&PhaseSpan| p.end.is_some_and(|(_, by)| by == seq);
        let Some(p) = self.phases.iter().rev().find(ends) else { return String::new() };
        let lasted = super::span_words(p.to_ms.unwrap_or(p.from_ms) - p.from_ms);
        match p.end {
            Some((PhaseEnd::Done, _)) => format!("{} done after {lasted}", p.words()),
            // A haul is ordered on, and seldom said to be drawn out.
            _ if p.phase == Phase::Reset => format!("{} over after {lasted}", p.words()),
            _ => format!("ends the {} after {lasted}, not reported done", p.words()),
        }
    }

    fn phrases(&self, phase: Phase) -> &Phrases {
        let words = &self.words.phases;
        match phase {
            Phase::KnotPass => &words.knot_pass,
            Phase::Reset => &words.reset,
            Phase::ChangeOver => &words.change_over,
        }
    }

    /// Control's order may begin one. The same ordered again while it lasts is the same.
    pub(super) fn phase_by_order(&mut self, seq: u64, at: i64, call: &Call, said: &Said) {
        let Some(phase) = ALL.into_iter().find(|p| said.commands(&self.phrases(*p).begins)) else { return };
        if !self.speaks_for(&call.from, "control") {
            return;
        }
        let to = if phase == Phase::ChangeOver { self.changes_to(&call.text) } else { None };
        let ropes = judge::ropes_named(&call.text);
        let same = |p: &&mut PhaseSpan| p.to_ms.is_none() && p.phase == phase && p.ropes == ropes;
        if let Some(lasts) = self.phases.last_mut().filter(same)
            && (to.is_none() || lasts.to.is_none() || lasts.to == to)
        {
            lasts.to = lasts.to.or(to);
            return;
        }
        self.end_phase(PhaseEnd::Unsaid, seq, at);
        let begun =
            PhaseSpan { phase, to, seq, from_ms: at, to_ms: None, end: None, ropes, ropes_done: vec![] };
        self.phases.push(begun);
    }

    /// “change over to raise”: to which movement.
    fn changes_to(&self, text: &str) -> Option<Motion> {
        let names = |list: &[String]| has_word(text, &list.iter().map(String::as_str).collect::<Vec<_>>());
        match (names(&self.words.lower), names(&self.words.raise)) {
            (true, false) => Some(Motion::Lowering),
            (false, true) => Some(Motion::Raising),
            _ => None,
        }
    }

    /// Whatever tells that the phase is done ends it: on each rope it is for, where only one is spoken of.
    pub(super) fn phase_by_report(
        &mut self,
        seq: u64,
        at: i64,
        payload: &Payload,
        (call, said): (&Call, &Said),
    ) {
        if matches!(payload, Payload::Order(_) | Payload::Readback(_)) {
            return;
        }
        let Some(phase) = self.phase().map(|p| p.phase) else { return };
        if !said.states(&self.phrases(phase).done) {
            return;
        }
        let (needed, told) = match phase {
            // A haul is drawn out as one, whoever says so.
            Phase::Reset => (vec![], vec![]),
            _ => (self.ropes_worked(), self.ropes_told(call)),
        };
        let Some(lasts) = self.phases.last_mut() else { return };
        let needed = if lasts.ropes.is_empty() { needed } else { lasts.ropes.clone() };
        lasts.ropes_done.extend(told.iter().cloned());
        if told.is_empty() || needed.iter().all(|rope| lasts.ropes_done.contains(rope)) {
            self.end_phase(PhaseEnd::Done, seq, at);
        }
    }

    /// Ropes whose devices have an operator now, as their roles name them.
    fn ropes_worked(&self) -> Vec<String> {
        self.operators(false).iter().flat_map(|role| judge::ropes_named(role)).collect()
    }

    /// Ropes that a report speaks of: those it names, else the one that its speaker works.
    fn ropes_told(&self, call: &Call) -> Vec<String> {
        let named = judge::ropes_named(&call.text);
        if !named.is_empty() {
            return named;
        }
        let works = self.operators(false);
        let roles = self.speaks_as(&call.from);
        roles.iter().filter(|role| works.contains(role)).flat_map(|role| judge::ropes_named(role)).collect()
    }

    /// The load was ordered to move. A reset ends with any order to haul on; what is done at a standstill ends when the load
    /// leaves it: a knot goes through a device while the load creeps.
    pub(super) fn phase_moves_on(&mut self, seq: u64, at: i64, to: Motion) {
        let Some(lasts) = self.phase() else { return };
        if lasts.phase != Phase::Reset && self.motion == to {
            return;
        }
        // A change-over to the way it goes has a list of its own.
        if lasts.phase == Phase::KnotPass || lasts.to.is_some_and(|way| way != to) {
            let (began, words) = (lasts.seq, lasts.words());
            let words = format!("ordered to move before the {words} (order {began}) was reported done");
            self.raise("phase_not_done", vec![began, seq], words);
        }
        self.end_phase(PhaseEnd::Unsaid, seq, at);
    }

    pub(super) fn end_phase(&mut self, how: PhaseEnd, seq: u64, at: i64) {
        if let Some(lasts) = self.phases.last_mut().filter(|p| p.to_ms.is_none()) {
            lasts.to_ms = Some(at);
            lasts.end = Some((how, seq));
        }
    }
}
