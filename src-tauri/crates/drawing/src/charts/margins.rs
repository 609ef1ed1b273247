//! Margins now and after the worst single loss, on a logarithmic scale from 1 : 1 to 40 : 1.

use super::{S, SB, XS, label, lines, ring, row_height};
use crate::build::pen;
use crate::list::{DisplayList, Ink, Stroke};
use crate::marks::Mark;
use crate::words::tenths_down;
use ::rig::findings::Verdict;

/// Margins of one part.
#[derive(Clone, Debug)]
pub struct Margin {
    /// The part.
    pub label: String,
    /// Its verdict now.
    pub verdict: Verdict,
    /// Margin now; `None`: not known.
    pub now: Option<f64>,
    /// Margin required now.
    pub required: Option<f64>,
    /// Margin after the loss that leaves the least of it; `None`: not known.
    pub after: Option<f64>,
    /// Margin required after a loss.
    pub required_after: Option<f64>,
    /// Which loss that is, or why nothing is known.
    pub which: String,
}

const NAMES: f64 = 32.0;
const NUMBERS: f64 = 70.0;
const TICKS: [f64; 7] = [1.0, 2.0, 3.0, 5.0, 10.0, 20.0, 40.0];

/// Height of a row of one line, mm; and of one that stands close, for a page that would run over by little.
pub const ROWS: [f64; 2] = [4.6, 4.0];

/// The chart, rows in the order given, each `least` mm high or more.
pub fn margins(rows: &[Margin], width: f64, least: f64) -> DisplayList {
    let bars = width - NAMES - NUMBERS;
    let x = |margin: f64| {
        let share = libm::log(margin.max(1e-6)) / libm::log(40.0);
        NAMES + (7.0 + share * (bars - 14.0)).clamp(1.4, bars - 1.4)
    };
    let columns = (NAMES + bars + 12.0, NAMES + bars + 24.0, NAMES + bars + 28.0);
    let text: Vec<(Vec<String>, Vec<String>)> = rows
        .iter()
        .map(|r| (lines(&r.label, S, NAMES - 1.5), lines(&r.which, S, width - columns.2)))
        .collect();
    let height = |(name, which): &(Vec<String>, Vec<String>)| row_height(name.len().max(which.len()), least);
    let foot = 4.2 + text.iter().map(height).sum::<f64>() + 0.8;
    let mut list = DisplayList::new(width, foot + 0.6);
    heads(&mut list, columns, width, &x);
    for tick in TICKS {
        let stroke = Stroke::solid(Ink::Ink, if tick == 1.0 { pen::FINE } else { pen::HAIR });
        let stroke = if tick == 1.0 { stroke } else { stroke.dashed(0.2, 1.0) };
        list.line((x(tick), 4.2), (x(tick), foot), stroke);
    }
    let mut y = 4.2;
    for (row, text) in rows.iter().zip(&text) {
        let middle = y + least / 2.0 + 0.4;
        for required in [row.required, row.required_after].into_iter().flatten().filter(|r| r.is_finite()) {
            let dashed = Stroke::solid(Ink::Ink, pen::FINE).dashed(1.5, 0.8);
            list.line((x(required), y), (x(required), y + height(text)), dashed);
        }
        label(&mut list, 0.0, middle + 0.95, &text.0, S);
        label(&mut list, columns.2, middle + 0.95, &text.1, S);
        marks(&mut list, row, middle, &x);
        numbers(&mut list, row, middle + 0.95, columns);
        y += height(text);
    }
    list.line((0.0, foot), (width, foot), Stroke::solid(Ink::Ink, pen::HAIR));
    list
}

fn heads(list: &mut DisplayList, columns: (f64, f64, f64), width: f64, x: &impl Fn(f64) -> f64) {
    list.line((0.0, 0.0), (width, 0.0), Stroke::solid(Ink::Ink, pen::MED));
    list.text((columns.0, 2.9), "now", XS.end());
    list.text((columns.1, 2.9), "after", XS.end());
    list.text((columns.2, 2.9), "which loss", XS);
    for tick in TICKS {
        let ends = [1.0, 10.0, 40.0].contains(&tick);
        let words = if ends { format!("{tick:.0} : 1") } else { format!("{tick:.0}") };
        list.text((x(tick), 2.9), &words, XS.middle());
    }
    list.line((0.0, 4.2), (width, 4.2), Stroke::solid(Ink::Ink, pen::FINE));
}

fn marks(list: &mut DisplayList, row: &Margin, y: f64, x: &impl Fn(f64) -> f64) {
    let now = row.now.filter(|m| m.is_finite());
    let after = row.after.filter(|m| m.is_finite());
    if let (Some(now), Some(after)) = (now, after) {
        list.line((x(now), y), (x(after), y), Stroke::solid(Ink::Ink, pen::MED));
    }
    if let Some(after) = after {
        ring(list, (x(after), y), 1.0, false);
    }
    match (row.verdict, now) {
        (Verdict::NotChecked, _) | (_, None) => {
            // The word stands where no ring of this row can be: right of the last line.
            let at = after.map_or(x(1.0) + 3.0, |after| x(after) + 3.0).min(x(8.0));
            Mark::NotChecked.draw(list, at, y, 2.4);
            list.text_on_patch((at + 2.4, y + 0.95), "not checked", SB, 0.4);
        }
        (_, Some(now)) if x(now * 0.99) == x(now) => beyond(list, x(now), y, now > 1.0),
        (Verdict::FallsShort, Some(now)) => Mark::FallsShort.draw(list, x(now), y, 2.4),
        (Verdict::Holds, Some(now)) => ring(list, (x(now), y), 1.0, true),
    }
}

/// An arrow where a margin lies off the scale; its number stands beside.
fn beyond(list: &mut DisplayList, x: f64, y: f64, high: bool) {
    let way = if high { 1.0 } else { -1.0 };
    list.polygon(&[(x - way, y - 1.2), (x - way, y + 1.2), (x + way, y)], Some(Ink::Ink), None);
}

fn numbers(list: &mut DisplayList, row: &Margin, y: f64, columns: (f64, f64, f64)) {
    let words = |margin: Option<f64>| margin.filter(|m| m.is_finite()).map_or("–".to_string(), tenths_down);
    let set = if row.verdict == Verdict::FallsShort { SB.ink(Ink::Rubric) } else { S };
    let now = if row.verdict == Verdict::NotChecked { "?".to_string() } else { words(row.now) };
    list.text((columns.0, y), &now, set.end());
    let over = matches!((row.after, row.required_after), (Some(after), Some(required)) if after < required);
    let set = if over { SB.ink(Ink::Rubric) } else { S };
    list.text((columns.1, y), &words(row.after), set.end());
}
