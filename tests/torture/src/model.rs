//! The record beside the plainest thing that could stand for it: a list. What is done to both at random must
//! leave both the same. What fails is made smaller until nothing can be left out.

use crate::entries::{self, STATION};
use crate::place;
use crate::promise::{Trial, count};
use journal::{Durability, Journal, JournalError, Witness, WitnessAnswer};
use operation::NewEvent;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestCaseError, TestRng, TestRunner};
use std::path::PathBuf;
use tempfile::TempDir;

/// What is done.
#[derive(Clone, Debug)]
enum Deed {
    Append(u64),
    Several(u64, u64),
    Correct(usize, u64),
    Erase(usize),
    /// Something that is not there.
    EraseNothing,
    /// An empty list of entries.
    AppendNothing,
    Reopen,
    /// The program ends in the middle: the files are copied as they lie, and the copy goes on.
    Killed,
    Look,
}

fn deeds() -> impl Strategy<Value = Vec<Deed>> {
    let deed = prop_oneof![
        6 => any::<u64>().prop_map(|n| Deed::Append(n % 10_000)),
        2 => (any::<u64>(), 1u64..5).prop_map(|(n, count)| Deed::Several(n % 10_000, count)),
        2 => (any::<usize>(), any::<u64>()).prop_map(|(of, n)| Deed::Correct(of, n % 10_000)),
        2 => any::<usize>().prop_map(Deed::Erase),
        1 => Just(Deed::EraseNothing),
        1 => Just(Deed::AppendNothing),
        2 => Just(Deed::Reopen),
        2 => Just(Deed::Killed),
        1 => Just(Deed::Look),
    ];
    proptest::collection::vec(deed, 0..40)
}

/// The trial.
///
/// # Errors
/// Never; runs answer for themselves.
pub fn begin() -> Result<Trial, String> {
    Ok(Box::new(|seed, tally| {
        let mut deeds_done = 0;
        run_seeded(seed, &deeds(), |list| {
            deeds_done += list.len() as u64;
            Pair::begin()?.all(&list)
        })?;
        count(tally, "deeds", deeds_done);
        Ok(())
    }))
}

/// One case of a strategy, drawn from a seed; what fails is shrunk.
///
/// # Errors
/// What failed, and the smallest case that does.
pub fn run_seeded<S: Strategy>(
    seed: u64,
    strategy: &S,
    mut work: impl FnMut(S::Value) -> Result<(), String>,
) -> Result<(), String> {
    let mut bytes = [0; 32];
    bytes[..8].copy_from_slice(&seed.to_le_bytes());
    let config = Config { cases: 1, failure_persistence: None, max_shrink_iters: 300, ..Config::default() };
    let mut runner = TestRunner::new_with_rng(config, TestRng::from_seed(RngAlgorithm::ChaCha, &bytes));
    let work = std::cell::RefCell::new(&mut work);
    let done = runner.run(strategy, |case| (work.borrow_mut())(case).map_err(TestCaseError::fail));
    done.map_err(|e| e.to_string())
}

/// An entry of the list.
#[derive(Clone, Debug, PartialEq)]
struct Plain {
    id: String,
    payload: Option<String>,
    kind: String,
    corrects: Option<String>,
}

struct Pair {
    folder: TempDir,
    journal: Option<Journal>,
    list: Vec<Plain>,
    witnesses: Vec<Witness>,
    number: u64,
    life: u64,
}

impl Pair {
    fn begin() -> Result<Pair, String> {
        let folder = place::in_memory()?;
        let journal = Journal::create(&folder.path().join("a.ledge"), "a trial", Durability::EachEntry);
        let journal = Some(journal.map_err(|e| e.to_string())?);
        Ok(Pair { folder, journal, list: Vec::new(), witnesses: Vec::new(), number: 0, life: 1 })
    }

    fn all(&mut self, deeds: &[Deed]) -> Result<(), String> {
        for (place, deed) in deeds.iter().enumerate() {
            self.one(deed)
                .and_then(|()| self.same())
                .map_err(|broken| format!("deed {place}, {deed:?}: {broken}"))?;
        }
        let rows = self.journal()?.stored().map_err(|e| e.to_string())?;
        let verified = journal::verify(&rows).map_err(|misfit| misfit.why)?;
        for witness in &self.witnesses {
            let since = verified.head.count - witness.count;
            if journal::against(&verified, witness) != (WitnessAnswer::Complete { since }) {
                return Err(format!(
                    "a head taken after {} entries does not witness the record",
                    witness.count
                ));
            }
        }
        Ok(())
    }

    fn journal(&mut self) -> Result<&mut Journal, String> {
        self.journal.as_mut().ok_or_else(|| "the journal is gone".into())
    }

    fn event(&mut self, size: u64, corrects: Option<String>) -> (NewEvent, journal::Stamp) {
        self.number += 1;
        let kind = if corrects.is_some() { "corrected" } else { "note" };
        let event = NewEvent { corrects, kind: kind.into(), ..entries::event(size) };
        (event, entries::stamp(self.life, self.number))
    }

