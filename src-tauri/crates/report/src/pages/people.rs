//! Who held which role from when to when; benchmarks; the site; every person.

use super::lanes;
use crate::input::{BriefLine, Person, ReportInput};
use crate::kit::table::{left, right};
use crate::kit::{Book, MEASURE, Rich, Row, Table, column, columns};
use crate::words::{self, Clock};
use drawing::moment::duration;
use drawing::{metrics, pen, size};

/// Tallest list that still stands beside the other.
const SIDE_BY_SIDE: f64 = 110.0;

/// Sets the section.
pub fn set(book: &mut Book, input: &ReportInput) {
    book.open("Roles and times");
    let roles: std::collections::BTreeSet<&str> = input.duties.iter().map(|d| d.role.as_str()).collect();
    let note = format!(
        "{}, {}",
        words::several(input.people.len() as u64, "person", "people"),
        words::several(roles.len() as u64, "role", "roles")
    );
    book.head("Roles and times", &note);
    if input.duties.is_empty() {
        book.nothing("No role was assigned.");
    } else {
        lanes::set(book, input);
        remarks(book, input);
    }
    benchmarks_and_site(book, input);
    people(book, input);
}

/// What departs from one person, one role: vacant, handed over, doubled.
fn remarks(book: &mut Book, input: &ReportInput) {
    let clock = Clock::new(input.operation.offset_min);
    let spells = lanes::spells(input);
    let mut text = Rich::new().bold("Vacant ").plain(or_none(lanes::vacant(&spells, clock)));
    text = text.bold(" Handed over ").plain(or_none(lanes::handed_over(&spells, clock)));
    text = text.bold(" Doubled ").plain(or_none(lanes::doubled(&spells, clock)));
    let lines = text.wrap(MEASURE, size::S).len() as f64;
    book.need(lines * 3.6);
    let (x, y) = (book.left(), book.y);
    book.y = book.page().paragraph((x, y), &text, MEASURE, size::S) + 4.0;
}

fn or_none(items: Vec<String>) -> String {
    if items.is_empty() { "none.".into() } else { format!("{}.", items.join("; ")) }
}

fn benchmark_rows(input: &ReportInput, clock: Clock) -> Vec<(String, String, String)> {
    let mut before = None;
    super::moments(input)
        .iter()
        .map(|mark| {
            let gap = before
                .map_or(String::new(), |b: i64| format!("+ {}", duration((mark.at_ms - b) as f64 / 1000.0)));
            before = Some(mark.at_ms);
            (clock.hms(mark.at_ms), mark.words.clone(), gap)
        })
        .collect()
}

/// "**on scene**: all vehicles at the gate".
fn moment(words: &str) -> Rich {
    match words.split_once(": ") {
        Some((head, rest)) => Rich::new().bold(head).plain(format!(": {rest}")),
        None => Rich::new().bold(words),
    }
}

fn site_facts(input: &ReportInput) -> Vec<(String, String)> {
    let facts = &input.operation;
    let mut place = facts.place.clone();
    if let Some(height) = facts.edge_height_m {
        let words = format!("edge {} above the ground", words::metres(input.units, height));
        place = if place.is_empty() { words } else { format!("{place}; {words}") };
    }
    let mut out = vec![
        ("Operation".to_string(), facts.name.clone()),
        ("Place".to_string(), if place.is_empty() { "not entered".into() } else { place }),
    ];
    let site = input.site.iter().filter(|(label, _)| !of_the_brief(input, label));
    out.extend(site.map(|(label, text)| (words::capital(label), text.clone())));
    out
}

/// What is agreed and no fact of the site stands with the brief alone, which says what became of it too.
fn of_the_brief(input: &ReportInput, label: &str) -> bool {
    let agreed = ["plan", "channel", "signals", "abort", "lost communications"];
    let same = |line: &BriefLine| {
        line.head.eq_ignore_ascii_case(label) && (line.seq.is_some() || line.later_seq.is_some())
    };
    agreed.iter().any(|head| label.eq_ignore_ascii_case(head)) && input.brief.lines.iter().any(same)
}

