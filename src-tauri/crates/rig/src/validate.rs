//! What a rig must be before anything is computed of it.

mod more;

use crate::error::RigError;
use crate::model::{Band, Cited, ForceBand, Part, PartKind, Rig, Rope, Support};
use std::collections::{BTreeMap, BTreeSet};

/// Most parts, points, hands and groups together.
const MOST_IDS: usize = 2_000;
/// Deepest support rule.
const DEEPEST: usize = 32;

type Checked = Result<(), RigError>;

/// Checks everything a file's shape alone does not say.
///
/// # Errors
/// The first fault found: doubled or dangling ids, lengths, masses and forces that cannot be,
/// ranges out of order, states that leave a device out.
pub fn validate(rig: &Rig) -> Checked {
    let ids = ids(rig)?;
    load(rig)?;
    for (i, point) in rig.points.iter().enumerate() {
        if !point.draw.iter().all(|v| v.is_finite() && v.abs() < 10_000.0) {
            return Err(fault(format!("points[{i}].draw"), "a place off any sheet", "give mm on the sheet"));
        }
    }
    for (i, part) in rig.parts.iter().enumerate() {
        check_part(rig, &ids, part, &format!("parts[{i}] ({})", part.id))?;
    }
    for (i, rope) in rig.ropes.iter().enumerate() {
        check_rope(rig, rope, &format!("ropes[{i}] ({})", rope.id))?;
    }
    hands_and_groups(rig, &ids)?;
    states(rig)
}

fn fault(place: impl Into<String>, what: impl Into<String>, remedy: impl Into<String>) -> RigError {
    RigError::new(place, what, remedy)
}

/// What an id names.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Named {
    Point,
    Part,
    Rope,
    Hand,
    Group,
    Body,
}

/// All ids; a rope and the part that bears its strength share one.
fn ids(rig: &Rig) -> Result<BTreeMap<&str, Named>, RigError> {
    let mut all: BTreeMap<&str, Named> = BTreeMap::new();
    let lists = [
        ("points", Named::Point, rig.points.iter().map(|p| p.id.as_str()).collect::<Vec<_>>()),
        ("parts", Named::Part, rig.parts.iter().map(|p| p.id.as_str()).collect()),
        ("ropes", Named::Rope, rig.ropes.iter().map(|r| r.id.as_str()).collect()),
        ("hands", Named::Hand, rig.hands.iter().map(|h| h.id.as_str()).collect()),
        ("groups", Named::Group, rig.groups.iter().map(|g| g.id.as_str()).collect()),
        ("load.bodies", Named::Body, rig.load.bodies.iter().map(|b| b.id.as_str()).collect()),
    ];
    for (list, named, members) in lists {
        for (i, id) in members.into_iter().enumerate() {
            let place = format!("{list}[{i}].id");
            if id.trim().is_empty() || id.len() > 100 || id.chars().any(char::is_control) {
                return Err(fault(place, format!("“{id}” is no id"), "give it a short name of its own"));
            }
            match all.insert(id, named) {
                None => {}
                Some(Named::Part) if named == Named::Rope => {}
                Some(_) => {
                    return Err(fault(
                        place,
                        format!("the id “{id}” stands twice"),
                        "ids are one namespace: rename one of the two",
                    ));
                }
            }
        }
    }
    if all.len() > MOST_IDS {
        let what = format!("{} ids, at most {MOST_IDS} are taken", all.len());
        return Err(fault("parts", what, "split the rig"));
    }
    Ok(all)
}

fn load(rig: &Rig) -> Checked {
    if rig.load.mass.to_kilograms() <= 0.0 {
        let what = format!("the load is {}", rig.load.mass);
        return Err(fault("load.mass", what, "give a mass over 0, like 250kg"));
    }
    if rig.load.points.is_empty() || rig.ropes.is_empty() {
        return Err(fault(
            "load.points",
            "the load hangs on nothing",
            "name the points that the ropes end at",
        ));
    }
    for (i, id) in rig.load.points.iter().enumerate() {
        point_exists(rig, id, &format!("load.points[{i}]"))?;
    }
    band(&rig.load.share_one, 0.0, 1.0, "load.share_one")?;
    support(rig, &rig.load.held_by, "load.held_by", 0)?;
    more::load(rig)?;
    if rig.edge.height.to_metres() < 0.0 {
        let what = format!("the height is {}", rig.edge.height);
        return Err(fault("edge.height", what, "give a length of 0 or more, like 22m"));
    }
    let turn = rig.edge.turn.to_degrees();
    if !(0.0..=180.0).contains(&turn) {
        return Err(fault(
            "edge.turn",
            format!("the rope turns {turn}°"),
            "give an angle from 0deg to 180deg",
        ));
    }
    band(&rig.edge.friction, 1.0, 1e6, "edge.friction")
}

