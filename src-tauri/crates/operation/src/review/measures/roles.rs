//! People: how long in which zone, who held which role, when one was vacant or one person had several.

use super::{Measured, rigs, seconds};
use crate::motion::Motion;
use crate::state::{Duty, State};
use crate::step::ZoneName;
use rig::guidelines::StopsWhen;
use serde::Serialize;
use ts_rs::TS;

/// A stay in a zone.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct ZoneSpell {
    /// `on_rope`, `edge` or `drop`.
    pub zone: String,
    /// From.
    pub from_ms: i64,
    /// To; `None`: nothing says that it ended.
    pub to_ms: Option<i64>,
    /// How long, to the end of what is measured when it did not end, s.
    pub length_s: f64,
    /// Entry number.
    pub seq: u64,
}

/// Time in each zone of one person.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct Exposure {
    /// Who.
    pub person: String,
    /// On rope altogether, s.
    pub on_rope_s: f64,
    /// In the edge zone, s.
    pub edge_s: f64,
    /// In the drop zone, s.
    pub drop_s: f64,
    /// Longest on rope without a break, s.
    pub longest_on_rope_s: f64,
    /// Each stay, oldest first.
    pub stays: Vec<ZoneSpell>,
    /// The program was started again within one of them.
    pub across_restart: bool,
}

/// A role held.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct RoleSpell {
    /// The role.
    pub role: String,
    /// Who.
    pub person: String,
    /// From.
    pub from_ms: i64,
    /// To; `None`: still held at the end.
    pub to_ms: Option<i64>,
    /// How long, s.
    pub length_s: f64,
    /// Entry number.
    pub seq: u64,
}

/// A role nobody held while it was needed.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct VacantSpell {
    /// The role.
    pub role: String,
    /// From.
    pub from_ms: i64,
    /// To.
    pub to_ms: i64,
    /// How long, s.
    pub length_s: f64,
    /// How much of it the load was lowered or raised, s.
    pub moving_s: f64,
    /// Entry that began the motion in which it was first missed.
    pub seq: u64,
}

/// One person in several roles at once.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct DoubledSpell {
    /// Who.
    pub person: String,
    /// The roles.
    pub roles: Vec<String>,
    /// Whether two of them work a device: two devices ask for two people.
    pub devices: bool,
    /// From.
    pub from_ms: i64,
    /// To; `None`: still so at the end.
    pub to_ms: Option<i64>,
    /// How long, s.
    pub length_s: f64,
    /// Entries that gave the roles.
    pub entries: Vec<u64>,
}

/// Roles held, vacant, doubled.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct RoleMeasures {
    /// Who held which role, in the order they took it.
    pub held: Vec<RoleSpell>,
    /// Roles the rig in use asks for that nobody held while the load was tried, hung or moved, oldest first.
    pub vacant: Vec<VacantSpell>,
    /// People in several roles at once, oldest first.
    pub doubled: Vec<DoubledSpell>,
}

/// Who held a role at a moment.
pub(super) fn holders(state: &State, role: &str, at_ms: i64) -> Vec<String> {
    let held = |d: &&Duty| d.role == role && d.from_ms <= at_ms && d.to_ms.is_none_or(|to| to > at_ms);
    state.duties.iter().filter(held).map(|d| d.person.clone()).collect()
}

/// Time in each zone by person.
pub(super) fn exposure(state: &State, end: i64) -> Measured<Vec<Exposure>> {
    let mut list: Vec<Exposure> = vec![];
    for s in state.stays.iter().filter(|s| s.zone != ZoneName::Clear) {
        let place = list.iter().position(|e| e.person == s.person).unwrap_or_else(|| {
            list.push(Exposure { person: s.person.clone(), ..Exposure::default() });
            list.len() - 1
        });
        let e = &mut list[place];
        let to = s.to_ms.unwrap_or(end);
        let length_s = seconds(s.from_ms, to).max(0.0);
        match s.zone {
            ZoneName::OnRope => {
                e.on_rope_s += length_s;
                e.longest_on_rope_s = e.longest_on_rope_s.max(length_s);
            }
            ZoneName::Edge => e.edge_s += length_s,
            ZoneName::Drop => e.drop_s += length_s,
            ZoneName::Clear => {}
        }
        e.across_restart |= state.across_restart(s.from_ms, to);
        let zone = s.zone.word().into();
        e.stays.push(ZoneSpell { zone, from_ms: s.from_ms, to_ms: s.to_ms, length_s, seq: s.seq });
    }
    list.sort_by(|a, b| {
        b.on_rope_s
            .total_cmp(&a.on_rope_s)
            .then(b.edge_s.total_cmp(&a.edge_s))
            .then_with(|| a.person.cmp(&b.person))
    });
    Measured {
        how: "the sum of the stays, each from the entry that put the person there to the one that took them elsewhere or \
              checked them out; what did not end runs to the close"
            .into(),
        value: list,
    }
}

/// Whether someone must be at a role because the load is tried, hangs or moves.
fn works(motion: Motion) -> bool {
    !matches!(motion, Motion::AtRest | Motion::TiedOff | Motion::Landed)
}

