//! What of a text can be drawn: control characters go, decomposed letters are composed, and letters
//! without a glyph (or of a script that needs shaping) are written by rough sound between ‹ ›, so that
//! a name can still be read out. The record keeps them as they were written, and a report names them.

use super::has_glyph;
use crate::list::Face;
use std::collections::BTreeSet;
use unicode_normalization::{UnicodeNormalization, is_nfc};

/// Scripts that are written right to left or need shaping: without a shaper they would be drawn
/// wrong, which is worse than not at all.
const NEEDS_SHAPING: [(u32, u32); 8] = [
    (0x0590, 0x08FF),
    (0x0900, 0x0DFF),
    (0x0E80, 0x0EFF),
    (0x1000, 0x109F),
    (0x1780, 0x17FF),
    (0xFB1D, 0xFDFF),
    (0xFE70, 0xFEFE),
    (0x1_0800, 0x1_0FFF),
];

fn within(code: u32, ranges: &[(u32, u32)]) -> bool {
    ranges.iter().any(|(low, high)| (*low..=*high).contains(&code))
}

/// Characters that draw nothing and could hide or reorder what was said: controls, soft hyphen,
/// zero-width and bidirectional marks, variation selectors, tags.
fn is_invisible(c: char) -> bool {
    const RANGES: [(u32, u32); 10] = [
        (0x00AD, 0x00AD),
        (0x034F, 0x034F),
        (0x061C, 0x061C),
        (0x180B, 0x180E),
        (0x200B, 0x200F),
        (0x202A, 0x202E),
        (0x2060, 0x206F),
        (0xFE00, 0xFE0F),
        (0xFEFF, 0xFEFF),
        (0xE_0000, 0xE_0FFF),
    ];
    c.is_control() || within(u32::from(c), &RANGES)
}

/// Whether the character can be drawn in the face. Regular and bold are asked together, so that a
/// name looks the same in both.
pub fn is_drawable(face: Face, c: char) -> bool {
    !within(u32::from(c), &NEEDS_SHAPING)
        && has_glyph(Face::Regular, c)
        && has_glyph(Face::Bold, c)
        && (face != Face::Mono || has_glyph(Face::Mono, c))
}

/// Line breaks stay (as `\n`), other white space that ends or widens a line becomes a space.
fn plain(c: char) -> Option<char> {
    match c {
        '\n' | '\u{2028}' | '\u{2029}' | '\u{85}' => Some('\n'),
        '\t' | '\r' => Some(' '),
        c if is_invisible(c) => None,
        c => Some(c),
    }
}

/// The text as it can be drawn in the face.
///
/// ```
/// use drawing::{Face, metrics::clean};
/// assert_eq!(clean("Ru\u{304}ta\t\u{202e}Ž\u{0}", Face::Regular), "Rūta Ž");
/// assert_eq!(clean("山田 太郎, rope one", Face::Regular), "‹Shan Tian› ‹Tai Lang›, rope one");
/// ```
pub fn clean(text: &str, face: Face) -> String {
    let ascii = text.bytes().all(|b| (0x20..0x7F).contains(&b));
    if ascii {
        return text.to_string();
    }
    let text = text.replace("\r\n", "\n");
    if is_nfc(&text) {
        drawn(text.chars().filter_map(plain), face)
    } else {
        drawn(text.nfc().filter_map(plain), face)
    }
}

fn drawn(chars: impl Iterator<Item = char>, face: Face) -> String {
    let (mut out, mut lacking) = (String::new(), String::new());
    for c in chars {
        if c != '\n' && !is_drawable(face, c) {
            lacking.push(c);
            continue;
        }
        if !lacking.is_empty() {
            out.push_str(&by_sound(&lacking));
            lacking.clear();
        }
        out.push(c);
    }
    if !lacking.is_empty() {
        out.push_str(&by_sound(&lacking));
    }
    out
}

/// Letters that cannot be drawn, by rough sound: Chinese readings for the characters that Japanese shares, few vowels for
/// Arabic and Hebrew. The signs round it say that it is not how its owner writes it. What has no sound gets its number.
fn by_sound(lacking: &str) -> String {
    let sound = deunicode::deunicode_with_tofu(lacking, "?");
    let words = sound.split_whitespace().collect::<Vec<_>>().join(" ");
    if words.contains(|c: char| c.is_ascii_alphanumeric()) {
        return format!("‹{words}›");
    }
    let numbers: Vec<String> = lacking.chars().map(|c| format!("U+{:04X}", u32::from(c))).collect();
    format!("‹{}›", numbers.join(" "))
}

/// The characters of a text that cannot be drawn, in order of their code points; a report names them.
pub fn missing(text: &str) -> BTreeSet<char> {
    // What is plain ASCII can be drawn, and nothing is composed over a space: long records are almost all of that.
    let odd = text.split(' ').filter(|word| !word.is_ascii());
    odd.flat_map(|word| word.nfc().filter_map(plain))
        .filter(|c| *c != '\n' && !is_drawable(Face::Regular, *c))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn table() {
        let cases = [
            ("plain words, 9.2 : 1", "plain words, 9.2 : 1"),
            ("a\r\nb\rc\td", "a\nb c d"),
            ("line\u{2028}line", "line\nline"),
            ("le\u{301}a", "léa"),
            ("soft\u{ad}hyphen\u{200b}\u{feff}", "softhyphen"),
            ("\u{202e}reversed\u{202c}", "reversed"),
            ("\u{1b}[31mred", "[31mred"),
            ("Θάλεια, Олена, Łucja", "Θάλεια, Олена, Łucja"),
            ("山田", "‹Shan Tian›"),
            ("さくら, カイ", "‹sakura›, ‹kai›"),
            ("김하늘 ok", "‹gimhaneul› ok"),
            ("\u{e000}\u{e001}x", "‹U+E000 U+E001›x"),
        ];
        for (given, wanted) in cases {
            assert_eq!(clean(given, Face::Regular), wanted, "{given:?}");
        }
    }

    #[test]
    fn what_is_drawn_has_a_glyph_and_is_not_changed_again() {
        for given in ["מרחבא שלום", "مرحبا", "हिमालय", "ภูเขา", "日本 🧗", "ⓐ ａ", "\u{10ffff}", "ꙮ𐍈"]
        {
            for face in [Face::Regular, Face::Bold, Face::Mono] {
                let shown = clean(given, face);
                assert!(shown.chars().all(|c| is_drawable(face, c)), "{given:?}: {shown}");
                assert_eq!(clean(&shown, face), shown);
                assert!(shown.contains('‹') || shown == given, "{given:?}: {shown}");
                assert!(shown.chars().any(|c| c.is_alphanumeric()), "{given:?}: {shown}");
            }
        }
    }

    #[test]
    fn what_is_missing_is_named_once_and_in_order() {
        let found: Vec<char> = missing("山 x 山 ö \u{202e} 川\n").into_iter().collect();
        assert_eq!(found, ['山', '川'].into_iter().collect::<BTreeSet<_>>().into_iter().collect::<Vec<_>>());
        assert!(missing("Zoë o\u{308}").is_empty());
        let whole = |text: &str| -> BTreeSet<char> {
            text.nfc().filter_map(plain).filter(|c| *c != '\n' && !is_drawable(Face::Regular, *c)).collect()
        };
        for text in [
            "山 \u{301} e\u{301} 川",
            "a\u{301} \u{e000}b\n山c",
            " \u{202e}ก \u{0e33} x",
            "plain words, 9.2 : 1",
        ] {
            assert_eq!(missing(text), whole(text), "{text:?}");
        }
    }
}
