//! ICS 214, Activity Log.

use super::frame::{self, Kind, for_the_pen, holder, title};
use crate::input::{LogRow, ReportInput};
use crate::kit::table::left;
use crate::kit::{Book, Rich, Row, Table};
use crate::words::{self, Clock};

/// Which form.
pub const KIND: Kind = Kind {
    number: "ICS 214",
    title: "Activity Log",
    prepared: "8. Prepared by",
    by: "scribe",
    turned: false,
};

/// Fills it.
pub fn set(input: &ReportInput) -> Book {
    let mut book = frame::book(&KIND, input);
    log_keeper(&mut book, input);
    let rows: Vec<Row> = input
        .people
        .iter()
        .map(|person| {
            let roles = person.roles.iter().map(|role| words::capital(role)).collect::<Vec<_>>().join(", ");
            let agency = person.agency.clone().unwrap_or_default();
            Row::new(vec![person.name.as_str().into(), roles.into(), agency.into()])
        })
        .collect();
    if rows.is_empty() {
        title(&mut book, "6. Resources Assigned", "");
        for_the_pen(&mut book, 18.0, "for the pen: nobody was checked in");
    } else {
        let head = [left("Name", 58.0), left("ICS Position", 58.0), left("Home Agency (and Unit)", 58.0)];
        Table::titled("6. Resources Assigned", "", &head, rows).set(&mut book);
        book.y += 4.0;
    }
    activities(&mut book, input);
    frame::finish(&mut book, &KIND, input, &frame::name_and_period(input));
    book
}

/// Blocks 3 to 5: the scribe keeps this log.
fn log_keeper(book: &mut Book, input: &ReportInput) {
    let name = holder(input, "scribe").unwrap_or_default();
    let agency =
        input.people.iter().find(|p| p.name == name).and_then(|p| p.agency.clone()).unwrap_or_default();
    let position = if name.is_empty() { "" } else { "Scribe" };
    let row = Row::new(vec![name.into(), position.into(), agency.into()]);
    let head =
        [left("3. Name", 58.0), left("4. ICS Position", 58.0), left("5. Home Agency (and Unit)", 58.0)];
    Table { columns: head.to_vec(), rows: vec![row], ..Table::default() }.set(book);
    book.y += 4.0;
}

/// Whether an entry is an activity of its own: what only answers another is not.
fn is_notable(row: &LogRow) -> bool {
    !matches!(row.kind.as_str(), "readback" | "answer" | "session_began" | "slept")
}

fn activities(book: &mut Book, input: &ReportInput) {
    let clock = Clock::new(input.operation.offset_min);
    let notable: Vec<&LogRow> = input.log.iter().filter(|row| is_notable(row)).collect();
    let mut day = None;
    let rows: Vec<Row> = notable
        .iter()
        .map(|row| {
            let date = clock.short_date(row.at_ms);
            let time = clock.hms(row.at_ms);
            // The date stands where it changes.
            let when = if day.as_ref() == Some(&date) { time } else { format!("{date}, {time}") };
            day = Some(date);
            Row::new(vec![when.into(), activity(row), row.seq.to_string().into()])
        })
        .collect();
    let name = "7. Activity Log";
    if rows.is_empty() {
        title(book, name, "");
        for_the_pen(book, 18.0, "for the pen: the record holds no entry");
        return;
    }
    let left_out = input.log.len() - notable.len();
    let note = format!(
        "{} that only answer others left out; the report has all",
        words::several(left_out as u64, "entry", "entries")
    );
    let head = [left("Date/Time", 36.0), left("Notable Activities", 124.0), left("entry", 14.0)];
    Table::titled(name, &note, &head, rows).set(book);
}

fn activity(row: &LogRow) -> Rich {
    let mut text = Rich::new();
    if row.kind == "stop" {
        text = text.bold("STOP ");
    }
    if !row.from.is_empty() {
        let to = if row.to.is_empty() { String::new() } else { format!(" to {}", row.to.join(", ")) };
        text = text.plain(format!("{}{to}: ", row.from));
    }
    text = if row.corrected_by.is_some() { text.struck(&row.text) } else { text.plain(&row.text) };
    if let Some(by) = row.corrected_by {
        text = text.plain(format!(" (corrected by {by})"));
    }
    if let Some(what) = row.corrects {
        text = text.plain(format!(" (corrects {what})"));
    }
    text
}
