//! The load's height over time between edge and ground, with the stops numbered on it.

use super::PictureInput;
use crate::build::{Type, pen, size};
use crate::list::{DisplayList, Ink, Stroke};
use crate::marks;
use crate::moment::{Axis, Span};
use crate::pattern::Motion;
use crate::words::short_length;
use ::rig::units::{Kind, Units};

/// Most stops that are numbered.
const NUMBERED: usize = 8;
/// Size of a numbered stop, mm.
const STOP: f64 = 3.6;

struct Scale<'a> {
    axis: &'a Axis,
    foot: f64,
    curve: f64,
    full_m: f64,
}

impl Scale<'_> {
    fn at(&self, (ms, metres): (i64, f64)) -> (f64, f64) {
        (self.axis.at(ms), self.level(metres))
    }
    fn level(&self, metres: f64) -> f64 {
        let share = if metres.is_finite() { (metres / self.full_m).clamp(0.0, 1.0) } else { 0.0 };
        self.foot - share * self.curve
    }
}

/// Draws edge, ground, scale, curve and numbered stops; says which stops got the numbers 1, 2, 3 …
pub fn draw(list: &mut DisplayList, input: &PictureInput, axis: &Axis, top: f64, curve: f64) -> Vec<usize> {
    let highest = input.heights.iter().map(|(_, m)| *m).filter(|m| m.is_finite()).fold(0.0, f64::max);
    let full_m =
        input.edge_height_m.filter(|m| m.is_finite() && *m >= 0.0).unwrap_or(0.0).max(highest).max(0.1);
    let scale = Scale { axis, foot: top + curve, curve, full_m };
    frame(list, input, &scale);
    for run in runs(input) {
        let points: Vec<(f64, f64)> = run.iter().map(|called| scale.at(*called)).collect();
        list.polyline(&points, Stroke::solid(Ink::Sheet, 3.2).rounded());
        list.polyline(&points, Stroke::solid(Ink::Ink, 2.2).rounded());
        for (x, y) in points {
            list.circle(x, y, 0.62, Some(Ink::Sheet), Some(Stroke::solid(Ink::Ink, pen::FINE)));
        }
    }
    if input.heights.is_empty() {
        let middle = (axis.x + axis.width / 2.0, top + curve / 2.0 + 1.0);
        list.text_on_patch(middle, "no height of the load was called", Type::regular(size::S).middle(), 0.8);
    }
    stops(list, input, &scale)
}

/// "38 m", "12.5 m"; whole metres from a hundred on.
fn height(units: Units, value: f64) -> String {
    if units != Units::Si {
        let far = value >= 9999.5 * 0.3048;
        return if far { format!(">9999 {}", units.unit(Kind::Length)) } else { short_length(units, value) };
    }
    let tenths = (value * 10.0).round() / 10.0;
    if value >= 9999.5 {
        ">9999 m".to_string()
    } else if value >= 100.0 || tenths.fract() == 0.0 {
        format!("{:.0} m", value)
    } else {
        format!("{tenths:.1} m")
    }
}

fn frame(list: &mut DisplayList, input: &PictureInput, scale: &Scale) {
    let (axis, foot, top) = (scale.axis, scale.foot, scale.foot - scale.curve);
    let right = axis.x + axis.width;
    let edge = input.edge_height_m.filter(|m| m.is_finite() && *m >= 0.0);
    let at_edge = edge.map_or(top, |m| scale.level(m));
    list.line((axis.x, at_edge), (right, at_edge), Stroke::solid(Ink::Ink, pen::MED));
    list.line((axis.x, foot), (right, foot), Stroke::solid(Ink::Ink, pen::MED));
    list.hatch(axis.x, foot, axis.width, 1.6, 1.1, Ink::Ink, pen::HAIR);
    let (units, unit) = (input.units, input.units.unit(Kind::Length));
    let number = edge.map_or_else(|| format!("? {unit}"), |m| height(units, m));
    // A number with a decimal point is never below 8 pt.
    let set = Type::regular(if number.contains('.') { size::S } else { size::XS }).end();
    // Where loads were called far over the edge, its words stand clear of the ground's.
    let edge_words = at_edge.min(foot - 3.6);
    list.text((0.0, edge_words + 1.0), "edge", Type::bold(size::S));
    list.text((axis.x - 1.4, edge_words + 1.0), &number, set);
    list.text((0.0, foot + 0.4), "ground", Type::bold(size::S));
    list.text((axis.x - 1.4, foot + 0.4), &format!("0 {unit}"), Type::regular(size::XS).end());
    let mut taken = vec![edge_words, foot];
    let middle = (edge_words + foot) / 2.0;
    if foot - edge_words > 8.0 {
        list.text((0.0, middle + 1.0), "load", Type::bold(size::S));
    }
    let step = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0]
        .into_iter()
        .find(|step| units.to_si(Kind::Length, *step) / scale.full_m * scale.curve >= 5.0);
    let Some(step) = step else { return };
    // The scale counts in its own unit.
    let mut value = step;
    while units.to_si(Kind::Length, value) < scale.full_m {
        let y = scale.level(units.to_si(Kind::Length, value));
        if taken.iter().all(|other| (other - y).abs() >= 3.2) {
            list.line((axis.x - 0.9, y), (axis.x, y), Stroke::solid(Ink::Ink, pen::HAIR));
            list.text((axis.x - 1.4, y + 0.9), &format!("{value:.0}"), Type::regular(size::XS).end());
            taken.push(y);
        }
        value += step;
    }
}

