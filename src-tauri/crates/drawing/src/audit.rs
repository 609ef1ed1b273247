//! What must be true of every drawing: all numbers finite, nothing outside the sheet, no text over
//! text. Tests here and in `report` ask it of everything they make.

use crate::build::left_of;
use crate::list::{DisplayList, Item, Seg};
use crate::metrics::{self, PT};
use std::collections::BTreeSet;

/// How far boxes may run into each other before it counts, mm: less than the white round a letter.
const TOUCH: f64 = 0.25;
/// How far past the sheet a number may lie, mm: rounding.
const SLACK: f64 = 0.05;

/// The box of a line of text, and its words.
#[derive(Clone, Debug)]
struct TextBox {
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
    words: String,
}

/// Every fault of a drawing in words; empty when it has none.
pub fn faults(list: &DisplayList) -> Vec<String> {
    let mut out = Vec::new();
    let mut boxes = Vec::new();
    look(list, &list.items, &mut boxes, &mut out);
    boxes.sort_by(|a, b| a.top.total_cmp(&b.top));
    for (i, a) in boxes.iter().enumerate() {
        for b in boxes.iter().skip(i + 1).take_while(|b| b.top < a.bottom) {
            let across = a.right.min(b.right) - a.left.max(b.left);
            let down = a.bottom.min(b.bottom) - a.top.max(b.top);
            if across > TOUCH && down > TOUCH {
                out.push(format!(
                    "“{}” lies over “{}” at {:.1}, {:.1} ({across:.2} × {down:.2} mm)",
                    a.words, b.words, b.left, b.top
                ));
            }
        }
    }
    out
}

/// Groups of the same id, in words: the screens tell the parts of a rig apart by it.
pub fn twice(items: &[Item]) -> Vec<String> {
    let mut seen = BTreeSet::new();
    let ids = items.iter().filter_map(|item| if let Item::Group { id, .. } = item { Some(id) } else { None });
    ids.filter(|id| !seen.insert(id.as_str())).map(|id| format!("“{id}” is the id of two groups")).collect()
}

/// Words that a rope or another stroke of at least `least` mm runs through, in words. A stroke that something
/// filled covers before the words come is not told apart.
pub fn struck(list: &DisplayList, least: f64) -> Vec<String> {
    let (mut boxes, mut inked) = (Vec::new(), Vec::new());
    collect(&list.items, least, &mut boxes, &mut inked);
    let inside = |text: &TextBox, x: f64, y: f64| {
        x > text.left + TOUCH && x < text.right - TOUCH && y > text.top + TOUCH && y < text.bottom - TOUCH
    };
    let through = boxes.iter().filter(|text| inked.iter().any(|(x, y)| inside(text, *x, *y)));
    through
        .map(|text| format!("a line runs through “{}” at {:.1}, {:.1}", text.words, text.left, text.top))
        .collect()
}

/// Boxes of all words, and points all over every wide stroke.
fn collect(items: &[Item], least: f64, boxes: &mut Vec<TextBox>, inked: &mut Vec<(f64, f64)>) {
    for item in items {
        match item {
            Item::Group { items, .. } => collect(items, least, boxes, inked),
            Item::Text { .. } => boxes.extend(text_box(item)),
            Item::Path { segs, stroke: Some(stroke), .. } if stroke.width * PT >= least => {
                let mut last: Option<(f64, f64)> = None;
                for seg in segs {
                    for to in points(seg) {
                        if let Some(from) = last.filter(|_| !matches!(seg, Seg::Move { .. })) {
                            over(from, to, stroke.width * PT / 2.0, inked);
                        }
                        last = Some(to);
                    }
                }
            }
            Item::Path { .. } => {}
        }
    }
}

/// Points at most this far apart stand for a stroke, mm: less than any letter.
const GRAIN: f64 = 0.8;

/// Points over a straight stroke of half a width.
fn over(from: (f64, f64), to: (f64, f64), half: f64, inked: &mut Vec<(f64, f64)>) {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let length = libm::hypot(dx, dy);
    if length.is_nan() || length <= 0.0 || length > 1e4 {
        return;
    }
    let (along, across) = ((length / GRAIN).ceil(), (2.0 * half / GRAIN).ceil());
    for i in 0..=along as usize {
        let share = i as f64 / along;
        for k in 0..=across as usize {
            let aside = (k as f64 / across * 2.0 - 1.0) * half;
            inked
                .push((from.0 + dx * share - dy / length * aside, from.1 + dy * share + dx / length * aside));
        }
    }
}

