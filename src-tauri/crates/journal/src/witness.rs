//! Holding a record that fits within itself against someone who saw it before.

use crate::chain::{Hash, Heads};
use crate::verify::{Seen, Verified};
use std::collections::{HashMap, HashSet};

impl Verified {
    /// The head as it was when it counted so many entries.
    fn head_at(&self, count: u64) -> Option<String> {
        let mut heads = Heads::default();
        let mut last = vec![0u64; self.names.len()];
        let mut so_far = 0u64;
        let mut seen = self.seen.iter();
        while so_far < count {
            let next = seen.next()?;
            so_far += next.station_seq - last[next.station];
            last[next.station] = next.station_seq;
            heads.push(&self.names[next.station], next.station_seq, next.hash);
        }
        (so_far == count).then(|| heads.head().hex)
    }

    /// What came from before, of a salvaged record: its `salvaged` entry and what followed are its own. All of another.
    fn inherited(&self) -> &[Seen] {
        &self.seen[..self.branch.unwrap_or(self.seen.len())]
    }

    /// How many entries the witness of a salvaged record can have seen: those that came over, and those before them.
    fn count_inherited(&self) -> u64 {
        let mut last = vec![0u64; self.names.len()];
        self.inherited().iter().for_each(|seen| last[seen.station] = seen.station_seq);
        last.iter().sum()
    }

    fn key(&self, seen: &Seen) -> (&str, u64) {
        (&self.names[seen.station], seen.station_seq)
    }
}

/// What someone wrote down of a record earlier: on a report, or in a note-book.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Witness {
    /// Its head: all 64 hexadecimal digits, or the first of them (12 at least).
    pub head: String,
    /// How many entries it had.
    pub count: u64,
}

impl Witness {
    /// Reads `HEAD:COUNT`.
    pub fn read(text: &str) -> Option<Witness> {
        let (head, count) = text.trim().split_once(':')?;
        let head = head.trim().to_ascii_lowercase();
        let fits = (12..=64).contains(&head.len()) && head.bytes().all(|b| b.is_ascii_hexdigit());
        fits.then_some(Witness { head, count: count.trim().parse().ok()? })
    }
}

/// What a record looks like beside its witness.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum WitnessAnswer {
    /// Every entry the witness saw is there as it was; so many came after.
    Complete {
        /// Entries after those of the witness.
        since: u64,
    },
    /// The record ends before what the witness saw.
    Cut {
        /// Entries that are gone.
        missing: u64,
    },
    /// As many entries, and not the same ones.
    Rewritten,
    /// Of a salvaged record: the witness saw it up to an entry that is in a gap, or was lost or written anew after what came over.
    InGap,
}

/// Holds a record that fits within itself against a witness.
pub fn against(record: &Verified, witness: &Witness) -> WitnessAnswer {
    let have = record.head.count;
    if witness.count > have {
        return WitnessAnswer::Cut { missing: witness.count - have };
    }
    let then = record.head_at(witness.count).unwrap_or_default();
    if !then.is_empty() && then.starts_with(&witness.head) {
        WitnessAnswer::Complete { since: have - witness.count }
    } else if record.salvaged && (then.is_empty() || witness.count > record.count_inherited()) {
        WitnessAnswer::InGap
    } else {
        WitnessAnswer::Rewritten
    }
}

/// What a record looks like beside another copy of it: a mirror, an exported record, another file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CopyAnswer {
    /// Every entry of the copy is there as it was; so many came after.
    Complete {
        /// Entries after those of the copy.
        since: u64,
    },
    /// The record ends before the copy does; up to there they agree.
    Cut {
        /// Number in the copy of the first entry that is gone.
        from: u64,
        /// Entries that are gone.
        missing: u64,
    },
    /// From this entry of the record on they do not agree.
    Differs {
        /// Its number.
        seq: u64,
    },
    /// One of the two was salvaged: the copy has entries that the record lacks, and what both have is the same.
    Lacks {
        /// Numbers in the copy of the entries that the record lacks, first and last of each run.
        missing: Vec<(u64, u64)>,
        /// Entries that both have.
        both: u64,
        /// Entries that the record alone has.
        own: u64,
    },
}

/// Holds a record that fits within itself against a copy that does too.
pub fn beside(record: &Verified, copy: &Verified) -> CopyAnswer {
    if record.salvaged || copy.salvaged {
        return beside_salvaged(record, copy);
    }
    let unlike = record.seen.iter().zip(&copy.seen).find(|(ours, theirs)| ours.hash != theirs.hash);
    if let Some((ours, _)) = unlike {
        return CopyAnswer::Differs { seq: ours.seq };
    }
    match copy.seen.get(record.seen.len()) {
        Some(gone) => {
            CopyAnswer::Cut { from: gone.seq, missing: (copy.seen.len() - record.seen.len()) as u64 }
        }
        None => CopyAnswer::Complete { since: (record.seen.len() - copy.seen.len()) as u64 },
    }
}

/// A salvaged record misses entries, and its `salvaged` entry bears the number of one that may be lost: the two are held against
/// each other entry by entry, and differ only where both have the same entry of a chain and it is not the same.
fn beside_salvaged(record: &Verified, copy: &Verified) -> CopyAnswer {
    let ours: HashSet<Hash> = record.seen.iter().map(|seen| seen.hash).collect();
    let by_place: HashMap<_, _> =
        record.inherited().iter().map(|seen| (record.key(seen), (seen.seq, seen.hash))).collect();
    let unlike = copy.inherited().iter().filter_map(|theirs| {
        by_place.get(&copy.key(theirs)).filter(|(_, hash)| *hash != theirs.hash).map(|(seq, _)| *seq)
    });
    if let Some(seq) = unlike.min() {
        return CopyAnswer::Differs { seq };
    }
    let (mut missing, mut lacking): (Vec<(u64, u64)>, u64) = (Vec::new(), 0);
    for (place, gone) in copy.seen.iter().enumerate().filter(|(_, seen)| !ours.contains(&seen.hash)) {
        // That the copy was salvaged is nothing that the record lacks.
        if copy.branch == Some(place) {
            continue;
        }
        lacking += 1;
        match missing.last_mut() {
            Some((_, last)) if *last + 1 == gone.seq => *last = gone.seq,
            _ => missing.push((gone.seq, gone.seq)),
        }
    }
    let branch = copy.branch.map(|place| copy.seen[place].hash);
    let both = copy.seen.len() as u64 - lacking - u64::from(branch.is_some_and(|hash| !ours.contains(&hash)));
    let own = record.seen.len() as u64 - both;
    if missing.is_empty() {
        return CopyAnswer::Complete { since: own };
    }
    CopyAnswer::Lacks { missing, both, own }
}
