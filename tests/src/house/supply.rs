//! What comes from outside: which crates, from where, under which licence.

use crate::place::root;
use serde_json::Value;
use std::collections::BTreeSet;
use std::process::Command;

/// Licences a crate may be taken under. One of its choices is enough; where it asks for several, all must stand here.
pub const LICENCES: &[&str] = &[
    "0BSD",
    "Apache-2.0",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "MIT",
    "MIT-0",
    // Of single files, and only where these are changed; nothing of ours is.
    "MPL-2.0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// A crate from outside.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Outside {
    /// Name.
    pub name: String,
    /// Licence, as its manifest says.
    pub licence: String,
    /// Where it comes from.
    pub source: String,
}

/// Names of the crates from outside in a lock file, of every platform.
pub fn locked(lock: &str) -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    for package in lock.split("[[package]]") {
        let value = |key: &str| {
            package.lines().find_map(|line| line.strip_prefix(key)?.strip_prefix(" = \"")?.strip_suffix('"'))
        };
        if let (Some(name), Some(_)) = (value("name"), value("source")) {
            names.insert(name.to_string());
        }
    }
    names
}

/// Names in the allow-list: one a line, `#` begins a remark.
pub fn allowed(list: &str) -> BTreeSet<String> {
    let word = |line: &str| line.split('#').next().unwrap_or_default().trim().to_string();
    list.lines().map(word).filter(|name| !name.is_empty()).collect()
}

/// The crates from outside that this platform builds, all features on.
///
/// # Panics
/// When cargo does not answer: then nothing can be said to hold.
pub fn outside() -> Vec<Outside> {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".into());
    let told = Command::new("rustc").arg("-vV").output().expect("rustc says its host");
    let told = String::from_utf8_lossy(&told.stdout).into_owned();
    let host = told.lines().find_map(|line| line.strip_prefix("host: ")).expect("a host").to_string();
    let answered = Command::new(cargo)
        // Not `--offline`: on a fresh machine cargo has to fetch the manifests of other platforms' crates first.
        .args(["metadata", "--locked", "--all-features", "--format-version", "1", "--filter-platform"])
        .arg(host)
        .current_dir(root())
        .output()
        .expect("cargo reads the manifests");
    let metadata: Value = serde_json::from_slice(&answered.stdout).expect("cargo answers JSON");
    let packages = metadata["packages"].as_array().expect("packages");
    let word = |package: &Value, key: &str| package[key].as_str().unwrap_or_default().to_string();
    packages
        .iter()
        .filter(|package| !package["source"].is_null())
        .map(|package| Outside {
            name: word(package, "name"),
            licence: word(package, "license"),
            source: word(package, "source"),
        })
        .collect()
}

/// What is wrong with these crates, in words: a licence not allowed, a source that is not the one registry.
pub fn wrong(crates: &[Outside]) -> Vec<String> {
    let registry =
        crates.iter().map(|one| one.source.as_str()).find(|source| source.starts_with("registry+"));
    let mut wrong = Vec::new();
    for one in crates {
        if Some(one.source.as_str()) != registry {
            wrong.push(format!("{} comes from {}", one.name, one.source));
        }
        if !may(&one.licence) {
            wrong.push(format!("{} is under “{}”", one.name, one.licence));
        }
    }
    wrong
}

fn may(licence: &str) -> bool {
    // The old way of writing a choice.
    let written = licence.replace('/', " OR ");
    spdx::Expression::parse(&written).is_ok_and(|licence| {
        licence.evaluate(|asked| {
            // This exception only gives; another would have to be read.
            let gives = asked.addition.as_ref().is_none_or(|more| more.to_string() == "LLVM-exception");
            gives && asked.license.id().is_some_and(|id| LICENCES.contains(&id.name))
        })
    })
}
