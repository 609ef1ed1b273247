//! A promise of the record and the trial it is put to.

use crate::{day, faults, flips, fuzz, kills, model};
use std::collections::BTreeMap;

/// What a part counted beside its runs: kills, flips found, entries acknowledged.
pub type Tally = BTreeMap<String, u64>;

/// Adds to a count.
pub fn count(tally: &mut Tally, what: &str, by: u64) {
    *tally.entry(what.to_string()).or_default() += by;
}

/// One run from its seed; the error says what was broken.
pub type Trial = Box<dyn FnMut(u64, &mut Tally) -> Result<(), String>>;

/// What is promised, and how it is tried.
#[derive(Clone, Copy)]
pub struct Promise {
    /// Short name, for `--only`.
    pub name: &'static str,
    /// The promise, in a user's words.
    pub promise: &'static str,
    /// What one run does.
    pub test: &'static str,
    /// Runs of the whole torture.
    pub full: fn() -> u64,
    /// Runs of the short form in `cargo xtask test`.
    pub short: u64,
    /// Longest a run may take before it counts as hung, seconds.
    pub patience: u64,
    /// Runs beside nothing else: it measures.
    pub alone: bool,
    /// Part of the time with `--minutes`, beside the others' parts.
    pub share: u64,
    /// Makes the trial, once a process.
    pub begin: fn() -> Result<Trial, String>,
}

impl std::fmt::Debug for Promise {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Promise").field("name", &self.name).finish_non_exhaustive()
    }
}

