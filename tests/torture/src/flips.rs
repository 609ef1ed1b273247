//! Every byte of a small file changed in turn: found, or shown to change nothing.

use crate::entries::{self, STATION};
use crate::place;
use crate::promise::{Tally, Trial, count};
use journal::{Durability, Journal, JournalError, Stored, WitnessAnswer};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use tempfile::TempDir;

/// What is changed in a byte: each bit alone, and all of them.
const MASKS: [u8; 9] = [0x01, 0x02, 0x04, 0x08, 0x10, 0x20, 0x40, 0x80, 0xFF];

/// A record as it lies on the disk, and what it says.
#[derive(Debug)]
struct Fixture {
    /// Ends of the names and bytes: the file, and its write-ahead log when it was left open. These are flipped.
    files: Vec<(&'static str, Vec<u8>)>,
    /// The lock that a kill left beside them, which notes how many entries there were.
    lock: Option<Vec<u8>>,
    rows: Vec<Stored>,
}

impl Fixture {
    fn bytes(&self) -> u64 {
        self.files.iter().map(|(_, bytes)| bytes.len() as u64).sum()
    }
}

/// A closed file of nine entries, one of them erased, one longer than a page.
fn closed() -> Result<Fixture, String> {
    make(false)
}

/// The bytes of that file.
///
/// # Errors
/// When it cannot be made.
pub fn closed_bytes() -> Result<Vec<u8>, String> {
    Ok(closed()?.files.swap_remove(0).1)
}

/// The bytes of one such file, the same throughout this process.
///
/// # Errors
/// When it cannot be made.
pub fn kept_bytes() -> Result<&'static [u8], String> {
    static KEPT: OnceLock<Result<Vec<u8>, String>> = OnceLock::new();
    KEPT.get_or_init(closed_bytes).as_deref().map_err(Clone::clone)
}

/// Its rows.
///
/// # Errors
/// When it cannot be made.
pub fn kept_rows() -> Result<&'static [Stored], String> {
    static ROWS: OnceLock<Result<Vec<Stored>, String>> = OnceLock::new();
    let read = || {
        let folder = place::in_memory()?;
        let file = folder.path().join("a.ledge");
        std::fs::write(&file, kept_bytes()?).map_err(|e| e.to_string())?;
        Journal::open_read_only(&file).and_then(|journal| journal.stored()).map_err(|e| e.to_string())
    };
    ROWS.get_or_init(read).as_deref().map_err(Clone::clone)
}

/// A whole mirror of that file.
///
/// # Errors
/// When it cannot be made.
pub fn mirror_bytes() -> Result<Vec<u8>, String> {
    let folder = place::in_memory()?;
    let (file, mirror) = (folder.path().join("a.ledge"), folder.path().join("a.jsonl"));
    std::fs::write(&file, kept_bytes()?).map_err(|e| e.to_string())?;
    journal::mirror::catch_up(&file, &mirror).map_err(|e| e.to_string())?;
    std::fs::read(&mirror).map_err(|e| e.to_string())
}

/// The same, left open by a kill: the newer half of the entries is in the log alone.
fn left_open() -> Result<Fixture, String> {
    make(true)
}

fn make(open: bool) -> Result<Fixture, String> {
    let words = |e: JournalError| e.to_string();
    let folder = place::in_memory()?;
    let file = folder.path().join("a.ledge");
    let mut journal = Journal::create(&file, "a trial", Durability::EachEntry).map_err(words)?;
    let mut ids = Vec::new();
    for n in 1..=8 {
        if n == 6 && open {
            journal.close().map_err(words)?;
            journal = Journal::open(&file, "a trial").map_err(words)?;
        }
        let (ack, _) = journal.append(STATION, &entries::event(n), &entries::stamp(1, n)).map_err(words)?;
        ids.push(ack.id);
    }
    journal.erase(STATION, &entries::erasure(&ids[1], 2), &entries::stamp(1, 9)).map_err(words)?;
    // The erasure cleans out the log: one more, so that there is something in it.
    journal.append(STATION, &entries::event(10), &entries::stamp(1, 10)).map_err(words)?;
    journal.append(STATION, &entries::event(11), &entries::stamp(1, 11)).map_err(words)?;
    let rows = journal.stored().map_err(words)?;
    let ends: &[&'static str] = if open { &["", "-wal"] } else { &[""] };
    let keep = |end: &&'static str| {
        std::fs::read(beside(&file, end)).map(|bytes| (*end, bytes)).map_err(|e| format!("{end}: {e}"))
    };
    let files = if open {
        // As a kill leaves it.
        let files = ends.iter().map(keep).collect::<Result<Vec<_>, _>>()?;
        let lock = keep(&".lock")?.1;
        drop(journal);
        (files, Some(lock))
    } else {
        journal.close().map_err(words)?;
        (ends.iter().map(keep).collect::<Result<Vec<_>, _>>()?, None)
    };
    let (files, lock) = files;
    Ok(Fixture { files, lock, rows })
}

