//! Whether a record is whole, and whether it is all there: `ledgebook log verify`.

use crate::paper::Pages;
use crate::wire::Trouble;
use journal::{CopyAnswer, Gap, Journal, JournalError, Verified, Witness, WitnessAnswer, line};
use std::path::Path;

/// What a verification found.
#[derive(Clone, Debug)]
pub enum Verdict {
    /// Every entry fits.
    Consistent(Box<Consistent>),
    /// Something does not fit.
    Altered {
        /// The first entry that does not; `None` when only the witness tells.
        entry: Option<u64>,
        /// Why.
        why: String,
    },
}

/// A record whose every entry fits.
#[derive(Clone, Debug)]
pub struct Consistent {
    /// How many entries.
    pub count: u64,
    /// Head of the record.
    pub head: String,
    /// Entries whose words were erased by law.
    pub erased: Vec<u64>,
    /// It was salvaged from a damaged file; where entries are missing.
    pub salvaged: Option<Vec<Gap>>,
    /// It lies without the write-ahead log that may hold its last entries: what is told of that.
    pub without_log: Option<String>,
    /// Whether the end is there.
    pub completeness: Completeness,
    /// Of a report: whether its pages are what its record gives.
    pub pages: Option<Pages>,
}

impl Consistent {
    /// Whether something that could be known is known to be missing or unknown: more than the end, which no record alone
    /// can show.
    pub fn is_short(&self) -> bool {
        self.salvaged.is_some()
            || self.without_log.is_some()
            || matches!(self.pages, Some(Pages::NotChecked(_)))
    }

    /// In words.
    pub fn words(&self) -> String {
        let mut words: Vec<String> = self.pages.iter().map(Pages::words).collect();
        if let Some(gaps) = &self.salvaged {
            words.push(salvaged(gaps));
        }
        words.extend(self.without_log.clone());
        words.push(self.completeness.words());
        words.join("\n")
    }
}

fn salvaged(gaps: &[Gap]) -> String {
    if gaps.is_empty() {
        return "salvaged from a damaged file; no gap between its entries".into();
    }
    let each: Vec<String> = gaps
        .iter()
        .map(|gap| match (gap.after, gap.before - gap.after - 1) {
            (0, n) => format!("the first {n} are missing"),
            (after, 1) => format!("gap after entry {after}: 1 is missing"),
            (after, n) => format!("gap after entry {after}: {n} are missing"),
        })
        .collect();
    format!("salvaged from a damaged file; {}", each.join("; "))
}

/// Whether the record is all there.
#[derive(Clone, Debug)]
pub enum Completeness {
    /// Nobody said how long it was.
    NotChecked,
    /// All the witness saw is there; so many came after.
    Complete {
        /// Entries the witness saw.
        seen: u64,
        /// Entries after them.
        since: u64,
    },
    /// Of a salvaged record: the witness has entries that it lacks; what both have is the same.
    Lacks {
        /// Their numbers, first and last of each run.
        missing: Vec<(u64, u64)>,
        /// Entries that both have.
        both: u64,
        /// Entries that the record alone has.
        own: u64,
    },
    /// Of a salvaged record: the last entry that the witness saw is not there, and whether it was lost or rewritten is not known.
    InGap {
        /// Entries the witness saw.
        seen: u64,
    },
}

impl Completeness {
    /// The word in JSON.
    pub fn word(&self) -> &'static str {
        match self {
            Completeness::NotChecked => "not_checked",
            Completeness::Complete { .. } => "complete",
            Completeness::Lacks { .. } => "lacks",
            Completeness::InGap { .. } => "not_checked",
        }
    }

    /// In words.
    pub fn words(&self) -> String {
        match self {
            Completeness::NotChecked => {
                "consistent; completeness not checked: name a witness with --against (HEAD:COUNT, the PDF of a report, the mirror, or another copy of the record)".into()
            }
            Completeness::Complete { seen, since: 0 } => {
                format!("consistent and complete: the witness saw the same {seen} entries")
            }
            Completeness::Complete { seen, since } => {
                format!("consistent; the {seen} entries the witness saw are all there, {since} came after and are consistent with them")
            }
            Completeness::Lacks { missing, both, own } => {
                format!("the witness has entries that this file lacks: {}; the {both} entries that both have are the same, {own} are in this file alone", runs(missing))
            }
            Completeness::InGap { seen } => {
                format!("the witness saw {seen} entries, and the last of them is not in this file: it was lost with the damage, or what followed the salvage was rewritten; the mirror or another copy of the record shows which")
            }
        }
    }
}

