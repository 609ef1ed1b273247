//! Append beside a bare WAL/FULL insert of the same row, interleaved in one run.
//!
//! `bench_calls [ENTRIES] [SAMPLES]`: makes a record of so many entries (100000), then times so many of each (2000).
//! Prints JSON Lines: `{"what", "entries", "samples", "p50_us", "p99_us"}` for `append` and `bare_insert`,
//! then `{"what": "ratio", "p50", "p99", "goal_met"}`: goal p99 ≤ max(1.5 ×, + 1 ms).

use journal::{Durability, Journal, Stamp};
use operation::NewEvent;
use rusqlite::{Connection, params};
use std::time::Instant;

fn event(n: u64) -> NewEvent {
    NewEvent {
        kind: "order".into(),
        version: 0,
        payload: format!(
            "{{\"from\":\"control\",\"from_people\":[\"Ines Moreau\"],\"to\":[\"rope one operator\",\"rope two operator\"],\"text\":\"lower slow {n}\"}}"
        ),
        happened_at: None,
        author: Some("Ines Moreau".into()),
        corrects: None,
    }
}

fn stamp(n: u64) -> Stamp {
    Stamp {
        id: format!("019e0000-0000-7000-8000-{n:012x}"),
        session: "019e0000-0000-7000-8000-5e5510000000".into(),
        boot_ms: i64::try_from(n).unwrap_or(0),
        recorded_at: "2026-05-14T13:02:00.000+02:00".into(),
        salt: [7; 32],
    }
}

fn quantile(sorted: &[u128], q: usize) -> f64 {
    sorted[(sorted.len() * q / 100).min(sorted.len() - 1)] as f64 / 1000.0
}

fn report(what: &str, entries: u64, times: &mut [u128]) -> (f64, f64) {
    times.sort_unstable();
    let (p50, p99) = (quantile(times, 50), quantile(times, 99));
    println!(
        "{{\"what\":\"{what}\",\"entries\":{entries},\"samples\":{},\"p50_us\":{p50:.1},\"p99_us\":{p99:.1}}}",
        times.len()
    );
    (p50, p99)
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut args = std::env::args().skip(1).map(|a| a.parse::<u64>());
    let entries = args.next().transpose()?.unwrap_or(100_000);
    let samples = args.next().transpose()?.unwrap_or(2_000).max(1);
    let dir = tempfile::tempdir_in(std::env::current_dir()?)?;
    let file = dir.path().join("bench.ledge");
    // Filled without waiting for the disk, then opened as the window opens it.
    let mut journal = Journal::create(&file, "bench", Durability::AtClose)?;
    for n in 1..=entries {
        journal.append("top", &event(n), &stamp(n))?;
    }
    journal.close()?;
    let bare_file = dir.path().join("bare.db");
    std::fs::copy(&file, &bare_file)?;
    let mut journal = Journal::open(&file, "bench")?;
    let bare = Connection::open(&bare_file)?;
    bare.execute_batch(
        "DROP TRIGGER event_no_update; DROP TRIGGER event_no_delete; DROP TRIGGER event_no_replace; PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL",
    )?;
    let mut insert = bare
        .prepare("INSERT INTO event VALUES (NULL,?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11,?12,?13,?14,?15,?16)")?;
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    for n in entries + 1..=entries + samples {
        let (event, stamp) = (event(n), stamp(n));
        let begin = Instant::now();
        let (_, entry) = journal.append("top", &event, &stamp)?;
        ours.push(begin.elapsed().as_nanos());
        let hash = hex::decode(&entry.hash)?;
        let begin = Instant::now();
        insert.execute(params![
            entry.id,
            entry.station,
            entry.station_seq,
            entry.session,
            entry.boot_ms,
            entry.recorded_at,
            entry.happened_at,
            entry.author,
            entry.kind,
            entry.version,
            entry.payload,
            stamp.salt,
            hash,
            entry.corrects,
            hash,
            hash
        ])?;
        theirs.push(begin.elapsed().as_nanos());
    }
    let (a50, a99) = report("append", entries, &mut ours);
    let (b50, b99) = report("bare_insert", entries, &mut theirs);
    let met = a99 <= (1.5 * b99).max(b99 + 1000.0);
    println!("{{\"what\":\"ratio\",\"p50\":{:.3},\"p99\":{:.3},\"goal_met\":{met}}}", a50 / b50, a99 / b99);
    Ok(())
}
