//! What becomes of the load when one thing is lost: every part, every hand in two ways, every common
//! cause; and which pairs drop it.

mod pairs;
mod singles;
mod words;

pub use pairs::critical_pairs;
pub use singles::{singles, worst_of_each_cause};

use crate::case::Case;
use crate::margin;
use crate::statics::Forces;
use crate::support::{HandMode, Hold, Lost, Model};
use rig::findings::{HandsOff, LossFinding, LossMode, LossVerdict, Survivor, Verdict};
use rig::guidelines::Guidelines;
use rig::model::{HandTask, PartKind};

/// One thing that is lost.
#[derive(Clone, Debug)]
pub struct Loss {
    /// Ids.
    pub ids: Vec<String>,
    /// Id of the common cause, when it is one.
    pub group: Option<String>,
    /// Its name.
    pub label: String,
    /// How it is lost.
    pub mode: LossMode,
    /// By index.
    pub lost: Lost,
}

/// What decides a loss besides support.
struct Weighed {
    overloaded: Option<(String, f64)>,
    /// Why it cannot be said, each reason once.
    unknown: Vec<String>,
    /// Survivors without a rating.
    unrated: Vec<String>,
    weakest: Option<Survivor>,
}

/// Judges one loss against the rig with nothing lost.
pub fn judge(model: &Model<'_>, guidelines: &Guidelines, intact: &Case, loss: &Loss) -> (LossFinding, Case) {
    let case = Case::new(model, &loss.lost);
    let mut finding = LossFinding {
        lost: loss.ids.clone(),
        group: loss.group.clone(),
        label: loss.label.clone(),
        mode: loss.mode,
        verdict: LossVerdict::Dropped,
        moves: false,
        words: "nothing is left that holds the load".into(),
        acts: Vec::new(),
        weakest: None,
        path: Vec::new(),
        fall: None,
    };
    if case.outcome.load == Hold::Not {
        let whom = model.unheld_bodies(&case.outcome, &loss.lost);
        if !whom.is_empty() && whom.len() < model.rig.load.bodies.len() {
            finding.words = format!("nothing is left that holds {}", whom.join(" and "));
        }
        return (finding, case);
    }
    let weighed = weigh(model, guidelines, intact, &case, loss);
    finding.moves = moves(model, intact, &case, loss);
    finding.acts = words::acts(model, &case).into_iter().map(|(role, _)| role).collect();
    finding.path =
        (0..model.parts()).filter(|p| case.outcome.path[*p]).map(|p| model.rig.parts[p].id.clone()).collect();
    // What it would be if everything that is unknown stood.
    let (verdict, mut words) = match case.outcome.load {
        Hold::IfActs | Hold::IfGrips => (LossVerdict::HeldIfActs, words::held_only_if(model, &case)),
        _ if finding.moves => (LossVerdict::Moves, words::moves_onto(model, intact, &case, &loss.lost)),
        _ => (LossVerdict::Held, "held".into()),
    };
    // Its rating was set by the team: what lies behind a lip that broke is judged, not known.
    let lip = |part: &usize| model.rig.parts[*part].kind == PartKind::EdgeLip;
    if loss.lost.parts.iter().any(lip) {
        words.push_str("; what lies behind the edge is the team’s judgement");
    }
    if let Ok(scene) = &case.scene {
        scene.ran_on_cord(model).iter().for_each(|taken| words.push_str(&format!("; {taken}")));
    }
    let unknown = words::unknown(&weighed.unknown, &weighed.unrated);
    (finding.verdict, finding.words) = match (&weighed.overloaded, unknown) {
        (Some((who, margin)), _) => (
            LossVerdict::Overloaded,
            format!("overloaded: {who} is left with {} of what it must bear", margin::ratio(*margin)),
        ),
        (None, Some(why)) if case.outcome.load == Hold::Unknown => {
            (LossVerdict::NotChecked, format!("not checked: {why}"))
        }
        (None, Some(why)) => (LossVerdict::NotChecked, format!("not checked: {why}; otherwise {words}")),
        (None, None) => (verdict, words),
    };
    if !matches!(case.outcome.load, Hold::IfActs | Hold::IfGrips) {
        finding.acts.clear();
    }
    // With a survivor unrated, which is the weakest is unknown.
    finding.weakest = weighed.weakest.filter(|_| weighed.unrated.is_empty());
    (finding, case)
}

