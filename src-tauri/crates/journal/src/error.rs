//! What can go wrong with an operation file: what, where, and what to do next.

use std::path::{Path, PathBuf};
use thiserror::Error;

/// Why an operation file could not be made, opened, read or written.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[allow(missing_docs)]
pub enum JournalError {
    #[error("there is no such file")]
    Missing { file: PathBuf },
    #[error("there is no such folder")]
    NoFolder { folder: PathBuf },
    #[error("there is already a file of that name")]
    Exists { file: PathBuf },
    #[error("this is a folder, not an operation file")]
    Folder { file: PathBuf },
    #[error("the file is empty: it was never an operation file, or its copying was cut off")]
    Empty { file: PathBuf },
    #[error("this is not an operation file of Ledgebook ({why})")]
    NotOurs { file: PathBuf, why: String },
    #[error("the file has format {format}, made by a newer Ledgebook; this one reads up to format {known}")]
    Newer { file: PathBuf, format: i64, known: i64 },
    #[error("the file is damaged ({why})")]
    Damaged { file: PathBuf, why: String },
    #[error("the record is altered: entry {seq} is the first that does not fit ({why})")]
    Altered { file: PathBuf, seq: u64, why: String },
    #[error("the file can be read but not written")]
    ReadOnly { file: PathBuf },
    #[error("byte 18 of the file was changed ({byte} where 1 or 2 belongs): it can be read, and not written")]
    OddHeader { file: PathBuf, byte: u8 },
    #[error("the file may not be read")]
    Forbidden { file: PathBuf },
    #[error(
        "the program that wrote the file ended without closing it, and its folder cannot be written here"
    )]
    LeftOpen { file: PathBuf },
    #[error("{}", without_log(*have, *noted))]
    WithoutLog { file: PathBuf, have: u64, noted: u64 },
    #[error("another program is writing into this file: {holder}")]
    Locked { file: PathBuf, holder: String },
    #[error("the disk did not take it ({why})")]
    Disk { file: PathBuf, why: String },
    #[error("another program wrote into the file while it was open here")]
    WrittenElsewhere { file: PathBuf },
    #[error("there is no entry {id} to erase")]
    NothingToErase { file: PathBuf, id: String },
    #[error("the mirror is not kept up: {why}")]
    MirrorAway { file: PathBuf, why: String },
    #[error("this is not the mirror of the record: {why}; nothing was written to it")]
    MirrorDiffers { file: PathBuf, why: String },
}

