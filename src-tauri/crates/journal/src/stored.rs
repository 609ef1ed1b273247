//! A row of the file as it stands there, with what only the chain needs.

use crate::chain::{Columns, Hash, entry_hash};
use operation::Entry;
use operation::event::Lent;
use rusqlite::Row;
use rusqlite::types::{FromSqlResult, ValueRef};
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
        Lying::read(row).map(|lying| lying.stored())
    }

    /// As it would lie in the database.
    pub(crate) fn lying(&self) -> Lying<'_> {
        let e = &self.entry;
        Lying {
            seq: e.seq,
            columns: Columns {
                id: &e.id,
                station: &e.station,
                station_seq: e.station_seq,
                session: &e.session,
                boot_ms: e.boot_ms,
                recorded_at: &e.recorded_at,
                happened_at: Some(&e.happened_at),
                author: e.author.as_deref(),
                kind: &e.kind,
                version: i64::from(e.version),
                payload_digest: &self.payload_digest,
                corrects: e.corrects.as_deref(),
                prev: &self.prev,
            },
            version: e.version,
            payload: e.payload.as_deref(),
            salt: self.salt.as_deref(),
            carries: Carried::Text(&e.hash),
        }
    }

    /// The hash its columns give, whatever hash it carries.
    pub(crate) fn computed_hash(&self) -> Hash {
        entry_hash(&self.lying().columns)
    }

    /// Whether the hash it carries is this one.
    pub(crate) fn carries(&self, hash: &Hash) -> bool {
        Carried::Text(&self.entry.hash).is(hash)
    }
}

/// A hash as it is carried.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Carried<'a> {
    Bytes(&'a [u8]),
    Text(&'a str),
}

impl Carried<'_> {
    /// Whether it is this one.
    pub(crate) fn is(self, hash: &Hash) -> bool {
        match self {
            Carried::Bytes(bytes) => bytes == hash,
            Carried::Text(text) => {
                let mut own = [0; 64];
                hex::encode_to_slice(hash, &mut own).is_ok() && text.as_bytes() == own
            }
        }
    }

    fn text(self) -> String {
        match self {
            Carried::Bytes(bytes) => hex::encode(bytes),
            Carried::Text(text) => text.to_string(),
        }
    }
}

/// A row as it lies in the database, borrowed.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Lying<'a> {
    pub seq: u64,
    pub columns: Columns<'a>,
    version: u32,
    pub payload: Option<&'a str>,
    pub salt: Option<&'a [u8]>,
    pub carries: Carried<'a>,
}

impl<'a> Lying<'a> {
    /// Reads a row selected with [`COLUMNS`].
    pub(crate) fn read(row: &'a Row<'_>) -> rusqlite::Result<Lying<'a>> {
        let version: u32 = row.get(10)?;
        Ok(Lying {
            seq: row.get(0)?,
            columns: Columns {
                id: text(row, 1)?,
                station: text(row, 2)?,
                station_seq: row.get(3)?,
                session: text(row, 4)?,
                boot_ms: row.get(5)?,
                recorded_at: text(row, 6)?,
                happened_at: Some(text(row, 7)?),
                author: text_or_null(row, 8)?,
                kind: text(row, 9)?,
                version: i64::from(version),
                payload_digest: blob(row, 13)?,
                corrects: text_or_null(row, 14)?,
                prev: blob(row, 15)?,
            },
            version,
            payload: text_or_null(row, 11)?,
            salt: blob_or_null(row, 12)?,
            carries: Carried::Bytes(blob(row, 16)?),
        })
    }

    /// What the state is made from.
    pub(crate) fn lent(&self) -> Lent<'a> {
        let c = &self.columns;
        Lent {
            seq: self.seq,
            id: c.id,
            station: c.station,
            session: c.session,
            boot_ms: c.boot_ms,
            recorded_at: c.recorded_at,
            happened_at: c.happened_at.unwrap_or_default(),
            kind: c.kind,
            version: self.version,
            payload: self.payload,
        }
    }

    /// Of its own.
    pub(crate) fn stored(&self) -> Stored {
        let c = &self.columns;
        let own = |text: Option<&str>| text.map(str::to_string);
        Stored {
            entry: Entry {
                seq: self.seq,
                id: c.id.to_string(),
                station: c.station.to_string(),
                station_seq: c.station_seq,
                session: c.session.to_string(),
                boot_ms: c.boot_ms,
                recorded_at: c.recorded_at.to_string(),
                happened_at: c.happened_at.unwrap_or_default().to_string(),
                author: own(c.author),
                kind: c.kind.to_string(),
                version: self.version,
                payload: own(self.payload),
                corrects: own(c.corrects),
                hash: self.carries.text(),
            },
            salt: self.salt.map(<[u8]>::to_vec),
            payload_digest: c.payload_digest.to_vec(),
            prev: c.prev.to_vec(),
        }
    }
}

fn of_type<'a, T>(
    row: &'a Row<'_>,
    column: usize,
    read: impl FnOnce(ValueRef<'a>) -> FromSqlResult<T>,
) -> rusqlite::Result<T> {
    let value = row.get_ref(column)?;
    let kind = value.data_type();
    read(value).map_err(|error| rusqlite::Error::FromSqlConversionFailure(column, kind, Box::new(error)))
}

fn text<'a>(row: &'a Row<'_>, column: usize) -> rusqlite::Result<&'a str> {
    of_type(row, column, |value| value.as_str())
}

fn text_or_null<'a>(row: &'a Row<'_>, column: usize) -> rusqlite::Result<Option<&'a str>> {
    of_type(row, column, |value| value.as_str_or_null())
}

fn blob<'a>(row: &'a Row<'_>, column: usize) -> rusqlite::Result<&'a [u8]> {
    of_type(row, column, |value| value.as_blob())
}

fn blob_or_null<'a>(row: &'a Row<'_>, column: usize) -> rusqlite::Result<Option<&'a [u8]>> {
    of_type(row, column, |value| value.as_blob_or_null())
}
