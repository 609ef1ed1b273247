//! A display list as SVG text: for looking at a drawing, for documents and tests.

use crate::build::left_of;
use crate::list::{DisplayList, Face, Ink, Item, Seg, Stroke};
use crate::metrics::{self, PT};
use std::fmt::Write;

/// Colours of the inks, as CSS.
#[derive(Clone, Copy, Debug)]
#[allow(missing_docs)]
pub struct Palette {
    pub ink: &'static str,
    pub sheet: &'static str,
    pub dark: &'static str,
    pub light: &'static str,
    pub rubric: &'static str,
    pub unknown: &'static str,
    pub caution: &'static str,
    pub halo: &'static str,
}

/// The inks of the paper.
pub const PAPER: Palette = Palette {
    ink: "#000",
    sheet: "#fff",
    dark: "#4d4d4d",
    light: "#a6a6a6",
    rubric: "#b01c16",
    unknown: "#000",
    caution: "#000",
    halo: "#d9d9d9",
};

/// The inks of the screen by day.
pub const DAY: Palette = Palette {
    ink: "#14181A",
    sheet: "#F2F4F2",
    dark: "#454D50",
    light: "#B4BBBA",
    rubric: "#A3160E",
    unknown: "#523389",
    caution: "#6B4100",
    halo: "#A9D6EA",
};

impl Palette {
    fn of(&self, ink: Ink) -> &'static str {
        match ink {
            Ink::Ink => self.ink,
            Ink::Sheet => self.sheet,
            Ink::Dark => self.dark,
            Ink::Light => self.light,
            Ink::Rubric => self.rubric,
            Ink::Unknown => self.unknown,
            Ink::Caution => self.caution,
            Ink::Halo => self.halo,
        }
    }
}

/// The drawing as an SVG document.
pub fn write(list: &DisplayList, palette: &Palette) -> String {
    let (w, h) = (list.width, list.height);
    let mut out = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="{w:.3}mm" height="{h:.3}mm" viewBox="0 0 {w:.3} {h:.3}">"#
    );
    let _ = write!(out, r#"<rect width="{w:.3}" height="{h:.3}" fill="{}"/>"#, palette.sheet);
    items(&mut out, &list.items, palette);
    out.push_str("</svg>\n");
    out
}

fn items(out: &mut String, items_in: &[Item], palette: &Palette) {
    for item in items_in {
        match item {
            Item::Path { segs, fill, stroke } => path(out, segs, *fill, stroke.as_ref(), palette),
            Item::Text { .. } => text(out, item, palette),
            Item::Group { id, label, items: inner } => {
                let _ = write!(out, r#"<g id="{}"><title>{}</title>"#, escaped(id), escaped(label));
                items(out, inner, palette);
                out.push_str("</g>");
            }
        }
    }
}

fn path(out: &mut String, segs: &[Seg], fill: Option<Ink>, stroke: Option<&Stroke>, palette: &Palette) {
    out.push_str("\n<path d=\"");
    for seg in segs {
        let _ = match seg {
            Seg::Move { x, y } => write!(out, "M{x:.3} {y:.3}"),
            Seg::Line { x, y } => write!(out, "L{x:.3} {y:.3}"),
            Seg::Curve { x1, y1, x2, y2, x, y } => {
                write!(out, "C{x1:.3} {y1:.3} {x2:.3} {y2:.3} {x:.3} {y:.3}")
            }
            Seg::Close => write!(out, "Z"),
        };
    }
    let _ = write!(out, "\" fill=\"{}\"", fill.map_or("none", |ink| palette.of(ink)));
    if let Some(stroke) = stroke {
        let _ =
            write!(out, r#" stroke="{}" stroke-width="{:.4}""#, palette.of(stroke.ink), stroke.width * PT);
        if stroke.round {
            out.push_str(r#" stroke-linecap="round" stroke-linejoin="round""#);
        }
        if !stroke.dash.is_empty() {
            let dash: Vec<String> = stroke.dash.iter().map(|mm| format!("{mm:.3}")).collect();
            let _ = write!(out, r#" stroke-dasharray="{}""#, dash.join(" "));
        }
    }
    out.push_str("/>");
}

fn text(out: &mut String, item: &Item, palette: &Palette) {
    let Item::Text { x, y, size, face, anchor, ink, text, turn } = item else {
        return;
    };
    let (family, weight) = match face {
        Face::Regular => ("DejaVu Sans Condensed", "normal"),
        Face::Bold => ("DejaVu Sans Condensed", "bold"),
        Face::Mono => ("DejaVu Sans Mono", "normal"),
    };
    let left = left_of(*x, metrics::width(text, *face, *size), *anchor);
    let _ = write!(
        out,
        "\n<text x=\"{left:.3}\" y=\"{y:.3}\" font-family=\"{family}\" font-weight=\"{weight}\" \
         font-size=\"{:.4}\" fill=\"{}\" xml:space=\"preserve\" style=\"font-kerning:none\"",
        size * PT,
        palette.of(*ink)
    );
    if *turn != 0.0 {
        let _ = write!(out, " transform=\"rotate({turn} {x:.3} {y:.3})\"");
    }
    let _ = write!(out, ">{}</text>", escaped(text));
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::Type;

    #[test]
    fn text_is_escaped_and_placed_by_its_measure() {
        let mut list = DisplayList::new(40.0, 10.0);
        list.group("a<b", "\"part\"", |g| {
            g.text((40.0, 5.0), "a & b", Type::bold(8.0).end());
        });
        let svg = write(&list, &PAPER);
        let left = 40.0 - metrics::width("a & b", Face::Bold, 8.0);
        assert!(svg.contains(&format!("x=\"{left:.3}\"")), "{svg}");
        assert!(
            svg.contains("a &amp; b") && svg.contains("id=\"a&lt;b\"") && svg.contains("&quot;part&quot;")
        );
    }
}
