//! What a loss leaves to catch the load, as the rig has it: lengths from its points, grips from its devices and hands.

use super::parameter::{At, Parameters};
use super::setting::{Carried, Hold, Over, Pull, Setting, Strand, Tailer};
use super::swinging::{self, Swings};
use super::{Called, clearance};
use crate::case::Case;
use crate::drop::stepped::MOST_ROPES;
use crate::loss::Loss;
use crate::statics::swinging::swinging;
use crate::statics::{Crossing, Forces, RopeRun, Scene};
use crate::support::{self, HandMode, Model};
use rig::findings::{FallOutcome, LossFinding};
use rig::guidelines::{FallRules, Guidelines};
use rig::model::{Device, DeviceClass, DeviceState, HandTask, Line, PartKind, Sliding};

/// Slack below this, m, is none: what a search for a rest leaves.
const SNUG: f64 = 1e-3;

/// Why there is no fall to reckon, in words.
pub type Instead = (FallOutcome, String);

/// A loss with what it leaves.
pub struct After<'a> {
    pub loss: &'a Loss,
    pub finding: &'a LossFinding,
    pub case: &'a Case,
}

/// What there is to reckon after a loss.
///
/// # Errors
/// What becomes of the load instead: it drops, it stays, or why that is not computed.
pub fn setting(
    model: &Model<'_>,
    guidelines: &Guidelines,
    intact: &Case,
    after: &After<'_>,
    called: &Called,
) -> Result<Setting, Instead> {
    let forces = solved(model, guidelines, intact, after)?;
    let mut making = Making {
        model,
        rules: &guidelines.falls,
        intact,
        after,
        forces,
        called,
        parameters: Parameters::default(),
    };
    making.all()
}

fn not(why: impl Into<String>) -> Instead {
    (FallOutcome::NotComputed, why.into())
}

/// The forces after the loss, unless nothing is left, nothing moves, or what moves is no fall onto ropes.
fn solved<'a>(
    model: &Model<'_>,
    guidelines: &Guidelines,
    intact: &Case,
    after: &After<'a>,
) -> Result<&'a Forces, Instead> {
    let case = after.case;
    if case.outcome.load == support::Hold::Not {
        let (height, below) = clearance(model, 0.0);
        let words = format!("{}: {height:.1} m to the {below}", after.finding.words);
        return Err((FallOutcome::Dropped, words));
    }
    if case.outcome.load == support::Hold::Unknown {
        return Err(not("whether it is caught is not known"));
    }
    let forces = case.forces.as_ref().map_err(|why| not(format!("what is left is not solved: {why}")))?;
    if !after.finding.moves && !case.ropes_gone {
        return Err((FallOutcome::Stays, "the load stays where it is, or goes on as it went".into()));
    }
    // What a bare edge does to ropes that come down on it is unknown even where it is rated.
    let edge = |part: &usize| {
        let own = &model.rig.parts[*part];
        own.kind.is_edge()
    };
    let unknown = crate::loss::unknown_place(model, intact, case, after.loss);
    if let Some(why) = unknown.into_iter().next() {
        return Err(not(why));
    }
    if after.loss.lost.parts.iter().any(edge) {
        return Err(not("what the ropes then bear on is unknown"));
    }
    let required = guidelines.required_after_loss.value;
    if let Some(weak) = after.finding.weakest.as_ref().filter(|weak| weak.margin < required) {
        return Err(not(format!("{} does not bear what it is left with even at rest", weak.label)));
    }
    if model.rig.load.pull.is_some() {
        return Err(not("the load pulls off the vertical: it would swing"));
    }
    let apart = |case: &Case| case.scene.as_ref().is_ok_and(|scene| scene.apart(model).is_some());
    if apart(intact) || apart(case) {
        return Err(not("the ropes leave the load in different directions: it would swing"));
    }
    Ok(forces)
}

struct Making<'a, 'm> {
    model: &'a Model<'m>,
    rules: &'a FallRules,
    intact: &'a Case,
    after: &'a After<'a>,
    forces: &'a Forces,
    called: &'a Called,
    parameters: Parameters,
}

