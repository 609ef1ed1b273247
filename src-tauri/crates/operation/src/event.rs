//! Events: what is stored. One kind a step, with what the step left open filled in, so that the
//! record means something alone.

use crate::step::{
    Benchmark, CheckIn, Close, Erase, Exercise, Gear, Hazard, Lesson, Open, Par, Patient, Person, Report,
    RolePerson, Use, Zone,
};
use chrono::{DateTime, FixedOffset};
use rig::findings::CheckReport;
use rig::model::Rig;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};

/// Version of every payload written now. The shapes of version 1 are frozen with format 1 of the file: one that changes takes the
/// next number in [`version_of`], and [`Payload::read`] reads both. Of version 0, never frozen, what does not read so is shown.
pub const VERSION: u32 = 1;

/// Version of the payload this program writes for a kind of event.
pub fn version_of(_kind: &str) -> u32 {
    VERSION
}

/// An event as it stands in the file: the columns of the one table.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// Number in this file, from 1; what people see.
    pub seq: u64,
    /// UUIDv7.
    pub id: String,
    /// Name of the station that wrote it.
    pub station: String,
    /// Number within the station's chain, from 1.
    pub station_seq: u64,
    /// Id of the session: one start of the program.
    pub session: String,
    /// Milliseconds of the machine's boot clock (runs on through suspend).
    pub boot_ms: i64,
    /// When it was written, RFC 3339 with offset.
    pub recorded_at: String,
    /// When it happened, RFC 3339 with offset.
    pub happened_at: String,
    /// Who wrote it, if known.
    pub author: Option<String>,
    /// Kind of event.
    pub kind: String,
    /// Version of the payload.
    pub version: u32,
    /// Payload, JSON as stored; `None` when erased by law.
    pub payload: Option<String>,
    /// Id of the entry this one corrects.
    pub corrects: Option<String>,
    /// Chain hash, hex.
    pub hash: String,
}

impl Entry {
    /// When it was written, ms since the epoch.
    pub fn recorded_ms(&self) -> i64 {
        ms_of(&self.recorded_at)
    }
    /// When it happened, ms since the epoch.
    pub fn happened_ms(&self) -> i64 {
        ms_of(&self.happened_at)
    }
    /// Offset of its local time from UTC in minutes.
    pub fn offset_min(&self) -> i32 {
        time_of(&self.recorded_at).map_or(0, |t| t.offset().local_minus_utc() / 60)
    }
    /// Borrowed.
    pub fn lent(&self) -> Lent<'_> {
        Lent {
            seq: self.seq,
            id: &self.id,
            station: &self.station,
            session: &self.session,
            boot_ms: self.boot_ms,
            recorded_at: &self.recorded_at,
            happened_at: &self.happened_at,
            kind: &self.kind,
            version: self.version,
            payload: self.payload.as_deref(),
        }
    }
}

/// What of an [`Entry`] the state is made from, borrowed: a long record is not copied text by text to be replayed.
#[derive(Clone, Copy, Debug)]
#[allow(missing_docs)]
pub struct Lent<'a> {
    pub seq: u64,
    pub id: &'a str,
    pub station: &'a str,
    pub session: &'a str,
    pub boot_ms: i64,
    pub recorded_at: &'a str,
    pub happened_at: &'a str,
    pub kind: &'a str,
    pub version: u32,
    pub payload: Option<&'a str>,
}

impl Lent<'_> {
    /// When it was written and when it happened, ms since the epoch, and the offset of its local time from UTC, minutes.
    pub fn times(&self) -> (i64, i64, i32) {
        let recorded = time_of(self.recorded_at);
        let recorded_ms = recorded.map_or(0, |t| t.timestamp_millis());
        let same = self.happened_at == self.recorded_at;
        let happened_ms = if same { recorded_ms } else { ms_of(self.happened_at) };
        (recorded_ms, happened_ms, recorded.map_or(0, |t| t.offset().local_minus_utc() / 60))
    }
}

/// The time behind a stored text.
pub fn time_of(text: &str) -> Option<DateTime<FixedOffset>> {
    DateTime::parse_from_rfc3339(text).ok()
}

fn ms_of(text: &str) -> i64 {
    time_of(text).map_or(0, |t| t.timestamp_millis())
}