/// Leaders that cross each other, and words that one runs through, in words. A leader is a line with a dot at its end.
pub fn leaders(list: &DisplayList) -> Vec<String> {
    let (mut ways, mut boxes) = (Vec::new(), Vec::new());
    find_leaders("", &list.items, &mut ways, &mut boxes);
    let mut out = Vec::new();
    for (i, (id, way)) in ways.iter().enumerate() {
        for (other, against) in ways.iter().skip(i + 1) {
            let lines = |way: &[(f64, f64)]| way.windows(2).map(|w| (w[0], w[1])).collect::<Vec<_>>();
            let met = lines(way).into_iter().any(|a| lines(against).into_iter().any(|b| cross(a, b)));
            if met && id != other {
                out.push(format!("the leaders of {id} and {other} cross"));
            }
        }
        for text in &boxes {
            let inside = |(x, y): &(f64, f64)| {
                *x > text.left + TOUCH
                    && *x < text.right - TOUCH
                    && *y > text.top + TOUCH
                    && *y < text.bottom - TOUCH
            };
            let mut points = Vec::new();
            way.windows(2).for_each(|w| over(w[0], w[1], 0.05, &mut points));
            if points.iter().any(inside) {
                out.push(format!(
                    "the leader of {id} runs through “{}” at {:.1}, {:.1}",
                    text.words, text.left, text.top
                ));
            }
        }
    }
    out
}

/// Leaders with the group they belong to, and the boxes of all words.
fn find_leaders(
    id: &str,
    items: &[Item],
    ways: &mut Vec<(String, Vec<(f64, f64)>)>,
    boxes: &mut Vec<TextBox>,
) {
    for (i, item) in items.iter().enumerate() {
        match item {
            Item::Group { id, items, .. } => find_leaders(id, items, ways, boxes),
            Item::Text { .. } => boxes.extend(text_box(item)),
            Item::Path { segs, fill: None, stroke: Some(_) } => {
                let way: Vec<(f64, f64)> = segs.iter().flat_map(points).collect();
                let dot = items.get(i + 1).and_then(dot);
                let ends = dot
                    .zip(way.last())
                    .is_some_and(|(at, end)| libm::hypot(at.0 - end.0, at.1 - end.1) < 0.01);
                if ends {
                    ways.push((id.to_string(), way));
                }
            }
            Item::Path { .. } => {}
        }
    }
}

/// The middle of the dot at the end of a leader.
fn dot(item: &Item) -> Option<(f64, f64)> {
    let Item::Path { segs, fill: Some(_), stroke: None } = item else { return None };
    let area = area(segs)?;
    let (wide, high) = (area[2] - area[0], area[3] - area[1]);
    let is_dot = (wide - 0.9).abs() < 0.01 && (high - 0.9).abs() < 0.01;
    is_dot.then_some(((area[0] + area[2]) / 2.0, (area[1] + area[3]) / 2.0))
}

/// Left, top, right and bottom of what the ends of segments span.
fn area(segs: &[Seg]) -> Option<[f64; 4]> {
    let ends = segs.iter().filter_map(|seg| match *seg {
        Seg::Move { x, y } | Seg::Line { x, y } | Seg::Curve { x, y, .. } => Some((x, y)),
        Seg::Close => None,
    });
    ends.fold(None, |area, (x, y)| {
        let [l, t, r, b] = area.unwrap_or([x, y, x, y]);
        Some([l.min(x), t.min(y), r.max(x), b.max(y)])
    })
}

/// Whether two straight lines cross within both.
fn cross(a: ((f64, f64), (f64, f64)), b: ((f64, f64), (f64, f64))) -> bool {
    let turn =
        |p: (f64, f64), q: (f64, f64), r: (f64, f64)| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    let apart = |x: f64, y: f64| x * y < 0.0 && x.abs() > 1e-6 && y.abs() > 1e-6;
    apart(turn(a.0, a.1, b.0), turn(a.0, a.1, b.1)) && apart(turn(b.0, b.1, a.0), turn(b.0, b.1, a.1))
}

/// Share of the smaller of two shapes that may lie under the other before they count as one over the other.
const SHARE: f64 = 0.12;

