//! Entries become labels: the same answer to the same order within six seconds is one, so are check-ins
//! and roles that follow each other.

use super::{Entry, Hang, LineInput};
use crate::list::Face;
use crate::metrics::{self, Run, wrap_runs};
use crate::moment::Local;
use crate::{Type, size};

/// Right end of the entry numbers at the left.
pub const NUMBER: f64 = 20.0;
/// Right end of the words at the left.
pub const WORDS_LEFT: f64 = 68.0;
/// Left end of the words at the right.
pub const WORDS_RIGHT: f64 = 91.0;
/// Right end of the entry numbers at the right.
pub const NUMBER_RIGHT: f64 = 157.0;
/// Leading of a label.
pub const LEAD: f64 = 3.5;
/// Leading of a label across both sides.
pub const LEAD_ACROSS: f64 = 4.0;
/// Most lines of a label; the log has all of it.
const MOST: usize = 6;
/// Answers within so many ms of the first make one label.
const TOGETHER_MS: i64 = 6000;

/// A label of one entry or of several.
#[derive(Clone, Debug)]
pub struct Label {
    /// When the first happened.
    pub at: i64,
    /// When the last happened.
    pub until: i64,
    /// Entry numbers, as one text.
    pub numbers: String,
    /// Smallest and largest entry number.
    pub seqs: (u64, u64),
    /// Where it hangs.
    pub hang: Hang,
    /// What it is on the rope.
    pub node: Node,
    /// A late entry, or a correction.
    pub mark: Option<crate::Mark>,
    /// Its words in lines.
    pub lines: Vec<Vec<Run>>,
    /// For what lies across: who, to whom, in lines.
    pub right: Vec<String>,
    /// Its words as one text, for reading aloud.
    pub words: String,
    /// Room it takes, mm.
    pub height: f64,
}

/// How a label sits on the rope.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Node {
    /// An order that was read back, or asks for nothing.
    Order,
    /// An order that someone never read back.
    Silent,
    /// An answer to an order.
    Answer,
    /// A wrong readback.
    Wrong,
    /// Everything else.
    Said,
}

/// Room of the entry numbers at the right.
pub fn number_room(input: &LineInput) -> f64 {
    let most = input.entries.iter().map(|e| e.seq).max().unwrap_or(0);
    Type::regular(size::XS).width(&format!("{most}–{most}")) + 1.6
}

/// All labels, in the order of what happened, then of their numbers.
pub fn gather(input: &LineInput) -> Vec<Label> {
    let room = number_room(input);
    let mut sorted: Vec<&Entry> = input.entries.iter().collect();
    sorted.sort_by_key(|e| (e.at_ms, e.seq));
    let mut taken = vec![false; sorted.len()];
    let mut out = Vec::new();
    for (i, entry) in sorted.iter().enumerate() {
        if taken.get(i).copied().unwrap_or(true) {
            continue;
        }
        let mut group = vec![*entry];
        let near = sorted.iter().enumerate().skip(i + 1).take(if is_listed(entry) { 200 } else { 8 });
        for (k, other) in near {
            let joins = joined(entry, other) && {
                let mut seqs: Vec<u64> = group.iter().map(|e| e.seq).collect();
                seqs.push(other.seq);
                Type::regular(size::XS).width(&numbers(&seqs)) <= room
            };
            if joins {
                group.push(other);
                taken[k] = true;
            } else if is_listed(entry) {
                break;
            }
        }
        out.push(label(input, &group, room));
    }
    out
}

/// Check-ins, roles and the like: what follows of the same kind stands in the same label.
fn is_listed(entry: &Entry) -> bool {
    matches!(entry.kind.as_str(), "check_in" | "check_out" | "assign" | "relieve")
        && entry.written_ms.is_none()
        && entry.corrected_by.is_none()
}

fn joined(first: &Entry, other: &Entry) -> bool {
    if is_listed(first) {
        return is_listed(other) && other.kind == first.kind;
    }
    let plain = |e: &Entry| !e.wrong && e.written_ms.is_none() && e.was.is_none() && e.corrected_by.is_none();
    let same =
        first.of.is_some() && other.of == first.of && other.kind == first.kind && other.text == first.text;
    same && first.hang == Hang::Right
        && other.hang == Hang::Right
        && plain(first)
        && plain(other)
        && other.at_ms.saturating_sub(first.at_ms) <= TOGETHER_MS
}

