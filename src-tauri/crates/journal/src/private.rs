//! Files that only their owner can read, whatever the umask.

use std::fs::{File, OpenOptions};
use std::path::{Path, PathBuf};

/// Makes a new file to read and write that only its owner can read.
///
/// # Errors
/// When there is one already, or it cannot be made.
pub fn create_new(path: &Path) -> std::io::Result<File> {
    let mut options = OpenOptions::new();
    options.read(true).write(true).create_new(true);
    owner_only(&mut options);
    let file = options.open(path)?;
    restrict(&file);
    Ok(file)
}

/// Opens a file to read and write; makes it, readable by its owner only, when it is not there.
///
/// # Errors
/// When it can be neither opened nor made.
pub fn open_or_create(path: &Path) -> std::io::Result<File> {
    let mut options = OpenOptions::new();
    options.read(true).write(true).create(true).truncate(false);
    owner_only(&mut options);
    options.open(path)
}

/// Writes a file so that it is whole, on the disk and readable by its owner only, or not there: beside its place first,
/// then moved there.
///
/// # Errors
/// When the disk does not take it; what was there before is kept.
pub fn write_whole(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let aside = beside(path, ".part");
    match std::fs::remove_file(&aside) {
        Err(e) if e.kind() != std::io::ErrorKind::NotFound => return Err(e),
        _ => {}
    }
    let written = create_new(&aside)
        .and_then(|mut file| std::io::Write::write_all(&mut file, bytes).and_then(|()| file.sync_all()))
        .and_then(|()| std::fs::rename(&aside, path));
    if written.is_err() {
        let _ = std::fs::remove_file(&aside);
    }
    written?;
    sync_folder(path)
}

/// Whether others than its owner may read or write a file, with its mode as `chmod` writes it; `None`: nobody else may, it is not
/// there, or this system has no such rights.
#[cfg(unix)]
pub fn open_to_others(path: &Path) -> Option<u32> {
    use std::os::unix::fs::PermissionsExt;
    let mode = std::fs::metadata(path).ok()?.permissions().mode() & 0o777;
    (mode & 0o077 != 0).then_some(mode)
}

/// Elsewhere a file takes the rights of its folder.
#[cfg(not(unix))]
pub fn open_to_others(_: &Path) -> Option<u32> {
    None
}

/// An operation file and what lies beside it is for its owner alone, whatever it was copied or unpacked as. A disk that knows no
/// owners (a stick) refuses; [`open_to_others`] tells. By name: the file is not opened.
pub(crate) fn tighten(file: &Path) {
    for end in ["", "-wal", "-shm", "-journal", ".lock", ".mirror"] {
        let path = beside(file, end);
        if let Some(mode) = open_to_others(&path) {
            withdraw(&path, mode);
        }
    }
}

#[cfg(unix)]
fn withdraw(path: &Path, mode: u32) {
    use std::os::unix::fs::PermissionsExt;
    let _ = std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode & 0o700));
}

#[cfg(not(unix))]
fn withdraw(_: &Path, _: u32) {}

/// A new name is on the disk once its folder is.
///
/// # Errors
/// When the folder cannot be written out.
pub fn sync_folder(path: &Path) -> std::io::Result<()> {
    if cfg!(unix) {
        let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        File::open(folder).and_then(|f| f.sync_all())?;
    }
    Ok(())
}

/// A file that lies beside another: its name and an ending.
pub fn beside(path: &Path, end: &str) -> PathBuf {
    let mut name = path.as_os_str().to_os_string();
    name.push(end);
    PathBuf::from(name)
}

#[cfg(unix)]
fn owner_only(options: &mut OpenOptions) {
    use std::os::unix::fs::OpenOptionsExt;
    options.mode(0o600);
}

/// Elsewhere a file takes the rights of its folder.
#[cfg(not(unix))]
fn owner_only(_: &mut OpenOptions) {}

/// The umask can take rights away from what was asked; its owner must keep his. A disk that knows no owners (a
/// stick) refuses, and that is all it can do.
#[cfg(unix)]
fn restrict(file: &File) {
    use std::os::unix::fs::PermissionsExt;
    let _ = file.set_permissions(std::fs::Permissions::from_mode(0o600));
}

#[cfg(not(unix))]
fn restrict(_: &File) {}
