//! Every page looked at by sum: nothing outside the measure, no text over text, heads on each page.

#[path = "../tests/invented/mod.rs"]
pub(crate) mod invented;

use crate::input::*;
use crate::kit::{Book, MEASURE, Page};
use crate::pages;
use drawing::list::{Anchor, Item};
use drawing::metrics::{self, Lead, PT};

/// A text on a page with the box it fills.
#[derive(Clone, Debug)]
pub(crate) struct TextBox {
    pub(crate) text: String,
    pub(crate) left: f64,
    pub(crate) right: f64,
    pub(crate) top: f64,
    pub(crate) bottom: f64,
}

fn boxes_of(items: &[Item], out: &mut Vec<TextBox>) {
    for item in items {
        match item {
            Item::Group { items, .. } => boxes_of(items, out),
            Item::Path { .. } => {}
            Item::Text { x, y, size, face, anchor, text, turn, .. } => {
                let text = text.trim_end();
                let width = metrics::width(text, *face, *size);
                let em = size * PT;
                let start = match anchor {
                    Anchor::Start => 0.0,
                    Anchor::Middle => -width / 2.0,
                    Anchor::End => -width,
                };
                let (sin, cos) = turn.to_radians().sin_cos();
                let corners = [
                    (start, -0.73 * em),
                    (start + width, -0.73 * em),
                    (start, 0.2 * em),
                    (start + width, 0.2 * em),
                ]
                .map(|(dx, dy)| (x + dx * cos - dy * sin, y + dx * sin + dy * cos));
                let least = |f: fn(&(f64, f64)) -> f64| corners.iter().map(f).fold(f64::MAX, f64::min);
                let most = |f: fn(&(f64, f64)) -> f64| corners.iter().map(f).fold(f64::MIN, f64::max);
                out.push(TextBox {
                    text: text.into(),
                    left: least(|c| c.0),
                    right: most(|c| c.0),
                    top: least(|c| c.1),
                    bottom: most(|c| c.1),
                });
            }
        }
    }
}

pub(crate) fn boxes(page: &Page) -> Vec<TextBox> {
    let mut out = Vec::new();
    boxes_of(&page.list.items, &mut out);
    out
}

/// What is wrong with a page, in words.
fn faults(book: &Book, number: usize) -> Vec<String> {
    let page = &book.pages[number];
    let mut out = drawing::audit::faults(&page.list);
    let (left, right) = (book.left() - 0.05, book.left() + MEASURE + 0.05);
    for b in boxes(page) {
        if b.left < left || b.right > right || b.top < 8.0 || b.bottom > book.paper.height() - 5.0 {
            out.push(format!("outside the measure: {b:?}"));
        }
    }
    out
}

pub(crate) fn words(page: &Page) -> Vec<String> {
    boxes(page).into_iter().map(|b| b.text).collect()
}

pub(crate) fn squeezed(text: &str) -> String {
    metrics::clean(text, drawing::Face::Regular).chars().filter(|c| !c.is_whitespace()).collect()
}

/// Checks every page of a report, and that all of its words stand on them.
pub(crate) fn check(name: &str, input: &ReportInput) -> Book {
    let book = pages::book(input);
    for number in 0..book.pages.len() {
        let faults = faults(&book, number);
        assert!(faults.is_empty(), "{name}, page {}: {}", number + 1, faults.join("\n"));
    }
    heads(name, &book);
    let all: String = book
        .pages
        .iter()
        .map(|page| words(page).iter().map(|w| squeezed(w)).collect::<String>() + "\n")
        .collect();
    for person in &input.people {
        assert!(all.contains(&squeezed(&person.name)), "{name}: {} is missing", person.name);
    }
    for duty in &input.duties {
        assert!(all.contains(&squeezed(&duty.role)), "{name}: {} is missing", duty.role);
    }
    let log: String =
        pages_of(&book, "The log").iter().flat_map(|page| words(page)).map(|w| squeezed(&w)).collect();
    for entry in &input.log {
        let wanted = squeezed(&entry.text);
        if wanted.chars().count() < 400 {
            assert!(log.contains(&wanted), "{name}: entry {} is missing: {}", entry.seq, entry.text);
        }
    }
    for group in crate::words::grouped(&input.record.head, 8) {
        assert!(all.contains(&group), "{name}: the head is missing");
    }
    assert!(!book.pages.is_empty() && book.bookmarks.iter().all(|b| b.page < book.pages.len()));
    leads(name, &book);
    book
}

