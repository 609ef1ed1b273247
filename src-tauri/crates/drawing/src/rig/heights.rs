//! The axis of heights beside the wall: its numbers, the words at the edge and under the load. They keep clear of leaders: a
//! number that one would run through is left out, its tick stays.

use super::columns::Placed;
use super::layout::At;
use super::{Sheet, below, leaders, ropes, symbols};
use crate::build::{Type, left_of, pen};
use crate::list::{DisplayList, Ink, Seg, Stroke};
use crate::metrics::PT;
use crate::words::short_length;
use ::rig::model::PartKind;
use ::rig::units::Kind;

/// Steps of the scale, in its own unit.
const STEPS: [f64; 14] =
    [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0];

/// Lines that words keep clear of, each with how near it may come, mm.
pub(super) struct Taken(Vec<(At, At, f64)>);

impl Taken {
    /// All leaders, ropes, legs, rollers, crosses on what is lost and brackets round what is critical.
    fn new(sheet: &Sheet<'_>, placed: &[Placed<'_>]) -> Taken {
        let mut out = Vec::new();
        for way in placed.iter().flat_map(|one| leaders::ways(sheet, one)) {
            out.extend(way.windows(2).map(|pair| (pair[0], pair[1], 0.3)));
        }
        for part in sheet.parts() {
            let marked = sheet.lost.contains(part.id.as_str()) || sheet.critical.contains(part.id.as_str());
            if let (true, Some((x, y))) = (marked, symbols::place(sheet, part)) {
                out.push(((x - 4.2, y), (x + 4.2, y), 4.2));
            }
            if ropes::is_line(sheet, part) {
                for (segs, _) in ropes::pieces(sheet, part) {
                    straight(&segs).into_iter().for_each(|(a, b)| out.push((a, b, 2.8)));
                }
            } else if let (PartKind::EdgeProtection, Some((x, y))) = (part.kind, sheet.layout.of(part)) {
                out.push(((x - 4.5, y), (x + 4.5, y), 1.6));
            }
        }
        Taken(out)
    }

    /// How many of them run through a text.
    pub(super) fn through(&self, at: At, words: &str, set: Type) -> usize {
        let (em, wide) = (set.size * PT, set.width(words));
        let left = left_of(at.0, wide, set.anchor);
        let (top, bottom) = (at.1 - 0.76 * em, at.1 + 0.1 * em);
        let meets = |(a, b, near): &&(At, At, f64)| {
            crosses(*a, *b, (left - near, top - near), (left + wide + near, bottom + near))
        };
        self.0.iter().filter(meets).count()
    }
}

/// The straight lines of a way, a curve as its chord.
fn straight(segs: &[Seg]) -> Vec<(At, At)> {
    let mut last: Option<At> = None;
    let mut out = Vec::new();
    for seg in segs {
        let (to, draws) = match *seg {
            Seg::Move { x, y } => ((x, y), false),
            Seg::Line { x, y } | Seg::Curve { x, y, .. } => ((x, y), true),
            Seg::Close => continue,
        };
        out.extend(last.filter(|_| draws).map(|from| (from, to)));
        last = Some(to);
    }
    out
}

/// Whether a straight line runs through a box given by two corners: what is left of it after each side has cut it.
fn crosses(a: At, b: At, low: At, high: At) -> bool {
    let (mut from, mut to) = (0.0f64, 1.0f64);
    for (start, way, least, most) in [(a.0, b.0 - a.0, low.0, high.0), (a.1, b.1 - a.1, low.1, high.1)] {
        if way.abs() < 1e-9 {
            if start < least || start > most {
                return false;
            }
            continue;
        }
        let (first, second) = ((least - start) / way, (most - start) / way);
        from = from.max(first.min(second));
        to = to.min(first.max(second));
    }
    from < to
}

/// "14 m", "0.5 ft": a number of the scale, in its own unit.
fn number(value: f64, unit: &str) -> String {
    let words = format!("{value:.1}");
    format!("{} {unit}", words.strip_suffix(".0").unwrap_or(&words))
}

