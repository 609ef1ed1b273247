//! Builds what the window needs: the embedded screens and the list of commands they may call.

fn main() {
    #[cfg(feature = "window")]
    window();
}

/// Every command of `src/desktop/commands.rs`, `commander.rs` and `leaving.rs`; `capabilities` grants them one by one, to each window its own.
#[cfg(feature = "window")]
const COMMANDS: &[&str] = &[
    "start",
    "new_operation",
    "open_operation",
    "close_file",
    "view",
    "act",
    "take_over",
    "complete",
    "rows",
    "sifted",
    "templates",
    "rig_preview",
    "rig_drawing",
    "rig_draft",
    "rig_beside",
    "reckon_check",
    "sums",
    "sum",
    "review",
    "compare",
    "records",
    "report",
    "doctor",
    "mirror_places",
    "mirror",
    "told",
    "commander_window",
    "unsaved",
    "leave",
];

#[cfg(feature = "window")]
fn window() {
    let screens = std::path::Path::new("../ui/dist");
    println!("cargo:rerun-if-changed={}", screens.display());
    assert!(
        screens.join("index.html").is_file(),
        "the screens are not built: run `cargo xtask build` (or `npm ci && npm run build` in ui/) first, \
         or build the command line alone with --no-default-features"
    );
    let manifest = tauri_build::AppManifest::new().commands(COMMANDS);
    let attributes = tauri_build::Attributes::new().app_manifest(manifest);
    if let Err(error) = tauri_build::try_build(attributes) {
        panic!("the window could not be prepared: {error:#}");
    }
}
