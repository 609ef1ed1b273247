//! One page: a drawing of the size of the sheet, and what the header says of it.

use super::rich::Rich;
use drawing::list::{Anchor, DisplayList, Ink, Item};
use drawing::metrics::{self, Lead, PT};
use drawing::{Mark, Run, Stroke, Type, pen, size};
use std::ops::{Deref, DerefMut};

/// What a page of the log shows of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// First and last entry number.
    pub entries: (u64, u64),
    /// First and last time, ms since the epoch.
    pub times: (i64, i64),
}

/// A stretch of a page that leads somewhere when it is touched.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Touch {
    /// Left, top, right and bottom, mm from the top left.
    pub area: [f64; 4],
    /// Where it leads.
    pub lead: Lead,
}

/// A page under way.
#[derive(Clone, Debug)]
pub struct Page {
    /// What is drawn on it.
    pub list: DisplayList,
    /// Words at the right of the header.
    pub section: String,
    /// What the page shows of the log.
    pub span: Option<Span>,
    /// What on it leads somewhere.
    pub touches: Vec<Touch>,
}

impl Deref for Page {
    type Target = DisplayList;
    fn deref(&self) -> &DisplayList {
        &self.list
    }
}

impl DerefMut for Page {
    fn deref_mut(&mut self) -> &mut DisplayList {
        &mut self.list
    }
}

impl Page {
    /// An empty page of a section.
    pub fn new(width: f64, height: f64, section: &str) -> Self {
        let list = DisplayList::new(width, height);
        Page { list, section: section.into(), span: None, touches: Vec::new() }
    }

    /// A level rule from `x`, `width` mm long, `weight` pt.
    pub fn rule(&mut self, x: f64, y: f64, width: f64, weight: f64) {
        self.list.line((x, y), (x + width, y), Stroke::solid(Ink::Ink, weight));
    }

    /// Regular black text from the left; returns its width.
    pub fn regular(&mut self, x: f64, y: f64, text: &str, size: f64) -> f64 {
        self.list.text((x, y), text, Type::regular(size))
    }

    /// Bold black text from the left; returns its width.
    pub fn bold(&mut self, x: f64, y: f64, text: &str, size: f64) -> f64 {
        self.list.text((x, y), text, Type::bold(size))
    }

    /// Regular black text that ends at `x`; returns its width.
    pub fn right(&mut self, x: f64, y: f64, text: &str, size: f64) -> f64 {
        self.list.text((x, y), text, Type::regular(size).end())
    }

    /// One broken line. A space at its end stays in the file: without it the words of two lines join
    /// when the text is taken out again.
    pub fn set_line(&mut self, at: (f64, f64), line: &[Run], size: f64, anchor: Anchor) {
        let total = metrics::line_width(line, size);
        let mut x = drawing::build::left_of(at.0, total, anchor);
        for run in line {
            let width = metrics::width(&run.text, run.face, size);
            if !run.text.trim().is_empty() {
                self.list.items.push(Item::Text {
                    x,
                    y: at.1,
                    size,
                    face: run.face,
                    anchor: Anchor::Start,
                    ink: run.ink,
                    text: run.text.clone(),
                    turn: 0.0,
                });
                if run.struck {
                    let y = at.1 - 0.26 * size * PT;
                    let end = x + metrics::width(run.text.trim_end(), run.face, size);
                    self.list.line((x - 0.2, y), (end + 0.2, y), Stroke::solid(Ink::Ink, pen::FINE));
                }
                if let Some(lead) = run.lead {
                    let end = x + metrics::width(run.text.trim_end(), run.face, size);
                    let area = [x - 0.3, at.1 - 0.85 * size * PT, end + 0.3, at.1 + 0.3 * size * PT];
                    self.touches.push(Touch { area, lead });
                }
            }
            x += width;
        }
    }

    /// A paragraph from the top of its first line box; returns the y below it.
    pub fn paragraph(&mut self, (x, top): (f64, f64), text: &Rich, width: f64, size: f64) -> f64 {
        let lines = text.wrap(width, size);
        self.lines((x, top), &lines, size)
    }

    /// Broken lines from the top of the first line box; returns the y below them.
    pub fn lines(&mut self, (x, top): (f64, f64), lines: &[Vec<Run>], size: f64) -> f64 {
        let lead = size::leading(size);
        let mut y = top;
        for line in lines {
            self.set_line((x, y + metrics::baseline(size, lead)), line, size, Anchor::Start);
            y += lead;
        }
        y
    }

    /// A mark, 2.5 mm across, about a middle. An order nobody read back is rubric on paper.
    pub fn mark(&mut self, mark: Mark, cx: f64, cy: f64) {
        let ink = if mark == Mark::Silent { Ink::Rubric } else { mark.ink() };
        mark.draw_in(&mut self.list, cx, cy, 2.5, ink);
    }

    /// A paragraph of at most `most` lines; the last says "…" when words were left out.
    pub fn short_paragraph(
        &mut self,
        at: (f64, f64),
        text: &Rich,
        width: f64,
        size: f64,
        most: usize,
    ) -> f64 {
        self.lines(at, &shortened(text, width, size, most), size)
    }
}

/// Lines of a text, at most `most`; the last says "…" when words were left out.
pub fn shortened(text: &Rich, width: f64, size: f64, most: usize) -> Vec<Vec<Run>> {
    let mut lines = text.wrap(width, size);
    if lines.len() > most {
        lines.truncate(most);
        if let Some(line) = lines.last_mut()
            && let Some((last, before)) = line.split_last_mut()
        {
            let used: f64 = before.iter().map(|run| metrics::width(&run.text, run.face, size)).sum();
            let wanted = format!("{} …", last.text.trim_end());
            last.text = if metrics::width(&wanted, last.face, size) <= width - used {
                wanted
            } else {
                metrics::fit(&format!("{wanted}…"), last.face, size, width - used)
            };
        }
    }
    lines
}