impl JournalError {
    /// The stable word for this kind of trouble.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Missing { .. } => "file_missing",
            Self::NoFolder { .. } => "folder_missing",
            Self::Exists { .. } => "file_exists",
            Self::Folder { .. } => "file_is_folder",
            Self::Empty { .. } => "file_empty",
            Self::NotOurs { .. } => "not_ours",
            Self::Newer { .. } => "newer_format",
            Self::Damaged { .. } => "file_damaged",
            Self::Altered { .. } => "chain_altered",
            Self::ReadOnly { .. } => "file_read_only",
            Self::OddHeader { .. } => "file_header",
            Self::Forbidden { .. } => "file_forbidden",
            Self::LeftOpen { .. } => "file_left_open",
            Self::WithoutLog { .. } => "without_log",
            Self::Locked { .. } => "file_locked",
            Self::Disk { .. } => "disk",
            Self::WrittenElsewhere { .. } => "written_elsewhere",
            Self::NothingToErase { .. } => "nothing_to_erase",
            Self::MirrorAway { .. } => "mirror_away",
            Self::MirrorDiffers { .. } => "mirror_differs",
        }
    }

    /// The file it is about.
    pub fn file(&self) -> &Path {
        match self {
            Self::NoFolder { folder } => folder,
            Self::Missing { file }
            | Self::OddHeader { file, .. }
            | Self::Exists { file }
            | Self::Folder { file }
            | Self::Empty { file }
            | Self::NotOurs { file, .. }
            | Self::Newer { file, .. }
            | Self::Damaged { file, .. }
            | Self::Altered { file, .. }
            | Self::ReadOnly { file }
            | Self::Forbidden { file }
            | Self::LeftOpen { file }
            | Self::WithoutLog { file, .. }
            | Self::Locked { file, .. }
            | Self::Disk { file, .. }
            | Self::WrittenElsewhere { file }
            | Self::NothingToErase { file, .. }
            | Self::MirrorAway { file, .. }
            | Self::MirrorDiffers { file, .. } => file,
        }
    }

    /// What to do next.
    pub fn remedy(&self) -> &'static str {
        match self {
            Self::Missing { .. } => "look at the name and the folder, or begin a new operation",
            Self::NoFolder { .. } => "make the folder, or name one that is there",
            Self::Exists { .. } => "take another name; nothing was written over",
            Self::Folder { .. } => "name the .ledge file inside it",
            Self::Empty { .. } => {
                "copy it again from where it came from; if it is the rest of a making that was cut off, begin the operation again: its name can be used"
            }
            Self::NotOurs { .. } => {
                "name a file that ends in .ledge and was made by this program; the file was not touched"
            }
            Self::Newer { .. } => "open it with the newer program; the file was not touched",
            Self::Damaged { .. } => {
                "keep the file as it is; work on a copy, or on the copy on the stick, and begin a new operation file meanwhile"
            }
            Self::Altered { .. } => {
                "keep the file as it is; `ledgebook log verify` says more, and a new operation file takes what is said from now on"
            }
            Self::ReadOnly { .. } => {
                "copy it to a folder that can be written, or give yourself the right to write it"
            }
            Self::OddHeader { .. } => {
                "keep the file as it is; `ledgebook log verify` says whether its entries fit, and `ledgebook log salvage` makes a new file of them to go on in"
            }
            Self::Forbidden { .. } => "ask its owner for the right to read it",
            Self::LeftOpen { .. } => {
                "copy it together with the file of the same name that ends in -wal to a folder that can be written, and open it there"
            }
            Self::WithoutLog { .. } => {
                "look where it was copied from: close it there in every program and copy it again, or copy it together with the file of the same name that ends in -wal; if that is gone, `ledgebook log salvage` makes a new file of what is here, which says so"
            }
            Self::Locked { .. } => "close it there first; it can be read here meanwhile",
            Self::Disk { .. } => "free space or take another disk; what was acknowledged before is kept",
            Self::WrittenElsewhere { .. } => "close it everywhere, then open it again: all entries are kept",
            Self::NothingToErase { .. } => "name an entry of this file by its number or id",
            Self::MirrorAway { .. } => {
                "put the stick in, free space on it or name another; the record itself is kept, and the mirror catches up"
            }
            Self::MirrorDiffers { .. } => {
                "name another file for the mirror, and keep this one: it may be the witness of what the record was"
            }
        }
    }

    /// A file call that failed.
    pub(crate) fn disk(file: &Path, error: &std::io::Error) -> JournalError {
        use std::io::ErrorKind::{NotFound, PermissionDenied, ReadOnlyFilesystem};
        let file = file.to_path_buf();
        match error.kind() {
            PermissionDenied | ReadOnlyFilesystem => JournalError::ReadOnly { file },
            NotFound => JournalError::Missing { file },
            _ => JournalError::Disk { file, why: error.to_string() },
        }
    }

    /// A database call that failed.
    pub(crate) fn sqlite(file: &Path, error: &rusqlite::Error) -> JournalError {
        use rusqlite::{ErrorCode as Code, ffi};
        let file = file.to_path_buf();
        let why = error.to_string();
        let left_open = [
            ffi::SQLITE_READONLY_ROLLBACK,
            ffi::SQLITE_READONLY_RECOVERY,
            ffi::SQLITE_READONLY_CANTINIT,
            ffi::SQLITE_READONLY_DIRECTORY,
        ];
        if error.sqlite_error().is_some_and(|e| left_open.contains(&e.extended_code)) {
            return JournalError::LeftOpen { file };
        }
        match error.sqlite_error_code() {
            Some(Code::CannotOpen) if crate::private::beside(&file, "-wal").exists() => {
                JournalError::LeftOpen { file }
            }
            Some(Code::CannotOpen) => JournalError::Forbidden { file },
            Some(Code::NotADatabase) => JournalError::NotOurs { file, why: "it is no SQLite file".into() },
            Some(Code::DatabaseCorrupt) => JournalError::Damaged { file, why },
            Some(Code::ReadOnly) => JournalError::ReadOnly { file },
            Some(Code::PermissionDenied) => JournalError::Forbidden { file },
            Some(Code::DatabaseBusy | Code::DatabaseLocked) => {
                JournalError::Locked { file, holder: "a program that does not name itself".into() }
            }
            // A value of the wrong type in a strict table means the table is not what it says.
            None => JournalError::Damaged { file, why },
            _ => JournalError::Disk { file, why },
        }
    }
}

fn without_log(have: u64, noted: u64) -> String {
    let entries = if have == 1 { "1 entry".to_string() } else { format!("{have} entries") };
    match noted.checked_sub(have) {
        Some(missing) if noted > 0 => {
            format!("its write-ahead log is gone: {entries} are here, and {missing} more were recorded")
        }
        _ => format!(
            "it was copied without its write-ahead log while a program wrote it or still read it: {entries} came over; whether that \
             log had more cannot be told from the copy"
        ),
    }
}
