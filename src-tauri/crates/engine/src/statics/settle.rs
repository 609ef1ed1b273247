//! Where a network comes to rest when it cannot stay as placed: a knot that lost a leg, a pulley that runs along its rope.
//!
//! The sum of ½ EA/l₀ (l − l₀)² over taut ties and held ropes, T·l over ropes of a known tension, and the work of outside forces
//! is convex in the places of the free points (struts aside); it is made least by Newton steps, damped after Levenberg,
//! each solved after Cholesky and cut back until the energy falls. A stretch that shrinks to nothing breaks that: then lengths
//! are smoothed, √(d² + ε²) with ε 1e-2, 1e-3, 1e-4 m, and at last not at all. A point that runs off, a stretch that stays without
//! length and a rest that would tip are no answers. The load moves with the point that its rope hangs it on: it pulls there the way
//! it pulled as placed.

mod elements;

use super::network::{Network, Vec2};
use elements::{Element, Law, Of};

/// Lengths are smoothed by so much, m, one after the other, where plain steps fail; and what may then be left unbalanced.
const SMOOTHED: [(f64, f64); 4] = [(1e-2, 1e-3), (1e-3, 1e-3), (1e-4, 1e-3), (0.0, BALANCED)];
/// What is left unbalanced when it is done, as a share of the largest tension.
const BALANCED: f64 = 1e-10;
const STEPS: usize = 200;
/// Nothing is stiffer than this EA, as a multiple of the largest force: it would stretch by less than a thousandth.
const STIFF: f64 = 1e3;
/// What rounding leaves of a sum, as a share of the size of its parts.
const ROUNDING: f64 = 1e-13;
/// Farther from where it was placed than this, m, a point has run off.
const OFF: f64 = 1e4;
/// A strut that turns by more than this (cosine of 5°) tips.
const TIPS: f64 = 0.996;
/// Rounds in which lengths are brought to what they are as placed, and how near, as a share of each.
const LENGTHS: usize = 30;
const NEAR: f64 = 1e-10;

/// Why it comes to no rest, with the point where that shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Restless {
    /// Nothing stops the point.
    RunsOff(usize),
    /// A stretch shrinks to nothing there: a pulley runs up to what holds its rope, a knot to its anchor.
    Jams(usize),
    /// A strut tips over there.
    Tips(usize),
    /// No balance was found.
    NoBalance,
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Rest {
    /// Where each point is, m; the load's ends of ropes of a known tension stay where they were placed.
    pub points: Vec<Vec2>,
    /// Tension of each tie, N.
    pub ties: Vec<f64>,
    /// Tension of each stretch of each rope, N.
    pub runs: Vec<Vec<f64>>,
    /// More of it is taut than balance alone determines: the shares follow from the stiffness.
    pub shared: bool,
}

/// How long what pulls is when nothing pulls on it.
#[derive(Clone, Copy, Debug)]
pub enum Lengths<'a> {
    /// As placed is the loaded shape.
    Loaded {
        /// Tension of each tie there, N.
        ties: &'a [f64],
        /// Tension of each stretch of each rope there, N.
        runs: &'a [Vec<f64>],
        /// Whatever is taut at rest is brought to its placed length again.
        kept: bool,
    },
    /// As placed, with what must be taken up, before anything pulls.
    Unloaded,
    /// As placed is how long it is under the tension that it has at rest; where that cannot be, before anything pulls.
    Kept,
}

/// The rest of a network whose points in `free` may move. Ropes held at both ends have stiffness EA `rope`, N. It is
/// looked for from `near`, else from where it is placed.
///
/// # Errors
/// Why it comes to no rest.
pub fn rest(
    network: &Network,
    free: &[bool],
    rope: f64,
    lengths: Lengths<'_>,
    near: Option<&[Vec2]>,
) -> Result<Rest, Restless> {
    let mut system = System::new(network, free, rope)?;
    let stiff = STIFF * system.size();
    system.elements.iter_mut().for_each(|element| element.begin(stiff, lengths));
    let mut points = system.found(near.unwrap_or(&network.points).to_vec())?;
    // What shares has no one shape in which all of it is as long as drawn: it stays as its stiffness has it.
    let mut shared = !system.independent(&points);
    let kept = matches!(lengths, Lengths::Kept | Lengths::Loaded { kept: true, .. });
    if kept && !shared {
        match system.kept(points.clone()) {
            Some(kept) => {
                points = kept;
                shared = !system.independent(&points);
            }
            // Then how it lies depends on how it stretches.
            None => {
                system.elements.iter_mut().for_each(|element| element.begin(stiff, lengths));
                shared = true;
            }
        }
    }
    if let Some(tie) = network.ties.iter().find(|tie| tie.strut && tips(network, &points, tie.low, tie.high))
    {
        return Err(Restless::Tips(tie.low));
    }
    Ok(system.told(points, shared))
}

