//! Draws one page of the line.

use super::hang;
use super::items::{NUMBER, NUMBER_RIGHT, WORDS_LEFT, WORDS_RIGHT, number_room};
use super::place::{KEY, Page, TOP};
use super::{LineInput, Piece, WIDTH};
use crate::build::{Type, pen, size};
use crate::list::{DisplayList, Ink, Stroke};
use crate::moment::{Local, duration};
use crate::pattern::{self, Axis, Motion, Stretch};
use crate::picture::runs_of;
use ::rig::units::{Kind, Side, Units};

/// Middle of the rope.
pub const MIDDLE: f64 = 80.0;
/// Breadth of the rope.
pub const BROAD: f64 = 5.0;
/// Left and width of the height's column.
const HEIGHT: (f64, f64) = (161.0, 13.0);

/// One page.
pub fn piece(input: &LineInput, page: &Page<'_>, height: f64) -> Piece {
    let mut list = DisplayList::new(WIDTH, height);
    heads(&mut list);
    minutes(&mut list, input, page);
    rope(&mut list, input, page);
    silences(&mut list, page);
    load(&mut list, input, page);
    let room = number_room(input);
    let local = Local(input.offset_min);
    for placed in &page.labels {
        let id = format!("entry-{}", placed.label.seqs.0);
        list.group(&id, &placed.label.words, |group| hang::draw(group, placed, room, local));
    }
    pattern::key(&mut list, 0.0, height - KEY + 2.9, WIDTH);
    let labels = || page.labels.iter().map(|p| p.label);
    Piece {
        list,
        from_ms: labels().map(|l| l.at).min().unwrap_or(page.times.0),
        to_ms: labels().map(|l| l.until).max().unwrap_or(page.times.1),
        first_seq: labels().map(|l| l.seqs.0).min().unwrap_or(0),
        last_seq: labels().map(|l| l.seqs.1).max().unwrap_or(0),
    }
}

fn heads(list: &mut DisplayList) {
    let (y, bold, plain) = (6.0, Type::bold(size::XS), Type::regular(size::XS));
    list.text((0.0, y), "time", plain);
    list.text((NUMBER, y), "entry", plain.end());
    list.text((WORDS_LEFT, y), "orders and answers from control", bold.end());
    list.text((WORDS_RIGHT, y), "readbacks, answers, reports to control", bold);
    list.text((NUMBER_RIGHT, y), "entry", plain.end());
}

/// A dotted guide at each minute (hour, day) that has room, with its time at the left.
fn minutes(list: &mut DisplayList, input: &LineInput, page: &Page<'_>) {
    let local = Local(input.offset_min);
    let (from, to) = page.times;
    let span_s = (to as f64 - from as f64) / 1000.0;
    let step =
        [60, 3600, 86_400].into_iter().find(|step| span_s / *step as f64 <= 3000.0).unwrap_or(8_640_000);
    let mut at = local.next(from, step);
    let mut last = f64::NEG_INFINITY;
    // A span has at most 3000 steps by the choice above, unless it is longer than centuries.
    for _ in 0..4000 {
        if at > to {
            break;
        }
        let y = page.at(at);
        if y - last >= 3.4 && y <= page.end && !page.is_cut(y) {
            let dotted = || Stroke::solid(Ink::Ink, pen::HAIR).dashed(0.2, 1.4);
            list.line((9.5, y), (MIDDLE - BROAD / 2.0, y), dotted());
            list.line((MIDDLE + BROAD / 2.0, y), (WIDTH, y), dotted());
            let set = Type::regular(size::XS);
            let set = if local.is_multiple(at, 300) { Type::bold(size::XS) } else { set };
            list.text_on_patch((0.3, y + 0.9), &local.hm(at), set, 0.3);
            last = y;
        }
        at = at.saturating_add(step.saturating_mul(1000));
    }
}

fn rope(list: &mut DisplayList, input: &LineInput, page: &Page<'_>) {
    let (left, right) = (MIDDLE - BROAD / 2.0, MIDDLE + BROAD / 2.0);
    if input.spans.is_empty() {
        // Nothing is known of the motion: not a rope at rest.
        for x in [left, right] {
            let dashed = Stroke::solid(Ink::Ink, pen::FINE).dashed(1.0, 1.0);
            list.line((x, TOP), (x, page.end), dashed);
        }
    }
    let spans = || {
        let clipped = input.spans.iter().map(|span| {
            let to = span.to_ms.unwrap_or(i64::MAX).min(page.times.1);
            (span, span.from_ms.max(page.times.0), to)
        });
        clipped.filter(|(_, from, to)| to > from)
    };
    for (span, from, to) in spans().filter(|(span, _, _)| span.motion != Motion::Stopping) {
        stretch(list, span.motion, span.slow, page.at(from), page.at(to));
    }
    // Teeth stand out over their neighbours, and a stop is never too short to be seen.
    for (span, from, to) in spans().filter(|(span, _, _)| span.motion == Motion::Stopping) {
        let (top, end) = (page.at(from), page.at(to).max(page.at(from) + 0.8));
        let part = Stretch { x: left, y: top, w: BROAD, h: end - top, axis: Axis::Down, ends: false };
        pattern::draw(list, span.motion, span.slow, part);
    }
}

