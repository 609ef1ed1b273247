//! The statics of a plane network, point by point: ties that pull and never push, ropes as one element
//! over a path with a tension ratio at each contact.
//!
//! Every free point gives two equations of balance; all are solved together. A tie that would have to
//! push is slack and left out. A point that hangs on one tie moves until that tie lies in line with what
//! pulls on it; where anything moves so, the shape it comes to rest in is found (`settle`). More unknowns
//! than equations (three legs on one knot) are shared by how the ties give way (`share`).

mod moved;

use super::settle::Lengths;
use super::share::{self, Yield};

/// A vector in N, or a direction.
pub type Vec2 = (f64, f64);

/// What a rope meets at a point of its path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Contact {
    /// Tension past the point over tension before it, seen from the load end.
    Ratio(f64),
    /// Something grips the rope there: the tension past it is free.
    Grip,
}

/// A tie between two points, load end first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tie {
    /// Load end.
    pub low: usize,
    /// Anchor end.
    pub high: usize,
    /// Stiffness EA, N; it matters where more ties than two share a point.
    pub stiffness: f64,
    /// What must be taken up before it bears, m; below 0: it is tied shorter than it is placed.
    pub gap: f64,
    /// It bears compression too.
    pub strut: bool,
}

impl Tie {
    /// A tie that is neither slack nor a strut, of any stiffness.
    pub fn plain(low: usize, high: usize) -> Tie {
        Tie { low, high, stiffness: 1e5, gap: 0.0, strut: false }
    }
}

/// A rope from its load end.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Points, load end first.
    pub path: Vec<usize>,
    /// What it meets at each inner point.
    pub contacts: Vec<Contact>,
    /// Tension at the load end, N; `None`: its first end is made fast, and how it pulls there follows from balance.
    pub tension: Option<f64>,
    /// How much longer each stretch is than its way, m, because what bent it is gone; may be shorter than the stretches: none.
    pub spare: Vec<f64>,
    /// Which way it leaves the load, where the load moved along with what its rope hangs it on; `None`: as its points lie.
    pub leaves: Option<Vec2>,
}

impl Run {
    /// A rope over these points with what it meets, and nothing to spare.
    pub fn over(path: Vec<usize>, contacts: Vec<Contact>, tension: Option<f64>) -> Run {
        Run { path, contacts, tension, spare: Vec::new(), leaves: None }
    }
}

/// A network.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Network {
    /// Places in m.
    pub points: Vec<Vec2>,
    /// Whether the ground holds each point.
    pub fixed: Vec<bool>,
    /// Ties.
    pub ties: Vec<Tie>,
    /// Ropes.
    pub runs: Vec<Run>,
    /// Forces from outside on points, N.
    pub forces: Vec<(usize, Vec2)>,
}

/// Why a network was not solved, with the point where it stuck.
#[derive(Clone, Debug, PartialEq)]
pub enum Unsolved {
    /// Nothing holds the point.
    Hangs(usize),
    /// A tie or a rope has no length there.
    NoLength(usize),
    /// No balance was found.
    NoBalance,
    /// Nothing stops the point.
    RunsOff(usize),
    /// What runs or hangs there comes up against what holds it.
    Jams(usize),
    /// A strut tips over there.
    Tips(usize),
}

/// A solved network.
#[derive(Clone, Debug, PartialEq)]
pub struct Solution {
    /// Tension of each tie, N; 0 for a slack one.
    pub ties: Vec<f64>,
    /// Direction in which each tie pulls its load end.
    pub along: Vec<Vec2>,
    /// Tension of each stretch of each rope, N.
    pub runs: Vec<Vec<f64>>,
    /// Points that move out of their place to hang in line.
    pub moved: Vec<bool>,
    /// Largest unbalanced force at any free point, N.
    pub residual: f64,
    /// More unknown tensions than equations: the shares follow from stiffness and from how the ties were tied.
    pub shared: bool,
    /// The network in the shape that it came to rest in, where that is not as placed.
    pub at_rest: Option<Box<Network>>,
    /// For each tie that is slack, how far it is from bearing, m; below 0 it would bear.
    clear: Vec<f64>,
}

