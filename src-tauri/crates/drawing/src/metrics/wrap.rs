//! Lines broken by measure. A break may fall after a space, or after - / – — with two letters on
//! each side; never between a number and its unit, nor inside "9.2 : 1". A longer word is cut by
//! character. The characters stay what they were: a kept-together space is still a space.

use super::{advance, width};
use crate::list::{Face, Ink};
use unicode_linebreak::{BreakOpportunity, linebreaks};

/// Units that stay with their number.
const UNITS: [&str; 35] = [
    "s", "ms", "min", "h", "d", "mm", "cm", "m", "km", "ft", "in", "N", "kN", "daN", "lbf", "kgf", "kg", "g",
    "lb", "t", "°", "°C", "°F", "deg", "%", "m/s", "m/s²", "J", "kJ", "kB", "MB", "bytes", "pt", "V", "W",
];

/// Where a stretch of text leads when it is touched in a file that can be touched.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Lead {
    /// To an entry of the log, by its number.
    Entry(u64),
    /// To a place: page, from 0, and mm from its top.
    Place(usize, f64),
}

/// A stretch of text of one look.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// The text, already clean.
    pub text: String,
    /// Its face.
    pub face: Face,
    /// Its ink.
    pub ink: Ink,
    /// Struck through: what was said before a correction.
    pub struck: bool,
    /// Where it leads.
    pub lead: Option<Lead>,
}

impl Run {
    /// Black regular text.
    pub fn plain(text: impl Into<String>) -> Run {
        Run { text: text.into(), face: Face::Regular, ink: Ink::Ink, struck: false, lead: None }
    }
    /// Black bold text.
    pub fn bold(text: impl Into<String>) -> Run {
        Run { face: Face::Bold, ..Run::plain(text) }
    }
    /// Bold rubric: what departs from normal.
    pub fn rubric(text: impl Into<String>) -> Run {
        Run { ink: Ink::Rubric, ..Run::bold(text) }
    }
    /// Struck text.
    pub fn struck(text: impl Into<String>) -> Run {
        Run { struck: true, ..Run::plain(text) }
    }
    /// Hashes and commands.
    pub fn mono(text: impl Into<String>) -> Run {
        Run { face: Face::Mono, ..Run::plain(text) }
    }
    fn with_text(&self, text: String) -> Run {
        Run { text, ..self.clone() }
    }
    fn same_look(&self, other: &Run) -> bool {
        self.face == other.face
            && self.ink == other.ink
            && self.struck == other.struck
            && self.lead == other.lead
    }
}

/// Width of a line of runs in mm, without the space at its end.
pub fn line_width(line: &[Run], size: f64) -> f64 {
    let Some((last, before)) = line.split_last() else {
        return 0.0;
    };
    before.iter().map(|run| width(&run.text, run.face, size)).sum::<f64>()
        + width(last.text.trim_end(), last.face, size)
}

/// A text cut to fit `measure` mm, with "…" where something was cut.
pub fn fit(text: &str, face: Face, size: f64, measure: f64) -> String {
    if width(text, face, size) <= measure {
        return text.to_string();
    }
    let mut cut: Vec<char> = text.chars().collect();
    while !cut.is_empty() {
        cut.pop();
        while cut.last().is_some_and(|c| c.is_whitespace()) {
            cut.pop();
        }
        let shown: String = cut.iter().collect::<String>() + "…";
        if width(&shown, face, size) <= measure {
            return shown;
        }
    }
    "…".to_string()
}

/// Lines of plain text of one face, each at most `measure` mm wide.
///
/// ```
/// use drawing::{Face, metrics};
/// let lines = metrics::wrap("rope one lost, drops 1.8 m", Face::Regular, 8.0, 31.0);
/// assert_eq!(lines, ["rope one lost, drops", "1.8 m"]);
/// ```
pub fn wrap(text: &str, face: Face, size: f64, measure: f64) -> Vec<String> {
    let run = Run { face, ..Run::plain(text) };
    wrap_runs(&[run], size, measure)
        .into_iter()
        .map(|line| line.iter().map(|run| run.text.as_str()).collect::<String>().trim_end().to_string())
        .collect()
}

/// Lines of runs, each at most `measure` mm wide without its closing space. Always at least one line;
/// no character is lost (but the line breaks).
pub fn wrap_runs(runs: &[Run], size: f64, measure: f64) -> Vec<Vec<Run>> {
    // Most of what a table holds fits as it is: where it might have been broken is not asked.
    if line_width(runs, size) <= measure + SLACK && !runs.iter().any(|run| run.text.contains('\n')) {
        let mut line = Vec::with_capacity(runs.len());
        runs.iter().filter(|run| !run.text.is_empty()).cloned().for_each(|run| add(&mut line, run));
        return vec![line];
    }
    broken(runs, size, measure)
}

