//! Ledgebook: the desktop window and the command line over one library.
//!
//! `ledgebook` and `ledgebook FILE.ledge` open the window; everything else is the command line.

#[cfg(any(feature = "window", test))]
mod beside;
#[cfg(all(feature = "window", target_os = "linux"))]
mod card;
mod cli;
#[cfg(feature = "window")]
mod desktop;
mod display;
mod fault;
mod outside;
mod stamp;

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

fn main() -> ExitCode {
    fault::install();
    let args: Vec<OsString> = std::env::args_os().skip(1).collect();
    match asked(&args) {
        Asked::Window(file) => window(file),
        Asked::CommandLine => cli::run(&args),
    }
}

/// What the arguments ask for.
#[derive(Debug, PartialEq)]
enum Asked {
    /// The window, with a file to open.
    Window(Option<PathBuf>),
    CommandLine,
}

/// No argument, or one that names an operation file, asks for the window.
fn asked(args: &[OsString]) -> Asked {
    match args {
        [] => Asked::Window(None),
        [file] if Path::new(file).extension().is_some_and(|end| end == "ledge") => {
            Asked::Window(Some(PathBuf::from(file)))
        }
        _ => Asked::CommandLine,
    }
}

#[cfg(feature = "window")]
fn window(file: Option<PathBuf>) -> ExitCode {
    desktop::run(file)
}

#[cfg(not(feature = "window"))]
fn window(_file: Option<PathBuf>) -> ExitCode {
    eprintln!(
        "This ledgebook was built without its window. `cargo xtask run` builds and opens it; \
         `ledgebook --help` lists what the command line does."
    );
    ExitCode::from(4)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_no_argument_or_an_operation_file_asks_for_the_window() {
        let ask = |words: &[&str]| asked(&words.iter().map(OsString::from).collect::<Vec<_>>());
        assert_eq!(ask(&[]), Asked::Window(None));
        assert_eq!(ask(&["a b.ledge"]), Asked::Window(Some("a b.ledge".into())));
        assert_eq!(ask(&["--help"]), Asked::CommandLine);
        assert_eq!(ask(&["log", "show", "a.ledge"]), Asked::CommandLine);
        assert_eq!(ask(&["a.json"]), Asked::CommandLine);
    }
}
