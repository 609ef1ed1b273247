//! How fast a long record is gone through and opened.
//!
//! `bench_record [ENTRIES] [TIMES]`: makes a record of so many entries (100000) of an operation that goes on and on, then takes
//! the median of so many runs (5). Prints JSON Lines: each part in ms of wall and of processor time, `verify` in entries a
//! second (goal 200 000) and `open` with every view in ms (goal 300).

mod long_day;

use journal::Journal;
use long_day::{Failed, make, stamp};
use operation::State;
use operation::clock::Reading;
use rig::guidelines::Guidelines;
use rig::units::Units;
use service::Session;
use std::time::Instant;

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
        std::hint::black_box(service::review::view(&session, shown, Units::Si));
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
        std::hint::black_box((
            service::view::view(&session, now),
            service::review::view(&session, now, Units::Si),
        ));
        Ok(session.close()?)
    })?;
    println!("{{\"what\":\"open\",\"entries\":{entries},\"ms\":{open:.1},\"goal_met\":{}}}", open <= 300.0);
    Ok(())
}
