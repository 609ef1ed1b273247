//! What each label says and which part it belongs to.

use super::layout::At;
use super::symbols::Hand;
use super::words::{is_idle, margin_words, verdict_line};
use super::{Sheet, ropes, symbols};
use crate::list::Ink;
use crate::marks::Mark;
use crate::metrics::{self, Run, wrap_runs};
use crate::words::length;
use ::rig::findings::{FallFinding, FallOutcome, Percentiles, Verdict};
use ::rig::model::{DeviceClass, DeviceState, HandTask, Line, Part, PartKind};
use ::rig::units::{Kind, Side, Units};

/// A label.
#[derive(Clone, Debug)]
pub struct Label<'a> {
    /// Part or hand; empty for what belongs to neither.
    pub id: String,
    /// Its mark.
    pub mark: Option<Mark>,
    /// Paragraphs, each broken into lines of its own.
    pub text: Vec<Vec<Run>>,
    /// The same in lines.
    pub lines: Vec<Vec<Run>>,
    /// Room it takes.
    pub height: f64,
    /// What the leader points to.
    pub target: At,
    /// Further ends of the leader.
    pub also: Vec<At>,
    /// What it belongs to.
    pub beside: Beside,
    /// In the left column.
    pub left: bool,
    /// It may not change its column.
    pub fixed_side: bool,
    /// Its words, for reading aloud.
    pub spoken: String,
    part: Option<&'a Part>,
}

/// What a label belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beside {
    /// A part or a hand, with a leader.
    Part,
    /// The litter, with a leader.
    Litter,
    /// Nothing drawn: it stands low, without a leader.
    Nothing,
}

impl Label<'_> {
    /// Whether it has a leader.
    pub fn has_leader(&self) -> bool {
        self.beside != Beside::Nothing
    }
    /// From the sheet's edge to its words.
    pub fn indent(&self, sheet: &Sheet<'_>) -> f64 {
        if self.mark.is_some() { 3.9 * sheet.scale() } else { 0.0 }
    }
    /// Breaks its text to a column.
    pub fn wrap(&mut self, sheet: &Sheet<'_>, room: f64) {
        let measure = (room - self.indent(sheet) - 1.0).max(8.0);
        let size = sheet.type_of(false, false).size;
        let wrapped = |text: &[Vec<Run>]| -> Vec<Vec<Run>> {
            text.iter().flat_map(|runs| wrap_runs(runs, size, measure)).collect()
        };
        self.lines = wrapped(&self.text);
        // A screen is wider than high: name, margin and verdict share a line where they fit.
        if let (false, Some(_), [name, rest @ ..]) = (sheet.is_paper(), self.part, self.text.as_slice()) {
            let joined = [one_line(&self.text)];
            let below = [name.clone(), one_line(rest)];
            let shortest = [wrapped(&joined), wrapped(&below)].into_iter().zip([1, 2]);
            if let Some((lines, _)) = shortest.into_iter().find(|(lines, most)| lines.len() <= *most) {
                self.lines = lines;
            } else {
                // A name of two lines leaves room for its margin on the second.
                let close = wrapped(&joined);
                if close.len() < self.lines.len() {
                    self.lines = close;
                }
            }
        }
        self.height = sheet.leading() * self.lines.len() as f64;
    }
    /// Where its first line wants to lie.
    pub fn wanted(&self) -> f64 {
        self.target.1
    }
    /// All ends of its leader.
    pub fn targets(&self) -> impl Iterator<Item = At> + '_ {
        std::iter::once(self.target).chain(self.also.iter().copied())
    }
}

fn clean(text: &str) -> String {
    metrics::clean(text, crate::Face::Regular)
}

/// Every label of the drawing. Targets below the edge are set anew by [`retarget`].
pub fn gather<'a>(sheet: &Sheet<'a>) -> Vec<Label<'a>> {
    let drawn = |part: &&Part| !part.always_critical;
    let mut out: Vec<Label<'a>> = sheet.parts().filter(drawn).map(|part| of_part(sheet, part)).collect();
    for hand in symbols::hands(sheet) {
        out.extend(of_hand(sheet, &hand));
    }
    out.extend(always_critical(sheet));
    out.extend(critical_causes(sheet));
    out.extend(not_rigged(sheet));
    out.push(fall(sheet));
    out
}

