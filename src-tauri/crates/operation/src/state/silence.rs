//! Who is not heard: people by name, roles that do not answer, and whoever hangs still. Clocks run from entries to a “now”
//! that is handed in.

use super::State;
use crate::event::{Call, Payload};
use crate::motion::Motion;
use crate::step::ZoneName;
use crate::words::Said;
use rig::guidelines::Limit;
use std::collections::BTreeMap;

/// A role that has not said a word since something was called to it.
#[derive(Clone, Debug, PartialEq)]
pub struct Silence {
    /// The role.
    pub role: String,
    /// Entry number of the first call it did not answer.
    pub seq: u64,
    /// Its words.
    pub text: String,
    /// When.
    pub since_ms: i64,
}

/// Someone who was said to hang without moving.
#[derive(Clone, Debug, PartialEq)]
pub struct Still {
    /// A person's name, or “patient”.
    pub who: String,
    /// When it was said.
    pub from_ms: i64,
    /// When it ended; `None`: still.
    pub to_ms: Option<i64>,
    /// Entry number.
    pub seq: u64,
}

/// A person who was not heard of for too long, and then was.
#[derive(Clone, Debug, PartialEq)]
pub struct Gap {
    /// Who.
    pub who: String,
    /// Heard of last.
    pub from_ms: i64,
    /// Heard of again.
    pub to_ms: i64,
    /// Entry number of that.
    pub seq: u64,
}

const STILL: [&str; 9] = [
    "motionless",
    "not moving",
    "hangs still",
    "hanging still",
    "unresponsive",
    "unconscious",
    "does not move",
    "doesn't move",
    "doesn’t move",
];
const MOVES: [&str; 8] =
    ["moving", "moves", "responds", "responding", "talking", "awake", "off rope", "on the ground"];
const PATIENT: [&str; 4] = ["patient", "casualty", "subject", "victim"];
/// Things that stand still as well, and hang in no harness.
const THINGS: [&str; 11] =
    ["rope", "ropes", "load", "litter", "line", "lines", "system", "haul", "everything", "device", "team"];

fn phrases(list: &[&str]) -> Vec<String> {
    list.iter().map(|p| (*p).to_string()).collect()
}

/// Whether a name stands for a patient, who answers no call.
pub(crate) fn is_patient(name: &str) -> bool {
    Said::of(name).words().next().is_some_and(|w| PATIENT.contains(&w))
}

impl State {
    /// Roles that have not said a word since something was called to them, by the oldest such call. It is the holder who
    /// counts: a person who spoke in another role is there. A vacant role cannot be silent, and the scribe writes.
    pub fn silences(&self) -> Vec<Silence> {
        let mut found: Vec<Silence> = vec![];
        // When each role's holders spoke last; `None`: nobody holds it. Asked once a role, however many calls are open.
        let mut spoke: BTreeMap<&str, Option<i64>> = BTreeMap::new();
        for l in self.unanswered() {
            for w in l.waits.iter().filter(|w| w.waits() && w.role != "scribe") {
                let Some(last) = *spoke.entry(&w.role).or_insert_with(|| self.role_spoke(&w.role)) else {
                    continue;
                };
                if last < l.at_ms && !found.iter().any(|s| s.role == w.role) {
                    found.push(Silence {
                        role: w.role.clone(),
                        seq: l.seq,
                        text: l.text.clone(),
                        since_ms: l.at_ms,
                    });
                }
            }
        }
        found
    }

    fn role_spoke(&self, role: &str) -> Option<i64> {
        let spoke = |p: String| self.person(&p).and_then(|p| p.spoke_ms).unwrap_or(i64::MIN);
        self.holder(role).into_iter().map(spoke).max()
    }

    /// What is done when communications are lost: as agreed at the brief, else as the guidelines say.
    pub fn lost_communications_act(&self) -> &str {
        let own = self.size_up.get("lost communications").map(|m| m.words.as_str());
        own.filter(|w| !w.is_empty()).unwrap_or(&self.guidelines.people.lost_communications_act.words)
    }

    /// Minutes, with their source, until a person in a zone has not been heard of for too long.
    pub(crate) fn not_heard_after(&self, zone: ZoneName) -> &Limit {
        let rules = &self.guidelines.people;
        if zone == ZoneName::Clear { &rules.not_heard_min } else { &rules.not_heard_exposed_min }
    }

