//! Standard forms of the Incident Command System, filled from the operation.
//!
//! Block numbers and titles are those of the ICS Forms Booklet, FEMA 502-2, edition of September 2010 (a work of the US
//! government, in the public domain): of 208, 211 and 214 as its block-by-block instructions print them, of 201 as its form
//! does. They were read in reprints of the booklet, not in FEMA's own file; the columns of 201's block 10 in the reprint of
//! that form by the US Food and Drug Administration ("Incident Briefing (ICS 201)", updated 2/2011). The layout is our own. What the record does not hold is left empty, for the pen: nothing is guessed.

mod activity;
mod briefing;
mod check_in;
mod frame;
mod safety;

use crate::ReportError;
use crate::input::ReportInput;
use crate::kit::Book;
use crate::pdf;
use frame::Kind;

/// A form that was filled.
#[derive(Clone, Debug)]
pub struct Form {
    /// Name of its file.
    pub file: &'static str,
    /// Its number and title.
    pub title: String,
    /// The PDF.
    pub bytes: Vec<u8>,
    /// Its pages.
    pub pages: usize,
}

/// Fills every form.
///
/// # Errors
/// As [`crate::write`].
pub fn forms(input: &ReportInput) -> Result<Vec<Form>, ReportError> {
    let made: [(&'static str, Kind, Book); 4] = [
        ("ics-201.pdf", briefing::KIND, briefing::set(input)),
        ("ics-208.pdf", safety::KIND, safety::set(input)),
        ("ics-211.pdf", check_in::KIND, check_in::set(input)),
        ("ics-214.pdf", activity::KIND, activity::set(input)),
    ];
    made.into_iter().map(|(file, kind, book)| form(file, &kind, book, input)).collect()
}

fn form(file: &'static str, kind: &Kind, book: Book, input: &ReportInput) -> Result<Form, ReportError> {
    let title = format!("{} ({})", kind.title, kind.number);
    let about = pdf::About {
        title: format!("{title}: {}", input.operation.name),
        program: format!("Ledgebook {}", input.program),
        at: input.record.last_ms,
        record: None,
        witness: format!("{}:{}", input.record.head, input.record.count),
        asked: format!("form={} {}", kind.number.to_lowercase().replace(' ', "-"), input.asked()),
        missing: input.record.missing.clone(),
        subject: "Form of the Incident Command System, filled from the record",
    };
    let pages = book.pages.len();
    Ok(Form { file, title, bytes: pdf::bytes(book, about)?, pages })
}

/// The books of all forms, to be looked at.
#[cfg(test)]
pub(crate) fn books(input: &ReportInput) -> Vec<(&'static str, Book)> {
    vec![
        ("ICS 201", briefing::set(input)),
        ("ICS 208", safety::set(input)),
        ("ICS 211", check_in::set(input)),
        ("ICS 214", activity::set(input)),
    ]
}
