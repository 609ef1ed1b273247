//! What a haul team holds of a rope at the instant of a loss is not known, and a hitch of its system grips that rope on its way. So
//! the team is taken to let go: the load runs back until the progress capture has set, which is no less than what it drops while
//! they hold on.

use super::Called;
use super::of_rig::{self, After, Instead};
use super::setting::Setting;
use crate::case::Case;
use crate::loss::{self, Loss};
use crate::statics::{Crossing, RopeRun};
use crate::support::{HandMode, Hold, Model};
use rig::findings::{FallOutcome, LossFinding};
use rig::guidelines::Guidelines;
use rig::model::{HandTask, PartKind};

/// What there is to reckon after a loss, and the case it is reckoned in where the haul team is taken to let go.
pub fn setting(
    model: &Model<'_>,
    guidelines: &Guidelines,
    intact: &Case,
    (finding, case, loss): &(LossFinding, Case, Loss),
    called: &Called,
) -> (Result<Setting, Instead>, Option<Case>) {
    let of = |finding, case, loss, team_lets_go| {
        let after = After { loss, finding, case, team_lets_go };
        of_rig::setting(model, guidelines, intact, &after, called)
    };
    let own = of(finding, case, loss, false);
    if !own.as_ref().is_err_and(|(outcome, _)| *outcome == FallOutcome::NotComputed) {
        return (own, None);
    }
    match let_go(model, case, loss).map(|loss| (loss::judge(model, guidelines, intact, &loss), loss)) {
        // Without the team nothing is left: whether they hold is what it comes to, and that is not known.
        Some(((_, case), _)) if case.outcome.load == Hold::Not => (own, None),
        Some(((finding, case), loss)) => (of(&finding, &case, &loss, true), Some(case)),
        None => (own, None),
    }
}

/// A loss with every haul team's hands off; `None`: no rope that catches the load is in their hands.
fn let_go(model: &Model<'_>, case: &Case, loss: &Loss) -> Option<Loss> {
    let scene = case.scene.as_ref().ok()?;
    let in_hand = |rope: &RopeRun| {
        let gripped = rope.crosses().any(|(_, crossing)| crossing == Crossing::Grip);
        let hitch = |part: usize| model.rig.parts[part].kind == PartKind::HaulHitch;
        rope.bears_load() && (gripped || rope.ends_at.is_none_or(hitch))
    };
    if !scene.ropes.iter().any(in_hand) {
        return None;
    }
    let hands = model.rig.hands.iter().enumerate();
    let hauling =
        hands.filter(|(n, own)| own.task == HandTask::Haul && loss.lost.hand(*n) == HandMode::Works);
    let off: Vec<(usize, HandMode)> = hauling.map(|(n, _)| (n, HandMode::Off)).collect();
    if off.is_empty() {
        return None;
    }
    let mut loss = loss.clone();
    loss.lost.hands.extend(off);
    Some(loss)
}
