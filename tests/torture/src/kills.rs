//! A writer that is killed at any moment, again and again, and what it left.

use crate::chance::Chance;
use crate::entries::{self, Expected, STATION};
use crate::place;
use crate::promise::{Tally, Trial, count};
use crate::writer::{file_of, mirror_of};
use journal::{Durability, Journal};
use serde_json::json;
use service::{Session, Step};
use std::collections::{BTreeMap, BTreeSet};
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::OnceLock;
use std::time::Duration;

/// The program that holds the writer, where this one does not.
pub static WRITER: OnceLock<PathBuf> = OnceLock::new();

/// The program of this package.
///
/// # Errors
/// When the system does not tell where it lies.
pub fn program() -> Result<PathBuf, String> {
    match WRITER.get() {
        Some(program) => Ok(program.clone()),
        None => std::env::current_exe().map_err(|e| e.to_string()),
    }
}

/// Kills a run: a file has so many lives.
pub const LIVES: u64 = 4;

/// The trial with a writer of this kind.
fn begin(kind: &'static str) -> Result<Trial, String> {
    Ok(Box::new(move |seed, tally| run(kind, seed, tally)))
}

/// Killed while it appends.
///
/// # Errors
/// Never; runs answer for themselves.
pub fn appending() -> Result<Trial, String> {
    begin("append")
}
/// Killed in the program's own use cases.
///
/// # Errors
/// As [`appending`].
pub fn serving() -> Result<Trial, String> {
    begin("serve")
}
/// Killed while it erases.
///
/// # Errors
/// As [`appending`].
pub fn erasing() -> Result<Trial, String> {
    begin("erase")
}
/// Killed while it opens and closes.
///
/// # Errors
/// As [`appending`].
pub fn closing() -> Result<Trial, String> {
    begin("close")
}
/// Killed while it makes files.
///
/// # Errors
/// As [`appending`].
pub fn creating() -> Result<Trial, String> {
    begin("create")
}

/// Killed while it mirrors.
///
/// # Errors
/// As [`appending`].
pub fn mirroring() -> Result<Trial, String> {
    begin("mirror")
}

/// What the writer said before it was killed, over all its lives.
#[derive(Debug, Default)]
struct Heard {
    files: BTreeMap<u64, Expected>,
    erasing: BTreeSet<u64>,
    erased: BTreeSet<u64>,
    /// Files whose making was acknowledged.
    made: BTreeSet<u64>,
}

/// One run: the writer is started and killed, and what it left is looked at, [`LIVES`] times on the same files.
///
/// # Errors
/// What was lost or does not fit.
pub fn run(kind: &str, seed: u64, tally: &mut Tally) -> Result<(), String> {
    let folder = place::on_disk()?;
    let mut chance = Chance::of(seed);
    let mut heard = Heard::default();
    for life in 1..=LIVES {
        one_life(kind, folder.path(), life, &mut chance, &mut heard)?;
        count(tally, "kills", 1);
        // Half of the time the next life finds the file as the kill left it.
        if life == LIVES || chance.percent(50) || !heard.made.contains(&0) {
            look(kind, folder.path(), life, &mut heard, tally)?;
        }
    }
    let acknowledged: usize = heard.files.values().map(Expected::acknowledgements).sum();
    count(tally, "entries acknowledged", acknowledged as u64);
    Ok(())
}

