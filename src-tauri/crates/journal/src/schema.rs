//! The database under the record: one append-only table, guarded from inside (triggers), from this program
//! (authorizer) and, by the chain, from outside.

use crate::error::JournalError;
use rusqlite::hooks::{AuthAction, AuthContext, Authorization};
use rusqlite::{Connection, config::DbConfig};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// How long a write waits for another program.
pub(crate) const BUSY: std::time::Duration = std::time::Duration::from_secs(2);

/// `application_id` of an operation file: "Ldgb".
pub const APPLICATION_ID: i64 = 0x4C64_6762;

/// The format this program writes, as `user_version`. From format 1 on, what was ever written stays readable. Format 0,
/// which was not frozen, had no `event_no_replace`; it is read as it is and brought to format 1 when it is opened
/// for writing ([`crate::migrate`]).
pub const FORMAT: i64 = 1;

const EVENT: &str = "CREATE TABLE event(\
seq INTEGER PRIMARY KEY, id TEXT, station TEXT, station_seq INTEGER, session TEXT, boot_ms INTEGER, \
recorded_at TEXT, happened_at TEXT, author TEXT, kind TEXT, version INTEGER, payload TEXT, salt BLOB, \
payload_digest BLOB, corrects TEXT, prev BLOB, hash BLOB) STRICT";

const NO_DELETE: &str = "CREATE TRIGGER event_no_delete BEFORE DELETE ON event BEGIN \
SELECT RAISE(ABORT, 'the record is append-only: nothing is deleted'); END";

/// Only payload and salt may go, both at once, and only while the newest entry is an `erased` that names
/// the entry they belong to.
const NO_UPDATE: &str = "CREATE TRIGGER event_no_update BEFORE UPDATE ON event WHEN NOT (\
NEW.payload IS NULL AND NEW.salt IS NULL AND NEW.seq IS OLD.seq AND NEW.id IS OLD.id \
AND NEW.station IS OLD.station AND NEW.station_seq IS OLD.station_seq AND NEW.session IS OLD.session \
AND NEW.boot_ms IS OLD.boot_ms AND NEW.recorded_at IS OLD.recorded_at \
AND NEW.happened_at IS OLD.happened_at AND NEW.author IS OLD.author AND NEW.kind IS OLD.kind \
AND NEW.version IS OLD.version AND NEW.payload_digest IS OLD.payload_digest \
AND NEW.corrects IS OLD.corrects AND NEW.prev IS OLD.prev AND NEW.hash IS OLD.hash \
AND EXISTS (SELECT 1 FROM event WHERE seq = (SELECT max(seq) FROM event) \
AND kind = 'erased' AND corrects = OLD.id)) BEGIN \
SELECT RAISE(ABORT, 'the record is append-only: nothing is edited'); END";

/// Nothing goes in below or in place of what is there: also on a connection where replacing does not count as deleting.
const NO_REPLACE: &str = "CREATE TRIGGER event_no_replace BEFORE INSERT ON event \
WHEN EXISTS (SELECT 1 FROM event WHERE seq >= NEW.seq) BEGIN \
SELECT RAISE(ABORT, 'the record is append-only: nothing is put in or replaced'); END";

/// Everything the file holds, in the order it is made.
const OBJECTS: [(&str, &str); 4] = [
    ("event", EVENT),
    ("event_no_delete", NO_DELETE),
    ("event_no_update", NO_UPDATE),
    ("event_no_replace", NO_REPLACE),
];

/// What a file of this format holds.
fn objects(format: i64) -> &'static [(&'static str, &'static str)] {
    if format == 0 { &OBJECTS[..3] } else { &OBJECTS }
}

/// Settings of every connection: nothing in the file may run code of its own, and replacing counts as deleting.
pub fn guard(db: &Connection) -> rusqlite::Result<()> {
    db.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    db.set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false)?;
    db.pragma_update(None, "recursive_triggers", true)?;
    db.pragma_update(None, "secure_delete", true)?;
    db.pragma_update(None, "cell_size_check", true)?;
    db.busy_timeout(BUSY)
}

/// Makes the tables of a new file.
pub fn make(db: &Connection) -> rusqlite::Result<()> {
    db.pragma_update(None, "application_id", APPLICATION_ID)?;
    db.pragma_update(None, "user_version", FORMAT)?;
    let transaction = db.unchecked_transaction()?;
    for (_, sql) in OBJECTS {
        transaction.execute_batch(sql)?;
    }
    transaction.commit()
}

/// Asks for a journal mode and answers the one there is now. The answer comes before the change is on the disk:
/// only when the statement has run to its end is it known that it was taken.
pub fn switch(db: &Connection, mode: &str) -> rusqlite::Result<String> {
    let mut statement = db.prepare(&format!("PRAGMA journal_mode = {mode}"))?;
    let answered = statement.query_map([], |row| row.get::<_, String>(0))?;
    Ok(answered.collect::<Result<Vec<_>, _>>()?.pop().unwrap_or_default())
}

/// Whether another connection stood in the way, and not the disk.
pub fn held(error: &rusqlite::Error) -> bool {
    use rusqlite::ErrorCode::{DatabaseBusy, DatabaseLocked};
    matches!(error.sqlite_error_code(), Some(DatabaseBusy | DatabaseLocked))
}

/// Makes a file of format 0 one of format 1, in one transaction.
pub fn raise(db: &Connection) -> rusqlite::Result<()> {
    let transaction = rusqlite::Transaction::new_unchecked(db, rusqlite::TransactionBehavior::Immediate)?;
    transaction.execute_batch(NO_REPLACE)?;
    transaction.pragma_update(None, "user_version", 1)?;
    transaction.commit()
}