fn beside(file: &Path, end: &str) -> PathBuf {
    PathBuf::from(format!("{}{end}", file.display()))
}

/// One run a byte, so many bytes there are.
pub fn bytes_closed() -> u64 {
    static BYTES: OnceLock<u64> = OnceLock::new();
    *BYTES.get_or_init(|| closed().map_or(0, |fixture| fixture.bytes()))
}

/// As [`bytes_closed`], file and log together.
pub fn bytes_left_open() -> u64 {
    static BYTES: OnceLock<u64> = OnceLock::new();
    *BYTES.get_or_init(|| left_open().map_or(0, |fixture| fixture.bytes()))
}

/// The trial on a closed file.
///
/// # Errors
/// When the file cannot be made.
pub fn of_closed() -> Result<Trial, String> {
    trial(closed()?)
}

/// The trial on a file left open.
///
/// # Errors
/// When the file cannot be made.
pub fn of_left_open() -> Result<Trial, String> {
    trial(left_open()?)
}

fn trial(fixture: Fixture) -> Result<Trial, String> {
    let folder = place::in_memory()?;
    // Whether a kill's lock lies beside them, or the files were copied without it.
    let locks: &[bool] = if fixture.lock.is_some() { &[true, false] } else { &[false] };
    Ok(Box::new(move |seed, tally| {
        locks.iter().try_for_each(|locked| one_byte(&fixture, &folder, *locked, seed, tally))
    }))
}

/// One byte, changed in each way. As many seeds in a row as there are bytes reach each byte once.
fn one_byte(
    fixture: &Fixture,
    folder: &TempDir,
    locked: bool,
    seed: u64,
    tally: &mut Tally,
) -> Result<(), String> {
    // A prime, so that a few runs are spread over the whole.
    let mut place = usize::try_from(seed.wrapping_mul(1_000_003) % fixture.bytes()).unwrap_or(0);
    let mut which = 0;
    while place >= fixture.files[which].1.len() {
        place -= fixture.files[which].1.len();
        which += 1;
    }
    let file = folder.path().join("a.ledge");
    for mask in MASKS {
        let of = match (which, locked) {
            (0, _) => "file",
            (_, true) => "log, with the lock",
            (_, false) => "log, without the lock",
        };
        lay(fixture, &file, which, place, mask).map_err(|e| e.to_string())?;
        if let (true, Some(lock)) = (locked, &fixture.lock) {
            std::fs::write(beside(&file, ".lock"), lock).map_err(|e| e.to_string())?;
        }
        let outcome = judge(fixture, &file, mask);
        let outcome = outcome
            .map_err(|broken| format!("byte {place} of the {of}, changed by {mask:#04x}: {broken}"))?;
        count(tally, &format!("{outcome} ({of})"), 1);
    }
    Ok(())
}

fn lay(fixture: &Fixture, file: &Path, which: usize, place: usize, mask: u8) -> std::io::Result<()> {
    for end in ["-wal", "-shm", "-journal", ".lock"] {
        match std::fs::remove_file(beside(file, end)) {
            Err(e) if e.kind() != std::io::ErrorKind::NotFound => return Err(e),
            _ => {}
        }
    }
    for (number, (end, bytes)) in fixture.files.iter().enumerate() {
        let mut bytes = bytes.clone();
        if number == which {
            bytes[place] ^= mask;
        }
        std::fs::write(beside(file, end), bytes)?;
    }
    Ok(())
}