/// A call, as stored.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Call {
    /// Role or person who spoke.
    pub from: String,
    /// Who held that role then.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub from_people: Vec<String>,
    /// Whom it was for, as said.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub to: Vec<String>,
    /// The roles that was then.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub to_roles: Vec<String>,
    /// The words.
    pub text: String,
    /// Why, when it ends a stop.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cause: Option<String>,
    /// Id of the order it answers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub of: Option<String>,
    /// Metres out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub metres: Option<f64>,
    /// Blasts of a whistle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
    /// Channel, voice, whistle, hand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
}

/// A rig, as stored.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RigSet {
    /// Name in this operation.
    pub name: String,
    /// The whole rig.
    pub rig: Box<Rig>,
}

/// A check, as stored.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RigChecked {
    /// Name of the rig.
    pub rig: String,
    /// Entry number of the rig as checked.
    pub rig_seq: u64,
    /// Who held the rig's roles then.
    #[serde(default)]
    pub bound: Vec<(String, String)>,
    /// The findings.
    pub report: Box<CheckReport>,
}

/// A signature, as stored.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Signed {
    /// Role the person signs in.
    pub role: String,
    /// Who.
    pub person: String,
    /// Name of the rig.
    pub rig: String,
    /// Entry number of the check; `None`: nothing was checked.
    pub check_seq: Option<u64>,
}

/// An acceptance, as stored.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Accepted {
    /// Finding (id of a part or rule).
    pub check: String,
    /// Who.
    pub person: String,
    /// Why.
    pub reason: String,
    /// Name of the rig.
    pub rig: String,
    /// Entry number of the check.
    pub check_seq: Option<u64>,
}

/// A correction, as stored.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Corrected {
    /// Id of the entry.
    pub of: String,
    /// Its number.
    pub of_seq: u64,
    /// The fields that change.
    pub fields: Map<String, Value>,
}

/// A session, as stored: the program was started on this file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Began {
    /// Version of the program.
    pub program: String,
    /// Who held the file before and ended without closing it; `None`: it was closed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub left_by: Option<String>,
    /// The machine it was started on, beside the one that wrote the entry before; `None`: not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub machine: Option<Machine>,
}

/// The machine of a new session beside that of the session before.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Machine {
    /// The same, and it ran on: its boot clock goes on too.
    SameRun,
    /// The same, restarted in between.
    Restarted,
    /// Another one.
    Another,
}

/// A salvage, as stored: this file was made from one that was damaged.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Salvaged {
    /// Name of the damaged file.
    pub from: String,
    /// What was wrong with it, in words.
    pub why: String,
    /// Entries that came over.
    pub entries: u64,
    /// Where entries are missing between others.
    pub gaps: Vec<Gap>,
    /// How many entries there were at least, if something told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_least: Option<u64>,
    /// Version of the program.
    pub program: String,
}

/// Entries that are missing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Gap {
    /// Number of the last entry before them; 0: the beginning is missing.
    pub after: u64,
    /// Number of the first entry after them.
    pub before: u64,
}

/// A sleep of the machine, as stored: the boot clock runs on through it, the program does not.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Slept {
    /// For how long, ms.
    pub ms: i64,
}

/// What a person found, as stored.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Found {
    /// Who found it.
    pub person: String,
    /// What, in their words.
    pub text: String,
    /// It was good; false: it departs from what should be.
    #[serde(default)]
    pub good: bool,
    /// Ids of the entries it rests on.
    #[serde(default)]
    pub entries: Vec<String>,
}

/// What a person said to a finding, as stored. What was shown to them is kept with it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Judged {
    /// The finding's rule.
    pub rule: String,
    /// Id of the entry that the finding goes by; `None`: it goes by none.
    pub entry: Option<String>,
    /// The finding as it was shown.
    pub words: String,
    /// Who.
    pub person: String,
    /// What they said to it; why, when they set it aside.
    pub reason: Option<String>,
}

/// A sealed copy of the file, as stored.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sealed {
    /// Name of the copy.
    pub copy: String,
    /// Entries in it.
    pub count: u64,
    /// Its head, hex.
    pub head: String,
    /// Who had it made.
    pub person: String,
    /// Why.
    pub reason: String,
}

