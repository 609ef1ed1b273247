//! Whether a readback says what was ordered.
//!
//! Both texts are reduced to command words of one meaning (“up”, “haul” → raise; “down” → lower; “1” → one). A readback is wrong
//! when it holds a command word that the order does not (“raise” for “lower”, “one” for “two”), or lacks one that the order has (“lower” for “lower slow”,
//! “roger” for “lower”). What is done inside a motion is a command too, whichever way it is put (“knot pass”, “pass the knot”; “change over”, “changeover”; “reset”), so that
//! “raise” is no readback of “change over to raise”. A command that the readback alone negates (“do not lower”) was not repeated. Which rope is meant need not be repeated. Other words (“litter is turning”) are not judged.

use crate::words::{NEGATIONS, Said};

const COMMANDS: [&str; 16] = [
    "lower", "raise", "slow", "stop", "set", "slack", "tension", "equal", "rock", "abort", "hold", "test",
    "match", "reset", "fast", "edge",
];
const ROPES: [&str; 3] = ["one", "two", "both"];

fn meaning(word: &str) -> &str {
    match word {
        "up" | "haul" | "raising" | "hauling" | "raise" => "raise",
        "down" | "lowering" | "lower" => "lower",
        "slowly" | "gently" => "slow",
        "stopping" => "stop",
        "1" => "one",
        "2" => "two",
        "off" | "tie" | "tied" => "tie",
        other => other,
    }
}

/// Words that only together name what is done inside a motion.
const OF_PHASES: [&str; 9] =
    ["knot", "pass", "passing", "passed", "change", "changing", "changed", "over", "changeover"];

/// The knot pass or change-over that a clause names, in the word that stands for it.
fn phase_named(clause: &[&str]) -> Option<&'static str> {
    let has = |words: &[&str]| clause.iter().any(|w| words.contains(w));
    let over = |w: &[&str]| matches!(w[0], "change" | "changing" | "changed") && w[1] == "over";
    if has(&["knot"]) && has(&["pass", "passing", "passed"]) {
        Some("knot pass")
    } else if has(&["changeover"]) || clause.windows(2).any(over) {
        Some("change over")
    } else {
        None
    }
}

fn words_of<'a>(said: &'a Said, of: &[&str]) -> Vec<&'a str> {
    let commands = of.len() == COMMANDS.len();
    let mut found: Vec<&str> = said
        .clauses()
        .flat_map(|c| {
            let meant = |(i, w): (usize, &&'a str)| {
                // “haul team” names people; “load test” and “tie off” are told by one word each.
                if *w == "haul" && c.get(i + 1).is_some_and(|n| *n == "team") {
                    return None;
                }
                let m = meaning(w);
                (of.contains(&m) || (m == "tie" && commands)).then_some(m)
            };
            let phase = phase_named(&c).filter(|_| commands);
            c.iter().enumerate().filter_map(meant).chain(phase).collect::<Vec<_>>()
        })
        .collect();
    found.sort_unstable();
    found.dedup();
    found
}

/// The negation that stands in a clause with a command word, if any.
fn negated(said: &Said) -> Option<&str> {
    if !said.has_word(&NEGATIONS) {
        return None;
    }
    let of_command = |clause: &Vec<&str>| begins_in(clause);
    said.clauses().filter(of_command).flatten().find(|w| NEGATIONS.contains(w))
}

/// `None`: as ordered. `Some`: what differs, in words.
pub fn differs(order: &str, readback: &str) -> Option<String> {
    differs_said(&Said::of(order), &Said::of(readback))
}

/// The same of texts that are cut into words already.
pub fn differs_said(order: &Said, readback: &Said) -> Option<String> {
    let (ordered, said) = (words_of(order, &COMMANDS), words_of(readback, &COMMANDS));
    if let Some(w) = said.iter().find(|w| !ordered.contains(w)) {
        return Some(format!("said “{w}”, which was not ordered"));
    }
    if let Some(w) = ordered.iter().find(|w| !said.contains(w)) {
        return Some(format!("did not say “{w}”"));
    }
    match (negated(order), negated(readback)) {
        (None, Some(w)) => return Some(format!("said “{w}”, which was not ordered")),
        (Some(w), None) => return Some(format!("did not say “{w}”")),
        _ => {}
    }
    let (ropes, named) = (words_of(order, &ROPES), words_of(readback, &ROPES));
    named
        .iter()
        .find(|w| !ropes.is_empty() && !ropes.contains(w))
        .map(|w| format!("said “{w}”, not “{}”", ropes.join(" ")))
}

