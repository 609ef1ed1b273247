//! Labels in two columns. Each wants to stand beside its part; where they meet they are pushed apart as
//! little as can be. Leaders run level inside the column, so that none crosses another label.

use super::labels::Label;
use super::{Sheet, leaders};
use crate::build::pen;
use crate::list::{Anchor, DisplayList, Ink, Stroke};
use crate::metrics::CAP;
use crate::metrics::PT;

/// A label with its place.
#[derive(Clone, Debug)]
pub struct Placed<'a> {
    /// The label.
    pub label: Label<'a>,
    /// Top of its first line.
    pub y: f64,
    /// At the left of the drawing.
    pub left: bool,
}

/// What the columns need.
#[derive(Clone, Copy, Debug)]
pub struct Columns {
    /// How low the ground must lie for both to end above it.
    pub needs: f64,
}

/// Air between two labels.
fn air(sheet: &Sheet<'_>) -> f64 {
    if sheet.is_paper() { 1.3 } else { 0.8 * sheet.scale() }
}

/// How far the left column reaches.
pub(super) fn left_end(sheet: &Sheet<'_>) -> f64 {
    (sheet.layout.extent.0 - 2.0).clamp(24.0, sheet.layout.width / 2.0 - 4.0)
}

/// Room of the headings over the columns.
fn heading(sheet: &Sheet<'_>) -> f64 {
    4.2 * sheet.scale()
}

fn top(sheet: &Sheet<'_>) -> f64 {
    sheet.layout.top + heading(sheet)
}

/// Where the columns end: over the word at the ground.
fn foot(sheet: &Sheet<'_>) -> f64 {
    sheet.layout.ground - 3.8 * sheet.scale()
}

/// Width of the left column, and left end of the right one.
pub fn edges(sheet: &Sheet<'_>) -> (f64, f64) {
    let width = sheet.layout.width;
    let left = left_end(sheet);
    let right = (sheet.layout.axis() + 2.5).clamp(width / 2.0 + 4.0, width - 24.0);
    (left, right)
}

/// Breaks every label's lines to its column, moves some to the other where one has no room above `bottom`,
/// and says how low the ground must lie.
pub fn measure(sheet: &Sheet<'_>, labels: &mut [Label<'_>], bottom: f64) -> Columns {
    let (left, right) = edges(sheet);
    let room = |is_left: bool| if is_left { left } else { sheet.layout.width - right };
    for label in labels.iter_mut() {
        label.wrap(sheet, room(label.left));
    }
    let total = |labels: &[Label<'_>], is_left: bool| -> f64 {
        labels.iter().filter(|l| l.left == is_left).map(|l| l.height + air(sheet)).sum()
    };
    // Parts near the middle may stand on either side.
    let middle = (sheet.layout.extent.0 + sheet.layout.extent.1) / 2.0;
    for _ in 0..labels.len() {
        let (l, r) = (total(labels, true), total(labels, false));
        let from_left = l > r;
        let (full, other) = if from_left { (l, r) } else { (r, l) };
        let movable = labels.iter_mut().filter(|lab| lab.left == from_left && !lab.fixed_side);
        // The one furthest towards the other column, so that no two change sides past each other.
        let towards = |label: &Label<'_>| if from_left { -label.target.0 } else { label.target.0 };
        let nearest = movable.min_by(|a, b| towards(a).total_cmp(&towards(b)));
        let Some(label) = nearest else { break };
        let room_below = bottom - top(sheet) - (sheet.layout.ground - foot(sheet));
        if full <= room_below || full - other < 2.2 * label.height || (label.target.0 - middle).abs() > 22.0 {
            break;
        }
        label.left = !from_left;
        label.wrap(sheet, room(label.left));
    }
    let needs = total(labels, true).max(total(labels, false));
    Columns { needs: top(sheet) + needs + sheet.layout.ground - foot(sheet) + 0.1 }
}

/// Places both columns.
pub fn stack<'a>(sheet: &Sheet<'a>, labels: Vec<Label<'a>>) -> Vec<Placed<'a>> {
    let mut out = Vec::new();
    for is_left in [true, false] {
        let mut column: Vec<Label<'a>> = labels.iter().filter(|l| l.left == is_left).cloned().collect();
        column.sort_by(|a, b| a.wanted().total_cmp(&b.wanted()));
        let loose = column.into_iter().map(|label| Placed { label, y: 0.0, left: is_left }).collect();
        out.extend(leaders::uncross(sheet, in_order(sheet, loose), |column| in_order(sheet, column)));
    }
    out
}

/// Places a column in the order it comes in.
fn in_order<'a>(sheet: &Sheet<'a>, mut column: Vec<Placed<'a>>) -> Vec<Placed<'a>> {
    let heights: Vec<f64> = column.iter().map(|p| p.label.height + air(sheet)).collect();
    let wanted: Vec<f64> = column.iter().map(|p| p.label.wanted() - sheet.leading() * 0.5).collect();
    let tops = apart(&wanted, &heights, top(sheet), foot(sheet));
    column.iter_mut().zip(tops).for_each(|(placed, y)| placed.y = y);
    column
}

