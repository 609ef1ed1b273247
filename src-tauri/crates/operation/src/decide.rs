//! A step becomes an event. A well-formed call is never refused; what names something that is not there is.

mod reviewed;

use crate::event::{Accepted, Call, Corrected, Payload, RigChecked, RigSet, Signed, version_of};
use crate::state::{Kept, State};
use crate::step::{Act, Order, Step, StepError, clock_time, signed_duration_ms};
use chrono::{DateTime, Duration, FixedOffset};
use rig::findings::CheckReport;
use rig::model::Rig;

/// An event that is not on the disk yet.
#[derive(Clone, Debug, PartialEq)]
pub struct NewEvent {
    /// Kind.
    pub kind: String,
    /// Version of the payload.
    pub version: u32,
    /// Payload, JSON.
    pub payload: String,
    /// When it happened, RFC 3339; `None`: when it is written.
    pub happened_at: Option<String>,
    /// Who wrote it.
    pub author: Option<String>,
    /// Id of the entry it corrects.
    pub corrects: Option<String>,
}

impl NewEvent {
    /// From a payload.
    ///
    /// # Errors
    /// When the payload cannot be written as JSON.
    pub fn of(payload: &Payload) -> Result<NewEvent, StepError> {
        let text = payload.write().map_err(|e| {
            StepError::new(
                format!("the entry cannot be written: {e}"),
                payload.kind(),
                "report this as a fault of the program",
            )
        })?;
        Ok(NewEvent {
            kind: payload.kind().into(),
            version: version_of(payload.kind()),
            payload: text,
            happened_at: None,
            author: None,
            corrects: None,
        })
    }
}

/// What the caller has computed for steps that need an engine.
#[derive(Clone, Debug, PartialEq)]
pub enum Computed {
    /// Nothing.
    None,
    /// The rig of a `rig` step.
    Rig(Box<Rig>),
    /// The findings of a `check` step.
    Check(Box<CheckReport>),
    /// The copy that a `seal` step asked for: its name, how many entries are in it, its head in hex.
    Sealed(String, u64, String),
}

/// Turns a step into an event.
///
/// `now` is when it is written. `computed` carries the rig or the findings where the step needs them.
///
/// # Errors
/// What names an entry, label or rig that is not there; a correction that makes no sense; a second `open`.
pub fn decide(
    state: &State,
    step: &Step,
    now: DateTime<FixedOffset>,
    computed: Computed,
) -> Result<NewEvent, StepError> {
    let place = step.act.word();
    let payload = payload_of(state, step, now, computed, place)?;
    let mut event = NewEvent::of(&payload)?;
    if let Payload::Corrected(c) = &payload {
        event.corrects = Some(c.of.clone());
    }
    event.author = state.holder("scribe").first().cloned();
    event.happened_at = match &step.happened {
        None => None,
        Some(text) => Some(
            happened(state, text, now)
                .ok_or_else(|| {
                    StepError::new(
                        format!("“happened”: “{text}” is not a time"),
                        place,
                        "write PT12M3S, 14:02 or 2026-05-14T14:02:00+02:00",
                    )
                })?
                .to_rfc3339_opts(chrono::SecondsFormat::Millis, false),
        ),
    };
    Ok(event)
}

