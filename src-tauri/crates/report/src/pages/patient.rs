//! The patient page, when it is asked for: the course with its times, what was said and measured, what the attendant
//! called, and lines for the hand-over. Nothing is weighed here: it is what the entries say.

use crate::input::ReportInput;
use crate::kit::table::{left, right};
use crate::kit::{Book, MEASURE, Rich, Row, Table, column, columns};
use crate::words::{self, Clock};
use drawing::moment::duration;
use drawing::{metrics, pen, size};

/// Whose calls stand on the page.
const ATTENDANT: &str = "patient attendant";
/// Distance of pen lines, mm.
const PEN: f64 = 8.6;
/// What the hand-over leaves to the pen, over half the measure each.
const HAND_OVER: [&str; 6] = [
    "Name, born",
    "Known conditions, medication, allergies",
    "Given on site, with time",
    "Handed over to, with agency",
    "Date, time",
    "Signatures: gives, takes",
];

/// Sets the page.
pub fn set(book: &mut Book, input: &ReportInput) {
    book.open("Patient");
    book.head("Patient", "health data: give this page only to who may read it");
    let clock = Clock::new(input.operation.offset_min);
    course(book, input, clock);
    called(book, input, clock);
    hand_over(book);
}

fn course(book: &mut Book, input: &ReportInput, clock: Clock) {
    if input.course.is_empty() {
        book.nothing("No mark of the patient was entered.");
        return;
    }
    let mut before: Option<i64> = None;
    let rows = input.course.iter().map(|mark| {
        let gap =
            before.map_or(String::new(), |b| format!("+ {}", duration((mark.at_ms - b) as f64 / 1000.0)));
        before = Some(mark.at_ms);
        let vitals = if mark.vitals.is_empty() { "–" } else { mark.vitals.as_str() };
        Row::new(vec![
            mark.seq.to_string().into(),
            clock.hms(mark.at_ms).into(),
            gap.into(),
            Rich::new().bold(mark.mark.replace('_', " ")),
            mark.text.as_str().into(),
            vitals.into(),
        ])
    });
    let head = [
        right("entry", 12.0),
        left("time", 17.0),
        left("since", 20.0),
        left("mark", 30.0),
        left("said", 55.0),
        left("vital signs, as said", 40.0),
    ];
    let rows = rows.collect();
    Table::titled("Course", "as entered, corrections counted", &head, rows).set(book);
    book.y += 5.0;
}

/// What the patient attendant said, in the words as they stand now.
fn called(book: &mut Book, input: &ReportInput, clock: Clock) {
    let said = input.log.iter().filter(|row| {
        row.from == ATTENDANT && row.corrected_by.is_none() && row.kind != "readback" && row.kind != "answer"
    });
    let rows: Vec<Row> = said
        .map(|row| {
            let at = row.happened_ms.unwrap_or(row.at_ms);
            Row::new(vec![row.seq.to_string().into(), clock.hms(at).into(), row.text.as_str().into()])
        })
        .collect();
    if rows.is_empty() {
        return;
    }
    let head = [right("entry", 12.0), left("time", 17.0), left("words", 145.0)];
    Table::titled("Called by the patient attendant", "readbacks and answers left out", &head, rows).set(book);
    book.y += 5.0;
}

/// Lines for the pen.
fn hand_over(book: &mut Book) {
    let rows = HAND_OVER.len().div_ceil(2) as f64;
    book.need(7.0 + rows * (PEN + 5.0));
    book.sub_head("Hand-over", "for the pen; nothing written here is in the record");
    let (x, top) = (book.left(), book.y);
    let page = book.page();
    for (i, title) in HAND_OVER.iter().enumerate() {
        let at = x + column(6) * (i % 2) as f64;
        let y = top + (PEN + 5.0) * (i / 2) as f64;
        page.regular(at, y + metrics::baseline(size::XS, 3.2), &words::capital(title), size::XS);
        page.rule(at, y + 3.2 + PEN, columns(6), pen::HAIR);
    }
    debug_assert!(columns(6) + column(6) <= MEASURE + 1e-6);
    book.y = top + rows * (PEN + 5.0);
}
