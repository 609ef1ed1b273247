//! Ropes that come down on a bare edge: an edge roller gone, a high directional, or the lip itself. How far that lets the load drop is a fall like
//! others; whether the edge cuts what comes down on it is not known.

use crate::loss::Loss;
use crate::statics::{Scene, corner};
use crate::support::Model;
use rig::model::PartKind;

/// What a loss leaves of the edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// As it was.
    Kept,
    /// Bare: a roller or other protection is gone.
    Unrolled,
    /// Bare: what the ropes ran over in the air is gone, and they come down on it.
    ComesDown,
    /// Bare: the lip itself broke, and they come to bear behind it.
    Broken,
}

/// What a loss leaves of the edge.
pub fn edge(model: &Model<'_>, loss: &Loss) -> Edge {
    let kind = |part: &usize| {
        let own = &model.rig.parts[*part];
        match own.kind {
            PartKind::EdgeLip => Edge::Broken,
            PartKind::EdgeProtection => Edge::Unrolled,
            PartKind::HighDirectional | PartKind::Strut | PartKind::Guy => Edge::ComesDown,
            PartKind::Pulley if own.at.first().is_some_and(|id| corner::at_head(model, id)) => {
                Edge::ComesDown
            }
            _ => Edge::Kept,
        }
    };
    let all = || loss.lost.parts.iter().map(kind);
    let worst = [Edge::Broken, Edge::ComesDown, Edge::Unrolled];
    worst.into_iter().find(|worst| all().any(|edge| edge == *worst)).unwrap_or(Edge::Kept)
}

/// Whether it is known where every rope comes down that ran over a head it has lost: on a point that is not on its drawn path.
pub fn comes_down(model: &Model<'_>, scene: &Scene) -> bool {
    scene.ropes.iter().filter(|run| run.bears_load()).all(|run| {
        let Some(rope) = model.rig.rope(&model.rig.parts[run.part].id) else { return false };
        let on = |id: &String| run.path.iter().any(|point| model.rig.points[*point].id == *id);
        let off_its_head = rope.path.iter().any(|id| corner::at_head(model, id) && !on(id));
        let elsewhere = run.path.iter().any(|point| !rope.path.contains(&model.rig.points[*point].id));
        !off_its_head || elsewhere
    })
}
