//! What stays together, and what stands on each page.

use super::table::{EntryOfRow, left, right};
use super::{Book, Paper, Rich, Row, Table};
use drawing::list::Item;

const HEAD: [super::table::Column; 3] = [right("entry", 20.0), left("words", 120.0), left("heard", 34.0)];

fn row(seq: u64, words: &str) -> Row {
    let entry = Some(EntryOfRow { seq, at: seq as i64 * 1000, hour: 13 });
    Row { entry, widen: true, ..Row::new(vec![seq.to_string().into(), words.into(), Rich::new()]) }
}

/// Sets the rows on a book whose first page leaves `room` mm; returns the texts of each page.
fn set(table: &Table, room: f64) -> Vec<Vec<String>> {
    let mut book = Book::new(Paper::A4, "Test");
    book.y = book.bottom() - room;
    table.set(&mut book);
    book.pages
        .iter()
        .map(|page| {
            let texts = page.list.items.iter().filter_map(|item| match item {
                Item::Text { text, .. } => Some(text.trim_end().to_string()),
                _ => None,
            });
            texts.collect()
        })
        .collect()
}

fn table(rows: Vec<Row>) -> Table {
    Table { columns: HEAD.to_vec(), rows, ..Table::default() }
}

/// Entry numbers on each page.
fn numbers(pages: &[Vec<String>]) -> Vec<Vec<u64>> {
    pages.iter().map(|page| page.iter().filter_map(|t| t.parse().ok()).collect()).collect()
}

#[test]
fn the_head_stands_on_each_page_and_no_row_is_lost() {
    let pages = set(&table((1..=200).map(|n| row(n, "words")).collect()), 100.0);
    assert!(pages.len() > 3);
    assert!(pages.iter().all(|page| page[..3] == ["entry", "words", "heard"]));
    assert_eq!(numbers(&pages).concat(), (1..=200).collect::<Vec<u64>>());
}

#[test]
fn never_fewer_than_three_rows_after_a_break() {
    for count in 5..60 {
        for room in [45.0, 61.0, 77.5, 94.0] {
            let pages = set(&table((1..=count).map(|n| row(n, "words")).collect()), room);
            let last = numbers(&pages).pop().expect("a page");
            assert!(pages.len() == 1 || last.len() >= 3, "{count} rows, {room} mm: {last:?}");
        }
    }
}

#[test]
fn an_order_and_what_it_got_stay_together() {
    let rows: Vec<Row> = (1..=60).map(|n| Row { joined: n % 4 != 0, ..row(n, "words") }).collect();
    for room in [41.0, 47.0, 53.0, 59.0, 65.0] {
        for page in numbers(&set(&table(rows.clone()), room)) {
            assert!(
                page.is_empty() || (page[0] % 4 == 1 && page[page.len() - 1] % 4 == 0),
                "{room}: {page:?}"
            );
        }
    }
    // More than a handful may be cut.
    let rows: Vec<Row> = (1..=60).map(|n| Row { joined: true, ..row(n, "words") }).collect();
    assert_eq!(numbers(&set(&table(rows), 60.0)).len(), 2);
}

#[test]
fn a_tall_row_is_cut_by_lines_with_its_number_again() {
    let words = "one line of words that fills the width of the column, about as wide as this one here is. ";
    let long = words.repeat(120);
    let pages =
        set(&table(vec![row(1, "before"), row(2, &long), row(3, "after"), row(4, "x"), row(5, "y")]), 60.0);
    assert!(pages.len() >= 2);
    assert!(pages[0].iter().any(|t| t == "goes on"));
    assert!(pages[1].iter().any(|t| t == "2"), "the number again: {:?}", &pages[1][..6]);
    let all: String = pages.concat().into_iter().filter(|t| t.len() > 30).collect::<Vec<_>>().join(" ");
    assert_eq!(all.matches("about as wide").count(), 120);
}

#[test]
fn a_table_that_would_spill_a_little_is_set_tighter() {
    // Twelve rows of 4.8 and a head of 4.8 want 62.4 mm; tight rows want 54.
    let rows: Vec<Row> = (1..=12).map(|n| row(n, "words")).collect();
    assert_eq!(set(&table(rows.clone()), 58.0).len(), 1);
    assert_eq!(set(&table(rows), 50.0).len(), 2);
}

#[test]
fn twelve_findings_or_fewer_are_not_cut() {
    let rows: Vec<Row> = (1..=12).map(|n| row(n, "words")).collect();
    let whole = Table { whole: true, ..table(rows) };
    let pages = numbers(&set(&whole, 50.0));
    assert!(pages[0].is_empty() && pages[1].len() == 12);
}
