//! Force on every part in one state, intact or after a loss: a range over every combination of the
//! ranges that the rig states (share of the load, friction at the edge, loss at the pulleys).

pub mod cord;
pub mod corner;
mod haul;
mod load;
pub mod network;
mod ranges;
mod scene;
pub mod settle;
mod share;
pub mod swinging;
pub mod uneven;

pub use haul::{HaulForce, haul, jammed};
pub use scene::{Crossing, RopeRun, Scene};

use crate::support::{Model, Outcome};
use network::{Network, Solution, Unsolved, Vec2};
use rig::model::{Line, Part, PartKind, Sliding};
use rig::quantity::{BandKn, G};
use uneven::Uneven;

/// Forces of all parts.
#[derive(Clone, Debug, PartialEq)]
pub struct Forces {
    /// Force of each part in N: low, nominal, high.
    pub parts: Vec<[f64; 3]>,
    /// Parts that tie two points, with the way each pulls its load end, nominal.
    pub ways: Vec<(usize, Vec2)>,
    /// Tension of each rope at its load end and at its far end, N, nominal; by the order of `Scene::ropes`.
    pub ropes: Vec<(f64, f64)>,
    /// Largest unbalanced force, N.
    pub residual: f64,
    /// Struts that are pulled, not pressed, in any case: their foot lifts.
    pub lifted: Vec<usize>,
    /// Legs beside each other share by how stiff they are and how equally they were tied.
    pub shared: bool,
    /// Where each point is, nominal: where what moved came to rest, m.
    pub places: Vec<Vec2>,
    /// The drawing, which is taken as the loaded shape, is not in balance; the ranges also cover where it would come to rest.
    pub off_as_drawn: bool,
}

impl Forces {
    fn first(ties: &[usize], network: &Network, solution: &Solution, parts: &[f64]) -> Forces {
        let ends = |run: &Vec<f64>| (run.first().copied().unwrap_or(0.0), run.last().copied().unwrap_or(0.0));
        Forces {
            parts: parts.iter().map(|f| [*f, *f, *f]).collect(),
            ways: ties.iter().copied().zip(solution.along.iter().copied()).collect(),
            ropes: solution.runs.iter().map(ends).collect(),
            residual: solution.residual,
            shared: solution.shared,
            lifted: Vec::new(),
            places: solution.places(network).to_vec(),
            off_as_drawn: false,
        }
    }

    /// Takes in what was solved in one more case.
    fn take(&mut self, model: &Model<'_>, scene: &Scene, solution: &Solution, parts: &[f64]) {
        for (range, force) in self.parts.iter_mut().zip(parts) {
            range[0] = range[0].min(*force);
            range[2] = range[2].max(*force);
        }
        self.residual = self.residual.max(solution.residual);
        self.shared |= solution.shared;
        self.off_as_drawn |= scene.as_drawn && solution.at_rest.is_some();
        let pulled =
            scene.ties.iter().zip(&solution.ties).filter(|(part, tension)| {
                model.rig.parts[**part].kind == PartKind::Strut && **tension > 1e-6
            });
        self.lifted.extend(pulled.map(|(part, _)| *part));
    }
}

/// The rig’s ranges at one corner: which end of each is taken.
#[derive(Clone, Copy, Debug)]
enum Corner {
    Nominal,
    Ends(u32),
}

/// Most ranges that are combined; more would be more corners than worth it.
const MOST_RANGES: usize = 11;

/// kN of a range in N.
pub fn kn(force: &[f64; 3]) -> BandKn {
    BandKn { low: force[0] / 1000.0, nominal: force[1] / 1000.0, high: force[2] / 1000.0 }
}

/// Forces of all parts after `outcome`, the ropes sliding as `motion` says.
///
/// # Errors
/// In words: why they could not be solved.
pub fn solve(model: &Model<'_>, outcome: &Outcome, motion: Sliding, scene: &Scene) -> Result<Forces, String> {
    let ranges = scene.ranges();
    if ranges > MOST_RANGES {
        return Err(format!("{} ropes carry at once: not solved", scene.ropes.len()));
    }
    let bands: Vec<[f64; 3]> =
        scene.ties.iter().map(|part| uneven::stiffness(&model.rig.parts[*part]).0).collect();
    let mut ways = vec![Uneven::Not];
    let mut forces: Option<Forces> = None;
    // Where the last one came to rest: the next lies near.
    let mut near: Option<Vec<Vec2>> = None;
    let corners = (0..1_u32 << ranges).map(Corner::Ends);
    for corner in std::iter::once(Corner::Nominal).chain(corners) {
        if scene.repeats(model, motion, corner) {
            continue;
        }
        let (placed, tensions) = scene.network(model, motion, corner)?;
        let mut next = 0;
        while let Some(way) = ways.get(next) {
            next += 1;
            let network = way.of(placed.clone(), &bands);
            let solutions = if scene.as_drawn {
                network.solve_drawn(near.as_deref())
            } else {
                network.solve_near(near.as_deref()).map(|one| vec![one])
            };
            for solution in solutions.map_err(|e| scene.words(model, &e))? {
                scene.keeps_its_shares(model, &network, &solution)?;
                let parts = part_forces(model, outcome, scene, &network, &solution, &tensions)
                    .map_err(|e| scene.words(model, &e))?;
                let shared_before = forces.as_ref().is_some_and(|all| all.shared);
                let all =
                    forces.get_or_insert_with(|| Forces::first(&scene.ties, &network, &solution, &parts));
                all.take(model, scene, &solution, &parts);
                if all.shared && !shared_before {
                    // What sharing rests on varies from here on.
                    ways = uneven::ways(model, &scene.ties);
                }
                if let Some(rest) = solution.at_rest {
                    near = Some(rest.points);
                }
            }
        }
    }
    let mut forces = forces.ok_or_else(|| "nothing was solved".to_string())?;
    forces.lifted.sort_unstable();
    forces.lifted.dedup();
    cord::widen(model, scene, &mut forces);
    Ok(forces)
}

