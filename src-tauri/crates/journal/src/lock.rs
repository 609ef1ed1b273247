//! The sidecar lock, `NAME.ledge.lock`: one writer at a time, and its name for whoever comes second.
//!
//! The lock is the operating system's lock on the sidecar, never on the operation file itself, so it ends with
//! its holder however that ends; what is written in the sidecar only says who, and how far. Two lines:
//!
//! ```text
//! the window since 2026-05-14 13:02:00, process 4711
//! 00000000000000000057
//! ```
//! The second is the number of the last acknowledged entry, written without waiting for the disk: after a program was
//! killed, a record that ends before it has lost the write-ahead log that lay beside it.
//!
//! A sidecar with words and no lock was left by a program that ended without closing, or says `closed` first: then
//! the file was closed while another program read it, and all is in the file.

use crate::error::JournalError;
use crate::private;
use std::fs::{File, TryLockError};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

const CLOSED: &str = "closed";

/// A held lock; given back when dropped.
#[derive(Debug)]
pub struct Lock {
    file: File,
    path: PathBuf,
    /// Where the number of the last entry stands.
    number_at: u64,
    /// What whoever held it before left behind.
    left: Option<Left>,
    then: Then,
}

/// What becomes of the sidecar when the lock is given back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Then {
    /// Nothing was written under this lock: it is as it was before.
    PutBack,
    /// The file is open: what is written in it stays, for whoever comes after a crash.
    Stay,
    /// The file was closed.
    Remove,
}

/// What a sidecar without a lock says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Left {
    /// Who held the file; `None`: it was closed.
    pub by: Option<String>,
    /// The last entry that was acknowledged, as far as it was written down.
    pub noted: u64,
}

/// Where the lock of an operation file lies.
pub fn sidecar(file: &Path) -> PathBuf {
    private::beside(file, ".lock")
}

/// Held while a lock is taken, and while an operation file that nobody writes is read by plain calls: never both, because
/// closing a file drops all of SQLite's locks on it within the program.
pub(crate) fn apart() -> MutexGuard<'static, ()> {
    static APART: Mutex<()> = Mutex::new(());
    APART.lock().unwrap_or_else(PoisonError::into_inner)
}

fn read(sidecar: &mut impl Read) -> (String, u64) {
    let mut bytes = Vec::new();
    // Unreadable words must not hide that it is locked.
    let _ = sidecar.take(4096).read_to_end(&mut bytes);
    let text = String::from_utf8_lossy(&bytes);
    let mut lines = text.lines();
    let words = lines.next().unwrap_or_default().trim().to_string();
    (words, lines.next().and_then(|number| number.trim().parse().ok()).unwrap_or(0))
}

fn left(words: String, noted: u64) -> Option<Left> {
    match words.as_str() {
        "" => None,
        words if words.starts_with(CLOSED) => Some(Left { by: None, noted }),
        _ => Some(Left { by: Some(words), noted }),
    }
}

/// Who holds an operation file now; `None`: nobody does. Nothing is written and nobody is kept out for longer than
/// the question takes.
pub fn held_by(file: &Path) -> Option<String> {
    let mut held = File::open(sidecar(file)).ok()?;
    match held.try_lock_shared() {
        Err(TryLockError::WouldBlock) => Some(read(&mut held).0),
        _ => None,
    }
}

/// What whoever held an operation file left behind; `None`: nothing, or it is held now.
pub(crate) fn left_behind(file: &Path) -> Option<Left> {
    let mut sidecar = File::open(sidecar(file)).ok()?;
    match sidecar.try_lock_shared() {
        Err(TryLockError::WouldBlock) => None,
        _ => {
            let (words, noted) = read(&mut sidecar);
            left(words, noted)
        }
    }
}

impl Lock {
    /// Takes the lock and writes who holds it.
    ///
    /// # Errors
    /// [`JournalError::Locked`] with the holder's words when another program has it;
    /// [`JournalError::Disk`] when the sidecar cannot be written.
    pub fn take(file: &Path, holder: &str) -> Result<Lock, JournalError> {
        let _apart = apart();
        let path = sidecar(file);
        let disk = |e: std::io::Error| JournalError::disk(&path, &e);
        let mut asked = 0;
        loop {
            let mut sidecar = private::open_or_create(&path).map_err(disk)?;
            match sidecar.try_lock() {
                Ok(()) => {}
                // Someone may just be asking who holds it.
                Err(TryLockError::WouldBlock) if asked < 10 => {
                    asked += 1;
                    std::thread::sleep(std::time::Duration::from_millis(3));
                    continue;
                }
                Err(TryLockError::WouldBlock) => {
                    return Err(JournalError::Locked {
                        file: file.to_path_buf(),
                        holder: read(&mut sidecar).0,
                    });
                }
                Err(TryLockError::Error(e)) => return Err(disk(e)),
            }
            if !still_there(&sidecar, &path) {
                continue; // the holder before removed it between our opening and our locking
            }
            let (words, noted) = read(&mut sidecar);
            let mut lock = Lock {
                file: sidecar,
                path: path.clone(),
                number_at: 0,
                left: left(words, noted),
                then: Then::PutBack,
            };
            lock.write(holder, noted).map_err(disk)?;
            return Ok(lock);
        }
    }

