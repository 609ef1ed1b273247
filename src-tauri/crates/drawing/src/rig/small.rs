//! A small picture of a rig that was replaced: what lies above the edge, without labels, its critical
//! parts bracketed and named below.

use super::{RigDrawingOptions, Sheet, layout, ropes, symbols};
use crate::build::{Type, pen, size};
use crate::list::{DisplayList, Ink, Stroke};
use crate::marks::Mark;
use crate::metrics;
use ::rig::findings::StateFindings;
use ::rig::model::Rig;

/// Most that the picture is reduced.
const LEAST: f64 = 0.3;

/// Draws it `width` mm wide; as high as it comes.
pub fn small(rig: &Rig, state: &StateFindings, width: f64) -> DisplayList {
    let options = RigDrawingOptions::default();
    let mut sheet = Sheet::new(rig, state, &options);
    sheet.layout.set_below(0.0, 0.0);
    let (left, right) = (sheet.layout.extent.0, sheet.layout.extent.1.max(sheet.layout.extent.0 + 10.0));
    let (top, foot) = (sheet.layout.top, sheet.layout.edge);
    let full = above_edge(&sheet);
    let mut cut = DisplayList::new(right - left, foot - top + 3.2);
    cut.place(&full, -left, -top);
    let mut list = cut.scaled((width / (right - left)).clamp(LEAST, 1.0));
    list.width = width;
    let mut y = list.height + 1.0;
    let set = Type::bold(size::S);
    for part in rig.parts.iter().filter(|p| sheet.critical.contains(p.id.as_str()) && !p.always_critical) {
        Mark::Critical.draw(&mut list, 1.4, y + 1.7, 2.5);
        let words = metrics::clean(&format!("{}: critical", part.label), set.face);
        for line in metrics::wrap(&words, set.face, set.size, width - 3.8) {
            list.text((3.6, y + 2.7), &line, set);
            y += 3.5;
        }
    }
    list.height = y + 0.6;
    list
}

/// Rock, edge, ropes, legs and symbols down to the edge.
fn above_edge(sheet: &Sheet<'_>) -> DisplayList {
    let mut list = DisplayList::new(super::WIDTH, sheet.layout.edge);
    let widths = ropes::Widths::new(sheet);
    let (left, right) = sheet.layout.extent;
    let y = sheet.layout.top + 5.0;
    list.line((left, y), (right, y), Stroke::solid(Ink::Ink, pen::MED));
    list.hatch(left, y - 2.8, right - left, 2.8, 1.1, Ink::Ink, pen::HAIR);
    list.line((left, sheet.layout.edge), (right, sheet.layout.edge), Stroke::solid(Ink::Ink, pen::MED));
    list.hatch(left, sheet.layout.edge, right - left, 3.0, 1.1, Ink::Ink, pen::HAIR);
    symbols::links(&mut list, sheet);
    for layer in 0..3 {
        for part in sheet.rig.parts.iter().filter(|part| ropes::layer(sheet, part) == layer) {
            let is_above = sheet.layout.of(part).is_some_and(|at| at.1 <= sheet.layout.edge + 0.6);
            if layer == 0 {
                above_pieces(&mut list, sheet, &widths, part);
            } else if is_above {
                symbols::draw(&mut list, sheet, &widths, part);
            }
        }
    }
    list
}

/// The pieces of a rope or leg that lie above the edge.
fn above_pieces(
    list: &mut DisplayList,
    sheet: &Sheet<'_>,
    widths: &ropes::Widths,
    part: &::rig::model::Part,
) {
    let two = part.line == ::rig::model::Line::Two;
    for (segs, force) in ropes::pieces(sheet, part) {
        let lowest = segs.iter().filter_map(layout::y_of).fold(f64::NEG_INFINITY, f64::max);
        if lowest <= sheet.layout.edge + 0.6 {
            ropes::strand(list, widths, segs, force, two);
        }
    }
}
