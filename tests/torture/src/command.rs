//! The command line of `torture`.

use crate::day;
use crate::part::{self, Runs};
use crate::promise::named;
use crate::whole::{self, Asked};
use crate::writer;
use std::process::ExitCode;

const USAGE: &str = "\
torture [--minutes N] [--seed S] [--only NAME] [--runs N]
  without --minutes or --runs: the full counts; exit code 1 when a promise was broken";

/// Does what the command line says.
pub fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = args.iter().map(String::as_str).collect();
    let done = match words.as_slice() {
        ["part", name, seed, count, step, seconds] => play(name, [seed, count, step, seconds]).map(|()| true),
        ["weigh", file] => day::weigh(file).map(|()| true),
        ["writer", kind, folder, seed] => writer::write(kind, folder, seed).map(|()| true),
        _ => match asked(&words) {
            Some(asked) => whole::run(&asked),
            None => {
                eprintln!("{USAGE}");
                return ExitCode::from(2);
            }
        },
    };
    match done {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::FAILURE,
        Err(words) => {
            eprintln!("{words}");
            ExitCode::from(2)
        }
    }
}

fn play(name: &str, numbers: [&str; 4]) -> Result<(), String> {
    let promise = named(name).ok_or_else(|| format!("no promise {name:?}"))?;
    let number = |text: &str| text.parse::<u64>().map_err(|e| format!("{text}: {e}"));
    let [seed, count, step, seconds] = numbers.map(number);
    part::speak(&promise, Runs { seed: seed?, count: count?, step: step?, seconds: Some(seconds?) })
}

fn asked(words: &[&str]) -> Option<Asked> {
    let mut asked = Asked::default();
    let (pairs, rest) = words.as_chunks::<2>();
    for [name, value] in pairs {
        match *name {
            "--seed" => asked.seed = Some(value.parse().ok()?),
            "--only" => asked.only = Some((*value).to_string()),
            "--minutes" => asked.minutes = Some(value.parse().ok().filter(|n: &f64| *n > 0.0)?),
            "--runs" => asked.runs = Some(value.parse().ok()?),
            _ => return None,
        }
    }
    rest.is_empty().then_some(asked)
}
