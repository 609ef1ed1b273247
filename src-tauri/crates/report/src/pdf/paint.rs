//! Drawing items as PDF operations. Millimetres from the top left become points from the bottom
//! left; an operation is written only when it changes something.

use super::fonts::font_id;
use drawing::list::{Anchor, Face, Ink, Item, Seg};
use drawing::metrics::{self, PT};
use printpdf::{
    Color, Greyscale, Line, LineCapStyle, LineDashPattern, LineJoinStyle, LinePoint, Op, PaintMode,
    PdfFontHandle, Point, Polygon, PolygonRing, Pt, Rgb, TextItem, TextMatrix, WindingOrder,
};

/// The printed colour of an ink. Rubric prints as 72 % black.
fn color(ink: Ink) -> Color {
    let grey = |percent| Color::Greyscale(Greyscale { percent, icc_profile: None });
    match ink {
        Ink::Ink | Ink::Unknown | Ink::Caution => grey(0.0),
        Ink::Sheet => grey(1.0),
        Ink::Dark => grey(0.30),
        Ink::Light => grey(0.65),
        Ink::Halo => grey(0.85),
        Ink::Rubric => {
            Color::Rgb(Rgb { r: 176.0 / 255.0, g: 28.0 / 255.0, b: 22.0 / 255.0, icc_profile: None })
        }
    }
}

/// Millimetres as points, to a thousandth: shorter in the file, and the same on every machine.
fn points(mm: f64) -> f32 {
    ((mm / PT * 1000.0).round() / 1000.0) as f32
}

/// The state of the page as the operations so far left it.
struct Painter {
    ops: Vec<Op>,
    height: f64,
    fill: Option<Color>,
    outline: Option<Color>,
    thickness: Option<f32>,
    dash: Vec<f64>,
    round: bool,
    font: Option<(Face, f64)>,
}

/// The operations of a page of a height in mm.
pub fn operations(items: &[Item], height: f64) -> Vec<Op> {
    let mut painter = Painter {
        ops: Vec::with_capacity(items.len() * 5),
        height,
        fill: None,
        outline: None,
        thickness: None,
        dash: Vec::new(),
        round: false,
        font: None,
    };
    painter.paint(items);
    painter.ops
}

impl Painter {
    fn paint(&mut self, items: &[Item]) {
        for item in items {
            match item {
                Item::Path { segs, fill, stroke } => {
                    if let Some(stroke) = stroke {
                        self.outline(stroke.ink, stroke.width, &stroke.dash, stroke.round);
                    }
                    self.path(segs, *fill, stroke.is_some());
                }
                Item::Text { .. } => self.text(item),
                Item::Group { items, .. } => self.paint(items),
            }
        }
    }

    fn point(&self, x: f64, y: f64) -> Point {
        Point { x: Pt(points(x)), y: Pt(points(self.height - y)) }
    }

    fn set_fill(&mut self, ink: Ink) {
        let wanted = color(ink);
        if self.fill.as_ref() != Some(&wanted) {
            self.ops.push(Op::SetFillColor { col: wanted.clone() });
            self.fill = Some(wanted);
        }
    }

    fn outline(&mut self, ink: Ink, width: f64, dash: &[f64], round: bool) {
        let wanted = color(ink);
        if self.outline.as_ref() != Some(&wanted) {
            self.ops.push(Op::SetOutlineColor { col: wanted.clone() });
            self.outline = Some(wanted);
        }
        let width = width as f32;
        if self.thickness != Some(width) {
            self.ops.push(Op::SetOutlineThickness { pt: Pt(width) });
            self.thickness = Some(width);
        }
        if self.dash != dash {
            let lengths: Vec<f32> = dash.iter().map(|mm| points(*mm)).collect();
            self.ops.push(Op::SetLineDashPattern { dash: LineDashPattern::new(0.0, &lengths) });
            self.dash = dash.to_vec();
        }
        if self.round != round {
            let (cap, join) = if round {
                (LineCapStyle::Round, LineJoinStyle::Round)
            } else {
                (LineCapStyle::Butt, LineJoinStyle::Miter)
            };
            self.ops.push(Op::SetLineCapStyle { cap });
            self.ops.push(Op::SetLineJoinStyle { join });
            self.round = round;
        }
    }

