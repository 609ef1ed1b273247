//! A long record, as of a day of many lowers.

use crate::cli::{run, run_in};
use crate::window::Window;
use serde_json::json;
use std::fmt::Write;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// An operation of so many entries that is not closed: a crew, a rig, and one lower after the other, each read back.
///
/// # Panics
/// When the command line does not take it.
#[must_use]
fn long_record(dir: &Path, entries: usize) -> PathBuf {
    let file = dir.join("long.ledge");
    let name = file.to_string_lossy().into_owned();
    let crew = [
        ("control", "Ines Moreau"),
        ("rope one operator", "Jon Aske"),
        ("rope two operator", "Lea Brand"),
        ("litter attendant", "Tove Lind"),
    ];
    let mut steps = vec![
        json!({ "do": "open", "name": "Bench", "place": "Bench", "purpose": "drill", "edge_height": "40m" }),
        json!({ "do": "rig", "name": "lower", "template": "twin-lower-two-knots", "set": { "rope_length": "80m", "edge_height": "40m" } }),
    ];
    for (role, person) in crew {
        steps.push(json!({ "do": "check_in", "person": person }));
        steps.push(json!({ "do": "assign", "role": role, "person": person }));
    }
    let operators = ["rope one operator", "rope two operator"];
    for n in 0.. {
        let label = format!("k{n}");
        steps.push(json!({ "do": "order", "from": "control", "to": operators, "text": "lower slow", "label": label }));
        let back = |from| json!({ "do": "readback", "from": from, "of": label, "text": "lower slow" });
        steps.extend(operators.map(back));
        let metres = n % 40;
        steps.push(json!({ "do": "report", "from": "litter attendant", "text": format!("{metres} metres") }));
        if steps.len() >= entries {
            break;
        }
    }
    steps.truncate(entries);
    let lines = steps.iter().fold(String::new(), |mut all, step| {
        let _ = writeln!(all, "{step}");
        all
    });
    run(&["log", "new", &name]).done();
    run_in(dir, &[], &["log", "append", &name], &lines).done();
    file
}

/// The real window with a record of as many entries as the first word of the command says, or 20 000; the folder it lies in, and how
/// many they are.
///
/// # Panics
/// When that is no number, or the window does not open.
pub async fn in_the_window() -> (TempDir, Window, usize) {
    let home = tempfile::tempdir().expect("a folder of its own");
    let entries = std::env::args().nth(1).map_or(20_000, |n| n.parse().expect("how many entries"));
    let window = Window::open(home.path(), Some(&long_record(home.path(), entries))).await;
    window.get("strip-saved").await;
    (home, window, entries)
}