/// Sets what each leader points to, once the ground is set.
pub fn retarget(sheet: &Sheet<'_>, labels: &mut [Label<'_>]) {
    for label in labels {
        if let Some(part) = label.part {
            label.target = target(sheet, part);
        }
        match label.beside {
            Beside::Part => {}
            Beside::Litter => label.target = at_litter(sheet),
            Beside::Nothing => label.target = (0.0, sheet.layout.ground - 16.0),
        }
    }
}

/// Where a part's leader ends: on the side of its symbol that looks to the column.
fn target(sheet: &Sheet<'_>, part: &Part) -> At {
    let layout = &sheet.layout;
    let fallback = (layout.extent.0, layout.edge - 20.0);
    if ropes::is_line(sheet, part) {
        return ropes::target(sheet, part).unwrap_or(fallback);
    }
    let (x, y) = layout.of(part).unwrap_or(fallback);
    let reach = match part.kind {
        PartKind::Device => 3.6,
        PartKind::Plate => 14.0,
        PartKind::EdgeProtection => 4.5,
        PartKind::EdgeLip => 0.0,
        PartKind::Connector => 1.3,
        PartKind::Pulley | PartKind::ProgressCapture | PartKind::HaulHitch | PartKind::FrictionHitch => 2.6,
        _ => 1.7,
    };
    let side = side_of(sheet, part, x);
    match part.kind {
        PartKind::EndKnot => {
            let (x, y) = symbols::end_knot(sheet, part, (x, y));
            (x + side * 1.0, y)
        }
        PartKind::EdgeLip => (super::frame::lip(sheet).1 - 0.4, layout.edge + 0.2),
        _ => (x + side * reach, y),
    }
}

/// On which side a part is named: that of the drawing it lies on; a ring over the load on that of its rope.
fn side_of(sheet: &Sheet<'_>, part: &Part, x: f64) -> f64 {
    match (part.kind, part.line) {
        (PartKind::BridleRing, Line::One) => -1.0,
        (PartKind::BridleRing, Line::Two) => 1.0,
        _ => sheet.layout.side(x),
    }
}

/// The left end of the litter, or of the words under whoever hangs there: never through the words of the load.
fn at_litter(sheet: &Sheet<'_>) -> At {
    let layout = &sheet.layout;
    match symbols::litter_middle(sheet) {
        None => (0.0, layout.rings + 10.0),
        Some((x, y)) if layout.person => {
            let words =
                sheet.type_of(true, false).width(&super::layout::load_words(sheet.rig, sheet.options.units));
            (x - words / 2.0 - 1.2, y)
        }
        Some((x, y)) => (x - layout.litter_width / 2.0, y),
    }
}

fn of_part<'a>(sheet: &Sheet<'a>, part: &'a Part) -> Label<'a> {
    let finding = sheet.finding(&part.id);
    let lost = sheet.lost.contains(part.id.as_str());
    let verdict = finding.map_or(Verdict::NotChecked, |f| f.verdict);
    let critical = sheet.critical.contains(part.id.as_str());
    // What carries nothing after a loss is quiet, unless nothing is known of it.
    let idle = sheet.options.lost.is_some() && finding.is_some_and(is_idle) && verdict != Verdict::NotChecked;
    let mark = match (lost, idle) {
        (true, _) => Some(Mark::Lost),
        (_, true) => None,
        _ if critical => Some(Mark::Critical),
        _ => Some(Mark::from(verdict)),
    };
    let mut text = vec![vec![Run::bold(clean(&part.label))]];
    if lost {
        text.push(vec![Run::rubric("lost")]);
    } else {
        let was = sheet.options.lost.and(sheet.now.get(part.id.as_str()).copied());
        text.extend(margin_words(sheet.is_paper(), sheet.options.units, finding, was).map(vec_clean));
        if !idle {
            text.extend(verdict_line(sheet.is_paper(), verdict, finding).map(vec_clean));
        }
    }
    if critical {
        text.push(vec![Run::rubric("critical: lost alone, it takes the load with it")]);
    }
    if let (true, Some(words)) = (sheet.is_paper(), device_words(sheet, part)) {
        text.push(vec![Run::plain(words)]);
    }
    if let Some(words) = sheet.options.accepted.get(&part.id) {
        text.push(vec![Run::plain(clean(words))]);
    }
    let target = target(sheet, part);
    let spoken = spoken(&text);
    Label {
        id: part.id.clone(),
        mark,
        text,
        lines: Vec::new(),
        height: 0.0,
        target,
        also: Vec::new(),
        beside: Beside::Part,
        left: side_of(sheet, part, target.0) < 0.0,
        // From the other side its leader would run through the words of the load.
        fixed_side: part.kind == PartKind::BridleRing,
        spoken,
        part: Some(part),
    }
}

