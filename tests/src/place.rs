//! Where things lie.

use std::path::{Path, PathBuf};
use std::process::Command;

/// The repository.
pub fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.parent().unwrap_or(here).to_path_buf()
}

/// The built program: what `LEDGEBOOK` names, else the one beside this test in the target folder.
pub fn program() -> PathBuf {
    if let Some(named) = std::env::var_os("LEDGEBOOK") {
        return named.into();
    }
    // target/debug/deps/TEST-hash
    let this = std::env::current_exe().unwrap_or_default();
    this.ancestors().nth(2).map(|debug| debug.join("ledgebook")).unwrap_or_default()
}

/// Every file of the repository: what git has and what it would take, paths from the root.
pub fn files() -> Vec<String> {
    let listed = Command::new("git")
        .args(["ls-files", "-z", "--cached", "--others", "--exclude-standard"])
        .current_dir(root())
        .output()
        .expect("git lists the repository's files");
    let names = String::from_utf8_lossy(&listed.stdout).into_owned();
    names
        .split('\0')
        .filter(|name| !name.is_empty() && root().join(name).is_file())
        .map(String::from)
        .collect()
}
