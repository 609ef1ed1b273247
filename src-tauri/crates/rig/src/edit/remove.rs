//! What is taken out. What hung on it alone hangs on nothing, and is refused by its name, but for two cases that are so in the
//! rig itself: ties come off with what they were tied to, and where a link between two things goes, the two meet.

use super::unknown;
use crate::error::RigError;
use crate::model::{Part, PartKind, Rig, Support};

/// Takes a part out of lists, groups, hands and states, and out of every rule that names it.
pub(super) fn remove(rig: &mut Rig, id: &str) -> Result<(), RigError> {
    let Some(part) = rig.part(id).cloned() else { return Err(unknown("part", id)) };
    if rig.rope(id).is_some() {
        let what = format!("“{}” is a rope", part.label);
        return Err(RigError::new(id, what, "make the rig from another template to do without a rope"));
    }
    if let Some(above) = links(rig, &part) {
        return joined(rig, &part, &above);
    }
    let mut gone = vec![part];
    let mut next = 0;
    while next < gone.len() {
        let off = loose(rig, &gone[next], &gone)?;
        gone.extend(off);
        next += 1;
    }
    for part in &gone {
        strike(rig, part)?;
    }
    for part in &gone {
        unrun(rig, part);
        orphans(rig, part);
    }
    Ok(())
}

fn nothing(id: &str, label: &str) -> RigError {
    let what = format!("{label} would hang on nothing without it");
    RigError::new(id, what, "put in what holds it first, or take that out before")
}

/// Ties that come off with a part: made fast to it, and held by nothing else.
fn loose(rig: &Rig, part: &Part, gone: &[Part]) -> Result<Vec<Part>, RigError> {
    let there = |p: &&Part| !gone.iter().any(|g| g.id == p.id);
    let mut off = Vec::new();
    for held in rig.parts.iter().filter(there) {
        if without(&held.held_by, &part.id).is_some() || keeps_a_guy(rig, held, part) {
            continue;
        }
        let tie = held.kind.is_leg()
            || matches!(held.kind, PartKind::Tether | PartKind::BackupCord | PartKind::Guy);
        let fast = part.at.len() == 1 && held.at.get(1) == part.at.first();
        if !(tie && fast && held.held_by == Support::Part(part.id.clone())) {
            return Err(nothing(&part.id, &held.label));
        }
        off.push(held.clone());
    }
    Ok(off)
}

/// Of a head's guys one may go while another is there; whether its legs then stay down is for the statics to say.
fn keeps_a_guy(rig: &Rig, head: &Part, guy: &Part) -> bool {
    let Support::All(rules) = &head.held_by else { return false };
    let other = |rule: &Support| match rule {
        Support::Part(id) => *id != guy.id && rig.part(id).is_some_and(|p| p.kind == PartKind::Guy),
        _ => false,
    };
    guy.kind == PartKind::Guy
        && head.kind == PartKind::HighDirectional
        && rules.contains(&Support::Part(guy.id.clone()))
        && rules.iter().any(other)
}

/// Takes one part out of everything that names it.
fn strike(rig: &mut Rig, part: &Part) -> Result<(), RigError> {
    let id = part.id.as_str();
    rig.parts.retain(|p| p.id != id);
    for other in &mut rig.parts {
        // What is taken out with it is struck in its turn.
        if let Some(left) = without(&other.held_by, id) {
            other.held_by = left;
        } else if let Support::All(rules) = &mut other.held_by
            && part.kind == PartKind::Guy
            && other.kind == PartKind::HighDirectional
        {
            rules.retain(|rule| *rule != Support::Part(id.to_string()));
        }
    }
    rig.load.held_by = without(&rig.load.held_by, id).ok_or_else(|| nothing(id, "the load"))?;
    for body in &mut rig.load.bodies {
        body.held_by = without(&body.held_by, id).ok_or_else(|| nothing(id, &body.label))?;
    }
    unlist(rig, id);
    Ok(())
}

/// Out of groups, hands, states and joints.
fn unlist(rig: &mut Rig, id: &str) {
    rig.groups.iter_mut().for_each(|g| g.members.retain(|m| m != id));
    rig.groups.retain(|g| !g.members.is_empty());
    rig.hands.iter_mut().for_each(|h| h.works.retain(|w| w != id));
    for state in &mut rig.states {
        state.devices.remove(id);
        state.without.retain(|w| w != id);
    }
    rig.ropes.iter_mut().for_each(|r| r.joints.retain(|j| j.knot != id));
}