impl Making<'_, '_> {
    fn all(&mut self) -> Result<Setting, Instead> {
        let scene = self.after.case.scene.as_ref().map_err(|why| not(why.clone()))?;
        let lowering = self.model.state.motion == Sliding::Lowering;
        let rules = self.rules;
        let speed = lowering.then(|| {
            self.parameters.spread("speed", "speed of the load at the loss", "m/s", &rules.speed_m_s)
        });
        let damping = self.parameters.spread("damping", "damping time of the rope", "s", &rules.damping_s);
        let bearing: Vec<&RopeRun> = scene.ropes.iter().filter(|rope| rope.bears_load()).collect();
        if scene.tied_load.is_some() || bearing.is_empty() {
            return Err(not("no rope catches it, but ties"));
        }
        if bearing.len() > MOST_ROPES {
            return Err(not(format!("{} ropes catch it at once", bearing.len())));
        }
        let mut strands = Vec::new();
        for rope in bearing {
            strands.push(self.strand(rope)?);
        }
        let goes_on = |s: &Strand| s.loose <= SNUG && s.slack.is_empty() && s.carried == Carried::All;
        if strands.iter().any(goes_on) {
            return Err((
                FallOutcome::Stays,
                "the load goes on as it went: what is lost carried none of it".into(),
            ));
        }
        let still = |s: &Strand| s.loose <= SNUG && s.slack.is_empty();
        if !self.after.case.ropes_gone && strands.iter().all(still) {
            let within = self.after.loss.lost.parts.iter().any(|part| self.model.below_rope(*part));
            return Err(if within {
                not("how far what hung on it drops within the load")
            } else {
                (FallOutcome::Stays, "the load stays: what moved lets loose less than 1 mm of rope".into())
            });
        }
        let swings = self.swings(scene, &strands);
        let pull = match &self.model.rig.edge.slope {
            None => Pull::Free,
            Some(slope) => Pull::Slope(
                slope.angle.to_radians(),
                self.parameters.ratio("slope_friction", "friction of the slope", &slope.friction),
            ),
        };
        Ok(Setting {
            mass: self.model.rig.load.mass.to_kilograms(),
            pull,
            speed,
            damping,
            strands,
            never_acts: self.rules.never_acts.value,
            above_ground: super::hangs_at(self.model),
            swings,
            parameters: std::mem::take(&mut self.parameters),
        })
    }

    /// What holds a device and swings, where rope comes loose by it.
    fn swings(&mut self, scene: &Scene, strands: &[Strand]) -> Option<Result<Swings, String>> {
        if strands.iter().all(|s| s.loose <= SNUG) {
            return None;
        }
        if self.model.rig.edge.slope.is_some() {
            return Some(Err("the load lies on a slope".into()));
        }
        let Ok(before) = &self.intact.forces else {
            return Some(Err("what it carried before is not solved".into()));
        };
        let what = match swinging(self.model, self.after.case.motion, scene, self.forces, before) {
            Ok(what) => what?,
            Err(why) => return Some(Err(why)),
        };
        let mut ropes = Vec::new();
        for strand in strands {
            let run = scene.ropes.iter().find(|r| r.part == strand.rope);
            let Some((run, (device, from))) = run.and_then(|run| Some((run, swinging::ends(run)?))) else {
                return Some(Err("a rope has no way to its device".into()));
            };
            ropes.push((device, from, run.spare.iter().sum()));
        }
        let label = "mass of what holds the device and swings";
        let mass = self.parameters.spread("knot", label, "kg", &self.rules.knot_kg);
        Some(Ok(Swings { what, mass, ropes }))
    }

