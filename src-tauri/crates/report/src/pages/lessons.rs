//! Lessons: what was entered at the review, and lines for the pen under it.

use crate::input::{Learned, ReportInput};
use crate::kit::table::{left, right};
use crate::kit::{Book, MEASURE, Rich, Row, Table, column, columns};
use drawing::metrics::Lead;
use drawing::{pen, size};

/// Distance of pen lines, mm.
const PEN: f64 = 8.6;
/// Pen lines to keep and to change, at least.
const LEAST: (usize, usize) = (2, 3);
/// Head of the pen lines of what is to be changed, and what stands between and below them, mm.
const AROUND: f64 = 22.0;

/// Sets them; `below` mm of the page are wanted for what follows.
pub fn set(book: &mut Book, input: &ReportInput, below: f64) {
    let (kept, changed): (Vec<&Learned>, Vec<&Learned>) =
        input.lessons.iter().partition(|lesson| !lesson.change);
    entered(book, "Keep", &kept);
    entered(book, "Change", &changed);
    let room = ((book.room() - below - AROUND) / PEN).floor().max(0.0) as usize;
    let lines = room.max(LEAST.0 + LEAST.1);
    let keep = lines * 4 / 9;
    let written = !input.lessons.is_empty();
    book.need(PEN * (LEAST.0 + LEAST.1) as f64 + AROUND);
    for_the_pen(book, written, keep, lines - keep);
}

/// What was entered of one kind, with who said it and who sees to it.
fn entered(book: &mut Book, title: &str, lessons: &[&Learned]) {
    if lessons.is_empty() {
        return;
    }
    let or_none = |text: &str| if text.trim().is_empty() { "–".to_string() } else { text.to_string() };
    let rows = lessons
        .iter()
        .map(|lesson| {
            let entry = Rich::new().leading(lesson.seq.to_string(), Lead::Entry(lesson.seq));
            Row::new(vec![
                lesson.text.as_str().into(),
                or_none(&lesson.who).into(),
                or_none(&lesson.by_when).into(),
                lesson.person.as_str().into(),
                entry,
            ])
        })
        .collect();
    let head = [
        left("what", 74.0),
        left("who sees to it", 36.0),
        left("by when", 24.0),
        left("said by", 28.0),
        right("entry", 12.0),
    ];
    Table::titled(title, "as entered, an opinion of who said it", &head, rows).set(book);
    book.y += 4.0;
}

/// Lines for the pen: what to keep, and what to change, by whom, by when.
fn for_the_pen(book: &mut Book, written: bool, keep: usize, change: usize) {
    let (x, mut y) = (book.left(), book.y);
    let page = book.page();
    let more = |title: &str| if written { format!("{title} too") } else { title.to_string() };
    page.bold(x, y + 2.8, &more("Keep"), size::M);
    y -= 2.0;
    for _ in 0..keep {
        y += PEN;
        page.rule(x + column(2), y, columns(10), pen::HAIR);
    }
    y += 6.0;
    page.bold(x, y + 2.8, &more("Change"), size::M);
    let starts = [column(2), column(8), column(10) + 7.0];
    let widths = [columns(6), column(10) + 3.4 - column(8), MEASURE - column(10) - 7.0];
    for ((start, width), title) in starts.iter().zip(widths).zip(["what", "who", "by when"]) {
        page.regular(x + start, y + 2.8, title, size::XS);
        page.rule(x + start, y + 4.4, width, pen::FINE);
    }
    y += 4.4;
    for _ in 0..change {
        y += PEN;
        for (start, width) in starts.iter().zip(widths) {
            page.rule(x + start, y, width, pen::HAIR);
        }
    }
    book.y = y + 8.0;
}
