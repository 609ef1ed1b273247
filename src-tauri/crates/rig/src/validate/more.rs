//! What a file may say of a rig beyond its bones: materials, slack, bodies of the load, shares, slopes, joints.

use super::{Checked, band, cited, fault, forces, support};
use crate::model::{BelowKind, Loading, Part, PartKind, Rig, Rope, State, Strength};
use crate::quantity::{Length, Mass};

/// Masses add up within this much, kg: what is lost by writing them in another unit.
const MASS_SLIP: f64 = 1e-6;

/// The load's direction, shares, bodies and slope.
pub(super) fn load(rig: &Rig) -> Checked {
    if let Some(pull) = rig.load.pull
        && pull.to_degrees().abs() >= 90.0
    {
        let what = format!("the load pulls {}° off the vertical", pull.to_degrees());
        return Err(fault(
            "load.pull",
            what,
            "give an angle between -90deg and 90deg, straight down is 0deg",
        ));
    }
    for (id, share) in &rig.load.shares {
        let place = format!("load.shares.{id}");
        if rig.rope(id).is_none() {
            return Err(fault(
                place,
                format!("there is no rope “{id}”"),
                "name ropes that stand under \"ropes\"",
            ));
        }
        band(share, 0.0, 1.0, &place)?;
    }
    let nominal: f64 = rig.load.shares.values().map(|share| share.nominal.value()).sum();
    if nominal > 1.0 + 1e-9 {
        let what = format!("the shares add up to {nominal}");
        return Err(fault(
            "load.shares",
            what,
            "let them add up to 1, or leave one rope out: it carries the rest",
        ));
    }
    bodies(rig)?;
    for (i, below) in rig.edge.below.iter().enumerate() {
        let metres = below.height.to_metres();
        if metres < 0.0 || (metres == 0.0 && below.kind == BelowKind::Ledge) {
            let what = format!("a {} {metres} m over the ground", below.kind.words());
            let remedy =
                "give its height over the ground at the foot: over 0 for a ledge, 0 or more for water";
            return Err(fault(format!("edge.below[{i}].height"), what, remedy));
        }
    }
    let Some(slope) = &rig.edge.slope else { return Ok(()) };
    let degrees = slope.angle.to_degrees();
    if !(0.0..=90.0).contains(&degrees) {
        let what = format!("the ground slopes {degrees}°");
        return Err(fault("edge.slope.angle", what, "give an angle from the horizontal, 0deg to 90deg"));
    }
    band(&slope.friction, 0.0, 10.0, "edge.slope.friction")
}

fn bodies(rig: &Rig) -> Checked {
    let bodies = &rig.load.bodies;
    for (i, body) in bodies.iter().enumerate() {
        let place = format!("load.bodies[{i}] ({})", body.id);
        if body.mass.to_kilograms() <= 0.0 {
            let what = format!("its mass is {}", body.mass);
            return Err(fault(format!("{place}.mass"), what, "give a mass over 0, like 90kg"));
        }
        support(rig, &body.held_by, &format!("{place}.held_by"), 0)?;
    }
    let sum: f64 = bodies.iter().map(|b| b.mass.to_kilograms()).sum();
    let whole = rig.load.mass.to_kilograms();
    if !bodies.is_empty() && (sum - whole).abs() > MASS_SLIP * whole {
        let what = format!("the bodies weigh {sum} kg together, the load {whole} kg");
        return Err(fault("load.bodies", what, "let the bodies add up to the load"));
    }
    Ok(())
}

