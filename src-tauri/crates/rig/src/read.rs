//! The rig file in and out.

use crate::error::RigError;
use crate::json::words;
use crate::model::{FORMAT, Rig};
use crate::validate::validate;

/// Longest rig file that is read; a rig of 500 parts takes about a tenth of it.
const MOST_BYTES: usize = 4_000_000;

/// Reads and validates a rig file.
///
/// # Errors
/// Text that is no rig: what is wrong, its path in the file or its id, and the remedy. A file of a
/// newer format, an unknown field, a negative length, a dangling or doubled id are all refused.
pub fn read(text: &str) -> Result<Rig, RigError> {
    if text.len() > MOST_BYTES {
        let what = format!("the file has {} bytes, a rig has at most {MOST_BYTES}", text.len());
        return Err(RigError::new("the whole file", what, "check that it is a rig file"));
    }
    let text = text.trim_start_matches('\u{feff}');
    check_format(text)?;
    let mut json = serde_json::Deserializer::from_str(text);
    let rig: Rig = serde_path_to_error::deserialize(&mut json).map_err(|error| {
        let path = error.path().to_string();
        let inner = error.into_inner();
        let place = if path == "." { format!("line {}", inner.line()) } else { path };
        RigError::new(place, words(&inner), "correct this field, or make the rig anew from a template")
    })?;
    validate(&rig)?;
    Ok(rig)
}

/// The rig file of a rig: readable JSON that ends in a line break.
pub fn write(rig: &Rig) -> String {
    // A rig has text keys and finite numbers only, so that this cannot fail; an empty text would be refused by `read`.
    let mut text = serde_json::to_string_pretty(rig).unwrap_or_default();
    text.push('\n');
    text
}

/// The format word is looked at first: a newer file is called newer, not faulty.
fn check_format(text: &str) -> Result<(), RigError> {
    let whole = crate::json::read(text).map_err(|error| {
        let place = format!("line {} column {}", error.line(), error.column());
        RigError::new(place, words(&error), "mend the JSON there, or take an undamaged copy of the file")
    })?;
    let word = whole.get("format").and_then(serde_json::Value::as_str);
    match word {
        Some(FORMAT) => Ok(()),
        Some(other) if other.starts_with("ledgebook-rig/") => Err(RigError::new(
            "format",
            format!("the rig is of format “{other}”, this program reads “{FORMAT}”"),
            "open it with the version of Ledgebook that wrote it, or a newer one",
        )),
        Some(other) => Err(RigError::new(
            "format",
            format!("“{other}” is not a rig file’s format"),
            format!("a rig file begins with \"format\": \"{FORMAT}\""),
        )),
        None => Err(RigError::new(
            "format",
            "the file has no format word",
            format!("a rig file begins with \"format\": \"{FORMAT}\""),
        )),
    }
}
