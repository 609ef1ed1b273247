//! Measures, each with what it was taken from, and findings, each with its entries.

use crate::input::{Finding, MeasureRow, MeasureTable, ReportInput};
use crate::kit::table::{Column, left};
use crate::kit::{Book, MEASURE, Rich, Row, Table};
use crate::words;
use drawing::Mark;
use drawing::size;
use std::collections::BTreeMap;

/// Entries named beside a finding; a finding on more of them says how many.
pub const MOST_ENTRIES: usize = 24;

/// Characters of a finding that are bold, where it goes on with a list.
const ALL_BOLD: usize = 96;
/// A rule with its source that is longer than this is written out with its first finding only.
const RULE_AGAIN: usize = 60;

/// Sets the section.
pub fn set(book: &mut Book, input: &ReportInput) {
    book.open("Measures and findings");
    book.head("Measures and findings", "each measure from the entries of the attached record");
    let numbered = super::picture::draw(input, 38.0).numbered;
    super::charts::set(book, input, &numbered);
    findings(book, input);
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
    let (told, silent): (Vec<&MeasureTable>, Vec<&MeasureTable>) =
        measures.iter().partition(|table| !table.rows.is_empty());
    for table in told {
        let how = Rich::from(table.how.as_str());
        let lines = how.wrap(MEASURE, size::S).len() as f64;
        let rows: Vec<Row> = table.rows.iter().map(measure_row).collect();
        let below = Table { columns: columns.to_vec(), rows, ..Table::default() };
        book.need(5.2 + lines * 3.6 + 1.0 + below.least());
        book.sub_head(&table.head, "");
        let at = (book.left(), book.y);
        book.y = book.page().paragraph(at, &how, MEASURE, size::S) + 1.0;
        below.set(book);
        book.y += 4.0;
    }
    nothing_of(book, &silent);
}

/// What the record says nothing of, in one sentence: heads and formulas with nothing under them would fill pages.
fn nothing_of(book: &mut Book, silent: &[&MeasureTable]) {
    if silent.is_empty() {
        return;
    }
    let heads: Vec<String> = silent.iter().map(|table| format!("“{}”", table.head)).collect();
    let words = Rich::from(format!("The record says nothing of {}.", words::list(&heads)));
    book.need(words.wrap(MEASURE, size::S).len() as f64 * 3.6);
    let at = (book.left(), book.y);
    book.y = book.page().paragraph(at, &words, MEASURE, size::S) + 4.0;
}

fn measure_row(row: &MeasureRow) -> Row {
    let entries = words::entries_leading(&row.entries, MOST_ENTRIES);
    Row::new(vec![row.words.as_str().into(), row.value.as_str().into(), entries])
}

fn findings(book: &mut Book, input: &ReportInput) {
    let findings = &input.review.findings;
    if findings.is_empty() {
        book.need(14.0);
        book.sub_head("Findings", "");
        book.nothing(super::said::nothing_found(input));
        return;
    }
    let mut sorted: Vec<&Finding> = findings.iter().collect();
    sorted.sort_by_key(|finding| !finding.departs);
    let people = sorted.iter().any(|finding| !finding.people.is_empty());
    let mut first = BTreeMap::<(&str, &str), usize>::new();
    let rows = sorted
        .iter()
        .enumerate()
        .map(|(i, finding)| {
            let named = *first.entry((&finding.rule, &finding.source)).or_insert(i + 1);
            row((i + 1, named), finding, people)
        })
        .collect();
    let head = [left("", 8.0), left("finding", 90.0), left("entries, how sure", 40.0), left("people", 36.0)];
    let plain = [left("", 8.0), left("finding", 116.0), left("entries, how sure", 50.0)];
    let head: &[Column] = if people { &head } else { &plain };
    let note = "each rests on the entries named; none can be deleted";
    Table { whole: true, ..Table::titled("Findings", note, head, rows) }.set(book);
}

/// What a finding says, and the list that it gives after it, where both together are long.
fn head_and_list(said: &str) -> (&str, &str) {
    let within = said.char_indices().nth(ALL_BOLD).map(|(at, _)| &said[..at]);
    // The last colon that comes in time: what stands before it is said of all that follows.
    match within.and_then(|within| within.rfind(": ")) {
        Some(at) => said.split_at(at),
        None => (said, ""),
    }
}

/// The words of a finding: what, then what it rests on.
pub fn words(finding: &Finding) -> Rich {
    let said = words::capital(&finding.words);
    let (head, list) = head_and_list(&said);
    let bold = Rich::new().bold(head).plain(list);
    match finding.detail.chars().next() {
        None => bold,
        Some(c) if c.is_alphanumeric() || "“(→".contains(c) => bold.plain(": ").plain(&finding.detail),
        Some(_) => bold.plain(&finding.detail),
    }
}

/// The words of a finding with who found it and the rule it is held against: a long rule stands with its first finding, whose
/// number the others name.
fn whole(finding: &Finding, (number, named): (usize, usize)) -> Rich {
    let mut text = match &finding.by {
        // Who found it is said once, as whose opinion it is.
        Some(by) => {
            let said = words::capital(&finding.words);
            let stop = if said.ends_with(['.', '!', '?', '…']) { " " } else { ". " };
            Rich::new().bold(said).bold(format!("{stop}Opinion")).plain(format!(" of {by}."))
        }
        None => words(finding),
    };
    if finding.set_aside {
        text = text.bold(" Set aside.");
    }
    let source = if finding.source.is_empty() { String::new() } else { format!(" ({})", finding.source) };
    let rule = format!("{}{source}", finding.rule);
    if finding.rule.is_empty() || finding.by.is_some() {
        text
    } else if number != named && rule.chars().count() > RULE_AGAIN {
        text.plain(format!(" · rule: see {named}"))
    } else {
        text.plain(format!(" · {rule}"))
    }
}

/// The mark of a finding.
pub fn mark(finding: &Finding) -> Mark {
    if finding.departs { Mark::Departs } else { Mark::Good }
}

fn row((number, named): (usize, usize), finding: &Finding, people: bool) -> Row {
    let entries = words::entries_leading(&finding.entries, MOST_ENTRIES);
    let entries = if entries.is_empty() { "–".into() } else { entries };
    let rests = if finding.sure.is_empty() { entries } else { entries.plain(format!("; {}", finding.sure)) };
    let mut cells: Vec<Rich> = vec![number.to_string().into(), whole(finding, (number, named)), rests];
    if people {
        cells.push(if finding.people.is_empty() { "–".into() } else { finding.people.as_str().into() });
    }
    Row::new(cells).marked(1, mark(finding))
}

#[cfg(test)]
mod tests {
    use super::head_and_list;

    #[test]
    fn of_a_long_finding_what_is_said_of_the_list_is_its_head() {
        let list =
            ": one, two, three, four, five, six, seven, eight, nine, ten, eleven, twelve, thirteen, fourteen";
        for (head, list) in [
            ("Control leads 14", list),
            (
                "A load test was ordered on check 82: in state “load test”, as ordered: 12 parts fall short",
                list,
            ),
            (
                "A finding of one sentence that goes on and on and that has no colon where it could be divided, at all",
                "",
            ),
            ("Short: and whole", ""),
            ("Ünïcödé ēvērȳwhērē", list),
        ] {
            assert_eq!(head_and_list(&format!("{head}{list}")), (head, list));
        }
    }
}
