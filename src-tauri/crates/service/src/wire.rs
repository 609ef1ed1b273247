//! What crosses to the screens: plain shapes, times as milliseconds since the epoch (UTC) beside
//! the words to show. TypeScript is generated from these; nothing here computes.

mod commander;
mod draft;
mod file;
mod live;
mod records;
mod review;
mod rig;
mod sifted;
mod sums;

pub use commander::{CommanderView, DatedFlag, RigStands, Told};
pub use draft::{DraftClass, DraftPart, DraftPoint, RigDraft};
pub use file::{ClockView, Health, HealthRow, MirrorView, SavedView};
pub use live::{
    ChangeOverLine, ChangeOverView, DoesView, MotionView, PhaseView, RollCallView, RopeLine, RopesView, Slot,
    VitalsView,
};
pub use records::{GearUse, Hit, PersonHours, RecordedOperation, Records, Unread};
pub use review::{
    CompareView, ComparedOperation, ComparedRow, FindingView, MarkView, ReadbackMeasure, ReviewView, Tape,
    TapeFlag, TapeHeld, TapePhase, TapeRig, TapeRopes,
};
pub use rig::{BesideView, FallView, InsteadOf, RigDrawing, RigView, SignatureView};
pub use sifted::{Asked, Sifted};
pub use sums::{SumAnswer, SumField, SumFigure, SumView};

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use ts_rs::TS;

/// Everything a screen shows of the open operation, as of `now_ms`.
#[derive(Clone, Debug, Serialize, TS)]
pub struct View {
    /// Name, place, purpose.
    pub operation: OperationHead,
    /// The time this view is of.
    pub now_ms: f64,
    /// Offset of the operation's local time from UTC in minutes, as it was at the opening.
    pub offset_min: i32,
    /// The clock on the wall beside the line's time, and what became of it.
    pub clock: ClockView,
    /// What the load is doing.
    pub motion: MotionView,
    /// People on rope.
    pub on_rope: Vec<OnRope>,
    /// Orders that someone has not read back, oldest first.
    pub slots: Vec<Slot>,
    /// The personnel accountability report.
    pub par: ParView,
    /// Entries on disk, and the head.
    pub saved: SavedView,
    /// People, checked out ones last.
    pub people: Vec<PersonView>,
    /// Roles, needed ones first.
    pub roles: Vec<RoleView>,
    /// The last rows of the line (see `total_rows`).
    pub rows: Vec<LineRow>,
    /// How many rows there are in all.
    pub total_rows: usize,
    /// Motion over the time of `rows`, oldest first.
    pub spans: Vec<MotionSpan>,
    /// Order keys F2–F11; place and key never change, only the weight.
    pub orders: Vec<OrderKey>,
    /// What else makes sense now, as lines for the free line.
    pub also: Vec<AlsoKey>,
    /// The rig in use.
    pub rig: Option<RigView>,
    /// Names of all rigs entered.
    pub rigs: Vec<String>,
    /// Flags that stand now: the newest that entries raised, then what the clock raises.
    pub flags: Vec<FlagView>,
    /// Clocks on people that run, worst kind first, over their limit or not.
    pub watches: Vec<WatchView>,
    /// Size-up facts as they stand, by name: the latest note whose text begins with one of
    /// [`SIZE_UP`] and a colon (`weather: dry, light wind`).
    pub size_up: BTreeMap<String, FactView>,
    /// What the guidelines add to the brief.
    pub brief: BriefView,
    /// Hazards named so far, oldest first.
    pub hazards: Vec<FactView>,
    /// The patient's marks, oldest first ("reached 13:31:05").
    pub patient: Vec<String>,
    /// The patient's vital signs, oldest first.
    pub vitals: Vec<VitalsView>,
    /// The last roll call.
    pub roll_call: Option<RollCallView>,
    /// The change-over's list for both directions, the likely one first; empty once the operation is closed.
    pub change_over: Vec<ChangeOverView>,
}

