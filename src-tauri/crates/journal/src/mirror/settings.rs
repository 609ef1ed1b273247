//! Which mirror an operation has: `NAME.ledge.mirror` beside it.

use crate::error::JournalError;
use crate::private;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

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

pub(super) fn note_made(record: &Path) {
    // If it cannot be noted, a mirror that is missing next time is made anew: no entry hangs on it.
    if let Some(settings) = read(record) {
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
    let path = settings_of(record);
    match std::fs::remove_file(&path) {
        Err(e) if e.kind() != std::io::ErrorKind::NotFound => Err(JournalError::disk(&path, &e)),
        _ => Ok(()),
    }
}
