//! Drawing items as the content of a page: its operators as the file holds them. Millimetres from the top left become points from
//! the bottom left; an operator is written only when it changes something.
//!
//! Written here and not through printpdf's operations: they are made into objects and those into text, one allocation after the
//! other, which took half the time of a long report.

use super::fonts::{Codes, font_id};
use drawing::list::{Anchor, Face, Ink, Item, Seg};
use drawing::metrics::{self, PT};
use std::io::Write;

/// What an operator needs to set the printed colour of an ink. Rubric prints as 72 % black.
fn color(ink: Ink) -> &'static str {
    match ink {
        Ink::Ink | Ink::Unknown | Ink::Caution => "0",
        Ink::Sheet => "1",
        Ink::Dark => "0.3",
        Ink::Light => "0.65",
        Ink::Halo => "0.85",
        // 176, 28 and 22 of 255.
        Ink::Rubric => "0.6901961 0.10980392 0.08627451",
    }
}

/// The state of the page as the operators so far left it.
struct Painter<'a> {
    out: Vec<u8>,
    codes: &'a Codes,
    height: f64,
    fill: Option<&'static str>,
    outline: Option<&'static str>,
    thickness: Option<f32>,
    dash: &'a [f64],
    round: bool,
    font: Option<(Face, f64)>,
}

/// The content of a page of a height in mm.
pub fn content(items: &[Item], height: f64, codes: &Codes) -> Vec<u8> {
    let mut painter = Painter {
        out: Vec::with_capacity(items.len() * 60),
        codes,
        height,
        fill: None,
        outline: None,
        thickness: None,
        dash: &[],
        round: false,
        font: None,
    };
    painter.paint(items);
    painter.out
}