    fn strand(&mut self, rope: &RopeRun) -> Result<Strand, Instead> {
        let rig = self.model.rig;
        let own = &rig.parts[rope.part];
        if rope.hung_at.is_some() {
            return Err(not("the load hangs on a pulley that runs on its rope"));
        }
        let Some(length) = rig.rope(&own.id) else {
            return Err(not(format!("{} is no rope of this rig", own.label)));
        };
        let (mut below, mut above) = (0.0, 0.0);
        let crossings: Vec<(usize, Crossing)> = rope.crosses().collect();
        let first = crossings.first().map_or(usize::MAX, |(at, _)| *at);
        for (n, ends) in rope.path.windows(2).enumerate() {
            let stretch = self.between(ends[0], ends[1], false);
            if n < first { below += stretch } else { above += stretch }
        }
        if below <= 0.0 {
            return Err(not(format!("{} has no length from the load", own.label)));
        }
        let over = crossings.iter().map(|(_, crossing)| self.over(*crossing)).collect::<Result<_, _>>()?;
        let (carried, belay) = self.carried(rope);
        let mut slack: Vec<At> = belay.into_iter().collect();
        slack.extend(self.runs_back(rope));
        slack.extend(self.backups(rope)?);
        let stiffness = self.parameters.force(
            &format!("stiffness_{}", own.id),
            &format!("stiffness EA of {}", own.label),
            &length.stiffness,
        );
        Ok(Strand {
            rope: rope.part,
            device: rope.ends_at,
            stiffness,
            below,
            above,
            over,
            carried,
            loose: self.loose(rope),
            slack,
            hold: self.hold(rope)?,
            tailer: self.tailer(rope),
        })
    }

    /// From one point to another, m: as placed, or as it came to rest.
    fn between(&self, a: usize, b: usize, at_rest: bool) -> f64 {
        let place = |n: usize| {
            let point = &self.model.rig.points[n];
            if at_rest { self.forces.places[n] } else { (point.x.to_metres(), point.y.to_metres()) }
        };
        let (a, b) = (place(a), place(b));
        libm::hypot(a.0 - b.0, a.1 - b.1)
    }

    fn over(&mut self, crossing: Crossing) -> Result<Over, Instead> {
        let rig = self.model.rig;
        let own = |part: usize| &rig.parts[part];
        Ok(match crossing {
            Crossing::Edge => {
                Over::Ratio(self.parameters.ratio("edge", "tension ratio over the edge", &rig.edge.friction))
            }
            Crossing::Rub(part, turn) => match &own(part).friction {
                Some(mu) => {
                    let label = format!("friction at {}", own(part).label);
                    Over::Rub(self.parameters.ratio(&format!("friction_{}", own(part).id), &label, mu), turn)
                }
                None => return Err(not(format!("{} has no friction", own(part).label))),
            },
            Crossing::Sheave(part) => match &own(part).efficiency {
                Some(eta) => {
                    let label = format!("efficiency of {}", own(part).label);
                    Over::Sheave(self.parameters.ratio(&format!("sheave_{}", own(part).id), &label, eta))
                }
                None => return Err(not(format!("{} has no efficiency", own(part).label))),
            },
            Crossing::Grip => return Err(not("a hitch grips the rope on its way to what holds it")),
        })
    }

    /// Whether a rope runs along without carrying any of the load: a belay that is fed, or one that nothing is left for.
    fn idle(&self, rope: &RopeRun) -> bool {
        let rig = self.model.rig;
        let state = rope.ends_at.and_then(|part| self.model.state.devices.get(&rig.parts[part].id));
        let share = rig.load.share_one.nominal.value();
        let stated = match (rig.load.shares.get(&rig.parts[rope.part].id), rope.line) {
            (Some(own), _) => own.nominal.value(),
            (None, Line::Two) => 1.0 - share,
            (None, _) => share,
        };
        state == Some(&DeviceState::Feeding) || stated <= 0.0
    }

    /// What it carries before the loss, and the slack of a belay that carries nothing.
    fn carried(&mut self, rope: &RopeRun) -> (Carried, Option<At>) {
        let rig = self.model.rig;
        let before: &[RopeRun] = self.intact.scene.as_ref().map_or(&[], |scene| &scene.ropes);
        let bearing: Vec<&RopeRun> = before.iter().filter(|r| r.bears_load()).collect();
        if bearing.len() > 1 && self.idle(rope) {
            let slack =
                self.parameters.spread("belay_slack", "slack in the belay", "m", &self.rules.belay_slack_m);
            return (Carried::Nothing, Some(slack));
        }
        if bearing.iter().filter(|other| !self.idle(other)).count() <= 1 {
            return (Carried::All, None);
        }
        let id = &rig.parts[rope.part].id;
        if let Some(own) = rig.load.shares.get(id) {
            let label = format!("share of {}", rig.parts[rope.part].label);
            return (Carried::Share(self.parameters.ratio(&format!("share_{id}"), &label, own)), None);
        }
        let (label, share) = ("share of the load on rope one", &rig.load.share_one);
        let at = match &self.called.unequal {
            None => self.parameters.ratio("share", label, share),
            Some(why) => {
                let why = format!("{why}: anything from nothing to all");
                self.parameters.called("share", label, [0.0, share.nominal.value(), 1.0], &why)
            }
        };
        (if rope.line == Line::Two { Carried::Rest(at) } else { Carried::Share(at) }, None)
    }

