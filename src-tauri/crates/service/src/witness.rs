//! Whether a record is whole, and whether it is all there: `ledgebook log verify`.

use crate::wire::Trouble;
use journal::{Heads, Journal, Witness, WitnessAnswer};
use serde_json::Value;
use std::path::Path;

/// What a verification found.
#[derive(Clone, Debug)]
pub enum Verdict {
    /// Every entry fits.
    Consistent {
        /// How many entries.
        count: u64,
        /// Head of the record.
        head: String,
        /// Entries whose words were erased by law.
        erased: Vec<u64>,
        /// Whether the end is there.
        completeness: Completeness,
    },
    /// Something does not fit.
    Altered {
        /// The first entry that does not; `None` when only the witness tells.
        entry: Option<u64>,
        /// Why.
        why: String,
    },
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
    /// It is not; why.
    Broken(String),
}

impl Completeness {
    /// The word in JSON.
    pub fn word(&self) -> &'static str {
        match self {
            Completeness::NotChecked => "not_checked",
            Completeness::Complete { .. } => "complete",
            Completeness::Broken(_) => "broken",
        }
    }

    /// In words.
    pub fn words(&self) -> String {
        match self {
            Completeness::NotChecked => {
                "consistent; completeness not checked: name a witness with --against (HEAD:COUNT or the PDF of a report, or an exported record)".into()
            }
            Completeness::Complete { seen, since: 0 } => format!("consistent and complete: the witness saw the same {seen} entries"),
            Completeness::Complete { seen, since } => {
                format!("consistent; the {seen} entries the witness saw are all there, {since} came after and are consistent with them")
            }
            Completeness::Broken(why) => why.clone(),
        }
    }
}

/// Goes through the pages and the chain of a file, and holds it against a witness if one is named.
///
/// # Errors
/// When the file or the witness cannot be read.
pub fn verify(file: &Path, against: Option<&str>) -> Result<Verdict, Trouble> {
    let journal = Journal::open_read_only(file)?;
    journal.sound()?;
    let rows = journal.stored()?;
    let witness = against.map(witness).transpose()?;
    let verified = match journal::verify(&rows) {
        Ok(verified) => verified,
        Err(misfit) => {
            let why = format!("entry {} is the first that does not fit: {}", misfit.seq, misfit.why);
            return Ok(Verdict::Altered { entry: Some(misfit.seq), why });
        }
    };
    let completeness = match &witness {
        None => Completeness::NotChecked,
        Some(witness) => match journal::against(&verified, witness) {
            WitnessAnswer::Complete { since } => Completeness::Complete { seen: witness.count, since },
            WitnessAnswer::Cut { missing } => {
                let (seen, have) = (witness.count, verified.head.count);
                Completeness::Broken(format!(
                    "the end is cut off: the witness saw {seen} entries, the file has {have}; {missing} are gone"
                ))
            }
            WitnessAnswer::Rewritten => Completeness::Broken(format!(
                "the record was rewritten: its first {} entries are not the ones the witness saw",
                witness.count
            )),
        },
    };
    if let Completeness::Broken(why) = completeness {
        return Ok(Verdict::Altered { entry: None, why });
    }
    Ok(Verdict::Consistent {
        count: verified.head.count,
        head: verified.head.hex,
        erased: verified.erased,
        completeness,
    })
}

/// Reads a witness: `HEAD:COUNT`, the PDF of a report, or a record exported as JSON Lines.
fn witness(text: &str) -> Result<Witness, Trouble> {
    if let Some(witness) = Witness::read(text) {
        return Ok(witness);
    }
    let path = Path::new(text);
    let remedy = "write HEAD:COUNT as it stands on the report (at least 12 digits of the head), or name the report’s PDF or an exported record";
    let no_witness = |what: &str| Trouble::new("bad_witness", what, text, remedy);
    if !path.exists() {
        return Err(no_witness("this is neither HEAD:COUNT nor a file"));
    }
    let bytes = std::fs::read(path).map_err(|e| Trouble::of_file(path, &e))?;
    let lines = if bytes.starts_with(b"%PDF") {
        report::attached_record(&bytes).ok_or_else(|| no_witness("the PDF carries no record of Ledgebook"))?
    } else {
        bytes
    };
    of_lines(&lines).ok_or_else(|| no_witness("the file is no record as JSON Lines"))
}

/// The head of a record that was written out as JSON Lines.
fn of_lines(bytes: &[u8]) -> Option<Witness> {
    let mut heads = Heads::default();
    for line in std::str::from_utf8(bytes).ok()?.lines().filter(|line| !line.trim().is_empty()) {
        let entry: Value = serde_json::from_str(line).ok()?;
        let hash: [u8; 32] = hex::decode(entry.get("hash")?.as_str()?).ok()?.try_into().ok()?;
        heads.push(entry.get("station")?.as_str()?, entry.get("station_seq")?.as_u64()?, hash);
    }
    let head = heads.head();
    Some(Witness { head: head.hex, count: head.count })
}
