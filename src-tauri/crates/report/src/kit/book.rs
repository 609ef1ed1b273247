//! The book: pages in order, bookmarks, and header and footer once the number of pages is known.

use super::page::Page;
use super::rich::cut;
use super::{MEASURE, Paper, TOP};
use drawing::list::{Anchor, Face, Ink};
use drawing::{Stroke, Type, metrics, pen, size};
use std::collections::BTreeMap;

/// A bookmark.
#[derive(Clone, Debug, PartialEq)]
pub struct Bookmark {
    /// 1 for a section, 2 for what lies inside it.
    pub level: usize,
    /// Its words.
    pub title: String,
    /// Page, from 0.
    pub page: usize,
    /// Place on the page, mm from the top.
    pub y: f64,
}

impl Bookmark {
    /// The title of a section, without its number.
    pub fn section(&self) -> &str {
        self.title.split_once(' ').map_or(self.title.as_str(), |(_, title)| title)
    }
}

/// What header and footer say on every page.
#[derive(Clone, Debug)]
pub struct Running {
    /// Name of the operation.
    pub name: String,
    /// Drill or rescue.
    pub drill: bool,
    /// "Saturday 17 October 2026".
    pub date: String,
    /// "188 entries · head 055f 80e5 4242 … · station top".
    pub record: String,
}

/// Pages under way.
#[derive(Clone, Debug)]
pub struct Book {
    /// The sheet.
    pub paper: Paper,
    /// Pages so far; never empty once the first is begun.
    pub pages: Vec<Page>,
    /// Where the next thing goes, mm from the top.
    pub y: f64,
    /// Bookmarks in reading order.
    pub bookmarks: Vec<Bookmark>,
    /// Where each entry of the log stands: page, from 0, and mm from its top.
    pub entries: BTreeMap<u64, (usize, f64)>,
    /// Where the margins lie.
    pub frame: Frame,
    /// The section that pages begun from here on belong to.
    section: String,
    /// The number of the last section; the first page is section 1.
    numbered: usize,
}

/// Items of a page's head and foot, but for the ticks of the sections: the band of a drill, two lines, the rope, four words.
const HEAD_AND_FOOT: usize = 18;

/// Air between two sections on one page, mm.
const BETWEEN: f64 = 7.0;

/// Margins of every page of a book.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Top of the content, mm.
    pub top: f64,
    /// Room below the content, mm.
    pub foot: f64,
    /// Set on the sheet turned, `Some` mm wide between margins.
    pub turned: Option<f64>,
}

impl Default for Frame {
    /// The report's.
    fn default() -> Self {
        Frame { top: TOP, foot: 20.0, turned: None }
    }
}

impl Book {
    /// A book whose first page belongs to `section`.
    pub fn new(paper: Paper, section: &str) -> Self {
        Book::framed(paper, section, Frame::default())
    }

    /// The same with margins of its own.
    pub fn framed(paper: Paper, section: &str, frame: Frame) -> Self {
        let mut book = Book {
            paper,
            pages: Vec::new(),
            y: frame.top,
            bookmarks: Vec::new(),
            entries: BTreeMap::new(),
            frame,
            section: String::new(),
            numbered: 1,
        };
        book.open(section);
        book
    }

    /// Width and height of the sheet as it is set.
    pub fn sheet(&self) -> (f64, f64) {
        let (width, height) = (self.paper.width(), self.paper.height());
        if self.frame.turned.is_some() { (height, width) } else { (width, height) }
    }

    /// Width between the margins, mm.
    pub fn measure(&self) -> f64 {
        self.frame.turned.unwrap_or(MEASURE)
    }

    /// Begins a page.
    pub fn open(&mut self, section: &str) {
        let (width, height) = self.sheet();
        // A page that is set grows no more, but by its head and foot.
        if let Some(set) = self.pages.last_mut() {
            set.list.items.shrink_to_fit();
        }
        self.pages.push(Page::new(width, height, section));
        self.section = section.into();
        self.y = self.frame.top;
    }

