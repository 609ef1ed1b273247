//! Rope one turned on its way: by a pulley on an anchor of its own, and both over a frame at the edge.

use super::build::{Builder, LOAD_AT, Made, depth_of_v, load_rule, on};
use super::lower::{CONNECTOR, twin_hands, twin_ropes, two_knot_top};
use super::values::Values;
use crate::model::{Line, PartKind, Rig, Support};

/// Rope one from its device through a pulley aside, then over the edge.
pub fn redirect(values: &Values) -> Made<Rig> {
    let mut b = Builder::new(values);
    let (x, top) = two_knot_top(&mut b)?;
    for (number, line) in [("1", Line::One), ("2", Line::Two)] {
        b.device(number, line, &format!("connector_{number}"))?;
    }
    let (edge, aside) = (values.needed("edge_height")?, values.needed("redirect_offset")?);
    let middle = (edge + top) / 2.0;
    b.point("at_redirect", (-x - aside, middle), [46.0, 76.0], false)?;
    // The sling lies in line with what the two strands pull, so that it is as drawn.
    b.point("at_redirect_anchor", (-x - aside - 1.0, middle), [30.0, 76.0], true)?;
    let strength = values.team_rating("redirect_anchor");
    b.part(
        "redirect_anchor",
        "redirect’s anchor",
        PartKind::Anchor,
        Line::One,
        &["at_redirect_anchor"],
        Support::Ground,
    )
    .strength = strength;
    let at = ["at_redirect", "at_redirect_anchor"];
    b.tie("redirect_sling", "redirect’s sling", PartKind::Sling, Line::One, at, "redirect_anchor");
    pulley(&mut b, "redirect_pulley", "redirect’s pulley", Line::One, "at_redirect", "redirect_sling")?;
    twin_ropes(&mut b, x)?;
    if let Some(rope) = b.ropes.iter_mut().find(|rope| rope.id == "rope_one") {
        rope.path.insert(2, "at_redirect".into());
    }
    twin_hands(&mut b)?;
    b.finish("lower", load_rule())
}

fn pulley(b: &mut Builder<'_>, id: &str, label: &str, line: Line, at: &str, holder: &str) -> Made<()> {
    let (efficiency, strength) = (b.values.band("pulley_efficiency")?, b.values.team_rating("pulley"));
    let part = b.part(id, label, PartKind::Pulley, line, &[at], on(holder));
    part.efficiency = Some(efficiency);
    part.strength = strength;
    Ok(())
}

/// Both ropes over a frame at the edge, seen from the side: two legs, and a guy behind it.
pub fn frame(values: &Values) -> Made<Rig> {
    let mut b = Builder::new(values);
    let edge = values.needed("edge_height")?;
    let head = (values.needed("frame_reach")?, edge + values.needed("frame_height")?);
    let device = (-values.needed("edge_to_device")?, edge + 0.5);
    // Knots and V in line with the ropes between head and devices.
    let (dx, dy) = (device.0 - head.0, device.1 - head.1);
    let length = libm::hypot(dx, dy);
    let (ux, uy) = (dx / length, dy / length);
    let half = values.needed("anchor_spacing")? / 2.0;
    let knot = (device.0 + CONNECTOR * ux, device.1 + CONNECTOR * uy);
    let depth = depth_of_v(half, half, values.needed("v_angle")?);
    for (side, way, sheet) in [("west", 1.0, 44.0), ("east", -1.0, 106.0)] {
        let real = (knot.0 + depth * ux - way * half * uy, knot.1 + depth * uy + way * half * ux);
        b.anchor(&format!("anchor_{side}"), &format!("anchor {side}"), Line::Shared, real, sheet)?;
    }
    b.one_boulder(&["anchor_west", "anchor_east"]);
    stand(&mut b, edge, head)?;
    for (number, line, sheet) in [("1", Line::One, 60.0), ("2", Line::Two, 90.0)] {
        let id = format!("focal_knot_{number}");
        b.point(&format!("at_{id}"), knot, [sheet, 33.0], false)?;
        let at = format!("at_device_{number}");
        b.point(&at, device, [sheet, 48.0], false)?;
        b.knot(&id, &format!("focal knot {number}"), number, line, "west", "east")?;
        b.connector(number, line, &[&at, &format!("at_{id}")], &id)?;
        b.device(number, line, &format!("connector_{number}"))?;
        let name = format!("pulley_{number}");
        pulley(&mut b, &name, &format!("pulley {number} at the head"), line, "at_head", "high_directional")?;
        let (ring, inward) = (format!("at_ring_{number}"), if number == "1" { 9.0 } else { -9.0 });
        b.point(&ring, (head.0, edge * LOAD_AT), [sheet + inward, 180.0], false)?;
        b.rope_along(number, &ring, &[&ring, "at_head", &at], on(&format!("device_{number}")))?;
        let strength = values.team_rating("bridle_ring");
        let (id, label) = (format!("bridle_ring_{number}"), format!("bridle ring {number}"));
        let end = on(&format!("end_knot_{number}"));
        b.part(&id, &label, PartKind::BridleRing, line, &[&ring], end).strength = strength;
    }
    b.load(Support::Any(vec![on("bridle_ring_1"), on("bridle_ring_2")]));
    twin_hands(&mut b)?;
    b.finish("lower", load_rule())
}

/// Head, legs and guy of the frame.
fn stand(b: &mut Builder<'_>, edge: f64, head: (f64, f64)) -> Made<()> {
    let (stance, guy) = (b.values.needed("frame_stance")?, b.values.needed("guy_length")?);
    b.point("at_head", head, [75.0, 66.0], false)?;
    // On the drawing the ropes hang between the legs, and the guy leaves clear of the tails.
    b.point("at_foot_front", (0.0, edge), [59.0, 95.0], true)?;
    b.point("at_foot_back", (-stance, edge), [91.0, 95.0], true)?;
    b.point("at_guy", (-stance - guy, edge), [112.0, 88.0], true)?;
    let leg = b.values.team_rating("frame_leg");
    for (id, label, foot) in
        [("leg_front", "front leg", "at_foot_front"), ("leg_back", "back leg", "at_foot_back")]
    {
        b.part(id, label, PartKind::Strut, Line::Shared, &["at_head", foot], Support::Ground).strength =
            leg.clone();
    }
    let strength = b.values.team_rating("guy");
    b.part(
        "guy",
        "guy with its anchor",
        PartKind::Guy,
        Line::Shared,
        &["at_head", "at_guy"],
        Support::Ground,
    )
    .strength = strength;
    let strength = b.values.team_rating("frame");
    let rests = Support::All(vec![on("leg_front"), on("leg_back"), on("guy")]);
    b.part(
        "high_directional",
        "head of the high directional",
        PartKind::HighDirectional,
        Line::Shared,
        &["at_head"],
        rests,
    )
    .strength = strength;
    Ok(())
}
