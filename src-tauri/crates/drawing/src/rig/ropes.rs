//! Ropes and legs, as wide as their tension: black the nominal force over grey the high one, rope two with
//! white dashes. What is not solved is an empty outline, what carries nothing a thin dashed line.

use super::layout::{At, between};
use super::strands::{above, hauled, holders, split, stops};
use super::{Sheet, symbols};
use crate::build::{QUARTER, pen};
use crate::list::{DisplayList, Ink, Seg, Stroke};
use crate::metrics::PT;
use ::rig::model::{Line, Part, PartKind};
use ::rig::quantity::BandKn;

/// Widest that a rope is drawn, mm.
const WIDEST: f64 = 5.5;
/// Most mm for a kN.
const MOST_PER_KN: f64 = 2.0;
/// Radius a rope runs at round a pulley.
pub(super) const SHEAVE: f64 = 3.2;

/// The scale of widths.
#[derive(Clone, Copy, Debug)]
pub struct Widths {
    /// mm a kN.
    pub per_kn: f64,
    /// Largest high force drawn, kN.
    pub largest: f64,
}

impl Widths {
    /// So that the largest high tension of what is drawn as a rope is at most 5.5 mm, before and after a loss.
    pub fn new(sheet: &Sheet<'_>) -> Widths {
        let lines =
            sheet.rig.parts.iter().filter(|part| is_line(sheet, part) || part.kind == PartKind::Device);
        let findings =
            lines.flat_map(|part| [sheet.now.get(part.id.as_str()), sheet.after.get(part.id.as_str())]);
        let largest = findings
            .flatten()
            .filter_map(|f| f.force_kn)
            .map(|f| f.high)
            .filter(|f| f.is_finite())
            .fold(0.0, f64::max);
        let per_kn = if largest > 0.0 { (WIDEST / largest).min(MOST_PER_KN) } else { MOST_PER_KN };
        Widths { per_kn, largest }
    }
    fn of(&self, force: f64) -> f64 {
        force.abs() * self.per_kn
    }
}

/// Whether a part is drawn as a rope: ropes, slings, legs.
pub fn is_line(sheet: &Sheet<'_>, part: &Part) -> bool {
    match part.kind {
        PartKind::Rope => true,
        PartKind::Tether
        | PartKind::BackupCord
        | PartKind::Guy
        | PartKind::Strut
        | PartKind::LoadReleaseHitch => part.at.len() > 1,
        kind if kind.is_leg() => part.at.len() > 1,
        _ => part.at.is_empty() && sheet.rig.ropes.iter().any(|r| r.id == part.id),
    }
}

