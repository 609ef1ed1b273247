//! From order to readback, by role: a ring each, a heavy tick at the median, a dashed one at p90 from
//! five on; above sixty a whisker and a box. Numbers stand beside.

use super::{S, SB, Seconds, XS, label, lines, percentile, row_height, sorted};
use crate::build::pen;
use crate::list::{DisplayList, Ink, Stroke};
use crate::marks::Mark;

/// Readbacks of one role.
#[derive(Clone, Debug, Default)]
pub struct Delays {
    /// The role.
    pub role: String,
    /// Orders it was to read back.
    pub due: usize,
    /// Seconds to each right readback.
    pub right_s: Vec<f64>,
    /// Seconds to each wrong readback, where known.
    pub wrong_s: Vec<f64>,
    /// How many were read back wrong.
    pub wrong: usize,
    /// How many were never read back.
    pub never: usize,
}

/// Room of the role's name, mm.
const NAMES: f64 = 33.0;
/// Room of the numbers, mm.
const NUMBERS: f64 = 74.0;
/// Above so many readbacks rings become a box.
const MANY: usize = 60;
const HEADS: [(&str, f64); 6] =
    [("due", 16.0), ("median", 28.0), ("p90", 39.0), ("worst", 51.0), ("wrong", 62.0), ("never", 74.0)];

/// The chart, most asked roles first; roles that were asked once stand together in the last row.
pub fn delays(roles: &[Delays], width: f64) -> DisplayList {
    let rows = gathered(roles);
    let longest = rows.iter().flat_map(|r| r.right_s.iter().chain(&r.wrong_s)).copied();
    let longest = longest.filter(|s| s.is_finite()).fold(0.0, f64::max);
    let scale = Seconds::new(NAMES, (width - NAMES - NUMBERS).max(20.0), longest);
    let mut list = DisplayList::new(width, 0.0);
    list.text((NAMES, 2.4), "seconds from order to readback", XS);
    let numbers_at = NAMES + scale.width;
    for (words, right) in HEADS {
        list.text((numbers_at + right, 2.4), words, XS.end());
    }
    list.line((0.0, 3.6), (width, 3.6), Stroke::solid(Ink::Ink, pen::FINE));
    let names: Vec<Vec<String>> = rows.iter().map(|r| lines(&r.role, S, NAMES - 2.0)).collect();
    let heights: Vec<f64> = names.iter().map(|n| row_height(n.len(), 4.8)).collect();
    let foot = 3.6 + heights.iter().sum::<f64>().max(4.8) + 1.0;
    scale.guides(&mut list, 3.6, foot);
    if rows.is_empty() {
        list.text_on_patch((0.5, 7.2), "no order asked for a readback", S, 0.4);
    }
    let mut y = 3.6;
    for ((row, name), height) in rows.iter().zip(&names).zip(&heights) {
        let middle = y + 2.9;
        label(&mut list, 0.0, middle + 0.9, name, S);
        spread(&mut list, row, &scale, middle);
        numbers(&mut list, row, numbers_at, middle + 0.9);
        y += height;
    }
    list.line((0.0, foot), (width, foot), Stroke::solid(Ink::Ink, pen::HAIR));
    scale.numbers(&mut list, foot + 2.9);
    list.height = foot + 4.4;
    list
}

/// Roles by how often they were asked; two or more that were asked once become one row.
fn gathered(roles: &[Delays]) -> Vec<Delays> {
    let asked: Vec<&Delays> = roles.iter().filter(|r| r.due > 0 || !r.right_s.is_empty()).collect();
    let (once, mut rows): (Vec<Delays>, Vec<Delays>) = asked.into_iter().cloned().partition(|r| r.due == 1);
    rows.sort_by(|a, b| b.due.cmp(&a.due).then_with(|| a.role.cmp(&b.role)));
    if once.len() < 2 {
        rows.extend(once);
        return rows;
    }
    let mut others = Delays { role: format!("{} others, one each", once.len()), ..Delays::default() };
    for one in once {
        others.due += one.due;
        others.right_s.extend(one.right_s);
        others.wrong_s.extend(one.wrong_s);
        others.wrong += one.wrong;
        others.never += one.never;
    }
    rows.push(others);
    rows
}

fn spread(list: &mut DisplayList, row: &Delays, scale: &Seconds, y: f64) {
    let right = sorted(&row.right_s);
    let ends = (scale.at(0.0), scale.at(scale.full));
    list.line((ends.0, y), (ends.1, y), Stroke::solid(Ink::Ink, pen::HAIR));
    let fine = || Some(Stroke::solid(Ink::Ink, pen::FINE));
    let tick = |list: &mut DisplayList, seconds: f64, stroke: Stroke| {
        list.line((scale.at(seconds), y - 2.0), (scale.at(seconds), y + 2.0), stroke);
    };
    if let (true, Some(first), Some(last)) = (right.len() > MANY, right.first(), right.last()) {
        list.line((scale.at(*first), y), (scale.at(*last), y), Stroke::solid(Ink::Ink, pen::MED));
        if let (Some(p10), Some(p90)) = (percentile(&right, 0.1), percentile(&right, 0.9)) {
            let (from, to) = (scale.at(p10), scale.at(p90));
            list.rect(from, y - 1.5, (to - from).max(0.3), 3.0, Some(Ink::Light), fine());
        }
    } else {
        let (mut last, mut level) = (f64::NEG_INFINITY, 0);
        for seconds in &right {
            let x = scale.at(*seconds);
            level = if x - last < 1.1 { (level + 1) % 3 } else { 0 };
            last = x;
            list.circle(x, y + [0.0, -1.0, 1.0][level], 0.75, Some(Ink::Sheet), fine());
        }
    }
    for seconds in sorted(&row.wrong_s) {
        Mark::Wrong.draw(list, scale.at(seconds).min(ends.1 - 0.1), y, 2.2);
    }
    if let Some(median) = percentile(&right, 0.5) {
        tick(list, median, Stroke::solid(Ink::Ink, 1.6));
    }
    if let (true, Some(p90)) = ((5..=MANY).contains(&right.len()), percentile(&right, 0.9)) {
        tick(list, p90, Stroke::solid(Ink::Ink, pen::MED).dashed(0.6, 0.5));
    }
}

fn numbers(list: &mut DisplayList, row: &Delays, x: f64, y: f64) {
    let right = sorted(&row.right_s);
    let seconds = |value: Option<f64>| value.map_or("–".to_string(), |s| format!("{:.1}", s.min(99_999.9)));
    let p90 = if right.len() >= 5 { percentile(&right, 0.9) } else { None };
    let values = [
        row.due.to_string(),
        seconds(percentile(&right, 0.5)),
        seconds(p90),
        seconds(right.last().copied()),
        row.wrong.to_string(),
        row.never.to_string(),
    ];
    for (i, (value, (_, at))) in values.iter().zip(HEADS).enumerate() {
        let bad = i >= 4 && value != "0";
        let set = if bad { SB.ink(Ink::Rubric) } else { S };
        list.text((x + at, y), value, set.end());
    }
}
