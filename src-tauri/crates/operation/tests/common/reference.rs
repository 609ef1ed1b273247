//! A plain reading of the contract: motion, phases inside it, stops, readbacks and their flags. It knows a few texts by heart instead of reading
//! words, keeps everything in lists and goes through all of them each time. It must share nothing with the program.

use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Flags that are counted.
pub const FLAGS: [&str; 7] = [
    "move_during_stop",
    "wrong_readback",
    "contradicting_orders",
    "order_unanswered",
    "role_vacant",
    "stop_nobody_assigned",
    "phase_not_done",
];

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    Order,
    Readback,
    Answer,
    Report,
    Note,
    /// `of` is the number of blasts.
    Whistle,
}

#[derive(Clone, Debug)]
pub enum Step {
    Call { kind: Kind, from: &'static str, to: Vec<&'static str>, text: &'static str, of: usize },
    Assign { role: &'static str, person: &'static str },
    Relieve { role: &'static str, person: &'static str },
}

struct Order {
    seq: u64,
    at: i64,
    text: &'static str,
    /// Each role waited for, and whether it is still.
    waits: BTreeMap<String, bool>,
    /// Who read it back wrong, and when.
    wrong: Vec<(String, i64)>,
    stop: bool,
    /// A stop that the load moved on from, or that another stop came after.
    over: bool,
}

pub struct Reference {
    motion: &'static str,
    slow: bool,
    since: i64,
    /// Role and person, now.
    held: Vec<(&'static str, &'static str)>,
    orders: Vec<Order>,
    /// Who said tied off since the load was last ordered to move.
    tied: Vec<String>,
    /// The last movement was up.
    was_up: bool,
    /// A stop stands for which nobody was assigned.
    nobody: bool,
    /// What is done inside the motion, since when, and the ropes that it was reported done on.
    phase: Option<(&'static str, i64, Vec<&'static str>)>,
    counts: BTreeMap<&'static str, usize>,
}

const DEVICES: [&str; 2] = ["rope one operator", "rope two operator"];

/// The command words of the texts that the test knows, and the rope they name.
fn meaning(text: &str) -> (&'static [&'static str], &'static str) {
    match text {
        "lower" | "down" => (&["lower"], ""),
        "lower slow" => (&["lower", "slow"], ""),
        "raise" | "up" => (&["raise"], ""),
        "haul slow" => (&["raise", "slow"], ""),
        "slow" => (&["slow"], ""),
        "load test" => (&["test"], ""),
        "stop" => (&["stop"], ""),
        "at the edge" => (&["edge"], ""),
        "set" => (&["set"], ""),
        "slack one" => (&["slack"], "one"),
        "slack two" => (&["slack"], "two"),
        "tension one" => (&["tension"], "one"),
        "do not lower" => (&["lower", "not"], ""),
        "reset" => (&["reset"], ""),
        "knot pass" => (&["knot pass"], ""),
        "change over to raise" => (&["change over", "raise"], ""),
        _ => (&[], ""),
    }
}

/// Names a movement and orders none.
fn speaks_of_it(text: &str) -> bool {
    matches!(text, "do not lower" | "change over to raise")
}

/// What control's order begins, and what tells that it is done.
fn begins(text: &str) -> Option<&'static str> {
    match text {
        "knot pass" => Some("knot pass"),
        "reset" => Some("reset"),
        "change over to raise" => Some("change-over to raise"),
        _ => None,
    }
}

fn tells_done(text: &str) -> Option<&'static str> {
    match text {
        "knot passed" => Some("knot pass"),
        "ready to haul" => Some("reset"),
        "changed over" => Some("change-over to raise"),
        _ => None,
    }
}

fn right(order: &str, said: &str) -> bool {
    let (a, b) = (meaning(order), meaning(said));
    a.0 == b.0 && (a.1.is_empty() || b.1.is_empty() || a.1 == b.1)
}

fn question(text: &str) -> bool {
    matches!(text, "ready?" | "roll call")
}

impl Reference {
    pub fn crew() -> Reference {
        let held = vec![
            ("control", "Ada"),
            ("rope one operator", "Ben"),
            ("rope two operator", "Cleo"),
            ("edge attendant", "Dov"),
        ];
        Reference {
            motion: "at_rest",
            slow: false,
            since: 0,
            held,
            orders: vec![],
            tied: vec![],
            was_up: false,
            nobody: false,
            phase: None,
            counts: BTreeMap::new(),
        }
    }

