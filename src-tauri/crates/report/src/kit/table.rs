//! Tables over pages: the head stands on each page, what belongs together stays together, a row
//! taller than what is left is cut by lines.

use super::book::Book;
use super::page::Span;
use super::rich::Rich;
use crate::share;
use drawing::Mark;
use drawing::list::Anchor;
use drawing::{Run, metrics, pen, size};

/// Air right of each column, mm.
const AIR: f64 = 1.5;
/// More air left of a left column that follows a right one, mm.
const AFTER_RIGHT: f64 = 2.6;
/// Room of a mark with its gap, mm.
const MARK_ROOM: f64 = 3.6;
/// Height of a line of a row, mm.
const LEAD: f64 = 3.6;
/// Air of a row above and below its lines, mm.
const ROW_AIR: f64 = 1.2;
/// The same, where that saves a few rows from a page of their own.
const TIGHT_AIR: f64 = 0.5;
/// A row of no more lines than this is not cut.
const WHOLE_LINES: usize = 8;
/// Rows that stay together with the order that began them.
const LOOP_ROWS: usize = 6;
/// Rows that a thread breaks into lines before it asks for more.
const ROWS_AT_ONCE: usize = 100;
/// Rows that stand after a break, at least.
const AFTER_BREAK: usize = 3;

/// Which side of a column its text stands on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// From the left.
    Left,
    /// Numbers.
    Right,
}

/// A column.
#[derive(Clone, Copy, Debug)]
pub struct Column {
    /// Its head.
    pub title: &'static str,
    /// Its width in mm.
    pub width: f64,
    /// Its side.
    pub align: Align,
}

/// A column of words.
pub const fn left(title: &'static str, width: f64) -> Column {
    Column { title, width, align: Align::Left }
}

/// A column of numbers.
pub const fn right(title: &'static str, width: f64) -> Column {
    Column { title, width, align: Align::Right }
}

/// An entry of the log, for running heads and bookmarks.
#[derive(Clone, Copy, Debug)]
pub struct EntryOfRow {
    /// Entry number.
    pub seq: u64,
    /// Time as written, ms since the epoch.
    pub at: i64,
    /// Hour of the day there and then.
    pub hour: u32,
}

/// A row.
#[derive(Clone, Debug, Default)]
pub struct Row {
    /// One text for each column.
    pub cells: Vec<Rich>,
    /// The column that has room for a mark, and the mark.
    pub mark: Option<(usize, Option<Mark>)>,
    /// Belongs to the row below: no rule between, no break.
    pub joined: bool,
    /// When the last cell is empty, the one before it takes its room.
    pub widen: bool,
    /// The entry it shows.
    pub entry: Option<EntryOfRow>,
}

impl Row {
    /// A row of texts.
    pub fn new(cells: Vec<Rich>) -> Self {
        Row { cells, ..Row::default() }
    }

    /// The same with a mark before the text of a column.
    pub fn marked(self, column: usize, mark: Mark) -> Self {
        Row { mark: Some((column, Some(mark))), ..self }
    }
}

/// A table.
#[derive(Clone, Debug, Default)]
pub struct Table {
    /// Sub-head above it and a note at the right.
    pub title: Option<(String, String)>,
    /// Columns.
    pub columns: Vec<Column>,
    /// Rows.
    pub rows: Vec<Row>,
    /// Twelve rows or fewer are not cut: the table goes to the next page whole.
    pub whole: bool,
    /// Bookmarks at each hour.
    pub hours: bool,
}

/// A row broken into lines.
struct Laid {
    cells: Vec<Vec<Vec<Run>>>,
    lines: usize,
}

impl Table {
    /// A table with a sub-head.
    pub fn titled(title: &str, note: &str, columns: &[Column], rows: Vec<Row>) -> Self {
        let title = Some((title.to_string(), note.to_string()));
        Table { title, columns: columns.to_vec(), rows, ..Table::default() }
    }

    fn indent(&self, column: usize) -> f64 {
        let follows_right = column > 0 && self.columns[column - 1].align == Align::Right;
        if follows_right && self.columns[column].align == Align::Left { AFTER_RIGHT } else { 0.0 }
    }

    fn lay(&self, row: &Row) -> Laid {
        let last = self.columns.len().saturating_sub(1);
        let spare = match row.cells.last() {
            Some(cell) if row.widen && cell.is_empty() => self.columns[last].width,
            _ => 0.0,
        };
        let cells: Vec<_> = self
            .columns
            .iter()
            .zip(&row.cells)
            .enumerate()
            .map(|(j, (column, cell))| {
                let mark = if row.mark.is_some_and(|(at, _)| at == j) { MARK_ROOM } else { 0.0 };
                let more = if j + 1 == last { spare } else { 0.0 };
                cell.wrap(column.width + more - AIR - mark - self.indent(j), size::S)
            })
            .collect();
        let lines = cells.iter().map(Vec::len).max().unwrap_or(1).max(1);
        Laid { cells, lines }
    }

