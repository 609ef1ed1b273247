//! Hauling systems beside the 3:1: each with a progress capture on the main rope, and a second rope tended.

use super::build::{Builder, Made, load_rule, on};
use super::lower::two_knot_top;
use super::values::Values;
use crate::model::{DeviceClass, DeviceState, HandTask, Line, PartKind, Rig, Sliding, Support};

/// How a system is laid out.
struct System {
    name: &'static str,
    /// Points that rope one runs over past its capture; empty: a rope of its own hauls it.
    main: &'static [&'static str],
    /// Ropes of their own, each from the end that is made fast.
    own: &'static [&'static [&'static str]],
    /// Pulleys: id, label.
    pulleys: &'static [(&'static str, &'static str)],
    /// A second haul hitch on the hauled strand: with the pulley that sits on it.
    second: Option<&'static str>,
}

const FIXED: &str = "at_pulley_fixed";
const MOVING: &str = "at_pulley_moving";
const SECOND: &str = "at_pulley_second";
const HITCH_2: &str = "at_hitch_2";
const TEAM: &str = "at_haul_team";

const DOUBLES: &[(&str, &str)] =
    &[("pulley_fixed", "fixed double pulley"), ("pulley_moving", "moving double pulley")];
const MOVING_ONLY: &[(&str, &str)] = &[("pulley_moving", "moving pulley")];
const STACKED: &[(&str, &str)] = &[
    ("pulley_fixed", "fixed double pulley"),
    ("pulley_moving", "moving pulley"),
    ("pulley_second", "second moving pulley"),
];
const TWO_MOVING: &[(&str, &str)] =
    &[("pulley_moving", "moving pulley"), ("pulley_second", "second moving pulley")];
const THREE: &[(&str, &str)] = &[
    ("pulley_fixed", "fixed pulley"),
    ("pulley_moving", "moving pulley"),
    ("pulley_second", "second moving pulley"),
];

/// 2:1 by a rope of its own.
pub fn two(values: &Values) -> Made<Rig> {
    raise(
        values,
        &System {
            name: "raise 2:1",
            main: &[],
            own: &[&[FIXED, MOVING, TEAM]],
            pulleys: MOVING_ONLY,
            second: None,
        },
    )
}

/// Simple 4:1 by a rope of its own.
pub fn four(values: &Values) -> Made<Rig> {
    let own: &[&[&str]] = &[&[FIXED, MOVING, FIXED, MOVING, TEAM]];
    raise(values, &System { name: "raise 4:1", main: &[], own, pulleys: BOTH_DOUBLE_MOVING, second: None })
}

const BOTH_DOUBLE_MOVING: &[(&str, &str)] =
    &[("pulley_fixed", "fixed pulley"), ("pulley_moving", "moving double pulley")];

/// Simple 5:1 in the main rope.
pub fn five(values: &Values) -> Made<Rig> {
    let main: &[&str] = &[FIXED, MOVING, FIXED, MOVING, TEAM];
    raise(values, &System { name: "raise 5:1", main, own: &[], pulleys: DOUBLES, second: None })
}

/// Compound 4:1: a 2:1 that hauls a 2:1.
pub fn compound_four(values: &Values) -> Made<Rig> {
    let own: &[&[&str]] = &[&[FIXED, MOVING, HITCH_2], &[FIXED, SECOND, TEAM]];
    raise(
        values,
        &System { name: "raise 4:1 compound", main: &[], own, pulleys: TWO_MOVING, second: Some(SECOND) },
    )
}

/// Compound 6:1: a 2:1 that hauls the 3:1.
pub fn six(values: &Values) -> Made<Rig> {
    let own: &[&[&str]] = &[&[FIXED, SECOND, TEAM]];
    let main: &[&str] = &[FIXED, MOVING, HITCH_2];
    raise(values, &System { name: "raise 6:1", main, own, pulleys: THREE, second: Some(SECOND) })
}

/// Compound 9:1: a 3:1 that hauls the 3:1, in one rope.
pub fn nine(values: &Values) -> Made<Rig> {
    let main: &[&str] = &[FIXED, MOVING, HITCH_2, FIXED, SECOND, TEAM];
    raise(values, &System { name: "raise 9:1", main, own: &[], pulleys: STACKED, second: Some(SECOND) })
}

fn raise(values: &Values, system: &System) -> Made<Rig> {
    let mut b = Builder::new(values);
    let (x, top) = two_knot_top(&mut b)?;
    b.parts.retain(|p| p.id != "connector_1");
    b.points.retain(|p| p.id != "at_device_1");
    places(&mut b, -x, top, system)?;
    let gear = gear(&mut b, system)?;
    b.device("2", Line::Two, "connector_2")?;
    let hauled = Support::All(gear.iter().map(|id| on(id)).collect());
    let main = Support::Backup(vec![hauled, on("progress_capture")]);
    let path: Vec<&str> = ["at_hitch", "at_capture"].into_iter().chain(system.main.iter().copied()).collect();
    b.rope("1", -x, 63.2, &path, main)?;
    b.rope("2", x, 90.0, &["at_device_2"], on("device_2"))?;
    // The loaded ropes come first, also on drawings.
    b.ropes.sort_by_key(|rope| rope.id.starts_with("haul"));
    b.edge_lip();
    b.load(Support::Backup(vec![on("bridle_ring_1"), on("bridle_ring_2")]));
    hands(&mut b, system)?;
    b.finish(system.name, load_rule())
}

