//! A record on a disk that fails: writes that do not fit, syncs and reads that fail, the power going at any
//! operation. Whatever comes, what was acknowledged is there when the disk is honest again.

pub mod disk;
pub mod plan;
pub mod vfs;

use crate::chance::Chance;
use crate::entries::{self, Expected, STATION};
use crate::place;
use crate::promise::{Tally, Trial, count};
use disk::Disk;
use journal::{Closed, Durability, Journal, JournalError};
use plan::Plan;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

/// The trial: one run is a record that lives through up to four starts of the program on one disk.
///
/// # Errors
/// Never; runs answer for themselves.
pub fn begin() -> Result<Trial, String> {
    Ok(Box::new(|seed, tally| run(seed, false, tally)))
}

/// Operations of the fixed story of [`each`], more than there are.
const STORY: u64 = 420;
/// What befalls an operation of the fixed story.
const WAYS: u64 = 6;

/// Runs of [`in_turn`]: each operation in each way.
pub fn turns() -> u64 {
    STORY * WAYS
}

/// The trial of one story in which each operation fails in turn.
///
/// # Errors
/// Never; runs answer for themselves.
pub fn in_turn() -> Result<Trial, String> {
    Ok(Box::new(each))
}

/// One story, made, closed, opened, written, erased in and left; the operation of one number fails once, or from there
/// on everything does, or the program is killed, or the power goes and keeps all, nothing or some of what was not synced.
fn each(seed: u64, tally: &mut Tally) -> Result<(), String> {
    // A prime, so that a few runs are spread over the whole.
    let turn = seed.wrapping_mul(1_009) % turns();
    let (number, way) = (turn / WAYS, turn % WAYS);
    let folder = place::in_memory()?;
    let mut disk = Disk::new(folder.path(), seed);
    disk.share = [None, None, None, Some(0), Some(100), None][usize::try_from(way).unwrap_or(0)];
    disk.plan = match way {
        0 => Plan::fails_at(number, 1),
        1 => Plan::fails_at(number, u64::MAX),
        _ => Plan::ends_at(number),
    };
    let mut run = Run::on(&folder, disk, seed);
    let told = run.story();
    let reached = vfs::lock(&run.disk).plan.reached(number);
    count(tally, if reached { "operations failed in turn" } else { "past the end" }, 1);
    let held = told.and_then(|()| {
        let power_went = run.settle();
        if power_went && way > 2 {
            run.power_comes_back()?;
        }
        run.hold()
    });
    vfs::forget(folder.path());
    let words = ["fails", "and all after it fail", "is the last: killed", "is the last: nothing kept"];
    let words = words.get(usize::try_from(way).unwrap_or(9)).unwrap_or(&"is the last: the power goes");
    held.map_err(|broken| format!("operation {number} {words}: {broken}"))
}

/// One run. With `lies` the disk says well to every sync and keeps nothing.
///
/// # Errors
/// What was promised and broken.
pub fn run(seed: u64, lies: bool, tally: &mut Tally) -> Result<(), String> {
    let folder = place::in_memory()?;
    let mut disk = Disk::new(folder.path(), seed);
    disk.lies = lies;
    let mut run = Run::on(&folder, disk, seed);
    let lives = 1 + run.chance.below(4);
    let mut lived = Ok(());
    for _ in 0..lives {
        lived = run.one_life(tally);
        if lived.is_err() {
            break;
        }
    }
    vfs::forget(folder.path());
    count(tally, "acknowledged", run.expected.acknowledgements() as u64);
    count(tally, "faults met", run.failed);
    lived
}

struct Run {
    file: PathBuf,
    disk: vfs::Shared,
    chance: Chance,
    expected: Expected,
    /// Acknowledged and not erased: number and id.
    ids: Vec<(u64, String)>,
    /// The file was acknowledged: it may not be missing any more.
    made: bool,
    number: u64,
    life: u64,
    failed: u64,
}

/// How a life ends.
#[derive(Clone, Copy, PartialEq, Eq)]
enum End {
    Close,
    Killed,
    PowerCut,
}

impl Run {
    /// A record that is to be made on this disk.
    fn on(folder: &tempfile::TempDir, disk: Disk, seed: u64) -> Run {
        let disk = Arc::new(Mutex::new(disk));
        vfs::register(folder.path(), &disk);
        Run {
            file: folder.path().join("a.ledge"),
            disk,
            chance: Chance::of(seed),
            expected: Expected::default(),
            ids: Vec::new(),
            made: false,
            number: 0,
            life: 0,
            failed: 0,
        }
    }

    /// The fixed story: two starts that close, one that ends in the middle.
    fn story(&mut self) -> Result<(), String> {
        for end in [End::Close, End::Close, End::Killed] {
            self.life += 1;
            let Some(mut journal) = self.begin()? else { continue };
            self.append(&mut journal)?;
            self.append_several(&mut journal)?;
            self.look()?;
            if self.life == 2 && !self.ids.is_empty() {
                self.erase(&mut journal)?;
            }
            self.append(&mut journal)?;
            if vfs::lock(&self.disk).dead {
                return self.end(journal, End::PowerCut);
            }
            self.end(journal, end)?;
        }
        Ok(())
    }