/// All of them, in the order of the table.
pub const PROMISES: &[Promise] = &[
    Promise {
        name: "kill-append",
        promise: "An entry shown as saved outlives kill -9; the record goes on without a gap",
        test: "a writer under load killed at any moment, four times on one file",
        full: || 1_000 / kills::LIVES,
        short: 3,
        patience: 60,
        alone: false,
        share: 3,
        begin: kills::appending,
    },
    Promise {
        name: "kill-serve",
        promise: "The same through the program's own steps; the new session is seen in the record",
        test: "steps of every kind under load, killed at any moment",
        full: || 200 / kills::LIVES,
        short: 2,
        patience: 60,
        alone: false,
        share: 2,
        begin: kills::serving,
    },
    Promise {
        name: "kill-close",
        promise: "Killed while it opens or closes, a file opens whole",
        test: "a writer that opens and closes again and again",
        full: || 400 / kills::LIVES,
        short: 2,
        patience: 60,
        alone: false,
        share: 2,
        begin: kills::closing,
    },
    Promise {
        name: "kill-create",
        promise: "Killed while a file is made, what was acknowledged before is whole and the name is not lost",
        test: "a writer that makes file after file",
        full: || 200 / kills::LIVES,
        short: 2,
        patience: 60,
        alone: false,
        share: 1,
        begin: kills::creating,
    },
    Promise {
        name: "kill-erase",
        promise: "Killed while words are erased by law, they are gone whole or there whole",
        test: "a writer of which every third entry erases one",
        full: || 200 / kills::LIVES,
        short: 2,
        patience: 60,
        alone: false,
        share: 1,
        begin: kills::erasing,
    },
    Promise {
        name: "kill-mirror",
        promise: "Killed while it mirrors, the stick holds what the record holds up to some entry, and catches up",
        test: "a writer under load with a mirror beside it",
        full: || 200 / kills::LIVES,
        short: 2,
        patience: 60,
        alone: false,
        share: 1,
        begin: kills::mirroring,
    },
    Promise {
        name: "faults",
        promise: "An entry shown as saved outlives a full disk, a disk that fails and a pulled plug",
        test: "a disk under SQLite that fails, tears and forgets by a seeded schedule, up to four starts on it",
        full: || 10_000,
        short: 400,
        patience: 20,
        alone: false,
        share: 6,
        begin: faults::begin,
    },
    Promise {
        name: "faults-each",
        promise: "The same, whichever single operation of the disk it is that fails or is the last",
        test: "one story of making, closing, opening, erasing; each operation fails, or is the last, in six ways",
        full: faults::turns,
        short: 300,
        patience: 20,
        alone: false,
        share: 1,
        begin: faults::in_turn,
    },
    Promise {
        name: "flip-closed",
        promise: "A byte that changed in a closed file is found, or changes nothing that is read",
        test: "each byte in turn, each bit of it and all of them",
        full: flips::bytes_closed,
        short: 60,
        patience: 20,
        alone: false,
        share: 2,
        begin: flips::of_closed,
    },
    Promise {
        name: "flip-open",
        promise: "The same in a file and its write-ahead log that a kill left behind",
        test: "each byte of both in turn, each bit of it and all of them",
        full: flips::bytes_left_open,
        short: 60,
        patience: 20,
        alone: false,
        share: 2,
        begin: flips::of_left_open,
    },
    Promise {
        name: "model",
        promise: "Whatever is done in whatever order, the record says what a plain list would",
        test: "random appends, corrections, erasures, closings and kills beside a list; shrunk when they part",
        full: || 3_000,
        short: 40,
        patience: 120,
        alone: false,
        share: 2,
        begin: model::begin,
    },
    Promise {
        name: "fuzz-file",
        promise: "Whatever lies in an operation file, it is read, or refused in words and left as it was",
        test: "a small file with bytes changed, cut, put in and copied about; read in every way, written on",
        full: || 10_000,
        short: 60,
        patience: 120,
        alone: false,
        share: 2,
        begin: fuzz::files,
    },
    Promise {
        name: "fuzz-salvage",
        promise: "What is salvaged from a damaged file was in the record word for word; the damaged file is only read",
        test: "a small file with bytes changed, cut, put in and copied about; salvaged, the new file gone through",
        full: || 10_000,
        short: 40,
        patience: 120,
        alone: false,
        share: 2,
        begin: fuzz::of_salvages,
    },
    Promise {
        name: "fuzz-script",
        promise: "Whatever stands in a script, it is played, or refused in words and nothing is left",
        test: "scripts with steps of every kind, changed in meaning and bytes",
        full: || 3_000,
        short: 12,
        patience: 240,
        alone: false,
        share: 2,
        begin: fuzz::of_scripts,
    },
    Promise {
        name: "fuzz-rig",
        promise: "Whatever stands in a rig file, it is checked, or refused in words",
        test: "each template's rig, changed in meaning and bytes; checked with every loss and fall",
        full: || 3_000,
        short: 12,
        patience: 240,
        alone: false,
        share: 2,
        begin: fuzz::of_rigs,
    },
    Promise {
        name: "fuzz-guidelines",
        promise: "Whatever stands in guidelines, they are taken and come back as they were, or refused in words",
        test: "the defaults, changed in meaning and bytes; a rig checked by them",
        full: || 3_000,
        short: 12,
        patience: 240,
        alone: false,
        share: 2,
        begin: fuzz::of_guidelines,
    },
    Promise {
        name: "fuzz-steps",
        promise: "Whatever a step says, it is recorded or refused in words; what stands is the same when the file is opened again",
        test: "steps of every kind, changed in meaning and bytes, a line each; the window's view after each",
        full: || 5_000,
        short: 15,
        patience: 240,
        alone: false,
        share: 2,
        begin: fuzz::of_steps,
    },
    Promise {
        name: "fuzz-mirror",
        promise: "Whatever lies where the mirror should, it is brought up to the record, or refused and left as it was",
        test: "mirrors whole, behind and torn, with bytes changed, cut, put in and copied about",
        full: || 5_000,
        short: 40,
        patience: 120,
        alone: false,
        share: 1,
        begin: fuzz::of_mirrors,
    },
    Promise {
        name: "day",
        promise: "After a day of calls the program holds what the entries need and a call takes as long as at first",
        test: "24 virtual hours of calls through the program's own steps, beside a program that only opens the file",
        full: || 1,
        short: 1,
        patience: 1_800,
        alone: true,
        share: 1,
        begin: day::begin,
    },
];

/// The one of this name.
pub fn named(name: &str) -> Option<Promise> {
    PROMISES.iter().find(|promise| promise.name == name).copied()
}
