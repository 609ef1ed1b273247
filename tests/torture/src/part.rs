//! A part of a trial as a process of its own, so that a run that ends the process, hangs or eats the memory is
//! found and named by its seed.

use crate::promise::{Promise, Tally, Trial};
use std::io::Write;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Mutex, PoisonError, mpsc};
use std::time::{Duration, Instant};

/// Which runs: `count` of them from `seed` in steps, none begun after `seconds`.
#[derive(Clone, Copy, Debug)]
pub struct Runs {
    /// First seed.
    pub seed: u64,
    /// How many.
    pub count: u64,
    /// From one seed to the next.
    pub step: u64,
    /// Longest, seconds.
    pub seconds: Option<u64>,
}

/// Where the last panic was; told with the failure instead of in the middle of the lines.
static PANICKED: Mutex<String> = Mutex::new(String::new());

/// Keeps panics quiet, and where they were.
fn keep_panics() {
    std::panic::set_hook(Box::new(|panic| {
        *PANICKED.lock().unwrap_or_else(PoisonError::into_inner) = panic.to_string();
    }));
}

/// One run; a panic is a failure like any other.
///
/// # Errors
/// What was broken.
pub fn once(trial: &mut Trial, seed: u64, tally: &mut Tally) -> Result<(), String> {
    catch_unwind(AssertUnwindSafe(|| trial(seed, tally))).unwrap_or_else(|panic| {
        let words = panic.downcast_ref::<String>().cloned();
        let words = words.or_else(|| panic.downcast_ref::<&str>().map(ToString::to_string));
        Err(format!("it panicked: {}", words.unwrap_or_default()))
    })
}

/// Runs a part and tells standard output: `at SEED` before each run, `failed SEED WORDS` as a JSON text, at the end
/// `count N WHAT` for each count and `ended RUNS`.
///
/// # Errors
/// When the trial cannot begin, or nobody listens.
pub fn speak(promise: &Promise, runs: Runs) -> Result<(), String> {
    keep_panics();
    let mut trial = (promise.begin)()?;
    let mut tally = Tally::new();
    let mut out = std::io::stdout();
    let mut say =
        |line: String| writeln!(out, "{line}").and_then(|()| out.flush()).map_err(|e| e.to_string());
    let begun = Instant::now();
    let mut done = 0;
    while done < runs.count && runs.seconds.is_none_or(|most| begun.elapsed().as_secs() < most) {
        let seed = runs.seed.wrapping_add(done.wrapping_mul(runs.step));
        say(format!("at {seed}"))?;
        if let Err(mut words) = once(&mut trial, seed, &mut tally) {
            let panic = std::mem::take(&mut *PANICKED.lock().unwrap_or_else(PoisonError::into_inner));
            if !panic.is_empty() {
                words = format!("{words}\n  {panic}");
            }
            say(format!("failed {seed} {}", serde_json::Value::from(words)))?;
        }
        done += 1;
    }
    for (what, n) in &tally {
        say(format!("count {n} {what}"))?;
    }
    say(format!("ended {done}"))
}

/// The short form, in this process: panics with the first failure and how to have it again.
///
/// # Panics
/// When a run fails or hangs.
pub fn short(name: &str) -> Tally {
    let promise = crate::promise::named(name).unwrap_or_else(|| panic!("no promise {name}"));
    let (tell, hear) = mpsc::channel();
    let worker = std::thread::spawn(move || {
        let mut trial = (promise.begin)().expect("the trial begins");
        let mut tally = Tally::new();
        for seed in 1..=promise.short {
            let _ = tell.send(seed);
            if let Err(words) = once(&mut trial, seed, &mut tally) {
                return Err(format!("seed {seed}: {words}\nagain: {}", again(promise.name, seed)));
            }
        }
        Ok(tally)
    });
    let mut last = 0;
    loop {
        match hear.recv_timeout(Duration::from_secs(4 * promise.patience)) {
            Ok(seed) => last = seed,
            Err(mpsc::RecvTimeoutError::Disconnected) => break,
            Err(mpsc::RecvTimeoutError::Timeout) => panic!("it hangs; again: {}", again(promise.name, last)),
        }
    }
    match worker.join() {
        Ok(Ok(tally)) => tally,
        Ok(Err(words)) => panic!("{}: {words}", promise.promise),
        Err(_) => panic!("{name}: the trial itself failed"),
    }
}

/// The command that has a run again.
pub fn again(name: &str, seed: u64) -> String {
    format!("cargo xtask torture --only {name} --seed {seed} --runs 1")
}
