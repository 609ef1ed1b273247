//! What a step does: one shape for each `do` word.

use super::LessonKind;
use rig::guidelines::Guidelines;
use rig::quantity::Length;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize};
use serde_json::{Map, Value};
use std::collections::BTreeMap;

/// What a step does, by its `do` word.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "do", rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum Act {
    Open(Open),
    Close(Close),
    CheckIn(CheckIn),
    CheckOut(Person),
    Assign(RolePerson),
    Relieve(RolePerson),
    Zone(Zone),
    Rig(RigStep),
    Use(Use),
    Check(Check),
    Sign(Sign),
    Accept(Accept),
    Order(Order),
    Readback(Reply),
    Answer(Reply),
    Report(Report),
    Note(Report),
    Signal(Signal),
    Correct(Correct),
    Par(Par),
    Patient(Patient),
    Benchmark(Benchmark),
    Hazard(Hazard),
    Exercise(Exercise),
    Erase(Erase),
    Finding(Finding),
    Agree(Agree),
    SetAside(SetAside),
    Quarantine(Gear),
    ReturnToService(Gear),
    Seal(Seal),
    Lesson(Lesson),
}

macro_rules! step {
    ($(#[$doc:meta])* $name:ident { $($(#[$f:meta])* $field:ident : $ty:ty),* $(,)? }) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
        #[serde(deny_unknown_fields)]
        #[allow(missing_docs)]
        pub struct $name { $($(#[$f])* pub $field: $ty),* }
    };
}

/// Drill or rescue.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum Purpose {
    Drill,
    Rescue,
}

/// Where a person is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum ZoneName {
    OnRope,
    Edge,
    Drop,
    Clear,
}

impl ZoneName {
    /// The word in files.
    pub fn word(self) -> &'static str {
        match self {
            ZoneName::OnRope => "on_rope",
            ZoneName::Edge => "edge",
            ZoneName::Drop => "drop",
            ZoneName::Clear => "clear",
        }
    }
    /// The words on screen and paper.
    pub fn words(self) -> &'static str {
        match self {
            ZoneName::OnRope => "on rope",
            ZoneName::Edge => "edge zone",
            ZoneName::Drop => "drop zone",
            ZoneName::Clear => "clear",
        }
    }
}

