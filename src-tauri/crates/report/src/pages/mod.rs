//! The pages, in order: summary; roles and site; the brief; the patient, when asked for; each rig; the line; the log; measures and findings;
//! lessons, signatures, record. What is missing keeps its head and one line.

mod brief;
mod charts;
mod falls;
mod lanes;
mod lessons;
mod line;
pub mod log;
mod margins;
mod measures;
mod patient;
mod people;
pub(crate) mod picture;
mod record;
mod rig_page;
mod rigs;
pub mod said;
mod signed;
mod summary;

pub use rigs::counts;

use crate::input::{Benchmark, MotionSpan, ReportInput};
use crate::kit::book::{Bookmark, Running};
use crate::kit::{Book, Page, TOP};
use crate::words::{self, Clock};
use drawing::moment::{Axis, Span};
use drawing::pattern::{self, Motion, Stretch};

/// All pages of the report. What stands before the line hangs on nothing in it and is set beside it. The line is drawn here, by the
/// thread that read the record: what that freed is used again, and the line is half of all that is drawn.
pub fn book(input: &ReportInput) -> Book {
    let (mut book, pieces) = std::thread::scope(|scope| {
        let before = scope.spawn(|| before_the_line(input));
        let pieces = line::pieces(input);
        (before.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)), pieces)
    });
    line::set(&mut book, input, pieces);
    log::set(&mut book, input);
    measures::set(&mut book, input);
    record::set(&mut book, input);
    book.pages[0] = summary::page(&book, input);
    book.bookmarks.insert(0, Bookmark { level: 1, title: "1 Summary".into(), page: 0, y: TOP });
    spans_in_headers(&mut book, input);
    book.finish(&running(input));
    book
}

/// The first page, still empty, and what stands before the line.
fn before_the_line(input: &ReportInput) -> Book {
    let mut book = Book::new(input.paper, "Summary");
    people::set(&mut book, input);
    brief::set(&mut book, input);
    if input.patient_page {
        patient::set(&mut book, input);
    }
    rigs::set(&mut book, input);
    book
}

/// Running heads like a dictionary's: the log's pages say which entries they show.
fn spans_in_headers(book: &mut Book, input: &ReportInput) {
    let clock = Clock::new(input.operation.offset_min);
    for page in &mut book.pages {
        if let Some(span) = page.span {
            let entries = if span.entries.0 == span.entries.1 {
                format!("entry {}", span.entries.0)
            } else {
                format!("entries {}–{}", span.entries.0, span.entries.1)
            };
            let (from, to) = (clock.hm(span.times.0), clock.hm(span.times.1));
            page.section = format!("{} · {entries} · {from} to {to}", page.section);
        }
    }
}

fn running(input: &ReportInput) -> Running {
    let record = &input.record;
    let stations: Vec<&str> = record.stations.iter().map(|s| s.station.as_str()).collect();
    let station = match stations.as_slice() {
        [one] => format!(" · station {one}"),
        [] => String::new(),
        many => format!(" · {} stations", many.len()),
    };
    let open = match input.operation.closed_ms {
        _ if !input.record.missing.is_empty() => " · not whole",
        None => " · not closed yet",
        Some(_) => "",
    };
    Running {
        name: input.operation.name.clone(),
        drill: input.operation.drill,
        date: Clock::new(input.operation.offset_min).date(input.operation.opened_ms),
        record: format!(
            "{} · head {}{station}{open}",
            words::several(record.count, "entry", "entries"),
            words::first_digits(&record.head, 3)
        ),
    }
}

/// Motions as they are drawn; one of an unknown name is left out.
fn spans(input: &ReportInput) -> Vec<Span> {
    let known = |span: &MotionSpan| {
        let motion = Motion::of(&span.motion)?;
        Some(Span { motion, slow: span.slow, from_ms: span.from_ms, to_ms: span.to_ms })
    };
    input.spans.iter().filter_map(known).collect()
}

/// The motion as a strip on an axis, in its patterns.
fn strip(page: &mut Page, input: &ReportInput, axis: &Axis, y: f64, height: f64) {
    for span in spans(input) {
        let (from, to) = (axis.at(span.from_ms), axis.at(span.to_ms.unwrap_or(axis.end_ms)));
        let stretch =
            Stretch { x: from, y, w: to - from, h: height, axis: pattern::Axis::Across, ends: true };
        pattern::draw(page, span.motion, span.slow, stretch);
    }
}

/// Benchmarks and the patient's marks together, oldest first.
pub fn moments(input: &ReportInput) -> Vec<Benchmark> {
    let patient = input.patient.iter().map(|mark| {
        let named = mark.words.to_lowercase().starts_with("patient");
        let words = if named { mark.words.clone() } else { format!("patient {}", mark.words) };
        Benchmark { words, ..mark.clone() }
    });
    let mut out: Vec<Benchmark> = input.benchmarks.iter().cloned().chain(patient).collect();
    out.sort_by_key(|mark| (mark.at_ms, mark.seq));
    out.dedup_by(|b, a| words::head(&b.words) == words::head(&a.words) && b.at_ms == a.at_ms);
    out
}

/// First and last time that the report shows.
pub fn extent(input: &ReportInput) -> (i64, i64) {
    let from = input.operation.opened_ms;
    let to = input.operation.closed_ms.unwrap_or(input.record.last_ms).max(input.record.last_ms);
    (from, to.max(from.saturating_add(60_000)))
}

/// When what did not end is counted to its end: the close, and not what was entered at the review after it; of an open record
/// its last entry.
pub fn counted_to(input: &ReportInput) -> i64 {
    input.operation.closed_ms.unwrap_or(input.record.last_ms)
}

/// Seconds a person spent in a zone.
fn stayed(input: &ReportInput, person: &str, zone: &str) -> f64 {
    let end = counted_to(input);
    let stays = input.zones.iter().filter(|stay| stay.person == person && stay.zone == zone);
    stays.map(|stay| (stay.to_ms.unwrap_or(end) - stay.from_ms).max(0) as f64 / 1000.0).sum()
}
