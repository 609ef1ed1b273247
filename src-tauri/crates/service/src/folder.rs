//! The folder operations are kept in.

use crate::Session;
use crate::paper::{Asked, Units};
use crate::wire::{Found, Trouble};
use operation::Step;
use serde_json::{Map, Value};
use std::path::{Path, PathBuf};

/// Files listed on the first screen.
const MOST: usize = 40;

/// What a new operation begins with.
#[derive(Clone, Copy, Debug)]
pub struct NewOperation<'a> {
    /// Name; the file is called after it.
    pub name: &'a str,
    /// Place.
    pub place: &'a str,
    /// `drill` or `rescue`.
    pub purpose: &'a str,
    /// Height of the edge with its unit, if known.
    pub edge_height: Option<&'a str>,
}

/// Makes a new operation file in the folder (made if it is not there), opens it and records `open`.
///
/// # Errors
/// A name or height that cannot be taken (`where` is the field), or a disk that does not take it; then no file is left.
pub fn new_operation(
    folder: &Path,
    asked: &NewOperation<'_>,
    holder: &str,
    stamp: &journal::Stamp,
) -> Result<Session, Trouble> {
    let mut step = Map::new();
    step.insert("do".into(), "open".into());
    step.insert("name".into(), asked.name.trim().into());
    step.insert("place".into(), asked.place.trim().into());
    step.insert("purpose".into(), asked.purpose.into());
    if let Some(height) = asked.edge_height.map(str::trim).filter(|h| !h.is_empty()) {
        rig::quantity::Length::parse(height)
            .map_err(|e| Trouble::new("bad_step", e.to_string(), "edge_height", "write it like 22m"))?;
        step.insert("edge_height".into(), height.into());
    }
    let step = Step::read(&Value::Object(step), "open")?;
    std::fs::create_dir_all(folder).map_err(|e| Trouble::of_file(folder, &e))?;
    let file = free_name(folder, asked.name);
    let mut session = Session::create_new(&file, holder)?;
    match session.act(&step, stamp) {
        Ok(_) => Ok(session),
        Err(trouble) => {
            // Empty still: nothing is lost with it.
            let _ = session.close();
            let _ = std::fs::remove_file(&file);
            Err(trouble)
        }
    }
}

/// A file name after the operation's, with a number when it is taken.
fn free_name(folder: &Path, name: &str) -> PathBuf {
    let kept: String =
        name.chars().map(|c| if c.is_alphanumeric() || " -_.".contains(c) { c } else { '-' }).collect();
    let stem: String = kept.trim().trim_matches('.').chars().take(80).collect();
    let stem = if stem.trim().is_empty() { "operation".to_string() } else { stem.trim().to_string() };
    (1u32..)
        .map(|n| folder.join(if n == 1 { format!("{stem}.ledge") } else { format!("{stem} {n}.ledge") }))
        .find(|file| std::fs::symlink_metadata(file).is_err())
        .unwrap_or_else(|| folder.join(format!("{stem}.ledge")))
}

/// Operation files in the folder, newest first. A file that cannot be read is listed under its file name.
pub fn found(folder: &Path) -> Vec<Found> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let mut files: Vec<(std::time::SystemTime, PathBuf)> = entries
        .filter_map(Result::ok)
        .map(|entry| entry.path())
        .filter(|path| path.extension().is_some_and(|end| end == "ledge"))
        .filter_map(|path| Some((std::fs::metadata(&path).and_then(|m| m.modified()).ok()?, path)))
        .collect();
    files.sort_by(|a, b| b.cmp(a));
    files.into_iter().take(MOST).map(|(_, file)| about(&file)).collect()
}

fn about(file: &Path) -> Found {
    let stem = file.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    let path = file.display().to_string();
    match Session::look(file) {
        Ok(session) => {
            let facts = &session.state.facts;
            let name = if facts.name.is_empty() { stem } else { facts.name.clone() };
            let when =
                session.state.opened_at().map(|t| t.format("%Y-%m-%d %H:%M").to_string()).unwrap_or_default();
            Found { file: path, name, when, closed: facts.closed_ms.is_some() }
        }
        Err(trouble) => Found {
            file: path,
            name: format!("{stem} ({})", trouble.what),
            when: String::new(),
            closed: false,
        },
    }
}

/// Writes the report beside the operation file; answers where.
///
/// # Errors
/// When the record cannot be read or the report not be written.
pub fn report_beside(session: &Session, units: Units) -> Result<PathBuf, Trouble> {
    let pdf = session.file().with_extension("pdf");
    let made = crate::paper::report(session.file(), &Asked { units, ..Asked::default() })?;
    crate::rehearse::write_apart(session.file(), &pdf, &made.bytes)?;
    Ok(pdf)
}
