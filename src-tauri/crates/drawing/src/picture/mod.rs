//! The whole operation at one glance, for the first page of the report: benchmarks, the load's height,
//! motion, who was on rope and at the edge, orders, accountability reports, one time axis below all.

mod bands;
mod curve;
#[cfg(test)]
mod tests;

pub use curve::{numbered_stop, runs_of};

use crate::build::{Type, pen, size};
use crate::list::{DisplayList, Face, Ink, Stroke};
use crate::marks::Mark;
use crate::metrics;
use crate::moment::{Axis, Local, Span};
use crate::pattern;
use ::rig::units::Units;

/// What the picture shows. Times are ms since the epoch.
#[derive(Clone, Debug, Default)]
pub struct PictureInput {
    /// When it begins.
    pub start_ms: i64,
    /// When it ends; an end before the start counts as one minute after it.
    pub end_ms: i64,
    /// Offset of local time from UTC in minutes.
    pub offset_min: i32,
    /// Height of the edge; `None`: not entered.
    pub edge_height_m: Option<f64>,
    /// Named moments with their words, oldest first.
    pub benchmarks: Vec<(i64, String)>,
    /// Called heights of the load over the ground, m, oldest first.
    pub heights: Vec<(i64, f64)>,
    /// What the load did, oldest first.
    pub spans: Vec<Span>,
    /// Stops, oldest first.
    pub stops_ms: Vec<i64>,
    /// For each person on rope, from when to when.
    pub on_rope: Vec<(i64, i64)>,
    /// For each person in the edge zone, from when to when.
    pub edge_zone: Vec<(i64, i64)>,
    /// Orders, and whether someone never read them back.
    pub orders: Vec<(i64, bool)>,
    /// Accountability reports, and when each had been due if it came late.
    pub pars: Vec<(i64, Option<i64>)>,
    /// Units of its heights.
    pub units: Units,
}

/// The picture.
#[derive(Clone, Debug)]
pub struct Picture {
    /// The drawing.
    pub list: DisplayList,
    /// Which stops (places in `stops_ms`) carry the numbers 1, 2, 3 …; at most eight.
    pub numbered: Vec<usize>,
}

/// Room of the labels at the left, mm.
const GUTTER: f64 = 20.0;
/// Height of one level of benchmarks.
const LEVEL: f64 = 3.3;
/// Most levels of benchmarks.
const LEVELS: usize = 4;
/// From the foot of the curve to the foot of the axis.
const BANDS: f64 = 3.2 + 5.0 + 1.6 + 4.4 + 1.4 + 3.0 + 1.8 + 4.2 + 1.2 + 3.2 + 1.2 + Axis::HEIGHT;

/// Draws it `width` mm wide, its curve `curve` mm high.
pub fn draw(input: &PictureInput, width: f64, curve: f64) -> Picture {
    let axis = Axis {
        x: GUTTER,
        // A ring at the last moment stays on the sheet.
        width: width - GUTTER - 1.0,
        start_ms: input.start_ms,
        end_ms: input.end_ms.max(input.start_ms.saturating_add(60_000)),
    };
    let labels = benchmarks(input, &axis);
    let levels = labels.iter().filter_map(|label| label.level).max().map_or(0, |top| top + 1);
    let top = levels as f64 * LEVEL + 1.2;
    let foot = top + curve;
    let mut list = DisplayList::new(width, foot + BANDS);
    guides(&mut list, &labels, top, foot + BANDS - Axis::HEIGHT);
    let numbered = curve::draw(&mut list, input, &axis, top, curve);
    bands::draw(&mut list, input, &axis, foot);
    Picture { list, numbered }
}

/// Height of the drawing for a curve `curve` mm high.
pub fn height(input: &PictureInput, width: f64, curve: f64) -> f64 {
    draw(input, width, curve).list.height
}

/// A benchmark placed.
struct Label {
    /// Where its moment lies.
    x: f64,
    /// Left end of the words.
    left: f64,
    time: String,
    words: String,
    /// Level over the curve; `None`: there is no room (a table has them all).
    level: Option<usize>,
}

/// Each benchmark on the first level that is free; near the right edge it hangs to the left.
fn benchmarks(input: &PictureInput, axis: &Axis) -> Vec<Label> {
    let local = Local(input.offset_min);
    let mut ends = [f64::NEG_INFINITY; LEVELS];
    let mut sorted: Vec<&(i64, String)> = input.benchmarks.iter().collect();
    sorted.sort_by_key(|(at, _)| *at);
    sorted
        .into_iter()
        .map(|(at, words)| {
            let x = axis.at(*at);
            let time = local.hm(*at);
            let clean = metrics::clean(words, Face::Regular).replace('\n', " ");
            let words = metrics::fit(&clean, Face::Regular, size::XS, 48.0);
            let wide = Type::bold(size::XS).width(&time) + 0.8 + Type::regular(size::XS).width(&words);
            let hangs_right = x + 0.8 + wide <= axis.x + axis.width;
            let left = if hangs_right { x + 0.8 } else { (x - 0.8 - wide).max(0.0) };
            let level = ends.iter().position(|end| left >= end + 1.4);
            if let Some(end) = level.and_then(|level| ends.get_mut(level)) {
                *end = (left + wide).max(x);
            }
            Label { x, left, time, words, level }
        })
        .collect()
}

/// A fine line from each label down to the curve, a dotted one on to the axis; then the labels on patches.
fn guides(list: &mut DisplayList, labels: &[Label], top: f64, foot: f64) {
    let baseline = |level: usize| top - 1.4 - level as f64 * LEVEL;
    for label in labels {
        let from = label.level.map_or(top - 1.2, |level| baseline(level) - 2.1);
        list.line((label.x, from), (label.x, top), Stroke::solid(Ink::Ink, pen::HAIR));
        list.line((label.x, top), (label.x, foot), Stroke::solid(Ink::Ink, pen::HAIR).dashed(0.25, 0.9));
    }
    for label in labels {
        let Some(level) = label.level else { continue };
        let y = baseline(level);
        let bold = Type::bold(size::XS);
        let wide = bold.width(&label.time) + 0.8 + Type::regular(size::XS).width(&label.words);
        list.patch(label.left, y, wide, size::XS, 0.3);
        let used = list.text((label.left, y), &label.time, bold);
        list.text((label.left + used + 0.8, y), &label.words, Type::regular(size::XS));
    }
}

/// What the picture's signs mean, in two rows over `width` mm.
pub fn legend(width: f64) -> DisplayList {
    let mut list = DisplayList::new(width, 9.4);
    pattern::key(&mut list, 0.0, 0.0, width);
    let (y, words) = (8.4, Type::regular(size::XS));
    let mut x = 0.0;
    Mark::Silent.draw_in(&mut list, x + 1.2, y - 0.9, 2.2, Ink::Rubric);
    x += 3.2;
    x += list.text((x, y), "order never read back", words) + 4.0;
    bands::late_par(&mut list, x, x + 4.6, y - 2.5);
    x += 6.6;
    x += list.text((x, y), "PAR late, from due to called", words) + 4.0;
    bands::kept_par(&mut list, x + 1.0, y - 2.5);
    x += 2.8;
    x += list.text((x, y), "PAR kept", words) + 4.0;
    list.circle(x + 0.6, y - 0.9, 0.62, Some(Ink::Sheet), Some(Stroke::solid(Ink::Ink, pen::FINE)));
    x += 2.0;
    list.text((x, y), "height called; the line between is drawn, not measured", words);
    list
}
