//! What stood at a time, for other programs: `ledgebook state`.

use crate::wire::{FlagView, Trouble};
use journal::{Journal, Stored};
use operation::flags::flags;
use operation::step::ZoneName;
use operation::{Entry, State};
use rig::guidelines::Guidelines;
use serde::Serialize;
use std::collections::BTreeMap;
use std::path::Path;

/// What stood at a time.
#[derive(Clone, Debug, Serialize)]
pub struct StateAt {
    /// What the load was doing.
    pub motion: String,
    /// For how long, seconds.
    pub since_s: f64,
    /// The program was started again since then: the length of time rests on the time of day.
    pub since_across_restart: bool,
    /// What was done inside the motion: a knot pass, a reset, a change-over.
    pub phase: Option<PhaseAt>,
    /// Metres out below the edge as they were called last.
    pub metres_out: Option<MetresAt>,
    /// How much of each loaded rope was left, at the last call of metres in this run.
    pub rope_left: Vec<RopeLeftAt>,
    /// Orders not read back.
    pub unanswered: Vec<Unanswered>,
    /// People on rope.
    pub on_rope: Vec<String>,
    /// People by zone.
    pub zones: BTreeMap<&'static str, Vec<String>>,
    /// People by role.
    pub roles: BTreeMap<String, Vec<String>>,
    /// The last roll call, radio check or question whether all are ready.
    pub roll_call: Option<RollCallAt>,
    /// The patient's marks with vital signs, oldest first.
    pub patient: Vec<MarkAt>,
    /// What departed from normal.
    pub flags: Vec<FlagView>,
    /// What became of the clocks, in words: set, local time moved, program started again, machine slept.
    pub clock: Vec<String>,
}

/// A phase inside the motion.
#[derive(Clone, Debug, Serialize)]
pub struct PhaseAt {
    /// `knot_pass`, `reset` or `change_over`.
    pub id: &'static str,
    /// In words ("change-over to raise").
    pub words: String,
    /// Entry number of control's order.
    pub order: u64,
    /// For how long, seconds.
    pub since_s: f64,
    /// The program was started again since then.
    pub since_across_restart: bool,
}

/// A call of metres out.
#[derive(Clone, Debug, Serialize)]
pub struct MetresAt {
    /// Metres out below the edge.
    pub metres: f64,
    /// Entry number.
    pub entry: u64,
    /// How long ago, seconds.
    pub ago_s: f64,
}

/// What was left of a rope.
#[derive(Clone, Debug, Serialize)]
pub struct RopeLeftAt {
    /// Its id in the rig.
    pub rope: String,
    /// Its name.
    pub label: String,
    /// Metres left behind what it runs through; `None`: not known.
    pub left_m: Option<f64>,
    /// Less than the guidelines ask to spare.
    pub near: bool,
    /// In words ("12.4 m left", "rope length not known").
    pub words: String,
    /// The entry it rests on: a call of metres, the rig, its state.
    pub entry: u64,
}

/// A roll call: who answered, who did not, how long ago.
#[derive(Clone, Debug, Serialize)]
pub struct RollCallAt {
    /// Entry number.
    pub order: u64,
    /// Its words.
    pub text: String,
    /// How long ago, seconds.
    pub ago_s: f64,
    /// Roles that answered.
    pub answered: Vec<String>,
    /// Roles that did not.
    pub silent: Vec<String>,
}

/// A mark in the patient's course.
#[derive(Clone, Debug, Serialize)]
pub struct MarkAt {
    /// Entry number.
    pub entry: u64,
    /// In words, vital signs with it.
    pub words: String,
    /// How long ago, seconds.
    pub ago_s: f64,
}

/// An order not read back.
#[derive(Clone, Debug, Serialize)]
pub struct Unanswered {
    /// Entry number of the order.
    pub order: u64,
    /// Its words.
    pub text: String,
    /// Roles it waits for.
    pub waiting_for: Vec<String>,
    /// For how long, seconds.
    pub since_s: f64,
    /// The program was started again since then.
    pub since_across_restart: bool,
}

/// The state of a file as of a time.
///
/// # Errors
/// When the file cannot be read, its chain is altered, or the time cannot be read.
pub fn of_file(file: &Path, at: Option<&str>) -> Result<StateAt, Trouble> {
    let rows = Journal::open_read_only(file)?.stored()?;
    if let Err(misfit) = journal::verify(&rows) {
        return Err(
            journal::JournalError::Altered { file: file.into(), seq: misfit.seq, why: misfit.why }.into()
        );
    }
    state_at(rows, at)
}

/// The state as of a time by the clock as it ran at the opening (RFC 3339, `HH:MM[:SS]` of the operation's day, or a duration from its start); without one, as of
/// the last entry. What had happened by then counts, whenever it was written.
///
/// # Errors
/// A time that cannot be read.
pub fn state_at(rows: Vec<Stored>, at: Option<&str>) -> Result<StateAt, Trouble> {
    let entries: Vec<Entry> = rows.into_iter().map(|row| row.entry).collect();
    let whole = State::replay(Guidelines::defaults(), &entries);
    let Some(text) = at else { return Ok(view(&whole, whole.last_line_ms())) };
    let at_ms = moment(&whole, &entries, text).ok_or_else(|| {
        let remedy = "write 14:02, PT12M3S from the start, or 2026-05-14T14:02:00+02:00";
        Trouble::new("bad_time", format!("“{text}” is not a time"), "--at", remedy)
    })?;
    // Corrections count as what they correct: an entry is in when it had happened.
    let in_time = |e: &&Entry| {
        whole.at(e.seq).is_none_or(|kept| match kept.corrects {
            Some(of) => whole.at(of).is_none_or(|old| old.happened_ms <= at_ms),
            None => kept.happened_ms <= at_ms,
        })
    };
    let chosen: Vec<Entry> = entries.iter().filter(in_time).cloned().collect();
    Ok(view(&renumbered(chosen), at_ms))
}

