//! Plays steps into a state without a disk: what a journal would store, in memory.
#![allow(dead_code)] // each test binary uses its part of this

pub mod found;
pub mod reference;
pub mod script;

use chrono::{DateTime, Duration, FixedOffset};
use operation::{Act, Computed, Entry, NewEvent, State, Step, StepError, decide};
use rig::findings::CheckReport;

/// A state, its entries and a clock that the test sets.
pub struct Played {
    pub state: State,
    pub entries: Vec<Entry>,
    pub start: DateTime<FixedOffset>,
    /// What a check finds.
    pub report: Option<CheckReport>,
}

impl Played {
    /// Opened as a drill with an edge of 20 m, and control and both operators assigned.
    pub fn crew() -> Played {
        let mut p = Played::empty();
        p.say(0, r#"{"do":"open","name":"T","purpose":"drill","edge_height":"20m"}"#);
        for (role, person) in [
            ("control", "Ada"),
            ("rope one operator", "Ben"),
            ("rope two operator", "Cleo"),
            ("edge attendant", "Dov"),
        ] {
            p.say(1, &format!(r#"{{"do":"check_in","person":"{person}"}}"#));
            p.say(2, &format!(r#"{{"do":"assign","role":"{role}","person":"{person}"}}"#));
        }
        p
    }

    pub fn empty() -> Played {
        let start = DateTime::parse_from_rfc3339("2026-05-14T13:00:00+02:00").unwrap();
        Played { state: State::default(), entries: vec![], start, report: None }
    }

    /// The crew, after these lines (`script.rs` tells how they are written).
    pub fn through(lines: &[&str]) -> Played {
        let mut p = Played::crew();
        p.go_on(lines);
        p
    }

    /// Goes on with these lines; a check finds that all holds, unless the test said otherwise.
    pub fn go_on(&mut self, lines: &[&str]) {
        for (at, step) in lines.iter().flat_map(|line| script::steps_of(line)) {
            if step["do"] == "check" && self.report.is_none() {
                self.report = Some(found::all_holds(self.state.rig_now().expect("a rig")));
            }
            self.say(at, &step.to_string());
        }
    }

    /// Records a step `at_s` seconds after the start; panics when it is refused.
    pub fn say(&mut self, at_s: i64, step: &str) -> u64 {
        self.try_say(at_s, step).unwrap_or_else(|e| panic!("{step}: {e}"))
    }

    pub fn try_say(&mut self, at_s: i64, step: &str) -> Result<u64, StepError> {
        let step = Step::read(&serde_json::from_str(step).unwrap(), "test")?;
        let computed = match &step.act {
            Act::Rig(r) => {
                let set = r
                    .set
                    .iter()
                    .map(|(k, v)| (k.clone(), v.as_str().unwrap_or_default().to_string()))
                    .collect();
                Computed::Rig(Box::new(
                    rig::templates::make(r.template.as_deref().unwrap_or_default(), &set).unwrap(),
                ))
            }
            Act::Check(_) => self.report.clone().map_or(Computed::None, |r| Computed::Check(Box::new(r))),
            _ => Computed::None,
        };
        let now = self.start + Duration::seconds(at_s);
        let event = decide(&self.state, &step, now, computed)?;
        let seq = self.write(at_s, event);
        if let Some(label) = &step.label {
            self.state.label(label, seq);
        }
        Ok(seq)
    }

    fn write(&mut self, at_s: i64, event: NewEvent) -> u64 {
        let seq = self.entries.len() as u64 + 1;
        let recorded_at = (self.start + Duration::seconds(at_s)).to_rfc3339();
        let entry = Entry {
            seq,
            id: format!("id-{seq}"),
            station: "top".into(),
            station_seq: seq,
            session: "s".into(),
            boot_ms: at_s * 1000,
            happened_at: event.happened_at.unwrap_or_else(|| recorded_at.clone()),
            recorded_at,
            author: event.author,
            kind: event.kind,
            version: event.version,
            payload: Some(event.payload),
            corrects: event.corrects,
            hash: String::new(),
        };
        self.state.apply(&entry);
        self.entries.push(entry);
        seq
    }

    /// The state replayed from nothing: the naive twin.
    pub fn replayed(&self) -> State {
        State::replay(rig::guidelines::Guidelines::defaults(), &self.entries)
    }

    pub fn flags(&self) -> Vec<&'static str> {
        self.state.raised.iter().map(|f| f.id).collect()
    }
}