    /// The step as a script has it; `None` where it speaks of an order that was not given, or answers one that asked nothing.
    pub fn written(&self, step: &Step) -> Option<Value> {
        match step {
            Step::Assign { role, person } => Some(json!({"do": "assign", "role": role, "person": person})),
            Step::Relieve { role, person } => Some(json!({"do": "relieve", "role": role, "person": person})),
            Step::Call { kind: Kind::Order, from, to, text, .. } => {
                Some(json!({"do": "order", "from": from, "to": to, "text": text}))
            }
            Step::Call { kind: Kind::Report, from, text, .. } => {
                Some(json!({"do": "report", "from": from, "text": text}))
            }
            Step::Call { kind: Kind::Note, from, text, .. } => {
                Some(json!({"do": "note", "from": from, "text": text}))
            }
            Step::Call { kind: Kind::Whistle, from, of, .. } => {
                Some(json!({"do": "signal", "from": from, "count": of, "by": "whistle"}))
            }
            Step::Call { kind, from, of, .. } => {
                let order = &self.orders[self.place(*kind, *of)?];
                let word = if *kind == Kind::Answer { "answer" } else { "readback" };
                Some(json!({"do": word, "from": from, "of": order.seq, "text": self.said(step)}))
            }
        }
    }

    /// Which order a reply speaks of: a question is answered, an order read back.
    fn place(&self, kind: Kind, of: usize) -> Option<usize> {
        let fits = |o: &Order| question(o.text) == (kind == Kind::Answer);
        let given: Vec<usize> = (0..self.orders.len()).filter(|i| fits(&self.orders[*i])).collect();
        (!given.is_empty()).then(|| given[given.len() - 1 - of % given.len()])
    }