fn tips(network: &Network, points: &[Vec2], low: usize, high: usize) -> bool {
    let way = |p: &[Vec2]| (p[high].0 - p[low].0, p[high].1 - p[low].1);
    let (was, now) = (way(&network.points), way(points));
    let both = libm::hypot(was.0, was.1) * libm::hypot(now.0, now.1);
    was.0 * now.0 + was.1 * now.1 < TIPS * both
}

fn length(points: &[Vec2], a: usize, b: usize, smooth: f64) -> f64 {
    let (dx, dy) = (points[b].0 - points[a].0, points[b].1 - points[a].1);
    libm::sqrt(dx * dx + dy * dy + smooth * smooth)
}

struct System<'a> {
    network: &'a Network,
    elements: Vec<Element>,
    /// Forces that do not change as points move, N: from outside, and the load on the points its ropes hang it on.
    forces: Vec<(usize, Vec2)>,
    /// First unknown of each point that may move.
    number: Vec<Option<usize>>,
    count: usize,
}

/// Energy, its gradient and its second derivatives, and the largest tension.
struct Local {
    energy: (f64, f64),
    gradient: Vec<f64>,
    hessian: Vec<f64>,
    largest: f64,
}

impl Local {
    /// The largest part of the gradient, as a share of the largest tension, and the unknown it is of.
    fn left(&self) -> (f64, usize) {
        let worst = self.gradient.iter().enumerate().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
        worst.map_or((0.0, 0), |(n, g)| (g.abs() / self.largest, n))
    }
}