    fn put(&mut self, events: &[(NewEvent, journal::Stamp)]) -> Result<(), String> {
        let borrowed: Vec<_> = events.iter().map(|(event, stamp)| (event, stamp)).collect();
        let acks = self.journal()?.append_all(STATION, &borrowed).map_err(|e| e.to_string())?;
        for ((event, stamp), (ack, _)) in events.iter().zip(&acks) {
            self.list.push(Plain {
                id: stamp.id.clone(),
                payload: Some(event.payload.clone()),
                kind: event.kind.clone(),
                corrects: event.corrects.clone(),
            });
            if ack.seq != self.list.len() as u64 {
                return Err(format!("acknowledged as {}, and it is the {}th", ack.seq, self.list.len()));
            }
        }
        if acks.len() == events.len() { Ok(()) } else { Err(format!("{} acknowledgements", acks.len())) }
    }

    fn one(&mut self, deed: &Deed) -> Result<(), String> {
        match deed {
            Deed::Append(size) => {
                let made = self.event(*size, None);
                self.put(&[made])
            }
            Deed::Several(size, count) => {
                let made: Vec<_> = (0..*count).map(|n| self.event(size + n, None)).collect();
                self.put(&made)
            }
            Deed::Correct(of, size) if !self.list.is_empty() => {
                let id = self.list[of % self.list.len()].id.clone();
                let made = self.event(*size, Some(id));
                self.put(&[made])
            }
            Deed::Erase(of) if !self.list.is_empty() => self.erase(of % self.list.len()),
            Deed::EraseNothing => self.erase_nothing(),
            Deed::AppendNothing => self.put(&[]),
            Deed::Reopen => {
                let journal = self.journal.take().ok_or("gone")?;
                let file = journal.file().to_path_buf();
                journal.close().map_err(|e| format!("close: {e}"))?;
                self.open(file)
            }
            Deed::Killed => self.killed(),
            Deed::Look => {
                let file = self.journal()?.file().to_path_buf();
                let reader = Journal::open_read_only(&file).map_err(|e| format!("a reader: {e}"))?;
                let seen = reader.stored().map_err(|e| format!("a reader: {e}"))?.len();
                if seen == self.list.len() { Ok(()) } else { Err(format!("a reader sees {seen}")) }
            }
            Deed::Correct(..) | Deed::Erase(_) => Ok(()),
        }
    }

    fn erase(&mut self, of: usize) -> Result<(), String> {
        let id = self.list[of].id.clone();
        self.number += 1;
        let event = entries::erasure(&id, of as u64 + 1);
        let stamp = entries::stamp(self.life, self.number);
        self.journal()?.erase(STATION, &event, &stamp).map_err(|e| format!("erase: {e}"))?;
        self.list[of].payload = None;
        self.list.push(Plain {
            id: stamp.id,
            payload: Some(event.payload),
            kind: event.kind,
            corrects: Some(id),
        });
        Ok(())
    }

    fn erase_nothing(&mut self) -> Result<(), String> {
        self.number += 1;
        let stamp = entries::stamp(self.life, self.number);
        let event = entries::erasure("019e0000-dead-7000-8000-000000000000", 9);
        match self.journal()?.erase(STATION, &event, &stamp) {
            Err(JournalError::NothingToErase { .. }) => Ok(()),
            other => Err(format!("erasing what is not there: {other:?}")),
        }
    }

    fn open(&mut self, file: PathBuf) -> Result<(), String> {
        self.life += 1;
        self.journal = Some(Journal::open(&file, "a trial").map_err(|e| format!("open: {e}"))?);
        Ok(())
    }

    fn killed(&mut self) -> Result<(), String> {
        let journal = self.journal.take().ok_or("gone")?;
        let elsewhere = place::in_memory()?;
        for entry in std::fs::read_dir(self.folder.path()).map_err(|e| e.to_string())? {
            let from = entry.map_err(|e| e.to_string())?.path();
            // Shared memory does not outlive those who share it.
            if from.extension().is_some_and(|end| end.to_string_lossy().ends_with("-shm")) {
                continue;
            }
            let to = elsewhere.path().join(from.file_name().unwrap_or_default());
            std::fs::copy(&from, to).map_err(|e| e.to_string())?;
        }
        let file = elsewhere.path().join(journal.file().file_name().unwrap_or_default());
        drop(journal);
        self.folder = elsewhere;
        self.open(file)
    }

    /// Both say the same.
    fn same(&mut self) -> Result<(), String> {
        let journal = self.journal()?;
        let rows = journal.stored().map_err(|e| e.to_string())?;
        let head = journal.head();
        let verified =
            journal::verify(&rows).map_err(|m| format!("entry {} does not fit: {}", m.seq, m.why))?;
        if verified.head != head {
            return Err(format!("the head is {head:?} and should be {:?}", verified.head));
        }
        let found: Vec<Plain> = rows
            .into_iter()
            .map(|row| Plain {
                id: row.entry.id,
                payload: row.entry.payload,
                kind: row.entry.kind,
                corrects: row.entry.corrects,
            })
            .collect();
        if found != self.list {
            let at = found.iter().zip(&self.list).position(|(a, b)| a != b);
            return Err(format!(
                "{} entries, {} in the list; they part at {at:?}",
                found.len(),
                self.list.len()
            ));
        }
        self.witnesses.push(Witness { head: head.hex, count: head.count });
        Ok(())
    }
}
