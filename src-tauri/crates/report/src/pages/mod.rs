//! The pages, in order: summary; roles and site; each rig; the line; the log; measures and findings;
//! lessons, signatures, record. What is missing keeps its head and one line.

mod charts;
mod lanes;
mod line;
mod log;
mod measures;
mod people;
mod picture;
mod record;
mod rig_page;
mod rigs;
mod said;
mod signed;
mod summary;

use crate::input::ReportInput;
use crate::kit::book::{Bookmark, Running};
use crate::kit::{Book, Page, TOP};
use crate::words::{self, Clock};
use drawing::list::Ink;
use drawing::pattern::{self, Motion, Stretch};
use drawing::{Stroke, Type, pen, size};
use lanes::Axis;

/// All pages of the report.
pub fn book(input: &ReportInput) -> Book {
    let mut book = Book::new(input.paper, "Summary");
    people::set(&mut book, input);
    rigs::set(&mut book, input);
    line::set(&mut book, input);
    log::set(&mut book, input);
    measures::set(&mut book, input);
    record::set(&mut book, input);
    book.pages[0] = summary::page(&book, input);
    book.bookmarks.insert(0, Bookmark { level: 1, title: "1 Summary".into(), page: 0, y: TOP });
    spans_in_headers(&mut book, input);
    book.finish(&running(input));
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
    let open = if input.operation.closed_ms.is_none() { " · not closed yet" } else { "" };
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

/// The motion as a strip on an axis, in its patterns.
fn strip(page: &mut Page, input: &ReportInput, axis: &Axis, y: f64, height: f64) {
    for span in &input.spans {
        let (from, to) = (axis.at(span.from_ms), axis.at(span.to_ms.unwrap_or(axis.end)));
        let stretch =
            Stretch { x: from, y, w: to - from, h: height, axis: pattern::Axis::Across, ends: true };
        if let Some(motion) = Motion::of(&span.motion) {
            pattern::draw(page, motion, span.slow, stretch);
        }
    }
}

/// Steps of a time axis in seconds.
const STEPS: [i64; 12] = [60, 120, 300, 600, 900, 1800, 3600, 7200, 10_800, 21_600, 43_200, 86_400];

/// A time axis: the first step with 4.5 mm a tick, 16 mm a label.
fn time_axis(page: &mut Page, input: &ReportInput, axis: &Axis, y: f64) {
    let clock = Clock::new(input.operation.offset_min);
    let offset = i64::from(input.operation.offset_min) * 60;
    let per_s = axis.width * 1000.0 / (axis.end - axis.start) as f64;
    let step = STEPS.into_iter().find(|s| *s as f64 * per_s >= 4.5).unwrap_or(86_400);
    let labelled = STEPS.into_iter().find(|s| *s as f64 * per_s >= 16.0 && *s % step == 0).unwrap_or(86_400);
    page.rule(axis.x, y, axis.width, pen::FINE);
    let (first, last) = (axis.start.div_euclid(1000), axis.end.div_euclid(1000));
    let mut t = (first + offset).div_euclid(step) * step - offset;
    while t <= last {
        if t * 1000 >= axis.start {
            let x = axis.at(t * 1000);
            let is_labelled = (t + offset).rem_euclid(labelled) == 0;
            let length = if is_labelled { 2.0 } else { 1.2 };
            page.line((x, y), (x, y + length), Stroke::solid(Ink::Ink, pen::FINE));
            if is_labelled && x - axis.x > 4.0 && axis.x + axis.width - x > 4.0 {
                page.text((x, y + 4.8), &clock.hm(t * 1000), Type::bold(size::XS).middle());
            }
        }
        t += step;
    }
}
