//! The report of an operation, and the way back: whether a report is what its own record gives.

use crate::report_input::input;
use crate::review;
use crate::session::PROGRAM;
use crate::unnamed::Names;
use crate::wire::Trouble;
use journal::{Journal, JournalError, Stored, Verified};
use operation::State;
pub use report::input::Paper;
use report::input::ReportInput;
pub use rig::units::Units;
use std::path::Path;

/// How a report is asked for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Asked {
    /// The sheets it is set for.
    pub paper: Paper,
    /// With a page on the patient.
    pub patient: bool,
    /// With numbers in place of names, and nothing attached.
    pub no_names: bool,
    /// Units of its figures.
    pub units: Units,
}

impl Asked {
    /// What a report says of how it was asked for ([`ReportInput::asked`]); `None` when this program does not know it.
    fn read(words: &str) -> Option<Asked> {
        let mut asked = Asked::default();
        for word in words.split_whitespace() {
            match word.split_once('=')? {
                ("paper", "a4") => asked.paper = Paper::A4,
                ("paper", "letter") => asked.paper = Paper::Letter,
                ("patient", yes @ ("yes" | "no")) => asked.patient = yes == "yes",
                ("names", yes @ ("yes" | "no")) => asked.no_names = yes == "no",
                ("units", word) => asked.units = Units::of(word)?,
                _ => return None,
            }
        }
        Some(asked)
    }

    pub(crate) fn set(&self, mut input: ReportInput, state: &State) -> Result<ReportInput, Trouble> {
        input.paper = self.paper;
        input.patient_page = self.patient;
        if self.units != Units::Si {
            input.units = self.units;
            input.review.measures = review::tables_of(state, self.units);
        }
        if !self.no_names {
            return Ok(input);
        }
        let hidden = Names::of(state).hide_report(input);
        hidden.map_err(|e| {
            let what = format!("the names could not be removed ({e})");
            Trouble::new("fault", what, "", "report this as a fault; with names the report can be made")
        })
    }
}

/// A report that was made.
#[derive(Clone, Debug)]
pub struct Made {
    /// The PDF.
    pub bytes: Vec<u8>,
    /// Its pages.
    pub pages: usize,
    /// What of the record could not be taken in, where that is so: the report says it too.
    pub left_out: Option<Trouble>,
}

/// A record as far as it can be read and fits.
#[derive(Debug)]
pub(crate) struct Whole {
    /// The rows.
    pub rows: Vec<Stored>,
    /// What going through them found.
    pub verified: Verified,
    /// What is known to be missing, in words.
    pub missing: Vec<String>,
    /// What could not be taken in.
    pub left_out: Option<Trouble>,
}

/// The report of an operation file. Of a record that is damaged, cut or altered it is made as far as the record fits,
/// and says what is missing.
///
/// # Errors
/// When nothing of the file can be read.
pub fn report(file: &Path, asked: &Asked) -> Result<Made, Trouble> {
    let Whole { rows, verified, missing, left_out } = whole(file)?;
    let asked = {
        let (input, state) = input(&rows, &verified, missing)?;
        // The record as it was read, and its replay, are not needed while the pages are set.
        drop(rows);
        asked.set(input, &state)?
    };
    let (bytes, pages) = report::write_taken(asked)?;
    Ok(Made { bytes, pages, left_out })
}

/// What a report of an operation file prints.
///
/// # Errors
/// As [`report`].
pub fn input_of(file: &Path) -> Result<ReportInput, Trouble> {
    let Whole { rows, verified, missing, .. } = whole(file)?;
    Ok(input(&rows, &verified, missing)?.0)
}

/// Rows as far as they can be read.
#[derive(Default)]
struct Read {
    rows: Vec<Stored>,
    missing: Vec<String>,
    left_out: Option<Trouble>,
    without_log: Option<JournalError>,
}

/// Of a file whose pages are damaged too: its whole entries are looked for, and the file is only read.
fn read(file: &Path) -> Result<Read, Trouble> {
    let read = Journal::open_read_only(file).and_then(|journal| {
        let mut rows = Vec::new();
        journal.each(|row| rows.push(row))?;
        Ok(Read { rows, without_log: journal.without_log().cloned(), ..Read::default() })
    });
    match read {
        Ok(read) => Ok(read),
        Err(error @ JournalError::Damaged { .. }) => {
            let Ok(found) = journal::salvage::find(file) else { return Err(error.into()) };
            let missing = vec![format!("{error}; what follows a gap is not in here")];
            Ok(Read { rows: found.rows, missing, left_out: Some(error.into()), without_log: None })
        }
        Err(error) => Err(error.into()),
    }
}