    /// Begins a page of the same section.
    pub fn same_section(&mut self) {
        let section = self.section.clone();
        self.open(&section);
    }

    /// Sets a section below what stands on the page, where the whole of it fits there; else on a page of its own.
    pub fn below_or_open(&mut self, section: &str, set: impl Fn(&mut Book)) {
        let mut below = self.clone();
        below.y += BETWEEN;
        let page = below.page();
        page.section = format!("{} · {section}", page.section);
        below.section = section.into();
        set(&mut below);
        if below.pages.len() == self.pages.len() && below.room() >= 0.0 {
            *self = below;
        } else {
            self.open(section);
            set(self);
        }
    }

    /// The page under way.
    pub fn page(&mut self) -> &mut Page {
        let last = self.pages.len() - 1;
        &mut self.pages[last]
    }

    /// Left edge of the measure.
    pub fn left(&self) -> f64 {
        (self.sheet().0 - self.measure()) / 2.0
    }

    /// Bottom of the content.
    pub fn bottom(&self) -> f64 {
        self.sheet().1 - self.frame.foot
    }

    /// What the page leaves, mm.
    pub fn room(&self) -> f64 {
        self.bottom() - self.y
    }

    /// Room of an empty page, mm.
    pub fn full(&self) -> f64 {
        self.bottom() - self.frame.top
    }

    /// Whether the page is still empty.
    pub fn at_top(&self) -> bool {
        self.y <= self.frame.top + 1e-9
    }

    /// A new page of the same section, unless this one leaves `need` mm.
    pub fn need(&mut self, need: f64) {
        if self.room() < need && !self.at_top() {
            self.same_section();
        }
    }

    /// Marks this place.
    pub fn bookmark(&mut self, level: usize, title: &str) {
        let (page, y) = (self.pages.len() - 1, self.y);
        self.bookmarks.push(Bookmark { level, title: title.into(), page, y });
    }

    /// Head of a section: a rule, the number that follows the one before and the title, a note at the right, a bookmark; 11 mm in
    /// all.
    pub fn head(&mut self, title: &str, note: &str) {
        self.numbered += 1;
        let number = self.numbered.to_string();
        self.bookmark(1, &format!("{number} {title}"));
        self.plain_head(&number, title, note);
    }

    /// The same without a bookmark.
    pub fn plain_head(&mut self, number: &str, title: &str, note: &str) {
        let (x, y) = (self.left(), self.y);
        let page = self.page();
        page.rule(x, y, MEASURE, pen::MED);
        let start = if number.is_empty() { x } else { x + 8.0 };
        page.bold(x, y + 6.4, number, size::L);
        let used = start - x + metrics::width(title, Face::Bold, size::L);
        let note_room = metrics::width(note, Face::Regular, size::XS) + 4.0;
        if used + note_room > MEASURE {
            let shown = cut(title, MEASURE - (start - x) - note_room, size::L, Face::Bold);
            page.bold(start, y + 6.4, &shown, size::L);
        } else {
            page.bold(start, y + 6.4, title, size::L);
        }
        page.right(x + MEASURE, y + 6.4, note, size::XS);
        self.y += 11.0;
    }

    /// A sub-head with a note at the right; 5.2 mm in all.
    pub fn sub_head(&mut self, title: &str, note: &str) {
        let (x, y) = (self.left(), self.y);
        let base = y + metrics::baseline(size::M, size::leading(size::M));
        let measure = self.measure();
        let page = self.page();
        let used = page.bold(x, base, title, size::M);
        let note = cut(note, measure - used - 4.0, size::XS, Face::Regular);
        page.right(x + measure, base, &note, size::XS);
        self.y += 5.2;
    }