/// “entries 4 to 5, entry 9”.
fn runs(missing: &[(u64, u64)]) -> String {
    let each = missing.iter().map(|(first, last)| match first == last {
        true => format!("entry {first}"),
        false => format!("entries {first} to {last}"),
    });
    each.collect::<Vec<_>>().join(", ")
}

/// Goes through the chain of a record (an operation file, a mirror or an exported record), and holds it against a witness
/// if one is named.
///
/// # Errors
/// When the record or the witness cannot be read, or the witness does not fit within itself.
pub fn verify(file: &Path, against: Option<&str>) -> Result<Verdict, Trouble> {
    let witness = against.map(witness).transpose()?;
    let (verified, without_log, pages) = match read(file)? {
        Read::Fits { verified, without_log, pages } => (verified, without_log, pages),
        Read::NotProven { why } => return Ok(Verdict::Altered { entry: None, why }),
        Read::Misfit { seq, why } => {
            let why = format!("entry {seq} is the first that does not fit: {why}");
            return Ok(Verdict::Altered { entry: Some(seq), why });
        }
    };
    let completeness = match witness.as_ref().map(|witness| hold(&verified, witness)) {
        None => Completeness::NotChecked,
        Some(Ok(completeness)) => completeness,
        Some(Err((entry, why))) => return Ok(Verdict::Altered { entry, why }),
    };
    Ok(Verdict::Consistent(Box::new(Consistent {
        count: verified.head.count,
        head: verified.head.hex.clone(),
        erased: verified.erased.clone(),
        salvaged: verified.salvaged.then(|| verified.gaps.clone()),
        without_log,
        completeness,
        pages,
    })))
}

enum Read {
    Fits {
        verified: Box<Verified>,
        without_log: Option<String>,
        pages: Option<Pages>,
    },
    Misfit {
        seq: u64,
        why: String,
    },
    /// A report that is not what its own record gives.
    NotProven {
        why: String,
    },
}

/// Reads a record, whatever form it has.
fn read(file: &Path) -> Result<Read, Trouble> {
    let ends = |with: &str| file.extension().is_some_and(|end| end.eq_ignore_ascii_case(with));
    if ends("pdf") {
        return of_report(file);
    }
    if !ends("jsonl") {
        let journal = Journal::open_read_only(file)?;
        return match journal.verify() {
            Ok(verified) => Ok(Read::Fits {
                verified: Box::new(verified),
                without_log: journal.without_log().map(JournalError::to_string),
                pages: None,
            }),
            Err(JournalError::Altered { seq, why, .. }) => Ok(Read::Misfit { seq, why }),
            Err(error) => Err(error.into()),
        };
    }
    let bytes = std::fs::read(file).map_err(|e| Trouble::of_file(file, &e))?;
    of_lines(&bytes).map_err(|(number, why)| {
        let place = format!("{}, line {number}", file.display());
        let remedy =
            "`ledgebook log salvage` makes a new record of the whole lines; the file was not touched";
        Trouble::new("bad_line", format!("this line is no entry ({why})"), place, remedy)
    })
}

/// Reads the record attached to a report, and makes the report again from it.
fn of_report(file: &Path) -> Result<Read, Trouble> {
    let bytes = std::fs::read(file).map_err(|e| Trouble::of_file(file, &e))?;
    let place = file.display().to_string();
    if !bytes.starts_with(b"%PDF") {
        let what = "this is no PDF, whatever its name says";
        return Err(Trouble::new("not_ours", what, place, "name the report of an operation"));
    }
    let Some(lines) = report::attached_record(&bytes) else {
        let (what, remedy) = match report::told(&bytes) {
            Some(told) => (
                "no record is attached to this report: names were removed from it",
                format!(
                    "hold the operation file against it: log verify FILE.ledge --against {}",
                    told.witness
                ),
            ),
            None => (
                "the PDF carries no record of Ledgebook",
                "name a report that Ledgebook made, as it was made".to_string(),
            ),
        };
        return Err(Trouble::new("no_record", what, place, remedy));
    };
    let not_proven = |why: String| Read::NotProven { why };
    let rows = match line::read_all(&lines) {
        Ok(rows) => rows,
        Err((number, why)) => {
            return Ok(not_proven(format!("line {number} of the attached record is no entry ({why})")));
        }
    };
    Ok(match journal::verify(&rows) {
        Err(misfit) => Read::Misfit { seq: misfit.seq, why: misfit.why },
        Ok(verified) => match crate::paper::proven(&bytes, &rows, &verified) {
            Ok(pages) => Read::Fits { verified: Box::new(verified), without_log: None, pages: Some(pages) },
            Err(why) => {
                not_proven(format!("the record attached fits in itself, but the report does not: {why}"))
            }
        },
    })
}

