//! What hangs within the load by tethers of its own and loses one: it swings on a tether that is left until it hangs below the end of
//! that, while the ropes hold the load. Closed forms, undamped. Let go on a taut tether at an angle θ it pulls by W (3 − 2 cos θ) at
//! the bottom of its arc, more by what it stretches and so comes down too; and at first, as a load that comes on a spring at once, by
//! W cos θ and by as much again as that is more than it bore before, which is added at the bottom too. On a slack tether it is taken as
//! fallen straight down as far as it comes down in all, W + √(W² + 2 W h EA/L): more its energy does not allow. The tether is taken
//! alone at the one end of its stiffness and, at the other, with the rope behind it too. Of several that are left one is taken, on
//! which it drops least. Limits: the load does not move meanwhile but by that stretch; who stands on the ground, or holds on to the
//! litter, falls less; nothing is in the way of the swing.

use super::band::Run;
use super::of_rig::{DAMPING, Instead, Making, not};
use super::parameter::{At, Parameters};
use super::setting::{Carried, Hold, Setting, Strand};
use super::survivors::{beside_its_strength, ranked};
use crate::case::Case;
use crate::drop::OutOfRange;
use crate::statics::uneven;
use crate::support::Model;
use rig::findings::CaughtBy;

/// Slack below this, m, is none.
const TAUT: f64 = 1e-6;

/// What drops within the load.
#[derive(Clone, Debug, PartialEq)]
pub struct Within {
    /// Who or what.
    pub label: String,
    /// The tether that catches it, by part.
    pub tether: usize,
    /// How it hangs on it.
    pub arc: Arc,
}

/// A mass beside and below what its tether hangs on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arc {
    /// How far to the side of that it is, m.
    pub aside: f64,
    /// How far below, m.
    pub below: f64,
    /// How long the tether is, m, at least as long as it is far.
    pub long: f64,
    /// What the tether bore before, as a share of what hangs there.
    pub share: f64,
}

/// What swings: mass, kg; what pulls it down, m/s²; the tether’s stiffness, N/m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hung {
    /// kg.
    pub mass: f64,
    /// m/s².
    pub gravity: f64,
    /// N/m.
    pub stiffness: f64,
}

impl Arc {
    /// How far it drops on a tether that does not stretch, m.
    pub fn drops(&self) -> f64 {
        self.long - self.below
    }

    /// How it goes.
    pub fn run(&self, hung: &Hung) -> Run {
        let Hung { mass, gravity, stiffness } = *hung;
        let weight = mass * gravity;
        let cos = libm::sqrt((1.0 - self.aside * self.aside / (self.long * self.long)).max(0.0));
        // The period of a pendulum by the arithmetic-geometric mean; a quarter of it to the bottom.
        let half_angle = libm::sqrt(0.5 * (1.0 + cos));
        let quarter = core::f64::consts::FRAC_PI_2 * libm::sqrt(self.long / gravity) / mean(1.0, half_angle);
        let slack = self.long * cos - self.below;
        let (before, bottom, peak, time) = if slack > TAUT {
            let drop = 2.0 * weight * stiffness * self.drops();
            let peak = weight + libm::sqrt(weight * weight + drop);
            (0.0, peak, peak, libm::sqrt(2.0 * slack / gravity) + quarter)
        } else {
            let before = self.share * weight;
            let more = (weight * cos - before).abs();
            // On its arc the pull grows by 3 W (1 − cos θ): what that stretches it comes down too, and swings faster.
            let stretch = 3.0 * weight * (1.0 - cos) / stiffness;
            let bottom = weight * (3.0 - 2.0 * cos + 2.0 * stretch / self.long) + more;
            (before, bottom, bottom.max(weight * cos + more), quarter)
        };
        Run {
            fall: self.drops() + ((bottom - before) / stiffness).max(0.0),
            peak,
            at_device: std::array::from_fn(|n| if n == 0 { peak } else { 0.0 }),
            time,
        }
    }
}