step!(
    /// An operation begins.
    Open {
        name: String,
        #[serde(default)]
        place: String,
        purpose: Purpose,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        edge_height: Option<Length>,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        guidelines: Option<Box<Guidelines>>,
    }
);
step!(
    /// An operation ends.
    Close {}
);
step!(
    /// A person arrives.
    CheckIn {
        person: String,
        #[serde(default)]
        qualifications: Vec<String>,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        agency: Option<String>,
    }
);
step!(
    /// A person leaves.
    Person {
        person: String,
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        qualifications: Vec<String>,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        agency: Option<String>,
    }
);
step!(
    /// A person in a role.
    RolePerson { role: String, person: String }
);
step!(
    /// The last check of the rig in use, or of the named one, is signed.
    Sign {
        role: String,
        person: String,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        rig: Option<String>,
    }
);
step!(
    /// A person goes to a zone.
    Zone {
        person: String,
        zone: ZoneName,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        tied_in: Option<bool>,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        partner: Option<String>,
    }
);
step!(
    /// A rig enters: from a template with what is set, or whole.
    RigStep {
        #[serde(default, skip_serializing_if = "Option::is_none")]
        name: Option<String>,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        template: Option<String>,
        #[serde(default)]
        set: BTreeMap<String, Value>,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        rig: Option<Value>,
    }
);
step!(
    /// Which rig and state the team is on.
    Use {
        rig: String,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        state: Option<String>,
    }
);
step!(
    /// The rig in use, or the named one, is checked.
    Check {
        #[serde(default, skip_serializing_if = "Option::is_none")]
        rig: Option<String>,
    }
);
step!(
    /// A failing or unchecked finding is accepted as it is.
    Accept {
        check: String,
        person: String,
        reason: String,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        rig: Option<String>,
    }
);
step!(
    /// An order.
    Order {
        from: String,
        to: Vec<String>,
        text: String,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        cause: Option<String>,
    }
);
step!(
    /// A readback or an answer.
    Reply {
        from: String,
        #[serde(deserialize_with = "entry_name")]
        #[schemars(schema_with = "entry_schema")]
        of: String,
        text: String,
    }
);
step!(
    /// A report or a note.
    Report {
        from: String,
        text: String,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        metres: Option<f64>,
    }
);
step!(
    /// A whistle or hand signal.
    Signal {
        from: String,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        count: Option<u32>,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        text: Option<String>,
    }
);
/// A correction: a new entry that names the old one and the fields that change.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Correct {
    /// Entry id, entry number or label.
    #[serde(deserialize_with = "entry_name")]
    #[schemars(schema_with = "entry_schema")]
    pub of: String,
    /// The fields that change.
    #[serde(flatten)]
    pub fields: Map<String, Value>,
}
step!(
    /// A personnel accountability report.
    Par {
        count: u64,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        of: Option<u64>,
        #[serde(default)]
        missing: Vec<String>,
    }
);
step!(
    /// A mark in the patient's course.
    Patient {
        mark: String,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        text: Option<String>,
        #[serde(default, skip_serializing_if = "Option::is_none", deserialize_with = "vitals")]
        #[schemars(schema_with = "vitals_schema")]
        vitals: Option<String>,
    }
);
step!(
    /// A named moment.
    Benchmark {
        name: String,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        text: Option<String>,
    }
);
step!(
    /// A hazard and what is done about it.
    Hazard {
        text: String,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        control: Option<String>,
    }
);
step!(
    /// A drill's loss, in words only.
    Exercise { lose: String, text: String }
);
step!(
    /// A payload is erased by law.
    Erase {
        #[serde(deserialize_with = "entry_name")]
        #[schemars(schema_with = "entry_schema")]
        of: String,
        person: String,
        reason: String,
    }
);
step!(
    /// What a person finds at the review; good, or else departing from what should be.
    Finding {
        person: String,
        text: String,
        #[serde(default)]
        good: bool,
        #[serde(default, deserialize_with = "entry_names")]
        #[schemars(schema_with = "entries_schema")]
        entries: Vec<String>,
    }
);
step!(
    /// A person agrees with a finding, named as the review names it ("silent:42").
    Agree {
        of: String,
        person: String,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        text: Option<String>,
    }
);
step!(
    /// A person sets a finding aside and says why; it stays in the record.
    SetAside { of: String, person: String, reason: String }
);
step!(
    /// Gear that is taken out of use, or comes back into it, and why.
    Gear { gear: String, person: String, reason: String }
);

step!(
    /// What is kept, or changed, after the operation: what, who sees to it and by when, in the words of who says it.
    Lesson {
        what: LessonKind,
        person: String,
        text: String,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        who: Option<String>,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        by_when: Option<String>,
    }
);

step!(
    /// After an accident: a sealed copy of the operation file is made beside it.
    Seal { person: String, reason: String }
);

/// Label, entry id or entry number; a number may stand without quotation marks.
fn entry_name<'de, D: Deserializer<'de>>(d: D) -> Result<String, D::Error> {
    match Value::deserialize(d)? {
        Value::String(text) => Ok(text),
        Value::Number(n) if n.is_u64() => Ok(n.to_string()),
        other => {
            Err(D::Error::custom(format!("“of” is {other}, not a label, an entry number or an entry id")))
        }
    }
}

