//! A litter with attendants on a low-angle slope, on two ropes.

use super::build::{Builder, LOAD_AT, Made, load_rule, on};
use super::lower::{twin_hands, two_knot_top};
use super::people::attendants;
use super::values::Values;
use crate::model::{Line, PartKind, Rig, Support};

/// Both ropes run along the slope: no edge.
pub fn lower(values: &Values) -> Made<Rig> {
    let mut b = Builder::new(values);
    let (x, _) = two_knot_top(&mut b)?;
    let load = values.needed("edge_height")? * LOAD_AT;
    for (number, line, sheet, side) in [("1", Line::One, 60.0, -1.0), ("2", Line::Two, 90.0, 1.0)] {
        b.device(number, line, &format!("connector_{number}"))?;
        let (ring, inward) = (format!("at_ring_{number}"), if number == "1" { 3.0 } else { -3.0 });
        b.point(&ring, (side * x, load), [sheet + inward, 180.0], false)?;
        let device = format!("device_{number}");
        b.rope_along(number, &ring, &[&ring, &format!("at_{device}")], on(&device))?;
        let strength = values.team_rating("bridle_ring");
        let (id, label) = (format!("bridle_ring_{number}"), format!("bridle ring {number}"));
        let end = on(&format!("end_knot_{number}"));
        b.part(&id, &label, PartKind::BridleRing, line, &[&ring], end).strength = strength;
    }
    b.load(Support::Any(vec![on("bridle_ring_1"), on("bridle_ring_2")]));
    attendants(&mut b, 0.7)?;
    twin_hands(&mut b)?;
    b.finish("lower", load_rule())
}