/// What leads somewhere lies on words that say where, and leads to the place that has them.
fn leads(name: &str, book: &Book) {
    for (number, page) in book.pages.iter().enumerate() {
        let all = boxes(page);
        for (i, touch) in page.touches.iter().enumerate() {
            let [left, top, right, bottom] = touch.area;
            let over = |b: &&TextBox| {
                b.left >= left - 0.01
                    && b.right <= right + 0.01
                    && b.top >= top - 0.01
                    && b.bottom <= bottom + 0.01
            };
            let under = all.iter().find(over);
            let said = under
                .map_or_else(|| panic!("{name}, page {}: {touch:?} on nothing", number + 1), |b| &b.text);
            let last = said.rsplit([' ', ',']).next().unwrap_or_default();
            match touch.lead {
                Lead::Entry(seq) => {
                    let Some((at, y)) = book.entries.get(&seq) else { continue };
                    let there = boxes(&book.pages[*at]);
                    let row = there.iter().find(|b| b.text == seq.to_string() && (b.top - y).abs() < 4.0);
                    assert!(row.is_some(), "{name}: entry {seq} does not stand at {at}, {y}");
                }
                Lead::Place(at, y) => {
                    // A long title goes on over the line: its last piece has the number.
                    let goes_on = page.touches.get(i + 1).is_some_and(|next| next.lead == touch.lead);
                    let right = goes_on || last == (at + 1).to_string();
                    assert!(right, "{name}: “{said}” leads to page {}", at + 1);
                    let head = book.bookmarks.iter().find(|b| b.level == 1 && b.page == at && b.y == y);
                    assert!(head.is_some(), "{name}: “{said}” leads to no head");
                }
            }
        }
    }
}

/// Everything that page one leads to, by its words.
fn leads_of_page_one(book: &Book) -> Vec<(String, Lead)> {
    let page = &book.pages[0];
    let words = |touch: &crate::kit::page::Touch| {
        let [left, top, right, bottom] = touch.area;
        let within = |b: &&TextBox| {
            b.left >= left - 0.01 && b.right <= right + 0.01 && b.top >= top && b.bottom <= bottom
        };
        boxes(page).iter().filter(within).map(|b| b.text.clone()).collect::<Vec<_>>().join(" ")
    };
    page.touches.iter().map(|touch| (words(touch), touch.lead)).collect()
}

#[test]
fn page_one_leads_to_every_section_and_to_the_entries_it_names() {
    let input = invented::operation();
    let book = check("contents", &input);
    let found = leads_of_page_one(&book);
    let sections: Vec<_> = book.bookmarks.iter().filter(|b| b.level == 1 && b.page > 0).collect();
    assert!(sections.len() > 5);
    for mark in sections {
        let title = mark.title.split_once(' ').expect("a number").1;
        let wanted = (format!("{title} {}", mark.page + 1), Lead::Place(mark.page, mark.y));
        assert!(found.contains(&wanted), "{wanted:?} in {found:?}");
    }
    let named =
        input.review.findings.iter().find(|f| f.departs).and_then(|f| f.entries.first()).expect("an entry");
    assert!(found.contains(&(named.to_string(), Lead::Entry(*named))), "{named} in {found:?}");
    assert!(book.entries.len() == input.log.len(), "every entry has a place");
}

#[test]
fn the_contents_name_what_they_leave_out() {
    let mut input = invented::operation();
    let one = input.rigs[0].clone();
    input.rigs =
        (0..40).map(|n| RigChapter { name: format!("lower of section number {n}"), ..one.clone() }).collect();
    let book = check("forty rigs", &input);
    let found = leads_of_page_one(&book);
    let rest = found.iter().find(|(words, _)| words.contains("more rigs, from")).expect("the rest, counted");
    let of_rigs = book.bookmarks.iter().filter(|b| b.section().starts_with("Rig:"));
    let named =
        of_rigs.filter(|b| found.iter().any(|(_, lead)| *lead == Lead::Place(b.page, b.y))).count() - 1;
    assert!(rest.0.starts_with(&format!("{} more rigs", 40 - named)), "{named} and {}", rest.0);
    assert!(found.iter().any(|(words, _)| words.starts_with("Lessons")), "{found:?}");
}

fn pages_of<'a>(book: &'a Book, section: &str) -> Vec<&'a Page> {
    book.pages.iter().filter(|page| page.section.starts_with(section)).collect()
}

/// The log's head stands on each of its pages.
fn heads(name: &str, book: &Book) {
    for page in pages_of(book, "The log") {
        let words = words(page);
        for head in ["entry", "time", "kind", "from → to", "words", "heard"] {
            assert!(words.iter().any(|w| w == head) || page.span.is_none(), "{name}: no head {head}");
        }
    }
}