fn entry_names<'de, D: Deserializer<'de>>(d: D) -> Result<Vec<String>, D::Error> {
    let named = |v: &Value| match v {
        Value::String(text) => Some(text.clone()),
        Value::Number(n) if n.is_u64() => Some(n.to_string()),
        _ => None,
    };
    match Value::deserialize(d)? {
        Value::Array(list) => list
            .iter()
            .map(|v| {
                let bad = || format!("“entries” holds {v}, not a label, an entry number or an entry id");
                named(v).ok_or_else(|| D::Error::custom(bad()))
            })
            .collect(),
        other => Err(D::Error::custom(format!("“entries” is {other}, not a list of entries"))),
    }
}

fn entries_schema(generator: &mut SchemaGenerator) -> Schema {
    json_schema!({ "type": "array", "items": entry_schema(generator) })
}

fn entry_schema(_: &mut SchemaGenerator) -> Schema {
    json_schema!({ "type": ["string", "integer"], "minimum": 1, "description": "label, entry number or entry id" })
}

/// Vital signs in words, or by name ({"pulse": 88}); kept in words.
fn vitals<'de, D: Deserializer<'de>>(d: D) -> Result<Option<String>, D::Error> {
    let words = |v: &Value| match v {
        Value::String(text) => Some(text.clone()),
        Value::Number(n) => Some(n.to_string()),
        _ => None,
    };
    let bad =
        |v: &Value| D::Error::custom(format!("“vitals” is {v}, not words or an object of name and value"));
    match Value::deserialize(d)? {
        Value::Null => Ok(None),
        Value::String(text) => Ok(Some(text)),
        Value::Object(named) => named
            .iter()
            .map(|(name, v)| words(v).map(|v| format!("{name} {v}")).ok_or_else(|| bad(v)))
            .collect::<Result<Vec<String>, _>>()
            .map(|list| Some(list.join(", "))),
        other => Err(bad(&other)),
    }
}

fn vitals_schema(_: &mut SchemaGenerator) -> Schema {
    json_schema!({ "type": ["string", "object", "null"], "additionalProperties": { "type": ["string", "number"] },
        "description": "in words, or by name" })
}

/// All `do` words, for the error that lists them.
pub const DO_WORDS: [&str; 32] = [
    "open",
    "close",
    "check_in",
    "check_out",
    "assign",
    "relieve",
    "zone",
    "rig",
    "use",
    "check",
    "sign",
    "accept",
    "order",
    "readback",
    "answer",
    "report",
    "note",
    "signal",
    "correct",
    "par",
    "patient",
    "benchmark",
    "hazard",
    "exercise",
    "erase",
    "finding",
    "agree",
    "set_aside",
    "quarantine",
    "return_to_service",
    "seal",
    "lesson",
];

impl Act {
    /// Its `do` word.
    pub fn word(&self) -> &'static str {
        let at = match self {
            Act::Open(_) => 0,
            Act::Close(_) => 1,
            Act::CheckIn(_) => 2,
            Act::CheckOut(_) => 3,
            Act::Assign(_) => 4,
            Act::Relieve(_) => 5,
            Act::Zone(_) => 6,
            Act::Rig(_) => 7,
            Act::Use(_) => 8,
            Act::Check(_) => 9,
            Act::Sign(_) => 10,
            Act::Accept(_) => 11,
            Act::Order(_) => 12,
            Act::Readback(_) => 13,
            Act::Answer(_) => 14,
            Act::Report(_) => 15,
            Act::Note(_) => 16,
            Act::Signal(_) => 17,
            Act::Correct(_) => 18,
            Act::Par(_) => 19,
            Act::Patient(_) => 20,
            Act::Benchmark(_) => 21,
            Act::Hazard(_) => 22,
            Act::Exercise(_) => 23,
            Act::Erase(_) => 24,
            Act::Finding(_) => 25,
            Act::Agree(_) => 26,
            Act::SetAside(_) => 27,
            Act::Quarantine(_) => 28,
            Act::ReturnToService(_) => 29,
            Act::Seal(_) => 30,
            Act::Lesson(_) => 31,
        };
        DO_WORDS[at]
    }
}
