//! The live operation as data: what was said and when; what stands some time later.
//!
//! A step is a line: when (seconds from the opening, or 12:30), then what is done; who can be several, by name, role or code:
//! `10 order control > both: lower` · `12 readback 1, 2 of 10: lower` (the order given at 10; `answer` alike) ·
//! `15 report NAME: WORDS` · `15 note NAME: WORDS` · `5 in NAME` · `6 out NAME` · `7 NAME is ROLE` ·
//! `8 zone NAME on_rope [tied]` · `9 par 4 of 5 missing NAME` · `9 rig TEMPLATE` · `9 check` (all of it holds) ·
//! `9 sign NAME` · `9 patient MARK: WORDS` · `9 {…}` (a step as JSON).

use super::{Played, found};
use operation::change_over::{self, Standing};
use operation::{Motion, State};
use serde::Deserialize;
use serde_json::{Map, Value, json};

/// A script: steps in, what stands at some moments out.
pub struct Script {
    pub case: String,
    /// Whether the crew of `Played::crew` is there first.
    pub crew: bool,
    pub steps: Vec<String>,
    pub looks: Vec<Look>,
}

/// What must stand at a moment; what is not written is not looked at.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Look {
    /// When, as in a step.
    at: Value,
    pub motion: Option<String>,
    /// Seconds that the motion has lasted.
    pub since: Option<i64>,
    pub slow: Option<bool>,
    /// Lines of the change-over's list that are owed, for the way it goes (“raise”).
    pub owed: Option<(String, Vec<String>)>,
    /// The phase that lasts, in words, and for how many seconds (“knot pass 90”); “none”: no phase.
    pub phase: Option<String>,
    /// Orders that wait: when they were given, and the roles waited for.
    pub waiting: Option<Vec<(Value, Vec<String>)>>,
    /// Who is on rope.
    pub on_rope: Option<Vec<String>>,
    /// Seconds until the next PAR is due; negative: overdue.
    pub par_in: Option<i64>,
    /// Metres called last.
    pub metres: Option<f64>,
    /// What is left of each loaded rope, in words (“rope one: 2 m left, near”).
    pub ropes: Option<Vec<String>>,
    /// Flags that must stand, each with words it must hold.
    #[serde(default)]
    pub flags: Vec<(String, String)>,
    /// Flags that must not.
    #[serde(default)]
    pub none: Vec<String>,
    /// Every flag that stands, one id for each, in alphabetical order.
    pub only: Option<Vec<String>>,
}

/// Seconds from “90” or “1:30”.
pub fn seconds(text: &str) -> i64 {
    let number = |t: &str| t.parse::<i64>().unwrap_or_else(|_| panic!("{text} is no time"));
    text.split(':').fold(0, |sum, part| sum * 60 + number(part))
}

fn time(value: &Value) -> i64 {
    value.as_i64().unwrap_or_else(|| seconds(value.as_str().expect("a time")))
}

impl Look {
    pub fn at(&self) -> i64 {
        time(&self.at)
    }
}

impl Script {
    /// A script with one look may have it beside its steps.
    pub fn read(whole: &Value) -> Script {
        let mut fields = whole.as_object().expect("a script").clone();
        let mut take = |name: &str| fields.remove(name);
        let case = take("case").and_then(|v| v.as_str().map(str::to_string)).expect("a name");
        let crew = take("crew").and_then(|v| v.as_bool()).unwrap_or(true);
        let steps = serde_json::from_value(take("steps").expect("steps")).expect("lines");
        let looks = match take("looks") {
            Some(looks) => looks,
            None => json!([std::mem::take::<Map<String, Value>>(&mut fields)]),
        };
        assert!(fields.is_empty(), "{case}: {fields:?}");
        let looks = serde_json::from_value(looks).unwrap_or_else(|e| panic!("{case}: {e}"));
        Script { case, crew, steps, looks }
    }

    pub fn all(text: &str) -> Vec<Script> {
        let list: Vec<Value> = serde_json::from_str(text).expect("the scripts are read");
        list.iter().map(Script::read).collect()
    }

