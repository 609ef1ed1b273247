//! Hands for building a [`DisplayList`]: lines, boxes, circles of four Béziers, hatches cut by sum,
//! measured text. One call here is one operation on paper.

use crate::list::{Anchor, DisplayList, Face, Ink, Item, Seg, Stroke};
use crate::metrics::{self, PT, Run};

/// Stroke widths in pt: decoration and rows; all that carries meaning; rope edges; outlines of parts;
/// the load and critical brackets.
pub mod pen {
    /// Rows and decoration.
    pub const HAIR: f64 = 0.35;
    /// Patterns, leaders, axes.
    pub const FINE: f64 = 0.6;
    /// Edges of a rope.
    pub const ROPE: f64 = 0.8;
    /// Head rules, outlines of parts.
    pub const MED: f64 = 1.0;
    /// The load, critical brackets.
    pub const BOLD: f64 = 2.0;
}

/// Sizes of type in pt with their leading in mm.
pub mod size {
    /// Operation name.
    pub const XL: f64 = 20.0;
    /// Section heads.
    pub const L: f64 = 13.0;
    /// Facts, sub-heads.
    pub const M: f64 = 9.0;
    /// Tables, labels of drawings.
    pub const S: f64 = 8.0;
    /// Column heads, captions, keys, axes; never a number with a decimal point.
    pub const XS: f64 = 7.0;
    /// Leading in mm of a size.
    pub fn leading(size: f64) -> f64 {
        match size {
            s if s >= XL => 8.0,
            s if s >= L => 6.0,
            s if s >= M => 4.0,
            s if s >= S => 3.6,
            _ => 3.2,
        }
    }
}

/// Offset of the control points of a quarter circle of radius 1.
pub const QUARTER: f64 = 0.5523;

impl Stroke {
    /// A solid stroke with square ends; width in pt.
    pub fn solid(ink: Ink, width: f64) -> Stroke {
        Stroke { ink, width, dash: Vec::new(), round: false }
    }
    /// The same, dashed; lengths in mm.
    #[must_use]
    pub fn dashed(mut self, on: f64, off: f64) -> Stroke {
        self.dash = vec![on, off];
        self
    }
    /// The same with round ends and joins.
    #[must_use]
    pub fn rounded(mut self) -> Stroke {
        self.round = true;
        self
    }
}

/// How a text is set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Type {
    /// Size in pt.
    pub size: f64,
    /// Face.
    pub face: Face,
    /// Ink.
    pub ink: Ink,
    /// What x is.
    pub anchor: Anchor,
}

impl Type {
    /// Regular black from the left.
    pub const fn regular(size: f64) -> Type {
        Type { size, face: Face::Regular, ink: Ink::Ink, anchor: Anchor::Start }
    }
    /// Bold black from the left.
    pub const fn bold(size: f64) -> Type {
        Type { face: Face::Bold, ..Type::regular(size) }
    }
    /// The same in another ink.
    #[must_use]
    pub const fn ink(self, ink: Ink) -> Type {
        Type { ink, ..self }
    }
    /// The same, x being the right end.
    #[must_use]
    pub const fn end(self) -> Type {
        Type { anchor: Anchor::End, ..self }
    }
    /// The same, x being the middle.
    #[must_use]
    pub const fn middle(self) -> Type {
        Type { anchor: Anchor::Middle, ..self }
    }
    /// Width of a text set so, in mm, as it will be drawn.
    pub fn width(&self, text: &str) -> f64 {
        metrics::width(&metrics::clean(text, self.face), self.face, self.size)
    }
}

/// A path of points as segments.
fn segments(points: &[(f64, f64)], close: bool) -> Vec<Seg> {
    let mut out: Vec<Seg> = points
        .iter()
        .enumerate()
        .map(|(i, &(x, y))| if i == 0 { Seg::Move { x, y } } else { Seg::Line { x, y } })
        .collect();
    if close {
        out.push(Seg::Close);
    }
    out
}

impl DisplayList {
    /// An empty drawing of a size in mm.
    pub fn new(width: f64, height: f64) -> DisplayList {
        DisplayList { width, height, items: Vec::new() }
    }

    /// A path.
    pub fn path(&mut self, segs: Vec<Seg>, fill: Option<Ink>, stroke: Option<Stroke>) {
        if !segs.is_empty() {
            self.items.push(Item::Path { segs, fill, stroke });
        }
    }