/// "84", "84–86", "80, 82".
fn numbers(seqs: &[u64]) -> String {
    let follows = seqs.windows(2).all(|pair| pair[0].checked_add(1) == Some(pair[1]));
    match seqs {
        [first, .., last] if follows => format!("{first}–{last}"),
        _ => seqs.iter().map(u64::to_string).collect::<Vec<_>>().join(", "),
    }
}

fn clean(text: &str) -> String {
    metrics::clean(text, Face::Regular)
}

fn label(input: &LineInput, group: &[&Entry], number_room: f64) -> Label {
    let entry = group[0];
    let seqs: Vec<u64> = group.iter().map(|e| e.seq).collect();
    let mark = match (entry.written_ms, entry.corrects) {
        (Some(_), _) => Some(crate::Mark::Late),
        (None, Some(_)) => Some(crate::Mark::Correction),
        _ => None,
    };
    let mut runs = words(group);
    if let Some(written) = entry.written_ms {
        runs.push(Run::plain(format!(" · written {}", Local(input.offset_min).hms(written))));
    }
    let right_measure = NUMBER_RIGHT - number_room - WORDS_RIGHT - 1.0;
    let across = entry.hang.is_across();
    let measure = match entry.hang {
        Hang::Left => WORDS_LEFT - NUMBER - 2.0,
        Hang::Stop | Hang::Exercise => WORDS_LEFT - NUMBER - 4.0,
        Hang::Right | Hang::Benchmark => right_measure - if mark.is_some() { 3.4 } else { 0.0 },
    };
    let size = if across { size::M } else { size::S };
    let mut lines = wrap_runs(&runs, size, measure);
    if !entry.silent.is_empty() {
        let silent = format!("not read back by {}", clean(&entry.silent.join(", ")));
        lines.extend(wrap_runs(&[Run::rubric(silent)], size, measure));
    }
    shorten(&mut lines, size, measure);
    let right = across_right(entry, right_measure);
    let count = lines.len().max(right.len()) as f64;
    let height = match entry.hang {
        Hang::Benchmark => 5.6 + (count - 1.0) * LEAD_ACROSS,
        Hang::Stop | Hang::Exercise => 5.8 + (count - 1.0) * LEAD_ACROSS,
        _ => count * LEAD + 0.9,
    };
    let (low, high) = (seqs.iter().min().copied(), seqs.iter().max().copied());
    Label {
        at: entry.at_ms,
        until: group.iter().map(|e| e.at_ms).max().unwrap_or(entry.at_ms),
        numbers: numbers(&seqs),
        seqs: (low.unwrap_or(0), high.unwrap_or(0)),
        hang: entry.hang,
        node: node(entry),
        mark,
        words: runs.iter().map(|run| run.text.as_str()).collect(),
        lines,
        right,
        height,
    }
}

fn node(entry: &Entry) -> Node {
    match () {
        () if entry.wrong => Node::Wrong,
        () if !entry.silent.is_empty() => Node::Silent,
        () if entry.hang == Hang::Left => Node::Order,
        () if entry.of.is_some() => Node::Answer,
        () => Node::Said,
    }
}

/// "edge attendant → all", at the right of what lies across.
fn across_right(entry: &Entry, measure: f64) -> Vec<String> {
    if !matches!(entry.hang, Hang::Stop | Hang::Exercise) {
        return Vec::new();
    }
    let to = if entry.to.is_empty() { String::new() } else { format!(" → {}", entry.to.join(", ")) };
    let from = if entry.from.is_empty() { "control" } else { entry.from.as_str() };
    let mut lines = metrics::wrap(&clean(&format!("{from}{to}")), Face::Bold, size::M, measure - 1.0);
    lines.truncate(3);
    lines
}

