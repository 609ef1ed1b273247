//! A ring that runs on its cord: a leg or its anchor gone, what that leg took of the cord goes to the others, and the ring runs down
//! until they bear.
//!
//! The cord is one, of one length: the lengths from the ring to its anchors add up to the same as before, whatever each of them is
//! (each counts as often, once there and once back, or once for a cord that is tied). Without friction the ring comes to rest where
//! it lies as near as that lets it to where its load pulls: with two anchors left on an ellipse with them as foci, where the line of
//! the pull halves the angle between the legs. Friction, or a knot in the cord, keeps it higher: how far it runs is the most that it
//! can. How much each leg then bears hangs on the friction too, so each is reckoned as though it bore all.

use super::network::Vec2;
use super::{Forces, Scene};
use crate::support::{Hold, Model, Outcome};
use rig::model::{PartKind, Rig};

/// Rounds in which the direction to the ring's rest is narrowed, and in which its distance is.
const ROUNDS: usize = 100;

/// A ring that ran down its cord.
#[derive(Clone, Debug, PartialEq)]
pub struct OnCord {
    /// The ring's part.
    pub ring: usize,
    /// Legs that are left, by their place among the ties, and how much longer each is than it was, m.
    pub legs: Vec<(usize, f64)>,
    /// How far the ring runs, m.
    pub runs: f64,
    /// What a leg bears at most, as a share of what hangs on the ring.
    most: f64,
}

/// The rings that ran; none where nothing of a cord is lost.
pub(super) fn rings(model: &Model<'_>, outcome: &Outcome, scene: &Scene) -> Vec<OnCord> {
    (0..model.parts()).filter_map(|ring| ran(model, outcome, scene, ring)).collect()
}

fn ran(model: &Model<'_>, outcome: &Outcome, scene: &Scene, ring: usize) -> Option<OnCord> {
    let own = &model.rig.parts[ring];
    let fell = |id: &usize| outcome.borne[*id].is_some_and(|borne| borne > 0);
    if own.kind != PartKind::Ring || !outcome.path[ring] || !model.backups_of(ring).iter().any(fell) {
        return None;
    }
    let at = own.at.first()?;
    let leg = |part: &usize| {
        let own = &model.rig.parts[*part];
        own.kind.is_leg() && own.at.len() == 2 && own.at.contains(at)
    };
    let far_end = |part: usize| {
        let other = model.rig.parts[part].at.iter().find(|id| *id != at);
        other.and_then(|id| place(model.rig, id))
    };
    let from = place(model.rig, at)?;
    let long = |to: Vec2| libm::hypot(to.0 - from.0, to.1 - from.1);
    let gone = (0..model.parts())
        .filter(leg)
        .filter(|part| model.whole[*part] > Hold::Not && outcome.parts[*part] == Hold::Not);
    let freed: f64 = gone.filter_map(far_end).map(long).sum();
    let left: Vec<(usize, Vec2)> = scene
        .ties
        .iter()
        .enumerate()
        .filter(|(_, part)| leg(part))
        .filter_map(|(tie, part)| Some((tie, far_end(*part)?)))
        .collect();
    let anchors: Vec<Vec2> = left.iter().map(|(_, place)| *place).collect();
    let pulled_to = pulled_to(model, scene, ring, from);
    if freed <= 0.0 || anchors.is_empty() || pulled_to.is_empty() {
        return None;
    }
    let whole = freed + anchors.iter().copied().map(long).sum::<f64>();
    let rest = rest(&anchors, whole, &pulled_to.iter().map(|(to, _)| *to).collect::<Vec<Vec2>>())?;
    // What hangs on the ring would come to where its rope goes, the edge or the load: where it then lies is not known.
    if pulled_to.iter().any(|(to, hangs)| libm::hypot(to.0 - rest.0, to.1 - rest.1) <= *hangs) {
        return None;
    }
    let longer = |to: Vec2| libm::hypot(to.0 - rest.0, to.1 - rest.1) - long(to);
    Some(OnCord {
        ring,
        legs: left.iter().map(|(tie, place)| (*tie, longer(*place))).collect(),
        runs: long(rest),
        most: most(from, &anchors),
    })
}

fn place(rig: &Rig, id: &str) -> Option<Vec2> {
    rig.point(id).map(|point| (point.x.to_metres(), point.y.to_metres()))
}

/// Where the ropes go whose devices hang on the ring, and how far from it each device hangs, m.
fn pulled_to(model: &Model<'_>, scene: &Scene, ring: usize, at: Vec2) -> Vec<(Vec2, f64)> {
    let own = scene.ropes.iter().filter(|rope| rope.bears_load());
    let own = own.filter(|rope| rope.ends_at.is_some_and(|device| model.hangs_on(device, ring)));
    let place = |n: usize| {
        let point = &model.rig.points[n];
        (point.x.to_metres(), point.y.to_metres())
    };
    let to = |path: &[usize]| match path {
        [.., before, device] => {
            let device = place(*device);
            Some((place(*before), libm::hypot(device.0 - at.0, device.1 - at.1)))
        }
        _ => None,
    };
    own.filter_map(|rope| to(&rope.path)).collect()
}

