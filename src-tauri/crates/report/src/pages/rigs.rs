//! Each rig as it was entered, checked, accepted and signed. Every verdict is printed as
//! it was stored; nothing is computed again.

use crate::input::{ReportInput, RigChapter, Signed, StoredCheck};
use crate::kit::table::{left, right};
use crate::kit::{Book, MEASURE, Rich, Row, Table};
use crate::words::{self, Clock};
use drawing::Mark;
use drawing::charts;
use drawing::size;
use drawing::words::{force, ratio, strength_in};
use rig::findings::{LossFinding, LossVerdict, PartFinding, RuleFinding, StateFindings, Verdict};
use rig::units::Units;
use std::collections::BTreeMap;

/// Sets the section.
pub fn set(book: &mut Book, input: &ReportInput) {
    if input.rigs.is_empty() {
        let none = |book: &mut Book| {
            book.head("Rigs", "");
            book.nothing("No rig was entered.");
        };
        // The patient's page is given away alone.
        if input.patient_page {
            book.open("Rigs");
            none(book);
        } else {
            book.below_or_open("Rigs", none);
        }
        return;
    }
    for chapter in &input.rigs {
        rig(book, input, chapter);
    }
}

fn rig(book: &mut Book, input: &ReportInput, chapter: &RigChapter) {
    let clock = Clock::new(input.operation.offset_min);
    let title = format!("Rig: {}", chapter.name);
    book.open(&title);
    book.head(&title, &note(chapter, clock));
    let Some(check) = chapter.checks.last() else {
        unchecked(book, input, chapter);
        return;
    };
    super::rig_page::set(book, chapter, check, input.units);
    book.same_section();
    if chapter.stale {
        let words = Rich::new()
            .rubric("The rig or the guidelines changed after this check; ")
            .plain("what follows is the rig as it was checked, not as it was then.");
        let (x, y) = (book.left(), book.y);
        book.y = book.page().paragraph((x, y), &words, MEASURE, size::S) + 2.0;
    }
    parts(book, input, chapter, check);
    rules(book, check);
    losses(book, check, input.units);
    super::falls::stills(book, check, input.units);
    pairs(book, check);
    other_states(book, check);
    rest(book, chapter, check, clock);
    changed(book, chapter, check, input.units);
}

/// Margins, signatures and what was replaced: closer, when that saves a page with next to nothing on it.
fn rest(book: &mut Book, chapter: &RigChapter, check: &StoredCheck, clock: Clock) {
    let laid = charts::ROWS.map(|least| {
        let mut own = book.clone();
        super::margins::set(&mut own, check, least);
        super::signed::set(&mut own, chapter, clock);
        super::rig_page::replaced(&mut own, chapter, clock);
        own
    });
    let [wide, close] = laid;
    *book = if close.pages.len() < wide.pages.len() { close } else { wide };
}

/// A rig that was entered and never checked: its head stays, with one plain line.
fn unchecked(book: &mut Book, input: &ReportInput, chapter: &RigChapter) {
    let words = Rich::new().rubric("This rig was never checked. ").plain(format!(
        "{} No force, margin or loss is known.",
        if chapter.title.is_empty() { String::new() } else { format!("{}.", chapter.title) }
    ));
    let (x, y) = (book.left(), book.y);
    book.y = book.page().paragraph((x, y), &words, MEASURE, size::M) + 4.0;
    super::signed::set(book, chapter, Clock::new(input.operation.offset_min));
    let Some(rig) = &chapter.rig else { return };
    book.same_section();
    book.sub_head("As entered", "not checked: nothing in this drawing was computed");
    super::rig_page::entered(book, rig, input.units);
}

/// The rig as it stands now, where it was changed after its last check.
fn changed(book: &mut Book, chapter: &RigChapter, check: &StoredCheck, units: Units) {
    let (Some(now), true) = (&chapter.rig, chapter.stale) else { return };
    if check.rig.as_ref() == Some(now) {
        return;
    }
    book.same_section();
    book.sub_head("As changed after the check", "not checked: nothing in this drawing was computed");
    super::rig_page::entered(book, now, units);
}

