//! Calls: what moves the load, what waits for a readback, who has not stopped.

use super::ready::calls_the_roll;
use super::{Called, Moment, State};
use crate::event::{Call, Payload};
use crate::judge;
use crate::motion::Motion;
use crate::words::{Said, commands, metres};
use std::sync::Arc;

/// What one role did with an order.
#[derive(Clone, Debug, PartialEq)]
pub struct Wait {
    /// The role.
    pub role: String,
    /// Entry and time of the right readback, the answer, or the report "stopped".
    pub done: Option<(u64, i64)>,
    /// Wrong readbacks: entry, time, what was said, what differs.
    pub wrong: Vec<(u64, i64, String, String)>,
    /// The later order in the same words that put a wrong readback right, and when it was read back right.
    pub put_right: Option<(u64, i64)>,
}

impl Wait {
    /// A role that has done nothing yet.
    pub(super) fn new(role: String) -> Wait {
        Wait { role, done: None, wrong: vec![], put_right: None }
    }

    /// Whether the role is still waited for: it has not read the order back, and not put its wrong readback right by
    /// reading back the same order given again. The one rule of screens, `state` and report.
    pub fn waits(&self) -> bool {
        self.done.is_none() && self.put_right.is_none()
    }
}

/// An order and who it waits for.
#[derive(Clone, Debug, PartialEq)]
pub struct Loop {
    /// Entry number of the order.
    pub seq: u64,
    /// When.
    pub at_ms: i64,
    /// Who gave it.
    pub from: String,
    /// Its words.
    pub text: String,
    /// A stop: waits for the operators' reports.
    pub stop: bool,
    /// Asks whether everyone is ready.
    pub ready: bool,
    /// Each role it was for.
    pub waits: Vec<Wait>,
}

impl Loop {
    /// Whether someone it was for has not read back yet.
    pub fn open(&self) -> bool {
        self.waits.iter().any(Wait::waits)
    }
}

impl State {
    pub(super) fn take_call(&mut self, seq: u64, at: i64, payload: &Payload, call: &Call) {
        let note = matches!(payload, Payload::Note(_));
        let stops = if note { self.only_stops(&call.text) } else { None };
        let said = Said::of(stops.unwrap_or(&call.text));
        self.heard(call, seq, at);
        // What was found of the site, and what was agreed before, tells of no load: “signals: one blast, stop; two, at the edge”.
        if note && self.size_up_note(seq, at, &call.text) && stops.is_none() {
            return;
        }
        self.still_by(seq, at, payload, (call, &said));
        if let Some(m) = call.metres.or_else(|| {
            matches!(payload, Payload::Report(_) | Payload::Answer(_)).then(|| metres(&call.text)).flatten()
        }) {
            self.height_called(Called { metres: m, at_ms: at, seq });
        }
        let answered = call.of.as_ref().and_then(|id| self.seq_of(id));
        match payload {
            Payload::Order(_) => self.open_loop(seq, at, call, &said),
            Payload::Readback(_) | Payload::Answer(_) => {
                self.close_loop(seq, at, (call, &said), answered, matches!(payload, Payload::Readback(_)))
            }
            _ => {}
        }
        self.phase_by_report(seq, at, payload, (call, &said));
        self.move_by(seq, at, payload, (call, &said), answered);
        self.unequal_by(seq, &said, payload);
    }

    /// Keeps a note that begins with one of the heads of the size-up and of the brief; whether it was one.
    fn size_up_note(&mut self, seq: u64, at: i64, text: &str) -> bool {
        const HEADS: [&str; 12] = [
            "size-up",
            "weather",
            "light",
            "objective",
            "channel",
            "patient",
            "access",
            "plan",
            "hazards",
            "abort",
            "signals",
            "lost communications",
        ];
        let Some((head, words)) = text.split_once(':') else { return false };
        let head = head.trim().to_lowercase();
        let one = HEADS.contains(&head.as_str());
        if one {
            self.size_up.insert(head, Moment { words: words.trim().to_string(), at_ms: at, seq });
        }
        one
    }

