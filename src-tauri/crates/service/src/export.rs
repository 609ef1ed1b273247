//! The record for other programs: JSON Lines as it stands, or a table for a spreadsheet.

use crate::unnamed::Names;
use crate::wire::Trouble;
use journal::{Journal, Stored};
use operation::{Entry, Payload, State};
use rig::guidelines::Guidelines;
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::Path;

/// What a record can be written as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A table for a spreadsheet.
    Csv,
    /// JSON Lines with all columns.
    Jsonl,
}

/// The record of a file, and how many entries it has.
///
/// # Errors
/// When the file cannot be read or its chain is altered.
pub fn of_file(file: &Path, kind: Kind) -> Result<(Vec<u8>, usize), Trouble> {
    written(file, kind, false)
}

/// The same with numbers in place of names, `no_names` where that is asked for: such lines cannot be verified.
///
/// # Errors
/// As [`of_file`].
pub fn written(file: &Path, kind: Kind, no_names: bool) -> Result<(Vec<u8>, usize), Trouble> {
    let rows = Journal::open_read_only(file)?.stored()?;
    if let Err(misfit) = journal::verify(&rows) {
        return Err(
            journal::JournalError::Altered { file: file.into(), seq: misfit.seq, why: misfit.why }.into()
        );
    }
    let names = no_names.then(|| {
        let entries: Vec<Entry> = rows.iter().map(|row| row.entry.clone()).collect();
        Names::of(&State::replay(Guidelines::defaults(), &entries))
    });
    let bytes = match kind {
        Kind::Csv => csv_of(&rows, names.as_ref())?,
        Kind::Jsonl => jsonl_of(&rows, names.as_ref())?,
    };
    Ok((bytes, rows.len()))
}

/// The record as JSON Lines, one entry a line with all columns, payloads verbatim: enough to make the chain again.
///
/// # Errors
/// When an entry cannot be written as JSON, which no stored entry does.
pub fn jsonl(rows: &[Stored]) -> Result<Vec<u8>, Trouble> {
    let mut out = Vec::new();
    for row in rows {
        let failed = |e: serde_json::Error| {
            Trouble::new(
                "bad_entry",
                format!("the entry cannot be written: {e}"),
                format!("entry {}", row.entry.seq),
                "report this as a fault",
            )
        };
        serde_json::to_writer(&mut out, row).map_err(failed)?;
        out.push(b'\n');
    }
    Ok(out)
}

/// Where the first line of a record without names says what is not found.
const SAID: &str = "names_not_found";

/// The same; without names as plain columns, the first with what is not found as a name, and with what proves an entry left out: it proves what was written, and that is
/// not what stands there any more. The salt goes too, with which a payload could be guessed.
///
/// # Errors
/// As [`jsonl`].
pub(crate) fn jsonl_of(rows: &[Stored], names: Option<&Names>) -> Result<Vec<u8>, Trouble> {
    let Some(names) = names else { return jsonl(rows) };
    let mut out = Vec::new();
    for (place, row) in rows.iter().enumerate() {
        let mut value = serde_json::to_value(&row.entry).unwrap_or_default();
        if let Some(fields) = value.as_object_mut() {
            fields.remove("hash");
            fields.insert("payload".into(), row.entry.payload.as_deref().map(|p| payload(p, names)).into());
            fields
                .insert("author".into(), row.entry.author.as_deref().map(|author| names.hide(author)).into());
            fields.insert("names".into(), "removed".into());
            if place == 0 {
                fields.insert(SAID.into(), report::NAMES_REMOVED.into());
            }
        }
        out.extend(value.to_string().into_bytes());
        out.push(b'\n');
    }
    Ok(out)
}

/// A stored payload without names.
fn payload(text: &str, names: &Names) -> String {
    match serde_json::from_str::<Value>(text) {
        Ok(mut value) => {
            names.hide_in(&mut value);
            value.to_string()
        }
        Err(_) => names.hide(text),
    }
}

/// Columns of the table.
const HEAD: [&str; 16] = [
    "entry",
    "recorded_at",
    "happened_at",
    "kind",
    "from",
    "to",
    "text",
    "of_entry",
    "corrects_entry",
    "by",
    "author",
    "station",
    "session",
    "id",
    "payload",
    "hash",
];

/// The record as a table. A cell that a spreadsheet would take for a formula begins with an apostrophe.
///
/// # Errors
/// When it cannot be written, which memory always can.
pub(crate) fn csv_of(rows: &[Stored], names: Option<&Names>) -> Result<Vec<u8>, Trouble> {
    let failed =
        |e: csv::Error| Trouble::new("disk", format!("the table cannot be written: {e}"), "", "try again");
    let numbers: BTreeMap<&str, u64> =
        rows.iter().map(|row| (row.entry.id.as_str(), row.entry.seq)).collect();
    let number = |id: &str| numbers.get(id).map_or_else(String::new, ToString::to_string);
    let mut out = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    out.write_record(HEAD).map_err(failed)?;
    for row in rows {
        let e = &row.entry;
        let hide = |text: String| names.map_or_else(|| text.clone(), |names| names.hide(&text));
        let said = e
            .payload
            .as_deref()
            .and_then(|text| serde_json::from_str::<Value>(text).ok())
            .unwrap_or_default();
        let text = |field: &str| said.get(field).and_then(Value::as_str).unwrap_or_default().to_string();
        let to = match said.get("to") {
            Some(Value::Array(list)) => list.iter().filter_map(Value::as_str).collect::<Vec<_>>().join(", "),
            _ => String::new(),
        };
        let words = match e.payload.as_deref().map(|p| Payload::read(&e.kind, e.version, p)) {
            None => "erased".to_string(),
            Some(Some(payload)) => crate::words::of(&payload),
            Some(None) => text("text"),
        };
        let record = [
            e.seq.to_string(),
            e.recorded_at.clone(),
            e.happened_at.clone(),
            e.kind.clone(),
            hide(text("from")),
            hide(to),
            hide(words),
            number(&text("of")),
            e.corrects.as_deref().map(number).unwrap_or_default(),
            text("by"),
            hide(e.author.clone().unwrap_or_default()),
            e.station.clone(),
            e.session.clone(),
            e.id.clone(),
            e.payload
                .as_deref()
                .map(|p| names.map_or_else(|| p.to_string(), |n| payload(p, n)))
                .unwrap_or_default(),
            e.hash.clone(),
        ];
        out.write_record(record.map(harmless)).map_err(failed)?;
    }
    out.into_inner()
        .map_err(|e| Trouble::new("disk", format!("the table cannot be written: {e}"), "", "try again"))
}

/// Spreadsheets run what begins like a formula, also after a tab or a line break.
fn harmless(cell: String) -> String {
    let begins = cell.trim_start().chars().next().or_else(|| cell.chars().next());
    if matches!(begins, Some('=' | '+' | '-' | '@' | '\t' | '\r' | '\n'))
        || cell.starts_with(['\t', '\r', '\n'])
    {
        format!("'{cell}")
    } else {
        cell
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_looks_like_a_formula_is_text() {
        for (cell, expected) in [
            ("=HYPERLINK(\"x\")", "'=HYPERLINK(\"x\")"),
            ("+1", "'+1"),
            ("-2m, slack", "'-2m, slack"),
            ("@all", "'@all"),
            ("  =1", "'  =1"),
            ("\t=1", "'\t=1"),
            ("lower slow", "lower slow"),
            ("", ""),
            ("2026-05-14", "2026-05-14"),
        ] {
            assert_eq!(harmless(cell.into()), expected);
        }
    }
}
