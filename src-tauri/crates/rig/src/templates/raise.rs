//! The main rope in a 3:1 with progress capture, the second rope through a self-closing device.

use super::build::{Builder, Made, load_rule, on};
use super::lower::{heights, reach};
use super::values::Values;
use crate::model::{DeviceClass, DeviceState, HandTask, Line, PartKind, Rig, Sliding, Support};

/// The fixed pulley hangs where device 1 would; the haul hitch sits a throw below it.
pub fn raise(values: &Values) -> Made<Rig> {
    let mut b = Builder::new(values);
    let (near, far, x) = reach(values)?;
    let (device, knot, anchor) = heights(values, near, far)?;
    b.anchors(anchor)?;
    for (number, line, sheet, side) in [("1", Line::One, 60.0, -1.0), ("2", Line::Two, 90.0, 1.0)] {
        let id = format!("focal_knot_{number}");
        b.point(&format!("at_{id}"), (side * x, knot), [sheet, 33.0], false)?;
        let (own, other) = if number == "1" { ("west", "east") } else { ("east", "west") };
        b.knot(&id, &format!("focal knot {number}"), number, line, own, other)?;
    }
    haul_system(&mut b, -x, device)?;
    b.point("at_device_2", (x, device), [90.0, 55.0], false)?;
    b.connector("2", Line::Two, &["at_device_2", "at_focal_knot_2"], "focal_knot_2")?;
    b.device("2", Line::Two, "connector_2")?;

    let hauled = ["pulley_fixed", "pulley_moving", "haul_hitch", "haul_team"].map(on).to_vec();
    let main = Support::Backup(vec![Support::All(hauled), on("progress_capture")]);
    let path = ["at_hitch", "at_capture", "at_pulley_fixed", "at_pulley_moving", "at_haul_team"];
    b.rope("1", -x, 63.2, &path, main)?;
    b.rope("2", x, 90.0, &["at_device_2"], on("device_2"))?;
    b.edge_lip();
    b.load(Support::Backup(vec![on("bridle_ring_1"), on("bridle_ring_2")]));

    let haulers = values.needed("haulers")?;
    b.hand("haul_team", HandTask::Haul, &["rope_one"], None, haulers as u32);
    b.hand("rope_two_operator", HandTask::Operator, &["device_2"], Builder::operator_grip()?, 1);
    let closed = [
        ("device_2", DeviceState::Closed),
        ("haul_hitch", DeviceState::Closed),
        ("progress_capture", DeviceState::Closed),
    ];
    let tied = closed.map(|(id, _)| (id, DeviceState::TiedOff));
    b.state("raising", Sliding::Raising, &closed, &["haul_team", "rope_two_operator"]);
    b.state("held_on_capture", Sliding::Held, &closed, &["rope_two_operator"]);
    b.state("tied_off", Sliding::Held, &tied, &[]);
    b.finish("raise", load_rule())
}

/// Fixed pulley, progress capture, haul hitch with its pulley, and the team's stance.
pub fn haul_system(b: &mut Builder<'_>, x: f64, top: f64) -> Made<()> {
    haul_gear(b, x, top, "connector_1")
}

/// The same, on a connector of this id to focal knot 1.
pub fn haul_gear(b: &mut Builder<'_>, x: f64, top: f64, connector: &str) -> Made<()> {
    // A throw that would reach past the edge is shortened to what lies behind it.
    let behind = b.values.needed("edge_to_device")?;
    let throw = b.values.needed("throw")?.min(behind * 0.9);
    b.point("at_pulley_fixed", (x, top), [60.0, 48.0], false)?;
    b.point("at_capture", (x, top - throw * 0.15), [63.2, 60.0], false)?;
    b.point("at_hitch", (x, top - throw), [63.2, 84.0], false)?;
    b.point("at_pulley_moving", (x, top - throw * 0.9), [53.6, 74.0], false)?;
    b.point("at_haul_team", (x, top + 3.0), [50.4, 57.0], true)?;
    let number = connector.trim_start_matches("connector_");
    b.connector(number, Line::One, &["at_pulley_fixed", "at_focal_knot_1"], "focal_knot_1")?;
    let efficiency = b.values.band("pulley_efficiency")?;
    let rating = b.values.team_rating("pulley");
    for (id, label, holder) in
        [("pulley_fixed", "fixed pulley", connector), ("pulley_moving", "moving pulley", "haul_hitch")]
    {
        let part = b.part(id, label, PartKind::Pulley, Line::One, &[&format!("at_{id}")], on(holder));
        part.efficiency = Some(efficiency.clone());
        part.strength = rating.clone();
    }
    let hitch = b.grip(DeviceClass::FrictionHitch)?;
    let strength = b.values.team_rating("haul_hitch");
    // What the haul hitch hands to the rope comes from the pulleys; it stands on the rope itself.
    let part = b.part(
        "haul_hitch",
        "haul hitch",
        PartKind::HaulHitch,
        Line::One,
        &["at_hitch", "at_pulley_moving"],
        on(connector),
    );
    part.strength = strength;
    part.device = Some(hitch.clone());
    let strength = b.values.team_rating("progress_capture");
    let part = b.part(
        "progress_capture",
        "progress capture",
        PartKind::ProgressCapture,
        Line::One,
        &["at_capture", "at_pulley_fixed"],
        on(connector),
    );
    part.strength = strength;
    part.device = Some(hitch);
    Ok(())
}