/// A stretch of one motion, with its word where it fits and again every 70 mm.
fn stretch(list: &mut DisplayList, motion: Motion, slow: bool, top: f64, end: f64) {
    let x = MIDDLE - BROAD / 2.0;
    let words = if slow { format!("{} slow", motion.words()) } else { motion.words().to_string() };
    let set = Type::bold(size::XS);
    let long = set.width(&words);
    let part = |y: f64, h: f64| Stretch { x, y, w: BROAD, h, axis: Axis::Down, ends: false };
    if end - top < long + 5.6 {
        pattern::draw(list, motion, slow, Stretch { ends: true, ..part(top, end - top) });
        return;
    }
    let dark = matches!(motion, Motion::Lowering | Motion::Raising);
    let (mut from, mut word) = (top, top + 3.4);
    while word + long + 2.2 <= end {
        pattern::draw(list, motion, slow, part(from, word - 1.2 - from));
        let box_end = word + long + 1.2;
        list.rect(
            x,
            word - 1.2,
            BROAD,
            box_end - word + 1.2,
            Some(if dark { Ink::Dark } else { Ink::Sheet }),
            None,
        );
        for side in [x, x + BROAD] {
            list.line((side, word - 1.2), (side, box_end), Stroke::solid(Ink::Ink, pen::ROPE));
        }
        let ink = if dark { Ink::Sheet } else { Ink::Ink };
        list.turned_text((MIDDLE - 0.9, word), &words, set.ink(ink), 90.0);
        from = box_end;
        word = box_end + 70.0;
    }
    pattern::draw(list, motion, slow, part(from, end - from));
    for y in [top, end] {
        list.line((x, y), (x + BROAD, y), Stroke::solid(Ink::Ink, pen::HAIR));
    }
}

/// Each silence that was cut: two strokes across the rope, and its length.
fn silences(list: &mut DisplayList, page: &Page<'_>) {
    for placed in &page.labels {
        let Some((seconds, _)) = placed.silence else { continue };
        let y = placed.y - 2.4;
        let (left, right) = (MIDDLE - 3.6, MIDDLE + 3.6);
        let gap = [(left, y + 0.5), (right, y - 1.5), (right, y - 0.3), (left, y + 1.7)];
        list.polygon(&gap, Some(Ink::Sheet), None);
        list.line(gap[0], gap[1], Stroke::solid(Ink::Ink, pen::FINE));
        list.line(gap[3], gap[2], Stroke::solid(Ink::Ink, pen::FINE));
        let words = format!("{} without a call", duration(seconds));
        list.text_on_patch((WORDS_RIGHT, y + 1.0), &words, Type::regular(size::XS), 0.5);
    }
}

/// The load's height between called heights, at the right.
fn load(list: &mut DisplayList, input: &LineInput, page: &Page<'_>) {
    let highest = input.heights.iter().map(|(_, m)| *m).filter(|m| m.is_finite()).fold(0.0, f64::max);
    let full =
        input.edge_height_m.filter(|m| m.is_finite() && *m >= 0.0).unwrap_or(0.0).max(highest).max(0.1);
    let (left, wide) = HEIGHT;
    let right = left + wide - 0.6;
    let x = |metres: f64| left + (wide - 0.6) * (metres / full).clamp(0.0, 1.0);
    let (from, to) = page.times;
    let mut any = false;
    for run in runs_of(&input.heights, &input.spans) {
        let mut points: Vec<(f64, f64)> = Vec::new();
        for (a, b) in run.iter().zip(run.iter().skip(1)) {
            for k in 0..=8 {
                let share = f64::from(k) / 8.0;
                let at = a.0 as f64 + (b.0 as f64 - a.0 as f64) * share;
                if at >= from as f64 && at <= to as f64 {
                    points.push((x(a.1 + (b.1 - a.1) * share), page.at(at as i64)));
                }
            }
        }
        let calls: Vec<(f64, f64)> = run
            .iter()
            .filter(|(at, _)| *at >= from && *at <= to)
            .map(|(at, m)| (x(*m), page.at(*at)))
            .collect();
        let ys = points.iter().chain(&calls).map(|(_, y)| *y);
        let (low, high) = ys.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), y| (l.min(y), h.max(y)));
        if low > high {
            continue;
        }
        any = true;
        for side in [left, right] {
            list.line((side, low - 1.5), (side, high + 1.5), Stroke::solid(Ink::Ink, pen::HAIR));
        }
        list.polyline(&points, Stroke::solid(Ink::Ink, 1.6).rounded());
        for (x, y) in calls {
            list.circle(x, y, 0.55, Some(Ink::Sheet), Some(Stroke::solid(Ink::Ink, pen::FINE)));
        }
    }
    if any {
        let (units, unit) = (input.units, input.units.unit(Kind::Length));
        let shown = format!("{full:.1}");
        let known = if units == Units::Si {
            shown.clone()
        } else {
            units.figure(Kind::Length, full, &shown, Side::Near)
        };
        let number = if units.value(Kind::Length, full) < 1000.0 { known } else { ">999".to_string() };
        let (number, set) = match number.strip_suffix(".0") {
            Some(whole) => (whole.to_string(), Type::regular(size::XS)),
            None if number.contains('.') => (number, Type::regular(size::S)),
            None => (number, Type::regular(size::XS)),
        };
        list.text((left + wide / 2.0, 2.8), &format!("height, {unit}"), Type::regular(size::XS).middle());
        list.text((left, 6.0), "0", Type::regular(size::XS).middle());
        list.text((WIDTH, 6.0), &number, set.end());
    }
}
