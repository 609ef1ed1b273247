//! What the report prints, from the record alone: the same file gives the same bytes anywhere.

use crate::rigs::digest;
use crate::session::PROGRAM;
use crate::wire::Trouble;
use crate::{brief, export, log_rows, review};
use journal::Stored;
use operation::motion::Span;
use operation::state::{Kept, RigState, State};
use operation::step::{Purpose, ZoneName};
use operation::{Entry, Payload};
use report::input::{
    Benchmark, Duty, MotionSpan, OperationFacts, OutOfUse, PatientMark, Person, RecordFacts, ReportInput,
    RigChapter, Signed, StationFacts, StoredCheck, ZoneStay,
};
use rig::guidelines::Guidelines;
use std::collections::{BTreeMap, BTreeSet};

/// What the report prints of a record; `missing`: what is known not to be in it.
///
/// # Errors
/// When an entry cannot be written as JSON, which no stored entry does.
pub(crate) fn input(
    rows: &[Stored],
    verified: &journal::Verified,
    missing: Vec<String>,
) -> Result<(ReportInput, State), Trouble> {
    let entries: Vec<Entry> = rows.iter().map(|row| row.entry.clone()).collect();
    // The record is written as it is attached while it is replayed.
    let (jsonl, state) = std::thread::scope(|scope| {
        let jsonl = scope.spawn(|| export::jsonl(rows));
        let state = State::replay(Guidelines::defaults(), &entries);
        (jsonl.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)), state)
    });
    let last_ms = entries.iter().map(Entry::recorded_ms).max().unwrap_or(0);
    let record = RecordFacts {
        count: verified.head.count,
        erased: verified.erased.len() as u64,
        head: verified.head.hex.clone(),
        stations: stations(&entries),
        last_ms,
        missing,
        jsonl: jsonl?,
        attached: None,
    };
    let site = state.size_up.iter().map(|(head, fact)| (capital(head), fact.words.clone())).collect();
    let input = ReportInput {
        program: PROGRAM.into(),
        operation: facts(&state, &entries),
        record,
        people: people(&state),
        duties: duties(&state),
        zones: zones(&state),
        site,
        brief: brief::of(&entries, &state),
        benchmarks: moments(&state.benchmarks),
        patient: moments(state.patient_way()),
        course: course(&state),
        rigs: rigs(&state),
        log: log_rows::log(&state),
        short_names: state.guidelines.roles.iter().map(|r| (r.role.clone(), r.short.clone())).collect(),
        spans: state.spans.iter().map(span).collect(),
        review: review::of_report(&state, state.last_line_ms()),
        lessons: operation::review::lessons(&state),
        out_of_use: operation::review::quarantined(&state).into_iter().map(out_of_use).collect(),
        ..ReportInput::default()
    };
    Ok((input, state))
}

fn out_of_use(of: operation::review::Quarantine) -> OutOfUse {
    OutOfUse { gear: of.gear, reason: of.reason, person: of.person, seq: of.seq }
}

/// The patient's marks in the order they happened, as they stand now.
fn course(state: &State) -> Vec<PatientMark> {
    let marks = state.happened().iter().filter_map(|seq| state.at(*seq));
    let mark = |kept: &Kept| match kept.now.as_deref() {
        Some(Payload::Patient(p)) => Some(PatientMark {
            seq: kept.seq,
            at_ms: kept.told_ms,
            mark: p.mark.clone(),
            text: p.text.clone().unwrap_or_default(),
            vitals: p.vitals.clone().unwrap_or_default(),
        }),
        _ => None,
    };
    marks.filter_map(mark).collect()
}

fn facts(state: &State, entries: &[Entry]) -> OperationFacts {
    let first = entries.first();
    let facts = &state.facts;
    OperationFacts {
        name: if facts.name.is_empty() { "Operation without a name".into() } else { facts.name.clone() },
        place: facts.place.clone(),
        // What was never opened cannot be said to be a rescue.
        drill: facts.purpose != Some(Purpose::Rescue),
        edge_height_m: facts.edge_height_m,
        opened_ms: if state.is_open() { facts.opened_ms } else { first.map_or(0, Entry::recorded_ms) },
        closed_ms: facts.closed_ms,
        offset_min: first.map_or(0, Entry::offset_min),
        guidelines: state.guidelines.name.clone(),
        guidelines_digest: digest(&state.guidelines),
    }
}

fn stations(entries: &[Entry]) -> Vec<StationFacts> {
    let mut by_name: BTreeMap<&str, (u64, BTreeSet<&str>)> = BTreeMap::new();
    for entry in entries {
        let station = by_name.entry(&entry.station).or_default();
        station.0 += 1;
        station.1.insert(&entry.session);
    }
    by_name
        .into_iter()
        .map(|(station, (count, sessions))| StationFacts {
            station: station.into(),
            count,
            sessions: sessions.len() as u64,
        })
        .collect()
}

