//! What of a rig is in the network: ties that carry, ropes with what they meet, points that dropped out.

use super::Corner;
use super::network::{Contact, Network, Run, Solution, Tie, Unsolved};
use crate::support::{Hold, Model, Outcome};
use rig::model::{Band, Line, Part, PartKind, Rope, Sliding};
use rig::quantity::G;
use std::collections::BTreeMap;

/// A rope as it runs now.
#[derive(Clone, Debug, PartialEq)]
pub struct RopeRun {
    /// Its part.
    pub part: usize,
    /// Its line.
    pub line: Line,
    /// Points it runs over, load end first, up to what grips it.
    pub path: Vec<usize>,
    /// What it meets at each inner point.
    meets: Vec<Meets>,
    /// The part that grips its far end; `None`: hands hold it.
    pub ends_at: Option<usize>,
    /// It ends at the load, which holds that end; else its first end is made fast to the ground.
    pub from_load: bool,
}

#[derive(Clone, Debug, PartialEq)]
enum Meets {
    Nothing,
    Edge,
    /// What it bears on has a friction of its own, over this turn in radians.
    Rub(usize, f64),
    Pulley(usize),
    Grip,
}

/// What carries after a loss.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// Ropes that hold something.
    pub ropes: Vec<RopeRun>,
    /// Parts that are ties, in the order of the network's ties.
    pub ties: Vec<usize>,
    /// Parts on the load's side of the ropes.
    pub below: Vec<bool>,
    /// Edge protection that is lost.
    pub bare: Vec<usize>,
    /// A rope lost a pulley it ran over.
    pub straightened: bool,
    /// A rope that stands still while the other still runs: it may come to bear the whole load.
    pub stands: Option<usize>,
    points: BTreeMap<String, usize>,
}

impl Scene {
    /// What carries when `outcome` holds and the parts of `lost` are gone.
    ///
    /// # Errors
    /// In words, when a rope ends at nothing.
    pub fn new(model: &Model<'_>, outcome: &Outcome, lost: &[usize]) -> Result<Scene, String> {
        let points: BTreeMap<String, usize> =
            model.rig.points.iter().enumerate().map(|(i, p)| (p.id.clone(), i)).collect();
        let below: Vec<bool> = (0..model.parts()).map(|p| model.below_rope(p)).collect();
        let mut scene = Scene {
            ropes: Vec::new(),
            ties: Vec::new(),
            bare: (0..model.parts())
                .filter(|p| lost.contains(p) || model.absent[*p])
                .filter(|p| model.rig.parts[*p].kind == PartKind::EdgeProtection)
                .collect(),
            straightened: false,
            stands: None,
            below,
            points,
        };
        for part in 0..model.parts() {
            let own = &model.rig.parts[part];
            let edge = matches!(own.kind, PartKind::EdgeProtection | PartKind::EdgeLip);
            if own.at.len() == 2 && outcome.carrying[part] && !scene.below[part] && !edge {
                scene.ties.push(part);
            }
        }
        for rope in &model.rig.ropes {
            let Some(part) = model.index.get(rope.id.as_str()).copied() else { continue };
            if outcome.alive[part] {
                let run = scene.run(model, outcome, rope, part)?;
                scene.ropes.push(run);
            }
        }
        scene.joined(model, outcome)?;
        Ok(scene)
    }

    /// What the load is said to rest on must be joined in the drawing too: a part that no rope or tie
    /// reaches would seem to carry nothing.
    fn joined(&self, model: &Model<'_>, outcome: &Outcome) -> Result<(), String> {
        let mut ends = vec![0_usize; model.rig.points.len()];
        let ties =
            self.ties.iter().flat_map(|t| model.rig.parts[*t].at.iter().filter_map(|id| self.point(id)));
        for point in ties.chain(self.ropes.iter().flat_map(|r| r.path.iter().copied())) {
            ends[point] += 1;
        }
        for part in (0..model.parts()).filter(|p| outcome.carrying[*p] && !self.below[*p]) {
            let own = &model.rig.parts[part];
            if matches!(own.kind, PartKind::Rope | PartKind::EdgeProtection | PartKind::EdgeLip) {
                continue;
            }
            let least = if own.at.len() == 2 { 2 } else { 1 };
            let reached = own.at.first().and_then(|id| self.point(id)).is_some_and(|p| ends[p] >= least);
            if !reached {
                return Err(format!(
                    "nothing joins {} at its point, so what it carries is unknown",
                    own.label
                ));
            }
        }
        Ok(())
    }

