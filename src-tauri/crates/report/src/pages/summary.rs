//! Page 1: the whole on one page, always. The picture gives way first, then findings, then rigs.

use super::rigs;
use crate::input::{Finding, ReportInput, RigChapter, Stop};
use crate::kit::mark::Mark;
use crate::kit::page::shortened;
use crate::kit::{Book, MEASURE, Page, Rich, column, columns};
use crate::words::{self, Clock};
use drawing::{Type, metrics, pen, size};
use rig::findings::{CAUTION, LossVerdict, PartFinding, Verdict};

/// How much each part of the page may take.
#[derive(Clone, Copy)]
struct Shares {
    /// Height of the picture of the load, mm.
    picture: f64,
    /// Findings shown.
    findings: usize,
    /// Rigs shown.
    rigs: usize,
    /// Lines a verdict of a rig may take.
    rig_lines: usize,
}

/// From the most to the least.
const SHARES: [Shares; 12] = {
    const fn shares(picture: f64, findings: usize, rigs: usize, rig_lines: usize) -> Shares {
        Shares { picture, findings, rigs, rig_lines }
    }
    [
        shares(38.0, 5, 3, 3),
        shares(34.0, 5, 3, 3),
        shares(30.0, 5, 3, 3),
        shares(27.0, 5, 3, 2),
        shares(24.0, 5, 2, 2),
        shares(21.0, 5, 2, 2),
        shares(21.0, 4, 2, 2),
        shares(21.0, 3, 2, 1),
        shares(20.0, 3, 1, 1),
        shares(16.0, 3, 1, 1),
        shares(16.0, 2, 1, 1),
        shares(16.0, 1, 1, 1),
    ]
};

/// Height of caution and record at the foot, mm.
const FOOT: f64 = 20.6;

/// Makes the page; the other pages stand in `book`, so that it can name them.
pub fn page(book: &Book, input: &ReportInput) -> Page {
    let mut last = None;
    for shares in SHARES {
        let mut sheet = Sheet::new(book, input, shares);
        let free = sheet.set();
        last = Some(sheet.page);
        if free >= 0.0 {
            break;
        }
    }
    last.unwrap_or_else(|| Page::new(book.paper.width(), book.paper.height(), "Summary"))
}

/// The page under way.
struct Sheet<'a> {
    book: &'a Book,
    input: &'a ReportInput,
    shares: Shares,
    clock: Clock,
    page: Page,
    x: f64,
    y: f64,
}

impl<'a> Sheet<'a> {
    fn new(book: &'a Book, input: &'a ReportInput, shares: Shares) -> Self {
        let page = Page::new(book.paper.width(), book.paper.height(), "Summary");
        let clock = Clock::new(input.operation.offset_min);
        let y = if input.operation.drill { 17.6 } else { 16.5 };
        Sheet { book, input, shares, clock, page, x: book.left(), y }
    }

    /// Sets everything; returns what is left over the foot, negative when it does not fit.
    fn set(&mut self) -> f64 {
        self.head();
        self.outcome();
        self.facts();
        self.picture();
        self.stops();
        self.columns();
        self.pages();
        let foot = self.book.bottom() - FOOT;
        let free = foot - self.y - 1.4;
        self.foot(foot);
        free
    }

    fn head(&mut self) {
        let (x, y) = (self.x, self.y);
        self.page.bold(x, y + 3.0, "After-action report", size::S);
        let made = match self.input.operation.closed_ms {
            Some(ms) => format!("made from the record when it was closed, {}", self.clock.hm(ms)),
            None => {
                format!("made from a record that is still open, {}", self.clock.hm(self.input.record.last_ms))
            }
        };
        let words = format!("{made} · Ledgebook {}", self.input.program);
        self.page.right(x + MEASURE, y + 3.0, &words, size::XS);
        self.y += 6.2;
        let name = &self.input.operation.name;
        let name = if name.trim().is_empty() { "Operation without a name" } else { name };
        let bold = Rich::new().bold(name);
        let (lines, size) = if bold.wrap(MEASURE, size::XL).len() <= 2 {
            (bold.wrap(MEASURE, size::XL), size::XL)
        } else {
            (shortened(&bold, MEASURE, size::L, 4), size::L)
        };
        self.y = self.page.lines((x, self.y), &lines, size) + 1.6;
    }

    fn outcome(&mut self) {
        let text = outcome(self.input, self.clock);
        let lines = shortened(&text, MEASURE, size::L, 4);
        self.y = self.page.lines((self.x, self.y), &lines, size::L) + 2.4;
    }

