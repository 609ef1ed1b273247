//! `cargo xtask verify`: the engine beside general-purpose solvers, from a virtual environment of its own.

use crate::process::{Done, cargo, command, root, run, target};
use std::process::Stdio;

/// Random cases by seed, solved again by the packages of `tests/verify/requirements.txt`; fails when any differs.
///
/// # Errors
/// When Python or its packages cannot be had, a case differs, or an option is not known.
pub fn verify(args: &[&str]) -> Done {
    let (mut seed, mut cases) = ("1", "300");
    let mut rest = args.iter();
    while let Some(option) = rest.next() {
        let value = rest.next().ok_or_else(|| format!("{option} wants a number"))?;
        match *option {
            "--seed" => seed = value,
            "--cases" => cases = value,
            other => return Err(format!("no option {other:?}: --seed S, --cases N")),
        }
    }
    let python = environment()?;
    println!("seed {seed}, {cases} cases");
    judged("verify_cases", &[seed, cases], &python, "verify.py")?;
    judged("verify_drops", &[seed, cases], &python, "drops.py")?;
    judged("verify_swings", &[seed, cases], &python, "swings.py")
}

/// What an example of the engine prints, judged by a script of `tests/verify`.
///
/// # Errors
/// When either fails.
pub fn judged(example: &str, args: &[&str], python: &str, script: &str) -> Done {
    judged_of("engine", example, args, python, script)
}

/// The same with an example of another package.
///
/// # Errors
/// As [`judged`].
pub fn judged_of(package: &str, example: &str, args: &[&str], python: &str, script: &str) -> Done {
    run(&mut cargo(&["build", "--release", "--package", package, "--example", example]))?;
    let made = target().join("release/examples").join(example).display().to_string();
    let mut made =
        command(&made, args).stdout(Stdio::piped()).spawn().map_err(|e| format!("{example}: {e}"))?;
    let lines = made.stdout.take().ok_or_else(|| format!("{example} says nothing"))?;
    let script = root().join("tests/verify").join(script).display().to_string();
    let judged =
        command(python, &[&script]).stdin(lines).status().map_err(|error| format!("{python}: {error}"))?;
    let ended = made.wait().map_err(|error| format!("{example}: {error}"))?;
    match (ended.success(), judged.success()) {
        (true, true) => Ok(()),
        (false, _) => Err(format!("{example}: {ended}")),
        (true, false) => Err("a second opinion differs: see what it prints".into()),
    }
}

/// The environment's Python, with the packages installed when their list changed; only this needs a network.
pub fn environment() -> Done<String> {
    environment_of("requirements.txt", "verify")
}

/// The same of another list of `tests/verify`, in a folder of its own under `target`.
///
/// # Errors
/// When Python or its packages cannot be had.
pub fn environment_of(list: &str, folder: &str) -> Done<String> {
    let list = root().join("tests/verify").join(list);
    let wanted = std::fs::read_to_string(&list).map_err(|error| format!("{}: {error}", list.display()))?;
    let home = target().join(folder);
    let (python, mark) = (home.join("bin/python").display().to_string(), home.join("installed.txt"));
    if std::fs::read_to_string(&mark).is_ok_and(|there| there == wanted) {
        return Ok(python);
    }
    run(&mut command("python3", &["-m", "venv", &home.display().to_string()]))?;
    run(&mut command(
        &python,
        &["-m", "pip", "install", "--quiet", "--requirement", &list.display().to_string()],
    ))?;
    std::fs::write(&mark, wanted).map_err(|error| format!("{}: {error}", mark.display()))?;
    Ok(python)
}
