//! What hangs on the rope.

use super::Hang;
use super::items::{LEAD, LEAD_ACROSS, Label, NUMBER, NUMBER_RIGHT, Node, WORDS_LEFT, WORDS_RIGHT};
use super::paint::{BROAD, MIDDLE};
use super::place::{Placed, THREAD};
use crate::build::{Type, left_of, pen, size};
use crate::list::{Anchor, DisplayList, Ink, Stroke};
use crate::marks::Mark;
use crate::metrics::{Run, baseline, line_width};
use crate::moment::Local;

/// Left end of the seconds at the left.
const SECONDS_LEFT: f64 = 70.0;
/// Left end of the seconds at the right.
const SECONDS_RIGHT: f64 = 84.6;
const LEFT: f64 = MIDDLE - BROAD / 2.0;
const RIGHT: f64 = MIDDLE + BROAD / 2.0;

/// Draws a label with its thread and its node on the rope.
pub fn draw(list: &mut DisplayList, placed: &Placed<'_>, number_room: f64, local: Local) {
    let label = placed.label;
    match label.hang {
        Hang::Left => left(list, label, placed.y, local),
        Hang::Right => right(list, label, placed.y, local),
        Hang::Stop | Hang::Exercise => across(list, label, placed.y, number_room, local),
        Hang::Benchmark => benchmark(list, label, placed.y, local),
    }
}

const XS: Type = Type::regular(size::XS);

fn seconds(list: &mut DisplayList, x: f64, y: f64, label: &Label, set: Type, local: Local) {
    list.text_on_patch((x, y), &local.s(label.at), set, 0.3);
}

/// Lines of a label on patches.
fn lines(list: &mut DisplayList, lines: &[Vec<Run>], at: (f64, f64), anchor: Anchor, pad: f64) {
    for (i, line) in lines.iter().enumerate() {
        let y = at.1 + LEAD * i as f64;
        let wide = line_width(line, size::S);
        list.patch(left_of(at.0, wide, anchor), y, wide, size::S, pad);
        list.runs((at.0, y), line, size::S, anchor);
    }
}

fn left(list: &mut DisplayList, label: &Label, y: f64, local: Local) {
    let (base, thread) = (y + baseline(size::S, LEAD), y + THREAD);
    lines(list, &label.lines, (WORDS_LEFT, base), Anchor::End, 0.5);
    seconds(list, SECONDS_LEFT, base - 0.05, label, XS, local);
    list.text_on_patch((NUMBER, base - 0.05), &label.numbers, XS.end(), 0.3);
    if label.node == Node::Silent {
        Mark::Silent.draw_in(list, LEFT - 1.7, thread, 2.4, Ink::Rubric);
        return;
    }
    list.line((SECONDS_LEFT + 5.0, thread), (LEFT, thread), Stroke::solid(Ink::Ink, pen::FINE));
    node(list, LEFT, thread, label.node);
    if let Some(mark) = label.mark {
        mark.draw(list, WORDS_LEFT - line_width(&label.lines[0], size::S) - 2.2, thread, 2.4);
    }
}

fn right(list: &mut DisplayList, label: &Label, y: f64, local: Local) {
    let (base, thread) = (y + baseline(size::S, LEAD), y + THREAD);
    list.line((RIGHT, thread), (SECONDS_RIGHT - 0.6, thread), Stroke::solid(Ink::Ink, pen::FINE));
    let mut x = WORDS_RIGHT;
    if let Some(mark) = label.mark {
        mark.draw(list, x + 1.2, thread, 2.4);
        x += 3.4;
    }
    lines(list, &label.lines, (x, base), Anchor::Start, 0.5);
    seconds(list, SECONDS_RIGHT, base - 0.05, label, XS, local);
    list.text_on_patch((NUMBER_RIGHT, base - 0.05), &label.numbers, XS.end(), 0.3);
    node(list, RIGHT, thread, label.node);
}

fn node(list: &mut DisplayList, x: f64, y: f64, node: Node) {
    match node {
        Node::Wrong => {
            // On a patch of sheet, so that it stands out of a dark rope.
            list.circle(x, y, 1.5, Some(Ink::Sheet), None);
            Mark::Wrong.draw(list, x, y, 2.3);
        }
        Node::Said => {
            let outline = Some(Stroke::solid(Ink::Ink, pen::FINE));
            list.rect(x - 0.6, y - 0.6, 1.2, 1.2, Some(Ink::Sheet), outline);
        }
        Node::Order | Node::Answer | Node::Silent => {
            list.circle(x, y, 1.0, Some(Ink::Ink), Some(Stroke::solid(Ink::Sheet, pen::FINE)));
        }
    }
}

/// A stop, solid; a loss called into a drill, framed.
fn across(list: &mut DisplayList, label: &Label, y: f64, number_room: f64, local: Local) {
    let top = y + 0.5;
    let count = label.lines.len().max(label.right.len());
    let high = 4.6 + LEAD_ACROSS * count.saturating_sub(1) as f64;
    let (from, to) = (NUMBER + 2.0, NUMBER_RIGHT - number_room);
    let solid = label.hang == Hang::Stop;
    let (fill, ink) = if solid { (Ink::Rubric, Ink::Sheet) } else { (Ink::Sheet, Ink::Rubric) };
    let frame = (!solid).then(|| Stroke::solid(Ink::Rubric, pen::MED));
    list.rect(from, top, to - from, high, Some(fill), frame);
    for (i, line) in label.lines.iter().enumerate() {
        let base = top + 3.35 + LEAD_ACROSS * i as f64;
        let shown: Vec<Run> = line.iter().map(|run| Run { ink, ..run.clone() }).collect();
        list.runs((WORDS_LEFT, base), &shown, size::M, Anchor::End);
    }
    for (i, line) in label.right.iter().enumerate() {
        list.text((WORDS_RIGHT, top + 3.35 + LEAD_ACROSS * i as f64), line, Type::bold(size::M).ink(ink));
    }
    let seconds = local.s(label.at);
    list.text((SECONDS_LEFT, top + 3.25), &seconds, Type::bold(size::XS).ink(ink));
    list.text_on_patch((NUMBER, top + 3.25), &label.numbers, XS.end(), 0.3);
    if solid {
        crate::marks::octagon(list, (MIDDLE, top + high / 2.0), 2.0, Ink::Sheet);
        Mark::Stop.draw_in(list, MIDDLE, top + high / 2.0, 3.4, Ink::Rubric);
    }
}

fn benchmark(list: &mut DisplayList, label: &Label, y: f64, local: Local) {
    let line = y + THREAD + 0.6;
    list.line((NUMBER + 2.0, line), (NUMBER_RIGHT, line), Stroke::solid(Ink::Ink, pen::MED));
    for (i, words) in label.lines.iter().enumerate() {
        let base = line + 1.1 + LEAD_ACROSS * i as f64;
        let wide = line_width(words, size::M);
        list.patch(WORDS_RIGHT, base, wide, size::M, 0.9);
        list.runs((WORDS_RIGHT, base), words, size::M, Anchor::Start);
    }
    seconds(list, SECONDS_LEFT, line + 0.95, label, XS, local);
    list.text_on_patch((NUMBER_RIGHT, line + 0.95), &label.numbers, XS.end(), 0.6);
    list.circle(MIDDLE, line, 1.7, Some(Ink::Sheet), Some(Stroke::solid(Ink::Ink, pen::MED)));
}