#[test]
fn the_invented_operation_on_both_papers() {
    let mut input = invented::operation();
    let book = check("A4", &input);
    let sections: Vec<&str> =
        book.bookmarks.iter().filter(|b| b.level == 1).map(|b| b.title.as_str()).collect();
    assert_eq!(
        sections,
        [
            "1 Summary",
            "2 Roles and times",
            "3 Brief",
            "4 Rig: lower",
            "5 Rig: raise",
            "6 The line",
            "7 The log",
            "8 Measures and findings",
            "9 Lessons",
        ]
    );
    input.paper = Paper::Letter;
    check("Letter", &input);
}

#[test]
fn what_is_missing_keeps_its_head_and_one_line() {
    let empty = ReportInput {
        record: RecordFacts { head: "ab".repeat(32), ..RecordFacts::default() },
        ..ReportInput::default()
    };
    let book = check("empty", &empty);
    let all: Vec<String> = book.pages.iter().flat_map(words).collect();
    for line in [
        "No role was assigned.",
        "Nobody was checked in.",
        "No rig was entered.",
        "The record holds no entry.",
        "The record holds no order and no movement: nothing in it departs from the guidelines.",
    ] {
        assert!(all.iter().any(|w| w == line), "{line}");
    }
    assert!(all.iter().any(|w| w.contains("Not closed yet")), "an open operation says so");
    assert!(all.iter().all(|w| !w.contains("DRILL")), "a rescue has no band");
}

#[test]
fn the_same_record_gives_the_same_bytes() {
    let input = invented::operation();
    let (a, b) = (crate::write(&input).expect("report"), crate::write(&input).expect("report"));
    assert!(a == b);
    // Handed over, it goes piece by piece while it is set, and gives the same.
    assert!(crate::write_taken(input.clone()).expect("report").0 == a);
    let nameless = ReportInput { names_removed: true, ..input.clone() };
    assert!(
        crate::write_taken(nameless.clone()).expect("report").0 == crate::write(&nameless).expect("report")
    );
    let mut other = input.clone();
    other.people[3].name = "Another Name".into();
    assert!(crate::write(&other).expect("report") != a);
}

#[test]
fn too_much_of_everything_stays_on_its_pages() {
    let mut input = invented::stress();
    let book = check("stress", &input);
    assert_eq!(pages_of(&book, "Summary").len(), 1);
    input.paper = Paper::Letter;
    check("stress on Letter", &input);
    input.operation.drill = false;
    input.operation.closed_ms = None;
    check("stress, open rescue", &input);
    crate::write(&input).expect("report");
}

#[test]
fn few_of_anything() {
    let mut input = invented::operation();
    input.people.truncate(1);
    input.duties.truncate(1);
    input.rigs.truncate(1);
    input.log.truncate(1);
    input.benchmarks.clear();
    input.patient.clear();
    input.spans.clear();
    input.review = Review::default();
    check("one of each", &input);
}

#[test]
fn the_test_itself_sees_text_over_text_and_text_outside() {
    let mut book = Book::new(Paper::A4, "Test");
    let left = book.left();
    let page = book.page();
    page.regular(left, 50.0, "one text", 8.0);
    page.regular(left + 20.0, 50.0, "beside it", 8.0);
    assert!(faults(&book, 0).is_empty());
    book.page().regular(left + 3.0, 51.0, "over it", 8.0);
    assert_eq!(faults(&book, 0).len(), 1);
    book.page().regular(left + MEASURE - 2.0, 80.0, "outside", 8.0);
    assert_eq!(faults(&book, 0).len(), 2);
}

