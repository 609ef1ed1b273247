//! The file as other programs see it: readable, searchable, with its bookmarks and its record.

mod invented;

use lopdf::{Document, Object};
use std::process::Command;

fn load(bytes: &[u8]) -> Document {
    Document::load_mem(bytes).expect("a readable file")
}

fn catalog(file: &Document) -> &lopdf::Dictionary {
    file.catalog().expect("a catalog")
}

fn text_of(object: &Object) -> String {
    let bytes = object.as_str().expect("a string");
    let units: Vec<u16> = bytes[2..].chunks(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])).collect();
    String::from_utf16(&units).expect("text")
}

#[test]
fn the_record_is_attached_byte_for_byte() {
    let input = invented::operation();
    let file = load(&report::write(&input).expect("report"));
    let names = catalog(&file).get(b"Names").and_then(Object::as_dict).expect("names");
    let files = names.get(b"EmbeddedFiles").and_then(Object::as_dict).expect("files");
    let list = files.get(b"Names").and_then(Object::as_array).expect("list");
    assert_eq!(list[0].as_str().expect("name"), report::RECORD_NAME.as_bytes());
    let spec = file.get_dictionary(list[1].as_reference().expect("reference")).expect("spec");
    let stream = spec.get(b"EF").and_then(Object::as_dict).and_then(|ef| ef.get(b"F")).expect("stream");
    let stream = file.get_object(stream.as_reference().expect("reference")).and_then(Object::as_stream);
    let data = stream.expect("stream").decompressed_content().expect("content");
    assert_eq!(data, input.record.jsonl);
}

#[test]
fn bookmarks_name_sections_rigs_and_hours() {
    let file = load(&report::write(&invented::operation()).expect("report"));
    let root = catalog(&file).get(b"Outlines").and_then(Object::as_reference).expect("outlines");
    let mut titles = Vec::new();
    let mut next = file.get_dictionary(root).expect("root").get(b"First").ok().cloned();
    while let Some(id) = next {
        let entry = file.get_dictionary(id.as_reference().expect("reference")).expect("entry");
        titles.push(text_of(entry.get(b"Title").expect("title")));
        let mut inner = entry.get(b"First").ok().cloned();
        while let Some(id) = inner {
            let entry = file.get_dictionary(id.as_reference().expect("reference")).expect("entry");
            titles.push(format!("  {}", text_of(entry.get(b"Title").expect("title"))));
            inner = entry.get(b"Next").ok().cloned();
        }
        next = entry.get(b"Next").ok().cloned();
    }
    for wanted in ["1 Summary", "4 Rig: lower", "7 The log", "  13:00, from entry 1", "  The record"] {
        assert!(titles.iter().any(|t| t == wanted), "{wanted} in {titles:?}");
    }
}

#[test]
fn the_contents_and_entry_numbers_can_be_touched() {
    let input = invented::operation();
    let file = load(&report::write(&input).expect("report"));
    let pages = file.get_pages();
    let mut of_first = Vec::new();
    let mut all = 0;
    for (number, id) in &pages {
        let page = file.get_dictionary(*id).expect("a page");
        let Ok(links) = page.get(b"Annots").and_then(Object::as_array) else { continue };
        for link in links {
            let link = link.as_dict().expect("an annotation");
            assert_eq!(link.get(b"Subtype").and_then(Object::as_name).expect("kind"), b"Link");
            let to = link.get(b"Dest").and_then(Object::as_array).expect("a place");
            let to = to[0].as_reference().expect("a page");
            let at = pages.iter().find(|(_, id)| **id == to).expect("a page of this file").0;
            let corners: Vec<f32> = link
                .get(b"Rect")
                .and_then(Object::as_array)
                .expect("an area")
                .iter()
                .map(|n| n.as_float().expect("a number"))
                .collect();
            assert!(corners[0] < corners[2] && corners[1] < corners[3] && corners[3] < 842.0, "{corners:?}");
            all += 1;
            if *number == 1 {
                of_first.push(*at);
            }
        }
    }
    let sections = 7;
    assert!(of_first.len() > sections && all > of_first.len(), "{of_first:?}, {all}");
    assert!((2..=pages.len() as u32).contains(of_first.iter().max().expect("a page")));
}

#[test]
fn identity_and_dates_come_from_the_record() {
    let input = invented::operation();
    let bytes = report::write(&input).expect("report");
    let file = load(&bytes);
    let ids = file.trailer.get(b"ID").and_then(Object::as_array).expect("id");
    assert_eq!(ids[0], ids[1]);
    assert_eq!(ids[0].as_str().expect("id").len(), 16);
    let info = file.trailer.get(b"Info").and_then(Object::as_reference).expect("info");
    let info = file.get_dictionary(info).expect("info");
    let made = info.get(b"CreationDate").and_then(Object::as_str).expect("date");
    // The last entry was written at 14:46 local time, two hours ahead of UTC.
    assert!(
        String::from_utf8_lossy(made).starts_with("D:20260912124600"),
        "{:?}",
        String::from_utf8_lossy(made)
    );
    let mut later = input.clone();
    later.record.last_ms += 1000;
    let later = load(&report::write(&later).expect("report"));
    assert_ne!(later.trailer.get(b"ID").expect("id"), file.trailer.get(b"ID").expect("id"));
}

