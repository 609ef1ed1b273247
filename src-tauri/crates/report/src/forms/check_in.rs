//! ICS 211, Incident Check-In List: on the turned sheet, its eighteen columns with their heads upright.

use super::frame::{self, Kind, moment};
use crate::input::{Person, ReportInput};
use crate::kit::{Book, Page, Rich};
use crate::words::Clock;
use drawing::list::{Anchor, Face, Ink, Item};
use drawing::{Run, Stroke, metrics, pen, size};

/// Which form.
pub const KIND: Kind = Kind {
    number: "ICS 211",
    title: "Incident Check-In List",
    prepared: "17. Prepared by",
    by: "scribe",
    turned: true,
};

/// Columns with their widths, mm; together the measure.
const COLUMNS: [(&str, f64); 18] = [
    ("State", 8.0),
    ("Agency", 28.0),
    ("Category", 7.0),
    ("Kind", 7.0),
    ("Type", 7.0),
    ("Resource Name or Identifier", 32.0),
    ("ST or TF", 7.0),
    ("6. Order Request #", 8.0),
    ("7. Date/Time Check-In", 17.0),
    ("8. Leader’s Name", 12.0),
    ("9. Total Number of Personnel", 8.0),
    ("10. Incident Contact Information", 10.0),
    ("11. Home Unit or Agency", 22.0),
    ("12. Departure Point, Date and Time", 11.0),
    ("13. Method of Travel", 8.0),
    ("14. Incident Assignment", 26.0),
    ("15. Other Qualifications", 26.0),
    ("16. Data Provided to Resources Unit", 8.0),
];
/// Height of the heads, mm.
const HEAD: f64 = 27.0;
/// Air right of a column and under a row, mm.
const AIR: f64 = 1.2;
/// Where the list may be checked in; the record says none of them.
const PLACES: [&str; 5] = ["Base", "Staging Area", "ICP", "Helibase", "Other"];

/// Fills it.
pub fn set(input: &ReportInput) -> Book {
    let clock = Clock::new(input.operation.offset_min);
    let mut book = frame::book(&KIND, input);
    places(&mut book, input);
    list(&mut book, input, clock);
    let head = [
        ("1. Incident Name", 0.55, input.operation.name.clone()),
        ("2. Incident Number", 0.2, String::new()),
        ("4. Start Date/Time", 0.25, moment(clock, input.operation.opened_ms)),
    ];
    frame::finish(&mut book, &KIND, input, &head);
    book
}

/// Block 3, with the place of the operation under "Other".
fn places(book: &mut Book, input: &ReportInput) {
    let (x, y, width) = (book.left(), book.y, book.measure());
    let page = book.page();
    let mut at = x + page.regular(x, y, "3. Check-In Location (complete all that apply):", size::XS) + 5.0;
    for place in PLACES {
        let stroke = Stroke::solid(Ink::Ink, pen::FINE);
        page.rect(at, y - 2.4, 2.6, 2.6, None, Some(stroke));
        at += 3.8;
        at += page.regular(at, y, place, size::S) + 6.0;
    }
    let place =
        crate::kit::rich::cut(&input.operation.place, (x + width - at).max(0.0), size::S, Face::Regular);
    page.regular(at - 4.0, y, &place, size::S);
    book.y += 3.4;
    let at = (x, book.y + 2.8);
    let words = "5. List single resource personnel (overhead) by agency and name, OR list resources by the following format:";
    book.page().regular(at.0, at.1, words, size::XS);
    book.y += 4.4;
}

fn list(book: &mut Book, input: &ReportInput, clock: Clock) {
    heads(book);
    if input.people.is_empty() {
        let at = (book.left(), book.y + 5.0);
        book.page().regular(at.0, at.1, "Nobody was checked in.", size::S);
        book.y += 8.0;
    }
    for person in &input.people {
        let cells: Vec<Vec<Vec<Run>>> = cells(person, clock)
            .iter()
            .zip(COLUMNS)
            .map(|(text, (_, width))| Rich::from(text.as_str()).wrap(width - AIR, size::S))
            .collect();
        let lines = cells.iter().map(Vec::len).max().unwrap_or(1).max(1);
        let mut done = 0;
        // Names without end go on on the next page.
        while done < lines {
            let fits = ((book.room() - AIR) / 3.6).floor().max(0.0) as usize;
            let left = lines - done;
            if fits < left.min(8) && book.room() < book.full() - HEAD - 1.0 {
                book.same_section();
                heads(book);
                continue;
            }
            let take = left.min(fits.max(1));
            row(book, &cells, (done, take));
            done += take;
        }
    }
}

fn heads(book: &mut Book) {
    let (x, y, width) = (book.left(), book.y, book.measure());
    let page = book.page();
    page.rule(x, y, width, pen::MED);
    let lead = size::leading(size::XS);
    let mut at = x;
    for (title, wide) in COLUMNS {
        let lines = Rich::from(title).wrap(HEAD - 2.0, size::XS);
        for (i, line) in lines.iter().enumerate() {
            let text: String = line.iter().map(|run| run.text.as_str()).collect();
            upright(
                page,
                (at + metrics::baseline(size::XS, lead) + lead * i as f64, y + HEAD - 1.0),
                text.trim_end(),
            );
        }
        at += wide;
    }
    page.rule(x, y + HEAD, width, pen::FINE);
    book.y += HEAD;
}

/// Text that runs up from a point.
fn upright(page: &mut Page, (x, y): (f64, f64), text: &str) {
    page.list.items.push(Item::Text {
        x,
        y,
        size: size::XS,
        face: Face::Regular,
        anchor: Anchor::Start,
        ink: Ink::Ink,
        text: text.to_string(),
        turn: -90.0,
    });
}

/// What the record says of a person, by column; a person is a resource of one.
fn cells(person: &Person, clock: Clock) -> [String; 18] {
    let agency = person.agency.clone().unwrap_or_default();
    let mut out: [String; 18] = Default::default();
    out[1].clone_from(&agency);
    out[5].clone_from(&person.name);
    out[8] = person.in_ms.map_or(String::new(), |ms| format!("{} {}", clock.short_date(ms), clock.hm(ms)));
    out[10] = "1".into();
    out[12] = agency;
    out[15] = person.roles.join(", ");
    out[16] = person.qualifications.join(", ");
    out
}

fn row(book: &mut Book, cells: &[Vec<Vec<Run>>], (start, take): (usize, usize)) {
    let (x, y, width) = (book.left(), book.y, book.measure());
    let page = book.page();
    let mut at = x;
    for (lines, (_, wide)) in cells.iter().zip(COLUMNS) {
        let part: Vec<Vec<Run>> = lines.iter().skip(start).take(take).cloned().collect();
        page.lines((at, y + AIR / 2.0), &part, size::S);
        at += wide;
    }
    book.y += take as f64 * 3.6 + AIR;
    let y = book.y;
    book.page().rule(x, y, width, pen::HAIR);
}