/// The way of a rope or leg in pieces of one tension. A rope that hauls has the tension of each stretch from
/// the trace of its sheaves. Any other has three at most: below the edge, above it, and past a haul hitch or
/// progress capture that grips it; a rope's own finding speaks of the worst place on it, so each piece has the
/// force that the finding of what holds it there speaks of.
pub fn pieces<'a>(sheet: &Sheet<'a>, part: &Part) -> Vec<(Vec<Seg>, Option<BandKn>)> {
    let own = sheet.finding(&part.id).and_then(|f| f.force_kn);
    let Some(rope) = sheet.rig.ropes.iter().find(|r| r.id == part.id) else {
        let ends: Vec<At> = part.at.iter().filter_map(|id| sheet.layout.at(id)).collect();
        return vec![(way(&ends.iter().map(|at| (*at, 0.0)).collect::<Vec<_>>()), own)];
    };
    let stops = stops(sheet, rope);
    let below = stops.iter().take_while(|s| s.at.1 > sheet.layout.edge - 0.5).count();
    let round: Vec<(At, f64)> = stops.iter().map(|s| (s.at, s.radius)).collect();
    if below == 0 || below >= stops.len() {
        let traced = hauled(sheet, rope, &stops);
        return traced.map_or_else(|| vec![(way(&bent(sheet, &round)), own)], |f| split(&round, &f));
    }
    // The piece above begins where the one below ends: on the edge.
    let over = round.get(below - 1).copied().unwrap_or(((0.0, 0.0), 0.0));
    let edge = (over.0.0, sheet.layout.edge);
    let mut low: Vec<(At, f64)> = round.iter().take(below).copied().collect();
    let mut high: Vec<(At, f64)> = round.iter().skip(below).copied().collect();
    if (over.0.1 - edge.1).abs() > 0.6 {
        let first = high.first().map_or(edge, |(at, _)| *at);
        let share = (edge.1 - over.0.1) / (first.1 - over.0.1).min(-0.1);
        let crossing = between(over.0, first, share.clamp(0.0, 1.0));
        low.push((crossing, 0.0));
        high.insert(0, (crossing, 0.0));
    } else {
        high.insert(0, over);
    }
    let mut out = vec![(way(&bent(sheet, &low)), at_the_load(sheet, rope, own))];
    if let Some(traced) = hauled(sheet, rope, &stops) {
        out.extend(split(&high, traced.get(below - 1..).unwrap_or(&[])));
        return out;
    }
    // Places above the edge, without the crossing that was put first.
    let past = gripped(sheet, rope).and_then(|(point, force)| {
        let place = stops.iter().skip(below).position(|s| s.id == point)? + high.len() + below - stops.len();
        Some((place, force))
    });
    match past {
        Some((place, force)) if place + 1 < high.len() => {
            out.push((way(high.get(..=place).unwrap_or(&high)), own));
            out.push((way(high.get(place..).unwrap_or(&high)), force));
        }
        _ => {
            // The stretches above begin at the last stop below, or at the crossing of the edge in its place.
            let forces = above(&holders(sheet, rope, &stops), below - 1, high.len().saturating_sub(1), own);
            out.extend(split(&high, &forces));
        }
    }
    out
}

/// Tension below the edge: what the end knot takes; the rope's own where there is none.
fn at_the_load(sheet: &Sheet<'_>, rope: &::rig::model::Rope, own: Option<BandKn>) -> Option<BandKn> {
    let knots = sheet.rig.parts.iter().filter(|p| p.kind == PartKind::EndKnot);
    let knot = knots.into_iter().find(|p| rope_of_knot(sheet, p).is_some_and(|of| of.id == rope.id));
    knot.map_or(own, |knot| sheet.finding(&knot.id).and_then(|f| f.force_kn))
}

/// The rope that an end knot is tied in. Two ropes may end at one point: what the knot hangs on says which it is, then its
/// line.
pub fn rope_of_knot<'a>(sheet: &Sheet<'a>, knot: &Part) -> Option<&'a ::rig::model::Rope> {
    let held = symbols::held_by(&knot.held_by);
    let here = || sheet.rig.ropes.iter().filter(|rope| rope.path.first() == knot.at.first());
    here()
        .find(|rope| held.contains(&rope.id.as_str()))
        .or_else(|| here().find(|rope| rope.line == knot.line))
        .or_else(|| here().next())
}

/// The point where a hitch or capture grips a rope that is hauled, and the tension past it: half of what the
/// moving pulley takes, the mean of its two strands.
fn gripped<'a>(sheet: &Sheet<'a>, rope: &::rig::model::Rope) -> Option<(&'a str, Option<BandKn>)> {
    let grips = |kind: PartKind| {
        let on_rope = |p: &&Part| p.kind == kind && p.at.first().is_some_and(|at| rope.path.contains(at));
        sheet.rig.parts.iter().find(on_rope)
    };
    let hitch = grips(PartKind::HaulHitch)?;
    let pulley =
        sheet.rig.parts.iter().find(|p| p.kind == PartKind::Pulley && p.at.first() == hitch.at.get(1));
    let force = pulley.and_then(|p| sheet.finding(&p.id)).and_then(|f| f.force_kn);
    let half = force.map(|f| BandKn { low: f.low / 2.0, nominal: f.nominal / 2.0, high: f.high / 2.0 });
    // Where the hitch carries nothing the rope runs on to the capture.
    let idle =
        |part: &Part| sheet.finding(&part.id).and_then(|f| f.force_kn).is_some_and(|f| f.high.abs() < 1e-6);
    let holder = if idle(hitch) { grips(PartKind::ProgressCapture).unwrap_or(hitch) } else { hitch };
    // Where both carry nothing the rope is held further on.
    (!idle(holder)).then_some((holder.at.first()?.as_str(), half))
}

