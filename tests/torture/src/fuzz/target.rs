//! What reads the inputs, and what must hold whatever they are.

use super::Became;
use crate::{entries, flips, place};
use journal::{Durability, Journal, JournalError};
use rig::guidelines::Guidelines;
use service::wire::Trouble;
use service::{Session, read_step, view};
use std::path::Path;

/// A refusal tells what and what to do.
fn refused(trouble: &Trouble) -> Result<Became, String> {
    if trouble.what.trim().is_empty() || trouble.code.is_empty() {
        return Err(format!("refused without words: {trouble:?}"));
    }
    Ok(Became::Refused)
}

fn words(e: impl std::fmt::Display) -> String {
    e.to_string()
}

/// An operation file: looked at in every way there is, then opened to be written. What passes the chain and the
/// pages can be written on.
pub fn file(input: &[u8]) -> Result<Became, String> {
    let folder = place::in_memory()?;
    let file = folder.path().join("a.ledge");
    std::fs::write(&file, input).map_err(words)?;
    let looked = look(&file);
    match Journal::open(&file, "a trial") {
        Ok(mut journal) => {
            looked.map_err(|e| format!("opened to be written, and not to be read: {e}"))?;
            let n = journal.last_seq() + 1;
            let appended =
                journal.append(entries::STATION, &entries::event(n), &entries::stamp(77, 7_700_000 + n));
            appended.map_err(|e| format!("taken, and does not go on: {e}"))?;
            journal.verify().map_err(|e| format!("taken, written on, and then: {e}"))?;
            journal.close().map_err(words)?;
            Ok(Became::Taken)
        }
        Err(error) => refused_file(&file, input, error),
    }
}

fn refused_file(file: &Path, input: &[u8], error: JournalError) -> Result<Became, String> {
    let left = std::fs::read(file).map_err(words)?;
    if left != input {
        return Err(format!("refused ({error}), and changed all the same"));
    }
    refused(&Trouble::from(error))
}

/// Everything that reads a file; whether it could be read at all.
fn look(file: &Path) -> Result<(), String> {
    let read = Journal::open_read_only(file).and_then(|journal| journal.stored()).map(|_| ());
    for kind in [service::export::Kind::Csv, service::export::Kind::Jsonl] {
        if let Err(trouble) = service::export::of_file(file, kind) {
            refused(&trouble)?;
        }
    }
    let told = [
        service::log::show(file).map(|_| ()),
        service::state_at::of_file(file, None).map(|_| ()),
        service::witness::verify(file, None).map(|_| ()),
        service::paper::report(file, &service::paper::Asked::default()).map(|_| ()),
        Session::look(file).map(|session| drop(view::view(&session, 1_778_756_400_000))),
    ];
    for trouble in told.into_iter().filter_map(Result::err) {
        refused(&trouble)?;
    }
    read.map_err(words)
}

/// A damaged file, salvaged: what comes over was in the record, word for word, and the new file is whole.
pub fn salvage(input: &[u8]) -> Result<Became, String> {
    let folder = place::in_memory()?;
    let (file, out) = (folder.path().join("a.ledge"), folder.path().join("new.ledge"));
    std::fs::write(&file, input).map_err(words)?;
    let salvaged = service::log::salvage(&file, &out, "a trial", &entries::stamp(88, 8_800_001));
    if std::fs::read(&file).map_err(words)? != input {
        return Err("the damaged file was changed".into());
    }
    let salvaged = match salvaged {
        Ok(salvaged) => salvaged,
        Err(_) if out.exists() => return Err("nothing was salvaged, and a file is left".into()),
        Err(trouble) => return refused(&trouble),
    };
    let original = flips::kept_rows()?;
    let journal = Journal::open(&out, "a trial").map_err(|e| format!("the new file: {e}"))?;
    let rows = journal.stored().map_err(words)?;
    if rows.len() as u64 != salvaged.entries + 1 {
        return Err(format!("{} entries are told, the new file has {}", salvaged.entries, rows.len()));
    }
    for row in &rows[..rows.len() - 1] {
        let was = original.iter().find(|was| was.entry.hash == row.entry.hash);
        if was.is_none_or(|was| was.entry.payload != row.entry.payload) {
            return Err(format!("entry {} of the new file never was in the record", row.entry.seq));
        }
    }
    Ok(Became::Taken)
}

/// A script, played. Refused, it leaves nothing; taken, a record whose chain is whole.
pub fn script(input: &[u8]) -> Result<Became, String> {
    let Ok(text) = std::str::from_utf8(input) else { return Ok(Became::Refused) };
    let folder = place::in_memory()?;
    let out = folder.path().join("out");
    match service::rehearse::rehearse(text, &out) {
        Ok(done) => {
            let journal = Journal::open_read_only(&done.operation).map_err(words)?;
            journal.verify().map_err(|e| format!("taken, and its record: {e}"))?;
            Ok(Became::Taken)
        }
        Err(trouble) => {
            if out.exists() {
                return Err(format!("refused ({trouble}), and something is left"));
            }
            refused(&trouble)
        }
    }
}

