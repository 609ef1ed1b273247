//! Rigs in the operation: what was entered, checked, signed and accepted, and whether that still stands.

use super::State;
use crate::event::{Payload, RigSet};
use rig::findings::CheckReport;
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
    /// Entry number of the `use` that said so; `None`: as entered.
    pub used_seq: Option<u64>,
    /// Checks, oldest first.
    pub checks: Vec<CheckState>,
    /// Signatures, oldest first.
    pub signed: Vec<SignedState>,
    /// Acceptances, oldest first.
    pub accepted: Vec<AcceptedState>,
}

/// A rig came into use because it was made while the team was on another: a `rig` entry has always meant that, and nobody
/// has said `use` since.
#[derive(Clone, Debug, PartialEq)]
pub struct InUseByMaking {
    /// Entry number of the rig that was made.
    pub seq: u64,
    /// When.
    pub at_ms: i64,
    /// The rig the team was on before, by its name.
    pub was: String,
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
    /// State the team was on then: whose findings were in sight.
    pub state: String,
    /// Who.
    pub person: String,
    /// Roles they held then.
    pub roles: Vec<String>,
    /// Why.
    pub reason: String,
    /// Check it belongs to.
    pub check_seq: Option<u64>,
}

impl AcceptedState {
    /// "Hana, rigging lead"; the name alone when they held no role.
    pub fn who(&self) -> String {
        if self.roles.is_empty() {
            self.person.clone()
        } else {
            format!("{}, {}", self.person, self.roles.join(", "))
        }
    }
}

impl RigState {
    /// The name of what was accepted, as the check names it that it belongs to.
    pub fn label(&self, finding: &str, check_seq: Option<u64>) -> String {
        let check = self.checks.iter().find(|c| Some(c.seq) == check_seq);
        check.map_or_else(|| finding.replace('_', " "), |c| c.report.label(finding))
    }

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

impl State {
    pub(super) fn take_rig(&mut self, seq: u64, at: i64, payload: Payload) {
        match payload {
            Payload::RigSet(r) => self.set_rig(seq, at, r),
            Payload::Use(u) => self.use_rig(seq, at, u),
            Payload::RigChecked(c) => {
                let rig = match self.at(c.rig_seq).and_then(|k| k.now.as_deref()) {
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
                    self.rig_changed(seq, &c.rig, true);
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
                let roles = self.roles_of(&a.person);
                if let Some(r) = self.rigs.get_mut(&a.rig) {
                    r.accepted.push(AcceptedState {
                        seq,
                        at_ms: at,
                        finding: a.check,
                        state: r.state.clone(),
                        person: a.person,
                        roles,
                        reason: a.reason,
                        check_seq: a.check_seq,
                    });
                }
            }
            _ => {}
        }
    }

    fn set_rig(&mut self, seq: u64, at_ms: i64, r: RigSet) {
        let first = r.rig.states.first().map(|s| s.id.clone()).unwrap_or_default();
        let entry = self.rigs.entry(r.name.clone()).or_insert_with(|| RigState {
            rig: (*r.rig).clone(),
            seq,
            state: first.clone(),
            used_seq: None,
            checks: vec![],
            signed: vec![],
            accepted: vec![],
        });
        entry.rig = *r.rig;
        entry.seq = seq;
        if !entry.rig.states.iter().any(|s| s.id == entry.state) {
            entry.state = first;
            entry.used_seq = None;
        }
        let before = self.rig_in_use.replace(r.name.clone()).filter(|was| *was != r.name);
        if let Some(was) = before {
            // Made one after the other, unsaid: the way back leads to the one that somebody chose.
            let was = self.by_making.take().map_or(was, |earlier| earlier.was);
            self.by_making = (was != r.name).then_some(InUseByMaking { seq, at_ms, was });
        }
        self.rig_changed(seq, &r.name, false);
        self.rope_is_left(seq, at_ms);
    }

    fn use_rig(&mut self, seq: u64, at_ms: i64, u: crate::step::Use) {
        if let Some(r) = self.rigs.get_mut(&u.rig) {
            let before = (self.rig_in_use.take(), r.state.clone());
            if let Some(s) = u.state {
                // Said again, it is since it was said first.
                if s != r.state {
                    r.used_seq = Some(seq);
                }
                r.state = s;
            }
            let now = (Some(u.rig.clone()), r.state.clone());
            self.by_making = None;
            self.rig_in_use.clone_from(&now.0);
            if now != before {
                self.rig_changed(seq, &u.rig, false);
                self.rope_is_left(seq, at_ms);
            }
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
}
