//! Who works the devices, and who hangs on the ropes.

use super::build::{Builder, LOAD_AT, Made, load_rule, on};
use super::lower::{lowering_states, tailer, twin_hands, twin_ropes, two_knot_top};
use super::values::Values;
use crate::model::{Body, DeviceClass, HandTask, Line, PartKind, Rig, Support};
use crate::quantity::Mass;

/// One operator at both devices.
pub fn one_operator(values: &Values) -> Made<Rig> {
    let mut b = Builder::new(values);
    let (x, _) = two_knot_top(&mut b)?;
    let class = if values.choice("device_class") == "passive" {
        DeviceClass::Passive
    } else {
        DeviceClass::SelfClosing
    };
    for (number, line) in [("1", Line::One), ("2", Line::Two)] {
        b.device_of(class, number, line, &format!("connector_{number}"))?;
    }
    twin_ropes(&mut b, x)?;
    let grip = Builder::operator_grip()?;
    b.hand("operator", HandTask::Operator, &["device_1", "device_2"], grip, 1);
    let mut hands = vec!["operator"];
    if values.choice("tailer") == "yes" {
        tailer(&mut b)?;
        hands.push("tailer");
    }
    lowering_states(&mut b, &hands);
    b.finish("lower", load_rule())
}

/// Both ropes to one point of a rescuer's harness.
pub fn rescuer(values: &Values) -> Made<Rig> {
    rescuer_on(values, false)
}

/// The same, with a tether from a second point of the harness to rope one, ahead of its knot.
pub fn rescuer_with_tether(values: &Values) -> Made<Rig> {
    rescuer_on(values, true)
}

fn rescuer_on(values: &Values, tether: bool) -> Made<Rig> {
    let mut b = Builder::new(values);
    let (x, _) = two_knot_top(&mut b)?;
    for (number, line) in [("1", Line::One), ("2", Line::Two)] {
        b.device(number, line, &format!("connector_{number}"))?;
    }
    let load = values.needed("edge_height")? * LOAD_AT;
    b.point("at_point", (0.0, load), [75.0, 180.0], false)?;
    for (number, side, sheet) in [("1", -1.0, 60.0), ("2", 1.0, 90.0)] {
        let device = format!("device_{number}");
        b.rope_over_edge(number, side * x, sheet, "at_point", &[&format!("at_{device}")], on(&device))?;
    }
    b.edge_lip();
    let ends = Support::Any(vec![on("end_knot_1"), on("end_knot_2")]);
    let rated = values.team_rating("harness_point");
    b.part("point", "harness point", PartKind::HarnessPoint, Line::Shared, &["at_point"], ends).strength =
        rated;
    let mut harness = on("point");
    if tether {
        second_point(&mut b)?;
        harness = Support::Backup(vec![on("point"), on("second_point")]);
    }
    let rated = values.team_rating("harness");
    b.part("harness", "rescuer’s harness", PartKind::Harness, Line::Shared, &[], harness).strength = rated;
    twin_hands(&mut b)?;
    b.finish("lower", on("harness"))
}

/// A hitch on rope one, a tether from it, and the second point of the harness.
fn second_point(b: &mut Builder<'_>) -> Made<()> {
    let slack = b.values.length("tether_slack")?;
    let rows = [
        ("tether_hitch", "tether’s hitch on rope one", PartKind::FrictionHitch, "rope_one"),
        ("tether", "tether", PartKind::Tether, "tether_hitch"),
        ("second_point", "second harness point", PartKind::HarnessPoint, "tether"),
    ];
    for (id, label, kind, holder) in rows {
        let strength = b.values.team_rating(id);
        let part = b.part(id, label, kind, Line::One, &[], on(holder));
        part.strength = strength;
        part.slack = (kind == PartKind::Tether).then_some(slack);
    }
    Ok(())
}

/// Litter and attendant, each on the ropes by something of its own.
pub fn litter_and_attendant(values: &Values) -> Made<Rig> {
    let mut b = Builder::new(values);
    let (x, _) = two_knot_top(&mut b)?;
    for (number, line) in [("1", Line::One), ("2", Line::Two)] {
        b.device(number, line, &format!("connector_{number}"))?;
    }
    twin_ropes(&mut b, x)?;
    let rings = Support::Any(vec![on("bridle_ring_1"), on("bridle_ring_2")]);
    let strength = values.team_rating("attendant_tether");
    let part = b.part("attendant_tether", "attendant’s tether", PartKind::Tether, Line::Shared, &[], rings);
    part.strength = strength;
    part.always_critical = true;
    if let Some(harness) = b.parts.iter_mut().find(|p| p.id == "harness") {
        harness.held_by = on("attendant_tether");
    }
    let whole = values.needed("load")?;
    let attendant = values.number("attendant").unwrap_or(0.45 * whole);
    if attendant >= whole {
        let what = format!("the attendant weighs {attendant} kg, the whole load {whole} kg");
        return Err(crate::error::RigError::new(
            "attendant",
            what,
            "set the load to all that hangs below the edge",
        ));
    }
    for (id, label, kilograms, holder) in [
        ("body_patient", "patient in the litter", whole - attendant, "patient_tie_in"),
        ("body_attendant", "attendant", attendant, "harness"),
    ] {
        let mass = Mass::kilograms(kilograms)
            .ok_or_else(|| crate::error::RigError::new("attendant", "not finite", "set a mass"))?;
        b.bodies.push(Body { id: id.into(), label: label.into(), mass, held_by: on(holder) });
    }
    twin_hands(&mut b)?;
    b.finish("lower", load_rule())
}