    /// What a note says that says nothing but “stop” behind its head (“patient: stop, stop”): then somebody stops, whoever it is
    /// and whatever it is filed under; but not where the head says that it was only agreed (“abort: stop”).
    fn only_stops<'a>(&self, text: &'a str) -> Option<&'a str> {
        const AGREED: [&str; 5] = ["plan", "channel", "abort", "signals", "lost communications"];
        let (head, words) = text.split_once(':')?;
        let said: Vec<String> = words
            .split(|letter: char| !letter.is_alphanumeric())
            .filter(|word| !word.is_empty())
            .map(str::to_lowercase)
            .collect();
        let only = |stop: &String| {
            let stop: Vec<&str> = stop.split_whitespace().collect();
            !stop.is_empty() && !said.is_empty() && said.chunks(stop.len()).all(|chunk| *chunk == *stop)
        };
        let agreed = AGREED.contains(&head.trim().to_lowercase().as_str());
        (!agreed && self.words.stop.iter().any(only)).then_some(words)
    }

    fn open_loop(&mut self, seq: u64, at: i64, call: &Call, said: &Said) {
        for role in &call.to_roles {
            if !self.held(role) {
                self.raise(
                    "role_vacant",
                    vec![seq],
                    format!("order {seq} is for the {role}, a role nobody holds"),
                );
            }
        }
        let stop = said.commands(&self.words.stop);
        if stop && self.stop_is_on() {
            return;
        }
        if !stop {
            self.contradiction(seq, call, said);
        }
        let roles = if stop { self.operators(self.raised_last()) } else { call.to_roles.clone() };
        let waits = roles.into_iter().map(Wait::new).collect();
        let (from, text) = (call.from.clone(), call.text.clone());
        let ready = said.has_word(&["ready"]) || said.lower().contains("roll call");
        let l = Loop { seq, at_ms: at, from, text, stop, ready, waits };
        if calls_the_roll(&l) && !l.waits.is_empty() {
            self.roll = Some(self.loops.len());
        }
        if said.commands(&self.words.load_test) && self.speaks_for(&l.from, "control") {
            self.load_test = Some((seq, at));
        }
        self.wait_for(l);
    }

    pub(super) fn wait_for(&mut self, l: Loop) {
        if l.open() {
            self.waiting.push(self.loops.len());
        }
        self.loops.push(l);
    }

    /// Someone did what a loop waited for.
    pub(super) fn waited(&mut self, place: usize) {
        if !self.loops[place].open()
            && let Ok(i) = self.waiting.binary_search(&place)
        {
            self.waiting.remove(i);
        }
    }

    /// An order was read back right: what these roles read back wrong before it was given, to an order in the same words,
    /// is put right. An order nobody answered stays unanswered, however often it is given again.
    fn put_right(&mut self, place: usize, roles: &[String], at: i64) {
        let (text, given, order) = {
            let l = &self.loops[place];
            (l.text.clone(), l.at_ms, l.seq)
        };
        for before in self.waiting.clone().into_iter().filter(|p| *p < place) {
            let l = &self.loops[before];
            // Asked first: of thousands of open orders hardly one was ever read back wrong.
            let wrong = |w: &Wait| w.waits() && !w.wrong.is_empty() && roles.contains(&w.role);
            if l.stop || !l.waits.iter().any(wrong) || judge::differs(&l.text, &text).is_some() {
                continue;
            }
            let ordered = l.text.clone();
            let words = Arc::clone(&self.words);
            let misread = |x: &(u64, i64, String, String)| {
                x.1 <= given && !crate::meant::is_a_report(&ordered, &x.2, &words)
            };
            let waits = self.loops[before].waits.iter_mut();
            for w in waits.filter(|w| w.waits() && roles.contains(&w.role) && w.wrong.iter().any(misread)) {
                w.put_right = Some((order, at));
            }
            self.waited(before);
        }
    }

    /// An order up while an order down is still open to the same role, or slack while tension is on the same rope, or the
    /// other way round.
    fn contradiction(&mut self, seq: u64, call: &Call, said: &Said) {
        let w = Arc::clone(&self.words);
        let (slack, tension) = (["slack".to_string()], ["tension".to_string()]);
        let pairs: [(&[String], &[String]); 2] = [(&w.raise, &w.lower), (&slack, &tension)];
        for (this, that) in pairs {
            let (one, other) = (said.commands(this), said.commands(that));
            if one != other {
                self.contradicts(seq, call, if one { that } else { this });
            }
        }
    }

    fn contradicts(&mut self, seq: u64, call: &Call, opposite: &[String]) {
        // The last order each of these roles got is the one they would still act on.
        let other = call.to_roles.iter().find_map(|role| {
            let last =
                self.loops.iter().rev().find(|l| !l.stop && l.waits.iter().any(|w| w.role == *role))?;
            let open = last.waits.iter().any(|w| w.role == *role && w.waits());
            (open && commands(&last.text, opposite) && judge::same_rope(&last.text, &call.text))
                .then_some(last)
        });
        if let Some(l) = other {
            let (first, words) = (
                l.seq,
                format!(
                    "order {seq} “{}” contradicts order {} “{}”, which is still open",
                    call.text, l.seq, l.text
                ),
            );
            self.raise("contradicting_orders", vec![first, seq], words);
        }
    }

    fn close_loop(
        &mut self,
        seq: u64,
        at: i64,
        (call, said): (&Call, &Said),
        answered: Option<u64>,
        readback: bool,
    ) {
        let Some(of) = answered else { return };
        let Some(ordered) = self.text_as_of(of, seq) else { return };
        let roles = self.speaks_as(&call.from);
        let Some(i) = self.loop_place(of) else { return };
        if self.loops[i].stop {
            return;
        }
        // A question, a roll call or a radio check is closed by whatever is answered.
        let order = Said::of(&ordered);
        let free = !readback || order.asks() || order.has_word(&["call", "check"]);
        let difference = if free { None } else { judge::differs_said(&order, said) };
        for w in self.loops[i].waits.iter_mut().filter(|w| roles.contains(&w.role)) {
            match &difference {
                None if w.done.is_none() => w.done = Some((seq, at)),
                None => {}
                Some(d) => w.wrong.push((seq, at, call.text.clone(), d.clone())),
            }
        }
        self.waited(i);
        if difference.is_none() {
            self.put_right(i, &roles, at);
        }
        if let Some(d) = difference {
            let words = format!("{} read back “{}” to “{ordered}”: {d}", call.from, call.text);
            self.raise("wrong_readback", vec![of, seq], words);
        }
    }

    fn move_by(
        &mut self,
        seq: u64,
        at: i64,
        payload: &Payload,
        (call, said): (&Call, &Said),
        answered: Option<u64>,
    ) {
        let w = Arc::clone(&self.words);
        let reads_back = matches!(payload, Payload::Readback(_));
        let whistled = self.whistles_stop(call);
        let reply_to_stop = || answered.is_some_and(|of| self.called_stop(of));
        if (said.commands(&w.stop) || whistled) && !(reads_back && reply_to_stop()) {
            self.emergency_by(seq, at, call, said);
            return self.stop(seq, at, (call, said), matches!(payload, Payload::Order(_)));
        }
        if matches!(payload, Payload::Order(_)) {
            self.edge_flag(seq, call, said);
            self.phase_by_order(seq, at, call, said);
            return self.move_by_order(seq, at, call, said);
        }
        if reads_back {
            return;
        }
        let says = |phrases: &[String]| {
            matches!(payload, Payload::Report(_) | Payload::Answer(_)) && said.commands(phrases)
        };
        if says(&w.stopped) {
            self.reported_stopped(seq, at, &call.from);
        } else if says(&w.tied_off) {
            self.reported_tied(seq, at, &call.from);
        } else if said.states(&w.landed) {
            self.turn(Motion::Landed, false, at, seq);
        } else if said.states(&w.at_the_edge) && !matches!(self.motion, Motion::Stopping | Motion::Stopped) {
            self.turn(Motion::AtTheEdge, false, at, seq);
        } else if self.motion == Motion::Stopped || self.motion == Motion::Stopping {
            self.cause((seq, at), (call, said), answered, payload);
        }
    }

    fn move_by_order(&mut self, seq: u64, at: i64, call: &Call, said: &Said) {
        let w = Arc::clone(&self.words);
        let (down, up) = (said.commands(&w.lower), said.commands(&w.raise));
        let moves = down || up;
        let by_control = self.speaks_for(&call.from, "control");
        if self.motion == Motion::Stopping || (self.motion == Motion::Stopped && !by_control) {
            if moves {
                let words = format!("order {seq} “{}” moves the load during a stop", call.text);
                self.raise("move_during_stop", vec![seq], words);
            }
            return;
        }
        if moves && by_control {
            self.movement_flags(seq, up);
            if let Some(s) = self.stops.last_mut().filter(|s| s.ended_ms.is_none()) {
                s.ended_ms = Some(at);
                if s.cause.is_empty() {
                    s.cause = call.cause.clone().unwrap_or_default();
                }
            }
            self.tied.clear();
            let slow = said.has_word(&w.slow.iter().map(String::as_str).collect::<Vec<_>>());
            let to = if down { Motion::Lowering } else { Motion::Raising };
            self.phase_moves_on(seq, at, to);
            self.turn(to, slow, at, seq);
        } else if by_control && self.motion.moves() && said.commands(&w.slow) {
            self.turn(self.motion, true, at, seq);
        } else if by_control && self.motion != Motion::Stopped && said.commands(&w.load_test) {
            self.load_test_flags(seq);
            self.turn(Motion::UnderLoadTest, false, at, seq);
        } else if self.motion != Motion::Stopped && said.states(&w.at_the_edge) {
            self.turn(Motion::AtTheEdge, false, at, seq);
        }
    }

    fn unequal_by(&mut self, seq: u64, said: &Said, payload: &Payload) {
        if matches!(payload, Payload::Readback(_)) || said.asks() {
            return;
        }
        let not = said.has_word(&["no", "not"]);
        if said.has_word(&["equal"]) && !not && !said.has_word(&["un"]) {
            self.unequal = None;
        } else if (said.has_word(&["slack", "unequal", "uneven"]) && !not)
            || (said.has_word(&["equal"]) && not)
        {
            self.unequal = Some(seq);
        }
    }

    /// Whether a speaker has this role.
    pub fn speaks_for(&self, from: &str, role: &str) -> bool {
        if let Some(own) = self.guidelines.role(from) {
            return own.role == role;
        }
        let mut held = self.duties.iter().filter(|d| d.person == from && d.to_ms.is_none()).peekable();
        if held.peek().is_none() { from == role } else { held.any(|d| d.role == role) }
    }

    /// Roles a speaker has: the role itself, or those a person holds.
    pub fn speaks_as(&self, from: &str) -> Vec<String> {
        let role = self.role_name(from);
        if self.guidelines.roles.iter().any(|r| r.role == role) {
            return vec![role];
        }
        let held = self.roles_of(from);
        if held.is_empty() { vec![role] } else { held }
    }
}
