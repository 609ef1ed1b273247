//! The TypeScript shapes in `ui/src/wire` are the Rust ones, and the marks and patterns there are the
//! drawings': written with `LEDGEBOOK_WRITE_WIRE=1`, otherwise compared file by file.

use service::wire::{
    Acked, Asked, BesideView, Candidate, CompareView, Health, LineRow, Records, ReviewView, RigDraft,
    RigDrawing, Sifted, Start, SumAnswer, SumView, TemplateView, Told, Trouble, View,
};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use ts_rs::{Config, TS};

fn write_into(dir: &Path) {
    let cfg = Config::new().with_large_int("number").with_out_dir(dir);
    View::export_all(&cfg).unwrap();
    Acked::export_all(&cfg).unwrap();
    Candidate::export_all(&cfg).unwrap();
    LineRow::export_all(&cfg).unwrap();
    TemplateView::export_all(&cfg).unwrap();
    RigDrawing::export_all(&cfg).unwrap();
    BesideView::export_all(&cfg).unwrap();
    RigDraft::export_all(&cfg).unwrap();
    rig::edit::Edit::export_all(&cfg).unwrap();
    SumView::export_all(&cfg).unwrap();
    SumAnswer::export_all(&cfg).unwrap();
    ReviewView::export_all(&cfg).unwrap();
    CompareView::export_all(&cfg).unwrap();
    Records::export_all(&cfg).unwrap();
    Health::export_all(&cfg).unwrap();
    Start::export_all(&cfg).unwrap();
    Asked::export_all(&cfg).unwrap();
    Sifted::export_all(&cfg).unwrap();
    Told::export_all(&cfg).unwrap();
    Trouble::export_all(&cfg).unwrap();
    fs::write(dir.join("marks.json"), marks()).unwrap();
}

/// Every mark and pattern with its drawing, one a line.
fn marks() -> String {
    let lines: Vec<String> = drawing::catalogue()
        .iter()
        .map(|(id, list)| format!("{}: {}", serde_json::json!(id), serde_json::to_string(list).unwrap()))
        .collect();
    format!("{{\n{}\n}}\n", lines.join(",\n"))
}

fn generated_in(dir: &Path) -> BTreeMap<String, String> {
    let mut files = BTreeMap::new();
    let Ok(entries) = fs::read_dir(dir) else { return files };
    for path in entries.map(|entry| entry.unwrap().path()) {
        if path.extension().is_some_and(|extension| extension == "ts" || extension == "json") {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            files.insert(name, fs::read_to_string(&path).unwrap());
        }
    }
    files
}

#[test]
fn the_screens_see_the_shapes_the_service_sends() {
    let committed: PathBuf =
        [env!("CARGO_MANIFEST_DIR"), "..", "..", "..", "ui", "src", "wire"].iter().collect();
    if std::env::var_os("LEDGEBOOK_WRITE_WIRE").is_some() {
        write_into(&committed);
    }
    let fresh = tempfile::tempdir().unwrap();
    write_into(fresh.path());
    let expected = generated_in(fresh.path());
    assert!(expected.contains_key("View.ts"), "nothing was generated");
    assert_eq!(
        generated_in(&committed),
        expected,
        "run this test with LEDGEBOOK_WRITE_WIRE=1 and commit ui/src/wire"
    );
}
