//! Places, lengths and angles. What hangs below a point that moves goes with it, so that links keep their lengths.

use super::{holder_at, part_of, unknown};
use crate::error::RigError;
use crate::model::{Part, PartKind, Rig, Support};
use crate::quantity::{Angle, Length};
use std::collections::BTreeSet;

type At = (f64, f64);

/// A point at another place.
pub(super) fn moved(rig: &mut Rig, point: &str, x: Length, y: Length) -> Result<(), RigError> {
    let own = rig.points.iter_mut().find(|p| p.id == point).ok_or_else(|| unknown("point", point))?;
    (own.x, own.y) = (x, y);
    Ok(())
}

/// A tie made fast at another point, to what sits there.
pub(super) fn retie(rig: &mut Rig, id: &str, to: &str) -> Result<(), RigError> {
    let holder = holder_at(rig, to)?.clone();
    let part = rig.part(id).ok_or_else(|| unknown("part", id))?;
    let ties = [PartKind::Tether, PartKind::BackupCord, PartKind::Guy];
    if part.at.len() != 2 || !(part.kind.is_leg() || ties.contains(&part.kind)) {
        let what = format!("{} is not tied between two points", part.label);
        return Err(RigError::new(id, what, "choose a leg, sling, cord, tether or guy"));
    }
    let mut above = Vec::new();
    super::add::named(&Support::Part(holder.id.clone()), &mut above);
    let mut seen = BTreeSet::new();
    while let Some(next) = above.pop() {
        if next == id {
            let what = format!("{} hangs on {} itself", holder.label, part.label);
            return Err(RigError::new(id, what, "choose the point of an anchor"));
        }
        if let Some(own) = rig.part(&next).filter(|_| seen.insert(next.clone())) {
            super::add::named(&own.held_by, &mut above);
        }
    }
    let part = part_of(rig, id)?;
    part.at[1] = to.to_string();
    part.held_by = Support::Part(holder.id);
    Ok(())
}

/// A leg or link of another length.
pub(super) fn tie_length(rig: &mut Rig, id: &str, length: Length) -> Result<(), RigError> {
    let part = rig.part(id).ok_or_else(|| unknown("part", id))?.clone();
    let wanted = length.to_metres();
    let fault = |what: String, remedy: &str| Err(RigError::new(id, what, remedy));
    if wanted <= 0.0 {
        return fault(format!("a length of {length}"), "give a length over 0, like 1.5m");
    }
    let [low, high] = part.at.as_slice() else {
        return fault(format!("{} does not lie between two points", part.label), "choose a leg or link");
    };
    if rig.point(low).is_some_and(|p| p.fixed) {
        let what = format!("the ground holds the lower end of {}", part.label);
        return fault(what, "move one of its points instead");
    }
    let (from, to) = (at(rig, low)?, at(rig, high)?);
    let others: Vec<&Part> = ties_up(rig, low).filter(|p| p.id != id).collect();
    let place = match others.as_slice() {
        [] => along(to, from, wanted),
        [other] => {
            let end = at(rig, &other.at[1])?;
            crossing((to, wanted), (end, distance(end, from)), from)
        }
        more => {
            let what =
                format!("{} legs besides {} end there, and keep their lengths", more.len(), part.label);
            return fault(what, "move the point where they meet instead");
        }
    };
    match place {
        Some(place) => shift(rig, low, (place.0 - from.0, place.1 - from.1)),
        None => fault(
            format!("{} cannot be {length}: the legs would not meet", part.label),
            "give another length",
        ),
    }
}

/// The outermost legs at another included angle: the knot moves on the line from the middle between their anchors.
pub(super) fn v_angle(rig: &mut Rig, knot: &str, angle: Angle) -> Result<(), RigError> {
    let part = rig.part(knot).ok_or_else(|| unknown("part", knot))?;
    let (label, Some(own)) = (part.label.clone(), part.at.first().cloned().filter(|_| part.at.len() == 1))
    else {
        return Err(RigError::new(knot, format!("{} has no point of its own", part.label), "choose a knot"));
    };
    let wanted = angle.to_radians();
    if !(0.02..3.1).contains(&wanted) {
        let what = format!("legs at {}°", angle.to_degrees());
        return Err(RigError::new(knot, what, "give an included angle from 2deg to 177deg"));
    }
    let from = at(rig, &own)?;
    let ends: Vec<At> = ties_up(rig, &own).filter_map(|p| at(rig, &p.at[1]).ok()).collect();
    let mut widest: Option<(f64, At, At)> = None;
    for (i, a) in ends.iter().enumerate() {
        for b in &ends[i + 1..] {
            let open = included(from, *a, *b);
            if widest.is_none_or(|(most, ..)| open > most) {
                widest = Some((open, *a, *b));
            }
        }
    }
    let Some((open, a, b)) = widest.filter(|(open, ..)| *open > 1e-6) else {
        let what = format!("no two legs of {label} enclose an angle");
        return Err(RigError::new(knot, what, "choose a knot, plate or ring with two legs"));
    };
    if (open - wanted).abs() < 1e-12 {
        return Ok(());
    }
    let middle = (f64::midpoint(a.0, b.0), f64::midpoint(a.1, b.1));
    let way = (from.0 - middle.0, from.1 - middle.1);
    let place = |t: f64| (middle.0 + way.0 * t, middle.1 + way.1 * t);
    let (mut near, mut far) = (1e-6, 1e4);
    if included(place(near), a, b) < wanted || included(place(far), a, b) > wanted {
        let what = format!("the legs of {label} cannot enclose {}°", angle.to_degrees());
        return Err(RigError::new(knot, what, "move its point instead"));
    }
    // The further from the anchors, the smaller the angle.
    for _ in 0..200 {
        let t = f64::midpoint(near, far);
        if included(place(t), a, b) > wanted { near = t } else { far = t }
    }
    let to = place(f64::midpoint(near, far));
    shift(rig, &own, (to.0 - from.0, to.1 - from.1))
}

