//! How long a report of 5 000 calls takes and how much memory, and its log's table alone, whose cells are printed for the
//! same table by other typesetters: one line of JSON. `cargo xtask bench report` judges it.

use serde_json::{Value, json};
use service::paper::{Asked, input_of, report as made};
use std::path::Path;
use std::time::Instant;

/// Times each thing is done; the best counts, for all of them.
const TRIES: usize = 3;

fn main() {
    let mut args = std::env::args().skip(1);
    let calls: usize = args.next().and_then(|n| n.parse().ok()).unwrap_or(5000);
    let folder = args.next().expect("a folder for the files");
    let folder = Path::new(&folder);
    let out = folder.join("operation");
    let _ = std::fs::remove_dir_all(&out);
    service::rehearse::rehearse(&script(calls).to_string(), &out).expect("a rehearsal");
    let file = out.join(service::rehearse::OPERATION);

    let rest = resident("VmRSS");
    forget_peak();
    let (whole_s, whole) = best(|| made(&file, &Asked::default()).expect("a report"));
    let peak = resident("VmHWM");
    std::fs::write(folder.join("whole.pdf"), &whole.bytes).expect("written");

    let input = input_of(&file).expect("what the report prints");
    let (table_s, (bytes, pages)) = best(|| report::log_alone(&input).expect("a table"));
    let table = folder.join("ours.pdf");
    std::fs::write(&table, bytes).expect("written");
    let answer = json!({
        "calls": calls, "entries": input.record.count, "whole_s": whole_s, "whole_pages": whole.pages,
        "whole_pdf": folder.join("whole.pdf"), "more_mib": (peak - rest) / 1024.0,
        "table_s": table_s, "table_pages": pages, "table_pdf": table, "folder": folder,
        "head": ["entry", "time", "kind", "from → to", "words", "heard"],
        "widths_mm": [12.0, 17.0, 24.0, 42.0, 51.0, 28.0],
        "cells": report::log_cells(&input),
    });
    println!("{answer}");
}

fn best<T>(mut make: impl FnMut() -> T) -> (f64, T) {
    let mut seconds = f64::INFINITY;
    let mut last = None;
    for _ in 0..TRIES {
        drop(last.take());
        let begun = Instant::now();
        last = Some(make());
        seconds = seconds.min(begun.elapsed().as_secs_f64());
    }
    (seconds, last.expect("made at least once"))
}

/// KiB of this process, as Linux tells it; 0 where it does not.
fn resident(what: &str) -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with(what)).unwrap_or_default();
    line.split_whitespace().nth(1).and_then(|n| n.parse().ok()).unwrap_or(0.0)
}

/// The peak begins again at what is resident now.
fn forget_peak() {
    let _ = std::fs::write("/proc/self/clear_refs", "5");
}

/// An operation of so many calls: orders, readbacks, reports with heights, a stop now and then.
fn script(calls: usize) -> Value {
    let (one, two) = ("rope one operator", "rope two operator");
    let mut steps = vec![
        json!({"at": "PT0S", "do": "open", "name": "A long evening", "place": "Grenshaw Gully", "purpose": "drill", "edge_height": "60m"}),
        json!({"at": "PT1M", "do": "rig", "name": "lower", "template": "twin-lower-two-knots", "set": {"load": "200kg", "edge_height": "60m"}}),
        json!({"at": "PT2M", "do": "check"}),
    ];
    let people = ["Torvald Quist", "Zlata Perić-Moor", "Ngaio Ruru", "Emrys Vane", "Ottilie Sand"];
    for (role, person) in ["control", one, two, "edge attendant", "scribe"].iter().zip(people) {
        steps.push(json!({"at": "PT3M", "do": "check_in", "person": person}));
        steps.push(json!({"at": "PT3M", "do": "assign", "role": role, "person": person}));
    }
    let mut said = 0;
    let mut second = 300;
    let mut turn = 0;
    while said < calls {
        let at = |s: usize| format!("PT{}S", s);
        let label = format!("k{turn}");
        let words =
            ["lower slow", "lower", "match rope one", "raise slow, litter is turning under the ledge"]
                [turn % 4];
        steps.push(json!({"at": at(second), "do": "order", "from": "control", "to": [one, two], "text": words, "label": label}));
        steps.push(json!({"at": at(second + 2), "do": "readback", "from": one, "of": label, "text": words}));
        steps.push(json!({"at": at(second + 3), "do": "readback", "from": two, "of": label, "text": words}));
        steps.push(json!({"at": at(second + 6), "do": "report", "from": "edge attendant",
            "text": format!("litter {} metres down, both ropes run even", turn % 55), "metres": turn % 55}));
        said += 4;
        if turn % 40 == 39 {
            steps.push(json!({"at": at(second + 7), "do": "order", "from": "edge attendant", "to": ["all"], "text": "stop", "cause": "rope two ran off its roller"}));
            steps.push(json!({"at": at(second + 8), "do": "report", "from": one, "text": "stopped"}));
            steps.push(json!({"at": at(second + 9), "do": "report", "from": two, "text": "stopped"}));
            said += 3;
        }
        second += 11;
        turn += 1;
    }
    steps.push(json!({"at": format!("PT{}S", second + 60), "do": "close"}));
    json!({"format": "ledgebook-script/0", "start": "2026-05-14T17:00:00+02:00", "seed": 5, "steps": steps})
}
