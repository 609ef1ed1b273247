//! `ledgebook export`: the record for other programs, the standard forms, everything in one archive.

use super::args::Format;
use super::{Done, print};
use serde_json::{Value, json};
use service::bundle::{Form, NAMES_REMOVED};
use service::export::Kind;
use service::paper::Asked;
use service::rehearse::write_apart;
use service::wire::Trouble;
use std::path::Path;

/// Writes what was asked for.
pub fn run(file: &Path, to: Format, out: &Path, asked: &Asked, json: bool) -> Done {
    match to {
        Format::Csv => lines(file, Kind::Csv, out, asked, json),
        Format::Jsonl => lines(file, Kind::Jsonl, out, asked, json),
        Format::Forms => forms(file, out, asked, json),
        Format::Bundle => bundle(file, out, asked, json),
    }
}

fn lines(file: &Path, kind: Kind, out: &Path, asked: &Asked, json: bool) -> Done {
    let (bytes, count) = service::export::written(file, kind, asked.no_names)?;
    write_apart(file, out, &bytes)?;
    let out = out.display().to_string();
    if json {
        print::json(&with_names(json!({ "file": out, "count": count }), asked))?;
    } else {
        print::out(&format!("{out}: {count} entries{}", names_words(asked)))?;
    }
    Ok(0)
}

fn forms(file: &Path, out: &Path, asked: &Asked, json: bool) -> Done {
    let filled = service::bundle::forms(file, asked)?;
    std::fs::create_dir_all(out).map_err(|e| Trouble::of_file(out, &e))?;
    let mut made = Vec::new();
    for form in &filled.forms {
        let path = out.join(form.file);
        write_apart(file, &path, &form.bytes)?;
        made.push((path.display().to_string(), form));
    }
    if json {
        let all: Vec<_> = made
            .iter()
            .map(|(path, form)| json!({ "file": path, "title": form.title, "pages": form.pages }))
            .collect();
        print::json(&with_names(json!({ "forms": all, "whole": filled.left_out.is_none() }), asked))?;
    } else {
        let pages = |n: usize| if n == 1 { "1 page".to_string() } else { format!("{n} pages") };
        let line = |(path, form): &(String, &Form)| format!("{path}: {} ({})", form.title, pages(form.pages));
        let all: Vec<String> = made.iter().map(line).collect();
        print::out(&format!("{}{}", all.join("\n"), names_words(asked)))?;
    }
    filled.left_out.map_or(Ok(0), Err)
}

fn bundle(file: &Path, out: &Path, asked: &Asked, json: bool) -> Done {
    let made = service::bundle::bundle(file, asked)?;
    write_apart(file, out, &made.bytes)?;
    let out = out.display().to_string();
    if json {
        let told = json!({ "file": out, "holds": made.files, "whole": made.left_out.is_none() });
        print::json(&with_names(told, asked))?;
    } else {
        print::out(&format!("{out}\n  {}{}", made.files.join("\n  "), names_words(asked)))?;
    }
    made.left_out.map_or(Ok(0), Err)
}

/// On a line of its own what is not found as a name, where names were removed: a table has no room for it beside its cells.
pub fn names_words(asked: &Asked) -> String {
    if asked.no_names { format!("\n{NAMES_REMOVED}") } else { String::new() }
}

/// The same in an answer in JSON.
pub fn with_names(mut told: Value, asked: &Asked) -> Value {
    if let Some(fields) = told.as_object_mut().filter(|_| asked.no_names) {
        fields.insert("names_not_found".into(), NAMES_REMOVED.into());
    }
    told
}