    /// Index of a point.
    pub fn point(&self, id: &str) -> Option<usize> {
        self.points.get(id).copied()
    }

    fn run(
        &mut self,
        model: &Model<'_>,
        outcome: &Outcome,
        rope: &Rope,
        part: usize,
    ) -> Result<RopeRun, String> {
        let here = |id| at(model, id);
        let load_end = |p: &Part, id: &str| p.at.first().is_some_and(|a| a == id);
        let from_load = rope.path.first().is_some_and(|first| model.rig.load.points.contains(first));
        let mut run =
            RopeRun { part, line: rope.line, path: Vec::new(), meets: Vec::new(), ends_at: None, from_load };
        for (i, id) in rope.path.iter().enumerate() {
            let point = self.point(id).ok_or_else(|| format!("{} runs over no point “{id}”", rope.label))?;
            let gripping = here(id).find(|(p, own)| {
                i > 0
                    && own.device.is_some()
                    && own.kind != PartKind::HaulHitch
                    && load_end(own, id)
                    && outcome.carrying[*p]
            });
            if let Some((grip, _)) = gripping {
                run.path.push(point);
                run.ends_at = Some(grip);
                return Ok(run);
            }
            if let Some((hitch, own)) = here(id).find(|(p, own)| {
                i > 0 && own.kind == PartKind::HaulHitch && load_end(own, id) && outcome.carrying[*p]
            }) && own.at.get(1).is_some_and(|pulley| other_rope_over(model, rope, pulley))
            {
                // Another rope hauls it: the rest of this one is slack.
                run.path.push(point);
                run.ends_at = Some(hitch);
                return Ok(run);
            }
            let last = i + 1 == rope.path.len();
            if last {
                run.path.push(point);
                if !model.rig.points[point].fixed {
                    return Err(format!("{} ends at nothing that holds it", rope.label));
                }
                return Ok(run);
            }
            if i == 0 {
                run.path.push(point);
                continue;
            }
            let Some(meets) = self.meets(model, outcome, rope, i) else { continue };
            run.path.push(point);
            run.meets.push(meets);
        }
        Err(format!("{} has no path", rope.label))
    }

    /// What a rope meets at an inner point of its path; `None`: nothing that bends it.
    fn meets(&mut self, model: &Model<'_>, outcome: &Outcome, rope: &Rope, i: usize) -> Option<Meets> {
        let id = &rope.path[i];
        let here = || at(model, id);
        let load_end = |p: &Part| p.at.first() == Some(id);
        let mut pulleys = here()
            .filter(|(_, own)| own.kind == PartKind::Pulley && super::of_line(own, rope.line))
            .peekable();
        if pulleys.peek().is_some() {
            let held = pulleys.find(|(p, _)| outcome.parts[*p] > Hold::Not);
            // The pulley is gone: the rope runs straight past where it was.
            self.straightened |= held.is_none();
            return held.map(|(p, _)| Meets::Pulley(p));
        }
        if here().any(|(p, own)| own.kind == PartKind::HaulHitch && load_end(own) && outcome.carrying[p]) {
            return Some(Meets::Grip);
        }
        // Of what it bears on, the one that is there and says its friction; protection before the bare lip.
        let rubs = here()
            .filter(|(p, own)| own.friction.is_some() && outcome.parts[*p] > Hold::Not)
            .min_by_key(|(_, own)| own.kind == PartKind::EdgeLip);
        if let Some((part, own)) = rubs {
            // Drawn unfolded at the edge: its turn stands in the rig; elsewhere it follows from the path.
            let at_edge = own.kind.is_edge();
            let turn = if at_edge { model.rig.edge.turn.to_radians() } else { self.turn(model, rope, i) };
            return Some(Meets::Rub(part, turn));
        }
        if here().any(|(_, own)| own.kind.is_edge()) {
            return Some(Meets::Edge);
        }
        // A free point with nothing on it bends no rope.
        self.point(id).is_some_and(|point| model.rig.points[point].fixed).then_some(Meets::Nothing)
    }

