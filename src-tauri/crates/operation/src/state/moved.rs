//! What stands against moving the load: flags on the order to move or to test, and on whatever changes the rig under a
//! load that moves. The state that counts is the one the team is on then, not the one that was checked first.

use super::State;
use super::rigs::{AcceptedState, CheckState, RigState};
use crate::flags::Flag;
use crate::motion::Motion;
use crate::step::ZoneName;
use rig::findings::{CheckReport, LossVerdict, StateFindings, Verdict};
use rig::model::{Sliding, State as RigMode};

type Found = (&'static str, Vec<u64>, String);

/// What the load is put to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Going {
    Down,
    Up,
    LoadTest,
}

/// How far a finding departs from what the guidelines ask.
#[derive(Clone, Debug, PartialEq)]
enum Departs {
    /// A part's margin falls short.
    Margin(f64),
    /// A single loss drops the load or overloads a survivor.
    Critical(LossVerdict),
    /// A rule falls short, or one that all others rest on is not checked; as found.
    Rule(Verdict, String),
}

impl Departs {
    /// Whether someone who accepted this has accepted `other` too: the same, or better.
    fn covers(&self, other: &Departs) -> bool {
        match (self, other) {
            (Departs::Margin(a), Departs::Margin(b)) => b >= a,
            (Departs::Critical(a), Departs::Critical(b)) => a <= b,
            (a, b) => a == b,
        }
    }
}

/// A departure: id of the part or rule, its name, how far.
type Departure = (String, String, Departs);

/// The rule that only counts the critical parts: accepted with it, or one by one.
const NO_CRITICAL: &str = "no_single_critical_part";
/// The rule that names the weakest of all parts.
const SAFETY_FACTOR: &str = "safety_factor";

/// Rules without which nothing else that was found means anything.
const FIRST: [&str; 2] = ["load_held", "forces_solved"];

fn name_of(f: &StateFindings, id: &str) -> String {
    let part = f.parts.iter().find(|p| p.id == id).map(|p| p.label.clone());
    let lost = || f.losses.iter().find(|l| l.lost == [id]).map(|l| l.label.clone());
    part.or_else(lost).unwrap_or_else(|| id.replace('_', " "))
}

/// All that falls short, is critical or keeps a state from being judged at all.
fn departures(f: &StateFindings) -> Vec<Departure> {
    let short = f.parts.iter().filter(|p| p.verdict == Verdict::FallsShort);
    let mut list: Vec<Departure> =
        short.map(|p| (p.id.clone(), p.label.clone(), Departs::Margin(p.margin.unwrap_or(0.0)))).collect();
    list.sort_by(|a, b| match (&a.2, &b.2) {
        (Departs::Margin(a), Departs::Margin(b)) => a.total_cmp(b),
        _ => std::cmp::Ordering::Equal,
    });
    for id in &f.critical_parts {
        let own = f.losses.iter().filter(|l| l.lost == [id.as_str()]).map(|l| l.verdict).min();
        let worst = own.unwrap_or(LossVerdict::Dropped);
        list.push((id.clone(), format!("{} is critical", name_of(f, id)), Departs::Critical(worst)));
    }
    for c in &f.checks {
        // What sums up parts that are each named and accepted by themselves is not told twice.
        let short = f.parts.iter().any(|p| p.verdict == Verdict::FallsShort);
        let counted =
            (c.id == NO_CRITICAL && !f.critical_parts.is_empty()) || (c.id == SAFETY_FACTOR && short);
        let unknown = c.verdict == Verdict::NotChecked && FIRST.contains(&c.id.as_str());
        if (c.verdict == Verdict::FallsShort && !counted) || unknown {
            let name = if unknown { format!("{}: not checked", c.rule) } else { c.rule.clone() };
            list.push((c.id.clone(), name, Departs::Rule(c.verdict, c.found.clone())));
        }
    }
    let told = |id: &str| f.checks.iter().any(|c| c.id == id);
    if f.residual_n.is_none() && !told("forces_solved") {
        let what = Departs::Rule(Verdict::NotChecked, String::new());
        list.push(("forces_solved".into(), "forces are not solved: not checked".into(), what));
    }
    if f.hands_off.verdict == Verdict::FallsShort && !told("hands_off") {
        let what = Departs::Rule(Verdict::FallsShort, f.hands_off.words.clone());
        list.push(("hands_off".into(), "hands-off".into(), what));
    }
    list
}