pub(super) fn has_pulley(sheet: &Sheet<'_>, point: &str) -> bool {
    sheet.rig.parts.iter().any(|p| p.kind == PartKind::Pulley && p.at.iter().any(|at| at == point))
}

/// A rope that ends aside of where it goes over the edge hangs straight and bends near the load.
fn bent(sheet: &Sheet<'_>, points: &[(At, f64)]) -> Vec<(At, f64)> {
    let (Some(ring), Some(next)) = (points.first(), points.get(1)) else { return points.to_vec() };
    let (low, high) = (ring.0, next.0);
    let is_ring = (low.1 - sheet.layout.rings).abs() < 0.5;
    if !is_ring || (low.0 - high.0).abs() < 1.0 || low.1 - high.1 < 14.0 {
        return points.to_vec();
    }
    let mut out = vec![*ring, ((high.0, low.1 - 9.0), 0.0)];
    out.extend(points.iter().skip(1));
    out
}

/// A way through points, round those with a radius.
fn way(points: &[(At, f64)]) -> Vec<Seg> {
    stretch(points, 0, points.len().saturating_sub(1))
}

/// The part of a way from one of its points to another: round the turns within it and the one at its end, so
/// that the next part begins where this one leaves.
pub(super) fn stretch(points: &[(At, f64)], from: usize, to: usize) -> Vec<Seg> {
    let mut out: Vec<Seg> = Vec::new();
    let turns: Vec<f64> = (0..points.len()).map(|i| signed_radius(points, i)).collect();
    for (i, ((at, _), turn)) in points.iter().zip(&turns).enumerate().take(to + 1).skip(from) {
        let before =
            i.checked_sub(1).filter(|_| i > from).and_then(|k| Some((points.get(k)?, turns.get(k)?)));
        let after = points.get(i + 1).zip(turns.get(i + 1));
        let arrive = before.map(|(p, t)| tangent(p.0, *t, *at, *turn).1);
        let leave = after.map(|(p, t)| tangent(*at, *turn, p.0, *t).0);
        match (arrive, leave) {
            (None, Some(to)) => out.push(Seg::Move { x: to.0, y: to.1 }),
            (Some(to), None) => out.push(Seg::Line { x: to.0, y: to.1 }),
            (Some(from), Some(to)) => {
                out.push(Seg::Line { x: from.0, y: from.1 });
                if *turn != 0.0 {
                    arc(&mut out, *at, *turn, from, to);
                }
            }
            (None, None) => {}
        }
    }
    out
}

/// The radius of a point with the sign of the turn there; 0 where the way does not turn.
fn signed_radius(points: &[(At, f64)], i: usize) -> f64 {
    let (Some((at, r)), Some(before), Some(after)) =
        (points.get(i), i.checked_sub(1).and_then(|k| points.get(k)), points.get(i + 1))
    else {
        return 0.0;
    };
    let (a, b) = ((at.0 - before.0.0, at.1 - before.0.1), (after.0.0 - at.0, after.0.1 - at.1));
    let cross = a.0 * b.1 - a.1 * b.0;
    // A way straight back turns as if to the left.
    if cross > 1e-9 { *r } else { -*r }
}