    fn facts(&mut self) {
        let (starts, widths) = ([0.0, 67.0, 113.0, 149.0], [63.4, 42.4, 32.4, 25.0]);
        let x = self.x;
        self.page.rule(x, self.y, MEASURE, pen::HAIR);
        self.y += 1.6;
        let facts = facts(self.input, self.clock);
        for row in facts.chunks(4) {
            let mut below = self.y;
            for ((start, width), (label, text)) in starts.iter().zip(widths).zip(row) {
                let base = self.y + metrics::baseline(size::XS, 3.2);
                self.page.regular(x + start, base, label, size::XS);
                let lines = shortened(&Rich::from(text.as_str()), width, size::M, 3);
                below = below.max(self.page.lines((x + start, self.y + 3.4), &lines, size::M));
            }
            self.y = below + 1.2;
        }
        self.y += 0.4;
        self.page.rule(x, self.y, MEASURE, pen::HAIR);
        self.y += 2.6;
    }

    fn picture(&mut self) {
        self.y = super::picture::set(&mut self.page, self.input, (self.x, self.y), self.shares.picture);
    }

    fn stops(&mut self) {
        let stops = &self.input.review.stops;
        if stops.is_empty() {
            return;
        }
        let mut text = Rich::new().bold("Stops, min ");
        for (i, stop) in stops.iter().take(8).enumerate() {
            let gap = if i > 0 { " · " } else { "" };
            text = text.plain(gap).bold(format!("{} ", i + 1)).plain(stop_words(stop, self.clock));
        }
        if stops.len() > 8 {
            text = text.plain(format!(" · {} more", stops.len() - 8));
        }
        let lines = shortened(&text, MEASURE, size::S, 4);
        self.y = self.page.lines((self.x, self.y), &lines, size::S) + 2.4;
    }

    fn columns(&mut self) {
        let left = self.findings();
        let right = self.rigs();
        self.y = left.max(right) + 1.0;
    }

    fn page_of(&self, number: &str) -> Option<usize> {
        let mark = self.book.bookmarks.iter().find(|b| b.level == 1 && b.title.starts_with(number));
        mark.map(|b| b.page + 1)
    }

    fn findings(&mut self) -> f64 {
        let (x, width) = (self.x, columns(7));
        let mut y = self.y;
        self.page.rule(x, y, width, pen::MED);
        self.page.bold(x, y + 4.6, "What stands out", size::M);
        if let Some(page) = self.page_of("6 ") {
            self.page.right(x + width, y + 4.6, &format!("all findings: page {page}"), size::XS);
        }
        y += 6.6;
        let chosen = chosen(&self.input.review.findings, self.shares.findings);
        if chosen.is_empty() {
            return self.page.paragraph(
                (x, y),
                &"Nothing departed from the guidelines.".into(),
                width,
                size::S,
            );
        }
        for finding in chosen {
            super::measures::mark(finding).draw(&mut self.page, x + 1.5, y + 1.85, 2.5);
            let lines = shortened(&super::measures::words(finding), width - 4.6, size::S, 3);
            y = self.page.lines((x + 4.6, y), &lines, size::S);
            let entries = metrics::fit(
                &words::entries(&finding.entries),
                drawing::Face::Regular,
                size::XS,
                width - 4.6,
            );
            self.page.regular(x + 4.6, y + metrics::baseline(size::XS, 3.0), &entries, size::XS);
            y += 4.7;
        }
        y
    }

    fn rigs(&mut self) -> f64 {
        let (x, width) = (self.x + column(7) + 3.6, columns(5) - 3.6);
        let mut y = self.y;
        self.page.rule(x, y, width, pen::MED);
        self.page.bold(x, y + 4.6, "The rigs, as checked and signed", size::M);
        y += 6.6;
        if self.input.rigs.is_empty() {
            return self.page.paragraph((x, y), &"No rig was entered.".into(), width, size::S);
        }
        y = self.page.short_paragraph((x, y), &critical(self.input), width, size::S, 6) + 1.4;
        for rig in self.input.rigs.iter().take(self.shares.rigs) {
            y = self.one_rig(rig, (x, y), width);
        }
        let rest = self.input.rigs.len().saturating_sub(self.shares.rigs);
        if rest > 0 {
            let more = words::several(rest as u64, "more rig", "more rigs");
            let page = self.page_of("3 ").map_or(String::new(), |p| format!(", from page {p}"));
            y = self.page.paragraph((x, y), &format!("{more}{page}").into(), width, size::S);
        }
        y
    }