impl<'a> Painter<'a> {
    fn paint(&mut self, items: &'a [Item]) {
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

    /// An operator that takes nothing, or what was written before it.
    fn operator(&mut self, name: &str) {
        self.out.extend_from_slice(name.as_bytes());
        self.out.push(b'\n');
    }

    /// Millimetres as points, to a thousandth: shorter in the file, and the same on every machine.
    fn points(&mut self, mm: f64) {
        let thousandths = (mm / PT * 1000.0).round() as i64;
        if thousandths < 0 {
            self.out.push(b'-');
        }
        let (whole, part) = (thousandths.unsigned_abs() / 1000, thousandths.unsigned_abs() % 1000);
        let mut digits = [0_u8; 20];
        let (mut at, mut left) = (digits.len(), whole);
        while at == digits.len() || left > 0 {
            at -= 1;
            digits[at] = b'0' + (left % 10) as u8;
            left /= 10;
        }
        self.out.extend_from_slice(&digits[at..]);
        if part > 0 {
            let digits =
                [b'.', b'0' + (part / 100) as u8, b'0' + (part / 10 % 10) as u8, b'0' + (part % 10) as u8];
            let used = if part.is_multiple_of(100) {
                2
            } else if part.is_multiple_of(10) {
                3
            } else {
                4
            };
            self.out.extend_from_slice(&digits[..used]);
        }
        self.out.push(b' ');
    }

    fn point(&mut self, x: f64, y: f64) {
        self.points(x);
        self.points(self.height - y);
    }

    /// A number as short as it can be told apart from others; nothing that is written so often that it matters.
    fn number(&mut self, value: f32) {
        // Writing to memory does not fail.
        let _ = write!(self.out, "{value} ");
    }

    fn set_fill(&mut self, ink: Ink) {
        let wanted = color(ink);
        if self.fill != Some(wanted) {
            self.fill = Some(wanted);
            self.out.extend_from_slice(wanted.as_bytes());
            self.operator(if ink == Ink::Rubric { " rg" } else { " g" });
        }
    }

    fn outline(&mut self, ink: Ink, width: f64, dash: &'a [f64], round: bool) {
        let wanted = color(ink);
        if self.outline != Some(wanted) {
            self.outline = Some(wanted);
            self.out.extend_from_slice(wanted.as_bytes());
            self.operator(if ink == Ink::Rubric { " RG" } else { " G" });
        }
        let width = width as f32;
        if self.thickness != Some(width) {
            self.thickness = Some(width);
            self.number(width);
            self.operator("w");
        }
        if self.dash != dash {
            self.dash = dash;
            self.out.push(b'[');
            dash.iter().for_each(|mm| self.points(*mm));
            self.operator("] 0 d");
        }
        if self.round != round {
            self.round = round;
            let style = if round { "1" } else { "0" };
            for name in [" J", " j"] {
                self.out.extend_from_slice(style.as_bytes());
                self.operator(name);
            }
        }
    }

    /// Writes the subpaths of a path, `ends` after each with whether it is closed; answers whether there is one, and whether all are
    /// closed. What begins with no move begins where its first segment ends, and a single point is none.
    fn subpaths(&mut self, segs: &[Seg], ends: impl Fn(&mut Self, bool)) -> (bool, bool) {
        let (mut any, mut all_closed) = (false, true);
        for of_one in segs.chunk_by(|_, next| !matches!(next, Seg::Move { .. })) {
            let points = of_one.iter().filter(|seg| !matches!(seg, Seg::Close));
            if points.clone().count() < 2 {
                continue;
            }
            let mut begun = false;
            for seg in points {
                match *seg {
                    Seg::Move { x, y } | Seg::Line { x, y } | Seg::Curve { x, y, .. } if !begun => {
                        begun = true;
                        self.point(x, y);
                        self.operator("m");
                    }
                    Seg::Curve { x1, y1, x2, y2, x, y } => {
                        self.point(x1, y1);
                        self.point(x2, y2);
                        self.point(x, y);
                        self.operator("c");
                    }
                    Seg::Move { x, y } | Seg::Line { x, y } => {
                        self.point(x, y);
                        self.operator("l");
                    }
                    Seg::Close => {}
                }
            }
            let closed = of_one.iter().skip(1).any(|seg| matches!(seg, Seg::Close));
            (any, all_closed) = (true, all_closed && closed);
            ends(self, closed);
        }
        (any, any && all_closed)
    }

    fn path(&mut self, segs: &[Seg], fill: Option<Ink>, stroked: bool) {
        let stroke = |painter: &mut Self, closed: bool| {
            if closed {
                painter.operator("h");
            }
            painter.operator("S");
        };
        let Some(ink) = fill else {
            if stroked {
                self.subpaths(segs, stroke);
            }
            return;
        };
        let before = (self.out.len(), self.fill);
        self.set_fill(ink);
        let (any, closed) = self.subpaths(segs, |_, _| {});
        if !any {
            self.out.truncate(before.0);
            self.fill = before.1;
            return;
        }
        self.operator("h");
        self.operator(if stroked && closed { "b" } else { "f" });
        if stroked && !closed {
            self.subpaths(segs, stroke);
        }
    }

    fn text(&mut self, item: &Item) {
        let Item::Text { x, y, size, face, anchor, ink, text, turn } = item else { return };
        let shown = text.trim_end();
        if shown.is_empty() {
            return;
        }
        self.set_fill(*ink);
        self.operator("BT");
        if self.font != Some((*face, *size)) {
            self.font = Some((*face, *size));
            let _ = write!(self.out, "/{} {} ", font_id(*face).0, *size as f32);
            self.operator("Tf");
        }
        let back = match anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => metrics::width(shown, *face, *size) / 2.0,
            Anchor::End => metrics::width(shown, *face, *size),
        };
        if *turn == 0.0 {
            self.point(x - back, *y);
            self.operator("Td");
        } else {
            let (sin, cos) = libm::sincos(turn.to_radians());
            [cos, -sin, sin, cos].into_iter().for_each(|part| self.number(part as f32));
            self.point(x - back * cos, y - back * sin);
            self.operator("Tm");
        }
        self.show(text, *face);
        self.operator("ET");
    }

