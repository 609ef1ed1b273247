//! A scripted operation played in virtual time through the same code as the real thing. Nothing of the machine
//! gets into it: ids, salts and times all come from the script.

use crate::paper;
use crate::session::{Session, id_v7};
use crate::wire::Trouble;
use chrono::{DateTime, Duration, FixedOffset, SecondsFormat};
use journal::{Durability, Head, Stamp};
use operation::Script;
use sha2::{Digest, Sha256};
use std::io::Read;
use std::path::{Path, PathBuf};

/// Name of the operation file a rehearsal leaves.
pub const OPERATION: &str = "operation.ledge";
/// Name of the report a rehearsal leaves.
pub const REPORT: &str = "report.pdf";

/// What a rehearsal left.
#[derive(Clone, Debug)]
pub struct Rehearsed {
    /// The operation file.
    pub operation: PathBuf,
    /// The report.
    pub report: PathBuf,
    /// Count and head of the record.
    pub head: Head,
    /// Pages of the report.
    pub pages: usize,
}

/// Plays a script and leaves `operation.ledge` and `report.pdf` in `out`. Both are made aside and moved there when they
/// are whole.
///
/// # Errors
/// A script that cannot be read or a step that is refused (`where` names the step); a file that is there already; a
/// disk that does not take it. Nothing is left then.
pub fn rehearse(script: &str, out: &Path) -> Result<Rehearsed, Trouble> {
    let script = Script::read(script)?;
    let (operation, report) = (out.join(OPERATION), out.join(REPORT));
    for file in [&operation, &report] {
        if std::fs::symlink_metadata(file).is_ok() {
            let place = file.display().to_string();
            let remedy = "name another folder with --out, or move the file away; nothing was written over";
            return Err(Trouble::new("file_exists", "a rehearsal lies there already", place, remedy));
        }
    }
    let ours = !out.exists();
    std::fs::create_dir_all(out).map_err(|e| Trouble::of_file(out, &e))?;
    let done = play_in(&script, out, operation, report);
    if done.is_err() && ours {
        // Only an empty folder goes.
        let _ = std::fs::remove_dir(out);
    }
    done
}

fn play_in(script: &Script, out: &Path, operation: PathBuf, report: PathBuf) -> Result<Rehearsed, Trouble> {
    let aside = Aside::new(out)?;
    let (played, made) = (aside.0.join(OPERATION), aside.0.join(REPORT));
    let session = play(script, &played)?;
    let head = session.head().clone();
    session.close()?;
    let paper = paper::report(&played, &paper::Asked::default())?;
    write_whole(&made, &paper.bytes)?;
    let to = |from: &Path, to: &Path| std::fs::rename(from, to).map_err(|e| Trouble::of_file(to, &e));
    to(&played, &operation)?;
    to(&made, &report)?;
    Ok(Rehearsed { operation, report, head, pages: paper.pages })
}

fn play(script: &Script, file: &Path) -> Result<Session, Trouble> {
    let mut session = Session::create(file, &script.station, "a rehearsal", Durability::AtClose)?;
    for (index, step) in script.steps.iter().enumerate() {
        let stamp = stamp(script, index)?;
        session.act(step, &stamp).map_err(|trouble| {
            let place = match trouble.place.as_str() {
                "" => format!("step {}, {}", index + 1, step.act.word()),
                place if place == step.act.word() => format!("step {}, {place}", index + 1),
                place => format!("step {}, {}, {place}", index + 1, step.act.word()),
            };
            Trouble { place, ..trouble }
        })?;
    }
    Ok(session)
}

/// The stamp of a script's step: its time from `start` and `at`, everything else from seed and index.
fn stamp(script: &Script, index: usize) -> Result<Stamp, Trouble> {
    let at_ms = script.steps.get(index).and_then(|step| step.at_ms).unwrap_or(0);
    let out_of_time = || {
        Trouble::new(
            "bad_step",
            "the time lies outside the calendar",
            format!("step {}", index + 1),
            "mend “start” or “at”",
        )
    };
    let at: DateTime<FixedOffset> =
        script.start.checked_add_signed(Duration::milliseconds(at_ms)).ok_or_else(out_of_time)?;
    let milliseconds = u64::try_from(at.timestamp_millis()).map_err(|_| out_of_time())?;
    let begun = u64::try_from(script.start.timestamp_millis()).map_err(|_| out_of_time())?;
    let sum = |what: &str, index: u64| -> [u8; 32] {
        let mut sum = Sha256::new();
        sum.update(format!("ledgebook-rehearsal-{what}\n{}\n{index}", script.seed));
        sum.finalize().into()
    };
    let index = index as u64;
    Ok(Stamp {
        id: id_v7(milliseconds, &sum("id", index)),
        session: id_v7(begun, &sum("session", 0)),
        boot_ms: at_ms,
        recorded_at: at.to_rfc3339_opts(SecondsFormat::Millis, false),
        salt: sum("salt", index),
    })
}

/// Writes a file, readable by its owner only, so that it is whole or not there: beside its place first, then moved.
///
/// # Errors
/// When the disk does not take it.
pub fn write_whole(file: &Path, bytes: &[u8]) -> Result<(), Trouble> {
    let trouble = |e: std::io::Error| Trouble::of_file(file, &e);
    if file.is_dir() {
        return Err(trouble(std::io::ErrorKind::IsADirectory.into()));
    }
    journal::private::write_whole(file, bytes).map_err(trouble)
}

/// Writes what was made of a record where it was asked for, but never over a record: not over the one it was made of, nor over what
/// belongs to it, nor over another.
///
/// # Errors
/// When an operation file or its second copy lies there, or the disk does not take it.
pub fn write_apart(record: &Path, out: &Path, bytes: &[u8]) -> Result<(), Trouble> {
    let of_it = ["", "-wal", "-shm", "-journal", ".lock", ".mirror"]
        .map(|end| journal::private::beside(record, end))
        .into_iter()
        .chain(journal::mirror::mirrored_to(record));
    let same = |it: PathBuf| match (std::fs::canonicalize(&it), std::fs::canonicalize(out)) {
        (Ok(it), Ok(out)) => it == out,
        // What is not there yet has its name all the same.
        _ => it == out,
    };
    if of_it.into_iter().any(same) {
        return Err(record_there("this is the operation file itself, or belongs to it", out));
    }
    if is_record(out) {
        return Err(record_there("an operation file lies there", out));
    }
    write_whole(out, bytes)
}

fn record_there(what: &str, out: &Path) -> Trouble {
    let remedy = "take another name; a record is never written over, and it was not touched";
    Trouble::new("file_exists", what, out.display().to_string(), remedy)
}

/// Whether a file is an operation file, by its name or by how it begins.
fn is_record(file: &Path) -> bool {
    let named = file.extension().is_some_and(|end| end.eq_ignore_ascii_case("ledge"));
    let mut begins = [0_u8; 16];
    let read = |begins: &mut [u8]| std::fs::File::open(file).and_then(|mut file| file.read_exact(begins));
    file.is_file() && (named || (read(&mut begins).is_ok() && begins == *b"SQLite format 3\0"))
}

/// A folder beside the result, gone when it is dropped.
struct Aside(PathBuf);

impl Aside {
    fn new(out: &Path) -> Result<Aside, Trouble> {
        let folder = out.join(format!(".rehearsal-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir(&folder).map_err(|e| Trouble::of_file(&folder, &e))?;
        Ok(Aside(folder))
    }
}

impl Drop for Aside {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}
