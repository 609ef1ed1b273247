//! Who accepted and signed which check, and what was shown to them.

use super::rigs::{counts, signers};
use crate::input::{RigChapter, Signed, StoredCheck};
use crate::kit::table::left;
use crate::kit::{Book, Rich, Row, Table};
use crate::words::{self, Clock};
use drawing::metrics::Lead;

/// All checks, acceptances and signatures, in the order they were written.
pub fn set(book: &mut Book, chapter: &RigChapter, clock: Clock) {
    let mut rows: Vec<(u64, Row)> = Vec::new();
    for (i, check) in chapter.checks.iter().enumerate() {
        let replaced = i + 1 < chapter.checks.len();
        rows.push((check.seq, check_row(chapter, check, replaced, clock)));
    }
    for signed in &chapter.signed {
        rows.push((signed.seq, signed_row(signed, chapter, clock)));
    }
    rows.sort_by_key(|(seq, _)| *seq);
    if rows.is_empty() {
        book.need(14.0);
        book.sub_head("Signed and accepted", "");
        book.nothing("Nobody signed this rig.");
        return;
    }
    let none = chapter.signed.iter().all(|s| s.accepted);
    let note = if none { "nobody signed this rig" } else { "" };
    let head =
        [left("time", 16.0), left("what", 22.0), left("who", 45.0), left("what was shown, and why", 91.0)];
    let rows = rows.into_iter().map(|(_, row)| row).collect();
    Table::titled("Signed and accepted", note, &head, rows).set(book);
    book.y += 5.0;
}

fn check_row(chapter: &RigChapter, check: &StoredCheck, replaced: bool, clock: Clock) -> Row {
    let main = &check.report.main;
    let mut shown = Rich::new();
    if let Some(rig) = &check.rig {
        shown = shown.plain(format!("{}: ", rig.title));
    }
    if !main.critical_parts.is_empty() {
        let count = main.critical_parts.len() as u64;
        shown = shown.bold(words::several(count, "critical part", "critical parts")).plain(", ");
    }
    shown = shown.then(counts(main).words());
    if replaced {
        let fate = signers(chapter, check.seq);
        shown = shown.plain(format!("; {fate}, replaced"));
    }
    let report = &check.report;
    shown = shown.plain(format!(
        " · rig {}, guidelines {}, engine {}",
        words::first_digits(&report.rig_digest, 2),
        words::first_digits(&report.guidelines_digest, 2),
        report.engine.trim_start_matches("engine ")
    ));
    let there = Rich::from(format!("check {}", check.seq)).to(Lead::Entry(check.seq));
    let cells = vec![clock.hms(check.at_ms).into(), there, "–".into(), shown];
    Row::new(cells)
}

fn signed_row(signed: &Signed, chapter: &RigChapter, clock: Clock) -> Row {
    let what = if signed.accepted { "accepted" } else { "signed" };
    let who = if signed.role.is_empty() {
        signed.person.clone()
    } else {
        format!("{}, {}", signed.person, signed.role)
    };
    let mut shown = signed.check_seq.map_or("no check".into(), |seq| format!("check {seq}"));
    if !signed.finding.is_empty() {
        let check = chapter.checks.iter().find(|c| Some(c.seq) == signed.check_seq);
        let name = check.map_or_else(|| signed.finding.clone(), |c| c.report.label(&signed.finding));
        shown = format!("{shown}: {name}");
    }
    if !signed.reason.is_empty() {
        shown = format!("{shown}: “{}”", signed.reason);
    }
    let there = Rich::new().bold(what).to(Lead::Entry(signed.seq));
    Row::new(vec![clock.hms(signed.at_ms).into(), there, who.into(), shown.into()])
}