    /// Rope that is let loose by what it hung on coming to rest elsewhere, or by a pulley that no longer bends it, m.
    fn loose(&self, rope: &RopeRun) -> f64 {
        let whole = |at_rest| rope.path.windows(2).map(|e| self.between(e[0], e[1], at_rest)).sum::<f64>();
        let loose = whole(false) - whole(true) + rope.spare.iter().sum::<f64>();
        if loose > SNUG { loose } else { 0.0 }
    }

    /// A rope that was hauled runs back until what captures it has set.
    fn runs_back(&mut self, rope: &RopeRun) -> Option<At> {
        let scene = self.intact.scene.as_ref().ok()?;
        let before = scene.ropes.iter().find(|r| r.part == rope.part)?;
        let end = rope.ends_at.filter(|_| before.ends_at != rope.ends_at)?;
        let kind = self.model.rig.parts[end].kind;
        matches!(kind, PartKind::ProgressCapture | PartKind::FrictionHitch).then(|| {
            self.parameters.spread("capture", "run-back until the capture sets", "m", &self.rules.capture_m)
        })
    }

    /// Slack of what bears only now between the rope and the load (a tether).
    fn backups(&mut self, rope: &RopeRun) -> Result<Vec<At>, Instead> {
        let mut found = Vec::new();
        let (before, now) = (&self.intact.outcome.path, &self.after.case.outcome.path);
        let fresh = (0..self.model.parts()).filter(|p| now[*p] && !before[*p] && self.model.below_rope(*p));
        for part in fresh {
            let own = &self.model.rig.parts[part];
            if own.at.len() < 2 || !self.model.ropes_above(part, now).contains(&rope.part) {
                continue;
            }
            let Some(slack) = own.slack else {
                return Err(not(format!("the slack of {} is not stated", own.label)));
            };
            let metres = slack.to_metres();
            let label = format!("slack of {}", own.label);
            found.push(self.parameters.fixed(&format!("slack_{}", own.id), &label, "m", metres));
        }
        Ok(found)
    }

    fn hand(&self, part: usize, tasks: &[HandTask], mode: HandMode) -> Option<usize> {
        let hands = self.model.hands_on(part, tasks);
        hands.into_iter().find(|hand| self.after.loss.lost.hand(*hand) == mode)
    }

