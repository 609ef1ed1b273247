//! The three faces, cut down to the characters that are used.

use crate::ReportError;
use drawing::list::Face;
use drawing::metrics;
use printpdf::{FontId, FontMetrics, Op, ParsedFont, PdfFont, PdfFontHandle, PdfPage, TextItem};
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

/// Characters used in each face.
pub fn used(pages: &[PdfPage]) -> BTreeMap<&'static str, BTreeSet<char>> {
    let mut out: BTreeMap<&'static str, BTreeSet<char>> = BTreeMap::new();
    // Most of a page is letters that were seen long before.
    let mut seen: BTreeMap<&'static str, [bool; 128]> = BTreeMap::new();
    for page in pages {
        let mut current = None;
        for op in &page.ops {
            match op {
                Op::SetFont { font: PdfFontHandle::External(id), .. } => {
                    current = FACES.into_iter().map(tag).find(|tag| *tag == id.0);
                }
                Op::ShowText { items } => {
                    let Some(tag) = current else { continue };
                    let (set, seen) = (out.entry(tag).or_default(), seen.entry(tag).or_insert([false; 128]));
                    for item in items {
                        let TextItem::Text(text) = item else { continue };
                        for c in text.chars() {
                            match seen.get_mut(c as usize) {
                                Some(had) if *had => {}
                                Some(had) => {
                                    *had = true;
                                    set.insert(c);
                                }
                                None => {
                                    set.insert(c);
                                }
                            }
                        }
                    }
                }
                _ => {}
            }
        }
    }
    out
}

/// A face with only the glyphs of `characters`.
pub fn subset(face: Face, characters: &BTreeSet<char>) -> Result<PdfFont, ReportError> {
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
