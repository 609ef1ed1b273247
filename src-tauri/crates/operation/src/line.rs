//! Rows of the line: what a screen or page shows of each entry, computed on demand from the state.

use crate::clock::Change;
use crate::event::{Call, Machine, Payload};
use crate::state::{Kept, State, span_words};
use crate::step::Purpose;

/// A row.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Entry number.
    pub seq: u64,
    /// Entry id.
    pub id: String,
    /// Its place on the line, ms.
    pub at_ms: i64,
    /// The time of day it is told at, ms.
    pub told_ms: i64,
    /// Offset of local time from UTC, minutes.
    pub offset_min: i32,
    /// `left` (from control), `right`, `across` (a stop).
    pub side: &'static str,
    /// Kind as stored.
    pub kind: String,
    /// Who, or to whom.
    pub who: String,
    /// The words as they stand.
    pub text: String,
    /// The words before a correction.
    pub was: Option<String>,
    /// Marks.
    pub marks: Vec<&'static str>,
    /// Second line.
    pub detail: String,
    /// Entry number of the order it answers.
    pub of: Option<u64>,
    /// `none`, `open`, `wrong` or `closed`.
    pub loop_state: &'static str,
    /// Motion that begins here.
    pub motion: Option<crate::Motion>,
    /// Flags in words.
    pub flags: Vec<String>,
}

/// “13:25:41” of a time.
pub fn clock(ms: i64, offset_min: i32) -> String {
    let s = ms.div_euclid(1000) + i64::from(offset_min) * 60;
    let d = s.rem_euclid(86_400);
    format!("{:02}:{:02}:{:02}", d / 3600, d / 60 % 60, d % 60)
}

/// What an entry says, in words: who and what.
pub fn said(state: &State, payload: &Payload) -> (String, String) {
    let short = |r: &str| state.guidelines.short(&state.role_name(r)).to_string();
    let none = String::new();
    match payload {
        Payload::Order(c) => (to_words(state, c), c.text.clone()),
        Payload::Readback(c)
        | Payload::Answer(c)
        | Payload::Report(c)
        | Payload::Note(c)
        | Payload::Signal(c) => (short(&c.from), c.text.clone()),
        Payload::SessionBegan(b) => (none, began(b)),
        Payload::Salvaged(s) => (none, salvaged(s)),
        Payload::Slept(s) => (none, format!("the machine slept for {}", span_words(s.ms))),
        Payload::Open(o) => (none, opened(o)),
        Payload::Close(_) => (none, "operation closed".into()),
        Payload::CheckIn(p) => (
            p.person.clone(),
            match (&p.agency, p.qualifications.is_empty()) {
                (Some(a), true) => format!("checked in, {a}"),
                (Some(a), false) => format!("checked in, {a}; {}", p.qualifications.join(", ")),
                (None, true) => "checked in".into(),
                (None, false) => format!("checked in; {}", p.qualifications.join(", ")),
            },
        ),
        Payload::CheckOut(p) => (p.person.clone(), "checked out".into()),
        Payload::Assign(a) => (a.person.clone(), format!("is {}", a.role)),
        Payload::Relieve(a) => (a.person.clone(), format!("no longer {}", a.role)),
        Payload::Zone(z) => {
            let mut words = z.zone.words().to_string();
            if z.tied_in == Some(true) {
                words.push_str(", tied in");
            }
            if let Some(p) = &z.partner {
                words.push_str(&format!(", partner check by {p}"));
            }
            (z.person.clone(), words)
        }
        p @ (Payload::RigSet(_) | Payload::Use(_) | Payload::RigChecked(_) | Payload::Signed(_)) => {
            said_of_rig(p)
        }
        Payload::Accepted(a) => accepted(state, a),
        Payload::Corrected(c) => (none, correction_words(c)),
        Payload::Par(p) => (none, counted(p)),
        Payload::Patient(p) => (
            "patient".into(),
            [Some(p.mark.replace('_', " ")), p.text.clone(), p.vitals.clone()]
                .into_iter()
                .flatten()
                .collect::<Vec<_>>()
                .join("; "),
        ),
        Payload::Benchmark(b) => {
            (none, b.text.as_ref().map_or_else(|| b.name.clone(), |t| format!("{}: {t}", b.name)))
        }
        Payload::Hazard(h) => (
            "hazard".into(),
            h.control.as_ref().map_or_else(|| h.text.clone(), |c| format!("{}: {c}", h.text)),
        ),
        Payload::Exercise(e) => {
            ("exercise, exercise".into(), format!("{} (in words only: {})", e.text, e.lose))
        }
        Payload::Erased(e) => (e.person.clone(), erases(state, e)),
        p @ (Payload::Finding(_)
        | Payload::Agreed(_)
        | Payload::SetAside(_)
        | Payload::Quarantined(_)
        | Payload::ReturnedToService(_)
        | Payload::Sealed(_)
        | Payload::Lesson(_)) => crate::review::said(p),
    }
}