/// Paragraphs one after the other.
fn one_line(paragraphs: &[Vec<Run>]) -> Vec<Run> {
    let mut line: Vec<Run> = Vec::new();
    for runs in paragraphs {
        if !line.is_empty() {
            line.push(Run::plain("  "));
        }
        line.extend(runs.iter().cloned());
    }
    line
}

fn vec_clean(runs: Vec<Run>) -> Vec<Run> {
    runs.into_iter().map(|run| Run { text: clean(&run.text), ..run }).collect()
}

fn spoken(text: &[Vec<Run>]) -> String {
    let lines = text.iter().map(|runs| runs.iter().map(|r| r.text.as_str()).collect::<String>());
    lines.collect::<Vec<_>>().join(", ")
}

/// "self-closing, handle open".
fn device_words(sheet: &Sheet<'_>, part: &Part) -> Option<String> {
    let device = part.device.as_ref()?;
    let class = match device.class {
        DeviceClass::SelfClosing => "self-closing",
        DeviceClass::SelfClosingPanic => "self-closing, also when over-pulled",
        DeviceClass::Passive => "runs unless tied off",
        DeviceClass::SnatchLocking => "locks on a quick rope",
        DeviceClass::FrictionHitch => "sets only if nobody holds it",
    };
    let state = match sheet.layout.state.and_then(|s| s.devices.get(&part.id))? {
        DeviceState::TiedOff => "tied off",
        DeviceState::Closed if part.kind == PartKind::Device => "handle closed",
        DeviceState::Closed => "set",
        DeviceState::Open => "handle open",
        DeviceState::Feeding => "feeding rope",
    };
    if device.class == DeviceClass::FrictionHitch && state == "set" {
        return Some(class.to_string());
    }
    // A name that says it already need not be said twice.
    Some(if part.label.contains(class) { state.to_string() } else { format!("{class}, {state}") })
}

