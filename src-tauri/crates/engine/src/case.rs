//! One state of a rig with one thing lost (or nothing): what is held, and the forces then.

use crate::statics::{self, Forces, RopeRun, Scene};
use crate::support::{HandMode, Hold, Lost, Model, Outcome};
use rig::model::{DeviceState, HandTask, PartKind, Sliding};

/// What is held and what it carries.
#[derive(Clone, Debug)]
pub struct Case {
    /// What is held.
    pub outcome: Outcome,
    /// What carries; in words why it could not be said.
    pub scene: Result<Scene, String>,
    /// The forces; in words why they are not solved.
    pub forces: Result<Forces, String>,
    /// Which way rope slides now.
    pub motion: Sliding,
    /// Ropes that carried and no longer do.
    pub ropes_gone: bool,
}

impl Case {
    /// Solves a case.
    pub fn new(model: &Model<'_>, lost: &Lost) -> Case {
        let outcome = model.solve(lost);
        let ropes_gone = model.carriers.iter().any(|rope| !outcome.alive[*rope]);
        let mut scene = if outcome.load == Hold::Not {
            Err("the load is not held".to_string())
        } else {
            Scene::new(model, &outcome, &lost.parts)
        };
        if let Ok(scene) = &mut scene {
            scene.stands = stands(model, lost, scene);
        }
        let motion = motion(model, &outcome, ropes_gone);
        let forces = match &scene {
            Ok(scene) => solved_once(model, &outcome, motion, scene),
            Err(why) => Err(why.clone()),
        };
        Case { outcome, scene, forces, motion, ropes_gone }
    }

    /// Whether the load hangs on hands at the end of a rope, and nothing surer holds it.
    pub fn hangs_on_haulers(&self, model: &Model<'_>) -> bool {
        let by_hand = matches!(self.outcome.load, Hold::IfActs | Hold::IfGrips);
        let free_end = self
            .scene
            .as_ref()
            .is_ok_and(|scene| scene.ropes.iter().any(|r| self.outcome.path[r.part] && r.ends_at.is_none()));
        by_hand && free_end && (0..model.rig.hands.len()).any(|h| self.outcome.hands[h])
    }

    /// What the grips and edges of the ropes that carry can hold together at the load’s end, N, at the low
    /// end of their ranges, with the weakest of them. `None`: no limit is known to matter (tied off, or
    /// hands on the haul line); `Err`: one is needed and unknown.
    pub fn grip(&self, model: &Model<'_>) -> Result<Option<(f64, usize)>, usize> {
        let Ok(scene) = &self.scene else { return Ok(None) };
        let mut sum = 0.0;
        let mut weakest: Option<(f64, usize)> = None;
        for rope in scene.ropes.iter().filter(|r| self.outcome.path[r.part]) {
            let Some(part) = rope.ends_at else { return Ok(None) };
            let Some(grip) = self.outcome.grips[part] else { return Ok(None) };
            if grip.tied_off {
                return Ok(None);
            }
            let at_device = match grip.act {
                Some(act) if act.verb != crate::support::Verb::Releases => {
                    hand_force(model, part, act.hand).ok_or(part)?
                }
                _ => model.rig.parts[part].device.as_ref().map_or(0.0, |d| d.closed.low.to_newtons()),
            };
            let edges = rope.path.iter().filter(|p| is_edge(model, **p)).count();
            let friction = model.rig.edge.friction.low.value();
            let at_load = (0..edges).fold(at_device, |force, _| force * friction);
            sum += at_load;
            if weakest.is_none_or(|(least, _)| at_load < least) {
                weakest = Some((at_load, part));
            }
        }
        Ok(weakest.map(|(_, part)| (sum, part)))
    }
}

/// What carries: cases that leave the same are solved once.
#[derive(Debug, PartialEq)]
pub struct Survivors {
    // What differs most often comes first: it is compared first.
    path: Vec<bool>,
    carrying: Vec<bool>,
    alive: Vec<bool>,
    motion: Sliding,
    scene: Scene,
}

/// The forces of what carries, from an earlier case that left the same, if there was one.
fn solved_once(
    model: &Model<'_>,
    outcome: &Outcome,
    motion: Sliding,
    scene: &Scene,
) -> Result<Forces, String> {
    let key = Survivors {
        scene: scene.clone(),
        motion,
        path: outcome.path.clone(),
        alive: outcome.alive.clone(),
        carrying: outcome.carrying.clone(),
    };
    if let Some((_, known)) = model.solved.borrow().iter().find(|(known, _)| *known == key) {
        return known.clone();
    }
    let found = statics::solve(model, outcome, motion, scene);
    model.solved.borrow_mut().push((key, found.clone()));
    found
}

/// What a hand holds through a device at the low end: residual + gain × grip, N.
fn hand_force(model: &Model<'_>, part: usize, hand: usize) -> Option<f64> {
    let device = model.rig.parts[part].device.as_ref()?;
    let grip = model.rig.hands[hand].grip.as_ref()?.low.to_newtons();
    Some(device.residual.as_ref()?.low.to_newtons() + device.gain.as_ref()?.low.value() * grip)
}

fn is_edge(model: &Model<'_>, point: usize) -> bool {
    let id = &model.rig.points[point].id;
    let at_edge = |kind| matches!(kind, PartKind::EdgeProtection | PartKind::EdgeLip);
    model.rig.parts.iter().any(|p| at_edge(p.kind) && p.at.contains(id))
}

/// The rope whose operator let go, so that its device closed, while another operator still lets rope run.
fn stands(model: &Model<'_>, lost: &Lost, scene: &Scene) -> Option<usize> {
    let operated = |rope: &RopeRun, mode: HandMode| {
        let Some(part) = rope.ends_at else { return false };
        let open = model.state.devices.get(&model.rig.parts[part].id) == Some(&DeviceState::Open);
        let operators = model.hands_on(part, &[HandTask::Operator]);
        open && operators.iter().any(|hand| lost.hand(*hand) == mode)
    };
    let stopped = scene.ropes.iter().position(|rope| operated(rope, HandMode::Off))?;
    scene.ropes.iter().any(|rope| operated(rope, HandMode::Works)).then_some(stopped)
}

/// A load that sinks onto what is left slides down; a raise that lost its haulers runs back.
fn motion(model: &Model<'_>, outcome: &Outcome, ropes_gone: bool) -> Sliding {
    if ropes_gone {
        return Sliding::Lowering;
    }
    let hauled = outcome.hands.iter().any(|h| *h);
    match model.state.motion {
        Sliding::Raising if !hauled => Sliding::Lowering,
        motion => motion,
    }
}
