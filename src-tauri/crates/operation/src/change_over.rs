//! The change-over as a list: what should be true before the devices are turned round under a load and it is moved the other
//! way. The record says what is; the rest is owed. Nothing is blocked: what is owed when control orders to move is flagged.

use crate::line::clock;
use crate::motion::Motion;
use crate::phase::{Phase, PhaseEnd, PhaseSpan};
use crate::state::State;
use rig::model::Sliding;
use serde_json::{Value, json};

/// How a line stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// The record says so.
    Done,
    /// It does not.
    Owed,
    /// It does not, and another line makes it not needed: one of two ropes tied off is enough.
    Free,
}

impl Standing {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Standing::Done => "done",
            Standing::Owed => "owed",
            Standing::Free => "free",
        }
    }
}

/// What a line can be met by: words that name who says it, and the step; without a step it is a matter of the Team screen.
#[derive(Clone, Debug, PartialEq)]
pub struct Does {
    /// “rope one: tied off”.
    pub label: String,
    /// The step as JSON.
    pub step: Option<Value>,
}

/// A line of the list.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// `stopped`, `ordered`, `tied_off`, `operators`, `state`, `converted`, `load_test`, `roll_call` or `move`.
    pub id: &'static str,
    /// What should be true.
    pub words: String,
    /// Whether it is.
    pub standing: Standing,
    /// What the record says about it, with the numbers of its entries in words.
    pub found: String,
    /// Entries it rests on.
    pub entries: Vec<u64>,
    /// What meets it, likeliest first.
    pub does: Vec<Does>,
}

/// The list for one direction, in the order things are done.
pub fn list(state: &State, to: Motion) -> Vec<Item> {
    let c = Asked { state, to, since: since(state) };
    let mut all = vec![c.stopped(), c.ordered()];
    all.extend(c.tied_off());
    all.extend([c.operators(), c.rig_state(), c.converted(), c.load_test(), c.roll_call(), c.order()]);
    all
}

/// Where a change-over goes: as ordered, else the other way than the load last went, else than the rig is set.
pub fn goes_to(state: &State) -> Motion {
    let ordered = state.phase().and_then(|p| p.to);
    let moved = || state.spans.iter().rev().find(|s| s.motion.moves()).map(|s| other(s.motion));
    let rigged = || {
        let rig = state.rig_now()?;
        let mode = rig.rig.states.iter().find(|s| s.id == rig.state)?;
        (mode.motion == Sliding::Raising).then_some(Motion::Lowering)
    };
    ordered.or_else(moved).or_else(rigged).unwrap_or(Motion::Raising)
}

/// The other way.
pub fn other(motion: Motion) -> Motion {
    if motion == Motion::Raising { Motion::Lowering } else { Motion::Raising }
}

/// What is owed of the change-over that was ordered since the load last moved, as it is ordered to move that way: its order, and
/// words.
pub(crate) fn skipped(state: &State, to: Motion) -> Option<(u64, String)> {
    let ordered = Asked { state, to, since: since(state) }.phase()?.seq;
    let owed: Vec<String> = list(state, to)
        .into_iter()
        .filter(|i| i.standing == Standing::Owed && i.id != "move")
        .map(|i| i.words)
        .collect();
    let verb = if to == Motion::Raising { "raise" } else { "lower" };
    let words = format!(
        "ordered to {verb} with this of the change-over not on record (order {ordered}): {}",
        owed.join("; ")
    );
    (!owed.is_empty()).then_some((ordered, words))
}

/// What tells that the phase that lasts is done.
pub fn phase_done(state: &State) -> Option<Does> {
    let (role, text) = crate::suggest::phase_done(state)?;
    Some(says(state, &role, "report", &text))
}

fn says(state: &State, role: &str, act: &str, text: &str) -> Does {
    let step = json!({"do": act, "from": role, "text": text});
    Does { label: format!("{}: {text}", state.guidelines.short(role)), step: Some(step) }
}

/// When the load last stopped moving; `None`: it moves.
fn since(state: &State) -> Option<i64> {
    match state.spans.iter().rev().find(|s| s.motion.moves()) {
        Some(s) => s.to_ms,
        None => Some(i64::MIN),
    }
}

struct Asked<'a> {
    state: &'a State,
    to: Motion,
    since: Option<i64>,
}

