//! The three faces, cut down to the characters that are used.

use crate::ReportError;
use drawing::list::{Face, Item};
use drawing::metrics;
use printpdf::{FontId, FontMetrics, ParsedFont, PdfFont};
use std::collections::{BTreeMap, BTreeSet};

/// All faces, in a fixed order.
pub const FACES: [Face; 3] = [Face::Regular, Face::Bold, Face::Mono];

/// Id of a face in the file; fixed, so that the same report has the same bytes. Its six letters are
/// also the subset's tag.
pub fn font_id(face: Face) -> FontId {
    FontId(tag(face).into())
}

fn tag(face: Face) -> &'static str {
    match face {
        Face::Regular => "REGULA",
        Face::Bold => "BOLDEN",
        Face::Mono => "MONOSP",
    }
}

fn name(face: Face) -> &'static str {
    match face {
        Face::Regular => "DejaVuSansCondensed",
        Face::Bold => "DejaVuSansCondensed-Bold",
        Face::Mono => "DejaVuSansMono",
    }
}

/// Place of a face in lists of one for each.
fn place(face: Face) -> usize {
    FACES.iter().position(|each| *each == face).unwrap_or(0)
}

/// Characters of the texts of each face.
#[derive(Default)]
pub struct Used([BTreeSet<char>; 3]);

impl Used {
    /// Those of all pages.
    pub fn of<'a>(pages: impl Iterator<Item = &'a [Item]>) -> Used {
        // Most of a page is letters that were seen long before.
        let (mut used, mut seen) = (Used::default(), [[false; 128]; 3]);
        pages.for_each(|items| used.add(items, &mut seen));
        used
    }

    fn add(&mut self, items: &[Item], seen: &mut [[bool; 128]; 3]) {
        for item in items {
            match item {
                Item::Text { text, face, .. } if !text.trim_end().is_empty() => {
                    let at = place(*face);
                    for c in text.chars() {
                        match seen[at].get_mut(c as usize) {
                            Some(true) => continue,
                            Some(had) => *had = true,
                            None => {}
                        }
                        self.0[at].insert(c);
                    }
                }
                Item::Group { items, .. } => self.add(items, seen),
                Item::Text { .. } | Item::Path { .. } => {}
            }
        }
    }

    /// Those of one face.
    pub fn in_face(&self, face: Face) -> &BTreeSet<char> {
        &self.0[place(face)]
    }
}

/// The code of each character in each face: its glyph's number in the face as it is cut down.
pub struct Codes {
    plain: [[u16; 128]; 3],
    beyond: [BTreeMap<char, u16>; 3],
}

impl Default for Codes {
    /// All are the box of what has no glyph.
    fn default() -> Self {
        Codes { plain: [[0; 128]; 3], beyond: Default::default() }
    }
}

impl Codes {
    /// Of a character; 0 where the face does not have it.
    pub fn of(&self, face: Face, c: char) -> u16 {
        let at = place(face);
        match self.plain[at].get(c as usize) {
            Some(code) => *code,
            None => self.beyond[at].get(&c).copied().unwrap_or(0),
        }
    }

    /// Takes one in.
    pub fn know(&mut self, face: Face, c: char, code: u16) {
        let at = place(face);
        match self.plain[at].get_mut(c as usize) {
            Some(slot) => *slot = code,
            None => drop(self.beyond[at].insert(c, code)),
        }
    }
}

/// A face with only the glyphs of `characters`, whose codes are taken in.
pub fn subset(face: Face, characters: &BTreeSet<char>, codes: &mut Codes) -> Result<PdfFont, ReportError> {
    let bytes = metrics::font_bytes(face);
    let broken = |why: String| ReportError::Font(format!("{}: {why}", name(face)));
    let font = ttf_parser::Face::parse(bytes, 0).map_err(|e| broken(e.to_string()))?;
    let advance = |glyph| font.glyph_hor_advance(glyph).unwrap_or(0);
    let mut remapper = subsetter::GlyphRemapper::new();
    let mut glyphs = BTreeMap::new();
    let mut widths = BTreeMap::from([(0, advance(ttf_parser::GlyphId(0)))]);
    for c in characters {
        if let Some(glyph) = font.glyph_index(*c) {
            let new = remapper.remap(glyph.0);
            glyphs.insert(u32::from(*c), new);
            codes.know(face, *c, new);
            widths.insert(new, advance(glyph));
        }
    }
    let small = subsetter::subset(bytes, 0, &remapper).map_err(|e| broken(format!("{e:?}")))?;
    let vertical = FontMetrics { ascent: font.ascender(), descent: font.descender() };
    let label = Some(format!("{}+{}", tag(face), name(face)));
    let units = font.units_per_em();
    let mut parsed = ParsedFont::with_glyph_data(small, 0, label, glyphs, widths, units, vertical);
    let bounds = font.global_bounding_box();
    parsed.pdf_font_metrics.x_min = bounds.x_min;
    parsed.pdf_font_metrics.y_min = bounds.y_min;
    parsed.pdf_font_metrics.x_max = bounds.x_max;
    parsed.pdf_font_metrics.y_max = bounds.y_max;
    parsed.pdf_font_metrics.us_weight_class = font.weight().to_number();
    Ok(PdfFont::new(parsed))
}