/// “the program was started again on another machine (Ledgebook 0.1.0)”.
pub fn began(b: &crate::event::Began) -> String {
    let how = match b.machine {
        Some(Machine::SameRun) => "",
        Some(Machine::Restarted) => " after the machine was restarted",
        Some(Machine::Another) => " on another machine",
        None => "; whether on the same machine is not known",
    };
    let left = b
        .left_by
        .as_ref()
        .map_or_else(String::new, |by| format!("; the one before ended without closing the file ({by})"));
    format!("the program was started again{how} (Ledgebook {}){left}", b.program)
}

/// “salvaged from “a.ledge”: 40 entries came over; entries 13 to 14 are missing”.
pub fn salvaged(s: &crate::event::Salvaged) -> String {
    let missing: Vec<String> = s
        .gaps
        .iter()
        .map(|gap| match gap.after {
            after if after + 2 == gap.before => format!("entry {} is missing", after + 1),
            after => format!("entries {} to {} are missing", after + 1, gap.before.saturating_sub(1)),
        })
        .collect();
    let missing = match (missing.is_empty(), s.at_least.filter(|n| *n > s.entries)) {
        (false, _) => missing.join("; "),
        (true, Some(n)) => format!("there were {n} at least"),
        (true, None) => "no gap between them; what came after is not known".into(),
    };
    format!("salvaged from “{}” ({}): {} entries came over; {missing}", s.from, s.why, s.entries)
}

fn erases(state: &State, e: &crate::step::Erase) -> String {
    let of = state.seq_of(&e.of).map_or_else(|| e.of.clone(), |seq| seq.to_string());
    format!("erased the words of entry {of}: {}", e.reason)
}

/// What stands in place of words that were erased: that they were, by whom and why.
pub fn erased_words(state: &State, kept: &Kept) -> String {
    let by = kept.erased_by.and_then(|seq| Some((seq, state.payload(seq)?)));
    match by {
        Some((seq, Payload::Erased(e))) => {
            format!("erased by law, by {}: {} (entry {seq})", e.person, e.reason)
        }
        _ => "erased by law; no entry says by whom".into(),
    }
}

/// What stands in place of an entry that this program cannot read: what it is, and what it says as it stands.
pub fn unread_words(kept: &Kept) -> String {
    let says = kept.unread.as_deref().unwrap_or_default();
    format!("{}: written by another version of the program: {says}", kept.kind.replace('_', " "))
}

fn opened(o: &crate::step::Open) -> String {
    let kind = if o.purpose == Purpose::Drill { "drill" } else { "rescue" };
    let height = o.edge_height.map_or_else(String::new, |h| format!("; edge {} m", h.to_metres()));
    let place = if o.place.is_empty() { String::new() } else { format!(", {}", o.place) };
    format!("opened, {kind}: {}{place}{height}", o.name)
}