/// Side by side where both are short; else one below the other, over pages if need be.
fn benchmarks_and_site(book: &mut Book, input: &ReportInput) {
    let clock = Clock::new(input.operation.offset_min);
    let marks = benchmark_rows(input, clock);
    let site = site_facts(input);
    let (left_width, right_width) = (columns(5), columns(7) - 3.6);
    let texts: Vec<_> =
        site.iter().map(|(_, text)| Rich::from(text.as_str()).wrap(right_width - 24.0, size::S)).collect();
    let mark_lines: Vec<_> =
        marks.iter().map(|(_, words, _)| moment(words).wrap(left_width - 17.0 - 22.0, size::S)).collect();
    let left_height: f64 = 6.8 + mark_lines.iter().map(|l| l.len() as f64 * 3.6 + 1.2).sum::<f64>().max(5.0);
    let right_height: f64 = 6.8 + texts.iter().map(|l| l.len() as f64 * 3.6 + 1.2).sum::<f64>();
    if left_height.max(right_height) > SIDE_BY_SIDE {
        stacked(book, &marks, &site);
        return;
    }
    book.need(left_height.max(right_height));
    let (x, top) = (book.left(), book.y);
    let page = book.page();
    page.rule(x, top, left_width, pen::MED);
    page.bold(x, top + 4.6, "Benchmarks", size::M);
    let base = metrics::baseline(size::S, 3.6) + 0.6;
    let mut y = top + 6.8;
    if marks.is_empty() {
        page.regular(x, y + base, "No benchmark was entered.", size::S);
    }
    for ((time, _, gap), lines) in marks.iter().zip(&mark_lines) {
        page.regular(x, y + base, time, size::S);
        page.lines((x + 17.0, y + 0.6), lines, size::S);
        page.right(x + left_width, y + base, gap, size::S);
        y += lines.len() as f64 * 3.6 + 1.2;
        page.rule(x, y, left_width, pen::HAIR);
    }
    let rx = x + column(5) + 3.6;
    page.rule(rx, top, right_width, pen::MED);
    page.bold(rx, top + 4.6, "Site and size-up", size::M);
    let mut y = top + 6.8;
    for ((label, _), lines) in site.iter().zip(&texts) {
        let label = crate::kit::rich::cut(label, 23.0, size::S, drawing::Face::Bold);
        page.bold(rx, y + base, &label, size::S);
        page.lines((rx + 24.0, y + 0.6), lines, size::S);
        y += lines.len() as f64 * 3.6 + 1.2;
    }
    book.y = top + left_height.max(right_height) + 4.0;
}

fn stacked(book: &mut Book, marks: &[(String, String, String)], site: &[(String, String)]) {
    let rows = marks
        .iter()
        .map(|(time, words, gap)| Row::new(vec![time.as_str().into(), moment(words), gap.as_str().into()]))
        .collect();
    let head = [left("time", 17.0), left("what", 127.0), right("after the one before", 30.0)];
    Table::titled("Benchmarks", "", &head, rows).set(book);
    book.y += 5.0;
    let rows = site
        .iter()
        .map(|(label, text)| Row::new(vec![Rich::new().bold(label), text.as_str().into()]))
        .collect();
    Table::titled("Site and size-up", "", &[left("what", 30.0), left("as entered", 144.0)], rows).set(book);
    book.y += 5.0;
}

/// Every person, with what each may do and did.
fn people(book: &mut Book, input: &ReportInput) {
    if input.people.is_empty() {
        book.need(14.0);
        book.sub_head("People", "");
        book.nothing("Nobody was checked in.");
        return;
    }
    let clock = Clock::new(input.operation.offset_min);
    let rows = input.people.iter().map(|person| person_row(person, input, clock)).collect();
    let head = [
        left("name", 44.0),
        left("may do", 47.0),
        left("roles held", 38.0),
        right("in", 10.5),
        right("out", 10.5),
        right("on rope", 12.0),
        right("edge", 12.0),
    ];
    let note = "checked in and out; minutes on rope and in the edge zone";
    Table::titled("People", note, &head, rows).set(book);
}

fn person_row(person: &Person, input: &ReportInput, clock: Clock) -> Row {
    let time = |at: Option<i64>| at.map_or("–".to_string(), |ms| clock.hm(ms));
    let spent = |s: f64| match s {
        s if s <= 0.0 => "–".to_string(),
        s if s < 30.0 => "< 1".to_string(),
        s => format!("{:.0}", s / 60.0),
    };
    let may = if person.qualifications.is_empty() {
        "nothing said".to_string()
    } else {
        person.qualifications.join("; ")
    };
    let may = match &person.agency {
        Some(agency) if !agency.is_empty() => format!("{may} ({agency})"),
        _ => may,
    };
    let roles = if person.roles.is_empty() { "–".to_string() } else { person.roles.join("; ") };
    Row::new(vec![
        person.name.as_str().into(),
        may.into(),
        roles.into(),
        time(person.in_ms).into(),
        time(person.out_ms).into(),
        spent(super::stayed(input, &person.name, "on_rope")).into(),
        spent(super::stayed(input, &person.name, "edge")).into(),
    ])
}