/// What else may be said of a part.
pub(super) fn part(part: &Part, place: &str) -> Checked {
    if let Some(stiffness) = &part.stiffness {
        forces(stiffness, &format!("{place}.stiffness"))?;
    }
    if let Some(slack) = part.slack
        && slack.to_metres() < 0.0
    {
        let what = format!("a slack of {slack}");
        return Err(fault(format!("{place}.slack"), what, "give a length of 0 or more"));
    }
    if let Some(friction) = &part.friction {
        band(friction, 0.0, 10.0, &format!("{place}.friction"))?;
    }
    takes(part.takes, &format!("{place}.takes"))?;
    if let Some(sheave) = part.sheave
        && sheave.to_metres() <= 0.0
    {
        let what = format!("a sheave of {sheave}");
        return Err(fault(format!("{place}.sheave"), what, "give a diameter over 0, like 50mm"));
    }
    if part.loading.is_some() && part.kind != PartKind::Connector {
        let what = format!("a {} is not loaded along an axis", part.kind.words());
        return Err(fault(format!("{place}.loading"), what, "leave it out: it is for connectors"));
    }
    if matches!(part.kind, PartKind::Strut | PartKind::Guy) && part.at.len() != 2 {
        let what = format!("a {} stands at {} points", part.kind.words(), part.at.len());
        return Err(fault(
            format!("{place}.at"),
            what,
            "give two points: the head first, then the foot or anchor",
        ));
    }
    if let Some(gear) = &part.gear
        && gear.name.trim().is_empty()
    {
        return Err(fault(format!("{place}.gear.name"), "gear without a name", "say what the team calls it"));
    }
    Ok(())
}

/// Ratings for other ways of loading.
pub(super) fn by_loading(part: &Part, strength: &Strength, place: &str) -> Checked {
    for (i, rated) in strength.by_loading.iter().enumerate() {
        let place = format!("{place}.by_loading[{i}]");
        if part.kind != PartKind::Connector || rated.loading == Loading::Major {
            let what = format!("a {} has no such rating", part.kind.words());
            return Err(fault(place, what, "leave it out: other ways of loading are for connectors"));
        }
        if rated.rating.to_newtons() <= 0.0 {
            let what = format!("a rating of {}", rated.rating);
            return Err(fault(place, what, "give a force over 0, or leave it out: it is then unrated"));
        }
        cited(&rated.cited, &place)?;
    }
    Ok(())
}

/// The rope diameters that something takes.
pub(super) fn takes(takes: Option<[Length; 2]>, place: &str) -> Checked {
    let Some([low, high]) = takes else { return Ok(()) };
    if low.to_metres() <= 0.0 || low > high {
        return Err(fault(
            place,
            format!("ropes of {low} to {high}"),
            "give the least and the greatest diameter, like 10mm and 11.5mm",
        ));
    }
    Ok(())
}

/// The load that a device is rated for.
pub(super) fn rated_load(rated: Option<Mass>, place: &str) -> Checked {
    match rated {
        Some(mass) if mass.to_kilograms() <= 0.0 => {
            Err(fault(place, format!("a rated load of {mass}"), "give a mass over 0, or leave it out"))
        }
        _ => Ok(()),
    }
}

/// The knots in the run of a rope.
pub(super) fn joints(rig: &Rig, rope: &Rope, place: &str) -> Checked {
    let length = rope.length.to_metres();
    let mut before = 0.0;
    for (i, joint) in rope.joints.iter().enumerate() {
        let place = format!("{place}.joints[{i}]");
        if rig.part(&joint.knot).is_none_or(|p| p.kind != PartKind::JoiningKnot) {
            let what = format!("“{}” is no joining knot", joint.knot);
            return Err(fault(format!("{place}.knot"), what, "name a part of kind joining_knot"));
        }
        let at = joint.at.to_metres();
        if !(0.0..=length).contains(&at) || at < before {
            let what = format!("a knot {} from the load’s end of a rope of {}", joint.at, rope.length);
            return Err(fault(format!("{place}.at"), what, "give the knots in order, within the rope"));
        }
        before = at;
    }
    Ok(())
}

/// What is not there in a state.
pub(super) fn without(rig: &Rig, state: &State, place: &str) -> Checked {
    for (i, id) in state.without.iter().enumerate() {
        if rig.part(id).is_none() {
            let what = format!("there is no part “{id}”");
            return Err(fault(
                format!("{place}.without[{i}]"),
                what,
                "name a part that stands under \"parts\"",
            ));
        }
    }
    Ok(())
}