/// Whether the file is ours, of a format we know, and has what it should and nothing else; answers its format.
pub fn recognise(db: &Connection, file: &Path) -> Result<i64, JournalError> {
    let sqlite = |e: rusqlite::Error| JournalError::sqlite(file, &e);
    let number = |name: &str| db.pragma_query_value(None, name, |row| row.get::<_, i64>(0)).map_err(sqlite);
    let application_id = number("application_id")?;
    if application_id != APPLICATION_ID {
        let why = "it is a database of another program".to_string();
        return Err(JournalError::NotOurs { file: file.to_path_buf(), why });
    }
    let format = number("user_version")?;
    if format < 0 {
        let why = format!("its format is {format}, which there never was");
        return Err(JournalError::Damaged { file: file.to_path_buf(), why });
    }
    if format > FORMAT {
        return Err(JournalError::Newer { file: file.to_path_buf(), format, known: FORMAT });
    }
    let mut statement = db.prepare("SELECT name, sql FROM sqlite_schema ORDER BY name").map_err(sqlite)?;
    let found = statement
        .query_map([], |row| Ok((row.get::<_, String>(0)?, row.get::<_, Option<String>>(1)?)))
        .and_then(Iterator::collect::<Result<Vec<_>, _>>)
        .map_err(sqlite)?;
    let damaged = |why: String| JournalError::Damaged { file: file.to_path_buf(), why };
    for (name, sql) in objects(format) {
        match found.iter().find(|(found_name, _)| found_name == name) {
            Some((_, Some(found_sql))) if found_sql == sql => {}
            Some(_) => return Err(damaged(format!("its {name} is not as this program makes it"))),
            None => return Err(damaged(format!("its {name} is missing"))),
        }
    }
    match found.iter().find(|(name, _)| objects(format).iter().all(|(ours, _)| ours != name)) {
        Some((name, _)) => Err(damaged(format!("it holds “{name}”, which this program never makes"))),
        None => Ok(format),
    }
}

/// From here on this connection can only read and append. `erasing` is set by the one function that may
/// null a payload, while it does.
pub fn lock_down(db: &mut Connection, erasing: Arc<AtomicBool>) -> rusqlite::Result<()> {
    db.authorizer(Some(move |context: AuthContext<'_>| match context.action {
        AuthAction::Select
        | AuthAction::Read { .. }
        | AuthAction::Function { .. }
        | AuthAction::Transaction { .. }
        | AuthAction::Insert { table_name: "event" }
        | AuthAction::Pragma { pragma_name: "journal_mode" | "wal_checkpoint" | "quick_check", .. } => {
            Authorization::Allow
        }
        AuthAction::Update { table_name: "event", column_name: "payload" | "salt" }
            if erasing.load(Ordering::Relaxed) =>
        {
            Authorization::Allow
        }
        _ => Authorization::Deny,
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A bug of ours has the connection of the writer in its hands: it can read and append, and that is all.
    #[test]
    fn the_writers_own_connection_cannot_change_what_is_written() {
        let mut db = Connection::open_in_memory().unwrap();
        guard(&db).unwrap();
        make(&db).unwrap();
        let erasing = Arc::new(AtomicBool::new(false));
        lock_down(&mut db, Arc::clone(&erasing)).unwrap();
        db.execute_batch("INSERT INTO event(seq, id, kind) VALUES (1, 'a', 'note'), (2, 'b', 'note')")
            .unwrap();
        let all = |db: &Connection| -> Vec<(u64, String, String)> {
            let mut rows = db.prepare("SELECT seq, id, kind FROM event ORDER BY seq").unwrap();
            let read = rows.query_map([], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?))).unwrap();
            read.collect::<Result<_, _>>().unwrap()
        };
        let before = all(&db);
        for sql in [
            "DELETE FROM event",
            "UPDATE event SET kind = 'order'",
            "UPDATE event SET payload = NULL, salt = NULL",
            "UPDATE OR REPLACE event SET seq = 1 WHERE seq = 2",
            "REPLACE INTO event(seq, id, kind) VALUES (2, 'x', 'note')",
            "INSERT OR REPLACE INTO event(seq, id, kind) VALUES (1, 'x', 'note')",
            "INSERT INTO event(seq, id, kind) VALUES (1, 'x', 'note') ON CONFLICT(seq) DO UPDATE SET kind = 'x'",
            "INSERT INTO event(seq, id, kind) VALUES (0, 'x', 'note')",
            "DROP TABLE event",
            "DROP TRIGGER event_no_delete",
            "ALTER TABLE event ADD COLUMN more TEXT",
            "ALTER TABLE event RENAME TO gone",
            "CREATE TABLE more(a)",
            "CREATE TRIGGER more AFTER INSERT ON event BEGIN SELECT 1; END",
            "CREATE TEMP TRIGGER more AFTER INSERT ON event BEGIN SELECT 1; END",
            "ATTACH ':memory:' AS other",
            "VACUUM",
            "PRAGMA writable_schema = ON",
            "PRAGMA recursive_triggers = OFF",
            "PRAGMA user_version = 9",
            "PRAGMA synchronous = OFF",
            "DELETE FROM sqlite_schema",
            "UPDATE sqlite_schema SET sql = ''",
        ] {
            assert!(db.execute_batch(sql).is_err(), "{sql}");
            assert_eq!(all(&db), before, "{sql}");
        }
        erasing.store(true, Ordering::Relaxed);
        for sql in
            ["UPDATE event SET payload = NULL, salt = NULL WHERE seq = 1", "UPDATE event SET kind = 'x'"]
        {
            assert!(db.execute_batch(sql).is_err(), "{sql}: no entry says that it is erased");
        }
    }
}
