//! What the screens get: the state in plain shapes. Nothing here decides anything.

mod calls;
mod commander;
mod people;
mod rig;
mod ropes;

pub use commander::commander;
pub(crate) use ropes::lines as rope_lines;

use crate::Session;
use crate::wire::{
    Acked, AlsoKey, Asked, BriefView, Candidate, ClockView, FactView, FlagView, LineRow, MotionSpan,
    OperationHead, SIZE_UP, SavedView, Sifted, Trouble, View, VitalsView,
};
use chrono::{DateTime, FixedOffset};
use journal::Stamp;
use operation::clock::{Change, Now};
use operation::flags::latest;
use operation::line::{self, Row, clock};
use operation::motion::Span;
use operation::sift::{self, Kind, Sift};
use operation::step::Purpose;
use operation::{Payload, State, Step, free_line, suggest};
use serde_json::Value;

/// Rows sent with each view; older ones are asked for.
const ROWS_SENT: usize = 60;

/// Flags that entries raised sent with each view, the newest.
const FLAGS_SENT: usize = 200;

/// Everything as of `now`.
pub fn view(session: &Session, now: impl Into<Now>) -> View {
    let present = now.into();
    let state = &session.state;
    let now = state.facts.closed_ms.unwrap_or(present.line_ms);
    let total = state.happened().len();
    let rows = rows(session, total.saturating_sub(ROWS_SENT), ROWS_SENT);
    let from = rows.first().map_or(f64::MIN, |row| row.at_ms);
    // Back to the one that the first row lies in: a day of them is not gone through.
    let lasting = state.spans.iter().rev().take_while(|s| s.to_ms.is_none_or(|to| to as f64 >= from));
    let seen = state.spans.len() - lasting.count();
    let offset = offset_min(state);
    let slots = calls::slots(state);
    View {
        operation: head(session),
        now_ms: present.line_ms as f64,
        offset_min: offset,
        clock: clock_view(session, &present),
        motion: calls::motion(state, offset),
        on_rope: people::on_rope(state),
        par: people::par(state, now),
        saved: SavedView {
            count: session.head().count,
            head: session.head().hex.clone(),
            trouble: session.trouble.as_ref().map(ToString::to_string),
            writes: session.writes(),
            holder: session.holder(),
            mirror: crate::mirror::view(session),
            may_take_over: session.may_take_over(),
        },
        people: people::people(state, &slots, now),
        slots,
        roles: people::roles(state),
        rows,
        total_rows: total,
        spans: state.spans[seen..].iter().map(span).collect(),
        orders: calls::order_keys(state),
        also: suggest::also(state).into_iter().map(also_key).collect(),
        rig: rig::rig(state, offset),
        rigs: state.rigs.keys().cloned().collect(),
        flags: latest(state, now, FLAGS_SENT).iter().map(flag).collect(),
        watches: people::watches(state),
        size_up: SIZE_UP
            .iter()
            .filter_map(|name| Some(((*name).to_string(), fact(state, name, offset)?)))
            .collect(),
        brief: brief(state),
        hazards: hazards(state, offset),
        patient: state.patient_way().map(|m| format!("{} {}", m.words, clock(m.at_ms, offset))).collect(),
        vitals: vitals(state, offset),
        roll_call: calls::roll_call(state),
        change_over: calls::change_over(state),
    }
}

/// Rows of the line by place, the oldest being 0.
pub fn rows(session: &Session, from: usize, count: usize) -> Vec<LineRow> {
    let state = &session.state;
    let order = state.happened();
    let from = from.min(order.len());
    let until = from.saturating_add(count).min(order.len());
    order[from..until]
        .iter()
        .filter_map(|seq| line::row(state, *seq))
        .map(|row| line_row(state, row))
        .collect()
}

/// Rows of a part of the line by their place in it; without `from` the last ones.
///
/// # Errors
/// `bad_part`: a kind that nothing is of.
pub fn sifted(
    session: &Session,
    asked: &Asked,
    from: Option<usize>,
    count: usize,
    now: impl Into<Now>,
) -> Result<Sifted, Trouble> {
    let kind = match asked.kind.as_deref() {
        None => None,
        Some(word) => Some(Kind::of(word).ok_or_else(|| {
            let remedy = "ask for orders, readbacks, reports, notes, people or rig";
            Trouble::new("bad_part", format!("no entries are “{word}”"), "kind", remedy)
        })?),
    };
    let sift = Sift { who: asked.who.clone(), kind, flagged: asked.flagged };
    let state = &session.state;
    let part = sift::sift(state, &sift, state.facts.closed_ms.unwrap_or(now.into().line_ms));
    let from = from.unwrap_or(part.len().saturating_sub(count)).min(part.len());
    let until = from.saturating_add(count).min(part.len());
    let rows = part[from..until].iter().filter_map(|seq| line::row(state, *seq));
    Ok(Sifted { rows: rows.map(|row| line_row(state, row)).collect(), from, total: part.len() })
}

/// What the free line could mean, likeliest first.
pub fn complete(session: &Session, typed: &str, now: DateTime<FixedOffset>) -> Vec<Candidate> {
    free_line::candidates(&session.state, typed, now)
        .into_iter()
        .map(|c| Candidate { who: c.who, text: c.text, step: c.step, doubt: c.doubt })
        .collect()
}

