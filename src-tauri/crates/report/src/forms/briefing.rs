//! ICS 201, Incident Briefing.

use super::frame::{self, Kind, for_the_pen, holder, moment, paragraphs, title};
use crate::input::ReportInput;
use crate::kit::table::left;
use crate::kit::{Book, Rich, Row, Table};
use crate::pages::{moments, said};
use crate::words::{self, Clock};

/// Which form.
pub const KIND: Kind = Kind {
    number: "ICS 201",
    title: "Incident Briefing",
    prepared: "6. Prepared by",
    by: "incident commander",
    turned: false,
};

/// Positions that the form's chart names, with the role of ours that is the same; a list, not a chart.
const POSITIONS: [(&str, Option<&str>); 8] = [
    ("Incident Commander", Some("incident commander")),
    ("Safety Officer", Some("safety officer")),
    ("Liaison Officer", None),
    ("Public Information Officer", None),
    ("Operations Section Chief", None),
    ("Planning Section Chief", None),
    ("Logistics Section Chief", None),
    ("Finance/Admin Section Chief", None),
];

/// Fills it.
pub fn set(input: &ReportInput) -> Book {
    let mut book = frame::book(&KIND, input);
    let clock = Clock::new(input.operation.offset_min);
    title(&mut book, "4. Map/Sketch", "");
    for_the_pen(&mut book, 62.0, "for the pen: the record keeps no map");
    title(&mut book, "5. Situation Summary and Health and Safety Briefing", "");
    paragraphs(&mut book, &situation(input, clock));
    title(&mut book, "7. Current and Planned Objectives", "");
    match fact(input, "objective") {
        Some(text) => paragraphs(&mut book, &[text.into()]),
        None => for_the_pen(&mut book, 18.0, "for the pen: none was entered"),
    }
    actions(&mut book, input, clock);
    organization(&mut book, input);
    resources(&mut book, input, clock);
    let head = [
        ("1. Incident Name", 0.5, input.operation.name.clone()),
        ("2. Incident Number", 0.18, String::new()),
        ("3. Date/Time Initiated", 0.32, moment(clock, input.operation.opened_ms)),
    ];
    frame::finish(&mut book, &KIND, input, &head);
    book
}

/// What was entered at size-up under a head.
pub fn fact<'a>(input: &'a ReportInput, head: &str) -> Option<&'a str> {
    let found = input.site.iter().find(|(label, _)| label.to_lowercase() == head);
    found.map(|(_, text)| text.as_str())
}

fn situation(input: &ReportInput, clock: Clock) -> Vec<Rich> {
    let mut out = vec![said::outcome(input, clock)];
    let mut place = input.operation.place.clone();
    if let Some(height) = input.operation.edge_height_m {
        let edge = format!("edge {} above the ground", words::metres(input.units, height));
        place = if place.is_empty() { edge } else { format!("{place}; {edge}") };
    }
    if !place.is_empty() {
        out.push(Rich::new().bold("Place ").plain(place));
    }
    let told = input.site.iter().filter(|(label, _)| label.to_lowercase() != "objective");
    out.extend(told.map(|(label, text)| Rich::new().bold(format!("{} ", words::capital(label))).plain(text)));
    out.push(Rich::new().bold("Rigs ").then(said::critical(input)));
    out
}