    /// Plays it and says what stands otherwise, step by step and replayed from the entries.
    pub fn faults(&self) -> Vec<String> {
        let mut p = if self.crew { Played::crew() } else { Played::empty() };
        let mut steps = self.steps.iter().flat_map(|line| steps_of(line)).peekable();
        let mut faults = vec![];
        for look in &self.looks {
            while let Some((at, step)) = steps.next_if(|s| s.0 <= look.at()) {
                if step["do"] == "check" {
                    p.report = Some(found::all_holds(p.state.rig_now().expect("a rig")));
                }
                p.say(at, &step.to_string());
            }
            let now = p.start.timestamp_millis() + look.at() * 1000;
            for (how, state) in [("step by step", &p.state), ("replayed", &p.replayed())] {
                let found = look.faults(state, now, p.start.timestamp_millis());
                faults.extend(found.iter().map(|f| format!("{} at {} ({how}): {f}", self.case, look.at)));
            }
        }
        if let Some(left) = steps.next() {
            faults.push(format!("{}: {left:?} comes after the last look", self.case));
        }
        faults
    }
}

impl Look {
    fn faults(&self, state: &State, now: i64, start: i64) -> Vec<String> {
        let mut faults = vec![];
        let mut same = |what: &str, is: String, wanted: Option<String>| {
            if wanted.as_ref().is_some_and(|w| *w != is) {
                faults.push(format!("{what} is {is}, not {}", wanted.unwrap_or_default()));
            }
        };
        same("motion", state.motion.word().into(), self.motion.clone());
        let since = (now - state.motion_since()) / 1000;
        same("since", since.to_string(), self.since.map(|s| s.to_string()));
        let phase = state.phase().map(|p| format!("{} {}", p.words(), (now - p.from_ms) / 1000));
        same("phase", phase.unwrap_or_else(|| "none".into()), self.phase.clone());
        if let Some((way, wanted)) = &self.owed {
            let to = if way == "raise" { Motion::Raising } else { Motion::Lowering };
            let list = change_over::list(state, to);
            let owed = list.iter().filter(|i| i.standing == Standing::Owed).map(|i| i.id);
            let owed: Vec<&str> = owed.filter(|id| *id != "move").collect();
            same("owed", format!("{owed:?}"), Some(format!("{wanted:?}")));
            same("way", format!("{:?}", change_over::goes_to(state)), Some(format!("{to:?}")));
        }
        same("slow", state.slow.to_string(), self.slow.map(|s| s.to_string()));
        let waiting: Vec<(i64, Vec<&str>)> = state
            .unanswered()
            .map(|l| {
                let waits = l.waits.iter().filter(|w| w.waits());
                ((l.at_ms - start) / 1000, waits.map(|w| w.role.as_str()).collect())
            })
            .collect();
        let wanted = self.waiting.as_ref().map(|list| {
            let named = list.iter().map(|(at, roles)| (time(at), roles));
            format!("{:?}", named.collect::<Vec<_>>())
        });
        same("waiting", format!("{waiting:?}"), wanted);
        let rope = state.in_zone(operation::step::ZoneName::OnRope);
        let rope: Vec<&str> = rope.iter().map(|p| p.name.as_str()).collect();
        same("on rope", format!("{rope:?}"), self.on_rope.as_ref().map(|r| format!("{r:?}")));
        let due = state.par_due().map(|d| (d - now) / 1000);
        same("PAR", format!("{due:?}"), self.par_in.map(|s| format!("{:?}", Some(s))));
        let metres = state.heights.last().map(|h| h.metres);
        same("metres", format!("{metres:?}"), self.metres.map(|m| format!("{:?}", Some(m))));
        let ropes: Vec<String> =
            state.ropes.now().iter().flat_map(|now| &now.ropes).map(rope_words).collect();
        same("ropes", format!("{ropes:?}"), self.ropes.as_ref().map(|r| format!("{r:?}")));
        self.flag_faults(state, now, &mut faults);
        faults
    }

