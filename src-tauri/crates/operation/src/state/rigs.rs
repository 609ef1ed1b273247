//! Rigs in the operation: what was entered, checked, signed and accepted, and whether that still stands.

use super::State;
use crate::event::Payload;
use crate::flags::Flag;
use crate::step::ZoneName;
use rig::findings::{CheckReport, Verdict};
use rig::model::Rig;

/// A rig by name.
#[derive(Clone, Debug, PartialEq)]
pub struct RigState {
    /// As last entered.
    pub rig: Rig,
    /// Entry number of that.
    pub seq: u64,
    /// State the team is on.
    pub state: String,
    /// Checks, oldest first.
    pub checks: Vec<CheckState>,
    /// Signatures, oldest first.
    pub signed: Vec<SignedState>,
    /// Acceptances, oldest first.
    pub accepted: Vec<AcceptedState>,
}

/// A check.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckState {
    /// Entry number.
    pub seq: u64,
    /// When.
    pub at_ms: i64,
    /// Entry number of the rig as checked.
    pub rig_seq: u64,
    /// Who held the rig's roles.
    pub bound: Vec<(String, String)>,
    /// The rig as checked.
    pub rig: Rig,
    /// The findings, as stored.
    pub report: CheckReport,
}

/// A signature.
#[derive(Clone, Debug, PartialEq)]
pub struct SignedState {
    /// Entry number.
    pub seq: u64,
    /// When.
    pub at_ms: i64,
    /// Role.
    pub role: String,
    /// Who.
    pub person: String,
    /// Check signed.
    pub check_seq: Option<u64>,
}

/// An acceptance.
#[derive(Clone, Debug, PartialEq)]
pub struct AcceptedState {
    /// Entry number.
    pub seq: u64,
    /// When.
    pub at_ms: i64,
    /// Finding (id of a part or rule).
    pub finding: String,
    /// Who.
    pub person: String,
    /// Why.
    pub reason: String,
    /// Check it belongs to.
    pub check_seq: Option<u64>,
}

impl RigState {
    /// Whether the rig changed since its last check, or was never checked.
    pub fn stale(&self) -> bool {
        self.checks.last().is_none_or(|c| c.rig_seq != self.seq)
    }

    /// Signatures that cover the last check of the rig as it is.
    pub fn signatures_that_stand(&self) -> Vec<&SignedState> {
        match self.checks.last() {
            Some(c) if !self.stale() => self.signed.iter().filter(|s| s.check_seq == Some(c.seq)).collect(),
            _ => vec![],
        }
    }
}