/// One label for each side of the drawing that a hand is on, with the person bound to its role.
fn of_hand<'a>(sheet: &Sheet<'a>, hand: &Hand<'a>) -> Vec<Label<'a>> {
    let lost = sheet.lost.contains(hand.id);
    let person = sheet.options.people.get(hand.role).filter(|name| !name.trim().is_empty());
    let mut text = vec![vec![Run::bold(clean(hand.role))]];
    match person {
        Some(name) => text.push(vec![Run::plain(clean(name))]),
        None => text.push(vec![Run::bold("nobody assigned")]),
    }
    let loss = sheet.options.lost.map(|lost| lost.loss);
    if let (true, Some(loss)) = (lost, loss) {
        text.push(vec![Run::rubric(match loss.mode {
            ::rig::findings::LossMode::FreezesOn => "freezes on",
            _ => "hand off",
        })]);
    } else if loss.is_some_and(|loss| loss.acts.iter().any(|role| role == hand.role || role == hand.id)) {
        text.push(vec![Run { ink: Ink::Caution, ..Run::bold("must act") }]);
    }
    if sheet.critical.contains(hand.id) {
        text.push(vec![Run::rubric("critical")]);
    }
    let acts = loss.is_some_and(|loss| loss.acts.iter().any(|role| role == hand.role || role == hand.id));
    let mark = match (lost, acts, person) {
        (true, _, _) => Some(Mark::Lost),
        (_, true, _) => Some(Mark::HeldOnlyIf),
        (_, _, None) => Some(Mark::Vacant),
        _ if sheet.critical.contains(hand.id) => Some(Mark::Critical),
        _ => None,
    };
    // Whoever stands inside is named on the side of their rope: there no leader passes the hands at the other one.
    let label = |at: At, device: Option<At>| {
        let side = sheet.layout.side(device.map_or(at.0, |device| device.0));
        let target = (at.0 + side * 1.75, at.1);
        Label {
            id: hand.id.to_string(),
            mark,
            text: text.clone(),
            lines: Vec::new(),
            height: 0.0,
            target,
            also: Vec::new(),
            beside: Beside::Part,
            left: side < 0.0,
            fixed_side: hand.task != HandTask::Haul,
            spoken: spoken(&text),
            part: None,
        }
    };
    let mut out: Vec<Label<'a>> = Vec::new();
    for (at, device) in &hand.at {
        let next = label(*at, *device);
        // Two places on one side need its name once.
        match out.iter_mut().find(|other| other.left == next.left) {
            Some(other) => other.also.push(next.target),
            None => out.push(next),
        }
    }
    out
}

/// A label that belongs to no part.
fn free<'a>(sheet: &Sheet<'_>, mark: Mark, text: Vec<Vec<Run>>, beside: Beside) -> Label<'a> {
    Label {
        id: String::new(),
        mark: Some(mark),
        spoken: spoken(&text),
        text,
        lines: Vec::new(),
        height: 0.0,
        target: (0.0, sheet.layout.edge + 50.0),
        also: Vec::new(),
        beside,
        left: mark == Mark::Critical,
        fixed_side: true,
        part: None,
    }
}

/// What a wearer cannot double, named every time.
fn always_critical<'a>(sheet: &Sheet<'_>) -> Option<Label<'a>> {
    let of_rig = || sheet.rig.parts.iter().filter(|p| p.always_critical);
    let mut names: Vec<String> = of_rig().map(|p| clean(&p.label)).collect();
    let is_known = |id: &String| of_rig().any(|p| p.id == *id || p.label == *id);
    let others = sheet.state.always_critical.iter().filter(|id| !is_known(id));
    names.extend(others.map(|name| clean(&name.replace('_', " "))));
    if names.is_empty() {
        return None;
    }
    let text = vec![vec![Run::bold("always critical")], vec![Run::plain(names.join(", "))]];
    let beside = if symbols::litter_middle(sheet).is_some() { Beside::Litter } else { Beside::Nothing };
    Some(free(sheet, Mark::Critical, text, beside))
}

/// Critical losses that are no single part or hand of the drawing: common causes.
fn critical_causes<'a>(sheet: &Sheet<'_>) -> Option<Label<'a>> {
    let is_drawn = |id: &str| {
        sheet.rig.parts.iter().any(|p| p.id == id && !p.always_critical)
            || symbols::hands(sheet).iter().any(|h| h.id == id)
    };
    let name = |id: &str| {
        let group = sheet.rig.groups.iter().find(|g| g.id == id).map(|g| g.label.clone());
        let loss = || sheet.state.losses.iter().find(|l| l.lost == [id]).map(|l| l.label.clone());
        clean(&group.or_else(loss).unwrap_or_else(|| id.replace('_', " ")))
    };
    let names: Vec<String> = sheet.critical.iter().filter(|id| !is_drawn(id)).map(|id| name(id)).collect();
    if names.is_empty() {
        return None;
    }
    let text = vec![vec![Run::rubric("critical, too")], vec![Run::plain(names.join(", "))]];
    Some(free(sheet, Mark::Critical, text, Beside::Nothing))
}

