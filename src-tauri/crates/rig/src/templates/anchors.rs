//! Twin lowers on other anchors: two independent Vs, three legs, a rigging plate.

use super::build::{Builder, Made, assumed, depth_of_v, load_rule, on};
use super::lower::{CONNECTOR, heights, twin_hands, twin_ropes};
use super::values::Values;
use crate::model::{Line, PartKind, Rig, Support};

/// A V on two anchors of its own for each rope.
pub fn two_vs(values: &Values) -> Made<Rig> {
    let mut b = Builder::new(values);
    let (half, apart) = (values.needed("anchor_spacing")? / 2.0, values.needed("v_spacing")? / 2.0);
    let (device, knot, anchor) = heights(values, half, half)?;
    for (number, line, side, sheets) in
        [("1", Line::One, -1.0, [34.0, 64.0]), ("2", Line::Two, 1.0, [86.0, 116.0])]
    {
        let middle = side * apart;
        let tail = if number == "1" { "" } else { "_2" };
        for (way, across, sheet) in [("west", -half, sheets[0]), ("east", half, sheets[1])] {
            let (id, name) =
                (format!("anchor_{way}{tail}"), format!("anchor {way} of rope {}", word(number)));
            b.anchor(&id, &name, line, (middle + across, anchor), sheet)?;
        }
        let (id, sheet) = (format!("focal_knot_{number}"), if number == "1" { 60.0 } else { 90.0 });
        b.point(&format!("at_{id}"), (middle, knot), [sheet, 37.0], false)?;
        b.point(&format!("at_device_{number}"), (middle, device), [sheet, 55.0], false)?;
        let sides = [format!("west{tail}"), format!("east{tail}")];
        b.knot(&id, &format!("focal knot {number}"), number, line, &sides[0], &sides[1])?;
        let at = [format!("at_device_{number}"), format!("at_{id}")];
        b.connector(number, line, &[&at[0], &at[1]], &id)?;
        b.device(number, line, &format!("connector_{number}"))?;
    }
    b.one_boulder(&["anchor_west", "anchor_east", "anchor_west_2", "anchor_east_2"]);
    twin_ropes(&mut b, apart)?;
    twin_hands(&mut b)?;
    b.finish("lower", load_rule())
}

fn word(number: &str) -> &'static str {
    if number == "1" { "one" } else { "two" }
}

/// Both ropes from one plate on three legs of fixed length.
pub fn three_legs(values: &Values) -> Made<Rig> {
    let mut b = Builder::new(values);
    let half = values.needed("anchor_spacing")? / 2.0;
    let (device, plate, anchor) = heights(values, half, half)?;
    b.anchors(anchor)?;
    middle(&mut b, anchor)?;
    plate_top(&mut b, plate, &THREE, "")?;
    under(&mut b, device, "at_plate", on("plate"))?;
    twin_ropes(&mut b, 0.0)?;
    twin_hands(&mut b)?;
    b.finish("lower", load_rule())
}

const THREE: [(&str, &str); 3] = [("a", "west"), ("b", "middle"), ("c", "east")];

/// A third anchor between the two; on their boulder, where they share one.
fn middle(b: &mut Builder<'_>, y: f64) -> Made<()> {
    b.anchor("anchor_middle", "middle anchor", Line::Shared, (0.0, y), 75.0)?;
    if !b.groups.is_empty() {
        b.groups.clear();
        b.one_boulder(&["anchor_west", "anchor_middle", "anchor_east"]);
    }
    Ok(())
}

/// Both ropes from one ring that runs on one cord over three anchors.
pub fn adjusting(values: &Values) -> Made<Rig> {
    let mut b = Builder::new(values);
    let half = values.needed("anchor_spacing")? / 2.0;
    let (device, ring, anchor) = heights(values, half, half)?;
    b.anchors(anchor)?;
    middle(&mut b, anchor)?;
    b.point("at_ring", (0.0, ring), [75.0, 37.0], false)?;
    let legs = b.legs("at_ring", "", Line::Shared, &THREE)?;
    // An anchor lost, the ring runs on its cord until the others bear.
    let mut held = Support::Backup(vec![Support::All(legs.clone()), Support::Any(legs.clone())]);
    if values.choice("limiting_knots") != "yes" {
        let strength = values.team_rating("cord");
        let (label, line) = ("the cord, cut anywhere", Line::Shared);
        b.part("cord", label, PartKind::CordLeg, line, &["at_ring"], Support::Any(legs)).strength = strength;
        held = Support::All(vec![on("cord"), held]);
    }
    let strength = values.team_rating("ring");
    b.part("ring", "ring on the cord", PartKind::Ring, Line::Shared, &["at_ring"], held).strength = strength;
    under(&mut b, device, "at_ring", on("ring"))?;
    twin_ropes(&mut b, 0.0)?;
    twin_hands(&mut b)?;
    b.assume(
        "how the legs of a cord that runs through a ring share",
        "as legs tied up to 1 % unequal: friction in the ring keeps them from sharing equally".into(),
        assumed("model"),
    );
    b.finish("lower", load_rule())
}

/// Both ropes from one rigging plate on a V.
pub fn plate(values: &Values) -> Made<Rig> {
    on_plate(values, false)
}

/// The same, with a cord from an anchor past the plate.
pub fn plate_with_backup(values: &Values) -> Made<Rig> {
    on_plate(values, true)
}

fn on_plate(values: &Values, backup: bool) -> Made<Rig> {
    let mut b = Builder::new(values);
    let half = values.needed("anchor_spacing")? / 2.0;
    let device = values.needed("edge_height")? + values.needed("edge_to_device")?;
    let plate = device + CONNECTOR;
    let anchor = plate + depth_of_v(half, half, values.needed("v_angle")?);
    b.anchors(anchor)?;
    plate_top(&mut b, plate, &[("a", "west"), ("b", "east")], "")?;
    let mut held = on("plate");
    if backup {
        middle(&mut b, anchor)?;
        let at = ["at_plate", "at_middle"];
        let slack = values.length("backup_slack")?;
        b.tie("backup_cord", "backup cord", PartKind::BackupCord, Line::Shared, at, "anchor_middle").slack =
            Some(slack);
        held = Support::Backup(vec![held, on("backup_cord")]);
    }
    under(&mut b, device, "at_plate", held)?;
    twin_ropes(&mut b, 0.0)?;
    twin_hands(&mut b)?;
    b.finish("lower", load_rule())
}

/// A plate with legs to these anchors.
fn plate_top(b: &mut Builder<'_>, y: f64, to: &[(&str, &str)], number: &str) -> Made<()> {
    b.point("at_plate", (0.0, y), [75.0, 37.0], false)?;
    let legs = b.legs("at_plate", number, Line::Shared, to)?;
    let strength = b.values.team_rating("plate");
    b.part("plate", "rigging plate", PartKind::Plate, Line::Shared, &["at_plate"], Support::Any(legs))
        .strength = strength;
    Ok(())
}

/// Two devices on connectors under a plate or ring.
fn under(b: &mut Builder<'_>, device: f64, top: &str, held: Support) -> Made<()> {
    for (number, line, sheet) in [("1", Line::One, 60.0), ("2", Line::Two, 90.0)] {
        let at = format!("at_device_{number}");
        b.point(&at, (0.0, device), [sheet, 55.0], false)?;
        b.connector(number, line, &[&at, top], "plate")?;
        if let Some(connector) = b.parts.last_mut() {
            connector.held_by = held.clone();
        }
        b.device(number, line, &format!("connector_{number}"))?;
    }
    Ok(())
}
