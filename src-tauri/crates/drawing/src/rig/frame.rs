//! Round the drawing: what it shows, the scale of widths, rock, edge, heights, ground, key, assumptions.

use super::layout::At;
use super::words::needed;
use super::{Sheet, WIDTH, ropes};
use crate::build::{Type, pen, size};
use crate::list::{DisplayList, Ink, Seg, Stroke};
use crate::marks::{Mark, loss_words};
use crate::metrics::{self, Run, wrap_runs};
use ::rig::findings::LossFinding;
use ::rig::model::{PartKind, Standing};
use ::rig::quantity::BandKn;
use ::rig::units::{Kind, Units};

/// Room of the rock under the ground line.
const ROCK: f64 = 2.6;

/// What the drawing shows, or what becomes of the load; the scale of widths at the right.
pub fn head(list: &mut DisplayList, sheet: &Sheet<'_>, widths: &ropes::Widths) {
    let scale = sheet.scale();
    match sheet.options.lost {
        // A screen says over the drawing what becomes of the load.
        _ if !sheet.is_paper() => {}
        Some(lost) => lost_words(list, lost.loss),
        None => {
            let words = "Widths are tensions. A margin divides strength by the highest force. Above the edge a diagram, below it to scale.";
            for (i, line) in metrics::wrap(words, crate::Face::Regular, size::S, 112.0).iter().enumerate() {
                list.text((0.0, 3.0 + 3.6 * i as f64), line, Type::regular(size::S));
            }
        }
    }
    if widths.largest <= 0.0 {
        unsolved(list, sheet, widths);
    } else if sheet.is_paper() {
        width_scale(list, widths, sheet.options.units);
    } else {
        let (unit, words) = unit(widths, sheet.options.units);
        let set = sheet.type_of(false, false);
        strand_bar(list, widths, 4.0, BandKn { low: unit, nominal: unit, high: unit });
        let wide = list.text((9.6, 3.0 + scale), &words, set);
        if let Some(needs) = needed(&sheet.state.parts) {
            list.text((9.6 + wide + 6.0, 3.0 + scale), &needs, set);
        }
    }
}

/// What is lost and what becomes of the load; the table of the report has all of it.
fn lost_words(list: &mut DisplayList, loss: &LossFinding) {
    Mark::from(loss.verdict).draw(list, 1.6, 2.2, 2.8);
    let what = metrics::clean(&format!("{} lost: ", loss.label), crate::Face::Bold);
    let words = if loss.words.is_empty() { loss_words(loss.verdict) } else { loss.words.as_str() };
    let runs = [Run::bold(what), Run::plain(metrics::clean(words, crate::Face::Regular))];
    let room = 112.0;
    let mut lines = wrap_runs(&runs, size::S, room);
    if lines.len() > 3 {
        lines = wrap_runs(&runs, size::S, room - Type::regular(size::S).width("…"));
        lines.truncate(3);
        if let Some(last) = lines.last_mut().and_then(|line| line.last_mut()) {
            last.text.truncate(last.text.trim_end().len());
            last.text.push('…');
        }
    }
    for (i, line) in lines.iter().enumerate() {
        list.runs((4.0, 3.2 + 3.4 * i as f64), line, size::S, crate::Anchor::Start);
    }
}

/// The largest force that is round in these units and drawn, in kN, with its words.
fn unit(widths: &ropes::Widths, units: Units) -> (f64, String) {
    let top = units.value(Kind::Force, widths.largest.max(0.01));
    let least = if units == Units::Si { 0.01 } else { 2.0 };
    let round = [
        0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0,
        2000.0, 5000.0, 10_000.0, 20_000.0,
    ];
    let most = if units == Units::Si { 100.0 } else { 20_000.0 };
    let unit = round.into_iter().rev().find(|unit| *unit <= top.min(most)).unwrap_or(least);
    (units.to_si(Kind::Force, unit), format!("{} {}", short(unit), units.unit(Kind::Force)))
}

