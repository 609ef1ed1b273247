//! What the report prints. The service hands it in whole: every verdict as it was stored, every time
//! as it was written. Times are ms since the epoch; `offset_min` is the local time's offset from UTC.

mod brief;
mod review;

pub use brief::{Brief, BriefLine, BriefRead, BriefRole};
/// A lesson is told by one shape, on screen and paper.
pub use operation::review::Learned;
pub use review::{Finding, MeasureRow, MeasureTable, Par, ReadbackMeasure, Review, Speed, Stop};
use rig::findings::CheckReport;
use rig::model::Rig;
use rig::units::Units;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

/// Everything the report prints.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct ReportInput {
    /// Version of the program ("0.1.0").
    pub program: String,
    /// The sheet.
    #[serde(skip)]
    pub paper: Paper,
    /// Units of every figure; what was said and stored in words stays as it is.
    #[serde(skip)]
    pub units: Units,
    /// A page on the patient too: who may read it is for the team to say, so it is asked for.
    #[serde(default)]
    pub patient_page: bool,
    /// Names were replaced: no record is attached, and the pages say so.
    #[serde(default)]
    pub names_removed: bool,
    /// Which operation.
    pub operation: OperationFacts,
    /// The record behind it.
    pub record: RecordFacts,
    /// People, in the order they checked in.
    pub people: Vec<Person>,
    /// Who held which role from when to when, and when a needed role was vacant.
    pub duties: Vec<Duty>,
    /// Who was where from when to when, oldest first; at the top and clear is not listed.
    pub zones: Vec<ZoneStay>,
    /// Site and size-up as entered ("Hazards", "loose rock left of the fall line").
    pub site: Vec<(String, String)>,
    /// The brief as it was read out.
    #[serde(default)]
    pub brief: Brief,
    /// Named moments, oldest first.
    pub benchmarks: Vec<Benchmark>,
    /// The patient's marks ("reached", "packaged", "handed over"), oldest first.
    pub patient: Vec<Benchmark>,
    /// The same with what was said and measured, for the patient page.
    #[serde(default)]
    pub course: Vec<PatientMark>,
    /// Rigs, in the order they were first used.
    pub rigs: Vec<RigChapter>,
    /// Every entry, in the order it was written.
    pub log: Vec<LogRow>,
    /// Roles with their short names, as on the line ("rope one operator", "rope one").
    pub short_names: Vec<(String, String)>,
    /// What the load did, oldest first.
    pub spans: Vec<MotionSpan>,
    /// Measures and findings.
    pub review: Review,
    /// Lessons that were entered, oldest first.
    #[serde(default)]
    pub lessons: Vec<Learned>,
    /// Gear that was taken out of use and has not come back, oldest first.
    #[serde(default)]
    pub out_of_use: Vec<OutOfUse>,
}

impl ReportInput {
    /// How the pages were asked for, in words of `name=value`: with the record, all that the same pages need.
    pub fn asked(&self) -> String {
        let yes = |yes: bool| if yes { "yes" } else { "no" };
        format!(
            "paper={} patient={} names={} units={}",
            self.paper.word(),
            yes(self.patient_page),
            yes(!self.names_removed),
            self.units.word()
        )
    }
}

/// The sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// 210 × 297 mm.
    #[default]
    A4,
    /// 215.9 × 279.4 mm.
    Letter,
}

impl Paper {
    /// Its name.
    pub fn word(self) -> &'static str {
        match self {
            Paper::A4 => "a4",
            Paper::Letter => "letter",
        }
    }

    /// Width in mm.
    pub fn width(self) -> f64 {
        match self {
            Paper::A4 => 210.0,
            Paper::Letter => 215.9,
        }
    }

    /// Height in mm.
    pub fn height(self) -> f64 {
        match self {
            Paper::A4 => 297.0,
            Paper::Letter => 279.4,
        }
    }
}

/// Which operation.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct OperationFacts {
    /// Name.
    pub name: String,
    /// Place.
    pub place: String,
    /// A drill, or a rescue.
    pub drill: bool,
    /// Height of the edge.
    pub edge_height_m: Option<f64>,
    /// When it was opened.
    pub opened_ms: i64,
    /// When it was closed; `None`: not closed yet.
    pub closed_ms: Option<i64>,
    /// Offset of local time from UTC in minutes.
    pub offset_min: i32,
    /// Name and edition of the guidelines.
    pub guidelines: String,
    /// SHA-256 of the guidelines, hex.
    pub guidelines_digest: String,
}

/// The record behind the report.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct RecordFacts {
    /// Entries in the file.
    pub count: u64,
    /// Entries whose payload was erased by law.
    pub erased: u64,
    /// Head of the file: SHA-256, hex.
    pub head: String,
    /// Each station's chain.
    pub stations: Vec<StationFacts>,
    /// When the last entry was written.
    pub last_ms: i64,
    /// What is known to be missing or not readable, in words; empty for a record that fits.
    #[serde(default)]
    pub missing: Vec<String>,
    /// The record as JSON Lines, to attach.
    #[serde(skip)]
    pub jsonl: Vec<u8>,
    /// Its length and digest, once it was handed over to be packed.
    #[serde(skip)]
    pub attached: Option<(usize, String)>,
}

