//! `ledgebook log new | append | mirror | salvage | show | verify`.

use super::args::LogCommand;
use super::{Done, print};
use crate::stamp::{Clock, now_words};
use serde_json::{Value, json};
use service::wire::Trouble;
use service::witness::{Consistent, Verdict};
use service::{Session, read_step};
use std::io::{BufRead, Write};
use std::path::Path;
use std::time::Duration;

/// How long `append` waits for the mirror at its end.
const MIRROR: Duration = Duration::from_secs(10);

/// Runs one of the log commands.
pub fn run(command: LogCommand, json: bool) -> Done {
    match command {
        LogCommand::New { file } => new(&file, json),
        LogCommand::Append { file, mirror } => append(&file, mirror.as_deref(), json),
        LogCommand::Mirror { file, to } => mirror(&file, &to, json),
        LogCommand::Salvage { file, out } => salvage(&file, &out, json),
        LogCommand::Show { file } => show(&file, json),
        LogCommand::Verify { file, against } => verify(&file, against.as_deref(), json),
    }
}

fn new(file: &Path, json: bool) -> Done {
    let session = Session::create_new(file, &format!("ledgebook log new since {}", now_words()))?;
    let head = session.head().clone();
    session.close()?;
    let file = file.display().to_string();
    if json {
        print::json(&json!({ "file": file, "count": head.count, "head": head.hex }))?;
    } else {
        print::out(&format!("{file}: a new record, no entry yet. The first step is “open”."))?;
    }
    Ok(0)
}

/// Each line is a step; each is answered as one line of JSON once it is on the disk.
fn append(file: &Path, mirror: Option<&Path>, json: bool) -> Done {
    let mut session = Session::open(file, &format!("ledgebook log append since {}", now_words()))?;
    if let Some(mirror) = mirror {
        session.mirror_to(mirror)?;
    }
    let clock = Clock::start()?;
    clock.greet(&mut session);
    let appended =
        append_lines(&mut session, &clock, &mut std::io::stdin().lock(), &mut std::io::stdout().lock(), json);
    // A mirror that is not kept is a warning, never a failure: the record is.
    if let Some(trouble) =
        session.mirror_settled(MIRROR).and_then(|(path, state)| Trouble::of_mirror(path, &state))
    {
        super::tell(&trouble, json);
    }
    let lingered = Trouble::of_erased_words(&session);
    // Earlier lines stay whatever came after them.
    let closed = session.close();
    // Closing empties the log, unless someone still reads it.
    if let Some(trouble) = lingered.filter(|trouble| Path::new(&trouble.place).exists()) {
        let remedy = "close the file everywhere else: whoever closes it last takes the log away";
        super::tell(&Trouble { remedy: remedy.into(), ..trouble }, json);
    }
    appended?;
    closed?;
    Ok(0)
}

fn mirror(file: &Path, to: &Path, json: bool) -> Done {
    let count = service::log::mirror(file, to)?;
    let to = to.display().to_string();
    if json {
        print::json(&json!({ "mirror": to, "count": count }))?;
    } else {
        print::out(&format!("{to}: {count} entries, as in the record"))?;
    }
    Ok(0)
}

fn append_lines(
    session: &mut Session,
    clock: &Clock,
    input: &mut impl BufRead,
    out: &mut impl Write,
    json: bool,
) -> Result<(), Trouble> {
    let mut bytes = Vec::new();
    let mut lingers = false;
    for line in 1u64.. {
        let place = format!("line {line}");
        bytes.clear();
        let read = input.read_until(b'\n', &mut bytes);
        if read.map_err(|e| {
            Trouble::new("disk", format!("the steps cannot be read ({e})"), &place, "send them again")
        })? == 0
        {
            break;
        }
        let text = std::str::from_utf8(&bytes).map_err(|_| {
            Trouble::new("not_text", "the line is not text (UTF-8)", &place, "send JSON Lines in UTF-8")
        })?;
        if text.trim().is_empty() {
            continue;
        }
        let step = read_step(text, &place)?;
        clock.tell_sleep(session);
        let ack = session.act(&step, &clock.stamp()?).map_err(|trouble| {
            let place =
                if trouble.place.is_empty() { place.clone() } else { format!("{place}, {}", trouble.place) };
            Trouble { place, ..trouble }
        })?;
        // Said once, at the entry that erased them.
        let trouble = Trouble::of_erased_words(session);
        if let Some(trouble) = trouble.as_ref().filter(|_| !lingers) {
            super::tell(trouble, json);
        }
        lingers = trouble.is_some();
        let answer = json!({ "line": line, "seq": ack.seq, "hash": ack.hash });
        let told = writeln!(out, "{answer}").and_then(|()| out.flush());
        told.map_err(|e| {
            Trouble::new(
                "disk",
                format!("the answer could not be given ({e}); the line is recorded"),
                &place,
                "look with `ledgebook log show`",
            )
        })?;
    }
    Ok(())
}