/// Force on each part, N.
fn part_forces(
    model: &Model<'_>,
    outcome: &Outcome,
    scene: &Scene,
    network: &Network,
    solution: &Solution,
    tensions: &[f64],
) -> Result<Vec<f64>, Unsolved> {
    let network = solution.at_rest.as_deref().unwrap_or(network);
    let mut forces = vec![0.0; model.parts()];
    for (part, force) in forces.iter_mut().enumerate() {
        let own = &model.rig.parts[part];
        if let Some(rope) = scene.ropes.iter().position(|r| r.part == part) {
            *force = solution.runs[rope].iter().fold(0.0, |a, b| f64::max(a, *b));
        } else if let Some(rope) = scene.ropes.iter().position(|r| model.joints[r.part].contains(&part)) {
            // A joining knot may lie anywhere in the run.
            *force = solution.runs[rope].iter().fold(0.0, |a, b| f64::max(a, *b));
        } else if outcome.path[part] && (own.always_critical || own.at.is_empty()) && !scene.below[part] {
            // The load hangs on ties alone.
            *force = model.borne_mass(part) * G;
        } else if scene.below[part] {
            *force = if own.always_critical && outcome.path[part] {
                model.borne_mass(part) * G
            } else if outcome.path[part] {
                let ropes = model.ropes_above(part, &outcome.carrying);
                let above = scene.ropes.iter().zip(tensions).filter(|(r, _)| ropes.contains(&r.part));
                // What hangs one body alone bears no more than that body.
                let bodies = model.borne_mass(part) / model.rig.load.mass.to_kilograms();
                let all: f64 = tensions.iter().sum();
                above.map(|(_, t)| t).sum::<f64>().min(all * bodies)
            } else {
                // The second rope of a raise runs along: what it carries stands on its own end too.
                let along = model.ropes_above(part, &outcome.alive);
                let own = |rope: usize| along.contains(&rope) && !outcome.path[rope];
                let ropes = scene.ropes.iter().zip(tensions);
                if outcome.alive[part] {
                    ropes.filter(|(r, _)| own(r.part)).map(|(_, t)| t).sum()
                } else {
                    0.0
                }
            };
        } else if let Some(tie) = scene.ties.iter().position(|t| *t == part) {
            // A strut pushes: what it bears counts, whichever way.
            *force = solution.ties[tie].abs();
        } else if matches!(own.kind, PartKind::EdgeProtection | PartKind::EdgeLip) {
            *force = scene.on_edge(model, part, solution);
        } else if outcome.carrying[part] {
            *force = at_point(model, scene, network, solution, part)?;
        }
        // A slack tie solves to -0.0 here and there: the record shows 0.
        *force += 0.0;
    }
    Ok(forces)
}

/// Force on a part that sits at one point: what hangs on it from the load's side; on a pulley what the
/// rope's strands make of it.
fn at_point(
    model: &Model<'_>,
    scene: &Scene,
    network: &Network,
    solution: &Solution,
    part: usize,
) -> Result<f64, Unsolved> {
    let own = &model.rig.parts[part];
    let Some(point) = own.at.first().and_then(|id| scene.point(id)) else { return Ok(0.0) };
    let mut sum: Vec2 = (0.0, 0.0);
    // Of several pulleys at one point each bears its own line's rope.
    let runs = network.runs.iter().zip(&solution.runs).zip(&scene.ropes);
    for ((run, tensions), _) in
        runs.filter(|(_, rope)| own.kind != PartKind::Pulley || of_line(own, rope.line))
    {
        let strands = network.strands(run, tensions, point)?;
        sum = (sum.0 + strands.0, sum.1 + strands.1);
    }
    if own.kind != PartKind::Pulley {
        for (_, force) in network.forces.iter().filter(|(at, _)| *at == point) {
            sum = (sum.0 + force.0, sum.1 + force.1);
        }
        for (i, _) in network.ties.iter().enumerate().filter(|(_, tie)| tie.high == point) {
            sum.0 -= solution.along[i].0 * solution.ties[i];
            sum.1 -= solution.along[i].1 * solution.ties[i];
        }
    }
    Ok(libm::hypot(sum.0, sum.1))
}

/// Whether a part serves the ropes of a line.
fn of_line(part: &Part, line: Line) -> bool {
    part.line == line || part.line == Line::Shared || line == Line::Shared
}
