//! Clocks that run on people while it lasts: silence after a call, not heard of, long on rope, hanging still. Each is told with
//! when it began and when it is over its limit, so that a screen can count it down; over its limit it is a flag.

use crate::flags::Flag;
use crate::state::{PersonState, State, is_patient, span_words};
use crate::step::ZoneName;
use rig::guidelines::{AFTER_SUSPENSION, SUSPENSION};

/// What a clock watches, worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Watched {
    /// Said to hang without moving.
    Still,
    /// Hangs on a load that stands, and is not heard of.
    StandsUnheard,
    /// A role says nothing to a call.
    Silence,
    /// Not heard of.
    NotHeard,
    /// On rope.
    OnRope,
    /// In one role.
    OnDuty,
}

/// A clock.
#[derive(Clone, Debug, PartialEq)]
pub struct Watch {
    /// What it watches.
    pub of: Watched,
    /// The person or the role.
    pub who: String,
    /// Since when, ms.
    pub since_ms: i64,
    /// Until when it is within its limit, ms.
    pub due_ms: i64,
    /// The entry it began with.
    pub seq: u64,
    /// Where the person is, or the words of the call.
    pub about: String,
    /// What is to be done or known: the agreed act, the guidance, the guidelines' limit.
    pub then: String,
    /// Where the limit comes from, and where sources differ.
    pub why: String,
}

impl Watch {
    /// Whether it is over its limit.
    pub fn over(&self, now: i64) -> bool {
        now > self.due_ms
    }

    /// The contract's word for it.
    pub fn id(&self) -> &'static str {
        match self.of {
            Watched::Still | Watched::StandsUnheard => "motionless_in_harness",
            Watched::Silence => "lost_communications",
            Watched::NotHeard => "not_heard",
            Watched::OnRope => "on_rope_long",
            Watched::OnDuty => "role_held_long",
        }
    }

    /// As a flag.
    pub fn flag(&self, now: i64) -> Flag {
        let (who, lasts, about, then) = (&self.who, span_words(now - self.since_ms), &self.about, &self.then);
        let why = &self.why;
        let words = match self.of {
            Watched::Still => format!("{who} was said to hang motionless, for {lasts} now: {then}. {why}"),
            Watched::StandsUnheard => format!(
                "{who} hangs on a load that stands, and was not heard of for {lasts}: may hang motionless in a harness; {then}. {why}"
            ),
            Watched::Silence => format!(
                "nothing heard from {who} for {lasts} since “{about}” (order {}); agreed act: {then}",
                self.seq
            ),
            Watched::NotHeard => format!("{who} ({about}) was not heard of for {lasts}; {then}"),
            Watched::OnRope => format!("{who} has been on rope for {lasts}; {then}"),
            Watched::OnDuty => format!("{who} has been {about} for {lasts}; {then}"),
        };
        Flag { id: self.id(), entries: vec![self.seq], words }
    }
}

fn minutes(limit_min: f64) -> i64 {
    (limit_min * 60_000.0) as i64
}

fn limit_words(limit: f64, unit: &str, source: &str) -> String {
    format!("limit {limit} {unit}: {source}")
}

/// Clocks that run, over their limit or not, worst kind first.
pub fn watches(state: &State) -> Vec<Watch> {
    let mut all = vec![];
    still(state, &mut all);
    silence(state, &mut all);
    not_heard(state, &mut all);
    on_rope(state, &mut all);
    on_duty(state, &mut all);
    all.sort_by_key(|w| w.of);
    all
}

fn silence(state: &State, all: &mut Vec<Watch>) {
    let rules = &state.guidelines.people;
    let limit_ms = (rules.lost_communications_s.value * 1000.0) as i64;
    all.extend(state.silences().into_iter().map(|s| Watch {
        of: Watched::Silence,
        who: s.role,
        since_ms: s.since_ms,
        due_ms: s.since_ms.saturating_add(limit_ms),
        seq: s.seq,
        about: s.text,
        then: state.lost_communications_act().to_string(),
        why: limit_words(rules.lost_communications_s.value, "s", &rules.lost_communications_s.source),
    }));
}

fn not_heard(state: &State, all: &mut Vec<Watch>) {
    // The scribe writes and is there; a patient answers no call.
    let speaks =
        |p: &&PersonState| !is_patient(&p.name) && !state.roles_of(&p.name).iter().any(|r| r == "scribe");
    let here = state.people.iter().filter(|p| p.in_ms.is_some() && p.out_ms.is_none());
    all.extend(here.filter(speaks).filter_map(|p| {
        let limit = state.not_heard_after(p.zone);
        let since_ms = state.unheard_since(p)?;
        Some(Watch {
            of: Watched::NotHeard,
            who: p.name.clone(),
            since_ms,
            due_ms: since_ms.saturating_add(minutes(limit.value)),
            seq: p.heard_seq,
            about: p.zone.words().into(),
            then: format!("the guidelines say {} min", limit.value),
            why: limit_words(limit.value, "min", &limit.source),
        })
    }));
}

fn on_duty(state: &State, all: &mut Vec<Watch>) {
    let limit = &state.guidelines.people.role_h;
    all.extend(state.duties.iter().filter(|d| d.to_ms.is_none()).map(|d| Watch {
        of: Watched::OnDuty,
        who: d.person.clone(),
        since_ms: d.from_ms,
        due_ms: d.from_ms.saturating_add(minutes(limit.value * 60.0)),
        seq: d.seq,
        about: d.role.clone(),
        then: format!("the guidelines say {} h, then someone else", limit.value),
        why: limit_words(limit.value, "h", &limit.source),
    }));
}

fn on_rope(state: &State, all: &mut Vec<Watch>) {
    let limit = &state.guidelines.people.on_rope_min;
    let hang = state.stays.iter().filter(|s| s.zone == ZoneName::OnRope && s.to_ms.is_none());
    all.extend(hang.map(|s| Watch {
        of: Watched::OnRope,
        who: s.person.clone(),
        since_ms: s.from_ms,
        due_ms: s.from_ms.saturating_add(minutes(limit.value)),
        seq: s.seq,
        about: String::new(),
        then: format!("the guidelines say {} min", limit.value),
        why: limit_words(limit.value, "min", &limit.source),
    }));
}

fn still(state: &State, all: &mut Vec<Watch>) {
    let limit = &state.guidelines.people.motionless_min;
    let why = format!("{}; {AFTER_SUSPENSION}", limit.source);
    let said: Vec<_> = state.stills.iter().filter(|s| s.to_ms.is_none()).collect();
    all.extend(said.iter().map(|s| Watch {
        of: Watched::Still,
        who: s.who.clone(),
        since_ms: s.from_ms,
        // Said is enough: it stands from the first moment on.
        due_ms: s.from_ms - 1,
        seq: s.seq,
        about: String::new(),
        then: SUSPENSION.into(),
        why: why.clone(),
    }));
    let Some(stands) = state.stands_since() else { return };
    let hangs =
        |p: &&PersonState| !(said.iter().any(|s| s.who == p.name) || is_patient(&p.name) && state.packaged());
    all.extend(state.in_zone(ZoneName::OnRope).into_iter().filter(hangs).map(|p| {
        let since_ms = stands.max(p.heard_ms).max(p.zone_ms);
        Watch {
            of: Watched::StandsUnheard,
            who: p.name.clone(),
            since_ms,
            due_ms: since_ms.saturating_add(minutes(limit.value)),
            seq: p.heard_seq,
            about: String::new(),
            then: SUSPENSION.into(),
            why: why.clone(),
        }
    }));
}