/// Benchmarks, the patient's marks, changes of motion and stops, with rigs as they were checked and signed, by time.
fn actions(book: &mut Book, input: &ReportInput, clock: Clock) {
    let mut all: Vec<(i64, Rich)> = Vec::new();
    all.extend(moments(input).into_iter().map(|mark| (mark.at_ms, mark.words.into())));
    for span in input.spans.iter().filter(|span| span.motion != "at_rest") {
        let slow = if span.slow { ", slow" } else { "" };
        all.push((span.from_ms, format!("load {}{slow}", span.motion.replace('_', " ")).into()));
    }
    for stop in &input.review.stops {
        let why = if stop.cause.is_empty() { "no reason said" } else { stop.cause.as_str() };
        all.push((stop.at_ms, Rich::new().bold("STOP").plain(format!(" by {}: {why}", stop.from))));
    }
    for rig in &input.rigs {
        for check in &rig.checks {
            let counts = crate::pages::counts(&check.report.main);
            all.push((check.at_ms, Rich::from(format!("rig “{}” checked: ", rig.name)).then(counts.words())));
        }
        for signed in &rig.signed {
            let what = if signed.accepted { "accepted" } else { "signed" };
            all.push((signed.at_ms, format!("rig “{}” {what} by {}", rig.name, signed.person).into()));
        }
    }
    all.sort_by_key(|(at, _)| *at);
    let rows: Vec<Row> =
        all.into_iter().map(|(at, words)| Row::new(vec![clock.hms(at).into(), words])).collect();
    let name = "8. Current and Planned Actions, Strategies, and Tactics";
    if rows.is_empty() {
        title(book, name, "");
        for_the_pen(book, 18.0, "for the pen: the record holds none");
        return;
    }
    let head = [left("Time:", 22.0), left("Actions:", 152.0)];
    Table::titled(name, "what was done; what is planned is for the pen", &head, rows).set(book);
    book.y += 4.0;
}

fn organization(book: &mut Book, input: &ReportInput) {
    let mut rows: Vec<Row> = POSITIONS
        .iter()
        .map(|(position, role)| {
            let name = role.and_then(|role| holder(input, role)).unwrap_or_default();
            Row::new(vec![(*position).into(), name.into()])
        })
        .collect();
    let mut named: Vec<&str> = POSITIONS.iter().filter_map(|(_, role)| *role).collect();
    for duty in input.duties.iter().filter(|duty| duty.person.is_some()) {
        if named.contains(&duty.role.as_str()) {
            continue;
        }
        named.push(&duty.role);
        let mut people: Vec<&str> = Vec::new();
        let held = input.duties.iter().filter(|d| d.role == duty.role && d.to_ms == duty.to_ms);
        for person in held.filter_map(|d| d.person.as_deref()) {
            if !people.contains(&person) {
                people.push(person);
            }
        }
        rows.push(Row::new(vec![words::capital(&duty.role).into(), people.join(", ").into()]));
    }
    let head = [left("position", 70.0), left("name", 104.0)];
    Table::titled("9. Current Organization", "positions left empty: nobody in the record", &head, rows)
        .set(book);
    book.y += 4.0;
}

fn resources(book: &mut Book, input: &ReportInput, clock: Clock) {
    let rows: Vec<Row> = input
        .people
        .iter()
        .map(|person| {
            let may = if person.qualifications.is_empty() {
                "person".to_string()
            } else {
                person.qualifications.join(", ")
            };
            let roles = person.roles.join(", ");
            let agency = person.agency.clone().unwrap_or_default();
            let notes: Vec<&str> =
                [roles.as_str(), agency.as_str()].into_iter().filter(|s| !s.is_empty()).collect();
            Row::new(vec![
                may.into(),
                person.name.as_str().into(),
                Rich::new(),
                Rich::new(),
                person.in_ms.map_or(String::new(), |ms| clock.hm(ms)).into(),
                notes.join("; ").into(),
            ])
        })
        .collect();
    if rows.is_empty() {
        title(book, "10. Resource Summary", "");
        for_the_pen(book, 18.0, "for the pen: nobody was checked in");
        return;
    }
    // As an agency's reprint of the form has them (`forms/mod.rs`).
    let head = [
        left("Resource", 42.0),
        left("Resource Identifier", 42.0),
        left("Date/Time Ordered", 18.0),
        left("ETA", 12.0),
        left("Arrived", 14.0),
        left("Notes (location/assignment/status)", 46.0),
    ];
    Table::titled("10. Resource Summary", "ordered and ETA are not in the record", &head, rows).set(book);
}