    /// Subpaths of a path, each with whether it is closed.
    fn subpaths(&self, segs: &[Seg]) -> Vec<(Vec<LinePoint>, bool)> {
        let mut out: Vec<(Vec<LinePoint>, bool)> = Vec::new();
        let on = |x, y| LinePoint { p: self.point(x, y), bezier: false };
        let off = |x, y| LinePoint { p: self.point(x, y), bezier: true };
        for seg in segs {
            match (*seg, out.last_mut()) {
                (Seg::Move { x, y }, _) => out.push((vec![on(x, y)], false)),
                (Seg::Line { x, y }, Some((path, _))) => path.push(on(x, y)),
                (Seg::Curve { x1, y1, x2, y2, x, y }, Some((path, _))) => {
                    path.extend([off(x1, y1), off(x2, y2), on(x, y)]);
                }
                (Seg::Close, Some((_, closed))) => *closed = true,
                // A path that does not begin with a move begins where its first segment ends.
                (Seg::Line { x, y } | Seg::Curve { x, y, .. }, None) => out.push((vec![on(x, y)], false)),
                (Seg::Close, None) => {}
            }
        }
        out.retain(|(path, _)| path.len() > 1);
        out
    }

    fn path(&mut self, segs: &[Seg], fill: Option<Ink>, stroked: bool) {
        let paths = self.subpaths(segs);
        if paths.is_empty() {
            return;
        }
        let closed = paths.iter().all(|(_, closed)| *closed);
        if let Some(ink) = fill {
            self.set_fill(ink);
            let mode = if stroked && closed { PaintMode::FillStroke } else { PaintMode::Fill };
            let rings = paths.iter().map(|(path, _)| PolygonRing { points: path.clone() }).collect();
            let polygon = Polygon { rings, mode, winding_order: WindingOrder::NonZero };
            self.ops.push(Op::DrawPolygon { polygon });
        }
        if stroked && !(closed && fill.is_some()) {
            for (points, is_closed) in paths {
                self.ops.push(Op::DrawLine { line: Line { points, is_closed } });
            }
        }
    }

    fn text(&mut self, item: &Item) {
        let Item::Text { x, y, size, face, anchor, ink, text, turn } = item else { return };
        let shown = text.trim_end();
        if shown.is_empty() {
            return;
        }
        self.set_fill(*ink);
        self.ops.push(Op::StartTextSection);
        if self.font != Some((*face, *size)) {
            let font = PdfFontHandle::External(font_id(*face));
            self.ops.push(Op::SetFont { font, size: Pt(*size as f32) });
            self.font = Some((*face, *size));
        }
        let width = metrics::width(shown, *face, *size);
        let back = match anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => width / 2.0,
            Anchor::End => width,
        };
        if *turn == 0.0 {
            self.ops.push(Op::SetTextCursor { pos: self.point(x - back, *y) });
        } else {
            let (sin, cos) = libm::sincos(turn.to_radians());
            let start = self.point(x - back * cos, y - back * sin);
            let matrix = [cos as f32, -sin as f32, sin as f32, cos as f32, start.x.0, start.y.0];
            self.ops.push(Op::SetTextMatrix { matrix: TextMatrix::Raw(matrix) });
        }
        self.ops.push(Op::ShowText { items: vec![TextItem::Text(text.clone())] });
        self.ops.push(Op::EndTextSection);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use drawing::{DisplayList, Stroke, Type};

    fn painted(draw: impl FnOnce(&mut DisplayList)) -> Vec<Op> {
        let mut list = DisplayList::new(210.0, 297.0);
        draw(&mut list);
        operations(&list.items, 297.0)
    }

