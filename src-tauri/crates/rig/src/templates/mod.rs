//! Templates: whole rigs made from a few lengths, angles and ratings.

mod anchors;
mod belay;
mod build;
mod directional;
mod finish;
mod haul;
mod lower;
mod parameters;
mod people;
mod raise;
mod slope;
mod steps;
mod values;

pub use parameters::{Parameter, Unit};

use crate::error::RigError;
use crate::model::{ROPE_LENGTH, Rig};
use crate::validate::validate;
use std::collections::BTreeMap;
use values::Values;

/// A template and what can be set in it.
#[derive(Clone, Debug)]
pub struct Template {
    /// Id ("twin-lower-two-knots").
    pub name: &'static str,
    /// Title of the rigs it makes.
    pub title: &'static str,
    /// What it is for.
    pub about: &'static str,
    /// What can be set.
    pub parameters: Vec<&'static Parameter>,
}

type Maker = fn(&Values) -> Result<Rig, RigError>;

/// One row: name, title, about, own parameters, maker.
struct Row {
    name: &'static str,
    title: &'static str,
    about: &'static str,
    own: &'static [&'static [Parameter]],
    make: Maker,
}

const ROWS: &[Row] = &[
    Row {
        name: "twin-lower-two-knots",
        title: "Twin lower, two focal knots",
        about: "Two loaded ropes on two self-closing devices side by side, handles open while lowering; \
                one load-sharing V of four legs on two anchors with a focal knot for each rope.",
        own: &[parameters::LITTER, parameters::LOWER, parameters::TWO_KNOTS],
        make: lower::two_knots,
    },
    Row {
        name: "twin-lower-one-knot",
        title: "Twin lower, one focal knot",
        about: "As the twin lower with two focal knots, but both ropes hang from one knot: \
                it comes out critical.",
        own: &[parameters::LITTER, parameters::LOWER],
        make: lower::one_knot,
    },
    Row {
        name: "raise-3-to-1-and-belay",
        title: "Raise 3:1 and belay",
        about: "The main rope in a 3:1 with progress capture, hauled by a team; the second rope tended \
                through a self-closing device.",
        own: &[
            parameters::LITTER,
            parameters::MAIN,
            parameters::HAULING,
            parameters::HITCHES,
            parameters::TWO_KNOTS,
        ],
        make: raise::raise,
    },
    Row {
        name: "twin-lower-two-vs",
        title: "Twin lower, two independent Vs",
        about: "Two loaded ropes on two self-closing devices, each on a V of its own with two anchors of its own.",
        own: &[parameters::LITTER, parameters::LOWER, parameters::SECOND_V],
        make: anchors::two_vs,
    },
    Row {
        name: "twin-lower-three-legs",
        title: "Twin lower, plate on three fixed legs",
        about: "Both ropes from one rigging plate on three legs of fixed length: how they share is never known well, \
                and the plate comes out critical.",
        own: &[parameters::LITTER, parameters::LOWER, parameters::PLATE, parameters::MIDDLE],
        make: anchors::three_legs,
    },
    Row {
        name: "twin-lower-three-legs-adjusting",
        title: "Twin lower, ring on a self-adjusting cord",
        about: "Both ropes from one ring that runs on one cord over three anchors: an anchor lost lets it run to another place, \
                and without limiting knots the cord is critical as the ring is.",
        own: &[parameters::LITTER, parameters::LOWER, parameters::ADJUSTING, parameters::MIDDLE],
        make: anchors::adjusting,
    },
    Row {
        name: "twin-lower-plate",
        title: "Twin lower, one rigging plate",
        about: "Both ropes from one rigging plate on a V: it comes out critical.",
        own: &[parameters::LITTER, parameters::LOWER, parameters::PLATE],
        make: anchors::plate,
    },
    Row {
        name: "twin-lower-plate-backup",
        title: "Twin lower, rigging plate with backup cord",
        about: "Both ropes from one rigging plate on a V, with a cord from a third anchor past the plate to both devices.",
        own: &[
            parameters::LITTER,
            parameters::LOWER,
            parameters::PLATE,
            parameters::MIDDLE,
            parameters::BACKUP,
        ],
        make: anchors::plate_with_backup,
    },
    Row {
        name: "twin-lower-one-operator",
        title: "Twin lower, one operator",
        about: "As the twin lower with two focal knots, with one person at both devices: self-closing or passive, \
                with or without a tailer on both ropes.",
        own: &[parameters::LITTER, parameters::LOWER, parameters::TWO_KNOTS, parameters::ONE_OPERATOR],
        make: people::one_operator,
    },
    Row {
        name: "twin-lower-rescuer",
        title: "Twin lower of a rescuer, one harness point",
        about: "Both ropes end at one point of a rescuer’s harness: it comes out critical.",
        own: &[parameters::LOWER, parameters::TWO_KNOTS, parameters::RESCUER],
        make: people::rescuer,
    },
    Row {
        name: "twin-lower-rescuer-tether",
        title: "Twin lower of a rescuer, with a tether",
        about: "Both ropes end at one point of a rescuer’s harness; a tether from a second point to rope one, by a hitch \
                ahead of its knot. A second point without a rating counts for nothing.",
        own: &[parameters::LOWER, parameters::TWO_KNOTS, parameters::RESCUER, parameters::TETHER],
        make: people::rescuer_with_tether,
    },
    Row {
        name: "twin-lower-attendant-own",
        title: "Twin lower, litter and attendant each on their own",
        about: "The litter on its bridle, the attendant on tethers of the own, one to each ring: with one tether alone it \
                comes out critical.",
        own: &[parameters::LITTER, parameters::LOWER, parameters::TWO_KNOTS, parameters::ATTENDANT],
        make: people::litter_and_attendant,
    },
    Row {
        name: "main-and-belay-lower",
        title: "Main rope and belay, lower",
        about: "One loaded main rope on a self-closing device; the belay runs along untensioned through two friction \
                hitches on a load-release hitch, with a minder.",
        own: &[
            parameters::LITTER,
            parameters::MAIN,
            parameters::TWO_KNOTS,
            parameters::TANDEM,
            parameters::HITCHES,
        ],
        make: belay::lower,
    },
    Row {
        name: "main-and-belay-raise",
        title: "Main rope and belay, 3:1 raise",
        about: "The main rope in a 3:1 with progress capture; the belay through two friction hitches on a load-release \
                hitch, with a minder.",
        own: &[
            parameters::LITTER,
            parameters::MAIN,
            parameters::HAULING,
            parameters::HITCHES,
            parameters::TWO_KNOTS,
            parameters::TANDEM,
        ],
        make: belay::raise,
    },
    Row {
        name: "raise-2-to-1",
        title: "Raise 2:1 by a haul rope",
        about: "A haul rope of its own from the anchor through one moving pulley on a hitch; progress capture on the main rope, the second rope tended.",
        own: &[
            parameters::LITTER,
            parameters::MAIN,
            parameters::HAULING,
            parameters::HITCHES,
            parameters::TWO_KNOTS,
        ],
        make: haul::two,
    },
    Row {
        name: "raise-4-to-1",
        title: "Raise 4:1 simple by a haul rope",
        about: "A haul rope of its own from the anchor through a moving double pulley and a fixed one; progress capture on the main rope, the second rope tended.",
        own: &[
            parameters::LITTER,
            parameters::MAIN,
            parameters::HAULING,
            parameters::HITCHES,
            parameters::TWO_KNOTS,
        ],
        make: haul::four,
    },
    Row {
        name: "raise-5-to-1",
        title: "Raise 5:1 simple",
        about: "The main rope itself in a 5:1 with progress capture; the second rope tended.",
        own: &[
            parameters::LITTER,
            parameters::MAIN,
            parameters::HAULING,
            parameters::HITCHES,
            parameters::TWO_KNOTS,
        ],
        make: haul::five,
    },
    Row {
        name: "raise-4-to-1-compound",
        title: "Raise 4:1 compound",
        about: "A 2:1 that hauls a 2:1, each in a rope of its own; progress capture on the main rope, the second rope tended.",
        own: &[
            parameters::LITTER,
            parameters::MAIN,
            parameters::HAULING,
            parameters::HITCHES,
            parameters::TWO_KNOTS,
        ],
        make: haul::compound_four,
    },
    Row {
        name: "raise-6-to-1",
        title: "Raise 6:1 compound",
        about: "A 2:1 in a rope of its own that hauls the 3:1 in the main rope; progress capture, the second rope tended.",
        own: &[
            parameters::LITTER,
            parameters::MAIN,
            parameters::HAULING,
            parameters::HITCHES,
            parameters::TWO_KNOTS,
        ],
        make: haul::six,
    },
    Row {
        name: "raise-9-to-1",
        title: "Raise 9:1 compound",
        about: "A 3:1 that hauls a 3:1 in the main rope, with progress capture; the second rope tended.",
        own: &[
            parameters::LITTER,
            parameters::MAIN,
            parameters::HAULING,
            parameters::HITCHES,
            parameters::TWO_KNOTS,
        ],
        make: haul::nine,
    },
    Row {
        name: "twin-lower-redirect",
        title: "Twin lower, rope one redirected",
        about: "Rope one runs from its device through a pulley on an anchor of its own before the edge: losing the pulley \
                gives slack, and the load moves.",
        own: &[
            parameters::LITTER,
            parameters::LOWER,
            parameters::TWO_KNOTS,
            parameters::REDIRECT,
            parameters::REDIRECT_ANCHOR,
        ],
        make: directional::redirect,
    },
    Row {
        name: "twin-lower-high-directional",
        title: "Twin lower over a high directional",
        about: "Both ropes over pulleys at the head of a frame at the edge, seen from the side: two legs and a guy. \
                Both ropes share its fate.",
        own: &[parameters::LITTER, parameters::LOWER, parameters::REDIRECT, parameters::FRAME],
        make: directional::frame,
    },
    Row {
        name: "low-angle-lower",
        title: "Low-angle lower on a slope",
        about: "A litter with attendants on a slope, each on tethers of the own, on two ropes and two self-closing devices; \
                no edge.",
        own: &[parameters::LITTER, parameters::LOWER, parameters::TWO_KNOTS, parameters::SLOPE],
        make: slope::lower,
    },
    Row {
        name: "change-over-lower-to-raise",
        title: "Change-over, lower to raise",
        about: "Its states are the steps: lowering, both tied off, haul system rigged on rope one, the load on the capture, \
                raising; rope two stays tied off while rope one is converted.",
        own: &[
            parameters::LITTER,
            parameters::LOWER,
            parameters::HAULING,
            parameters::HITCHES,
            parameters::TWO_KNOTS,
        ],
        make: steps::to_raise,
    },
    Row {
        name: "change-over-raise-to-lower",
        title: "Change-over, raise to lower",
        about: "Its states are the steps: raising, the load on the capture, device rigged on rope one, both tied off, \
                lowering; rope two stays tied off while rope one is converted.",
        own: &[
            parameters::LITTER,
            parameters::LOWER,
            parameters::HAULING,
            parameters::HITCHES,
            parameters::TWO_KNOTS,
        ],
        make: steps::to_lower,
    },
    Row {
        name: "knot-pass",
        title: "Knot pass on rope one",
        about: "Its states are the steps: lowering, both tied off with the knot near, a hitch on rope one, the load on it, \
                the device rigged past the knot, lowering again.",
        own: &[
            parameters::LITTER,
            parameters::LOWER,
            parameters::TWO_KNOTS,
            parameters::PASS,
            parameters::HITCHES,
        ],
        make: steps::knot_pass,
    },
];