impl RecordFacts {
    /// Bytes of what is attached, and their SHA-256, hex.
    pub fn of_attached(&self) -> (usize, String) {
        let own = || (self.jsonl.len(), hex::encode(Sha256::digest(&self.jsonl)));
        self.attached.clone().unwrap_or_else(own)
    }
}

/// One station's chain.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct StationFacts {
    /// Name of the station.
    pub station: String,
    /// Its entries.
    pub count: u64,
    /// How often the program was started on it.
    pub sessions: u64,
}

/// A person.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Person {
    /// Name.
    pub name: String,
    /// Agency.
    pub agency: Option<String>,
    /// What the person may do.
    pub qualifications: Vec<String>,
    /// Roles held, first held first.
    pub roles: Vec<String>,
    /// Checked in.
    pub in_ms: Option<i64>,
    /// Checked out.
    pub out_ms: Option<i64>,
}

/// A role held, or vacant while it was needed.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Duty {
    /// The role.
    pub role: String,
    /// Who; `None`: vacant while the rig or the motion asked for it.
    pub person: Option<String>,
    /// From.
    pub from_ms: i64,
    /// To; `None`: to the end.
    pub to_ms: Option<i64>,
}

/// A stay in a zone.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct ZoneStay {
    /// Who.
    pub person: String,
    /// `on_rope`, `edge` or `drop`.
    pub zone: String,
    /// From.
    pub from_ms: i64,
    /// To; `None`: still.
    pub to_ms: Option<i64>,
}

/// A named moment.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Benchmark {
    /// When.
    pub at_ms: i64,
    /// What ("over the edge").
    pub words: String,
    /// Entry number.
    pub seq: u64,
}

/// A mark in the patient's course.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct PatientMark {
    /// Entry number.
    pub seq: u64,
    /// When.
    pub at_ms: i64,
    /// The mark ("packaged").
    pub mark: String,
    /// What was said with it.
    pub text: String,
    /// Vital signs as they were said.
    pub vitals: String,
}

/// A rig with its checks as they were stored.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct RigChapter {
    /// Name in this operation ("lower").
    pub name: String,
    /// What it is, in words.
    pub title: String,
    /// The rig as last entered; `None` when the record holds no whole rig of this name.
    pub rig: Option<Rig>,
    /// Its checks, oldest first.
    pub checks: Vec<StoredCheck>,
    /// Signatures and acceptances, oldest first.
    pub signed: Vec<Signed>,
    /// Whether the rig or the guidelines changed after the last check.
    pub stale: bool,
}

/// A check as it was stored.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct StoredCheck {
    /// Entry number.
    pub seq: u64,
    /// When.
    pub at_ms: i64,
    /// The rig as checked; `None` when it is not in the record.
    pub rig: Option<Rig>,
    /// Names of the people bound to the rig's roles at the check.
    pub bound: Vec<(String, String)>,
    /// The findings.
    pub report: CheckReport,
}

/// A signature or an acceptance.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Signed {
    /// Entry number.
    pub seq: u64,
    /// When.
    pub at_ms: i64,
    /// Accepted as it is, or signed.
    pub accepted: bool,
    /// Role the person signed in.
    pub role: String,
    /// Who.
    pub person: String,
    /// Entry number of the check.
    pub check_seq: Option<u64>,
    /// Which finding was accepted (id), empty for all.
    pub finding: String,
    /// Why.
    pub reason: String,
}

/// One entry of the log.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct LogRow {
    /// Entry number.
    pub seq: u64,
    /// When it was written.
    pub at_ms: i64,
    /// When it happened, for a late entry.
    pub happened_ms: Option<i64>,
    /// `order`, `readback`, `answer`, `report`, `signal`, `note`, `stop`, or the event's kind.
    pub kind: String,
    /// Who spoke (a role or a person).
    pub from: String,
    /// To whom.
    pub to: Vec<String>,
    /// The words.
    pub text: String,
    /// Entry number of the order it answers.
    pub of: Option<u64>,
    /// A readback that was not as ordered.
    pub wrong: bool,
    /// For an order or a stop: what each role it was for did.
    pub heard: Vec<Heard>,
    /// Entry number it corrects.
    pub corrects: Option<u64>,
    /// Entry number that corrects it.
    pub corrected_by: Option<u64>,
    /// Flags in words.
    pub flags: Vec<String>,
}

/// What one role did with an order.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Heard {
    /// The role.
    pub role: String,
    /// What it did.
    pub what: Hearing,
}

/// How an order was heard.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum Hearing {
    /// Read back (or reported stopped) after so many seconds.
    After(f64),
    /// Read back wrong, in this entry, and not put right.
    Wrong(u64),
    /// Never.
    Never,
}

/// A stretch of one motion.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct MotionSpan {
    /// One of the motions (`at_rest`, …).
    pub motion: String,
    /// Ordered slow.
    pub slow: bool,
    /// From.
    pub from_ms: i64,
    /// To; `None`: still.
    pub to_ms: Option<i64>,
}

/// Gear that is out of use.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct OutOfUse {
    /// What.
    pub gear: String,
    /// Why.
    pub reason: String,
    /// Who said so.
    pub person: String,
    /// Entry number.
    pub seq: u64,
}