    fn flag_faults(&self, state: &State, now: i64, faults: &mut Vec<String>) {
        let stand = operation::flags::flags(state, now);
        for (id, words) in &self.flags {
            if !stand.iter().any(|f| f.id == id && f.words.contains(words.as_str())) {
                faults.push(format!("no {id} with “{words}” in {stand:#?}"));
            }
        }
        for f in stand.iter().filter(|f| self.none.iter().any(|id| id == f.id)) {
            faults.push(format!("{}: {}", f.id, f.words));
        }
        if let Some(only) = &self.only {
            let mut ids: Vec<&str> = stand.iter().map(|f| f.id).collect();
            ids.sort_unstable();
            if ids != *only {
                faults.push(format!("flags {ids:?}, not {only:?}: {stand:#?}"));
            }
        }
        for f in &stand {
            let known = f.entries.iter().all(|e| state.at(*e).is_some());
            if f.entries.is_empty() && f.id != "par_overdue" || !known {
                faults.push(format!("{} names entries {:?}", f.id, f.entries));
            }
        }
    }
}

fn rope_words(rope: &operation::state::RopeLeft) -> String {
    format!("{}: {}{}", rope.label, rope.words(), if rope.near { ", near" } else { "" })
}

/// The steps of a line: one for each who says it.
pub fn steps_of(line: &str) -> Vec<(i64, Value)> {
    let (when, rest) = line.split_once(' ').unwrap_or_else(|| panic!("{line}: when, then what is done"));
    let at = seconds(when);
    if rest.starts_with('{') {
        return vec![(at, serde_json::from_str(rest).unwrap_or_else(|e| panic!("{line}: {e}")))];
    }
    let (word, rest) = rest.split_once(' ').unwrap_or((rest, ""));
    let said = || rest.split_once(": ").unwrap_or_else(|| panic!("{line}: who: what"));
    let each = |who: &str, step: &dyn Fn(&str) -> Value| who.split(", ").map(|w| (at, step(w))).collect();
    match word {
        "readback" | "answer" => {
            let (who, text) = said();
            let (from, of) = who.split_once(" of ").unwrap_or_else(|| panic!("{line}: who of which order"));
            let of = format!("k{}", seconds(of));
            each(from, &|from| json!({"do": word, "from": from, "of": of, "text": text}))
        }
        "report" | "note" => {
            let (from, text) = said();
            each(from, &|from| json!({"do": word, "from": from, "text": text}))
        }
        _ => vec![(at, step_of(at, word, rest, line))],
    }
}

fn step_of(at: i64, word: &str, rest: &str, line: &str) -> Value {
    let words: Vec<&str> = rest.split(' ').collect();
    let parts = |between: &str| rest.split_once(between).unwrap_or_else(|| panic!("{line}"));
    match word {
        "order" => {
            let (who, text) = parts(": ");
            let (from, to) = who.split_once(" > ").unwrap_or_else(|| panic!("{line}: from > to"));
            let to: Vec<&str> = to.split(", ").collect();
            json!({"do": "order", "from": from, "to": to, "text": text, "label": format!("k{at}")})
        }
        "in" => json!({"do": "check_in", "person": rest}),
        "out" => json!({"do": "check_out", "person": rest}),
        "zone" => {
            let tied = words.get(2) == Some(&"tied");
            json!({"do": "zone", "person": words[0], "zone": words[1], "tied_in": tied})
        }
        "par" => {
            let number = |i: usize| words[i].parse::<u64>().expect("a number");
            json!({"do": "par", "count": number(0), "of": number(2), "missing": words.get(4..).unwrap_or_default()})
        }
        "rig" => json!({"do": "rig", "name": "main", "template": rest}),
        "use" => json!({"do": "use", "rig": "main", "state": rest}),
        "check" => json!({"do": "check"}),
        "sign" => json!({"do": "sign", "role": "rigging lead", "person": rest}),
        "patient" => json!({"do": "patient", "mark": parts(": ").0, "text": parts(": ").1}),
        person => {
            let role = rest.strip_prefix("is ").unwrap_or_else(|| panic!("{line}: NAME is ROLE"));
            json!({"do": "assign", "person": person, "role": role})
        }
    }
}