    /// A straight line.
    pub fn line(&mut self, from: (f64, f64), to: (f64, f64), stroke: Stroke) {
        self.path(segments(&[from, to], false), None, Some(stroke));
    }

    /// A line through points.
    pub fn polyline(&mut self, points: &[(f64, f64)], stroke: Stroke) {
        if points.len() > 1 {
            self.path(segments(points, false), None, Some(stroke));
        }
    }

    /// A closed shape through points.
    pub fn polygon(&mut self, points: &[(f64, f64)], fill: Option<Ink>, stroke: Option<Stroke>) {
        if points.len() > 2 {
            self.path(segments(points, true), fill, stroke);
        }
    }

    /// A rectangle; nothing when it has no extent.
    pub fn rect(&mut self, x: f64, y: f64, w: f64, h: f64, fill: Option<Ink>, stroke: Option<Stroke>) {
        if w > 0.0 && h > 0.0 {
            self.polygon(&[(x, y), (x + w, y), (x + w, y + h), (x, y + h)], fill, stroke);
        }
    }

    /// A rectangle with round corners of radius `r`.
    #[allow(clippy::too_many_arguments)]
    pub fn round_rect(
        &mut self,
        x: f64,
        y: f64,
        w: f64,
        h: f64,
        r: f64,
        fill: Option<Ink>,
        stroke: Option<Stroke>,
    ) {
        let k = r * (1.0 - QUARTER);
        let curve = |x1, y1, x2, y2, x, y| Seg::Curve { x1, y1, x2, y2, x, y };
        let (right, low) = (x + w, y + h);
        let segs = vec![
            Seg::Move { x: x + r, y },
            Seg::Line { x: right - r, y },
            curve(right - k, y, right, y + k, right, y + r),
            Seg::Line { x: right, y: low - r },
            curve(right, low - k, right - k, low, right - r, low),
            Seg::Line { x: x + r, y: low },
            curve(x + k, low, x, low - k, x, low - r),
            Seg::Line { x, y: y + r },
            curve(x, y + k, x + k, y, x + r, y),
            Seg::Close,
        ];
        self.path(segs, fill, stroke);
    }

    /// A circle of four Béziers.
    pub fn circle(&mut self, cx: f64, cy: f64, r: f64, fill: Option<Ink>, stroke: Option<Stroke>) {
        let k = QUARTER * r;
        let curve = |x1, y1, x2, y2, x, y| Seg::Curve { x1, y1, x2, y2, x, y };
        let segs = vec![
            Seg::Move { x: cx - r, y: cy },
            curve(cx - r, cy - k, cx - k, cy - r, cx, cy - r),
            curve(cx + k, cy - r, cx + r, cy - k, cx + r, cy),
            curve(cx + r, cy + k, cx + k, cy + r, cx, cy + r),
            curve(cx - k, cy + r, cx - r, cy + k, cx - r, cy),
            Seg::Close,
        ];
        self.path(segs, fill, stroke);
    }

    /// Rising strokes over a rectangle, `step` mm apart, cut at its edges by sum.
    #[allow(clippy::too_many_arguments)]
    pub fn hatch(&mut self, x: f64, y: f64, w: f64, h: f64, step: f64, ink: Ink, width: f64) {
        if !(w > 0.0 && h > 0.0 && step > 0.05) {
            return;
        }
        let along = step * std::f64::consts::SQRT_2;
        let mut segs = Vec::new();
        let mut foot = -h + along / 2.0;
        while foot < w {
            let (mut xa, mut ya, mut xb, mut yb) = (foot, h, foot + h, 0.0);
            if xa < 0.0 {
                ya += xa;
                xa = 0.0;
            }
            if xb > w {
                yb += xb - w;
                xb = w;
            }
            if xb > xa {
                segs.push(Seg::Move { x: x + xa, y: y + ya });
                segs.push(Seg::Line { x: x + xb, y: y + yb });
            }
            foot += along;
        }
        self.path(segs, None, Some(Stroke::solid(ink, width)));
    }

    /// A line of text, cleaned; returns its width in mm. `at` is the baseline.
    pub fn text(&mut self, at: (f64, f64), text: &str, set: Type) -> f64 {
        self.turned_text(at, text, set, 0.0)
    }