    /// Since when someone was not heard of, as far as it counts: until the load is tried or someone is exposed the team rigs side
    /// by side and is seen, and says little that anyone writes down. Whoever is exposed counts from the first moment on.
    pub(crate) fn unheard_since(&self, p: &super::PersonState) -> Option<i64> {
        if p.zone != ZoneName::Clear {
            return Some(p.heard_ms);
        }
        let at_work = |m: Motion| !matches!(m, Motion::AtRest);
        let tried = self.spans.iter().find(|s| at_work(s.motion)).map(|s| s.from_ms);
        let exposed = self.stays.first().map(|s| s.from_ms);
        tried.into_iter().chain(exposed).min().map(|began| began.max(p.heard_ms))
    }

    /// Since when the load stands, if it hangs there: a stop or tied off, whatever came between.
    pub(crate) fn stands_since(&self) -> Option<i64> {
        if !matches!(self.motion, Motion::Stopping | Motion::Stopped | Motion::TiedOff) {
            return None;
        }
        let standing = self.spans.iter().rev().take_while(|s| !s.motion.moves());
        standing.last().map(|s| s.from_ms)
    }

    /// Whether the patient lies packaged, and no more in a harness.
    pub(crate) fn packaged(&self) -> bool {
        let last = self.patient.iter().rev().map(|m| m.words.split(':').next().unwrap_or_default());
        last.take(1).any(|mark| mark != "reached")
    }

    /// A report, answer, note or signal may say that someone hangs still, or does no more.
    pub(super) fn still_by(&mut self, seq: u64, at: i64, payload: &Payload, (call, said): (&Call, &Said)) {
        if matches!(payload, Payload::Order(_) | Payload::Readback(_)) {
            return;
        }
        if said.states(&phrases(&STILL)) {
            for who in self.meant_to_hang(said) {
                if !self.stills.iter().any(|s| s.who == who && s.to_ms.is_none()) {
                    self.stills.push(Still { who, from_ms: at, to_ms: None, seq });
                }
            }
            return;
        }
        let speaker: Vec<String> = self.people_speaking(&call.from);
        for who in &speaker {
            self.end_still(who, at);
        }
        if self.stills.iter().any(|s| s.to_ms.is_none()) && said.states(&phrases(&MOVES)) {
            for who in self.meant_to_hang(said) {
                self.end_still(&who, at);
            }
        }
    }

    /// Whom words about hanging still are about: people named by name or role; the patient; else all who are on rope,
    /// unless it is a thing that does not move.
    fn meant_to_hang(&self, said: &Said) -> Vec<String> {
        let words: Vec<&str> = said.words().collect();
        let named = |name: &str| {
            let name = Said::of(name);
            let mut parts = name.words().filter(|w| w.chars().count() > 2);
            parts.any(|w| words.contains(&w))
        };
        let whole = |phrase: &str| said.lower().contains(phrase);
        let on_rope: Vec<String> = self.in_zone(ZoneName::OnRope).iter().map(|p| p.name.clone()).collect();
        let by_role = |p: &String| {
            let roles = self.roles_of(p);
            roles.iter().any(|r| whole(r) || (whole("attendant") && whole(self.guidelines.short(r))))
        };
        let meant: Vec<String> = on_rope.iter().filter(|p| named(p) || by_role(p)).cloned().collect();
        if !meant.is_empty() {
            return meant;
        }
        if said.has_word(&PATIENT) {
            return vec!["patient".into()];
        }
        if said.has_word(&THINGS) { vec![] } else { on_rope }
    }

    pub(super) fn end_still(&mut self, who: &str, at: i64) {
        for s in self.stills.iter_mut().filter(|s| s.who == who && s.to_ms.is_none()) {
            s.to_ms = Some(at);
        }
    }

    /// Nobody hangs any more.
    pub(super) fn end_stills(&mut self, at: i64) {
        for s in self.stills.iter_mut().filter(|s| s.to_ms.is_none()) {
            s.to_ms = Some(at);
        }
    }

    /// The people behind a speaker: a person, or whoever holds the role.
    fn people_speaking(&self, from: &str) -> Vec<String> {
        if self.guidelines.role(from).is_some() { self.holder(from) } else { vec![from.to_string()] }
    }
}
