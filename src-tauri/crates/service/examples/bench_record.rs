//! How fast a long record is gone through and opened.
//!
//! `bench_record [ENTRIES] [TIMES]`: makes a record of so many entries (100000) of an operation that goes on and on, then takes
//! the median of so many runs (5). Prints JSON Lines: each part in ms of wall and of processor time, `verify` in entries a
//! second (goal 200 000) and `open` with every view in ms (goal 300).

use journal::{Durability, Journal, Stamp};
use operation::clock::Reading;
use operation::event::Call;
use operation::{NewEvent, Payload, State};
use rig::guidelines::Guidelines;
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

fn make(file: &Path, entries: u64) -> Result<(), Failed> {
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

type Failed = Box<dyn std::error::Error>;

/// Time this thread has had a processor, ns; `None` where the system does not tell. On a machine that does other things too
/// it says what the work costs, where the time of day says how long one waits.
fn on_processor() -> Option<u64> {
    std::fs::read_to_string("/proc/thread-self/schedstat").ok()?.split(' ').next()?.parse().ok()
}

/// Median of wall time and of processor time, ms.
fn median(times: usize, mut work: impl FnMut() -> Result<(), Failed>) -> Result<(f64, f64), Failed> {
    let (mut wall, mut processor) = (Vec::new(), Vec::new());
    for _ in 0..times {
        let (begin, before) = (Instant::now(), on_processor());
        work()?;
        wall.push(begin.elapsed().as_secs_f64() * 1000.0);
        let spent = on_processor().zip(before).map(|(now, before)| (now - before) as f64 / 1e6);
        processor.push(spent.unwrap_or(f64::NAN));
    }
    wall.sort_by(f64::total_cmp);
    processor.sort_by(f64::total_cmp);
    Ok((wall[times / 2], processor[times / 2]))
}

/// Measures one thing and prints it; answers its wall time.
fn measure(what: &str, times: usize, work: impl FnMut() -> Result<(), Failed>) -> Result<f64, Failed> {
    let (wall, processor) = median(times, work)?;
    println!("{{\"what\":\"{what}\",\"ms\":{wall:.1},\"processor_ms\":{processor:.1}}}");
    Ok(wall)
}

fn main() -> Result<(), Failed> {
    let mut args = std::env::args().skip(1).map(|a| a.parse::<u64>());
    let entries = args.next().transpose()?.unwrap_or(100_000).max(10);
    let times = usize::try_from(args.next().transpose()?.unwrap_or(5).max(1))?;
    let dir = tempfile::tempdir_in(std::env::current_dir()?)?;
    let file = dir.path().join("bench.ledge");
    make(&file, entries)?;
    let look = || Journal::open_read_only(&file);
    measure("pages alone", times, || Ok(look()?.sound()?))?;
    let verify = measure("verify", times, || {
        look()?.verify()?;
        Ok(())
    })?;
    let rate = entries as f64 / verify * 1000.0;
    println!(
        "{{\"what\":\"verify\",\"entries\":{entries},\"entries_per_s\":{rate:.0},\"goal_met\":{}}}",
        rate >= 200_000.0
    );
    let now =
        Reading { session: stamp(1).session, boot_ms: stamp(entries).boot_ms, wall_ms: 0, offset_min: 120 };
    measure("rows read", times, || {
        look()?.stored()?;
        Ok(())
    })?;
    let rows = look()?.entries()?;
    measure("replayed", times, || {
        std::hint::black_box(State::replay(Guidelines::defaults(), &rows));
        Ok(())
    })?;
    let session = Session::look(&file)?;
    let shown = session.now(&now);
    measure("view of the window", times, || {
        std::hint::black_box(service::view::view(&session, shown));
        Ok(())
    })?;
    measure("review", times, || {
        std::hint::black_box(service::review::view(&session, shown));
        Ok(())
    })?;
    measure("opened to look", times, || {
        std::mem::forget(Session::look(&file)?);
        Ok(())
    })?;
    session.close()?;
    measure("opened and closed below the session", times, || {
        Journal::open(&file, "bench")?.close()?;
        Ok(())
    })?;
    let open = measure("opened with every view, and closed", times, || {
        let session = Session::open(&file, "bench")?;
        let now = session.now(&now);
        std::hint::black_box((service::view::view(&session, now), service::review::view(&session, now)));
        Ok(session.close()?)
    })?;
    println!("{{\"what\":\"open\",\"entries\":{entries},\"ms\":{open:.1},\"goal_met\":{}}}", open <= 300.0);
    Ok(())
}