/// What becomes of a changed file.
fn judge(fixture: &Fixture, file: &Path, mask: u8) -> Result<&'static str, String> {
    let rows = match Journal::open_read_only(file).and_then(|journal| journal.stored()) {
        Err(error) => return found_on_opening(file, &error, mask),
        Ok(rows) => rows,
    };
    let verified = match journal::verify(&rows) {
        Err(misfit) => {
            if mask == 0xFF && Journal::open(file, "a trial").is_ok() {
                return Err(format!("entry {} does not fit, and the file is written on", misfit.seq));
            }
            return Ok("found by the chain");
        }
        Ok(verified) => verified,
    };
    if rows == fixture.rows {
        return read_as_it_was(fixture, file);
    }
    if let Err(error) = Journal::open_read_only(file).and_then(|journal| journal.verify()) {
        return found_on_opening(file, &error, 0xFF)
            .map(|_| "read otherwise, found by verify and by the writer");
    }
    if let Err(error) = Journal::open(file, "a trial") {
        return found_on_opening(file, &error, 0xFF).map(|_| "end of the record gone, told to the writer");
    }
    let whole = journal::verify(&fixture.rows).map_err(|m| m.why)?;
    let witness = journal::Witness { head: whole.head.hex.clone(), count: whole.head.count };
    match journal::against(&verified, &witness) {
        WitnessAnswer::Complete { .. } => Err("something else is read, and nothing tells".into()),
        WitnessAnswer::Cut { .. } => Ok("end of the record gone, found by a witness alone"),
        WitnessAnswer::Rewritten | WitnessAnswer::InGap => Ok("found by a witness alone"),
    }
}

/// All rows are as they were. Then the file is sound and goes on, or it is refused before anything is written.
fn read_as_it_was(fixture: &Fixture, file: &Path) -> Result<&'static str, String> {
    if let Err(error) = Journal::open_read_only(file).and_then(|journal| journal.verify()) {
        return found_on_opening(file, &error, 0xFF)
            .map(|_| "read as it was, found by verify and by the writer");
    }
    match Journal::open(file, "a trial") {
        Ok(journal) => goes_on(fixture, journal).map(|()| "harmless"),
        // The mark of a newer kind of database, or no mark at all: it may be read and not written.
        Err(error @ (JournalError::ReadOnly { .. } | JournalError::OddHeader { .. })) => {
            found_on_opening(file, &error, 0xFF).map(|_| "read as it was, refused to the writer")
        }
        Err(error) => Err(format!("read and verified as it was, and then: {error}")),
    }
}

/// Refused: with words and a remedy, for writing too, and the file stays as it was.
fn found_on_opening(file: &Path, error: &JournalError, mask: u8) -> Result<&'static str, String> {
    if error.to_string().is_empty() || error.remedy().is_empty() {
        return Err(format!("refused without words: {error:?}"));
    }
    if mask == 0xFF {
        let before = std::fs::read(file).map_err(|e| e.to_string())?;
        if Journal::open(file, "a trial").is_ok() {
            return Err(format!("refused to be read ({error}), and opened to be written"));
        }
        if std::fs::read(file).map_err(|e| e.to_string())? != before {
            return Err(format!("refused ({error}), and changed all the same"));
        }
    }
    Ok("found on opening")
}

/// What was shown harmless must be so for the writer too: it goes on, and all is there.
fn goes_on(fixture: &Fixture, mut journal: Journal) -> Result<(), String> {
    let words = |e: JournalError| format!("read as it was, and then: {e}");
    journal.append(STATION, &entries::event(12), &entries::stamp(2, 12)).map_err(words)?;
    let rows = journal.stored().map_err(words)?;
    if rows[..fixture.rows.len()] != fixture.rows[..] || rows.len() != fixture.rows.len() + 1 {
        return Err("read as it was, and changed by writing on".into());
    }
    journal.verify().map_err(words)?;
    journal.close().map_err(words)?;
    Ok(())
}