/// What this state is without: it is not drawn, and not left out in silence either.
fn not_rigged<'a>(sheet: &Sheet<'_>) -> Option<Label<'a>> {
    let absent = sheet.rig.parts.iter().filter(|p| sheet.absent.contains(p.id.as_str()));
    let names: Vec<String> = absent.map(|p| clean(&p.label)).collect();
    if names.is_empty() {
        return None;
    }
    let text = vec![vec![Run::bold("not rigged in this state")], vec![Run::plain(names.join(", "))]];
    Some(Label { mark: None, ..free(sheet, Mark::NotChecked, text, Beside::Nothing) })
}

/// How far the load drops after what is lost; with nothing lost, the farthest after any loss.
fn fall<'a>(sheet: &Sheet<'_>) -> Label<'a> {
    let lost = sheet.options.lost.as_ref();
    let fall = match lost {
        Some(lost) => lost.fall.or_else(|| lost.loss.fall.and_then(|n| sheet.state.falls.get(n))),
        None => deepest(&sheet.state.falls),
    };
    let who = fall.map_or("the load", FallFinding::dropper);
    let head = match (lost, fall) {
        (None, Some(_)) => format!("how far {who} drops, at most: "),
        _ => format!("how far {who} drops: "),
    };
    let head = head.as_str();
    let unknown = Run { ink: Ink::Unknown, ..Run::bold("not checked") };
    let not = |why: &str| vec![vec![Run::bold(head)], vec![unknown.clone(), Run::plain(why)]];
    let (mark, text) = match fall {
        None => (Mark::NotChecked, not(" (not computed here)")),
        Some(fall) => match (fall.outcome, fall.fall_m) {
            (FallOutcome::Stays, _) => {
                let text = vec![vec![Run::bold(head), Run::plain("it stays")]];
                return Label { mark: None, ..free(sheet, Mark::Moves, text, Beside::Nothing) };
            }
            (FallOutcome::Dropped, _) => {
                let down = length(sheet.options.units, fall.clearance_m, 1);
                let ground = format!("dropped, {down} to the {}", fall.below);
                (Mark::Dropped, vec![vec![Run::bold(head)], vec![Run::rubric(ground)]])
            }
            (FallOutcome::Stops | FallOutcome::MayNotStop, Some(metres)) => {
                banded(head, fall, metres, sheet.options.units)
            }
            _ => (Mark::NotChecked, not("")),
        },
    };
    free(sheet, mark, text, Beside::Nothing)
}

fn banded(head: &str, fall: &FallFinding, metres: Percentiles, units: Units) -> (Mark, Vec<Vec<Run>>) {
    let (Some(p10), Some(p90)) = (metres.p10, metres.p90) else {
        let never = Run::rubric("in many runs nothing stops it");
        return (Mark::Dropped, vec![vec![Run::bold(head)], vec![never]]);
    };
    let digits = metres.digits();
    let from = units.figure(Kind::Length, p10, &format!("{p10:.digits$}"), Side::Near);
    let band = format!("{from} to {}", length(units, p90, digits));
    if p90 >= fall.clearance_m {
        let reaches = format!("{band}, {} {} below", fall.below, length(units, fall.clearance_m, 1));
        return (Mark::FallsShort, vec![vec![Run::bold(head)], vec![Run::rubric(reaches)]]);
    }
    let mut text = vec![vec![Run::bold(head)], vec![Run::plain(format!("{band} (8 in 10 runs)"))]];
    if fall.bare_edge {
        let edge = Run { ink: Ink::Unknown, ..Run::bold("if the bare edge cuts no rope") };
        text.push(vec![edge]);
        return (Mark::NotChecked, text);
    }
    (Mark::Moves, text)
}

/// The fall that reaches deepest; what has no bound before all.
fn deepest(falls: &[FallFinding]) -> Option<&FallFinding> {
    let deep = |fall: &FallFinding| fall.fall_m.map_or(-1.0, |m| m.p90.unwrap_or(f64::INFINITY));
    falls.iter().reduce(|a, b| if deep(b) > deep(a) { b } else { a }).filter(|fall| fall.fall_m.is_some())
}
