//! Charts of the measures: time in each motion, exposure, readbacks, stops, speed.

use super::{counted_to, spans, stayed};
use crate::input::{ReportInput, Stop};
use crate::kit::{Book, MEASURE, column, columns, most_that_fit};
use drawing::charts::{self, Delays, Exposure, Pace, StopTime, Stopped};
use drawing::list::DisplayList;
use drawing::moment::duration;
use drawing::pattern::{MOTIONS, Motion};
use drawing::{metrics, pen, size};
use rig::units::Units;

/// Height of the curve of speeds, mm.
const SPEED: f64 = 22.0;
/// Height of a chart's head, mm.
const HEAD: f64 = 6.4;

/// Sets the charts. `numbered` are the stops that carry a number on page 1.
pub fn set(book: &mut Book, input: &ReportInput, numbered: &[usize]) {
    motion_and_exposure(book, input);
    readbacks(book, input);
    stops_and_speed(book, input, numbered);
}

/// The head of a chart over half the measure: a rule, a title, a note at the right.
fn half_head(book: &mut Book, right: bool, title: &str, note: &str) {
    let (x, y) = (book.left() + if right { column(6) } else { 0.0 }, book.y);
    let page = book.page();
    page.rule(x, y, columns(6), pen::MED);
    page.bold(x, y + 4.4, title, size::M);
    page.right(x + columns(6), y + 4.4, note, size::XS);
}

/// Seconds in each motion that occurred, in the order of the keys.
fn times(input: &ReportInput) -> Vec<(Motion, f64)> {
    let end = counted_to(input);
    let spans = spans(input);
    let total = |motion: Motion| -> f64 {
        let of = spans.iter().filter(|span| span.motion == motion);
        of.map(|span| (span.to_ms.unwrap_or(end) - span.from_ms).max(0) as f64 / 1000.0).sum()
    };
    MOTIONS.iter().map(|(motion, _, _)| (*motion, total(*motion))).filter(|(_, s)| *s > 0.0).collect()
}

/// How long each person was on rope and in zones, the longest on rope first.
fn exposures(input: &ReportInput) -> Vec<Exposure> {
    let mut names: Vec<&str> = Vec::new();
    for stay in &input.zones {
        if !names.contains(&stay.person.as_str()) {
            names.push(&stay.person);
        }
    }
    let exposure = |person: &str| Exposure {
        person: person.into(),
        on_rope_s: stayed(input, person, "on_rope"),
        edge_s: stayed(input, person, "edge"),
        drop_s: stayed(input, person, "drop"),
    };
    let mut out: Vec<Exposure> = names.into_iter().map(exposure).filter(|e| e.total_s() > 0.0).collect();
    out.sort_by(|a, b| b.on_rope_s.total_cmp(&a.on_rope_s).then(b.total_s().total_cmp(&a.total_s())));
    out
}

/// How many of `people` fit into a height.
fn fitting(people: &[Exposure], longest: Option<f64>, height: f64) -> usize {
    most_that_fit(people.len(), |n| charts::exposure(&people[..n], columns(6), longest).height <= height)
}

fn motion_and_exposure(book: &mut Book, input: &ReportInput) {
    let times = times(input);
    let whole: f64 = times.iter().map(|(_, s)| s).sum();
    half_head(book, false, "Time in each motion", &format!("of {}", duration(whole)));
    half_head(book, true, "On rope and in zones, by person", "minutes");
    let (x, y) = (book.left(), book.y + HEAD);
    let motion = charts::time_in_motion(&times, columns(6));
    book.page().place(&motion, x, y);
    let people = exposures(input);
    let longest = people.iter().map(Exposure::total_s).fold(0.0, f64::max);
    let mut rest = people.as_slice();
    let shown = if rest.is_empty() { 0 } else { fitting(rest, Some(longest), 100.0) };
    let chart = charts::exposure(&rest[..shown], columns(6), Some(longest));
    book.page().place(&chart, x + column(6), y);
    book.y = y + motion.height.max(chart.height) + 4.0;
    rest = &rest[shown..];
    // What is left of a large team goes on in two columns.
    while !rest.is_empty() {
        book.need(60.0);
        half_head(book, false, "On rope and in zones, by person", "goes on, minutes");
        let (y, room) = (book.y + HEAD, book.room() - HEAD);
        let mut below = y;
        for left in [0.0, column(6)] {
            if rest.is_empty() {
                break;
            }
            let shown = fitting(rest, Some(longest), room);
            let chart = charts::exposure(&rest[..shown], columns(6), Some(longest));
            book.page().place(&chart, x + left, y);
            below = below.max(y + chart.height);
            rest = &rest[shown..];
        }
        book.y = below + 4.0;
    }
}

