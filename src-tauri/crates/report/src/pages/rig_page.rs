//! A rig's drawing, and what it replaced.

use super::rigs::{counts, label, labels};
use crate::input::{RigChapter, StoredCheck};
use crate::kit::{Book, MEASURE, Rich};
use crate::words::{self, Clock};
use drawing::list::DisplayList;
use drawing::rig::{RigDrawingOptions, draw, small};
use drawing::size;
use rig::findings::{HandsOff, StateFindings, Verdict};
use rig::model::Rig;
use rig::units::Units;
use std::collections::BTreeMap;

/// Widths of the picture of a rig that was replaced, mm: the first that the page has room for.
const SMALL: [f64; 4] = [46.0, 40.0, 36.0, 32.0];

/// Sets the drawing of the rig as it was checked, on what the page leaves.
pub fn set(book: &mut Book, chapter: &RigChapter, check: &StoredCheck, units: Units) {
    let Some(rig) = check.rig.as_ref() else {
        book.nothing("The rig as it was checked is not in the record: it cannot be drawn.");
        return;
    };
    let options = RigDrawingOptions {
        people: people(check),
        accepted: accepted(chapter, check),
        height: book.room(),
        units,
        ..RigDrawingOptions::default()
    };
    place(book, draw(rig, &check.report.main, &options).list);
}

/// Sets the drawing of a rig that no check stands for: no force, no margin, every part “not checked”.
pub fn entered(book: &mut Book, rig: &Rig, units: Units) {
    let nothing = nothing_found(rig);
    let options = RigDrawingOptions { height: book.room(), units, ..RigDrawingOptions::default() };
    place(book, draw(rig, &nothing, &options).list);
}

/// The findings of a check that nobody made: none.
fn nothing_found(rig: &Rig) -> StateFindings {
    StateFindings {
        state: rig.states.first().map_or_else(String::new, |state| state.id.clone()),
        parts: Vec::new(),
        critical_parts: Vec::new(),
        unknown_parts: Vec::new(),
        always_critical: Vec::new(),
        critical_pairs: Vec::new(),
        hands_off: HandsOff { verdict: Verdict::NotChecked, moves: false, words: String::new() },
        losses: Vec::new(),
        checks: Vec::new(),
        residual_n: None,
        hauling: None,
        falls: Vec::new(),
    }
}

/// Places a drawing in the middle of the measure.
fn place(book: &mut Book, list: DisplayList) {
    // Names so long that the sheet outgrows the page make the whole drawing smaller, never cut.
    let list = if list.height > book.room() {
        let share = book.room() / list.height;
        list.scaled(share)
    } else {
        list
    };
    let (x, y) = (book.left() + (MEASURE - list.width) / 2.0, book.y);
    book.page().place(&list, x, y);
    book.y += list.height;
}

/// Who held which role at the check, joined where several did.
fn people(check: &StoredCheck) -> BTreeMap<String, String> {
    let mut out: BTreeMap<String, String> = BTreeMap::new();
    for (role, person) in &check.bound {
        out.entry(role.clone())
            .and_modify(|names| {
                names.push_str(", ");
                names.push_str(person);
            })
            .or_insert_with(|| person.clone());
    }
    out
}

/// By part: "accepted by NAME". An acceptance of the whole check stands beside what falls short.
fn accepted(chapter: &RigChapter, check: &StoredCheck) -> BTreeMap<String, String> {
    let mut out = BTreeMap::new();
    for signed in chapter.signed.iter().filter(|s| s.accepted && s.check_seq == Some(check.seq)) {
        let words = format!("accepted by {}", signed.person);
        if signed.finding.is_empty() {
            let short = check.report.main.parts.iter().filter(|p| p.verdict == Verdict::FallsShort);
            out.extend(short.map(|part| (part.id.clone(), words.clone())));
        } else {
            out.insert(signed.finding.clone(), words);
        }
    }
    out
}

/// Rigs that were replaced, small, with what they lacked.
pub fn replaced(book: &mut Book, chapter: &RigChapter, clock: Clock) {
    let Some((last, before)) = chapter.checks.split_last() else { return };
    let mut shown = last.rig.as_ref();
    for check in before.iter().rev() {
        let Some(rig) = check.rig.as_ref().filter(|rig| shown != Some(*rig)) else { continue };
        shown = Some(rig);
        let pictures = SMALL.map(|width| small(rig, &check.report.main, width));
        let fitting = pictures.iter().find(|list| list.height + 8.0 <= book.room());
        let list = fitting.unwrap_or(&pictures[0]);
        book.need(list.height + 8.0);
        book.sub_head(
            &format!("As checked before, {}", clock.hm(check.at_ms)),
            &format!("check {}", check.seq),
        );
        let (x, y) = (book.left(), book.y);
        let page = book.page();
        let end =
            page.paragraph((x, y), &lacked(rig.title.as_str(), check), MEASURE - list.width - 10.0, size::S);
        page.place(list, x + MEASURE - list.width, y);
        book.y = end.max(y + list.height) + 4.0;
    }
}

/// What the stored findings of a replaced rig said.
fn lacked(title: &str, check: &StoredCheck) -> Rich {
    let main = &check.report.main;
    let names = labels(check);
    let mut text = Rich::new().plain(format!("{title}. "));
    if !main.critical_parts.is_empty() {
        let critical: Vec<String> = main.critical_parts.iter().map(|id| label(&names, id)).collect();
        text = text.bold("Critical: ").plain(format!("{}. ", words::list(&critical)));
    }
    text.then(counts(main).words()).plain(". The rig was then changed and checked again.")
}
