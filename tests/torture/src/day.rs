//! A day of calls in virtual time: memory that grows with the entries and with nothing else, and calls that take
//! as long at the end as at the beginning.

use crate::kills;
use crate::place;
use crate::promise::{Tally, Trial, count};
use journal::Stamp;
use serde_json::{Value, json};
use service::{Session, Step, view};
use std::path::Path;
use std::process::Command;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// Calls of the day.
pub static CALLS: AtomicU64 = AtomicU64::new(100_000);

/// Length of the day, ms.
const DAY_MS: u64 = 24 * 3_600_000;
/// The window shows what stands after so many calls.
const LOOK_EVERY: u64 = 50;
/// The day may hold so much more than a program that only opened its file, in percent, and besides so many bytes for
/// what a program needs anyway: an assumption, wide enough for how memory is handed out, too narrow for a leak of
/// 200 bytes a call.
const MORE_PERCENT: u64 = 25;
const BESIDES: u64 = 8 << 20;
/// A call at the end may take so many times one at the beginning, and a tenth of a millisecond. Compared is the tenth
/// quickest in a hundred: what else the machine does slows the others.
const SLOWER: u32 = 2;

/// The trial.
///
/// # Errors
/// Never; the run answers for itself.
pub fn begin() -> Result<Trial, String> {
    Ok(Box::new(|_, tally| day(CALLS.load(Ordering::Relaxed), tally)))
}

/// The n-th call: a lower that is ordered, read back, stopped and reported, again and again.
fn call(n: u64) -> Value {
    let order = |back: u64| (n - back).to_string();
    match n {
        1 => {
            json!({"do": "open", "name": "Long day", "place": "North face", "purpose": "drill", "edge_height": "18m"})
        }
        2 => json!({"do": "check_in", "person": "Odile Marn"}),
        3 => json!({"do": "check_in", "person": "Per Aske"}),
        4 => json!({"do": "check_in", "person": "Ruta Vilks"}),
        5 => json!({"do": "assign", "role": "control", "person": "Odile Marn"}),
        6 => json!({"do": "assign", "role": "rope one operator", "person": "Per Aske"}),
        7 => json!({"do": "assign", "role": "rope two operator", "person": "Ruta Vilks"}),
        _ => match (n - 8) % 10 {
            0 => {
                json!({"do": "order", "from": "control", "to": ["rope one operator", "rope two operator"], "text": "lower slow"})
            }
            1 => json!({"do": "readback", "from": "rope one operator", "of": order(1), "text": "lower slow"}),
            2 => json!({"do": "readback", "from": "rope two operator", "of": order(2), "text": "lower slow"}),
            3 => {
                json!({"do": "report", "from": "rope one operator", "text": format!("{} metres", n % 18), "metres": (n % 18) as f64})
            }
            4 => json!({"do": "order", "from": "edge attendant", "to": ["all"], "text": "stop"}),
            5 => json!({"do": "report", "from": "rope one operator", "text": "stopped"}),
            6 => json!({"do": "report", "from": "rope two operator", "text": "stopped"}),
            7 => json!({"do": "note", "from": "scribe", "text": format!("wind from the west, entry {n}")}),
            8 => json!({"do": "signal", "from": "edge attendant", "count": 1 + n % 4, "by": "whistle"}),
            _ => json!({"do": "par", "count": 3, "of": 3}),
        },
    }
}

/// The stamp of the n-th of so many calls over the day.
fn stamp(n: u64, calls: u64) -> Stamp {
    let ms = n * DAY_MS / (calls + 1);
    let mut salt = [0; 32];
    salt[..8].copy_from_slice(&n.to_be_bytes());
    let (s, of_s) = (ms / 1000, ms % 1000);
    Stamp {
        id: service::session::id_v7(1_778_709_600_000 + ms, &salt),
        session: "019e0000-0000-7000-9000-000000000001".into(),
        boot_ms: i64::try_from(ms).unwrap_or(0),
        recorded_at: format!("2026-05-14T{:02}:{:02}:{:02}.{of_s:03}+02:00", s / 3600, s / 60 % 60, s % 60),
        salt,
    }
}