/// Ropes that a text names; “both” is one and two.
pub(crate) fn ropes_named(text: &str) -> Vec<String> {
    let said = Said::of(text);
    let named = words_of(&said, &ROPES);
    let both = named.contains(&"both");
    ["one", "two"].into_iter().filter(|rope| both || named.contains(rope)).map(str::to_string).collect()
}

/// Whether two orders can be about the same rope: one that names none, or both, is about each.
pub(crate) fn same_rope(one: &str, other: &str) -> bool {
    let (one, other) = (Said::of(one), Said::of(other));
    let (one, other) = (words_of(&one, &ROPES), words_of(&other, &ROPES));
    let each = |named: &[&str]| named.is_empty() || named.contains(&"both");
    each(&one) || each(&other) || one.iter().any(|rope| other.contains(rope))
}

/// Whether both texts hold the same command word. “Edge” names a place more often than an order, “off” is also a rope's end: neither counts alone.
pub(crate) fn shared(order: &str, said: &str) -> bool {
    let (order, said) = (Said::of(order), Said::of(said));
    let tied = |t: &Said| t.has_word(&["tie", "tied"]);
    let ordered = words_of(&order, &COMMANDS);
    words_of(&said, &COMMANDS).iter().any(|w| match *w {
        "edge" => false,
        "tie" => tied(&order) && tied(&said),
        other => ordered.contains(&other),
    })
}

/// Whether this word is one of an order.
pub(crate) fn is_command(word: &str) -> bool {
    let m = meaning(word);
    m == "tie" || m == "load" || (m != "edge" && COMMANDS.contains(&m))
}

/// Whether a clause holds a command: a word of one, or words that together name what is done inside a motion.
pub(crate) fn begins_in(clause: &[&str]) -> bool {
    clause.iter().any(|w| is_command(w)) || phase_named(clause).is_some()
}

/// Whether this word is one of an order, or of the name of what is done inside a motion.
pub(crate) fn is_of_command(word: &str) -> bool {
    is_command(word) || OF_PHASES.contains(&word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readbacks_are_judged_by_their_command_words() {
        let cases = [
            ("lower slow", "lower slow", true),
            ("lower slow", "Lower, slow.", true),
            ("lower", "down", true),
            ("lower slow", "lower", false),
            ("lower", "raise", false),
            ("slow", "raise slow", false),
            ("raise", "haul", true),
            ("rope two, lower slow", "lower slow", true),
            ("slack one", "slack two", false),
            ("match rope one", "match rope two", false),
            ("lower", "roger", false),
            ("lower slow, litter is turning", "lower slow", true),
            ("load test, three people on the lines, set and hold", "load test, set and hold", true),
            ("tie off", "tie off", true),
            ("tie off", "tied off", true),
            ("to the edge", "to the edge", true),
            ("raise", "haul team raise", true),
            ("set", "set", true),
            ("lower", "do not lower", false),
            ("lower slow", "can’t lower slow", false),
            ("lower", "lower, nobody in the drop zone", true),
            ("lower", "lower, no slack here", false),
            ("do not lower", "lower", false),
            ("do not lower", "do not lower", true),
            ("set", "not set", false),
            ("knot pass", "knot pass", true),
            ("knot pass", "pass the knot", true),
            ("knot pass on one", "passing the knot, one", true),
            ("knot pass", "roger", false),
            ("knot pass", "pass", false),
            ("knot pass on one", "knot pass on two", false),
            ("knot pass", "no knot pass", false),
            ("knot pass", "lower", false),
            ("lower", "knot pass", false),
            ("change over to raise", "change-over to raise", true),
            ("change over to raise", "changeover to raising", true),
            ("change over to raise", "raise", false),
            ("change over to raise", "change over", false),
            ("change over to raise", "change over to lower", false),
            ("raise", "change over to raise", false),
            ("reset", "reset", true),
            ("reset", "resetting", false),
            ("reset", "raise", false),
            // Spoken of beside an order, not ordered.
            ("lower", "lower, no change on one", true),
            ("lower", "lower, knot is far", true),
            ("lower to the edge", "lower, over the edge", true),
        ];
        for (order, said, right) in cases {
            assert_eq!(differs(order, said).is_none(), right, "{order} / {said}: {:?}", differs(order, said));
        }
    }
}
