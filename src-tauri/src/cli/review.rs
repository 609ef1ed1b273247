//! `ledgebook review | compare | seal`.

use super::{Done, print, tell};
use crate::stamp::{Clock, now_words};
use serde_json::json;
use service::Session;
use service::paper::Units;
use service::review::{Reviewed, due_words};
use std::path::Path;

/// Measures and findings. A record that is not whole is reviewed as far as it goes, and that is told on standard error:
/// exit 1 when it was altered, 3 when part of it is missing.
pub fn run(file: &Path, units: Units, json: bool) -> Done {
    let review = service::review::of_file(file, units)?;
    if json {
        print::json(&review)?;
    } else {
        let words = in_words(&review);
        print::out(&words.lines().map(print::plain).collect::<Vec<_>>().join("\n"))?;
    }
    let Some(trouble) = &review.trouble else { return Ok(0) };
    let altered = tell(trouble, json) == 1;
    Ok(if altered { 1 } else { 3 })
}

/// This operation beside the last ones of its team.
pub fn compare(file: &Path, json: bool) -> Done {
    let found = service::review::compare(file)?;
    if json {
        // The pictures are for the window; other programs have the numbers.
        let rows: Vec<_> = found
            .rows
            .iter()
            .map(|r| json!({ "words": r.words, "unit": r.unit, "values": r.values }))
            .collect();
        print::json(&json!({ "how": found.how, "operations": found.operations, "rows": rows }))?;
        return Ok(0);
    }
    let mut text = String::new();
    for (i, o) in found.operations.iter().enumerate() {
        text.push_str(&format!("{}  {} {}\n", i + 1, o.when, print::plain(&o.name)));
    }
    let head: Vec<String> = (1..=found.operations.len()).map(|i| i.to_string()).collect();
    let head: Vec<&str> = std::iter::once("").chain(head.iter().map(String::as_str)).collect();
    let value = |v: &Option<f64>| v.map_or_else(|| "–".to_string(), |v| format!("{v:.1}"));
    let rows: Vec<Vec<String>> = found
        .rows
        .iter()
        .map(|r| {
            let words = format!("{}, {}", r.words, r.unit);
            std::iter::once(words).chain(r.values.iter().map(value)).collect()
        })
        .collect();
    let right: Vec<usize> = (1..head.len()).collect();
    text.push('\n');
    text.push_str(&print::table(&head, &rows, &right));
    text.push_str(&format!("\nHow: {}.\n", found.how));
    print::out(&text)?;
    Ok(0)
}

/// Makes a sealed copy.
pub fn seal(file: &Path, person: &str, reason: &str, json: bool) -> Done {
    let step = json!({ "do": "seal", "person": person, "reason": reason });
    let step = service::read_step(&step.to_string(), "seal")?;
    let mut session = Session::open(file, &format!("ledgebook seal since {}", now_words()))?;
    let clock = Clock::start()?;
    clock.greet(&mut session);
    let sealed = clock.stamp().and_then(|stamp| session.act(&step, &stamp));
    let copy = sealed.as_ref().ok().and_then(|ack| service::review::sealed_copy(&session, ack.seq));
    session.close()?;
    let (ack, copy) = (sealed?, copy.unwrap_or_default().display().to_string());
    if json {
        print::json(&json!({ "copy": copy, "entry": ack.seq, "hash": ack.hash }))?;
    } else {
        print::out(&format!("{copy}: sealed; entry {} of the record says so", ack.seq))?;
    }
    Ok(0)
}

fn entries(list: &[u64]) -> String {
    const MOST: usize = 6;
    let named: Vec<String> = list.iter().take(MOST).map(ToString::to_string).collect();
    match (named.len(), list.len() - named.len()) {
        (0, _) => String::new(),
        (1, 0) => format!("entry {}", named.join(", ")),
        (_, 0) => format!("entries {}", named.join(", ")),
        (_, more) => format!("entries {} and {more} more", named.join(", ")),
    }
}

fn in_words(review: &Reviewed) -> String {
    let name = match review.operation.name.as_str() {
        "" => "Operation without a name",
        name => name,
    };
    let mut text = format!("{name}\n");
    if !review.measures.missing.is_empty() {
        text.push_str("\nMissing\n");
    }
    for words in &review.measures.missing {
        text.push_str(&format!("  {words}\n"));
    }
    for table in &review.tables {
        text.push_str(&format!("\n{}\n", table.head));
        let rows: Vec<Vec<String>> = table
            .rows
            .iter()
            .map(|r| {
                vec![format!("  {}", print::plain(&r.words)), print::plain(&r.value), entries(&r.entries)]
            })
            .collect();
        if rows.is_empty() {
            text.push_str("  nothing recorded\n");
        }
        for line in print::table(&["", "", ""], &rows, &[]).lines().skip(1) {
            text.push_str(&format!("{line}\n"));
        }
        text.push_str(&format!("  How: {}.\n", table.how));
    }
    text.push_str("\nFindings\n");
    for f in &review.findings {
        let mark = if f.departs { "departs" } else { "good" };
        let aside = if f.set_aside { ", set aside" } else { "" };
        text.push_str(&format!("  {mark}{aside}: {}. {} ({})\n", f.words, f.detail, entries(&f.entries)));
        let source = if f.source.is_empty() { String::new() } else { format!(": {}", f.source) };
        text.push_str(&format!("    {} · {}{source} · {}\n", f.id, f.rule, f.sure.words()));
        for s in &f.said {
            let what = if s.agrees { "agrees" } else { "sets it aside" };
            text.push_str(&format!("    {} {what}: {} (entry {})\n", s.person, s.reason, s.seq));
        }
    }
    if review.findings.is_empty() {
        text.push_str("  none\n");
    }
    text.push_str(if review.lessons.is_empty() { "\nLessons\n  none entered\n" } else { "\nLessons\n" });
    for l in &review.lessons {
        let what = if l.change { "change" } else { "keep" };
        let who = if l.who.is_empty() { String::new() } else { format!("; {} sees to it", l.who) };
        let when = if l.by_when.is_empty() { String::new() } else { format!("; {}", due_words(&l.by_when)) };
        text.push_str(&format!("  {what}: {}{who}{when} · {} (entry {})\n", l.text, l.person, l.seq));
    }
    text
}
