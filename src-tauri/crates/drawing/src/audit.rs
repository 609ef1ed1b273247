//! What must be true of every drawing: all numbers finite, nothing outside the sheet, no text over
//! text. Tests here and in `report` ask it of everything they make.

use crate::build::left_of;
use crate::list::{DisplayList, Item, Seg};
use crate::metrics::{self, PT};

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
}
