//! Other programs: started, said aloud, their failure told in words.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// What a step answers; the error is ready to print.
pub type Done<T = ()> = Result<T, String>;

/// The repository: of the folder cargo was called in, should two share what they build.
pub fn root() -> PathBuf {
    let named = std::env::var("CARGO_MANIFEST_DIR");
    let here = PathBuf::from(named.as_deref().unwrap_or(env!("CARGO_MANIFEST_DIR")));
    here.ancestors().nth(2).unwrap_or(&here).to_path_buf()
}

/// Where cargo puts what it builds: this program lies in `TARGET/debug`.
pub fn target() -> PathBuf {
    let beside = std::env::current_exe().ok();
    let found = beside.as_deref().and_then(|program| program.ancestors().nth(2));
    found.map_or_else(|| root().join("target"), Path::to_path_buf)
}

/// `program` with `args`, to be run in the repository.
pub fn command(program: &str, args: &[&str]) -> Command {
    let mut command = Command::new(program);
    command.args(args).current_dir(root()).stdin(Stdio::null());
    command
}

/// Cargo, the one that runs this.
pub fn cargo(args: &[&str]) -> Command {
    command(&std::env::var("CARGO").unwrap_or_else(|_| "cargo".into()), args)
}

/// Runs it and lets it speak for itself.
///
/// # Errors
/// When it cannot be started or does not end well.
pub fn run(command: &mut Command) -> Done {
    let words = said(command);
    println!("$ {words}");
    let status = command.status().map_err(|error| format!("{words}: {error}"))?;
    if status.success() { Ok(()) } else { Err(format!("{words}: {status}")) }
}

/// Runs it, passes its output on and hands each line of it to `heard`.
///
/// # Errors
/// When it cannot be started or does not end well.
pub fn run_heard(command: &mut Command, mut heard: impl FnMut(&str)) -> Done {
    let words = said(command);
    println!("$ {words}");
    let mut child = command.stdout(Stdio::piped()).spawn().map_err(|error| format!("{words}: {error}"))?;
    if let Some(output) = child.stdout.take() {
        for line in BufReader::new(output).split(b'\n') {
            let line = line.map_err(|error| format!("{words}: {error}"))?;
            let line = String::from_utf8_lossy(&line);
            println!("{line}");
            heard(&line);
        }
    }
    let status = child.wait().map_err(|error| format!("{words}: {error}"))?;
    if status.success() { Ok(()) } else { Err(format!("{words}: {status}")) }
}

/// What it prints on standard output, whatever its exit code; `None` when it is not there.
pub fn output(program: &str, args: &[&str]) -> Option<String> {
    let ran = command(program, args).stderr(Stdio::null()).output().ok()?;
    Some(String::from_utf8_lossy(&ran.stdout).into_owned())
}

fn said(command: &Command) -> String {
    let mut words = vec![command.get_program().to_string_lossy().into_owned()];
    words.extend(command.get_args().map(|word| word.to_string_lossy().into_owned()));
    words.join(" ")
}
