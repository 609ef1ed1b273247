//! People, roles and the personnel accountability report.

use crate::wire::{OnRope, ParView, PersonView, RoleView, Slot, WatchView};
use operation::State;
use operation::review::clock_span;
use operation::state::PersonState;
use operation::step::ZoneName;
use operation::watch::{self, Watch, Watched};

/// People on rope.
pub fn on_rope(state: &State) -> Vec<OnRope> {
    let people = state.in_zone(ZoneName::OnRope);
    people.into_iter().map(|p| OnRope { person: p.name.clone(), since_ms: p.zone_ms as f64 }).collect()
}

/// When it is due, by the interval or after an event, and what the last one said.
pub fn par(state: &State, _now: i64) -> ParView {
    let last = state.pars.last();
    ParView {
        due_ms: state.par_due().into_iter().chain(state.count_due_ms()).min().map(|ms| ms as f64),
        last_ms: last.map(|p| p.at_ms as f64),
        last_words: last.map(|p| match p.of {
            Some(of) => format!("{} of {of}", p.count),
            None => p.count.to_string(),
        }),
        expected: state.present(),
    }
}

/// People as they came, those who left last.
pub fn people(state: &State, slots: &[Slot], now: i64) -> Vec<PersonView> {
    let mut people: Vec<&PersonState> = state.people.iter().collect();
    people.sort_by_key(|p| p.out_ms.is_some());
    let over: Vec<Watch> = watch::watches(state).into_iter().filter(|w| w.over(now)).collect();
    people.into_iter().map(|p| person(state, (slots, &over), p, now)).collect()
}

/// Clocks on people that run; none once the operation is closed.
pub fn watches(state: &State) -> Vec<WatchView> {
    if state.facts.closed_ms.is_some() {
        return vec![];
    }
    let view = |w: Watch| {
        let who =
            if w.of == Watched::Silence { state.guidelines.short(&w.who).to_string() } else { w.who.clone() };
        let words = match w.of {
            Watched::Still => format!("{who} hangs motionless, as said"),
            Watched::StandsUnheard => format!("{who} hangs and is not heard of; may be motionless"),
            Watched::Silence => format!("nothing heard from {who}"),
            Watched::NotHeard => format!("{who} not heard of"),
            Watched::OnRope => format!("{who} on rope"),
            Watched::OnDuty => format!("{who} as {}", w.about),
        };
        let (id, since_ms, due_ms) = (w.id().to_string(), w.since_ms as f64, w.due_ms as f64);
        WatchView { id, who, since_ms, due_ms, seq: w.seq, words, then: w.then, why: w.why }
    };
    watch::watches(state).into_iter().map(view).collect()
}

fn person(state: &State, (slots, over): (&[Slot], &[Watch]), p: &PersonState, now: i64) -> PersonView {
    let roles = state.roles_of(&p.name);
    let mine = over.iter().find(|w| w.who == p.name && w.of != Watched::Silence);
    let (note, mark) = match mine {
        Some(w) if w.of <= Watched::StandsUnheard => ("motionless in a harness?".into(), "wrong"),
        _ => note(slots, p, &roles, now),
    };
    let (note, mark) = match (mine, mark) {
        (Some(w), "") => {
            let long = match w.of {
                Watched::OnRope => "long on rope".into(),
                Watched::OnDuty => format!("long as {}", state.guidelines.short(&w.about)),
                _ => "not heard of".into(),
            };
            (long, "silent")
        }
        _ => (note, mark),
    };
    PersonView {
        person: p.name.clone(),
        agency: p.agency.clone(),
        roles,
        qualifications: p.qualifications.clone(),
        zone: p.zone.word().into(),
        in_ms: p.in_ms.unwrap_or(p.zone_ms) as f64,
        out_ms: p.out_ms.map(|ms| ms as f64),
        zone_ms: p.zone_ms as f64,
        heard_ms: p.heard_ms as f64,
        note,
        mark: mark.into(),
    }
}

/// What stands out about a person, worst first.
fn note(slots: &[Slot], p: &PersonState, roles: &[String], now: i64) -> (String, &'static str) {
    let mine = || slots.iter().filter(|s| roles.contains(&s.role));
    if let Some(slot) = mine().find(|s| s.state == "wrong") {
        return (format!("wrong: “{}”", slot.said.clone().unwrap_or_default()), "wrong");
    }
    let silent = |s: &&Slot| now as f64 - s.since_ms > s.limit_s * 1000.0;
    if let Some(slot) = mine().find(silent) {
        return (format!("silent {}", clock_span((now as f64 - slot.since_ms) / 1000.0)), "silent");
    }
    let exposed = matches!(p.zone, ZoneName::OnRope | ZoneName::Edge);
    match (exposed, p.tied_in, &p.partner) {
        (true, Some(true), Some(partner)) => (format!("tied in: {partner}"), ""),
        (true, Some(true), None) => ("tied in".into(), ""),
        (true, _, _) => ("not said to be tied in".into(), "zone"),
        (false, ..) if p.zone == ZoneName::Drop => ("below the load".into(), "zone"),
        (false, ..) if p.in_ms.is_none() => ("not checked in".into(), "zone"),
        (false, ..) => (String::new(), ""),
    }
}

/// Roles: those the rig and the motion ask for first, then as in the guidelines.
pub fn roles(state: &State) -> Vec<RoleView> {
    let needed = state.roles_needed();
    let mut names = needed.clone();
    let known = state.guidelines.roles.iter().map(|r| r.role.clone());
    for role in known.chain(state.roles_held()) {
        if !names.contains(&role) {
            names.push(role);
        }
    }
    names
        .into_iter()
        .map(|role| {
            let holders = state.holder(&role);
            let rule = state.guidelines.role(&role);
            let since = state.duties.iter().rev().find(|d| d.role == role && d.to_ms.is_none());
            RoleView {
                short: state.guidelines.short(&role).to_string(),
                code: rule.map(|r| r.code.clone()).unwrap_or_default(),
                person: (!holders.is_empty()).then(|| holders.join(", ")),
                needed: needed.contains(&role),
                since_ms: since.map(|d| d.from_ms as f64),
                role,
            }
        })
        .collect()
}
