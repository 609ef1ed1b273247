//! The use cases: one function in, one view out. No window toolkit here.

mod abreast;
mod brief;
pub mod bundle;
pub mod catalogue;
pub mod doctor;
pub mod export;
pub mod folder;
mod lean;
pub mod log;
mod log_rows;
pub mod machine;
pub mod mirror;
pub mod paper;
pub mod records;
pub mod rehearse;
mod report_input;
pub mod review;
pub mod rig_draft;
pub mod rig_look;
pub mod rigs;
pub mod schema;
pub mod session;
pub mod state_at;
pub mod sums;
mod trouble;
pub mod unnamed;
pub mod view;
pub mod wire;
pub mod witness;
pub mod words;

pub use journal::Stamp;
pub use operation::Step;
pub use operation::clock::{Now, Reading};
pub use rig::findings;
pub use session::{PROGRAM, STATION, Session};

use std::path::Path;
use wire::Trouble;

/// Reads a text file; `-` is standard input.
///
/// # Errors
/// When it cannot be read, or is not text.
pub fn read_text(file: &Path) -> Result<String, Trouble> {
    let read = if file.as_os_str() == "-" {
        std::io::read_to_string(std::io::stdin())
    } else {
        std::fs::read_to_string(file)
    };
    read.map_err(|e| Trouble::of_file(file, &e))
}

/// Reads one step from a line of JSON. `at` is for scripts: outside one, a step is stamped when it is recorded.
///
/// # Errors
/// A malformed step; `where` begins with `place`.
pub fn read_step(line: &str, place: &str) -> Result<Step, Trouble> {
    let step = Step::read_text(line, place)?;
    if step.at_ms.is_some() {
        let place = format!("{place}, {}", step.act.word());
        let remedy =
            "leave it out: the step is stamped when it is recorded; what happened earlier takes “happened”";
        return Err(Trouble::new("bad_step", "“at” is for scripts", place, remedy));
    }
    Ok(step)
}
