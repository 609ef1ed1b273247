//! Which open order a person's words belong to, if any.
//!
//! A readback resembles the order it repeats. Words that say what the load or a device does (“on the ground”, “tied off”) and words unlike every open
//! order are a report. What fits is looked for from the newest order back: an older one that is still open is no longer what people act on.

use crate::judge;
use crate::state::{Loop, State};
use crate::words::{ADDRESS, NEGATIONS, Said, asks, clauses, commands, has_word, states};
use rig::guidelines::MotionWords;

/// What the words of one role are, as far as its open orders tell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Meant<'a> {
    /// Repeats this order, rightly or wrongly.
    Readback(&'a Loop),
    /// Answers this question or roll call.
    Answer(&'a Loop),
    /// A report. The order, if any is open, that it could answer after all.
    Report(Option<&'a Loop>),
}

/// Whether the words say what the load or a device does now, by the words of the guidelines.
pub fn tells_motion(text: &str, w: &MotionWords) -> bool {
    commands(text, &w.stopped)
        || commands(text, &w.tied_off)
        || states(text, &w.landed)
        || states(text, &w.at_the_edge)
        || [&w.phases.knot_pass, &w.phases.reset, &w.phases.change_over].iter().any(|p| states(text, &p.done))
}

/// Whether words booked as a readback are a report: they tell what the load or a device does and share nothing with the
/// order, so that nothing was heard wrong and nothing puts them right.
pub fn is_a_report(order: &str, said: &str, w: &MotionWords) -> bool {
    tells_motion(said, w) && !judge::shared(order, said)
}

/// Whether an order asks for an answer rather than a readback.
pub fn asks_answer(order: &str) -> bool {
    let lower = order.to_lowercase();
    asks(order) || ["call", "check", "ready"].iter().any(|w| lower.contains(w))
}

/// What these words of this role are (see the rule above).
pub fn meant<'a>(state: &'a State, role: &str, text: &str) -> Meant<'a> {
    let w = &state.guidelines.words;
    let to_role = |l: &&Loop| !l.stop && l.waits.iter().any(|x| x.role == role);
    let waits = |l: &&Loop| l.waits.iter().any(|x| x.role == role && x.waits());
    let given: Vec<&Loop> = state.loops.iter().rev().filter(to_role).collect();
    let open: Vec<&Loop> = given.iter().copied().filter(waits).collect();
    let newest = open.first().copied();
    let ordered: Vec<&Loop> = open.iter().copied().filter(|l| !asks_answer(&l.text)).collect();
    // An order of movement that names a place (“lower, stop at the edge”) is repeated with it.
    let moves = |t: &str| commands(t, &w.lower) || commands(t, &w.raise) || commands(t, &w.load_test);
    if tells_motion(text, w) && !(moves(text) && ordered.iter().any(|l| fit(&l.text, text) == Fit::Right)) {
        return Meant::Report(newest);
    }
    let result = commands(text, &w.load_test) && has_word(text, &RESULTS);
    if !result && let Some(l) = read_back(&ordered, text) {
        return Meant::Readback(l);
    }
    // Who says another movement than the last one ordered has heard it wrong.
    let last = given.iter().copied().find(|l| moves(&l.text));
    if !result
        && moves(text)
        && let Some(l) = last.filter(|l| waits(l) && !asks_answer(&l.text))
    {
        return Meant::Readback(l);
    }
    let asked =
        open.iter().enumerate().find(|(i, l)| asks_answer(&l.text) && answers(&l.text, text, *i == 0));
    match asked {
        Some((_, l)) => Meant::Answer(l),
        None => Meant::Report(newest),
    }
}

/// How a load test went, not that it was ordered.
const RESULTS: [&str; 7] = ["held", "holds", "good", "done", "over", "complete", "failed"];
/// Words beside the negations that turn a command into something else.
const UNLIKE: [&str; 5] = ["ready", "when", "if", "until", "before"];
/// What people answer to a roll call, a radio check or a question.
const REPLIES: [&str; 12] =
    ["ready", "here", "present", "yes", "no", "ok", "okay", "roger", "copy", "loud", "readable", "standing"];
/// Too common to make two texts resemble each other.
const COMMON: [&str; 14] =
    ["the", "a", "an", "and", "of", "on", "in", "at", "to", "is", "are", "it", "you", "your"];

#[derive(Clone, Copy, Debug, PartialEq)]
enum Fit {
    Right,
    /// A part of it is missing.
    Part,
    /// The same command for another rope.
    Other,
    Unlike,
}

/// Newest first: an order that is repeated, whole or in part; else one repeated for another rope.
fn read_back<'a>(ordered: &[&'a Loop], text: &str) -> Option<&'a Loop> {
    let found = |wanted: &[Fit]| ordered.iter().copied().find(|l| wanted.contains(&fit(&l.text, text)));
    found(&[Fit::Right, Fit::Part]).or_else(|| found(&[Fit::Other]))
}

fn fit(order: &str, said: &str) -> Fit {
    let words = |t: &str| -> Vec<String> { clauses(t).into_iter().flatten().collect() };
    let (of_order, of_said) = (words(order), words(said));
    let new = |w: &&String| !of_order.contains(w);
    if asks(said)
        || of_said.iter().filter(new).any(|w| [&NEGATIONS[..], &UNLIKE].concat().contains(&w.as_str()))
    {
        return Fit::Unlike;
    }
    let telling: Vec<&String> =
        of_said.iter().filter(|w| !COMMON.contains(&w.as_str()) && !ADDRESS.contains(&w.as_str())).collect();
    let repeats = !of_said.iter().any(|w| new(&w)) && !of_said.is_empty();
    let shared = judge::shared(order, said);
    match judge::differs(order, said) {
        None if shared || repeats => Fit::Right,
        Some(_) if !shared || !leads(order) => Fit::Unlike,
        Some(_) if repeats => Fit::Part,
        Some(_) if telling.iter().all(|w| judge::is_of_command(w)) => Fit::Other,
        _ => Fit::Unlike,
    }
}

/// Whether an order begins with a command, after any address: a brief that only speaks of commands is not repeated by one of them.
fn leads(order: &str) -> bool {
    Said::of(order)
        .clauses()
        .find(|c| c.iter().any(|w| judge::is_command(w) || !ADDRESS.contains(w)))
        .is_some_and(|c| judge::begins_in(&c))
}

fn answers(question: &str, said: &str, newest: bool) -> bool {
    let words: Vec<String> = clauses(question).into_iter().flatten().collect();
    has_word(said, &REPLIES)
        || (newest && asks(question))
        || clauses(said).iter().flatten().any(|w| !COMMON.contains(&w.as_str()) && words.contains(w))
}