    fn head_lines(&self) -> Vec<Vec<Vec<Run>>> {
        self.columns
            .iter()
            .enumerate()
            .map(|(j, c)| Rich::from(c.title).wrap(c.width - AIR - self.indent(j), size::XS))
            .collect()
    }

    fn head_height(&self) -> f64 {
        let lines = self.head_lines().iter().map(Vec::len).max().unwrap_or(1);
        lines as f64 * size::leading(size::XS) + 1.6
    }

    fn head(&self, book: &mut Book) {
        let (x, y) = (book.left(), book.y);
        let lead = size::leading(size::XS);
        let height = self.head_height();
        let width = self.columns.iter().map(|c| c.width).sum();
        let page = book.page();
        page.rule(x, y, width, pen::MED);
        let mut at = x;
        for (j, (column, lines)) in self.columns.iter().zip(self.head_lines()).enumerate() {
            for (i, line) in lines.iter().enumerate() {
                let above = (lines.len() - i) as f64 * lead;
                let base = y + height - 0.6 - above + metrics::baseline(size::XS, lead);
                match column.align {
                    Align::Right => {
                        page.set_line((at + column.width - AIR, base), line, size::XS, Anchor::End);
                    }
                    Align::Left => page.set_line((at + self.indent(j), base), line, size::XS, Anchor::Start),
                }
            }
            at += column.width;
        }
        page.rule(x, y + height, width, pen::FINE);
        book.y += height;
    }

    /// Sets the table from the book's cursor on.
    pub fn set(&self, book: &mut Book) {
        let some: Vec<&[Row]> = self.rows.chunks(ROWS_AT_ONCE).collect();
        let laid = share::each(&some, |rows| rows.iter().map(|row| self.lay(row)).collect::<Vec<Laid>>());
        let laid: Vec<Laid> = laid.into_iter().flatten().collect();
        let air = self.start(book, &laid);
        let heights: Vec<f64> = laid.iter().map(|row| row.lines as f64 * LEAD + air).collect();
        let may_break = self.breaks(&heights, book.full() - self.head_height());
        let mut hour = None;
        // Each row goes as it is set.
        for (i, (row, laid)) in self.rows.iter().zip(laid).enumerate() {
            if may_break[i] && i > 0 {
                let next = (i + 1..heights.len()).find(|k| may_break[*k]).unwrap_or(heights.len());
                let block: f64 = heights[i..next].iter().sum();
                let may_cut = next == i + 1 && laid.lines > WHOLE_LINES;
                let room = book.room();
                if block > room + 1e-9 && !(may_cut && room >= 3.0 * LEAD + air) {
                    self.next_page(book);
                }
            }
            if let Some(entry) = row.entry
                && self.hours
                && hour != Some(entry.hour)
            {
                hour = Some(entry.hour);
                let title = format!("{:02}:00, from entry {}", entry.hour, entry.seq);
                book.bookmark(2, &title);
            }
            self.set_row(book, row, &laid, air);
        }
        if self.rows.is_empty() {
            return;
        }
        let (x, y, width) = (book.left(), book.y, self.columns.iter().map(|c| c.width).sum());
        book.page().rule(x, y, width, pen::HAIR);
    }

    /// What the table needs of a page to begin on it, mm: whatever leads to it is kept on the same page.
    pub fn least(&self) -> f64 {
        let laid: Vec<Laid> = self.rows.iter().take(LOOP_ROWS).map(|row| self.lay(row)).collect();
        let lines: usize = laid.iter().map(|row| row.lines).sum();
        let need =
            self.title_height() + self.head_height() + lines as f64 * LEAD + laid.len() as f64 * ROW_AIR;
        self.least_of(&laid, need)
    }

    fn title_height(&self) -> f64 {
        if self.title.is_some() { 5.2 } else { 0.0 }
    }

    /// The same, of rows that are laid out and need so much in all.
    fn least_of(&self, laid: &[Laid], need: f64) -> f64 {
        let first = laid.first().map_or(0.0, |row| row.lines.min(WHOLE_LINES) as f64 * LEAD + ROW_AIR);
        (self.title_height() + self.head_height() + first).max(30.0).min(need)
    }