/// A clock on people: silence after a call, not heard of, long on rope or in a role, hanging still.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub struct WatchView {
    /// `motionless_in_harness`, `lost_communications`, `not_heard`, `on_rope_long` or `role_held_long`.
    pub id: String,
    /// The person, or the role's short name.
    pub who: String,
    /// Since when.
    pub since_ms: f64,
    /// Until when it is within its limit.
    pub due_ms: f64,
    /// Entry number it began with.
    pub seq: u64,
    /// What it is, in words before the time ("nothing heard from rope two").
    pub words: String,
    /// What is to be done or known: the agreed act, the guidance, the limit.
    pub then: String,
    /// Where the limit comes from, and where sources differ.
    pub why: String,
}

/// Names of the size-up facts: a note that begins with one of them and a colon is that fact.
pub const SIZE_UP: [&str; 10] = [
    "objective",
    "patient",
    "weather",
    "light",
    "access",
    "channel",
    "plan",
    "abort",
    "signals",
    "lost communications",
];

/// What the guidelines add to the brief.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub struct BriefView {
    /// Whistle code: blasts, meaning.
    pub whistle: Vec<(String, String)>,
    /// What is done when communications are lost: as agreed, else as the guidelines say.
    pub lost_communications: String,
    /// Seconds of silence until then.
    pub lost_communications_s: f64,
    /// What is called in a drill when something is wrong in earnest.
    pub real_emergency: String,
    /// Minutes between personnel accountability reports.
    pub par_min: f64,
}

/// A fact as it was entered last.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub struct FactView {
    /// What was entered, without its name.
    pub text: String,
    /// What is done about it (hazards).
    pub control: Option<String>,
    /// Local time it was entered, "13:05:20".
    pub time: String,
    /// Entry number.
    pub seq: u64,
}

/// Which operation.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct OperationHead {
    pub name: String,
    pub place: String,
    /// `drill` or `rescue`.
    pub purpose: String,
    pub edge_height_m: Option<f64>,
    /// Path of the file.
    pub file: String,
    pub opened_ms: f64,
    pub closed_ms: Option<f64>,
    pub station: String,
}

/// A person on rope.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct OnRope {
    pub person: String,
    pub since_ms: f64,
}

/// The personnel accountability report.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct ParView {
    pub due_ms: Option<f64>,
    pub last_ms: Option<f64>,
    /// "12 of 12".
    pub last_words: Option<String>,
    pub expected: usize,
}

/// A person.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct PersonView {
    pub person: String,
    pub agency: Option<String>,
    pub roles: Vec<String>,
    pub qualifications: Vec<String>,
    /// `clear`, `edge`, `on_rope`, `drop`; clear at the top unless said.
    pub zone: String,
    pub in_ms: f64,
    pub out_ms: Option<f64>,
    pub zone_ms: f64,
    /// Last heard of.
    pub heard_ms: f64,
    /// Note in words ("silent 0:36", "tied in: Venn").
    pub note: String,
    /// Mark of the note (`silent`, `wrong`, `zone`, `vacant` or empty).
    pub mark: String,
}

/// A role.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct RoleView {
    pub role: String,
    pub short: String,
    pub code: String,
    pub person: Option<String>,
    /// This rig and motion ask for it.
    pub needed: bool,
    pub since_ms: Option<f64>,
}