    /// How far a rope turns at a point of its path, radians.
    fn turn(&self, model: &Model<'_>, rope: &Rope, at: usize) -> f64 {
        let place = |n: usize| {
            let point = rope.path.get(n).and_then(|id| model.rig.point(id))?;
            Some((point.x.to_metres(), point.y.to_metres()))
        };
        let (Some(a), Some(b), Some(c)) = (at.checked_sub(1).and_then(place), place(at), place(at + 1))
        else {
            return 0.0;
        };
        let (before, after) = ((b.0 - a.0, b.1 - a.1), (c.0 - b.0, c.1 - b.1));
        let cross = before.0 * after.1 - before.1 * after.0;
        libm::atan2(cross.abs(), before.0 * after.0 + before.1 * after.1)
    }

    /// How many ranges may be in play: the share, the pulleys, each rope's edges, the slope.
    pub(super) fn ranges(&self) -> usize {
        2 + self.ropes.len() + 1
    }

    /// Whether a corner repeats another one, because its range is not in play.
    pub(super) fn repeats(&self, model: &Model<'_>, corner: Corner) -> bool {
        let Corner::Ends(bits) = corner else { return false };
        let share = self.ropes.iter().filter(|rope| rope.from_load).count() >= 2;
        let pulleys = self.ropes.iter().flat_map(|r| &r.meets).any(|m| matches!(m, Meets::Pulley(_)));
        let bears = |meets: &Meets| matches!(meets, Meets::Edge | Meets::Rub(..));
        let edges = self.ropes.iter().map(|r| r.meets.iter().any(bears));
        let slope = std::iter::once(model.rig.edge.slope.is_some());
        let in_play = std::iter::once(share).chain(std::iter::once(pulleys)).chain(edges).chain(slope);
        in_play.enumerate().any(|(bit, used)| !used && bits >> bit & 1 == 1)
    }

    /// The network at a corner, and each rope's tension at its load end.
    pub(super) fn network(
        &self,
        model: &Model<'_>,
        motion: Sliding,
        corner: Corner,
    ) -> Result<(Network, Vec<f64>), String> {
        let tensions = self.shares(model, motion, corner)?;
        let place = |id: &String| self.point(id).ok_or_else(|| format!("there is no point “{id}”"));
        let mut ties = Vec::new();
        for part in &self.ties {
            let own = &model.rig.parts[*part];
            ties.push(Tie {
                low: place(&own.at[0])?,
                high: place(&own.at[1])?,
                stiffness: super::uneven::stiffness(own).0[1],
                gap: own.slack.map_or(0.0, |slack| slack.to_metres()),
                strut: own.kind == PartKind::Strut,
            });
        }
        let mut runs = Vec::new();
        for (i, rope) in self.ropes.iter().enumerate() {
            let mut contacts = Vec::new();
            for meets in &rope.meets {
                contacts.push(match meets {
                    Meets::Nothing => Contact::Ratio(1.0),
                    Meets::Grip => Contact::Grip,
                    Meets::Edge => Contact::Ratio(over(&model.rig.edge.friction, motion, corner, 2 + i)),
                    Meets::Rub(part, turn) => {
                        let own = &model.rig.parts[*part];
                        let Some(mu) = &own.friction else {
                            return Err(format!("{} has no friction", own.label));
                        };
                        Contact::Ratio(rubbed(mu, *turn, motion, corner, 2 + i))
                    }
                    Meets::Pulley(part) => {
                        let own = &model.rig.parts[*part];
                        let Some(efficiency) = &own.efficiency else {
                            return Err(format!("{} has no efficiency", own.label));
                        };
                        Contact::Ratio(past_sheave(efficiency, motion, corner))
                    }
                });
            }
            let tension = rope.from_load.then_some(tensions[i]);
            runs.push(Run { path: rope.path.clone(), contacts, tension });
        }
        let points = model.rig.points.iter().map(|p| (p.x.to_metres(), p.y.to_metres())).collect();
        let fixed = model.rig.points.iter().map(|p| p.fixed).collect();
        Ok((Network { points, fixed, ties, runs, forces: Vec::new() }, tensions))
    }

