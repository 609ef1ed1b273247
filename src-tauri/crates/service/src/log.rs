//! The log as a list: `ledgebook log show`.

use crate::wire::Trouble;
use crate::{export, words};
use journal::Journal;
use operation::event::time_of;
use operation::{Payload, State};
use rig::guidelines::Guidelines;
use std::path::Path;

/// A record to look at.
#[derive(Clone, Debug)]
pub struct Shown {
    /// Entry, time, kind, who to whom, words, and what became of it.
    pub rows: Vec<[String; 6]>,
    /// The same as JSON Lines with all columns.
    pub jsonl: String,
    /// How many entries.
    pub count: usize,
    /// Head of the record; empty when the chain does not fit.
    pub head: String,
    /// Set when the chain does not fit.
    pub altered: Option<Trouble>,
}

/// Every entry of a file.
///
/// # Errors
/// When it cannot be read.
pub fn show(file: &Path) -> Result<Shown, Trouble> {
    let stored = Journal::open_read_only(file)?.stored()?;
    let verified = journal::verify(&stored).map_err(|misfit| {
        Trouble::from(journal::JournalError::Altered { file: file.into(), seq: misfit.seq, why: misfit.why })
    });
    let jsonl = String::from_utf8_lossy(&export::jsonl(&stored)?).into_owned();
    let entries: Vec<_> = stored.into_iter().map(|row| row.entry).collect();
    let state = State::replay(Guidelines::defaults(), &entries);
    let clock =
        |text: &str| time_of(text).map_or_else(|| text.to_string(), |t| t.format("%H:%M:%S").to_string());
    let rows = entries.iter().map(|e| {
        let kept = state.at(e.seq);
        let (who, said) = match kept.and_then(|k| k.first.as_deref()) {
            Some(payload) => (who(&state, payload), words::in_state(&state, payload)),
            None if e.payload.is_none() => {
                let words = kept.map(|k| operation::line::erased_words(&state, k));
                (String::new(), format!("({})", words.unwrap_or_default()))
            }
            None => (String::new(), kept.map(operation::line::unread_words).unwrap_or_default()),
        };
        let mut notes = Vec::new();
        if let Some(by) = kept.and_then(|k| k.corrected_by.last()) {
            notes.push(format!("corrected by {by}"));
        }
        if e.happened_at != e.recorded_at {
            notes.push(format!("happened {}", clock(&e.happened_at)));
        }
        [e.seq.to_string(), clock(&e.recorded_at), e.kind.replace('_', " "), who, said, notes.join(", ")]
    });
    let (head, altered) = match verified {
        Ok(verified) => (verified.head.hex, None),
        Err(trouble) => (String::new(), Some(trouble)),
    };
    Ok(Shown { rows: rows.collect(), jsonl, count: entries.len(), head, altered })
}

/// What a salvage made.
#[derive(Clone, Debug)]
pub struct Salvaged {
    /// Entries that came over.
    pub entries: u64,
    /// Where entries are missing between them.
    pub gaps: Vec<journal::Gap>,
    /// In words.
    pub words: String,
    /// Head of the new record, its `salvaged` entry counted.
    pub head: journal::Head,
}

/// Makes a new operation file of every whole entry of a damaged one, or of a mirror. The damaged file is only read.
///
/// # Errors
/// When it cannot be read or has not one whole entry, or the new file cannot be made; then none is left.
pub fn salvage(file: &Path, out: &Path, holder: &str, stamp: &journal::Stamp) -> Result<Salvaged, Trouble> {
    let found = journal::salvage::find(file)?;
    let salvaged = operation::event::Salvaged {
        from: file.file_name().unwrap_or_default().to_string_lossy().into_owned(),
        why: found.why.clone(),
        entries: found.rows.len() as u64,
        gaps: found.gaps.iter().map(|g| operation::event::Gap { after: g.after, before: g.before }).collect(),
        at_least: found.at_least,
        program: crate::PROGRAM.into(),
    };
    let words = operation::line::salvaged(&salvaged);
    let event = operation::NewEvent::of(&Payload::Salvaged(salvaged))?;
    let journal = journal::salvage::write(&found, out, holder, &event, stamp)?;
    let head = journal.head();
    journal.close()?;
    Ok(Salvaged { entries: found.rows.len() as u64, gaps: found.gaps, words, head })
}

/// Brings a mirror up to the record, now; answers how many entries are in it.
///
/// # Errors
/// When it cannot be written, or is not this record's.
pub fn mirror(file: &Path, to: &Path) -> Result<u64, Trouble> {
    drop(Journal::open_read_only(file)?);
    Ok(journal::mirror::catch_up(file, to)?)
}

/// Who spoke to whom, by the short names of the line.
fn who(state: &State, payload: &Payload) -> String {
    let short = |name: &String| state.guidelines.short(name).to_string();
    match payload.call() {
        Some(call) if call.to.is_empty() => short(&call.from),
        Some(call) => {
            format!("{} → {}", short(&call.from), call.to.iter().map(short).collect::<Vec<_>>().join(", "))
        }
        None => String::new(),
    }
}
