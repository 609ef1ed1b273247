//! `torture`: puts the record's promises to the trial. `cargo xtask torture` builds and runs it.

/// Kills, memory and the failing disk are those of a Unix.
#[cfg(unix)]
fn main() -> std::process::ExitCode {
    ledgebook_torture::command::main()
}

#[cfg(not(unix))]
fn main() -> std::process::ExitCode {
    eprintln!("the torture kills processes and stands under SQLite as a Unix does: run it on one");
    std::process::ExitCode::from(4)
}