    fn write(&mut self, holder: &str, noted: u64) -> std::io::Result<()> {
        let words = format!("{}, process {}\n", holder.replace(['\n', '\r'], " "), std::process::id());
        self.number_at = words.len() as u64;
        self.file.rewind()?;
        self.file.set_len(0)?;
        self.file.write_all(format!("{words}{noted:020}\n").as_bytes())
    }

    /// Who held it before and ended without closing.
    pub fn left_by(&self) -> Option<&str> {
        self.left.as_ref().and_then(|left| left.by.as_deref())
    }

    /// The file is a new one: what lay here told of one that is gone.
    pub(crate) fn forget(&mut self) {
        self.left = None;
        self.note(0);
    }

    /// The last entry that whoever held it before had acknowledged, as far as it was written down.
    pub(crate) fn noted(&self) -> u64 {
        self.left.as_ref().map_or(0, |left| left.noted)
    }

    /// Notes the last acknowledged entry. It is a hint for after a crash: nothing hangs on it.
    pub(crate) fn note(&mut self, seq: u64) {
        let number = format!("{seq:020}\n");
        let _ = self
            .file
            .seek(SeekFrom::Start(self.number_at))
            .and_then(|_| self.file.write_all(number.as_bytes()));
    }

    /// From here on entries may hang on it: the sidecar goes only when the file is closed.
    pub(crate) fn confirm(&mut self) {
        self.then = Then::Stay;
    }

    /// The file is closed.
    pub(crate) fn closed(mut self) {
        self.then = Then::Remove;
    }

    /// The file is closed and another program still reads it: the sidecar stays and says that all is in the file.
    pub(crate) fn closed_while_read(mut self, seq: u64) {
        let _ = self.write(CLOSED, seq);
        self.then = Then::Stay;
    }

    fn put_back(&mut self, left: &Left) -> std::io::Result<()> {
        self.file.rewind()?;
        self.file.set_len(0)?;
        let words = left.by.as_deref().unwrap_or(CLOSED);
        self.file.write_all(format!("{words}\n{:020}\n", left.noted).as_bytes())
    }
}

impl Drop for Lock {
    fn drop(&mut self) {
        if let (Then::PutBack, Some(left)) = (self.then, self.left.take()) {
            let _ = self.put_back(&left);
            return;
        }
        // Removed while still locked, so that nobody can be between opening and locking unseen.
        if self.then != Then::Stay && still_there(&self.file, &self.path) {
            let _ = std::fs::remove_file(&self.path);
        }
    }
}

/// Whether the path still names the file that is open.
#[cfg(unix)]
fn still_there(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    match (file.metadata(), std::fs::metadata(path)) {
        (Ok(open), Ok(named)) => open.dev() == named.dev() && open.ino() == named.ino(),
        _ => false,
    }
}

/// Elsewhere an open file cannot be removed under its holder.
#[cfg(not(unix))]
fn still_there(_: &File, path: &Path) -> bool {
    path.exists()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_second_is_told_who_holds_it() {
        let dir = tempfile::tempdir().unwrap();
        let file = dir.path().join("a.ledge");
        let first = Lock::take(&file, "the window").unwrap();
        assert_eq!(first.left_by(), None);
        match Lock::take(&file, "log append") {
            Err(JournalError::Locked { holder, .. }) => {
                assert_eq!(holder, format!("the window, process {}", std::process::id()));
            }
            other => panic!("{other:?}"),
        }
        assert_eq!(held_by(&file), Some(format!("the window, process {}", std::process::id())));
        drop(first);
        assert_eq!(held_by(&file), None);
        assert!(!sidecar(&file).exists());
        assert_eq!(Lock::take(&file, "log append").unwrap().left_by(), None);
    }

    #[test]
    fn a_lock_whose_holder_is_gone_is_taken_and_its_holder_named() {
        let dir = tempfile::tempdir().unwrap();
        let file = dir.path().join("a.ledge");
        std::fs::write(sidecar(&file), "the window, process 1\n").unwrap();
        assert_eq!(held_by(&file), None, "words without a lock hold nothing");
        let lock = Lock::take(&file, "the window").unwrap();
        assert_eq!(lock.left_by(), Some("the window, process 1"));
    }
}
