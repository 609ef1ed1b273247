//! What page 1 says: the outcome, the facts, the stops, the rigs, from what was entered and stored.

use super::rigs;
use crate::input::{Finding, ReportInput, RigChapter, Signed, Stop, StoredCheck};
use crate::kit::Rich;
use crate::kit::rich::cut;
use crate::words::{self, Clock};
use drawing::words::ratio;
use drawing::{Face, Mark, size};
use rig::findings::{LossVerdict, PartFinding, StateFindings, Verdict};
use rig::units::Units;
use std::collections::BTreeMap;

/// The findings that page 1 chooses from, in the order in which it takes them: departures, of each kind one before a second of
/// any; then what was good. What someone set aside stands with all the others among the measures.
pub struct Standing<'a> {
    departs: Vec<&'a Finding>,
    good: Vec<&'a Finding>,
    /// How many there are of a kind.
    of_kind: BTreeMap<(bool, &'a str), usize>,
}

impl<'a> Standing<'a> {
    pub fn of(findings: &'a [Finding]) -> Self {
        let mut of_kind = BTreeMap::new();
        let mut turns: Vec<(usize, &Finding)> = Vec::new();
        for finding in findings.iter().filter(|f| !f.set_aside) {
            let n: &mut usize = of_kind.entry((finding.departs, finding.kind.as_str())).or_default();
            *n += 1;
            // Findings that name no kind are each of their own.
            turns.push((if finding.kind.is_empty() { 1 } else { *n }, finding));
        }
        turns.sort_by_key(|(n, finding)| (*n, finding.turn));
        let (departs, good) = turns.into_iter().map(|(_, finding)| finding).partition(|f| f.departs);
        Standing { departs, good, of_kind }
    }

    /// At most so many of them, the last place for something that was good, when there is any. With each, how many of its kind
    /// are not among the chosen.
    pub fn chosen(&self, most: usize) -> Vec<(&'a Finding, usize)> {
        let kept = if self.good.is_empty() || most < 2 { most } else { most - 1 };
        let mut out: Vec<&Finding> = self.departs.iter().copied().take(kept).collect();
        out.extend(self.good.iter().take(most - out.len()));
        let of = |a: &Finding| out.iter().filter(|b| (b.departs, &b.kind) == (a.departs, &a.kind)).count();
        let all = |a: &Finding| self.of_kind.get(&(a.departs, a.kind.as_str())).copied().unwrap_or(0);
        let more = |f: &Finding| if f.kind.is_empty() { 0 } else { all(f) - of(f) };
        out.iter().map(|f| (*f, more(f))).collect()
    }
}

/// "16:07 roller shifted, 2 min 38 s"; the cause gets up to `room` mm, all it needs when there is no such.
pub fn stop_words(stop: &Stop, clock: Clock, room: Option<f64>) -> String {
    let cause = if stop.cause.is_empty() { "no reason said" } else { stop.cause.as_str() };
    let cause = room.map_or_else(|| cause.to_string(), |room| cut(cause, room, size::S, Face::Regular));
    let held = stop.held_s.map_or("did not move again".into(), drawing::moment::duration);
    format!("{} {cause}, {held}", clock.hm(stop.at_ms))
}

/// What came of it, in a sentence or two, from what was entered and nothing else.
pub fn outcome(input: &ReportInput, clock: Clock) -> Rich {
    let mut text = Rich::new();
    if input.operation.drill {
        text = text.plain("Drill. ");
    }
    let at = clock.hm(input.record.last_ms);
    if let Some(missing) = input.record.missing.first() {
        text = text.rubric(format!("Not whole: {missing}. "));
    } else if input.operation.closed_ms.is_none() {
        text = text.rubric(format!("Not closed yet: this is the record as of {at}. "));
    }
    if let Some(words) = emergency_words(input, clock) {
        text = text.rubric(words);
    }
    let patient = patient_words(input, clock);
    // How it ended for the load is told too, unless the patient's way says that it came to its end.
    if patient.is_none() || !landed(input) {
        text = text.plain(motion_words(input, clock));
    }
    if let Some(words) = patient {
        let gap = if landed(input) { "" } else { " " };
        text = text.plain(gap).plain(words);
    }
    match input.review.pars.last() {
        Some(par) => {
            let of = par.of.map_or(String::new(), |of| format!(" of {of}"));
            text.plain(format!(" {}{of} accounted for at {}.", par.count, clock.hm(par.at_ms)))
        }
        // What is missing may tell of one.
        None if !input.record.missing.is_empty() => text.plain(" No roll call is in what is left."),
        None => text.plain(" No roll call was recorded."),
    }
}