/// Survivors against what they carry now.
fn weigh(model: &Model<'_>, guidelines: &Guidelines, intact: &Case, case: &Case, loss: &Loss) -> Weighed {
    let mut out = Weighed { overloaded: None, unknown: Vec::new(), unrated: Vec::new(), weakest: None };
    if case.outcome.load == Hold::Unknown {
        out.unknown.push(words::unsure_grip(model, case));
    }
    let forces = match &case.forces {
        Ok(forces) => forces,
        Err(why) => {
            out.unknown.push(why.clone());
            return out;
        }
    };
    let required = guidelines.required_after_loss.value;
    for (part, force) in forces.parts.iter().enumerate() {
        let own = &model.rig.parts[part];
        let high = force[2];
        let bare_lip = own.kind == PartKind::EdgeLip && high > 0.0;
        if !(case.outcome.path[part] || bare_lip) || high < 1e-6 {
            continue;
        }
        match margin::strength(model.rig, own) {
            Some(strength) => {
                let margin = strength / high;
                if margin < required && out.overloaded.as_ref().is_none_or(|(_, m)| margin < *m) {
                    out.overloaded = Some((own.label.clone(), margin));
                }
                if out.weakest.as_ref().is_none_or(|w| margin < w.margin) {
                    out.weakest = Some(Survivor { id: own.id.clone(), label: own.label.clone(), margin });
                }
            }
            // What a wearer cannot double is named apart every time; it counts here once a loss loads it more.
            None if own.always_critical && !grows(intact, part, high) => {}
            None => out.unrated.push(own.label.clone()),
        }
    }
    out.unknown.extend(unknown_place(model, intact, case, loss));
    let weight = model.rig.load.mass.to_kilograms() * rig::quantity::G;
    anchored_by_hand(model, case, forces, &mut out);
    if case.hangs_on_haulers(model) {
        out.unknown.push("what the hands on the haul line hold is unknown".into());
    }
    match case.grip(model) {
        Ok(Some((holds, part))) if holds < weight => {
            let margin = holds / weight;
            let who = words::gripper(model, case, part);
            if out.overloaded.as_ref().is_none_or(|(_, m)| margin < *m) {
                out.overloaded = Some((who, margin));
            }
        }
        Ok(_) => {}
        Err(part) => {
            let label = &model.rig.parts[part].label;
            out.unknown.push(format!("what hands hold through {label} is unknown"));
        }
    }
    out
}

/// What a person holds as an anchor, or on a guide line, against that person's force at its low end.
fn anchored_by_hand(model: &Model<'_>, case: &Case, forces: &Forces, out: &mut Weighed) {
    let holds = |hand: &usize| case.outcome.hands[*hand] && model.rig.hands[*hand].task != HandTask::Haul;
    for hand in (0..model.rig.hands.len()).filter(holds) {
        let own = &model.rig.hands[hand];
        let held =
            (0..model.parts()).filter(|part| case.outcome.path[*part] && model.rests_on_hand(*part, hand));
        let force =
            held.map(|part| forces.parts[part][2]).fold(None, |a: Option<f64>, b| Some(a.unwrap_or(0.0) + b));
        match (force, &own.grip) {
            (Some(force), Some(grip)) if grip.low.to_newtons() >= force => {}
            (Some(force), Some(grip)) => {
                let margin = grip.low.to_newtons() / force;
                if out.overloaded.as_ref().is_none_or(|(_, m)| margin < *m) {
                    out.overloaded = Some((own.role.clone(), margin));
                }
            }
            _ => out.unknown.push(format!("what {} holds is unknown", own.role)),
        }
    }
}

/// Why it is not known where what is left comes to lie; nothing where it is.
fn unknown_place(model: &Model<'_>, intact: &Case, case: &Case, loss: &Loss) -> Vec<String> {
    let mut unknown = Vec::new();
    edge(model, loss, &mut unknown);
    unknown.extend(run_on_cord(model, intact, case));
    unknown
}

/// A ring that falls back within its own rule runs along its cord to a place that is not solved.
pub fn run_on_cord(model: &Model<'_>, intact: &Case, case: &Case) -> Vec<String> {
    let mut unknown = Vec::new();
    for part in (0..model.parts()).filter(|p| model.rig.parts[*p].kind == PartKind::Ring) {
        let fell = |id: &usize| matches!((intact.outcome.borne[*id], case.outcome.borne[*id]), (Some(b), Some(n)) if n > b);
        let known = case.scene.as_ref().is_ok_and(|scene| scene.on_cord.iter().any(|cord| cord.ring == part));
        if case.outcome.path[part] && model.backups_of(part).iter().any(fell) && !known {
            let label = &model.rig.parts[part].label;
            unknown.push(format!("where {label} runs to, and what its legs then carry, is unknown"));
        }
    }
    unknown
}

fn grows(intact: &Case, part: usize, high: f64) -> bool {
    intact.forces.as_ref().map_or(true, |f| high > f.parts[part][2] * (1.0 + 1e-9))
}