fn payload_of(
    state: &State,
    step: &Step,
    now: DateTime<FixedOffset>,
    computed: Computed,
    place: &str,
) -> Result<Payload, StepError> {
    Ok(match step.act.clone() {
        Act::Close(a) => Payload::Close(a),
        Act::CheckIn(a) => Payload::CheckIn(a),
        Act::CheckOut(a) => Payload::CheckOut(a),
        Act::Assign(a) => Payload::Assign(a),
        Act::Relieve(a) => Payload::Relieve(a),
        Act::Zone(a) => Payload::Zone(a),
        act @ (Act::Open(_) | Act::Rig(_) | Act::Use(_) | Act::Check(_) | Act::Sign(_) | Act::Accept(_)) => {
            rig_payload(state, act, computed, place)?
        }
        Act::Order(a) => Payload::Order(order(state, a, step.by.clone())),
        Act::Readback(a) => Payload::Readback(reply(state, a, step.by.clone(), place)?),
        Act::Answer(a) => Payload::Answer(reply(state, a, step.by.clone(), place)?),
        Act::Report(a) => Payload::Report(spoken(state, a.into(), step.by.clone())),
        Act::Note(a) => Payload::Note(spoken(state, a.into(), step.by.clone())),
        Act::Signal(a) => {
            let text = a.text.unwrap_or_else(|| {
                let n = a.count.unwrap_or(0);
                let blasts = if n == 1 { "1 blast".to_string() } else { format!("{n} blasts") };
                match state.guidelines.whistle.get(&n.to_string()) {
                    Some(meaning) => format!("{blasts}: {meaning}"),
                    None => format!("{blasts}, no meaning in the guidelines"),
                }
            });
            Payload::Signal(spoken(
                state,
                Call { from: a.from, text, count: a.count, ..Call::default() },
                step.by.clone(),
            ))
        }
        Act::Correct(a) => corrected(state, &a.of, a.fields, place)?,
        Act::Par(a) => Payload::Par(a),
        Act::Patient(a) => Payload::Patient(a),
        Act::Benchmark(a) => Payload::Benchmark(a),
        Act::Hazard(a) => Payload::Hazard(a),
        Act::Exercise(a) => Payload::Exercise(a),
        Act::Erase(mut a) => {
            let (seq, id) = state.resolve(&a.of).ok_or_else(|| no_entry(&a.of, place))?;
            may_be_erased(state, seq, place)?;
            a.of = id;
            Payload::Erased(a)
        }
        act @ (Act::Finding(_)
        | Act::Agree(_)
        | Act::SetAside(_)
        | Act::Quarantine(_)
        | Act::ReturnToService(_)
        | Act::Lesson(_)) => reviewed::payload(state, act, now, place)?,
        Act::Seal(a) => reviewed::sealed(a, computed, place)?,
    })
}

fn opened(state: &State, mut a: crate::step::Open, place: &str) -> Result<Payload, StepError> {
    if state.is_open() {
        return Err(StepError::new(
            "the operation is open already",
            place,
            "make a file of its own for another operation",
        ));
    }
    // The guidelines enter whole, so that an old record means what it meant.
    let own = a.guidelines.get_or_insert_with(|| Box::new(state.guidelines.clone()));
    if let Some(fault) = own.fault() {
        return Err(StepError::new(fault.what, format!("{place}, guidelines {}", fault.place), fault.remedy));
    }
    Ok(Payload::Open(a))
}

/// The steps that open the operation or speak of a rig.
fn rig_payload(state: &State, act: Act, computed: Computed, place: &str) -> Result<Payload, StepError> {
    let in_use = |what: &str| {
        let remedy = "make one first with “rig”";
        state
            .rig_in_use
            .clone()
            .ok_or_else(|| StepError::new(format!("there is no rig to {what}"), place, remedy))
    };
    let named = |rig: Option<String>, what: &str| match rig {
        Some(name) if state.rigs.contains_key(&name) => Ok(name),
        Some(name) => Err(no_rig(state, &name, place)),
        None => in_use(what),
    };
    let last_check = |rig: &str| state.rigs.get(rig).and_then(|r| r.checks.last()).map(|c| c.seq);
    let fault = |what: &str| StepError::new(what, place, "report this as a fault of the program");
    Ok(match act {
        Act::Open(a) => opened(state, a, place)?,
        Act::Rig(a) => match computed {
            Computed::Rig(rig) => {
                Payload::RigSet(RigSet { name: a.name.unwrap_or_else(|| rig.name.clone()), rig })
            }
            _ => return Err(fault("the rig was not made")),
        },
        Act::Use(a) => {
            let Some(rig) = state.rigs.get(&a.rig) else { return Err(no_rig(state, &a.rig, place)) };
            if let Some(s) = &a.state
                && !rig.rig.states.iter().any(|x| x.id == *s)
            {
                let known: Vec<&str> = rig.rig.states.iter().map(|x| x.id.as_str()).collect();
                return Err(StepError::new(
                    format!("the rig “{}” has no state “{s}”", a.rig),
                    place,
                    format!("use one of: {}", known.join(", ")),
                ));
            }
            Payload::Use(a)
        }
        Act::Check(a) => {
            let name = named(a.rig, "check")?;
            let Some(rig) = state.rigs.get(&name) else { return Err(no_rig(state, &name, place)) };
            let Computed::Check(report) = computed else { return Err(fault("the rig was not checked")) };
            let roles = rig.rig.hands.iter().map(|h| &h.role);
            let bound = roles.flat_map(|r| state.holder(r).into_iter().map(|p| (r.clone(), p))).collect();
            Payload::RigChecked(RigChecked { rig_seq: rig.seq, rig: name, bound, report })
        }
        Act::Sign(a) => {
            let rig = named(a.rig, "sign")?;
            Payload::Signed(Signed { check_seq: last_check(&rig), role: a.role, person: a.person, rig })
        }
        Act::Accept(a) => {
            let rig = named(a.rig, "accept a check of")?;
            Payload::Accepted(Accepted {
                check: a.check,
                person: a.person,
                reason: a.reason,
                check_seq: last_check(&rig),
                rig,
            })
        }
        other => return Err(fault(&format!("“{}” does not speak of a rig", other.word()))),
    })
}