/// Reads a record as far as it can be read and its chain fits.
///
/// # Errors
/// When the file cannot be opened, or its first entry does not fit already.
pub(crate) fn whole(file: &Path) -> Result<Whole, Trouble> {
    let Read { mut rows, mut missing, mut left_out, without_log } = read(file)?;
    let verified = match journal::verify(&rows) {
        Ok(verified) => verified,
        Err(misfit) => {
            let altered =
                JournalError::Altered { file: file.to_path_buf(), seq: misfit.seq, why: misfit.why.clone() };
            let fits = rows.iter().take_while(|row| row.entry.seq != misfit.seq).count();
            let gone = rows.len() - fits;
            rows.truncate(fits);
            if rows.is_empty() {
                return Err(altered.into());
            }
            let it = match gone {
                1 => "it is".to_string(),
                n => format!("it and {} after it are", n - 1),
            };
            missing.push(format!(
                "entry {} does not fit the chain ({}): {it} in the file and not in here",
                misfit.seq, misfit.why
            ));
            left_out = Some(altered.into());
            journal::verify(&rows).map_err(|misfit| JournalError::Altered {
                file: file.to_path_buf(),
                seq: misfit.seq,
                why: misfit.why,
            })?
        }
    };
    missing.extend(known_missing(&verified, without_log.as_ref()));
    // Each is one line of the document data.
    let missing = missing.into_iter().map(|words: String| words.replace(['\r', '\n'], " ")).collect();
    Ok(Whole { rows, verified, missing, left_out })
}

/// What a record that fits is known to lack.
fn known_missing(verified: &Verified, without_log: Option<&JournalError>) -> Vec<String> {
    let gap = |gap: &journal::Gap| match (gap.after, gap.before.saturating_sub(gap.after + 1)) {
        (0, n) => format!("the first {n}"),
        (after, n) => format!("{n} after entry {after}"),
    };
    let mut missing = Vec::new();
    if verified.salvaged {
        let gaps: Vec<String> = verified.gaps.iter().map(gap).collect();
        let lost = if gaps.is_empty() { "none between those here".into() } else { gaps.join(", ") };
        missing.push(format!(
            "the record was salvaged from a damaged file; entries lost: {lost}; what came after the last is not known"
        ));
    }
    missing.extend(without_log.map(|error| format!("the last entries may be missing: {error}")));
    missing
}

/// What a look at a report found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Pages {
    /// Every byte is what the attached record gives.
    Same,
    /// They could not be made again here, and why.
    NotChecked(String),
}

impl Pages {
    /// The word in JSON.
    pub fn word(&self) -> &'static str {
        match self {
            Pages::Same => "same",
            Pages::NotChecked(_) => "not_checked",
        }
    }

    /// In words.
    pub fn words(&self) -> String {
        match self {
            Pages::Same => {
                "every page is what the attached record gives: made again, the report is the same to the byte"
                    .into()
            }
            Pages::NotChecked(why) => format!("the pages are not checked: {why}"),
        }
    }
}

/// Whether the pages of a report are what its own record gives.
///
/// # Errors
/// In words, what does not fit.
pub(crate) fn proven(bytes: &[u8], rows: &[Stored], verified: &Verified) -> Result<Pages, String> {
    let Some(told) = report::told(bytes) else {
        return Ok(Pages::NotChecked("the file does not say how they were made".into()));
    };
    let own = format!("{}:{}", verified.head.hex, verified.head.count);
    if told.witness != own {
        return Err(format!(
            "it says it was made of the record {}, and the one attached is {own}",
            told.witness
        ));
    }
    if known_missing(verified, None).iter().any(|words| !told.missing.contains(words)) {
        return Err("it does not say what its record is known to lack".into());
    }
    let this = format!("Ledgebook {PROGRAM}");
    let Some(asked) = Asked::read(&told.asked).filter(|_| told.program == this) else {
        printed(&told, verified)?;
        let why =
            format!("{} made them and this is {this}; the head printed is that of the record", told.program);
        return Ok(Pages::NotChecked(why));
    };
    let made = input(rows, verified, told.missing)
        .and_then(|(input, state)| Ok(report::write(&asked.set(input, &state)?)?));
    match made {
        Ok(made) if made == bytes => Ok(Pages::Same),
        Ok(_) => Err(
            "its pages are not, to the byte, those that the attached record gives: the file was changed, or \
                      another program wrote it anew"
                .into(),
        ),
        Err(trouble) => Err(format!("its pages cannot be made again: {trouble}")),
    }
}

/// Whether the head stands on the last page as the record has it.
fn printed(told: &report::Told, verified: &Verified) -> Result<(), String> {
    let page: String =
        told.last_page.iter().flat_map(|text| text.chars()).filter(|c| !c.is_whitespace()).collect();
    if page.contains(&verified.head.hex) {
        Ok(())
    } else {
        Err("the head printed on its last page is not that of the attached record, or cannot be read".into())
    }
}
