//! What is handed on besides the report: the standard forms, and everything of an operation in one archive.

use crate::export;
use crate::paper::{Asked, Whole, whole};
use crate::report_input::input;
use crate::session::PROGRAM;
use crate::unnamed::Names;
use crate::wire::Trouble;
use chrono::{DateTime, Datelike, FixedOffset, Timelike};
use operation::{Payload, State};
use report::input::ReportInput;
pub use report::{Form, NAMES_REMOVED};
use sha2::{Digest, Sha256};
use std::io::Write;
use std::path::Path;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

/// Forms that were filled, and what of the record could not be taken in.
#[derive(Clone, Debug)]
pub struct Filled {
    /// The forms.
    pub forms: Vec<Form>,
    /// What could not be taken in, where that is so.
    pub left_out: Option<Trouble>,
}

/// An archive that was made.
#[derive(Clone, Debug)]
pub struct Bundle {
    /// The zip.
    pub bytes: Vec<u8>,
    /// Names of the files in it, in their order.
    pub files: Vec<String>,
    /// What of the record could not be taken in, where that is so.
    pub left_out: Option<Trouble>,
}

/// Fills the standard forms from an operation file.
///
/// # Errors
/// As [`crate::paper::report`].
pub fn forms(file: &Path, asked: &Asked) -> Result<Filled, Trouble> {
    let whole = whole(file)?;
    let (input, state) = input(&whole.rows, &whole.verified, whole.missing)?;
    let forms = report::forms(&asked.set(input, &state)?)?;
    Ok(Filled { forms, left_out: whole.left_out })
}

/// Everything of an operation in one zip: the operation file, its record as lines and as a table, the report, the forms,
/// each rig as it was entered, and a digest of each. The same record gives the same bytes.
///
/// Without names the operation file is not in it: it holds them.
///
/// # Errors
/// As [`crate::paper::report`].
pub fn bundle(file: &Path, asked: &Asked) -> Result<Bundle, Trouble> {
    let Whole { rows, verified, missing, left_out } = whole(file)?;
    let (input, state) = input(&rows, &verified, missing)?;
    let names = asked.no_names.then(|| Names::of(&state));
    let input = asked.set(input, &state)?;
    let mut files: Vec<(String, Vec<u8>)> = Vec::new();
    let open = is_open(file);
    if names.is_none() && !open && left_out.is_none() {
        let bytes = std::fs::read(file).map_err(|e| Trouble::of_file(file, &e))?;
        files.push(("operation.ledge".into(), bytes));
    }
    files.push(("report.pdf".into(), report::write(&input)?));
    files.push(("record.jsonl".into(), export::jsonl_of(&rows, names.as_ref())?));
    files.push(("record.csv".into(), export::csv_of(&rows, names.as_ref())?));
    for form in report::forms(&input)? {
        files.push((format!("forms/{}", form.file), form.bytes));
    }
    files.extend(rigs(&state, names.as_ref()));
    let about = about(&input, &files, names.is_some(), open);
    files.push(("README.txt".into(), about.into_bytes()));
    let sums: String = files
        .iter()
        .map(|(name, bytes)| format!("{}  {name}\n", hex::encode(Sha256::digest(bytes))))
        .collect();
    files.push(("SHA256SUMS".into(), sums.into_bytes()));
    let bytes = packed(&files, &input).map_err(|e| {
        Trouble::new("disk", format!("the archive cannot be put together: {e}"), "", "try again")
    })?;
    Ok(Bundle { bytes, files: files.into_iter().map(|(name, _)| name).collect(), left_out })
}

/// Whether some program has the file open, or left it so: what lies in it is then not all of it.
fn is_open(file: &Path) -> bool {
    journal::private::beside(file, "-wal").exists()
}