/// "of 49 due 46 right, 1 wrong, 2 never: 94 % closed".
fn readback_words(input: &ReportInput) -> String {
    let measures = &input.review.readbacks;
    let due: usize = measures.iter().map(|m| m.due).sum();
    let right: usize = measures.iter().map(|m| m.delays_s.len()).sum();
    let never: usize = measures.iter().map(|m| m.never).sum();
    if due == 0 {
        return "none was due".into();
    }
    // Read back wrong and not put right: what is left of those due.
    let wrong = due.saturating_sub(right + never);
    let percent = 100 * right / due;
    format!("of {due} due {right} right, {wrong} wrong, {never} never: {percent} % closed")
}

fn readbacks(book: &mut Book, input: &ReportInput) {
    let roles: Vec<Delays> = input
        .review
        .readbacks
        .iter()
        .map(|measure| Delays {
            role: measure.role.clone(),
            due: measure.due,
            right_s: measure.delays_s.clone(),
            wrong_s: measure.wrong_s.clone(),
            wrong: measure.wrong,
            never: measure.never,
        })
        .collect();
    let mut chunks: Vec<&[Delays]> = roles.chunks(36).collect();
    if chunks.is_empty() {
        chunks.push(&[]);
    }
    for (i, chunk) in chunks.into_iter().enumerate() {
        let chart = charts::delays(chunk, MEASURE);
        book.need(chart.height + 6.0 + 8.0);
        let (x, y) = (book.left(), book.y);
        let page = book.page();
        page.rule(x, y, MEASURE, pen::MED);
        page.bold(x, y + 4.4, "From order to readback", size::M);
        let note = if i == 0 { readback_words(input) } else { "goes on".into() };
        page.right(x + MEASURE, y + 4.4, &note, size::S);
        page.place(&chart, x, y + 6.0);
        let below = y + 6.0 + chart.height;
        let key =
            "Ring: one readback. Heavy tick: median. Dashed tick: p90, from five on. ≠: read back wrong.";
        page.regular(x, below + metrics::baseline(size::XS, 3.2), key, size::XS);
        book.y = below + 7.2;
    }
}

fn stop_time(stop: &Stop, number: Option<usize>) -> StopTime {
    let operators = stop
        .stopped_s
        .iter()
        .map(|(role, after_s)| Stopped { rope_two: role.contains("two"), after_s: *after_s });
    let words = if stop.cause.is_empty() { "no reason said" } else { stop.cause.as_str() };
    let words = crate::kit::rich::cut(words, 58.0, size::S, drawing::Face::Regular);
    StopTime { number, at_ms: stop.at_ms, words, operators: operators.collect() }
}

fn stops_and_speed(book: &mut Book, input: &ReportInput, numbered: &[usize]) {
    let stops: Vec<StopTime> = input
        .review
        .stops
        .iter()
        .enumerate()
        .map(|(i, stop)| stop_time(stop, numbered.iter().position(|at| *at == i).map(|n| n + 1)))
        .collect();
    let offset_min = input.operation.offset_min;
    let times: DisplayList = charts::stop_times(&stops, columns(6), offset_min);
    let paces: Vec<Pace> = input
        .review
        .speeds
        .iter()
        .map(|s| Pace { from_ms: s.from_ms, to_ms: s.to_ms, m_per_min: s.m_per_min })
        .collect();
    let speeds = charts::speed(&paces, columns(6), SPEED, offset_min, input.units);
    let height = times.height.max(speeds.height) + HEAD + 1.0;
    book.need(height);
    let note = if stops.len() > 4 { format!("4 worst of {}", stops.len()) } else { "by rope".into() };
    half_head(book, false, "From STOP to stopped", &note);
    let unit = if input.units == Units::Si { "m/min while moving" } else { "ft/min while moving" };
    half_head(book, true, "Speed between called heights", unit);
    let (x, y) = (book.left(), book.y + HEAD);
    book.page().place(&times, x, y);
    book.page().place(&speeds, x + column(6), y + 1.0);
    book.y += height + 2.0;
}
