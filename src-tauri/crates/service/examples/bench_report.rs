//! How long a report of 5 000 calls takes and how much memory, and its log's table alone, whose cells are printed for the
//! same table by other typesetters: one line of JSON. `cargo xtask bench report` judges it.

use serde_json::{Value, json};
use service::paper::{Asked, input_of, report as made};
use std::path::Path;
use std::time::Instant;

/// Times each thing is done; the best counts, for all of them.
const TRIES: usize = 3;

/// Programs of their own in which a report is made for its memory: what one has left lying about is not there in the next.
const PROGRAMS: usize = 5;
/// What such a program is asked for.
const MEMORY: &str = "memory";
/// What the program is asked for that sets the table whenever it is told to, by turns with other typesetters.
const TABLE: &str = "table";

fn main() {
    let mut args = std::env::args().skip(1).peekable();
    if let Some(asked) = args.next_if(|word| word == MEMORY || word == TABLE) {
        let file = args.next().expect("an operation file");
        return if asked == MEMORY {
            println!("{}", more_mib(Path::new(&file)));
        } else {
            tables(Path::new(&file), Path::new(&args.next().expect("where the table goes")));
        };
    }
    let calls: usize = args.next().and_then(|n| n.parse().ok()).unwrap_or(5000);
    let folder = args.next().expect("a folder for the files");
    let folder = Path::new(&folder);
    let out = folder.join("operation");
    let _ = std::fs::remove_dir_all(&out);
    service::rehearse::rehearse(&script(calls).to_string(), &out).expect("a rehearsal");
    let file = out.join(service::rehearse::OPERATION);

    let mut more: Vec<f64> = (0..PROGRAMS).map(|_| in_its_own_program(&file)).collect();
    more.sort_by(f64::total_cmp);
    let (whole_s, whole) = best(|| made(&file, &Asked::default()).expect("a report"));
    std::fs::write(folder.join("whole.pdf"), &whole.bytes).expect("written");

    let input = input_of(&file).expect("what the report prints");
    let own = std::env::current_exe().expect("this program");
    let answer = json!({
        "calls": calls, "entries": input.record.count, "whole_s": whole_s, "whole_pages": whole.pages,
        "whole_pdf": folder.join("whole.pdf"), "more_mib": more,
        "table": [own, TABLE, file], "table_pdf": folder.join("ours.pdf"), "folder": folder,
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

/// MiB at the peak of making one report, beyond what this program holds before it reads anything: nothing that was freed before
/// is there to be used again.
fn more_mib(file: &Path) -> f64 {
    let rest = resident("VmRSS");
    let whole = made(file, &Asked::default()).expect("a report");
    assert!(whole.pages > 0);
    (resident("VmHWM") - rest) / 1024.0
}

/// The log's table alone, once for each line that is read; answers each with its seconds. The last is left in `out`.
fn tables(file: &Path, out: &Path) {
    let input = input_of(file).expect("what the report prints");
    for line in std::io::stdin().lines() {
        line.expect("a line");
        let begun = Instant::now();
        let (bytes, _) = report::log_alone(&input).expect("a table");
        let seconds = begun.elapsed().as_secs_f64();
        std::fs::write(out, bytes).expect("written");
        println!("{seconds}");
    }
}

/// The same, measured in a program that is started for it.
fn in_its_own_program(file: &Path) -> f64 {
    let own = std::env::current_exe().expect("this program");
    let told = std::process::Command::new(own).arg(MEMORY).arg(file).output().expect("a program");
    let told = String::from_utf8_lossy(&told.stdout);
    told.trim().parse().unwrap_or_else(|_| panic!("the memory of a report: {told}"))
}

/// KiB of this process, as Linux tells it; 0 where it does not.
fn resident(what: &str) -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with(what)).unwrap_or_default();
    line.split_whitespace().nth(1).and_then(|n| n.parse().ok()).unwrap_or(0.0)
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
