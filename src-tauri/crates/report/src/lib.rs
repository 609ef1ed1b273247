//! The after-action report as a PDF: the same bytes for the same record, the record attached, every
//! verdict printed as it was stored.

mod forms;
pub mod input;
mod kit;
mod pages;
mod pdf;
pub mod share;
mod words;
#[cfg(test)]
extern crate self as report;
#[cfg(test)]
mod form_tests;
#[cfg(test)]
mod page_tests;
#[cfg(test)]
mod tests;

pub use forms::{Form, forms};
pub use input::ReportInput;
pub use pdf::{RECORD_NAME, Told, attached_record, told};
use thiserror::Error;

/// What is said wherever names were removed: what was not found as a name is still there.
pub const NAMES_REMOVED: &str = "Names were replaced by numbers, in the calls too where they were found. Not found: a nickname, a misspelling, \
     and whoever is named in words alone and in no place for a person, above all in small letters. Read it before it \
     is handed on.";

/// Why a report could not be made.
#[derive(Debug, Error)]
pub enum ReportError {
    /// A face of the embedded fonts could not be used.
    #[error("the report's font could not be used ({0}); the program is damaged, install it again")]
    Font(String),
    /// A time of the record cannot be printed.
    #[error("the time of the record cannot be written into the report: {0}")]
    Time(String),
    /// The file could not be put together.
    #[error("the report could not be put together: {0}")]
    Write(String),
}

/// Makes the report.
///
/// # Errors
/// When a font or a time cannot be used, or the file cannot be put together; never because of what
/// the record says.
pub fn write(input: &ReportInput) -> Result<Vec<u8>, ReportError> {
    Ok(write_counted(input)?.0)
}

/// Makes the report and says how many pages it has.
///
/// # Errors
/// As [`write`].
pub fn write_counted(input: &ReportInput) -> Result<(Vec<u8>, usize), ReportError> {
    let (record, book) = set(input, input.record.jsonl.as_slice());
    let about = about(input, record);
    finished(book, about)
}

/// The same of what is needed for nothing else: the record is gone once it is packed, the rest before the pages are.
///
/// # Errors
/// As [`write`].
pub fn write_taken(mut input: ReportInput) -> Result<(Vec<u8>, usize), ReportError> {
    input.record.attached = Some(input.record.of_attached());
    let jsonl = std::mem::take(&mut input.record.jsonl);
    let (record, book) = set(&input, jsonl);
    let about = about(&input, record);
    drop(input);
    finished(book, about)
}

/// The record, packed, and the pages. The record is the longest piece of the file: it is packed while the pages are set.
fn set(input: &ReportInput, jsonl: impl AsRef<[u8]> + Send) -> (Option<pdf::Packed>, kit::Book) {
    std::thread::scope(|scope| {
        // It goes with the thread that packs it.
        let record = (!input.names_removed).then(|| scope.spawn(move || pdf::packed(jsonl.as_ref())));
        let book = pages::book(input);
        let record =
            record.map(|packing| packing.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)));
        (record, book)
    })
}

fn about(input: &ReportInput, record: Option<pdf::Packed>) -> pdf::About {
    pdf::About {
        title: input.operation.name.clone(),
        program: format!("Ledgebook {}", input.program),
        at: input.record.last_ms,
        record,
        witness: format!("{}:{}", input.record.head, input.record.count),
        asked: input.asked(),
        missing: input.record.missing.clone(),
        subject: "After-action report",
    }
}

fn finished(book: kit::Book, about: pdf::About) -> Result<(Vec<u8>, usize), ReportError> {
    let pages = book.pages.len();
    Ok((pdf::bytes(book, about)?, pages))
}

/// The log's table alone, with its pages: for measuring.
///
/// # Errors
/// As [`write`].
pub fn log_alone(input: &ReportInput) -> Result<(Vec<u8>, usize), ReportError> {
    let about = pdf::About { asked: "log".into(), subject: "Log", ..about(input, None) };
    finished(pages::log::alone(input), about)
}

/// The cells of the log's table as plain words, row by row.
pub fn log_cells(input: &ReportInput) -> Vec<Vec<String>> {
    pages::log::cells(input)
}

/// How many pages the report has.
pub fn page_count(input: &ReportInput) -> usize {
    pages::book(input).pages.len()
}
