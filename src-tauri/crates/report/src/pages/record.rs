//! One sheet: lessons for the pen, signatures, the record and how to verify it.

use crate::RECORD_NAME;
use crate::input::ReportInput;
use crate::kit::rich::cut;
use crate::kit::{Book, MEASURE, Rich, column, columns};
use crate::words::{self, Clock};
use drawing::{Face, metrics, pen, size};
use rig::units::Units;
use std::collections::BTreeMap;

/// Height of the signatures.
const SIGNATURES: f64 = 52.0;
/// Roles that sign, in the order of their places.
const SIGNING: [&str; 4] = ["incident commander", "safety officer", "rigging lead", "scribe"];

/// Sets the section.
pub fn set(book: &mut Book, input: &ReportInput) {
    book.open("Lessons, signatures, record");
    let note = if input.lessons.is_empty() {
        "none was entered; lines are left for the pen"
    } else {
        "as entered at the review; lines are left for the pen"
    };
    book.head("Lessons", note);
    let record = Record::new(input);
    super::lessons::set(book, input, SIGNATURES + record.height());
    book.need(SIGNATURES);
    signatures(book, input);
    book.need(record.height());
    record.set(book);
}

/// The last person who held a role.
fn holder<'a>(input: &'a ReportInput, role: &str) -> Option<&'a str> {
    let held = input.duties.iter().filter(|d| d.role == role && d.person.is_some());
    held.max_by_key(|d| d.from_ms).and_then(|d| d.person.as_deref())
}

fn signatures(book: &mut Book, input: &ReportInput) {
    book.plain_head(
        "",
        "Signatures",
        "a signature says: this is what I saw and did; it does not change the record",
    );
    let (x, y) = (book.left(), book.y);
    let page = book.page();
    for (i, role) in SIGNING.iter().enumerate() {
        let left = x + column(6) * (i % 2) as f64;
        let line = y + 9.0 + 19.0 * (i / 2) as f64;
        page.rule(left, line, columns(4), pen::FINE);
        page.rule(left + column(4), line, column(6) - 3.6 - column(4), pen::FINE);
        page.regular(left, line + 3.4, &words::capital(role), size::XS);
        page.regular(left + column(4), line + 3.4, "date, time", size::XS);
        if let Some(person) = holder(input, role) {
            let person = cut(person, columns(6), size::S, Face::Bold);
            page.bold(left, line + 6.8, &person, size::S);
        } else {
            page.regular(left, line + 6.8, "nobody was assigned", size::S);
        }
    }
    book.y = y + SIGNATURES - 11.0;
}

/// What stands under "The record".
struct Record {
    facts: Vec<(&'static str, Vec<Rich>)>,
    steps: Vec<Rich>,
    /// The command with the whole head on one line, to copy.
    typed: String,
    missing: Rich,
}

const LABELS: f64 = 20.0;
const RIGHT: f64 = 89.4;

impl Record {
    fn new(input: &ReportInput) -> Self {
        let record = &input.record;
        let erased =
            if record.erased == 0 { "none erased".into() } else { format!("{} erased", record.erased) };
        let stations: Vec<String> = record.stations.iter().map(station_words).collect();
        let (bytes, digest) = record.of_attached();
        let size = words::several(bytes as u64, "byte", "bytes");
        let guidelines = &input.operation;
        let clock = Clock::new(input.operation.offset_min);
        let mut made = format!("from the record as of {}", clock.hms(record.last_ms));
        if input.operation.closed_ms.is_none() && record.missing.is_empty() {
            made.push_str("; not closed yet");
        }
        let head = words::grouped(&record.head, 8);
        let mut facts = vec![
            ("Entries", vec![format!("{}, {erased}", words::count(record.count)).into()]),
            ("Station", stations.into_iter().map(Rich::from).collect()),
            ("Made", vec![made.into()]),
            ("Program", vec![format!("Ledgebook {}", input.program).into()]),
            (
                "Guidelines",
                vec![
                    format!(
                        "{} · {}",
                        guidelines.guidelines,
                        words::first_digits(&guidelines.guidelines_digest, 2)
                    )
                    .into(),
                ],
            ),
            ("Head", hash_lines(&head)),
        ];
        if input.units == Units::Us {
            let words = "ft, lbf, lb: 1 ft = 0.3048 m, 1 lbf = 4.4482216152605 N, 1 lb = 0.45359237 kg, exact \
                         (NIST SP 811); as many digits as the SI figure warrants";
            facts.push(("Units", vec![words.into()]));
        }
        if input.names_removed {
            facts.push(("Attached", vec!["nothing: names were removed from this copy".into()]));
        } else {
            facts.push(("Attached", vec![format!("{RECORD_NAME}, {size}").into()]));
            facts.push(("Digest of attached", hash_lines(&words::grouped(&digest, 8))));
        }
        if !record.missing.is_empty() {
            let missing = record.missing.iter().map(|words| Rich::new().rubric(words.as_str()));
            facts.push(("Missing", missing.collect()));
        }
        let steps = steps(input.names_removed);
        let typed = format!("ledgebook log verify FILE.ledge --against {}:{}", record.head, record.count);
        Record { facts, steps, typed, missing: missing_words(input) }
    }