/// Records one gesture; answers with where it went and the new view.
///
/// # Errors
/// As [`Session::act`]; `where` is the field.
pub fn act(
    session: &mut Session,
    step: &Value,
    stamp: &Stamp,
    now: impl Into<Now>,
) -> Result<Acked, Trouble> {
    let step = Step::read(step, "step")?;
    if step.at_ms.is_some() {
        return Err(Trouble::new("bad_step", "“at” is for scripts", "at", "leave it out"));
    }
    let ack = session.act(&step, stamp)?;
    // The entry has begun this session.
    let now = Now { again: false, ..now.into() };
    let mut went = line::went(&session.state, ack.seq);
    if session.journal().erased_words_linger() {
        went.push_str("; the erased words may still lie in the file beside it that ends in -wal: it is tried again with each entry, and at closing");
    }
    Ok(Acked { seq: ack.seq, id: ack.id, hash: ack.hash, went, view: view(session, now) })
}

/// Offset of the operation's local time from UTC, minutes.
pub(crate) fn offset_min(state: &State) -> i32 {
    state.written().first().map_or(0, |kept| kept.offset_min)
}

/// Changes of the clocks sent with each view.
const NOTES_SENT: usize = 6;

fn clock_view(session: &Session, now: &Now) -> ClockView {
    let state = &session.state;
    let notes = &state.clock_notes;
    let restart = notes.iter().rev().find(|n| matches!(n.change, Change::Again(_))).map(|n| n.at_ms);
    let restart = if now.again { Some(now.line_ms) } else { restart };
    let last = state.written().last().map_or(0, |kept| kept.offset_min);
    let mut told: Vec<String> =
        notes[notes.len().saturating_sub(NOTES_SENT)..].iter().map(|n| n.words()).collect();
    if session.slept_ms() > 0 {
        let slept = operation::state::span_words(session.slept_ms());
        told.push(format!("the machine slept for {slept}; the next entry says so"));
    }
    ClockView {
        to_wall_ms: now.to_wall_ms as f64,
        offset_min: now.offset_min.unwrap_or(last),
        restart_ms: restart.map(|ms| ms as f64),
        notes: told,
    }
}

fn head(session: &Session) -> OperationHead {
    let facts = &session.state.facts;
    OperationHead {
        name: facts.name.clone(),
        place: facts.place.clone(),
        purpose: if facts.purpose == Some(Purpose::Rescue) { "rescue" } else { "drill" }.into(),
        edge_height_m: facts.edge_height_m,
        file: session.file().display().to_string(),
        opened_ms: facts.opened_ms as f64,
        closed_ms: facts.closed_ms.map(|ms| ms as f64),
        station: session.station().to_string(),
    }
}

pub(crate) fn span(span: &Span) -> MotionSpan {
    MotionSpan {
        motion: span.motion.word().into(),
        slow: span.slow,
        from_ms: span.from_ms as f64,
        to_ms: span.to_ms.map(|ms| ms as f64),
    }
}

fn also_key(key: suggest::Also) -> AlsoKey {
    AlsoKey { label: key.label, line: key.line, who: key.who }
}

fn flag(flag: &operation::Flag) -> FlagView {
    FlagView { id: flag.id.into(), entries: flag.entries.clone(), words: flag.words.clone() }
}

fn line_row(state: &State, row: Row) -> LineRow {
    let at = row.at_ms;
    // The stretch this row begins or lies in; before the first one the load is at rest.
    let lies_in = state.spans.iter().rev().find(|s| s.from_ms < at || (s.from_ms == at && s.seq <= row.seq));
    LineRow {
        seq: row.seq,
        id: row.id,
        at_ms: at as f64,
        time: clock(row.told_ms, row.offset_min),
        side: row.side.into(),
        kind: row.kind,
        who: row.who,
        text: row.text,
        was: row.was,
        marks: row.marks.into_iter().map(String::from).collect(),
        detail: row.detail,
        of: row.of.and_then(|seq| state.at(seq)).map(|kept| kept.id.to_string()),
        loop_state: row.loop_state.into(),
        motion: row.motion.map(|m| m.word().to_string()),
        rope: lies_in.map_or("at_rest", |s| s.motion.word()).into(),
        slow: lies_in.is_some_and(|s| s.slow),
        phase: state.phase_at(at, row.seq).map(|p| p.words()),
        flags: row.flags,
    }
}

fn brief(state: &State) -> BriefView {
    let rules = &state.guidelines;
    BriefView {
        whistle: rules.whistle.iter().map(|(blasts, meaning)| (blasts.clone(), meaning.clone())).collect(),
        lost_communications: state.lost_communications_act().to_string(),
        lost_communications_s: rules.people.lost_communications_s.value,
        real_emergency: rules.people.real_emergency.words.clone(),
        par_min: rules.par_min.value,
    }
}

fn fact(state: &State, name: &str, offset: i32) -> Option<FactView> {
    let moment = state.size_up.get(name)?;
    Some(FactView {
        text: moment.words.clone(),
        control: None,
        time: clock(moment.at_ms, offset),
        seq: moment.seq,
    })
}

fn vitals(state: &State, offset: i32) -> Vec<VitalsView> {
    let said = state.vitals.iter();
    said.map(|m| VitalsView { time: clock(m.at_ms, offset), text: m.words.clone(), seq: m.seq }).collect()
}

fn hazards(state: &State, offset: i32) -> Vec<FactView> {
    let mut found = Vec::new();
    for kept in state.hazards.iter().filter_map(|seq| state.at(*seq)) {
        if let Some(Payload::Hazard(h)) = kept.now.as_deref() {
            let time = clock(kept.told_ms, offset);
            found.push(FactView { text: h.text.clone(), control: h.control.clone(), time, seq: kept.seq });
        }
    }
    found
}