    /// The line that stands where something is missing ("No rig was entered.").
    pub fn nothing(&mut self, words: &str) {
        let (x, y) = (self.left(), self.y);
        let base = y + metrics::baseline(size::M, size::leading(size::M));
        self.page().regular(x, base, words, size::M);
        self.y += 8.0;
    }

    /// Draws header and footer on every page.
    pub fn finish(&mut self, running: &Running) {
        let count = self.pages.len();
        let sections: Vec<usize> = self.bookmarks.iter().filter(|b| b.level == 1).map(|b| b.page).collect();
        let (paper, x) = (self.paper, self.left());
        for (i, page) in self.pages.iter_mut().enumerate() {
            // No more than they take: a list that grows by itself doubles, on every page at once.
            page.list.items.reserve_exact(HEAD_AND_FOOT + sections.len());
            if running.drill {
                drill_band(page, x, MEASURE);
            }
            if i > 0 {
                header(page, x, &running.name);
            }
            rope(page, (x, paper.height() - 15.4), &sections, (i, count));
            footer(page, (x, paper.height() - 10.6), running, (i, count));
        }
    }
}

/// Three black boxes on a hatched band: seen at arm's length, and in a photocopy.
pub fn drill_band(page: &mut Page, x: f64, width: f64) {
    let (y, height) = (8.0, 4.8);
    page.hatch(x, y, width, height, 1.15, Ink::Ink, pen::FINE);
    for middle in [x + 8.7, x + width / 2.0, x + width - 8.7] {
        page.rect(middle - 9.8, y - 0.3, 19.6, height + 0.6, Some(Ink::Sheet), None);
        page.rect(middle - 8.7, y, 17.4, height, Some(Ink::Ink), None);
        page.text((middle, y + 3.55), "DRILL", Type::bold(size::M).ink(Ink::Sheet).middle());
    }
}

fn header(page: &mut Page, x: f64, name: &str) {
    let section = page.section.clone();
    let used = page.text((x + MEASURE, 18.0), &section, Type::bold(size::XS).end());
    let name = cut(name, MEASURE - used - 8.0, size::XS, Face::Regular);
    page.regular(x, 18.0, &name, size::XS);
}

/// A rope over the measure, a tick where each section starts, a knot where this page lies.
fn rope(page: &mut Page, (x, y): (f64, f64), sections: &[usize], (i, count): (usize, usize)) {
    page.rule(x, y, MEASURE, pen::FINE);
    let at = |page: usize| x + MEASURE * page as f64 / count as f64;
    for section in sections {
        let tick = at(*section);
        page.line((tick, y - 1.0), (tick, y + 1.0), Stroke::solid(Ink::Ink, pen::FINE));
    }
    let width = (at(i + 1) - at(i)).max(2.4);
    let start = ((at(i) + at(i + 1) - width) / 2.0).clamp(x, x + MEASURE - width);
    page.round_rect(start, y - 0.8, width, 1.6, 0.8, Some(Ink::Ink), None);
}

fn footer(page: &mut Page, (x, y): (f64, f64), running: &Running, (i, count): (usize, usize)) {
    let end = x + MEASURE;
    let number = format!("page {} of {count}", i + 1);
    let used = page.text((end, y), &number, Type { anchor: Anchor::End, ..Type::bold(size::XS) });
    let record = cut(&running.record, MEASURE - used - 6.0, size::XS, Face::Regular);
    page.regular(x, y, &record, size::XS);
    let below = y + size::leading(size::XS);
    if i > 0 {
        page.right(end, below, CAUTION_LINE, size::XS);
    }
    if running.drill {
        page.bold(x, below, &format!("DRILL, not a rescue · {}", running.date), size::XS);
    } else {
        page.regular(x, below, &format!("Rescue · {}", running.date), size::XS);
    }
}

/// The caution at the foot of every page but the first, which has it in full.
pub const CAUTION_LINE: &str =
    "Decision support only: local rules, the makers’ instructions and a qualified rigger come first.";