    /// The life is over: the disk is honest again. Whether the power went, or the program was killed.
    fn settle(&mut self) -> bool {
        let mut disk = vfs::lock(&self.disk);
        self.failed += disk.plan.failed;
        let went = disk.dead;
        disk.plan = Plan::default();
        disk.dead = false;
        went
    }

    fn one_life(&mut self, tally: &mut Tally) -> Result<(), String> {
        self.life += 1;
        let plan = Plan::draw(&mut self.chance);
        vfs::lock(&self.disk).plan = plan;
        let end = [End::Close, End::Killed, End::PowerCut][self.chance.index(3)];
        let journal = self.begin()?;
        if let Some(mut journal) = journal {
            self.work(&mut journal)?;
            self.end(journal, end)?;
        }
        if self.settle() || end == End::PowerCut {
            count(tally, "power cuts", 1);
            self.power_comes_back()?;
        }
        self.hold()
    }

    /// Makes or opens the file on the failing disk; `None` when it refused, as it may.
    fn begin(&mut self) -> Result<Option<Journal>, String> {
        vfs::lock(&self.disk).look_round();
        let begun = std::fs::metadata(&self.file).is_ok_and(|about| about.len() > 0);
        let opened = if self.made || begun {
            Journal::open(&self.file, "a trial")
        } else {
            Journal::create(&self.file, "a trial", Durability::EachEntry)
        };
        match opened {
            Ok(journal) => {
                if !vfs::lock(&self.disk).dead {
                    // It synced its folder by a plain call.
                    vfs::lock(&self.disk).names_are_kept();
                }
                self.made = true;
                Ok(Some(journal))
            }
            Err(error) => self.may_say(&error).map(|()| None),
        }
    }

    /// A disk that fails is told as that: not as a record that was altered or is none of ours.
    fn may_say(&self, error: &JournalError) -> Result<(), String> {
        match error {
            JournalError::Altered { .. } | JournalError::Newer { .. } => {
                Err(format!("a failing disk is told as: {error}"))
            }
            JournalError::NotOurs { .. } | JournalError::Missing { .. } | JournalError::Empty { .. }
                if self.made =>
            {
                Err(format!("a failing disk is told as: {error}"))
            }
            _ => Ok(()),
        }
    }

    fn work(&mut self, journal: &mut Journal) -> Result<(), String> {
        for _ in 0..self.chance.below(25) {
            match self.chance.below(20) {
                0 | 1 if !self.ids.is_empty() => self.erase(journal)?,
                2 => self.look()?,
                3 | 4 => self.append_several(journal)?,
                _ => self.append(journal)?,
            }
        }
        Ok(())
    }

    fn append(&mut self, journal: &mut Journal) -> Result<(), String> {
        self.number += 1;
        let (event, stamp) = (entries::event(self.number), entries::stamp(self.life, self.number));
        self.expected.trying(&event, &stamp);
        // What was not saved stays on the screen and is tried again, as it was.
        for _ in 0..1 + self.chance.below(3) {
            match journal.append(STATION, &event, &stamp) {
                Ok((ack, _)) => {
                    self.expected.answered(&ack);
                    self.ids.push((ack.seq, ack.id));
                    return Ok(());
                }
                Err(error) => self.may_say(&error)?,
            }
        }
        Ok(())
    }

    fn append_several(&mut self, journal: &mut Journal) -> Result<(), String> {
        let made: Vec<_> = (1..=2 + self.chance.below(3))
            .map(|n| (entries::event(self.number + n), entries::stamp(self.life, self.number + n)))
            .collect();
        self.number += made.len() as u64;
        made.iter().for_each(|(event, stamp)| self.expected.trying(event, stamp));
        let borrowed: Vec<_> = made.iter().map(|(event, stamp)| (event, stamp)).collect();
        match journal.append_all(STATION, &borrowed) {
            Ok(acks) => {
                for (ack, _) in acks {
                    self.expected.answered(&ack);
                    self.ids.push((ack.seq, ack.id));
                }
                Ok(())
            }
            Err(error) => self.may_say(&error),
        }
    }

    fn erase(&mut self, journal: &mut Journal) -> Result<(), String> {
        let place = self.chance.index(self.ids.len());
        let (seq, id) = self.ids.swap_remove(place);
        self.number += 1;
        let (event, stamp) = (entries::erasure(&id, seq), entries::stamp(self.life, self.number));
        self.expected.trying(&event, &stamp);
        match journal.erase(STATION, &event, &stamp) {
            Ok((ack, _)) => {
                self.expected.answered(&ack);
                self.expected.erased(&id);
                Ok(())
            }
            Err(error) => self.may_say(&error),
        }
    }

    /// A reader beside the writer sees all that was acknowledged, or is told that the disk fails.
    fn look(&mut self) -> Result<(), String> {
        match Journal::open_read_only(&self.file).and_then(|reader| reader.stored()) {
            Ok(rows) => self.expected.hold(&rows).map_err(|broken| format!("seen by a reader: {broken}")),
            Err(error) => self.may_say(&error),
        }
    }