/// Without its pulley a rope runs straight past where that was.
fn unrun(rig: &mut Rig, part: &Part) {
    if part.kind != PartKind::Pulley {
        return;
    }
    let Some(at) = part.at.first() else { return };
    let bends = |p: &Part| {
        p.at.first() == Some(at) && (p.device.is_some() || p.kind == PartKind::Pulley || p.kind.is_edge())
    };
    if rig.parts.iter().any(bends) {
        return;
    }
    for rope in rig.ropes.iter_mut().filter(|rope| rope.path.len() > 2) {
        let ends = [rope.path.first().cloned(), rope.path.last().cloned()];
        rope.path.retain(|p| p != at || ends.contains(&Some(p.clone())));
    }
}

/// Points of a part that nothing names any more.
fn orphans(rig: &mut Rig, part: &Part) {
    for at in &part.at {
        let named = rig.parts.iter().any(|p| p.at.contains(at))
            || rig.ropes.iter().any(|r| r.path.contains(at))
            || rig.load.points.contains(at);
        if !named {
            rig.points.retain(|p| p.id != *at);
        }
    }
}

/// What a link hangs on, when it is one: a connector, plate or ring that holds something and hangs on one thing.
fn links(rig: &Rig, part: &Part) -> Option<Support> {
    let holds = rig.parts.iter().any(|p| without(&p.held_by, &part.id).is_none());
    let Support::Part(above) = &part.held_by else { return None };
    let linked = match part.kind {
        PartKind::Connector | PartKind::LoadReleaseHitch => part.at.len() == 2,
        PartKind::Plate | PartKind::Ring => part.at.len() == 1,
        _ => false,
    };
    (holds && linked && rig.part(above).is_some()).then(|| part.held_by.clone())
}

/// A link goes: what hung on it hangs on what it hung on, and its two points are one.
fn joined(rig: &mut Rig, link: &Part, above: &Support) -> Result<(), RigError> {
    rig.parts.retain(|p| p.id != link.id);
    for part in &mut rig.parts {
        part.held_by = instead(&part.held_by, &link.id, above);
    }
    rig.load.held_by = instead(&rig.load.held_by, &link.id, above);
    for body in &mut rig.load.bodies {
        body.held_by = instead(&body.held_by, &link.id, above);
    }
    unlist(rig, &link.id);
    let [low, high] = link.at.as_slice() else { return Ok(()) };
    // The end that is held by the ground stays where it is; else what hangs below comes up.
    let fixed = |id: &String| rig.point(id).is_some_and(|p| p.fixed);
    let (goes, stays) = if fixed(low) && !fixed(high) { (high, low) } else { (low, high) };
    if fixed(low) && fixed(high) {
        let what = format!("{} links two points that the ground holds", link.label);
        return Err(RigError::new(&link.id, what, "move one of them first"));
    }
    let rename = |at: &mut String| {
        if at == goes {
            at.clone_from(stays);
        }
    };
    rig.parts.iter_mut().flat_map(|p| &mut p.at).for_each(rename);
    rig.ropes.iter_mut().flat_map(|r| &mut r.path).for_each(rename);
    rig.load.points.iter_mut().for_each(rename);
    rig.points.retain(|p| p.id != *goes);
    Ok(())
}

/// A rule with another in the place of a part.
fn instead(rule: &Support, id: &str, other: &Support) -> Support {
    let each = |rules: &[Support]| rules.iter().map(|r| instead(r, id, other)).collect();
    match rule {
        Support::Part(named) if named == id => other.clone(),
        Support::Ground | Support::Part(_) => rule.clone(),
        Support::All(rules) => Support::All(each(rules)),
        Support::Any(rules) => Support::Any(each(rules)),
        Support::Backup(rules) => Support::Backup(each(rules)),
    }
}

/// A rule without an id; `None` when nothing is left of it. Of “all of these” nothing is left when one goes.
pub(super) fn without(rule: &Support, id: &str) -> Option<Support> {
    let rest = |rules: &[Support]| rules.iter().filter_map(|r| without(r, id)).collect::<Vec<_>>();
    // A choice of one, where there was a choice, is no choice.
    let choice = |rules: &[Support], make: fn(Vec<Support>) -> Support| {
        let mut left = rest(rules);
        match left.len() {
            0 => None,
            1 if rules.len() > 1 => left.pop(),
            _ => Some(make(left)),
        }
    };
    match rule {
        Support::Ground => Some(Support::Ground),
        Support::Part(named) => (named != id).then(|| rule.clone()),
        Support::All(rules) => {
            let left = rest(rules);
            (left.len() == rules.len()).then_some(Support::All(left))
        }
        Support::Any(rules) => choice(rules, Support::Any),
        Support::Backup(rules) => choice(rules, Support::Backup),
    }
}
