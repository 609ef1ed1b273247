//! People, roles, zones, and the personnel accountability report.

use super::{Gap, ParState, State, is_patient};
use crate::event::{Call, Payload};
use crate::motion::Motion;
use crate::step::ZoneName;

/// A person.
#[derive(Clone, Debug, PartialEq)]
pub struct PersonState {
    /// Name.
    pub name: String,
    /// Agency.
    pub agency: Option<String>,
    /// What the person may do.
    pub qualifications: Vec<String>,
    /// Checked in; `None`: named without a check-in.
    pub in_ms: Option<i64>,
    /// Checked out.
    pub out_ms: Option<i64>,
    /// Where.
    pub zone: ZoneName,
    /// Since when.
    pub zone_ms: i64,
    /// Tied in, as said.
    pub tied_in: Option<bool>,
    /// Partner who checked.
    pub partner: Option<String>,
    /// Last heard of.
    pub heard_ms: i64,
    /// Entry number of that.
    pub heard_seq: u64,
    /// Spoke last, in whatever role; `None`: not yet.
    pub spoke_ms: Option<i64>,
}

/// A role held.
#[derive(Clone, Debug, PartialEq)]
pub struct Duty {
    /// Role.
    pub role: String,
    /// Who.
    pub person: String,
    /// From.
    pub from_ms: i64,
    /// To; `None`: still.
    pub to_ms: Option<i64>,
    /// Entry number.
    pub seq: u64,
}

/// A stay in a zone other than clear.
#[derive(Clone, Debug, PartialEq)]
pub struct Stay {
    /// Who.
    pub person: String,
    /// Where.
    pub zone: ZoneName,
    /// From.
    pub from_ms: i64,
    /// To; `None`: still.
    pub to_ms: Option<i64>,
    /// Entry number.
    pub seq: u64,
}

impl State {
    pub(super) fn take_people(&mut self, seq: u64, at: i64, payload: Payload) {
        match payload {
            Payload::CheckIn(c) => {
                let p = self.person_mut(&c.person, seq, at);
                p.in_ms = Some(at);
                p.out_ms = None;
                p.qualifications = c.qualifications;
                p.agency = c.agency;
                for role in self.roles_of(&c.person) {
                    self.expired(seq, &c.person, &role);
                }
            }
            Payload::CheckOut(c) => {
                self.leave_zone(&c.person, at);
                self.end_still(&c.person, at);
                let p = self.person_mut(&c.person, seq, at);
                p.out_ms = Some(at);
                p.zone = ZoneName::Clear;
                for d in self.duties.iter_mut().filter(|d| d.person == c.person && d.to_ms.is_none()) {
                    d.to_ms = Some(at);
                }
            }
            Payload::Assign(a) => self.assign(seq, at, &a),
            Payload::Relieve(a) => {
                let role = self.role_name(&a.role);
                self.person_mut(&a.person, seq, at);
                for d in self
                    .duties
                    .iter_mut()
                    .filter(|d| d.role == role && d.person == a.person && d.to_ms.is_none())
                {
                    d.to_ms = Some(at);
                }
            }
            Payload::Zone(z) => self.go(seq, at, z),
            Payload::Par(p) => {
                self.heard_at_par(seq, at, &p);
                self.par(seq, at, &p);
            }
            _ => {}
        }
    }

    fn assign(&mut self, seq: u64, at: i64, a: &crate::step::RolePerson) {
        self.person_mut(&a.person, seq, at);
        let role = self.role_name(&a.role);
        self.handed_over(seq, &role, &a.person);
        // A role with one device has one holder; a team has several.
        let one = !role.ends_with("team") && !role.ends_with("crew");
        for d in self
            .duties
            .iter_mut()
            .filter(|d| d.role == role && d.to_ms.is_none() && (one || d.person == a.person))
        {
            d.to_ms = Some(at);
        }
        self.duties.push(super::Duty {
            role: role.clone(),
            person: a.person.clone(),
            from_ms: at,
            to_ms: None,
            seq,
        });
        self.excluded(seq, &a.person);
        self.expired(seq, &a.person, &role);
        self.spans_too_many(seq, &role);
        if self.operators(false).contains(&role) {
            self.doubled(seq, &a.person);
        }
    }

