//! Named moments, time in each motion, roll of people, clocks.

use super::{Measured, seconds};
use crate::clock::Change;
use crate::event::Payload;
use crate::motion::{ALL, Motion};
use crate::state::State;
use crate::step::ZoneName;
use crate::words::Said;
use serde::Serialize;
use ts_rs::TS;

/// A named moment.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct Milestone {
    /// `called`, `on_scene`, `patient_reached`, `packaged`, `over_the_edge`, `first_moved`, `at_the_end`, `handed_over`,
    /// `all_clear`, or `other` for a benchmark of another name.
    pub id: String,
    /// In words.
    pub words: String,
    /// When; `None`: the record does not say.
    pub at_ms: Option<i64>,
    /// Entry that says so.
    pub seq: Option<u64>,
    /// What kind of entry that is: `benchmark`, `patient`, `call` or `motion`; empty when it was not said.
    pub from: String,
    /// Since the moment before it in this list, s.
    pub since_before_s: Option<f64>,
    /// Since the first moment of this list, s.
    pub since_first_s: Option<f64>,
    /// The program was started again since the moment before: that length rests on the time of day.
    pub across_restart: bool,
}

/// Time in one motion.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct MotionTime {
    /// One of the motions (`at_rest`, …).
    pub motion: String,
    /// Altogether, s.
    pub total_s: f64,
    /// Stretches of it; one that only changes speed goes on.
    pub spells: u64,
    /// The longest, s.
    pub longest_s: f64,
    /// Entries that began each stretch.
    pub entries: Vec<u64>,
    /// The program was started again within it.
    pub across_restart: bool,
}

/// A personnel accountability report.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct ParMeasure {
    /// Entry number.
    pub seq: u64,
    /// When.
    pub at_ms: i64,
    /// Accounted for.
    pub count: u64,
    /// Checked in at that moment.
    pub expected: u64,
    /// Not accounted for: of those checked in, or of those it speaks of, whichever are more.
    pub missing: u64,
    /// By how much it came late, s; `None`: in time.
    pub late_s: Option<f64>,
    /// The event it was due after, if not by the interval.
    pub after: Option<String>,
    /// Whole intervals that passed before it without one.
    pub missed: u64,
}

/// Personnel accountability reports.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct ParMeasures {
    /// Came in time.
    pub kept: u64,
    /// Came late.
    pub late: u64,
    /// Never came: intervals that passed without one.
    pub missed: u64,
    /// Did not account for everyone.
    pub mismatched: u64,
    /// Each, oldest first.
    pub list: Vec<ParMeasure>,
}

/// What became of the clocks.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct ClockLine {
    /// The first entry after it.
    pub seq: u64,
    /// What happened.
    pub words: String,
    /// What it means for lengths of time.
    pub about: String,
}

/// The moments that are looked for, in the order they are told when nobody said them.
const WANTED: [(&str, &str); 9] = [
    ("called", "called"),
    ("on_scene", "on scene"),
    ("patient_reached", "patient reached"),
    ("packaged", "patient packaged"),
    ("over_the_edge", "over the edge"),
    ("first_moved", "load first moved"),
    ("at_the_end", "load at the end"),
    ("handed_over", "patient handed over"),
    ("all_clear", "all clear"),
];

const HOW_MILESTONES: &str = "each moment is when it happened: first a benchmark of that name or the patient’s mark, else \
    the first report or answer that says it (the last one for “all clear”); “load first moved” is the first order that \
    lowered or raised, “load at the end” the last landing called; lengths are since the moment before and since the first";

/// What a benchmark's name or a call must say for it.
fn phrases(id: &str) -> Vec<String> {
    let list: &[&str] = match id {
        "called" => &["called", "call received", "call-out", "callout", "paged", "alarm"],
        "on_scene" => &["on scene", "on site", "arrived"],
        "patient_reached" => {
            &["patient reached", "reached the patient", "with the patient", "at the patient"]
        }
        "packaged" => &["packaged"],
        "over_the_edge" => &["over the edge", "over the lip"],
        "at_the_end" => &["at the end"],
        "handed_over" => &["handed over"],
        "all_clear" => &["all clear"],
        _ => &[],
    };
    // “call-out” is two words once it is cut.
    list.iter().map(|p| p.replace('-', " ")).collect()
}

