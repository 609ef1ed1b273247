//! What page 1 chooses, what a table keeps together, and where a section begins.

use crate::input::*;
use crate::kit::Book;
use crate::pages;
use crate::tests::{check, invented, words};

/// All words of a page in one line.
fn page(book: &Book, number: usize) -> String {
    words(&book.pages[number]).join(" ")
}

fn finding(kind: &str, turn: u8, words: &str, entry: u64) -> Finding {
    Finding {
        departs: true,
        kind: kind.into(),
        turn,
        words: words.into(),
        entries: vec![entry],
        rule: format!("the rule of {kind}, said at such a length that it is not said with every finding"),
        source: "common practice".into(),
        ..Finding::default()
    }
}

/// In the record's order: two of one kind that wait, then eight of a kind that is read first, then one of a third.
fn many_kinds() -> ReportInput {
    let mut input = invented::operation();
    let mut found = vec![finding("span", 2, "leads eight", 2), finding("span", 2, "leads nine", 3)];
    found.extend((0..8).map(|i| finding("below", 0, &format!("someone below at turn {i}"), 10 + i)));
    found.push(finding("silent", 1, "never read back", 20));
    input.review.findings = found;
    input
}

#[test]
fn page_one_tells_one_finding_of_each_kind_before_a_second_of_any() {
    let book = check("kinds", &many_kinds());
    let first = page(&book, 0);
    let places: Vec<usize> =
        ["Someone below at turn 0", "Never read back", "Leads eight", "Someone below at turn 1"]
            .map(|said| first.find(said).unwrap_or_else(|| panic!("{said} in {first}")))
            .to_vec();
    assert!(places.is_sorted(), "{places:?}");
    assert!(first.contains("6 more of this kind; entry 10"), "{first}");
    assert!(!first.contains("Someone below at turn 2"), "five have room");
}

#[test]
fn a_long_rule_stands_with_its_first_finding_whose_number_the_others_name() {
    let book = check("rules", &many_kinds());
    let all: Vec<String> = (1..book.pages.len()).map(|n| page(&book, n)).collect();
    let all = all.join(" ");
    assert_eq!(all.matches("the rule of below").count(), 1, "{all}");
    // The eight are 3 to 10 in the list.
    assert_eq!(all.matches("rule: see 3").count(), 7);
}

#[test]
fn stops_are_told_where_no_height_was_called_and_where_no_number_has_room() {
    let mut input = invented::operation();
    input.review.heights.clear();
    let first = page(&check("no heights", &input), 0);
    assert!(first.contains("roller shifted, 2 min 30 s"), "{first}");
    // A load that goes up and down every half minute leaves no room beside its curve.
    input.review.heights = (0..200)
        .map(|i| (input.operation.opened_ms + i * 30_000, if i % 2 == 0 { 0.0 } else { 22.0 }))
        .collect();
    input.spans.clear();
    let picture = pages::picture::draw(&input, 21.0);
    assert!(picture.numbered.is_empty(), "the case is the one that is meant");
    let first = page(&check("no room", &input), 0);
    assert!(first.contains("roller shifted, 2 min 30 s"), "{first}");
}

#[test]
fn the_brief_and_a_missing_rig_stand_below_a_short_team_and_on_pages_of_their_own_else() {
    let mut input = invented::operation();
    input.rigs.clear();
    input.people.truncate(2);
    input.duties.truncate(2);
    let at =
        |book: &Book, title: &str| book.bookmarks.iter().find(|b| b.title == title).expect("a section").page;
    let book = check("short", &input);
    assert_eq!([at(&book, "2 Roles and times"), at(&book, "3 Brief"), at(&book, "4 Rigs")], [1, 1, 1]);
    assert_eq!(book.pages[1].section, "Roles and times · Brief · Rigs");
    // The patient's page is given to fewer people than the others.
    let book = check("short, patient", &ReportInput { patient_page: true, ..input.clone() });
    assert_eq!([at(&book, "3 Brief"), at(&book, "4 Patient"), at(&book, "5 Rigs")], [1, 2, 3]);
    let person = input.people[0].clone();
    input.people.extend((0..40).map(|i| Person { name: format!("{} {i}", person.name), ..person.clone() }));
    let line =
        |i: usize| BriefLine { head: format!("point {i}"), words: "agreed".into(), ..BriefLine::default() };
    input.brief.lines = (0..30).map(line).collect();
    let book = check("long", &input);
    let (brief, roles) = (at(&book, "3 Brief"), at(&book, "2 Roles and times"));
    assert!(brief > roles && book.pages[brief].section.starts_with("Brief"), "{brief}");
}

#[test]
fn what_was_agreed_stands_with_the_brief_once_and_what_the_brief_lacks_with_the_site() {
    let mut input = invented::operation();
    let fact = |head: &str| (head.to_string(), format!("the {head} as entered"));
    input.site = vec![fact("Weather"), fact("Plan"), fact("Signals"), fact("Hazards")];
    let line = |head: &str, seq| BriefLine {
        head: head.into(),
        words: format!("the {head} as entered"),
        seq,
        ..BriefLine::default()
    };
    input.brief.lines = vec![line("Plan", Some(3)), line("Hazards", Some(4)), line("Signals", None)];
    let book = check("brief and site", &input);
    let all: Vec<String> = (1..book.pages.len()).map(|n| page(&book, n)).collect();
    let times = |head: &str| all.join(" ").matches(&format!("the {head} as entered")).count();
    assert_eq!(["Weather", "Plan", "Hazards", "Signals"].map(times), [1, 1, 2, 2]);
}

/// However far down the page it begins, a measure's formula stands with the head of its table and a row.
#[test]
fn a_formula_never_stands_alone_at_the_foot_of_a_page() {
    let row = |i: usize| MeasureRow { words: format!("row {i}"), value: "1".into(), entries: vec![] };
    let table = |n: usize, rows: usize| MeasureTable {
        head: format!("Measure {n}"),
        how: format!("formula number {n}"),
        rows: (0..rows).map(row).collect(),
    };
    let mut input = invented::operation();
    for before in 0..40 {
        input.review.measures = vec![table(1, before), table(2, 9), table(3, 0)];
        let book = pages::book(&input);
        let of = |said: &str| (0..book.pages.len()).find(|n| page(&book, *n).contains(said)).expect("a page");
        for n in [1, 2, 3] {
            let all = page(&book, of(&format!("formula number {n}")));
            let after = all.split(&format!("formula number {n}")).nth(1).expect("its page");
            let begun = after.contains("row 0") || after.contains("says nothing of it");
            assert!(begun, "{before} rows before, formula {n}");
        }
    }
}
