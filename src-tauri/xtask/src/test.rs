//! `cargo xtask test`: every check there is, stage by stage, with an honest count at the end.

use crate::counts::{Counts, closing_line};
use crate::process::{Done, cargo, command, root, run, run_heard, target};
use crate::{build, packages};
use std::fs;
use std::process::{Command, ExitCode};
use std::time::Instant;

/// A stage: its name and what it does. It adds what the runners count.
type Stage = (&'static str, fn(&mut Counts) -> Done);

/// In an order that fails early: the quick ones first, what needs the window last.
const STAGES: &[Stage] = &[
    ("packages", |_| packages::ensure(packages::TESTS, true)),
    ("format", |_| run(&mut cargo(&["fmt", "--all", "--check"]))),
    ("house", |counts| whole_test(counts, "house")),
    ("screens", screens),
    ("lint", lint),
    ("units", units),
    ("published", published),
    ("operations", operations),
    ("window", window),
];

/// Files of `tests/tests` that are a stage of their own.
const OWN_STAGE: &[&str] = &["house", "published_values", "sum_laws", "window"];

/// Names of the stages.
pub fn names() -> Vec<&'static str> {
    STAGES.iter().map(|(name, _)| *name).collect()
}

/// Runs every stage, whatever fails before it.
pub fn all() -> ExitCode {
    stages(STAGES)
}

/// Runs one stage. What it needs from others must stand already, but for the program and the screens.
pub fn only(name: &str) -> ExitCode {
    match STAGES.iter().find(|(stage, _)| *stage == name) {
        Some(stage) => stages(&[*stage]),
        None => {
            eprintln!("no stage {name:?}: one of {}", names().join(" "));
            ExitCode::from(2)
        }
    }
}

