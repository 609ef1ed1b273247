//! The bands below the curve: motion, on rope, edge zone, orders, accountability, time.

use super::PictureInput;
use crate::build::{Type, pen, size};
use crate::list::{DisplayList, Ink, Seg, Stroke};
use crate::marks::Mark;
use crate::moment::{Axis, Local, in_sequence};
use crate::pattern::{self, Motion, Stretch};

/// Draws the bands below `foot`, the foot of the curve.
pub fn draw(list: &mut DisplayList, input: &PictureInput, axis: &Axis, foot: f64) {
    let mut y = foot + 3.2;
    motion(list, input, axis, y);
    y += 5.0 + 1.6;
    list.text((0.0, y + 3.3), "on rope", Type::bold(size::S));
    steps(list, axis, y, 4.4, &input.on_rope, 2);
    y += 4.4 + 1.4;
    list.text((0.0, y + 2.6), "edge zone", Type::bold(size::S));
    steps(list, axis, y, 3.0, &input.edge_zone, 3);
    y += 3.0 + 1.8;
    orders(list, input, axis, y);
    y += 4.2 + 1.2;
    list.text((0.0, y + 2.6), "PAR", Type::bold(size::S));
    pars(list, input, axis, y);
    axis.draw(list, y + 3.2 + 1.2, Local(input.offset_min));
}

fn motion(list: &mut DisplayList, input: &PictureInput, axis: &Axis, y: f64) {
    list.text((0.0, y + 3.4), "motion", Type::bold(size::S));
    if input.spans.is_empty() {
        let at = (axis.x + axis.width / 2.0, y + 3.4);
        list.text(at, "no motion was recorded", Type::regular(size::XS).middle());
    }
    let spans = in_sequence(&input.spans);
    for span in spans.iter().filter(|span| span.motion != Motion::Stopping) {
        stretch(list, axis, y, span.motion, span.slow, (span.from_ms, span.to_ms));
    }
    // Teeth stand out over their neighbours, so they come last.
    for span in spans.iter().filter(|span| span.motion == Motion::Stopping) {
        stretch(list, axis, y, span.motion, span.slow, (span.from_ms, span.to_ms));
    }
    let broad = if input.stops_ms.len() <= 40 { 0.6 } else { 0.2 };
    for at in &input.stops_ms {
        let x = axis.at(*at).clamp(broad / 2.0, axis.x + axis.width - broad / 2.0);
        list.rect(x - broad / 2.0, y - 0.9, broad, 6.8, Some(Ink::Rubric), None);
    }
}

fn stretch(
    list: &mut DisplayList,
    axis: &Axis,
    y: f64,
    motion: Motion,
    slow: bool,
    (from, to): (i64, Option<i64>),
) {
    let (left, right) = (axis.at(from), axis.at(to.unwrap_or(axis.end_ms)));
    let along = pattern::Axis::Across;
    pattern::draw(
        list,
        motion,
        slow,
        Stretch { x: left, y, w: right - left, h: 5.0, axis: along, ends: true },
    );
}

/// How many at once, as steps, each with its count where there is room; `usual` people fill the height.
fn steps(list: &mut DisplayList, axis: &Axis, y: f64, height: f64, spells: &[(i64, i64)], usual: i64) {
    let mut changes: Vec<(i64, i64)> = Vec::new();
    for (from, to) in spells.iter().filter(|(from, to)| to > from) {
        changes.extend([(*from, 1), (*to, -1)]);
    }
    changes.sort_unstable();
    let (foot, end) = (y + height, axis.end_ms);
    list.line((axis.x, foot), (axis.x + axis.width, foot), Stroke::solid(Ink::Ink, pen::HAIR));
    let mut counts: Vec<(i64, i64)> = Vec::new();
    let mut now = 0;
    for (at, change) in changes {
        now += change;
        match counts.last_mut() {
            Some(last) if last.0 == at => last.1 = now,
            _ => counts.push((at, now)),
        }
    }
    let most = counts.iter().map(|(_, count)| *count).max().unwrap_or(0).max(usual);
    for (i, (at, count)) in counts.iter().enumerate().filter(|(_, (_, count))| *count > 0) {
        let until = counts.get(i + 1).map_or(end, |next| next.0);
        let (left, right) = (axis.at(*at), axis.at(until));
        let tall = height * *count as f64 / most as f64;
        list.rect(left, foot - tall, right - left, tall, Some(Ink::Light), None);
        list.line((left, foot - tall), (right, foot - tall), Stroke::solid(Ink::Ink, pen::FINE));
        for x in [left, right] {
            list.line((x, foot - tall), (x, foot), Stroke::solid(Ink::Ink, pen::HAIR));
        }
        let words = count.to_string();
        let set = Type::bold(size::XS).middle();
        if right - left > set.width(&words) + 2.0 && tall >= 2.0 {
            list.text(((left + right) / 2.0, foot - tall / 2.0 + 0.9), &words, set);
        }
    }
}

fn orders(list: &mut DisplayList, input: &PictureInput, axis: &Axis, y: f64) {
    list.text((0.0, y + 3.4), "orders", Type::bold(size::S));
    let foot = y + 4.2;
    list.line((axis.x, foot), (axis.x + axis.width, foot), Stroke::solid(Ink::Ink, pen::HAIR));
    let ticks = input.orders.iter().filter(|(_, open)| !open).flat_map(|(at, _)| {
        let x = axis.at(*at);
        [Seg::Move { x, y: foot }, Seg::Line { x, y: foot - 2.2 }]
    });
    list.path(ticks.collect(), None, Some(Stroke::solid(Ink::Ink, pen::FINE)));
    let open: Vec<f64> = input.orders.iter().filter(|(_, open)| *open).map(|(at, _)| axis.at(*at)).collect();
    let width = if open.len() < 40 { pen::MED } else { pen::FINE };
    let mut last = f64::NEG_INFINITY;
    for x in open {
        list.line((x, foot), (x, foot - 2.2), Stroke::solid(Ink::Rubric, width));
        if x - last >= 2.6 {
            Mark::Silent.draw_in(list, x.min(axis.x + axis.width - 1.2), y + 0.9, 2.2, Ink::Rubric);
            last = x;
        }
    }
}

fn pars(list: &mut DisplayList, input: &PictureInput, axis: &Axis, y: f64) {
    let edge = axis.x + axis.width - 1.3;
    for (at, due) in &input.pars {
        let x = axis.at(*at).min(edge);
        match due {
            Some(due) => late_par(list, axis.at(*due).min(x), x, y),
            None => kept_par(list, x, y),
        }
    }
}

/// A report that came in time, its band's top at `y`.
pub fn kept_par(list: &mut DisplayList, x: f64, y: f64) {
    list.circle(x, y + 1.6, 1.05, Some(Ink::Ink), None);
}

/// A late report: from due to called, and an open ring.
pub fn late_par(list: &mut DisplayList, due: f64, called: f64, y: f64) {
    list.rect(due, y + 0.9, called - due, 1.4, Some(Ink::Rubric), None);
    list.line((due, y), (due, y + 3.2), Stroke::solid(Ink::Rubric, pen::MED));
    list.circle(called, y + 1.6, 1.05, Some(Ink::Sheet), Some(Stroke::solid(Ink::Ink, pen::MED)));
}
