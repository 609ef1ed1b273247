//! What a loss leaves to catch the load, as the rig has it: lengths from its points, grips from its devices and hands.

use super::bare::{self, Edge};
use super::parameter::{At, Parameters};
use super::setting::{Carried, Over, Pull, Setting, Strand};
use super::swinging::{self, Swings};
use super::{Called, clearance};
use crate::case::Case;
use crate::drop::stepped::MOST_ROPES;
use crate::loss::Loss;
use crate::statics::swinging::swinging;
use crate::statics::{Crossing, Forces, RopeRun, Scene};
use crate::support::{self, Model};
use rig::findings::{FallOutcome, LossFinding};
use rig::guidelines::{FallRules, Guidelines};
use rig::model::{DeviceState, Line, PartKind, Sliding};

/// Id of what a lip that broke lets loose.
pub const LIP: &str = "lip";
/// Id of the damping of what catches the load.
pub const DAMPING: &str = "damping";

/// Slack below this, m, is none: what a search for a rest leaves.
const SNUG: f64 = 1e-3;

/// Why there is no fall to reckon, in words.
pub type Instead = (FallOutcome, String);

/// A loss with what it leaves.
pub struct After<'a> {
    pub loss: &'a Loss,
    pub finding: &'a LossFinding,
    pub case: &'a Case,
    /// With the haul team's hands off, which the loss itself does not say.
    pub team_lets_go: bool,
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

pub(super) fn not(why: impl Into<String>) -> Instead {
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
    if let Some(why) = crate::loss::run_on_cord(model, intact, case).into_iter().next() {
        return Err(not(why));
    }
    let known = || case.scene.as_ref().is_ok_and(|scene| bare::comes_down(model, scene));
    match bare::edge(model, after.loss) {
        // Where the edge is nobody has said, where no rope comes down on it.
        Edge::ComesDown if !known() => return Err(not("what the ropes then bear on is unknown")),
        Edge::ComesDown | Edge::Unrolled | Edge::Broken | Edge::Kept => {}
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

pub(super) struct Making<'a, 'm> {
    pub model: &'a Model<'m>,
    pub rules: &'a FallRules,
    pub intact: &'a Case,
    pub after: &'a After<'a>,
    pub forces: &'a Forces,
    pub called: &'a Called,
    pub parameters: Parameters,
}

impl Making<'_, '_> {
    fn all(&mut self) -> Result<Setting, Instead> {
        let scene = self.after.case.scene.as_ref().map_err(|why| not(why.clone()))?;
        let lowering = self.model.state.motion == Sliding::Lowering;
        let rules = self.rules;
        let speed = lowering.then(|| {
            self.parameters.spread("speed", "speed of the load at the loss", "m/s", &rules.speed_m_s)
        });
        let damping = self.parameters.spread(DAMPING, "damping time of the rope", "s", &rules.damping_s);
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
            if within {
                return self.within();
            }
            let words = "the load stays: what moved lets loose less than 1 mm of rope";
            return Err((FallOutcome::Stays, words.into()));
        }
        let swings = self.swings(scene, &strands);
        let pull = self.pull();
        Ok(Setting {
            mass: self.model.rig.load.mass.to_kilograms(),
            pull,
            speed,
            damping,
            strands,
            never_acts: self.rules.never_acts.value,
            above_ground: super::hangs_at(self.model),
            team_lets_go: self.after.team_lets_go,
            bare_edge: bare::edge(self.model, self.after.loss) != Edge::Kept,
            within: None,
            swings,
            parameters: std::mem::take(&mut self.parameters),
        })
    }

    pub(super) fn pull(&mut self) -> Pull {
        match &self.model.rig.edge.slope {
            None => Pull::Free,
            Some(slope) => Pull::Slope(
                slope.angle.to_radians(),
                self.parameters.ratio("slope_friction", "friction of the slope", &slope.friction),
            ),
        }
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
            ropes.push((what.carrier(device), from, run.spare.iter().sum()));
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
        let over =
            crossings.iter().map(|(_, crossing)| self.over(*crossing)).collect::<Result<Vec<_>, _>>()?;
        let ran_over = self.ran_over(rope).unwrap_or_else(|| over.clone());
        let (carried, belay) = self.carried(rope);
        let mut slack: Vec<At> = belay.into_iter().collect();
        slack.extend(self.runs_back(rope));
        slack.extend(self.backups(rope)?);
        slack.extend(self.at_the_edge(rope));
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
            ran_over,
            carried,
            loose: self.loose(rope),
            slack,
            hold: self.hold(rope)?,
            tailer: self.tailer(rope),
        })
    }

    /// From one point to another, m: as placed, or as it came to rest.
    pub(super) fn between(&self, a: usize, b: usize, at_rest: bool) -> f64 {
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

    /// What held a rope back before the loss; `None`: it did not carry, or a hitch gripped it on its way.
    fn ran_over(&mut self, rope: &RopeRun) -> Option<Vec<Over>> {
        let before = self.intact.scene.as_ref().ok()?.ropes.iter().find(|r| r.part == rope.part)?;
        let crossings: Vec<Crossing> = before.crosses().map(|(_, crossing)| crossing).collect();
        crossings.into_iter().map(|crossing| self.over(crossing).ok()).collect()
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

    /// A rope that comes off an edge roller, or other protection, lies that much lower; one whose lip broke comes to bear behind it.
    fn at_the_edge(&mut self, rope: &RopeRun) -> Vec<At> {
        let (rig, rules) = (self.model.rig, self.rules);
        let lost: Vec<PartKind> = {
            let parts = self.after.loss.lost.parts.iter().map(|part| &rig.parts[*part]);
            let under = |id: &String| rope.path.iter().any(|point| rig.points[*point].id == *id);
            parts.filter(|own| own.at.iter().any(under)).map(|own| own.kind).collect()
        };
        let rolled = ("edge_slack", "rope let loose as it comes off its roller", &rules.edge_m);
        let broke = (LIP, "rope let loose as it comes to bear behind the lip that broke", &rules.lip_m);
        [(PartKind::EdgeProtection, rolled), (PartKind::EdgeLip, broke)]
            .into_iter()
            .filter(|(kind, _)| lost.contains(kind))
            .map(|(_, (id, label, metres))| self.parameters.spread(id, label, "m", metres))
            .collect()
    }
}
