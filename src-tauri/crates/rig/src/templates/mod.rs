//! Templates: whole rigs made from a few lengths, angles and ratings.

mod build;
mod lower;
mod parameters;
mod raise;
mod values;

pub use parameters::{Parameter, Unit};

use crate::error::RigError;
use crate::model::Rig;
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
        own: &[parameters::LOWER, parameters::TWO_KNOTS],
        make: lower::two_knots,
    },
    Row {
        name: "twin-lower-one-knot",
        title: "Twin lower, one focal knot",
        about: "As the twin lower with two focal knots, but both ropes hang from one knot: \
                it comes out critical.",
        own: &[parameters::LOWER],
        make: lower::one_knot,
    },
    Row {
        name: "raise-3-to-1-and-belay",
        title: "Raise 3:1 and belay",
        about: "The main rope in a 3:1 with progress capture, hauled by a team; the second rope tended \
                through a self-closing device.",
        own: &[parameters::RAISE, parameters::TWO_KNOTS],
        make: raise::raise,
    },
];

impl Row {
    fn parameters(&self) -> Vec<&'static Parameter> {
        parameters::COMMON.iter().chain(self.own.iter().flat_map(|list| list.iter())).collect()
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
    rig.template = Some(crate::model::TemplateUse { name: row.name.into(), set: values.stored() });
    validate(&rig)?;
    Ok(rig)
}

#[cfg(test)]
mod tests;
