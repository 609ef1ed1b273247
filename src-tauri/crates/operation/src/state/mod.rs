//! What stands, from the entries so far. Views replay by `happened` (ties by number), a corrected text in place of the old.
//!
//! An entry that happened last is applied in place; a late entry, an opening after other entries, a correction or an
//! erasure replays the whole. Both ways give the same (a property test holds it).

mod calls;
mod clock;
mod counted;
mod fitness;
mod kept;
mod look;
mod moments;
mod moved;
mod people;
mod phases;
mod ready;
mod rigs;
mod rope_left;
mod silence;
mod stops;

pub use calls::{Loop, Wait};
pub use counted::{CountDue, tells_of_emergency};
pub use kept::{Filing, Kept};
pub use moments::{Called, Moment, ParState, span_words};
pub(crate) use moved::standing_of;
pub use people::{Duty, PersonState, Stay};
pub use ready::RollCall;
pub use rigs::{AcceptedState, CheckState, InUseByMaking, RigState, SignedState};
pub use rope_left::{NotKnown, RopeLeft, RopeWatch, RopesLeft, left_words};
pub(crate) use silence::is_patient;
pub use silence::{Gap, Silence, Still};
pub use stops::StopState;

use crate::clock::{ClockNote, LineClock};
use crate::event::{Corrected, Entry, Lent, Payload, time_of};
use crate::flags::Flag;
use crate::motion::{Motion, Span};
use crate::phase::{PhaseEnd, PhaseSpan};
use crate::step::Purpose;
use chrono::{DateTime, FixedOffset};
use rig::guidelines::{Guidelines, MotionWords};
use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

/// The operation's own facts.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Facts {
    /// Name.
    pub name: String,
    /// Place.
    pub place: String,
    /// Drill or rescue; `None` before `open`.
    pub purpose: Option<Purpose>,
    /// Edge height, m.
    pub edge_height_m: Option<f64>,
    /// Opened, ms.
    pub opened_ms: i64,
    /// Closed, ms.
    pub closed_ms: Option<i64>,
}

/// What stands.
#[derive(Clone, Debug, PartialEq)]
pub struct State {
    /// The guidelines in force.
    pub guidelines: Guidelines,
    kept: Vec<Kept>,
    ids: HashMap<Arc<str>, u64>,
    /// When the first `open` was written.
    opened_at: Option<DateTime<FixedOffset>>,
    labels: BTreeMap<String, u64>,
    /// Numbers of entries in the order they happened.
    order: Vec<u64>,
    /// Facts.
    pub facts: Facts,
    /// What the load is doing.
    pub motion: Motion,
    /// Ordered slow.
    pub slow: bool,
    /// Motions so far, oldest first.
    pub spans: Vec<Span>,
    /// Phases inside the motion so far, oldest first.
    pub phases: Vec<PhaseSpan>,
    /// Orders and stops with what each role did.
    pub loops: Vec<Loop>,
    /// Places in `loops` of those that are open.
    waiting: Vec<usize>,
    /// Stops so far; the last one may be in force.
    pub stops: Vec<StopState>,
    /// People in the order they came.
    pub people: Vec<PersonState>,
    /// Roles held, now and before.
    pub duties: Vec<Duty>,
    /// Stays in zones other than clear.
    pub stays: Vec<Stay>,
    /// Who was said to hang without moving.
    pub stills: Vec<Still>,
    /// Who was not heard of for too long and then was, oldest first.
    pub gaps: Vec<Gap>,
    /// Rigs by name.
    pub rigs: BTreeMap<String, RigState>,
    /// The rig the team is on.
    pub rig_in_use: Option<String>,
    /// Set while that rig is in use because it was made, and nobody has said so.
    pub by_making: Option<InUseByMaking>,
    /// Heights called.
    pub heights: Vec<Called>,
    /// How much rope is left.
    pub ropes: RopeWatch,
    /// Personnel accountability reports.
    pub pars: Vec<ParState>,
    /// Events after which everyone is counted, and no PAR that matches has come yet: the first of them.
    pub count_due: Option<CountDue>,
    /// Benchmarks.
    pub benchmarks: Vec<Moment>,
    /// The patient's marks.
    pub patient: Vec<Moment>,
    /// Vital signs as they were said, oldest first.
    pub vitals: Vec<Moment>,
    /// Numbers of the hazards named, in the order they happened.
    pub hazards: Vec<u64>,
    /// Size-up facts by head ("hazards", "weather"), with when they were entered.
    pub size_up: BTreeMap<String, Moment>,
    /// Flags that were raised by an entry.
    pub raised: Vec<Flag>,
    /// Who reported tied off since the load was last ordered to move, and in which entry.
    pub(crate) tied: Vec<(String, u64)>,
    /// Place in `loops` of the last roll call.
    roll: Option<usize>,
    /// Control's last order of a load test, and when.
    pub(crate) load_test: Option<(u64, i64)>,
    pub(crate) unequal: Option<u64>,
    /// The guidelines' words, at hand while the state changes.
    words: Arc<MotionWords>,
    /// What became of the clocks, in the order of the entries.
    pub clock_notes: Vec<ClockNote>,
    line_clock: LineClock,
    last_applied_ms: i64,
}

