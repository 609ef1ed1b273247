//! The brief as it was read out: what had been agreed, what had not, who held which role, and what became of it since.

use crate::input::{Brief, BriefLine, BriefRead, ReportInput};
use crate::kit::table::left;
use crate::kit::{Book, MEASURE, Rich, Row, Table};
use crate::words::{self, Clock};
use drawing::metrics::Lead;
use drawing::{Mark, size};

/// Sets the section.
pub fn set(book: &mut Book, input: &ReportInput) {
    book.below_or_open("Brief", |book| whole(book, input));
}

fn whole(book: &mut Book, input: &ReportInput) {
    let brief = &input.brief;
    let clock = Clock::new(input.operation.offset_min);
    book.head("Brief", "what had been agreed when it was read out");
    let (x, y) = (book.left(), book.y);
    book.y = book.page().paragraph((x, y), &when(brief, clock), MEASURE, size::S) + 2.5;
    let head = [left("what", 36.0), left("as read out", 92.0), left("changed since", 46.0)];
    let rows = brief.lines.iter().map(line).collect();
    Table { columns: head.to_vec(), rows, ..Table::default() }.set(book);
    book.y += 5.0;
    roles(book, brief);
}

/// When and by whom it was read out, or that nobody wrote that down.
fn when(brief: &Brief, clock: Clock) -> Rich {
    let Some((first, again)) = brief.read.split_first() else {
        return Rich::new()
            .rubric("That the brief was read out is not in the record. ")
            .plain("What follows is what had been agreed by the end of it.");
    };
    let said = |text: Rich, read: &BriefRead| {
        let there = Rich::new().leading(format!("entry {}", read.seq), Lead::Entry(read.seq));
        text.plain(format!(": “{}”, ", read.words)).then(there).plain(". ")
    };
    let first_words = format!("Read out at {} by {}", clock.hms(first.at_ms), first.by);
    let mut text = said(Rich::new().bold(first_words), first);
    for read in again {
        text = said(text.bold(format!("Again at {} by {}", clock.hms(read.at_ms), read.by)), read);
    }
    text.plain("What follows had been entered by the first time; corrections made later are not counted.")
}

fn line(line: &BriefLine) -> Row {
    let none = line.words.is_empty();
    let said = if none { Rich::new().bold("not agreed") } else { Rich::from(line.words.as_str()) };
    let note = if line.note.is_empty() { Rich::new() } else { Rich::from(format!(" ({})", line.note)) };
    let entry = match line.seq {
        Some(seq) => Rich::from(" · ").leading(format!("entry {seq}"), Lead::Entry(seq)),
        None => Rich::new(),
    };
    let since = match (line.later_seq, line.later.as_str()) {
        (None, _) => Rich::new(),
        (Some(seq), later) => {
            let later = if later.is_empty() { "taken back" } else { later };
            Rich::from(format!("{later} · ")).leading(format!("entry {seq}"), Lead::Entry(seq))
        }
    };
    let row =
        Row::new(vec![Rich::new().bold(words::capital(&line.head)), said.then(note).then(entry), since]);
    let row = Row { widen: true, ..row };
    if none { row.marked(1, Mark::Departs) } else { row }
}

/// Who held which role then.
fn roles(book: &mut Book, brief: &Brief) {
    if brief.roles.is_empty() {
        return;
    }
    let cell = |people: &[String]| {
        if people.is_empty() { Rich::new().bold("vacant") } else { Rich::from(people.join(", ")) }
    };
    let rows = brief
        .roles
        .chunks(2)
        .map(|pair| {
            let mut cells = Vec::new();
            for role in pair {
                cells.push(Rich::from(words::capital(&role.role)));
                cells.push(cell(&role.people));
            }
            cells.resize(4, Rich::new());
            Row::new(cells)
        })
        .collect();
    let head = [left("role", 36.0), left("held by", 51.0), left("role", 36.0), left("held by", 51.0)];
    let note = "as assigned by then; who is needed by the rig and held by nobody is vacant";
    Table::titled("Roles at the brief", note, &head, rows).set(book);
}