/// The numbers on the axis, over whatever lies there.
pub fn draw(list: &mut DisplayList, sheet: &Sheet<'_>, placed: &[Placed<'_>]) {
    let layout = &sheet.layout;
    let x = layout.axis();
    let taken = Taken::new(sheet, placed);
    let units = sheet.options.units;
    let (unit, metre) = (units.unit(Kind::Length), units.to_si(Kind::Length, 1.0));
    let height = sheet.rig.edge.height.to_metres();
    let small = sheet.type_of(false, true).end();
    let set = |words: &str| if words.contains('.') { sheet.type_of(false, false).end() } else { small };
    let lift = 0.9 * sheet.scale();
    let (begins, note) =
        load_height(list, sheet, &taken, &format!("drawn at {}", short_length(units, layout.load_height())));
    let (ground, lowest) = edge_words(list, sheet, &taken, &short_length(units, height), begins);
    let (taken_up, left_over) = below::draw(list, sheet, &taken, note, lowest);
    let room = begins.min(x - 10.0 * sheet.scale()) - 1.0;
    let ground = at_the_foot(ground, &left_over, room, sheet.type_of(true, false));
    list.text((0.0, layout.ground - 1.0 * sheet.scale()), &ground, sheet.type_of(true, false));
    let nought = number(0.0, unit);
    if note < x - 2.8 - small.width(&nought) - 0.8 {
        list.text_on_patch((x - 2.8, layout.ground - sheet.scale()), &nought, small, 0.3);
    }
    // From here in the scale's own unit.
    let Some(per_unit) = layout.per_metre().map(|mm| mm * metre) else { return };
    let height = units.value(Kind::Length, height);
    let step = STEPS.into_iter().find(|step| step * per_unit >= 12.0).unwrap_or(height.max(1.0));
    for i in 1..400 {
        let value = f64::from(i) * step / 5.0;
        let y = layout.ground - value * per_unit;
        if value >= height || y < layout.edge {
            break;
        }
        let big = i % 5 == 0;
        let length = if big { 1.8 } else { 0.8 };
        list.line((x - length, y), (x, y), Stroke::solid(Ink::Ink, if big { pen::FINE } else { pen::HAIR }));
        let clear = y - lowest > 4.1 * sheet.scale()
            && layout.ground - y > 4.0 * sheet.scale()
            && taken_up.iter().all(|other| (other - y).abs() > 4.1 * sheet.scale());
        let words = number(value, unit);
        let (at, set) = ((x - 2.8, y + lift), set(&words));
        let left = at.0 - set.width(&words);
        if big && clear && !meets_load(sheet, note, left, y) && taken.through(at, &words, set) == 0 {
            list.text_on_patch(at, &words, set, 0.3);
        }
    }
}

/// What stands at the ground, with what found no place at its own height, as far as there is room.
fn at_the_foot(ground: String, left_over: &[String], room: f64, set: Type) -> String {
    let whole = [vec![ground.clone()], left_over.to_vec()].concat().join("; ");
    if set.width(&whole) < room { whole } else { ground }
}

/// What stands at the top of the axis: "edge" and its height, or the slope, where the fewest lines run through it. A slope has
/// no line, and hands hold the ropes above: all stands below. Where no place is free the ground says it, up to what begins at
/// `room` there. Answers its words, and where what stands at the top ends.
fn edge_words(
    list: &mut DisplayList,
    sheet: &Sheet<'_>,
    taken: &Taken,
    height: &str,
    room: f64,
) -> (String, f64) {
    let layout = &sheet.layout;
    let (x, lead) = (layout.axis() - 2.8, sheet.leading());
    let (bold, plain) = (sheet.type_of(true, false).end(), sheet.type_of(false, false).end());
    let small = if height.contains('.') { plain } else { sheet.type_of(false, true).end() };
    let first = layout.edge + 3.4 * sheet.scale();
    let top = format!("top, {height}");
    let mut ways: Vec<Vec<(At, &str, Type)>> = Vec::new();
    let angle = sheet.rig.edge.slope.as_ref().map(|slope| format!("slope {}°", slope.angle.to_degrees()));
    if let Some(angle) = &angle {
        for start in [first, first + lead] {
            ways.push(vec![((x, start), angle, bold), ((x, start + lead), &top, small)]);
            ways.push(vec![((x, start), angle, bold), ((x, start + lead), height, small)]);
        }
        ways.push(vec![
            ((x, first), "slope", bold),
            ((x, first + lead), &angle[6..], bold),
            ((x, first + 2.0 * lead), height, small),
        ]);
    } else {
        let over = layout.edge - 1.2;
        let between = middle_of_ropes(sheet).map(|middle| (middle, over));
        for under in [first, first + 0.6 * lead, first + 1.2 * lead] {
            ways.push(vec![((x, over), "edge", bold), ((x, under), height, small)]);
            ways.extend(between.map(|at| {
                vec![(at, "edge", sheet.type_of(true, false).middle()), ((x, under), height, small)]
            }));
        }
        ways.push(vec![((x, first), "edge", bold), ((x, first + lead), height, small)]);
    }
    let cost = |way: &Vec<(At, &str, Type)>| -> usize {
        way.iter().map(|(at, words, set)| taken.through(*at, words, *set)).sum()
    };
    let at_ground = match &angle {
        Some(angle) => format!("{angle}, {height} down"),
        None => format!("ground, {height} down"),
    };
    // The first of those that are alike.
    let Some(best) = ways.iter().min_by_key(|way| cost(way)) else { return (at_ground, first) };
    if cost(best) > 0 && bold.width(&at_ground) + 1.0 < room {
        return (at_ground, layout.edge);
    }
    for (at, words, set) in best {
        list.text_on_patch(*at, words, *set, 0.3);
    }
    ("ground".into(), best.iter().map(|(at, _, _)| at.1).fold(layout.edge, f64::max))
}