/// The arithmetic-geometric mean.
fn mean(mut a: f64, mut b: f64) -> f64 {
    for _ in 0..8 {
        (a, b) = (0.5 * (a + b), libm::sqrt(a * b));
    }
    a
}

impl Within {
    /// One run.
    pub fn run(&self, setting: &Setting, values: &[f64]) -> Result<Run, OutOfRange> {
        let drops = setting.drops(values, true);
        let drop = &drops[0];
        drop.check()?;
        Ok(self.arc.run(&Hung { mass: drop.mass, gravity: drop.gravity, stiffness: drop.below_k() }))
    }
}

/// A tether that is left for what hung on a lost one.
struct Left {
    lost: usize,
    tether: usize,
    arc: Arc,
}

impl Making<'_, '_> {
    /// What hangs on a tether that is lost drops onto another one.
    pub(super) fn within(&mut self) -> Result<Setting, Instead> {
        let left = self.left_within()?;
        let model = self.model;
        let whose: Vec<usize> = model.borne_bodies(left.lost).collect();
        let bodies: Vec<_> = whose.iter().map(|body| &model.rig.load.bodies[*body]).collect();
        if bodies.is_empty() {
            return Err(not("how far what hung on it drops within the load: its mass is not stated"));
        }
        let mass = bodies.iter().map(|body| body.mass.to_kilograms()).sum();
        let labels: Vec<&str> = bodies.iter().map(|body| body.label.as_str()).collect();
        self.parameters = Parameters::default();
        let damping = self.parameters.fixed(DAMPING, "damping of the tether: none is taken", "s", 0.0);
        let stiffness = self.stiffness_within(&left);
        let strand = Strand {
            rope: left.tether,
            device: None,
            stiffness,
            below: left.arc.long,
            above: 0.0,
            over: Vec::new(),
            ran_over: Vec::new(),
            carried: Carried::Nothing,
            loose: left.arc.drops(),
            slack: Vec::new(),
            hold: Hold::TiedOff,
            tailer: None,
        };
        Ok(Setting {
            mass,
            pull: self.pull(),
            speed: None,
            damping,
            strands: vec![strand],
            never_acts: 0.0,
            above_ground: super::hangs_at(model),
            team_lets_go: false,
            bare_edge: false,
            within: Some(Within { label: labels.join(" and "), tether: left.tether, arc: left.arc }),
            swings: None,
            parameters: std::mem::take(&mut self.parameters),
        })
    }

    /// The lost tether whose bodies drop farthest, with that which is left on which they drop least.
    fn left_within(&self) -> Result<Left, Instead> {
        let model = self.model;
        let part = |part: usize| &model.rig.parts[part];
        let mut worst: Option<Left> = None;
        let lost = self.after.loss.lost.parts.iter().filter(|own| model.below_rope(**own));
        for lost in lost.copied().filter(|own| model.borne_bodies(*own).next().is_some()) {
            let nothing =
                || not(format!("what is left to hold what hung on {} is not drawn", part(lost).label));
            let from = part(lost).at.first().ok_or_else(nothing)?;
            let beside = (0..model.parts()).filter(|own| {
                let at = &part(*own).at;
                *own != lost && self.after.case.outcome.path[*own] && at.len() == 2 && at[0] == *from
            });
            let mut found: Option<Left> = None;
            for tether in beside.filter(|own| model.below_rope(*own)) {
                let own = self.drops_onto(lost, tether)?;
                found = found.filter(|other| other.arc.drops() <= own.arc.drops()).or(Some(own));
            }
            let found = found.ok_or_else(nothing)?;
            worst = worst.filter(|other| other.arc.drops() >= found.arc.drops()).or(Some(found));
        }
        worst.ok_or_else(|| not("how far what hung on it drops within the load"))
    }