fn people(state: &State) -> Vec<Person> {
    let roles_of = |name: &str| {
        let mut roles: Vec<String> = Vec::new();
        for duty in state.duties.iter().filter(|d| d.person == name) {
            if !roles.contains(&duty.role) {
                roles.push(duty.role.clone());
            }
        }
        roles
    };
    state
        .people
        .iter()
        .map(|p| Person {
            name: p.name.clone(),
            agency: p.agency.clone(),
            qualifications: p.qualifications.clone(),
            roles: roles_of(&p.name),
            in_ms: p.in_ms,
            out_ms: p.out_ms,
        })
        .collect()
}

/// Roles as they were held, and, for the roles a rig asks for, when nobody held them while the load could move.
fn duties(state: &State) -> Vec<Duty> {
    let mut duties: Vec<Duty> = state
        .duties
        .iter()
        .map(|d| Duty {
            role: d.role.clone(),
            person: Some(d.person.clone()),
            from_ms: d.from_ms,
            to_ms: d.to_ms,
        })
        .collect();
    let moving: Vec<&Span> = state.spans.iter().filter(|s| s.motion.moves()).collect();
    if let (Some(first), Some(last)) = (moving.first(), moving.last()) {
        for role in state.roles_needed() {
            let mut from = first.from_ms;
            let end = last.to_ms;
            let mut held: Vec<(i64, Option<i64>)> =
                state.duties.iter().filter(|d| d.role == role).map(|d| (d.from_ms, d.to_ms)).collect();
            held.sort_unstable();
            let vacant = |from: i64, to: Option<i64>| Duty {
                role: role.clone(),
                person: None,
                from_ms: from,
                to_ms: to,
            };
            let mut open = true;
            for (begins, ends) in held {
                if begins > from && end.is_none_or(|end| from < end) {
                    duties.push(vacant(from, Some(end.map_or(begins, |end| end.min(begins)))));
                }
                match ends {
                    Some(ends) => from = from.max(ends),
                    None => open = false,
                }
            }
            if open && end.is_none_or(|end| from < end) {
                duties.push(vacant(from, end));
            }
        }
    }
    duties
}

fn zones(state: &State) -> Vec<ZoneStay> {
    state
        .stays
        .iter()
        .filter(|s| s.zone != ZoneName::Clear)
        .map(|s| ZoneStay {
            person: s.person.clone(),
            zone: s.zone.word().into(),
            from_ms: s.from_ms,
            to_ms: s.to_ms,
        })
        .collect()
}

fn moments<'a>(moments: impl IntoIterator<Item = &'a operation::state::Moment>) -> Vec<Benchmark> {
    moments.into_iter().map(|m| Benchmark { at_ms: m.at_ms, words: m.words.clone(), seq: m.seq }).collect()
}

fn span(span: &Span) -> MotionSpan {
    MotionSpan {
        motion: span.motion.word().into(),
        slow: span.slow,
        from_ms: span.from_ms,
        to_ms: span.to_ms,
    }
}

/// Rigs in the order they were first entered.
fn rigs(state: &State) -> Vec<RigChapter> {
    let mut names: Vec<&String> = Vec::new();
    for kept in state.written() {
        if let Some(Payload::RigSet(set)) = kept.first.as_deref()
            && let Some((name, _)) = state.rigs.get_key_value(&set.name)
            && !names.contains(&name)
        {
            names.push(name);
        }
    }
    names.into_iter().filter_map(|name| state.rigs.get(name).map(|rig| chapter(name, rig, state))).collect()
}

fn chapter(name: &str, rig: &RigState, state: &State) -> RigChapter {
    let checks: Vec<StoredCheck> = rig
        .checks
        .iter()
        .map(|c| StoredCheck {
            seq: c.seq,
            at_ms: c.at_ms,
            rig: Some(c.rig.clone()),
            bound: c.bound.clone(),
            report: c.report.clone(),
        })
        .collect();
    let signatures = rig.signed.iter().map(|s| Signed {
        seq: s.seq,
        at_ms: s.at_ms,
        accepted: false,
        role: s.role.clone(),
        person: s.person.clone(),
        check_seq: s.check_seq,
        ..Signed::default()
    });
    let acceptances = rig.accepted.iter().map(|a| Signed {
        seq: a.seq,
        at_ms: a.at_ms,
        accepted: true,
        role: a.roles.join(", "),
        person: a.person.clone(),
        check_seq: a.check_seq,
        finding: a.finding.clone(),
        reason: a.reason.clone(),
    });
    let mut signed: Vec<Signed> = signatures.chain(acceptances).collect();
    signed.sort_by_key(|s| s.seq);
    let guidelines = digest(&state.guidelines);
    let stale = rig.stale() || rig.checks.last().is_some_and(|c| c.report.guidelines_digest != guidelines);
    RigChapter {
        name: name.into(),
        title: rig.rig.title.clone(),
        rig: Some(rig.rig.clone()),
        checks,
        signed,
        stale,
    }
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
