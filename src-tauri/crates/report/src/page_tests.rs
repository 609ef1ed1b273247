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
        let silent = (0..book.pages.len()).map(|n| page(&book, n)).collect::<Vec<_>>().join(" ");
        let nothing = if before == 0 { "“Measure 1” and “Measure 3”" } else { "“Measure 3”" };
        assert!(silent.contains(&format!("The record says nothing of {nothing}.")), "{before}");
        for n in [1, 2].into_iter().filter(|n| *n == 2 || before > 0) {
            let all = page(&book, of(&format!("formula number {n}")));
            let after = all.split(&format!("formula number {n}")).nth(1).expect("its page");
            assert!(after.contains("row 0"), "{before} rows before, formula {n}");
        }
    }
}

/// An operation that ended in an accident: the load was tied off where it hung, and what came of it was entered at the review.
fn accident() -> ReportInput {
    let mut input = invented::operation();
    input.rigs.truncate(1);
    let span = |motion: &str, from: i64, to: Option<i64>| MotionSpan {
        motion: motion.into(),
        slow: false,
        from_ms: invented::at(13, from, 0),
        to_ms: to.map(|to| invented::at(13, to, 0)),
    };
    input.spans = vec![span("lowering", 40, Some(42)), span("tied_off", 42, None)];
    input.patient = vec![Benchmark { at_ms: invented::at(13, 50, 0), words: "reached".into(), seq: 60 }];
    input.review.stops = vec![Stop {
        seq: 55,
        at_ms: invented::at(13, 41, 0),
        from: "edge attendant".into(),
        text: "stop, emergency, the litter has dropped".into(),
        emergency: true,
        ..Stop::default()
    }];
    input.operation.closed_ms = Some(invented::at(14, 0, 0));
    input.out_of_use = vec![OutOfUse {
        gear: "rope one".into(),
        reason: "ran through under load".into(),
        person: invented::PEOPLE[0].into(),
        seq: 70,
    }];
    let lesson = |change, text: &str, seq| Learned {
        seq,
        change,
        text: text.into(),
        person: invented::PEOPLE[0].into(),
        who: invented::PEOPLE[1].into(),
        by_when: "before the next call".into(),
    };
    input.lessons =
        vec![lesson(true, "tie off before a glove is changed", 71), lesson(false, "calm voices", 72)];
    input
}

#[test]
fn page_one_of_an_accident_says_so_and_what_is_to_be_changed() {
    let input = accident();
    let first = page(&check("accident", &input), 0).split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "Emergency at 13:41: “stop, emergency, the litter has dropped” (edge attendant). The load was lowered from 13:40 \
         and tied off at 13:42; that it landed is not in the record. The patient was reached at 13:50.",
        "To change, as people said",
        "Out of use: rope one",
        "ran through under load",
        "Tie off before a glove is changed",
        "before the next call)",
    ] {
        assert!(first.contains(said), "{said}\nin {first}");
    }
    assert!(!first.contains("alm voices"), "what is kept changes nothing");
    // However many there are, page 1 stays one page and counts the rest.
    let mut many = input;
    let one = many.lessons[0].clone();
    many.lessons = (0..40).map(|i| Learned { seq: 71 + i, ..one.clone() }).collect();
    let book = check("accident with many lessons", &many);
    assert!(page(&book, 0).contains(" more: "), "{}", page(&book, 0));
    // One that came to the ground needs no more words than the patient's way.
    let landed = page(&check("landed", &invented::operation()), 0);
    assert!(!landed.contains("that it landed") && !landed.contains("To change"), "{landed}");
}

/// Who was on rope at the close was not on rope at the review: paper and measures count to the same moment.
#[test]
fn what_did_not_end_is_counted_to_the_close() {
    let mut input = accident();
    let close = invented::at(14, 0, 0);
    input.record.last_ms = close + 600_000;
    let stay = ZoneStay {
        person: input.people[8].name.clone(),
        zone: "on_rope".into(),
        from_ms: close - 340_000,
        to_ms: None,
    };
    input.zones = vec![stay];
    assert_eq!(pages::counted_to(&input), close);
    let book = check("open stay", &input);
    let all: Vec<String> = (1..book.pages.len()).map(|n| page(&book, n)).collect();
    let all = all.join(" ");
    // 340 s are 5.7 min; with the review they would be 15.7.
    assert!(all.contains("6 min") && !all.contains("16 min"), "{all}");
    input.operation.closed_ms = None;
    assert_eq!(pages::counted_to(&input), close + 600_000);
}

#[test]
fn an_opinion_names_who_holds_it_once_and_asks_for_no_rule() {
    let mut input = invented::operation();
    input.review.findings = vec![Finding {
        departs: true,
        words: "a glove was changed while lowering".into(),
        detail: "found by Hedda Brandsrud".into(),
        rule: "what a person found".into(),
        by: Some("Hedda Brandsrud".into()),
        entries: vec![5],
        ..Finding::default()
    }];
    let book = check("opinion", &input);
    let all: Vec<String> = (1..book.pages.len()).map(|n| page(&book, n)).collect();
    let all = all.join(" ").split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(all.contains("A glove was changed while lowering. Opinion of Hedda Brandsrud."), "{all}");
    assert!(!all.contains("what a person found") && !all.contains("found by"), "{all}");
}

/// Of a record that is not whole nothing is said not to have happened.
#[test]
fn what_is_left_of_a_record_says_what_is_not_in_it_and_no_more() {
    let mut input = invented::operation();
    (input.spans, input.patient, input.review.pars) = (vec![], vec![], vec![]);
    let whole = page(&check("nothing moved", &input), 0);
    assert!(whole.contains("The load was not moved. No roll call was recorded."), "{whole}");
    input.record.missing =
        vec!["the file is damaged (a page is malformed); what follows a gap is not in here".into()];
    let left = page(&check("what is left", &input), 0);
    assert!(
        left.contains("No movement of the load is in what is left. No roll call is in what is left."),
        "{left}"
    );
    assert!(!left.contains("not moved") && !left.contains("roll call was recorded"), "{left}");
}
