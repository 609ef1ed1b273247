//! What is put in. It holds what sits at its load end, and is held by what sits where it is made fast; nothing else changes.

use super::{holder_at, part_of, sheet, unknown};
use crate::error::RigError;
use crate::model::{Band, Cited, Line, Part, PartKind, Point, Rig, Standing, Support};
use crate::quantity::{Length, Ratio};

/// Id, name and kind of what is put in.
pub(super) struct New<'a> {
    pub id: &'a str,
    pub label: &'a str,
    pub kind: PartKind,
}

impl New<'_> {
    fn part(&self, line: Line, at: &[&str], held_by: Support) -> Result<Part, RigError> {
        if self.label.trim().is_empty() {
            return Err(RigError::new(self.id, "a part without a name", "name it"));
        }
        Ok(Part::plain(self.id, self.label.trim(), self.kind, line, at, held_by))
    }
}

/// An anchor on ground of its own.
pub(super) fn anchor(rig: &mut Rig, id: &str, label: &str, x: Length, y: Length) -> Result<(), RigError> {
    let at = format!("at_{id}");
    let draw = sheet::place(rig, x, y);
    let new = New { id, label, kind: PartKind::Anchor };
    rig.parts.push(new.part(Line::Shared, &[&at], Support::Ground)?);
    rig.points.push(Point { id: at, x, y, fixed: true, draw });
    Ok(())
}

/// A tie holds what sits at its load end beside what holds that already.
pub(super) fn tie(rig: &mut Rig, new: &New<'_>, from: &str, to: &str) -> Result<(), RigError> {
    let (kind, id) = (new.kind, new.id);
    if !kind.is_leg() && !matches!(kind, PartKind::Tether | PartKind::BackupCord | PartKind::Guy) {
        let what = format!("a {} is not put in between two points", kind.words());
        return Err(RigError::new("kind", what, "choose a sling, cord, webbing, tether, backup cord or guy"));
    }
    let holder = holder_at(rig, to)?;
    if hangs_on(rig, &holder.id, |part| part.at.first().is_some_and(|at| at == from)) {
        let what = format!("{} hangs on what sits at “{from}” itself", holder.label);
        return Err(RigError::new(
            "to",
            what,
            "choose the point of an anchor, or of what does not hang on it",
        ));
    }
    let holder = Support::Part(holder.id.clone());
    let held = rig.parts.iter_mut().find(|p| p.at.len() == 1 && p.at[0] == from && takes_ties(p.kind));
    let held = held.ok_or_else(|| {
        let what = format!("no knot, plate or ring sits at “{from}”");
        RigError::new(
            "from",
            what,
            "choose the point of a knot, plate, ring or the head of a high directional",
        )
    })?;
    let head = held.kind == PartKind::HighDirectional;
    if head != (kind == PartKind::Guy) {
        let what = format!("a {} does not hold a {}", kind.words(), held.kind.words());
        return Err(RigError::new(
            "kind",
            what,
            "a high directional is held by guys, knots and plates by legs",
        ));
    }
    let line = held.line;
    held.held_by = beside(&held.held_by, Support::Part(id.to_string()), kind);
    rig.parts.push(new.part(line, &[from, to], holder)?);
    Ok(())
}

fn takes_ties(kind: PartKind) -> bool {
    matches!(kind, PartKind::FocalKnot | PartKind::Plate | PartKind::Ring | PartKind::HighDirectional)
}

/// A rule with one more that holds: at once, after a drop onto it, or only with all others.
fn beside(rule: &Support, new: Support, kind: PartKind) -> Support {
    match (rule, kind) {
        // A head stands only while all of it stands: another guy makes no leg dispensable.
        (Support::All(rules), PartKind::Guy) if rules.len() > 1 => {
            Support::All(rules.iter().cloned().chain([new]).collect())
        }
        (other, PartKind::Guy) => Support::All(vec![other.clone(), new]),
        (Support::Backup(rules), PartKind::BackupCord) if rules.len() > 1 => {
            Support::Backup(rules.iter().cloned().chain([new]).collect())
        }
        (other, PartKind::BackupCord) => Support::Backup(vec![other.clone(), new]),
        (Support::Any(rules), _) if rules.len() > 1 => {
            Support::Any(rules.iter().cloned().chain([new]).collect())
        }
        (other, _) => Support::Any(vec![other.clone(), new]),
    }
}

/// Whether a part hangs, by any way, on one that fits.
fn hangs_on(rig: &Rig, id: &str, fits: impl Fn(&Part) -> bool) -> bool {
    let mut open = vec![id.to_string()];
    let mut seen = Vec::new();
    while let Some(next) = open.pop() {
        let Some(part) = rig.part(&next) else { continue };
        if fits(part) {
            return true;
        }
        if !seen.contains(&next) {
            named(&part.held_by, &mut open);
            seen.push(next);
        }
    }
    false
}

/// Every id that a rule names.
pub(super) fn named(rule: &Support, into: &mut Vec<String>) {
    match rule {
        Support::Ground => {}
        Support::Part(id) => into.push(id.clone()),
        Support::All(rules) | Support::Any(rules) | Support::Backup(rules) => {
            rules.iter().for_each(|rule| named(rule, into));
        }
    }
}

