//! Twin lowers: two loaded ropes, two self-closing devices side by side.

use super::build::{Builder, Made, depth_of_v, force_band, load_rule, on};
use super::values::Values;
use crate::error::RigError;
use crate::model::{DeviceState, HandTask, Line, Rig, Sliding, Support};

/// Length of a connector with what it joins, m.
const CONNECTOR: f64 = 0.15;

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

fn rest(mut b: Builder<'_>, name: &str, x: f64) -> Made<Rig> {
    for (number, sheet, side) in [("1", 60.0, -1.0), ("2", 90.0, 1.0)] {
        let device = format!("device_{number}");
        b.rope(number, side * x, sheet, &[&format!("at_{device}")], on(&device))?;
    }
    b.edge_lip();
    b.load(Support::Any(vec![on("bridle_ring_1"), on("bridle_ring_2")]));
    let grip = Builder::operator_grip()?;
    b.hand("rope_one_operator", HandTask::Operator, &["device_1"], grip.clone(), 1);
    b.hand("rope_two_operator", HandTask::Operator, &["device_2"], grip, 1);
    let tail = force_band(50.0, 80.0, 200.0, "grip of the tailer on each rope")?;
    b.hand("tailer", HandTask::Tailer, &["rope_one", "rope_two"], Some(tail), 1);
    let all = |state| [("device_1", state), ("device_2", state)];
    let operators = ["rope_one_operator", "rope_two_operator", "tailer"];
    b.state("lowering", Sliding::Lowering, &all(DeviceState::Open), &operators);
    b.state("load_test", Sliding::Held, &all(DeviceState::Closed), &operators);
    b.state("tied_off", Sliding::Held, &all(DeviceState::TiedOff), &[]);
    b.finish(name, load_rule())
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