/// Findings of a state; `None` when the check did not look at it.
fn findings_of<'a>(report: &'a CheckReport, state: &str) -> Option<&'a StateFindings> {
    std::iter::once(&report.main).chain(&report.other_states).find(|f| f.state == state)
}

/// Whether an acceptance speaks of this departure. It was given in sight of the state the team was on then, and covers
/// the same finding of another state where that is no worse; what departs in other states alone is covered there.
fn accepts(report: &CheckReport, a: &AcceptedState, (id, _, what): &Departure) -> bool {
    let critical = matches!(what, Departs::Critical(_));
    if a.finding != *id && !(critical && a.finding == NO_CRITICAL) {
        return false;
    }
    let of = |f: &StateFindings| -> Vec<Departs> {
        departures(f).into_iter().filter(|d| d.0 == *id).map(|d| d.2).collect()
    };
    let mut shown = findings_of(report, &a.state).map(of).unwrap_or_default();
    if shown.is_empty() {
        shown = std::iter::once(&report.main).chain(&report.other_states).flat_map(of).collect();
    }
    shown.iter().any(|s| s.covers(what))
}

/// What a stored check says of one state, given these acceptances: how many findings fall short or are critical, how many
/// of those somebody accepted instead, and how many read not checked. A state it did not look at is not checked.
pub(crate) fn standing_of(check: &CheckState, accepted: &[AcceptedState], state: &str) -> (u64, u64, u64) {
    let Some(found) = findings_of(&check.report, state) else { return (0, 0, 1) };
    let of_check = |a: &&AcceptedState| a.check_seq == Some(check.seq);
    let by = |d: &Departure| accepted.iter().filter(of_check).any(|a| accepts(&check.report, a, d));
    // A rule that others rest on is unknown rather than short, and stands among what is not checked.
    let short = |d: &Departure| !matches!(d.2, Departs::Rule(Verdict::NotChecked, _));
    let (taken, open): (Vec<_>, Vec<_>) = departures(found).into_iter().filter(short).partition(by);
    (open.len() as u64, taken.len() as u64, unknown_in(found) as u64)
}

/// How many findings of a state read not checked.
fn unknown_in(f: &StateFindings) -> usize {
    let parts = f.parts.iter().filter(|p| p.verdict == Verdict::NotChecked).map(|p| &p.id);
    let rules = f.checks.iter().filter(|c| c.verdict == Verdict::NotChecked).map(|c| &c.id);
    let all: std::collections::BTreeSet<&String> = parts.chain(rules).chain(&f.unknown_parts).collect();
    let hands_off =
        f.hands_off.verdict == Verdict::NotChecked && f.checks.iter().all(|c| c.id != "hands_off");
    let unsolved = f.residual_n.is_none() && f.checks.iter().all(|c| c.id != "forces_solved");
    all.len() + usize::from(hands_off) + usize::from(unsolved)
}

/// “anchor east, leg 1a and 3 more”.
fn few(names: &[String]) -> String {
    const SHOWN: usize = 5;
    match names.len().checked_sub(SHOWN) {
        Some(more) if more > 1 => format!("{} and {more} more", names[..SHOWN].join(", ")),
        _ => names.join(", "),
    }
}