/// The same, word by word.
fn broken(runs: &[Run], size: f64, measure: f64) -> Vec<Vec<Run>> {
    let text: String = runs.iter().map(|run| run.text.as_str()).collect();
    let mut lines = Lines { size, measure, done: Vec::new(), line: Vec::new(), used: 0.0 };
    let mut start = 0;
    for end in breaks(&text) {
        let piece = text.get(start..end).unwrap_or("");
        let ends_line = piece.ends_with('\n');
        let word = slice(runs, start, end - usize::from(ends_line));
        lines.push(word);
        if ends_line {
            lines.end();
        }
        start = end;
    }
    lines.done.push(lines.line);
    lines.done
}

/// Adds a run to a line: to its last one, where both look the same.
fn add(line: &mut Vec<Run>, run: Run) {
    match line.last_mut() {
        Some(last) if last.same_look(&run) => last.text.push_str(&run.text),
        _ => line.push(run),
    }
}

/// Where a line may end, as byte offsets in order; the last one is the end of the text.
fn breaks(text: &str) -> Vec<usize> {
    let mut out: Vec<usize> = linebreaks(text)
        .filter(|(at, kind)| *kind == BreakOpportunity::Mandatory || allowed(text, *at))
        .map(|(at, _)| at)
        .collect();
    if out.last() != Some(&text.len()) {
        out.push(text.len());
    }
    out
}

/// Whether our rules let a line end before byte `at`.
fn allowed(text: &str, at: usize) -> bool {
    let (before, after) = text.split_at(at);
    let trimmed = before.trim_end_matches(' ');
    if trimmed.len() < before.len() {
        return !keeps_together(trimmed, after);
    }
    let mut back = before.chars().rev();
    let is_joint = matches!(back.next(), Some('-' | '/' | '–' | '—'));
    let letters =
        |chars: &mut dyn Iterator<Item = char>| chars.take(2).filter(|c| c.is_alphabetic()).count() == 2;
    is_joint && letters(&mut back) && letters(&mut after.chars())
}

/// Number and unit, the parts of "9.2 : 1", a sign and its number; "·" and "→" begin a line, never end it.
fn keeps_together(before: &str, after: &str) -> bool {
    let last = before.split(' ').next_back().unwrap_or("");
    let next = after.split([' ', '\n']).next().unwrap_or("");
    let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    let bare = next.trim_end_matches(|c: char| ".,;:!?)]”’".contains(c));
    let ends_in_figure = digit(last.chars().next_back()) || last == "?";
    (ends_in_figure && (UNITS.contains(&bare) || next == ":"))
        || (last == ":" && digit(next.chars().next()) && ratio_before(before))
        || (["≥", "≤", "<", ">", "±"].contains(&last) && digit(next.chars().next()))
        || (["·", "→"].contains(&last) && !next.is_empty())
}

/// Whether `before`, which ends in ":", is the first half of a ratio ("9.2 :").
fn ratio_before(before: &str) -> bool {
    before.trim_end_matches(':').trim_end().ends_with(|c: char| c.is_ascii_digit() || c == '?')
}

/// The runs between two bytes of their joined text.
fn slice(runs: &[Run], start: usize, end: usize) -> Vec<Run> {
    let mut out = Vec::new();
    let mut at = 0;
    for run in runs {
        let (low, high) = (start.max(at), end.min(at + run.text.len()));
        if low < high {
            out.push(run.with_text(run.text.get(low - at..high - at).unwrap_or("").to_string()));
        }
        at += run.text.len();
    }
    out
}

/// What sums of widths may be off, mm.
const SLACK: f64 = 1e-9;

struct Lines {
    size: f64,
    measure: f64,
    done: Vec<Vec<Run>>,
    line: Vec<Run>,
    used: f64,
}

impl Lines {
    fn end(&mut self) {
        self.done.push(std::mem::take(&mut self.line));
        self.used = 0.0;
    }

    fn push(&mut self, mut word: Vec<Run>) {
        let slack = self.measure + SLACK;
        if !self.line.is_empty() && self.used + line_width(&word, self.size) > slack {
            self.end();
        }
        while line_width(&word, self.size) > slack {
            let head = self.cut(&mut word);
            if word.is_empty() {
                // One character wider than the measure: it stands alone.
                word = head;
                break;
            }
            self.line.extend(head);
            self.end();
        }
        for run in word {
            self.used += width(&run.text, run.face, self.size);
            add(&mut self.line, run);
        }
    }