impl Default for State {
    fn default() -> Self {
        State::new(Guidelines::defaults())
    }
}

impl State {
    /// The entry in which slack or unequal tension was called, while “equal” was not called since.
    pub fn called_unequal(&self) -> Option<u64> {
        self.unequal
    }

    /// Nothing has happened yet.
    pub fn new(guidelines: Guidelines) -> Self {
        State {
            words: Arc::new(guidelines.words.clone()),
            line_clock: LineClock::new(guidelines.clock_s.value),
            clock_notes: vec![],
            guidelines,
            kept: vec![],
            ids: HashMap::new(),
            opened_at: None,
            labels: BTreeMap::new(),
            order: vec![],
            facts: Facts::default(),
            motion: Motion::AtRest,
            slow: false,
            spans: vec![],
            phases: vec![],
            loops: vec![],
            waiting: vec![],
            stops: vec![],
            people: vec![],
            duties: vec![],
            stays: vec![],
            stills: vec![],
            gaps: vec![],
            rigs: BTreeMap::new(),
            rig_in_use: None,
            by_making: None,
            heights: vec![],
            ropes: RopeWatch::default(),
            pars: vec![],
            count_due: None,
            benchmarks: vec![],
            patient: vec![],
            vitals: vec![],
            hazards: vec![],
            size_up: BTreeMap::new(),
            raised: vec![],
            tied: vec![],
            roll: None,
            load_test: None,
            unequal: None,
            last_applied_ms: i64::MIN,
        }
    }

    /// The state after all these entries, in the order they were written.
    pub fn replay(guidelines: Guidelines, entries: &[Entry]) -> Self {
        let mut filing = Filing::new(guidelines, entries.len());
        entries.iter().for_each(|e| filing.file(e.lent()));
        filing.done()
    }

    /// Makes room for so many entries.
    fn expect(&mut self, about: usize) {
        self.kept.reserve(about);
        self.ids.reserve(about);
    }

    /// Takes in one more entry.
    pub fn apply(&mut self, entry: &Entry) {
        let seq = self.keep(entry.lent());
        let Some(kept) = self.at(seq) else { return };
        // The start and the guidelines of a late `open` judge what came before it too.
        let late_open = entry.kind == "open" && self.kept.len() > 1;
        let whole = kept.corrects.is_some()
            || kept.happened_ms < self.last_applied_ms
            || entry.kind == "erased"
            || late_open;
        if whole {
            self.again();
        } else {
            self.order.push(seq);
            self.take(seq);
        }
    }

    /// Names an entry for `of`.
    pub fn label(&mut self, label: &str, seq: u64) {
        self.labels.insert(label.to_string(), seq);
    }

    /// Takes over the labels of another state of the same operation: they live in a session, not in the entries.
    pub fn clone_labels(&mut self, other: &State) {
        self.labels.clone_from(&other.labels);
    }