    fn count(ops: &[Op], wanted: impl Fn(&Op) -> bool) -> usize {
        ops.iter().filter(|op| wanted(op)).count()
    }

    #[test]
    fn a_state_is_written_only_when_it_changes() {
        let ops = painted(|list| {
            for y in 0..5 {
                let y = f64::from(y);
                list.line((10.0, y), (20.0, y), Stroke::solid(Ink::Ink, 0.6));
                list.text((10.0, y), "word", Type::regular(8.0));
            }
            list.text((10.0, 90.0), "word", Type::bold(8.0).ink(Ink::Rubric));
        });
        assert_eq!(count(&ops, |op| matches!(op, Op::SetOutlineThickness { .. })), 1);
        assert_eq!(count(&ops, |op| matches!(op, Op::SetFont { .. })), 2);
        assert_eq!(count(&ops, |op| matches!(op, Op::SetFillColor { .. })), 2);
        assert_eq!(count(&ops, |op| matches!(op, Op::DrawLine { .. })), 5);
    }

    #[test]
    fn a_dash_ends_with_the_line_it_was_for() {
        let ops = painted(|list| {
            list.line((0.0, 0.0), (9.0, 0.0), Stroke::solid(Ink::Ink, 0.6).dashed(1.2, 0.8));
            list.line((0.0, 1.0), (9.0, 1.0), Stroke::solid(Ink::Ink, 0.6).rounded());
            list.line((0.0, 2.0), (9.0, 2.0), Stroke::solid(Ink::Ink, 0.6));
        });
        let dashes: Vec<usize> = ops
            .iter()
            .filter_map(|op| match op {
                Op::SetLineDashPattern { dash } => Some(dash.pattern.len()),
                _ => None,
            })
            .collect();
        assert_eq!(dashes, [2, 0]);
        assert_eq!(count(&ops, |op| matches!(op, Op::SetLineCapStyle { .. })), 2);
    }

    #[test]
    fn shapes_are_filled_stroked_or_both() {
        let edge = Stroke::solid(Ink::Ink, 1.0);
        let ops = painted(|list| {
            list.rect(0.0, 0.0, 9.0, 9.0, Some(Ink::Light), Some(edge.clone()));
            list.circle(20.0, 20.0, 3.0, None, Some(edge.clone()));
            list.rect(0.0, 0.0, 9.0, 9.0, Some(Ink::Dark), None);
            list.hatch(0.0, 0.0, 9.0, 3.0, 1.1, Ink::Ink, 0.6);
        });
        let modes: Vec<PaintMode> = ops
            .iter()
            .filter_map(|op| match op {
                Op::DrawPolygon { polygon } => Some(polygon.mode),
                _ => None,
            })
            .collect();
        assert_eq!(modes, [PaintMode::FillStroke, PaintMode::Fill]);
        let closed = count(&ops, |op| matches!(op, Op::DrawLine { line } if line.is_closed));
        assert_eq!(closed, 1, "the circle; a hatch is open strokes");
        assert!(count(&ops, |op| matches!(op, Op::DrawLine { line } if !line.is_closed)) > 4);
    }

    #[test]
    fn turned_text_turns_clockwise_about_its_anchor() {
        let ops = painted(|list| {
            list.turned_text((100.0, 97.0), "down", Type::regular(8.0), 90.0);
        });
        let matrix = ops.iter().find_map(|op| match op {
            Op::SetTextMatrix { matrix: TextMatrix::Raw(m) } => Some(*m),
            _ => None,
        });
        let [a, b, c, d, x, y] = matrix.expect("a matrix");
        // Reading runs down the page: the baseline's direction is (0, -1) with y up.
        assert!(a.abs() < 1e-6 && (b + 1.0).abs() < 1e-6 && (c - 1.0).abs() < 1e-6 && d.abs() < 1e-6);
        assert!((f64::from(x) - 100.0 / PT).abs() < 0.01 && (f64::from(y) - 200.0 / PT).abs() < 0.01);
    }
}
