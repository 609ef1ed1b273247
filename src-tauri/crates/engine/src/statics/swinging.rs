//! What swings after a loss: points that come to rest elsewhere, and the ties they swing on; ties behind each other as one.

use super::network::{Network, Tie, Vec2};
use super::{Corner, Forces, Scene};
use crate::support::Model;
use rig::model::Sliding;

/// Stiffer than this, N/m, a link between two points that swing is rigid: metal, which a mass of some kilograms does not stretch by
/// a millimetre. What snaps taut and slack there would be the sum’s own.
const RIGID: f64 = 1e6;

/// A point moves when it comes to rest farther than this from its place, m.
const MOVES: f64 = 1e-3;

/// What swings.
#[derive(Clone, Debug, PartialEq)]
pub struct Swinging {
    /// Points of the rig that swing.
    pub points: Vec<usize>,
    /// Places of all points of the rig when the loss happens, m.
    pub places: Vec<Vec2>,
    /// What they swing on.
    pub chains: Vec<Chain>,
    /// Points that swing with another one, to which a rigid link holds them.
    pub carried: Vec<(usize, usize)>,
}

impl Swinging {
    /// The point that swings in the place of this one.
    pub fn carrier(&self, point: usize) -> usize {
        self.carried.iter().find(|(own, _)| *own == point).map_or(point, |(_, by)| *by)
    }
}

/// Ties behind each other.
#[derive(Clone, Debug, PartialEq)]
pub struct Chain {
    /// Points of the rig at its ends.
    pub ends: [usize; 2],
    /// Points of the rig within it.
    pub within: Vec<usize>,
    /// Parts.
    pub parts: Vec<usize>,
    /// Length while nothing pulls, m.
    pub natural: f64,
    /// N for a metre of stretch.
    pub stiffness: f64,
}

/// What swings after a loss; `None`: nothing does. `before`: the forces with nothing lost.
///
/// # Errors
/// In words: what swings is of a kind that is not reckoned.
pub fn swinging(
    model: &Model<'_>,
    motion: Sliding,
    scene: &Scene,
    forces: &Forces,
    before: &Forces,
) -> Result<Option<Swinging>, String> {
    let (network, _) = scene.network(model, motion, Corner::Nominal)?;
    let far = |n: usize| {
        let (a, b) = (network.points[n], forces.places[n]);
        libm::hypot(a.0 - b.0, a.1 - b.1) > MOVES
    };
    let moves: Vec<bool> = (0..network.points.len()).map(|n| !network.fixed[n] && far(n)).collect();
    let own = |tie: &&Tie| moves[tie.low] || moves[tie.high];
    if !network.ties.iter().any(|tie| own(&tie)) {
        return Ok(None);
    }
    if network.ties.iter().filter(own).any(|tie| tie.strut) {
        return Err("a strut swings".into());
    }
    if let Some(run) =
        network.runs.iter().find(|run| run.path[..run.path.len() - 1].iter().any(|p| moves[*p]))
    {
        let at = run.path.iter().copied().find(|p| moves[*p]).unwrap_or_default();
        return Err(format!("a rope runs over what swings at {}", model.rig.points[at].id));
    }
    let chains = chains(&network, &moves, &scene.ties, before);
    let (chains, carried) = joined(chains, &moves, &network.points);
    let within = chains.iter().flat_map(|c| c.within.iter().copied());
    let elsewhere: Vec<usize> = within.chain(carried.iter().map(|(own, _)| *own)).collect();
    let points = (0..moves.len()).filter(|n| moves[*n] && !elsewhere.contains(n));
    Ok(Some(Swinging { points: points.collect(), places: network.points, chains, carried }))
}

/// The chains without rigid ones, and which points those carry: each by the point that is nearer to the ground.
/// What hangs on a point that is carried is as slack, or as taut, on the one that carries it.
fn joined(mut chains: Vec<Chain>, moves: &[bool], places: &[Vec2]) -> (Vec<Chain>, Vec<(usize, usize)>) {
    let apart = |[a, b]: [usize; 2]| libm::hypot(places[a].0 - places[b].0, places[a].1 - places[b].1);
    let mut carried: Vec<(usize, usize)> = Vec::new();
    while let Some(n) =
        chains.iter().position(|c| c.stiffness >= RIGID && c.ends.iter().all(|end| moves[*end]))
    {
        let own = chains.remove(n);
        let [low, high] = own.ends;
        // A tie’s low end is the load’s: the other one carries it.
        let now = |point: usize| if point == low || own.within.contains(&point) { high } else { point };
        for chain in &mut chains {
            let ends = chain.ends.map(now);
            chain.natural = (chain.natural + apart(ends) - apart(chain.ends)).max(MOVES);
            chain.ends = ends;
        }
        carried.iter_mut().for_each(|(_, by)| *by = now(*by));
        carried.extend(own.within.iter().chain([&low]).map(|point| (*point, high)));
        // Two links beside each other are one.
        chains.retain(|c| c.ends[0] != c.ends[1]);
    }
    (chains, carried)
}