impl<'a> System<'a> {
    fn new(network: &'a Network, free: &[bool], rope: f64) -> Result<System<'a>, Restless> {
        let (elements, inner) = elements::of(network, free, rope);
        let mut number = vec![None; free.len()];
        let mut count = 0;
        for point in (0..free.len()).filter(|p| free[*p] && !inner[*p]) {
            number[point] = Some(count);
            count += 2;
        }
        let forces = elements::forces(network, free);
        // What pulls on a point that neither moves nor is ground would be lost.
        if let Some((point, _)) = forces.iter().find(|(p, _)| !network.fixed[*p] && number[*p].is_none()) {
            return Err(Restless::RunsOff(*point));
        }
        let loose =
            |e: &Element| e.stretches.iter().all(|(a, b, _)| number[*a].is_none() && number[*b].is_none());
        // A rope held by ground at both ends: nothing says how tight it is.
        if elements.iter().any(|e| matches!((&e.of, &e.law), (Of::Run(..), Law::Elastic(_))) && loose(e)) {
            return Err(Restless::NoBalance);
        }
        Ok(System { network, elements, forces, number, count })
    }

    /// Where it rests with the lengths as they are: by plain steps, else by smoothed ones.
    fn found(&self, from: Vec<Vec2>) -> Result<Vec<Vec2>, Restless> {
        if let Ok(points) = self.least(from, 0.0, BALANCED) {
            return Ok(points);
        }
        let mut points = self.network.points.clone();
        for (smooth, enough) in SMOOTHED {
            points = self.least(points, smooth, enough)?;
        }
        Ok(points)
    }

    /// The largest force, N, but never 0.
    fn size(&self) -> f64 {
        let forces = self.forces.iter().map(|(_, f)| libm::hypot(f.0, f.1));
        forces.chain(self.elements.iter().map(Element::given)).fold(1.0, f64::max)
    }

    /// Where it rests with all that is taut as long under its tension as it was placed; `None`: it cannot all be.
    fn kept(&mut self, mut points: Vec<Vec2>) -> Option<Vec<Vec2>> {
        for _ in 0..LENGTHS {
            let mut off = 0.0_f64;
            for element in &mut self.elements {
                off = off.max(element.lengthen(&points, NEAR));
            }
            if off <= NEAR {
                return self.least(points, 0.0, BALANCED).ok();
            }
            // Nearer than its lengths are, balance is not worth finding.
            points = self.least(points, 0.0, BALANCED.max(0.01 * off)).ok()?;
        }
        None
    }

    /// Whether no tension of what is taut can change without others by balance alone.
    fn independent(&self, points: &[Vec2]) -> bool {
        let mut base: Vec<Vec<f64>> = Vec::new();
        // What is just snug bears nothing but rounding.
        let least = 1e-6 * self.size();
        for element in self.elements.iter().filter(|e| e.bears(points, least)) {
            let mut own = vec![0.0; self.count];
            for (n, part) in self.along(element, points, 0.0).unwrap_or_default() {
                own[n] += part;
            }
            let size = norm(&own);
            // Twice, for what rounding leaves.
            for _ in 0..2 {
                for other in &base {
                    let dot: f64 = own.iter().zip(other).map(|(a, b)| a * b).sum();
                    own.iter_mut().zip(other).for_each(|(a, b)| *a -= dot * b);
                }
            }
            let left = norm(&own);
            if left <= 1e-6 * size.max(1e-9) {
                return false;
            }
            own.iter_mut().for_each(|a| *a /= left);
            base.push(own);
        }
        true
    }

    fn told(&self, points: Vec<Vec2>, shared: bool) -> Rest {
        let mut found = Rest {
            points,
            ties: vec![0.0; self.network.ties.len()],
            runs: self.network.runs.iter().map(|run| vec![0.0; run.contacts.len() + 1]).collect(),
            shared,
        };
        for element in &self.elements {
            element.tell(&mut found);
        }
        // What the load pulls on the first stretch of its rope it pulls wherever that lies.
        for (run, tensions) in self.network.runs.iter().zip(&mut found.runs) {
            if let (Some(tension), Some(first)) = (run.tension, tensions.first_mut()) {
                *first = tension;
            }
        }
        found
    }

    /// Energy, N m, and what rounding leaves of it.
    fn energy(&self, points: &[Vec2], smooth: f64) -> (f64, f64) {
        // From where it was placed, so that far from the origin nothing is lost to rounding.
        let work = |(p, f): &(usize, Vec2)| {
            let placed = self.network.points[*p];
            f.0 * (points[*p].0 - placed.0) + f.1 * (points[*p].1 - placed.1)
        };
        let pulls = self.elements.iter().map(|e| e.pulls(e.length(points, smooth)).0);
        let (sum, size) = pulls
            .chain(self.forces.iter().map(|f| -work(f)))
            .fold((0.0, 0.0), |(sum, size), part: f64| (sum + part, size + part.abs()));
        (sum, ROUNDING * (1.0 + size))
    }

    fn local(&self, points: &[Vec2], smooth: f64) -> Result<Local, Restless> {
        let n = self.count;
        let mut at = Local {
            energy: self.energy(points, smooth),
            gradient: vec![0.0; n],
            hessian: vec![0.0; n * n],
            largest: 1.0,
        };
        for (point, force) in &self.forces {
            at.largest = at.largest.max(libm::hypot(force.0, force.1));
            if let Some(first) = self.number[*point] {
                at.gradient[first] -= force.0;
                at.gradient[first + 1] -= force.1;
            }
        }
        for element in &self.elements {
            self.add(element, points, smooth, &mut at)?;
        }
        Ok(at)
    }

    /// How an element's length changes with each unknown.
    fn along(&self, element: &Element, points: &[Vec2], smooth: f64) -> Result<Vec<(usize, f64)>, Restless> {
        let mut along = Vec::new();
        for (a, b, weight) in &element.stretches {
            let long = length(points, *a, *b, smooth);
            if long < 1e-7 {
                return Err(Restless::Jams(if self.number[*a].is_some() { *a } else { *b }));
            }
            let way = ((points[*b].0 - points[*a].0) / long, (points[*b].1 - points[*a].1) / long);
            for (number, sign) in [(self.number[*a], -1.0), (self.number[*b], 1.0)] {
                if let Some(first) = number {
                    along.push((first, sign * weight * way.0));
                    along.push((first + 1, sign * weight * way.1));
                }
            }
        }
        Ok(along)
    }

    fn add(&self, element: &Element, points: &[Vec2], smooth: f64, at: &mut Local) -> Result<(), Restless> {
        let n = self.count;
        let (_, tension, grows) = element.pulls(element.length(points, smooth));
        at.largest = at.largest.max(tension.abs());
        let along = self.along(element, points, smooth)?;
        for (a, b, weight) in &element.stretches {
            let long = length(points, *a, *b, smooth);
            let way = ((points[*b].0 - points[*a].0) / long, (points[*b].1 - points[*a].1) / long);
            let ends = [(self.number[*a], -1.0), (self.number[*b], 1.0)];
            let ends = || ends.iter().filter_map(|(number, sign)| number.map(|first| (first, *sign)));
            for (first, sign) in ends() {
                for (other, sign_2) in ends() {
                    let size = sign * sign_2 * weight * tension / long;
                    at.hessian[first * n + other] += size * (1.0 - way.0 * way.0);
                    at.hessian[first * n + other + 1] -= size * way.0 * way.1;
                    at.hessian[(first + 1) * n + other] -= size * way.1 * way.0;
                    at.hessian[(first + 1) * n + other + 1] += size * (1.0 - way.1 * way.1);
                }
            }
        }
        for (i, a) in &along {
            at.gradient[*i] += tension * a;
            if grows > 0.0 {
                along.iter().for_each(|(j, b)| at.hessian[i * n + j] += grows * a * b);
            }
        }
        Ok(())
    }

    /// The least energy at one smoothing, from where the points are.
    fn least(&self, mut points: Vec<Vec2>, smooth: f64, enough: f64) -> Result<Vec<Vec2>, Restless> {
        let mut damping = 1e-8;
        let mut at = self.local(&points, smooth)?;
        for _ in 0..STEPS {
            if at.left().0 <= enough {
                break;
            }
            let mut found = None;
            // What rounding leaves is not worth many tries.
            for _ in 0..if at.left().0 <= 1e-8 { 1 } else { 40 } {
                let step = self.solved(&at, damping);
                found = step.and_then(|step| self.stepped(&points, &at, &step, smooth));
                if found.is_some() {
                    damping = (damping * 0.1).max(1e-12);
                    break;
                }
                damping = (damping * 10.0).min(1e30);
            }
            let Some(next) = found else { break };
            points = next;
            at = self.local(&points, smooth)?;
            let far = |p: usize| {
                let (a, b) = (points[p], self.network.points[p]);
                libm::hypot(a.0 - b.0, a.1 - b.1)
            };
            if let Some(off) = (0..points.len()).find(|p| !far(*p).is_finite() || far(*p) > OFF) {
                return Err(Restless::RunsOff(off));
            }
        }
        let (left, worst) = at.left();
        // Rounding may end it before: what is left unbalanced is then judged by whoever asked.
        if left.is_nan() || left > enough.max(1e-6) {
            return Err(Restless::NoBalance);
        }
        // A rest that would tip (a strut on its point) is none.
        if smooth == 0.0 && self.solved(&at, 1e-9).is_none() {
            return Err(Restless::Tips(
                self.number.iter().position(|n| *n == Some(worst / 2 * 2)).unwrap_or(0),
            ));
        }
        Ok(points)
    }

    /// A step cut back until the energy falls enough.
    fn stepped(&self, points: &[Vec2], at: &Local, step: &[f64], smooth: f64) -> Option<Vec<Vec2>> {
        let slope: f64 = at.gradient.iter().zip(step).map(|(g, s)| g * s).sum();
        let mut size = 1.0;
        for _ in 0..6 {
            let mut next = points.to_vec();
            for (point, first) in self.number.iter().enumerate().filter_map(|(p, n)| n.map(|n| (p, n))) {
                next[point].0 += size * step[first];
                next[point].1 += size * step[first + 1];
            }
            let (energy, rounding) = self.energy(&next, smooth);
            let change = energy - at.energy.0;
            // Below what rounding leaves of the energy, the gradient decides.
            let falls = if change.abs() > rounding.max(at.energy.1) {
                change <= 1e-4 * size * slope
            } else {
                self.local(&next, smooth).is_ok_and(|next| norm(&next.gradient) < 0.5 * norm(&at.gradient))
            };
            if falls {
                return Some(next);
            }
            size *= 0.5;
        }
        None
    }

    /// (H + μ s I) x = −g after Cholesky, s the size of H; `None`: not positive definite.
    fn solved(&self, at: &Local, damping: f64) -> Option<Vec<f64>> {
        let n = self.count;
        // Where all is slack the largest force over a metre stands for it.
        let size = (0..n).fold(at.largest, |a, i| a.max(at.hessian[i * n + i].abs()));
        let mut lower = at.hessian.clone();
        for i in 0..n {
            lower[i * n + i] += damping * size;
        }
        for j in 0..n {
            for k in 0..j {
                let factor = lower[j * n + k];
                if factor != 0.0 {
                    for i in j..n {
                        lower[i * n + j] -= factor * lower[i * n + k];
                    }
                }
            }
            let pivot = lower[j * n + j];
            if pivot.is_nan() || pivot <= 1e-14 * size {
                return None;
            }
            let root = libm::sqrt(pivot);
            (j..n).for_each(|i| lower[i * n + j] /= root);
        }
        let mut x: Vec<f64> = at.gradient.iter().map(|g| -g).collect();
        for i in 0..n {
            let before: f64 = (0..i).map(|k| lower[i * n + k] * x[k]).sum();
            x[i] = (x[i] - before) / lower[i * n + i];
        }
        for i in (0..n).rev() {
            let after: f64 = (i + 1..n).map(|k| lower[k * n + i] * x[k]).sum();
            x[i] = (x[i] - after) / lower[i * n + i];
        }
        Some(x)
    }
}

fn norm(v: &[f64]) -> f64 {
    libm::sqrt(v.iter().map(|a| a * a).sum())
}
