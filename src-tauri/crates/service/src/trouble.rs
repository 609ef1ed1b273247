//! Every error of the crates below as people see it: what, where, remedy, and a word to branch on.

use crate::Session;
use crate::wire::Trouble;
use journal::{JournalError, MirrorState};
use operation::StepError;
use report::ReportError;
use rig::RigError;
use std::path::Path;

impl Trouble {
    /// From its four parts.
    pub fn new(
        code: &str,
        what: impl Into<String>,
        place: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Trouble {
        Trouble { code: code.into(), what: what.into(), place: place.into(), remedy: remedy.into() }
    }

    /// A file that could not be read or written by plain calls.
    pub fn of_file(file: &Path, error: &std::io::Error) -> Trouble {
        use std::io::ErrorKind::{
            AlreadyExists, InvalidData, IsADirectory, NotADirectory, NotFound, PermissionDenied,
        };
        let place = file.display().to_string();
        match error.kind() {
            NotFound => Trouble::new(
                "file_missing",
                "there is no such file or folder",
                place,
                "look at the name and the folder",
            ),
            IsADirectory => {
                Trouble::new("file_is_folder", "this is a folder, not a file", place, "name a file in it")
            }
            NotADirectory => Trouble::new(
                "file_is_no_folder",
                "this is a file, not a folder",
                place,
                "name the folder it lies in",
            ),
            InvalidData => Trouble::new(
                "not_text",
                "the file is not text (UTF-8)",
                place,
                "name a file of the right kind",
            ),
            AlreadyExists => Trouble::new(
                "file_exists",
                "there is already a file of that name",
                place,
                "take another name",
            ),
            PermissionDenied => Trouble::new(
                "file_forbidden",
                "the file may not be read or written",
                place,
                "ask its owner, or take another folder",
            ),
            _ => Trouble::new(
                "disk",
                format!("the disk did not do it ({error})"),
                place,
                "free space or take another disk",
            ),
        }
    }

    /// Exit code of the command line: 1 for an altered chain, 4 for what this machine could not do, else 2.
    pub fn exit_code(&self) -> u8 {
        match self.code.as_str() {
            "chain_altered" => 1,
            "disk" | "file_locked" | "display" | "written_elsewhere" | "mirror_away" | "report_failed" => 4,
            _ => 2,
        }
    }
}

impl std::fmt::Display for Trouble {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.place.as_str() {
            "" => write!(f, "{}", self.what)?,
            place => write!(f, "{place}: {}", self.what)?,
        }
        if self.remedy.is_empty() {
            Ok(())
        } else {
            write!(f, ". What to do: {}.", self.remedy.trim_end_matches('.'))
        }
    }
}

impl std::error::Error for Trouble {}

impl From<JournalError> for Trouble {
    fn from(error: JournalError) -> Trouble {
        Trouble::new(error.code(), error.to_string(), error.file().display().to_string(), error.remedy())
    }
}

impl Trouble {
    /// What a mirror that is not kept means for whoever has the operation open; `None` when it is kept.
    pub fn of_mirror(path: &Path, state: &MirrorState) -> Option<Trouble> {
        let file = path.to_path_buf();
        match state {
            MirrorState::Kept { .. } => None,
            MirrorState::Behind { why, .. } => {
                Some(JournalError::MirrorAway { file, why: why.clone() }.into())
            }
            MirrorState::Refused { why, .. } => {
                Some(JournalError::MirrorDiffers { file, why: why.clone() }.into())
            }
        }
    }
}

impl Trouble {
    /// Words that were erased by law and may still lie in the log beside the file; `None`: they are gone.
    pub fn of_erased_words(session: &Session) -> Option<Trouble> {
        let log = journal::private::beside(session.file(), "-wal");
        session.journal().erased_words_linger().then(|| {
            Trouble::new(
                "erased_words_linger",
                "the erased words may still lie in the log beside the file: another program reads it, or the disk did not do it",
                log.display().to_string(),
                "close the file everywhere else; it is tried again with each entry, and at closing",
            )
        })
    }
}

impl From<StepError> for Trouble {
    fn from(error: StepError) -> Trouble {
        Trouble::new("bad_step", error.what, error.place, error.remedy)
    }
}

impl From<RigError> for Trouble {
    fn from(error: RigError) -> Trouble {
        Trouble::new("bad_rig", error.what, error.place, error.remedy)
    }
}

impl From<ReportError> for Trouble {
    fn from(error: ReportError) -> Trouble {
        Trouble::new("report_failed", error.to_string(), "", "look at the record with `ledgebook log show`")
    }
}