    fn one_rig(&mut self, rig: &RigChapter, (x, mut y): (f64, f64), width: f64) -> f64 {
        let name = format!("{}  {}", words::capital(&rig.name), rig_facts(rig));
        let name = crate::kit::rich::cut(name.trim(), width, size::S, drawing::Face::Bold);
        self.page.bold(x, y + metrics::baseline(size::S, 3.6), &name, size::S);
        y += 4.2;
        for (mark, text) in rig_lines(rig) {
            mark.draw(&mut self.page, x + 1.5, y + 1.8, 2.5);
            let lines = shortened(&text, width - 4.6, size::S, self.shares.rig_lines);
            y = self.page.lines((x + 4.6, y), &lines, size::S) + 0.7;
        }
        y + 0.8
    }

    fn pages(&mut self) {
        let mut text = Rich::new().bold("Pages ");
        let mut listed = Vec::new();
        for mark in self.book.bookmarks.iter().filter(|b| b.level == 1) {
            let title = mark.title.split_once(' ').map_or(mark.title.as_str(), |(_, title)| title);
            listed.push(format!("{title} {}", mark.page + 1));
        }
        text = text.plain(listed.join(" · "));
        let lines = shortened(&text, MEASURE, size::XS, 2);
        self.y = self.page.lines((self.x, self.y), &lines, size::XS);
    }

    fn foot(&mut self, top: f64) {
        let (x, width) = (self.x, columns(7));
        let (rx, right) = (x + column(7) + 3.6, columns(5) - 3.6);
        self.page.rule(x, top, width, pen::MED);
        self.page.rule(rx, top, right, pen::MED);
        self.page.bold(x, top + 4.4, "Caution", size::S);
        let caution = format!(
            "{CAUTION} Forces and margins rest on stated assumptions. “Not checked” means unknown, never good. \
             A fall is a band, never one figure."
        );
        self.page.paragraph((x, top + 5.6), &caution.into(), width, size::S);
        self.page.bold(rx, top + 4.4, "Record", size::S);
        let record = &self.input.record;
        let count = format!(
            "{} · {}",
            words::several(record.count, "entry", "entries"),
            words::several(record.stations.len() as u64, "station", "stations")
        );
        self.page.text((rx + right, top + 4.4), &count, Type::bold(size::S).end());
        for (i, four) in words::grouped(&record.head, 8).chunks(4).take(2).enumerate() {
            let line = Rich::new().mono(four.join(" ")).wrap(right, size::S);
            self.page.lines((rx, top + 5.6 + i as f64 * 3.6), &line[..1.min(line.len())], size::S);
        }
        let verify = self.page_of("7 ").map_or(String::new(), |p| format!("; how to verify it: page {p}"));
        let words = format!("Head of the record (SHA-256). The record is attached to this PDF{verify}.");
        self.page.short_paragraph((rx, top + 13.6), &words.into(), right, size::XS, 2);
    }
}

/// Departures first; the last place goes to something that was good, when there is any.
fn chosen(findings: &[Finding], most: usize) -> Vec<&Finding> {
    let (departs, good): (Vec<&Finding>, Vec<&Finding>) = findings.iter().partition(|f| f.departs);
    let kept = if good.is_empty() || most < 2 { most } else { most - 1 };
    let mut out: Vec<&Finding> = departs.into_iter().take(kept).collect();
    let room = most - out.len();
    out.extend(good.into_iter().take(room));
    out
}

/// "16:07 roller shifted 2:38".
fn stop_words(stop: &Stop, clock: Clock) -> String {
    let cause = if stop.cause.is_empty() { "no reason said" } else { stop.cause.as_str() };
    let held = stop.held_s.map_or("did not move again".into(), words::minutes);
    format!("{} {cause} {held}", clock.hm(stop.at_ms))
}

/// What came of it, in a sentence or two, from what was entered and nothing else.
fn outcome(input: &ReportInput, clock: Clock) -> Rich {
    let mut text = Rich::new();
    if input.operation.drill {
        text = text.plain("Drill. ");
    }
    if input.operation.closed_ms.is_none() {
        let at = clock.hm(input.record.last_ms);
        text = text.rubric(format!("Not closed yet: this is the record as of {at}. "));
    }
    text = text.plain(patient_words(input, clock).unwrap_or_else(|| motion_words(input, clock)));
    match input.review.pars.last() {
        Some(par) => {
            let of = par.of.map_or(String::new(), |of| format!(" of {of}"));
            text.plain(format!(" {}{of} accounted for at {}.", par.count, clock.hm(par.at_ms)))
        }
        None => text.plain(" No roll call was recorded."),
    }
}