/// Outlined shapes of one group that lie over those of another, in words.
pub fn overlaps(list: &DisplayList) -> Vec<String> {
    let mut shapes: Vec<(&str, [f64; 4])> = Vec::new();
    for item in &list.items {
        let Item::Group { id, items, .. } = item else { continue };
        for item in items {
            let Item::Path { segs, fill: Some(_), stroke: Some(_) } = item else { continue };
            let closed = segs.iter().any(|seg| matches!(seg, Seg::Close));
            shapes.extend(
                area(segs)
                    .filter(|a| closed && a[2] - a[0] > 1.5 && a[3] - a[1] > 0.8)
                    .map(|a| (id.as_str(), a)),
            );
        }
    }
    let size = |a: &[f64; 4]| (a[2] - a[0]) * (a[3] - a[1]);
    let mut out = Vec::new();
    for (i, (id, a)) in shapes.iter().enumerate() {
        for (other, b) in shapes.iter().skip(i + 1).filter(|(other, _)| other != id) {
            let across = (a[2].min(b[2]) - a[0].max(b[0])).max(0.0);
            let down = (a[3].min(b[3]) - a[1].max(b[1])).max(0.0);
            if across * down > SHARE * size(a).min(size(b)) {
                out.push(format!("{id} lies over {other} at {:.1}, {:.1}", a[0].max(b[0]), a[1].max(b[1])));
            }
        }
    }
    out.dedup();
    out
}

/// Words that were cut short, in words.
pub fn clipped(list: &DisplayList) -> Vec<String> {
    texts(list)
        .into_iter()
        .filter(|text| text.contains('…'))
        .map(|text| format!("“{text}” is cut short"))
        .collect()
}

fn look(list: &DisplayList, items: &[Item], boxes: &mut Vec<TextBox>, out: &mut Vec<String>) {
    for item in items {
        match item {
            Item::Group { items, .. } => look(list, items, boxes, out),
            Item::Path { segs, stroke, .. } => {
                let half = stroke.as_ref().map_or(0.0, |s| s.width * PT / 2.0);
                if stroke.as_ref().is_some_and(|s| !(s.width.is_finite() && s.width > 0.0)) {
                    out.push(format!("a stroke of width {:?}", stroke.as_ref().map(|s| s.width)));
                }
                for (x, y) in segs.iter().flat_map(points) {
                    let inside =
                        |v: f64, end: f64| v.is_finite() && v >= -half - SLACK && v <= end + half + SLACK;
                    if !inside(x, list.width) || !inside(y, list.height) {
                        out.push(format!(
                            "a line runs to {x:.2}, {y:.2}, outside {:.1} × {:.1}",
                            list.width, list.height
                        ));
                        break;
                    }
                }
            }
            Item::Text { .. } => {
                let Some(found) = text_box(item) else { continue };
                let inside = [found.left, found.top, found.right, found.bottom].iter().all(|v| v.is_finite())
                    && found.left >= -SLACK
                    && found.top >= -SLACK
                    && found.right <= list.width + SLACK
                    && found.bottom <= list.height + SLACK;
                if !inside {
                    out.push(format!(
                        "“{}” leaves the sheet: {:.1} to {:.1}, {:.1} to {:.1}",
                        found.words, found.left, found.right, found.top, found.bottom
                    ));
                }
                boxes.push(found);
            }
        }
    }
}

fn points(seg: &Seg) -> Vec<(f64, f64)> {
    match *seg {
        Seg::Move { x, y } | Seg::Line { x, y } => vec![(x, y)],
        Seg::Curve { x1, y1, x2, y2, x, y } => vec![(x1, y1), (x2, y2), (x, y)],
        Seg::Close => Vec::new(),
    }
}

/// The box of the letters, turned with the text.
fn text_box(item: &Item) -> Option<TextBox> {
    let Item::Text { x, y, size, face, anchor, text, turn, .. } = item else {
        return None;
    };
    let em = size * PT;
    let width = metrics::width(text.trim_end(), *face, *size);
    let left = left_of(*x, width, *anchor);
    let (sin, cos) = (libm::sin(turn.to_radians()), libm::cos(turn.to_radians()));
    let corners = [
        (left, y - 0.72 * em),
        (left + width, y - 0.72 * em),
        (left, y + 0.05 * em),
        (left + width, y + 0.05 * em),
    ]
    .map(|(u, v)| (x + (u - x) * cos - (v - y) * sin, y + (u - x) * sin + (v - y) * cos));
    let low = |pick: fn(&(f64, f64)) -> f64| corners.iter().map(pick).fold(f64::INFINITY, f64::min);
    let high = |pick: fn(&(f64, f64)) -> f64| corners.iter().map(pick).fold(f64::NEG_INFINITY, f64::max);
    Some(TextBox {
        left: low(|c| c.0),
        top: low(|c| c.1),
        right: high(|c| c.0),
        bottom: high(|c| c.1),
        words: text.clone(),
    })
}