    fn left_height(&self) -> f64 {
        let lines = |text: &Rich| text.wrap(columns(6) - LABELS, size::S).len();
        let rows = self.facts.iter().map(|(label, texts)| {
            let label = Rich::new().bold(*label).wrap(LABELS - 1.0, size::S).len();
            texts.iter().map(lines).sum::<usize>().max(label) as f64 * 3.6 + 0.8
        });
        rows.sum()
    }

    fn right_height(&self) -> f64 {
        let steps: f64 =
            self.steps.iter().map(|step| step.wrap(RIGHT, size::S).len() as f64 * 3.6 + 0.9).sum();
        steps + 0.6 + self.missing.wrap(RIGHT, size::XS).len() as f64 * 3.2
    }

    fn height(&self) -> f64 {
        11.0 + self.left_height().max(self.right_height()) + 5.0
    }

    fn set(&self, book: &mut Book) {
        book.bookmark(2, "The record");
        book.plain_head("", "The record, and how to verify it", "");
        let (x, top) = (book.left(), book.y);
        let page = book.page();
        let mut y = top;
        for (label, texts) in &self.facts {
            let label = Rich::new().bold(*label).wrap(LABELS - 1.0, size::S);
            let below_label = page.lines((x, y), &label, size::S);
            let mut below = y;
            for text in texts {
                below = page.paragraph((x + LABELS, below), text, columns(6) - LABELS, size::S);
            }
            y = below.max(below_label) + 0.8;
        }
        let right = x + MEASURE - RIGHT;
        let mut at = top;
        for step in &self.steps {
            at = page.paragraph((right, at), step, RIGHT, size::S) + 0.9;
        }
        at = page.paragraph((right, at + 0.6), &self.missing, RIGHT, size::XS);
        let y = y.max(at) + 1.4;
        let typed = Rich::new().mono(&self.typed);
        book.y = page.paragraph((x, y), &typed, MEASURE, size::XS);
    }
}

/// How the record behind this paper is gone through.
fn steps(names_removed: bool) -> Vec<Rich> {
    let trust = "This paper proves the record only as far as this paper is trusted: sign it, and keep it apart from \
                 the file.";
    if names_removed {
        return vec![
            crate::NAMES_REMOVED.into(),
            "Whoever keeps the file checks with the line below, with no network, whether it is the record that this \
             copy was made from."
                .into(),
            trust.into(),
        ];
    }
    vec![
        "On any laptop with the program, no network needed:".into(),
        Rich::new().mono("ledgebook log verify REPORT.pdf"),
        "makes every page again from the attached record and compares; and".into(),
        Rich::new().mono("ledgebook log verify FILE.ledge --against REPORT.pdf"),
        "checks the file that was kept against the head and count printed here and against the attached \
         record. A tail that was cut, or a record written anew, shows. From this paper alone, type the line \
         below."
            .into(),
        trust.into(),
    ]
}

fn station_words(station: &crate::input::StationFacts) -> String {
    let entries = words::several(station.count, "entry", "entries");
    let sessions = words::several(station.sessions, "session", "sessions");
    format!("{}, {entries}, {sessions}", station.station)
}

/// A hash in groups of eight, four on a line.
fn hash_lines(groups: &[String]) -> Vec<Rich> {
    groups.chunks(4).map(|four| Rich::new().mono(four.join(" "))).collect()
}

/// The characters that could not be drawn, by code point, and the entries that hold them.
fn missing_words(input: &ReportInput) -> Rich {
    let mut found: BTreeMap<char, Vec<u64>> = BTreeMap::new();
    // Every text the report was given, whatever page it stands on.
    let mut beyond = Beyond::default();
    // Writing to memory does not fail, and what a text holds is always written.
    let _ = serde_json::to_writer(&mut beyond, input);
    for c in metrics::missing(&String::from_utf8_lossy(&beyond.0)) {
        found.entry(c).or_default();
    }
    if found.is_empty() {
        return "Letters that could not be drawn: none.".into();
    }
    let mut holders: Vec<u64> = Vec::new();
    for entry in &input.log {
        let texts = [entry.text.as_str(), entry.from.as_str()];
        let mut texts = texts.into_iter().chain(entry.to.iter().map(String::as_str));
        if texts.any(|text| !text.is_ascii() && !metrics::missing(text).is_empty()) {
            holders.push(entry.seq);
        }
    }
    let most = 24;
    let points: Vec<String> = found.keys().take(most).map(|c| format!("U+{:04X}", u32::from(*c))).collect();
    let more = found.len().saturating_sub(most);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let mut where_ = words::entries(&holders[..holders.len().min(20)]);
    if holders.len() > 20 {
        where_.push_str(" …");
    }
    let where_ = if where_.is_empty() { "in names".to_string() } else { format!("in {where_}") };
    let whole = if input.names_removed { "the record" } else { "the attached record" };
    Rich::from(format!(
        "Letters that could not be drawn, written by rough sound between ‹ › and not as their owner writes them: {}{more}; {where_}, as written in {whole}.",
        points.join(", ")
    ))
}

/// Of all that is written what goes beyond ASCII, every piece whole: a letter and its accent are written together.
#[derive(Default)]
struct Beyond(Vec<u8>);

impl std::io::Write for Beyond {
    fn write(&mut self, piece: &[u8]) -> std::io::Result<usize> {
        if !piece.is_ascii() {
            self.0.extend_from_slice(piece);
            self.0.push(b' ');
        }
        Ok(piece.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}
