//! An entry as one line of JSON: the form of the mirror, of an exported record and of the record inside a report.
//!
//! ```text
//! {"seq":1,"id":"…","station":"top","station_seq":1,"session":"…","boot_ms":0,"recorded_at":"…","happened_at":"…",
//!  "author":null,"kind":"open","version":1,"payload":"{…}","corrects":null,"hash":"64 hex","salt":"64 hex",
//!  "payload_digest":"64 hex","prev":"64 hex"}
//! ```
//! on one line that ends in a line feed. Every stored column is there under its name; text is verbatim (the payload is
//! a text that holds JSON), blobs are hexadecimal, `payload` and `salt` are null once erased. So the lines can be
//! verified like the file itself. A column this program does not know is a fault, never dropped.

use crate::stored::Stored;
use operation::Entry;
use serde::Deserialize;
use std::io::{BufRead, Read};

/// The longest line that is read: whatever is longer is no entry. The longest payload known, a rig with its findings,
/// stays under a hundredth of it.
pub const LONGEST: usize = 64 << 20;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Line {
    seq: u64,
    id: String,
    station: String,
    station_seq: u64,
    session: String,
    boot_ms: i64,
    recorded_at: String,
    happened_at: String,
    author: Option<String>,
    kind: String,
    version: u32,
    payload: Option<String>,
    corrects: Option<String>,
    #[serde(deserialize_with = "hex::deserialize")]
    hash: Vec<u8>,
    salt: Option<String>,
    #[serde(deserialize_with = "hex::deserialize")]
    payload_digest: Vec<u8>,
    #[serde(deserialize_with = "hex::deserialize")]
    prev: Vec<u8>,
}

/// Reads one line.
///
/// # Errors
/// Why it is no entry, in words.
pub fn read(line: &[u8]) -> Result<Stored, String> {
    let line: Line = serde_json::from_slice(line).map_err(|e| e.to_string())?;
    if i64::try_from(line.seq).is_err() || i64::try_from(line.station_seq).is_err() {
        return Err("its number is beyond what a record can hold".into());
    }
    let salt = match line.salt {
        Some(salt) => Some(hex::decode(salt).map_err(|e| format!("its salt is not hexadecimal: {e}"))?),
        None => None,
    };
    Ok(Stored {
        entry: Entry {
            seq: line.seq,
            id: line.id,
            station: line.station,
            station_seq: line.station_seq,
            session: line.session,
            boot_ms: line.boot_ms,
            recorded_at: line.recorded_at,
            happened_at: line.happened_at,
            author: line.author,
            kind: line.kind,
            version: line.version,
            payload: line.payload,
            corrects: line.corrects,
            hash: hex::encode(line.hash),
        },
        salt,
        payload_digest: line.payload_digest,
        prev: line.prev,
    })
}

/// Writes one line with its line feed.
pub fn write(row: &Stored, out: &mut Vec<u8>) {
    // Strings, numbers and nulls into memory: nothing in it can fail.
    let written = serde_json::to_writer(&mut *out, row);
    debug_assert!(written.is_ok(), "an entry is plain JSON");
    out.push(b'\n');
}

/// Whether bytes begin as a record written out as lines does.
pub fn is_lines(bytes: &[u8]) -> bool {
    bytes.starts_with(b"{")
}

/// Reads a record written out as lines.
///
/// # Errors
/// Number of the first line that is no entry, and why.
pub fn read_all(bytes: &[u8]) -> Result<Vec<Stored>, (u64, String)> {
    let lines = (1..).zip(bytes.split(|byte| *byte == b'\n'));
    lines
        .filter(|(_, line)| !line.trim_ascii().is_empty())
        .map(|(n, line)| read(line).map_err(|why| (n, why)))
        .collect()
}

/// Reads the next line with its end, at most [`LONGEST`] bytes of it; empty at the end of the file.
///
/// # Errors
/// When the file cannot be read.
pub fn next(from: &mut impl BufRead, line: &mut Vec<u8>) -> std::io::Result<()> {
    line.clear();
    from.take(LONGEST as u64).read_until(b'\n', line).map(|_| ())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chain::FIRST_PREV;

    fn row() -> Stored {
        let event = operation::NewEvent {
            kind: "a kind of next year".into(),
            version: 9,
            payload: "{\"text\":\"über\\n\\u0000 \\\"quoted\\\"\", \"spaced\" : 1.0}".into(),
            happened_at: None,
            author: None,
            corrects: Some("x".into()),
        };
        let stamp = crate::Stamp {
            id: "an id".into(),
            session: "s".into(),
            boot_ms: -4,
            recorded_at: "t".into(),
            salt: [9; 32],
        };
        crate::insert::link(7, "top", 3, FIRST_PREV, &event, &stamp).0
    }

    #[test]
    fn a_line_reads_back_as_it_was_written() {
        let mut erased = row();
        (erased.entry.payload, erased.salt) = (None, None);
        for row in [row(), erased] {
            let mut line = Vec::new();
            write(&row, &mut line);
            assert_eq!(line.iter().filter(|b| **b == b'\n').count(), 1);
            assert_eq!(read(&line).unwrap(), row);
        }
    }

    #[test]
    fn what_is_no_entry_is_told() {
        let mut line = Vec::new();
        write(&row(), &mut line);
        let text = String::from_utf8(line).unwrap();
        for bad in [
            String::new(),
            "{}".into(),
            text[..text.len() / 2].into(),
            text.replace("\"seq\":7", "\"seq\":-7"),
            text.replace("\"seq\":7", "\"seq\":18446744073709551615"),
            text.replace("\"seq\":7", "\"seq\":7,\"weather\":1"),
            text.replace("\"salt\":\"09", "\"salt\":\"0x"),
        ] {
            assert!(read(bad.as_bytes()).is_err(), "{bad}");
        }
    }
}
