//! Which words change the motion, and when they merely speak of it.
//!
//! The rule, so that “do not stop” and “ready to lower?” move nothing:
//! - text is lower-cased, cut into clauses at `, ; : . !` and dashes, and words are compared whole;
//! - a *command* (stop, lower, raise, load test, stopped, tied off) counts only where a clause begins with it, and only
//!   in the first clause that is not just an address (“rope two:”, “all,”, “slow,”);
//! - a *state* (at the edge, landed, at the top) counts anywhere in a clause, unless a word like “not”, “nearly” or “when” stands before it;
//! - a text that ends in a question mark never changes anything.

/// A text in small letters, cut into clauses of whole words. Made once for a text that is asked about more than once: a
/// long record is gone through word by word at every opening.
#[derive(Clone, Debug)]
pub struct Said {
    lower: String,
    /// Where each word begins and ends in it.
    words: Vec<(usize, usize)>,
    /// Behind which word each clause ends.
    ends: Vec<usize>,
    asks: bool,
}

impl Said {
    /// Cuts a text.
    pub fn of(text: &str) -> Said {
        let lower = text.to_lowercase();
        let (mut words, mut ends, mut begun) = (Vec::new(), Vec::new(), None);
        for (place, letter) in lower.char_indices() {
            if letter.is_alphanumeric() || matches!(letter, '\'' | '’') {
                begun.get_or_insert(place);
                continue;
            }
            words.extend(begun.take().map(|from| (from, place)));
            let cuts = matches!(letter, ',' | ';' | ':' | '.' | '!' | '–' | '—' | '(' | ')' | '\n');
            if cuts && ends.last().copied().unwrap_or(0) < words.len() {
                ends.push(words.len());
            }
        }
        words.extend(begun.map(|from| (from, lower.len())));
        if ends.last().copied().unwrap_or(0) < words.len() {
            ends.push(words.len());
        }
        Said { lower, words, ends, asks: asks(text) }
    }

    /// Whether the text asks something.
    pub fn asks(&self) -> bool {
        self.asks
    }

    /// The whole text in small letters.
    pub fn lower(&self) -> &str {
        &self.lower
    }

    /// All words in order.
    pub fn words(&self) -> impl Iterator<Item = &str> {
        self.words.iter().map(|place| self.at(*place))
    }

    /// The words of each clause; none is empty.
    pub fn clauses(&self) -> impl Iterator<Item = Vec<&str>> {
        self.cut().map(|clause| clause.iter().map(|place| self.at(*place)).collect())
    }

    fn at(&self, (from, to): (usize, usize)) -> &str {
        &self.lower[from..to]
    }

    /// Where the words of each clause stand.
    fn cut(&self) -> impl Iterator<Item = &[(usize, usize)]> {
        self.ends.iter().scan(0, |from, end| Some(&self.words[std::mem::replace(from, *end)..*end]))
    }

    fn begins(&self, words: &[(usize, usize)], phrase: &str) -> bool {
        let mut wanted = phrase.split_whitespace().peekable();
        let mut words = words.iter();
        wanted.peek().is_some() && wanted.all(|w| words.next().is_some_and(|place| self.at(*place) == w))
    }

    /// Whether it gives one of these commands (see the rule above).
    pub fn commands(&self, phrases: &[String]) -> bool {
        if self.asks {
            return false;
        }
        for clause in self.cut() {
            let mut at = 0;
            loop {
                // “haul team” names people.
                let names = clause.get(at + 1).is_some_and(|w| self.at(*w) == "team");
                if !names && phrases.iter().any(|p| self.begins(&clause[at..], p)) {
                    return true;
                }
                if at < clause.len() && ADDRESS.contains(&self.at(clause[at])) {
                    at += 1;
                } else {
                    break;
                }
            }
            if at < clause.len() {
                return false;
            }
        }
        false
    }