/// "0.25", "1".
fn short(force: f64) -> String {
    let number = format!("{force:.4}");
    number.trim_end_matches('0').trim_end_matches('.').to_string()
}

fn strand_bar(list: &mut DisplayList, widths: &ropes::Widths, x: f64, force: BandKn) {
    let segs = vec![Seg::Move { x: x - 4.0, y: 3.0 }, Seg::Line { x: x + 4.0, y: 3.0 }];
    ropes::strand(list, widths, segs, Some(force), false);
}

/// In place of the scale, when no tension is known.
fn unsolved(list: &mut DisplayList, sheet: &Sheet<'_>, widths: &ropes::Widths) {
    let words = "tension not checked";
    let set = sheet.type_of(true, false);
    if sheet.is_paper() {
        let wide = set.width(words);
        let segs =
            vec![Seg::Move { x: WIDTH - wide - 10.0, y: 2.2 }, Seg::Line { x: WIDTH - wide - 2.0, y: 2.2 }];
        ropes::strand(list, widths, segs, None, false);
        list.text((WIDTH, 3.2), words, set.end());
    } else {
        let segs = vec![Seg::Move { x: 0.0, y: 3.0 }, Seg::Line { x: 8.0, y: 3.0 }];
        ropes::strand(list, widths, segs, None, false);
        list.text((9.6, 3.0 + sheet.scale()), words, set);
    }
}

/// Three tensions as wide as they are drawn, and nominal over high.
fn width_scale(list: &mut DisplayList, widths: &ropes::Widths, units: Units) {
    let (unit, words) = unit(widths, units);
    let set = Type::regular(size::S).middle();
    for (x, share) in [(124.0, 0.25), (135.5, 0.5), (147.0, 1.0)] {
        let force = unit * share;
        strand_bar(list, widths, x, BandKn { low: force, nominal: force, high: force });
        let part = short(units.value(Kind::Force, force));
        list.text((x, 8.6), if share == 1.0 { words.clone() } else { part }.as_str(), set);
    }
    strand_bar(list, widths, 164.0, BandKn { low: unit * 0.5, nominal: unit * 0.5, high: unit });
    list.text((WIDTH, 8.6), "nominal, high", Type::regular(size::XS).end());
}

/// Ends of the edge line.
pub fn lip(sheet: &Sheet<'_>) -> (f64, f64) {
    let at_edge =
        sheet.rig.parts.iter().filter(|p| p.kind == PartKind::EdgeProtection || p.kind == PartKind::Rope);
    let mut xs: Vec<f64> = at_edge
        .filter_map(|p| if p.kind == PartKind::Rope { ropes::target(sheet, p) } else { sheet.layout.of(p) })
        .map(|at| at.0)
        .collect();
    let legs = sheet.rig.parts.iter().filter(|p| p.kind == PartKind::Strut);
    xs.extend(legs.filter_map(|p| p.at.last()).filter_map(|id| sheet.layout.at(id)).map(|at| at.0));
    if xs.is_empty() {
        xs.push((sheet.layout.extent.0 + sheet.layout.extent.1) / 2.0);
    }
    let low = xs.iter().copied().fold(f64::INFINITY, f64::min);
    let high = xs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    ((low - 12.0).max(sheet.layout.extent.0), (high + 8.0).min(sheet.layout.axis() - 8.0))
}