/// A rig: read, checked with every loss, a part and a hand of it asked for, written and read again.
pub fn rig(input: &[u8]) -> Result<Became, String> {
    let folder = place::in_memory()?;
    let file = folder.path().join("rig.json");
    std::fs::write(&file, input).map_err(words)?;
    let checked = match service::rigs::check_file(&file, None, None) {
        Ok(checked) => checked,
        Err(trouble) => return refused(&trouble),
    };
    let text = std::str::from_utf8(input).map_err(words)?;
    let rig = rig::read(text).map_err(|e| format!("checked, and not read: {e}"))?;
    // Each loss was judged by the check; how far it drops is asked of the first part and the first hand.
    for id in
        rig.parts.iter().map(|part| &part.id).take(1).chain(rig.hands.iter().map(|hand| &hand.id).take(1))
    {
        if let Err(trouble) = checked.lose(id) {
            refused(&trouble)?;
        }
    }
    let again = rig::read(&rig::write(&rig)).map_err(|e| format!("written, and not read again: {e}"))?;
    if again == rig { Ok(Became::Taken) } else { Err("written and read again, it is another rig".into()) }
}

/// Guidelines, and a rig checked by them.
pub fn guidelines(input: &[u8]) -> Result<Became, String> {
    let folder = place::in_memory()?;
    let (rules, file) = (folder.path().join("guidelines.json"), folder.path().join("rig.json"));
    std::fs::write(&rules, input).map_err(words)?;
    let made =
        service::rigs::made("twin-lower-two-knots", &std::collections::BTreeMap::new()).map_err(words)?;
    std::fs::write(&file, made).map_err(words)?;
    match service::rigs::check_file(&file, None, Some(&rules)) {
        Err(trouble) => refused(&trouble),
        Ok(_) => {
            let text = std::str::from_utf8(input).map_err(words)?;
            let read = Guidelines::read(text).map_err(|e| format!("taken, and not read: {e}"))?;
            // They enter a record whole: what is taken must come back.
            let again = serde_json::to_string(&read).map_err(words)?;
            let again = Guidelines::read(&again).map_err(|e| format!("written, and not read again: {e}"))?;
            if again == read {
                Ok(Became::Taken)
            } else {
                Err("written and read again, they are others".into())
            }
        }
    }
}

/// A mirror beside its record: brought up to it, or refused and left as it was. The record is never touched.
pub fn mirror(input: &[u8]) -> Result<Became, String> {
    let folder = place::in_memory()?;
    let (file, mirror) = (folder.path().join("a.ledge"), folder.path().join("a.jsonl"));
    let record = flips::kept_bytes()?;
    std::fs::write(&file, record).map_err(words)?;
    std::fs::write(&mirror, input).map_err(words)?;
    let caught_up = journal::mirror::catch_up(&file, &mirror);
    if std::fs::read(&file).map_err(words)? != record {
        return Err("the record was changed by its mirror".into());
    }
    match caught_up {
        Err(error) => {
            if std::fs::read(&mirror).map_err(words)? != input {
                return Err(format!("refused ({error}), and written over"));
            }
            refused(&Trouble::from(error))
        }
        Ok(count) => {
            let rows = Journal::open_read_only(&file).and_then(|journal| journal.stored()).map_err(words)?;
            let text = std::fs::read(&mirror).map_err(words)?;
            let lines: Vec<&[u8]> =
                text.split(|byte| *byte == b'\n').filter(|line| !line.is_empty()).collect();
            let read = lines.iter().map(|line| journal::line::read(line)).collect::<Result<Vec<_>, _>>()?;
            if read != rows || count != rows.len() as u64 {
                return Err(format!("brought up to {count}, and it holds {} of {}", read.len(), rows.len()));
            }
            Ok(Became::Taken)
        }
    }
}

/// Steps, one a line as `log append` takes them. Each is recorded or refused; the record stays whole and the
/// window can show it after each.
pub fn steps(input: &[u8]) -> Result<Became, String> {
    let folder = place::in_memory()?;
    let file = folder.path().join("a.ledge");
    let mut session = Session::create(&file, "top", "a trial", Durability::AtClose).map_err(words)?;
    let mut became = Became::Taken;
    for (n, line) in (1u64..).zip(lines(input)) {
        let before = session.head().clone();
        let acted = std::str::from_utf8(&line).map_err(|_| None).and_then(|line| {
            let step = read_step(line, "line").map_err(Some)?;
            session.act(&step, &entries::stamp(1, n)).map_err(Some)
        });
        if let Err(trouble) = acted {
            became = Became::Refused;
            if let Some(trouble) = trouble {
                refused(&trouble)?;
            }
            if *session.head() != before {
                return Err("refused, and recorded all the same".into());
            }
        }
        // The time of the stamps: the 14th of May and on.
        view::view(&session, 1_778_752_800_000 + 1000 * i64::try_from(n).map_err(words)?);
    }
    let seen = shown(&session)?;
    session.close().map_err(words)?;
    let again = Session::open(&file, "a trial").map_err(words)?;
    again.journal().verify().map_err(words)?;
    let shown = shown(&again)?;
    if shown == seen {
        return Ok(became);
    }
    let apart = seen.as_object().into_iter().flatten().find(|(name, value)| shown.get(name) != Some(value));
    Err(format!("opened again, it stands otherwise: {apart:?}"))
}

/// What the window shows, but for what is of this start of the program alone.
fn shown(session: &Session) -> Result<serde_json::Value, String> {
    let mut shown = serde_json::to_value(view::view(session, 1_778_839_200_000)).map_err(words)?;
    if let Some(map) = shown.as_object_mut() {
        map.remove("saved");
    }
    Ok(shown)
}

fn lines(input: &[u8]) -> Vec<Vec<u8>> {
    match serde_json::from_slice::<serde_json::Value>(input) {
        Ok(serde_json::Value::Array(list)) => {
            list.iter().take(200).map(|step| step.to_string().into_bytes()).collect()
        }
        _ => input.split(|byte| *byte == b'\n').take(200).map(<[u8]>::to_vec).collect(),
    }
}
