//! Reports of every kind of record, and the way back from a report to its record.

use serde_json::{Value, json};
use service::paper::{Asked, Made, Paper, report};
use service::witness::{Verdict, verify};
use std::path::{Path, PathBuf};
use std::process::Command;

/// A folder with `operation.ledge` and `report.pdf` of a script of these steps, a minute apart.
fn played(steps: &[Value]) -> tempfile::TempDir {
    let steps: Vec<Value> = steps
        .iter()
        .enumerate()
        .map(|(i, step)| {
            let mut step = step.clone();
            step["at"] = format!("PT{i}M").into();
            step
        })
        .collect();
    let script = json!({"format": "ledgebook-script/0", "start": "2026-05-14T13:02:00+02:00", "seed": 3, "steps": steps});
    let dir = tempfile::tempdir().unwrap();
    service::rehearse::rehearse(&script.to_string(), &dir.path().join("out")).unwrap();
    dir
}

fn operation(dir: &tempfile::TempDir) -> PathBuf {
    dir.path().join("out/operation.ledge")
}

fn open() -> Value {
    json!({"do": "open", "name": "Grenshaw Gully", "place": "Grenshaw", "purpose": "rescue", "edge_height": "22m"})
}

fn whole() -> Vec<Value> {
    vec![
        open(),
        json!({"do": "check_in", "person": "Torvald Quist", "agency": "Vale"}),
        json!({"do": "check_in", "person": "Zlata Perić-Moor"}),
        json!({"do": "check_in", "person": "Down Tarrow"}),
        json!({"do": "assign", "role": "control", "person": "Torvald Quist"}),
        json!({"do": "assign", "role": "rope one operator", "person": "Zlata Perić-Moor"}),
        json!({"do": "rig", "name": "lower", "template": "twin-lower-two-knots", "set": {"load": "200kg", "edge_height": "22m"}}),
        json!({"do": "check"}),
        json!({"do": "sign", "role": "rigging lead", "person": "Zlata Perić-Moor"}),
        json!({"do": "order", "from": "control", "to": ["rope one operator"], "text": "lower slow", "label": "k"}),
        json!({"do": "readback", "from": "rope one operator", "of": "k", "text": "lower slow"}),
        json!({"do": "note", "from": "Ossian Grebe", "text": "torvald and Peric look well; Quist’s radio fails, says grebe"}),
        json!({"do": "patient", "mark": "reached", "text": "awake", "vitals": "pulse 88"}),
        json!({"do": "report", "from": "rope one operator", "text": "landed"}),
        json!({"do": "close"}),
    ]
}

fn text_of(pdf: &[u8]) -> Option<String> {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("r.pdf");
    std::fs::write(&file, pdf).unwrap();
    let Ok(out) = Command::new("pdftotext").args(["-enc", "UTF-8"]).arg(&file).arg("-").output() else {
        eprintln!("pdftotext is not installed: the words on the pages are not looked at");
        return None;
    };
    Some(String::from_utf8(out.stdout).unwrap().split_whitespace().collect::<Vec<_>>().join(" "))
}

fn made(file: &Path, asked: &Asked) -> Made {
    report(file, asked).unwrap()
}

fn saved(dir: &tempfile::TempDir, bytes: &[u8]) -> PathBuf {
    let file = dir.path().join("held.pdf");
    std::fs::write(&file, bytes).unwrap();
    file
}

#[test]
fn a_report_proves_itself_however_it_was_asked_for() {
    let dir = played(&whole());
    for paper in [Paper::A4, Paper::Letter] {
        for patient in [false, true] {
            let made = made(&operation(&dir), &Asked { paper, patient, no_names: false, ..Asked::default() });
            let Verdict::Consistent(found) = verify(&saved(&dir, &made.bytes), None).unwrap() else {
                panic!("{paper:?}, patient {patient}: altered")
            };
            assert_eq!(found.pages.as_ref().map(|p| p.word()), Some("same"));
            assert!(!found.is_short() && found.count == 15);
        }
    }
}

#[test]
fn a_report_that_was_touched_anywhere_is_found() {
    let dir = played(&whole());
    let bytes = made(&operation(&dir), &Asked::default()).bytes;
    for share in 1..24 {
        let mut touched = bytes.clone();
        let at = bytes.len() * share / 24;
        touched[at] ^= 0x20;
        let file = saved(&dir, &touched);
        let proven = verify(&file, None).is_ok_and(|v| match v {
            Verdict::Consistent(found) => found.pages.as_ref().is_some_and(|p| p.word() == "same"),
            Verdict::Altered { .. } => false,
        });
        assert!(!proven, "byte {at} of {} was changed and the report proved itself", bytes.len());
    }
    // The report of another operation does not prove itself with this one's record, and is no witness for it.
    let mut other = whole();
    other[9]["text"] = "lower".into();
    let other = played(&other);
    let file = saved(&dir, &made(&operation(&other), &Asked::default()).bytes);
    assert!(matches!(verify(&operation(&dir), file.to_str()).unwrap(), Verdict::Altered { .. }));
}

