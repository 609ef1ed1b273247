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
        let hits: Vec<Vec<String>> = r
            .hits
            .iter()
            .map(|h| {
                vec![
                    h.when.clone(),
                    h.operation.clone(),
                    h.seq.to_string(),
                    h.time.clone(),
                    h.who.clone(),
                    h.text.clone(),
                ]
            })
            .collect();
        section(&mut text, "Found", &["opened", "operation", "entry", "time", "who", "words"], &hits, &[2]);
        if r.more_hits > 0 {
            text.push_str(&format!("{} more\n", r.more_hits));
        }
    }
    let operations: Vec<Vec<String>> = r
        .operations
        .iter()
        .map(|o| {
            let state =
                o.trouble.clone().unwrap_or_else(|| if o.closed { "closed" } else { "not closed" }.into());
            vec![
                o.when.clone(),
                o.name.clone(),
                o.purpose.clone(),
                hours(o.lasted_s),
                o.people.to_string(),
                o.stops.to_string(),
                state,
            ]
        })
        .collect();
    let columns = ["opened", "operation", "purpose", "lasted", "people", "stops", "record"];
    section(&mut text, "Operations", &columns, &operations, &[3, 4, 5]);
    let people: Vec<Vec<String>> = r
        .people
        .iter()
        .map(|p| {
            let roles = p.roles.iter().map(|(role, s)| format!("{role} {}", hours(*s)));
            vec![
                p.person.clone(),
                p.operations.to_string(),
                hours(p.here_s),
                hours(p.on_rope_s),
                roles.collect::<Vec<_>>().join(", "),
            ]
        })
        .collect();
    section(&mut text, "People", &["person", "operations", "there", "on rope", "roles"], &people, &[1, 2, 3]);
    let gear: Vec<Vec<String>> = r
        .gear
        .iter()
        .map(|g| {
            let inspect = match (g.quarantined, g.inspect.as_slice()) {
                (_, []) => String::new(),
                (true, why) => format!("OUT OF USE: {}", why.join("; ")),
                (false, why) => format!("inspect before use: {}", why.join("; ")),
            };
            vec![
                g.gear.clone(),
                g.what.clone(),
                g.operations.to_string(),
                format!("{:.0} m", g.metres),
                g.losses.to_string(),
                inspect,
            ]
        })
        .collect();
    section(
        &mut text,
        "Ropes and devices",
        &["name", "", "operations", "run", "losses called", ""],
        &gear,
        &[2, 3, 4],
    );
    for u in &r.unread {
        text.push_str(&format!("\nnot read: {}: {}\n", u.file, u.why));
    }
    text.push_str(&format!("\nHow: {}.\n", r.how));
    text
}
