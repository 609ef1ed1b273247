//! Page 1: the whole on one page, always. The picture gives way first, then findings, then rigs.

use super::said;
use crate::input::{ReportInput, RigChapter};
use crate::kit::page::shortened;
use crate::kit::{Book, MEASURE, Page, Rich, column, columns};
use crate::words::{self, Clock};
use drawing::{Type, metrics, pen, size};
use rig::findings::CAUTION;

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
        let text = said::outcome(self.input, self.clock);
        let lines = shortened(&text, MEASURE, size::L, 4);
        self.y = self.page.lines((self.x, self.y), &lines, size::L) + 2.4;
    }

    fn facts(&mut self) {
        let (starts, widths) = ([0.0, 67.0, 113.0, 149.0], [63.4, 42.4, 32.4, 25.0]);
        let x = self.x;
        self.page.rule(x, self.y, MEASURE, pen::HAIR);
        self.y += 1.6;
        let facts = said::facts(self.input, self.clock);
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
            text = text.plain(gap).bold(format!("{} ", i + 1)).plain(said::stop_words(stop, self.clock));
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
        let chosen = said::chosen(&self.input.review.findings, self.shares.findings);
        if chosen.is_empty() {
            return self.page.paragraph(
                (x, y),
                &"Nothing departed from the guidelines.".into(),
                width,
                size::S,
            );
        }
        for finding in chosen {
            self.page.mark(super::measures::mark(finding), x + 1.5, y + 1.85);
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
        y = self.page.short_paragraph((x, y), &said::critical(self.input), width, size::S, 6) + 1.4;
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
        let name = format!("{}  {}", words::capital(&rig.name), said::rig_facts(rig));
        let name = crate::kit::rich::cut(name.trim(), width, size::S, drawing::Face::Bold);
        self.page.bold(x, y + metrics::baseline(size::S, 3.6), &name, size::S);
        y += 4.2;
        for (mark, text) in said::rig_lines(rig) {
            self.page.mark(mark, x + 1.5, y + 1.8);
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
