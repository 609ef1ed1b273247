//! Records that tests of the command line begin with.

use crate::cli::{run, run_in};
use crate::place::root;
use serde_json::Value;
use std::path::Path;
use tempfile::{TempDir, tempdir};

/// The demonstration, rehearsed; answers the folder and the record's path.
///
/// # Panics
/// When it cannot be played.
pub fn rehearsed() -> (TempDir, String) {
    let dir = tempdir().expect("a folder");
    let script = root().join("tests/operations/demonstration.json");
    run(&["rehearse", &script.to_string_lossy(), "--out", &dir.path().to_string_lossy()]).done();
    let record = dir.path().join("operation.ledge").to_string_lossy().into_owned();
    (dir, record)
}

/// A new record in a folder with these steps, each acknowledged.
///
/// # Panics
/// When one is not taken.
pub fn record_of(dir: &Path, steps: &[Value]) -> String {
    let file = dir.join("tern.ledge").to_string_lossy().into_owned();
    run(&["log", "new", &file]).done();
    let lines: String = steps.iter().map(|step| format!("{step}\n")).collect();
    let answers = run_in(dir, &[], &["log", "append", &file], &lines).done().json_lines();
    assert_eq!(answers.len(), steps.len());
    file
}