fn show(file: &Path, json: bool) -> Done {
    let shown = service::log::show(file)?;
    if json {
        print::out(&shown.jsonl)?;
    } else {
        let rows: Vec<Vec<String>> =
            shown.rows.iter().map(|row| row.iter().map(|cell| print::plain(cell)).collect()).collect();
        let mut text = print::table(&["entry", "time", "kind", "from → to", "words", ""], &rows, &[0]);
        text.push_str(&format!(
            "\n{} entries, head {}\n",
            shown.count,
            if shown.head.is_empty() { "–" } else { &shown.head }
        ));
        print::out(&text)?;
    }
    match shown.altered {
        Some(trouble) => Err(trouble),
        None => Ok(0),
    }
}

fn verify(file: &Path, against: Option<&str>, json: bool) -> Done {
    let verdict = service::witness::verify(file, against)?;
    match verdict {
        Verdict::Altered { entry, why } => {
            if json {
                print::json(&json!({ "verdict": "altered", "entry": entry, "words": why }))?;
            }
            let place = match entry {
                Some(seq) => format!("{}, entry {seq}", file.display()),
                None => file.display().to_string(),
            };
            let remedy = "keep the file as it is and hold it against the report, the mirror and other copies";
            Err(Trouble::new("chain_altered", why, place, remedy))
        }
        Verdict::Consistent(record) => {
            tell_consistent(&record, json)?;
            // A record that says what it cannot know is no failure; one that is known to be short is not whole.
            Ok(if record.is_short() { 3 } else { 0 })
        }
    }
}

fn tell_consistent(record: &Consistent, json: bool) -> Result<(), Trouble> {
    let verdict = if record.salvaged.is_some() { "salvaged" } else { "consistent" };
    if json {
        let gaps: Option<Vec<Value>> = record
            .salvaged
            .as_ref()
            .map(|gaps| gaps.iter().map(|gap| json!({ "after": gap.after, "before": gap.before })).collect());
        return print::json(&json!({
            "verdict": verdict, "count": record.count, "head": record.head, "erased": record.erased,
            "gaps": gaps, "without_log": record.without_log,
            "completeness": record.completeness.word(), "pages": record.pages.as_ref().map(|p| p.word()),
            "words": record.words(),
        }));
    }
    let gone = match record.erased.len() {
        0 => String::new(),
        n => format!(", {n} erased by law"),
    };
    print::out(&format!("{} entries{gone}, head {}\n{}", record.count, record.head, record.words()))
}

fn salvage(file: &Path, out: &Path, json: bool) -> Done {
    let holder = format!("ledgebook log salvage since {}", now_words());
    let done = service::log::salvage(file, out, &holder, &Clock::start()?.stamp()?)?;
    let out = out.display().to_string();
    if json {
        let gaps: Vec<Value> =
            done.gaps.iter().map(|gap| json!({ "after": gap.after, "before": gap.before })).collect();
        print::json(&json!({
            "file": out, "entries": done.entries, "gaps": gaps, "count": done.head.count,
            "head": done.head.hex, "words": done.words,
        }))?;
    } else {
        print::out(&format!("{out}: {}", done.words))?;
    }
    Ok(0)
}