    fn go(&mut self, seq: u64, at: i64, z: crate::step::Zone) {
        let p = self.person_mut(&z.person, seq, at);
        // Said again, with the tie-in or the partner: the exposure has not begun anew.
        let stays = p.zone == z.zone && p.out_ms.is_none();
        (p.tied_in, p.partner) = (z.tied_in, z.partner);
        if !stays {
            (p.zone, p.zone_ms) = (z.zone, at);
            self.leave_zone(&z.person, at);
        }
        if z.zone != ZoneName::OnRope {
            self.end_still(&z.person, at);
        }
        if z.zone != ZoneName::Clear && !stays {
            self.stays.push(Stay { person: z.person.clone(), zone: z.zone, from_ms: at, to_ms: None, seq });
        }
        if matches!(z.zone, ZoneName::OnRope | ZoneName::Edge) && z.tied_in != Some(true) {
            self.raise(
                "not_tied_in",
                vec![seq],
                format!("{} is {} and was not said to be tied in", z.person, z.zone.words()),
            );
        }
        if z.zone == ZoneName::Drop && self.motion.moves() {
            self.raise(
                "drop_zone_occupied",
                vec![seq],
                format!("{} went into the drop zone while the load moved", z.person),
            );
        }
        self.excluded(seq, &z.person);
    }

    fn par(&mut self, seq: u64, at: i64, p: &crate::step::Par) {
        let (interval, event) = (self.par_due(), self.count_due_ms());
        let due = interval.into_iter().chain(event).min();
        let after = self.count_due.as_ref().filter(|_| due == event).map(|c| c.after.clone());
        let expected = self.present();
        if p.of.is_some_and(|of| of != p.count)
            || !p.missing.is_empty()
            || p.of.unwrap_or(p.count) != expected as u64
        {
            let missing = if p.missing.is_empty() {
                String::new()
            } else {
                format!(", missing {}", p.missing.join(", "))
            };
            let words = format!(
                "PAR {} of {}{missing}; {expected} people are checked in",
                p.count,
                p.of.unwrap_or(p.count)
            );
            self.raise("par_mismatch", vec![seq], words);
        } else {
            self.count_due = None;
        }
        self.pars.push(ParState {
            count: p.count,
            of: p.of,
            expected: expected as u64,
            at_ms: at,
            due_ms: due.filter(|d| *d < at),
            after,
            seq,
        });
    }

    /// Control or a device changes hands only while the load does not hang on it: at rest, tied off, landed.
    fn handed_over(&mut self, seq: u64, role: &str, to: &str) {
        let works = role == "control" || self.operators(true).iter().any(|r| r == role);
        let from: Vec<String> = self.holder(role).into_iter().filter(|p| p != to).collect();
        let may = matches!(self.motion, Motion::AtRest | Motion::TiedOff | Motion::Landed);
        if works && !may && !from.is_empty() && !role.ends_with("team") {
            let words = format!(
                "{role} went from {} to {to} while {}: hand over only when stopped and tied off",
                from.join(", "),
                self.motion.words().to_lowercase()
            );
            self.raise("role_not_ready", vec![seq], words);
        }
    }

    /// Operators who took a device over from another and have not said a word since: entry, role, who.
    pub(crate) fn not_confirmed(&self) -> Vec<(u64, String, String)> {
        let now = self.duties.iter().filter(|d| d.to_ms.is_none() && !d.role.ends_with("team"));
        let operators = self.operators(false);
        let taken = |d: &&Duty| {
            let before = self.duties.iter().take_while(|o| o.seq != d.seq);
            operators.contains(&d.role) && before.filter(|o| o.role == d.role).any(|o| o.person != d.person)
        };
        let spoke =
            |d: &Duty| self.person(&d.person).and_then(|p| p.spoke_ms).is_some_and(|at| at >= d.from_ms);
        let silent = now.filter(taken).filter(|d| !spoke(d));
        silent.map(|d| (d.seq, d.role.clone(), d.person.clone())).collect()
    }

