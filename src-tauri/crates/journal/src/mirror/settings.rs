//! Which mirror an operation has: `NAME.ledge.mirror` beside it.

use crate::error::JournalError;
use crate::private;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// One at a time reads and writes them: a mirror's thread notes that it was made while another is chosen.
static WRITING: Mutex<()> = Mutex::new(());

const FORMAT: &str = "ledgebook-mirror/1";

#[derive(Debug, Serialize, Deserialize)]
struct Settings {
    format: String,
    to: PathBuf,
    made: bool,
}

/// Where it is written which mirror an operation has.
pub fn settings_of(record: &Path) -> PathBuf {
    private::beside(record, ".mirror")
}

fn read(record: &Path) -> Option<Settings> {
    let bytes = std::fs::read(settings_of(record)).ok()?;
    serde_json::from_slice::<Settings>(&bytes).ok().filter(|s| s.format == FORMAT)
}

fn write(record: &Path, settings: &Settings) -> std::io::Result<()> {
    let bytes = serde_json::to_vec(settings).map_err(std::io::Error::other)?;
    private::write_whole(&settings_of(record), &bytes)
}

/// The mirror an operation has on this machine, if it has one.
pub fn mirrored_to(record: &Path) -> Option<PathBuf> {
    read(record).map(|settings| settings.to)
}

pub(super) fn made(record: &Path) -> bool {
    read(record).is_some_and(|settings| settings.made)
}

/// Notes that this mirror was there; not of another that was chosen meanwhile.
pub(super) fn note_made(record: &Path, mirror: &Path) {
    let _one = WRITING.lock().unwrap_or_else(PoisonError::into_inner);
    // If it cannot be noted, a mirror that is missing next time is made anew: no entry hangs on it.
    if let Some(settings) = read(record).filter(|settings| settings.to == mirror) {
        let _ = write(record, &Settings { made: true, ..settings });
    }
}

/// Notes which mirror an operation has. The path is kept whole, wherever the program is started next.
pub(crate) fn remember(record: &Path, mirror: &Path) -> Result<PathBuf, JournalError> {
    let failed = |e: std::io::Error| JournalError::disk(&settings_of(record), &e);
    let to = std::path::absolute(mirror).map_err(failed)?;
    if same_place(record, &to) {
        let why = "this is the operation file itself".to_string();
        return Err(JournalError::MirrorDiffers { file: to, why });
    }
    let _one = WRITING.lock().unwrap_or_else(PoisonError::into_inner);
    write(record, &Settings { format: FORMAT.into(), to: to.clone(), made: false }).map_err(failed)?;
    Ok(to)
}

pub(super) fn same_place(record: &Path, to: &Path) -> bool {
    match (std::fs::canonicalize(record), std::fs::canonicalize(to)) {
        (Ok(a), Ok(b)) => a == b,
        _ => false,
    }
}

/// From now on the operation has no mirror; what was mirrored stays where it is.
///
/// # Errors
/// When the settings cannot be removed.
pub(crate) fn forget(record: &Path) -> Result<(), JournalError> {
    let _one = WRITING.lock().unwrap_or_else(PoisonError::into_inner);
    let path = settings_of(record);
    match std::fs::remove_file(&path) {
        Err(e) if e.kind() != std::io::ErrorKind::NotFound => Err(JournalError::disk(&path, &e)),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn choosing_a_mirror_while_another_is_noted_neither_fails_nor_mixes_them_up() {
        let dir = tempfile::tempdir().unwrap();
        let record = dir.path().join("a.ledge");
        let (old, new) = (dir.path().join("old.jsonl"), dir.path().join("new.jsonl"));
        remember(&record, &old).unwrap();
        std::thread::scope(|threads| {
            threads.spawn(|| (0..200).for_each(|_| note_made(&record, &old)));
            for _ in 0..200 {
                remember(&record, &new).unwrap();
                assert_eq!(mirrored_to(&record).as_ref(), Some(&new));
                assert!(!made(&record), "the new one was never there");
            }
        });
    }
}
