//! The edge: what presses on it, and ropes that come down on it when the high directional they ran over is lost.

use super::network::{Solution, Vec2};
use super::scene::Scene;
use crate::support::Model;
use rig::model::{PartKind, Rope};

/// Two heights that differ by less, m, are one.
const LEVEL: f64 = 1e-6;

/// Whether a high directional stands at a point.
pub fn at_head(model: &Model<'_>, id: &str) -> bool {
    model.rig.parts.iter().any(|p| p.kind == PartKind::HighDirectional && p.at.iter().any(|at| at == id))
}

/// Where the edge is, taken from the foot of a frame that is nearest to the load and stands on the ground at the edge's height: an
/// assumption. `None`: the rig has none, and where the edge is follows from nothing.
fn corner(model: &Model<'_>) -> Option<usize> {
    let load = model.rig.load.points.iter().find_map(|id| model.rig.point(id))?.x.to_metres();
    let height = model.rig.edge.height.to_metres();
    let foot = |id: &String| model.rig.parts.iter().any(|p| p.kind == PartKind::Strut && p.at.contains(id));
    let points = model.rig.points.iter().enumerate();
    points
        .filter(|(_, point)| point.fixed && (point.y.to_metres() - height).abs() < LEVEL && foot(&point.id))
        .min_by(|(_, a), (_, b)| (a.x.to_metres() - load).abs().total_cmp(&(b.x.to_metres() - load).abs()))
        .map(|(n, _)| n)
}

impl Scene {
    /// The point of the edge on which a rope comes down that ran over a lost pulley at `id`, on its way from the point it ran over
    /// before to the next one; `None`: it runs clear of the edge, there was no high directional, or nothing says where the edge is.
    pub(super) fn comes_down(
        &self,
        model: &Model<'_>,
        rope: &Rope,
        before: usize,
        i: usize,
    ) -> Option<usize> {
        if !at_head(model, &rope.path[i]) {
            return None;
        }
        let corner = corner(model)?;
        let next = self.point(rope.path.get(i + 1)?)?;
        let place = |n: usize| {
            let own = &model.rig.points[n];
            (own.x.to_metres(), own.y.to_metres())
        };
        cuts_through(place(before), place(next), place(corner)).then_some(corner)
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
}

/// Whether the straight way from `a` to `b` runs below `corner`.
fn cuts_through(a: Vec2, b: Vec2, corner: Vec2) -> bool {
    let along = (corner.0 - a.0) / (b.0 - a.0);
    (0.0..=1.0).contains(&along) && a.1 + along * (b.1 - a.1) < corner.1
}

#[cfg(test)]
mod tests {
    use super::cuts_through;

    #[test]
    fn a_way_cuts_through_the_edge_only_where_it_runs_below_it() {
        // Load 0.3 m out and 13 m down, device 4 m behind the edge and half a metre above it.
        assert!(cuts_through((0.3, 7.0), (-4.0, 20.5), (0.0, 20.0)));
        // Straight down from above the edge: clear of it.
        assert!(!cuts_through((0.3, 7.0), (0.3, 22.0), (0.0, 20.0)));
        // Over it with room to spare.
        assert!(!cuts_through((0.3, 19.9), (-4.0, 20.5), (0.0, 19.0)));
    }
}