/// The moment that a benchmark's name means.
fn of_benchmark(name: &str) -> Option<&'static str> {
    let said = Said::of(&name.replace('-', " "));
    WANTED.iter().map(|w| w.0).find(|id| said.states(&phrases(id)))
}

fn of_patient(mark: &str) -> Option<&'static str> {
    match mark {
        "reached" => Some("patient_reached"),
        "packaged" => Some("packaged"),
        "handed_over" => Some("handed_over"),
        _ => None,
    }
}

/// Moments in time order with the lengths between them; those that nobody said last.
pub(super) fn milestones(state: &State) -> Measured<Vec<Milestone>> {
    let words_of = |id: &str| WANTED.iter().find(|w| w.0 == id).map_or("", |w| w.1).to_string();
    let moment = |id: &str, words: String, from: &str, at: i64, seq: u64| Milestone {
        id: id.into(),
        words,
        at_ms: Some(at),
        seq: Some(seq),
        from: from.into(),
        ..Milestone::default()
    };
    let mut known: Vec<Milestone> = vec![];
    let mut calls: Vec<Milestone> = vec![];
    for kept in state.happened().iter().filter_map(|seq| state.at(*seq)) {
        let (at, seq) = (kept.happened_ms, kept.seq);
        match kept.now.as_deref() {
            Some(Payload::Benchmark(b)) => {
                let id = of_benchmark(&b.name).unwrap_or("other");
                known.push(moment(id, b.name.clone(), "benchmark", at, seq));
            }
            Some(Payload::Patient(p)) => {
                let id = of_patient(&p.mark).unwrap_or("other");
                let words = if id == "other" {
                    format!("patient: {}", p.mark.replace('_', " "))
                } else {
                    words_of(id)
                };
                known.push(moment(id, words, "patient", at, seq));
            }
            Some(Payload::Report(c) | Payload::Answer(c)) => {
                if let Some(id) = of_benchmark(&c.text).filter(|id| *id != "called") {
                    calls.push(moment(id, words_of(id), "call", at, seq));
                }
            }
            _ => {}
        }
    }
    if let Some(s) = state.spans.iter().find(|s| s.motion.moves()) {
        known.push(moment("first_moved", words_of("first_moved"), "motion", s.from_ms, s.seq));
    }
    let said = |list: &[Milestone], id: &str| list.iter().any(|m| m.id == id);
    if let Some(s) = state.spans.iter().rev().find(|s| s.motion == Motion::Landed)
        && !said(&known, "at_the_end")
    {
        known.push(moment("at_the_end", words_of("at_the_end"), "motion", s.from_ms, s.seq));
    }
    for (id, _) in WANTED.iter().filter(|w| !said(&known, w.0)).collect::<Vec<_>>() {
        let mut of = calls.iter().filter(|m| m.id == *id);
        known.extend(if *id == "all_clear" { of.next_back() } else { of.next() }.cloned());
    }
    known.sort_by_key(|m| (m.at_ms, m.seq));
    let first = known.first().and_then(|m| m.at_ms);
    let mut before: Option<i64> = None;
    for m in &mut known {
        m.since_before_s = before.zip(m.at_ms).map(|(b, at)| seconds(b, at));
        m.since_first_s = first.zip(m.at_ms).map(|(f, at)| seconds(f, at));
        m.across_restart = before.zip(m.at_ms).is_some_and(|(b, at)| state.across_restart(b, at));
        before = m.at_ms;
    }
    let unsaid: Vec<Milestone> = WANTED
        .iter()
        .filter(|w| !said(&known, w.0))
        .map(|(id, words)| Milestone { id: (*id).into(), words: (*words).into(), ..Milestone::default() })
        .collect();
    known.extend(unsaid);
    Measured { how: HOW_MILESTONES.into(), value: known }
}

