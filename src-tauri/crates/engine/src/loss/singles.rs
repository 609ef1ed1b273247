//! What is lost one at a time: each part, each hand and each person in two ways, each common cause.

use super::Loss;
use crate::support::{HandMode, Lost, Model};
use rig::findings::{LossFinding, LossMode};
use rig::model::Group;

const WAYS: [(LossMode, HandMode, &str); 2] = [
    (LossMode::HandOff, HandMode::Off, ", hand off"),
    (LossMode::FreezesOn, HandMode::Frozen, " freezes on"),
];

/// Every single loss, in the order of the rig: parts, hands, persons with two tasks, common causes.
pub fn singles(model: &Model<'_>) -> Vec<Loss> {
    let rig = model.rig;
    let there = rig.parts.iter().enumerate().filter(|(i, _)| !model.absent[*i]);
    let parts = there.map(|(i, part)| Loss {
        ids: vec![part.id.clone()],
        group: None,
        label: part.label.clone(),
        mode: LossMode::Part,
        lost: Lost { parts: vec![i], hands: Vec::new() },
    });
    let hands = model.hands_at_work().flat_map(|i| together(model, &[i], &rig.hands[i].role));
    let persons = persons(model).into_iter().flat_map(|tasks| {
        let label = format!("{}, at {} tasks at once", rig.hands[tasks[0]].role, tasks.len());
        together(model, &tasks, &label)
    });
    parts.chain(hands).chain(persons).chain(rig.groups.iter().flat_map(|group| cause(model, group))).collect()
}

/// Hands that let go or freeze on together.
fn together(model: &Model<'_>, hands: &[usize], label: &str) -> [Loss; 2] {
    WAYS.map(|(mode, how, words)| Loss {
        ids: hands.iter().map(|h| model.rig.hands[*h].id.clone()).collect(),
        group: None,
        label: format!("{label}{words}"),
        mode,
        lost: Lost { parts: Vec::new(), hands: hands.iter().map(|h| (*h, how)).collect() },
    })
}

/// Hands at work that are one person: slots of one role.
fn persons(model: &Model<'_>) -> Vec<Vec<usize>> {
    let mut persons: Vec<Vec<usize>> = Vec::new();
    for hand in model.hands_at_work() {
        let role = &model.rig.hands[hand].role;
        match persons.iter_mut().find(|tasks| model.rig.hands[tasks[0]].role == *role) {
            Some(tasks) => tasks.push(hand),
            None => persons.push(vec![hand]),
        }
    }
    persons.retain(|tasks| tasks.len() > 1);
    persons
}

/// A common cause; one that takes hands too is lost in both ways: they let go, or freeze on.
fn cause(model: &Model<'_>, group: &Group) -> Vec<Loss> {
    let parts: Vec<usize> =
        group.members.iter().filter_map(|id| model.index.get(id.as_str()).copied()).collect();
    let hands: Vec<usize> = group
        .members
        .iter()
        .filter_map(|id| model.hand_index.get(id.as_str()).copied())
        .filter(|hand| model.hands_at_work().any(|at_work| at_work == *hand))
        .collect();
    let one = |how: HandMode, words: &str| Loss {
        ids: group.members.clone(),
        group: Some(group.id.clone()),
        label: format!("{}{words}", group.label),
        mode: LossMode::CommonCause,
        lost: Lost { parts: parts.clone(), hands: hands.iter().map(|h| (*h, how)).collect() },
    };
    if hands.is_empty() {
        return vec![one(HandMode::Off, "")];
    }
    WAYS.map(|(_, how, words)| one(how, words)).into()
}

/// Of a common cause's two ways only the worse is told; `losses` stand worst first.
pub fn worst_of_each_cause(losses: &mut Vec<LossFinding>) {
    let mut told: Vec<String> = Vec::new();
    losses.retain(|loss| match &loss.group {
        Some(id) if told.contains(id) => false,
        Some(id) => {
            told.push(id.clone());
            true
        }
        None => true,
    });
}
