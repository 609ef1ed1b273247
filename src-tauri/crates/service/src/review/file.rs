//! The review of an operation file, for other programs and the command line: whatever can be read of it.

use crate::wire::Trouble;
use journal::{Journal, JournalError, Stored};
use operation::review::measures::{MeasureTable, Measures, measures};
use operation::review::{Finding, Learned, findings, lessons};
use operation::step::Purpose;
use operation::{Entry, State};
use rig::guidelines::Guidelines;
use rig::units::Units;
use serde::Serialize;
use std::path::Path;

/// Which operation.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Operation {
    /// Name; empty: it was never opened.
    pub name: String,
    /// Place.
    pub place: String,
    /// Drill or rescue; `None`: it was never opened.
    pub purpose: Option<Purpose>,
}

/// The review of a file.
#[derive(Clone, Debug, Serialize)]
pub struct Reviewed {
    /// Which operation.
    pub operation: Operation,
    /// What keeps the record from being whole: altered, damaged, its log missing. What is left was reviewed.
    pub trouble: Option<Trouble>,
    /// Measures.
    pub measures: Measures,
    /// The same in words.
    pub tables: Vec<MeasureTable>,
    /// Findings, departures first.
    pub findings: Vec<Finding>,
    /// Lessons that were entered, oldest first.
    pub lessons: Vec<Learned>,
}

/// The entries of a file as far as they fit, and what keeps them from being all.
///
/// # Errors
/// When it cannot be read, or has not one whole entry.
pub fn entries(file: &Path) -> Result<(Vec<Stored>, Option<Trouble>), Trouble> {
    let read = Journal::open_read_only(file).and_then(|j| Ok((j.without_log().cloned(), j.stored()?)));
    let (short, mut rows) = match read {
        Ok(read) => read,
        Err(error @ JournalError::Damaged { .. }) => match journal::salvage::find(file) {
            Ok(found) => return Ok((found.rows, Some(error.into()))),
            Err(_) => return Err(error.into()),
        },
        Err(error) => return Err(error.into()),
    };
    if let Err(misfit) = journal::verify(&rows) {
        let file = file.to_path_buf();
        let altered = JournalError::Altered { file, seq: misfit.seq, why: misfit.why };
        rows.retain(|row| row.entry.seq < misfit.seq);
        return Ok((rows, Some(altered.into())));
    }
    Ok((rows, short.map(Trouble::from)))
}

/// The review of a file as of its last entry, its tables in words in the units asked for; its measures are in SI.
///
/// # Errors
/// When it cannot be read, or has not one whole entry.
pub fn of_file(file: &Path, units: Units) -> Result<Reviewed, Trouble> {
    let (rows, trouble) = entries(file)?;
    let entries: Vec<Entry> = rows.into_iter().map(|row| row.entry).collect();
    let state = State::replay(Guidelines::defaults(), &entries);
    let now_ms = state.last_line_ms();
    let mut measures = measures(&state, now_ms);
    if let Some(trouble) = &trouble {
        let words = format!("{}: {} entries before that were reviewed", trouble.what, state.count());
        measures.missing.insert(0, words);
    }
    let facts = &state.facts;
    Ok(Reviewed {
        operation: Operation { name: facts.name.clone(), place: facts.place.clone(), purpose: facts.purpose },
        trouble,
        tables: measures.tables_in(units),
        measures,
        findings: findings(&state, now_ms),
        lessons: lessons(&state),
    })
}