/// "check 34 at 15:39:05, state “lowering” · signed by rigging lead and safety officer".
fn note(chapter: &RigChapter, clock: Clock) -> String {
    let Some(check) = chapter.checks.last() else { return "never checked".into() };
    let state = check.report.main.state.replace('_', " ");
    format!(
        "check {} at {}, state “{state}” · {}",
        check.seq,
        clock.hms(check.at_ms),
        signers(chapter, check.seq)
    )
}

/// Who signed a check, in words.
pub fn signers(chapter: &RigChapter, check: u64) -> String {
    let roles: Vec<&str> = chapter
        .signed
        .iter()
        .filter(|s| !s.accepted && s.check_seq == Some(check))
        .map(|s| s.role.as_str())
        .collect();
    if roles.is_empty() { "not signed".into() } else { format!("signed by {}", words::list(&roles)) }
}

/// Names of parts by id, as the check names them.
pub fn labels(check: &StoredCheck) -> BTreeMap<&str, &str> {
    let mut out = BTreeMap::new();
    let states = check.report.other_states.iter().chain([&check.report.main]);
    for state in states {
        for loss in &state.losses {
            if let [id] = loss.lost.as_slice() {
                out.insert(id.as_str(), loss.label.as_str());
            }
        }
        for part in &state.parts {
            out.insert(part.id.as_str(), part.label.as_str());
        }
    }
    out
}

/// The name of a part, or its id in words.
pub fn label(labels: &BTreeMap<&str, &str>, id: &str) -> String {
    labels.get(id).map_or_else(|| id.replace('_', " "), |label| (*label).to_string())
}

/// A verdict in words; bold when it is not the quiet one.
fn verdict(verdict: Verdict) -> Rich {
    match verdict {
        Verdict::FallsShort => Rich::new().bold("falls short"),
        Verdict::NotChecked => Rich::new().bold("not checked"),
        Verdict::Holds => "holds".into(),
    }
}

/// "10 : 1" for a required margin.
pub fn required(value: f64) -> String {
    format!("{} : 1", words::number(value))
}

fn parts(book: &mut Book, input: &ReportInput, chapter: &RigChapter, check: &StoredCheck) {
    let mut parts: Vec<&PartFinding> = check.report.main.parts.iter().collect();
    parts.sort_by_key(|part| part.verdict);
    let rows = parts.into_iter().map(|part| part_row(part, chapter, check, input.units)).collect();
    let (force, strength) = match input.units {
        Units::Si => ("force, kN", "strength, kN"),
        Units::Us => ("force, lbf", "strength, lbf"),
    };
    let head = [
        left("verdict", 24.0),
        left("part", 46.0),
        left(force, 27.0),
        right(strength, 17.0),
        right("margin", 13.0),
        right("required", 12.5),
        left("rests on", 34.5),
    ];
    let guidelines = &input.operation.guidelines;
    let by = if guidelines.is_empty() { String::new() } else { format!("; required by {guidelines}") };
    let words = if input.units == Units::Si { "" } else { "; words as stored, in SI" };
    let note = format!("low – nominal – high; margin is strength over high{by}{words}");
    Table::titled("Checks", &note, &head, rows).set(book);
    book.y += 1.6;
}

fn part_row(part: &PartFinding, chapter: &RigChapter, check: &StoredCheck, units: Units) -> Row {
    let force = part
        .force_kn
        .map_or("not solved".into(), |f| [f.low, f.nominal, f.high].map(|kn| force(units, kn)).join(" – "));
    let strong = part.strength_kn.map_or("unknown".into(), |kn| strength_in(units, kn));
    let margin = match part.margin {
        Some(margin) => ratio(margin),
        // It holds without a margin only where it carries nothing in this state.
        None if part.verdict == Verdict::Holds => "–".into(),
        None => "?".into(),
    };
    let needed = part.required.map_or("–".into(), required);
    let accepted = accepted(chapter, check.seq, &part.id);
    let rests = match accepted {
        Some(entry) => format!("accepted, entry {entry}; {}", part.words),
        None => part.words.clone(),
    };
    Row::new(vec![
        verdict(part.verdict),
        part.label.as_str().into(),
        force.into(),
        strong.into(),
        margin.into(),
        needed.into(),
        rests.into(),
    ])
    .marked(0, Mark::from(part.verdict))
}