    /// Draws the sub-head and the head, on the next page if need be; returns the air of the rows.
    fn start(&self, book: &mut Book, laid: &[Laid]) -> f64 {
        let title = self.title_height();
        let lines: usize = laid.iter().map(|row| row.lines).sum();
        let rows = lines as f64 * LEAD + laid.len() as f64 * ROW_AIR;
        let need = title + self.head_height() + rows;
        let saved = laid.len() as f64 * (ROW_AIR - TIGHT_AIR);
        let tight = |room: f64| room < need && need <= room + 16.0 && need - saved <= room;
        let mut air = if tight(book.room()) { TIGHT_AIR } else { ROW_AIR };
        let fits = need <= book.room() || air < ROW_AIR;
        let whole = self.whole && laid.len() <= 12 && need <= book.full();
        let least = self.least_of(laid, need);
        if !book.at_top() && !fits && (whole || book.room() < least) {
            book.same_section();
            air = if tight(book.room()) { TIGHT_AIR } else { ROW_AIR };
        }
        if let Some((title, note)) = &self.title {
            book.sub_head(title, note);
        }
        self.head(book);
        air
    }

    /// Before which rows a page may end.
    fn breaks(&self, heights: &[f64], full: f64) -> Vec<bool> {
        let n = heights.len();
        let mut out = vec![true; n];
        let mut i = 0;
        while i < n {
            let mut end = i;
            while end + 1 < n && self.rows[end].joined {
                end += 1;
            }
            let height: f64 = heights[i..=end].iter().sum();
            if end - i < LOOP_ROWS && height <= full {
                out[i + 1..=end].fill(false);
            }
            i = end + 1;
        }
        // Never fewer than three rows after a break, unless that is more than a page.
        let from = (0..n.saturating_sub(AFTER_BREAK - 1)).rev().find(|k| out[*k]).unwrap_or(0);
        if heights[from..].iter().sum::<f64>() <= full {
            out[(from + 1).min(n)..].fill(false);
        }
        out
    }

    fn next_page(&self, book: &mut Book) {
        let (x, y, width) = (book.left(), book.y, self.columns.iter().map(|c| c.width).sum());
        book.page().rule(x, y, width, pen::HAIR);
        book.same_section();
        self.head(book);
    }

    /// Sets one row, over as many pages as it takes.
    fn set_row(&self, book: &mut Book, row: &Row, laid: &Laid, air: f64) {
        let mut done = 0;
        while done < laid.lines {
            let left = laid.lines - done;
            let fit = ((book.room() - air + 1e-9) / LEAD).floor().max(0.0) as usize;
            let mut take = left.min(fit);
            if take < left {
                // Two lines on each side of a cut, and room for the words below it.
                take = take.saturating_sub(1).min(left - 2);
                if take < 2 && book.y > book.frame.top + self.head_height() + 0.1 {
                    self.next_page(book);
                    continue;
                }
                take = take.max(1);
            }
            self.part_of_row(book, row, laid, (done, take), air);
            done += take;
            if done < laid.lines {
                let (x, y) = (book.left() + book.measure(), book.y);
                book.page().right(x, y + 2.6, "goes on", size::XS);
                self.next_page_after_cut(book);
            }
        }
        if !row.joined {
            let (x, y, width) = (book.left(), book.y, self.columns.iter().map(|c| c.width).sum());
            book.page().rule(x, y, width, pen::HAIR);
        }
    }

    fn next_page_after_cut(&self, book: &mut Book) {
        book.same_section();
        self.head(book);
    }

    fn part_of_row(&self, book: &mut Book, row: &Row, laid: &Laid, (start, take): (usize, usize), air: f64) {
        let (left, y) = (book.left(), book.y);
        if let Some(entry) = row.entry {
            // A row that goes on over the page is found where it begins.
            let place = (book.pages.len() - 1, y);
            book.entries.entry(entry.seq).or_insert(place);
        }
        let page = book.page();
        if let Some(entry) = row.entry {
            let span = page
                .span
                .get_or_insert(Span { entries: (entry.seq, entry.seq), times: (entry.at, entry.at) });
            span.entries.1 = entry.seq;
            span.times = (span.times.0.min(entry.at), span.times.1.max(entry.at));
        }
        let base = y + air / 2.0 + metrics::baseline(size::S, LEAD);
        let mut x = left;
        for (j, (column, lines)) in self.columns.iter().zip(&laid.cells).enumerate() {
            let mut indent = self.indent(j);
            if let Some((at, mark)) = row.mark
                && at == j
            {
                if let (Some(mark), 0) = (mark, start) {
                    page.mark(mark, x + indent + 1.4, y + air / 2.0 + LEAD / 2.0);
                }
                indent += MARK_ROOM;
            }
            // A row cut by the page shows its first cell again.
            let from = if j == 0 && start > 0 { 0 } else { start };
            for (i, line) in lines.iter().skip(from).take(take).enumerate() {
                let at = base + i as f64 * LEAD;
                match column.align {
                    Align::Right => page.set_line((x + column.width - AIR, at), line, size::S, Anchor::End),
                    Align::Left => page.set_line((x + indent, at), line, size::S, Anchor::Start),
                }
            }
            x += column.width;
        }
        book.y += take as f64 * LEAD + air;
    }
}