/// Page one's words as one text.
fn page_one(input: &ReportInput) -> String {
    words(&pages::book(input).pages[0]).join(" ").split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn no_critical_part_is_said_only_when_every_rig_was_judged_in_every_state() {
    let said = "No single critical part";
    let mut clear = invented::operation();
    for rig in &mut clear.rigs {
        for check in &mut rig.checks {
            let others = &mut check.report.other_states;
            for state in std::iter::once(&mut check.report.main).chain(others) {
                state.critical_parts.clear();
                state.unknown_parts.clear();
            }
        }
    }
    assert!(page_one(&clear).contains(said));
    let mut unknown = clear.clone();
    unknown.rigs[1].checks[0].report.main.unknown_parts.push("leg_1a".into());
    let mut unchecked = clear.clone();
    unchecked.rigs[1].checks.clear();
    let mut other_state = clear.clone();
    let last = other_state.rigs[0].checks.last_mut().expect("a check");
    let part = last.report.other_states[0].parts[0].clone();
    last.report.other_states[0].critical_parts.push(part.id);
    let none = ReportInput { rigs: Vec::new(), ..clear.clone() };
    for (name, input) in
        [("unknown", &unknown), ("unchecked", &unchecked), ("other state", &other_state), ("none", &none)]
    {
        assert!(!page_one(input).contains(said), "{name}: {}", page_one(input));
    }
    let named = format!("Critical: {} (lower, ", part.label);
    assert!(page_one(&other_state).contains(&named), "{named} in {}", page_one(&other_state));
    assert!(page_one(&unchecked).contains("1 rig was never checked"));
}

/// A rule is named by what it asks for: beside “falls short” alone it would say the opposite.
#[test]
fn a_rule_that_falls_short_is_told_as_not_met() {
    let mut input = invented::operation();
    input.rigs.truncate(1);
    let main = &mut input.rigs[0].checks.last_mut().expect("a check").report.main;
    for part in &mut main.parts {
        part.verdict = rig::findings::Verdict::Holds;
    }
    let mut rule = main.checks[0].clone();
    rule.verdict = rig::findings::Verdict::FallsShort;
    rule.rule = "no single part or hand is critical".into();
    main.checks = vec![rule];
    let said = page_one(&input);
    assert!(said.contains("not met: “no single part or hand is critical”"), "{said}");
}

#[test]
fn the_patient_page_stands_only_where_it_is_asked_for() {
    let mut input = invented::operation();
    let course = |seq, mark: &str, text: &str, vitals: &str| PatientMark {
        seq,
        at_ms: invented::at(13, 50, seq as i64),
        mark: mark.into(),
        text: text.into(),
        vitals: vitals.into(),
    };
    input.course = vec![
        course(1, "reached", "awake, talking", "pulse 96"),
        course(2, "handed_over", "to the ambulance crew", ""),
    ];
    assert!(pages_of(&check("without", &input), "Patient").is_empty());
    input.patient_page = true;
    let book = check("with", &input);
    let said = words(pages_of(&book, "Patient")[0]).join(" ");
    for wanted in ["reached", "awake, talking", "pulse 96", "handed over", "Hand-over", "Name, born"] {
        assert!(said.contains(wanted), "{wanted} in {said}");
    }
    let long = "no feeling in the left foot, ".repeat(400);
    input.course =
        (1..60).map(|seq| course(seq, "seen", if seq == 9 { &long } else { "" }, "pulse 90")).collect();
    check("a long course", &input);
    input.course.clear();
    let book = check("no course", &input);
    assert!(words(pages_of(&book, "Patient")[0]).iter().any(|w| w == "No mark of the patient was entered."));
}

/// What was entered is drawn, checked or not; what was not checked says so at every part.
#[test]
fn a_rig_that_was_never_checked_is_drawn_and_says_so() {
    let mut input = invented::operation();
    let chapter = &mut input.rigs[0];
    chapter.rig = chapter.checks.last().and_then(|check| check.rig.clone());
    let parts = chapter.rig.as_ref().map_or(0, |rig| rig.parts.len());
    chapter.checks.clear();
    chapter.signed.clear();
    for paper in [Paper::A4, Paper::Letter] {
        input.paper = paper;
        let book = check("never checked", &input);
        let said = pages_of(&book, "Rig: lower").into_iter().flat_map(words).collect::<Vec<_>>();
        assert!(said.iter().any(|w| w.starts_with("As entered")), "{said:?}");
        let unknown = said.iter().filter(|w| w.starts_with("not checked")).count();
        assert!(unknown > 1 && parts > 1, "{unknown} of {parts} parts: {said:?}");
        assert!(
            said.iter().all(|w| !w.contains(" : 1") && !w.starts_with("holds, ") || w == "holds, held"),
            "{said:?}"
        );
    }
}

#[test]
fn a_rig_that_was_changed_after_its_check_is_drawn_as_it_is_now() {
    let mut input = invented::operation();
    let chapter = &mut input.rigs[0];
    chapter.stale = true;
    chapter.rig = chapter.checks.last().and_then(|check| check.rig.clone());
    let there = |input: &ReportInput| {
        let book = check("changed", input);
        pages_of(&book, "Rig: lower").into_iter().flat_map(words).any(|w| w.starts_with("As changed after"))
    };
    assert!(!there(&input), "only the guidelines changed");
    if let Some(rig) = &mut input.rigs[0].rig {
        rig.title.push_str(", changed");
    }
    assert!(there(&input));
}

#[test]
fn what_is_missing_of_a_record_stands_on_the_first_page_and_with_the_record() {
    let mut input = invented::operation();
    let words_missing =
        "entry 57 does not fit the chain (its text was changed): it is in the file and not in here";
    input.record.missing = vec![words_missing.into(), "the last entries may be missing".into()];
    let book = check("not whole", &input);
    assert!(page_one(&input).contains(&format!("Not whole: {words_missing}")), "{}", page_one(&input));
    let last = words(book.pages.last().expect("a page")).join(" ");
    assert!(
        last.contains("entry 57 does not fit") && last.contains("the last entries may be missing"),
        "{last}"
    );
}