    /// Files an entry and what it changes in others; returns its number.
    fn keep(&mut self, e: Lent<'_>) -> u64 {
        let first = e.payload.and_then(|p| Payload::read(e.kind, e.version, p)).map(Arc::new);
        let (recorded, told, offset_min) = e.times();
        let line_ms = self.take_clocks(e, (recorded, offset_min), first.as_deref());
        let corrects = match first.as_deref() {
            Some(Payload::Corrected(c)) => self.ids.get(c.of.as_str()).copied(),
            _ => None,
        };
        if self.opened_at.is_none() && matches!(first.as_deref(), Some(Payload::Open(_))) {
            self.opened_at = time_of(e.recorded_at);
        }
        let (seq, id) = (e.seq, Arc::<str>::from(e.id));
        self.ids.insert(Arc::clone(&id), seq);
        self.kept.push(Kept {
            seq,
            id,
            kind: first.as_deref().map_or_else(|| e.kind.to_string().into(), |p| p.kind().into()),
            recorded_ms: recorded,
            line_ms,
            happened_ms: clock::placed(line_ms, (recorded, told), line_ms, || self.opened_line_ms()),
            told_ms: told,
            first_happened_ms: told,
            boot_ms: e.boot_ms,
            offset_min,
            erased: e.payload.is_none(),
            unread: e.payload.filter(|_| first.is_none()).map(str::to_string),
            now: first.clone(),
            first: first.clone(),
            corrected_by: vec![],
            corrects,
            erased_by: None,
        });
        match (first.as_deref(), corrects) {
            (Some(Payload::Erased(erase)), _) => {
                let of = self.ids.get(erase.of.as_str()).copied();
                if let Some(gone) = of.and_then(|of| self.at_mut(of)) {
                    gone.erased_by = Some(seq);
                }
            }
            (Some(Payload::Corrected(c)), Some(of)) => self.correct(of, seq, c),
            _ => {}
        }
        seq
    }

    fn correct(&mut self, of: u64, by: u64, c: &Corrected) {
        let roles = self.roles_for_correction(of, c);
        let said_ms = self.at(by).map_or(i64::MAX, |by| by.line_ms);
        let opened_ms = self.opened_line_ms();
        let Some(k) = self.at_mut(of) else { return };
        k.corrected_by.push(by);
        let mut fields = c.fields.clone();
        if let Some(at) = fields.remove("happened").and_then(|v| v.as_str().and_then(time_of)) {
            k.told_ms = at.timestamp_millis();
            k.happened_ms = clock::placed(k.line_ms, (k.recorded_ms, k.told_ms), said_ms, || opened_ms);
        }
        if let Some(mut changed) = k.now.as_deref().and_then(|p| p.with(&fields)) {
            if let Payload::Order(call) = &mut changed
                && call.to_roles.is_empty()
            {
                call.to_roles = roles;
            }
            k.now = Some(Arc::new(changed));
        }
    }

    /// Whom a corrected `to` meant: the roles it names, or for "all" the ones the order had.
    fn roles_for_correction(&self, of: u64, c: &Corrected) -> Vec<String> {
        let old = self
            .at(of)
            .and_then(|k| k.now.as_deref())
            .and_then(Payload::call)
            .map(|c| c.to_roles.clone())
            .unwrap_or_default();
        match c.fields.get("to").and_then(|v| v.as_array()) {
            Some(list) => {
                let to: Vec<String> = list.iter().filter_map(|v| v.as_str().map(str::to_string)).collect();
                if to.iter().any(|t| t == "all") {
                    old
                } else {
                    to.iter().map(|t| self.role_name(t)).collect()
                }
            }
            None => old,
        }
    }

    /// Replays everything by when it happened.
    fn again(&mut self) {
        let guidelines = self.guidelines.clone();
        let fresh = State::new(guidelines);
        let kept = std::mem::take(&mut self.kept);
        let ids = std::mem::take(&mut self.ids);
        let labels = std::mem::take(&mut self.labels);
        let opened_at = self.opened_at;
        // The clocks go by the order of writing, which no replay changes.
        let clock_notes = std::mem::take(&mut self.clock_notes);
        let line_clock = self.line_clock.clone();
        *self = State { kept, ids, opened_at, labels, clock_notes, line_clock, ..fresh };
        let mut order: Vec<u64> = self.kept.iter().map(|k| k.seq).collect();
        order.sort_by_key(|s| (self.at(*s).map_or(0, |k| k.happened_ms), *s));
        self.order.reserve(order.len());
        for seq in order {
            self.order.push(seq);
            self.take(seq);
        }
    }

    /// Applies one entry as the last that happened.
    fn take(&mut self, seq: u64) {
        let Some(k) = self.at(seq) else { return };
        let (at, now) = (k.happened_ms, k.now.clone());
        self.last_applied_ms = at;
        self.clock_flags(seq);
        self.time_flags(seq);
        let Some(payload) = now else { return };
        if self.facts.closed_ms.is_some()
            && !payload.of_review()
            && !matches!(
                &*payload,
                Payload::SessionBegan(_)
                    | Payload::Slept(_)
                    | Payload::Salvaged(_)
                    | Payload::Corrected(_)
                    | Payload::Erased(_)
            )
        {
            self.raise(
                "after_close",
                vec![seq],
                format!("entry {seq} was written after the operation was closed"),
            );
        }
        match &*payload {
            Payload::CheckIn(_)
            | Payload::CheckOut(_)
            | Payload::Assign(_)
            | Payload::Relieve(_)
            | Payload::Zone(_)
            | Payload::Par(_) => self.take_people(seq, at, (*payload).clone()),
            Payload::RigSet(_)
            | Payload::Use(_)
            | Payload::RigChecked(_)
            | Payload::Signed(_)
            | Payload::Accepted(_) => self.take_rig(seq, at, (*payload).clone()),
            other => match other.call() {
                Some(call) => self.take_call(seq, at, other, call),
                None => self.take_facts(seq, at, (*payload).clone()),
            },
        }
    }

