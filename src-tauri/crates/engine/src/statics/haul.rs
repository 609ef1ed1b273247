//! What hauling takes, and what a whole team does to a load that is jammed.

use super::network::{Network, Solution};
use super::{Corner, MOST_RANGES, Scene, part_forces};
use crate::support::{Model, Outcome};
use rig::model::Sliding;

/// What hauling takes.
#[derive(Clone, Debug, PartialEq)]
pub struct HaulForce {
    /// The least it takes over every combination of the ranges, N.
    pub low: f64,
    /// Force on the haul line, N, with the edge and the pulleys at their nominal values.
    pub nominal: f64,
    /// The most it takes over every combination of the ranges, N.
    pub high: f64,
    /// What it would take without an edge, N, nominal.
    pub without_edge: f64,
    /// Load end over haul end with the pulleys’ nominal values, the edge left out.
    pub practical: f64,
    /// The same with perfect pulleys.
    pub theoretical: f64,
    /// Tension of each stretch of each rope of the scene, N: low, nominal, high.
    pub runs: Vec<Vec<[f64; 3]>>,
}

/// Every network that the ranges make, the nominal one first, each with the tensions of its ropes at their load ends.
fn corners(model: &Model<'_>, scene: &Scene, motion: Sliding) -> Result<Vec<(Network, Vec<f64>)>, String> {
    let ranges = scene.ranges();
    if ranges > MOST_RANGES {
        return Err("too many ropes: not solved".into());
    }
    let ends = (0..1_u32 << ranges).map(Corner::Ends).filter(|corner| !scene.repeats(model, motion, *corner));
    std::iter::once(Corner::Nominal).chain(ends).map(|c| scene.network(model, motion, c)).collect()
}

/// The rope that the haul pulls on: itself, or the rope of its line that ends at the load.
fn loaded(scene: &Scene, rope: usize) -> Result<usize, String> {
    let own = &scene.ropes[rope];
    if own.bears_load() {
        return Ok(rope);
    }
    let ends = scene.ropes.iter().position(|r| r.bears_load() && r.line == own.line);
    ends.ok_or_else(|| "the haul rope pulls on no loaded rope".into())
}

fn far_end(solution: &Solution, rope: usize) -> f64 {
    solution.runs[rope].last().copied().unwrap_or(0.0)
}

/// What hauling one of the ropes takes; tension is traced sheave by sheave through the network.
///
/// # Errors
/// In words: why it could not be solved.
pub fn haul(model: &Model<'_>, scene: &Scene, rope: usize, motion: Sliding) -> Result<HaulForce, String> {
    let solved = |network: &Network| network.solve().map_err(|e| scene.words(model, &e));
    let corners = corners(model, scene, motion)?;
    let Some((first, tensions)) = corners.first() else { return Err("nothing was solved".into()) };
    let nominal = solved(first)?;
    let mut runs: Vec<Vec<[f64; 3]>> =
        nominal.runs.iter().map(|run| run.iter().map(|t| [*t, *t, *t]).collect()).collect();
    for (network, _) in corners.iter().skip(1) {
        let found = solved(network)?;
        for (range, tension) in runs.iter_mut().flatten().zip(found.runs.iter().flatten()) {
            *range = [range[0].min(*tension), range[1], range[2].max(*tension)];
        }
    }
    let line = scene.ropes[rope].line;
    let loaded = loaded(scene, rope)?;
    let without_edge = far_end(&solved(&scene.without(first.clone(), line, false))?, rope);
    let perfect = far_end(&solved(&scene.without(first.clone(), line, true))?, rope);
    if without_edge <= 0.0 || perfect <= 0.0 {
        return Err("the haul line carries nothing".into());
    }
    let [low, _, high] = runs[rope].last().copied().unwrap_or_default();
    Ok(HaulForce {
        low,
        nominal: far_end(&nominal, rope),
        high,
        without_edge,
        practical: tensions[loaded] / without_edge,
        theoretical: tensions[loaded] / perfect,
        runs,
    })
}

/// Force on every part in N, low, nominal and high, when hands pull the haul line with `pull` N and the load does not move:
/// over every combination of the ranges, and with no friction at all, which passes most of the pull on.
///
/// # Errors
/// In words: why it could not be solved.
pub fn jammed(
    model: &Model<'_>,
    outcome: &Outcome,
    scene: &Scene,
    rope: usize,
    pull: f64,
) -> Result<Vec<[f64; 3]>, String> {
    let loaded = loaded(scene, rope)?;
    if scene.ropes[loaded].hung_at.is_some() {
        return Err("a load that hangs on a pulley of its own is not solved when it is jammed".into());
    }
    let mut cases = corners(model, scene, Sliding::Raising)?;
    if let Some((nominal, tensions)) = cases.first().cloned() {
        cases.push((scene.without(nominal, scene.ropes[rope].line, true), tensions));
    }
    let mut found: Option<Vec<[f64; 3]>> = None;
    for (mut network, mut tensions) in cases {
        let hauled = network.solve().map_err(|e| scene.words(model, &e))?;
        let takes = far_end(&hauled, rope);
        if takes <= 0.0 || tensions[loaded] <= 0.0 {
            return Err("the haul line carries nothing".into());
        }
        // All of the line grows with its pull; the other rope stays as it was.
        let mut tension = tensions[loaded] * pull / takes;
        let mut solution = hauled;
        for _ in 0..ROUNDS {
            network.runs[loaded].tension = Some(tension);
            solution = network.solve().map_err(|e| scene.words(model, &e))?;
            let now = far_end(&solution, rope);
            if (now - pull).abs() <= 1e-9 * pull {
                break;
            }
            tension *= pull / now;
        }
        if (far_end(&solution, rope) - pull).abs() > 1e-6 * pull {
            return Err("no balance was found for a jammed load".into());
        }
        tensions[loaded] = tension;
        let parts = part_forces(model, outcome, scene, &network, &solution, &tensions)
            .map_err(|e| scene.words(model, &e))?;
        match &mut found {
            None => found = Some(parts.iter().map(|f| [*f, *f, *f]).collect()),
            Some(all) => {
                for (range, force) in all.iter_mut().zip(parts) {
                    *range = [range[0].min(force), range[1], range[2].max(force)];
                }
            }
        }
    }
    found.ok_or_else(|| "nothing was solved".to_string())
}

/// Tension and pull go in proportion but where a hanging point turns with the pull.
const ROUNDS: usize = 40;
