//! Steps: the one way in. A scripted step, a line of `log append` and a gesture in the window are one type.

use chrono::{DateTime, FixedOffset};
use rig::guidelines::Guidelines;
use serde::Deserialize;
use serde_json::{Map, Value};
use std::collections::BTreeMap;
use thiserror::Error;

mod act;
mod fields;
mod lesson;
mod time;

pub use act::*;
pub use lesson::LessonKind;
pub use time::{clock_time, duration_ms, signed_duration_ms};

/// The script file's format word.
pub const FORMAT: &str = "ledgebook-script/0";

/// Why a step was refused: what, where, remedy. A well-formed call is never refused.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("{what} ({place}); {remedy}")]
pub struct StepError {
    /// What is wrong.
    pub what: String,
    /// Step, line or field.
    pub place: String,
    /// What to do next.
    pub remedy: String,
}

impl StepError {
    /// From its three parts.
    pub fn new(what: impl Into<String>, place: impl Into<String>, remedy: impl Into<String>) -> Self {
        StepError { what: what.into(), place: place.into(), remedy: remedy.into() }
    }
}

/// A scripted operation: virtual time from `start`.
#[derive(Clone, Debug, PartialEq)]
pub struct Script {
    /// When it starts, local time with offset.
    pub start: DateTime<FixedOffset>,
    /// Name of the station that writes.
    pub station: String,
    /// Seed of ids and salts.
    pub seed: u64,
    /// Steps in the order they are written; each has `at`.
    pub steps: Vec<Step>,
}

/// One step.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Milliseconds from the script's start; `None` outside a script.
    pub at_ms: Option<i64>,
    /// A name for `of`.
    pub label: Option<String>,
    /// When it happened, as written: an ISO 8601 duration from the start, an RFC 3339 time, or `HH:MM[:SS]`.
    pub happened: Option<String>,
    /// Channel, voice, whistle or hand.
    pub by: Option<String>,
    /// What is done.
    pub act: Act,
}

const COMMON: [&str; 4] = ["at", "label", "happened", "by"];
impl Step {
    /// A step without the common fields.
    pub fn plain(act: Act) -> Self {
        Step { at_ms: None, label: None, happened: None, by: None, act }
    }

    /// Reads one step; `place` names the step or line in errors.
    ///
    /// # Errors
    /// An unknown `do`, a missing or unknown field, a time that cannot be read.
    pub fn read(value: &Value, place: &str) -> Result<Step, StepError> {
        match value {
            Value::Object(map) => Step::of_map(map.clone(), place),
            _ => Err(StepError::new(
                "a step is not a JSON object",
                place,
                "write it like {\"do\": \"note\", …}",
            )),
        }
    }

    /// Reads one step from its text, such as a line of standard input; a field that stands twice is refused.
    ///
    /// # Errors
    /// As [`Step::read`], and text that is not a JSON object.
    pub fn read_text(text: &str, place: &str) -> Result<Step, StepError> {
        let value = rig::json::read(text).map_err(|e| {
            StepError::new(
                format!("not a step: {}", rig::json::words(&e)),
                format!("{place}, column {}", e.column()),
                "write one whole JSON object a line, like {\"do\": \"note\", …}",
            )
        })?;
        Step::read(&value, place)
    }

    fn of_map(mut rest: Map<String, Value>, place: &str) -> Result<Step, StepError> {
        let word = match rest.get("do") {
            Some(Value::String(word)) => word.clone(),
            _ => {
                return Err(StepError::new(
                    "the step has no “do”",
                    place,
                    format!("add one of: {}", DO_WORDS.join(", ")),
                ));
            }
        };
        if !DO_WORDS.contains(&word.as_str()) {
            let remedy = format!("use one of: {}", DO_WORDS.join(", "));
            return Err(StepError::new(format!("“{word}” is not a step"), place, remedy));
        }
        let place = format!("{place}, {word}");
        let mut common: BTreeMap<&str, String> = BTreeMap::new();
        for name in COMMON {
            // A correction's `happened` is the corrected entry's, not its own.
            if name == "happened" && word == "correct" {
                continue;
            }
            match rest.remove(name) {
                None | Some(Value::Null) => {}
                Some(Value::String(text)) => {
                    common.insert(name, text);
                }
                Some(other) => {
                    let what = format!("“{name}” is {other}, not text");
                    return Err(StepError::new(
                        what,
                        format!("{place}, {name}"),
                        format!("write \"{name}\": \"…\""),
                    ));
                }
            }
        }
        fields::check(&word, &rest, &place)?;
        if let Some(Value::Object(own)) = rest.remove("guidelines") {
            rest.insert("guidelines".into(), whole_guidelines(own, &place)?);
        }
        let act: Act = serde_json::from_value(Value::Object(rest)).map_err(|e| {
            StepError::new(
                format!("the step cannot be read: {e}"),
                &place,
                "`ledgebook schema script` lists the fields of each step",
            )
        })?;
        check_texts(&act, &place)?;
        let at_ms = match common.remove("at") {
            None => None,
            Some(text) => Some(duration_ms(&text).ok_or_else(|| bad_time("at", &text, &place))?),
        };
        let happened = common.remove("happened");
        if let Some(text) = &happened
            && !time::readable(text)
        {
            return Err(bad_time("happened", text, &place));
        }
        Ok(Step { at_ms, label: common.remove("label"), happened, by: common.remove("by"), act })
    }
}

