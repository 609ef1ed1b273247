//! Room on the disk, and whether it takes and keeps what is written.

use super::{Finding, Standing, finding};
use std::fs::{self, OpenOptions};
use std::io::Write;
use std::path::Path;
use std::time::Instant;

/// Less free than this and nothing should be begun, MB (assumption: ten times a long operation).
const BARELY_MB: u64 = 100;
/// Less free than this and someone should know, MB (assumption).
const LITTLE_MB: u64 = 1000;
/// Longer than this to force a page to the disk and each call waits, s (assumption: half of what a call may cost).
const SLOW_S: f64 = 1.0;

/// Room, and a write that is forced to the disk.
pub fn disk(folder: &Path) -> Vec<Finding> {
    // The folder is made with the first operation: until then the one above it answers.
    let Some(there) = folder.ancestors().find(|f| f.is_dir()) else {
        let words = format!("{}: there is no such folder, nor one above it", folder.display());
        return vec![finding("disk", Standing::Trouble(4), words, "take another folder")];
    };
    vec![room(there), write(there)]
}

fn room(folder: &Path) -> Finding {
    let Ok(about) = rustix::fs::statvfs(folder) else {
        let remedy = "look at the disk with the system's own means";
        return finding("disk", Standing::NotChecked, "how much room is left could not be asked", remedy);
    };
    let free_mb = about.f_bavail.saturating_mul(about.f_frsize) / 1_000_000;
    let words = format!("{} MB are free where operations are kept ({})", grouped(free_mb), folder.display());
    match free_mb {
        mb if mb < BARELY_MB => {
            finding("disk", Standing::Trouble(4), words, "free some space before you begin")
        }
        mb if mb < LITTLE_MB => finding("disk", Standing::Look, words, "free some space soon"),
        _ => finding("disk", Standing::InOrder, words, ""),
    }
}

/// “12 345”.
fn grouped(n: u64) -> String {
    let digits = n.to_string();
    let first = digits.len() % 3;
    let mut parts = if first > 0 { vec![&digits[..first]] } else { vec![] };
    parts.extend((first..digits.len()).step_by(3).map(|i| &digits[i..i + 3]));
    parts.join(" ")
}

fn write(folder: &Path) -> Finding {
    let probe = folder.join(format!(".ledgebook-doctor-{}", std::process::id()));
    let began = Instant::now();
    let written = OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(&probe)
        .and_then(|mut file| file.write_all(&[0x5A; 4096]).and_then(|()| file.sync_all()));
    let took_s = began.elapsed().as_secs_f64();
    let _ = fs::remove_file(&probe);
    match written {
        Ok(()) if took_s > SLOW_S => {
            let words = format!("a page was forced to the disk in {took_s:.1} s: slow");
            finding("disk", Standing::Look, words, "each call waits that long; take a faster disk")
        }
        Ok(()) => {
            let words = format!("a page was written and forced to the disk in {:.0} ms", took_s * 1000.0);
            finding("disk", Standing::InOrder, words, "")
        }
        Err(error) => {
            let words = format!("{} cannot be written ({error})", folder.display());
            finding(
                "disk",
                Standing::Trouble(4),
                words,
                "give yourself the right to write there, or take another folder",
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_is_written_and_nothing_is_left() {
        let dir = tempfile::tempdir().unwrap();
        let found = disk(&dir.path().join("not/made/yet"));
        assert_eq!(found.len(), 2);
        assert!(matches!(found[1].standing, Standing::InOrder | Standing::Look), "{found:?}");
        assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 0);
        assert_eq!(grouped(1_234_567), "1 234 567");
        assert_eq!(grouped(12), "12");
    }

    #[test]
    fn a_folder_that_cannot_be_written_is_told() {
        // The system's own list of processes takes no files, whoever asks.
        let found = write(Path::new("/proc"));
        assert_eq!(found.standing, Standing::Trouble(4), "{found:?}");
    }
}