/// Ties on what moves, those that lie behind each other with nothing else at their points as one.
fn chains(network: &Network, moves: &[bool], parts: &[usize], before: &Forces) -> Vec<Chain> {
    let own: Vec<usize> = (0..network.ties.len())
        .filter(|n| moves[network.ties[*n].low] || moves[network.ties[*n].high])
        .collect();
    let at = |point: usize| -> Vec<usize> {
        own.iter()
            .copied()
            .filter(|n| network.ties[*n].low == point || network.ties[*n].high == point)
            .collect()
    };
    let bent = |point: usize| network.runs.iter().any(|run| run.path.contains(&point));
    let pulled = |point: usize| network.forces.iter().any(|(p, _)| *p == point);
    let plain = |point: usize| moves[point] && at(point).len() == 2 && !bent(point) && !pulled(point);
    let mut used: Vec<usize> = Vec::new();
    let mut all = Vec::new();
    for start in own.iter().copied() {
        if used.contains(&start) {
            continue;
        }
        used.push(start);
        let mut ties = vec![start];
        let mut points = vec![network.ties[start].low, network.ties[start].high];
        // On from its high end, then, turned about, from its low end.
        for _ in 0..2 {
            while let Some(end) = points.last().copied().filter(|p| plain(*p))
                && let Some(next) = at(end).into_iter().find(|n| !used.contains(n))
            {
                used.push(next);
                ties.push(next);
                points.push(network.ties[next].low + network.ties[next].high - end);
            }
            ties.reverse();
            points.reverse();
        }
        let long = |tie: &Tie| {
            let (a, b) = (network.points[tie.low], network.points[tie.high]);
            libm::hypot(a.0 - b.0, a.1 - b.1) + tie.gap
        };
        // What pulled on it before has stretched it to where it is drawn.
        let natural = |n: &usize| {
            let tie = &network.ties[*n];
            let tension = if tie.gap > 0.0 { 0.0 } else { before.parts[parts[*n]][1] };
            long(tie) / (1.0 + tension / tie.stiffness)
        };
        let whole: f64 = ties.iter().map(natural).sum();
        let gives: f64 = ties.iter().map(|n| natural(n) / network.ties[*n].stiffness).sum();
        all.push(Chain {
            ends: [points[0], points[points.len() - 1]],
            within: points[1..points.len() - 1].to_vec(),
            parts: ties.iter().map(|n| parts[*n]).collect(),
            natural: whole,
            stiffness: 1.0 / gives,
        });
    }
    all
}

#[cfg(test)]
mod tests {
    use super::{Chain, joined};

    fn chain(ends: [usize; 2], natural: f64, stiffness: f64) -> Chain {
        Chain { ends, within: Vec::new(), parts: vec![ends[0]], natural, stiffness }
    }

    /// A device 0.2 m under a knot by a link of metal: one body, where the knot is. A leg of the knot is as it was; a cord from the
    /// device to an anchor beside it, 0.3 m slack, is as slack from the knot.
    #[test]
    fn what_a_link_of_metal_joins_is_one_body_and_its_slack_stays() {
        let places = [(0.0, 0.0), (0.0, 0.2), (1.5, 2.2), (2.0, 0.0)];
        let moves = [true, true, false, false];
        let all = vec![chain([0, 1], 0.2, 5e7), chain([1, 2], 2.5, 3e4), chain([0, 3], 2.3, 3e4)];
        let (chains, carried) = joined(all, &moves, &places);
        assert_eq!(carried, [(0, 1)]);
        assert_eq!(chains[0], chain([1, 2], 2.5, 3e4));
        assert_eq!(chains[1].ends, [1, 3]);
        assert!((chains[1].natural - (2.0_f64.hypot(0.2) + 0.3)).abs() < 1e-12, "{}", chains[1].natural);
        // Nothing rigid: nothing is joined; a link to the ground is no body that swings.
        let (chains, carried) = joined(vec![chain([1, 2], 2.5, 5e7)], &moves, &places);
        assert_eq!((chains.len(), carried.len()), (1, 0));
    }
}