/// Unbalanced force that is taken as balance, as a share of the largest tension.
const BALANCE: f64 = 1e-9;
const ROUNDS: usize = 200;

fn direction(from: Vec2, to: Vec2) -> Option<Vec2> {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let length = libm::hypot(dx, dy);
    (length > 1e-9).then(|| (dx / length, dy / length))
}

/// What one round found.
struct Tensions {
    ties: Vec<f64>,
    runs: Vec<Vec<f64>>,
    clear: Vec<f64>,
    shared: bool,
}

/// A tension as constant + coefficient × unknown.
#[derive(Clone, Copy, Debug)]
struct Term {
    constant: f64,
    unknown: Option<(usize, f64)>,
}

impl Network {
    /// Solves the network: as placed where it stays so, else in the shape that it comes to rest in.
    ///
    /// # Errors
    /// When it cannot be solved: the reason, with the point.
    pub fn solve(&self) -> Result<Solution, Unsolved> {
        self.solve_near(None)
    }

    /// The same, looked for from where the points of one much like it came to rest.
    ///
    /// # Errors
    /// When it cannot be solved: the reason, with the point.
    pub fn solve_near(&self, near: Option<&[Vec2]>) -> Result<Solution, Unsolved> {
        match self.solve_placed() {
            // So long a slack is no loaded shape: what hangs on it moves until it is taken up.
            Ok(placed) if self.takes_up(&placed) => self.solve_moved(Lengths::Unloaded, near),
            Ok(placed) if !placed.moved.contains(&true) => Ok(placed),
            Ok(Solution { ties, runs, shared, .. }) => {
                self.solve_moved(Lengths::Loaded { ties: &ties, runs: &runs, kept: !shared }, near)
            }
            Err(Unsolved::NoBalance) => self.solve_moved(Lengths::Kept, near),
            Err(other) => Err(other),
        }
    }

    /// Solves a network that is said to be drawn as it bears its load: as placed, and, where something must move for that, in
    /// the shape that it comes to rest in too.
    ///
    /// # Errors
    /// When either cannot be solved: the reason, with the point.
    pub fn solve_drawn(&self, near: Option<&[Vec2]>) -> Result<Vec<Solution>, Unsolved> {
        match self.solve_placed() {
            Ok(placed) if placed.moved.contains(&true) && !self.takes_up(&placed) => {
                Ok(vec![placed, self.solve_near(near)?])
            }
            Ok(placed) if !self.takes_up(&placed) => Ok(vec![placed]),
            _ => Ok(vec![self.solve_near(near)?]),
        }
    }

    /// Solves the network in the shape as placed; points that hang on one tie only turn about its other end.
    ///
    /// # Errors
    /// When it cannot be solved so: the reason, with the point.
    pub fn solve_placed(&self) -> Result<Solution, Unsolved> {
        let mut taut = vec![true; self.ties.len()];
        // A tie that goes slack is left out and, where others then stretch so far that it bears, taken in again. The shares are
        // the least of a convex energy, so that this ends; a cap ends what rounding might not.
        for _ in 0..=4 * self.ties.len() {
            let solution = self.solve_taut(&taut)?;
            let largest = solution.ties.iter().fold(1.0_f64, |a, b| a.max(b.abs()));
            let pushes = (0..self.ties.len())
                .filter(|i| taut[*i] && !self.ties[*i].strut && solution.ties[*i] < -1e-9 * largest)
                .min_by(|a, b| solution.ties[*a].total_cmp(&solution.ties[*b]));
            let bears = (0..self.ties.len())
                .filter(|i| !taut[*i] && solution.clear[*i] < -1e-9)
                .min_by(|a, b| solution.clear[*a].total_cmp(&solution.clear[*b]));
            match (pushes, bears) {
                (Some(push), _) => taut[push] = false,
                (None, Some(bears)) => taut[bears] = true,
                // A rope cannot push either, and there is none to leave out.
                (None, None) if solution.runs.iter().flatten().any(|t| *t < -1e-9 * largest) => {
                    return Err(Unsolved::NoBalance);
                }
                (None, None) => return Ok(solution),
            }
        }
        Err(Unsolved::NoBalance)
    }