/// Fixed point, capture, hitches, moving pulleys and the team's stance in one line.
fn places(b: &mut Builder<'_>, x: f64, top: f64, system: &System) -> Made<()> {
    let behind = b.values.needed("edge_to_device")?;
    let throw = b.values.needed("throw")?.min(behind * 0.9);
    b.point(FIXED, (x, top), [60.0, 48.0], false)?;
    b.point("at_capture", (x, top - throw * 0.15), [63.2, 60.0], false)?;
    b.point("at_hitch", (x, top - throw), [63.2, 84.0], false)?;
    b.point(MOVING, (x, top - throw * 0.9), [53.6, 76.0], false)?;
    if system.second.is_some() {
        b.point(HITCH_2, (x, top - throw * 0.5), [47.0, 66.0], false)?;
        b.point(SECOND, (x, top - throw * 0.4), [40.0, 60.0], false)?;
    }
    b.point(TEAM, (x, top + 3.0), if system.second.is_some() { [36.0, 44.0] } else { [50.4, 57.0] }, true)?;
    b.connector("1", Line::One, &[FIXED, "at_focal_knot_1"], "focal_knot_1")
}

/// Pulleys, hitches, capture and ropes of their own; answers what the hauled rope rests on.
fn gear(b: &mut Builder<'_>, system: &System) -> Made<Vec<String>> {
    let efficiency = b.values.band("pulley_efficiency")?;
    let rating = b.values.team_rating("pulley");
    let mut rests = Vec::new();
    for (id, label) in system.pulleys {
        let holder = match *id {
            "pulley_fixed" => "connector_1",
            "pulley_moving" => "haul_hitch",
            _ => "haul_hitch_2",
        };
        let part = b.part(id, label, PartKind::Pulley, Line::One, &[&format!("at_{id}")], on(holder));
        part.efficiency = Some(efficiency.clone());
        part.strength = rating.clone();
        rests.push((*id).to_string());
    }
    let mut hitches = vec![("haul_hitch", "haul hitch", PartKind::HaulHitch, ["at_hitch", MOVING])];
    if let Some(second) = system.second {
        hitches.push(("haul_hitch_2", "second haul hitch", PartKind::HaulHitch, [HITCH_2, second]));
    }
    rests.extend(hitches.iter().map(|(id, ..)| (*id).to_string()));
    hitches.push(("progress_capture", "progress capture", PartKind::ProgressCapture, ["at_capture", FIXED]));
    for (id, label, kind, at) in hitches {
        let rated = if kind == PartKind::HaulHitch { "haul_hitch" } else { "progress_capture" };
        let (device, strength) = (b.grip(DeviceClass::FrictionHitch)?, b.values.team_rating(rated));
        let part = b.part(id, label, kind, Line::One, &at, on("connector_1"));
        part.strength = strength;
        part.device = Some(device);
    }
    for (n, path) in system.own.iter().enumerate() {
        let id = if n == 0 { "haul_rope".to_string() } else { format!("haul_rope_{}", n + 1) };
        let label = id.replace('_', " ");
        b.rope_part(&id, &label, Line::One, on("connector_1"))?;
        b.run(&id, &label, Line::One, path)?;
        rests.push(id);
    }
    rests.push("haul_team".into());
    Ok(rests)
}

fn hands(b: &mut Builder<'_>, system: &System) -> Made<()> {
    let haulers = b.values.needed("haulers")?;
    let hauls = match system.own.len() {
        0 => "rope_one",
        1 => "haul_rope",
        _ => "haul_rope_2",
    };
    b.hand("haul_team", HandTask::Haul, &[hauls], None, haulers as u32);
    b.hand("rope_two_operator", HandTask::Operator, &["device_2"], Builder::operator_grip()?, 1);
    let mut devices = vec!["device_2", "haul_hitch", "progress_capture"];
    if system.second.is_some() {
        devices.push("haul_hitch_2");
    }
    let all = |state| devices.iter().map(|id| (*id, state)).collect::<Vec<_>>();
    b.state("raising", Sliding::Raising, &all(DeviceState::Closed), &["haul_team", "rope_two_operator"]);
    b.state("held_on_capture", Sliding::Held, &all(DeviceState::Closed), &["rope_two_operator"]);
    b.state("tied_off", Sliding::Held, &all(DeviceState::TiedOff), &[]);
    Ok(())
}
