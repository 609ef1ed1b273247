//! What the load does to its ropes: how much of it each takes, and which way it pulls.

use super::Corner;
use super::network::{Network, Solution, Vec2};
use super::ranges::pick;
use super::scene::{RopeRun, Scene};
use crate::support::{Hold, Model, Outcome};
use rig::model::{Line, PartKind, Rope, Sliding};
use rig::quantity::G;

/// Ropes that leave the load this far apart (sine) share it by balance: about 5°. Below that a hand on either rope decides.
const APART: f64 = 0.087;
/// What a rope hangs on moves so far, as a share of the stretch below it, that the shares change (about half a degree).
const MOVES: f64 = 0.01;

impl RopeRun {
    /// Whether the load hangs on it: at its end, or on a pulley that runs on it.
    pub fn bears_load(&self) -> bool {
        self.from_load || self.hung_at.is_some()
    }
}

impl Scene {
    /// What of the load each rope takes, N; 0 for one that the load does not hang on.
    pub(super) fn shares(
        &self,
        model: &Model<'_>,
        motion: Sliding,
        corner: Corner,
    ) -> Result<Vec<f64>, String> {
        let pull = self.pull(model, motion, corner);
        let ends: Vec<usize> = (0..self.ropes.len()).filter(|n| self.ropes[*n].bears_load()).collect();
        let mut shares = vec![0.0; self.ropes.len()];
        match ends.as_slice() {
            [] if self.tied_load.is_some() => {}
            [] => return Err("no rope holds".into()),
            [one] => shares[*one] = pull,
            [a, b] => {
                let (one, two) = match (self.ropes[*a].line, self.ropes[*b].line) {
                    (Line::One, Line::Two) => (*a, *b),
                    (Line::Two, Line::One) => (*b, *a),
                    _ => return Err("two ropes of one line: their shares are not stated".into()),
                };
                if self.one_sided(model) {
                    return Err(
                        "both ropes pull the load to one side: it would swing until it hangs between \
                                them, which is not solved"
                            .into(),
                    );
                }
                let share = self.share_one(model, corner);
                (shares[one], shares[two]) = match self.apart(model) {
                    Some([first, second]) if self.in_balance(corner) => {
                        if one == *a {
                            (first * pull, second * pull)
                        } else {
                            (second * pull, first * pull)
                        }
                    }
                    _ => (share * pull, (1.0 - share) * pull),
                };
            }
            more => {
                if self.ropes_apart(model, more) {
                    return Err(format!(
                        "{} ropes leave the load in different directions: their shares are not solved",
                        more.len()
                    ));
                }
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

    /// Two ropes that leave the load at an angle hold it as two legs do: tension of each over the load, by the balance of the
    /// load itself, the first in the order of `ropes` first. `None`: they run side by side (their shares are a matter of hands),
    /// the ground bears some of the load, or one of them would have to push (the load then swings under the other).
    pub fn apart(&self, model: &Model<'_>) -> Option<[f64; 2]> {
        let ends: Vec<&RopeRun> = self.ropes.iter().filter(|rope| rope.bears_load()).collect();
        let [a, b] = ends.as_slice() else { return None };
        if model.rig.edge.slope.is_some() || !a.from_load || !b.from_load {
            return None;
        }
        let (a, b) = (self.leaves(model, a)?, self.leaves(model, b)?);
        let cross = a.0 * b.1 - a.1 * b.0;
        if cross.abs() < APART {
            return None;
        }
        // a T₁ + b T₂ = against the pull.
        let up = against(model);
        let (first, second) = ((up.0 * b.1 - up.1 * b.0) / cross, (a.0 * up.1 - a.1 * up.0) / cross);
        (first > 0.0 && second > 0.0).then_some([first, second])
    }

    /// Ropes that leave the load apart, one of which would have to push.
    fn one_sided(&self, model: &Model<'_>) -> bool {
        let ends: Vec<usize> = (0..self.ropes.len()).filter(|n| self.ropes[*n].bears_load()).collect();
        ends.iter().all(|n| self.ropes[*n].from_load)
            && self.ropes_apart(model, &ends)
            && self.apart(model).is_none()
    }

    /// Two ropes apart share the load by the directions in which they leave it: where what they hang on moves, that no longer holds.
    ///
    /// # Errors
    /// In words, when it moves so far.
    pub(super) fn keeps_its_shares(
        &self,
        model: &Model<'_>,
        placed: &Network,
        solution: &Solution,
    ) -> Result<(), String> {
        let Some(rest) = &solution.at_rest else { return Ok(()) };
        if self.apart(model).is_none() {
            return Ok(());
        }
        for rope in self.ropes.iter().filter(|rope| rope.from_load) {
            let [end, next, ..] = rope.path.as_slice() else { continue };
            let far = |a: Vec2, b: Vec2| libm::hypot(a.0 - b.0, a.1 - b.1);
            let long = far(placed.points[*end], placed.points[*next]);
            if far(placed.points[*next], rest.points[*next]) > MOVES * long {
                return Err("the load would swing between its ropes: their shares are not solved".into());
            }
        }
        Ok(())
    }

    /// How much longer each stretch of a rope is than its way since pulleys that bent it are lost, m; none where none are.
    pub(super) fn spare(
        &self,
        model: &Model<'_>,
        outcome: &Outcome,
        rope: &Rope,
        path: &[usize],
    ) -> Vec<f64> {
        let lost = |id: &String| {
            let mut here = model.rig.parts.iter().enumerate().filter(|(p, own)| {
                own.kind == PartKind::Pulley
                    && own.at.contains(id)
                    && super::of_line(own, rope.line)
                    && !model.absent[*p]
            });
            here.next().is_some_and(|(p, _)| outcome.parts[p] == Hold::Not)
                && here.all(|(p, _)| outcome.parts[p] == Hold::Not)
        };
        let place = |point: usize| {
            let own = &model.rig.points[point];
            (own.x.to_metres(), own.y.to_metres())
        };
        let far = |a: Vec2, b: Vec2| libm::hypot(a.0 - b.0, a.1 - b.1);
        let mut all = Vec::new();
        let mut drawn = rope.path.iter().skip(1);
        // Where it comes down on the edge it was not drawn: both stretches there are one of the drawing.
        let on_edge = |point: usize| rope.path.iter().all(|id| self.point(id) != Some(point));
        let mut ends = path.windows(2).peekable();
        while let Some([from, to]) = ends.next() {
            let (mut to, mut now, mut stretches) = (*to, far(place(*from), place(*to)), 1);
            while on_edge(to)
                && let Some([_, next]) = ends.next()
            {
                now += far(place(to), place(*next));
                (to, stretches) = (*next, stretches + 1);
            }
            let (mut at, mut long) = (place(*from), 0.0);
            for (id, point) in drawn.by_ref().filter_map(|id| Some((id, self.point(id)?))) {
                if point == to {
                    break;
                }
                if lost(id) {
                    long += far(at, place(point));
                    at = place(point);
                }
            }
            all.push((long + far(at, place(to)) - now).max(0.0));
            all.extend(std::iter::repeat_n(0.0, stretches - 1));
        }
        if all.iter().all(|spare| *spare == 0.0) { Vec::new() } else { all }
    }

    fn ropes_apart(&self, model: &Model<'_>, ropes: &[usize]) -> bool {
        let ways: Vec<Vec2> = ropes.iter().filter_map(|n| self.leaves(model, &self.ropes[*n])).collect();
        let apart =
            |a: &Vec2, b: &Vec2| (a.0 * b.1 - a.1 * b.0).abs() >= APART || a.0 * b.0 + a.1 * b.1 < 0.0;
        model.rig.edge.slope.is_none() && ways.iter().any(|a| ways.iter().any(|b| apart(a, b)))
    }

    /// Which way a rope leaves the load.
    fn leaves(&self, model: &Model<'_>, rope: &RopeRun) -> Option<Vec2> {
        let places = self.places(model);
        let (from, to) = (places[*rope.path.first()?], places[*rope.path.get(1)?]);
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let length = libm::hypot(dx, dy);
        (length > 1e-9).then(|| (dx / length, dy / length))
    }

    /// Whether at this corner ropes that leave the load at an angle share it by balance; else it has shifted to hang on them as
    /// the range of shares says.
    pub(super) fn in_balance(&self, corner: Corner) -> bool {
        match corner {
            Corner::Nominal => true,
            Corner::Ends(bits) => bits >> (self.ranges() - 1) & 1 == 1,
        }
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
    pub(super) fn pull(&self, model: &Model<'_>, motion: Sliding, corner: Corner) -> f64 {
        let weight = model.rig.load.mass.to_kilograms() * G;
        let Some(slope) = &model.rig.edge.slope else { return weight };
        let (sin, cos) = libm::sincos(slope.angle.to_radians());
        let bit = self.ranges() - 2;
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

    /// What the load pulls on points that it hangs on by ties, or by pulleys that run on its ropes, N.
    ///
    /// # Errors
    /// In words: why that cannot be said.
    pub(super) fn hung(
        &self,
        model: &Model<'_>,
        motion: Sliding,
        corner: Corner,
        tensions: &[f64],
    ) -> Result<Vec<(usize, Vec2)>, String> {
        let tied = self.tied_load.map(|point| (point, self.pull(model, motion, corner)));
        let on_pulleys = self.ropes.iter().zip(tensions).filter_map(|(r, t)| Some((r.hung_at?, *t)));
        let hanging: Vec<(usize, f64)> = tied.into_iter().chain(on_pulleys).collect();
        for (point, _) in &hanging {
            let id = &model.rig.points[*point].id;
            if model.rig.points[*point].fixed {
                return Err(format!("the load’s point “{id}” is marked as ground, which would bear it"));
            }
            if self.ropes.iter().any(|rope| rope.from_load && rope.path.first() == Some(point)) {
                return Err(format!(
                    "at “{id}” the load hangs on a pulley and at the end of a rope at once: not solved"
                ));
            }
        }
        if !hanging.is_empty() && model.rig.edge.slope.is_some() {
            return Err("on a slope a load is solved only at the end of its ropes".into());
        }
        let up = against(model);
        Ok(hanging.into_iter().map(|(point, size)| (point, (-up.0 * size, -up.1 * size))).collect())
    }

    /// Where the points are: as drawn, the load’s ends of its ropes in the direction that the load is said to pull.
    pub(super) fn places(&self, model: &Model<'_>) -> Vec<Vec2> {
        let mut places: Vec<Vec2> =
            model.rig.points.iter().map(|p| (p.x.to_metres(), p.y.to_metres())).collect();
        if model.rig.load.pull.is_none() {
            return places;
        }
        let up = against(model);
        for rope in self.ropes.iter().filter(|rope| rope.from_load) {
            let [end, next, ..] = rope.path.as_slice() else { continue };
            let (from, to) = (places[*next], places[*end]);
            let length = libm::hypot(to.0 - from.0, to.1 - from.1);
            places[*end] = (from.0 - up.0 * length, from.1 - up.1 * length);
        }
        places
    }
}

/// Against the load’s pull: up, or off it by what the rig says.
pub(super) fn against(model: &Model<'_>) -> Vec2 {
    let (sin, cos) = libm::sincos(model.rig.load.pull.map_or(0.0, |pull| pull.to_radians()));
    (-sin, cos)
}

/// Where the points of a rope’s path are, the load’s end in the direction that the load is said to pull; `None`: no such point.
pub(super) fn placed(model: &Model<'_>, rope: &Rope) -> Vec<Option<Vec2>> {
    let place = |id: &String| model.rig.point(id).map(|p| (p.x.to_metres(), p.y.to_metres()));
    let mut places: Vec<Option<Vec2>> = rope.path.iter().map(place).collect();
    let from_load = rope.path.first().is_some_and(|id| model.rig.load.points.contains(id));
    if let (true, true, [Some(end), Some(next), ..]) =
        (model.rig.load.pull.is_some(), from_load, places.as_slice())
    {
        let (up, length) = (against(model), libm::hypot(end.0 - next.0, end.1 - next.1));
        places[0] = Some((next.0 - up.0 * length, next.1 - up.1 * length));
    }
    places
}
