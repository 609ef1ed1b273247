//! Where a new point lies on the drawing.

use crate::model::{Point, Rig};
use crate::quantity::Length;

/// Nearer than this, mm, two points' signs would lie on one another.
const CLEAR: (f64, f64) = (10.0, 6.0);

/// Beside the nearest anchor by real place, on the side where it really is, clear of every other point.
pub(super) fn place(rig: &Rig, x: Length, y: Length) -> [f64; 2] {
    let distance = |p: &Point| libm::hypot(p.x.to_metres() - x.to_metres(), p.y.to_metres() - y.to_metres());
    let anchors = rig.points.iter().filter(|p| p.fixed && p.draw[1] < 30.0);
    let Some(near) = anchors.min_by(|a, b| distance(a).total_cmp(&distance(b))) else { return [75.0, 9.0] };
    let side = if x >= near.x { 1.0 } else { -1.0 };
    let taken = |draw: [f64; 2]| {
        let close =
            |p: &Point| (p.draw[0] - draw[0]).abs() < CLEAR.0 && (p.draw[1] - draw[1]).abs() < CLEAR.1;
        rig.points.iter().any(close)
    };
    // Outwards on its own side, then on the other, within the sheet.
    let steps = (0..12).map(|n| 16.0 + 11.0 * f64::from(n));
    let tries = steps.clone().map(|d| side * d).chain(steps.map(|d| -side * d));
    let free = tries
        .map(|d| [near.draw[0] + d, near.draw[1]])
        .find(|draw| (6.0..168.0).contains(&draw[0]) && !taken(*draw));
    free.unwrap_or([near.draw[0] + side * 16.0, near.draw[1]])
}

/// Half way between two points on the drawing, or beside that where another point lies.
pub(super) fn between(rig: &Rig, a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    let middle = [f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])];
    let free = |draw: &[f64; 2]| {
        let far = |p: &Point| libm::hypot(p.draw[0] - draw[0], p.draw[1] - draw[1]);
        (6.0..168.0).contains(&draw[0]) && rig.points.iter().all(|p| far(p) > 3.0)
    };
    let tries = (0..8).flat_map(|n| [4.0 * f64::from(n), -4.0 * f64::from(n)]);
    tries.map(|d| [middle[0] + d, middle[1]]).find(free).unwrap_or(middle)
}