    /// Whether it says that one of these states holds (see the rule above).
    pub fn states(&self, phrases: &[String]) -> bool {
        if self.asks {
            return false;
        }
        self.cut().any(|clause| {
            (0..clause.len()).any(|i| {
                phrases.iter().any(|p| self.begins(&clause[i..], p))
                    && !clause[..i].iter().any(|w| HEDGES.contains(&self.at(*w)))
            })
        })
    }

    /// Whether any of these words stands in it, whole.
    pub fn has_word(&self, words: &[&str]) -> bool {
        self.words().any(|w| words.contains(&w))
    }
}

/// Lower case, punctuation kept apart: clauses of whole words.
pub fn clauses(text: &str) -> Vec<Vec<String>> {
    Said::of(text).clauses().map(|clause| clause.into_iter().map(str::to_string).collect()).collect()
}

/// Whether the text asks something.
pub fn asks(text: &str) -> bool {
    text.trim_end().ends_with('?')
}

/// Words that only say who is spoken to, or come before a command.
pub(crate) const ADDRESS: [&str; 31] = [
    "rope",
    "ropes",
    "one",
    "two",
    "1",
    "2",
    "both",
    "all",
    "everyone",
    "everybody",
    "team",
    "haul",
    "edge",
    "litter",
    "attendant",
    "operator",
    "operators",
    "tailer",
    "control",
    "from",
    "to",
    "and",
    "now",
    "ok",
    "okay",
    "please",
    "emergency",
    "slow",
    "slowly",
    "gently",
    "then",
];

/// Whether the text gives one of these commands (see the rule above).
pub fn commands(text: &str, phrases: &[String]) -> bool {
    Said::of(text).commands(phrases)
}

/// Words that turn a command into its opposite.
pub(crate) const NEGATIONS: [&str; 11] =
    ["not", "no", "never", "don't", "don’t", "can't", "can’t", "cannot", "won't", "won’t", "unable"];

const HEDGES: [&str; 16] = [
    "not", "no", "never", "nearly", "almost", "before", "until", "till", "when", "if", "from", "towards",
    "don't", "isn't", "once", "after",
];

/// Whether the text says that one of these states holds (see the rule above).
pub fn states(text: &str, phrases: &[String]) -> bool {
    Said::of(text).states(phrases)
}

/// Whether any of these words stands in the text, whole.
pub fn has_word(text: &str, words: &[&str]) -> bool {
    Said::of(text).has_word(words)
}

const NUMBERS: [&str; 21] = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
    "twenty",
];
const TENS: [(&str, f64); 8] = [
    ("twenty", 20.0),
    ("thirty", 30.0),
    ("forty", 40.0),
    ("fifty", 50.0),
    ("sixty", 60.0),
    ("seventy", 70.0),
    ("eighty", 80.0),
    ("ninety", 90.0),
];

/// A number in digits or in words up to ninety-nine.
pub fn number(word: &str) -> Option<f64> {
    if let Ok(n) = word.parse::<f64>() {
        return n.is_finite().then_some(n);
    }
    if let Some(i) = NUMBERS.iter().position(|w| *w == word) {
        return Some(i as f64);
    }
    TENS.iter().find(|(w, _)| *w == word).map(|(_, n)| *n)
}

