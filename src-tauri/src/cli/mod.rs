//! The command line: adapters over `service`. Results go to standard output, errors to standard error; `--json`
//! makes both JSON.
//!
//! Exit: 0 holds or done; 1 a check falls short, a part is critical, or a chain is altered; 2 bad input, not ours
//! or not readable; 3 nothing falls short but something is not checked; 4 could not (disk, lock, display).

mod args;
mod doctor;
mod export;
mod log;
mod print;
mod record;
mod records;
mod review;
mod rig;
mod sum;
mod sum_args;

use args::{Args, Command};
use clap::Parser;
use clap::error::ErrorKind;
use service::paper::Asked;
use service::wire::Trouble;
use std::ffi::OsString;
use std::process::ExitCode;

/// What a command answers: its exit code, everything being printed already.
type Done = Result<u8, Trouble>;

/// Runs the command line on `args` (without the program's name).
pub fn run(args: &[OsString]) -> ExitCode {
    let json = args.iter().any(|arg| arg == "--json");
    let whole = std::iter::once(OsString::from("ledgebook")).chain(below_0(args));
    let code = match Args::try_parse_from(whole) {
        Ok(args) => command(args).unwrap_or_else(|trouble| tell(&trouble, json)),
        Err(error) if matches!(error.kind(), ErrorKind::DisplayHelp | ErrorKind::DisplayVersion) => {
            print::out(&error.to_string()).map_or_else(|trouble| tell(&trouble, json), |()| 0)
        }
        Err(error) if json => tell(&bad_argument(&error.to_string()), true),
        Err(error) => {
            eprint!("{error}");
            2
        }
    };
    ExitCode::from(code)
}

/// A value below 0 behind its option is bound to it (`--sag -2m`): alone it would be taken for an option of its own.
fn below_0(args: &[OsString]) -> Vec<OsString> {
    let number = |arg: &OsString| {
        let text = arg.to_string_lossy();
        let mut chars = text.chars();
        chars.next() == Some('-') && chars.next().is_some_and(|c| c.is_ascii_digit() || c == '.')
    };
    let option = |arg: &OsString| {
        let text = arg.to_string_lossy();
        text.len() > 2 && text.starts_with("--") && !text.contains('=')
    };
    let mut bound: Vec<OsString> = Vec::new();
    for arg in args {
        match bound.last_mut() {
            Some(before) if number(arg) && option(before) => {
                before.push("=");
                before.push(arg);
            }
            _ => bound.push(arg.clone()),
        }
    }
    bound
}

/// What the parser of arguments says, whole: its lines up to the usage are what is wrong, its tips are the remedy.
fn bad_argument(text: &str) -> Trouble {
    let said = text.split("\n\nUsage:").next().unwrap_or_default();
    let said = said.split("\n\nFor more information").next().unwrap_or_default();
    let lines = || said.lines().map(str::trim).filter(|line| !line.is_empty());
    let tip = |line: &&str| line.starts_with("tip:");
    let what = lines().filter(|line| !tip(line)).collect::<Vec<_>>().join(" ");
    let tips: Vec<&str> = lines().filter(tip).map(|line| line.trim_start_matches("tip:").trim()).collect();
    let remedy =
        if tips.is_empty() { "`ledgebook --help` lists what there is".to_string() } else { tips.join("; ") };
    Trouble::new("bad_argument", what.trim_start_matches("error: "), "command line", remedy)
}

fn command(args: Args) -> Done {
    let json = args.json;
    match args.command {
        Command::Rehearse { script, out } => record::rehearse(&script, &out, json),
        Command::Rig { command } => rig::run(command, json),
        Command::Sum(sum) => sum::run(sum, json),
        Command::Log { command } => log::run(command, json),
        Command::State { file, at } => record::state(&file, at.as_deref(), json),
        Command::Review { file, units } => review::run(&file, units.into(), json),
        Command::Report { file, pdf, paper, patient, no_names, units } => {
            let asked = Asked { paper: paper.into(), patient, no_names, units: units.into() };
            record::report(&file, &pdf, &asked, json)
        }
        Command::Compare { file } => review::compare(&file, json),
        Command::Records { folder, find } => records::run(&folder, find.as_deref(), json),
        Command::Seal { file, person, reason } => review::seal(&file, &person, &reason, json),
        Command::Export { file, to, out, no_names, paper, units } => {
            let asked = Asked { paper: paper.into(), no_names, units: units.into(), ..Asked::default() };
            export::run(&file, to, &out, &asked, json)
        }
        Command::Doctor { file } => doctor::run(file.as_deref(), json),
        Command::Schema { name } => record::schema(&name),
    }
}

/// Says what went wrong on standard error; returns the exit code.
fn tell(trouble: &Trouble, json: bool) -> u8 {
    if json {
        eprintln!("{}", serde_json::to_string(trouble).unwrap_or_else(|_| trouble.to_string()));
    } else {
        eprintln!("{trouble}");
    }
    trouble.exit_code()
}
