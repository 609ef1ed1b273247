//! Twin lowers: two loaded ropes, two self-closing devices side by side.

use super::build::{Builder, Made, depth_of_v, force_band, load_rule, on};
use super::values::Values;
use crate::error::RigError;
use crate::model::{DeviceState, HandTask, Line, Rig, Sliding, Support};

/// Length of a connector with what it joins, m.
pub const CONNECTOR: f64 = 0.15;

/// Heights of the device, the focal knots and the anchors for a V that reaches `a` and `b` across.
pub fn heights(values: &Values, a: f64, b: f64) -> Made<(f64, f64, f64)> {
    let device = values.needed("edge_height")? + values.needed("edge_to_device")?;
    let knot = device + CONNECTOR;
    Ok((device, knot, knot + depth_of_v(a, b, values.needed("v_angle")?)))
}

/// How far the legs of each of two focal knots reach: to the near anchor and to the far one.
pub fn reach(values: &Values) -> Made<(f64, f64, f64)> {
    let (anchors, knots) = (values.needed("anchor_spacing")?, values.needed("focal_knot_spacing")?);
    if knots >= anchors {
        return Err(RigError::new(
            "focal_knot_spacing",
            format!("the focal knots are {knots} m apart, the anchors only {anchors} m"),
            "set the focal knots closer together than the anchors",
        ));
    }
    Ok(((anchors - knots) / 2.0, (anchors + knots) / 2.0, knots / 2.0))
}

/// Two ropes from the load's two rings over the edge to two devices, the litter on both.
pub fn twin_ropes(b: &mut Builder<'_>, x: f64) -> Made<()> {
    for (number, sheet, side) in [("1", 60.0, -1.0), ("2", 90.0, 1.0)] {
        let device = format!("device_{number}");
        b.rope(number, side * x, sheet, &[&format!("at_{device}")], on(&device))?;
    }
    b.edge_lip();
    b.load(Support::Any(vec![on("bridle_ring_1"), on("bridle_ring_2")]));
    Ok(())
}

/// An operator at each device and a tailer behind both; lowering, load test, tied off.
pub fn twin_hands(b: &mut Builder<'_>) -> Made<()> {
    let grip = Builder::operator_grip()?;
    b.hand("rope_one_operator", HandTask::Operator, &["device_1"], grip.clone(), 1);
    b.hand("rope_two_operator", HandTask::Operator, &["device_2"], grip, 1);
    tailer(b)?;
    lowering_states(b, &["rope_one_operator", "rope_two_operator", "tailer"]);
    Ok(())
}

/// A tailer on both ropes.
pub fn tailer(b: &mut Builder<'_>) -> Made<()> {
    let tail = force_band(50.0, 80.0, 200.0, "grip of the tailer on each rope")?;
    b.hand("tailer", HandTask::Tailer, &["rope_one", "rope_two"], Some(tail), 1);
    Ok(())
}

/// Lowering, load test and tied off, by these hands.
pub fn lowering_states(b: &mut Builder<'_>, hands: &[&str]) {
    let all = |state| [("device_1", state), ("device_2", state)];
    b.state("lowering", Sliding::Lowering, &all(DeviceState::Open), hands);
    b.state("load_test", Sliding::Held, &all(DeviceState::Closed), hands);
    b.state("tied_off", Sliding::Held, &all(DeviceState::TiedOff), &[]);
}

fn rest(mut b: Builder<'_>, name: &str, x: f64) -> Made<Rig> {
    twin_ropes(&mut b, x)?;
    twin_hands(&mut b)?;
    b.finish(name, load_rule())
}

/// The V with a focal knot for each rope, up to the connectors: answers how far the ropes stand from the middle.
pub fn two_knot_top(b: &mut Builder<'_>) -> Made<(f64, f64)> {
    let (near, far, x) = reach(b.values)?;
    let (device, knot, anchor) = heights(b.values, near, far)?;
    b.anchors(anchor)?;
    for (number, line, sheet, side) in [("1", Line::One, 60.0, -1.0), ("2", Line::Two, 90.0, 1.0)] {
        let id = format!("focal_knot_{number}");
        b.point(&format!("at_{id}"), (side * x, knot), [sheet, 37.0], false)?;
        b.point(&format!("at_device_{number}"), (side * x, device), [sheet, 55.0], false)?;
        let (own, other) = if number == "1" { ("west", "east") } else { ("east", "west") };
        b.knot(&id, &format!("focal knot {number}"), number, line, own, other)?;
        let at = [format!("at_device_{number}"), format!("at_{id}")];
        b.connector(number, line, &[&at[0], &at[1]], &id)?;
    }
    Ok((x, device))
}

/// A focal knot for each rope.
pub fn two_knots(values: &Values) -> Made<Rig> {
    let mut b = Builder::new(values);
    let (near, far, x) = reach(values)?;
    let (device, knot, anchor) = heights(values, near, far)?;
    b.anchors(anchor)?;
    for (number, line, sheet, side) in [("1", Line::One, 60.0, -1.0), ("2", Line::Two, 90.0, 1.0)] {
        let id = format!("focal_knot_{number}");
        b.point(&format!("at_{id}"), (side * x, knot), [sheet, 37.0], false)?;
        b.point(&format!("at_device_{number}"), (side * x, device), [sheet, 55.0], false)?;
        let (own, other) = if number == "1" { ("west", "east") } else { ("east", "west") };
        b.knot(&id, &format!("focal knot {number}"), number, line, own, other)?;
        let at = [format!("at_device_{number}"), format!("at_{id}")];
        b.connector(number, line, &[&at[0], &at[1]], &id)?;
        b.device(number, line, &format!("connector_{number}"))?;
    }
    rest(b, "lower", x)
}

/// One focal knot for both ropes.
pub fn one_knot(values: &Values) -> Made<Rig> {
    let mut b = Builder::new(values);
    let half = values.needed("anchor_spacing")? / 2.0;
    let (device, knot, anchor) = heights(values, half, half)?;
    b.anchors(anchor)?;
    b.point("at_focal_knot", (0.0, knot), [75.0, 37.0], false)?;
    b.knot("focal_knot", "focal knot", "1", Line::Shared, "west", "east")?;
    for (number, line, sheet) in [("1", Line::One, 60.0), ("2", Line::Two, 90.0)] {
        let at = format!("at_device_{number}");
        b.point(&at, (0.0, device), [sheet, 55.0], false)?;
        b.connector(number, line, &[&at, "at_focal_knot"], "focal_knot")?;
        b.device(number, line, &format!("connector_{number}"))?;
    }
    rest(b, "lower", 0.0)
}
