//! Rigs that are built over while the load hangs on them: their states are the steps in order, the other rope tied off before
//! one is converted.

use super::build::{Builder, Made, load_rule, on};
use super::lower::two_knot_top;
use super::raise::haul_gear;
use super::values::Values;
use crate::model::{DeviceClass, DeviceState, HandTask, Joint, Line, PartKind, Rig, Sliding, Support};
use DeviceState::{Closed, Open, TiedOff};

/// A step: its id, which way the load goes, the devices it has that are not tied off, hands, what is not there.
struct Step {
    id: &'static str,
    motion: Sliding,
    devices: &'static [(&'static str, DeviceState)],
    hands: &'static [&'static str],
    without: &'static [&'static str],
}

const HAUL: &[&str] = &["pulley_fixed", "pulley_moving", "haul_hitch", "progress_capture", "connector_haul"];
const LOWERS: &[(&str, DeviceState)] = &[("device_1", Open), ("device_2", Open)];
const CAPTURE: &[(&str, DeviceState)] = &[("haul_hitch", Closed), ("progress_capture", Closed)];
const HAULS: &[(&str, DeviceState)] =
    &[("haul_hitch", Closed), ("progress_capture", Closed), ("device_2", Closed)];
const OPERATORS: &[&str] = &["rope_one_operator", "rope_two_operator"];
const DEVICE_1: &[&str] = &["device_1", "connector_1"];

const TO_RAISE: &[Step] = &[
    Step { id: "lowering", motion: Sliding::Lowering, devices: LOWERS, hands: OPERATORS, without: HAUL },
    Step { id: "both_tied_off", motion: Sliding::Held, devices: &[], hands: &[], without: HAUL },
    Step { id: "haul_system_rigged", motion: Sliding::Held, devices: CAPTURE, hands: &[], without: &[] },
    Step { id: "on_the_capture", motion: Sliding::Held, devices: CAPTURE, hands: &[], without: DEVICE_1 },
    Step {
        id: "raising",
        motion: Sliding::Raising,
        devices: HAULS,
        hands: &["haul_team", "rope_two_operator"],
        without: DEVICE_1,
    },
];

const TO_LOWER: &[Step] = &[
    Step {
        id: "raising",
        motion: Sliding::Raising,
        devices: HAULS,
        hands: &["haul_team", "rope_two_operator"],
        without: DEVICE_1,
    },
    Step { id: "on_the_capture", motion: Sliding::Held, devices: CAPTURE, hands: &[], without: DEVICE_1 },
    Step { id: "device_rigged", motion: Sliding::Held, devices: CAPTURE, hands: &[], without: &[] },
    Step { id: "both_tied_off", motion: Sliding::Held, devices: &[], hands: &[], without: HAUL },
    Step { id: "lowering", motion: Sliding::Lowering, devices: LOWERS, hands: OPERATORS, without: HAUL },
];

const PASS: &[&str] = &["pass_hitch", "load_release_hitch"];
/// The knot bears only once it has come between load and device.
const KNOT_BEHIND: &[&str] = &["pass_hitch", "load_release_hitch", "joining_knot"];
const ONLY_KNOT_BEHIND: &[&str] = &["joining_knot"];
const ON_THE_HITCH: &[&str] = &["device_1", "connector_1", "joining_knot"];
const ON_HITCH: &[(&str, DeviceState)] = &[("pass_hitch", Closed)];

const KNOT_PASS: &[Step] = &[
    Step {
        id: "lowering",
        motion: Sliding::Lowering,
        devices: LOWERS,
        hands: OPERATORS,
        without: KNOT_BEHIND,
    },
    Step {
        id: "knot_near_both_tied_off",
        motion: Sliding::Held,
        devices: &[],
        hands: &[],
        without: KNOT_BEHIND,
    },
    Step { id: "hitch_on", motion: Sliding::Held, devices: ON_HITCH, hands: &[], without: ONLY_KNOT_BEHIND },
    Step { id: "on_the_hitch", motion: Sliding::Held, devices: ON_HITCH, hands: &[], without: ON_THE_HITCH },
    Step { id: "device_past_the_knot", motion: Sliding::Held, devices: ON_HITCH, hands: &[], without: &[] },
    Step {
        id: "lowering_again",
        motion: Sliding::Lowering,
        devices: LOWERS,
        hands: OPERATORS,
        without: PASS,
    },
];

/// From lowering to raising.
pub fn to_raise(values: &Values) -> Made<Rig> {
    change_over(values, TO_RAISE)
}

/// From raising to lowering.
pub fn to_lower(values: &Values) -> Made<Rig> {
    change_over(values, TO_LOWER)
}

