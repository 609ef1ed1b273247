//! The review, for screen and paper: measures from the entries, findings with theirs.

mod compare;
mod file;
mod tape;

pub use compare::compare;
pub use file::{Operation, Reviewed, entries, of_file};
pub use operation::review::due_words;
pub use tape::tape;

use crate::Session;
use crate::view::span;
use crate::wire::{FindingView, MarkView, ReadbackMeasure as ReadbackView, ReviewView};
use operation::Payload;
use operation::clock::Now;
use operation::review::{self, findings_with, measures, named, quantile};
use operation::state::{State, tells_of_emergency};
use report::input::{Finding, MeasureRow, MeasureTable, Par, ReadbackMeasure, Review, Speed, Stop};
use rig::units::Units;
use std::collections::HashSet;

/// The review as the screen shows it, its figures in the units asked for, by the same sums that the report's are.
pub fn view(session: &Session, now: impl Into<Now>, units: Units) -> ReviewView {
    let now_ms = now.into().line_ms;
    let state = &session.state;
    let (measured, found, ticks) = std::thread::scope(|scope| {
        let ticks = scope.spawn(|| ticks(state));
        let measured = measures(state, now_ms);
        let found = findings_with(state, &measured, now_ms);
        (measured, found, ticks.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
    });
    let mut marks: Vec<MarkView> = state
        .benchmarks
        .iter()
        .chain(&state.patient)
        .map(|m| MarkView { at_ms: m.at_ms as f64, words: m.words.clone(), finding: None })
        .collect();
    for (i, finding) in found.iter().enumerate().filter(|(_, f)| f.departs) {
        marks.push(MarkView {
            at_ms: finding.at_ms as f64,
            words: finding.words.clone(),
            finding: Some(i + 1),
        });
    }
    marks.sort_by(|a, b| a.at_ms.total_cmp(&b.at_ms));
    ReviewView {
        motions: tape::motions(&measured.motions.value),
        tape: tape(state, &measured, units),
        readbacks: review::readbacks(state)
            .into_iter()
            .map(|r| ReadbackView {
                orders: r.due,
                never: r.never,
                median_s: quantile(&r.delays_s, 0.5),
                p90_s: quantile(&r.delays_s, 0.9),
                worst_s: r.delays_s.iter().copied().reduce(f64::max),
                role: r.role,
            })
            .collect(),
        tables: measured.tables_in(units),
        measures: named(&measured),
        lessons: review::lessons(state),
        quarantined: review::quarantined(state).into_iter().map(|q| (q.gear, q.reason)).collect(),
        findings: found
            .into_iter()
            .map(|f| FindingView {
                departs: f.departs,
                words: f.words,
                detail: f.detail,
                mark: f.mark.into(),
                entries: f.entries,
                at_ms: f.at_ms as f64,
                id: f.id,
                rule: f.rule,
                source: f.source,
                sure: f.sure.words().into(),
                by: f.by,
                said: f.said,
                set_aside: f.set_aside,
            })
            .collect(),
        spans: state.spans.iter().map(span).collect(),
        marks,
        ticks,
    }
}

/// Where the sealed copy lies that an entry tells of.
pub fn sealed_copy(session: &Session, seq: u64) -> Option<std::path::PathBuf> {
    match session.state.payload(seq) {
        Some(operation::Payload::Sealed(s)) => Some(session.file().with_file_name(&s.copy)),
        _ => None,
    }
}

/// Time and side of each row.
fn ticks(state: &State) -> Vec<(f64, &'static str)> {
    let stops: HashSet<u64> = state.stops.iter().map(|stop| stop.seq).collect();
    let rows = state.happened().iter().filter_map(|seq| state.at(*seq));
    rows.map(|kept| {
        let side = operation::line::side(state, kept, stops.contains(&kept.seq));
        (kept.happened_ms as f64, side)
    })
    .collect()
}

/// The review as the report prints it.
pub fn of_report(state: &State, now_ms: i64) -> Review {
    let readbacks = review::readbacks(state).into_iter().map(|r| ReadbackMeasure {
        role: r.role,
        due: r.due,
        wrong: r.wrong_s.len(),
        never: r.never,
        delays_s: r.delays_s,
        wrong_s: r.wrong_s,
    });
    let pars = state.pars.iter().map(|p| Par {
        at_ms: p.at_ms,
        due_ms: p.due_ms,
        count: p.count,
        of: p.of,
        seq: p.seq,
    });
    let measured = measures(state, now_ms);
    let found = findings_with(state, &measured, now_ms).into_iter().map(|f| Finding {
        kind: f.kind().into(),
        turn: f.turn(),
        departs: f.departs,
        words: f.words,
        detail: f.detail,
        entries: f.entries,
        people: people_said(&f.said),
        rule: f.rule,
        source: f.source,
        sure: f.sure.words().into(),
        by: f.by,
        set_aside: f.set_aside,
    });
    Review {
        readbacks: readbacks.collect(),
        stops: stops(state),
        findings: found.collect(),
        pars: pars.collect(),
        heights: heights(state),
        speeds: measured.speeds.value.iter().map(speed).collect(),
        measures: measured.tables().into_iter().map(table).collect(),
    }
}

/// The measures as the report prints them, in other units.
pub fn tables_of(state: &State, units: Units) -> Vec<MeasureTable> {
    measures(state, state.last_line_ms()).tables_in(units).into_iter().map(table).collect()
}

fn table(of: operation::review::measures::MeasureTable) -> MeasureTable {
    let row = |r: operation::review::measures::MeasureRow| MeasureRow {
        words: r.words,
        value: r.value,
        entries: r.entries,
    };
    MeasureTable { head: of.head, how: of.how, rows: of.rows.into_iter().map(row).collect() }
}

fn speed(of: &operation::review::measures::Speed) -> Speed {
    Speed { from_ms: of.from_ms, to_ms: of.to_ms, m_per_min: of.m_per_min }
}

/// What people said to a finding, in words.
fn people_said(said: &[review::Said]) -> String {
    let one = |s: &review::Said| {
        let what = if s.agrees { "agrees" } else { "sets it aside" };
        let why = if s.reason.is_empty() { String::new() } else { format!(": {}", s.reason) };
        format!("{} {what}{why} ({})", s.person, s.seq)
    };
    said.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// Heights of the load over the ground; without an edge height there are none.
fn heights(state: &State) -> Vec<(i64, f64)> {
    let Some(edge) = state.facts.edge_height_m else { return Vec::new() };
    state.heights.iter().map(|h| (h.at_ms, (edge - h.metres).max(0.0))).collect()
}

fn stops(state: &State) -> Vec<Stop> {
    let seconds = |from: i64, to: i64| (to - from) as f64 / 1000.0;
    state
        .stops
        .iter()
        .map(|s| Stop {
            seq: s.seq,
            at_ms: s.at_ms,
            from: s.from.clone(),
            cause: s.cause.clone(),
            stopped_s: s
                .operators
                .iter()
                .map(|(role, at)| (role.clone(), at.map(|at| seconds(s.at_ms, at))))
                .collect(),
            held_s: s.ended_ms.map(|end| seconds(s.at_ms, end)),
            emergency: [call_words(state, s.seq), &s.cause].into_iter().any(tells_of_emergency),
            text: call_words(state, s.seq).into(),
        })
        .collect()
}

/// What a call said, as it stands now.
fn call_words(state: &State, seq: u64) -> &str {
    state
        .at(seq)
        .and_then(|kept| kept.now.as_deref())
        .and_then(Payload::call)
        .map_or("", |call| call.text.as_str())
}