/// What an event says, by its kind.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", content = "payload", rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum Payload {
    SessionBegan(Began),
    Slept(Slept),
    Salvaged(Salvaged),
    Open(Open),
    Close(Close),
    CheckIn(CheckIn),
    CheckOut(Person),
    Assign(RolePerson),
    Relieve(RolePerson),
    Zone(Zone),
    RigSet(RigSet),
    Use(Use),
    RigChecked(RigChecked),
    Signed(Signed),
    Accepted(Accepted),
    Order(Call),
    Readback(Call),
    Answer(Call),
    Report(Call),
    Note(Call),
    Signal(Call),
    Corrected(Corrected),
    Par(Par),
    Patient(Patient),
    Benchmark(Benchmark),
    Hazard(Hazard),
    Exercise(Exercise),
    Erased(Erase),
    Finding(Found),
    Agreed(Judged),
    SetAside(Judged),
    Quarantined(Gear),
    ReturnedToService(Gear),
    Sealed(Sealed),
    Lesson(Lesson),
}

/// A report's fields, for one shape of call.
impl From<Report> for Call {
    fn from(r: Report) -> Self {
        Call { from: r.from, text: r.text, metres: r.metres, ..Call::default() }
    }
}

/// The kinds' words, and how each is read: straight into its shape, because a long record is read at every opening.
macro_rules! kinds {
    ($($word:literal => $kind:ident),* $(,)?) => {
        /// The kind's word.
        pub fn kind(&self) -> &'static str {
            match self {
                $(Payload::$kind(_) => $word,)*
            }
        }

        fn of_kind(kind: &str, text: &str) -> Option<Payload> {
            match kind {
                $($word => serde_json::from_str(text).ok().map(Payload::$kind),)*
                _ => None,
            }
        }
    };
}

impl Payload {
    kinds! {
        "session_began" => SessionBegan,
        "slept" => Slept,
        "salvaged" => Salvaged,
        "open" => Open,
        "close" => Close,
        "check_in" => CheckIn,
        "check_out" => CheckOut,
        "assign" => Assign,
        "relieve" => Relieve,
        "zone" => Zone,
        "rig_set" => RigSet,
        "use" => Use,
        "rig_checked" => RigChecked,
        "signed" => Signed,
        "accepted" => Accepted,
        "order" => Order,
        "readback" => Readback,
        "answer" => Answer,
        "report" => Report,
        "note" => Note,
        "signal" => Signal,
        "corrected" => Corrected,
        "par" => Par,
        "patient" => Patient,
        "benchmark" => Benchmark,
        "hazard" => Hazard,
        "exercise" => Exercise,
        "erased" => Erased,
        "finding" => Finding,
        "agreed" => Agreed,
        "set_aside" => SetAside,
        "quarantined" => Quarantined,
        "returned_to_service" => ReturnedToService,
        "sealed" => Sealed,
        "lesson" => Lesson,
    }

    /// The payload alone, as it is stored.
    pub fn write(&self) -> Result<String, serde_json::Error> {
        let value = serde_json::to_value(self)?;
        serde_json::to_string(value.get("payload").unwrap_or(&Value::Null))
    }

    /// Reads a stored payload back; `None` when the kind, version or shape is not known to this program.
    pub fn read(kind: &str, version: u32, text: &str) -> Option<Payload> {
        if version > version_of(kind) {
            return None;
        }
        Self::of_kind(kind, text)
    }

    /// The call inside, if it is one.
    pub fn call(&self) -> Option<&Call> {
        match self {
            Payload::Order(c)
            | Payload::Readback(c)
            | Payload::Answer(c)
            | Payload::Report(c)
            | Payload::Note(c)
            | Payload::Signal(c) => Some(c),
            _ => None,
        }
    }

    /// Whether it belongs to the review: such entries are written after the operation is closed, too.
    pub fn of_review(&self) -> bool {
        matches!(
            self,
            Payload::Finding(_)
                | Payload::Agreed(_)
                | Payload::SetAside(_)
                | Payload::Quarantined(_)
                | Payload::ReturnedToService(_)
                | Payload::Sealed(_)
                | Payload::Lesson(_)
        )
    }

    /// The payload with some fields changed, as a correction says; the names are those of the step.
    /// `None` when the result cannot be read.
    pub fn with(&self, fields: &Map<String, Value>) -> Option<Payload> {
        let mut whole = serde_json::to_value(self).ok()?;
        let inner = whole.get_mut("payload")?.as_object_mut()?;
        for (name, value) in fields {
            inner.insert(name.clone(), value.clone());
            if name == "to" {
                inner.remove("to_roles");
            }
            if name == "from" {
                inner.remove("from_people");
            }
        }
        serde_json::from_value(whole).ok()
    }
}
