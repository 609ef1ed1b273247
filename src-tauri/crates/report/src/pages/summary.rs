//! Page 1: the whole on one page, always. The picture gives way first, then findings, then rigs.

use super::measures::MOST_ENTRIES;
use super::said::{self, Standing};
use crate::input::{ReportInput, RigChapter};
use crate::kit::book::Bookmark;
use crate::kit::page::shortened;
use crate::kit::{Book, MEASURE, Page, Rich, column, columns};
use crate::words::{self, Clock};
use drawing::list::Anchor;
use drawing::metrics::Lead;
use drawing::picture;
use drawing::{Type, metrics, pen, size};
use rig::findings::CAUTION;

/// Heights of the picture's curve, from the most to the least.
const CURVES: [f64; 7] = [38.0, 34.0, 30.0, 27.0, 24.0, 21.0, 16.0];
/// Numbers of findings.
const FINDINGS: [usize; 5] = [5, 4, 3, 2, 1];
/// Rigs and lines of a verdict.
const RIGS: [(usize, usize); 7] = [(3, 3), (3, 2), (2, 2), (2, 1), (1, 2), (1, 1), (0, 1)];
/// A curve below this gives way no more before findings do.
const LEAST_CURVE: f64 = 21.0;

/// Lines that a fact and a finding may take.
#[derive(Clone, Copy)]
struct Room {
    fact: usize,
    finding: usize,
}

/// Nothing is cut while this fits; the second is for words without end.
const ROOMS: [Room; 2] = [Room { fact: 8, finding: 9 }, Room { fact: 3, finding: 3 }];

/// Stops that are told where none of them finds room for a number.
const UNNUMBERED: usize = 4;

/// Lines that the contents may take.
const CONTENTS: usize = 3;

/// Of what is to be changed so much is told at least, where there is so much and it has room.
const CHANGES: [usize; 3] = [2, 1, 0];
/// Lines of each.
const CHANGE_LINES: usize = 3;

/// Height of caution and record at the foot, mm.
const FOOT: f64 = 20.6;

/// Makes the page; the other pages stand in `book`, so that it can name them.
pub fn page(book: &Book, input: &ReportInput) -> Page {
    let standing = Standing::of(&input.review.findings);
    let full = |(findings, rigs): (usize, usize)| findings == 0 && rigs < 2;
    let choose = |changes: usize, room: Room| {
        let mut fitting = CURVES.iter().filter_map(|curve| {
            let (findings, rigs) = Sheet::new((book, input, &standing), *curve, room).fitting(changes);
            Some((room, *curve, (findings?, rigs?)))
        });
        let found = fitting.find(|(_, curve, shares)| full(*shares) || *curve <= LEAST_CURVE)?;
        // Before a rig goes untold, less is said of what is to be changed.
        let told = changes == 0 || input.rigs.is_empty() || RIGS[found.2.1].0 > 0;
        told.then_some((changes, found))
    };
    let chosen =
        CHANGES.into_iter().find_map(|changes| ROOMS.into_iter().find_map(|room| choose(changes, room)));
    let (changes, (room, least, (findings, rigs))) =
        chosen.unwrap_or((0, (ROOMS[1], 16.0, (FINDINGS.len() - 1, RIGS.len() - 1))));
    let (findings, rigs) = (FINDINGS[findings], RIGS[rigs]);
    let sheet = |curve: f64| Sheet::new((book, input, &standing), curve, room);
    // What those leave goes back to the picture.
    let fits = |curve: &f64| sheet(*curve).fits(findings, rigs, changes);
    let curve = CURVES.into_iter().find(|c| *c <= least || fits(c)).unwrap_or(least);
    sheet(curve).finish(findings, rigs)
}

/// The page under way.
struct Sheet<'a> {
    book: &'a Book,
    input: &'a ReportInput,
    standing: &'a Standing<'a>,
    clock: Clock,
    page: Page,
    x: f64,
    y: f64,
    room: Room,
    /// Places of the stops that carry a number in the picture.
    numbered: Vec<usize>,
}