/// Entry of the acceptance that names this part.
fn accepted(chapter: &RigChapter, check: u64, part: &str) -> Option<u64> {
    let found = |s: &&Signed| s.accepted && s.check_seq == Some(check) && s.finding == part;
    chapter.signed.iter().find(found).map(|s| s.seq)
}

fn rules(book: &mut Book, check: &StoredCheck) {
    let main = &check.report.main;
    let mut rules: Vec<&RuleFinding> = main.checks.iter().collect();
    rules.sort_by_key(|rule| rule.verdict);
    let mut rows: Vec<(Verdict, Row)> = rules
        .into_iter()
        .map(|rule| {
            let found = if rule.source.is_empty() {
                Rich::from(rule.found.as_str())
            } else {
                Rich::new().plain(&rule.found).plain(format!(" · {}", rule.source))
            };
            let cells = vec![verdict(rule.verdict), rule.rule.as_str().into(), found];
            (rule.verdict, Row::new(cells).marked(0, Mark::from(rule.verdict)))
        })
        .collect();
    // The hands-off test is a rule of its own; an older check has it only beside the rules.
    if !main.checks.iter().any(|rule| rule.id.starts_with("hands_off")) {
        let moves = if main.hands_off.moves { "; the load moves before it is held" } else { "" };
        let hands = vec![
            verdict(main.hands_off.verdict),
            "hands-off (whistle) test".into(),
            format!("{}{moves}", main.hands_off.words).into(),
        ];
        let mark = Mark::from(main.hands_off.verdict);
        rows.push((main.hands_off.verdict, Row::new(hands).marked(0, mark)));
    }
    rows.sort_by_key(|(verdict, _)| *verdict);
    let head = [left("verdict", 25.0), left("rule", 55.0), left("found", 94.0)];
    let rows = rows.into_iter().map(|(_, row)| row).collect();
    Table { columns: head.to_vec(), rows, ..Table::default() }.set(book);
    book.y += 5.0;
}

/// Losses with the same end are one row; every one of them is named.
fn losses(book: &mut Book, check: &StoredCheck, units: Units) {
    let main = &check.report.main;
    let always = |loss: &LossFinding| loss.lost.iter().all(|id| main.always_critical.contains(id));
    let mut losses: Vec<&LossFinding> = main.losses.iter().collect();
    losses.sort_by_key(|loss| loss.verdict);
    let mut groups: Vec<(Vec<&str>, &LossFinding)> = Vec::new();
    for loss in losses {
        let same = groups.iter_mut().find(|(_, first)| {
            (first.verdict, first.moves, &first.words, &first.weakest)
                == (loss.verdict, loss.moves, &loss.words, &loss.weakest)
                && first.mode == loss.mode
                && super::falls::same(main, first, loss)
                && always(first) == always(loss)
        });
        match same {
            Some((labels, _)) => labels.push(&loss.label),
            None => groups.push((vec![&loss.label], loss)),
        }
    }
    let mut rows: Vec<Row> =
        groups.iter().map(|(labels, loss)| loss_row(main, labels, (loss, always(loss)), units)).collect();
    let names = labels(check);
    let lost = |id: &&String| main.losses.iter().any(|loss| loss.lost == [(*id).clone()]);
    let others: Vec<String> =
        main.always_critical.iter().filter(|id| !lost(id)).map(|id| label(&names, id)).collect();
    if !others.is_empty() {
        let cells = vec![
            format!("always critical: {}", others.join("; ")).into(),
            Rich::new().bold("dropped").plain("; cannot be doubled by the wearer"),
            "–".into(),
            "not checked".into(),
        ];
        rows.insert(0, Row::new(cells).marked(1, Mark::Dropped));
    }
    let head = [
        left("lost", 46.0),
        left("what becomes of the load", 60.0),
        left("weakest survivor", 31.0),
        left("drop and peak", 37.0),
    ];
    let note = super::falls::note(main);
    Table::titled("If one part or one hand is lost", &note, &head, rows).set(book);
    book.y += 3.0;
}