fn said_of_rig(payload: &Payload) -> (String, String) {
    match payload {
        Payload::RigSet(r) => (
            format!("rig {}", r.name),
            format!("{}, load {} kg; in use from here", r.rig.title, r.rig.load.mass.to_kilograms()),
        ),
        Payload::Use(u) => (
            format!("rig {}", u.rig),
            u.state.as_ref().map_or_else(|| "in use".into(), |s| format!("in use, state {s}")),
        ),
        Payload::RigChecked(c) => (format!("check of {}", c.rig), check_words(&c.report)),
        Payload::Signed(s) => (
            s.person.clone(),
            match s.check_seq {
                Some(n) => format!("signed check {n} as {}", s.role),
                None => format!("signed as {}; nothing had been checked", s.role),
            },
        ),
        other => (String::new(), other.kind().replace('_', " ")),
    }
}

/// What an acceptance names, as its check names it, and the roles its person held then.
pub fn accepted_as(state: &State, a: &crate::event::Accepted) -> (String, Vec<String>) {
    let Some(rig) = state.rigs.get(&a.rig) else { return (a.check.replace('_', " "), vec![]) };
    // As it stands after corrections: the roles are those of the person it names now.
    let taken = rig
        .accepted
        .iter()
        .find(|t| t.person == a.person && t.finding == a.check && t.check_seq == a.check_seq);
    (rig.label(&a.check, a.check_seq), taken.map(|t| t.roles.clone()).unwrap_or_default())
}

fn accepted(state: &State, a: &crate::event::Accepted) -> (String, String) {
    let (label, roles) = accepted_as(state, a);
    let role = if roles.is_empty() { String::new() } else { format!(" as {}", roles.join(", ")) };
    (a.person.clone(), format!("accepted {label}{role}: {}", a.reason))
}

fn counted(p: &crate::step::Par) -> String {
    let of = p.of.map(|of| format!(" of {of}")).unwrap_or_default();
    format!("PAR {}{of}{}", p.count, missing(&p.missing))
}

fn missing(list: &[String]) -> String {
    if list.is_empty() { String::new() } else { format!(", missing {}", list.join(", ")) }
}

fn correction_words(c: &crate::event::Corrected) -> String {
    let fields: Vec<String> = c
        .fields
        .iter()
        .map(|(k, v)| {
            let v = v.as_str().map_or_else(|| v.to_string(), str::to_string);
            if k == "text" { format!("“{v}”") } else { format!("{} “{v}”", k.replace('_', " ")) }
        })
        .collect();
    format!("corrects {}: {}", c.of_seq, fields.join(", "))
}

/// A check in a few words, worst first.
pub fn check_words(report: &rig::findings::CheckReport) -> String {
    use rig::findings::Verdict;
    let m = &report.main;
    let count = |v: Verdict| {
        m.parts.iter().filter(|p| p.verdict == v).count() + m.checks.iter().filter(|p| p.verdict == v).count()
    };
    let critical = match m.critical_parts.len() {
        0 if m.unknown_parts.is_empty() => "no single critical part".to_string(),
        0 => format!("critical parts: {} not checked", m.unknown_parts.len()),
        n => {
            let names: Vec<String> = m.critical_parts.iter().map(|id| report.label(id)).collect();
            format!("{n} critical: {}", names.join(", "))
        }
    };
    format!(
        "{critical}; {} fall short, {} not checked, {} hold",
        count(Verdict::FallsShort),
        count(Verdict::NotChecked),
        count(Verdict::Holds)
    )
}

fn to_words(state: &State, c: &Call) -> String {
    let to: Vec<String> =
        c.to.iter().map(|t| state.guidelines.short(&state.role_name(t)).to_string()).collect();
    let by_control = state.speaks_for(&c.from, "control");
    if by_control {
        to.join(", ")
    } else {
        format!("{} to {}", state.guidelines.short(&state.role_name(&c.from)), to.join(", "))
    }
}

/// On which side of the line an entry hangs: what control says left, what it is told right, a stop across.
pub fn side(state: &State, k: &Kept, stop: bool) -> &'static str {
    let call = k.now.as_deref().and_then(Payload::call);
    let by_control = || call.is_some_and(|c| state.speaks_for(&c.from, "control"));
    match (k.now.as_deref(), stop) {
        (_, true) => "across",
        (Some(Payload::Order(_) | Payload::Report(_) | Payload::Note(_) | Payload::Signal(_)), _)
            if by_control() =>
        {
            "left"
        }
        _ => "right",
    }
}