/// What of `from..to` is covered by none of these.
fn gaps(from: i64, to: i64, covered: &[(i64, i64)]) -> Vec<(i64, i64)> {
    let mut covered = covered.to_vec();
    covered.sort_unstable();
    let (mut at, mut left) = (from, vec![]);
    for (begins, ends) in covered {
        if begins > at {
            left.push((at, begins.min(to)));
        }
        at = at.max(ends);
        if at >= to {
            return left;
        }
    }
    left.push((at, to));
    left
}

fn vacant(state: &State, end: i64) -> Vec<VacantSpell> {
    let needed = rigs::roles_needed(state, end);
    let mut list: Vec<VacantSpell> = vec![];
    for span in state.spans.iter().filter(|s| works(s.motion)) {
        let until = span.to_ms.unwrap_or(end);
        for (from, to, roles) in &needed {
            let (from, to) = ((*from).max(span.from_ms), (*to).min(until));
            if from >= to {
                continue;
            }
            for role in roles {
                let held: Vec<(i64, i64)> = state
                    .duties
                    .iter()
                    .filter(|d| d.role == *role)
                    .map(|d| (d.from_ms, d.to_ms.unwrap_or(i64::MAX)))
                    .collect();
                for (from_ms, to_ms) in gaps(from, to, &held) {
                    let length_s = seconds(from_ms, to_ms);
                    let moving_s = if span.motion.moves() { length_s } else { 0.0 };
                    // A vacancy that goes on into the next motion is one.
                    match list.iter_mut().rev().find(|v| v.role == *role && v.to_ms == from_ms) {
                        Some(v) => {
                            v.to_ms = to_ms;
                            v.length_s += length_s;
                            v.moving_s += moving_s;
                        }
                        None => list.push(VacantSpell {
                            role: role.clone(),
                            from_ms,
                            to_ms,
                            length_s,
                            moving_s,
                            seq: span.seq,
                        }),
                    }
                }
            }
        }
    }
    list.sort_by_key(|v| v.from_ms);
    list
}

/// Stretches in which one person held more than one role.
fn doubled(state: &State, end: i64) -> Vec<DoubledSpell> {
    let rules = state.guidelines.roles.iter();
    let devices: Vec<&String> = rules.filter(|r| r.stops == StopsWhen::Always).map(|r| &r.role).collect();
    let mut list: Vec<DoubledSpell> = vec![];
    for person in &state.people {
        let duties: Vec<&Duty> = state
            .duties
            .iter()
            .filter(|d| d.person == person.name && d.to_ms.is_none_or(|to| to > d.from_ms))
            .collect();
        if duties.len() < 2 {
            continue;
        }
        let mut moments: Vec<i64> =
            duties.iter().flat_map(|d| [d.from_ms, d.to_ms.unwrap_or(end)]).filter(|at| *at <= end).collect();
        moments.sort_unstable();
        moments.dedup();
        let mut own: Vec<DoubledSpell> = vec![];
        for (from, to) in moments.iter().zip(moments.iter().skip(1)) {
            let at: Vec<&&Duty> = duties
                .iter()
                .filter(|d| d.from_ms <= *from && d.to_ms.is_none_or(|ends| ends >= *to))
                .collect();
            let mut roles: Vec<String> = at.iter().map(|d| d.role.clone()).collect();
            roles.sort();
            roles.dedup();
            if roles.len() < 2 {
                continue;
            }
            let last = at.iter().all(|d| d.to_ms.is_none()) && *to == end;
            let to_ms = (!last).then_some(*to);
            match own.last_mut().filter(|d| d.roles == roles && d.to_ms == Some(*from)) {
                Some(d) => {
                    d.to_ms = to_ms;
                    d.length_s += seconds(*from, *to);
                }
                None => own.push(DoubledSpell {
                    person: person.name.clone(),
                    devices: roles.iter().filter(|r| devices.contains(r)).count() > 1,
                    roles,
                    from_ms: *from,
                    to_ms,
                    length_s: seconds(*from, *to),
                    entries: at.iter().map(|d| d.seq).collect(),
                }),
            }
        }
        list.extend(own);
    }
    list.sort_by_key(|d| d.from_ms);
    list
}

/// Roles held, vacant, doubled.
pub(super) fn roles(state: &State, end: i64) -> Measured<RoleMeasures> {
    let held = state.duties.iter().map(|d| RoleSpell {
        role: d.role.clone(),
        person: d.person.clone(),
        from_ms: d.from_ms,
        to_ms: d.to_ms,
        length_s: seconds(d.from_ms, d.to_ms.unwrap_or(end)).max(0.0),
        seq: d.seq,
    });
    Measured {
        how: "held: from the assignment to the next one’s, a relief or a check-out; vacant: while the load was tried, at the edge, \
              moving, stopping or stopped, nobody held control or a role that the rig in use then asks for; doubled: one person \
              held several roles at once"
            .into(),
        value: RoleMeasures { held: held.collect(), vacant: vacant(state, end), doubled: doubled(state, end) },
    }
}