fn order(state: &State, a: Order, by: Option<String>) -> Call {
    let to_roles = state.roles_meant(&a.to, &a.from);
    Call {
        from_people: state.holder(&a.from),
        from: a.from,
        to: a.to,
        to_roles,
        text: a.text,
        cause: a.cause,
        by,
        ..Call::default()
    }
}

fn reply(state: &State, a: crate::step::Reply, by: Option<String>, place: &str) -> Result<Call, StepError> {
    let (_, id) = state.resolve(&a.of).ok_or_else(|| no_entry(&a.of, place))?;
    Ok(Call {
        from_people: state.holder(&a.from),
        from: a.from,
        text: a.text,
        of: Some(id),
        by,
        ..Call::default()
    })
}

fn spoken(state: &State, call: Call, by: Option<String>) -> Call {
    Call { from_people: state.holder(&call.from), by, ..call }
}

/// What was said can be erased, and what names a person; never what the record stands on: when it was opened and closed,
/// where a session began, what rig the checks speak of, and what was erased or salvaged before.
fn may_be_erased(state: &State, seq: u64, place: &str) -> Result<(), StepError> {
    let Some(kept) = state.at(seq) else { return Ok(()) };
    if kept.erased {
        return Err(StepError::new(
            format!("the words of entry {seq} are erased already"),
            place,
            "name another entry",
        ));
    }
    let stands =
        ["open", "close", "session_began", "slept", "salvaged", "erased", "rig_set", "use", "sealed"];
    if stands.contains(&&*kept.kind) {
        return Err(StepError::new(
            format!(
                "entry {seq} ({}) is what the record stands on and cannot be erased",
                kept.kind.replace('_', " ")
            ),
            place,
            "erase the entries that name the person; a correction can put another name in its place",
        ));
    }
    Ok(())
}

/// What a check or a signature rests on is entered anew, never corrected: a corrected rig would keep the verdicts of another.
fn may_be_corrected(
    old: &Payload,
    fields: &serde_json::Map<String, serde_json::Value>,
    seq: u64,
    place: &str,
) -> Result<(), StepError> {
    let remedy = match old {
        Payload::RigSet(_) | Payload::Use(_) => "enter the rig again, then check and sign it",
        Payload::RigChecked(_) => "check the rig again",
        Payload::Corrected(_)
        | Payload::SessionBegan(_)
        | Payload::Slept(_)
        | Payload::Salvaged(_)
        | Payload::Sealed(_)
        | Payload::Erased(_) => "correct the entry that it speaks of",
        Payload::Agreed(_) | Payload::SetAside(_) => "agree, or set it aside, again",
        _ => {
            // These are worked out when an entry is written; a scribe never says them.
            let derived = ["guidelines", "rig", "check_seq", "to_roles", "from_people"];
            return match fields.keys().find(|k| derived.contains(&k.as_str())) {
                None => Ok(()),
                Some(k) => Err(StepError::new(
                    format!("“{k}” of entry {seq} is not corrected"),
                    place,
                    "sign, accept or enter it again",
                )),
            };
        }
    };
    let what = format!("entry {seq} is a {}, which is not corrected itself", old.kind().replace('_', " "));
    Err(StepError::new(what, place, remedy))
}

