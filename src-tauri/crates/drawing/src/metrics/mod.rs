//! Text measured as the paper sets it: DejaVu Sans Condensed (regular and bold) and DejaVu Sans Mono,
//! without kerning or shaping, so that the sum here, the PDF's `/W` array and the screen agree.
//!
//! Widths are the font's advances × 1000 ÷ units per em, truncated to whole thousandths of an em.

mod clean;
mod wrap;

pub use clean::{clean, is_drawable, missing};
pub use wrap::{Lead, Run, fit, line_width, wrap, wrap_runs};

use crate::list::Face;
use std::sync::OnceLock;

/// One typographic point in mm (1/72 inch).
pub const PT: f64 = 25.4 / 72.0;

/// Height of the capitals and figures over the size (0.729 em in all three faces).
pub const CAP: f64 = 0.729;

/// The font file of a face, as embedded in the program (DejaVu 2.37).
pub fn font_bytes(face: Face) -> &'static [u8] {
    match face {
        Face::Regular => dejavu::sans_condensed::regular(),
        Face::Bold => dejavu::sans_condensed::bold(),
        Face::Mono => dejavu::sans_mono::regular(),
    }
}

/// Advances of one face in 1/1000 em; 0xFFFF where the face has no glyph.
struct Advances {
    plane_zero: Vec<u16>,
    beyond: std::collections::BTreeMap<u32, u16>,
    no_glyph: u16,
}

const ABSENT: u16 = 0xFFFF;

impl Advances {
    fn read(face: Face) -> Advances {
        let mut out = Advances {
            plane_zero: vec![ABSENT; 0x1_0000],
            beyond: std::collections::BTreeMap::new(),
            no_glyph: 600,
        };
        // The three files are compiled in; a test reads each, so this cannot fail in use.
        let Ok(font) = ttf_parser::Face::parse(font_bytes(face), 0) else {
            return out;
        };
        let upem = u32::from(font.units_per_em());
        let thousandths = |glyph| {
            let units = u32::from(font.glyph_hor_advance(glyph).unwrap_or(0));
            u16::try_from(units * 1000 / upem).unwrap_or(ABSENT - 1)
        };
        out.no_glyph = thousandths(ttf_parser::GlyphId(0));
        let subtables = font.tables().cmap.map(|cmap| cmap.subtables);
        for subtable in subtables.into_iter().flatten().filter(ttf_parser::cmap::Subtable::is_unicode) {
            subtable.codepoints(|code| {
                let Some(glyph) = subtable.glyph_index(code).filter(|glyph| glyph.0 != 0) else {
                    return;
                };
                match out.plane_zero.get_mut(code as usize) {
                    Some(slot) => *slot = thousandths(glyph),
                    None => {
                        out.beyond.insert(code, thousandths(glyph));
                    }
                }
            });
        }
        out
    }

    fn get(&self, c: char) -> Option<u16> {
        let code = u32::from(c);
        let found = match self.plane_zero.get(code as usize) {
            Some(advance) => Some(*advance),
            None => self.beyond.get(&code).copied(),
        };
        found.filter(|advance| *advance != ABSENT)
    }
}

fn advances(face: Face) -> &'static Advances {
    static TABLES: [OnceLock<Advances>; 3] = [OnceLock::new(), OnceLock::new(), OnceLock::new()];
    let slot = match face {
        Face::Regular => 0,
        Face::Bold => 1,
        Face::Mono => 2,
    };
    TABLES[slot].get_or_init(|| Advances::read(face))
}

/// Whether the face has a glyph for the character.
pub fn has_glyph(face: Face, c: char) -> bool {
    advances(face).get(c).is_some()
}

/// Advance of a character in 1/1000 em, truncated; that of the "no glyph" box when the face lacks it.
pub fn advance(face: Face, c: char) -> u16 {
    let table = advances(face);
    table.get(c).unwrap_or(table.no_glyph)
}

/// Width of a text in mm, set in `face` at `size` pt.
///
/// ```
/// use drawing::{Face, metrics};
/// // Ten figures of 0.572 em at 10 pt: 57.2 pt = 20.18 mm.
/// let w = metrics::width("0123456789", Face::Regular, 10.0);
/// assert!((w - 57.2 * 25.4 / 72.0).abs() < 1e-9);
/// ```
pub fn width(text: &str, face: Face, size: f64) -> f64 {
    let thousandths: u64 = text.chars().map(|c| u64::from(advance(face, c))).sum();
    thousandths as f64 * size / 1000.0 * PT
}

/// Baseline in a line box `leading` mm high: the capitals stand in its middle, a trifle low for the
/// descenders' sake.
pub fn baseline(size: f64, leading: f64) -> f64 {
    let em = size * PT;
    (leading + CAP * em) / 2.0 - 0.02 * em
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Reads each font by another road than the table: glyph by glyph.
    #[test]
    fn advances_are_those_of_the_font_files() {
        for face in [Face::Regular, Face::Bold, Face::Mono] {
            let font = ttf_parser::Face::parse(font_bytes(face), 0).expect("embedded font");
            assert_eq!(font.units_per_em(), 2048);
            let mut seen = 0;
            for c in (0x20..0x2_0000).filter_map(char::from_u32) {
                let glyph = font.glyph_index(c).filter(|glyph| glyph.0 != 0);
                assert_eq!(has_glyph(face, c), glyph.is_some(), "{face:?} U+{:04X}", u32::from(c));
                let Some(glyph) = glyph else { continue };
                let units = f64::from(font.glyph_hor_advance(glyph).unwrap_or(0));
                assert_eq!(f64::from(advance(face, c)), (units * 1000.0 / 2048.0).floor(), "{c}");
                seen += 1;
            }
            assert!(seen > 3000, "{face:?}: {seen}");
        }
    }

    #[test]
    fn figures_are_all_one_width_in_each_face() {
        for face in [Face::Regular, Face::Bold, Face::Mono] {
            let first = advance(face, '0');
            assert!(('0'..='9').all(|c| advance(face, c) == first));
        }
        assert_eq!(advance(Face::Regular, '0'), 572);
    }

    #[test]
    fn names_and_signs_of_the_trade_have_glyphs_in_regular_and_bold() {
        let needed = "Łucja Brzęk Rūta Žemaitytė Θάλεια Μαυρίδη Олена Гайдук Nguyễn Þórður ő \
                      ≥ ≤ ≠ → ° ½ ⌀ η μ ✓ · – — “ ” ’ … × ÷ ± ▯ \u{a0}";
        for c in needed.chars() {
            assert!(has_glyph(Face::Regular, c) && has_glyph(Face::Bold, c), "{c}");
        }
    }

    #[test]
    fn baseline_of_the_table_lines() {
        // 8 pt in 3.6 mm: em 2.822; (3.6 + 2.057) / 2 - 0.056 = 2.772.
        assert!((baseline(8.0, 3.6) - 2.772).abs() < 1e-3);
    }
}