/// Rock over the anchors, the edge, the axis of heights and the ground.
pub fn ground(list: &mut DisplayList, sheet: &Sheet<'_>) {
    let layout = &sheet.layout;
    let medium = || Stroke::solid(Ink::Ink, pen::MED);
    let anchors: Vec<At> =
        sheet.rig.parts.iter().filter(|p| p.kind == PartKind::Anchor).filter_map(|p| layout.of(p)).collect();
    if !anchors.is_empty() {
        let low = anchors.iter().map(|at| at.0).fold(f64::INFINITY, f64::min) - 8.0;
        let high = anchors.iter().map(|at| at.0).fold(f64::NEG_INFINITY, f64::max) + 8.0;
        let (low, high) = (low.max(layout.extent.0), high.min(layout.extent.1));
        let y = layout.top + 5.0;
        list.line((low, y), (high, y), medium());
        list.hatch(low, y - 2.8, high - low, 2.8, 1.1, Ink::Ink, pen::HAIR);
    }
    let (from, to) = lip(sheet);
    // On a slope the ground runs on below the load: there is no edge.
    if sheet.rig.edge.slope.is_none() {
        list.line((from, layout.edge), (to, layout.edge), medium());
        list.hatch(from, layout.edge, to - from, 3.0, 1.1, Ink::Ink, pen::HAIR);
    }
    list.line((0.0, layout.ground), (layout.width, layout.ground), medium());
    list.hatch(0.0, layout.ground, layout.width, ROCK - 0.2, 1.1, Ink::Ink, pen::HAIR);
    let fine = || Stroke::solid(Ink::Ink, pen::FINE);
    list.line((layout.axis(), layout.edge), (layout.axis(), layout.ground), fine());
    list.line((to_axis(sheet), layout.edge), (layout.axis(), layout.edge), fine());
}

fn to_axis(sheet: &Sheet<'_>) -> f64 {
    lip(sheet).1.min(sheet.layout.axis())
}

/// Lines of the assumptions.
fn assumptions(sheet: &Sheet<'_>) -> Vec<Vec<Run>> {
    if !sheet.is_paper() || sheet.rig.assumptions.is_empty() {
        return Vec::new();
    }
    let mut runs = vec![Run::bold("Assumed ")];
    for (i, assumption) in sheet.rig.assumptions.iter().enumerate() {
        let standing = match assumption.cited.standing {
            Standing::CommonPractice => ", common practice",
            Standing::Memory => ", from memory",
            _ => "",
        };
        let joint = if i == 0 { "" } else { " · " };
        let words = format!("{joint}{} {}{standing}", assumption.label, assumption.value);
        runs.push(Run::plain(metrics::clean(&words, crate::Face::Regular).replace('\n', " ")));
    }
    wrap_runs(&runs, size::S, WIDTH)
}

/// The marks of the key.
const KEY: [(Mark, &str); 8] = [
    (Mark::Holds, "holds, held"),
    (Mark::HeldOnlyIf, "held only if someone acts"),
    (Mark::Moves, "moves: a drop or swing"),
    (Mark::FallsShort, "falls short"),
    (Mark::Overloaded, "overloaded"),
    (Mark::Dropped, "dropped"),
    (Mark::NotChecked, "not checked"),
    (Mark::Critical, "critical"),
];

/// Room below the ground line.
pub fn foot_height(sheet: &Sheet<'_>) -> f64 {
    if !sheet.is_paper() {
        return ROCK + 0.4;
    }
    ROCK + 6.0 + 3.6 * assumptions(sheet).len() as f64 + 0.6
}

/// Key and assumptions below the ground; returns the height of the sheet.
pub fn foot(list: &mut DisplayList, sheet: &Sheet<'_>) -> f64 {
    let mut y = sheet.layout.ground + ROCK;
    if !sheet.is_paper() {
        return y + 0.4;
    }
    let set = Type::regular(size::XS);
    let used: f64 = KEY.iter().map(|(_, words)| 3.0 + set.width(words)).sum();
    let gap = (WIDTH - used) / (KEY.len() - 1) as f64;
    let mut x = 0.0;
    for (mark, words) in KEY {
        mark.draw(list, x + 1.25, y + 2.4, 2.4);
        x += 3.0 + list.text((x + 3.0, y + 3.3), words, set) + gap;
    }
    y += 6.0;
    for line in assumptions(sheet) {
        list.runs((0.0, y + metrics::baseline(size::S, 3.6)), &line, size::S, crate::Anchor::Start);
        y += 3.6;
    }
    y + 0.6
}