#[test]
fn a_report_without_names_names_nobody_and_is_still_a_witness() {
    let dir = played(&whole());
    let asked = Asked { no_names: true, patient: true, ..Asked::default() };
    let made = made(&operation(&dir), &asked);
    let file = saved(&dir, &made.bytes);
    assert_eq!(verify(&file, None).unwrap_err().code, "no_record");
    assert!(matches!(verify(&operation(&dir), file.to_str()).unwrap(), Verdict::Consistent(_)));
    let Some(text) = text_of(&made.bytes) else { return };
    for part in ["Torvald", "torvald", "Quist", "Zlata", "Peri", "Moor", "Tarrow", "Ossian", "rebe"] {
        assert!(!text.contains(part), "{part} stands in the report without names");
    }
    for said in [
        "Person 1 and Person 2 look well; Person 1’s radio fails, says Person 4",
        "lower slow",
        "Person 3",
        "names removed",
        "nothing: names were removed from this copy",
    ] {
        assert!(text.contains(said), "{said} is not in the report");
    }
}

/// What was agreed when the brief was read out stands as it was then, and what came of it beside it.
#[test]
fn the_brief_stands_as_it_was_read_out() {
    let note = |text: &str| json!({"do": "note", "from": "scribe", "text": text});
    let mut steps = vec![
        open(),
        json!({"do": "check_in", "person": "Torvald Quist"}),
        json!({"do": "assign", "role": "control", "person": "Torvald Quist"}),
        note("plan: down the gully, litter first"),
        note("abort: lightning within 10 km"),
        json!({"do": "hazard", "text": "loose rock", "control": "nobody below"}),
    ];
    let text = |steps: &[Value]| {
        let dir = played(steps);
        text_of(&made(&operation(&dir), &Asked::default()).bytes)
    };
    let Some(unread) = text(&steps) else { return };
    assert!(unread.contains("That the brief was read out is not in the record"), "{unread}");
    steps.push(json!({"do": "report", "from": "control", "text": "Brief read out, all here"}));
    steps.push(note("abort: lightning within 20 km"));
    steps.push(json!({"do": "assign", "role": "scribe", "person": "Torvald Quist"}));
    steps.push(note("signals: one long blast is stop"));
    steps.push(json!({"do": "report", "from": "control", "text": "brief given again for the raise"}));
    let read = text(&steps).unwrap();
    for words in [
        "Read out at 13:08:00 by control (Torvald Quist): “Brief read out, all here”, entry 7",
        "Again at 13:12:00 by control (Torvald Quist): “brief given again for the raise”, entry 11",
        "down the gully, litter first · entry 4",
        "lightning within 10 km · entry 5",
        "lightning within 20 km · entry 8",
        "loose rock: nobody below",
        "one long blast is stop · entry 10",
        "1 blast: stop; 2 blasts: up",
        "(from the guidelines; not agreed here)",
    ] {
        assert!(read.contains(words), "{words} is not in {read}");
    }
    let brief = read.split("what had been agreed when it was read out").nth(1).unwrap();
    let brief = brief.split("The line").next().unwrap();
    // Agreed only after it was read, and a role given later.
    // Objective, patient, rig, channel and signals; and what the guidelines say of lost communications.
    assert_eq!(brief.matches("not agreed").count(), 6, "{brief}");
    assert!(!brief.contains("Scribe"), "{brief}");
}

#[test]
fn lessons_are_printed_with_who_sees_to_them_and_nobody_is_named_without_names() {
    let mut steps = whole();
    steps.push(json!({"do": "lesson", "what": "change", "person": "Zlata Perić-Moor", "text": "a spare roller on each edge",
        "who": "Berta Holmgren", "by_when": "the next drill"}));
    steps.push(json!({"do": "lesson", "what": "keep", "person": "Torvald Quist", "text": "roll call before the edge"}));
    let dir = played(&steps);
    let report = made(&operation(&dir), &Asked::default());
    let Some(text) = text_of(&report.bytes) else { return };
    for words in [
        "a spare roller on each edge",
        "Berta Holmgren",
        "the next drill",
        "roll call before the edge",
        "Keep too",
        "Change too",
    ] {
        assert!(text.contains(words), "{words} is not in the report");
    }
    let proven = verify(&saved(&dir, &report.bytes), None).unwrap();
    assert!(
        matches!(proven, Verdict::Consistent(found) if found.pages.as_ref().is_some_and(|p| p.word() == "same"))
    );
    let nameless = made(&operation(&dir), &Asked { no_names: true, ..Asked::default() });
    let text = text_of(&nameless.bytes).unwrap();
    assert!(
        text.contains("a spare roller on each edge") && !text.contains("Holmgren") && !text.contains("Berta"),
        "{text}"
    );
}