    fn hold(&mut self, rope: &RopeRun) -> Result<Hold, Instead> {
        let label = &self.model.rig.parts[rope.part].label;
        let Some(part) = rope.ends_at else {
            // Made fast at its far end, or in the hands of a haul team.
            let fast = rope.path.last().is_some_and(|point| self.model.rig.points[*point].fixed);
            let hauled = self.model.hands_on(rope.part, &[HandTask::Haul]).first().copied();
            let in_hand = (0..self.model.rig.hands.len()).any(|hand| {
                let own = &self.model.rig.hands[hand];
                own.task == HandTask::Haul && self.after.case.outcome.hands[hand]
            });
            return if fast && !in_hand && hauled.is_none() {
                Ok(Hold::TiedOff)
            } else {
                Err(not(format!("what the haul team holds of {label} is not known")))
            };
        };
        let own = &self.model.rig.parts[part];
        if own.kind == PartKind::HaulHitch {
            return Err(not(format!("what the haul team holds of {label} is not known")));
        }
        let Some(device) = &own.device else { return Ok(Hold::TiedOff) };
        let Some(state) = self.model.state.devices.get(&own.id).copied() else {
            return Err(not(format!("the state does not say how {} is", own.label)));
        };
        let minds = [HandTask::Operator, HandTask::HitchMinder];
        let works = self.hand(part, &minds, HandMode::Works);
        let frozen = self.hand(part, &minds, HandMode::Frozen);
        let let_go = self.hand(part, &minds, HandMode::Off);
        let rules = self.rules;
        let closed = self.closed(part, device);
        Ok(match (state, device.class) {
            (DeviceState::TiedOff, _) => Hold::TiedOff,
            (_, DeviceClass::SnatchLocking) if state != DeviceState::Closed => {
                return Err(not(format!("whether {} locks is not known", own.label)));
            }
            (_, _) if frozen.is_some() => Hold::Open,
            (_, DeviceClass::Passive) => match works {
                Some(hand) => self.gripped(part, device, hand)?,
                None => Hold::Open,
            },
            (DeviceState::Closed, _) => Hold::Closed(closed),
            (DeviceState::Feeding, _) | (DeviceState::Open, DeviceClass::FrictionHitch) => Hold::Fed {
                feeds: self.parameters.spread(
                    "feeding",
                    "what the belay resists while it is fed",
                    "N",
                    &rules.feeding_n,
                ),
                grabs: self.parameters.spread("grab", "time until the belay grabs", "s", &rules.grab_s),
                to: closed,
            },
            (DeviceState::Open, _) => Hold::Closes {
                // A handle that was let go, or that nobody holds, closes by itself.
                after: works.filter(|_| let_go.is_none()).map(|hand| self.reaction(hand)),
                within: self.parameters.spread(
                    "closing",
                    "time in which a handle closes",
                    "s",
                    &rules.closing_s,
                ),
                to: closed,
            },
        })
    }

    fn closed(&mut self, part: usize, device: &Device) -> At {
        let own = &self.model.rig.parts[part];
        let label = format!("force at which {} slips, closed", own.label);
        self.parameters.force(&format!("closed_{}", own.id), &label, &device.closed)
    }

    fn reaction(&mut self, hand: usize) -> At {
        let own = &self.model.rig.hands[hand];
        let label = format!("reaction of {}", own.role);
        self.parameters.spread(&format!("reaction_{}", own.id), &label, "s", &self.rules.reaction_s)
    }

    fn gain(&mut self, part: usize) -> Option<At> {
        let own = &self.model.rig.parts[part];
        let gain = own.device.as_ref()?.gain.as_ref()?;
        let label = format!("resistance of {} over a hand’s grip", own.label);
        Some(self.parameters.ratio(&format!("gain_{}", own.id), &label, gain))
    }

    fn gripped(&mut self, part: usize, device: &Device, hand: usize) -> Result<Hold, Instead> {
        let own = &self.model.rig.parts[part];
        let holds = &self.model.rig.hands[hand];
        let unknown = || not(format!("what {} holds through {} is not known", holds.role, own.label));
        let residual = device.residual.as_ref().ok_or_else(unknown)?;
        let grip = holds.grip.as_ref().ok_or_else(unknown)?;
        let label = format!("what {} resists, open", own.label);
        let residual = self.parameters.force(&format!("residual_{}", own.id), &label, residual);
        let label = format!("grip of {}", holds.role);
        Ok(Hold::Gripped {
            after: self.reaction(hand),
            within: self.parameters.spread(
                "closing",
                "time in which a hand grips",
                "s",
                &self.rules.closing_s,
            ),
            residual,
            gain: self.gain(part).ok_or_else(unknown)?,
            grip: self.parameters.force(&format!("grip_{}", holds.id), &label, grip),
        })
    }

    /// A hand behind an open device; without its grip known it counts for nothing.
    fn tailer(&mut self, rope: &RopeRun) -> Option<Tailer> {
        let part = rope.ends_at?;
        let hand = self.hand(part, &[HandTask::Tailer], HandMode::Works)?;
        let own = &self.model.rig.hands[hand];
        let grip = own.grip.as_ref()?;
        let gain = self.gain(part)?;
        let label = format!("grip of {}", own.role);
        Some(Tailer {
            after: self.parameters.spread(
                &format!("reaction_{}", own.id),
                &format!("time until {} holds", own.role),
                "s",
                &self.rules.tailer_s,
            ),
            gain,
            grip: self.parameters.force(&format!("grip_{}", own.id), &label, grip),
        })
    }
}
