//! The operation file: whether it opens, whether its chain fits, who writes.

use super::{Finding, Standing, finding};
use crate::wire::Trouble;
use journal::Journal;
use std::path::Path;

/// Opens to read, goes through the chain.
pub fn record(file: &Path) -> Finding {
    let read = Journal::open_read_only(file).and_then(|journal| journal.stored());
    let rows = match read {
        Ok(rows) => rows,
        Err(error) => {
            let trouble = Trouble::from(error);
            let words = format!("{}: {}", file.display(), trouble.what);
            return finding("file", Standing::Trouble(trouble.exit_code()), words, &trouble.remedy);
        }
    };
    match journal::verify(&rows) {
        Ok(verified) => {
            let gone = match verified.erased.len() {
                0 => String::new(),
                n => format!(", the words of {n} erased by law"),
            };
            let words = format!(
                "{}: opens, its chain fits: {} entries{gone}, head {}; whether its end is missing cannot be told from it alone",
                file.display(),
                verified.head.count,
                verified.head.hex
            );
            finding(
                "file",
                Standing::InOrder,
                words,
                "hold it against a report: ledgebook log verify FILE --against REPORT.pdf",
            )
        }
        Err(misfit) => {
            let words = format!(
                "{}: the record is altered: entry {} is the first that does not fit ({})",
                file.display(),
                misfit.seq,
                misfit.why
            );
            finding(
                "file",
                Standing::Trouble(1),
                words,
                "keep the file as it is and hold it against the report and other copies",
            )
        }
    }
}

/// Who holds it.
pub fn lock(file: &Path) -> Finding {
    match journal::held_by(file) {
        None => finding("lock", Standing::InOrder, "no program is writing into the file", ""),
        Some(who) if who.ends_with(&format!("process {}", std::process::id())) => {
            finding("lock", Standing::InOrder, "this window writes into the file", "")
        }
        Some(who) => {
            let who = if who.is_empty() { "a program that does not say who it is".into() } else { who };
            let words = format!("another program is writing into the file: {who}");
            finding(
                "lock",
                Standing::Look,
                words,
                "close it there before you write here; it can be read meanwhile",
            )
        }
    }
}