/// The defaults with a team's own fields in their place.
fn whole_guidelines(own: Map<String, Value>, place: &str) -> Result<Value, StepError> {
    let fault = |what: String, field: &str, remedy: String| {
        StepError::new(what, format!("{place}, guidelines {field}").trim_end().to_string(), remedy)
    };
    let whole = Guidelines::over_defaults(own).map_err(|e| fault(e.what, &e.place, e.remedy))?;
    serde_json::to_value(whole)
        .map_err(|e| fault(e.to_string(), "", "report this as a fault of the program".into()))
}

fn bad_time(field: &str, text: &str, place: &str) -> StepError {
    StepError::new(
        format!("“{field}”: “{text}” is not a time"),
        format!("{place}, {field}"),
        "write a duration from the start like PT12M3S (late entries also 14:02 or 2026-05-14T14:02:00+02:00)",
    )
}

fn not_empty(field: &str, text: &str, place: &str) -> Result<(), StepError> {
    if text.trim().is_empty() {
        let remedy = format!("write something in \"{field}\"");
        return Err(StepError::new(format!("“{field}” is empty"), format!("{place}, {field}"), remedy));
    }
    Ok(())
}

fn check_call(act: &Act, place: &str) -> Result<(), StepError> {
    let empty = |field: &str, text: &str| not_empty(field, text, place);
    match act {
        Act::Order(a) => {
            empty("from", &a.from)?;
            empty("text", &a.text)?;
            if a.to.iter().all(|t| t.trim().is_empty()) {
                return Err(StepError::new(
                    "“to” names nobody",
                    format!("{place}, to"),
                    "write \"to\": [\"all\"] or the roles it is for",
                ));
            }
            Ok(())
        }
        Act::Readback(a) | Act::Answer(a) => {
            empty("from", &a.from).and_then(|()| empty("of", &a.of)).and_then(|()| empty("text", &a.text))
        }
        Act::Report(a) | Act::Note(a) => {
            empty("from", &a.from)?;
            empty("text", &a.text)?;
            match a.metres {
                Some(m) if !m.is_finite() || m < 0.0 => Err(StepError::new(
                    format!("“metres” is {m}"),
                    format!("{place}, metres"),
                    "write the metres out as a number from 0",
                )),
                _ => Ok(()),
            }
        }
        Act::Signal(a) => {
            empty("from", &a.from)?;
            if a.count.is_none() && a.text.as_deref().is_none_or(|t| t.trim().is_empty()) {
                return Err(StepError::new(
                    "the signal has neither “count” nor “text”",
                    place,
                    "write how many blasts, or the hand signal in words",
                ));
            }
            Ok(())
        }
        Act::Correct(a) => {
            empty("of", &a.of)?;
            if a.fields.is_empty() {
                return Err(StepError::new(
                    "the correction changes nothing",
                    place,
                    "name the fields that change, like \"text\": \"…\"",
                ));
            }
            Ok(())
        }
        _ => Ok(()),
    }
}