fn one_life(
    kind: &str,
    folder: &Path,
    life: u64,
    chance: &mut Chance,
    heard: &mut Heard,
) -> Result<(), String> {
    let mut writer = Command::new(program()?);
    writer.args(["writer", kind]).arg(folder).arg(life.to_string());
    let mut child = writer.stdout(Stdio::piped()).spawn().map_err(|e| e.to_string())?;
    let out = child.stdout.take().ok_or("the writer has no voice")?;
    let mut lines = BufReader::new(out).lines();
    // After so many lines, and then at any moment.
    let after = if chance.percent(20) { 0 } else { chance.below(40) };
    let pause = Duration::from_micros(chance.below(if after == 0 { 20_000 } else { 4_000 }));
    for _ in 0..after {
        match lines.next() {
            Some(Ok(line)) => heard.hear(&line)?,
            _ => break,
        }
    }
    std::thread::sleep(pause);
    if child.try_wait().map_err(|e| e.to_string())?.is_some() {
        return Err("the writer gave up by itself".into());
    }
    child.kill().map_err(|e| e.to_string())?;
    child.wait().map_err(|e| e.to_string())?;
    for line in lines {
        heard.hear(&line.map_err(|e| e.to_string())?)?;
    }
    Ok(())
}

impl Heard {
    fn hear(&mut self, line: &str) -> Result<(), String> {
        let words: Vec<&str> = line.split(' ').collect();
        let number = |text: &str| text.parse::<u64>().map_err(|_| format!("the writer said {line:?}"));
        match words[..] {
            ["ack", file, seq, hash] => {
                self.files.entry(number(file)?).or_default().acknowledged(number(seq)?, hash);
            }
            ["made", file] => {
                self.made.insert(number(file)?);
            }
            ["erasing", seq] => {
                self.erasing.insert(number(seq)?);
            }
            ["erased", seq] => {
                self.erased.insert(number(seq)?);
            }
            _ => {}
        }
        Ok(())
    }
}

/// What the killed writer left, file by file.
fn look(kind: &str, folder: &Path, life: u64, heard: &mut Heard, tally: &mut Tally) -> Result<(), String> {
    let most = heard.made.last().copied().unwrap_or(0) + 1;
    for number in 0..=most {
        let file = file_of(folder, number);
        let made = heard.made.contains(&number);
        if !file.exists() {
            if made {
                return Err(format!("file {number} was made and is gone"));
            }
            continue;
        }
        let journal = match Journal::open(&file, "a trial") {
            Ok(journal) => journal,
            Err(error) if made => return Err(format!("file {number} does not open: {error}")),
            Err(_) => {
                // Killed while it was made: nothing in it was acknowledged, and it can be made again under its name.
                count(tally, "made again", 1);
                Journal::create(&file, "a trial", Durability::EachEntry)
                    .map_err(|e| format!("file {number} was never begun and cannot be made: {e}"))?
            }
        };
        heard.made.insert(number);
        count(tally, "found left open", u64::from(journal.left_by().is_some()));
        one_file(journal, kind, life, number, heard).map_err(|broken| format!("file {number}: {broken}"))?;
        if kind == "mirror" {
            mirrored(&file, &mirror_of(folder)).map_err(|broken| format!("the mirror: {broken}"))?;
        }
    }
    Ok(())
}

fn one_file(
    mut journal: Journal,
    kind: &str,
    life: u64,
    number: u64,
    heard: &mut Heard,
) -> Result<(), String> {
    let rows = journal.stored().map_err(|e| e.to_string())?;
    let expected = heard.files.entry(number).or_default();
    expected.hold(&rows)?;
    for row in &rows {
        let (seq, gone) = (row.entry.seq, row.entry.payload.is_none());
        if gone && !heard.erasing.contains(&seq) {
            return Err(format!("the words of entry {seq} are gone unasked"));
        }
        if !gone && heard.erased.contains(&seq) {
            return Err(format!("entry {seq} was erased and is there again"));
        }
    }
    if kind == "serve" {
        let file = journal.file().to_path_buf();
        journal.close().map_err(|e| e.to_string())?;
        return goes_on(&file, life, &rows, expected);
    }
    let n = journal.last_seq() + 1;
    let stamp = entries::stamp(1_000 + life, (1_000 + life) * 100_000 + n);
    let (ack, _) =
        journal.append(STATION, &entries::event(n), &stamp).map_err(|e| format!("it does not go on: {e}"))?;
    if ack.seq != rows.len() as u64 + 1 {
        return Err(format!("it goes on with {} after {}", ack.seq, rows.len()));
    }
    expected.answered(&ack);
    expected.hold(&journal.stored().map_err(|e| e.to_string())?)?;
    journal.close().map_err(|e| format!("it does not close: {e}"))?;
    Ok(())
}

