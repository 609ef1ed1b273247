//! The free line: what is typed becomes candidates for steps, best guess first, “note” always last.
//!
//! `2` alone: rope two reads back, as ordered, the oldest order it has not, since the last it did (while stopping: reports stopped). `2 rs`: said “raise slow”. `e rdy`: edge attendant
//! reports ready. What a person says is a readback only of the newest open order that it resembles, else a report. `c lower`: control orders both operators; `c>e edge clear?`: control to the edge attendant. `w2`: a whistle, two blasts; `w*`: one without end. `e stop`: STOP
//! called by the edge attendant. `14:02 …`, `-2m …` before any of these: a late entry. Short words complete ([`crate::short`]), led by what makes sense now.

use crate::meant::{Meant, asks_answer, meant};
use crate::motion::Motion;
use crate::short;
use crate::state::{Loop, State};
use crate::step::{Act, Order, Reply, Report, Signal, clock_time};
use crate::suggest::{ORDER_KEYS, leading};
use crate::words::{commands, metres};
use chrono::{DateTime, Duration, FixedOffset};
use serde_json::{Value, json};

/// A candidate.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// Quiet words ("edge attendant to control:").
    pub who: String,
    /// Bold words ("ready").
    pub text: String,
    /// The step as JSON.
    pub step: Value,
    /// What the scribe should know before it is recorded: a time that cannot be one. Empty: nothing.
    pub doubt: String,
}

/// Splits a leading time off: `14:02[:05] …`, `-2m …`, `-30s …`.
fn late(text: &str, now: DateTime<FixedOffset>) -> (Option<DateTime<FixedOffset>>, &str) {
    let (head, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    if let Some(seconds) = clock_time(head) {
        let midnight =
            now.date_naive().and_hms_opt(0, 0, 0).and_then(|m| m.and_local_timezone(*now.offset()).single());
        let at = midnight
            .map(|m| m + Duration::seconds(seconds))
            .map(|t| if t > now + Duration::hours(1) { t - Duration::days(1) } else { t });
        return (at, rest.trim_start());
    }
    if let Some(body) = head.strip_prefix('-')
        && let Some(unit) = body.chars().last()
        && let Ok(n) = body[..body.len() - unit.len_utf8()].parse::<u32>()
    {
        let back = match unit {
            's' => Duration::seconds(i64::from(n)),
            'm' => Duration::minutes(i64::from(n)),
            'h' => Duration::hours(i64::from(n)),
            _ => return (None, text),
        };
        if back <= Duration::days(LONGEST_AGO_DAYS) {
            return (Some(now - back), rest.trim_start());
        }
    }
    (None, text)
}

/// What happened longer ago than an operation can last was not meant so.
const LONGEST_AGO_DAYS: i64 = 31;

/// Words for a line that begins as a late entry does, with a time that cannot be read as one: it is recorded as it was
/// said, and the scribe is told. “3:1” is a haul system, not a time.
fn no_time(typed: &str) -> String {
    let head = typed.split(char::is_whitespace).next().unwrap_or("");
    let figures =
        |t: &str, most: usize| (1..=most).contains(&t.len()) && t.bytes().all(|b| b.is_ascii_digit());
    let parts: Vec<&str> = head.split(':').collect();
    let clock = (2..=3).contains(&parts.len())
        && parts.iter().all(|p| figures(p, 4))
        && (parts.len() == 3 || parts[1].len() >= 2);
    let ago = head.strip_prefix('-').is_some_and(|t| {
        let figures = t.trim_end_matches(|c: char| c.is_ascii_alphabetic());
        !figures.is_empty() && t.len() - figures.len() <= 3 && figures.bytes().all(|b| b.is_ascii_digit())
    });
    if clock {
        format!("“{head}” is no time of day: recorded as said, with the time it is entered")
    } else if ago {
        format!(
            "“{head}” is no length of time (-30s, -2m, -1h): recorded as said, with the time it is entered"
        )
    } else {
        String::new()
    }
}

/// Candidates for what is typed.
pub fn candidates(state: &State, typed: &str, now: DateTime<FixedOffset>) -> Vec<Candidate> {
    let typed = typed.trim();
    if typed.is_empty() {
        return nothing_typed(state);
    }
    let (happened, rest) = late(typed, now);
    let doubt = if happened.is_none() { no_time(typed) } else { String::new() };
    let mut list = acts(state, rest);
    list.push(note(rest));
    let mut out: Vec<Candidate> = vec![];
    for (who, text, act) in list {
        let Ok(mut step) = serde_json::to_value(&act) else { continue };
        if let (Some(t), Some(map)) = (happened, step.as_object_mut()) {
            map.insert("happened".into(), json!(t.to_rfc3339_opts(chrono::SecondsFormat::Secs, false)));
        }
        let who = match happened {
            Some(t) => format!("{} {who}", t.format("%H:%M:%S")),
            None => who,
        };
        if !out.iter().any(|c| c.step == step) {
            out.push(Candidate { who, text, step, doubt: state.doubt(&doubt, &act) });
        }
    }
    out.truncate(5);
    out
}

type Guess = (String, String, Act);

/// The call the scribe most likely waits for.
fn nothing_typed(state: &State) -> Vec<Candidate> {
    let mut out = vec![];
    for role in state.guidelines.roles.iter().map(|r| r.role.clone()) {
        let Some((who, text, act)) = answer(state, &role) else { continue };
        if let Ok(step) = serde_json::to_value(&act) {
            out.push(Candidate { who, text, step, doubt: String::new() });
        }
    }
    out.truncate(3);
    out
}

/// The order that a role alone reads back: the oldest open one since the last that it read back, because what is older is no
/// longer what it acts on; else the oldest. Of an order that was given again in the same words, the last.
fn next_open<'a>(state: &'a State, role: &str) -> Option<&'a Loop> {
    let waits = |l: &&Loop| !l.stop && l.waits.iter().any(|w| w.role == role && w.waits());
    let open: Vec<&Loop> = state.open_loops().filter(waits).collect();
    let oldest = *open.first()?;
    let when = |l: &Loop| (l.at_ms, l.seq);
    let did = |l: &&Loop| !l.stop && l.waits.iter().any(|w| w.role == role && w.done.is_some());
    let since = state.loops.iter().rev().take_while(|l| when(l) > when(oldest)).find(did).map(when);
    let next = open.iter().find(|l| since.is_none_or(|since| when(l) > since)).unwrap_or(&oldest);
    open.iter().rev().find(|l| l.text.eq_ignore_ascii_case(&next.text)).copied()
}