/// All texts of a drawing in painting order, for tests that ask that nothing is lost.
pub fn texts(list: &DisplayList) -> Vec<String> {
    fn collect(items: &[Item], out: &mut Vec<String>) {
        for item in items {
            match item {
                Item::Text { text, .. } => out.push(text.clone()),
                Item::Group { items, .. } => collect(items, out),
                Item::Path { .. } => {}
            }
        }
    }
    let mut out = Vec::new();
    collect(&list.items, &mut out);
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::Type;

    #[test]
    fn finds_overlap_text_off_the_sheet_and_lines_off_the_sheet() {
        let mut list = DisplayList::new(40.0, 20.0);
        list.text((2.0, 5.0), "first words", Type::regular(8.0));
        assert!(faults(&list).is_empty());
        list.text((8.0, 6.0), "second", Type::regular(8.0));
        assert_eq!(faults(&list).len(), 1);
        list.text((2.0, 12.0), "words that run over the right edge of it", Type::regular(8.0));
        assert_eq!(faults(&list).len(), 2);
        list.rect(0.0, 0.0, 50.0, 2.0, Some(crate::Ink::Ink), None);
        list.rect(0.0, f64::NAN, 5.0, 2.0, Some(crate::Ink::Ink), None);
        assert_eq!(faults(&list).len(), 4);
        assert!(struck(&list, 1.0).is_empty());
        list.line((5.0, 0.0), (5.0, 20.0), crate::Stroke::solid(crate::Ink::Ink, 4.0));
        assert_eq!(struck(&list, 1.0).len(), 2, "first words, and words that run over");
        assert!(struck(&list, 2.0).is_empty());
        list.turned_text((1.0, 2.0), "turned down", Type::bold(8.0), 90.0);
        assert!(faults(&list).iter().any(|fault| fault.contains("turned down")));
    }

    #[test]
    fn finds_leaders_that_cross_or_run_through_words_parts_over_parts_and_words_cut_short() {
        use crate::{Ink, Stroke};
        let leader = |list: &mut DisplayList, id: &str, from: (f64, f64), to: (f64, f64)| {
            list.group(id, id, |group| {
                group.polyline(&[from, to], Stroke::solid(Ink::Ink, 0.6));
                group.circle(to.0, to.1, 0.45, Some(Ink::Ink), None);
            });
        };
        let mut list = DisplayList::new(60.0, 40.0);
        list.text((20.0, 30.0), "14 m", Type::regular(8.0));
        leader(&mut list, "a", (2.0, 2.0), (20.0, 12.0));
        leader(&mut list, "b", (2.0, 5.0), (20.0, 15.0));
        assert!(leaders(&list).is_empty(), "they run side by side");
        leader(&mut list, "c", (2.0, 14.0), (20.0, 3.0));
        assert_eq!(leaders(&list), ["the leaders of a and c cross", "the leaders of b and c cross"]);
        leader(&mut list, "d", (18.0, 29.0), (40.0, 29.0));
        assert!(leaders(&list).iter().any(|f| f.starts_with("the leader of d runs through “14 m”")));
        // A line without a dot is no leader.
        list.line((2.0, 1.0), (20.0, 20.0), Stroke::solid(Ink::Ink, 0.6));
        assert_eq!(leaders(&list).len(), 3);
        let part = |list: &mut DisplayList, id: &str, x: f64| {
            let pen = Some(Stroke::solid(Ink::Ink, 1.0));
            list.group(id, id, |group| group.circle(x, 35.0, 2.6, Some(Ink::Sheet), pen));
        };
        part(&mut list, "pulley", 40.0);
        part(&mut list, "device", 45.3);
        assert!(overlaps(&list).is_empty(), "beside each other");
        part(&mut list, "ring", 42.0);
        assert_eq!(overlaps(&list).len(), 2);
        assert!(clipped(&list).is_empty());
        list.text((2.0, 20.0), "rope one lost: not che…", Type::regular(8.0));
        assert_eq!(clipped(&list).len(), 1);
    }
}
