//! The network in the shape that it comes to rest in, where it does not stay as placed.

use super::super::settle::{self, Lengths, Restless};
use super::{Contact, Network, Run, Solution, Tie, Unsolved, Vec2, direction};

/// Out of line by more than this (sine) counts as moved.
const MOVED: f64 = 1e-3;
/// Unbalanced force that is taken as balance where the shape was found by steps, as a share of the largest tension.
const BALANCE_AT_REST: f64 = 1e-7;
/// Slack that is more than this share of a length is no small displacement.
const SLACK: f64 = 0.02;
/// Stiffness EA of a rope that is held at both ends, N: its length counts, not its stretch.
const ROPE: f64 = 1e6;

impl From<Restless> for Unsolved {
    fn from(why: Restless) -> Unsolved {
        match why {
            Restless::RunsOff(point) => Unsolved::RunsOff(point),
            Restless::Jams(point) => Unsolved::Jams(point),
            Restless::Tips(point) => Unsolved::Tips(point),
            Restless::NoBalance => Unsolved::NoBalance,
        }
    }
}

impl Run {
    /// Whether what grips it, not the load, says what each stretch carries.
    fn held(&self) -> Vec<bool> {
        let mut held = self.tension.is_none();
        let mut all = vec![held];
        for contact in &self.contacts {
            held |= *contact == Contact::Grip;
            all.push(held);
        }
        all
    }
}

impl Network {
    fn long(&self, a: usize, b: usize) -> f64 {
        let (a, b) = (self.points[a], self.points[b]);
        libm::hypot(b.0 - a.0, b.1 - a.1)
    }

    /// Whether a tie or a held rope bears whose slack is so long that what hangs on it must move first.
    pub(super) fn takes_up(&self, found: &Solution) -> bool {
        let ties = self
            .ties
            .iter()
            .zip(&found.ties)
            .any(|(tie, tension)| *tension > 0.0 && tie.gap > SLACK * self.long(tie.low, tie.high));
        let rope = |run: &Run| {
            let held = run.held();
            let spare = |(n, spare): (usize, &f64)| {
                held[n] && *spare > SLACK * self.long(run.path[n], run.path[n + 1])
            };
            run.spare.iter().enumerate().any(spare)
        };
        ties || self.runs.iter().any(rope)
    }

    /// Solves the network in the shape that it comes to rest in, looked for from `near`, else from where it is placed.
    pub(super) fn solve_moved(
        &self,
        lengths: Lengths<'_>,
        near: Option<&[Vec2]>,
    ) -> Result<Solution, Unsolved> {
        let free = self.balanced();
        let rest = settle::rest(self, &free, ROPE, lengths, near)?;
        let mut at_rest = Network { points: rest.points, ..self.clone() };
        for run in at_rest.runs.iter_mut().filter(|run| run.tension.is_some()) {
            if let [end, next, ..] = run.path.as_slice()
                && free[*next]
            {
                run.leaves = direction(self.points[*end], self.points[*next]);
            }
        }
        let ways = |network: &Network| -> Result<Vec<Vec2>, Unsolved> {
            let way = |tie: &Tie| direction(network.points[tie.low], network.points[tie.high]);
            network.ties.iter().map(|tie| way(tie).ok_or(Unsolved::NoLength(tie.low))).collect()
        };
        let (before, along) = (ways(self)?, ways(&at_rest)?);
        let residual = at_rest.residual(&rest.ties, &along, &rest.runs)?;
        let mut all = rest.runs.iter().flatten().chain(&rest.ties);
        let largest = all.clone().fold(1.0_f64, |a, b| a.max(b.abs()));
        if residual.is_nan() || residual > BALANCE_AT_REST * largest || !all.all(|t| t.is_finite()) {
            return Err(Unsolved::NoBalance);
        }
        let first =
            |point: usize| (0..self.ties.len()).find(|t| self.ties[*t].low == point && rest.ties[*t] != 0.0);
        let hangs: Vec<Option<usize>> =
            (0..self.points.len()).map(|p| first(p).filter(|_| free[p])).collect();
        let moved = self.moved(&before, &along, &rest.ties, &hangs);
        Ok(Solution {
            ties: rest.ties,
            along,
            runs: rest.runs,
            moved,
            residual,
            shared: rest.shared || matches!(lengths, Lengths::Loaded { kept: false, .. }),
            at_rest: Some(Box::new(at_rest)),
            clear: vec![0.0; self.ties.len()],
        })
    }

    pub(super) fn moved(
        &self,
        placed: &[Vec2],
        along: &[Vec2],
        ties: &[f64],
        hangs: &[Option<usize>],
    ) -> Vec<bool> {
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
}

impl Solution {
    /// Where the points are: where what moved came to rest, or as placed.
    pub fn places<'a>(&'a self, network: &'a Network) -> &'a [Vec2] {
        self.at_rest.as_ref().map_or(&network.points, |rest| &rest.points)
    }
}