/// What a role alone means: stopped while stopping, else the oldest open order as ordered.
fn answer(state: &State, role: &str) -> Option<Guess> {
    let report = |text: &str| -> Guess {
        (
            format!("{role}:"),
            text.into(),
            Act::Report(Report { from: role.into(), text: text.into(), metres: None }),
        )
    };
    if state.motion == Motion::Stopping
        && state.stops.last().is_some_and(|s| s.silent().iter().any(|r| r == role))
    {
        return Some(report("stopped"));
    }
    let l = next_open(state, role)?;
    let of = state.at(l.seq)?.id.to_string();
    if crate::words::asks(&l.text) || l.text.to_lowercase().contains("roll call") {
        return Some((
            format!("{role}:"),
            "ready".into(),
            Act::Answer(Reply { from: role.into(), of, text: "ready".into() }),
        ));
    }
    if l.text.to_lowercase().contains("radio check") {
        return Some((
            format!("{role}:"),
            "loud and clear".into(),
            Act::Answer(Reply { from: role.into(), of, text: "loud and clear".into() }),
        ));
    }
    Some((
        format!("{role} reads back:"),
        l.text.clone(),
        Act::Readback(Reply { from: role.into(), of, text: l.text.clone() }),
    ))
}

fn note(text: &str) -> Guess {
    let report = Report { from: "scribe".into(), text: text.into(), metres: None };
    ("note:".into(), text.into(), Act::Note(report))
}

