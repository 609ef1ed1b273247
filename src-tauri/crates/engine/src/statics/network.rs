//! The statics of a plane network, point by point: ties that pull and never push, ropes as one element
//! over a path with a tension ratio at each contact.
//!
//! Every free point gives two equations of balance; all are solved together. A tie that would have to
//! push is slack and left out. A point that hangs on one tie moves until that tie lies in line with what
//! pulls on it. What leaves more unknowns than equations (three legs on one knot) is not solved.

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
}

/// A rope from its load end.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Points, load end first.
    pub path: Vec<usize>,
    /// What it meets at each inner point.
    pub contacts: Vec<Contact>,
    /// Tension at the load end, N.
    pub tension: f64,
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
    /// More unknown tensions than equations there.
    Shared(usize),
    /// Nothing holds the point.
    Hangs(usize),
    /// A tie or a rope has no length there.
    NoLength(usize),
    /// No balance was found.
    NoBalance,
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
}

/// Out of line by more than this (sine) counts as moved.
const MOVED: f64 = 1e-3;
/// Unbalanced force that is taken as balance, as a share of the largest tension.
const BALANCE: f64 = 1e-9;
const ROUNDS: usize = 200;

fn direction(from: Vec2, to: Vec2) -> Option<Vec2> {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let length = libm::hypot(dx, dy);
    (length > 1e-9).then(|| (dx / length, dy / length))
}

/// A tension as constant + coefficient × unknown.
#[derive(Clone, Copy, Debug)]
struct Term {
    constant: f64,
    unknown: Option<(usize, f64)>,
}

impl Network {
    /// Solves the network.
    ///
    /// # Errors
    /// When it cannot be solved: the reason, with the point.
    pub fn solve(&self) -> Result<Solution, Unsolved> {
        let mut taut = vec![true; self.ties.len()];
        // Each round leaves out one slack tie at least, so this ends.
        for _ in 0..=self.ties.len() {
            let solution = self.solve_taut(&taut)?;
            let largest = solution.ties.iter().fold(1.0_f64, |a, b| a.max(b.abs()));
            let worst = (0..self.ties.len())
                .filter(|i| taut[*i] && solution.ties[*i] < -1e-9 * largest)
                .min_by(|a, b| solution.ties[*a].total_cmp(&solution.ties[*b]));
            match worst {
                None => return Ok(solution),
                Some(push) => taut[push] = false,
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
            let (ties, runs) = self.tensions(taut, &along, &hangs)?;
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
                return Ok(Solution { ties, along, runs, moved, residual });
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
        for run in &self.runs {
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
                [_, _, _, ..] => return Err(Unsolved::Shared(point)),
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
    fn tensions(
        &self,
        taut: &[bool],
        along: &[Vec2],
        hangs: &[Option<usize>],
    ) -> Result<(Vec<f64>, Vec<Vec<f64>>), Unsolved> {
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
                let mut last = Term { constant: run.tension, unknown: None };
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
        let rows = self.equations(count, &ties, &runs, along, hangs)?;
        let x = eliminate(rows, count)?;
        let value = |t: &Term| t.constant + t.unknown.map_or(0.0, |(n, c)| c * x[n]);
        Ok((
            ties.iter().map(|t| t.map_or(0.0, |n| x[n])).collect(),
            runs.iter().map(|terms| terms.iter().map(value).collect()).collect(),
        ))
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
        for (ends, tension) in run.path.windows(2).zip(tensions) {
            let (from, to) = match point {
                p if p == ends[0] => (ends[0], ends[1]),
                p if p == ends[1] => (ends[1], ends[0]),
                _ => continue,
            };
            let way = direction(self.points[from], self.points[to]).ok_or(Unsolved::NoLength(from))?;
            sum.0 += way.0 * tension;
            sum.1 += way.1 * tension;
        }
        Ok(sum)
    }

    fn moved(&self, placed: &[Vec2], along: &[Vec2], ties: &[f64], hangs: &[Option<usize>]) -> Vec<bool> {
        hangs
            .iter()
            .map(|tie| {
                tie.is_some_and(|t| {
                    let cross = placed[t].0 * along[t].1 - placed[t].1 * along[t].0;
                    let dot = placed[t].0 * along[t].0 + placed[t].1 * along[t].1;
                    ties[t] > 1e-9 && (cross.abs() > MOVED || dot < 0.0)
                })
            })
            .collect()
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

/// Gauss with full pivoting on rows `[a | b]`; every unknown must be determined.
fn eliminate(mut rows: Vec<Vec<f64>>, count: usize) -> Result<Vec<f64>, Unsolved> {
    let mut order = Vec::new();
    let mut used = vec![false; rows.len()];
    for _ in 0..count {
        let mut best = (0.0, 0, 0);
        for (r, row) in rows.iter().enumerate().filter(|(r, _)| !used[*r]) {
            for (c, cell) in row[..count].iter().enumerate() {
                if cell.abs() > best.0 {
                    best = (cell.abs(), r, c);
                }
            }
        }
        let (size, r, c) = best;
        if size < 1e-10 {
            return Err(Unsolved::NoBalance);
        }
        used[r] = true;
        order.push((r, c));
        let pivot = rows[r].clone();
        for (other, row) in rows.iter_mut().enumerate().filter(|(other, _)| *other != r) {
            let factor = row[c] / pivot[c];
            if factor != 0.0 {
                row.iter_mut().zip(&pivot).for_each(|(a, b)| *a -= factor * b);
                row[c] = 0.0;
            }
            debug_assert!(other != r);
        }
    }
    let mut x = vec![0.0; count];
    for (r, c) in order {
        x[c] = rows[r][count] / rows[r][c];
    }
    Ok(x)
}

#[cfg(test)]
mod tests;