/// Where the common tangent of two turns leaves the one and reaches the other.
fn tangent(a: At, ra: f64, b: At, rb: f64) -> (At, At) {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let length = libm::hypot(dx, dy);
    if length <= (ra - rb).abs() + 1e-9 {
        return (a, b);
    }
    let u = (dx / length, dy / length);
    // In a picture whose y runs down, the centre of a turn with positive cross lies to the right of the way,
    // so the rope runs to the left of it.
    let v = (u.1, -u.0);
    let along = (ra - rb) / length;
    let across = libm::sqrt((1.0 - along * along).max(0.0));
    let n = (u.0 * along + v.0 * across, u.1 * along + v.1 * across);
    ((a.0 + ra * n.0, a.1 + ra * n.1), (b.0 + rb * n.0, b.1 + rb * n.1))
}

/// An arc about `centre` from one point to another, in the way of the sign of `turn`, in quarters at most.
fn arc(out: &mut Vec<Seg>, centre: At, turn: f64, from: At, to: At) {
    let r = turn.abs();
    let angle = |p: At| libm::atan2(p.1 - centre.1, p.0 - centre.0);
    let full = 2.0 * std::f64::consts::PI;
    let mut sweep = (angle(to) - angle(from)) * turn.signum();
    if sweep < 0.0 {
        sweep += full;
    }
    let quarters = (sweep / (full / 4.0)).ceil().clamp(1.0, 4.0);
    let step = sweep / quarters;
    // The length of the handles for this part of a circle; 0.5523 for a quarter.
    let k = QUARTER * libm::tan(step / 4.0) / libm::tan(full / 16.0) * r;
    let mut a = angle(from);
    for _ in 0..quarters as usize {
        let b = a + step * turn.signum();
        let (ca, sa, cb, sb) = (libm::cos(a), libm::sin(a), libm::cos(b), libm::sin(b));
        let s = turn.signum() * k;
        out.push(Seg::Curve {
            x1: centre.0 + r * ca - s * sa,
            y1: centre.1 + r * sa + s * ca,
            x2: centre.0 + r * cb + s * sb,
            y2: centre.1 + r * sb - s * cb,
            x: centre.0 + r * cb,
            y: centre.1 + r * sb,
        });
        a = b;
    }
}

/// Draws a rope or leg; lost ones as ghosts.
pub fn draw(list: &mut DisplayList, sheet: &Sheet<'_>, widths: &Widths, part: &Part) {
    let lost = sheet.lost.contains(part.id.as_str());
    for (segs, force) in pieces(sheet, part) {
        if part.kind == PartKind::Strut && !lost {
            // It pushes: two thin outlines, never as wide as a tension.
            list.path(segs.clone(), None, Some(Stroke::solid(Ink::Ink, 1.9 / PT)));
            list.path(segs, None, Some(Stroke::solid(Ink::Sheet, 1.1 / PT)));
            continue;
        }
        if lost {
            list.path(segs, None, Some(Stroke::solid(Ink::Ink, pen::FINE).dashed(1.2, 1.0)));
            continue;
        }
        strand(list, widths, segs, force, part.line == Line::Two);
    }
    if matches!(part.kind, PartKind::Strut | PartKind::Guy)
        && let Some(foot) = part.at.last().and_then(|id| sheet.layout.at(id))
        && (foot.1 - sheet.layout.edge).abs() > 1.0
    {
        symbols::footing(list, foot);
    }
    if lost && let Some(at) = target(sheet, part) {
        symbols::cross(list, at);
    }
}