fn whistle(state: &State, head: &str) -> Option<Guess> {
    if head == "w*" {
        let meaning =
            state.guidelines.whistle.get("continuous").map_or("no meaning in the guidelines", |m| m);
        let text = Some(format!("continuous: {meaning}"));
        let act = Act::Signal(Signal { from: "unknown".into(), count: None, text });
        return Some(("whistle, continuous:".into(), meaning.into(), act));
    }
    let n: u32 = head.strip_prefix('w')?.parse().ok().filter(|n| (1..=9).contains(n))?;
    let meaning = state
        .guidelines
        .whistle
        .get(&n.to_string())
        .cloned()
        .unwrap_or_else(|| "no meaning in the guidelines".into());
    Some((
        format!("whistle, {n}:"),
        meaning,
        Act::Signal(Signal { from: "unknown".into(), count: Some(n), text: None }),
    ))
}

fn acts(state: &State, text: &str) -> Vec<Guess> {
    let (head, rest) = text.split_once(char::is_whitespace).map_or((text, ""), |(h, r)| (h, r.trim()));
    if let Some(w) = whistle(state, head) {
        let mut w = w;
        if let (Act::Signal(s), Some(role)) =
            (&mut w.2, state.guidelines.role(rest).filter(|_| !rest.is_empty()))
        {
            s.from.clone_from(&role.role);
            w.0 = format!("{}, {}", role.role, w.0);
        }
        return vec![w];
    }
    let (code, to) = head.split_once('>').map_or((head, None), |(c, t)| (c, Some(t)));
    if code == "*" {
        return everyone(state, rest);
    }
    let Some(role) =
        state.guidelines.roles.iter().find(|r| r.code == code || r.role == code).map(|r| r.role.clone())
    else {
        return plain(state, text);
    };
    if role == "control" || to.is_some() {
        return orders(state, &role, to, &short::said(rest, &leading(state, "control")));
    }
    if rest.is_empty() {
        return answer(state, &role).into_iter().collect();
    }
    said(state, &role, &short::said(rest, &leading(state, &role)))
}

/// Orders of `role`, in each of the wordings.
fn orders(state: &State, role: &str, to: Option<&str>, wordings: &[String]) -> Vec<Guess> {
    let order = |text: &String| -> Option<Guess> {
        let to = recipients(state, to, text);
        if to.is_empty() {
            return None;
        }
        let names: Vec<&str> = to.iter().map(|r| state.guidelines.short(r)).collect();
        let who = format!("{role} to {}:", names.join(", "));
        let act = Act::Order(Order { from: role.into(), to, text: text.clone(), cause: None });
        Some((who, text.clone(), act))
    };
    wordings.iter().filter_map(order).collect()
}

/// Whom an order of these words is for: whom was named, else whom such an order concerns.
fn recipients(state: &State, to: Option<&str>, text: &str) -> Vec<String> {
    let both = vec!["rope one operator".to_string(), "rope two operator".to_string()];
    let stop = commands(text, &state.guidelines.words.stop);
    match to {
        Some("*") => vec!["all".into()],
        Some(codes) => codes
            .split(',')
            .filter(|c| !c.trim().is_empty())
            .map(|c| state.guidelines.role(c).map_or(c.to_string(), |r| r.role.clone()))
            .collect(),
        None if stop || text.contains("roll call") || text.contains("radio check") => vec!["all".into()],
        None if commands(text, &state.guidelines.words.raise) && !state.holder("haul team").is_empty() => {
            let mut list = vec!["haul team".to_string()];
            list.extend(both);
            list
        }
        None => both,
    }
}

