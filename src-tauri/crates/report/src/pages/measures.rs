//! Section 6: measures, each with what it was taken from, and findings, each with its entries.

use crate::input::{Finding, MeasureRow, MeasureTable, ReportInput};
use crate::kit::table::{Column, left};
use crate::kit::{Book, MEASURE, Rich, Row, Table};
use crate::words;
use drawing::Mark;
use drawing::size;

/// Entries named beside a finding; a finding on more of them says how many.
pub const MOST_ENTRIES: usize = 24;

/// Sets the section.
pub fn set(book: &mut Book, input: &ReportInput) {
    book.open("Measures and findings");
    book.head("6", "Measures and findings", "each measure from the entries of the attached record");
    let numbered = super::picture::draw(input, 38.0).numbered;
    super::charts::set(book, input, &numbered);
    findings(book, &input.review.findings);
    book.y += 5.0;
    tables(book, &input.review.measures);
}

/// Every measure with its formula, as it was worked out from the entries.
fn tables(book: &mut Book, measures: &[MeasureTable]) {
    if measures.is_empty() {
        return;
    }
    book.need(40.0);
    book.bookmark(2, "Every measure, with its formula");
    book.plain_head("", "Every measure, with its formula", "as on the screen and by `ledgebook review`");
    let columns = [left("what", 66.0), left("came out", 76.0), left("entries", 32.0)];
    for table in measures {
        let how = Rich::from(table.how.as_str());
        let lines = how.wrap(MEASURE, size::S).len() as f64;
        book.need(5.2 + lines * 3.6 + 16.0);
        book.sub_head(&table.head, "");
        let at = (book.left(), book.y);
        book.y = book.page().paragraph(at, &how, MEASURE, size::S) + 1.0;
        if table.rows.is_empty() {
            book.nothing("The record says nothing of it.");
            continue;
        }
        let rows = table.rows.iter().map(measure_row).collect();
        Table { columns: columns.to_vec(), rows, ..Table::default() }.set(book);
        book.y += 4.0;
    }
}

fn measure_row(row: &MeasureRow) -> Row {
    let entries = words::entries_leading(&row.entries, MOST_ENTRIES);
    Row::new(vec![row.words.as_str().into(), row.value.as_str().into(), entries])
}

fn findings(book: &mut Book, findings: &[Finding]) {
    if findings.is_empty() {
        book.need(14.0);
        book.sub_head("Findings", "");
        book.nothing("Nothing departed from the guidelines.");
        return;
    }
    let mut sorted: Vec<&Finding> = findings.iter().collect();
    sorted.sort_by_key(|finding| !finding.departs);
    let people = sorted.iter().any(|finding| !finding.people.is_empty());
    let rows = sorted.iter().enumerate().map(|(i, finding)| row(i + 1, finding, people)).collect();
    let head = [left("", 8.0), left("finding", 90.0), left("entries, how sure", 40.0), left("people", 36.0)];
    let plain = [left("", 8.0), left("finding", 116.0), left("entries, how sure", 50.0)];
    let head: &[Column] = if people { &head } else { &plain };
    let note = "each rests on the entries named; none can be deleted";
    Table { whole: true, ..Table::titled("Findings", note, head, rows) }.set(book);
}

/// The words of a finding: what, then what it rests on.
pub fn words(finding: &Finding) -> Rich {
    let bold = Rich::new().bold(words::capital(&finding.words));
    match finding.detail.chars().next() {
        None => bold,
        Some(c) if c.is_alphanumeric() || "“(→".contains(c) => bold.plain(": ").plain(&finding.detail),
        Some(_) => bold.plain(&finding.detail),
    }
}

/// The words of a finding with who found it and the rule it is held against.
fn whole(finding: &Finding) -> Rich {
    let mut text = words(finding);
    if let Some(by) = &finding.by {
        text = text.bold(" Opinion").plain(format!(" of {by}."));
    }
    if finding.set_aside {
        text = text.bold(" Set aside.");
    }
    let source = if finding.source.is_empty() { String::new() } else { format!(" ({})", finding.source) };
    if finding.rule.is_empty() { text } else { text.plain(format!(" · {}{source}", finding.rule)) }
}

/// The mark of a finding.
pub fn mark(finding: &Finding) -> Mark {
    if finding.departs { Mark::Departs } else { Mark::Good }
}

fn row(number: usize, finding: &Finding, people: bool) -> Row {
    let entries = words::entries_leading(&finding.entries, MOST_ENTRIES);
    let entries = if entries.is_empty() { "–".into() } else { entries };
    let rests = if finding.sure.is_empty() { entries } else { entries.plain(format!("; {}", finding.sure)) };
    let mut cells: Vec<Rich> = vec![number.to_string().into(), whole(finding), rests];
    if people {
        cells.push(if finding.people.is_empty() { "–".into() } else { finding.people.as_str().into() });
    }
    Row::new(cells).marked(1, mark(finding))
}