/// Called heights in runs: two calls belong together when the load moved between them, or when nothing is
/// known of its motion. Over a whole rest, landed or tied off, nothing is drawn: when it ended, the load
/// went on from there, but nobody called that.
pub fn runs_of(heights: &[(i64, f64)], spans: &[Span]) -> Vec<Vec<(i64, f64)>> {
    let mut heights: Vec<(i64, f64)> = heights.iter().copied().filter(|(_, m)| m.is_finite()).collect();
    heights.sort_by_key(|(at, _)| *at);
    let lookup = Lookup::of(spans);
    let moved = |from: i64, to: i64| {
        spans.is_empty() || (lookup.moves_between(from, to) && !lookup.rests_within(from, to))
    };
    let mut out: Vec<Vec<(i64, f64)>> = Vec::new();
    for called in heights {
        match out.last_mut() {
            Some(run) if run.last().is_some_and(|before| moved(before.0, called.0)) => run.push(called),
            _ => out.push(vec![called]),
        }
    }
    out
}

/// Spans in the order of their beginning, so that a moment is looked up and not searched for: each page of a long line asks.
struct Lookup {
    /// Moving: beginning, and the latest end of it and all before it.
    moving: Vec<(i64, i64)>,
    /// Landed or tied off: beginning, and the earliest end of it and all after it.
    resting: Vec<(i64, i64)>,
}

impl Lookup {
    fn of(spans: &[Span]) -> Lookup {
        let sorted = |wanted: &dyn Fn(&Motion) -> bool| {
            let of = spans.iter().filter(|span| wanted(&span.motion));
            let mut out: Vec<(i64, i64)> =
                of.map(|span| (span.from_ms, span.to_ms.unwrap_or(i64::MAX))).collect();
            out.sort_unstable();
            out
        };
        let mut moving = sorted(&|motion| motion.moves());
        let mut latest = i64::MIN;
        for (_, end) in &mut moving {
            latest = latest.max(*end);
            *end = latest;
        }
        let mut resting = sorted(&|motion| matches!(motion, Motion::Landed | Motion::TiedOff));
        let mut earliest = i64::MAX;
        for (_, end) in resting.iter_mut().rev() {
            earliest = earliest.min(*end);
            *end = earliest;
        }
        Lookup { moving, resting }
    }

    /// Whether the load moved at some time between.
    fn moves_between(&self, from: i64, to: i64) -> bool {
        let begun = self.moving.partition_point(|(begin, _)| *begin < to);
        begun > 0 && self.moving[begun - 1].1 > from
    }

    /// Whether a whole rest lies between.
    fn rests_within(&self, from: i64, to: i64) -> bool {
        let first = self.resting.partition_point(|(begin, _)| *begin < from);
        self.resting.get(first).is_some_and(|(_, earliest)| *earliest <= to)
    }
}

fn runs(input: &PictureInput) -> Vec<Vec<(i64, f64)>> {
    runs_of(&input.heights, &input.spans)
}

/// The height at a time on the drawn line; `None` where none is drawn.
fn height_at(runs: &[Vec<(i64, f64)>], ms: i64) -> Option<f64> {
    let run = runs.iter().find(|run| {
        run.first().is_some_and(|first| first.0 <= ms) && run.last().is_some_and(|last| last.0 >= ms)
    })?;
    let after = run.iter().position(|(at, _)| *at >= ms)?;
    let (later, earlier) = (run.get(after)?, run.get(after.saturating_sub(1))?);
    let span = later.0 as f64 - earlier.0 as f64;
    let share = if span > 0.0 { (ms as f64 - earlier.0 as f64) / span } else { 1.0 };
    Some(earlier.1 + (later.1 - earlier.1) * share)
}