    /// Takes from an overlong word what fits on one line: one character at least, and never a mark
    /// without the letter it sits on.
    fn cut(&self, word: &mut Vec<Run>) -> Vec<Run> {
        let mut head: Vec<Run> = Vec::new();
        let mut used = 0.0;
        while let Some(run) = word.first_mut() {
            let mut fits = 0;
            for (at, c) in run.text.char_indices() {
                let wide = f64::from(advance(run.face, c)) * self.size / 1000.0 * super::PT;
                let first = head.is_empty() && at == 0;
                if !first && !is_combining(c) && used + wide > self.measure + SLACK {
                    break;
                }
                used += wide;
                fits = at + c.len_utf8();
            }
            if fits < run.text.len() {
                if fits > 0 {
                    let rest = run.text.split_off(fits);
                    let taken = std::mem::replace(&mut run.text, rest);
                    head.push(run.with_text(taken));
                }
                return head;
            }
            head.push(word.remove(0));
        }
        head
    }
}

fn is_combining(c: char) -> bool {
    unicode_normalization::char::is_combining_mark(c)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(text: &str, measure: f64) -> Vec<String> {
        wrap(text, Face::Regular, 8.0, measure)
    }

    #[test]
    fn where_a_line_may_end() {
        // | marks each place.
        let cases = [
            ("rope one lost", "rope |one |lost"),
            ("drops 1.8 m at 12 kN, or 9.2 : 1", "drops |1.8 m |at |12 kN, |or |9.2 : 1"),
            ("1.80 of ? kN", "1.80 |of ? kN"),
            ("cord 8 mm · 11.0 : 1 → all", "cord |8 mm |· 11.0 : 1 |→ all"),
            ("requires ≥ 10 : 1", "requires |≥ 10 : 1"),
            ("litter-attendant 3-4 a-b", "litter-|attendant |3-4 |a-b"),
            ("and/or top–down 15:04–17:41", "and/|or |top–|down |15:04–17:41"),
            ("order: lower 5 people", "order: |lower |5 |people"),
            ("16:00: 3 people", "16:00: |3 |people"),
        ];
        for (text, wanted) in cases {
            let mut shown = String::new();
            let mut start = 0;
            for at in breaks(text) {
                shown += &text[start..at];
                shown += "|";
                start = at;
            }
            assert_eq!(shown, format!("{wanted}|"), "{text}");
        }
    }

    #[test]
    fn a_long_word_is_cut_by_character_and_nothing_is_lost() {
        let got = lines("x Donaudampfschifffahrtsgesellschaft y", 12.0);
        assert_eq!(got.concat().replace(' ', ""), "xDonaudampfschifffahrtsgesellschafty");
        assert!(got.iter().all(|line| width(line, Face::Regular, 8.0) <= 12.0));
        assert_eq!(lines("", 10.0), [""]);
        assert_eq!(lines("a\n\nb", 10.0), ["a", "", "b"]);
        assert_eq!(lines("wide", 0.1), ["w", "i", "d", "e"]);
    }

    #[test]
    fn a_change_of_look_inside_a_word_does_not_break_it() {
        let runs = [Run::plain("the word lo"), Run::bold("wer"), Run::plain(", said twice")];
        let got = wrap_runs(&runs, 8.0, 14.0);
        let text: Vec<String> = got.iter().map(|l| l.iter().map(|r| r.text.as_str()).collect()).collect();
        assert_eq!(text, ["the word ", "lower, ", "said twice"]);
        assert_eq!(got[1][1], Run::bold("wer"));
    }

    #[test]
    fn cut_with_an_ellipsis() {
        assert_eq!(fit("short", Face::Bold, 8.0, 30.0), "short");
        let cut = fit("a very long name of a place", Face::Regular, 8.0, 20.0);
        assert!(cut.ends_with('…') && width(&cut, Face::Regular, 8.0) <= 20.0);
        assert_eq!(fit("any", Face::Regular, 8.0, 0.1), "…");
    }

    proptest::proptest! {
        #[test]
        fn what_fits_is_set_as_if_it_were_broken(texts in proptest::collection::vec("[ -~ž\n]{0,9}", 0..5), measure in 4.0f64..60.0) {
            let look = [Run::plain, Run::bold, Run::rubric, Run::plain];
            let runs: Vec<Run> = texts.into_iter().zip(look).map(|(text, look)| look(text)).collect();
            proptest::prop_assert_eq!(wrap_runs(&runs, 8.0, measure), broken(&runs, 8.0, measure));
        }

        #[test]
        fn no_line_is_wider_than_its_measure_and_no_character_is_lost(text in "[ -~žЖθ\n/–]{0,80}", measure in 4.0f64..60.0) {
            let run = Run::plain(text.clone());
            let got = wrap_runs(&[run], 8.0, measure);
            let joined: String = got.iter().flatten().map(|r| r.text.as_str()).collect();
            proptest::prop_assert_eq!(joined, text.replace('\n', ""));
            for line in &got {
                proptest::prop_assert!(line_width(line, 8.0) <= measure + 1e-6);
            }
        }
    }
}
