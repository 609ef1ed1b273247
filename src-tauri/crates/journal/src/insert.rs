//! A new entry as a row, and rows into the file.

use crate::chain::{Columns, Hash, entry_hash, payload_digest};
use crate::journal::Stamp;
use crate::stored::{COLUMNS, Stored};
use operation::{Entry, NewEvent};
use rusqlite::{Connection, params};

/// The row of a new entry, and its hash.
pub(crate) fn link(
    seq: u64,
    station: &str,
    station_seq: u64,
    prev: Hash,
    event: &NewEvent,
    stamp: &Stamp,
) -> (Stored, Hash) {
    let digest = payload_digest(&stamp.salt, &event.payload);
    let happened_at = event.happened_at.clone().unwrap_or_else(|| stamp.recorded_at.clone());
    let hash = entry_hash(&Columns {
        id: &stamp.id,
        station,
        station_seq,
        session: &stamp.session,
        boot_ms: stamp.boot_ms,
        recorded_at: &stamp.recorded_at,
        happened_at: Some(&happened_at),
        author: event.author.as_deref(),
        kind: &event.kind,
        version: i64::from(event.version),
        payload_digest: &digest,
        corrects: event.corrects.as_deref(),
        prev: &prev,
    });
    let entry = Entry {
        seq,
        id: stamp.id.clone(),
        station: station.to_string(),
        station_seq,
        session: stamp.session.clone(),
        boot_ms: stamp.boot_ms,
        recorded_at: stamp.recorded_at.clone(),
        happened_at,
        author: event.author.clone(),
        kind: event.kind.clone(),
        version: event.version,
        payload: Some(event.payload.clone()),
        corrects: event.corrects.clone(),
        hash: hex::encode(hash),
    };
    (
        Stored {
            entry,
            salt: Some(stamp.salt.to_vec()),
            payload_digest: digest.to_vec(),
            prev: prev.to_vec(),
        },
        hash,
    )
}

/// One transaction: the rows, and a payload that goes.
pub(crate) fn insert(db: &Connection, rows: &[Stored], erase: Option<&str>) -> rusqlite::Result<()> {
    let transaction = rusqlite::Transaction::new_unchecked(db, rusqlite::TransactionBehavior::Immediate)?;
    {
        let sql = format!(
            "INSERT INTO event({COLUMNS}) VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11,?12,?13,?14,?15,?16,?17)"
        );
        let mut statement = transaction.prepare_cached(&sql)?;
        for row in rows {
            let e = &row.entry;
            let hash = hex::decode(&e.hash).unwrap_or_default();
            statement.execute(params![
                e.seq,
                e.id,
                e.station,
                e.station_seq,
                e.session,
                e.boot_ms,
                e.recorded_at,
                e.happened_at,
                e.author,
                e.kind,
                e.version,
                e.payload,
                row.salt,
                row.payload_digest,
                e.corrects,
                row.prev,
                hash
            ])?;
        }
        if let Some(id) = erase {
            let mut gone =
                transaction.prepare_cached("UPDATE event SET payload = NULL, salt = NULL WHERE id = ?1")?;
            if gone.execute([id])? != 1 {
                return Err(rusqlite::Error::QueryReturnedNoRows);
            }
        }
    }
    transaction.commit()
}