/// Metres out that a text calls: a number followed by “m”, “metre(s)” or “meter(s)”, with “out” or alone.
/// “2 metres to go” and “slack two metres” call no height.
pub fn metres(text: &str) -> Option<f64> {
    if !text.contains(['m', 'M']) {
        return None;
    }
    let lower = text.to_lowercase().replace(',', " , ");
    let words: Vec<String> = lower
        .split_whitespace()
        .flat_map(|w| match w.strip_suffix('m') {
            Some(n) if n.parse::<f64>().is_ok() => vec![n.to_string(), "m".to_string()],
            _ => w.split('-').map(str::to_string).collect(),
        })
        .collect();
    for (i, w) in words.iter().enumerate() {
        if !matches!(w.trim_end_matches(['.', ';']), "m" | "metre" | "metres" | "meter" | "meters") || i == 0
        {
            continue;
        }
        let mut n = number(&words[i - 1])?;
        let mut first = i - 1;
        if i >= 2
            && n < 10.0
            && let Some((_, tens)) = TENS.iter().find(|(t, _)| *t == words[i - 2])
        {
            n += tens;
            first = i - 2;
        }
        let before = first.checked_sub(1).map(|k| words[k].as_str());
        let after = words.get(i + 1).map(String::as_str);
        let called = matches!(after, None | Some("out" | "," | "down" | "below" | "."))
            && matches!(before, None | Some("at" | "now" | ","));
        if called {
            return Some(n);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use rig::guidelines::Guidelines;

    #[test]
    fn only_a_command_moves() {
        let w = Guidelines::defaults().words;
        let cases = [
            ("stop", true, &w.stop),
            ("STOP", true, &w.stop),
            ("Stop!", true, &w.stop),
            ("all, stop", true, &w.stop),
            ("rope two: stop", true, &w.stop),
            ("stop stop stop", true, &w.stop),
            ("emergency stop", true, &w.stop),
            ("stop, roller is off", true, &w.stop),
            ("stopped", false, &w.stop),
            ("do not stop", false, &w.stop),
            ("brief: whistle one is stop; then: stop and tie off", false, &w.stop),
            ("stop?", false, &w.stop),
            ("we will stop at the ledge", false, &w.stop),
            ("lower", true, &w.lower),
            ("lower slow, litter is turning", true, &w.lower),
            ("rope two, lower slow", true, &w.lower),
            ("slow, lower", true, &w.lower),
            ("down 2 metres", true, &w.lower),
            ("ready to lower?", false, &w.lower),
            ("ready to lower", false, &w.lower),
            ("do not lower", false, &w.lower),
            ("raise slow", true, &w.raise),
            ("haul", true, &w.raise),
            ("haul team, raise", true, &w.raise),
            ("up slow", true, &w.raise),
            ("haul team ready", false, &w.raise),
            ("load test, set and hold", true, &w.load_test),
            ("load test good", false, &w.lower),
            ("rope one stopped", true, &w.stopped),
            ("not stopped", false, &w.stopped),
            ("tied off", true, &w.tied_off),
            ("tie off", false, &w.tied_off),
        ];
        for (text, expected, phrases) in cases {
            assert_eq!(commands(text, phrases), expected, "{text}");
        }
    }

    #[test]
    fn a_state_counts_unless_hedged() {
        let w = Guidelines::defaults().words;
        let cases = [
            ("litter at the edge", true, &w.at_the_edge),
            ("nearly at the edge", false, &w.at_the_edge),
            ("tell me when at the edge", false, &w.at_the_edge),
            ("on the ground", true, &w.landed),
            ("litter on the ground, all well", true, &w.landed),
            ("not on the ground", false, &w.landed),
            ("litter at the top", true, &w.landed),
            ("landed", true, &w.landed),
            ("at the top?", false, &w.landed),
        ];
        for (text, expected, phrases) in cases {
            assert_eq!(states(text, phrases), expected, "{text}");
        }
    }

    #[test]
    fn metres_are_heard_only_when_called() {
        let cases = [
            ("9 metres", Some(9.0)),
            ("9m", Some(9.0)),
            ("twenty-five metres", Some(25.0)),
            ("28 metres out", Some(28.0)),
            ("thirty metres, clear of the lip", Some(30.0)),
            ("2 metres to go", None),
            ("slack two metres", None),
            ("metres", None),
            ("at 12 metres", Some(12.0)),
            ("radio 2", None),
        ];
        for (text, expected) in cases {
            assert_eq!(metres(text), expected, "{text}");
        }
    }
}