    fn end(&mut self, journal: Journal, end: End) -> Result<(), String> {
        if end != End::Close {
            vfs::lock(&self.disk).dead = true;
            let words = std::fs::read(lock_of(&self.file)).unwrap_or_default();
            drop(journal);
            // A program that is killed takes nothing away.
            std::fs::write(lock_of(&self.file), words).map_err(|e| e.to_string())?;
            if end == End::Killed {
                vfs::lock(&self.disk).dead = false;
            }
            return Ok(());
        }
        match journal.close() {
            Ok(Closed::Alone) => {
                let mut disk = vfs::lock(&self.disk);
                if !disk.dead {
                    disk.names_are_kept();
                }
                drop(disk);
                self.stands_alone()
            }
            // Nobody reads here: a disk that failed must be told as that.
            Ok(Closed::StillRead) => Err("closed, and told as read by another program".into()),
            Err(error) => self.may_say(&error),
        }
    }

    /// A file that was closed can be copied alone.
    fn stands_alone(&self) -> Result<(), String> {
        let elsewhere = place::in_memory()?;
        let copy = elsewhere.path().join("copy.ledge");
        std::fs::copy(&self.file, &copy).map_err(|e| format!("closed, and cannot be copied: {e}"))?;
        let rows = Journal::open_read_only(&copy).and_then(|journal| journal.stored());
        let rows = rows.map_err(|e| format!("closed and copied alone, it does not open: {e}"))?;
        self.expected.hold(&rows).map_err(|broken| format!("closed and copied alone: {broken}"))
    }

    fn power_comes_back(&mut self) -> Result<(), String> {
        vfs::lock(&self.disk).lay_down().map_err(|e| format!("the trial's folder: {e}"))?;
        // Nothing synced the shared memory or the lock: they may be gone, stale or rubbish.
        let lies = |end: &str| PathBuf::from(format!("{}{end}", self.file.display()));
        let rubbish: Vec<u8> = (0..self.chance.below(40_000)).map(|n| (n * 7) as u8).collect();
        let written = match self.chance.below(3) {
            0 => std::fs::write(lies("-shm"), rubbish).and_then(|()| std::fs::write(lies(".lock"), "")),
            1 => std::fs::write(lies(".lock"), [0xff, 0xfe, 0x00, 0x41]),
            _ => Ok(()),
        };
        written.map_err(|e| e.to_string())
    }

    /// On an honest disk: everything acknowledged is there, the chain is whole, and it goes on.
    fn hold(&mut self) -> Result<(), String> {
        vfs::lock(&self.disk).look_round();
        let mut journal = match Journal::open(&self.file, "a trial") {
            Ok(journal) => journal,
            Err(error) if self.made => return Err(format!("on an honest disk it does not open: {error}")),
            // Its making was never acknowledged: it can be made again, whatever is left of it.
            Err(found) => Journal::create(&self.file, "a trial", Durability::EachEntry).map_err(|e| {
                format!(
                    "never begun ({found}), and on an honest disk it cannot be made: {e} ({})",
                    e.file().display()
                )
            })?,
        };
        if !self.made {
            self.made = true;
            vfs::lock(&self.disk).names_are_kept();
        }
        let rows = journal.stored().map_err(|e| format!("on an honest disk it is not read: {e}"))?;
        self.expected.hold(&rows)?;
        self.number += 1;
        let (event, stamp) = (entries::event(self.number), entries::stamp(self.life, self.number));
        self.expected.trying(&event, &stamp);
        let appended = journal.append(STATION, &event, &stamp);
        let (ack, _) = appended.map_err(|e| format!("on an honest disk it does not go on: {e}"))?;
        if ack.seq != rows.len() as u64 + 1 {
            return Err(format!("it goes on with {} after {}", ack.seq, rows.len()));
        }
        self.expected.answered(&ack);
        self.ids.push((ack.seq, ack.id));
        let rows = journal.stored().map_err(|e| e.to_string())?;
        self.expected.hold(&rows)?;
        let end = [End::Close, End::Close, End::Killed][self.chance.index(3)];
        self.end(journal, end)
    }
}

fn lock_of(file: &Path) -> PathBuf {
    PathBuf::from(format!("{}.lock", file.display()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A trial that cannot fail shows nothing: on a drive that lies entries do get lost, and it must say so.
    #[test]
    fn a_drive_that_lies_is_found_out() {
        let mut tally = Tally::new();
        let found = (0..150).filter(|seed| run(*seed, true, &mut tally).is_err()).count();
        assert!(found > 20, "{found} of 150 runs on a lying drive were found");
    }

    #[test]
    fn reads_and_writes_are_cut_short() {
        let before = vfs::partial_calls();
        let mut tally = Tally::new();
        for seed in 0..30 {
            run(seed, false, &mut tally).unwrap();
        }
        assert!(vfs::partial_calls() > before + 50, "{}", vfs::partial_calls() - before);
        assert!(tally["faults met"] > 0 && tally["power cuts"] > 0, "{tally:?}");
    }
}
