//! The whole torture: each promise in parts beside each other, watched, and the table at the end.

use crate::part::{Runs, again};
use crate::promise::{PROMISES, Promise, Tally, count, named};
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{self, Receiver};
use std::time::{Duration, Instant};

/// A part may hold so much memory, MiB: many times what any of them needs.
const MOST_MEMORY: u64 = 2_048;
/// Failures of one promise that are printed; all are counted.
const PRINTED: usize = 20;

/// What was asked on the command line.
#[derive(Clone, Debug, Default)]
pub struct Asked {
    /// First seed; without it the clock's.
    pub seed: Option<u64>,
    /// One promise only.
    pub only: Option<String>,
    /// Fill so many minutes, instead of the full counts.
    pub minutes: Option<f64>,
    /// So many runs, instead of the full counts.
    pub runs: Option<u64>,
}

/// A line of the table.
#[derive(Clone, Debug)]
struct Row {
    promise: Promise,
    runs: u64,
    failures: u64,
    tally: Tally,
    seconds: f64,
}

/// Runs what was asked, prints the table, and answers whether every promise was kept.
///
/// # Errors
/// An unknown name, or a part that cannot be started.
pub fn run(asked: &Asked) -> Result<bool, String> {
    let promises: Vec<Promise> = match &asked.only {
        None => PROMISES.to_vec(),
        Some(name) => vec![named(name).ok_or_else(|| {
            let known: Vec<&str> = PROMISES.iter().map(|promise| promise.name).collect();
            format!("no promise {name:?}: one of {}", known.join(" "))
        })?],
    };
    let seed = asked.seed.unwrap_or_else(seed_of_now);
    println!("seed {seed}");
    let end = asked.minutes.map(|minutes| Instant::now() + Duration::from_secs_f64(minutes * 60.0));
    let mut rows = Vec::new();
    for (place, promise) in promises.iter().enumerate() {
        let runs = match (asked.runs, end) {
            (Some(runs), _) => Runs { seed, count: runs, step: 1, seconds: None },
            (None, None) => Runs { seed, count: (promise.full)(), step: 1, seconds: None },
            (None, Some(end)) => {
                let left = end.saturating_duration_since(Instant::now()).as_secs();
                let shares: u64 = promises[place..].iter().map(|promise| promise.share).sum();
                let most = if promise.alone { (promise.full)() } else { u64::MAX };
                Runs { seed, count: most, step: 1, seconds: Some(left * promise.share / shares.max(1)) }
            }
        };
        let row = one(promise, runs)?;
        println!("{}: {} runs, {} failures, {:.0} s", row.promise.name, row.runs, row.failures, row.seconds);
        rows.push(row);
    }
    table(&rows);
    Ok(rows.iter().all(|row| row.failures == 0 && row.runs > 0))
}

fn seed_of_now() -> u64 {
    let now = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    now.map_or(1, |now| now.as_secs() % 1_000_000_000)
}

/// What a part said last, and when.
struct Watched {
    child: Child,
    lines: Receiver<String>,
    runs: u64,
    at: u64,
    since: Instant,
    open: bool,
}

fn one(promise: &Promise, runs: Runs) -> Result<Row, String> {
    let begun = Instant::now();
    let jobs =
        if promise.alone { 1 } else { std::thread::available_parallelism().map_or(1, |n| n.get() as u64) };
    let mut row = Row { promise: *promise, runs: 0, failures: 0, tally: Tally::new(), seconds: 0.0 };
    let mut parts = Vec::new();
    for job in 0..jobs.min(runs.count) {
        let share = runs.count / jobs + u64::from(job < runs.count % jobs);
        let its = Runs { seed: runs.seed.wrapping_add(job), count: share, step: jobs, seconds: runs.seconds };
        parts.push(start(promise, its)?);
    }
    while parts.iter().any(|part| part.open) {
        for part in &mut parts {
            listen(part, &mut row);
        }
        std::thread::sleep(Duration::from_millis(20));
    }
    row.seconds = begun.elapsed().as_secs_f64();
    Ok(row)
}