    fn solve_taut(&self, taut: &[bool]) -> Result<Solution, Unsolved> {
        let mut along = Vec::with_capacity(self.ties.len());
        for tie in &self.ties {
            let way = direction(self.points[tie.low], self.points[tie.high]);
            along.push(way.ok_or(Unsolved::NoLength(tie.low))?);
        }
        let placed = along.clone();
        let hangs = self.hanging(taut)?;
        for _ in 0..ROUNDS {
            let Tensions { ties, runs, clear, shared } = self.tensions(taut, &along, &hangs)?;
            let mut turned = 0.0_f64;
            let mut next = along.clone();
            for (point, tie) in hangs.iter().enumerate().filter_map(|(p, t)| t.map(|t| (p, t))) {
                let pull = self.pull(point, &ties, &along, &runs, Some(tie))?;
                let size = libm::hypot(pull.0, pull.1);
                if size > 1e-9 {
                    let line = (-pull.0 / size, -pull.1 / size);
                    turned = turned.max(libm::hypot(line.0 - along[tie].0, line.1 - along[tie].1));
                    next[tie] = line;
                }
            }
            along = next;
            if turned < 1e-13 {
                let moved = self.moved(&placed, &along, &ties, &hangs);
                let residual = self.residual(&ties, &along, &runs)?;
                let largest = runs.iter().flatten().chain(&ties).fold(1.0_f64, |a, b| a.max(b.abs()));
                if residual > BALANCE * largest {
                    return Err(Unsolved::NoBalance);
                }
                return Ok(Solution { ties, along, runs, moved, residual, shared, at_rest: None, clear });
            }
        }
        Err(Unsolved::NoBalance)
    }

    /// Points that a tie or a rope pulls on and that must balance.
    fn balanced(&self) -> Vec<bool> {
        let mut touched = vec![false; self.points.len()];
        for tie in &self.ties {
            touched[tie.low] = true;
            touched[tie.high] = true;
        }
        for run in &self.runs {
            run.path.iter().for_each(|p| touched[*p] = true);
        }
        self.forces.iter().for_each(|(p, _)| touched[*p] = true);
        // The load's end of a rope is held by the load itself.
        for run in self.runs.iter().filter(|run| run.tension.is_some()) {
            if let Some(end) = run.path.first() {
                touched[*end] = false;
            }
        }
        touched.iter().zip(&self.fixed).map(|(touched, fixed)| *touched && !fixed).collect()
    }

    /// For each point that hangs on one tie alone, that tie.
    fn hanging(&self, taut: &[bool]) -> Result<Vec<Option<usize>>, Unsolved> {
        let mut hangs = vec![None; self.points.len()];
        for (point, balanced) in self.balanced().into_iter().enumerate() {
            if !balanced || self.gripped(point) {
                continue;
            }
            let up: Vec<usize> =
                (0..self.ties.len()).filter(|i| taut[*i] && self.ties[*i].low == point).collect();
            match up.as_slice() {
                [one] => hangs[point] = Some(*one),
                [] if !self.between(point) => return Err(Unsolved::Hangs(point)),
                _ => {}
            }
        }
        Ok(hangs)
    }

    /// Whether something grips a rope at a point.
    fn gripped(&self, point: usize) -> bool {
        self.runs.iter().any(|run| {
            let inner = run.path.iter().skip(1).zip(&run.contacts);
            inner.into_iter().any(|(p, c)| *p == point && *c == Contact::Grip)
        })
    }