/// The state keeps entries by number: the chosen ones are replayed in whole, the others as nothing.
fn renumbered(chosen: Vec<Entry>) -> State {
    let mut all = Vec::new();
    for entry in chosen {
        let due = all.len() as u64 + 1;
        for seq in due..entry.seq {
            all.push(Entry {
                seq,
                id: format!("not yet {seq}"),
                kind: "not_yet".into(),
                happened_at: entry.recorded_at.clone(),
                payload: Some("null".into()),
                corrects: None,
                ..entry.clone()
            });
        }
        all.push(entry);
    }
    State::replay(Guidelines::defaults(), &all)
}

fn moment(state: &State, entries: &[Entry], text: &str) -> Option<i64> {
    use operation::step::{clock_time, duration_ms};
    if let Ok(time) = chrono::DateTime::parse_from_rfc3339(text.trim()) {
        return Some(time.timestamp_millis());
    }
    let opened = state
        .opened_at()
        .or_else(|| entries.first().and_then(|e| operation::event::time_of(&e.recorded_at)))?;
    if let Some(ms) = duration_ms(text) {
        return Some(opened.timestamp_millis() + ms);
    }
    let seconds = clock_time(text)?;
    let midnight = opened.date_naive().and_hms_opt(0, 0, 0)?.and_local_timezone(*opened.offset()).single()?;
    let at = midnight.timestamp_millis() + seconds * 1000;
    // An operation that runs past midnight: a time before its start belongs to the next day.
    Some(if at < opened.timestamp_millis() - 60_000 { at + 86_400_000 } else { at })
}

fn view(state: &State, now_ms: i64) -> StateAt {
    let now = state.facts.closed_ms.map_or(now_ms, |closed| closed.min(now_ms));
    let seconds = |from: i64| (now - from).max(0) as f64 / 1000.0;
    let names = |zone: ZoneName| state.in_zone(zone).iter().map(|p| p.name.clone()).collect::<Vec<_>>();
    let zones = [ZoneName::OnRope, ZoneName::Edge, ZoneName::Drop, ZoneName::Clear];
    let unanswered = state.unanswered().map(|l| Unanswered {
        order: l.seq,
        text: l.text.clone(),
        waiting_for: l.waits.iter().filter(|w| w.waits()).map(|w| w.role.clone()).collect(),
        since_s: seconds(l.at_ms),
        since_across_restart: state.across_restart(l.at_ms, now),
    });
    StateAt {
        motion: state.motion.word().into(),
        since_s: seconds(state.motion_since()),
        since_across_restart: state.across_restart(state.motion_since(), now),
        phase: state.phase().map(|p| PhaseAt {
            id: p.phase.word(),
            words: p.words(),
            order: p.seq,
            since_s: seconds(p.from_ms),
            since_across_restart: state.across_restart(p.from_ms, now),
        }),
        metres_out: state.heights.last().map(|h| MetresAt {
            metres: h.metres,
            entry: h.seq,
            ago_s: seconds(h.at_ms),
        }),
        rope_left: rope_left(state),
        unanswered: unanswered.collect(),
        on_rope: names(ZoneName::OnRope),
        zones: zones.into_iter().map(|zone| (zone.word(), names(zone))).collect(),
        roles: state.roles_held().into_iter().map(|role| (role.clone(), state.holder(&role))).collect(),
        roll_call: state.roll_call().map(|r| RollCallAt {
            order: r.seq,
            text: r.text,
            ago_s: seconds(r.at_ms),
            answered: r.answered.into_iter().map(|(role, _)| role).collect(),
            silent: r.silent,
        }),
        patient: state
            .patient
            .iter()
            .map(|m| MarkAt { entry: m.seq, words: m.words.clone(), ago_s: seconds(m.at_ms) })
            .collect(),
        flags: flags(state, now)
            .iter()
            .map(|f| FlagView { id: f.id.into(), entries: f.entries.clone(), words: f.words.clone() })
            .collect(),
        clock: state.clock_notes.iter().filter(|n| n.at_ms <= now_ms).map(|n| n.words()).collect(),
    }
}

fn rope_left(state: &State) -> Vec<RopeLeftAt> {
    let ropes = state
        .ropes
        .now()
        .iter()
        .flat_map(|now| now.ropes.iter().map(|rope| (now.seq, rope)))
        .collect::<Vec<_>>();
    ropes
        .into_iter()
        .map(|(entry, rope)| RopeLeftAt {
            rope: rope.rope.to_string(),
            label: rope.label.to_string(),
            left_m: rope.left.ok(),
            near: rope.near,
            words: rope.words(),
            entry,
        })
        .collect()
}