/// "The patient was reached at 16:21, packaged at 16:36 and handed over at 17:21."
fn patient_words(input: &ReportInput, clock: Clock) -> Option<String> {
    if input.patient.is_empty() {
        return None;
    }
    let mut marks: Vec<String> = Vec::new();
    for mark in input.patient.iter().rev().take(4).rev() {
        marks.push(format!("{} at {}", words::head(&mark.words), clock.hm(mark.at_ms)));
    }
    Some(format!("The patient was {}.", words::list(&marks)))
}

/// Most words of a call that the first lines of page 1 repeat, in characters.
const REPEATED: usize = 120;

/// "Emergency at 13:11: “stop, emergency, the litter has dropped” (edge attendant). "
fn emergency_words(input: &ReportInput, clock: Clock) -> Option<String> {
    let mut calls = input.review.stops.iter().filter(|stop| stop.emergency);
    let first = calls.next()?;
    let mut said: String = first.text.chars().take(REPEATED).collect();
    if said.len() < first.text.len() {
        said.push('…');
    }
    // A call of “stop” alone says nothing; why it was called does.
    let said =
        if said.trim().chars().count() > 8 || first.cause.is_empty() { said } else { first.cause.clone() };
    let more = match calls.count() {
        0 => String::new(),
        n => format!(", and {n} more"),
    };
    Some(format!("Emergency at {}: “{}” ({}){more}. ", clock.hm(first.at_ms), said.trim(), first.from))
}

/// Whether the load moved and came to the ground or the top after that.
fn landed(input: &ReportInput) -> bool {
    let of = |wanted: &dyn Fn(&str) -> bool| input.spans.iter().rposition(|span| wanted(&span.motion));
    match of(&|motion| matches!(motion, "lowering" | "raising")) {
        None => true,
        Some(moved) => of(&|motion| motion == "landed").is_some_and(|landed| landed > moved),
    }
}

/// "The load was lowered from 15:58 and landed at 16:21."
fn motion_words(input: &ReportInput, clock: Clock) -> String {
    let first = |motion: &str| input.spans.iter().find(|s| s.motion == motion);
    let last = |motion: &str| input.spans.iter().rev().find(|s| s.motion == motion);
    let mut said: Vec<String> = Vec::new();
    if let Some(span) = first("lowering") {
        said.push(format!("lowered from {}", clock.hm(span.from_ms)));
    }
    if let Some(span) = first("raising") {
        said.push(format!("raised from {}", clock.hm(span.from_ms)));
    }
    if said.is_empty() {
        let whole = input.record.missing.is_empty();
        return if whole {
            "The load was not moved.".into()
        } else {
            "No movement of the load is in what is left.".into()
        };
    }
    let ended = input.spans.last().map_or("", |span| span.motion.as_str());
    if landed(input) {
        said.extend(last("landed").map(|span| format!("landed at {}", clock.hm(span.from_ms))));
    } else if let Some(word) =
        [("tied_off", "tied off"), ("stopped", "stopped"), ("stopping", "told to stop")]
            .into_iter()
            .find_map(|(motion, word)| (motion == ended).then_some(word))
    {
        said.extend(last(ended).map(|span| format!("{word} at {}", clock.hm(span.from_ms))));
        return format!("The load was {}; that it landed is not in the record.", words::list(&said));
    }
    format!("The load was {}.", words::list(&said))
}