fn loss_row(
    state: &StateFindings,
    labels: &[&str],
    (loss, always): (&LossFinding, bool),
    units: Units,
) -> Row {
    let weakest =
        loss.weakest.as_ref().map_or("unknown".into(), |w| format!("{}, {}", w.label, ratio(w.margin)));
    let weakest = if loss.verdict == LossVerdict::Dropped { "–".into() } else { weakest };
    let mut lost = Rich::new();
    let mut end = becomes(loss);
    if always {
        lost = lost.plain("always critical: ");
        end = end.plain("; cannot be doubled by the wearer");
    }
    let cells =
        vec![lost.plain(labels.join("; ")), end, weakest.into(), super::falls::drop(state, loss, units)];
    Row::new(cells).marked(1, Mark::from(loss.verdict))
}

/// What becomes of the load: the verdict bold, then the stored words without saying it twice.
pub fn becomes(loss: &LossFinding) -> Rich {
    let lead = match loss.verdict {
        LossVerdict::Dropped => "dropped",
        LossVerdict::Overloaded => "overloaded",
        LossVerdict::NotChecked => "not checked",
        LossVerdict::HeldIfActs => "held only if",
        LossVerdict::Moves => "moves",
        LossVerdict::Held => "held",
    };
    let moves = if loss.moves && loss.verdict != LossVerdict::Moves { "; moves" } else { "" };
    match loss.words.strip_prefix(lead) {
        Some(rest) => Rich::new().bold(lead).plain(rest).plain(moves),
        None if loss.words.is_empty() => Rich::new().bold(lead).plain(moves),
        None => Rich::new().bold(lead).plain(format!(": {}{moves}", loss.words)),
    }
}

/// Pairs that drop the load; parts with the same partners are named together.
fn pairs(book: &mut Book, check: &StoredCheck) {
    let main = &check.report.main;
    let names = labels(check);
    let mut by_first: Vec<(String, Vec<String>)> = Vec::new();
    for [a, b] in &main.critical_pairs {
        let (a, b) = (label(&names, a), label(&names, b));
        match by_first.iter_mut().find(|(first, _)| *first == a) {
            Some((_, partners)) => partners.push(b),
            None => by_first.push((a, vec![b])),
        }
    }
    let mut groups: Vec<(Vec<String>, Vec<String>)> = Vec::new();
    for (first, partners) in by_first {
        match groups.iter_mut().find(|(_, same)| *same == partners) {
            Some((firsts, _)) => firsts.push(first),
            None => groups.push((vec![first], partners)),
        }
    }
    let mut text = Rich::new().bold("Pairs. ");
    if groups.is_empty() {
        text = text.plain("No pair of losses drops the load by support, beyond what drops it alone.");
    } else {
        let count = main.critical_pairs.len() as u64;
        let words = words::several(count, "pair drops", "pairs drop");
        text = text.plain(format!("{words} the load though neither part does alone. "));
        for (i, (firsts, partners)) in groups.into_iter().enumerate() {
            let gap = if i > 0 { " · " } else { "" };
            let each = if firsts.len() > 1 { "each of " } else { "" };
            text = text.plain(gap);
            text = text.plain(each).bold(firsts.join("; ")).plain(" with ").plain(partners.join("; "));
        }
        text = text.plain(".");
    }
    text = text.plain(" Forces after a double loss are not solved, so no pair is ever called held.");
    set_long(book, &text);
    book.y += 4.0;
}

