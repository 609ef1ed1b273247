//! A sealed copy: an operation file as it stood, beside it, under a name that says so, and not to be written.
//!
//! `NAME.sealed-COUNT-HEAD.ledge` (the head's first eight digits) is copied by SQLite while the file may be open, read back,
//! compared entry by entry and verified before it gets its name; never written over. Its head is a witness of the file it was
//! made from. That it cannot be written is a right of the disk's and no proof: the head is.

use crate::chain::Head;
use crate::error::JournalError;
use crate::journal::Journal;
use crate::open::flags;
use crate::verify::verify;
use crate::{private, schema};
use rusqlite::{Connection, OpenFlags};
use std::path::{Path, PathBuf};

/// Makes a sealed copy of a file, open or not; answers where it lies and its head. A copy of the same entries that lies there
/// already is answered again.
///
/// # Errors
/// When the file cannot be read or does not fit, there is another file of the copy's name, or the disk does not take it; then
/// nothing is left.
pub fn seal(file: &Path) -> Result<(PathBuf, Head), JournalError> {
    let journal = Journal::open_read_only(file)?;
    if let Some(missing) = journal.without_log() {
        return Err(missing.clone());
    }
    let rows = journal.stored()?;
    drop(journal);
    let head = verify(&rows).map_err(|misfit| misfit.of(file))?.head;
    let stem = file.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let copy = file.with_file_name(format!("{stem}.sealed-{}-{:.8}.ledge", head.count, head.hex));
    let same = |copy: &Path| {
        let read =
            Journal::open_read_only(copy).and_then(|journal| journal.sound().and_then(|()| journal.stored()));
        read.is_ok_and(|found| found == rows)
    };
    if std::fs::symlink_metadata(&copy).is_ok() {
        return if same(&copy) { Ok((copy, head)) } else { Err(JournalError::Exists { file: copy }) };
    }
    let part = private::beside(&copy, ".part");
    let io = |e: std::io::Error| JournalError::disk(&copy, &e);
    let _ = std::fs::remove_file(&part);
    let made = into(file, &part)
        .and_then(|()| {
            if same(&part) {
                return Ok(());
            }
            let why = "the copy does not hold what the file does: more was written meanwhile".to_string();
            Err(JournalError::Disk { file: copy.clone(), why })
        })
        .and_then(|()| keep(&part).and_then(|()| std::fs::rename(&part, &copy)).map_err(io))
        .and_then(|()| private::sync_folder(&copy).map_err(io));
    if let Err(error) = made {
        let _ = std::fs::remove_file(&part);
        return Err(error);
    }
    Ok((copy, head))
}

fn into(file: &Path, part: &Path) -> Result<(), JournalError> {
    let sqlite = |e: rusqlite::Error| JournalError::sqlite(file, &e);
    drop(private::create_new(part).map_err(|e| JournalError::disk(part, &e))?);
    let db = Connection::open_with_flags(file, flags(OpenFlags::SQLITE_OPEN_READ_ONLY)).map_err(sqlite)?;
    schema::guard(&db).map_err(sqlite)?;
    db.execute("VACUUM INTO ?1", [part.to_string_lossy()]).map_err(|e| JournalError::sqlite(part, &e))?;
    db.close().map_err(|(_, e)| sqlite(e))
}

/// On the disk, and not to be written any more.
fn keep(part: &Path) -> std::io::Result<()> {
    std::fs::OpenOptions::new().write(true).open(part)?.sync_all()?;
    let mut rights = std::fs::metadata(part)?.permissions();
    rights.set_readonly(true);
    std::fs::set_permissions(part, rights)
}