    /// What each rope carries at its load end, N; 0 for one that does not end at the load.
    fn shares(&self, model: &Model<'_>, motion: Sliding, corner: Corner) -> Result<Vec<f64>, String> {
        let pull = self.pull(model, motion, corner);
        let ends: Vec<usize> = (0..self.ropes.len()).filter(|n| self.ropes[*n].from_load).collect();
        let mut shares = vec![0.0; self.ropes.len()];
        match ends.as_slice() {
            [] => return Err("no rope holds".into()),
            [one] => shares[*one] = pull,
            [a, b] => {
                let (one, two) = match (self.ropes[*a].line, self.ropes[*b].line) {
                    (Line::One, Line::Two) => (*a, *b),
                    (Line::Two, Line::One) => (*b, *a),
                    _ => return Err("two ropes of one line: their shares are not stated".into()),
                };
                let share = self.share_one(model, corner);
                (shares[one], shares[two]) = (share * pull, (1.0 - share) * pull);
            }
            more => {
                let stated = |n: usize| {
                    let id = &model.rig.parts[self.ropes[n].part].id;
                    model.rig.load.shares.get(id).map(|band| pick(band, corner, 0))
                };
                let known: f64 = more.iter().filter_map(|n| stated(*n)).sum();
                let open: Vec<usize> = more.iter().copied().filter(|n| stated(*n).is_none()).collect();
                let rest = match open.as_slice() {
                    [] | [_] if known <= 1.0 + 1e-9 => (1.0 - known).max(0.0),
                    _ => {
                        let ropes = more.len();
                        return Err(format!("{ropes} ropes carry at once: their shares are not stated"));
                    }
                };
                for n in more {
                    shares[*n] = pull * stated(*n).unwrap_or(rest);
                }
            }
        }
        Ok(shares)
    }

    fn share_one(&self, model: &Model<'_>, corner: Corner) -> f64 {
        let standing = self.stands.and_then(|rope| self.ropes.get(rope)).map(|rope| rope.line);
        match (standing, corner) {
            (Some(Line::One), Corner::Ends(bits)) if bits & 1 == 1 => 1.0,
            (Some(Line::Two), Corner::Ends(bits)) if bits & 1 == 0 => 0.0,
            _ => pick(&model.rig.load.share_one, corner, 0),
        }
    }

    /// What the load pulls on its ropes together, N: its weight, or on a slope m g (sin α ∓ μ cos α).
    fn pull(&self, model: &Model<'_>, motion: Sliding, corner: Corner) -> f64 {
        let weight = model.rig.load.mass.to_kilograms() * G;
        let Some(slope) = &model.rig.edge.slope else { return weight };
        let (sin, cos) = libm::sincos(slope.angle.to_radians());
        let bit = self.ranges() - 1;
        let mu = match (motion, corner) {
            (Sliding::Lowering, _) => -pick(&slope.friction, corner, bit),
            (Sliding::Raising, _) => pick(&slope.friction, corner, bit),
            (Sliding::Held, Corner::Nominal) => 0.0,
            // Held still the ground may help, or hold it back when it was raised last.
            (Sliding::Held, Corner::Ends(bits)) if bits >> bit & 1 == 1 => slope.friction.high.value(),
            (Sliding::Held, Corner::Ends(_)) => -slope.friction.high.value(),
        };
        (weight * (sin + mu * cos)).max(0.0)
    }

    /// Force on what lies at the edge: the rope's turn pressed onto it.
    pub(super) fn on_edge(&self, model: &Model<'_>, part: usize, solution: &Solution) -> f64 {
        let own = &model.rig.parts[part];
        if self.bare.contains(&part) {
            return 0.0;
        }
        let turn = model.rig.edge.turn.to_radians();
        let mut most = 0.0_f64;
        for (rope, tensions) in self.ropes.iter().zip(&solution.runs) {
            for id in &own.at {
                let Some(at) = self.point(id).and_then(|p| rope.path.iter().position(|q| *q == p)) else {
                    continue;
                };
                let (Some(before), Some(after)) =
                    (at.checked_sub(1).and_then(|i| tensions.get(i)), tensions.get(at))
                else {
                    continue;
                };
                let protected = own.kind == PartKind::EdgeLip
                    && model.rig.parts.iter().enumerate().any(|(i, p)| {
                        p.kind == PartKind::EdgeProtection && p.at.contains(id) && !self.bare.contains(&i)
                    });
                let force = match own.kind {
                    PartKind::EdgeLip if protected => 0.0,
                    // What counts on the lip is the tension of the rope that bends over it.
                    PartKind::EdgeLip => before.max(*after),
                    _ => libm::sqrt(
                        (before * before + after * after - 2.0 * before * after * libm::cos(turn)).max(0.0),
                    ),
                };
                most = most.max(force);
            }
        }
        most
    }

