//! `ledgebook records`.

use super::{Done, print};
use service::wire::Records;
use std::path::Path;

/// Operations, hours, gear and what was asked for. Exit 3 when a file could not be read, or not all of it.
pub fn run(folder: &Path, find: Option<&str>, json: bool) -> Done {
    let found = service::records::records(folder, find.unwrap_or_default())?;
    if json {
        print::json(&found)?;
    } else {
        let words = in_words(&found, find.is_some());
        print::out(&words.lines().map(print::plain).collect::<Vec<_>>().join("\n"))?;
    }
    let whole = found.unread.is_empty() && found.operations.iter().all(|o| o.trouble.is_none());
    Ok(if whole { 0 } else { 3 })
}

/// “2.5 h”.
fn hours(seconds: f64) -> String {
    format!("{:.1} h", seconds / 3600.0)
}

fn section(text: &mut String, head: &str, columns: &[&str], rows: &[Vec<String>], right: &[usize]) {
    text.push_str(&format!("\n{head}\n"));
    if rows.is_empty() {
        text.push_str("  nothing\n");
        return;
    }
    let rows: Vec<Vec<String>> =
        rows.iter().map(|row| row.iter().map(|cell| print::plain(cell)).collect()).collect();
    text.push_str(&print::table(columns, &rows, right));
}

fn in_words(r: &Records, asked: bool) -> String {
    let mut text = format!("{}\n", r.folder);
    if asked {
        let columns = ["opened", "operation", "entry", "time", "who", "words"];
        section(&mut text, "Found", &columns, &hits(r), &[2]);
        if r.more_hits > 0 {
            text.push_str(&format!("{} more\n", r.more_hits));
        }
    }
    let columns = ["opened", "operation", "purpose", "lasted", "people", "stops", "record"];
    section(&mut text, "Operations", &columns, &operations(r), &[3, 4, 5]);
    let columns = ["person", "operations", "there", "on rope", "roles"];
    section(&mut text, "People", &columns, &people(r), &[1, 2, 3]);
    let columns = ["name", "", "operations", "run", "losses called", ""];
    section(&mut text, "Ropes and devices", &columns, &gear(r), &[2, 3, 4]);
    for u in &r.unread {
        text.push_str(&format!("\nnot read: {}: {}\n", u.file, u.why));
    }
    text.push_str(&format!("\nHow: {}.\n", r.how));
    text
}

fn hits(r: &Records) -> Vec<Vec<String>> {
    let row = |h: &service::wire::Hit| {
        let (seq, who) = (h.seq.to_string(), h.who.clone());
        vec![h.when.clone(), h.operation.clone(), seq, h.time.clone(), who, h.text.clone()]
    };
    r.hits.iter().map(row).collect()
}

fn operations(r: &Records) -> Vec<Vec<String>> {
    let row = |o: &service::wire::RecordedOperation| {
        let state =
            o.trouble.clone().unwrap_or_else(|| if o.closed { "closed" } else { "not closed" }.into());
        let (people, stops) = (o.people.to_string(), o.stops.to_string());
        vec![o.when.clone(), o.name.clone(), o.purpose.clone(), hours(o.lasted_s), people, stops, state]
    };
    r.operations.iter().map(row).collect()
}

fn people(r: &Records) -> Vec<Vec<String>> {
    let row = |p: &service::wire::PersonHours| {
        let roles: Vec<String> = p.roles.iter().map(|(role, s)| format!("{role} {}", hours(*s))).collect();
        let (there, on_rope) = (hours(p.here_s), hours(p.on_rope_s));
        vec![p.person.clone(), p.operations.to_string(), there, on_rope, roles.join(", ")]
    };
    r.people.iter().map(row).collect()
}

fn gear(r: &Records) -> Vec<Vec<String>> {
    let row = |g: &service::wire::GearUse| {
        let inspect = match (g.quarantined, g.inspect.as_slice()) {
            (_, []) => String::new(),
            (true, why) => format!("out of use: {}", why.join("; ")),
            (false, why) => format!("inspect before use: {}", why.join("; ")),
        };
        let (operations, losses) = (g.operations.to_string(), g.losses.to_string());
        vec![g.gear.clone(), g.what.clone(), operations, format!("{:.0} m", g.metres), losses, inspect]
    };
    r.gear.iter().map(row).collect()
}