/// What `role` said, the likeliest wording first, the typed one last.
fn said(state: &State, role: &str, wordings: &[String]) -> Vec<Guess> {
    let (Some(whole), Some(typed)) = (wordings.first(), wordings.last()) else { return vec![] };
    let mut list: Vec<Guess> = vec![];
    if commands(whole, &state.guidelines.words.stop) {
        let act =
            Act::Order(Order { from: role.into(), to: vec!["all".into()], text: whole.clone(), cause: None });
        list.push((format!("{role} to all:"), whole.clone(), act));
    }
    let report = |text: &str| -> Guess {
        (
            format!("{role} to control:"),
            text.into(),
            Act::Report(Report { from: role.into(), text: text.into(), metres: metres(text) }),
        )
    };
    let first: &str = if metres(typed).is_some() { typed } else { whole };
    // Calling a stop or metres is never a readback; what else is said may belong to an open order.
    let told = if metres(first).is_none() && list.is_empty() {
        meant(state, role, first)
    } else {
        Meant::Report(None)
    };
    let reply = |l: &Loop| -> Option<Guess> {
        let of = state.at(l.seq)?.id.to_string();
        let reply = Reply { from: role.into(), of, text: first.into() };
        Some(if asks_answer(&l.text) {
            (format!("{role} answers:"), first.into(), Act::Answer(reply))
        } else {
            (format!("{role} reads back:"), first.into(), Act::Readback(reply))
        })
    };
    match told {
        Meant::Readback(l) | Meant::Answer(l) => {
            list.extend(reply(l));
            list.push(report(first));
        }
        Meant::Report(l) => {
            list.push(report(first));
            list.extend(l.and_then(reply));
        }
    }
    list.extend(wordings.iter().filter(|one| *one != first).map(|one| report(one)));
    list
}

fn everyone(state: &State, rest: &str) -> Vec<Guess> {
    orders(state, "control", Some("*"), &short::said(rest, &leading(state, "control")))
}

/// Words without a code before them: an order of control where they are one. “Rock” alone is not taken for the order: it
/// is shouted where stones fall.
fn plain(state: &State, text: &str) -> Vec<Guess> {
    let wordings = short::said(text, &leading(state, "control"));
    let Some(whole) = wordings.first() else { return vec![] };
    let w = &state.guidelines.words;
    if commands(whole, &w.stop) {
        return orders(state, "control", Some("*"), std::slice::from_ref(whole));
    }
    let key = whole != "rock" && ORDER_KEYS.iter().any(|(_, order)| order == whole);
    if key || commands(whole, &w.lower) || commands(whole, &w.raise) || commands(whole, &w.load_test) {
        return orders(state, "control", None, std::slice::from_ref(whole));
    }
    match metres(text) {
        Some(m) => vec![(
            "litter attendant to control:".into(),
            text.into(),
            Act::Report(Report { from: "litter attendant".into(), text: text.into(), metres: Some(m) }),
        )],
        None => vec![],
    }
}

#[cfg(test)]
mod tests {
    use super::State;
    use chrono::DateTime;

    #[test]
    fn a_time_that_cannot_be_one_is_told_and_what_was_said_is_recorded_whole() {
        let now = DateTime::parse_from_rfc3339("2026-05-14T14:10:00+02:00").unwrap();
        let state = State::default();
        let told = |typed: &str| {
            let list = super::candidates(&state, typed, now);
            let first = list.first().cloned().unwrap();
            (first.doubt, first.step["happened"].as_str().is_some(), first.step["text"].clone())
        };
        for typed in [
            "3:99 rope rubs",
            "24:00 x",
            "14:02:61 x",
            "12:345 x",
            "-5 x",
            "-5x x",
            "-4294967295h x",
            "-99999999999m x",
        ] {
            let (doubt, late, text) = told(typed);
            let head = typed.split(' ').next().unwrap();
            assert!(doubt.starts_with(&format!("“{head}” is no ")), "{typed}: {doubt}");
            assert!(!late && text == typed, "{typed}: {text}");
        }
        for typed in ["14:02 x", "9:05:07 x", "-5m x", "-30s x", "-2h x"] {
            let (doubt, late, text) = told(typed);
            assert!(doubt.is_empty() && late && text == "x", "{typed}: {doubt}");
        }
        for typed in ["3:1 rigged", "9:1", "rope rubs", "- clear", "a:b", "ratio 3:99", "-", ":"] {
            assert_eq!(told(typed).0, "", "{typed}");
        }
    }
}
