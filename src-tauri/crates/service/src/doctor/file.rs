//! The operation file: whether it opens, whether its chain fits, who writes.

use super::{Finding, Standing, finding};
use crate::wire::{MirrorView, Trouble};
use journal::Journal;
use std::path::Path;

/// Opens to read, goes through the chain.
pub fn record(file: &Path) -> Finding {
    let read = Journal::open_read_only(file)
        .and_then(|journal| journal.stored().map(|rows| (rows, journal.without_log().cloned())));
    let (rows, without_log) = match read {
        Ok(read) => read,
        Err(error) => {
            let trouble = Trouble::from(error);
            let words = format!("{}: {}", file.display(), trouble.what);
            return finding("file", Standing::Trouble(trouble.exit_code()), words, &trouble.remedy);
        }
    };
    match journal::verify(&rows) {
        Ok(_) if let Some(missing) = without_log => {
            let words = format!("{}: opens, what is here fits; {missing}", file.display());
            finding("file", Standing::Look, words, missing.remedy())
        }
        Ok(verified) => {
            let gone = match verified.erased.len() {
                0 => String::new(),
                n => format!(", the words of {n} erased by law"),
            };
            let words = format!(
                "{}: opens, its chain fits: {} entries{gone}, head {}; whether its end is missing cannot be told from it alone",
                file.display(),
                verified.head.count,
                verified.head.hex
            );
            finding(
                "file",
                Standing::InOrder,
                words,
                "hold it against a report: ledgebook log verify FILE --against REPORT.pdf",
            )
        }
        Err(misfit) => {
            let words = format!(
                "{}: the record is altered: entry {} is the first that does not fit ({})",
                file.display(),
                misfit.seq,
                misfit.why
            );
            finding(
                "file",
                Standing::Trouble(1),
                words,
                "keep the file as it is and hold it against the report and other copies",
            )
        }
    }
}

/// Whether others on this machine may read it; said only when they may.
pub fn rights(file: &Path) -> Option<Finding> {
    let mode = journal::private::open_to_others(file)?;
    let words = format!("{}: others on this machine may read it (mode {mode:03o})", file.display());
    let remedy = "open it for writing, which takes their rights away; where it still says so afterwards, the disk knows no owners: keep the file on a disk of this machine";
    Some(finding("file", Standing::Look, words, remedy))
}

/// Who holds it.
pub fn lock(file: &Path) -> Finding {
    match journal::held_by(file) {
        None => finding("lock", Standing::InOrder, "no program is writing into the file", ""),
        Some(who) if who.ends_with(&format!("process {}", std::process::id())) => {
            finding("lock", Standing::InOrder, "this window writes into the file", "")
        }
        Some(who) => {
            let who = if who.is_empty() { "a program that does not say who it is".into() } else { who };
            let words = format!("another program is writing into the file: {who}");
            finding(
                "lock",
                Standing::Look,
                words,
                "close it there before you write here; it can be read meanwhile",
            )
        }
    }
}

/// The second copy: as it stands while this program keeps it, else where it was kept last.
pub fn mirror(file: Option<&Path>, kept: Option<MirrorView>) -> Finding {
    if let Some(mirror) = kept {
        let at = &mirror.path;
        return match mirror.standing.as_str() {
            "kept" => {
                let words = format!("a second copy is kept in step at {at}");
                finding("mirror", Standing::InOrder, words, "")
            }
            "behind" => {
                let words = format!("the second copy at {at} is behind: {}", mirror.why);
                finding("mirror", Standing::Look, words, "put the stick in; it catches up by itself")
            }
            _ => {
                let words = format!("the second copy at {at} is not kept: {}", mirror.why);
                finding("mirror", Standing::Look, words, "take another name; nothing was written over")
            }
        };
    }
    match file.and_then(journal::mirror::mirrored_to) {
        Some(at) => {
            let words =
                format!("a second copy is kept at {} while the file is open for writing", at.display());
            let remedy = "bring it up to the file now: ledgebook log mirror FILE --to COPY";
            let standing = if at.is_file() { Standing::NotChecked } else { Standing::Look };
            let gone = if at.is_file() {
                "; whether it is in step is not asked here"
            } else {
                "; it is not there now"
            };
            finding("mirror", standing, format!("{words}{gone}"), remedy)
        }
        None => {
            let remedy = "choose a stick for it in the window, or copy the file after it is closed";
            finding("mirror", Standing::Look, "no second copy is kept", remedy)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use journal::Durability;

    #[cfg(unix)]
    #[test]
    fn what_others_may_read_is_told() {
        use std::os::unix::fs::PermissionsExt;
        let dir = tempfile::tempdir().unwrap();
        let file = dir.path().join("a.ledge");
        Journal::create(&file, "a test", Durability::EachEntry).unwrap().close().unwrap();
        assert_eq!(rights(&file), None);
        std::fs::set_permissions(&file, std::fs::Permissions::from_mode(0o640)).unwrap();
        let told = rights(&file).unwrap();
        assert_eq!(told.standing, Standing::Look);
        assert!(told.words.contains("(mode 640)"), "{}", told.words);
    }

    #[test]
    fn a_copy_without_its_log_is_not_called_in_order() {
        let dir = tempfile::tempdir().unwrap();
        let (file, copy) = (dir.path().join("a.ledge"), dir.path().join("copy.ledge"));
        let open = Journal::create(&file, "a test", Durability::EachEntry).unwrap();
        std::fs::copy(&file, &copy).unwrap();
        let told = record(&copy);
        assert_eq!(told.standing, Standing::Look);
        assert!(told.words.contains("without its write-ahead log"), "{}", told.words);
        open.close().unwrap();
        assert_eq!(record(&file).standing, Standing::InOrder);
    }
}