type Found = (&'static str, Vec<u64>, String);

impl State {
    pub(super) fn take_rig(&mut self, seq: u64, at: i64, payload: Payload) {
        match payload {
            Payload::RigSet(r) => {
                let first = r.rig.states.first().map(|s| s.id.clone()).unwrap_or_default();
                let entry = self.rigs.entry(r.name.clone()).or_insert_with(|| RigState {
                    rig: (*r.rig).clone(),
                    seq,
                    state: first.clone(),
                    checks: vec![],
                    signed: vec![],
                    accepted: vec![],
                });
                entry.rig = *r.rig;
                entry.seq = seq;
                if !entry.rig.states.iter().any(|s| s.id == entry.state) {
                    entry.state = first;
                }
                self.rig_in_use = Some(r.name);
            }
            Payload::Use(u) => {
                if let Some(r) = self.rigs.get_mut(&u.rig) {
                    if let Some(s) = u.state {
                        r.state = s;
                    }
                    self.rig_in_use = Some(u.rig);
                }
            }
            Payload::RigChecked(c) => {
                let rig = match self.at(c.rig_seq).and_then(|k| k.now.as_ref()) {
                    Some(Payload::RigSet(r)) => Some((*r.rig).clone()),
                    _ => None,
                };
                if let Some(r) = self.rigs.get_mut(&c.rig) {
                    let rig = rig.unwrap_or_else(|| r.rig.clone());
                    r.checks.push(CheckState {
                        seq,
                        at_ms: at,
                        rig_seq: c.rig_seq,
                        bound: c.bound,
                        rig,
                        report: *c.report,
                    });
                }
            }
            Payload::Signed(s) => {
                if let Some(r) = self.rigs.get_mut(&s.rig) {
                    r.signed.push(SignedState {
                        seq,
                        at_ms: at,
                        role: s.role,
                        person: s.person,
                        check_seq: s.check_seq,
                    });
                }
            }
            Payload::Accepted(a) => {
                if let Some(r) = self.rigs.get_mut(&a.rig) {
                    r.accepted.push(AcceptedState {
                        seq,
                        at_ms: at,
                        finding: a.check,
                        person: a.person,
                        reason: a.reason,
                        check_seq: a.check_seq,
                    });
                }
            }
            _ => {}
        }
    }

    /// The rig the team is on.
    pub fn rig_now(&self) -> Option<&RigState> {
        self.rig_in_use.as_ref().and_then(|n| self.rigs.get(n))
    }

    /// Roles that the rig in use asks for.
    pub fn roles_needed(&self) -> Vec<String> {
        let mut roles = vec!["control".to_string()];
        for h in self.rig_now().iter().flat_map(|r| &r.rig.hands) {
            if !roles.contains(&h.role) {
                roles.push(h.role.clone());
            }
        }
        roles
    }

    fn rig_flags(&self, seq: u64, found: &mut Vec<Found>) {
        match self.rig_now() {
            None => found.push((
                "moved_unsigned",
                vec![seq],
                "the load was ordered to move and no rig was entered".into(),
            )),
            Some(r) if r.stale() => {
                let words = if r.checks.is_empty() {
                    "the rig was never checked"
                } else {
                    "the rig was changed and not checked again"
                };
                found.push((
                    "rig_changed_since_check",
                    vec![r.seq, seq],
                    format!("the load was ordered to move; {words}"),
                ));
                found.push((
                    "moved_unsigned",
                    vec![seq],
                    "the load was ordered to move on a rig that nobody signed as it is".into(),
                ));
            }
            Some(r) => {
                if r.signatures_that_stand().is_empty() {
                    found.push((
                        "moved_unsigned",
                        vec![seq],
                        "the load was ordered to move on a rig that nobody signed".into(),
                    ));
                }
                if let Some(c) = r.checks.last().filter(|c| failing(c, r)) {
                    found.push(("moved_on_failing_check", vec![c.seq, seq], format!("the load was ordered to move on check {}, in which something falls short or is critical", c.seq)));
                }
            }
        }
    }

    /// What stands against an order to move, as flags on that order.
    pub(super) fn movement_flags(&mut self, seq: u64, up: bool) {
        let mut found: Vec<Found> = vec![];
        for role in self.roles_needed().into_iter().filter(|r| self.holder(r).is_empty()) {
            found.push((
                "role_vacant",
                vec![seq],
                format!("the load was ordered to move with no {role}, which the rig asks for"),
            ));
        }
        self.rig_flags(seq, &mut found);
        for p in self.in_zone(ZoneName::Drop) {
            // Who works at the bottom of a raise or the end of a lower is still below the load.
            found.push((
                "drop_zone_occupied",
                vec![seq],
                format!(
                    "{} is in the drop zone while the load {}",
                    p.name,
                    if up { "goes up" } else { "comes down" }
                ),
            ));
        }
        if let Some(of) = self.unequal {
            found.push(("unequal_tension", vec![of, seq], "slack was called and not yet “equal”".into()));
        }
        if let Some(l) = self.loops.iter().rev().take(12).find(|l| {
            crate::words::has_word(&l.text, &["ready"]) || l.text.to_lowercase().contains("roll call")
        }) {
            let silent: Vec<String> =
                l.waits.iter().filter(|w| w.done.is_none()).map(|w| w.role.clone()).collect();
            if !silent.is_empty() {
                found.push((
                    "role_not_ready",
                    vec![l.seq, seq],
                    format!("ordered to move before {} had answered “{}”", silent.join(", "), l.text),
                ));
            }
        }
        self.raised.extend(found.into_iter().map(|(id, entries, words)| Flag { id, entries, words }));
    }
}

/// Falls short or critical, with something left that nobody accepted.
fn failing(c: &CheckState, r: &RigState) -> bool {
    let accepted = |id: &str| r.accepted.iter().any(|a| a.check_seq == Some(c.seq) && a.finding == id);
    let m = &c.report.main;
    m.parts.iter().any(|p| p.verdict == Verdict::FallsShort && !accepted(&p.id))
        || m.checks.iter().any(|p| p.verdict == Verdict::FallsShort && !accepted(&p.id))
        || m.critical_parts.iter().any(|p| !accepted(p))
}