    /// A line of text turned clockwise by degrees about `at`; returns its width in mm.
    pub fn turned_text(&mut self, at: (f64, f64), text: &str, set: Type, turn: f64) -> f64 {
        let text = metrics::clean(text, set.face).replace('\n', " ");
        let width = metrics::width(&text, set.face, set.size);
        if !text.trim().is_empty() {
            let Type { size, face, ink, anchor } = set;
            self.items.push(Item::Text { x: at.0, y: at.1, size, face, anchor, ink, text, turn });
        }
        width
    }

    /// A line of text over a patch of sheet that reaches `pad` mm past it, so that lines below stop short.
    pub fn text_on_patch(&mut self, at: (f64, f64), text: &str, set: Type, pad: f64) -> f64 {
        let width = set.width(text);
        self.patch(left_of(at.0, width, set.anchor), at.1, width, set.size, pad);
        self.text(at, text, set)
    }

    /// The patch under a line of text that starts at `x`.
    pub fn patch(&mut self, x: f64, y: f64, width: f64, size: f64, pad: f64) {
        if width > 0.0 {
            let em = size * PT;
            let (top, height) = (y - 0.78 * em - pad * 0.3, 1.02 * em + pad * 0.6);
            self.rect(x - pad, top, width + 2.0 * pad, height, Some(Ink::Sheet), None);
        }
    }

    /// A line of runs with its struck parts; `anchor` says what `at` is. Returns its width in mm.
    pub fn runs(&mut self, at: (f64, f64), line: &[Run], size: f64, anchor: Anchor) -> f64 {
        let total = metrics::line_width(line, size);
        let mut x = left_of(at.0, total, anchor);
        for run in line {
            let shown = run.text.trim_end();
            let set = Type { size, face: run.face, ink: run.ink, anchor: Anchor::Start };
            let width = self.text((x, at.1), shown, set);
            if run.struck && width > 0.0 {
                let y = at.1 - 0.26 * size * PT;
                self.line((x - 0.2, y), (x + width + 0.2, y), Stroke::solid(Ink::Ink, pen::FINE));
            }
            x += metrics::width(&run.text, run.face, size);
        }
        total
    }

    /// Everything drawn by `draw` as one group with an id and words.
    pub fn group(&mut self, id: &str, label: &str, draw: impl FnOnce(&mut DisplayList)) {
        let mut inner = DisplayList::new(self.width, self.height);
        draw(&mut inner);
        if !inner.items.is_empty() {
            self.items.push(Item::Group { id: id.to_string(), label: label.to_string(), items: inner.items });
        }
    }

    /// The whole drawing larger or smaller: lengths, strokes and type alike. A factor that is not a
    /// positive number leaves it as it is.
    #[must_use]
    pub fn scaled(mut self, factor: f64) -> DisplayList {
        if factor.is_finite() && factor > 0.0 {
            self.width *= factor;
            self.height *= factor;
            self.items.iter_mut().for_each(|item| scale(item, factor));
        }
        self
    }

    /// All items of a drawing that is needed for nothing else, its top left corner at (x, y).
    pub fn take(&mut self, mut other: DisplayList, x: f64, y: f64) {
        other.items.iter_mut().for_each(|item| shift(item, x, y));
        self.items.append(&mut other.items);
    }

    /// All items of another drawing, its top left corner at (x, y).
    pub fn place(&mut self, other: &DisplayList, x: f64, y: f64) {
        self.items.extend(other.items.iter().map(|item| moved(item, x, y)));
    }
}

/// Left end of a text of a width whose anchor stands at `x`.
pub fn left_of(x: f64, width: f64, anchor: Anchor) -> f64 {
    match anchor {
        Anchor::Start => x,
        Anchor::Middle => x - width / 2.0,
        Anchor::End => x - width,
    }
}