    /// Whether a rope runs on past a point: a pulley that moves with the load hangs between strands.
    fn between(&self, point: usize) -> bool {
        self.runs.iter().any(|run| run.path.iter().skip(1).rev().skip(1).any(|p| *p == point))
    }

    /// Unknowns: the taut ties, then one for each grip on a rope.
    fn tensions(&self, taut: &[bool], along: &[Vec2], hangs: &[Option<usize>]) -> Result<Tensions, Unsolved> {
        let mut count = 0;
        let mut number = |used: bool| {
            used.then(|| {
                count += 1;
                count - 1
            })
        };
        let ties: Vec<Option<usize>> = taut.iter().map(|t| number(*t)).collect();
        let runs: Vec<Vec<Term>> = self
            .runs
            .iter()
            .map(|run| {
                let mut last = match run.tension {
                    Some(tension) => Term { constant: tension, unknown: None },
                    None => Term { constant: 0.0, unknown: number(true).map(|n| (n, 1.0)) },
                };
                let mut terms = vec![last];
                for contact in &run.contacts {
                    last = match contact {
                        Contact::Grip => Term { constant: 0.0, unknown: number(true).map(|n| (n, 1.0)) },
                        Contact::Ratio(r) => Term {
                            constant: last.constant * r,
                            unknown: last.unknown.map(|(n, c)| (n, c * r)),
                        },
                    };
                    terms.push(last);
                }
                terms
            })
            .collect();
        // The columns of slack ties stand behind those of the unknowns, to see how far they are from bearing.
        let slack: Vec<usize> = (0..self.ties.len()).filter(|i| !taut[*i]).collect();
        let mut columns = ties.clone();
        for (n, tie) in slack.iter().enumerate() {
            columns[*tie] = Some(count + n);
        }
        let rows = self.equations(count + slack.len(), &columns, &runs, along, hangs)?;
        let energy: Vec<Yield> = (0..count + slack.len())
            .map(|n| match columns.iter().position(|c| *c == Some(n)) {
                Some(tie) => self.yields(tie),
                None => Yield { per_newton: 0.0, gap: 0.0 },
            })
            .collect();
        let found = share::tensions(rows, count, &energy).ok_or(Unsolved::NoBalance)?;
        let x = found.forces;
        let value = |t: &Term| t.constant + t.unknown.map_or(0.0, |(n, c)| c * x[n]);
        let mut clear = vec![0.0; self.ties.len()];
        for (tie, far) in slack.iter().zip(&found.clear) {
            // Where a point swings, how far a slack tie is from bearing is seen in the shape at rest only.
            let swings = [self.ties[*tie].low, self.ties[*tie].high].iter().any(|p| hangs[*p].is_some());
            clear[*tie] = if swings { 0.0 } else { *far };
        }
        Ok(Tensions {
            ties: ties.iter().map(|t| t.map_or(0.0, |n| x[n])).collect(),
            runs: runs.iter().map(|terms| terms.iter().map(value).collect()).collect(),
            clear,
            shared: found.shared,
        })
    }

    /// How a tie gives way.
    fn yields(&self, tie: usize) -> Yield {
        let own = &self.ties[tie];
        let (low, high) = (self.points[own.low], self.points[own.high]);
        let length = libm::hypot(high.0 - low.0, high.1 - low.1);
        Yield { per_newton: (length + own.gap).max(0.0) / own.stiffness, gap: own.gap }
    }

