//! `ledgebook review`.

use super::{Done, print, tell};
use service::review::Reviewed;
use std::path::Path;

/// Measures and findings. A record that is not whole is reviewed as far as it goes, and that is told on standard error:
/// exit 1 when it was altered, 3 when part of it is missing.
pub fn run(file: &Path, json: bool) -> Done {
    let review = service::review::of_file(file)?;
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

fn entries(list: &[u64]) -> String {
    const MOST: usize = 6;
    let named: Vec<String> = list.iter().take(MOST).map(ToString::to_string).collect();
    match (named.len(), list.len() - named.len()) {
        (0, _) => String::new(),
        (_, 0) => format!("entry {}", named.join(", ")),
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
        text.push_str(&format!("  {mark}: {}. {} ({})\n", f.words, f.detail, entries(&f.entries)));
    }
    if review.findings.is_empty() {
        text.push_str("  none\n");
    }
    text
}
