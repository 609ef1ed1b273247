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
