//! The line, a piece of it on each page.

use super::{extent, spans};
use crate::input::{Hearing, LogRow, ReportInput};
use crate::kit::{Book, TOP};
use crate::words::Clock;
use drawing::line::{self, Entry, Hang, LineInput, Piece};
use std::collections::BTreeMap;

/// The pieces, which hang on nothing that stands before them: they are drawn while that is set.
pub fn pieces(input: &ReportInput) -> Vec<Piece> {
    let mut sheet = Book::new(input.paper, TITLE);
    sheet.head(TITLE, NOTE);
    line::pieces(&line_input(input), sheet.room(), sheet.bottom() - TOP)
}

const TITLE: &str = "The line";
const NOTE: &str = "time runs down; a silence is shortened and its length written";

/// Sets the section.
pub fn set(book: &mut Book, input: &ReportInput, pieces: Vec<Piece>) {
    book.open(TITLE);
    book.head(TITLE, NOTE);
    let clock = Clock::new(input.operation.offset_min);
    if pieces.is_empty() {
        book.nothing("The record holds no entry.");
        return;
    }
    for (i, piece) in pieces.into_iter().enumerate() {
        if i > 0 {
            book.open(TITLE);
        }
        let (x, y) = (book.left(), book.y);
        let page = book.page();
        page.take(piece.list, x, y);
        page.section = format!("The line · {} to {}", clock.hm(piece.from_ms), clock.hm(piece.to_ms));
    }
}

fn line_input(input: &ReportInput) -> LineInput {
    let (start_ms, end_ms) = extent(input);
    let by_seq: BTreeMap<u64, &LogRow> = input.log.iter().map(|row| (row.seq, row)).collect();
    let short: BTreeMap<&str, &str> =
        input.short_names.iter().map(|(role, short)| (role.as_str(), short.as_str())).collect();
    LineInput {
        start_ms,
        end_ms,
        offset_min: input.operation.offset_min,
        edge_height_m: input.operation.edge_height_m,
        entries: input.log.iter().map(|row| entry(row, &by_seq, &short)).collect(),
        spans: spans(input),
        heights: input.review.heights.clone(),
        units: input.units,
    }
}

/// An entry as it hangs: where it happened, in the words as they stand now.
fn entry(row: &LogRow, by_seq: &BTreeMap<u64, &LogRow>, short: &BTreeMap<&str, &str>) -> Entry {
    let name = |role: &str| short.get(role).map_or_else(|| role.to_string(), |s| (*s).to_string());
    let from_control = row.from == "control";
    let fixed = row.corrected_by.and_then(|seq| by_seq.get(&seq));
    let happened = |row: &LogRow| row.happened_ms.unwrap_or(row.at_ms);
    let order = row.of.and_then(|of| by_seq.get(&of));
    let silent = row.heard.iter().filter(|heard| heard.what == Hearing::Never);
    Entry {
        seq: row.seq,
        at_ms: happened(row),
        written_ms: row.happened_ms.map(|_| row.at_ms),
        hang: Hang::of(&row.kind, from_control),
        kind: row.kind.clone(),
        from: if from_control || !is_said(&row.kind) { String::new() } else { name(&row.from) },
        to: row.to.iter().map(|role| name(role)).collect(),
        text: fixed.map_or_else(|| row.text.clone(), |fixed| fixed.text.clone()),
        was: fixed.map(|_| row.text.clone()),
        of: row.of,
        after_s: order.map(|order| (happened(row) - happened(order)) as f64 / 1000.0),
        wrong: row.wrong,
        silent: silent.map(|heard| name(&heard.role)).collect(),
        corrects: row.corrects,
        corrected_by: row.corrected_by,
    }
}

/// Whether somebody said or signalled it; an event of the program names nobody on the line.
fn is_said(kind: &str) -> bool {
    matches!(
        kind,
        "order"
            | "readback"
            | "answer"
            | "report"
            | "signal"
            | "note"
            | "stop"
            | "exercise"
            | "par"
            | "patient"
    )
}
