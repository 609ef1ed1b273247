//! Losses in the trade's words.

use crate::case::Case;
use crate::support::{Act, Hold, Lost, Model, Verb};
use rig::model::PartKind;

/// Roles the load hangs on with what each must do, in the order of the rig.
pub fn acts(model: &Model<'_>, case: &Case) -> Vec<(String, &'static str)> {
    let mut acts: Vec<Act> = (0..model.parts())
        .filter(|p| case.outcome.path[*p] && matches!(case.outcome.parts[*p], Hold::IfActs | Hold::IfGrips))
        .filter_map(|p| case.outcome.grips[p].and_then(|g| g.act))
        .collect();
    acts.extend(
        (0..case.outcome.hands.len())
            .filter(|h| case.outcome.hands[*h])
            .map(|hand| Act { hand, verb: Verb::KeepsHold }),
    );
    acts.sort();
    acts.dedup();
    acts.into_iter().map(|a| (model.rig.hands[a.hand].role.clone(), a.verb.words())).collect()
}

/// "held only if rope two operator releases".
pub fn held_only_if(model: &Model<'_>, case: &Case) -> String {
    let acts = acts(model, case);
    let list: Vec<String> = acts.iter().map(|(role, verb)| format!("{role} {verb}")).collect();
    format!("held only if {}", list.join(" and "))
}

/// Who grips: the hand by role, or the device that slips.
pub fn gripper(model: &Model<'_>, case: &Case, part: usize) -> String {
    let label = &model.rig.parts[part].label;
    match case.outcome.grips[part].and_then(|g| g.act) {
        Some(act) if act.verb != Verb::Releases => {
            format!("{} at {label}", model.rig.hands[act.hand].role)
        }
        _ => format!("{label}, closed, slips and"),
    }
}

/// Reasons in one sentence; `None` when there are none. Of many unrated survivors the first three are named.
pub fn unknown(reasons: &[String], unrated: &[String]) -> Option<String> {
    let mut all: Vec<String> = reasons.to_vec();
    match unrated {
        [] => {}
        [one] => all.push(format!("{one} has no rating")),
        some if some.len() <= 3 => all.push(format!("{} have no rating", some.join(", "))),
        [a, b, c, rest @ ..] => all.push(format!("{a}, {b}, {c} and {} more have no rating", rest.len())),
        _ => {}
    }
    (!all.is_empty()).then(|| all.join("; "))
}

/// Which grip cannot be relied on.
pub fn unsure_grip(model: &Model<'_>, case: &Case) -> String {
    let unsure = (0..model.parts()).find(|p| case.outcome.grips[*p].is_some_and(|g| g.hold == Hold::Unknown));
    match unsure {
        Some(part) if model.misfits(part) => {
            format!("whether {} grips a rope of this diameter is unknown", model.rig.parts[part].label)
        }
        Some(part) => format!("whether {} closes is unknown", model.rig.parts[part].label),
        None => "whether it is held is unknown".into(),
    }
}

/// "moves onto V leg 1b": the survivor of the load's path that takes on most.
pub fn moves_onto(model: &Model<'_>, intact: &Case, case: &Case, lost: &Lost) -> String {
    let (Ok(before), Ok(now)) = (&intact.forces, &case.forces) else { return "moves".into() };
    let bears = |kind| {
        matches!(
            kind,
            PartKind::Sling
                | PartKind::CordLeg
                | PartKind::Rope
                | PartKind::ProgressCapture
                | PartKind::Tether
                | PartKind::BackupCord
                | PartKind::EdgeLip
        )
    };
    let grown = (0..model.parts())
        .filter(|p| bears(model.rig.parts[*p].kind) && !lost.part(*p))
        .map(|p| (now.parts[p][1] - before.parts[p][1], p))
        .filter(|(more, _)| *more > 1.0)
        // The first of equals, so that the words do not hang on rounding.
        .fold(None::<(f64, usize)>, |best, one| match best {
            Some(best) if one.0 <= best.0 + 1e-6 => Some(best),
            _ => Some(one),
        });
    match grown {
        Some((_, part)) => format!("moves onto {}", model.rig.parts[part].label),
        None => "moves; held after a drop or a swing".into(),
    }
}