/// "The patient was reached at 16:21, packaged at 16:36 and handed over at 17:21."
fn patient_words(input: &ReportInput, clock: Clock) -> Option<String> {
    if input.patient.is_empty() {
        return None;
    }
    let mut marks: Vec<String> = Vec::new();
    for mark in input.patient.iter().rev().take(4).rev() {
        marks.push(format!("{} at {}", mark.words.replace('_', " "), clock.hm(mark.at_ms)));
    }
    Some(format!("The patient was {}.", words::list(&marks)))
}

/// "The load was lowered from 15:58 and landed at 16:21."
fn motion_words(input: &ReportInput, clock: Clock) -> String {
    let first = |motion: &str| input.spans.iter().find(|s| s.motion == motion);
    let mut said: Vec<String> = Vec::new();
    if let Some(span) = first("lowering") {
        said.push(format!("lowered from {}", clock.hm(span.from_ms)));
    }
    if let Some(span) = first("raising") {
        said.push(format!("raised from {}", clock.hm(span.from_ms)));
    }
    if let Some(span) = input.spans.iter().rev().find(|s| s.motion == "landed") {
        said.push(format!("landed at {}", clock.hm(span.from_ms)));
    }
    if said.is_empty() {
        "The load was not moved.".into()
    } else {
        format!("The load was {}.", words::list(&said))
    }
}

/// Who held a role, in order, with the times of a change.
fn held_by(input: &ReportInput, role: &str, clock: Clock) -> String {
    let mut out = String::new();
    for duty in input.duties.iter().filter(|d| d.role == role) {
        let Some(person) = &duty.person else { continue };
        if out.is_empty() {
            out.clone_from(person);
        } else if !out.ends_with(person.as_str()) {
            out.push_str(&format!(", from {} {person}", clock.hm(duty.from_ms)));
        }
    }
    if out.is_empty() { "not assigned".into() } else { out }
}

fn facts(input: &ReportInput, clock: Clock) -> Vec<(&'static str, String)> {
    let operation = &input.operation;
    let mut place = if operation.place.is_empty() { "not entered".into() } else { operation.place.clone() };
    if let Some(height) = operation.edge_height_m {
        place.push_str(&format!("; edge {} m", words::number(height)));
    }
    let end = match operation.closed_ms {
        Some(end) if clock.same_day(operation.opened_ms, end) => format!("to {}", clock.hm(end)),
        Some(end) => format!("to {}, {}", clock.short_date(end), clock.hm(end)),
        None => "on, not closed yet".into(),
    };
    let when = format!(
        "{}, {} {end} ({})",
        clock.short_date(operation.opened_ms),
        clock.hm(operation.opened_ms),
        clock.zone()
    );
    let weather = input.site.iter().find(|(label, _)| label.eq_ignore_ascii_case("weather"));
    vec![
        ("Where", place),
        ("When", when),
        ("Incident commander", held_by(input, "incident commander", clock)),
        ("Weather", weather.map_or("not entered".into(), |(_, text)| text.clone())),
        ("Control", held_by(input, "control", clock)),
        ("Safety officer", held_by(input, "safety officer", clock)),
        ("Rigging lead", held_by(input, "rigging lead", clock)),
        ("Present", words::several(input.people.len() as u64, "person", "people")),
    ]
}

/// Whether any rig has a critical part, in one sentence; unknown is never good.
fn critical(input: &ReportInput) -> Rich {
    let checks: Vec<_> = input.rigs.iter().filter_map(|rig| rig.checks.last().map(|c| (rig, c))).collect();
    if checks.is_empty() {
        return Rich::new().rubric("No rig was checked.");
    }
    let mut text = Rich::new();
    let mut worst: Vec<String> = Vec::new();
    let mut unknown = 0;
    for (rig, check) in &checks {
        let names = rigs::labels(check);
        for id in &check.report.main.critical_parts {
            worst.push(format!("{} ({})", rigs::label(&names, id), rig.name));
        }
        unknown += check.report.main.unknown_parts.len();
    }
    if !worst.is_empty() {
        text = text.rubric("Critical: ").plain(format!("{}. ", words::list(&worst)));
    }
    if unknown > 0 {
        let losses = words::several(unknown as u64, "single loss", "single losses");
        text = text.bold(format!("{losses} not checked. "));
    }
    if worst.is_empty() && unknown == 0 {
        let rigs = if checks.len() == 1 { "the rig" } else { "any rig" };
        text = text.bold("No single critical part ").plain(format!("in {rigs} as checked. "));
    }
    let mut always: Vec<String> = Vec::new();
    for (_, check) in &checks {
        let names = rigs::labels(check);
        for id in &check.report.main.always_critical {
            let name = rigs::label(&names, id);
            if !always.contains(&name) {
                always.push(name);
            }
        }
    }
    if always.is_empty() { text } else { text.plain(format!("Always critical: {}.", always.join(", "))) }
}