/// What is said where there is no finding: of a record that holds next to nothing this says little, and it says so.
pub fn nothing_found(input: &ReportInput) -> &'static str {
    let ordered = input.log.iter().any(|row| row.kind == "order");
    let moved = input.spans.iter().any(|span| matches!(span.motion.as_str(), "lowering" | "raising"));
    if ordered || moved {
        "Nothing in the record departs from the guidelines."
    } else {
        "The record holds no order and no movement: nothing in it departs from the guidelines."
    }
}

/// What came of the review: gear that is out of use, and what someone says is to be changed; each with its entry.
pub fn to_change(input: &ReportInput) -> Vec<(Rich, u64)> {
    let gear = input.out_of_use.iter().map(|gear| {
        (Rich::new().bold(format!("Out of use: {}", gear.gear)).plain(format!(": {}", gear.reason)), gear.seq)
    });
    let lessons = input.lessons.iter().filter(|lesson| lesson.change).map(|lesson| {
        let when = lesson.by_when.trim();
        let when = if when.is_empty() { String::new() } else { operation::review::due_words(when) };
        let due: Vec<&str> =
            [lesson.who.trim(), when.as_str()].into_iter().filter(|word| !word.is_empty()).collect();
        let due = if due.is_empty() { String::new() } else { format!(" ({})", due.join(", ")) };
        (Rich::new().bold(words::capital(&lesson.text)).plain(due), lesson.seq)
    });
    gear.chain(lessons).collect()
}

/// Who held a role, in order, with the times of a change.
fn held_by(input: &ReportInput, role: &str, clock: Clock) -> String {
    let mut out = String::new();
    for duty in input.duties.iter().filter(|d| d.role == role) {
        let Some(person) = &duty.person else { continue };
        if out.is_empty() {
            out.clone_from(person);
        } else if !out.ends_with(person.as_str()) {
            out.push_str(&format!(", from {} {person}", clock.hm(duty.from_ms)));
        }
    }
    if out.is_empty() { "not assigned".into() } else { out }
}

pub fn facts(input: &ReportInput, clock: Clock) -> Vec<(&'static str, String)> {
    let operation = &input.operation;
    let mut place = if operation.place.is_empty() { "not entered".into() } else { operation.place.clone() };
    if let Some(height) = operation.edge_height_m {
        place.push_str(&format!("; edge {}", words::metres(input.units, height)));
    }
    let end = match operation.closed_ms {
        Some(end) if clock.same_day(operation.opened_ms, end) => format!("to {}", clock.hm(end)),
        Some(end) => format!("to {}, {}", clock.short_date(end), clock.hm(end)),
        None if !input.record.missing.is_empty() => "on, its end is not known".into(),
        None => "on, not closed yet".into(),
    };
    let when = format!(
        "{}, {} {end} ({})",
        clock.short_date(operation.opened_ms),
        clock.hm(operation.opened_ms),
        clock.zone()
    );
    let weather = input.site.iter().find(|(label, _)| label.eq_ignore_ascii_case("weather"));
    vec![
        ("Where", place),
        ("When", when),
        ("Incident commander", held_by(input, "incident commander", clock)),
        ("Weather", weather.map_or("not entered".into(), |(_, text)| text.clone())),
        ("Control", held_by(input, "control", clock)),
        ("Safety officer", held_by(input, "safety officer", clock)),
        ("Rigging lead", held_by(input, "rigging lead", clock)),
        ("Present", words::several(input.people.len() as u64, "person", "people")),
    ]
}

/// ", accepted by NAME", or ", 1 of them accepted by NAME", for what falls short in a check.
fn accepted(rig: &RigChapter, check: &StoredCheck) -> String {
    let main = &check.report.main;
    let parts = main.parts.iter().filter(|p| p.verdict == Verdict::FallsShort).map(|p| &p.id);
    let rules = main.checks.iter().filter(|r| r.verdict == Verdict::FallsShort).map(|r| &r.id);
    let short: Vec<&String> = parts.chain(rules).collect();
    let mut people: Vec<&str> = Vec::new();
    let mut count = 0;
    for id in &short {
        let of_it = |s: &&Signed| {
            s.accepted && s.check_seq == Some(check.seq) && (s.finding.is_empty() || s.finding == **id)
        };
        let Some(signed) = rig.signed.iter().find(of_it) else { continue };
        count += 1;
        if !people.contains(&signed.person.as_str()) {
            people.push(&signed.person);
        }
    }
    let by = words::list(&people);
    match count {
        0 => String::new(),
        n if n == short.len() => format!(", accepted by {by}"),
        n => format!(", {n} of them accepted by {by}"),
    }
}

