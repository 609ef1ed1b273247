//! The command line: adapters of a line or two over `service`.

use std::ffi::OsString;
use std::process::ExitCode;

/// Runs the command line on `args` (without the program's name).
pub fn run(args: &[OsString]) -> ExitCode {
    eprintln!(
        "{{\"code\":\"not_built\",\"what\":\"the command line is not built yet\",\"where\":{args:?},\"remedy\":\"\"}}"
    );
    ExitCode::from(4)
}