/// The row of an entry.
pub fn row(state: &State, seq: u64) -> Option<Row> {
    let k = state.at(seq)?;
    let span = state.span_of(seq).filter(|_| k.kind != "open");
    let stop = state.stop_of(seq).is_some();
    let (who, text) = match k.now.as_deref() {
        Some(p) => said(state, p),
        None if k.erased => (String::new(), erased_words(state, k)),
        None => (String::new(), unread_words(k)),
    };
    let call = k.now.as_deref().and_then(Payload::call);
    let side = side(state, k, stop);
    let of = call.and_then(|c| c.of.as_ref()).and_then(|id| state.seq_of(id));
    let (loop_state, wrong) = loop_of(state, seq, of);
    let was = (!k.corrected_by.is_empty())
        .then(|| k.first.as_deref().map(|p| said(state, p).1))
        .flatten()
        .filter(|w| *w != text);
    let (marks, mut detail) = marks_of(k, wrong, loop_state);
    for note in state.clock_notes_of(seq).filter(|n| matches!(n.change, Change::Offset(..))) {
        let apart = if detail.is_empty() { "" } else { "; " };
        detail = format!("{detail}{apart}{}", note.words());
    }
    let phase = state.phase_words(seq);
    if !phase.is_empty() {
        let apart = if detail.is_empty() { "" } else { "; " };
        detail = format!("{detail}{apart}{phase}");
    }
    Some(Row {
        seq,
        id: k.id.to_string(),
        at_ms: k.happened_ms,
        told_ms: k.told_ms,
        offset_min: k.offset_min,
        side,
        kind: k.kind.to_string(),
        who,
        text,
        was,
        marks,
        detail,
        of,
        loop_state,
        motion: span.map(|s| s.motion),
        flags: state.flags_of(seq).map(|f| f.words.clone()).collect(),
    })
}

fn loop_of(state: &State, seq: u64, of: Option<u64>) -> (&'static str, bool) {
    let wrong = of
        .and_then(|of| state.loop_of(of))
        .is_some_and(|l| l.waits.iter().any(|w| w.wrong.iter().any(|x| x.0 == seq)));
    match state.loop_of(seq) {
        None => ("none", wrong),
        Some(l) if l.waits.is_empty() => ("none", wrong),
        Some(l) if l.waits.iter().any(|w| w.waits() && !w.wrong.is_empty()) => ("wrong", wrong),
        Some(l) if l.open() => ("open", wrong),
        Some(_) => ("closed", wrong),
    }
}

fn marks_of(k: &Kept, wrong: bool, loop_state: &str) -> (Vec<&'static str>, String) {
    let (mut marks, mut detail) = (vec![], String::new());
    let late = k.recorded_ms - k.first_happened_ms;
    if late.abs() >= 1000 {
        marks.push("late");
        detail = format!("late entry, written {}", clock(k.recorded_ms, k.offset_min));
    }
    if wrong {
        marks.push("wrong");
    }
    if k.corrects.is_some() {
        marks.push("correction");
    }
    if let Some(by) = k.corrected_by.last() {
        marks.push("corrected");
        detail = if detail.is_empty() {
            format!("corrected by {by}")
        } else {
            format!("{detail}; corrected by {by}")
        };
    }
    if loop_state == "open" {
        marks.push("silent");
    }
    (marks, detail)
}

/// Where a late entry or a correction went, in words; empty for an entry at its own place.
pub fn went(state: &State, seq: u64) -> String {
    let Some(k) = state.at(seq) else { return String::new() };
    match k.corrects {
        Some(of) => format!("corrects {of}; both stay in the log"),
        None if k.recorded_ms - k.told_ms >= 1000 => format!(
            "hangs at {}, {} back",
            clock(k.told_ms, k.offset_min),
            span_words(k.recorded_ms - k.told_ms)
        ),
        None => String::new(),
    }
}
