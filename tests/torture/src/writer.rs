//! The program that is killed: it writes under load and says each acknowledgement aloud the moment it has it.

use crate::chance::Chance;
use crate::entries::{self, STATION};
use journal::{Durability, Journal};
use serde_json::json;
use service::{Session, Step};
use std::io::Write;
use std::path::{Path, PathBuf};

/// Says a line to whoever listens.
fn say(line: &str) -> Result<(), String> {
    let mut out = std::io::stdout();
    writeln!(out, "{line}").and_then(|()| out.flush()).map_err(|e| e.to_string())
}

/// Writes until it is killed. `kind` says what it mostly does:
///
/// - `append`: appends without a pause
/// - `mirror`: the same with a mirror beside it
/// - `serve`: the same through the use cases of the program, steps of every kind
/// - `erase`: every third entry erases one before it
/// - `close`: closes and opens again after one to three entries
/// - `create`: makes a new file again and again
///
/// # Errors
/// When the record refuses anything: nobody else writes, the disk is whole.
pub fn write(kind: &str, folder: &str, seed: &str) -> Result<(), String> {
    let folder = Path::new(folder);
    let life: u64 = seed.parse().map_err(|_| "the seed is a number")?;
    match kind {
        "append" => append(&folder.join("0.ledge"), life, None),
        "mirror" => append(&folder.join("0.ledge"), life, Some(&mirror_of(folder))),
        "serve" => serve(&folder.join("0.ledge"), life),
        "erase" => erase(&folder.join("0.ledge"), life),
        "close" => close(&folder.join("0.ledge"), life),
        "create" => create(folder, life),
        _ => Err(format!("no writer {kind:?}")),
    }
}

fn begin(file: &Path) -> Result<Journal, String> {
    say("opening")?;
    let journal = if file.exists() {
        Journal::open(file, "a writer")
    } else {
        Journal::create(file, "a writer", Durability::EachEntry)
    };
    let journal = journal.map_err(|e| format!("the writer cannot begin: {e}"))?;
    say("made 0")?;
    Ok(journal)
}

fn put(journal: &mut Journal, life: u64, file: u64) -> Result<(u64, String), String> {
    let n = journal.last_seq() + 1;
    // Lives must not hand out an id twice.
    let (event, stamp) = (entries::event(n), entries::stamp(life, life * 100_000 + n));
    let (ack, _) = journal.append(STATION, &event, &stamp).map_err(|e| format!("an append failed: {e}"))?;
    say(&format!("ack {file} {} {}", ack.seq, ack.hash))?;
    Ok((ack.seq, ack.id))
}

fn append(file: &Path, life: u64, mirror: Option<&Path>) -> Result<(), String> {
    let mut journal = begin(file)?;
    if let Some(mirror) = mirror {
        journal.mirror_to(mirror).map_err(|e| format!("no mirror: {e}"))?;
    }
    loop {
        put(&mut journal, life, 0)?;
    }
}

fn erase(file: &Path, life: u64) -> Result<(), String> {
    let mut journal = begin(file)?;
    let mut kept = Vec::new();
    loop {
        kept.push(put(&mut journal, life, 0)?);
        kept.push(put(&mut journal, life, 0)?);
        let (seq, id) = kept.swap_remove(kept.len() / 2);
        let n = journal.last_seq() + 1;
        let (event, stamp) = (entries::erasure(&id, seq), entries::stamp(life, life * 100_000 + n));
        say(&format!("erasing {seq}"))?;
        let done = journal.erase(STATION, &event, &stamp).map_err(|e| format!("an erasure failed: {e}"))?;
        say(&format!("erased {seq}"))?;
        say(&format!("ack 0 {} {}", done.0.seq, done.0.hash))?;
    }
}

fn close(file: &Path, life: u64) -> Result<(), String> {
    let mut chance = Chance::of(life);
    loop {
        let mut journal = begin(file)?;
        for _ in 0..1 + chance.below(3) {
            put(&mut journal, life, 0)?;
        }
        say("closing")?;
        journal.close().map_err(|e| format!("a close failed: {e}"))?;
        say("closed")?;
    }
}

fn create(folder: &Path, life: u64) -> Result<(), String> {
    for number in 0u64.. {
        let file = folder.join(format!("{number}.ledge"));
        if file.exists() {
            continue;
        }
        say("opening")?;
        let made = Journal::create(&file, "a writer", Durability::EachEntry);
        let mut journal = made.map_err(|e| format!("a file cannot be made: {e}"))?;
        say(&format!("made {number}"))?;
        put(&mut journal, life, number)?;
        say("closing")?;
        journal.close().map_err(|e| format!("a close failed: {e}"))?;
    }
    Ok(())
}

fn serve(file: &Path, life: u64) -> Result<(), String> {
    say("opening")?;
    let session =
        if file.exists() { Session::open(file, "a writer") } else { Session::create_new(file, "a writer") };
    let mut session = session.map_err(|e| format!("the writer cannot begin: {e}"))?;
    say("made 0")?;
    let mut n = session.head().count;
    loop {
        n += 1;
        let value = step_of(n);
        let step = Step::read(&value, "a step").map_err(|e| e.to_string())?;
        let ack = session.act(&step, &entries::stamp(life, life * 100_000 + n));
        let ack = ack.map_err(|e| format!("step {value} failed: {e}"))?;
        say(&format!("ack 0 {} {}", ack.seq, ack.hash))?;
    }
}

/// The n-th step of an operation that goes on and on.
pub fn step_of(n: u64) -> serde_json::Value {
    match n {
        1 => {
            json!({"do": "open", "name": "Tern Ledge", "place": "North face", "purpose": "drill", "edge_height": "18m"})
        }
        2 => json!({"do": "check_in", "person": "Odile Marn"}),
        3 => json!({"do": "check_in", "person": "Per Aske"}),
        4 => json!({"do": "assign", "role": "control", "person": "Odile Marn"}),
        5 => json!({"do": "assign", "role": "rope one operator", "person": "Per Aske"}),
        _ => match n % 6 {
            0 => {
                json!({"do": "order", "from": "control", "to": ["rope one operator"], "text": format!("lower slow {n}")})
            }
            1 => json!({"do": "report", "from": "rope one operator", "text": format!("{n} metres out")}),
            2 => json!({"do": "signal", "from": "edge attendant", "count": 1 + n % 4}),
            3 => json!({"do": "note", "from": "scribe", "text": format!("rain, {n}")}),
            4 => json!({"do": "order", "from": "edge attendant", "to": ["all"], "text": "stop"}),
            _ => json!({"do": "report", "from": "rope one operator", "text": "stopped"}),
        },
    }
}

/// Where the writer's mirror lies.
pub fn mirror_of(folder: &Path) -> PathBuf {
    folder.join("stick.jsonl")
}

/// Where the writer's files lie.
pub fn file_of(folder: &Path, number: u64) -> PathBuf {
    folder.join(format!("{number}.ledge"))
}