/// Names and words that a record cannot do without must not be empty; numbers must be finite.
fn check_texts(act: &Act, place: &str) -> Result<(), StepError> {
    let empty = |field: &str, text: &str| not_empty(field, text, place);
    match act {
        Act::Open(a) => {
            empty("name", &a.name)?;
            if let Some(h) = a.edge_height
                && (h.to_metres() <= 0.0 || h.to_metres() > 2000.0)
            {
                return Err(StepError::new(
                    format!("“edge_height” is {h}"),
                    format!("{place}, edge_height"),
                    "write a height over 0 m and up to 2000 m",
                ));
            }
            Ok(())
        }
        Act::CheckIn(a) => empty("person", &a.person),
        Act::CheckOut(a) => empty("person", &a.person),
        Act::Zone(a) => empty("person", &a.person),
        Act::Sign(a) => empty("role", &a.role).and_then(|()| empty("person", &a.person)),
        Act::Assign(a) | Act::Relieve(a) => empty("role", &a.role).and_then(|()| empty("person", &a.person)),
        Act::Accept(a) => empty("check", &a.check)
            .and_then(|()| empty("person", &a.person))
            .and_then(|()| empty("reason", &a.reason)),
        Act::Order(_)
        | Act::Readback(_)
        | Act::Answer(_)
        | Act::Report(_)
        | Act::Note(_)
        | Act::Signal(_)
        | Act::Correct(_) => check_call(act, place),
        Act::Patient(a) => empty("mark", &a.mark),
        Act::Benchmark(a) => empty("name", &a.name),
        Act::Hazard(a) => empty("text", &a.text),
        Act::Exercise(a) => empty("text", &a.text),
        Act::Erase(a) => empty("of", &a.of)
            .and_then(|()| empty("person", &a.person))
            .and_then(|()| empty("reason", &a.reason)),
        Act::Finding(a) => empty("person", &a.person).and_then(|()| empty("text", &a.text)),
        Act::Agree(a) => empty("of", &a.of).and_then(|()| empty("person", &a.person)),
        Act::SetAside(a) => empty("of", &a.of)
            .and_then(|()| empty("person", &a.person))
            .and_then(|()| empty("reason", &a.reason)),
        Act::Seal(a) => empty("person", &a.person).and_then(|()| empty("reason", &a.reason)),
        Act::Lesson(a) => empty("person", &a.person).and_then(|()| empty("text", &a.text)),
        Act::Quarantine(a) | Act::ReturnToService(a) => empty("gear", &a.gear)
            .and_then(|()| empty("person", &a.person))
            .and_then(|()| empty("reason", &a.reason)),
        Act::Close(_) | Act::Rig(_) | Act::Use(_) | Act::Check(_) | Act::Par(_) => Ok(()),
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawScript {
    format: String,
    start: String,
    #[serde(default = "top")]
    station: String,
    #[serde(default)]
    seed: u64,
    steps: Vec<Value>,
}

fn top() -> String {
    "top".into()
}

impl Script {
    /// Reads a script.
    ///
    /// # Errors
    /// Text that is not JSON, another format, a malformed step, a time that runs back: what, where, remedy.
    pub fn read(text: &str) -> Result<Script, StepError> {
        let text = text.trim_start_matches('\u{feff}');
        let unread = |e: serde_json::Error| {
            StepError::new(
                format!("the script cannot be read: {}", rig::json::words(&e)),
                format!("line {}, column {}", e.line(), e.column()),
                "mend the JSON there",
            )
        };
        rig::json::read(text).map_err(unread)?;
        let raw: RawScript = serde_json::from_str(text).map_err(unread)?;
        if raw.format != FORMAT {
            return Err(StepError::new(
                format!("the format is “{}”", raw.format),
                "format",
                format!("this program reads “{FORMAT}”"),
            ));
        }
        let start = DateTime::parse_from_rfc3339(&raw.start).map_err(|_| {
            StepError::new(
                format!("“{}” is not a time", raw.start),
                "start",
                "write local time with offset like 2026-05-14T13:02:00+02:00",
            )
        })?;
        if raw.station.trim().is_empty() {
            return Err(StepError::new("“station” is empty", "station", "name the station, like \"top\""));
        }
        let mut steps = Vec::with_capacity(raw.steps.len());
        let mut labels: BTreeMap<String, usize> = BTreeMap::new();
        let mut last = 0;
        for (i, value) in raw.steps.iter().enumerate() {
            let place = format!("step {}", i + 1);
            let at_said = value.get("at").and_then(Value::as_str).unwrap_or_default().to_string();
            let step = Step::read(value, &place)?;
            let Some(at) = step.at_ms else {
                return Err(StepError::new(
                    "the step has no “at”",
                    format!("{place}, {}, at", step.act.word()),
                    "add when it is written, like \"at\": \"PT12M3S\"",
                ));
            };
            if at < last {
                return Err(StepError::new(
                    format!("“at” {at_said} runs back before the step above"),
                    format!("{place}, {}, at", step.act.word()),
                    "put the steps in order of “at”; what happened earlier takes “happened”",
                ));
            }
            last = at;
            if let Some(label) = &step.label
                && let Some(other) = labels.insert(label.clone(), i)
            {
                let what = format!("the label “{label}” stands at step {} already", other + 1);
                return Err(StepError::new(what, place, "give each step a label of its own"));
            }
            steps.push(step);
        }
        match steps.first() {
            Some(Step { act: Act::Open(_), .. }) => {
                Ok(Script { start, station: raw.station, seed: raw.seed, steps })
            }
            _ => Err(StepError::new(
                "the script does not begin with “open”",
                "step 1",
                "begin with {\"at\": \"PT0S\", \"do\": \"open\", …}",
            )),
        }
    }
}
