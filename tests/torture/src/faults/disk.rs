//! A disk that forgets what was not synced, as the power goes: contents and names are on it only once a sync
//! said so. What lies between (written, not synced) is kept, lost or torn by chance.
//!
//! A sync that answered well is believed: a drive that lies is out of scope. So is a plain sync of the
//! folder, which does not come through SQLite: the trial says when one was done ([`Disk::names_are_kept`]).

use crate::chance::Chance;
use crate::faults::plan::{Fate, Kind, Plan};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Something done to a file that no sync has covered yet.
#[derive(Clone, Debug)]
enum Change {
    Write { at: usize, bytes: Vec<u8> },
    Length(usize),
}

/// A file by its contents; names point to it.
#[derive(Clone, Debug, Default)]
struct Inode {
    kept: Vec<u8>,
    pending: Vec<Change>,
}

/// The disk under one folder.
#[derive(Debug)]
pub struct Disk {
    folder: PathBuf,
    inodes: Vec<Inode>,
    /// Names as the program sees them.
    now: BTreeMap<String, usize>,
    /// Names as they are on the disk.
    kept: BTreeMap<String, usize>,
    /// Changes of names that no sync has covered yet, in order.
    pending: Vec<(String, Option<usize>)>,
    /// What goes wrong when.
    pub plan: Plan,
    /// The power is off, or the program was killed: nothing is done any more.
    pub dead: bool,
    chance: Chance,
    /// A sync says well and keeps nothing: for the test that such a drive is found out.
    pub lies: bool,
    /// Of what no sync covered, so many changes in a hundred are kept when the power goes; `None`: drawn.
    pub share: Option<u64>,
}

impl Disk {
    /// An honest disk under a folder.
    pub fn new(folder: &Path, seed: u64) -> Disk {
        Disk {
            folder: folder.to_path_buf(),
            inodes: Vec::new(),
            now: BTreeMap::new(),
            kept: BTreeMap::new(),
            pending: Vec::new(),
            plan: Plan::default(),
            dead: false,
            chance: Chance::of(seed ^ 0xd15c),
            lies: false,
            share: None,
        }
    }

    /// What becomes of the next operation of this kind. When the power goes here, nothing is done after it.
    pub fn next(&mut self, kind: Kind) -> Fate {
        if self.dead {
            return Fate::Dead;
        }
        let fate = self.plan.next(kind);
        if matches!(fate, Fate::PowerGoes) {
            self.dead = true;
        }
        fate
    }

    /// How much of a failing write is done all the same.
    pub fn part(&mut self, length: usize) -> usize {
        if self.chance.percent(50) { 0 } else { self.chance.index(length) }
    }

    /// A file is opened. One that this disk has not seen lies there whole, unless it is empty: then its
    /// name is as new as it is.
    pub fn open(&mut self, name: &str, was_there: bool) -> usize {
        if let Some(inode) = self.now.get(name) {
            if was_there {
                return *inode;
            }
            // Gone by a plain call, and made again.
            self.pending.push((name.to_string(), None));
        }
        let kept =
            if was_there { std::fs::read(self.folder.join(name)).unwrap_or_default() } else { Vec::new() };
        let lies_there = !kept.is_empty();
        self.inodes.push(Inode { kept, pending: Vec::new() });
        let inode = self.inodes.len() - 1;
        self.now.insert(name.to_string(), inode);
        if lies_there {
            self.kept.insert(name.to_string(), inode);
        } else {
            self.pending.push((name.to_string(), Some(inode)));
        }
        inode
    }

    /// Bytes were written.
    pub fn wrote(&mut self, inode: usize, at: usize, bytes: &[u8]) {
        self.inodes[inode].pending.push(Change::Write { at, bytes: bytes.to_vec() });
    }

    /// The file was cut or lengthened.
    pub fn truncated(&mut self, inode: usize, length: usize) {
        self.inodes[inode].pending.push(Change::Length(length));
    }

    /// A sync answered well; `names` when it covered the folder too.
    pub fn synced(&mut self, inode: usize, names: bool) {
        if self.lies {
            return;
        }
        let file = &mut self.inodes[inode];
        for change in file.pending.drain(..) {
            apply(&mut file.kept, &change);
        }
        if names {
            self.names_are_kept();
        }
    }