/// All states of a check, the one the team is on first.
fn states(check: &StoredCheck) -> impl Iterator<Item = &StateFindings> {
    std::iter::once(&check.report.main).chain(&check.report.other_states)
}

/// "14 fall short in load test, 14 in tied off"; `None` when no other state is worse.
fn other_states(check: &StoredCheck) -> Option<Rich> {
    let main = rigs::counts(&check.report.main).short;
    let states = check.report.other_states.iter().map(|state| (rigs::counts(state).short, state));
    let mut text = Rich::new();
    for (short, state) in states.filter(|(short, _)| *short > main) {
        let name = state.state.replace('_', " ");
        text = if text.is_empty() {
            text.bold(words::several(short, "falls short", "fall short")).plain(format!(" in {name}"))
        } else {
            text.plain(format!(", {short} in {name}"))
        };
    }
    (!text.is_empty()).then_some(text)
}

/// Whether any rig has a critical part, in one sentence; unknown is never good.
pub fn critical(input: &ReportInput) -> Rich {
    let checks: Vec<_> = input.rigs.iter().filter_map(|rig| rig.checks.last().map(|c| (rig, c))).collect();
    if checks.is_empty() {
        return Rich::new().rubric("No rig was checked.");
    }
    let mut text = Rich::new();
    let mut worst: Vec<String> = Vec::new();
    let mut unknown = 0;
    for (rig, check) in &checks {
        let names = rigs::labels(check);
        let (mut critical, mut unjudged): (Vec<&str>, Vec<&str>) = (Vec::new(), Vec::new());
        for state in states(check) {
            for id in &state.critical_parts {
                if critical.contains(&id.as_str()) {
                    continue;
                }
                critical.push(id);
                let main = state.state == check.report.main.state;
                let when = if main { String::new() } else { format!(", {}", state.state.replace('_', " ")) };
                worst.push(format!("{} ({}{when})", rigs::label(&names, id), rig.name));
            }
            unjudged.extend(state.unknown_parts.iter().map(String::as_str));
        }
        unjudged.sort_unstable();
        unjudged.dedup();
        unknown += unjudged.len();
    }
    if !worst.is_empty() {
        text = text.rubric("Critical: ").plain(format!("{}. ", words::list(&worst)));
    }
    let unchecked = (input.rigs.len() - checks.len()) as u64;
    if unchecked > 0 {
        text = text.rubric(words::several(unchecked, "rig was never checked. ", "rigs were never checked. "));
    }
    if unknown > 0 {
        let losses = words::several(unknown as u64, "single loss", "single losses");
        text = text.bold(format!("{losses} not checked. "));
    }
    if worst.is_empty() && unknown == 0 && unchecked == 0 {
        let rigs = if checks.len() == 1 { "the rig" } else { "any rig" };
        text = text.bold("No single critical part ").plain(format!("in {rigs} as checked. "));
    }
    let mut always: Vec<String> = Vec::new();
    for (_, check) in &checks {
        let names = rigs::labels(check);
        for id in &check.report.main.always_critical {
            let name = rigs::label(&names, id);
            if !always.contains(&name) {
                always.push(name);
            }
        }
    }
    if always.is_empty() { text } else { text.plain(format!("Always critical: {}.", always.join(", "))) }
}

/// "38 m, 250 kg".
pub fn rig_facts(rig: &RigChapter, units: Units) -> String {
    let Some(entered) = &rig.rig else { return rig.title.clone() };
    let height = words::metres(units, entered.edge.height.to_metres());
    format!("{height}, {}", words::mass(units, entered.load.mass.to_kilograms()))
}

/// Which units the figures are in, where they are not those the record is kept in; empty else.
pub fn units_words(units: Units) -> &'static str {
    match units {
        Units::Si => "",
        Units::Us => {
            "Figures are in ft, lbf and lb, converted from the record’s SI values. What was said, and what a check \
             stored in words, stands as recorded, in SI."
        }
    }
}