fn scale(item: &mut Item, factor: f64) {
    match item {
        Item::Path { segs, stroke, .. } => {
            for seg in segs {
                match seg {
                    Seg::Move { x, y } | Seg::Line { x, y } => {
                        *x *= factor;
                        *y *= factor;
                    }
                    Seg::Curve { x1, y1, x2, y2, x, y } => {
                        [x1, y1, x2, y2, x, y].into_iter().for_each(|value| *value *= factor);
                    }
                    Seg::Close => {}
                }
            }
            if let Some(stroke) = stroke {
                stroke.width *= factor;
                stroke.dash.iter_mut().for_each(|length| *length *= factor);
            }
        }
        Item::Text { x, y, size, .. } => [x, y, size].into_iter().for_each(|value| *value *= factor),
        Item::Group { items, .. } => items.iter_mut().for_each(|inner| scale(inner, factor)),
    }
}

fn moved(item: &Item, dx: f64, dy: f64) -> Item {
    let mut item = item.clone();
    shift(&mut item, dx, dy);
    item
}

fn shift(item: &mut Item, dx: f64, dy: f64) {
    match item {
        Item::Path { segs, .. } => {
            for seg in segs {
                match seg {
                    Seg::Move { x, y } | Seg::Line { x, y } => {
                        *x += dx;
                        *y += dy;
                    }
                    Seg::Curve { x1, y1, x2, y2, x, y } => {
                        for value in [x1, x2, x] {
                            *value += dx;
                        }
                        for value in [y1, y2, y] {
                            *value += dy;
                        }
                    }
                    Seg::Close => {}
                }
            }
        }
        Item::Text { x, y, .. } => {
            *x += dx;
            *y += dy;
        }
        Item::Group { items, .. } => items.iter_mut().for_each(|inner| shift(inner, dx, dy)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hatch_stays_inside_its_rectangle() {
        for (w, h, step) in [(10.0, 3.0, 1.1), (2.0, 40.0, 0.7), (0.4, 0.4, 1.1), (174.0, 2.4, 1.1)] {
            let mut list = DisplayList::new(200.0, 60.0);
            list.hatch(5.0, 7.0, w, h, step, Ink::Ink, pen::HAIR);
            for item in &list.items {
                let Item::Path { segs, .. } = item else { panic!("only paths") };
                for seg in segs {
                    let (Seg::Move { x, y } | Seg::Line { x, y }) = *seg else { panic!("only lines") };
                    assert!(x >= 5.0 - 1e-9 && x <= 5.0 + w + 1e-9 && y >= 7.0 - 1e-9 && y <= 7.0 + h + 1e-9);
                }
            }
        }
        let mut list = DisplayList::new(1.0, 1.0);
        list.hatch(0.0, 0.0, 0.0, 1.0, 1.0, Ink::Ink, 1.0);
        list.hatch(0.0, 0.0, 1.0, 1.0, 0.0, Ink::Ink, 1.0);
        assert!(list.items.is_empty());
    }

    #[test]
    fn a_drawing_scaled_and_scaled_back_is_the_same() {
        let mut list = DisplayList::new(40.0, 20.0);
        list.circle(10.0, 10.0, 4.0, None, Some(Stroke::solid(Ink::Ink, 1.0).dashed(1.0, 0.5)));
        list.group("a", "part", |g| {
            g.text((8.0, 16.0), "word", Type::bold(8.0));
        });
        let half = list.clone().scaled(0.5);
        assert_eq!((half.width, half.height), (20.0, 10.0));
        assert_eq!(half.scaled(2.0), list);
        assert_eq!(list.clone().scaled(f64::NAN), list);
    }

    #[test]
    fn placed_items_move_groups_and_curves_along() {
        let mut inner = DisplayList::new(10.0, 10.0);
        inner.group("a", "a part", |g| {
            g.circle(1.0, 1.0, 1.0, None, Some(Stroke::solid(Ink::Ink, 1.0)));
            g.text((0.0, 5.0), "word", Type::bold(8.0));
        });
        let mut outer = DisplayList::new(50.0, 50.0);
        outer.place(&inner, 20.0, 30.0);
        let Item::Group { items, .. } = &outer.items[0] else { panic!("group") };
        let Item::Path { segs, .. } = &items[0] else { panic!("path") };
        assert_eq!(segs[0], Seg::Move { x: 20.0, y: 31.0 });
        let Item::Text { x, y, .. } = &items[1] else { panic!("text") };
        assert_eq!((*x, *y), (20.0, 35.0));
        let mut taken = DisplayList::new(50.0, 50.0);
        taken.take(inner, 20.0, 30.0);
        assert_eq!(taken, outer);
    }
}