/// Who is known to the record by name is one whatever case, accents or part of the name a lesson was typed in; words of the
/// trade and of roles are nobody, whoever is called so too.
#[test]
fn a_lesson_that_names_someone_in_small_letters_names_nobody_without_names() {
    let mut steps = whole();
    steps.push(json!({"do": "check_in", "person": "Uma Tailer"}));
    steps.push(json!({"do": "lesson", "what": "change", "person": "Torvald Quist",
        "text": "zlata ties the rollers, PERIC and the tailer say so, torvald’s way of zlatar stays",
        "who": "zlata perić-moor", "by_when": "when quist is back"}));
    // Nobody else in the record: who took the patient over, and who sees to a lesson.
    steps.push(
        json!({"do": "patient", "mark": "handed_over", "text": "to Marta Lind, ambulance; written summary"}),
    );
    steps.push(
        json!({"do": "lesson", "what": "keep", "person": "Torvald Quist", "text": "the card, as marta had it",
        "who": "bertil krona"}),
    );
    let dir = played(&steps);
    let nameless = made(&operation(&dir), &Asked { no_names: true, ..Asked::default() });
    let Some(text) = text_of(&nameless.bytes) else { return };
    let small = text.to_lowercase();
    let whole: Vec<&str> = small.split(|c: char| !c.is_alphanumeric()).collect();
    for part in
        ["zlata", "perić", "peric", "torvald", "quist", "moor", "uma", "marta", "lind", "bertil", "krona"]
    {
        assert!(!whole.contains(&part), "{part} stands in {text}");
    }
    // Whole words alone, and no word of the trade.
    for kept in ["zlatar stays", "and the tailer say so", "ties the rollers"] {
        assert!(small.contains(kept), "{kept} does not stand in {text}");
    }
}

#[test]
fn what_is_missing_is_said_and_the_report_is_made() {
    let nothing_more = [json!({"do": "close"})];
    let one = json!({"do": "check_in", "person": "Torvald Quist"});
    for (name, steps, said) in [
        (
            "open, nothing else",
            vec![open()],
            vec!["Not closed yet", "No rig was entered", "Nobody was checked in"],
        ),
        (
            "closed, nothing else",
            [vec![open()], nothing_more.to_vec()].concat(),
            vec![
                "The load was not moved",
                "No role was assigned",
                "No roll call was recorded",
                "none was due",
            ],
        ),
        ("one person", vec![open(), one], vec!["Torvald Quist", "1 person", "No role was assigned"]),
        (
            "a rig nobody checked",
            vec![open(), json!({"do": "rig", "name": "lower", "template": "twin-lower-two-knots"})],
            vec!["No rig was checked", "This rig was never checked", "As entered"],
        ),
    ] {
        let dir = played(&steps);
        for paper in [Paper::A4, Paper::Letter] {
            let made =
                made(&operation(&dir), &Asked { paper, patient: true, no_names: false, ..Asked::default() });
            assert!(made.left_out.is_none(), "{name}");
            let Some(text) = text_of(&made.bytes) else { return };
            for words in &said {
                assert!(text.contains(words), "{name}: {words} is not in the report");
            }
        }
    }
}

/// Changes words within a closed file, as somebody with a hex editor would.
fn change_within(file: &Path, from: &[u8], to: &[u8]) {
    let mut bytes = std::fs::read(file).unwrap();
    let at = bytes.windows(from.len()).position(|w| w == from).expect("the words lie in the file");
    bytes[at..at + to.len()].copy_from_slice(to);
    std::fs::write(file, bytes).unwrap();
}

#[test]
fn of_an_altered_record_the_report_has_what_fits_and_says_what_does_not() {
    let dir = played(&whole());
    let file = operation(&dir);
    change_within(&file, "says grebe".as_bytes(), "says Grebe".as_bytes());
    let made = made(&file, &Asked::default());
    assert_eq!(made.left_out.as_ref().map(|t| t.code.as_str()), Some("chain_altered"));
    // The paper proves itself with what it has, and says that it is not the whole.
    let found = verify(&saved(&dir, &made.bytes), None).unwrap();
    assert!(matches!(found, Verdict::Consistent(found) if found.count == 11));
    let Some(text) = text_of(&made.bytes) else { return };
    for words in [
        "Not whole: entry 12 does not fit the chain",
        "it and 3 after it are in the file",
        "as far as the record is whole, to 13:12",
    ] {
        assert!(text.contains(words), "{words} is not in the report");
    }
    assert!(!text.contains("ot closed yet"), "whether it was closed is not known");
    assert!(!text.contains("look well"), "what does not fit is not printed");
}

#[test]
fn of_a_file_with_a_damaged_page_the_report_has_what_is_whole() {
    let dir = played(&whole());
    let file = operation(&dir);
    // A page in which the calls lie, as a failing disk would give it.
    let mut bytes = std::fs::read(&file).unwrap();
    let at = bytes.windows(9).position(|w| w == b"look well").unwrap() / 4096 * 4096;
    bytes[at..at + 512].fill(0);
    std::fs::write(&file, &bytes).unwrap();
    let made = made(&file, &Asked::default());
    assert!(made.left_out.is_some());
    assert!(std::fs::read(&file).unwrap() == bytes, "the damaged file was touched");
    let Some(text) = text_of(&made.bytes) else { return };
    assert!(text.contains("Not whole: ") && text.contains("Grenshaw Gully"), "it says so");
}