/// "38 m, 250 kg".
fn rig_facts(rig: &RigChapter) -> String {
    let Some(entered) = &rig.rig else { return rig.title.clone() };
    let height = words::number(entered.edge.height.to_metres());
    format!("{height} m, {} kg", words::number(entered.load.mass.to_kilograms()))
}

/// The verdicts of a rig's last check, worst first.
fn rig_lines(rig: &RigChapter) -> Vec<(Mark, Rich)> {
    let Some(check) = rig.checks.last() else {
        return vec![(Mark::NotChecked, Rich::new().bold("never checked"))];
    };
    let main = &check.report.main;
    let counts = rigs::counts(main);
    let mut out = Vec::new();
    let of = |verdict: Verdict| -> Vec<&PartFinding> {
        main.parts.iter().filter(|part| part.verdict == verdict).collect()
    };
    if counts.short > 0 {
        let parts: Vec<String> = of(Verdict::FallsShort).iter().map(|p| short_words(p)).collect();
        let rules = main.checks.iter().filter(|r| r.verdict == Verdict::FallsShort).map(|r| r.rule.clone());
        let named: Vec<String> = parts.into_iter().chain(rules).collect();
        let head = words::several(counts.short, "falls short", "fall short");
        let mut text = Rich::new().bold(head).plain(format!(": {}", named.join("; ")));
        let accepted = rig.signed.iter().find(|s| s.accepted && s.check_seq == Some(check.seq));
        if let Some(accepted) = accepted {
            text = text.plain(format!("; accepted by {}", accepted.person));
        }
        out.push((Mark::FallsShort, text));
    }
    if counts.unknown > 0 {
        let parts = of(Verdict::NotChecked).into_iter().map(|p| p.label.clone());
        let rules = main.checks.iter().filter(|r| r.verdict == Verdict::NotChecked).map(|r| r.rule.clone());
        let named: Vec<String> = parts.chain(rules).collect();
        let head = format!("{} not checked", counts.unknown);
        out.push((Mark::NotChecked, Rich::new().bold(head).plain(format!(": {}", named.join(", ")))));
    }
    if counts.hold > 0 {
        let weakest = of(Verdict::Holds)
            .into_iter()
            .filter_map(|p| p.margin.map(|m| (m, p)))
            .min_by(|(a, _), (b, _)| a.total_cmp(b));
        let weakest =
            weakest.map_or(String::new(), |(m, p)| format!("; weakest {}, {}", rigs::ratio(m), p.label));
        out.push((Mark::Holds, format!("{}{weakest}", words::several(counts.hold, "holds", "hold")).into()));
    }
    let acts = main.losses.iter().filter(|loss| loss.verdict == LossVerdict::HeldIfActs).count() as u64;
    if acts > 0 {
        let losses = words::several(acts, "loss", "losses");
        let text = Rich::new().plain(losses).bold(" held only if").plain(" someone acts in time");
        out.push((Mark::OnlyIf, text));
    }
    let signed = rigs::signers(rig, check.seq);
    let signed = if rig.stale { format!("{signed}; changed after the check") } else { signed };
    let text = Rich::from(format!("check {}, {signed}", check.seq));
    let is_signed = !rig.stale && signed.starts_with("signed");
    out.push((if is_signed { Mark::Good } else { Mark::Departs }, text));
    out
}

/// "V leg 1a, 9.2 : 1 of 10 : 1".
fn short_words(part: &PartFinding) -> String {
    match (part.margin, part.required) {
        (Some(margin), Some(required)) => {
            format!("{}, {} of {}", part.label, rigs::ratio(margin), rigs::required(required))
        }
        _ => part.label.clone(),
    }
}