fn point_exists(rig: &Rig, id: &str, place: &str) -> Checked {
    if rig.point(id).is_some() {
        return Ok(());
    }
    Err(fault(place, format!("there is no point “{id}”"), "name a point that stands under \"points\""))
}

fn cited(cited: &Cited, place: &str) -> Checked {
    if cited.words.trim().is_empty() {
        return Err(fault(
            format!("{place}.cited.words"),
            "a number without its source",
            "say where it comes from",
        ));
    }
    Ok(())
}

fn band(band: &Band, least: f64, most: f64, place: &str) -> Checked {
    let (low, nominal, high) = (band.low.value(), band.nominal.value(), band.high.value());
    if !(least..=most).contains(&low) || !(least..=most).contains(&high) {
        let what = format!("{low} to {high} is outside {least} to {most}");
        return Err(fault(place, what, format!("give values from {least} to {most}")));
    }
    if low > nominal || nominal > high {
        let what = format!("low {low}, nominal {nominal}, high {high} are not in order");
        return Err(fault(place, what, "give low ≤ nominal ≤ high"));
    }
    cited(&band.cited, place)
}

fn forces(band: &ForceBand, place: &str) -> Checked {
    let (low, nominal, high) = (band.low.to_newtons(), band.nominal.to_newtons(), band.high.to_newtons());
    if low < 0.0 || high <= 0.0 || low > nominal || nominal > high {
        let what = format!("low {low} N, nominal {nominal} N, high {high} N cannot be");
        return Err(fault(place, what, "give forces of 0 or more, low ≤ nominal ≤ high"));
    }
    cited(&band.cited, place)
}

fn check_part(rig: &Rig, ids: &BTreeMap<&str, Named>, part: &Part, place: &str) -> Checked {
    if part.at.len() > 2 && part.kind != PartKind::EdgeLip {
        let what = format!("it stands at {} points", part.at.len());
        return Err(fault(format!("{place}.at"), what, "give one point, or two with the load end first"));
    }
    for (i, id) in part.at.iter().enumerate() {
        point_exists(rig, id, &format!("{place}.at[{i}]"))?;
    }
    if part.at.len() == 2 && part.at[0] == part.at[1] {
        return Err(fault(format!("{place}.at"), "both ends are one point", "give two different points"));
    }
    if let Some(strength) = &part.strength {
        let place = format!("{place}.strength");
        if strength.rating.to_newtons() <= 0.0 {
            return Err(fault(
                format!("{place}.rating"),
                format!("a rating of {}", strength.rating),
                "give a force over 0, or leave the strength out: it then reads “not checked”",
            ));
        }
        cited(&strength.cited, &place)?;
        for (i, factor) in strength.factors.iter().enumerate() {
            band(&factor.ratio, 1e-6, 1.0, &format!("{place}.factors[{i}].ratio"))?;
        }
        more::by_loading(part, strength, &place)?;
    }
    if let Some(device) = &part.device {
        forces(&device.closed, &format!("{place}.device.closed"))?;
        if let Some(gain) = &device.gain {
            band(gain, 0.0, 1e4, &format!("{place}.device.gain"))?;
        }
        if let Some(residual) = &device.residual {
            forces(residual, &format!("{place}.device.residual"))?;
        }
        more::takes(device.takes, &format!("{place}.device.takes"))?;
        more::rated_load(device.rated_load, &format!("{place}.device.rated_load"))?;
    }
    if let Some(efficiency) = &part.efficiency {
        band(efficiency, 0.01, 1.0, &format!("{place}.efficiency"))?;
    }
    more::part(part, place)?;
    if part.kind == PartKind::Rope && rig.rope(&part.id).is_none() {
        let what = format!("“{}” is a rope without its path", part.id);
        return Err(fault(place, what, "add it under \"ropes\" with the same id"));
    }
    debug_assert!(ids.contains_key(part.id.as_str()));
    support(rig, &part.held_by, &format!("{place}.held_by"), 0)
}

