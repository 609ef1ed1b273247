//! A main rope and an untensioned belay by tandem friction hitches on a load-release hitch.

use super::build::{Builder, Made, load_rule, on};
use super::lower::two_knot_top;
use super::raise::haul_system;
use super::values::Values;
use crate::model::{DeviceClass, DeviceState, HandTask, Line, PartKind, Rig, Sliding, Support};

/// The hitches on rope two from the connector of its focal knot: a load-release hitch, then two hitches on the rope.
fn tandem(b: &mut Builder<'_>, x: f64, top: f64) -> Made<Support> {
    b.point("at_release", (x, top - 0.5), [90.0, 62.0], false)?;
    let strength = b.values.team_rating("load_release_hitch");
    let at = ["at_release", "at_device_2"];
    let part = b.part(
        "load_release_hitch",
        "load-release hitch",
        PartKind::LoadReleaseHitch,
        Line::Two,
        &at,
        on("connector_2"),
    );
    part.strength = strength;
    let mut hitches = Vec::new();
    for (id, label, below, sheet) in
        [("belay_hitch_1", "belay hitch 1", 1.0, 84.0), ("belay_hitch_2", "belay hitch 2", 0.8, 74.0)]
    {
        let at = format!("at_{id}");
        b.point(&at, (x, top - 0.5 - below), [90.0, sheet], false)?;
        let device = b.grip(DeviceClass::FrictionHitch)?;
        let strength = b.values.team_rating("belay_hitch");
        let part = b.part(
            id,
            label,
            PartKind::FrictionHitch,
            Line::Two,
            &[&at, "at_release"],
            on("load_release_hitch"),
        );
        part.strength = strength;
        part.device = Some(device);
        hitches.push(on(id));
    }
    // How the two share is never known: the first is taken to bear all, the second what it loses.
    Ok(Support::Backup(hitches))
}

const HITCHES: [&str; 2] = ["belay_hitch_1", "belay_hitch_2"];

/// Main rope on a device, belay through tandem hitches.
pub fn lower(values: &Values) -> Made<Rig> {
    let mut b = Builder::new(values);
    let (x, top) = two_knot_top(&mut b)?;
    b.device("1", Line::One, "connector_1")?;
    let belay = tandem(&mut b, x, top)?;
    b.rope("1", -x, 60.0, &["at_device_1"], on("device_1"))?;
    b.rope("2", x, 90.0, &["at_belay_hitch_1", "at_belay_hitch_2"], belay)?;
    b.edge_lip();
    b.load(Support::Backup(vec![on("bridle_ring_1"), on("bridle_ring_2")]));
    b.hand("main_operator", HandTask::Operator, &["device_1"], Builder::operator_grip()?, 1);
    b.hand("belay_minder", HandTask::HitchMinder, &HITCHES, None, 1);
    states(
        &mut b,
        "lowering",
        Sliding::Lowering,
        ("device_1", DeviceState::Open),
        &["main_operator", "belay_minder"],
    );
    b.finish("lower", load_rule())
}

/// Main rope in a 3:1, belay through tandem hitches.
pub fn raise(values: &Values) -> Made<Rig> {
    let mut b = Builder::new(values);
    let (x, top) = two_knot_top(&mut b)?;
    // The haul system brings its own place and connector for rope one.
    b.parts.retain(|p| p.id != "connector_1");
    b.points.retain(|p| p.id != "at_device_1");
    haul_system(&mut b, -x, top)?;
    let belay = tandem(&mut b, x, top)?;
    let hauled = ["pulley_fixed", "pulley_moving", "haul_hitch", "haul_team"].map(on).to_vec();
    let main = Support::Backup(vec![Support::All(hauled), on("progress_capture")]);
    let path = ["at_hitch", "at_capture", "at_pulley_fixed", "at_pulley_moving", "at_haul_team"];
    b.rope("1", -x, 63.2, &path, main)?;
    b.rope("2", x, 90.0, &["at_belay_hitch_1", "at_belay_hitch_2"], belay)?;
    b.edge_lip();
    b.load(Support::Backup(vec![on("bridle_ring_1"), on("bridle_ring_2")]));
    let haulers = values.needed("haulers")?;
    b.hand("haul_team", HandTask::Haul, &["rope_one"], None, haulers as u32);
    b.hand("belay_minder", HandTask::HitchMinder, &HITCHES, None, 1);
    let captures = [("haul_hitch", DeviceState::Closed), ("progress_capture", DeviceState::Closed)];
    let feeding = HITCHES.map(|id| (id, DeviceState::Feeding));
    let closed = HITCHES.map(|id| (id, DeviceState::Closed));
    let tied =
        [captures, closed].concat().into_iter().map(|(id, _)| (id, DeviceState::TiedOff)).collect::<Vec<_>>();
    b.state("raising", Sliding::Raising, &[captures, feeding].concat(), &["haul_team", "belay_minder"]);
    b.state("held_on_capture", Sliding::Held, &[captures, closed].concat(), &["belay_minder"]);
    b.state("tied_off", Sliding::Held, &tied, &[]);
    b.finish("raise", load_rule())
}

/// Moving with the belay fed through, load test, tied off.
fn states(b: &mut Builder<'_>, name: &str, motion: Sliding, main: (&str, DeviceState), hands: &[&str]) {
    let with = |main: DeviceState, id: &'static str, belay: DeviceState| {
        let mut all = vec![(id, main)];
        all.extend(HITCHES.map(|hitch| (hitch, belay)));
        all
    };
    b.state(name, motion, &with(main.1, "device_1", DeviceState::Feeding), hands);
    b.state("load_test", Sliding::Held, &with(DeviceState::Closed, "device_1", DeviceState::Closed), hands);
    b.state("tied_off", Sliding::Held, &with(DeviceState::TiedOff, "device_1", DeviceState::TiedOff), &[]);
}
