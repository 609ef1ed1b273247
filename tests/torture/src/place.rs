//! Where files are made: folders of one run, gone after it.

use std::path::Path;
use tempfile::TempDir;

/// A folder on the machine's own disk.
///
/// # Errors
/// When there is no room for it.
pub fn on_disk() -> Result<TempDir, String> {
    tempfile::tempdir().map_err(|e| format!("no folder to work in: {e}"))
}

/// A folder in memory where there is one: for runs whose disk is played, or that only read.
///
/// # Errors
/// When there is no room for it.
pub fn in_memory() -> Result<TempDir, String> {
    let shared = Path::new("/dev/shm");
    match tempfile::tempdir_in(shared) {
        Ok(folder) => Ok(folder),
        Err(_) => on_disk(),
    }
}