/// Cuts a label to its six lines, with "…" at the end of the last.
fn shorten(lines: &mut Vec<Vec<Run>>, size: f64, measure: f64) {
    if lines.len() <= MOST {
        return;
    }
    lines.truncate(MOST);
    if let Some(last) = lines.last_mut() {
        let text: String =
            last.iter().map(|run| run.text.as_str()).collect::<String>().trim_end().to_string();
        let look = last.first().cloned().unwrap_or_else(|| Run::plain(""));
        let fitted = metrics::fit(&format!("{text} …"), look.face, size, measure);
        *last = vec![Run { text: fitted, ..look }];
    }
}

/// The words of a label.
fn words(group: &[&Entry]) -> Vec<Run> {
    let entry = group[0];
    let text = clean(&entry.text);
    let from = clean(&entry.from);
    let who = if from.is_empty() { String::new() } else { format!("{from}: ") };
    match (entry.hang, entry.kind.as_str()) {
        (Hang::Stop | Hang::Exercise | Hang::Benchmark, _) => {
            struck(entry, vec![Run::bold(text)], Face::Bold)
        }
        (Hang::Left, _) => {
            let said = Run {
                face: if entry.kind == "order" { Face::Bold } else { Face::Regular },
                ..Run::plain(text)
            };
            let mut out = vec![Run::plain(who)];
            out.extend(struck(entry, vec![said.clone()], said.face));
            if !entry.to.is_empty() {
                out.push(Run::plain(format!(" → {}", clean(&entry.to.join(", ")))));
            }
            out
        }
        (_, "check_in" | "check_out" | "assign" | "relieve") => listed(group),
        (_, kind) if entry.of.is_some() => answered(group, kind, &text, &who),
        (_, "correct") => {
            let of = entry.corrects.map_or(String::new(), |of| format!(" of {of}"));
            vec![Run::plain(format!("correction{of}: {text}"))]
        }
        (_, "report" | "order" | "readback" | "answer") => {
            let mut out = vec![Run::plain(who)];
            out.extend(struck(entry, vec![Run::plain(text)], Face::Regular));
            out
        }
        (_, kind) => {
            let kind = if kind == "par" { "PAR".to_string() } else { clean(kind).replace('_', " ") };
            let mut out = vec![Run::bold(format!("{kind} "))];
            out.push(Run::plain(who));
            out.extend(struck(entry, vec![Run::plain(text)], Face::Regular));
            out
        }
    }
    .into_iter()
    .filter(|run| !run.text.is_empty())
    .chain(entry.corrected_by.map(|by| Run::plain(format!(" · corrected by {by}"))))
    .collect()
}

/// What was said before a correction, struck, in front of what stands now.
fn struck(entry: &Entry, now: Vec<Run>, face: Face) -> Vec<Run> {
    let Some(was) = &entry.was else { return now };
    let mut out = vec![Run { face, ..Run::struck(clean(was)) }, Run { face, ..Run::plain(" ") }];
    out.extend(now);
    out
}

/// "check-in of 3: A, B, C".
fn listed(group: &[&Entry]) -> Vec<Run> {
    let entry = group[0];
    let word = match entry.kind.as_str() {
        "check_in" => "check-in",
        "check_out" => "check-out",
        "assign" => "role",
        _ => "relieved",
    };
    let each = |e: &&Entry| match (e.from.is_empty(), e.text.is_empty()) {
        (true, _) => clean(&e.text),
        (false, true) => clean(&e.from),
        (false, false) => format!("{} {}", clean(&e.from), clean(&e.text)),
    };
    let names: Vec<String> = group.iter().map(each).collect();
    let head = match (group.len(), word) {
        (1, word) => word.to_string(),
        (n, "role") => format!("{n} roles"),
        (n, word) => format!("{word} of {n}"),
    };
    vec![Run::bold(format!("{head}: ")), Run::plain(names.join(if word == "role" { "; " } else { ", " }))]
}