fn check_rope(rig: &Rig, rope: &Rope, place: &str) -> Checked {
    for (name, length) in [("length", rope.length), ("diameter", rope.diameter)] {
        if length.to_metres() <= 0.0 {
            return Err(fault(
                format!("{place}.{name}"),
                format!("the {name} is {length}"),
                "give a length over 0",
            ));
        }
    }
    if rope.knots.to_metres() < 0.0 {
        let what = format!("knots take {}", rope.knots);
        return Err(fault(format!("{place}.knots"), what, "give a length of 0 or more"));
    }
    forces(&rope.stiffness, &format!("{place}.stiffness"))?;
    more::joints(rig, rope, place)?;
    if rope.path.len() < 2 {
        return Err(fault(
            format!("{place}.path"),
            "a rope needs two points",
            "name its points, load end first",
        ));
    }
    for (i, id) in rope.path.iter().enumerate() {
        point_exists(rig, id, &format!("{place}.path[{i}]"))?;
        if i > 0 && rope.path[i - 1] == *id {
            let what = format!("“{id}” stands twice in a row");
            return Err(fault(format!("{place}.path[{i}]"), what, "name it once"));
        }
    }
    match rig.part(&rope.id) {
        Some(part) if part.kind == PartKind::Rope => Ok(()),
        _ => Err(fault(
            place,
            format!("no part of kind rope has the id “{}”", rope.id),
            "add it under \"parts\": its strength and support stand there",
        )),
    }
}

fn support(rig: &Rig, rule: &Support, place: &str, depth: usize) -> Checked {
    if depth > DEEPEST {
        return Err(fault(
            place,
            format!("a rule deeper than {DEEPEST}"),
            "name parts instead of nesting rules",
        ));
    }
    match rule {
        Support::Ground => Ok(()),
        Support::Part(id) => {
            if rig.part(id).is_some() || rig.hand(id).is_some() {
                return Ok(());
            }
            let what = format!("there is no part or hand “{id}”");
            Err(fault(place, what, "name what holds it by its id"))
        }
        Support::All(rules) | Support::Any(rules) | Support::Backup(rules) => {
            if rules.is_empty() {
                return Err(fault(place, "an empty rule", "name at least one part"));
            }
            for (i, rule) in rules.iter().enumerate() {
                support(rig, rule, &format!("{place}[{i}]"), depth + 1)?;
            }
            Ok(())
        }
    }
}

fn hands_and_groups(rig: &Rig, ids: &BTreeMap<&str, Named>) -> Checked {
    for (i, hand) in rig.hands.iter().enumerate() {
        let place = format!("hands[{i}] ({})", hand.id);
        if hand.role.trim().is_empty() {
            return Err(fault(format!("{place}.role"), "a hand without a role", "name its role"));
        }
        if !(1..=100).contains(&hand.people) {
            let what = format!("{} people", hand.people);
            return Err(fault(format!("{place}.people"), what, "give 1 to 100"));
        }
        for (j, id) in hand.works.iter().enumerate() {
            if !matches!(ids.get(id.as_str()), Some(Named::Part | Named::Rope)) {
                let what = format!("there is no part or rope “{id}”");
                return Err(fault(format!("{place}.works[{j}]"), what, "name what it works"));
            }
        }
        if let Some(grip) = &hand.grip {
            forces(grip, &format!("{place}.grip"))?;
        }
    }
    for (i, group) in rig.groups.iter().enumerate() {
        let place = format!("groups[{i}] ({}).members", group.id);
        if group.members.is_empty() {
            return Err(fault(place, "a common cause of nothing", "name what is lost together"));
        }
        for id in &group.members {
            if !matches!(ids.get(id.as_str()), Some(Named::Part | Named::Rope | Named::Hand)) {
                return Err(fault(
                    place,
                    format!("there is no part or hand “{id}”"),
                    "name what is lost together",
                ));
            }
        }
    }
    Ok(())
}

fn states(rig: &Rig) -> Checked {
    if rig.states.is_empty() {
        return Err(fault("states", "the rig has no state", "add one, like lowering"));
    }
    let mut seen = BTreeSet::new();
    for (i, state) in rig.states.iter().enumerate() {
        let place = format!("states[{i}] ({})", state.id);
        if state.id.trim().is_empty() || !seen.insert(state.id.as_str()) {
            let what = format!("the state “{}” stands twice, or has no name", state.id);
            return Err(fault(place, what, "give each state a name of its own"));
        }
        for part in rig.parts.iter().filter(|p| p.device.is_some()) {
            if !state.devices.contains_key(&part.id) {
                return Err(fault(
                    format!("{place}.devices"),
                    format!("it does not say how “{}” is", part.id),
                    "add it: tied_off, closed, open or feeding",
                ));
            }
        }
        for id in state.devices.keys() {
            if rig.part(id).is_none_or(|p| p.device.is_none()) {
                let what = format!("“{id}” is no device");
                return Err(fault(format!("{place}.devices"), what, "name a part that has a device"));
            }
        }
        more::without(rig, state, &place)?;
        for id in &state.hands {
            if rig.hand(id).is_none() {
                let what = format!("there is no hand “{id}”");
                return Err(fault(format!("{place}.hands"), what, "name one that stands under \"hands\""));
            }
        }
    }
    Ok(())
}