/// What the mirror holds is the record's, to the last whole line; brought up to it, it holds all.
fn mirrored(file: &Path, mirror: &Path) -> Result<(), String> {
    let rows =
        Journal::open_read_only(file).and_then(|journal| journal.stored()).map_err(|e| e.to_string())?;
    // Not there when the kill came before it was asked for.
    let before = read_mirror(mirror).unwrap_or_default();
    let whole = before.strip_suffix("\n").unwrap_or_else(|| before.rsplit_once('\n').map_or("", |(w, _)| w));
    let lines: Vec<&str> = whole.lines().collect();
    if lines.len() > rows.len() {
        return Err(format!("it holds {} entries, the record {}", lines.len(), rows.len()));
    }
    for (line, row) in lines.iter().zip(&rows) {
        let read = journal::line::read(line.as_bytes())?;
        if read != *row {
            return Err(format!("its entry {} is not the record's", row.entry.seq));
        }
    }
    journal::mirror::catch_up(file, mirror).map_err(|e| format!("it does not catch up: {e}"))?;
    let after = read_mirror(mirror)?;
    if after.lines().count() == rows.len() && after.ends_with('\n') {
        Ok(())
    } else {
        Err(format!("brought up, it holds {} of {}", after.lines().count(), rows.len()))
    }
}

fn read_mirror(mirror: &Path) -> Result<String, String> {
    std::fs::read_to_string(mirror).map_err(|e| e.to_string())
}

/// The program is started again: its first step is shown to be one of a new session.
fn goes_on(file: &Path, life: u64, rows: &[journal::Stored], expected: &mut Expected) -> Result<(), String> {
    let mut session = Session::open(file, "a trial").map_err(|e| e.to_string())?;
    let stamp = entries::stamp(1_000 + life, (1_000 + life) * 100_000 + rows.len() as u64);
    let note = json!({"do": "note", "from": "scribe", "text": "on again"});
    let note = if rows.is_empty() { crate::writer::step_of(1) } else { note };
    let step = Step::read(&note, "a step").map_err(|e| e.to_string())?;
    let ack = session.act(&step, &stamp).map_err(|e| format!("it does not go on: {e}"))?;
    expected.answered(&ack);
    let after = session.journal().stored().map_err(|e| e.to_string())?;
    expected.hold(&after)?;
    if let Some(first) = after.get(rows.len())
        && !rows.is_empty()
        && first.entry.kind != "session_began"
    {
        return Err(format!("the new session begins unseen, with “{}”", first.entry.kind));
    }
    session.close().map_err(|e| format!("it does not close: {e}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_acknowledgement_without_its_entry_is_found() {
        let dir = place::in_memory().unwrap();
        let mut journal = Journal::create(&file_of(dir.path(), 0), "a test", Durability::EachEntry).unwrap();
        journal.append(STATION, &entries::event(1), &entries::stamp(1, 1)).unwrap();
        journal.close().unwrap();
        let mut heard = Heard::default();
        heard.hear("made 0").unwrap();
        heard.hear(&format!("ack 0 2 {}", "0".repeat(64))).unwrap();
        let broken = look("append", dir.path(), 1, &mut heard, &mut Tally::new()).unwrap_err();
        assert!(broken.contains("entry 2 is lost"), "{broken}");
        heard.hear("made 3").unwrap();
        heard.files.clear();
        let broken = look("append", dir.path(), 1, &mut heard, &mut Tally::new()).unwrap_err();
        assert!(broken.contains("file 3 was made and is gone"), "{broken}");
    }
}
