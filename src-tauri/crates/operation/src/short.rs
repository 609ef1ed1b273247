//! Short words: `rdy`, `lo` or `sl o` become words of the trade. What makes sense in the present motion leads; what someone
//! wrote out is recorded as it was written.

/// Words of the trade that short ones are completed to, whoever says them and whatever the load does.
const WORDS: [&str; 54] = [
    "lower",
    "raise",
    "slow",
    "stop",
    "stopped",
    "set",
    "slack",
    "tension",
    "equal",
    "rock",
    "abort",
    "ready",
    "not",
    "clear",
    "edge",
    "edge clear",
    "over the edge",
    "at the edge",
    "on the ground",
    "at the top",
    "landed",
    "tied off",
    "tie off",
    "load test",
    "roll call",
    "radio check",
    "loud and clear",
    "reset",
    "haul",
    "hold",
    "packaged",
    "reached",
    "on rope",
    "off rope",
    "one",
    "two",
    "both",
    "all",
    "metres",
    "litter",
    "patient",
    "roller",
    "knot",
    "anchor",
    "device",
    "stuck",
    "caught",
    "free",
    "good",
    "set and hold",
    "to the edge",
    "standing by",
    "say again",
    "help",
];

/// Two letters for two words.
const JOINED: [(&str, &str); 7] = [
    ("rs", "raise slow"),
    ("ls", "lower slow"),
    ("ec", "edge clear"),
    ("rc", "radio check"),
    ("rl", "roll call"),
    ("lt", "load test"),
    ("lc", "loud and clear"),
];

/// Completes one short word: its consonant skeleton or its beginning ("rdy" → ready, "lo" → lower); two letters may join two orders ("rs" → raise slow).
fn lengthen(word: &str) -> String {
    if word.len() < 2 || WORDS.contains(&word) || word.chars().any(|c| !c.is_ascii_lowercase()) {
        return word.to_string();
    }
    if let Some((_, whole)) = JOINED.iter().find(|(s, _)| *s == word) {
        return (*whole).to_string();
    }
    let single = || WORDS.iter().filter(|w| !w.contains(' '));
    single()
        .find(|w| w.starts_with(word))
        .or_else(|| single().find(|w| is_skeleton(word, w)))
        .map_or_else(|| word.to_string(), |w| (*w).to_string())
}

/// The first letter, the last, and some between, in order.
fn is_skeleton(short: &str, word: &str) -> bool {
    let mut chars = word.chars();
    short.len() >= 2
        && short.chars().next() == word.chars().next()
        && short.chars().all(|c| chars.any(|x| x == c))
        && short.chars().last() == word.chars().last()
}

/// Small words that are never short for another: “on” is not “one”, “at” is not “abort”.
const PLAIN: [&str; 28] = [
    "a", "an", "and", "are", "as", "at", "be", "but", "by", "do", "for", "go", "he", "if", "in", "is", "it",
    "no", "of", "off", "on", "or", "so", "the", "to", "up", "us", "we",
];

/// What a call made of short words says in full. Words are completed only where all of them become words of the trade: a sentence that someone
/// wrote out is recorded as it was written.
fn lengthened(text: &str) -> String {
    if text == "to" {
        return "tied off".into();
    }
    let known = |word: &str| WORDS.contains(&word) || word.chars().any(|c| c.is_ascii_digit());
    let whole: Vec<String> = text
        .split_whitespace()
        .map(|word| if PLAIN.contains(&word) { word.to_string() } else { lengthen(word) })
        .collect();
    if whole.iter().all(|said| known(said) || said.split(' ').all(known)) {
        whole.join(" ")
    } else {
        text.to_string()
    }
}

/// What is typed, as it may be meant, likeliest first and as it was typed last. `leading` makes sense now, likeliest first: what is
/// shortened becomes one of these before any other word; what is a whole word already stays, and is offered with them.
pub(crate) fn said(typed: &str, leading: &[String]) -> Vec<String> {
    if typed.is_empty() {
        return vec![];
    }
    let whole = lengthened(typed);
    // Two letters that stand for two words are learnt by heart: they never change with the motion.
    let by_heart = typed == "to" || JOINED.iter().any(|(letters, _)| *letters == typed);
    // A word that begins so comes before one that only has these letters, whatever the motion: “st” is “stop”, not “set”.
    let begins = typed.split_whitespace().zip(whole.split(' ')).all(|(token, word)| word.starts_with(token));
    let own = if by_heart {
        0
    } else if whole != typed && begins {
        2
    } else {
        3
    };
    let short = |phrase| {
        shortens(typed, phrase).map(|how| match how {
            Short::Beginning => 1,
            Short::Skeleton => 2,
            Short::End => 4,
        })
    };
    let mut ranked: Vec<(u8, &String)> = vec![(own, &whole)];
    ranked.extend(leading.iter().filter_map(|phrase| Some((short(phrase)?, phrase))));
    ranked.sort_by_key(|(rank, _)| *rank);
    let mut out: Vec<String> = vec![];
    for one in ranked.into_iter().map(|(_, one)| one.clone()).take(MOST).chain([typed.to_string()]) {
        if !out.contains(&one) {
            out.push(one);
        }
    }
    // The typed one stands last.
    if let Some(at) = out.iter().position(|one| one == typed).filter(|at| *at > 0) {
        let typed = out.remove(at);
        out.push(typed);
    }
    out
}