/// Each rig as it was entered, under its name and entry number.
fn rigs(state: &State, names: Option<&Names>) -> Vec<(String, Vec<u8>)> {
    let entered = state.written().iter().filter_map(|kept| match kept.first.as_deref() {
        Some(Payload::RigSet(set)) => Some((kept.seq, set)),
        _ => None,
    });
    let file = |(seq, set): (u64, &operation::event::RigSet)| {
        let mut rig = serde_json::to_value(&set.rig).ok()?;
        if let Some(names) = names {
            names.hide_in(&mut rig);
        }
        let mut bytes = serde_json::to_vec_pretty(&rig).ok()?;
        bytes.push(b'\n');
        let name = names.map_or_else(|| set.name.clone(), |names| names.hide(&set.name));
        Some((format!("rigs/entry-{seq}-{}.json", plain(&name)), bytes))
    };
    entered.filter_map(file).collect()
}

/// A name that every file system takes.
fn plain(name: &str) -> String {
    let letters = deunicode::deunicode(name).to_lowercase();
    let parts = letters.split(|c: char| !c.is_ascii_alphanumeric()).filter(|part| !part.is_empty());
    let joined = parts.collect::<Vec<_>>().join("-");
    if joined.is_empty() { "rig".into() } else { joined.chars().take(40).collect() }
}

/// What lies in the archive, in words.
fn about(input: &ReportInput, files: &[(String, Vec<u8>)], no_names: bool, open: bool) -> String {
    let record = &input.record;
    let kind = if input.operation.drill { "a drill" } else { "a rescue" };
    let mut text = format!(
        "{}: {kind}, as recorded by Ledgebook {PROGRAM}.\n{} entries, head {}\n",
        input.operation.name, record.count, record.head
    );
    for missing in &record.missing {
        text.push_str(&format!("Not whole: {missing}.\n"));
    }
    text.push('\n');
    for (name, bytes) in files {
        text.push_str(&format!("{name}  {} bytes{}\n", bytes.len(), purpose(name)));
    }
    text.push_str("SHA256SUMS  the digest of each of them: sha256sum --check SHA256SUMS\n\n");
    if no_names {
        text.push_str(&format!(
            "{NAMES_REMOVED} The record in here cannot be verified; whoever keeps the operation file can \
             hold it against this:\nledgebook log verify FILE.ledge --against {}:{}\n",
            record.head, record.count
        ));
    } else {
        if open {
            text.push_str("The operation file was open when this was made and is not in here; record.jsonl has every entry.\n");
        }
        text.push_str(
            "ledgebook log verify report.pdf\nledgebook log verify record.jsonl --against report.pdf\n",
        );
    }
    text.push_str(&format!("\n{}\n", rig::findings::CAUTION));
    text
}

fn purpose(name: &str) -> &'static str {
    match name {
        "operation.ledge" => "  the operation file",
        "report.pdf" => "  the report",
        "record.jsonl" => "  every entry, a line each (ledgebook schema record)",
        "record.csv" => "  the same as a table for a spreadsheet",
        _ if name.starts_with("forms/") => "  a standard form, filled from the record",
        _ if name.starts_with("rigs/") => "  a rig as it was entered (ledgebook rig check)",
        _ => "",
    }
}

/// The archive; every file is of the time of the last entry, so that it has the same bytes each time.
fn packed(files: &[(String, Vec<u8>)], input: &ReportInput) -> zip::result::ZipResult<Vec<u8>> {
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(written(input))
        .unix_permissions(0o600);
    let mut zip = ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (name, bytes) in files {
        zip.start_file(name.as_str(), options)?;
        zip.write_all(bytes)?;
    }
    Ok(zip.finish()?.into_inner())
}

/// When the last entry was written, by its local time, as a zip can say it.
fn written(input: &ReportInput) -> zip::DateTime {
    let zone = FixedOffset::east_opt(input.operation.offset_min.saturating_mul(60));
    let time = DateTime::from_timestamp_millis(input.record.last_ms).unwrap_or_default();
    let local = zone.map_or_else(|| time.fixed_offset(), |zone| time.with_timezone(&zone));
    let part = |n: u32| u8::try_from(n).unwrap_or(0);
    zip::DateTime::from_date_and_time(
        u16::try_from(local.year()).unwrap_or(0),
        part(local.month()),
        part(local.day()),
        part(local.hour()),
        part(local.minute()),
        part(local.second()),
    )
    .unwrap_or_default()
}