/// A link between a part and the one thing that holds it.
pub(super) fn link(rig: &mut Rig, new: &New<'_>, below: &str) -> Result<(), RigError> {
    let kinds = [PartKind::Connector, PartKind::Sling, PartKind::LoadReleaseHitch];
    if !kinds.contains(&new.kind) {
        let what = format!("a {} is no link", new.kind.words());
        return Err(RigError::new("kind", what, "choose a connector, sling or load-release hitch"));
    }
    let own = rig.part(below).ok_or_else(|| unknown("part", below))?;
    let Support::Part(above) = own.held_by.clone() else {
        let what = format!("{} does not hang on one thing", own.label);
        return Err(RigError::new(below, what, "choose a part that hangs on one connector or sling"));
    };
    let (label, line) = (own.label.clone(), own.line);
    let (Some(lower), Some(holder)) = (own.at.first().cloned(), rig.part(&above)) else {
        return Err(RigError::new(below, format!("{label} has no point of its own"), "choose another part"));
    };
    if own.at.len() != 1 || holder.at.len() != 2 || holder.at[0] != lower {
        let what = format!("{label} and {} do not meet at a point of theirs", holder.label);
        return Err(RigError::new(below, what, "choose a part that hangs on one connector or sling"));
    }
    let (from, to) = (rig.point(&lower), rig.point(&holder.at[1]));
    let (Some(from), Some(to)) = (from.cloned(), to.cloned()) else { return Err(unknown("point", &lower)) };
    let at = format!("at_{}", new.id);
    let draw = sheet::between(rig, from.draw, to.draw);
    rig.points.push(Point {
        id: at.clone(),
        x: half(from.x, to.x)?,
        y: half(from.y, to.y)?,
        fixed: false,
        draw,
    });
    part_of(rig, &above)?.at[0].clone_from(&at);
    part_of(rig, below)?.held_by = Support::Part(new.id.to_string());
    rig.parts.push(new.part(line, &[&lower, &at], Support::Part(above))?);
    Ok(())
}

fn half(a: Length, b: Length) -> Result<Length, RigError> {
    Length::metres(f64::midpoint(a.to_metres(), b.to_metres()))
        .ok_or_else(|| RigError::new("points", "a place without end", "move its points first"))
}

/// A pulley in a rope's path. What the rope is held by stays: past a lost pulley it runs straight.
pub(super) fn pulley(
    rig: &mut Rig,
    new: &New<'_>,
    rope: &str,
    after: &str,
    to: &str,
) -> Result<(), RigError> {
    let holder = holder_at(rig, to)?.id.clone();
    if hangs_on(rig, &holder, |part| part.id == rope) {
        let what = format!("{holder} hangs on the rope itself");
        return Err(RigError::new("to", what, "choose the point of an anchor"));
    }
    let own = rig.ropes.iter_mut().find(|r| r.id == rope).ok_or_else(|| unknown("rope", rope))?;
    if own.path.iter().any(|at| at == to) {
        let what = format!("{} runs over “{to}” already", own.label);
        return Err(RigError::new("to", what, "choose another point"));
    }
    let place = own.path.iter().position(|at| at == after);
    let Some(place) = place.filter(|place| place + 1 < own.path.len()) else {
        let what = format!("{} does not run on past “{after}”", own.label);
        return Err(RigError::new("after", what, "choose a point of its path, but its last"));
    };
    own.path.insert(place + 1, to.to_string());
    let line = own.line;
    let mut part = new.part(line, &[to], Support::Part(holder))?;
    part.efficiency = Some(assumed_efficiency(rig)?);
    rig.parts.push(part);
    Ok(())
}

/// As the rig's other pulleys, or what the templates assume.
fn assumed_efficiency(rig: &Rig) -> Result<Band, RigError> {
    if let Some(known) = rig.parts.iter().find_map(|p| p.efficiency.clone()) {
        return Ok(known);
    }
    let ratio =
        |v| Ratio::new(v).ok_or_else(|| RigError::new("efficiency", "not a number", "write it like 0.9"));
    let words = "loss of 10 % a sheave, planning value of rigging manuals, from memory";
    let cited = Cited { words: words.into(), standing: Standing::Assumption };
    Ok(Band { low: ratio(0.8)?, nominal: ratio(0.9)?, high: ratio(0.95)?, cited })
}

/// Edge protection under what meets the edge at a point.
pub(super) fn edge(rig: &mut Rig, id: &str, label: &str, at: &str) -> Result<(), RigError> {
    let here = |kind: PartKind| rig.parts.iter().any(|p| p.kind == kind && p.at.iter().any(|a| a == at));
    let crossed = rig.ropes.iter().any(|r| r.path.iter().skip(1).any(|p| p == at));
    if !here(PartKind::EdgeLip) || !crossed {
        let what = format!("no rope meets the edge’s lip at “{at}”");
        return Err(RigError::new("at", what, "choose the point where a rope meets the lip"));
    }
    if here(PartKind::EdgeProtection) {
        return Err(RigError::new(
            "at",
            "there is edge protection already",
            "change that, or take it out first",
        ));
    }
    let new = New { id, label, kind: PartKind::EdgeProtection };
    let line = rig.ropes.iter().find(|r| r.path.iter().any(|p| p == at)).map_or(Line::Shared, |r| r.line);
    rig.parts.push(new.part(line, &[at], Support::Ground)?);
    Ok(())
}