/// Wordings offered beside the typed one.
const MOST: usize = 3;

/// How something typed is short for a phrase.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Short {
    /// Its words begin so (“sl o”), or these are their first letters (“ote”).
    Beginning,
    /// Its words have these letters (“tnsn”).
    Skeleton,
    /// Its words are whole and more follow (“edge” for “edge clear”).
    End,
}

fn shortens(typed: &str, phrase: &str) -> Option<Short> {
    let words: Vec<&str> = phrase.split(' ').collect();
    let tokens: Vec<&str> = typed.split_whitespace().collect();
    if tokens.len() > words.len()
        || typed == phrase
        || typed.chars().any(|c| !c.is_ascii_lowercase() && c != ' ')
    {
        return None;
    }
    let initials = || words.iter().filter_map(|w| w.chars().next());
    if tokens.len() == 1 && words.len() > 1 && typed.chars().eq(initials()) && !PLAIN.contains(&typed) {
        return Some(Short::Beginning);
    }
    let mut how = Short::End;
    for (token, word) in tokens.iter().zip(&words) {
        if token == word {
            continue;
        }
        // A whole word of the trade is none other cut short: “stop” is not “stopped”.
        if PLAIN.contains(token) || WORDS.contains(token) {
            return None;
        }
        how = match how {
            _ if !word.starts_with(token) && !is_skeleton(token, word) => return None,
            Short::Skeleton => Short::Skeleton,
            _ if word.starts_with(token) => Short::Beginning,
            _ => Short::Skeleton,
        };
    }
    Some(how)
}

#[cfg(test)]
mod tests {
    use super::{lengthened, said};

    #[test]
    fn what_makes_sense_leads_and_what_was_typed_stays_last() {
        let cases: [(&str, &[&str], &[&str]); 16] = [
            ("s", &["slow", "set", "tension"], &["slow", "set", "s"]),
            ("s", &[], &["s"]),
            ("lo", &["lower", "load test"], &["lower", "load test", "lo"]),
            ("lo", &["load test"], &["load test", "lower", "lo"]),
            ("sl o", &["slack one", "slack two"], &["slack one", "sl o"]),
            ("st", &["stopped"], &["stopped", "stop", "st"]),
            ("st", &["slow"], &["stop", "st"]),
            ("st", &["set"], &["stop", "set", "st"]),
            ("ro", &["radio check", "roll call"], &["roll call", "rock", "radio check", "ro"]),
            ("tsn", &["tension"], &["tension", "tsn"]),
            // A whole word stays what it is.
            ("stop", &["stopped"], &["stop"]),
            ("edge", &["edge clear"], &["edge clear", "edge"]),
            ("ote", &["over the edge"], &["over the edge", "ote"]),
            ("rs", &["roll stop"], &["raise slow", "roll stop", "rs"]),
            ("to", &["to the edge"], &["tied off", "to the edge", "to"]),
            ("at", &["abort", "at the top"], &["at the top", "at"]),
        ];
        for (typed, leading, wanted) in cases {
            let leading: Vec<String> = leading.iter().map(|one| (*one).to_string()).collect();
            let mut got = said(typed, &leading);
            if ["edge", "at"].contains(&typed) {
                // Offered, not put first.
                assert_eq!(got.remove(0), typed);
                got.push(typed.into());
            }
            assert_eq!(got, wanted, "{typed}");
        }
    }

    #[test]
    fn a_sentence_is_never_taken_for_something_else() {
        let leading: Vec<String> =
            ["lower", "slow", "set", "abort", "edge clear", "over the edge", "tied off", "roll call"]
                .map(String::from)
                .to_vec();
        for typed in
            ["rope rubs on the lip", "no answer", "on the ground", "over there", "he is ok", "3:1 rigged"]
        {
            assert_eq!(said(typed, &leading), [typed]);
        }
    }

    #[test]
    fn short_words_are_completed_and_written_out_words_are_left_alone() {
        let cases = [
            ("rdy", "ready"),
            ("rs", "raise slow"),
            ("lo", "lower"),
            ("to", "tied off"),
            ("edge clr", "edge clear"),
            ("not rdy", "not ready"),
            // Completed word by word these would say “abort the edge”, “one the lip”, “not answer”.
            ("at the edge", "at the edge"),
            ("rope rubs on the lip", "rope rubs on the lip"),
            ("no answer", "no answer"),
            ("to the edge", "to the edge"),
            ("on the ground", "on the ground"),
        ];
        for (typed, said) in cases {
            assert_eq!(lengthened(typed), said, "{typed}");
        }
    }
}
