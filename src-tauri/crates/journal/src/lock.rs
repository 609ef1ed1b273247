//! The sidecar lock, `NAME.ledge.lock`: one writer at a time, and its name for whoever comes second.
//!
//! The lock is the operating system's lock on the sidecar, never on the operation file itself, so it ends with
//! its holder however that ends; what is written in the sidecar only says who. A sidecar with words
//! and no lock was left by a program that ended without closing.

use crate::error::JournalError;
use crate::private;
use std::fs::{File, TryLockError};
use std::io::{Read, Seek, Write};
use std::path::{Path, PathBuf};

/// A held lock; given back when dropped.
#[derive(Debug)]
pub struct Lock {
    file: File,
    path: PathBuf,
    /// Who held it before and ended without closing.
    pub left_by: Option<String>,
}

/// Where the lock of an operation file lies.
pub fn sidecar(file: &Path) -> PathBuf {
    private::beside(file, ".lock")
}

/// Who holds an operation file now; `None`: nobody does. Nothing is written and nobody is kept out for longer than
/// the question takes.
pub fn held_by(file: &Path) -> Option<String> {
    let mut held = File::open(sidecar(file)).ok()?;
    match held.try_lock_shared() {
        Err(TryLockError::WouldBlock) => {
            let mut words = String::new();
            // Unreadable words must not hide that it is locked.
            let _ = held.read_to_string(&mut words);
            Some(words.trim().to_string())
        }
        _ => None,
    }
}

impl Lock {
    /// Takes the lock and writes who holds it.
    ///
    /// # Errors
    /// [`JournalError::Locked`] with the holder's words when another program has it;
    /// [`JournalError::Disk`] when the sidecar cannot be written.
    pub fn take(file: &Path, holder: &str) -> Result<Lock, JournalError> {
        let path = sidecar(file);
        let disk = |e: std::io::Error| JournalError::disk(&path, &e);
        loop {
            let mut sidecar = private::open_or_create(&path).map_err(disk)?;
            let mut words = String::new();
            match sidecar.try_lock() {
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => {
                    // Unreadable words must not hide that it is locked.
                    let _ = sidecar.read_to_string(&mut words);
                    return Err(JournalError::Locked {
                        file: file.to_path_buf(),
                        holder: words.trim().to_string(),
                    });
                }
                Err(TryLockError::Error(e)) => return Err(disk(e)),
            }
            if !still_there(&sidecar, &path) {
                continue; // the holder before removed it between our opening and our locking
            }
            let _ = sidecar.read_to_string(&mut words);
            let left_by = Some(words.trim().to_string()).filter(|w| !w.is_empty());
            sidecar.rewind().map_err(disk)?;
            sidecar.set_len(0).map_err(disk)?;
            sidecar
                .write_all(format!("{holder}, process {}\n", std::process::id()).as_bytes())
                .map_err(disk)?;
            return Ok(Lock { file: sidecar, path, left_by });
        }
    }
}

impl Drop for Lock {
    fn drop(&mut self) {
        // Removed while still locked, so that nobody can be between opening and locking unseen.
        if still_there(&self.file, &self.path) {
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
        assert_eq!(first.left_by, None);
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
        assert_eq!(Lock::take(&file, "log append").unwrap().left_by, None);
    }

    #[test]
    fn a_lock_whose_holder_is_gone_is_taken_and_its_holder_named() {
        let dir = tempfile::tempdir().unwrap();
        let file = dir.path().join("a.ledge");
        std::fs::write(sidecar(&file), "the window, process 1\n").unwrap();
        assert_eq!(held_by(&file), None, "words without a lock hold nothing");
        let lock = Lock::take(&file, "the window").unwrap();
        assert_eq!(lock.left_by.as_deref(), Some("the window, process 1"));
    }
}
