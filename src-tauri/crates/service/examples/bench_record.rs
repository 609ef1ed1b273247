//! How fast a long record is gone through and opened.
//!
//! `bench_record [ENTRIES] [TIMES]`: makes a record of so many entries (100000) of an operation that goes on and on, then takes the
//! median of so many runs (5). Prints JSON Lines: `verify` in entries a second (goal 200 000), with the pages alone
//! (`sound`) beside it, and `open` with every view in ms (goal 300), with its parts.

use journal::{Durability, Journal, Stamp};
use operation::clock::Reading;
use operation::event::Call;
use operation::{NewEvent, Payload};
use service::Session;
use std::path::Path;
use std::time::Instant;

fn call(from: &str, to: &[&str], text: String, of: Option<String>) -> Call {
    let to: Vec<String> = to.iter().map(ToString::to_string).collect();
    Call { from: from.into(), to_roles: to.clone(), to, text, of, ..Call::default() }
}

fn id(n: u64) -> String {
    format!("019e0000-0000-7000-8000-{n:012x}")
}

/// A lower that is ordered, read back by both, reported and stopped, over and over.
fn event(n: u64) -> Result<NewEvent, operation::StepError> {
    let (one, two) = ("rope one operator", "rope two operator");
    let payload = match n % 8 {
        0 => Payload::Order(call("control", &[one, two], format!("lower slow {n}"), None)),
        1 => Payload::Readback(call(one, &[], format!("lower slow {}", n - 1), Some(id(n - 1)))),
        2 => Payload::Readback(call(two, &[], format!("lower slow {}", n - 2), Some(id(n - 2)))),
        3 => Payload::Report(Call {
            metres: Some((n % 30) as f64),
            ..call(one, &[], "metres out".into(), None)
        }),
        4 => Payload::Order(call("edge attendant", &["all"], "stop".into(), None)),
        5 => Payload::Report(call(one, &[], "stopped".into(), None)),
        6 => Payload::Report(call(two, &[], "stopped".into(), None)),
        _ => Payload::Note(call(
            "scribe",
            &[],
            format!("the rope is dry at the edge, protection holds {n}"),
            None,
        )),
    };
    NewEvent::of(&payload)
}

fn stamp(n: u64) -> Stamp {
    let seconds = n / 2;
    Stamp {
        id: id(n),
        session: "019e0000-0000-7000-8000-5e5510000000".into(),
        boot_ms: i64::try_from(n * 500).unwrap_or(0),
        recorded_at: format!(
            "2026-05-{:02}T{:02}:{:02}:{:02}.{}00+02:00",
            1 + seconds / 86_400,
            seconds / 3600 % 24,
            seconds / 60 % 60,
            seconds % 60,
            n % 2 * 5
        ),
        salt: [(n % 251) as u8; 32],
    }
}

fn make(file: &Path, entries: u64) -> Result<(), Box<dyn std::error::Error>> {
    let steps = [
        r#"{"do":"open","name":"A long day","purpose":"drill","edge_height":"30m"}"#,
        r#"{"do":"assign","role":"control","person":"Ines Moreau"}"#,
        r#"{"do":"assign","role":"rope one operator","person":"Jon Aske"}"#,
        r#"{"do":"assign","role":"rope two operator","person":"Tove Lind"}"#,
    ];
    let mut session = Session::create(file, "top", "bench", Durability::AtClose)?;
    for (n, step) in (1..).zip(steps) {
        session.act(&service::read_step(step, "step")?, &stamp(n))?;
    }
    session.close()?;
    let mut journal = Journal::open(file, "bench")?;
    let events: Vec<(NewEvent, Stamp)> =
        (5..=entries).map(|n| Ok((event(n)?, stamp(n)))).collect::<Result<_, operation::StepError>>()?;
    for some in events.chunks(5_000) {
        journal.append_all("top", &some.iter().map(|(e, s)| (e, s)).collect::<Vec<_>>())?;
    }
    journal.close()?;
    Ok(())
}

fn median(
    times: usize,
    mut work: impl FnMut() -> Result<(), Box<dyn std::error::Error>>,
) -> Result<f64, Box<dyn std::error::Error>> {
    let mut taken = Vec::new();
    for _ in 0..times {
        let begin = Instant::now();
        work()?;
        taken.push(begin.elapsed().as_secs_f64() * 1000.0);
    }
    taken.sort_by(f64::total_cmp);
    Ok(taken[taken.len() / 2])
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut args = std::env::args().skip(1).map(|a| a.parse::<u64>());
    let entries = args.next().transpose()?.unwrap_or(100_000).max(10);
    let times = usize::try_from(args.next().transpose()?.unwrap_or(5).max(1))?;
    let dir = tempfile::tempdir_in(std::env::current_dir()?)?;
    let file = dir.path().join("bench.ledge");
    make(&file, entries)?;
    let sound = median(times, || Ok(Journal::open_read_only(&file)?.sound()?))?;
    let verify = median(times, || Ok(drop(Journal::open_read_only(&file)?.verify()?)))?;
    let rate = entries as f64 / verify * 1000.0;
    println!(
        "{{\"what\":\"verify\",\"entries\":{entries},\"ms\":{verify:.1},\"sound_ms\":{sound:.1},\"entries_per_s\":{rate:.0},\"goal_met\":{}}}",
        rate >= 200_000.0
    );
    let now =
        Reading { session: stamp(1).session, boot_ms: stamp(entries).boot_ms, wall_ms: 0, offset_min: 120 };
    let read = median(times, || Ok(drop(Journal::open_read_only(&file)?.stored()?)))?;
    let journal = median(times, || Ok(drop(Journal::open(&file, "bench")?.close()?)))?;
    let session = median(times, || Ok(Session::open(&file, "bench")?.close()?))?;
    let open = median(times, || {
        let session = Session::open(&file, "bench")?;
        let now = session.now(&now);
        let view = service::view::view(&session, now);
        let review = service::review::view(&session, now);
        std::hint::black_box((view, review));
        Ok(session.close()?)
    })?;
    println!(
        "{{\"what\":\"open\",\"entries\":{entries},\"ms\":{open:.1},\"rows_read_ms\":{read:.1},\"journal_ms\":{journal:.1},\"session_ms\":{session:.1},\"goal_met\":{}}}",
        open <= 300.0
    );
    Ok(())
}