fn day(calls: u64, tally: &mut Tally) -> Result<(), String> {
    let folder = place::in_memory()?;
    let file = folder.path().join("day.ledge");
    let mut session = Session::create_new(&file, "a trial").map_err(|e| e.to_string())?;
    let begun = memory("self")?;
    let (mut acts, mut looks) = (Vec::new(), Vec::new());
    for n in 1..=calls {
        let stamp = stamp(n, calls);
        let step = Step::read(&call(n), "a call").map_err(|e| e.to_string())?;
        let since = Instant::now();
        session.act(&step, &stamp).map_err(|e| format!("call {n}: {e}"))?;
        acts.push(since.elapsed());
        if n.is_multiple_of(LOOK_EVERY) {
            let since = Instant::now();
            let shown = view::view(&session, 1_778_709_600_000 + stamp.boot_ms);
            looks.push(since.elapsed());
            if shown.saved.count != n {
                return Err(format!("after call {n} the window shows {} saved", shown.saved.count));
            }
        }
    }
    // What the trial itself wrote down is no part of the program.
    let ours = (acts.capacity() + looks.capacity()) * size_of::<Duration>();
    let lived = memory("self")?.saturating_sub(begun).saturating_sub(ours as u64);
    session.close().map_err(|e| e.to_string())?;
    let (before, opened) = weighed(&file)?;
    let opened = opened.saturating_sub(before);
    let on_disk = std::fs::metadata(&file).map_err(|e| e.to_string())?.len();
    count(tally, "calls", calls);
    count(tally, "bytes a call on the disk", on_disk / calls);
    count(tally, "bytes a call in memory after the day", lived / calls);
    count(tally, "bytes a call in memory after opening", opened / calls);
    let (first, last) = ends(&acts);
    let (first_look, last_look) = ends(&looks);
    for (what, time) in [
        ("µs a call at the beginning", first),
        ("µs a call at the end", last),
        ("µs a view at the beginning", first_look),
        ("µs a view at the end", last_look),
    ] {
        count(tally, what, u64::try_from(time.as_micros()).unwrap_or(u64::MAX));
    }
    if lived > opened + opened * MORE_PERCENT / 100 + BESIDES {
        let words = "bytes of memory after the day, and a program that only opens its file holds";
        return Err(format!("{lived} {words} {opened}"));
    }
    if last > first * SLOWER + Duration::from_micros(100) {
        return Err(format!("a call took {first:?} at the beginning and {last:?} at the end"));
    }
    Ok(())
}

/// The tenth quickest in a hundred, of the first and of the last twentieth.
fn ends(times: &[Duration]) -> (Duration, Duration) {
    let part = (times.len() / 20).max(1);
    let quick = |times: &[Duration]| {
        let mut times = times.to_vec();
        times.sort_unstable();
        times.get(times.len() / 10).copied().unwrap_or_default()
    };
    (quick(&times[..part.min(times.len())]), quick(&times[times.len().saturating_sub(part)..]))
}

/// Memory of a process that stays with it, bytes.
fn memory(process: &str) -> Result<u64, String> {
    let told = std::fs::read_to_string(format!("/proc/{process}/statm")).map_err(|e| e.to_string())?;
    let pages = told.split(' ').nth(1).and_then(|pages| pages.parse::<u64>().ok());
    pages.map(|pages| pages * 4096).ok_or_else(|| "the system does not tell the memory".into())
}

/// What another process, which only opens the file, holds before and after.
fn weighed(file: &Path) -> Result<(u64, u64), String> {
    let answer =
        Command::new(kills::program()?).arg("weigh").arg(file).output().map_err(|e| e.to_string())?;
    let text = String::from_utf8_lossy(&answer.stdout).into_owned();
    let numbers: Vec<u64> = text.split_whitespace().filter_map(|word| word.parse().ok()).collect();
    match numbers[..] {
        [before, after] => Ok((before, after)),
        _ => Err(format!("the file was not weighed: {text} {}", String::from_utf8_lossy(&answer.stderr))),
    }
}

/// Opens a file and prints the memory before and after.
///
/// # Errors
/// When it cannot be opened.
pub fn weigh(file: &str) -> Result<(), String> {
    // The program's own needs, out of the way first.
    let folder = place::in_memory()?;
    let session =
        Session::create_new(&folder.path().join("a.ledge"), "a trial").map_err(|e| e.to_string())?;
    let before = memory("self")?;
    let opened = Session::open(Path::new(file), "a trial").map_err(|e| e.to_string())?;
    println!("{before} {}", memory("self")?);
    drop((opened, session));
    Ok(())
}
