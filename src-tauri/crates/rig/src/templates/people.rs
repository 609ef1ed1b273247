//! Who works the devices, and who hangs on the ropes.

use super::build::{Builder, LOAD_AT, Made, load_rule, on};
use super::lower::{lowering_states, tailer, twin_hands, twin_ropes, two_knot_top};
use super::values::Values;
use crate::error::RigError;
use crate::model::{Body, DeviceClass, HandTask, Line, PartKind, Rig, Support};
use crate::quantity::Mass;

/// An attendant hangs so far below the rings, m: an assumption.
const BELOW_RINGS: f64 = 1.0;

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
        second_point(&mut b, -x, load)?;
        harness = Support::Backup(vec![on("point"), on("second_point")]);
    }
    let rated = values.team_rating("harness");
    b.part("harness", "rescuer’s harness", PartKind::Harness, Line::Shared, &[], harness).strength = rated;
    twin_hands(&mut b)?;
    b.finish("lower", on("harness"))
}

/// A hitch on rope one, a tether from it, and the second point of the harness.
fn second_point(b: &mut Builder<'_>, x: f64, load: f64) -> Made<()> {
    b.point("at_tether_hitch", (x, load + 1.5), [60.0, 138.0], false)?;
    b.point("at_second_point", (x, load - 0.2), [69.0, 184.5], false)?;
    let slack = b.values.length("tether_slack")?;
    let (hitch, second) = ("at_tether_hitch", "at_second_point");
    let rows = [
        ("tether_hitch", "tether’s hitch on rope one", PartKind::FrictionHitch, &[hitch][..], "rope_one"),
        ("tether", "tether", PartKind::Tether, &[second, hitch], "tether_hitch"),
        ("second_point", "second harness point", PartKind::HarnessPoint, &[second], "tether"),
    ];
    for (id, label, kind, at, holder) in rows {
        let strength = b.values.team_rating(id);
        let part = b.part(id, label, kind, Line::One, at, on(holder));
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
    attendants(&mut b, 0.45)?;
    twin_hands(&mut b)?;
    b.finish("lower", load_rule())
}

/// The attendants beside the litter, each in a harness on tethers to the bridle rings, and the bodies of the load;
/// `together` is what share of the load the attendants are taken to be where the team does not say.
pub fn attendants(b: &mut Builder<'_>, together: f64) -> Made<()> {
    let (whole, count) = (b.values.needed("load")?, b.values.number("attendants").unwrap_or(1.0));
    // A share is rounded to 0.1 kg, the rest to the patient: written out, the bodies still add up to the load.
    let share = libm::floor(together * whole / count * 10.0 + 1e-9) / 10.0;
    let each = b.values.number("attendant").unwrap_or(share);
    if each * count >= whole {
        let what = format!("{count} × {each} kg of attendants, and the whole load is {whole} kg");
        return Err(RigError::new("attendant", what, "set the load to all that hangs below the edge"));
    }
    let mass = |kilograms| {
        Mass::kilograms(kilograms).ok_or_else(|| RigError::new("attendant", "not finite", "set a mass"))
    };
    let patient = Body {
        id: "body_patient".into(),
        label: "patient in the litter".into(),
        mass: mass(whole - each * count)?,
        held_by: on("patient_tie_in"),
    };
    b.bodies.push(patient);
    b.parts.retain(|p| p.id != "harness");
    for number in 1..=count as u32 {
        let across = f64::from(number) - (count + 1.0) / 2.0;
        let (tail, who) = match (number, count as u32) {
            (_, 1) => (String::new(), "attendant".to_string()),
            (1, _) => (String::new(), "attendant 1".to_string()),
            _ => (format!("_{number}"), format!("attendant {number}")),
        };
        let (place, harness) = (format!("at_attendant{tail}"), format!("harness{tail}"));
        let height = b.values.needed("edge_height")? * LOAD_AT - BELOW_RINGS;
        // On the drawing one over the other between the rings, so that no tether crosses another.
        let up = 176.0 - f64::from(number) * (75.0 / count).min(15.0);
        b.point(&place, (across, height), [75.0, up], false)?;
        let held = tethers(b, &place, &tail, &who);
        let strength = b.values.team_rating("harness");
        let label = format!("{who}’s harness");
        b.part(&harness, &label, PartKind::Harness, Line::Shared, &[&place], held).strength = strength;
        let (id, held_by) = (format!("body_attendant{tail}"), on(&harness));
        b.bodies.push(Body { id, label: who, mass: mass(each)?, held_by });
    }
    Ok(())
}

/// Two tethers, one to each ring, or one that is clipped to both; answers what they hold together.
fn tethers(b: &mut Builder<'_>, place: &str, tail: &str, who: &str) -> Support {
    let strength = b.values.team_rating("attendant_tether");
    let one = b.values.choice("attendant_tethers") == "one";
    let mut tether = |id: &str, label: &str, line: Line, ring: &str, held: Support| {
        b.part(id, label, PartKind::Tether, line, &[place, ring], held).strength = strength.clone();
        on(id)
    };
    let rings = ["1", "2"].map(|number| on(&format!("bridle_ring_{number}")));
    if one {
        let id = format!("attendant_tether{tail}");
        return tether(
            &id,
            &format!("{who}’s tether"),
            Line::Shared,
            "at_ring_1",
            Support::Any(rings.into()),
        );
    }
    let mut held = Vec::new();
    for ((number, line), ring) in [("1", Line::One), ("2", Line::Two)].into_iter().zip(rings) {
        let (id, label) = (format!("attendant_tether{tail}_to_{number}"), format!("{who}’s tether {number}"));
        held.push(tether(&id, &label, line, &format!("at_ring_{number}"), ring));
    }
    // Both bear; one lost, the attendant swings onto the other.
    Support::Backup(vec![Support::All(held.clone()), Support::Any(held)])
}
