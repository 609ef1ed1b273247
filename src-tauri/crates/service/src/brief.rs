//! The brief as the report prints it: what had been agreed when it was read out, by whom and when, and what became of it later.

use operation::state::{Kept, State};
use operation::step::Purpose;
use operation::{Entry, Payload};
use report::input::{Brief, BriefLine, BriefRead, BriefRole};
use rig::guidelines::Guidelines;

/// What a call begins with that says the brief was read out, in lower case. Common practice, no source.
const READ: [&str; 5] = ["brief read", "brief given", "brief held", "briefing given", "briefing held"];
/// What is agreed at the brief, in the order it is read out: the head of a size-up note, and how the page names it.
const AGREED: [(&str, &str); 7] = [
    ("objective", "Objective"),
    ("patient", "Patient"),
    ("plan", "Plan"),
    ("hazards", "Hazards"),
    ("channel", "Channel"),
    ("signals", "Signals"),
    ("abort", "Abort"),
];

/// The brief of an operation. `entries` are all of the record, `state` is what they come to.
pub(crate) fn of(entries: &[Entry], state: &State) -> Brief {
    let read: Vec<BriefRead> = state.happened().iter().filter_map(|seq| reading(state.at(*seq)?)).collect();
    // As it was read out: from the entries that stood then, later corrections not counted.
    let then = read.iter().map(|read| read.seq).min().map(|seq| {
        let before: Vec<Entry> = entries.iter().filter(|entry| entry.seq <= seq).cloned().collect();
        State::replay(Guidelines::defaults(), &before)
    });
    let was = then.as_ref().unwrap_or(state);
    Brief { read, lines: lines(was, state), roles: roles(was) }
}

/// A call that says that the brief was read out.
fn reading(kept: &Kept) -> Option<BriefRead> {
    let call = match kept.now.as_deref()? {
        Payload::Readback(_) => return None,
        payload => payload.call()?,
    };
    let said = call.text.trim().to_lowercase();
    if !READ.iter().any(|words| said.starts_with(words)) {
        return None;
    }
    let by = match call.from_people.as_slice() {
        [] => call.from.clone(),
        people => format!("{} ({})", call.from, people.join(", ")),
    };
    Some(BriefRead { seq: kept.seq, at_ms: kept.told_ms, by, words: call.text.trim().to_string() })
}

fn lines(was: &State, is: &State) -> Vec<BriefLine> {
    let mut out: Vec<BriefLine> = AGREED.iter().map(|(name, head)| agreed(was, is, name, head)).collect();
    let rig = was.rig_in_use.clone().unwrap_or_default();
    out.insert(3, BriefLine { words: rig, ..line("Rig") });
    let rules = &was.guidelines;
    let blasts = |n: &str| match n {
        "1" => "1 blast".to_string(),
        n if n.chars().all(|c| c.is_ascii_digit()) => format!("{n} blasts"),
        n => n.to_string(),
    };
    let code: Vec<String> =
        rules.whistle.iter().map(|(n, means)| format!("{}: {means}", blasts(n))).collect();
    let by_guidelines = "from the guidelines";
    out.push(BriefLine { words: code.join("; "), note: by_guidelines.into(), ..line("Whistle") });
    let mut lost = agreed(was, is, "lost communications", "Lost communications");
    if lost.words.is_empty() {
        lost.note = format!("{by_guidelines}; not agreed here");
    }
    let silent = rules.people.lost_communications_s.value;
    lost.words = format!("after {silent} s of silence: {}", was.lost_communications_act());
    out.push(lost);
    if was.facts.purpose == Some(Purpose::Drill) {
        let words = format!("a real emergency is called: “{}”", rules.people.real_emergency.words);
        out.push(BriefLine { words, note: by_guidelines.into(), ..line("In earnest") });
    }
    let words = format!("every {} min, and on events", rules.par_min.value);
    out.push(BriefLine { words, note: by_guidelines.into(), ..line("PAR") });
    let stop = "anyone, at once, by any means; each operator answers “stopped”; only control resumes, with the cause said; \
                roll call before moving and after each stop";
    out.push(BriefLine { words: stop.into(), note: "as the brief’s page has it".into(), ..line("Stop") });
    out
}

fn line(head: &str) -> BriefLine {
    BriefLine { head: head.into(), ..BriefLine::default() }
}

/// What was agreed under a name, and what it became since.
fn agreed(was: &State, is: &State, name: &str, head: &str) -> BriefLine {
    let (then, now) = (was.size_up.get(name), is.size_up.get(name));
    let words = then.map(|m| m.words.clone()).unwrap_or_default();
    let changed = now.filter(|now| now.words != words);
    BriefLine {
        words,
        seq: then.map(|m| m.seq),
        later: changed.map(|now| now.words.clone()).unwrap_or_default(),
        later_seq: changed.map(|now| now.seq),
        ..line(head)
    }
}

/// Roles that were needed or held, in the guidelines' order, then the others.
fn roles(was: &State) -> Vec<BriefRole> {
    let needed = was.roles_needed();
    let mut names: Vec<String> = was.guidelines.roles.iter().map(|role| role.role.clone()).collect();
    names.extend(was.duties.iter().map(|duty| duty.role.clone()));
    let mut out: Vec<BriefRole> = Vec::new();
    for role in names {
        let people: Vec<String> = was
            .duties
            .iter()
            .filter(|d| d.role == role && d.to_ms.is_none())
            .map(|d| d.person.clone())
            .collect();
        let wanted = !people.is_empty() || needed.contains(&role);
        if wanted && !out.iter().any(|known| known.role == role) {
            out.push(BriefRole { role, people });
        }
    }
    out
}
