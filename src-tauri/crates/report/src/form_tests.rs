//! Each standard form looked at by sum: its published blocks, what the record holds, nothing over anything.

use crate::input::*;
use crate::tests::{boxes, invented, squeezed, words};

/// Everything a form says, page by page, after a look at each page.
fn form(name: &str, input: &ReportInput) -> Vec<String> {
    let books = crate::forms::books(input);
    let (_, book) = books.into_iter().find(|(number, _)| *number == name).expect("the form");
    let (left, right) = (book.left() - 0.05, book.left() + book.measure() + 0.05);
    for (i, page) in book.pages.iter().enumerate() {
        let mut found = drawing::audit::faults(&page.list);
        for b in boxes(page) {
            if b.left < left || b.right > right || b.top < 6.0 || b.bottom > book.sheet().1 - 5.0 {
                found.push(format!("outside: {b:?}"));
            }
        }
        assert!(found.is_empty(), "{name}, page {}: {}", i + 1, found.join("\n"));
    }
    book.pages.iter().map(|page| words(page).join(" ")).collect()
}

/// Numbers and titles of the blocks as the ICS Forms Booklet (FEMA 502-2, September 2010) has them.
const BLOCKS: [(&str, &[&str]); 4] = [
    (
        "ICS 201",
        &[
            "Incident Briefing (ICS 201)",
            "1. Incident Name",
            "2. Incident Number",
            "3. Date/Time Initiated",
            "4. Map/Sketch",
            "5. Situation Summary and Health and Safety Briefing",
            "6. Prepared by",
            "7. Current and Planned Objectives",
            "8. Current and Planned Actions, Strategies, and Tactics",
            "9. Current Organization",
            "10. Resource Summary",
            "Resource Identifier",
            "Date/Time Ordered",
            "ETA",
            "Arrived",
            "Notes (location/assignment/status)",
        ],
    ),
    (
        "ICS 208",
        &[
            "Safety Message/Plan (ICS 208)",
            "1. Incident Name",
            "2. Operational Period",
            "3. Safety Message/Expanded Safety Message, Safety Plan, Site Safety Plan",
            "4. Site Safety Plan Required?",
            "Approved Site Safety Plan(s) Located At",
            "5. Prepared by",
        ],
    ),
    (
        "ICS 211",
        &[
            "Incident Check-In List (ICS 211)",
            "1. Incident Name",
            "2. Incident Number",
            "3. Check-In Location (complete all that apply)",
            "4. Start Date/Time",
            "5. List single resource personnel (overhead) by agency and name, OR list resources by the following format",
            "State",
            "Agency",
            "Category",
            "Kind",
            "Type",
            "ST or TF",
            "6. Order Request #",
            "8. Leader’s Name",
            "14. Incident Assignment",
            "15. Other Qualifications",
            "17. Prepared by",
        ],
    ),
    (
        "ICS 214",
        &[
            "Activity Log (ICS 214)",
            "1. Incident Name",
            "2. Operational Period",
            "3. Name",
            "4. ICS Position",
            "5. Home Agency (and Unit)",
            "6. Resources Assigned",
            "7. Activity Log",
            "Notable Activities",
            "8. Prepared by",
        ],
    ),
];

#[test]
fn each_form_has_its_published_blocks_and_what_the_record_holds() {
    for paper in [Paper::A4, Paper::Letter] {
        let input = ReportInput { paper, ..invented::operation() };
        for (name, blocks) in BLOCKS {
            let pages = form(name, &input);
            let all = pages.join(" ");
            for block in blocks {
                assert!(all.contains(block), "{name}: {block} in {all}");
            }
            assert!(pages.iter().all(|page| page.contains("DRILL, not a rescue")), "{name}");
            let last = format!("{name}, page {} of {}", pages.len(), pages.len());
            assert!(pages[pages.len() - 1].contains(&last), "{name}: {last}");
        }
        let activity = form("ICS 214", &input).join(" ");
        for entry in input.log.iter().filter(|e| e.kind == "order" && e.corrected_by.is_none()) {
            assert!(
                squeezed(&activity).contains(&squeezed(&entry.text)),
                "entry {}: {}",
                entry.seq,
                entry.text
            );
        }
        let list = form("ICS 211", &input).join(" ");
        for person in &input.people {
            assert!(squeezed(&list).contains(&squeezed(&person.name)), "{}", person.name);
        }
        let safety = form("ICS 208", &input).join(" ");
        assert!(
            safety.contains("loose rock left of the fall line") && safety.contains("never good"),
            "{safety}"
        );
    }
}

#[test]
fn forms_hold_too_much_and_nothing_at_all() {
    let empty = ReportInput {
        record: RecordFacts { head: "ab".repeat(32), ..RecordFacts::default() },
        ..ReportInput::default()
    };
    for paper in [Paper::A4, Paper::Letter] {
        for input in [invented::stress(), empty.clone()] {
            let input = ReportInput { paper, ..input };
            for (name, _) in BLOCKS {
                assert!(!form(name, &input).is_empty());
            }
        }
    }
    let made = crate::forms(&invented::operation()).expect("forms");
    let again = crate::forms(&invented::operation()).expect("forms");
    assert_eq!(made.len(), 4);
    assert!(made.iter().zip(&again).all(|(a, b)| a.bytes == b.bytes && a.pages > 0));
}
