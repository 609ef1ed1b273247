//! Every entry in the order it was written. A correction is an entry of its own and the
//! words it corrects stay, struck; a late entry stands where it was written and shows both times.

use crate::input::{Hearing, LogRow, ReportInput};
use crate::kit::table::{EntryOfRow, left, right};
use crate::kit::{Book, MEASURE, Rich, Row, Table};
use crate::words::Clock;
use drawing::Mark;
use drawing::metrics::Lead;
use drawing::size;

/// Sets the section.
pub fn set(book: &mut Book, input: &ReportInput) {
    book.open("The log");
    book.head("The log", "every entry, in the order it was written; nothing is changed or left out");
    let about = Rich::from(
        "A correction is an entry of its own: the words it corrects stay, struck. A late entry stands where \
         it was written and shows both times. “Heard” gives seconds from order to readback, or to what the \
         order got.",
    );
    let (x, y) = (book.left(), book.y);
    book.y = book.page().paragraph((x, y), &about, MEASURE, size::S) + 2.5;
    if input.log.is_empty() {
        book.nothing("The record holds no entry.");
        return;
    }
    table(input).set(book);
}

fn table(input: &ReportInput) -> Table {
    let clock = Clock::new(input.operation.offset_min);
    let mut rows: Vec<Row> = input.log.iter().map(|entry| row(entry, input, clock)).collect();
    join_loops(&mut rows, &input.log);
    let columns = [
        right("entry", 12.0),
        left("time", 17.0),
        left("kind", 24.0),
        left("from → to", 42.0),
        left("words", 51.0),
        left("heard", 28.0),
    ];
    Table { columns: columns.to_vec(), rows, hours: true, ..Table::default() }
}

/// The table and nothing else, to be held against the same table by other typesetters.
pub fn alone(input: &ReportInput) -> Book {
    let mut book = Book::new(input.paper, "The log");
    table(input).set(&mut book);
    book
}

/// The table's cells as plain words.
pub fn cells(input: &ReportInput) -> Vec<Vec<String>> {
    table(input).rows.iter().map(|row| row.cells.iter().map(crate::kit::Rich::words).collect()).collect()
}

fn row(entry: &LogRow, input: &ReportInput, clock: Clock) -> Row {
    let (kind, mark) = kind(entry, input);
    let cells = vec![
        entry.seq.to_string().into(),
        clock.hms(entry.at_ms).into(),
        kind,
        who(entry).into(),
        said(entry),
        heard(entry, input, clock),
    ];
    let at = EntryOfRow { seq: entry.seq, at: entry.at_ms, hour: clock.hour(entry.at_ms) };
    Row { cells, mark: Some((2, mark)), widen: true, entry: Some(at), joined: false }
}

/// The entry's kind in words, and its mark.
fn kind(entry: &LogRow, input: &ReportInput) -> (Rich, Option<Mark>) {
    let word = if entry.kind == "par" { "PAR".into() } else { entry.kind.replace('_', " ") };
    if entry.corrects.is_some() {
        return (Rich::new().bold("correction"), Some(Mark::Correction));
    }
    if entry.happened_ms.is_some() {
        return (Rich::new().bold("late ").plain(word), Some(Mark::Late));
    }
    if entry.kind == "stop" {
        return (Rich::new().rubric("STOP"), Some(Mark::Stop));
    }
    if entry.wrong {
        return (Rich::new().rubric(word), Some(Mark::Wrong));
    }
    if entry.heard.iter().any(|heard| heard.what == Hearing::Never) {
        return (word.into(), Some(Mark::Silent));
    }
    if entry.heard.iter().any(|heard| matches!(heard.what, Hearing::Wrong(_))) {
        return (word.into(), Some(Mark::Wrong));
    }
    if late_par(entry, input).is_some() {
        return (word.into(), Some(Mark::Departs));
    }
    (word.into(), None)
}

fn late_par(entry: &LogRow, input: &ReportInput) -> Option<i64> {
    input.review.pars.iter().find(|par| par.seq == entry.seq).and_then(|par| par.due_ms)
}

fn who(entry: &LogRow) -> String {
    if entry.to.is_empty() {
        entry.from.clone()
    } else {
        format!("{} → {}", entry.from, entry.to.join(", "))
    }
}

fn said(entry: &LogRow) -> Rich {
    if entry.corrected_by.is_some() {
        Rich::new().struck(&entry.text)
    } else if matches!(entry.kind.as_str(), "order" | "stop" | "exercise") {
        Rich::new().bold(&entry.text)
    } else {
        entry.text.as_str().into()
    }
}

/// What became of the entry.
fn heard(entry: &LogRow, input: &ReportInput, clock: Clock) -> Rich {
    let mut parts: Vec<Rich> = Vec::new();
    if let Some(by) = entry.corrected_by {
        parts.push(Rich::new().bold(format!("corrected by {by}")).to(Lead::Entry(by)));
    }
    if let Some(what) = entry.corrects {
        parts.push(Rich::from(format!("corrects {what}")).to(Lead::Entry(what)));
    }
    if let Some(happened) = entry.happened_ms {
        parts.push(Rich::new().bold(format!("happened {}", when(entry.at_ms, happened, clock))));
    }
    if let Some(of) = entry.of {
        parts.push(format!("of {of}").into());
    }
    if entry.wrong {
        parts.push(Rich::new().rubric("not as ordered"));
    }
    if let Some(due) = late_par(entry, input) {
        parts.push(Rich::new().rubric(format!("due {}", clock.hm(due))));
    }
    let seconds: Vec<String> = entry
        .heard
        .iter()
        .filter_map(|heard| match heard.what {
            Hearing::After(s) => Some(format!("{s:.1}")),
            _ => None,
        })
        .collect();
    if !seconds.is_empty() {
        parts.push(format!("{} s", seconds.join(", ")).into());
    }
    for heard in &entry.heard {
        match heard.what {
            Hearing::After(_) => {}
            Hearing::Wrong(seq) => {
                parts.push(Rich::new().rubric(format!("wrong, {seq}")).to(Lead::Entry(seq)));
            }
            Hearing::Never => parts.push(Rich::new().rubric(format!("not by {}", heard.role))),
        }
    }
    let mut out = Rich::new();
    for (i, part) in parts.into_iter().enumerate() {
        if i > 0 {
            out = out.plain("; ");
        }
        out = out.then(part);
    }
    out
}

/// A time beside the time it was written at; the day too, when it is another one.
fn when(written: i64, happened: i64, clock: Clock) -> String {
    if clock.same_day(written, happened) {
        clock.hms(happened)
    } else {
        format!("{} {}", clock.short_date(happened), clock.hms(happened))
    }
}

/// An order and what it got stand together, without rules between.
fn join_loops(rows: &mut [Row], log: &[LogRow]) {
    for (i, pair) in log.windows(2).enumerate() {
        let [a, b] = pair else { continue };
        rows[i].joined = b.of.is_some() && (b.of == Some(a.seq) || b.of == a.of);
    }
}
