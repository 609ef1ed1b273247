//! A row of the file as it stands there, with what only the chain needs.

use crate::chain::{Columns, Hash, entry_hash};
use operation::Entry;
use rusqlite::Row;
use serde::Serialize;

/// All columns, in the table's order.
pub(crate) const COLUMNS: &str = "seq, id, station, station_seq, session, boot_ms, recorded_at, happened_at, author, \
kind, version, payload, salt, payload_digest, corrects, prev, hash";

/// An entry with its salt, digest and link: enough to make the chain again. As JSON, blobs are hexadecimal.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stored {
    /// The entry.
    #[serde(flatten)]
    pub entry: Entry,
    /// Salt of the payload's digest; `None` once the payload is erased.
    #[serde(serialize_with = "hex_or_null")]
    pub salt: Option<Vec<u8>>,
    /// SHA-256 of salt and payload.
    #[serde(serialize_with = "hex::serialize")]
    pub payload_digest: Vec<u8>,
    /// Hash of the station's entry before.
    #[serde(serialize_with = "hex::serialize")]
    pub prev: Vec<u8>,
}

fn hex_or_null<S: serde::Serializer>(bytes: &Option<Vec<u8>>, serializer: S) -> Result<S::Ok, S::Error> {
    match bytes {
        Some(bytes) => serializer.collect_str(&hex::encode(bytes)),
        None => serializer.serialize_none(),
    }
}

impl Stored {
    /// Reads a row selected with [`COLUMNS`].
    pub(crate) fn read(row: &Row<'_>) -> rusqlite::Result<Stored> {
        let hash: Vec<u8> = row.get(16)?;
        Ok(Stored {
            entry: Entry {
                seq: row.get(0)?,
                id: row.get(1)?,
                station: row.get(2)?,
                station_seq: row.get(3)?,
                session: row.get(4)?,
                boot_ms: row.get(5)?,
                recorded_at: row.get(6)?,
                happened_at: row.get(7)?,
                author: row.get(8)?,
                kind: row.get(9)?,
                version: row.get(10)?,
                payload: row.get(11)?,
                corrects: row.get(14)?,
                hash: hex::encode(hash),
            },
            salt: row.get(12)?,
            payload_digest: row.get(13)?,
            prev: row.get(15)?,
        })
    }

    /// Whether the hash it carries is this one.
    pub(crate) fn carries(&self, hash: &Hash) -> bool {
        let mut text = [0; 64];
        hex::encode_to_slice(hash, &mut text).is_ok() && self.entry.hash.as_bytes() == text
    }

    /// The hash its columns give, whatever hash it carries.
    pub(crate) fn computed_hash(&self) -> Hash {
        let entry = &self.entry;
        entry_hash(&Columns {
            id: &entry.id,
            station: &entry.station,
            station_seq: entry.station_seq,
            session: &entry.session,
            boot_ms: entry.boot_ms,
            recorded_at: &entry.recorded_at,
            happened_at: Some(&entry.happened_at),
            author: entry.author.as_deref(),
            kind: &entry.kind,
            version: i64::from(entry.version),
            payload_digest: &self.payload_digest,
            corrects: entry.corrects.as_deref(),
            prev: &self.prev,
        })
    }
}