/// A line of a rig: its mark, the whole, and the same without the names, for a page that has no room for them.
pub type RigLine = (Mark, Rich, Rich);

fn line(mark: Mark, text: Rich) -> RigLine {
    (mark, text.clone(), text)
}

/// The verdicts of a rig's last check, worst first.
pub fn rig_lines(rig: &RigChapter) -> Vec<RigLine> {
    let Some(check) = rig.checks.last() else {
        return vec![line(Mark::NotChecked, Rich::new().bold("never checked"))];
    };
    let main = &check.report.main;
    let counts = rigs::counts(main);
    let mut out = Vec::new();
    let of = |verdict: Verdict| -> Vec<&PartFinding> {
        main.parts.iter().filter(|part| part.verdict == verdict).collect()
    };
    if counts.short > 0 {
        let parts: Vec<String> = of(Verdict::FallsShort).iter().map(|p| short_words(p)).collect();
        // A rule is named by what it asks for: said alone it would read as the opposite of what was found.
        let rules = main.checks.iter().filter(|r| r.verdict == Verdict::FallsShort);
        let rules: Vec<String> = rules.map(|r| format!("“{}”", r.rule)).collect();
        let unmet = (!rules.is_empty()).then(|| format!("not met: {}", rules.join(", ")));
        let named: Vec<String> = parts.into_iter().chain(unmet).collect();
        let head = words::several(counts.short, "falls short", "fall short");
        let accepted = accepted(rig, check);
        let brief = Rich::new().bold(head).plain(accepted);
        let text = brief.clone().plain(format!(": {}", named.join("; ")));
        out.push((Mark::FallsShort, text, brief));
    }
    if let Some(text) = other_states(check) {
        out.push(line(Mark::FallsShort, text));
    }
    if counts.unknown > 0 {
        let parts = of(Verdict::NotChecked).into_iter().map(|p| p.label.clone());
        let rules = main.checks.iter().filter(|r| r.verdict == Verdict::NotChecked).map(|r| r.rule.clone());
        let named: Vec<String> = parts.chain(rules).collect();
        let head = format!("{} not checked", counts.unknown);
        let brief = Rich::new().bold(head);
        out.push((Mark::NotChecked, brief.clone().plain(format!(": {}", named.join(", "))), brief));
    }
    if counts.hold > 0 {
        let weakest = of(Verdict::Holds)
            .into_iter()
            .filter_map(|p| p.margin.map(|m| (m, p)))
            .min_by(|(a, _), (b, _)| a.total_cmp(b));
        let weakest = weakest.map_or(String::new(), |(m, p)| format!("; weakest {}, {}", ratio(m), p.label));
        let brief = words::several(counts.hold, "holds", "hold");
        out.push((Mark::Holds, format!("{brief}{weakest}").into(), brief.into()));
    }
    let acts = main.losses.iter().filter(|loss| loss.verdict == LossVerdict::HeldIfActs).count() as u64;
    if acts > 0 {
        let losses = words::several(acts, "loss", "losses");
        let text = Rich::new().plain(losses).bold(" held only if").plain(" someone acts in time");
        out.push(line(Mark::HeldOnlyIf, text));
    }
    let signed = rigs::signers(rig, check.seq).replace(" and ", ", ");
    let text =
        Rich::from(if rig.stale { format!("{signed}; changed after the check") } else { signed.clone() });
    let is_signed = !rig.stale && signed.starts_with("signed");
    let mark = match (is_signed, rig.stale) {
        (true, _) => Mark::Good,
        (false, true) => Mark::Stale,
        (false, false) => Mark::Departs,
    };
    out.push(line(mark, text));
    out
}

/// "V leg 1a, 9.2 : 1 of 10 : 1".
fn short_words(part: &PartFinding) -> String {
    match (part.margin, part.required) {
        (Some(margin), Some(required)) => {
            format!("{}, {} of {}", part.label, ratio(margin), rigs::required(required))
        }
        _ => part.label.clone(),
    }
}