fn change_over(values: &Values, steps: &[Step]) -> Made<Rig> {
    let mut b = Builder::new(values);
    let (x, top) = two_knot_top(&mut b)?;
    for (number, line) in [("1", Line::One), ("2", Line::Two)] {
        b.device(number, line, &format!("connector_{number}"))?;
    }
    haul_gear(&mut b, -x, top, "connector_haul")?;
    beside_the_device(&mut b);
    let hauled = ["pulley_fixed", "pulley_moving", "haul_hitch", "haul_team"].map(on).to_vec();
    let main = Support::Backup(vec![on("device_1"), Support::All(hauled), on("progress_capture")]);
    let path =
        ["at_hitch", "at_capture", "at_device_1", "at_pulley_fixed", "at_pulley_moving", "at_haul_team"];
    b.rope("1", -x, 60.0, &path, main)?;
    b.rope("2", x, 90.0, &["at_device_2"], on("device_2"))?;
    finish(b, values.needed("haulers")? as u32, steps, "change-over")
}

/// On the drawing the pulleys stand left of the device and what grips the rope below it: all of them are there at once.
fn beside_the_device(b: &mut Builder<'_>) {
    for (id, draw) in [
        ("at_pulley_fixed", [50.5, 48.0]),
        ("at_capture", [60.0, 69.0]),
        ("at_hitch", [60.0, 85.0]),
        ("at_pulley_moving", [44.1, 75.0]),
        ("at_haul_team", [40.9, 57.0]),
    ] {
        if let Some(point) = b.points.iter_mut().find(|point| point.id == id) {
            point.draw = draw;
        }
    }
}

/// A joining knot of rope one past its device, the load on a hitch meanwhile.
pub fn knot_pass(values: &Values) -> Made<Rig> {
    let mut b = Builder::new(values);
    let (x, top) = two_knot_top(&mut b)?;
    for (number, line) in [("1", Line::One), ("2", Line::Two)] {
        b.device(number, line, &format!("connector_{number}"))?;
    }
    b.point("at_release", (-x, top - 0.5), [48.0, 62.0], false)?;
    b.point("at_pass_hitch", (-x, top - 1.5), [60.0, 76.0], false)?;
    // Between what grips the rope and the edge, where it bears.
    b.point("at_joining_knot", (-x, top - 1.0), [60.0, 89.0], false)?;
    let at = ["at_release", "at_focal_knot_1"];
    b.tie(
        "load_release_hitch",
        "load-release hitch",
        PartKind::LoadReleaseHitch,
        Line::One,
        at,
        "focal_knot_1",
    );
    let (device, strength) = (b.grip(DeviceClass::FrictionHitch)?, values.team_rating("pass_hitch"));
    let at = ["at_pass_hitch", "at_release"];
    let part = b.part(
        "pass_hitch",
        "hitch for the pass",
        PartKind::FrictionHitch,
        Line::One,
        &at,
        on("load_release_hitch"),
    );
    (part.device, part.strength) = (Some(device), strength);
    let main = Support::Backup(vec![on("device_1"), on("pass_hitch")]);
    b.rope("1", -x, 60.0, &["at_pass_hitch", "at_device_1"], main)?;
    b.rope("2", x, 90.0, &["at_device_2"], on("device_2"))?;
    let strength = values.team_rating("joining_knot");
    b.part(
        "joining_knot",
        "joining knot of rope one",
        PartKind::JoiningKnot,
        Line::One,
        &["at_joining_knot"],
        on("rope_one"),
    )
    .strength = strength;
    let joint = Joint { knot: "joining_knot".into(), at: values.length("knot_at")? };
    if let Some(rope) = b.ropes.iter_mut().find(|rope| rope.id == "rope_one") {
        rope.joints.push(joint);
    }
    finish(b, 0, KNOT_PASS, "knot pass")
}

fn finish(mut b: Builder<'_>, haulers: u32, steps: &[Step], name: &str) -> Made<Rig> {
    b.edge_lip();
    b.load(Support::Any(vec![on("bridle_ring_1"), on("bridle_ring_2")]));
    let grip = Builder::operator_grip()?;
    b.hand("rope_one_operator", HandTask::Operator, &["device_1"], grip.clone(), 1);
    b.hand("rope_two_operator", HandTask::Operator, &["device_2"], grip, 1);
    if haulers > 0 {
        b.hand("haul_team", HandTask::Haul, &["rope_one"], None, haulers);
    }
    let devices: Vec<String> = b.parts.iter().filter(|p| p.device.is_some()).map(|p| p.id.clone()).collect();
    for step in steps {
        let how = |id: &str| {
            step.devices.iter().find(|(device, _)| *device == id).map_or(TiedOff, |(_, state)| *state)
        };
        let all: Vec<(&str, DeviceState)> = devices.iter().map(|id| (id.as_str(), how(id))).collect();
        b.state(step.id, step.motion, &all, step.hands);
        if let Some(state) = b.states.last_mut() {
            state.without = step.without.iter().map(|id| (*id).to_string()).collect();
        }
    }
    b.finish(name, load_rule())
}