/// Time in each motion, in the motions' order.
pub(super) fn motions(state: &State, end: i64) -> Measured<Vec<MotionTime>> {
    let of = |motion: Motion| {
        let mut time = MotionTime { motion: motion.word().into(), ..MotionTime::default() };
        let (mut lasts, mut before) = (0.0, None);
        for s in state.spans.iter().filter(|s| s.motion == motion) {
            let to = s.to_ms.unwrap_or(end);
            let length = seconds(s.from_ms, to).max(0.0);
            // The same motion at another speed goes on.
            let on = before == Some(s.from_ms) && time.spells > 0;
            lasts = if on { lasts + length } else { length };
            if !on {
                time.spells += 1;
                time.entries.push(s.seq);
            }
            time.total_s += length;
            time.longest_s = time.longest_s.max(lasts);
            time.across_restart |= state.across_restart(s.from_ms, to);
            before = Some(to);
        }
        time
    };
    Measured {
        how: "the sum of its stretches, each from the call that began it to the call that began the next, the last one to \
              the close"
            .into(),
        value: ALL.iter().map(|m| of(*m)).collect(),
    }
}

/// Personnel accountability reports, kept and missed.
pub(super) fn pars(state: &State, end: i64) -> Measured<ParMeasures> {
    let interval_ms = ((state.guidelines.par_min.value * 60_000.0) as i64).max(1);
    let mut all = ParMeasures::default();
    for p in &state.pars {
        let late_ms = p.due_ms.map(|due| p.at_ms - due);
        let by_interval = late_ms.filter(|_| p.after.is_none()).unwrap_or(0);
        let row = ParMeasure {
            seq: p.seq,
            at_ms: p.at_ms,
            count: p.count,
            expected: p.expected,
            missing: p.missing(),
            late_s: late_ms.map(|ms| ms as f64 / 1000.0),
            after: p.after.clone(),
            missed: u64::try_from(by_interval / interval_ms).unwrap_or(0),
        };
        if late_ms.is_some() {
            all.late += 1
        } else {
            all.kept += 1
        }
        all.missed += row.missed;
        all.mismatched += u64::from(row.missing > 0);
        all.list.push(row);
    }
    all.missed += missed_after_the_last(state, end).map_or(0, |m| m.0);
    all.missed += u64::from(state.count_due_ms().is_some_and(|due| due < end));
    Measured {
        how: format!(
            "due {} min after the one before, the first after someone came on rope or to the edge, and {} min after an event; \
             missed: each whole interval that passed without one, at the end only while someone was exposed, and a count after an \
             event that never came or never matched",
            state.guidelines.par_min.value, state.guidelines.people.par_event_min.value
        ),
        value: all,
    }
}

/// Intervals that ran out after the last PAR while someone was on rope or at the edge, with the entry they run from;
/// `None`: nobody was.
pub(crate) fn missed_after_the_last(state: &State, end: i64) -> Option<(u64, u64)> {
    let interval_ms = ((state.guidelines.par_min.value * 60_000.0) as i64).max(1);
    let exposed = || state.stays.iter().filter(|s| matches!(s.zone, ZoneName::OnRope | ZoneName::Edge));
    let first = || exposed().min_by_key(|s| s.from_ms).map(|s| (s.from_ms, s.seq));
    let (from, seq) = state.pars.last().map(|p| (p.at_ms, p.seq)).or_else(first)?;
    let until = exposed().map(|s| s.to_ms.unwrap_or(end)).max().unwrap_or(from).min(end);
    Some((u64::try_from((until - from) / interval_ms).unwrap_or(0), seq))
}

/// What became of the clocks.
pub(super) fn clocks(state: &State) -> Measured<Vec<ClockLine>> {
    let lines = state.clock_notes.iter().map(|n| ClockLine {
        seq: n.seq,
        words: n.words(),
        about: match n.change {
            Change::Again(_) => "lengths of time across it go by the time of day",
            Change::Slept(_) => "lengths of time count it",
            Change::Set(_) | Change::Offset(..) => "order and lengths of time are not touched",
        }
        .into(),
    });
    Measured {
        how: "order and lengths of time go by the machine’s running clock; across a new start by the time of day".into(),
        value: lines.collect(),
    }
}