    /// A sync failed. Either all of it stays to be synced, or, as some systems do, what could not be written is
    /// forgotten and the next sync says well without it.
    pub fn sync_failed(&mut self, inode: usize) {
        if self.chance.percent(50) {
            let mut file = std::mem::take(&mut self.inodes[inode]);
            file.kept = survivor(&file, &mut self.chance, 50);
            file.pending.clear();
            self.inodes[inode] = file;
        }
    }

    /// A name is gone; `synced` when the folder was synced after it.
    pub fn deleted(&mut self, name: &str, synced: bool) {
        self.now.remove(name);
        self.pending.push((name.to_string(), None));
        if synced {
            self.names_are_kept();
        }
    }

    /// Files that went by plain calls, which do not come through SQLite, are noticed.
    pub fn look_round(&mut self) {
        if self.dead {
            // What the program still did is not done: the power is off.
            return;
        }
        let gone: Vec<String> =
            self.now.keys().filter(|name| !self.folder.join(name).exists()).cloned().collect();
        for name in gone {
            self.deleted(&name, false);
        }
    }

    /// The folder was synced.
    pub fn names_are_kept(&mut self) {
        self.pending.clear();
        self.kept = self.now.clone();
    }

    /// What the power left behind is laid into the folder in place of what the program saw, and the disk
    /// is honest from here on.
    ///
    /// # Errors
    /// When the real folder does not take it.
    pub fn lay_down(&mut self) -> std::io::Result<()> {
        let share = self.share.unwrap_or([0, 50, 90, 100][self.chance.index(4)]);
        match self.share {
            Some(100) => self.names_are_kept(),
            Some(0) => self.pending.clear(),
            _ => self.drop_names(),
        }
        let names: Vec<String> = self.now.keys().chain(self.kept.keys()).cloned().collect();
        for name in names {
            match std::fs::remove_file(self.folder.join(name)) {
                Err(e) if e.kind() != std::io::ErrorKind::NotFound => return Err(e),
                _ => {}
            }
        }
        for (name, inode) in &self.kept {
            let bytes = survivor(&self.inodes[*inode], &mut self.chance, share);
            std::fs::write(self.folder.join(name), bytes)?;
        }
        *self = Disk { lies: self.lies, share: self.share, ..Disk::new(&self.folder, self.chance.next()) };
        Ok(())
    }

    /// Of the names that no sync covered: mostly the first so many changes count, at times any of them.
    fn drop_names(&mut self) {
        let in_order = self.chance.percent(75);
        let kept = self.chance.index(self.pending.len() + 1);
        for (place, (name, inode)) in std::mem::take(&mut self.pending).into_iter().enumerate() {
            let counts = if in_order { place < kept } else { self.chance.percent(50) };
            match (counts, inode) {
                (false, _) => {}
                (true, Some(inode)) => {
                    self.kept.insert(name, inode);
                }
                (true, None) => {
                    self.kept.remove(&name);
                }
            }
        }
    }
}

fn apply(bytes: &mut Vec<u8>, change: &Change) {
    match change {
        Change::Length(length) => bytes.resize(*length, 0),
        Change::Write { at, bytes: new } => {
            if bytes.len() < at + new.len() {
                bytes.resize(at + new.len(), 0);
            }
            bytes[*at..at + new.len()].copy_from_slice(new);
        }
    }
}

/// What a file holds after the power went: of each change that no sync covered, all, nothing or a part.
fn survivor(file: &Inode, chance: &mut Chance, share: u64) -> Vec<u8> {
    let mut bytes = file.kept.clone();
    for change in &file.pending {
        match change {
            _ if chance.percent(share) => apply(&mut bytes, change),
            Change::Write { at, bytes: new } if share > 0 && chance.percent(50) => {
                tear(&mut bytes, *at, new, chance)
            }
            _ => {}
        }
    }
    bytes
}

/// Part of a write: some of its sectors, or all up to a byte. What room it made beyond the end is there, with
/// whatever lay in it.
fn tear(bytes: &mut Vec<u8>, at: usize, new: &[u8], chance: &mut Chance) {
    const SECTOR: usize = 512;
    let rubbish = if chance.percent(50) { 0 } else { 0xa5 };
    if bytes.len() < at + new.len() {
        bytes.resize(at + new.len(), rubbish);
    }
    if chance.percent(50) {
        let upto = chance.index(new.len() + 1);
        bytes[at..at + upto].copy_from_slice(&new[..upto]);
        return;
    }
    for (number, sector) in new.chunks(SECTOR).enumerate() {
        if chance.percent(50) {
            let begin = at + number * SECTOR;
            bytes[begin..begin + sector.len()].copy_from_slice(sector);
        }
    }
}
