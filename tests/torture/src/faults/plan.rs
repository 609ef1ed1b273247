//! What goes wrong with a disk, and when: drawn from a seed, counted in operations.

use crate::chance::Chance;
use rusqlite::ffi;
use std::collections::BTreeMap;

/// What SQLite asks of a disk.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)]
pub enum Kind {
    Open,
    Read,
    Write,
    Truncate,
    Sync,
    Delete,
    Size,
    Share,
}

/// Kinds with their commonest last, so that a draw falls on them more often.
const KINDS: [Kind; 14] = [
    Kind::Open,
    Kind::Read,
    Kind::Read,
    Kind::Read,
    Kind::Truncate,
    Kind::Delete,
    Kind::Size,
    Kind::Share,
    Kind::Sync,
    Kind::Sync,
    Kind::Sync,
    Kind::Write,
    Kind::Write,
    Kind::Write,
];

/// What becomes of an operation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fate {
    /// It is done.
    Done,
    /// It fails with this code of SQLite's.
    Fails(i32),
    /// The power goes in the middle of it.
    PowerGoes,
    /// The power went before it.
    Dead,
}

/// Operations of one kind that fail: from the one of this number on, so many.
#[derive(Clone, Copy, Debug)]
struct Fault {
    kind: Kind,
    from: u64,
    count: u64,
    code: i32,
}

/// A schedule. The default one is honest.
#[derive(Clone, Debug, Default)]
pub struct Plan {
    faults: Vec<Fault>,
    /// The power goes, or the program is killed, at the operation of this number.
    power: Option<u64>,
    /// From the operation of this number on, so many fail, of whatever kind they are.
    every: Option<(u64, u64)>,
    seen: BTreeMap<Kind, u64>,
    all: u64,
    /// Of reads and writes of the system, so many in a hundred do only a part of what was asked.
    pub partial: u64,
    /// Operations that failed by plan.
    pub failed: u64,
}

impl Plan {
    /// Draws one.
    pub fn draw(chance: &mut Chance) -> Plan {
        let faults = (0..chance.below(4)).map(|_| fault(chance)).collect();
        let power = chance.percent(50).then(|| {
            let far = [20, 80, 300][chance.index(3)];
            chance.below(far)
        });
        let partial = if chance.percent(30) { 1 + chance.below(60) } else { 0 };
        Plan { faults, power, partial, ..Plan::default() }
    }

    /// The power goes at the operation of this number, and nothing else happens.
    pub fn ends_at(number: u64) -> Plan {
        Plan { power: Some(number), ..Plan::default() }
    }

    /// From the operation of this number on, so many fail.
    pub fn fails_at(number: u64, count: u64) -> Plan {
        Plan { every: Some((number, count)), ..Plan::default() }
    }

    /// Whether it has come to the operation of this number.
    pub fn reached(&self, number: u64) -> bool {
        self.all > number
    }

    /// Counts the next operation and says what becomes of it.
    pub fn next(&mut self, kind: Kind) -> Fate {
        let number = self.seen.entry(kind).or_default();
        let this = *number;
        *number += 1;
        self.all += 1;
        if self.power.is_some_and(|at| self.all > at) {
            return Fate::PowerGoes;
        }
        if self.every.is_some_and(|(from, count)| self.all > from && self.all - from <= count) {
            self.failed += 1;
            return Fate::Fails(codes(kind)[0]);
        }
        let hit = self.faults.iter().find(|f| f.kind == kind && this >= f.from && this - f.from < f.count);
        match hit {
            Some(fault) => {
                self.failed += 1;
                Fate::Fails(fault.code)
            }
            None => Fate::Done,
        }
    }
}

fn fault(chance: &mut Chance) -> Fault {
    let kind = KINDS[chance.index(KINDS.len())];
    let codes = codes(kind);
    let far = [4, 30, 150][chance.index(3)];
    Fault {
        kind,
        from: chance.below(far),
        count: [1, 1, 3, 1_000_000][chance.index(4)],
        code: codes[chance.index(codes.len())],
    }
}

/// How an operation of this kind may fail.
fn codes(kind: Kind) -> &'static [i32] {
    match kind {
        Kind::Open => &[ffi::SQLITE_CANTOPEN],
        Kind::Read => &[ffi::SQLITE_IOERR_READ],
        Kind::Write => &[ffi::SQLITE_FULL, ffi::SQLITE_IOERR_WRITE],
        Kind::Truncate => &[ffi::SQLITE_IOERR_TRUNCATE],
        Kind::Sync => &[ffi::SQLITE_IOERR_FSYNC],
        Kind::Delete => &[ffi::SQLITE_IOERR_DELETE],
        Kind::Size => &[ffi::SQLITE_IOERR_FSTAT],
        Kind::Share => &[ffi::SQLITE_IOERR_SHMMAP, ffi::SQLITE_IOERR_SHMSIZE],
    }
}
