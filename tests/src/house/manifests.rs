//! Who may depend on whom, read off the manifests by cargo itself.

use crate::place::root;
use serde_json::Value;
use std::collections::BTreeMap;
use std::process::Command;

/// Crate of the workspace to the names of everything it depends on (not for its tests alone).
pub type Arrows = BTreeMap<String, Vec<String>>;

/// The arrows of design: what each crate of the house may use of the house.
pub const ALLOWED: &[(&str, &[&str])] = &[
    ("rig", &[]),
    ("engine", &["rig"]),
    ("operation", &["rig"]),
    ("journal", &["operation"]),
    ("drawing", &["engine", "operation", "rig"]),
    ("report", &["drawing", "operation", "rig"]),
    ("service", &["drawing", "engine", "journal", "operation", "report", "rig"]),
    ("ledgebook", &["service"]),
];

/// Dependencies that only one crate may have.
pub const ONLY_IN: &[(&str, &str)] = &[
    ("tauri", "ledgebook"),
    ("tauri-build", "ledgebook"),
    ("rusqlite", "journal"),
    ("printpdf", "report"),
    ("lopdf", "report"),
];

/// Decided exceptions: who may use another crate's own dependency, and why.
const MAY_USE: &[(&str, &str)] = &[
    // The failing disk of the torture is put under SQLite through its C interface; no SQL is spoken there.
    ("ledgebook-torture", "rusqlite"),
];

/// The workspace's arrows.
pub fn arrows() -> Arrows {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".into());
    let answered = Command::new(cargo)
        .args(["metadata", "--no-deps", "--offline", "--format-version", "1"])
        .current_dir(root())
        .output()
        .expect("cargo reads the manifests");
    let metadata: Value = serde_json::from_slice(&answered.stdout).expect("cargo answers JSON");
    let packages = metadata["packages"].as_array().expect("packages");
    packages.iter().map(|package| (word(&package["name"]), dependencies(package))).collect()
}

fn dependencies(package: &Value) -> Vec<String> {
    let listed = package["dependencies"].as_array().expect("dependencies");
    listed.iter().filter(|one| one["kind"] != "dev").map(|one| word(&one["name"])).collect()
}

fn word(value: &Value) -> String {
    value.as_str().unwrap_or_default().into()
}

/// What breaks the arrows, in words.
pub fn broken(arrows: &Arrows) -> Vec<String> {
    let mut broken = Vec::new();
    for (name, allowed) in ALLOWED {
        let Some(uses) = arrows.get(*name) else {
            broken.push(format!("there is no crate {name}"));
            continue;
        };
        let ours = uses.iter().filter(|used| ALLOWED.iter().any(|(ours, _)| ours == used));
        broken.extend(
            ours.filter(|used| !allowed.contains(&used.as_str())).map(|used| format!("{name} uses {used}")),
        );
    }
    for (outside, home) in ONLY_IN {
        let users =
            arrows.iter().filter(|(name, uses)| name != home && uses.iter().any(|used| used == outside));
        let users = users.filter(|(name, _)| !MAY_USE.contains(&(name.as_str(), outside)));
        broken.extend(users.map(|(name, _)| format!("{name} uses {outside}: only {home} may")));
    }
    broken
}
