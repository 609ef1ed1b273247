//! An operation that goes on and on: what the benches go through.

use journal::{Durability, Journal, Stamp};
use operation::event::Call;
use operation::{NewEvent, Payload};
use service::Session;
use std::path::Path;

pub type Failed = Box<dyn std::error::Error>;

fn call(from: &str, to: &[&str], text: String, of: Option<String>) -> Call {
    let to: Vec<String> = to.iter().map(ToString::to_string).collect();
    Call { from: from.into(), to_roles: to.clone(), to, text, of, ..Call::default() }
}

/// The id of an entry.
pub fn id(n: u64) -> String {
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

/// Where and when an entry is written: two a second.
pub fn stamp(n: u64) -> Stamp {
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

/// Makes a record of so many entries.
pub fn make(file: &Path, entries: u64) -> Result<(), Failed> {
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