impl<'a> Sheet<'a> {
    /// Everything above the two columns.
    fn new(
        (book, input, standing): (&'a Book, &'a ReportInput, &'a Standing<'a>),
        curve: f64,
        room: Room,
    ) -> Self {
        let page = Page::new(book.paper.width(), book.paper.height(), "Summary");
        let clock = Clock::new(input.operation.offset_min);
        let y = if input.operation.drill { 17.6 } else { 16.5 };
        let mut sheet =
            Sheet { book, input, standing, clock, page, x: book.left(), y, room, numbered: Vec::new() };
        sheet.head();
        sheet.outcome();
        sheet.facts();
        sheet.picture(curve);
        sheet.stops();
        sheet
    }

    /// Top of caution and record.
    fn foot_top(&self) -> f64 {
        self.book.bottom() - FOOT
    }

    /// Where the list of pages goes.
    fn pages_top(&self) -> f64 {
        self.foot_top() - 1.6 - size::leading(size::XS) * self.page_lines().len() as f64
    }

    /// The most findings and the most of the rigs that fit, as places in the lists of shares.
    fn fitting(&self, changes: usize) -> (Option<usize>, Option<usize>) {
        let limit = self.pages_top() - 1.0;
        let findings = FINDINGS.iter().position(|n| self.findings(&mut self.blank(), *n) <= limit);
        let rigs = RIGS.iter().position(|share| self.right(&mut self.blank(), *share, changes) <= limit);
        (findings, rigs)
    }

    /// Whether these shares fit.
    fn fits(&self, findings: usize, rigs: (usize, usize), changes: usize) -> bool {
        let limit = self.pages_top() - 1.0;
        self.findings(&mut self.blank(), findings) <= limit
            && self.right(&mut self.blank(), rigs, changes) <= limit
    }

    /// A sheet to measure on.
    fn blank(&self) -> Page {
        Page::new(self.book.paper.width(), self.book.paper.height(), "")
    }

    /// Sets what is left and hands the page over.
    fn finish(mut self, findings: usize, rigs: (usize, usize)) -> Page {
        let mut page = std::mem::replace(&mut self.page, Page::new(0.0, 0.0, ""));
        let left = self.findings(&mut page, findings);
        let limit = self.pages_top() - 1.0;
        let all = said::to_change(self.input).len();
        let changes = (1..=all).rev().find(|most| self.right(&mut self.blank(), rigs, *most) <= limit);
        let right = self.right(&mut page, rigs, changes.unwrap_or(0));
        let top = (left.max(right) + 1.0).min(self.pages_top());
        page.lines((self.x, top), &self.page_lines(), size::XS);
        self.foot(&mut page);
        page
    }