/// Half way between the outermost ropes where they pass the edge.
fn middle_of_ropes(sheet: &Sheet<'_>) -> Option<f64> {
    let all = sheet.parts().filter(|p| p.kind == PartKind::Rope).filter_map(|p| ropes::at_edge(sheet, p));
    let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| (a.min(x), b.max(x)));
    (high > low).then_some((low + high) / 2.0)
}

/// Whether a number from `left` to the axis at height `y` would meet the litter, its words (their right end is `note`) or its
/// height.
pub(super) fn meets_load(sheet: &Sheet<'_>, note: f64, left: f64, y: f64) -> bool {
    let Some((_, litter)) = symbols::litter_middle(sheet) else { return false };
    let reach = if left < litter_right(sheet).max(note) + 1.0 {
        sheet.layout.litter_half + 5.0 * sheet.scale()
    } else {
        3.6 * sheet.scale()
    };
    (y - litter).abs() < reach
}

/// Right end of the litter and of the words under it.
fn litter_right(sheet: &Sheet<'_>) -> f64 {
    let middle = symbols::litter_middle(sheet).map_or(0.0, |(x, _)| x);
    middle + sheet.layout.litter_width / 2.0
}

/// From the load to the axis, with the height it is drawn at, which says nothing of where the load is; returns the ends of words
/// under the litter; infinity and 0 for none.
fn load_height(list: &mut DisplayList, sheet: &Sheet<'_>, taken: &Taken, words: &str) -> (f64, f64) {
    let Some((middle, y)) = symbols::litter_middle(sheet) else { return (f64::INFINITY, 0.0) };
    let x = sheet.layout.axis();
    let set = sheet.type_of(true, false).end();
    if !sheet.layout.off_scale {
        list.line((litter_right(sheet), y), (x, y), Stroke::solid(Ink::Ink, pen::HAIR).dashed(0.3, 0.9));
        let clear =
            y - sheet.layout.edge > 7.5 * sheet.scale() && sheet.layout.ground - y > 4.4 * sheet.scale();
        let at = (x - 0.8, y + 1.0 * sheet.scale());
        if clear && at.0 - set.width(words) > litter_right(sheet) + 1.2 && taken.through(at, words, set) == 0
        {
            list.text_on_patch(at, words, set, 0.4);
            return (f64::INFINITY, 0.0);
        }
    }
    // No room at the axis, or the place on the sheet is not to the scale there: said in words under the litter.
    let set = sheet.type_of(false, false).middle();
    let long = format!("{words}, not to scale");
    let left = super::columns::left_end(sheet);
    let room = 2.0 * (x - 14.0 * sheet.scale() - middle).min(middle - left - 1.0);
    let words = if sheet.layout.off_scale && set.width(&long) < room { long } else { words.to_string() };
    let below = (middle, (y + sheet.layout.litter_half + 3.0 * sheet.scale()).min(sheet.layout.ground - 0.6));
    list.text_on_patch(below, &words, set, 0.3);
    let half = set.width(&words) / 2.0;
    (middle - half, middle + half)
}