    fn take_facts(&mut self, seq: u64, at: i64, payload: Payload) {
        match payload {
            Payload::Open(o) => {
                if let Some(g) = &o.guidelines {
                    self.guidelines = (**g).clone();
                    self.words = Arc::new(g.words.clone());
                }
                self.facts = Facts {
                    name: o.name,
                    place: o.place,
                    purpose: Some(o.purpose),
                    edge_height_m: o.edge_height.map(|h| h.to_metres()),
                    opened_ms: at,
                    closed_ms: None,
                };
                self.spans.push(Span { motion: Motion::AtRest, slow: false, from_ms: at, to_ms: None, seq });
            }
            Payload::Close(_) => {
                self.facts.closed_ms = Some(at);
                if let Some(s) = self.spans.last_mut() {
                    s.to_ms = Some(at);
                }
                self.end_phase(PhaseEnd::Unsaid, seq, at);
            }
            Payload::Benchmark(b) => {
                self.benchmarks.push(Moment { words: join(&b.name, b.text.as_deref()), at_ms: at, seq })
            }
            Payload::Patient(p) => {
                // Who counts a pulse has reached the patient; hanging still goes on.
                if !matches!(p.mark.as_str(), "reached" | "vitals") {
                    self.end_still("patient", at);
                }
                self.patient_handed(seq, at, &p);
                if let Some(words) = p.vitals.as_deref().map(str::trim).filter(|v| !v.is_empty()) {
                    self.vitals.push(Moment { words: words.to_string(), at_ms: at, seq });
                }
                let said = [p.text, p.vitals].into_iter().flatten().collect::<Vec<_>>().join("; ");
                let words = join(&p.mark.replace('_', " "), Some(&said));
                self.patient.push(Moment { words, at_ms: at, seq });
            }
            Payload::Hazard(h) => {
                self.hazards.push(seq);
                let words = match &h.control {
                    Some(c) => format!("{}: {c}", h.text),
                    None => h.text.clone(),
                };
                let entry = self.size_up.entry("hazards".into()).or_insert(Moment {
                    words: String::new(),
                    at_ms: at,
                    seq,
                });
                let words = if entry.words.is_empty() { words } else { format!("{}; {words}", entry.words) };
                *entry = Moment { words, at_ms: at, seq };
            }
            _ => {}
        }
    }

    /// `entries` ends with the entry that is being applied: [`State::flags_of`] finds it by that.
    pub(crate) fn raise(&mut self, id: &'static str, entries: Vec<u64>, words: String) {
        self.raised.push(Flag { id, entries, words });
    }

    /// Changes the motion; the same motion at another speed begins a new stretch too.
    pub(crate) fn turn(&mut self, motion: Motion, slow: bool, at: i64, seq: u64) {
        if self.motion == motion && self.slow == slow {
            return;
        }
        self.motion = motion;
        self.slow = slow;
        self.ropes_turn(motion, at, seq);
        if motion == Motion::Landed {
            self.end_stills(at);
            self.count_after("the load landed", seq, at);
            self.end_phase(PhaseEnd::Unsaid, seq, at);
        }
        if let Some(s) = self.spans.last_mut() {
            s.to_ms = Some(at);
        }
        self.spans.push(Span { motion, slow, from_ms: at, to_ms: None, seq });
    }

    /// Since when the motion is what it is (speed not counted).
    pub fn motion_since(&self) -> i64 {
        let mut since = self.facts.opened_ms;
        for s in self.spans.iter().rev() {
            if s.motion != self.motion {
                break;
            }
            since = s.from_ms;
        }
        since
    }
}

fn join(head: &str, text: Option<&str>) -> String {
    match text {
        Some(t) if !t.trim().is_empty() => format!("{head}: {t}"),
        _ => head.to_string(),
    }
}