    /// Text as the codes of its glyphs, two bytes each, in a string as it is read: hexadecimal takes twice the room, and the
    /// packer's time goes by that.
    fn show(&mut self, text: &str, face: Face) {
        let codes = self.codes;
        self.out.push(b'(');
        for byte in text.chars().flat_map(|c| codes.of(face, c).to_be_bytes()) {
            match byte {
                b'(' | b')' | b'\\' => self.out.extend_from_slice(&[b'\\', byte]),
                // Read as a line's end otherwise.
                b'\r' => self.out.extend_from_slice(b"\\r"),
                _ => self.out.push(byte),
            }
        }
        self.operator(")Tj");
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use drawing::{DisplayList, Stroke, Type};

    fn painted(draw: impl FnOnce(&mut DisplayList)) -> Vec<String> {
        let mut list = DisplayList::new(210.0, 297.0);
        draw(&mut list);
        let bytes = content(&list.items, 297.0, &Codes::default());
        String::from_utf8_lossy(&bytes).lines().map(str::to_string).collect()
    }

    fn count(lines: &[String], operator: &str) -> usize {
        lines.iter().filter(|line| line.split_whitespace().next_back() == Some(operator)).count()
    }

    #[test]
    fn a_state_is_written_only_when_it_changes() {
        let lines = painted(|list| {
            for y in 0..5 {
                let y = f64::from(y);
                list.line((10.0, y), (20.0, y), Stroke::solid(Ink::Ink, 0.6));
                list.text((10.0, y), "word", Type::regular(8.0));
            }
            list.text((10.0, 90.0), "word", Type::bold(8.0).ink(Ink::Rubric));
        });
        let counted =
            ["w", "G", "Tf", "g", "rg", "m", "l", "S", "BT", "Td", "ET"].map(|name| count(&lines, name));
        assert_eq!(counted, [1, 1, 2, 1, 1, 5, 5, 5, 6, 6, 6], "{lines:#?}");
    }

    #[test]
    fn a_dash_ends_with_the_line_it_was_for() {
        let lines = painted(|list| {
            list.line((0.0, 0.0), (9.0, 0.0), Stroke::solid(Ink::Ink, 0.6).dashed(1.2, 0.8));
            list.line((0.0, 1.0), (9.0, 1.0), Stroke::solid(Ink::Ink, 0.6).rounded());
            list.line((0.0, 2.0), (9.0, 2.0), Stroke::solid(Ink::Ink, 0.6));
        });
        let dashes: Vec<&String> = lines.iter().filter(|line| line.ends_with(" d")).collect();
        // 1.2 mm × 72 ÷ 25.4 = 3.402 pt.
        assert_eq!(dashes, ["[3.402 2.268 ] 0 d", "[] 0 d"]);
        assert_eq!((count(&lines, "J"), count(&lines, "j")), (2, 2));
    }

    #[test]
    fn shapes_are_filled_stroked_or_both() {
        let edge = Stroke::solid(Ink::Ink, 1.0);
        let lines = painted(|list| {
            list.rect(0.0, 0.0, 9.0, 9.0, Some(Ink::Light), Some(edge.clone()));
            list.circle(20.0, 20.0, 3.0, None, Some(edge.clone()));
            list.rect(0.0, 0.0, 9.0, 9.0, Some(Ink::Dark), None);
            list.hatch(0.0, 0.0, 9.0, 3.0, 1.1, Ink::Ink, 0.6);
        });
        let painting: Vec<&str> =
            lines.iter().map(String::as_str).filter(|line| ["b", "f", "h", "S"].contains(line)).collect();
        // Filled and stroked; the circle, closed and stroked; filled; a hatch is open strokes.
        assert_eq!(painting[..6], ["h", "b", "h", "S", "h", "f"]);
        assert!(painting[6..].len() > 4 && painting[6..].iter().all(|line| *line == "S"), "{painting:?}");
        assert_eq!(count(&lines, "c"), 4);
    }

    #[test]
    fn what_a_path_lacks_is_not_written() {
        let path = |segs: &[Seg], fill: Option<Ink>| {
            let stroke = fill.is_none().then(|| Stroke::solid(Ink::Ink, 1.0));
            let item = Item::Path { segs: segs.to_vec(), fill, stroke };
            let state = ["0 G", "1 w", "0 g"];
            let bytes = content(&[item], 0.0, &Codes::default());
            let lines: Vec<String> = String::from_utf8_lossy(&bytes).lines().map(str::to_string).collect();
            lines.into_iter().filter(|line| !state.contains(&line.as_str())).collect::<Vec<_>>().join("; ")
        };
        let (mm, to) = (PT, |x: f64, y: f64| Seg::Line { x: x * PT, y: y * PT });
        let start = Seg::Move { x: mm, y: mm };
        assert_eq!(path(&[start, Seg::Close], Some(Ink::Ink)), "");
        assert_eq!(path(&[start, start, to(2.0, 3.5)], None), "1 -1 m; 2 -3.5 l; S");
        assert_eq!(path(&[to(1.0, 0.0), to(2.0, 0.25), Seg::Close], None), "1 0 m; 2 -0.25 l; h; S");
        let two = [start, to(2.0, 2.0), Seg::Close, start, to(0.001, 0.04)];
        assert_eq!(path(&two, Some(Ink::Ink)), "1 -1 m; 2 -2 l; 1 -1 m; 0.001 -0.04 l; h; f");
        assert_eq!(path(&two, None), "1 -1 m; 2 -2 l; h; S; 1 -1 m; 0.001 -0.04 l; S");
    }

    #[test]
    fn turned_text_turns_clockwise_about_its_anchor() {
        let lines = painted(|list| {
            list.turned_text((100.0, 97.0), "down", Type::regular(8.0), 90.0);
        });
        let matrix = lines.iter().find_map(|line| line.strip_suffix(" Tm")).expect("a matrix");
        let [a, b, c, d, x, y] =
            matrix.split(' ').map(|n| n.parse::<f64>().expect("a number")).collect::<Vec<_>>()[..]
        else {
            panic!("{matrix}");
        };
        // Reading runs down the page: the baseline's direction is (0, -1) with y up.
        assert!(a.abs() < 1e-6 && (b + 1.0).abs() < 1e-6 && (c - 1.0).abs() < 1e-6 && d.abs() < 1e-6);
        assert!((x - 100.0 / PT).abs() < 0.01 && (y - 200.0 / PT).abs() < 0.01);
    }

    #[test]
    fn codes_come_out_of_their_string_as_they_went_in() {
        // Every byte as the second of a code, so brackets, backslash and both line ends.
        let known: Vec<(char, u16)> =
            (0..=255_u16).filter_map(|n| Some((char::from_u32(0x4E00 + u32::from(n))?, n))).collect();
        let mut codes = Codes::default();
        known.iter().for_each(|(c, code)| codes.know(Face::Bold, *c, *code));
        let text: String = known.iter().map(|(c, _)| *c).collect();
        let mut list = DisplayList::new(210.0, 297.0);
        list.text((0.0, 0.0), &text, Type::bold(8.0));
        let Item::Text { text: drawn, .. } = &mut list.items[0] else { panic!("a text") };
        drawn.clone_from(&text);
        let read = lopdf::content::Content::decode(&content(&list.items, 297.0, &codes)).expect("content");
        let shown = read.operations.iter().find(|operation| operation.operator == "Tj").expect("a text");
        let wanted: Vec<u8> = (0..=255_u8).flat_map(|n| [0, n]).collect();
        assert_eq!(shown.operands[0].as_str().expect("a string"), wanted);
    }
}