fn start(promise: &Promise, runs: Runs) -> Result<Watched, String> {
    let program = std::env::current_exe().map_err(|e| e.to_string())?;
    let mut command = Command::new(program);
    command.args(["part", promise.name]);
    command.args([runs.seed, runs.count, runs.step, runs.seconds.unwrap_or(u64::MAX)].map(|n| n.to_string()));
    let mut child = command.stdout(Stdio::piped()).spawn().map_err(|e| e.to_string())?;
    let out = child.stdout.take().ok_or("a part has no voice")?;
    let (tell, lines) = mpsc::channel();
    std::thread::spawn(move || {
        for line in BufReader::new(out).lines().map_while(Result::ok) {
            if tell.send(line).is_err() {
                break;
            }
        }
    });
    Ok(Watched { child, lines, runs: 0, at: runs.seed, since: Instant::now(), open: true })
}

fn listen(part: &mut Watched, row: &mut Row) {
    if !part.open {
        return;
    }
    loop {
        match part.lines.try_recv() {
            Ok(line) => hear(part, row, &line),
            Err(mpsc::TryRecvError::Empty) => break,
            Err(mpsc::TryRecvError::Disconnected) => {
                let ended = part.child.wait();
                if part.runs == 0 {
                    let how = ended.map_or_else(|e| e.to_string(), |status| status.to_string());
                    fail(row, part.at, &format!("the process ended in the middle of it ({how})"));
                }
                part.open = false;
                return;
            }
        }
    }
    let patience = Duration::from_secs(row.promise.patience);
    let memory = memory_mib(part.child.id());
    let why = if part.since.elapsed() > patience {
        format!("it hangs: longer than {} s", patience.as_secs())
    } else if memory.is_some_and(|mib| mib > MOST_MEMORY) {
        format!("it takes {} MiB of memory", memory.unwrap_or_default())
    } else {
        return;
    };
    let _ = part.child.kill();
    let _ = part.child.wait();
    fail(row, part.at, &why);
    part.open = false;
}

fn hear(part: &mut Watched, row: &mut Row, line: &str) {
    part.since = Instant::now();
    match line.split_once(' ') {
        Some(("at", seed)) => {
            part.at = seed.parse().unwrap_or(part.at);
            row.runs += 1;
        }
        Some(("failed", rest)) => {
            let (seed, words) = rest.split_once(' ').unwrap_or((rest, "\"\""));
            let words: String = serde_json::from_str(words).unwrap_or_default();
            fail(row, seed.parse().unwrap_or(part.at), &words);
        }
        Some(("count", rest)) => {
            if let Some((n, what)) = rest.split_once(' ') {
                count(&mut row.tally, what, n.parse().unwrap_or(0));
            }
        }
        // A part that says this has run to its end.
        Some(("ended", runs)) => part.runs = runs.parse::<u64>().unwrap_or(0).max(1),
        _ => println!("{line}"),
    }
}

fn fail(row: &mut Row, seed: u64, words: &str) {
    row.failures += 1;
    if row.failures <= PRINTED as u64 {
        let name = row.promise.name;
        println!("FAILED {name}, seed {seed}: {words}\n  again: {}", again(name, seed));
    }
}

/// Memory of a process, MiB; `None` where the system does not tell.
fn memory_mib(process: u32) -> Option<u64> {
    let pages = std::fs::read_to_string(format!("/proc/{process}/statm")).ok()?;
    Some(pages.split(' ').nth(1)?.parse::<u64>().ok()? * 4096 / (1 << 20))
}

fn table(rows: &[Row]) {
    println!("\n| promise | test | runs | failures |\n|---|---|---|---|");
    for row in rows {
        let counts: Vec<String> = row.tally.iter().map(|(what, n)| format!("{n} {what}")).collect();
        let counted = if counts.is_empty() { String::new() } else { format!(": {}", counts.join(", ")) };
        let Promise { name, promise, test, .. } = row.promise;
        println!("| {promise} | `{name}`: {test} | {}{counted} | {} |", row.runs, row.failures);
    }
}
