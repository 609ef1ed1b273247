//! The program's command line, run as a person or another program runs it.

use crate::place;
use serde_json::Value;
use std::io::Write;
use std::path::Path;
use std::process::{Child, Command, Stdio};

/// What a run of the program left behind.
#[derive(Debug)]
pub struct Ran {
    /// Exit code; -1 when it was killed.
    pub code: i32,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

impl Ran {
    /// Standard output as one JSON document.
    ///
    /// # Panics
    /// When it is none.
    #[track_caller]
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.out).unwrap_or_else(|error| panic!("{error}: {self:?}"))
    }

    /// Standard output as JSON Lines.
    ///
    /// # Panics
    /// When a line is none.
    #[track_caller]
    pub fn json_lines(&self) -> Vec<Value> {
        let read = |line| serde_json::from_str(line).unwrap_or_else(|error| panic!("{error}: {line}"));
        self.out.lines().map(read).collect()
    }

    /// Standard error as the one error document.
    ///
    /// # Panics
    /// When it is none.
    #[track_caller]
    pub fn trouble(&self) -> Value {
        serde_json::from_str(&self.err).unwrap_or_else(|error| panic!("{error}: {self:?}"))
    }

    /// The same, after a look that it went well.
    ///
    /// # Panics
    /// When it did not.
    #[track_caller]
    pub fn done(self) -> Self {
        assert_eq!(self.code, 0, "{self:?}");
        self
    }
}

/// Runs the program with `args`.
pub fn run(args: &[&str]) -> Ran {
    run_in(Path::new("."), &[], args, "")
}

/// Runs the program in a folder, with more of an environment and something on standard input.
///
/// # Panics
/// When it cannot be started.
pub fn run_in(dir: &Path, env: &[(&str, &str)], args: &[&str], input: &str) -> Ran {
    let mut child = start(dir, env, args);
    let stdin = child.stdin.take();
    // Written beside reading, or a long input and a long answer would wait for each other.
    let ended = std::thread::scope(|beside| {
        beside.spawn(|| {
            // A program that ends before it has read everything closes the pipe: that is its right.
            stdin.map(|mut to| to.write_all(input.as_bytes()))
        });
        child.wait_with_output().expect("the program ends")
    });
    Ran {
        code: ended.status.code().unwrap_or(-1),
        out: String::from_utf8_lossy(&ended.stdout).into_owned(),
        err: String::from_utf8_lossy(&ended.stderr).into_owned(),
    }
}

/// Starts the program with pipes on all three sides.
///
/// # Panics
/// When it cannot be started.
pub fn start(dir: &Path, env: &[(&str, &str)], args: &[&str]) -> Child {
    let program = place::program();
    Command::new(&program)
        .args(args)
        .current_dir(dir)
        .envs(env.iter().copied())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap_or_else(|error| {
            panic!("{}: {error}; build it first: cargo build -p ledgebook", program.display())
        })
}

/// What another program (qpdf, pdftotext) prints.
///
/// # Panics
/// When it is not there or finds something wrong.
pub fn other(program: &str, args: &[&str]) -> String {
    let ran = Command::new(program).args(args).output().unwrap_or_else(|error| panic!("{program}: {error}"));
    assert!(ran.status.success(), "{program} {args:?}: {}", String::from_utf8_lossy(&ran.stderr));
    String::from_utf8_lossy(&ran.stdout).into_owned()
}

/// The text of a PDF in the order it was written, without line ends and runs of spaces, as a report wraps
/// where it likes. The file is looked at by qpdf first.
///
/// # Panics
/// When the file is no sound PDF.
pub fn text_of_pdf(file: &Path) -> String {
    let file = file.to_string_lossy();
    other("qpdf", &["--check", &file]);
    flowing(&other("pdftotext", &["-raw", &file, "-"]))
}

/// Without line ends and runs of spaces.
pub fn flowing(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