/// Numbers the first stops that find room: beside the curve, and where nobody called a height then on a dashed line through all of
/// them.
fn stops(list: &mut DisplayList, input: &PictureInput, scale: &Scale) -> Vec<usize> {
    let runs = runs(input);
    let mut numbered = Vec::new();
    let mut placed: Vec<(f64, f64)> = Vec::new();
    let (top, foot) = (scale.foot - scale.curve, scale.foot);
    let right = scale.axis.x + scale.axis.width;
    for (i, at) in input.stops_ms.iter().enumerate() {
        if numbered.len() >= NUMBERED {
            break;
        }
        let x = scale.axis.at(*at);
        let height = height_at(&runs, *at).map(|m| scale.level(m));
        let unknown = height.is_none();
        let y = height.unwrap_or(foot);
        let beside = [(5.2, -1.8), (-5.2, -1.8), (5.2, 3.6), (-5.2, 3.6), (0.0, -5.2), (0.0, 5.2)];
        let over = [0.5, 0.35, 0.65, 0.2, 0.8, 0.9].map(|share| (0.0, -share * scale.curve));
        let places = if unknown { over } else { beside }.map(|(dx, dy)| (x + dx, (y + dy).min(foot - 2.3)));
        let free = places.into_iter().find(|(px, py)| {
            let inside = *px > scale.axis.x + 2.2 && *px < right - 2.2 && *py > top + 2.2;
            let clear = placed.iter().all(|(ox, oy)| (ox - px).abs() >= 4.2 || (oy - py).abs() >= 4.2);
            let off_curve = runs.iter().all(|run| {
                let points: Vec<(f64, f64)> = run.iter().map(|called| scale.at(*called)).collect();
                points.windows(2).all(|pair| gap(pair[0], pair[1], (*px, *py)) > STOP / 2.0 + 0.5)
            });
            // Without a curve, words stand in its middle.
            let off_words = !input.heights.is_empty() || (*py - (top + foot) / 2.0).abs() > STOP;
            inside && clear && off_curve && off_words
        });
        let Some((px, py)) = free else { continue };
        let hair = Stroke::solid(Ink::Ink, pen::HAIR);
        if unknown {
            list.line((x, top), (x, foot), hair.dashed(0.8, 0.8));
        } else {
            list.line((x, y), (px, py), hair);
        }
        placed.push((px, py));
        numbered.push(i);
        numbered_stop(list, (px, py), numbered.len());
    }
    numbered
}

/// Distance of a point from a stretch of line.
fn gap((ax, ay): (f64, f64), (bx, by): (f64, f64), (x, y): (f64, f64)) -> f64 {
    let (dx, dy) = (bx - ax, by - ay);
    let square = dx * dx + dy * dy;
    let share = if square > 0.0 { (((x - ax) * dx + (y - ay) * dy) / square).clamp(0.0, 1.0) } else { 0.0 };
    libm::hypot(x - ax - share * dx, y - ay - share * dy)
}

/// A stop's octagon with its number.
pub fn numbered_stop(list: &mut DisplayList, (x, y): (f64, f64), number: usize) {
    marks::octagon(list, (x, y), STOP / 2.0, Ink::Rubric);
    list.text((x, y + 0.9), &number.to_string(), Type::bold(size::XS).ink(Ink::Sheet).middle());
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pattern::MOTIONS;
    use proptest::prelude::*;

    proptest! {
        /// Looked up as found by going through all of them.
        #[test]
        fn looked_up_as_gone_through(
            spans in prop::collection::vec((0i64..60, 0usize..9, proptest::option::of(-5i64..40)), 0..14),
            from in -5i64..70,
            length in -3i64..40,
        ) {
            let spans: Vec<Span> = spans
                .into_iter()
                .map(|(from_ms, m, long)| Span { motion: MOTIONS[m].0, slow: false, from_ms, to_ms: long.map(|l| from_ms + l) })
                .collect();
            let to = from + length;
            let end = |span: &Span| span.to_ms.unwrap_or(i64::MAX);
            let moves = spans.iter().any(|s| s.motion.moves() && s.from_ms < to && end(s) > from);
            let rests = spans
                .iter()
                .any(|s| matches!(s.motion, Motion::Landed | Motion::TiedOff) && s.from_ms >= from && end(s) <= to);
            let lookup = Lookup::of(&spans);
            prop_assert_eq!(lookup.moves_between(from, to), moves);
            prop_assert_eq!(lookup.rests_within(from, to), rests);
        }
    }
}