/// "lower · rope one 2.5 s, rope two 3.2 s"; "rope two: “lower”, not as ordered".
fn answered(group: &[&Entry], kind: &str, text: &str, who: &str) -> Vec<Run> {
    let entry = group[0];
    let after = |e: &Entry| match e.after_s.filter(|s| s.is_finite() && *s >= 0.0) {
        Some(s) if s < 3600.0 => format!("{s:.1} s"),
        Some(s) => crate::moment::duration(s),
        None => String::new(),
    };
    if entry.wrong {
        let seconds = after(entry);
        let seconds = if seconds.is_empty() { seconds } else { format!(" · {seconds}") };
        let mut out = vec![Run::rubric(who.to_string())];
        if let Some(was) = &entry.was {
            out.extend([Run { face: Face::Bold, ..Run::struck(clean(was)) }, Run::bold(" ")]);
        }
        out.extend([Run::rubric(format!("“{text}”, not as ordered")), Run::plain(seconds)]);
        return out;
    }
    let face = if text.starts_with("stopped") { Face::Bold } else { Face::Regular };
    if group.len() == 1 && kind != "readback" && face == Face::Regular {
        let mut out = vec![Run::plain(who.to_string())];
        out.extend(struck(entry, vec![Run::plain(text)], Face::Regular));
        let seconds = after(entry);
        if !seconds.is_empty() {
            out.push(Run::plain(format!(" · {seconds}")));
        }
        return out;
    }
    let each = |e: &&Entry| format!("{} {}", clean(&e.from), after(e)).trim().to_string();
    let all: Vec<String> = group.iter().map(each).filter(|words| !words.is_empty()).collect();
    let mut out = struck(entry, vec![Run { face, ..Run::plain(text) }], face);
    if !all.is_empty() {
        out.push(Run::plain(format!(" · {}", all.join(", "))));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn answer(seq: u64, at_s: f64, from: &str, text: &str) -> Entry {
        Entry {
            seq,
            at_ms: (at_s * 1000.0) as i64,
            kind: "readback".into(),
            from: from.into(),
            text: text.into(),
            of: Some(1),
            after_s: Some(at_s),
            ..Entry::default()
        }
    }

    fn texts(entries: Vec<Entry>) -> Vec<String> {
        let input = LineInput { entries, ..LineInput::default() };
        gather(&input).into_iter().map(|label| format!("{} {}", label.numbers, label.words)).collect()
    }

    #[test]
    fn the_same_answer_within_six_seconds_is_one_label() {
        let got = texts(vec![
            answer(2, 2.1, "rope one", "lower"),
            answer(3, 3.4, "rope two", "lower"),
            answer(4, 4.0, "tailer", "slack"),
            answer(5, 9.5, "edge", "lower"),
        ]);
        assert_eq!(
            got,
            ["2–3 lower · rope one 2.1 s, rope two 3.4 s", "4 slack · tailer 4.0 s", "5 lower · edge 9.5 s"]
        );
    }

    #[test]
    fn a_wrong_readback_stands_alone_and_says_so() {
        let wrong = Entry { wrong: true, ..answer(3, 3.4, "rope two", "raise") };
        let got = texts(vec![answer(2, 2.1, "rope one", "lower"), wrong]);
        assert_eq!(got[1], "3 rope two: “raise”, not as ordered · 3.4 s");
    }

    #[test]
    fn check_ins_that_follow_each_other_are_one_label() {
        let one = |seq: u64, person: &str| Entry {
            seq,
            at_ms: seq as i64 * 60_000,
            kind: "check_in".into(),
            text: person.into(),
            ..Entry::default()
        };
        let got = texts(vec![one(2, "Ada"), one(3, "Bo"), one(4, "Cy")]);
        assert_eq!(got, ["2–4 check-in of 3: Ada, Bo, Cy"]);
    }

    #[test]
    fn a_corrected_order_shows_both() {
        let order = Entry {
            seq: 9,
            hang: Hang::Left,
            kind: "order".into(),
            text: "lower".into(),
            was: Some("lower slow".into()),
            to: vec!["rope one".into()],
            corrected_by: Some(12),
            ..Entry::default()
        };
        let input = LineInput { entries: vec![order], ..LineInput::default() };
        let label = &gather(&input)[0];
        assert_eq!(label.words, "lower slow lower → rope one · corrected by 12");
        assert!(label.lines[0][0].struck && !label.lines[0][1].struck);
    }
}