/// A paragraph that may run over pages.
pub fn set_long(book: &mut Book, text: &Rich) {
    let lines = text.wrap(MEASURE, size::S);
    let mut done = 0;
    while done < lines.len() {
        let fit = (book.room() / 3.6).floor().max(0.0) as usize;
        let left = lines.len() - done;
        if fit < left.min(2) {
            book.same_section();
            continue;
        }
        let take = if fit < left { fit.min(left - left.min(2)).max(1) } else { left };
        let (x, y) = (book.left(), book.y);
        book.y = book.page().lines((x, y), &lines[done..done + take], size::S);
        done += take;
    }
}

/// The other states of the rig, one row each; the whole of them stands in the attached record.
fn other_states(book: &mut Book, check: &StoredCheck) {
    if check.report.other_states.is_empty() {
        return;
    }
    let names = labels(check);
    let rows = check.report.other_states.iter().map(|state| state_row(state, &names)).collect();
    let head = [
        left("state", 26.0),
        left("parts and rules", 56.0),
        left("if one is lost", 56.0),
        left("hands-off", 36.0),
    ];
    let note = "every part and loss of these states stands in the attached record";
    Table::titled("Other states of this rig", note, &head, rows).set(book);
    book.y += 5.0;
}

fn state_row(state: &StateFindings, names: &BTreeMap<&str, &str>) -> Row {
    let worst = counts(state).worst();
    let cells = vec![
        Rich::new().bold(state.state.replace('_', " ")),
        counts(state).words(),
        lost_words(state, names),
        verdict(state.hands_off.verdict).plain(format!("; {}", state.hands_off.words)),
    ];
    Row::new(cells).marked(1, Mark::from(worst))
}

/// How many parts and rules have each verdict.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Fall short.
    pub short: u64,
    /// Not checked.
    pub unknown: u64,
    /// Hold.
    pub hold: u64,
}

/// Counts the stored verdicts of parts and rules.
pub fn counts(state: &StateFindings) -> Counts {
    let mut out = Counts::default();
    let rules = state.checks.iter().map(|rule| rule.verdict);
    for verdict in state.parts.iter().map(|part| part.verdict).chain(rules) {
        match verdict {
            Verdict::FallsShort => out.short += 1,
            Verdict::NotChecked => out.unknown += 1,
            Verdict::Holds => out.hold += 1,
        }
    }
    out
}

impl Counts {
    /// The worst verdict that occurs; none at all is unknown.
    pub fn worst(self) -> Verdict {
        match self {
            Counts { short: 1.., .. } => Verdict::FallsShort,
            Counts { unknown: 0, hold: 1.., .. } => Verdict::Holds,
            _ => Verdict::NotChecked,
        }
    }

    /// "1 falls short, 2 not checked, 20 hold".
    pub fn words(self) -> Rich {
        let mut out = Rich::new();
        if self.short > 0 {
            out = out.bold(words::several(self.short, "falls short", "fall short")).plain(", ");
        }
        if self.unknown > 0 {
            out = out.bold(format!("{} not checked", self.unknown)).plain(", ");
        }
        out.plain(words::several(self.hold, "holds", "hold"))
    }
}

/// "critical: focal knot; not checked: 3; held only if someone acts: 4".
fn lost_words(state: &StateFindings, names: &BTreeMap<&str, &str>) -> Rich {
    let mut out = Rich::new();
    if state.critical_parts.is_empty() && state.unknown_parts.is_empty() {
        out = out.plain("no single critical part");
    } else if !state.critical_parts.is_empty() {
        let names: Vec<String> = state.critical_parts.iter().map(|id| label(names, id)).collect();
        out = out.bold("critical: ").plain(words::list(&names));
    }
    if !state.unknown_parts.is_empty() {
        let gap = if out.is_empty() { "" } else { "; " };
        let count = words::several(state.unknown_parts.len() as u64, "loss", "losses");
        out = out.plain(gap).bold("not checked: ").plain(count);
    }
    let acts = state.losses.iter().filter(|loss| loss.verdict == LossVerdict::HeldIfActs).count();
    if acts > 0 {
        out = out.plain(format!("; {acts} held only if someone acts"));
    }
    out
}