/// Where a ring comes to rest whose cord is `whole` long, m, from it to all its anchors together: of all places that the cord
/// lets it come to the one that is nearest to where it is pulled. `None`: the cord is no longer than its anchors are apart.
pub fn rest(anchors: &[Vec2], whole: f64, pulled_to: &[Vec2]) -> Option<Vec2> {
    let far =
        |from: Vec2, to: &[Vec2]| to.iter().map(|p| libm::hypot(p.0 - from.0, p.1 - from.1)).sum::<f64>();
    let mean = |of: &[Vec2]| {
        let sum = of.iter().fold((0.0, 0.0), |sum, p| (sum.0 + p.0, sum.1 + p.1));
        (sum.0 / of.len() as f64, sum.1 / of.len() as f64)
    };
    let (middle, target) = (mean(anchors), mean(pulled_to));
    if far(middle, anchors) >= whole || far(target, anchors) <= whole {
        return None;
    }
    // On a ray from the middle of the anchors the cord is taut at one place: how long it would have to be only grows outwards.
    let taut = |angle: f64| {
        let (sin, cos) = libm::sincos(angle);
        let at = |r: f64| (middle.0 + r * cos, middle.1 + r * sin);
        let (mut near, mut beyond) = (0.0, whole);
        for _ in 0..ROUNDS {
            let between = 0.5 * (near + beyond);
            if far(at(between), anchors) < whole { near = between } else { beyond = between }
        }
        at(0.5 * (near + beyond))
    };
    // What is left to where it is pulled is convex over what the cord lets it reach, so that it falls to one least and rises again.
    let towards = libm::atan2(target.1 - middle.1, target.0 - middle.0);
    let (mut low, mut high) =
        (towards - core::f64::consts::FRAC_PI_2, towards + core::f64::consts::FRAC_PI_2);
    for _ in 0..ROUNDS {
        let third = (high - low) / 3.0;
        let (a, b) = (low + third, high - third);
        if far(taut(a), pulled_to) <= far(taut(b), pulled_to) { high = b } else { low = a }
    }
    Some(taut(0.5 * (low + high)))
}

/// What one of two legs bears at most of what hangs on a ring, whatever the friction in it: all, where both pull to one side of
/// level; where they lie flatter than a right angle to each other all over the sine of that angle.
fn most(from: Vec2, anchors: &[Vec2]) -> f64 {
    let way = |to: &Vec2| {
        let long = libm::hypot(to.0 - from.0, to.1 - from.1).max(1e-9);
        ((to.0 - from.0) / long, (to.1 - from.1) / long)
    };
    let ways: Vec<Vec2> = anchors.iter().map(way).collect();
    let mut most = 1.0_f64;
    for (n, a) in ways.iter().enumerate() {
        for b in &ways[n + 1..] {
            let (dot, cross) = (a.0 * b.0 + a.1 * b.1, a.0 * b.1 - a.1 * b.0);
            if dot < 0.0 {
                most = most.max(1.0 / cross.abs().max(1e-3));
            }
        }
    }
    most
}

impl Scene {
    /// How much longer a tie is because a ring ran down its cord, m.
    pub(super) fn runs_out(&self, tie: usize) -> f64 {
        let legs = self.on_cord.iter().flat_map(|cord| &cord.legs);
        legs.filter(|(own, _)| *own == tie).map(|(_, longer)| longer).sum()
    }

    /// Whether a part is a leg of a ring that ran down its cord, or what such a leg is anchored by.
    pub fn shares_a_cord(&self, model: &Model<'_>, part: usize) -> bool {
        let legs = self.on_cord.iter().flat_map(|cord| &cord.legs);
        legs.map(|(tie, _)| self.ties[*tie]).any(|leg| leg == part || holds(model, part, leg))
    }

    /// In words what ran down its cord.
    pub fn ran_on_cord(&self, model: &Model<'_>) -> Vec<String> {
        let words = |cord: &OnCord| {
            let label = &model.rig.parts[cord.ring].label;
            format!(
                "{label} is taken to run {:.2} m on it, with no friction and no knot in the way",
                cord.runs
            )
        };
        self.on_cord.iter().map(words).collect()
    }
}

/// Widens what the legs of a ring that ran bear, and their anchors: from nothing to all.
pub(super) fn widen(model: &Model<'_>, scene: &Scene, forces: &mut Forces) {
    for cord in &scene.on_cord {
        let most = cord.most * forces.parts[cord.ring][2];
        for leg in cord.legs.iter().map(|(tie, _)| scene.ties[*tie]) {
            let [less, _, high] = forces.parts[leg];
            let more = (most - high).max(0.0);
            for part in (0..model.parts()).filter(|part| *part == leg || holds(model, *part, leg)) {
                let force = &mut forces.parts[part];
                (force[0], force[2]) = ((force[0] - less).max(0.0), force[2] + more);
            }
        }
    }
}

/// Whether a part is what a leg is anchored by: it sits at the leg’s far end, and the leg hangs on it.
fn holds(model: &Model<'_>, part: usize, leg: usize) -> bool {
    let own = &model.rig.parts[part].at;
    own.len() == 1 && model.rig.parts[leg].at.contains(&own[0]) && part != leg && model.hangs_on(leg, part)
}
