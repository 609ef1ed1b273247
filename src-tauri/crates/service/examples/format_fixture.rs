//! Makes the files that hold a format: `format_fixture SCRIPT.json DIR`. For a new version of a stored shape, into a
//! new folder; what was made once is never made again, because its bytes are the test.
//!
//! `format_fixture SCRIPT.json DIR review` puts the entries of a review after it that are no steps, instead of the others;
//! `format_fixture SCRIPT.json DIR steps` puts nothing after it.
//!
//! Leaves `every-kind.ledge`, its export `every-kind.jsonl` and its mirror `every-kind.ledge.jsonl`.

use journal::{Journal, Stamp};
use operation::event::{Began, Gap, Machine, Salvaged, Sealed, Slept};
use operation::{NewEvent, Payload};
use std::path::PathBuf;

fn stamp(n: u8) -> Stamp {
    Stamp {
        id: format!("019e9999-0000-7000-8000-0000000000{n:02x}"),
        session: "019e9999-0000-7000-8000-5e5500000002".into(),
        boot_ms: 1000 * i64::from(n),
        recorded_at: format!("2026-10-25T02:50:{n:02}.000+01:00"),
        salt: [n; 32],
    }
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let (script, dir, events) = match args.as_slice() {
        [script, dir] => (script, dir, of_format_1()?),
        [script, dir, what] if what == "review" => (script, dir, of_review()?),
        [script, dir, what] if what == "steps" => (script, dir, Vec::new()),
        _ => return Err("SCRIPT DIR [review | steps]".into()),
    };
    let dir = PathBuf::from(dir);
    let record = dir.join("every-kind.ledge");
    if record.exists() {
        return Err("it is made already".into());
    }
    let aside = dir.join("aside");
    service::rehearse::rehearse(&std::fs::read_to_string(script)?, &aside)?;
    std::fs::rename(aside.join(service::rehearse::OPERATION), &record)?;
    std::fs::remove_dir_all(&aside)?;
    let mut journal = Journal::open(&record, "format_fixture")?;
    for (n, event) in (1..).zip(&events) {
        journal.append("base", event, &stamp(n))?;
    }
    journal.close()?;
    let (bytes, _) = service::export::of_file(&record, service::export::Kind::Jsonl)?;
    std::fs::write(dir.join("every-kind.jsonl"), bytes)?;
    service::log::mirror(&record, &dir.join("every-kind.ledge.jsonl"))?;
    Ok(())
}

type Events = Result<Vec<NewEvent>, Box<dyn std::error::Error>>;

fn of_review() -> Events {
    let sealed = Sealed {
        copy: "every-kind.sealed-16-0123abcd.ledge".into(),
        count: 16,
        head: "0123abcd".repeat(8),
        person: "Ines Moreau".into(),
        reason: "the load dropped by a metre".into(),
    };
    Ok(vec![NewEvent::of(&Payload::Sealed(sealed))?])
}

fn of_format_1() -> Events {
    let began = Began {
        program: "0.1.0".into(),
        left_by: Some("the window since 2026-10-25 02:40:00, process 4711".into()),
        machine: Some(Machine::Restarted),
    };
    let salvaged = Salvaged {
        from: "damaged.ledge".into(),
        why: "the file is damaged".into(),
        entries: 3,
        gaps: vec![Gap { after: 1, before: 3 }],
        at_least: Some(9),
        program: "0.1.0".into(),
    };
    let mut events = vec![
        NewEvent::of(&Payload::SessionBegan(began))?,
        NewEvent::of(&Payload::Slept(Slept { ms: 61_000 }))?,
        NewEvent::of(&Payload::Salvaged(salvaged))?,
    ];
    // Of a program of later years: kept and shown as it stands.
    events.push(NewEvent {
        kind: "tide".into(),
        version: 7,
        payload: "{\"height\" : 1.50, \"text\":\"rising\"}".into(),
        author: Some("Ines Moreau".into()),
        ..events[0].clone()
    });
    events.push(NewEvent {
        kind: "note".into(),
        version: 99,
        payload: "{\"from\":\"control\",\"text\":\"with more\",\"place\":[1,2]}".into(),
        ..events[0].clone()
    });
    Ok(events)
}
