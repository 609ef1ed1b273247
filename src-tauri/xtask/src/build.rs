//! The screens, the program, and the shapes the screens share with it.

use crate::packages;
use crate::process::{Done, cargo, command, root, run};
use std::fs;
use std::path::PathBuf;
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};

/// Screens and program, with what they need installed first.
///
/// # Errors
/// When a step fails.
pub fn whole(release: bool) -> Done {
    packages::ensure(packages::WINDOW, true)?;
    screens()?;
    let program = program(release)?;
    println!("built: {}", program.display());
    Ok(())
}

/// An npm script of the screens.
pub fn npm(args: &[&str]) -> Command {
    let mut npm = command("npm", args);
    npm.current_dir(root().join("ui")).env("NO_COLOR", "1");
    npm
}

/// Installs the screens' packages when their lock file changed since the last time.
///
/// # Errors
/// When npm fails.
pub fn screen_packages() -> Done {
    let ui = root().join("ui");
    let lock =
        fs::read(ui.join("package-lock.json")).map_err(|error| format!("ui/package-lock.json: {error}"))?;
    let mark = ui.join("node_modules/.installed-lock");
    if fs::read(&mark).is_ok_and(|installed| installed == lock) {
        return Ok(());
    }
    run(&mut npm(&["ci", "--no-audit", "--no-fund"]))?;
    fs::write(&mark, lock).map_err(|error| format!("{}: {error}", mark.display()))
}

/// Builds the screens into `ui/dist`, once a run: building them again would build the program again.
///
/// # Errors
/// When npm fails.
pub fn screens() -> Done {
    static BUILT: AtomicBool = AtomicBool::new(false);
    if !BUILT.load(Ordering::Relaxed) {
        screen_packages()?;
        run(&mut npm(&["run", "build"]))?;
        BUILT.store(true, Ordering::Relaxed);
    }
    Ok(())
}

/// Builds the program with its window; answers where it lies. The screens must stand in `ui/dist`.
///
/// # Errors
/// When cargo fails.
pub fn program(release: bool) -> Done<PathBuf> {
    let mut build = cargo(&["build", "--package", "ledgebook"]);
    if release {
        build.arg("--release");
    }
    run(&mut build)?;
    Ok(crate::process::target().join(if release { "release" } else { "debug" }).join("ledgebook"))
}

/// Builds the command line alone; answers where it lies.
///
/// # Errors
/// When cargo fails.
pub fn command_line() -> Done<PathBuf> {
    run(&mut cargo(&["build", "--package", "ledgebook", "--no-default-features"]))?;
    Ok(crate::process::target().join("debug/ledgebook"))
}

/// Puts every promise of the record to the trial, in a release build; `words` go to it as they are.
///
/// # Errors
/// When a promise was broken, or cargo fails.
pub fn torture(words: &[&str]) -> Done {
    run(&mut cargo(&["build", "--release", "--package", "ledgebook-torture"]))?;
    let program = crate::process::target().join("release/torture");
    run(&mut command(&program.display().to_string(), words))
}

/// Writes (or only compares) the TypeScript shapes and the marks in `ui/src/wire`.
///
/// # Errors
/// When they differ from the Rust ones, or cargo fails.
pub fn codegen(check: bool) -> Done {
    let mut test = cargo(&["test", "--quiet", "--package", "service", "--test", "wire_types"]);
    if !check {
        test.env("LEDGEBOOK_WRITE_WIRE", "1");
    }
    run(&mut test)
}