/// What a check says against one state, in words; `None` when nothing that nobody accepted.
fn against(check: &CheckState, accepted: &[AcceptedState], mode: &RigMode, on: bool) -> Option<String> {
    let which = if on { "which the team is on" } else { "as ordered" };
    let state = format!("in state “{}”, {which}", mode.label);
    let Some(found) = findings_of(&check.report, &mode.id) else {
        return Some(format!("{state}: not checked"));
    };
    let (mut open, mut taken) = (vec![], vec![]);
    for d in departures(found) {
        let by = accepted
            .iter()
            .find(|a| a.check_seq == Some(check.seq) && accepts(&check.report, a, &d))
            .map(|a| a.person.clone());
        match by {
            None => open.push(d),
            Some(by) => taken.push(format!("{} by {by}", d.1)),
        }
    }
    if open.is_empty() {
        return None;
    }
    // A rule is named by what it asks for: “no single part is critical” alone would say the opposite of what was found.
    let words_of = |d: &Departure| match &d.2 {
        Departs::Rule(Verdict::FallsShort, _) => format!("“{}” is not met", d.1),
        _ => d.1.clone(),
    };
    let said = |short: bool| -> Vec<String> {
        open.iter().filter(|d| matches!(d.2, Departs::Margin(_)) == short).map(words_of).collect()
    };
    let (parts, others) = (said(true), said(false));
    let mut words = Vec::new();
    match parts.len() {
        0 => {}
        1 => words.push(format!("{} falls short", parts[0])),
        n => words.push(format!("{n} parts fall short: {}", few(&parts))),
    }
    words.extend(others);
    if !taken.is_empty() {
        words.push(format!("accepted: {}", few(&taken)));
    }
    Some(format!("{state}: {}", words.join("; ")))
}

/// The states a movement puts the rig in beside the one in use, and what to say when the rig has none for it.
fn asked_for<'a>(
    r: &'a RigState,
    going: Going,
    load_test: &[String],
) -> (Vec<&'a RigMode>, Option<&'static str>) {
    let states = &r.rig.states;
    let wanted: Box<dyn Fn(&RigMode) -> bool> = match going {
        Going::Down => Box::new(|s| s.motion == Sliding::Lowering),
        Going::Up => Box::new(|s| s.motion == Sliding::Raising),
        Going::LoadTest => Box::new(|s| {
            let named = [s.id.replace('_', " "), s.label.to_lowercase()];
            load_test.iter().any(|w| named.iter().any(|n| n.contains(w.as_str())))
        }),
    };
    if states.iter().any(|s| s.id == r.state && wanted(s)) {
        return (vec![], None);
    }
    let others: Vec<&RigMode> = states.iter().filter(|s| s.id != r.state && wanted(s)).collect();
    let none = match going {
        _ if !others.is_empty() => None,
        Going::Down => Some("the rig has no state in which it lowers: not checked"),
        Going::Up => Some("the rig has no state in which it raises: not checked"),
        // A load test hangs the load on the rig as it is.
        Going::LoadTest => None,
    };
    (others, none)
}

impl State {
    /// What the last check of the rig says against this movement, in words.
    fn failing(&self, r: &RigState, check: &CheckState, going: Going) -> Option<String> {
        let in_use = r.rig.states.iter().find(|s| s.id == r.state);
        let (others, none) = asked_for(r, going, &self.guidelines.words.load_test);
        let mut said: Vec<String> = match in_use {
            Some(s) => against(check, &r.accepted, s, true).into_iter().collect(),
            None => vec!["the rig has no state that the team is on: not checked".into()],
        };
        said.extend(others.into_iter().filter_map(|s| against(check, &r.accepted, s, false)));
        said.extend(none.map(str::to_string));
        (!said.is_empty()).then(|| said.join("; "))
    }

    /// How much of the state in use nobody knows, for whoever moves unsigned.
    fn unknown(r: &RigState, check: &CheckState) -> String {
        let Some(f) = findings_of(&check.report, &r.state) else { return "; not checked".into() };
        let parts = f.parts.iter().filter(|p| p.verdict == Verdict::NotChecked).map(|p| &p.id);
        let rules = f.checks.iter().filter(|c| c.verdict == Verdict::NotChecked).map(|c| &c.id);
        let all: std::collections::BTreeSet<&String> = parts.chain(rules).chain(&f.unknown_parts).collect();
        match all.len() {
            0 => String::new(),
            n => format!("; {n} of its findings read not checked"),
        }
    }

