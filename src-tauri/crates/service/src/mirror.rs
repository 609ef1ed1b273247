//! The second copy as the screens see it: how it stands, and where one could be kept.

use crate::Session;
use crate::wire::MirrorView;
use journal::MirrorState;
use std::path::{Path, PathBuf};

/// Where removable disks are mounted.
pub const MEDIA: [&str; 2] = ["/run/media", "/media"];

/// How the mirror of an open operation stands; `None` without one.
pub fn view(session: &Session) -> Option<MirrorView> {
    session.mirror().map(|(path, state)| shown(path, &state))
}

/// A mirror as it is shown.
pub fn shown(path: &Path, state: &MirrorState) -> MirrorView {
    let (standing, count, why) = match state {
        MirrorState::Kept { count } => ("kept", Some(*count), String::new()),
        MirrorState::Behind { count, why, .. } => ("behind", Some(*count), why.clone()),
        MirrorState::Refused { why, .. } => ("refused", None, why.clone()),
    };
    MirrorView { path: path.display().to_string(), standing: standing.into(), count, why }
}

/// Files a mirror of `record` could be kept in: one on each disk mounted below `roots` (at most two folders deep, as
/// desktops do it). A folder on the same disk as the one above it is no mount: a stick that is not there.
pub fn places(record: &Path, roots: &[&Path]) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut open: Vec<(PathBuf, usize)> = roots.iter().map(|root| (root.to_path_buf(), 0)).collect();
    while let Some((folder, deep)) = open.pop() {
        let Ok(entries) = std::fs::read_dir(&folder) else { continue };
        for below in entries.filter_map(Result::ok).map(|entry| entry.path()).filter(|path| path.is_dir()) {
            if is_mount(&folder, &below) {
                found.push(below.join(name(record)));
            } else if deep == 0 {
                open.push((below, 1));
            }
        }
    }
    found.sort();
    found
}

/// “Tern Ledge.jsonl” for “Tern Ledge.ledge”.
fn name(record: &Path) -> PathBuf {
    PathBuf::from(record.file_stem().unwrap_or_default()).with_extension("jsonl")
}

fn is_mount(above: &Path, folder: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    match (std::fs::metadata(above), std::fs::metadata(folder)) {
        (Ok(above), Ok(folder)) => above.dev() != folder.dev(),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_mounted_is_offered() {
        let dir = tempfile::tempdir().unwrap();
        std::fs::create_dir_all(dir.path().join("kim/STICK")).unwrap();
        assert!(places(Path::new("a.ledge"), &[dir.path()]).is_empty(), "a plain folder is no stick");
        // The system's own mounts stand for sticks.
        let found = places(Path::new("/x/Tern Ledge.ledge"), &[Path::new("/")]);
        assert!(found.contains(&PathBuf::from("/proc/Tern Ledge.jsonl")), "{found:?}");
    }

    #[test]
    fn what_stands_is_shown_as_it_is() {
        let since = std::time::SystemTime::UNIX_EPOCH;
        let behind = MirrorState::Behind { count: 4, since, why: "it is not there".into() };
        let seen = shown(Path::new("/run/media/kim/STICK/a.jsonl"), &behind);
        assert_eq!(
            (seen.standing.as_str(), seen.count, seen.why.as_str()),
            ("behind", Some(4), "it is not there")
        );
        let refused = MirrorState::Refused { since, why: "it is the mirror of another operation".into() };
        assert_eq!(shown(Path::new("a"), &refused).standing, "refused");
    }
}