impl Row {
    fn parameters(&self) -> Vec<&'static Parameter> {
        let own = || self.own.iter().flat_map(|list| list.iter());
        // A template's own word on a common parameter stands in its place.
        let common = parameters::COMMON.iter().map(|p| own().find(|own| own.name == p.name).unwrap_or(p));
        common.chain(own().filter(|own| parameters::COMMON.iter().all(|p| p.name != own.name))).collect()
    }
}

/// All templates.
pub fn list() -> Vec<Template> {
    ROWS.iter()
        .map(|row| Template {
            name: row.name,
            title: row.title,
            about: row.about,
            parameters: row.parameters(),
        })
        .collect()
}

/// Makes a rig.
///
/// ```
/// use std::collections::BTreeMap;
/// let set = BTreeMap::from([("load".to_string(), "250kg".to_string())]);
/// let rig = rig::templates::make("twin-lower-two-knots", &set).unwrap();
/// assert_eq!(rig.load.mass.to_kilograms(), 250.0);
/// ```
///
/// # Errors
/// An unknown template or name, a text that does not fit its unit, a value out of range:
/// `place` is the parameter's name.
pub fn make(name: &str, set: &BTreeMap<String, String>) -> Result<Rig, RigError> {
    let Some(row) = ROWS.iter().find(|row| row.name == name) else {
        let known = ROWS.iter().map(|row| row.name).collect::<Vec<_>>().join(", ");
        return Err(RigError::new(
            "template",
            format!("there is no template “{name}”"),
            format!("use one of: {known}"),
        ));
    };
    let values = Values::read(row.parameters(), set)?;
    let mut rig = (row.make)(&values)?;
    rig.title = row.title.into();
    let mut stored = values.stored();
    if set.contains_key(ROPE_LENGTH) {
        rig.ropes.iter_mut().for_each(|rope| rope.length_said = Some(true));
    } else {
        stored.remove(ROPE_LENGTH);
    }
    rig.template = Some(crate::model::TemplateUse { name: row.name.into(), set: stored });
    validate(&rig)?;
    Ok(rig)
}

/// Whether a text means what a template puts in by itself; a template or parameter that is not known has no such value.
pub fn is_default(template: &str, parameter: &str, text: &str) -> bool {
    known(template, parameter).is_some_and(|p| {
        let number = |text| values::read(p.unit, text).ok();
        text == p.default || number(text).is_some_and(|n| Some(n) == number(p.default))
    })
}

/// The number a template puts in by itself, in the parameter's own unit (kg, m, deg, N); `None` where it puts in none.
pub fn default_of(template: &str, parameter: &str) -> Option<f64> {
    known(template, parameter).and_then(|p| values::read(p.unit, p.default).ok())
}

fn known(template: &str, parameter: &str) -> Option<&'static Parameter> {
    let row = ROWS.iter().find(|row| row.name == template)?;
    row.parameters().into_iter().find(|p| p.name == parameter)
}

#[cfg(test)]
mod tests;