/// Tops nearest to the wanted ones (least squares) such that each label ends where the next begins at the
/// latest and all lie between `low` and `high`: isotonic regression by pooling neighbours.
fn apart(wanted: &[f64], heights: &[f64], low: f64, high: f64) -> Vec<f64> {
    let mut offsets = Vec::with_capacity(heights.len());
    let mut sum = 0.0;
    for height in heights {
        offsets.push(sum);
        sum += height;
    }
    // Pools of (mean, count) of wanted tops without the heights above them.
    let mut pools: Vec<(f64, usize)> = Vec::new();
    for (want, offset) in wanted.iter().zip(&offsets) {
        pools.push((want - offset, 1));
        while let [.., (a, n), (b, m)] = pools.as_slice() {
            if a <= b {
                break;
            }
            let merged = ((a * *n as f64 + b * *m as f64) / (n + m) as f64, n + m);
            pools.truncate(pools.len() - 2);
            pools.push(merged);
        }
    }
    let highest = (high - sum).max(low);
    let bases = pools.iter().flat_map(|(mean, count)| std::iter::repeat_n(mean.clamp(low, highest), *count));
    bases.zip(&offsets).map(|(base, offset)| base + offset).collect()
}

/// Draws a label with its leader.
pub fn draw(list: &mut DisplayList, sheet: &Sheet<'_>, placed: &Placed<'_>) {
    let label = &placed.label;
    let sign = if placed.left { 1.0 } else { -1.0 };
    let anchor = if placed.left { Anchor::Start } else { Anchor::End };
    let edge = if placed.left { 0.0 } else { sheet.layout.width };
    let scale = sheet.scale();
    let em = sheet.type_of(false, false).size * PT;
    let first = placed.y + em * 0.9;
    let middle = first - CAP * em / 2.0;
    if let Some(mark) = label.mark {
        mark.draw(list, edge + sign * 1.6 * scale, middle, 2.5 * scale);
    }
    let x = edge + sign * label.indent(sheet);
    for (i, line) in label.lines.iter().enumerate() {
        let y = first + sheet.leading() * i as f64;
        list.runs((x, y), line, sheet.type_of(false, false).size, anchor);
    }
    for way in leaders::ways(sheet, placed) {
        list.polyline(&way, Stroke::solid(Ink::Ink, pen::FINE));
        list.circle(way[3].0, way[3].1, 0.45, Some(Ink::Ink), None);
    }
}

/// Labels that belong to no part: what is not computed, what is always critical.
pub fn fixed(list: &mut DisplayList, sheet: &Sheet<'_>, placed: &[Placed<'_>]) {
    for label in placed.iter().filter(|p| p.label.id.is_empty()) {
        draw(list, sheet, label);
    }
    let (y, set) = (sheet.layout.top + 2.4 * sheet.scale(), sheet.type_of(true, false));
    for (line, x) in [(::rig::model::Line::One, 0.0), (::rig::model::Line::Two, sheet.layout.width)] {
        if let Some(rope) = sheet.rig.ropes.iter().find(|r| r.line == line) {
            let (left, right) = edges(sheet);
            let room = if x == 0.0 { left } else { sheet.layout.width - right };
            let words = crate::metrics::clean(&rope.label, set.face);
            let words = crate::metrics::fit(&words, set.face, set.size, room);
            list.text((x, y), &words, if x == 0.0 { set } else { set.end() });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn labels_that_have_room_stand_where_they_want() {
        assert_eq!(apart(&[10.0, 30.0, 50.0], &[8.0, 8.0, 8.0], 0.0, 100.0), [10.0, 30.0, 50.0]);
    }

    #[test]
    fn labels_that_meet_share_the_shift() {
        assert_eq!(apart(&[20.0, 20.0], &[8.0, 8.0], 0.0, 100.0), [16.0, 24.0]);
        assert_eq!(apart(&[95.0, 99.0], &[8.0, 8.0], 0.0, 100.0), [84.0, 92.0]);
        assert_eq!(apart(&[-5.0, 1.0], &[8.0, 8.0], 0.0, 100.0), [0.0, 8.0]);
    }

    proptest! {
        #[test]
        fn no_label_begins_before_the_one_above_ends(rows in prop::collection::vec((0.0f64..200.0, 1.0f64..20.0), 0..30)) {
            let mut wanted: Vec<f64> = rows.iter().map(|r| r.0).collect();
            wanted.sort_by(f64::total_cmp);
            let heights: Vec<f64> = rows.iter().map(|r| r.1).collect();
            let tops = apart(&wanted, &heights, 5.0, 180.0);
            for i in 1..tops.len() {
                prop_assert!(tops[i] >= tops[i - 1] + heights[i - 1] - 1e-9);
            }
            prop_assert!(tops.first().is_none_or(|t| *t >= 5.0 - 1e-9));
            let sum: f64 = heights.iter().sum();
            if sum <= 175.0 {
                prop_assert!(tops.last().is_none_or(|t| t + heights[heights.len() - 1] <= 180.0 + 1e-9));
            }
        }
    }
}