impl Asked<'_> {
    fn verb(&self) -> &str {
        let words = &self.state.guidelines.words;
        let list = if self.to == Motion::Raising { &words.raise } else { &words.lower };
        list.first().map_or("", String::as_str)
    }

    fn short(&self, role: &str) -> String {
        self.state.guidelines.short(role).to_string()
    }

    /// “13:31:05, entry 44”.
    fn when(&self, seq: u64) -> String {
        let time = self.state.at(seq).map(|k| clock(k.told_ms, k.offset_min)).unwrap_or_default();
        format!("{time}, entry {seq}")
    }

    fn fresh(&self, at_ms: i64) -> bool {
        self.since.is_some_and(|since| at_ms >= since)
    }

    fn item(&self, id: &'static str, words: impl Into<String>) -> Item {
        Item {
            id,
            words: words.into(),
            standing: Standing::Owed,
            found: String::new(),
            entries: vec![],
            does: vec![],
        }
    }

    fn orders(&self, to: &[String], text: &str) -> Does {
        let step = json!({"do": "order", "from": "control", "to": to, "text": text});
        Does { label: format!("control: {text}"), step: Some(step) }
    }

    fn stopped(&self) -> Item {
        let mut item = self.item("stopped", "stopped");
        let state = self.state;
        let words = &state.guidelines.words;
        let began = state.spans.last().filter(|s| s.motion == state.motion).map(|s| s.seq);
        item.entries = began.into_iter().collect();
        let at = began.map(|seq| format!(", {}", self.when(seq))).unwrap_or_default();
        item.found = format!("{}{at}", state.motion.words().to_lowercase());
        if state.motion == Motion::Stopping {
            let silent = state.stops.last().map(|s| s.silent()).unwrap_or_default();
            let short: Vec<String> = silent.iter().map(|r| self.short(r)).collect();
            item.found = if short.is_empty() { item.found } else { format!("silent: {}", short.join(", ")) };
            let text = words.stopped.first().map_or("", String::as_str);
            item.does = silent.iter().map(|r| says(state, r, "report", text)).collect();
        } else if state.motion.moves() {
            item.does = vec![self.orders(&["all".into()], words.stop.first().map_or("", String::as_str))];
        } else {
            item.standing = Standing::Done;
        }
        item
    }

    /// The change-over in this direction that control ordered since the load last moved, or that lasts.
    fn phase(&self) -> Option<&PhaseSpan> {
        let last = self.state.phases.iter().rev().find(|p| p.phase == Phase::ChangeOver)?;
        let ours = last.to_ms.is_none() || self.fresh(last.from_ms);
        Some(last).filter(|p| ours && p.to.is_none_or(|to| to == self.to))
    }

    fn ordered(&self) -> Item {
        let begins = self.state.guidelines.words.phases.change_over.begins.first();
        let text = format!("{} to {}", begins.map_or("", String::as_str), self.verb());
        let mut item = self.item("ordered", format!("control ordered: {text}"));
        match self.phase() {
            Some(p) => {
                item.standing = Standing::Done;
                item.entries = vec![p.seq];
                item.found = self.when(p.seq);
            }
            None => item.does = vec![self.orders(&["all".into()], &text)],
        }
        item
    }

    /// A line for each rope that has an operator: while one is turned round the other bears the load.
    fn tied_off(&self) -> Vec<Item> {
        let operators = self.state.operators(false);
        if operators.is_empty() {
            let mut item = self.item("tied_off", "the other rope tied off");
            item.found = "nobody works a device who could report it".into();
            item.does = vec![Does { label: "Team".into(), step: None }];
            return vec![item];
        }
        let said = |role: &String| self.state.tied.iter().find(|t| t.0 == *role).map(|t| t.1);
        let any = operators.iter().any(|r| said(r).is_some());
        let text = self.state.guidelines.words.tied_off.first().map_or("", String::as_str);
        let line = |role: &String| {
            let mut item = self.item("tied_off", format!("{} tied off", self.short(role)));
            match said(role) {
                Some(seq) => {
                    item.standing = Standing::Done;
                    item.entries = vec![seq];
                    item.found = self.when(seq);
                }
                None => {
                    item.standing = if any { Standing::Free } else { Standing::Owed };
                    item.found = if any { "not reported; the other one is" } else { "" }.into();
                    item.does = vec![says(self.state, role, "report", text)];
                }
            }
            item
        };
        operators.iter().map(line).collect()
    }

    /// Who works it now holds the role, and whoever took one over has said so.
    fn operators(&self) -> Item {
        let state = self.state;
        let mut item = self.item("operators", "whoever works it now has said so");
        let mut owed: Vec<String> = vec![];
        let wanted = state.roles_needed();
        for role in wanted.iter().filter(|r| state.holder(r).is_empty()) {
            owed.push(format!("{} vacant", self.short(role)));
        }
        if !owed.is_empty() {
            item.does.push(Does { label: "Team".into(), step: None });
        }
        for (seq, role, person) in state.not_confirmed() {
            owed.push(format!("{person} not yet as {} (entry {seq})", self.short(&role)));
            let step =
                json!({"do": "report", "from": person, "text": format!("I have {}", self.short(&role))});
            item.does.push(Does { label: format!("{person}: I have it"), step: Some(step) });
            item.entries.push(seq);
        }
        for (seq, giver, person, role) in state.not_given() {
            owed.push(format!("{giver} has not given {} (entry {seq})", self.short(&role)));
            let text = format!("{person} has {}", self.short(&role));
            let step = json!({"do": "report", "from": giver, "text": text});
            item.does.push(Does { label: format!("{giver}: {person} has it"), step: Some(step) });
            item.entries.push(seq);
        }
        if owed.is_empty() {
            item.standing = Standing::Done;
            let held = |r: &String| format!("{} {}", self.short(r), state.holder(r).join(", "));
            let works = state.operators(self.to == Motion::Raising);
            item.found = works.iter().map(held).collect::<Vec<_>>().join("; ");
        } else {
            item.found = owed.join("; ");
        }
        item
    }

    fn rig_state(&self) -> Item {
        let raises = self.to == Motion::Raising;
        let verb = if raises { "raises" } else { "lowers" };
        let mut item = self.item("state", format!("the rig in use is one that {verb}"));
        let Some((name, r)) = self.state.rig_in_use.as_ref().zip(self.state.rig_now()) else {
            item.found = "no rig was entered".into();
            return item;
        };
        let wanted = if raises { Sliding::Raising } else { Sliding::Lowering };
        let now = r.rig.states.iter().find(|s| s.id == r.state);
        let label = now.map_or(r.state.as_str(), |s| s.label.as_str());
        let seq = r.used_seq.unwrap_or(r.seq);
        item.entries = vec![seq];
        item.found = format!("{name}, {label}: {}", self.when(seq));
        if now.is_some_and(|s| s.motion == wanted) {
            item.standing = Standing::Done;
            return item;
        }
        // A rig that is built over in steps goes by them, one at a time.
        let at = r.rig.states.iter().position(|s| s.id == r.state);
        let goal = r.rig.states.iter().position(|s| s.motion == wanted);
        let next = at.zip(goal).filter(|(at, goal)| at + 1 < *goal).map(|(at, _)| &r.rig.states[at + 1]);
        let others = r.rig.states.iter().filter(|s| s.motion == wanted);
        item.does = next
            .into_iter()
            .chain(others)
            .map(|s| Does {
                label: format!("use: {}", s.label),
                step: Some(json!({"do": "use", "rig": name, "state": s.id})),
            })
            .collect();
        if item.does.is_empty() {
            item.found = format!("{name} has no state in which it {verb}: not checked");
        }
        item
    }

    fn converted(&self) -> Item {
        let mut item = self.item("converted", "reported changed over");
        match self.phase() {
            Some(PhaseSpan { end: Some((PhaseEnd::Done, by)), .. }) => {
                item.standing = Standing::Done;
                item.entries = vec![*by];
                item.found = self.when(*by);
            }
            // The phase that lasts is this one: no other began since.
            Some(p) if p.to_ms.is_none() => {
                if !p.ropes_done.is_empty() {
                    item.found = format!("so far: rope {}", p.ropes_done.join(", "));
                }
                item.does = phase_done(self.state).into_iter().collect();
            }
            _ => item.found = "not ordered yet".into(),
        }
        item
    }

    fn load_test(&self) -> Item {
        let mut item = self.item("load_test", "load test since then");
        let used = self.state.rig_now().and_then(|r| r.used_seq).and_then(|seq| self.state.at(seq));
        let after = used.map_or(i64::MIN, |k| k.happened_ms);
        match self.state.load_test.filter(|(_, at)| self.fresh(*at) && *at >= after) {
            Some((seq, _)) => {
                item.standing = Standing::Done;
                item.entries = vec![seq];
                item.found = self.when(seq);
            }
            None => {
                let text = self.state.guidelines.words.load_test.first().map_or("", String::as_str);
                item.does = vec![self.orders(&["all".into()], text)];
            }
        }
        item
    }

    fn roll_call(&self) -> Item {
        let mut item = self.item("roll_call", "roll call since then");
        let Some(roll) = self.state.roll_call().filter(|r| self.fresh(r.at_ms)) else {
            item.does = vec![self.orders(&["all".into()], "roll call")];
            return item;
        };
        item.entries = vec![roll.seq];
        if roll.silent.is_empty() {
            item.standing = Standing::Done;
            item.found = format!("all {} answered, {}", roll.answered.len(), self.when(roll.seq));
            return item;
        }
        let short: Vec<String> = roll.silent.iter().map(|r| self.short(r)).collect();
        item.found = format!("silent: {} ({})", short.join(", "), self.when(roll.seq));
        let id = self.state.at(roll.seq).map(|k| k.id.to_string()).unwrap_or_default();
        let answers = |role: &String| Does {
            label: format!("{}: ready", self.short(role)),
            step: Some(json!({"do": "answer", "from": role, "of": id, "text": "ready"})),
        };
        item.does = roll.silent.iter().map(answers).collect();
        item
    }

    fn order(&self) -> Item {
        let mut item = self.item("move", format!("control's order to {}", self.verb()));
        let works = self.state.operators(self.to == Motion::Raising);
        let to = if works.is_empty() { vec!["all".to_string()] } else { works };
        item.does = vec![self.orders(&to, self.verb())];
        item
    }
}