    /// A safety officer stays off the rope and the devices; nobody works both devices.
    fn excluded(&mut self, seq: u64, person: &str) {
        let roles = self.roles_of(person);
        let works = roles.iter().any(|r| self.operators(true).contains(r));
        let hangs = self.person(person).is_some_and(|p| p.zone == ZoneName::OnRope);
        if roles.iter().any(|r| r == "safety officer") && (works || hangs) {
            self.raise(
                "role_excluded",
                vec![seq],
                format!(
                    "{person} is safety officer and {}",
                    if hangs { "on rope" } else { "works a device" }
                ),
            );
        }
    }

    fn doubled(&mut self, seq: u64, person: &str) {
        let operators = self.operators(false);
        let works: Vec<String> =
            self.roles_of(person).into_iter().filter(|r| operators.contains(r)).collect();
        if works.len() > 1 {
            let words = format!("{person} is {}: two devices ask for two people", works.join(" and "));
            self.raise("role_excluded", vec![seq], words);
        }
    }

    fn leave_zone(&mut self, person: &str, at: i64) {
        for s in self.stays.iter_mut().filter(|s| s.person == person && s.to_ms.is_none()) {
            s.to_ms = Some(at);
        }
    }

    fn person_mut(&mut self, name: &str, seq: u64, at: i64) -> &mut PersonState {
        let i = match self.people.iter().position(|p| p.name == name) {
            Some(i) => i,
            None => {
                self.people.push(PersonState {
                    name: name.into(),
                    agency: None,
                    qualifications: vec![],
                    in_ms: None,
                    out_ms: None,
                    zone: ZoneName::Clear,
                    zone_ms: at,
                    tied_in: None,
                    partner: None,
                    heard_ms: at,
                    heard_seq: seq,
                    spoke_ms: None,
                });
                self.people.len() - 1
            }
        };
        self.heard_of(i, seq, at);
        &mut self.people[i]
    }

    pub(super) fn heard(&mut self, call: &Call, seq: u64, at: i64) {
        let role = self.guidelines.role(&call.from).map_or(call.from.as_str(), |r| &r.role);
        let duties = &self.duties;
        let holds =
            |name: &str| duties.iter().any(|d| d.role == role && d.to_ms.is_none() && d.person == name);
        let people = self.people.iter().enumerate();
        let spoke: Vec<usize> =
            people.filter(|(_, p)| p.name == call.from || holds(&p.name)).map(|(i, _)| i).collect();
        for i in spoke {
            self.people[i].spoke_ms = Some(at);
            self.heard_of(i, seq, at);
        }
    }

    /// A person is heard of; that it was long until then is kept.
    fn heard_of(&mut self, i: usize, seq: u64, at: i64) {
        let p = &self.people[i];
        let here = p.in_ms.is_some() && p.out_ms.is_none() && !is_patient(&p.name);
        let limit_ms = (self.not_heard_after(p.zone).value * 60_000.0) as i64;
        let since = self.unheard_since(p).filter(|since| here && at - since > limit_ms);
        if let Some(from_ms) = since
            && self.facts.closed_ms.is_none()
        {
            let gap = Gap { who: p.name.clone(), from_ms, to_ms: at, seq };
            self.gaps.push(gap);
        }
        let p = &mut self.people[i];
        (p.heard_ms, p.heard_seq) = (at, seq);
    }

    /// A count that matches was answered by everyone who was not named as missing.
    fn heard_at_par(&mut self, seq: u64, at: i64, p: &crate::step::Par) {
        let expected = self.present() as u64;
        if p.count + p.missing.len() as u64 != expected || p.of.is_some_and(|of| of != expected) {
            return;
        }
        for i in 0..self.people.len() {
            let one = &self.people[i];
            if one.in_ms.is_some() && one.out_ms.is_none() && !p.missing.contains(&one.name) {
                self.heard_of(i, seq, at);
            }
        }
    }

