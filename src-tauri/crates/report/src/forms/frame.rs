//! What every form has: its title, the blocks that stand on each page, who prepared it, its page numbers.

use crate::input::ReportInput;
use crate::kit::book::{Frame, drill_band};
use crate::kit::page::shortened;
use crate::kit::rich::cut;
use crate::kit::{Book, Page, Rich};
use crate::words::{self, Clock};
use drawing::{Face, metrics, pen, size};

/// Which form.
#[derive(Clone, Copy, Debug)]
pub struct Kind {
    /// "ICS 201".
    pub number: &'static str,
    /// "Incident Briefing".
    pub title: &'static str,
    /// Block of who prepared it.
    pub prepared: &'static str,
    /// Role that prepares it.
    pub by: &'static str,
    /// Set on the sheet turned.
    pub turned: bool,
}

/// Width of a form on the turned sheet: the same on both papers, 12 mm from the edge of the smaller one.
pub const TURNED: f64 = 252.0;

/// A block of the head: its title, its share of the measure, what is filled in.
pub type Block = (&'static str, f64, String);

/// A form under way, with room for head and foot on each of its pages.
pub fn book(kind: &Kind, input: &ReportInput) -> Book {
    let frame = Frame { top: 35.0, foot: 29.0, turned: kind.turned.then_some(TURNED) };
    Book::framed(input.paper, kind.title, frame)
}

/// Head and foot on every page.
pub fn finish(book: &mut Book, kind: &Kind, input: &ReportInput, head: &[Block]) {
    let (x, width, height) = (book.left(), book.measure(), book.sheet().1);
    let count = book.pages.len();
    for (i, page) in book.pages.iter_mut().enumerate() {
        if input.operation.drill {
            drill_band(page, x, width);
        }
        page.bold(x, 18.6, &format!("{} ({})", kind.title, kind.number), size::L);
        blocks(page, (x, 21.0), width, head);
        prepared(page, kind, input, (x, height - 26.0), width);
        foot(page, kind, input, (x, height - 9.6), width, (i, count));
    }
}

fn blocks(page: &mut Page, (x, y): (f64, f64), width: f64, head: &[Block]) {
    page.rule(x, y, width, pen::MED);
    let mut at = x;
    for (title, share, filled) in head {
        let room = share * width;
        page.regular(at, y + 3.2, title, size::XS);
        let whole = Rich::from(filled.as_str());
        if whole.wrap(room - 3.0, size::M).len() <= 1 {
            page.lines((at, y + 5.0), &whole.wrap(room - 3.0, size::M), size::M);
        } else {
            page.lines((at, y + 3.6), &shortened(&whole, room - 3.0, size::S, 2), size::S);
        }
        at += room;
    }
    page.rule(x, y + 10.4, width, pen::FINE);
}

/// Who prepared it: the one the record names in that role; the signature is the pen's.
fn prepared(page: &mut Page, kind: &Kind, input: &ReportInput, (x, y): (f64, f64), width: f64) {
    let clock = Clock::new(input.operation.offset_min);
    let name = holder(input, kind.by).unwrap_or_default();
    let position = if name.is_empty() { String::new() } else { words::capital(kind.by) };
    let made = format!("{} {}", clock.short_date(input.record.last_ms), clock.hm(input.record.last_ms));
    page.rule(x, y, width, pen::FINE);
    page.regular(x, y + 3.6, kind.prepared, size::XS);
    let fields = [
        ("Name:", 0.27, name),
        ("Position/Title:", 0.28, position.as_str()),
        ("Signature:", 0.18, ""),
        ("Date/Time:", 0.27, &made),
    ];
    let mut at = x;
    for (title, share, filled) in fields {
        let room = share * width;
        let used = page.regular(at, y + 9.4, title, size::XS) + 1.2;
        let text = cut(filled, room - used - 3.0, size::S, Face::Regular);
        page.regular(at + used, y + 9.4, &text, size::S);
        page.rule(at + used, y + 10.4, room - used - 3.0, pen::HAIR);
        at += room;
    }
}

fn foot(
    page: &mut Page,
    kind: &Kind,
    input: &ReportInput,
    (x, y): (f64, f64),
    width: f64,
    (i, count): (usize, usize),
) {
    let numbered = format!("{}, page {} of {count}", kind.number, i + 1);
    let used = page.bold(x, y, &numbered, size::XS);
    let kind = if input.operation.drill { "DRILL, not a rescue · " } else { "" };
    let whole = if input.record.missing.is_empty() { "" } else { " · not whole" };
    let from = format!(
        "{kind}filled by Ledgebook {} from {}, head {}{whole} · blocks: FEMA 502-2, 2010-09",
        input.program,
        words::several(input.record.count, "entry", "entries"),
        words::first_digits(&input.record.head, 2),
    );
    page.right(x + width, y, &cut(&from, width - used - 6.0, size::XS, Face::Regular), size::XS);
}

/// The last person who held a role.
pub fn holder<'a>(input: &'a ReportInput, role: &str) -> Option<&'a str> {
    let held = input.duties.iter().filter(|d| d.role == role && d.person.is_some());
    held.max_by_key(|d| d.from_ms).and_then(|d| d.person.as_deref())
}

/// "Sat 19 Sep 2026, 14:30".
pub fn moment(clock: Clock, ms: i64) -> String {
    format!("{}, {}", clock.short_date(ms), clock.hm(ms))
}

/// Blocks 1 and 2 of the forms that are kept for a period.
pub fn name_and_period(input: &ReportInput) -> [Block; 3] {
    let (from, to) = period(input);
    [
        ("1. Incident Name", 0.48, input.operation.name.clone()),
        ("2. Operational Period: Date and Time From", 0.28, from),
        ("Date and Time To", 0.24, to),
    ]
}

/// The operational period: from opening to closing, or left open.
fn period(input: &ReportInput) -> (String, String) {
    let clock = Clock::new(input.operation.offset_min);
    let end = input.operation.closed_ms.map_or(String::new(), |ms| moment(clock, ms));
    (moment(clock, input.operation.opened_ms), end)
}

/// The title of a block, over its content.
pub fn title(book: &mut Book, words: &str, note: &str) {
    book.need(16.0);
    let (x, y, width) = (book.left(), book.y, book.measure());
    book.page().rule(x, y, width, pen::FINE);
    book.y += 1.2;
    book.sub_head(words, note);
}

/// Paragraphs of a block, each beginning with a bold head, over as many pages as it takes.
pub fn paragraphs(book: &mut Book, texts: &[Rich]) {
    let lead = size::leading(size::S);
    for text in texts {
        for line in text.wrap(book.measure(), size::S) {
            book.need(lead);
            let at = (book.left(), book.y);
            book.y = book.page().lines(at, &[line], size::S);
        }
        book.y += 0.8;
    }
    book.y += 2.0;
}

/// Empty room for the pen, `least` mm at least, with a line in small type.
pub fn for_the_pen(book: &mut Book, least: f64, why: &str) {
    book.need(least);
    let at = (book.left(), book.y + metrics::baseline(size::XS, 3.2));
    book.page().regular(at.0, at.1, why, size::XS);
    book.y += least;
}
