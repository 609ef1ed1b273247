//! `ledgebook doctor`: whether this machine and this file will do, in words a scribe understands.
//!
//! Nothing is mended and nothing is changed, but for one small file that is written, forced to the disk and taken away
//! again. What cannot be asked is “not checked”.

mod disk;
mod file;
mod machine;

pub use machine::Outside;

use crate::wire::{Health, HealthRow, MirrorView};
use std::path::Path;

/// How a finding stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// As it should be.
    InOrder,
    /// Works; someone should know.
    Look,
    /// Nobody could ask.
    NotChecked,
    /// Does not work; with the exit code of the command line (1 altered, 2 not readable, 4 could not).
    Trouble(u8),
}

impl Standing {
    fn word(self) -> &'static str {
        match self {
            Standing::InOrder => "in_order",
            Standing::Look => "look",
            Standing::NotChecked => "not_checked",
            Standing::Trouble(_) => "trouble",
        }
    }
}

/// One finding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// `disk`, `clock`, `file`, `mirror`, `lock`, `fonts`, `display`, `versions`.
    pub id: &'static str,
    /// How it stands.
    pub standing: Standing,
    /// What was found.
    pub words: String,
    /// What to do; empty when there is nothing to do.
    pub remedy: String,
}

fn finding(id: &'static str, standing: Standing, words: impl Into<String>, remedy: &str) -> Finding {
    Finding { id, standing, words: words.into(), remedy: remedy.into() }
}

/// Everything that can be asked. `folder` is where operations are kept; `file` one of them; `mirror` its second copy,
/// where one is kept right now.
pub fn examine(
    folder: &Path,
    file: Option<&Path>,
    mirror: Option<MirrorView>,
    outside: &Outside,
) -> Vec<Finding> {
    let mut found = disk::disk(folder);
    found.extend(machine::clock(outside));
    match file {
        Some(file) => {
            found.push(file::record(file));
            found.extend(file::rights(file));
            found.push(file::lock(file));
        }
        None => found.push(finding(
            "file",
            Standing::NotChecked,
            "no operation file was named",
            "name one: ledgebook doctor FILE.ledge",
        )),
    }
    found.push(file::mirror(file, mirror));
    found.push(machine::fonts());
    found.push(machine::display(outside));
    found.push(machine::versions(outside));
    found
}

/// Exit code of the command line: the gravest trouble (altered, not readable, could not), else 3 when something is not
/// checked, else 0. That no file was named, or no second copy is kept, is no reason for 3.
pub fn exit_code(found: &[Finding]) -> u8 {
    let codes: Vec<u8> = found
        .iter()
        .filter_map(|f| if let Standing::Trouble(code) = f.standing { Some(code) } else { None })
        .collect();
    let unknown =
        found.iter().any(|f| f.standing == Standing::NotChecked && !matches!(f.id, "mirror" | "file"));
    [1, 2, 4].into_iter().find(|code| codes.contains(code)).unwrap_or(if unknown { 3 } else { 0 })
}

/// For the screens and for `--json`.
pub fn view(found: &[Finding]) -> Health {
    let rows = found.iter().map(|f| HealthRow {
        id: f.id.into(),
        standing: f.standing.word().into(),
        words: f.words.clone(),
        remedy: f.remedy.clone(),
    });
    Health { rows: rows.collect() }
}