fn of_lines(bytes: &[u8]) -> Result<Read, (u64, String)> {
    let rows = line::read_all(bytes)?;
    Ok(match journal::verify(&rows) {
        Ok(verified) => Read::Fits { verified: Box::new(verified), without_log: None, pages: None },
        Err(misfit) => Read::Misfit { seq: misfit.seq, why: misfit.why },
    })
}

/// Who saw the record before.
enum Saw {
    Head(Witness),
    Copy(Box<Verified>),
}

/// Holds a record against its witness; or the entry, if it can be named, and why it is not as the witness saw it.
fn hold(record: &Verified, witness: &Saw) -> Result<Completeness, (Option<u64>, String)> {
    let have = record.head.count;
    let cut = |seen: u64, missing: u64| {
        let why = format!(
            "the end is cut off: the witness saw {seen} entries, the file has {have}; {missing} are gone"
        );
        (None, why)
    };
    match witness {
        Saw::Head(head) => match journal::against(record, head) {
            WitnessAnswer::Complete { since } => Ok(Completeness::Complete { seen: head.count, since }),
            WitnessAnswer::Cut { missing } => Err(cut(head.count, missing)),
            WitnessAnswer::InGap => Ok(Completeness::InGap { seen: head.count }),
            WitnessAnswer::Rewritten => {
                let why = format!(
                    "the record was rewritten: its first {} entries are not the ones the witness saw",
                    head.count
                );
                Err((None, why))
            }
        },
        Saw::Copy(copy) => match journal::beside(record, copy) {
            CopyAnswer::Complete { since } => Ok(Completeness::Complete { seen: copy.head.count, since }),
            CopyAnswer::Cut { missing, .. } => Err(cut(copy.head.count, missing)),
            CopyAnswer::Lacks { missing, both, own } if record.salvaged => {
                Ok(Completeness::Lacks { missing, both, own })
            }
            CopyAnswer::Lacks { missing, .. } => {
                Err((None, format!("the witness has entries that the record lacks: {}", runs(&missing))))
            }
            CopyAnswer::Differs { seq } => {
                let why = format!(
                    "the record was rewritten: entry {seq} is the first that is not the one the witness has"
                );
                Err((Some(seq), why))
            }
        },
    }
}

/// Reads a witness: `HEAD:COUNT`, the PDF of a report, a mirror or exported record, or another operation file.
fn witness(text: &str) -> Result<Saw, Trouble> {
    if let Some(witness) = Witness::read(text) {
        return Ok(Saw::Head(witness));
    }
    let path = Path::new(text);
    let remedy = "write HEAD:COUNT as it stands on the report (at least 12 digits of the head), or name the report’s PDF, the mirror or another copy of the record";
    let no_witness = |what: &str| Trouble::new("bad_witness", what, text, remedy);
    if !path.exists() {
        return Err(no_witness("this is neither HEAD:COUNT nor a file"));
    }
    let read = if path.extension().is_some_and(|end| end.eq_ignore_ascii_case("ledge")) {
        read(path)?
    } else {
        let bytes = std::fs::read(path).map_err(|e| Trouble::of_file(path, &e))?;
        let lines = if bytes.starts_with(b"%PDF") {
            match (report::attached_record(&bytes), report::told(&bytes)) {
                (Some(lines), _) => lines,
                // Without names there is no record in it: head and count alone.
                (None, Some(told)) => {
                    let head = Witness::read(&told.witness);
                    return head.map(Saw::Head).ok_or_else(|| no_witness("the report’s head cannot be read"));
                }
                (None, None) => return Err(no_witness("the PDF carries no record of Ledgebook")),
            }
        } else {
            bytes
        };
        of_lines(&lines).map_err(|(number, why)| {
            no_witness(&format!("the file is no record: its line {number} is no entry ({why})"))
        })?
    };
    match read {
        Read::Fits { verified, .. } => Ok(Saw::Copy(verified)),
        Read::NotProven { why } => Err(no_witness(&why)),
        Read::Misfit { seq, why } => {
            Err(no_witness(&format!("the witness does not fit within itself: entry {seq}: {why}")))
        }
    }
}