    fn head(&mut self) {
        let (x, y) = (self.x, self.y);
        let kind = if self.input.names_removed {
            "After-action report, names removed"
        } else {
            "After-action report"
        };
        self.page.bold(x, y + 3.0, kind, size::S);
        let made = match self.input.operation.closed_ms {
            Some(ms) => format!("made from the record when it was closed, {}", self.clock.hm(ms)),
            None if !self.input.record.missing.is_empty() => {
                let at = self.clock.hm(self.input.record.last_ms);
                format!("made as far as the record is whole, to {at}")
            }
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
        let text = said::outcome(self.input, self.clock);
        let lines = shortened(&text, MEASURE, size::L, 4);
        self.y = self.page.lines((self.x, self.y), &lines, size::L) + 2.4;
    }

    fn facts(&mut self) {
        let (starts, widths) = ([0.0, 59.0, 103.0, 139.0], [55.4, 40.4, 32.4, 35.0]);
        let x = self.x;
        self.page.rule(x, self.y, MEASURE, pen::HAIR);
        self.y += 1.6;
        let facts = said::facts(self.input, self.clock);
        for row in facts.chunks(4) {
            let mut below = self.y;
            for ((start, width), (label, text)) in starts.iter().zip(widths).zip(row) {
                let base = self.y + metrics::baseline(size::XS, 3.2);
                self.page.regular(x + start, base, label, size::XS);
                let lines = shortened(&Rich::from(text.as_str()), width, size::M, self.room.fact);
                below = below.max(self.page.lines((x + start, self.y + 3.4), &lines, size::M));
            }
            self.y = below + 1.2;
        }
        self.y += 0.4;
        self.page.rule(x, self.y, MEASURE, pen::HAIR);
        self.y += 2.6;
    }

    fn picture(&mut self, curve: f64) {
        let picture = super::picture::draw(self.input, curve);
        self.page.place(&picture.list, self.x, self.y);
        self.y += picture.list.height + 1.0;
        let legend = picture::legend(MEASURE);
        self.page.place(&legend, self.x, self.y);
        self.y += legend.height + 1.6;
        self.numbered = picture.numbered;
    }

    fn stops(&mut self) {
        let stops = &self.input.review.stops;
        if stops.is_empty() {
            return;
        }
        let whole = self.stop_lines(None);
        let lines = if whole.wrap(MEASURE, size::S).len() <= 5 {
            whole
        } else {
            // Many stops share four lines; the whole of each stands with the measures.
            self.stop_lines(Some((330.0 / self.numbered.len().max(1) as f64 - 20.0).clamp(44.0, 130.0)))
        };
        let lines = shortened(&lines, MEASURE, size::S, 5);
        self.y = self.page.lines((self.x, self.y), &lines, size::S) + 2.4;
    }

    /// The stops that carry a number in the picture, each cause within `room` mm where it is given.
    fn stop_lines(&self, room: Option<f64>) -> Rich {
        let stops = &self.input.review.stops;
        let mut text = Rich::new().bold("Stops ");
        for (i, stop) in self.numbered.iter().filter_map(|at| stops.get(*at)).enumerate() {
            let gap = if i > 0 { " · " } else { "" };
            text =
                text.plain(gap).bold(format!("{} ", i + 1)).plain(said::stop_words(stop, self.clock, room));
        }
        if self.numbered.is_empty() {
            // The picture has no room for a number: the first are told all the same.
            let told: Vec<String> =
                stops.iter().take(UNNUMBERED).map(|s| said::stop_words(s, self.clock, room)).collect();
            text = text.plain(told.join(" · "));
        }
        let told = if self.numbered.is_empty() { UNNUMBERED } else { self.numbered.len() };
        let rest = stops.len().saturating_sub(told);
        if rest > 0 {
            text = text.plain(format!(" · {rest} more"));
        }
        text
    }

    /// "page 12", leading there.
    /// The page of the first section whose title begins so.
    fn page_of(&self, title: &str) -> Option<Rich> {
        let mark = self.book.bookmarks.iter().find(|b| b.level == 1 && b.section().starts_with(title));
        mark.map(|b| Rich::new().leading(format!("page {}", b.page + 1), Lead::Place(b.page, b.y)))
    }

    fn findings(&self, page: &mut Page, most: usize) -> f64 {
        let (x, width) = (self.x, columns(7));
        let mut y = self.y;
        page.rule(x, y, width, pen::MED);
        page.bold(x, y + 4.6, "What stands out", size::M);
        if let Some(at) = self.page_of("Measures") {
            let words = Rich::from("all findings: ").then(at);
            for line in words.wrap(width, size::XS).iter().take(1) {
                page.set_line((x + width, y + 4.6), line, size::XS, Anchor::End);
            }
        }
        y += 6.6;
        let chosen = self.standing.chosen(most);
        if chosen.is_empty() {
            return page.paragraph((x, y), &said::nothing_found(self.input).into(), width, size::S);
        }
        for (finding, more) in chosen {
            page.mark(super::measures::mark(finding), x + 1.5, y + 1.85);
            let lines = shortened(&super::measures::words(finding), width - 4.6, size::S, self.room.finding);
            y = page.lines((x + 4.6, y), &lines, size::S);
            if finding.entries.is_empty() {
                y += 1.5;
                continue;
            }
            let mut entries = words::entries_leading(&finding.entries, MOST_ENTRIES);
            if more > 0 {
                entries = Rich::from(format!("{more} more of this kind; ")).then(entries);
            }
            page.short_paragraph((x + 4.6, y - 0.1), &entries, width - 4.6, size::XS, 1);
            y += 4.7;
        }
        y
    }

    /// The rigs, and below them what is to be changed.
    fn right(&self, page: &mut Page, share: (usize, usize), changes: usize) -> f64 {
        let y = self.rigs(page, share);
        self.changes(page, y, changes)
    }

    /// What someone says is to be changed, and gear that is out of use: the page says what to do and not only what happened.
    fn changes(&self, page: &mut Page, mut y: f64, most: usize) -> f64 {
        let all = said::to_change(self.input);
        if all.is_empty() || most == 0 {
            return y;
        }
        let (x, width) = (self.x + column(7) + 3.6, columns(5) - 3.6);
        y += 2.2;
        page.rule(x, y, width, pen::MED);
        page.bold(x, y + 4.6, "To change, as people said", size::M);
        y += 6.6;
        for (words, seq) in all.iter().take(most) {
            let words = words.clone().plain(" · ").then(words::entries_leading(&[*seq], 1));
            let lines = shortened(&words, width, size::S, CHANGE_LINES);
            y = page.lines((x, y), &lines, size::S) + 0.7;
        }
        let rest = all.len().saturating_sub(most);
        if rest > 0 {
            let more = Rich::from(format!("{rest} more"));
            let at = self.page_of("Lessons").map_or(Rich::new(), |page| Rich::from(": ").then(page));
            y = page.paragraph((x, y), &more.then(at), width, size::S);
        }
        y
    }

    fn rigs(&self, page: &mut Page, (most, lines): (usize, usize)) -> f64 {
        let (x, width) = (self.x + column(7) + 3.6, columns(5) - 3.6);
        let mut y = self.y;
        page.rule(x, y, width, pen::MED);
        page.bold(x, y + 4.6, "The rigs, as checked and signed", size::M);
        y += 6.6;
        if self.input.rigs.is_empty() {
            return page.paragraph((x, y), &"No rig was entered.".into(), width, size::S);
        }
        y = page.short_paragraph((x, y), &said::critical(self.input), width, size::S, 2 * lines + 1) + 1.4;
        for rig in self.input.rigs.iter().take(most) {
            y = self.one_rig(page, rig, (x, y), width, lines);
        }
        let rest = self.input.rigs.len().saturating_sub(most);
        if rest > 0 {
            let (one, several) = if most == 0 { ("rig", "rigs") } else { ("more rig", "more rigs") };
            let more = words::several(rest as u64, one, several);
            let from = self.page_of("Rig").map_or(Rich::new(), |page| Rich::from(", from ").then(page));
            y = page.paragraph((x, y), &Rich::from(more).then(from), width, size::S);
        }
        y
    }

    fn one_rig(
        &self,
        page: &mut Page,
        rig: &RigChapter,
        (x, mut y): (f64, f64),
        width: f64,
        most: usize,
    ) -> f64 {
        let name = format!("{}  {}", words::capital(&rig.name), said::rig_facts(rig, self.input.units));
        let name = crate::kit::rich::cut(name.trim(), width, size::S, drawing::Face::Bold);
        page.bold(x, y + metrics::baseline(size::S, 3.6), &name, size::S);
        y += 4.2;
        for (mark, whole, brief) in said::rig_lines(rig) {
            page.mark(mark, x + 1.5, y + 1.8);
            // Names that would be cut are left to the rig's own pages.
            let text = if whole.wrap(width - 4.6, size::S).len() <= most { whole } else { brief };
            let lines = shortened(&text, width - 4.6, size::S, most);
            y = page.lines((x + 4.6, y), &lines, size::S) + 0.7;
        }
        y + 0.8
    }

    /// What stands over caution and record: the contents, and the units where they are not SI.
    fn page_lines(&self) -> Vec<Vec<drawing::Run>> {
        let mut lines = self.contents();
        let units = said::units_words(self.input.units);
        if !units.is_empty() {
            lines.extend(Rich::new().bold("Units  ").plain(units).wrap(MEASURE, size::XS));
        }
        lines
    }

    /// Where each section begins, leading there. Rigs without end share one place.
    fn contents(&self) -> Vec<Vec<drawing::Run>> {
        let sections: Vec<&Bookmark> = self.book.bookmarks.iter().filter(|b| b.level == 1).collect();
        let whole = contents(&sections, usize::MAX).wrap(MEASURE, size::XS);
        if whole.len() <= CONTENTS {
            return whole;
        }
        let fewer = (0..self.input.rigs.len()).rev().map(|most| contents(&sections, most));
        let fitting = fewer.map(|text| text.wrap(MEASURE, size::XS)).find(|lines| lines.len() <= CONTENTS);
        fitting.unwrap_or_else(|| shortened(&contents(&sections, 0), MEASURE, size::XS, CONTENTS))
    }

    fn foot(&self, page: &mut Page) {
        let top = self.foot_top();
        let (x, width) = (self.x, columns(7));
        let (rx, right) = (x + column(7) + 3.6, columns(5) - 3.6);
        page.rule(x, top, width, pen::MED);
        page.rule(rx, top, right, pen::MED);
        page.bold(x, top + 4.4, "Caution", size::S);
        let caution = format!(
            "{CAUTION} Forces and margins rest on stated assumptions. “Not checked” means unknown, never good. \
             A fall is a band, never one figure."
        );
        page.paragraph((x, top + 5.6), &caution.into(), width, size::S);
        page.bold(rx, top + 4.4, "Record", size::S);
        let record = &self.input.record;
        let count = format!(
            "{} · {}",
            words::several(record.count, "entry", "entries"),
            words::several(record.stations.len() as u64, "station", "stations")
        );
        page.text((rx + right, top + 4.4), &count, Type::bold(size::S).end());
        for (i, four) in words::grouped(&record.head, 8).chunks(4).take(2).enumerate() {
            let line = Rich::new().mono(four.join(" ")).wrap(right, size::S);
            page.lines((rx, top + 5.6 + i as f64 * 3.6), &line[..1.min(line.len())], size::S);
        }
        let verify =
            self.page_of("Lessons").map_or(Rich::new(), |page| Rich::from("; how to verify it: ").then(page));
        let attached = if self.input.names_removed {
            "Names were removed: nothing is attached"
        } else {
            "The record is attached to this PDF"
        };
        let words = Rich::from(format!("Head of the record (SHA-256). {attached}")).then(verify).plain(".");
        page.short_paragraph((rx, top + 13.6), &words, right, size::XS, 2);
    }
}

/// Sections with their pages, of the rigs the first `most` by name and the rest counted.
fn contents(sections: &[&Bookmark], most: usize) -> Rich {
    let mut text = Rich::new().bold("Contents");
    let is_rig = |mark: &&&Bookmark| mark.section().starts_with("Rig");
    let rest = sections.iter().filter(is_rig).count().saturating_sub(most);
    let mut rigs = 0;
    for (i, mark) in sections.iter().enumerate() {
        let mut title = mark.section().to_string();
        if is_rig(&mark) {
            rigs += 1;
            if rigs - 1 > most {
                continue;
            }
            if rigs > most {
                title = words::several(rest as u64, "more rig, from", "more rigs, from");
            }
        }
        let gap = if i == 0 { "  " } else { " · " };
        text = text.plain(gap).leading(format!("{title} {}", mark.page + 1), Lead::Place(mark.page, mark.y));
    }
    text
}