/// A rope without its roller bears on the lip, and a lip that breaks leaves it on whatever lies behind.
fn edge(model: &Model<'_>, loss: &Loss, unknown: &mut Vec<String>) {
    for part in &loss.lost.parts {
        let own = &model.rig.parts[*part];
        let lip =
            |id: &String| model.rig.parts.iter().find(|p| p.kind == PartKind::EdgeLip && p.at.contains(id));
        match own.kind {
            PartKind::EdgeProtection if own.at.iter().filter_map(lip).next().is_none() => {
                unknown.push("what the rope then bears on is unknown".into());
            }
            // The rope that ran through it comes down on the edge.
            PartKind::HighDirectional | PartKind::Strut | PartKind::Guy => {
                unknown.push("what the ropes then bear on is unknown".into());
            }
            PartKind::Pulley
                if own.at.first().is_some_and(|id| crate::statics::corner::at_head(model, id)) =>
            {
                unknown.push("what the rope then bears on is unknown".into());
            }
            PartKind::EdgeLip if own.strength.is_none() => {
                unknown.push("what the ropes then bear on is unknown".into());
            }
            _ => {}
        }
    }
}

/// Whether the load drops or swings before it is held.
fn moves(model: &Model<'_>, intact: &Case, case: &Case, loss: &Loss) -> bool {
    let onto_backup = intact
        .outcome
        .borne
        .iter()
        .zip(&case.outcome.borne)
        .any(|(before, now)| matches!((before, now), (Some(b), Some(n)) if n > b));
    let straightened = case.scene.as_ref().is_ok_and(|s| s.straightened)
        && !intact.scene.as_ref().is_ok_and(|s| s.straightened);
    let swings = match (&intact.forces, &case.forces) {
        (Ok(before), Ok(now)) => now.ways.iter().any(|(part, way)| {
            let was = before.ways.iter().find(|(p, _)| p == part).map(|(_, way)| *way);
            was.is_some_and(|was| turned(was, *way))
        }),
        // Where it comes to rest is not known: nothing says that it stays.
        (Ok(_), Err(_)) => true,
        _ => false,
    };
    let at_edge = loss
        .lost
        .parts
        .iter()
        .any(|p| matches!(model.rig.parts[*p].kind, PartKind::EdgeProtection | PartKind::EdgeLip));
    case.ropes_gone || onto_backup || straightened || swings || at_edge
}

/// Whether a tie pulls another way than it did, by more than a thousandth.
fn turned(was: (f64, f64), now: (f64, f64)) -> bool {
    let cross = was.0 * now.1 - was.1 * now.0;
    cross.abs() > 1e-3 || was.0 * now.0 + was.1 * now.1 < 0.0
}

/// Everyone lets go at once.
pub fn everyone(model: &Model<'_>) -> Loss {
    let hands: Vec<(usize, HandMode)> = model.hands_at_work().map(|h| (h, HandMode::Off)).collect();
    Loss {
        group: None,
        ids: Vec::new(),
        label: "everyone lets go".into(),
        mode: LossMode::HandOff,
        lost: Lost { parts: Vec::new(), hands },
    }
}

/// Everyone lets go at once. Judged by support and by what closed devices hold; strengths stand with the parts.
pub fn hands_off(model: &Model<'_>, intact: &Case) -> HandsOff {
    let loss = everyone(model);
    let case = Case::new(model, &loss.lost);
    let moves = case.outcome.load != Hold::Not && moves(model, intact, &case, &loss);
    let weight = model.rig.load.mass.to_kilograms() * rig::quantity::G;
    let slips = matches!(case.grip(model), Ok(Some((holds, _))) if holds < weight);
    let (verdict, words) = match case.outcome.load {
        Hold::Not => (Verdict::FallsShort, "nothing holds the load when everyone lets go".to_string()),
        Hold::IfActs | Hold::IfGrips => (Verdict::FallsShort, "the load hangs on a hand".to_string()),
        Hold::Unknown => (Verdict::NotChecked, words::unsure_grip(model, &case)),
        Hold::Held if slips => {
            (Verdict::FallsShort, "closed devices slip under this load (slip force assumed)".to_string())
        }
        Hold::Held if moves => (
            Verdict::NotChecked,
            "the load runs back until it is caught; how far is not computed here".to_string(),
        ),
        Hold::Held if loss.lost.hands.is_empty() => {
            (Verdict::Holds, "no hand is at work in this state".to_string())
        }
        Hold::Held => (Verdict::Holds, "devices close when released".to_string()),
    };
    HandsOff { verdict, moves, words }
}