fn stages(stages: &[Stage]) -> ExitCode {
    let began = Instant::now();
    let mut total = Counts::default();
    let mut lines = Vec::new();
    for (name, work) in stages {
        println!("== {name}");
        let began = Instant::now();
        let mut counts = Counts::default();
        let done = work(&mut counts);
        let line = closing(name, &done, &mut counts, began.elapsed().as_secs_f64());
        println!("== {line}\n");
        lines.push(line);
        total += counts;
    }
    println!("{}\nin {:.1} min", lines.join("\n"), began.elapsed().as_secs_f64() / 60.0);
    println!("{total}");
    if total.failed == 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// The stage's own line. A stage that failed counts as one failure at least, a stage whose runner
/// failed quietly too.
fn closing(name: &str, done: &Done, counts: &mut Counts, seconds: f64) -> String {
    match done {
        Ok(()) if counts.failed == 0 => format!("{name}: ok, {counts}, {seconds:.1} s"),
        Ok(()) => format!("{name}: FAILED, {counts}, {seconds:.1} s"),
        Err(words) => {
            counts.failed = counts.failed.max(1);
            format!("{name}: FAILED, {counts}, {seconds:.1} s: {words}")
        }
    }
}

fn heard(counts: &mut Counts, command: &mut Command) -> Done {
    let mut closed = false;
    let done = run_heard(command, |line| {
        if let Some(more) = closing_line(line) {
            *counts += more;
            closed = true;
        }
    });
    match done {
        Ok(()) if !closed => Err("the test runner closed without saying how many tests ran".into()),
        done => done,
    }
}

fn screens(counts: &mut Counts) -> Done {
    build::screens()?;
    run(&mut build::npm(&["run", "check"]))?;
    heard(counts, &mut build::npm(&["test"]))
}

/// The window takes the built screens into itself, so that nothing of it compiles without them.
fn lint(_: &mut Counts) -> Done {
    build::screens()?;
    run(&mut cargo(&["clippy", "--workspace", "--all-targets", "--all-features", "--", "-D", "warnings"]))
}

/// Every crate's own tests; the program is among them, so that the screens come first.
fn units(counts: &mut Counts) -> Done {
    build::screens()?;
    heard(counts, cargo(&["test", "--no-fail-fast"]).args(WORKSPACE))
}

/// One file of `tests/tests`.
fn whole_test(counts: &mut Counts, name: &str) -> Done {
    heard(counts, &mut cargo(&["test", "--package", "ledgebook-tests", "--test", name]))
}

/// Sums and rigs against published values.
fn published(counts: &mut Counts) -> Done {
    let files = ["--test", "published_values", "--test", "sum_laws"];
    heard(counts, cargo(&["test", "--package", "ledgebook-tests", "--no-fail-fast"]).args(files))
}

/// Every file of `tests/tests` that is no stage of its own: whole operations through the program.
fn operations(counts: &mut Counts) -> Done {
    ready_program()?;
    let mut files = files_of_tests()?;
    files.retain(|name| !OWN_STAGE.contains(&name.as_str()));
    if files.is_empty() {
        return Err("there is no test of whole operations in tests/tests".into());
    }
    let mut test = cargo(&["test", "--package", "ledgebook-tests", "--no-fail-fast"]);
    for name in &files {
        test.args(["--test", name]);
    }
    heard(counts, test.env("LEDGEBOOK", target().join("debug/ledgebook")))
}

fn files_of_tests() -> Done<Vec<String>> {
    let dir = root().join("tests/tests");
    let entries = fs::read_dir(&dir).map_err(|error| format!("{}: {error}", dir.display()))?;
    let mut names: Vec<String> = entries
        .filter_map(|entry| Some(entry.ok()?.file_name().to_str()?.strip_suffix(".rs")?.to_string()))
        .collect();
    names.sort();
    Ok(names)
}

/// All crates but the whole tests, with everything the unit tests need: one choice for every stage, so that
/// no stage builds the window toolkit again with other features.
const WORKSPACE: &[&str] = &["--workspace", "--exclude", "ledgebook-tests"];

/// The program with its window and the screens of now.
fn ready_program() -> Done {
    build::screens()?;
    run(cargo(&["build", "--all-targets"]).args(WORKSPACE))
}

/// The real window on a display of its own, driven from outside.
fn window(counts: &mut Counts) -> Done {
    ready_program()?;
    heard(
        counts,
        &mut on_a_display(
            // One window at a time: two drivers beside each other crashed a page.
            &[
                "test",
                "--package",
                "ledgebook-tests",
                "--features",
                "window",
                "--test",
                "window",
                "--",
                "--test-threads=1",
            ],
            false,
        )?,
    )
}

/// Cargo with `args` under a display of its own, with the driver and the program named to it.
///
/// # Errors
/// When the driver cannot be installed.
pub fn on_a_display(args: &[&str], release: bool) -> Done<Command> {
    let driver = driver()?;
    let mut all = vec!["-k", "10", "1500", "xvfb-run", "-a", "-s", "-screen 0 1400x900x24", "cargo"];
    all.extend(args);
    let mut command = command("timeout", &all);
    let kind = if release { "release" } else { "debug" };
    command
        .env("LEDGEBOOK", target().join(kind).join("ledgebook"))
        .env("TAURI_DRIVER", driver)
        .env("LEDGEBOOK_SHOTS", target().join("window-shots"));
    Ok(command)
}

/// The go-between of WebDriver and the window, installed once into `target/tools`.
fn driver() -> Done<std::path::PathBuf> {
    let tools = target().join("tools");
    let driver = tools.join("bin/tauri-driver");
    if !driver.is_file() {
        let mut install =
            cargo(&["install", "tauri-driver", "--version", "=2.1.0", "--locked", "--debug", "--root"]);
        // Beside the workspace's own builds, whose settings are not for it.
        run(install.arg(&tools).env("CARGO_TARGET_DIR", tools.join("build")))?;
    }
    Ok(driver)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stage_that_fails_counts_as_a_failure() {
        let mut counts = Counts { passed: 5, ..Counts::default() };
        let line = closing("lint", &Err("clippy: exit 101".into()), &mut counts, 1.0);
        assert_eq!(counts.failed, 1);
        assert!(line.starts_with("lint: FAILED, 5 passed, 1 failed"), "{line}");

        let mut counts = Counts { passed: 5, failed: 3, skipped: 0 };
        closing("units", &Err("cargo: exit 101".into()), &mut counts, 1.0);
        assert_eq!(counts.failed, 3, "failures are not counted twice");
    }

    #[test]
    fn every_stage_of_its_own_has_its_file() {
        let files = files_of_tests().expect("the tests' folder is there");
        for name in OWN_STAGE {
            assert!(files.iter().any(|file| file == name), "{name} is not in {files:?}");
        }
    }

    #[test]
    fn a_runner_that_counts_nothing_is_a_failure() {
        let mut counts = Counts::default();
        assert!(heard(&mut counts, &mut command("true", &[])).is_err());
    }
}
