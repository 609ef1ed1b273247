//! How long the records of a folder take, and one operation beside the last ones of its team.
//!
//! `bench_folder [OPERATIONS] [TIMES]`: rehearses the two operations of `tests/operations`, writes so many (200) others of the same
//! entries through the journal, three of the first to one of the second, each with ids, a station and a day of its own; then takes
//! the median of so many runs (3). Prints JSON Lines.

use chrono::{DateTime, Duration, SecondsFormat};
use journal::{Durability, Journal, Stamp};
use operation::{Entry, NewEvent};
use service::records::records;
use service::review::compare;
use std::path::{Path, PathBuf};
use std::time::Instant;

type Failed = Box<dyn std::error::Error>;

fn main() -> Result<(), Failed> {
    let mut args = std::env::args().skip(1).map(|a| a.parse::<usize>());
    let operations = args.next().transpose()?.unwrap_or(200).max(1);
    let times = args.next().transpose()?.unwrap_or(3).max(1);
    let dir = tempfile::tempdir_in(std::env::current_dir()?)?;
    let folder = dir.path().join("operations");
    std::fs::create_dir(&folder)?;
    let told = [rehearsed("demonstration", dir.path())?, rehearsed("what-was-left-out", dir.path())?];
    let (mut last, mut entries) = (PathBuf::new(), 0);
    for i in 0..operations {
        let rows = &told[usize::from(i % 4 == 3)];
        last = folder.join(format!("operation-{i:04}.ledge"));
        another(rows, i, &last)?;
        entries += rows.len();
    }
    let whole = records(&folder, "").map_err(|t| t.what)?;
    let counted = (whole.operations.len(), whole.unread.len());
    assert_eq!(counted, (operations, 0), "each is an operation of its own");
    let median = |what: &str, work: &dyn Fn() -> usize| {
        let mut seconds: Vec<f64> = Vec::new();
        let mut found = 0;
        for _ in 0..times {
            let begun = Instant::now();
            found = work();
            seconds.push(begun.elapsed().as_secs_f64());
        }
        seconds.sort_by(f64::total_cmp);
        let s = seconds[times / 2];
        println!(
            "{{\"what\":\"{what}\",\"operations\":{operations},\"entries\":{entries},\"s\":{s:.3},\"found\":{found}}}"
        );
    };
    median("records", &|| records(&folder, "").map_or(0, |r| r.people.len()));
    median("records, with a search", &|| records(&folder, "roller").map_or(0, |r| r.hits.len()));
    median("compare", &|| compare(&last).map_or(0, |c| c.operations.len()));
    Ok(())
}

/// The entries of an operation that is rehearsed.
fn rehearsed(name: &str, dir: &Path) -> Result<Vec<Entry>, Failed> {
    let scripts = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../tests/operations");
    let out = dir.join(name);
    service::rehearse::rehearse(&std::fs::read_to_string(scripts.join(format!("{name}.json")))?, &out)
        .map_err(|t| t.what)?;
    Ok(Journal::open_read_only(&out.join(service::rehearse::OPERATION))?.entries()?)
}

/// The same entries as another operation: every id begins with its number, every time lies as many weeks later.
fn another(rows: &[Entry], number: usize, file: &Path) -> Result<(), Failed> {
    let own = |id: &str| format!("{number:08x}{}", &id[8..]);
    let later = |at: &str| -> Result<String, chrono::ParseError> {
        let at = DateTime::parse_from_rfc3339(at)? + Duration::weeks(i64::try_from(number).unwrap_or(0));
        Ok(at.to_rfc3339_opts(SecondsFormat::Millis, false))
    };
    let mut journal = Journal::create(file, "bench", Durability::AtClose)?;
    let mut written: Vec<(NewEvent, Stamp)> = Vec::with_capacity(rows.len());
    for row in rows {
        let mut payload = row.payload.clone().unwrap_or_default();
        for named in rows.iter().filter(|r| r.seq < row.seq) {
            // What a check stored is long and names no entry.
            if payload.len() < 10_000 && payload.contains(&named.id) {
                payload = payload.replace(&named.id, &own(&named.id));
            }
        }
        let event = NewEvent {
            kind: row.kind.clone(),
            version: row.version,
            payload,
            happened_at: Some(later(&row.happened_at)?),
            author: row.author.clone(),
            corrects: row.corrects.as_deref().map(own),
        };
        let stamp = Stamp {
            id: own(&row.id),
            session: own(&row.session),
            boot_ms: row.boot_ms,
            recorded_at: later(&row.recorded_at)?,
            salt: [7; 32],
        };
        written.push((event, stamp));
    }
    let station = format!("station {number}");
    journal.append_all(&station, &written.iter().map(|(e, s)| (e, s)).collect::<Vec<_>>())?;
    journal.close()?;
    Ok(())
}