    fn drops_onto(&self, lost: usize, tether: usize) -> Result<Left, Instead> {
        let own = &self.model.rig.parts[tether];
        let place = |id: &String| {
            let found = self.model.rig.point(id);
            found.map(|point| (point.x.to_metres(), point.y.to_metres()))
        };
        let (Some(low), Some(high)) = (place(&own.at[0]), place(&own.at[1])) else {
            return Err(not(format!("{} has no place", own.label)));
        };
        if low.1 >= high.1 {
            return Err(not(format!(
                "{} is drawn upwards: how far what hangs on it drops is not known",
                own.label
            )));
        }
        let long = libm::hypot(low.0 - high.0, low.1 - high.1) + own.slack.map_or(0.0, |s| s.to_metres());
        let other = self.model.rig.parts[lost].at.get(1).and_then(place);
        let share = other.map_or(0.0, |other| share(low, high, other));
        let arc = Arc { aside: low.0 - high.0, below: high.1 - low.1, long, share };
        Ok(Left { lost, tether, arc })
    }

    /// EA of a tether; at its low end with the softest rope behind it, as though both were one.
    fn stiffness_within(&mut self, left: &Left) -> At {
        let own = &self.model.rig.parts[left.tether];
        let ([low, likely, high], words) = uneven::stiffness(own);
        let path = &self.after.case.outcome.path;
        let behind = self.model.ropes_above(left.tether, path);
        let scene = self.after.case.scene.as_ref();
        let gives =
            scene.ok().into_iter().flat_map(|scene| &scene.ropes).filter(|r| behind.contains(&r.part));
        let gives = gives.filter_map(|run| {
            let rope = self.model.rig.rope(&self.model.rig.parts[run.part].id)?;
            let way: f64 = run.path.windows(2).map(|ends| self.between(ends[0], ends[1], false)).sum();
            Some(way / rope.stiffness.low.to_newtons())
        });
        let long = left.arc.long;
        let softest = gives.fold(0.0, f64::max);
        // To ten newtons downwards: it is no nearer known.
        let with_rope = libm::floor(long / (long / low + softest) / 10.0).max(1.0) * 10.0;
        let ends = [with_rope, likely, high];
        let label = format!("stiffness EA of {}", own.label);
        let source = format!("{words}; at its low end with the rope behind it");
        self.parameters.stiffness(&format!("stiffness_{}", own.id), &label, ends, &source)
    }
}

/// What one of two tethers bears of what hangs on both in balance, as a share of it: that to `high` beside that to `other`; nothing
/// where both pull to one side, and something else holds it there.
fn share(low: (f64, f64), high: (f64, f64), other: (f64, f64)) -> f64 {
    let way = |to: (f64, f64)| {
        let long = libm::hypot(to.0 - low.0, to.1 - low.1).max(TAUT);
        ((to.0 - low.0) / long, (to.1 - low.1) / long)
    };
    let (a, b) = (way(high), way(other));
    let cross = a.0 * b.1 - a.1 * b.0;
    let share = if cross.abs() > TAUT { -b.0 / cross } else { 0.5 };
    let both = if cross.abs() > TAUT { a.0 / cross } else { 0.5 };
    if share >= 0.0 && both >= 0.0 { share.min(1.0) } else { 0.0 }
}

/// What bears what drops within the load: its tether and what hangs by that alone the whole of it; what is behind, ropes and anchors
/// too, what it bears at rest and all that the tether bears more than before. `peaks`, N: p10, p50, p90.
pub fn survivors(
    model: &Model<'_>,
    setting: &Setting,
    within: &Within,
    case: &Case,
    peaks: [f64; 3],
) -> Vec<CaughtBy> {
    let Ok(forces) = &case.forces else { return Vec::new() };
    let weight = setting.drops(&setting.parameters.likely(), true)[0].weight();
    let bears = |part: usize| {
        if part == within.tether || model.hangs_on(part, within.tether) {
            Some(peaks)
        } else {
            let more = |peak: f64| forces.parts[part][1] + (peak - within.arc.share * weight).max(0.0);
            model.hangs_on(within.tether, part).then(|| peaks.map(more))
        }
    };
    let parts = (0..model.parts()).filter(|part| case.outcome.path[*part]);
    ranked(parts.filter_map(|part| Some(beside_its_strength(model, part, bears(part)?))).collect())
}
