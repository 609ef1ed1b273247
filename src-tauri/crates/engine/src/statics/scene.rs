//! What of a rig is in the network: ties that carry, ropes with what they meet, points that dropped out.

use super::Corner;
use super::cord::{self, OnCord};
use super::network::{Contact, Network, Run, Tie, Unsolved};
use super::ranges::{over, past_sheave, rubbed, varies};
use crate::support::{Hold, Model, Outcome};
use rig::model::{Line, Part, PartKind, Rope, Sliding};
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
    /// The load hangs on a pulley that runs on it, at this point.
    pub hung_at: Option<usize>,
    /// How much longer each stretch is than its way, m, since a pulley that bent it is lost.
    pub spare: Vec<f64>,
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

/// What holds back a rope that runs over it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Crossing {
    /// The edge, by the rig's own ratio.
    Edge,
    /// A part that says its friction, over this turn in radians.
    Rub(usize, f64),
    /// A pulley.
    Sheave(usize),
    /// A hitch that grips it and passes it on.
    Grip,
}

impl RopeRun {
    /// What it crosses, with the place of each in its path.
    pub fn crosses(&self) -> impl Iterator<Item = (usize, Crossing)> + '_ {
        self.meets.iter().enumerate().filter_map(|(n, meets)| {
            let crossing = match meets {
                Meets::Nothing => return None,
                Meets::Edge => Crossing::Edge,
                Meets::Rub(part, turn) => Crossing::Rub(*part, *turn),
                Meets::Pulley(part) => Crossing::Sheave(*part),
                Meets::Grip => Crossing::Grip,
            };
            Some((n + 1, crossing))
        })
    }
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
    /// Nothing is lost or taken out: the rig bears its load as it is drawn.
    pub as_drawn: bool,
    /// No rope bears the load: it hangs on ties alone, at this point.
    pub tied_load: Option<usize>,
    /// Rings that ran down their cord.
    pub on_cord: Vec<OnCord>,
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
            as_drawn: lost.is_empty() && !model.absent.contains(&true),
            tied_load: None,
            on_cord: Vec::new(),
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
                let mut run = scene.run(model, outcome, rope, part)?;
                if !lost.is_empty() {
                    run.spare = scene.spare(model, outcome, rope, &run.path);
                }
                scene.ropes.push(run);
            }
        }
        scene.load_on_ties(model)?;
        scene.joined(model, outcome)?;
        scene.on_cord = cord::rings(model, outcome, &scene);
        Ok(scene)
    }

    /// Where the load hangs on ties: alone it follows from balance; beside ropes nothing says how much each takes.
    fn load_on_ties(&mut self, model: &Model<'_>) -> Result<(), String> {
        let roped = self.ropes.iter().any(RopeRun::bears_load);
        for part in &self.ties {
            let own = &model.rig.parts[*part];
            let Some(at) = own.at.iter().find(|id| model.rig.load.points.contains(id)) else { continue };
            let Some(point) = self.point(at) else { continue };
            let on_pulley = self.ropes.iter().any(|rope| rope.hung_at == Some(point));
            if roped && !on_pulley {
                return Err(format!(
                    "{} is tied to the load beside its ropes: its share is not stated",
                    own.label
                ));
            }
            if !roped && self.tied_load.replace(point).is_some_and(|other| other != point) {
                return Err("the load is tied at several points: their shares are not stated".into());
            }
        }
        Ok(())
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
        let mut run = RopeRun {
            part,
            line: rope.line,
            path: Vec::new(),
            meets: Vec::new(),
            ends_at: None,
            from_load,
            hung_at: None,
            spare: Vec::new(),
        };
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
                // Made fast to a free point, that point hangs on something of its own.
                let fast = model.rig.points[point].fixed
                    || self.ties.iter().any(|t| load_end(&model.rig.parts[*t], id));
                if !fast {
                    return Err(format!("{} ends at nothing that holds it", rope.label));
                }
                return Ok(run);
            }
            if i == 0 {
                run.path.push(point);
                continue;
            }
            let Some(meets) = self.meets(model, outcome, rope, i) else {
                let before = run.path.last().copied().unwrap_or(point);
                if let Some(corner) = self.comes_down(model, rope, before, i) {
                    run.path.push(corner);
                    run.meets.push(Meets::Edge);
                }
                continue;
            };
            run.path.push(point);
            run.meets.push(meets);
            if !from_load && model.rig.load.points.contains(id) {
                run.hung_at = Some(point);
            }
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
        let places = super::load::placed(model, rope);
        let place = |n: usize| places.get(n).copied().flatten();
        let (Some(a), Some(b), Some(c)) = (at.checked_sub(1).and_then(place), place(at), place(at + 1))
        else {
            return 0.0;
        };
        let (before, after) = ((b.0 - a.0, b.1 - a.1), (c.0 - b.0, c.1 - b.1));
        let cross = before.0 * after.1 - before.1 * after.0;
        libm::atan2(cross.abs(), before.0 * after.0 + before.1 * after.1)
    }

    /// How many ranges may be in play: the share, the pulleys, each rope's edges, the slope, ropes that leave the load at an angle.
    pub(super) fn ranges(&self) -> usize {
        2 + self.ropes.len() + 2
    }

    /// Whether a corner repeats another one, because its range is not in play.
    pub(super) fn repeats(&self, model: &Model<'_>, motion: Sliding, corner: Corner) -> bool {
        let Corner::Ends(bits) = corner else { return false };
        let rig = model.rig;
        let held = motion == Sliding::Held;
        let bearing = self.ropes.iter().filter(|rope| rope.bears_load()).count();
        let apart = self.apart(model).is_some();
        let share = match bearing {
            0 | 1 => false,
            2 => self.stands.is_some() || varies(&rig.load.share_one) && !(apart && self.in_balance(corner)),
            _ => true,
        };
        let contact = |meets: &Meets| match meets {
            Meets::Edge => varies(&rig.edge.friction) || held && rig.edge.friction.high.value() > 1.0,
            Meets::Rub(part, turn) => {
                let mu = rig.parts[*part].friction.as_ref();
                *turn > 0.0 && mu.is_some_and(|mu| varies(mu) || held && mu.high.value() > 0.0)
            }
            _ => false,
        };
        let sheave = |meets: &Meets| match meets {
            Meets::Pulley(part) => {
                let own = rig.parts[*part].efficiency.as_ref();
                own.is_some_and(|own| varies(own) || held && own.low.value() < 1.0)
            }
            _ => false,
        };
        let pulleys = self.ropes.iter().flat_map(|r| &r.meets).any(sheave);
        let edges = self.ropes.iter().map(|r| r.meets.iter().any(contact));
        let slope = rig.edge.slope.as_ref();
        let slope = slope.is_some_and(|s| varies(&s.friction) || held && s.friction.high.value() > 0.0);
        let in_play = [share, pulleys].into_iter().chain(edges).chain([slope, apart]);
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
        for (n, part) in self.ties.iter().enumerate() {
            let own = &model.rig.parts[*part];
            let (mut low, mut high) = (place(&own.at[0])?, place(&own.at[1])?);
            // Named from the ground downwards it is the same tie.
            if model.rig.points[low].fixed && !model.rig.points[high].fixed {
                std::mem::swap(&mut low, &mut high);
            }
            ties.push(Tie {
                low,
                high,
                stiffness: super::uneven::stiffness(own).0[1],
                gap: own.slack.map_or(0.0, |slack| slack.to_metres()) + self.runs_out(n),
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
            runs.push(Run {
                path: rope.path.clone(),
                contacts,
                tension,
                spare: rope.spare.clone(),
                leaves: None,
            });
        }
        let forces = self.hung(model, motion, corner, &tensions)?;
        let fixed = model.rig.points.iter().map(|p| p.fixed).collect();
        Ok((Network { points: self.places(model), fixed, ties, runs, forces }, tensions))
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
            Unsolved::RunsOff(point) => format!("nothing stops {} where it would move to", at(point)),
            Unsolved::Jams(point) => {
                format!("{} would come up against what holds it: not solved", at(point))
            }
            Unsolved::Tips(point) => format!("what stands at {} would tip over", at(point)),
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