    /// A person by name.
    pub fn person(&self, name: &str) -> Option<&PersonState> {
        self.people.iter().find(|p| p.name == name)
    }

    /// How many are checked in.
    pub fn present(&self) -> usize {
        self.people.iter().filter(|p| p.in_ms.is_some() && p.out_ms.is_none()).count()
    }

    /// People in a zone, in the order they came to the operation.
    pub fn in_zone(&self, zone: ZoneName) -> Vec<&PersonState> {
        self.people.iter().filter(|p| p.zone == zone && p.out_ms.is_none()).collect()
    }

    /// A role's full name, from its name, short name or code.
    pub fn role_name(&self, name: &str) -> String {
        self.guidelines.role(name).map_or_else(|| name.to_string(), |r| r.role.clone())
    }

    /// Who holds a role now; several in a team.
    pub fn holder(&self, role: &str) -> Vec<String> {
        let role = self.role_name(role);
        self.duties.iter().filter(|d| d.role == role && d.to_ms.is_none()).map(|d| d.person.clone()).collect()
    }

    /// Whether someone holds a role now.
    pub fn held(&self, role: &str) -> bool {
        let role = self.guidelines.role(role).map_or(role, |r| &r.role);
        self.duties.iter().any(|d| d.role == role && d.to_ms.is_none())
    }

    /// Roles a person holds now.
    pub fn roles_of(&self, person: &str) -> Vec<String> {
        self.duties
            .iter()
            .filter(|d| d.person == person && d.to_ms.is_none())
            .map(|d| d.role.clone())
            .collect()
    }

    /// Roles that are held now, in the guidelines' order, then others by name.
    pub fn roles_held(&self) -> Vec<String> {
        let mut held: Vec<String> = self
            .guidelines
            .roles
            .iter()
            .map(|r| r.role.clone())
            .filter(|r| !self.holder(r).is_empty())
            .collect();
        let mut others: Vec<String> = self
            .duties
            .iter()
            .filter(|d| d.to_ms.is_none() && !held.contains(&d.role))
            .map(|d| d.role.clone())
            .collect();
        others.sort();
        others.dedup();
        held.extend(others);
        held
    }

    /// The roles that words like "all" and "both" mean now, without the speaker's.
    pub fn roles_meant(&self, to: &[String], from: &str) -> Vec<String> {
        let speaker = self.speaks_as(from);
        let mut roles = vec![];
        for t in to.iter().map(|t| t.trim()).filter(|t| !t.is_empty()) {
            match t {
                "all" | "everyone" => {
                    roles.extend(self.roles_held().into_iter().filter(|r| !speaker.contains(r)))
                }
                "both" => roles.extend(["rope one operator".to_string(), "rope two operator".to_string()]),
                other => {
                    let name = self.role_name(other);
                    let known = self.guidelines.roles.iter().any(|r| r.role == name);
                    let held = if known { vec![] } else { self.roles_of(other) };
                    if held.is_empty() { roles.push(name) } else { roles.extend(held) }
                }
            }
        }
        let mut seen: Vec<String> = vec![];
        roles.retain(|r| {
            !seen.contains(r) && {
                seen.push(r.clone());
                true
            }
        });
        roles
    }

    /// When the next PAR is due: the interval runs from the last one, or from when the first person came on rope or to the edge.
    pub fn par_due(&self) -> Option<i64> {
        let exposed = self
            .stays
            .iter()
            .find(|s| matches!(s.zone, ZoneName::OnRope | ZoneName::Edge))
            .map(|s| s.from_ms);
        let from = self.pars.last().map(|p| p.at_ms).or(exposed)?;
        self.facts.closed_ms.is_none().then(|| from + (self.guidelines.par_min.value * 60_000.0) as i64)
    }
}