/// One strand of a tension.
pub fn strand(list: &mut DisplayList, widths: &Widths, segs: Vec<Seg>, force: Option<BandKn>, two: bool) {
    let mm = |w: f64| w / PT;
    let Some(force) = force.filter(|f| f.nominal.is_finite() && f.high.is_finite()) else {
        // Not solved: an empty outline, dashed.
        list.path(segs.clone(), None, Some(Stroke::solid(Ink::Ink, mm(2.0)).dashed(1.6, 0.7)));
        list.path(segs, None, Some(Stroke::solid(Ink::Sheet, mm(1.3))));
        return;
    };
    let (nominal, high) = (widths.of(force.nominal), widths.of(force.high));
    if high < 0.02 {
        list.path(segs, None, Some(Stroke::solid(Ink::Ink, pen::FINE).dashed(0.6, 0.9)));
        return;
    }
    list.path(segs.clone(), None, Some(Stroke::solid(Ink::Light, mm(high.max(0.5)))));
    list.path(segs.clone(), None, Some(Stroke::solid(Ink::Ink, mm(nominal.max(0.3)))));
    if two && nominal > 0.6 {
        list.path(
            segs,
            None,
            Some(Stroke::solid(Ink::Sheet, mm((nominal * 0.34).max(0.3))).dashed(1.5, 1.3)),
        );
    }
}

/// Whether a part that sits on something carries its tension over its whole length: connectors, and what
/// ties a hitch to its pulley.
pub fn is_tied(part: &Part) -> bool {
    part.at.len() > 1
        && matches!(
            part.kind,
            PartKind::Connector | PartKind::ProgressCapture | PartKind::HaulHitch | PartKind::FrictionHitch
        )
}

/// In which of three layers a part is drawn: ropes and legs, then what ties a connector or hitch, then
/// what they are tied to.
pub fn layer(sheet: &Sheet<'_>, part: &Part) -> usize {
    match (is_line(sheet, part), is_tied(part)) {
        (true, _) => 0,
        (_, true) => 1,
        _ => 2,
    }
}

/// The way of what ties a part: straight, and beside the rope for a progress capture.
pub fn tie(sheet: &Sheet<'_>, part: &Part) -> Vec<Seg> {
    let ends: Vec<At> = part.at.iter().filter_map(|id| sheet.layout.at(id)).collect();
    let (Some(a), Some(b)) = (ends.first(), ends.last()) else { return Vec::new() };
    let start = Seg::Move { x: a.0, y: a.1 };
    if part.kind != PartKind::ProgressCapture {
        return vec![start, Seg::Line { x: b.0, y: b.1 }];
    }
    // Round the inner side of the sheave, clear of the rope.
    let aside = -sheet.layout.side(a.0) * 6.4;
    vec![
        start,
        Seg::Curve {
            x1: a.0 + aside,
            y1: a.1 - 1.0,
            x2: b.0 + aside * 1.3,
            y2: b.1 - 7.0,
            x: b.0,
            y: b.1 - 4.0,
        },
    ]
}

/// The halo under all that still carries after a loss.
pub fn halo(list: &mut DisplayList, sheet: &Sheet<'_>) {
    if sheet.left.is_empty() {
        return;
    }
    for part in sheet.parts().filter(|p| sheet.left.contains(p.id.as_str())) {
        if is_line(sheet, part) || is_tied(part) {
            let ways = if is_tied(part) {
                vec![tie(sheet, part)]
            } else {
                pieces(sheet, part).into_iter().map(|(segs, _)| segs).collect()
            };
            for segs in ways {
                list.path(segs, None, Some(Stroke::solid(Ink::Halo, 9.0 / PT).rounded()));
            }
        } else if let Some((x, y)) = sheet.layout.of(part) {
            list.circle(x, y, 5.6, Some(Ink::Halo), None);
        }
    }
}