/// One row of the line.
#[derive(Clone, Debug, Serialize, TS)]
pub struct LineRow {
    /// Entry number in the file (1 is the first).
    pub seq: u64,
    /// Entry id.
    pub id: String,
    /// When it happened.
    pub at_ms: f64,
    /// Local time, "13:25:41".
    pub time: String,
    /// `left` (from control), `right`, or `across` (a stop).
    pub side: String,
    /// `order`, `readback`, `answer`, `report`, `signal`, `note`, or the event's kind.
    pub kind: String,
    /// Quiet words: who, to whom ("rope one, rope two").
    pub who: String,
    /// What was said, as it stands now.
    pub text: String,
    /// What was said before a correction.
    pub was: Option<String>,
    /// Marks in order (`late`, `correction`, `wrong`, `corrected`, `silent`).
    pub marks: Vec<String>,
    /// Second line in quiet words ("late entry, written 13:28:31").
    pub detail: String,
    /// Id of the order this answers.
    pub of: Option<String>,
    /// For an order: `none` (asks nothing), `open`, `wrong`, `closed`.
    pub loop_state: String,
    /// Motion that begins here.
    pub motion: Option<String>,
    /// Motion from here on, so that any stretch of the line can draw its rope.
    pub rope: String,
    /// That motion was ordered slow.
    pub slow: bool,
    /// What is done inside the motion from here on, in words.
    pub phase: Option<String>,
    /// Flags in words.
    pub flags: Vec<String>,
}

/// A stretch of one motion.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct MotionSpan {
    pub motion: String,
    pub slow: bool,
    pub from_ms: f64,
    /// `None`: still.
    pub to_ms: Option<f64>,
}

/// An order key.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct OrderKey {
    pub key: String,
    pub text: String,
    /// Whether it makes sense now.
    pub now: bool,
}

/// What else makes sense now.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct AlsoKey {
    pub label: String,
    /// The code shown, typed into the free line.
    pub line: String,
    /// Whom the entry names as having said it, a role's short name.
    pub who: String,
}

/// A flag.
#[derive(Clone, Debug, Serialize, Deserialize, TS)]
#[allow(missing_docs)]
pub struct FlagView {
    pub id: String,
    /// Entry numbers.
    pub entries: Vec<u64>,
    pub words: String,
}

/// A template.
#[derive(Clone, Debug, Serialize, TS)]
pub struct TemplateView {
    /// Id.
    pub name: String,
    /// Title.
    pub title: String,
    /// What it is for.
    pub about: String,
    /// Parameters.
    pub parameters: Vec<ParameterView>,
}

/// A parameter of a template.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct ParameterView {
    pub name: String,
    pub label: String,
    pub unit: String,
    /// Default as text with unit.
    pub default: String,
    pub low: String,
    pub high: String,
    /// Fixed choices, when it is not a number.
    pub choices: Vec<String>,
}

/// A candidate for what is typed in the free line.
#[derive(Clone, Debug, Serialize, TS)]
pub struct Candidate {
    /// Quiet words ("edge attendant to control:").
    pub who: String,
    /// Bold words ("ready").
    pub text: String,
    /// The step it would record, as JSON.
    #[ts(type = "Record<string, unknown>")]
    pub step: serde_json::Value,
    /// What the scribe should know before it is recorded; empty: nothing.
    pub doubt: String,
}

/// Answer to a recorded step.
#[derive(Clone, Debug, Serialize, TS)]
pub struct Acked {
    /// Entry number.
    pub seq: u64,
    /// Entry id.
    pub id: String,
    /// Chain hash, hex.
    pub hash: String,
    /// Where it went, for a late entry or correction ("hangs at 13:25:20").
    pub went: String,
    /// The new view.
    pub view: View,
}

/// What the first screen needs.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct Start {
    pub version: String,
    /// Folder new operations are kept in.
    pub folder: String,
    /// Operation files found there, newest first (path, name, closed?).
    pub found: Vec<Found>,
    /// Set when the program was started with a file or one is open.
    pub open: bool,
    /// Why a file named at the start could not be opened.
    pub trouble: Option<Trouble>,
    pub caution: String,
}

/// An operation file that was found.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct Found {
    pub file: String,
    pub name: String,
    pub when: String,
    pub closed: bool,
}

/// An error as people see it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Trouble {
    /// Stable word someone may branch on.
    pub code: String,
    /// What went wrong.
    pub what: String,
    /// File, line or field.
    #[serde(rename = "where")]
    pub place: String,
    /// What to do next.
    pub remedy: String,
}