    fn rig_flags(&self, seq: u64, going: Going, so: &str, found: &mut Vec<Found>) {
        // Signatures follow a load test: none is asked for before it.
        let signs = going != Going::LoadTest;
        let Some(r) = self.rig_now() else {
            let words = format!("{so} and no rig was entered: not checked");
            return found.push(("moved_unsigned", vec![seq], words));
        };
        let check = match r.checks.last() {
            Some(check) if !r.stale() => check,
            last => {
                let why = if last.is_none() {
                    "the rig was never checked: not checked"
                } else {
                    "the rig was changed and not checked again"
                };
                let mut entries = vec![r.seq, seq];
                entries.dedup();
                found.push(("rig_changed_since_check", entries, format!("{so}; {why}")));
                if signs {
                    let words = format!("{so} on a rig that nobody signed as it is");
                    found.push(("moved_unsigned", vec![seq], words));
                }
                return;
            }
        };
        if signs && r.signatures_that_stand().is_empty() {
            let words = format!("{so} on a rig that nobody signed{}", Self::unknown(r, check));
            found.push(("moved_unsigned", vec![seq], words));
        }
        if let Some(why) = self.failing(r, check, going) {
            found.push((
                "moved_on_failing_check",
                vec![check.seq, seq],
                format!("{so} on check {}: {why}", check.seq),
            ));
        }
    }

    fn raise_all(&mut self, found: Vec<Found>) {
        self.raised.extend(found.into_iter().map(|(id, entries, words)| Flag { id, entries, words }));
    }

    /// What stands against a load test, as flags on its order.
    pub(super) fn load_test_flags(&mut self, seq: u64) {
        let mut found = vec![];
        self.rig_flags(seq, Going::LoadTest, "a load test was ordered", &mut found);
        self.raise_all(found);
    }

    /// The rig, its state or its check changed in entry `seq`: under a load that moves it is flagged there, for no
    /// order to move may follow.
    pub(super) fn rig_changed(&mut self, seq: u64, name: &str, checked: bool) {
        let going = match self.motion {
            Motion::Lowering => Going::Down,
            Motion::Raising => Going::Up,
            Motion::UnderLoadTest => Going::LoadTest,
            _ => return,
        };
        if self.rig_in_use.as_deref() != Some(name) {
            return;
        }
        let so = match going {
            Going::Down => "the load was being lowered",
            Going::Up => "the load was being raised",
            Going::LoadTest => "the load test was on",
        };
        let mut found: Vec<Found> = vec![];
        self.rig_flags(seq, going, so, &mut found);
        // The check that was missing is this one; who signs it comes after it.
        found.retain(|f| !checked || f.0 == "moved_on_failing_check");
        for f in &mut found {
            f.1.dedup();
        }
        self.raise_all(found);
    }

    /// What stands against an order to move, as flags on that order.
    pub(super) fn movement_flags(&mut self, seq: u64, up: bool) {
        let mut found: Vec<Found> = vec![];
        for role in self.roles_needed().into_iter().filter(|r| self.holder(r).is_empty()) {
            found.push((
                "role_vacant",
                vec![seq],
                format!("the load was ordered to move with no {role}, which the rig asks for"),
            ));
        }
        let going = if up { Going::Up } else { Going::Down };
        self.rig_flags(seq, going, "the load was ordered to move", &mut found);
        for p in self.in_zone(ZoneName::Drop) {
            // Who works at the bottom of a raise or the end of a lower is still below the load.
            found.push((
                "drop_zone_occupied",
                vec![seq],
                format!(
                    "{} is in the drop zone while the load {}",
                    p.name,
                    if up { "goes up" } else { "comes down" }
                ),
            ));
        }
        for (taken, role, who) in self.not_confirmed() {
            let words = format!(
                "ordered to move before {who} had said a word as {role}, taken over in entry {taken}"
            );
            found.push(("role_not_ready", vec![taken, seq], words));
        }
        if let Some(of) = self.unequal {
            found.push(("unequal_tension", vec![of, seq], "slack was called and not yet “equal”".into()));
        }
        if let Some(l) = self.loops.iter().rev().take(12).find(|l| l.ready) {
            let silent: Vec<String> = l.waits.iter().filter(|w| w.waits()).map(|w| w.role.clone()).collect();
            if !silent.is_empty() {
                found.push((
                    "role_not_ready",
                    vec![l.seq, seq],
                    format!("ordered to move before {} had answered “{}”", silent.join(", "), l.text),
                ));
            }
        }
        self.raise_all(found);
        self.roll_call_flag(seq);
        self.given_flag(seq);
        let to = if up { Motion::Raising } else { Motion::Lowering };
        if let Some((ordered, words)) = crate::change_over::skipped(self, to) {
            self.raise("change_over_skipped", vec![ordered, seq], words);
        }
    }
}
