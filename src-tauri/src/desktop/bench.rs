//! What the writer thread owns: the folder, and the operation that is open.

use super::desk::Answer;
use serde_json::Value;
use service::wire::{Acked, Candidate, LineRow, ReviewView, RigDrawing, Start, TemplateView, Trouble, View};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The folder, and the operation that is open.
pub struct Bench {
    folder: PathBuf,
    trouble: Option<Trouble>,
}

impl Bench {
    /// Opens `file` if one was named; what goes wrong is kept for the first screen.
    pub fn open(file: Option<PathBuf>) -> Self {
        let mut bench = Self { folder: folder(|name| std::env::var_os(name)), trouble: None };
        if let Some(file) = file {
            bench.trouble = bench.open_operation(&file).err();
        }
        bench
    }

    pub fn start(&mut self) -> Answer<Start> {
        Ok(Start {
            version: env!("CARGO_PKG_VERSION").into(),
            folder: self.folder.display().to_string(),
            found: Vec::new(),
            open: false,
            trouble: self.trouble.take(),
            caution: String::new(),
        })
    }

    pub fn new_operation(&mut self, _: &str, _: &str, _: &str, _: Option<&str>) -> Answer<View> {
        not_yet("new_operation")
    }

    pub fn open_operation(&mut self, _: &Path) -> Answer<View> {
        not_yet("open_operation")
    }

    pub fn close_file(&mut self) -> Answer<Start> {
        self.start()
    }

    pub fn view(&mut self) -> Answer<View> {
        not_yet("view")
    }

    pub fn act(&mut self, _: Value) -> Answer<Acked> {
        not_yet("act")
    }

    pub fn complete(&mut self, _: &str) -> Answer<Vec<Candidate>> {
        not_yet("complete")
    }

    pub fn rows(&mut self, _: usize, _: usize) -> Answer<Vec<LineRow>> {
        not_yet("rows")
    }

    pub fn templates(&mut self) -> Answer<Vec<TemplateView>> {
        not_yet("templates")
    }

    pub fn rig_preview(&mut self, _: &str, _: &BTreeMap<String, String>) -> Answer<RigDrawing> {
        not_yet("rig_preview")
    }

    pub fn rig_drawing(&mut self, _: Option<&str>) -> Answer<RigDrawing> {
        not_yet("rig_drawing")
    }

    pub fn review(&mut self) -> Answer<ReviewView> {
        not_yet("review")
    }

    pub fn report(&mut self) -> Answer<String> {
        not_yet("report")
    }

    /// Reads the open operation anew from its file.
    pub fn reopen(&mut self) -> Answer<()> {
        Ok(())
    }

    /// Closes the operation file cleanly.
    pub fn put_away(self) {}
}

/// Where operations are kept unless a file elsewhere is opened: `Ledgebook` in the home folder, or
/// here when there is none.
fn folder(look: impl Fn(&str) -> Option<std::ffi::OsString>) -> PathBuf {
    let home = look("HOME").filter(|home| !home.is_empty()).map(PathBuf::from);
    home.unwrap_or_default().join("Ledgebook")
}

fn not_yet<T>(command: &str) -> Answer<T> {
    Err(Trouble {
        code: "not_built".into(),
        what: format!("{command} is not built yet"),
        place: command.into(),
        remedy: String::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn operations_are_kept_in_the_home_folder() {
        let at = |home: Option<&'static str>| folder(move |_| home.map(Into::into));
        assert_eq!(at(Some("/home/kim")), Path::new("/home/kim/Ledgebook"));
        assert_eq!(at(Some("")), Path::new("Ledgebook"));
        assert_eq!(at(None), Path::new("Ledgebook"));
    }
}