fn corrected(
    state: &State,
    of: &str,
    mut fields: serde_json::Map<String, serde_json::Value>,
    place: &str,
) -> Result<Payload, StepError> {
    let (mut seq, mut id) = state.resolve(of).ok_or_else(|| no_entry(of, place))?;
    // A correction of a correction corrects the entry that both speak of.
    if let Some(root) = state.at(seq).and_then(|k| k.corrects).and_then(|root| state.at(root)) {
        (seq, id) = (root.seq, root.id.to_string());
    }
    let Some(old) = state.payload(seq) else {
        return Err(StepError::new(
            format!("entry {seq} was erased"),
            place,
            "it can no longer be corrected; write a note",
        ));
    };
    may_be_corrected(old, &fields, seq, place)?;
    if let Some(serde_json::Value::String(text)) = fields.get("of")
        && old.call().is_some()
    {
        let (_, target) = state.resolve(text).ok_or_else(|| no_entry(text, place))?;
        fields.insert("of".into(), serde_json::Value::String(target));
    }
    // `happened` moves the entry on the line; every other field belongs to the payload.
    let moved = fields.remove("happened");
    let mut inner = fields.clone();
    if let Some(value) = moved {
        let text = value.as_str().unwrap_or_default();
        let base = state.at(seq).map(Kept::recorded).unwrap_or_default();
        let at = happened(state, text, base).ok_or_else(|| {
            StepError::new(
                format!("“happened”: “{text}” is not a time"),
                place,
                "write PT12M3S, 14:02 or 2026-05-14T14:02:00+02:00",
            )
        })?;
        fields.insert("happened".into(), at.to_rfc3339_opts(chrono::SecondsFormat::Millis, false).into());
    }
    inner.remove("happened");
    if old.with(&inner).is_none() {
        let names: Vec<&str> = inner.keys().map(String::as_str).collect();
        return Err(StepError::new(
            format!("a {} has no such fields: {}", old.kind().replace('_', " "), names.join(", ")),
            place,
            "name fields of that entry, as `ledgebook schema event` lists them",
        ));
    }
    Ok(Payload::Corrected(Corrected { of: id, of_seq: seq, fields }))
}

/// When something happened, from what was written: a duration from the start, a whole time, or a clock time of that day
/// (the day before, when that would lie more than an hour ahead).
fn happened(state: &State, text: &str, now: DateTime<FixedOffset>) -> Option<DateTime<FixedOffset>> {
    if let Ok(t) = DateTime::parse_from_rfc3339(text) {
        return Some(t);
    }
    if let Some(ms) = signed_duration_ms(text) {
        // What the clock was set by since then is not part of the time that passed.
        let ms = ms.saturating_sub(state.clock_set_since_opening());
        let length = Duration::try_milliseconds(ms)?;
        return state.opened_at().and_then(|start| start.checked_add_signed(length));
    }
    let seconds = clock_time(text)?;
    let midnight = now.date_naive().and_hms_opt(0, 0, 0)?.and_local_timezone(*now.offset()).single()?;
    let at = midnight + Duration::seconds(seconds);
    Some(if at > now + Duration::hours(1) { at - Duration::days(1) } else { at })
}

fn no_entry(of: &str, place: &str) -> StepError {
    StepError::new(
        format!("“of”: there is no entry “{of}”"),
        place,
        "name the label, the entry number or the id of an entry above",
    )
}

fn no_rig(state: &State, name: &str, place: &str) -> StepError {
    let known: Vec<&str> = state.rigs.keys().map(String::as_str).collect();
    let remedy = if known.is_empty() {
        "make one first with “rig”".to_string()
    } else {
        format!("use one of: {}", known.join(", "))
    };
    StepError::new(format!("there is no rig “{name}”"), place, remedy)
}
