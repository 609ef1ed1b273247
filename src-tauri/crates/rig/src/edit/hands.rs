//! Hands at work, and what shares one fate.

use super::unknown;
use crate::error::RigError;
use crate::model::{Group, Hand, HandTask, Rig};

/// A hand, at work wherever hands are. How strong its grip is, is not known.
pub(super) fn add(
    rig: &mut Rig,
    id: &str,
    role: &str,
    task: HandTask,
    works: &[String],
    people: u32,
) -> Result<(), RigError> {
    let role = role.trim().to_string();
    rig.hands.push(Hand { id: id.into(), role, task, works: Vec::new(), grip: None, people });
    self::works(rig, id, works)?;
    let nobody = rig.states.iter().all(|s| s.hands.is_empty());
    for state in rig.states.iter_mut().filter(|s| nobody || !s.hands.is_empty()) {
        state.hands.push(id.into());
    }
    Ok(())
}

/// What a hand works.
pub(super) fn works(rig: &mut Rig, id: &str, works: &[String]) -> Result<(), RigError> {
    for wanted in works {
        let part = rig.part(wanted).ok_or_else(|| unknown("part", wanted))?;
        if part.device.is_none() && rig.rope(wanted).is_none() {
            let what = format!("{} is nothing that a hand works", part.label);
            return Err(RigError::new(id, what, "choose a device, a hitch or a rope"));
        }
    }
    let hand = rig.hands.iter_mut().find(|h| h.id == id).ok_or_else(|| unknown("hand", id))?;
    if works.is_empty() {
        let what = format!("{} works nothing", hand.role);
        return Err(RigError::new(id, what, "choose what it works, or take the hand away"));
    }
    hand.works = works.to_vec();
    Ok(())
}

/// Takes a hand away, unless something hangs on its strength alone.
pub(super) fn remove(rig: &mut Rig, id: &str) -> Result<(), RigError> {
    let hand = rig.hand(id).ok_or_else(|| unknown("hand", id))?;
    let gone = |held: &crate::model::Support| super::remove::without(held, id);
    if let Some(part) = rig.parts.iter().find(|p| gone(&p.held_by).is_none()) {
        let what = format!("{} would hang on nothing without {}", part.label, hand.role);
        return Err(RigError::new(id, what, "put in what holds it first"));
    }
    for part in &mut rig.parts {
        if let Some(left) = gone(&part.held_by) {
            part.held_by = left;
        }
    }
    let bare =
        || RigError::new(id, "the load would hang on nothing without it", "put in what holds it first");
    rig.load.held_by = gone(&rig.load.held_by).ok_or_else(bare)?;
    for body in &mut rig.load.bodies {
        body.held_by = gone(&body.held_by).ok_or_else(bare)?;
    }
    rig.hands.retain(|h| h.id != id);
    rig.states.iter_mut().for_each(|s| s.hands.retain(|h| h != id));
    rig.groups.iter_mut().for_each(|g| g.members.retain(|m| m != id));
    rig.groups.retain(|g| !g.members.is_empty());
    Ok(())
}

/// A common cause, new or made anew.
pub(super) fn group(rig: &mut Rig, id: &str, label: &str, members: &[String]) -> Result<(), RigError> {
    let label = label.trim().to_string();
    if label.is_empty() {
        return Err(RigError::new(id, "a common cause without words", "say what would happen"));
    }
    let mut members = members.to_vec();
    let mut seen = std::collections::BTreeSet::new();
    members.retain(|m| seen.insert(m.clone()));
    if members.len() < 2 {
        let remedy = "choose two or more that one cause would take";
        return Err(RigError::new(id, "a common cause takes two or more", remedy));
    }
    match rig.groups.iter_mut().find(|g| g.id == id) {
        Some(group) => (group.label, group.members) = (label, members),
        None => rig.groups.push(Group { id: id.into(), label, members }),
    }
    Ok(())
}

/// A common cause no more.
pub(super) fn ungroup(rig: &mut Rig, id: &str) -> Result<(), RigError> {
    let at = rig.groups.iter().position(|g| g.id == id).ok_or_else(|| unknown("common cause", id))?;
    rig.groups.remove(at);
    Ok(())
}