/// Where the leader of a rope or leg ends: on a leg near its anchor, on a rope below the edge.
pub fn target(sheet: &Sheet<'_>, part: &Part) -> Option<At> {
    if let Some(rope) = sheet.rig.ropes.iter().find(|r| r.id == part.id) {
        let path: Vec<At> = rope.path.iter().filter_map(|id| sheet.layout.at(id)).collect();
        if !sheet.layout.load_points().any(|id| rope.path.first().is_some_and(|first| first == id)) {
            // A haul rope: on its strand towards the team.
            return Some(between(*path.get(path.len().checked_sub(2)?)?, *path.last()?, 0.5));
        }
        let share = if rope.line == Line::Two { 0.5 } else { 0.3 };
        let wanted = sheet.layout.edge + share * (sheet.layout.rings - 9.0 - sheet.layout.edge);
        let drawn = pieces(sheet, part).into_iter().find_map(|(segs, _)| at_height(&segs, wanted));
        let below = path.iter().skip(1).find(|at| at.1 <= sheet.layout.edge + 0.6)?;
        return Some(drawn.unwrap_or((below.0, wanted)));
    }
    let ends: Vec<At> = part.at.iter().filter_map(|id| sheet.layout.at(id)).collect();
    let (load, anchor) = (ends.first()?, ends.last()?);
    let (low, high) = if load.1 >= anchor.1 { (*load, *anchor) } else { (*anchor, *load) };
    if part.kind == PartKind::Tether {
        // Tethers of several people meet at a ring: there one could not be told from another.
        return Some(between(low, high, 0.7));
    }
    // A short way from its anchor for a leg that crosses the drawing, the middle for one that does not.
    let crosses = sheet.layout.side(low.0) != sheet.layout.side(high.0);
    Some(between(low, high, if crosses { 0.84 } else { 0.5 }))
}

/// How far right a rope lies where it passes the height of the edge.
pub fn at_edge(sheet: &Sheet<'_>, part: &Part) -> Option<f64> {
    let ways = pieces(sheet, part).into_iter();
    ways.filter_map(|(segs, _)| at_height(&segs, sheet.layout.edge)).map(|at| at.0).reduce(f64::max)
}

/// Where straight lines of a way cross a height.
fn at_height(segs: &[Seg], y: f64) -> Option<At> {
    let mut last: Option<At> = None;
    for seg in segs {
        let (to, straight) = match *seg {
            Seg::Move { x, y } => ((x, y), false),
            Seg::Line { x, y } => ((x, y), true),
            Seg::Curve { x, y, .. } => ((x, y), false),
            Seg::Close => continue,
        };
        if let (Some(from), true) = (last, straight) {
            let (low, high) = (from.1.min(to.1), from.1.max(to.1));
            if low <= y && y <= high && high - low > 1e-6 {
                return Some(between(from, to, (y - from.1) / (to.1 - from.1)));
            }
        }
        last = Some(to);
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: At, b: At) -> bool {
        libm::hypot(a.0 - b.0, a.1 - b.1) < 1e-6
    }

    #[test]
    fn a_rope_round_a_pulley_keeps_its_distance_and_its_tangent() {
        // Up at x = 3, round a pulley at (0, 0), down at x = -3.
        let points = [((3.0, 20.0), 0.0), ((0.0, 0.0), 3.0), ((-3.0, 20.0), 0.0)];
        let segs = way(&points);
        assert_eq!(segs[0], Seg::Move { x: 3.0, y: 20.0 });
        let Seg::Line { x, y } = segs[1] else { panic!("{segs:?}") };
        assert!(near((x, y), (3.0, 0.0)), "{x} {y}");
        let mut lowest = 0.0f64;
        for seg in &segs {
            if let Seg::Curve { x, y, .. } = seg {
                assert!((libm::hypot(*x, *y) - 3.0).abs() < 1e-6);
                lowest = lowest.min(*y);
            }
        }
        assert!((lowest + 3.0).abs() < 1e-6, "the rope goes over the top: {segs:?}");
    }

    #[test]
    fn a_way_without_pulleys_is_the_points() {
        let points = [((0.0, 0.0), 0.0), ((5.0, 5.0), 0.0), ((5.0, 9.0), 0.0)];
        assert_eq!(
            way(&points),
            [Seg::Move { x: 0.0, y: 0.0 }, Seg::Line { x: 5.0, y: 5.0 }, Seg::Line { x: 5.0, y: 9.0 }]
        );
    }
}