    /// Why it was not solved, with the point's parts named.
    pub(super) fn words(&self, model: &Model<'_>, error: &Unsolved) -> String {
        let at = |point: &usize| {
            let id = &model.rig.points[*point].id;
            let part = model.rig.parts.iter().find(|p| p.at.len() == 1 && p.at[0] == *id);
            part.map_or_else(|| id.clone(), |p| p.label.clone())
        };
        match error {
            Unsolved::Hangs(point) => format!("nothing holds {} in place", at(point)),
            Unsolved::NoLength(point) => format!("a part at {} has no length", at(point)),
            Unsolved::NoBalance => "no balance of forces was found in this shape".into(),
        }
    }
}

/// Whether another rope than this one runs over a point.
fn other_rope_over(model: &Model<'_>, rope: &Rope, point: &String) -> bool {
    model.rig.ropes.iter().any(|other| other.id != rope.id && other.path.contains(point))
}

/// Parts at a point.
fn at<'m>(model: &'m Model<'_>, id: &'m str) -> impl Iterator<Item = (usize, &'m Part)> {
    model.rig.parts.iter().enumerate().filter(move |(_, part)| part.at.iter().any(|a| a == id))
}

/// A range at a corner; `bit` says which range it is.
fn pick(band: &Band, corner: Corner, bit: usize) -> f64 {
    match corner {
        Corner::Nominal => band.nominal.value(),
        Corner::Ends(bits) if bits >> bit & 1 == 1 => band.high.value(),
        Corner::Ends(_) => band.low.value(),
    }
}

/// Tension past the edge over tension below it. Sliding down the edge helps (÷), sliding up it adds (×);
/// held still it may do either, up to its full ratio.
fn over(friction: &Band, motion: Sliding, corner: Corner, bit: usize) -> f64 {
    match (motion, corner) {
        (Sliding::Lowering, _) => 1.0 / pick(friction, corner, bit),
        (Sliding::Raising, _) => pick(friction, corner, bit),
        (Sliding::Held, Corner::Nominal) => 1.0,
        (Sliding::Held, Corner::Ends(bits)) if bits >> bit & 1 == 1 => friction.high.value(),
        (Sliding::Held, Corner::Ends(_)) => 1.0 / friction.high.value(),
    }
}

/// The same for a contact with a coefficient of its own: e^(μ θ).
fn rubbed(mu: &Band, turn: f64, motion: Sliding, corner: Corner, bit: usize) -> f64 {
    let ratio = |mu: f64| libm::exp(mu * turn);
    match (motion, corner) {
        (Sliding::Lowering, _) => 1.0 / ratio(pick(mu, corner, bit)),
        (Sliding::Raising, _) => ratio(pick(mu, corner, bit)),
        (Sliding::Held, Corner::Nominal) => 1.0,
        (Sliding::Held, Corner::Ends(bits)) if bits >> bit & 1 == 1 => ratio(mu.high.value()),
        (Sliding::Held, Corner::Ends(_)) => 1.0 / ratio(mu.high.value()),
    }
}

/// Tension past a sheave over tension before it, seen from the load.
fn past_sheave(efficiency: &Band, motion: Sliding, corner: Corner) -> f64 {
    match (motion, corner) {
        (Sliding::Lowering, _) => pick(efficiency, corner, 1),
        (Sliding::Raising, _) => 1.0 / pick(efficiency, corner, 1),
        (Sliding::Held, Corner::Nominal) => 1.0,
        (Sliding::Held, Corner::Ends(bits)) if bits >> 1 & 1 == 1 => 1.0 / efficiency.low.value(),
        (Sliding::Held, Corner::Ends(_)) => efficiency.low.value(),
    }
}

impl Scene {
    /// The network with the edge left out of the ropes of a line, and their pulleys perfect if asked.
    pub(super) fn without(&self, mut network: Network, line: Line, pulleys_too: bool) -> Network {
        for (rope, run) in self.ropes.iter().zip(&mut network.runs).filter(|(rope, _)| rope.line == line) {
            for (contact, meets) in run.contacts.iter_mut().zip(&rope.meets) {
                let out = match meets {
                    Meets::Edge | Meets::Rub(..) => true,
                    Meets::Pulley(_) => pulleys_too,
                    Meets::Nothing | Meets::Grip => false,
                };
                if out {
                    *contact = Contact::Ratio(1.0);
                }
            }
        }
        network
    }
}