/// Another height of the edge: what lies at or above it rises with it, what hangs below keeps its share of the height.
pub(super) fn edge_height(rig: &mut Rig, height: Length) -> Result<(), RigError> {
    let (old, new) = (rig.edge.height.to_metres(), height.to_metres());
    if new < 0.0 {
        return Err(RigError::new(
            "edge.height",
            format!("the height is {height}"),
            "give a length of 0 or more",
        ));
    }
    for point in &mut rig.points {
        let y = point.y.to_metres();
        let below = y < old - 1e-9 && old > 0.0;
        let there = if below { y / old * new } else { y + new - old };
        point.y = metres(there)?;
    }
    rig.edge.height = height;
    Ok(())
}

fn metres(value: f64) -> Result<Length, RigError> {
    Length::metres(value)
        .ok_or_else(|| RigError::new("points", "a place without end", "give smaller lengths"))
}

fn at(rig: &Rig, point: &str) -> Result<At, RigError> {
    let own = rig.point(point).ok_or_else(|| unknown("point", point))?;
    Ok((own.x.to_metres(), own.y.to_metres()))
}

/// Ties whose load end is at a point.
fn ties_up<'a>(rig: &'a Rig, point: &'a str) -> impl Iterator<Item = &'a Part> {
    rig.parts.iter().filter(move |p| p.at.len() == 2 && p.at[0] == point && !p.kind.is_edge())
}

fn distance(a: At, b: At) -> f64 {
    libm::hypot(a.0 - b.0, a.1 - b.1)
}

fn included(knot: At, a: At, b: At) -> f64 {
    let (u, v) = ((a.0 - knot.0, a.1 - knot.1), (b.0 - knot.0, b.1 - knot.1));
    libm::atan2((u.0 * v.1 - u.1 * v.0).abs(), u.0 * v.0 + u.1 * v.1)
}

/// The place at a length from one point towards another.
fn along(from: At, towards: At, length: f64) -> Option<At> {
    let far = distance(from, towards);
    (far > 1e-9)
        .then(|| (from.0 + (towards.0 - from.0) / far * length, from.1 + (towards.1 - from.1) / far * length))
}

/// Where two circles cross, the crossing nearer to a place.
fn crossing((a, ra): (At, f64), (b, rb): (At, f64), near: At) -> Option<At> {
    let d = distance(a, b);
    if d < 1e-9 || d > ra + rb || d < (ra - rb).abs() {
        return None;
    }
    let from_a = (d * d + ra * ra - rb * rb) / (2.0 * d);
    let off = libm::sqrt((ra * ra - from_a * from_a).max(0.0));
    let (ux, uy) = ((b.0 - a.0) / d, (b.1 - a.1) / d);
    let foot = (a.0 + ux * from_a, a.1 + uy * from_a);
    let (one, two) = ((foot.0 - uy * off, foot.1 + ux * off), (foot.0 + uy * off, foot.1 - ux * off));
    Some(if distance(one, near) <= distance(two, near) { one } else { two })
}

/// Moves a point with what hangs below it by links: free points whose only way up is through it.
fn shift(rig: &mut Rig, point: &str, by: At) -> Result<(), RigError> {
    let mut going = vec![point.to_string()];
    let mut next = 0;
    while next < going.len() {
        let from = going[next].clone();
        for link in rig.parts.iter().filter(|p| p.at.len() == 2 && p.at[1] == from) {
            let low = &link.at[0];
            let free = rig.point(low).is_some_and(|p| !p.fixed) && !rig.load.points.contains(low);
            if free && !going.contains(low) && ties_up(rig, low).all(|p| going.contains(&p.at[1])) {
                going.push(low.clone());
            }
        }
        next += 1;
    }
    for own in rig.points.iter_mut().filter(|p| going.contains(&p.id)) {
        own.x = metres(own.x.to_metres() + by.0)?;
        own.y = metres(own.y.to_metres() + by.1)?;
    }
    Ok(())
}