#[test]
fn every_font_is_embedded_as_a_subset_with_its_characters() {
    let bytes = report::write(&invented::operation()).expect("report");
    assert!(bytes.len() < 300_000, "{} bytes: fonts are not cut down", bytes.len());
    let file = load(&bytes);
    let mut fonts = 0;
    for object in file.objects.values() {
        let Ok(dict) = object.as_dict() else { continue };
        if dict.get(b"Type").and_then(Object::as_name).is_ok_and(|t| t == b"Font")
            && dict.get(b"Subtype").and_then(Object::as_name).is_ok_and(|t| t == b"Type0")
        {
            fonts += 1;
            assert!(dict.has(b"ToUnicode"));
            let name = dict.get(b"BaseFont").and_then(Object::as_name).expect("name");
            assert_eq!(name[6], b'+', "{}", String::from_utf8_lossy(name));
        }
        if dict.get(b"Type").and_then(Object::as_name).is_ok_and(|t| t == b"FontDescriptor") {
            assert!(dict.has(b"FontFile2"));
        }
    }
    assert_eq!(fonts, 3);
}

/// Runs a tool on a file that holds `bytes`; `None` when the tool is not there.
fn tool(name: &str, before: &[&str], bytes: &[u8], after: &[&str]) -> Option<(bool, String)> {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("report.pdf");
    std::fs::write(&path, bytes).expect("written");
    let out = Command::new(name).args(before).arg(&path).args(after).output().ok()?;
    Some((out.status.success(), String::from_utf8_lossy(&out.stdout).into_owned()))
}

#[test]
fn other_programs_find_no_fault() {
    for input in [invented::operation(), invented::stress(), report::ReportInput::default()] {
        let bytes = report::write(&input).expect("report");
        match tool("qpdf", &["--check"], &bytes, &[]) {
            Some((ok, said)) => assert!(ok, "{said}"),
            None => eprintln!("qpdf is not installed: the file was read by this test's own reader only"),
        }
        assert_eq!(load(&bytes).get_pages().len(), report::page_count(&input));
    }
}

/// Words as a reader's search finds them, whatever the line ends.
fn joined(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn text_taken_out_again_holds_every_person_role_call_and_the_head() {
    let input = invented::operation();
    let bytes = report::write(&input).expect("report");
    let Some((_, text)) = tool("pdftotext", &["-enc", "UTF-8"], &bytes, &["-"]) else {
        eprintln!("pdftotext is not installed: the words on the pages are tested without it");
        return;
    };
    let text = joined(&text);
    for person in &input.people {
        assert!(text.contains(&person.name), "{}", person.name);
        assert!(person.roles.iter().all(|role| text.contains(role)), "{:?}", person.roles);
    }
    for entry in &input.log {
        assert!(text.contains(&joined(&entry.text)), "entry {}: {}", entry.seq, entry.text);
    }
    for eight in input.record.head.as_bytes().chunks(8) {
        assert!(text.contains(std::str::from_utf8(eight).expect("hex")));
    }
    assert!(
        text.contains("page 1 of ") && text.contains("corrected by") && text.contains("happened 13:40:50")
    );
}

/// How many of the entry numbers 1, 2, 3 … begin a line, in order.
fn found_in_order(bytes: &[u8]) -> Option<u64> {
    let (_, text) = tool("pdftotext", &["-enc", "UTF-8", "-layout"], bytes, &["-"])?;
    let mut wanted = 1;
    for line in text.lines() {
        if line.split_whitespace().next() == Some(wanted.to_string().as_str()) {
            wanted += 1;
        }
    }
    Some(wanted - 1)
}

#[test]
fn every_entry_is_found_in_order_whether_there_are_ten_or_five_thousand() {
    for count in [10_u64, 5_000] {
        let mut input = invented::operation();
        let some = input.log.clone();
        input.log = (1..=count)
            .map(|seq| report::input::LogRow {
                seq,
                at_ms: invented::START + seq as i64 * 2_000,
                of: None,
                corrects: None,
                corrected_by: None,
                happened_ms: None,
                heard: Vec::new(),
                ..some[(seq % some.len() as u64) as usize].clone()
            })
            .collect();
        input.record.count = count;
        let bytes = report::log_alone(&input).expect("the log").0;
        let Some(found) = found_in_order(&bytes) else {
            eprintln!("pdftotext is not installed: the order of the entries is not looked at");
            return;
        };
        assert_eq!(found, count);
    }
}