    /// Two equations of balance a point; one, along its tie, for a point that hangs on one tie.
    fn equations(
        &self,
        count: usize,
        ties: &[Option<usize>],
        runs: &[Vec<Term>],
        along: &[Vec2],
        hangs: &[Option<usize>],
    ) -> Result<Vec<Vec<f64>>, Unsolved> {
        let mut rows = vec![vec![0.0; count + 1]; self.points.len() * 2];
        let mut add = |point: usize, way: Vec2, term: &Term| {
            for (axis, part) in [way.0, way.1].into_iter().enumerate() {
                let row = &mut rows[point * 2 + axis];
                row[count] -= part * term.constant;
                if let Some((n, c)) = term.unknown {
                    row[n] += part * c;
                }
            }
        };
        for (i, tie) in self.ties.iter().enumerate() {
            if let Some(n) = ties[i] {
                let term = Term { constant: 0.0, unknown: Some((n, 1.0)) };
                add(tie.low, along[i], &term);
                add(tie.high, (-along[i].0, -along[i].1), &term);
            }
        }
        for (run, terms) in self.runs.iter().zip(runs) {
            for (ends, term) in run.path.windows(2).zip(terms) {
                let way = direction(self.points[ends[0]], self.points[ends[1]])
                    .ok_or(Unsolved::NoLength(ends[0]))?;
                add(ends[0], way, term);
                add(ends[1], (-way.0, -way.1), term);
            }
        }
        for (point, force) in &self.forces {
            add(*point, *force, &Term { constant: 1.0, unknown: None });
        }
        let mut kept = Vec::new();
        for (point, balanced) in self.balanced().into_iter().enumerate() {
            if !balanced {
                continue;
            }
            let (x, y) = (&rows[point * 2], &rows[point * 2 + 1]);
            match hangs[point] {
                None => kept.extend([x.clone(), y.clone()]),
                Some(tie) => {
                    let (a, b) = along[tie];
                    kept.push(x.iter().zip(y).map(|(x, y)| a * x + b * y).collect());
                }
            }
        }
        Ok(kept)
    }

    /// What pulls on a point, one tie left out.
    fn pull(
        &self,
        point: usize,
        ties: &[f64],
        along: &[Vec2],
        runs: &[Vec<f64>],
        without: Option<usize>,
    ) -> Result<Vec2, Unsolved> {
        let mut sum = (0.0, 0.0);
        let mut add = |way: Vec2, size: f64| {
            sum.0 += way.0 * size;
            sum.1 += way.1 * size;
        };
        for (i, tie) in self.ties.iter().enumerate().filter(|(i, _)| Some(*i) != without) {
            if tie.low == point {
                add(along[i], ties[i]);
            }
            if tie.high == point {
                add((-along[i].0, -along[i].1), ties[i]);
            }
        }
        for (run, tensions) in self.runs.iter().zip(runs) {
            add(self.strands(run, tensions, point)?, 1.0);
        }
        for (at, force) in &self.forces {
            if *at == point {
                add(*force, 1.0);
            }
        }
        Ok(sum)
    }

    /// What a rope's strands pull on a point of its path.
    pub fn strands(&self, run: &Run, tensions: &[f64], point: usize) -> Result<Vec2, Unsolved> {
        let mut sum = (0.0, 0.0);
        for (n, (ends, tension)) in run.path.windows(2).zip(tensions).enumerate() {
            let (from, to) = match point {
                p if p == ends[0] => (ends[0], ends[1]),
                p if p == ends[1] => (ends[1], ends[0]),
                _ => continue,
            };
            let way = match run.leaves.filter(|_| n == 0) {
                Some(way) if point == ends[0] => way,
                Some(way) => (-way.0, -way.1),
                None => direction(self.points[from], self.points[to]).ok_or(Unsolved::NoLength(from))?,
            };
            sum.0 += way.0 * tension;
            sum.1 += way.1 * tension;
        }
        Ok(sum)
    }

    fn residual(&self, ties: &[f64], along: &[Vec2], runs: &[Vec<f64>]) -> Result<f64, Unsolved> {
        let mut worst = 0.0_f64;
        for (point, balanced) in self.balanced().into_iter().enumerate() {
            if balanced {
                let left = self.pull(point, ties, along, runs, None)?;
                worst = worst.max(libm::hypot(left.0, left.1));
            }
        }
        Ok(worst)
    }
}

#[cfg(test)]
mod tests;