    /// A readback without words of its own repeats the order.
    fn said(&self, step: &Step) -> &'static str {
        match step {
            Step::Call { kind: Kind::Readback, text: "", of, .. } => {
                self.place(Kind::Readback, *of).map_or("", |i| self.orders[i].text)
            }
            Step::Call { text, .. } => text,
            _ => "",
        }
    }

    fn roles(&self, from: &str) -> Vec<String> {
        let mine: Vec<String> = self.held.iter().filter(|h| h.1 == from).map(|h| h.0.to_string()).collect();
        if mine.is_empty() { vec![from.to_string()] } else { mine }
    }

    fn operators(&self) -> Vec<String> {
        let up = self.motion == "raising" || (matches!(self.motion, "stopping" | "stopped") && self.was_up);
        let all = DEVICES.into_iter().chain(up.then_some("haul team"));
        all.filter(|r| self.held.iter().any(|h| h.0 == *r)).map(str::to_string).collect()
    }

    fn count(&mut self, flag: &'static str) {
        *self.counts.entry(flag).or_default() += 1;
    }

    fn set_motion(&mut self, motion: &'static str, at: i64) {
        if self.motion != motion {
            self.since = at;
        }
        (self.motion, self.slow) = (motion, false);
    }

    pub fn take(&mut self, step: &Step, seq: u64, at: i64) {
        match step {
            Step::Assign { role, person } => {
                // A role has one holder; a team has several.
                self.held.retain(|h| h.0 != *role || (*role == "haul team" && h.1 != *person));
                self.held.push((role, person));
            }
            Step::Relieve { role, person } => self.held.retain(|h| h != &(*role, *person)),
            Step::Call { kind, from, to, of, .. } => {
                let text = self.said(step);
                let place = self.place(*kind, *of);
                let known = |i: usize| matches!(kind, Kind::Readback | Kind::Answer).then_some(i);
                let place = place.and_then(known);
                if *kind == Kind::Order && text != "stop" {
                    self.order(seq, at, (from, to, text));
                } else if *kind == Kind::Order {
                    self.vacant(&self.meant(from, to));
                }
                if let Some(i) = place {
                    self.replied(i, *kind, from, text, at);
                }
                let to_stop = place.is_some_and(|i| self.orders[i].stop);
                let whistled = *kind == Kind::Whistle && *of == 1;
                if (text == "stop" && !(*kind == Kind::Readback && to_stop)) || whistled {
                    self.stop(seq, at);
                } else {
                    self.moved(*kind, from, text, at);
                }
            }
        }
    }

    fn meant(&self, from: &str, to: &[&str]) -> Vec<String> {
        let own = self.roles(from);
        let mut roles: Vec<String> = vec![];
        for t in to {
            match *t {
                "all" => roles.extend(self.held.iter().map(|h| h.0.to_string()).filter(|r| !own.contains(r))),
                "both" => roles.extend(DEVICES.map(str::to_string)),
                other => roles.push(other.into()),
            }
        }
        roles.sort();
        roles.dedup();
        roles
    }

    fn vacant(&mut self, roles: &[String]) {
        for role in roles {
            if !self.held.iter().any(|h| h.0 == role) {
                self.count("role_vacant");
            }
        }
    }

    fn order(&mut self, seq: u64, at: i64, (from, to, text): (&str, &[&str], &'static str)) {
        let roles = self.meant(from, to);
        self.vacant(&roles);
        let against = match meaning(text).0.first() {
            _ if speaks_of_it(text) => "",
            Some(&"lower") => "raise",
            Some(&"raise") => "lower",
            Some(&"slack") => "tension",
            Some(&"tension") => "slack",
            _ => "",
        };
        let contradicted = roles.iter().any(|role| {
            let last = self.orders.iter().rev().find(|o| !o.stop && o.waits.contains_key(role));
            last.is_some_and(|o| {
                let (words, rope) = meaning(o.text);
                let same = rope.is_empty() || meaning(text).1.is_empty() || rope == meaning(text).1;
                o.waits[role] && words.first() == Some(&against) && !speaks_of_it(o.text) && same
            })
        });
        if contradicted {
            self.count("contradicting_orders");
        }
        let waits = roles.into_iter().map(|r| (r, true)).collect();
        self.orders.push(Order { seq, at, text, waits, wrong: vec![], stop: false, over: false });
    }

    fn replied(&mut self, i: usize, kind: Kind, from: &str, text: &str, at: i64) {
        if self.orders[i].stop {
            return;
        }
        let roles = self.roles(from);
        let ok = kind == Kind::Answer || right(self.orders[i].text, text);
        let o = &mut self.orders[i];
        if !ok {
            // “At the edge” is the word of a report: put down as a readback by mistake, it is never put right.
            if text != "at the edge" {
                o.wrong.extend(roles.iter().map(|r| (r.clone(), at)));
            }
            return self.count("wrong_readback");
        }
        for r in &roles {
            o.waits.entry(r.clone()).and_modify(|w| *w = false);
        }
        // The same words ordered again and read back right put right what was read back wrong before.
        let (given, words) = (o.at, o.text);
        for before in &mut self.orders[..i] {
            for r in &roles {
                let misread = before.wrong.iter().any(|w| w.0 == *r && w.1 <= given);
                if !before.stop && right(before.text, words) && misread {
                    before.waits.entry(r.clone()).and_modify(|w| *w = false);
                }
            }
        }
    }

    fn stop(&mut self, seq: u64, at: i64) {
        if self.motion == "stopping" && !self.nobody {
            // The same stop; whoever reads this call back stops nothing anew.
            let waits = BTreeMap::new();
            return self.orders.push(Order {
                seq,
                at,
                text: "stop",
                waits,
                wrong: vec![],
                stop: true,
                over: true,
            });
        }
        let operators = self.operators();
        self.nobody = operators.is_empty();
        if self.nobody {
            self.count("stop_nobody_assigned");
        }
        for o in self.orders.iter_mut().filter(|o| o.stop) {
            o.over = true;
        }
        let waits = operators.into_iter().map(|r| (r, true)).collect();
        self.orders.push(Order { seq, at, text: "stop", waits, wrong: vec![], stop: true, over: false });
        self.set_motion("stopping", at);
    }

    fn reported_stopped(&mut self, from: &str, at: i64) {
        let roles = self.roles(from);
        let operators = self.operators();
        let Some(s) = self.orders.iter_mut().rev().find(|o| o.stop && !o.over) else { return };
        if self.nobody && self.motion == "stopping" && roles.iter().any(|r| operators.contains(r)) {
            // Nobody could report; whoever is assigned by now must.
            s.waits = operators.into_iter().map(|r| (r, true)).collect();
            self.nobody = false;
        }
        for r in roles {
            s.waits.entry(r).and_modify(|w| *w = false);
        }
        let all = !s.waits.is_empty() && s.waits.values().all(|w| !w);
        if all && self.motion == "stopping" {
            self.set_motion("stopped", at);
        }
    }

    fn moved(&mut self, kind: Kind, from: &str, text: &str, at: i64) {
        let control = from == "control" || self.held.iter().any(|h| h.0 == "control" && h.1 == from);
        let stands = matches!(self.motion, "stopping" | "stopped");
        let moving = matches!(self.motion, "lowering" | "raising");
        let words = meaning(text).0;
        let orders = !speaks_of_it(text);
        let (down, up) =
            (words.first() == Some(&"lower") && orders, words.first() == Some(&"raise") && orders);
        self.phase_by(kind, control, (from, text), at);
        match (kind, text) {
            (Kind::Order, _) if down || up => {
                if self.motion == "stopping" || (stands && !control) {
                    return self.count("move_during_stop");
                }
                if control {
                    // Without a rig the movement asks for one role.
                    self.vacant(&["control".to_string()]);
                    for o in self.orders.iter_mut().filter(|o| o.stop) {
                        o.over = true;
                    }
                    self.tied.clear();
                    self.was_up = up;
                    let to = if down { "lowering" } else { "raising" };
                    self.moves_on(to);
                    self.set_motion(to, at);
                    self.slow = words.contains(&"slow");
                }
            }
            (Kind::Order, "slow") if control && moving => self.slow = true,
            (Kind::Order, "load test") if control && !stands => self.set_motion("under_load_test", at),
            (Kind::Order | Kind::Report | Kind::Note, "at the edge") if !stands => {
                self.set_motion("at_the_edge", at)
            }
            (Kind::Report, "stopped") => self.reported_stopped(from, at),
            (Kind::Report, "tied off") => {
                self.tied.extend(self.roles(from));
                let devices: Vec<&str> =
                    DEVICES.into_iter().filter(|d| self.held.iter().any(|h| h.0 == *d)).collect();
                if !devices.is_empty() && devices.iter().all(|d| self.tied.iter().any(|t| t == d)) {
                    for o in self.orders.iter_mut().filter(|o| o.stop) {
                        o.over = true;
                    }
                    self.set_motion("tied_off", at);
                }
            }
            (Kind::Report | Kind::Note, "landed" | "on the ground") => {
                if self.motion != "landed" {
                    self.phase = None;
                }
                self.set_motion("landed", at);
            }
            _ => {}
        }
    }

    fn phase_by(&mut self, kind: Kind, control: bool, (from, text): (&str, &str), at: i64) {
        if let Some(begun) = begins(text).filter(|_| kind == Kind::Order && control) {
            if self.phase.as_ref().is_none_or(|p| p.0 != begun) {
                self.phase = Some((begun, at, vec![]));
            }
            return;
        }
        let works = |d: &&str| self.held.iter().any(|h| h.0 == *d);
        let needed: Vec<&str> = DEVICES.into_iter().filter(works).collect();
        let roles = self.roles(from);
        let mine: Vec<&str> = needed.iter().copied().filter(|d| roles.iter().any(|r| r == d)).collect();
        let Some(p) = self.phase.as_mut().filter(|p| tells_done(text) == Some(p.0)) else { return };
        if !matches!(kind, Kind::Report | Kind::Note | Kind::Answer) {
            return;
        }
        p.2.extend(mine.iter().copied());
        // Whoever works no rope speaks for all of them, and a haul is drawn out as one.
        if mine.is_empty() || p.0 == "reset" || needed.iter().all(|d| p.2.contains(d)) {
            self.phase = None;
        }
    }

    /// Control ordered the load to move.
    fn moves_on(&mut self, to: &str) {
        let Some(p) = self.phase.take() else { return };
        match p.0 {
            "reset" => {}
            _ if self.motion == to => self.phase = Some(p),
            "knot pass" => self.count("phase_not_done"),
            // Turned round to raise, and lowered.
            _ if to == "lowering" => self.count("phase_not_done"),
            _ => {}
        }
    }

    /// What stands at a moment.
    pub fn says(&self, now: i64) -> String {
        let open = |o: &&Order| !o.over && o.waits.values().any(|w| *w);
        let waiting: Vec<(u64, Vec<&String>)> = self
            .orders
            .iter()
            .filter(open)
            .map(|o| (o.seq, o.waits.iter().filter(|w| *w.1).map(|w| w.0).collect()))
            .collect();
        let late = |o: &&Order| now - o.at > if o.stop { 5 } else { 10 };
        let counted = FLAGS.map(|id| {
            let unanswered = self.orders.iter().filter(open).filter(late).count();
            let raised = self.counts.get(id).copied().unwrap_or(0);
            (id, if id == "order_unanswered" { unanswered } else { raised })
        });
        format!(
            "{} slow {} since {}; {:?}; waiting {waiting:?}; flags {counted:?}",
            self.motion,
            self.slow,
            self.since,
            self.phase.as_ref().map(|p| (p.0.to_string(), p.1))
        )
    }
}
