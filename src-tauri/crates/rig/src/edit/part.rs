//! What is known of one part.

use super::{part_of, unknown};
use crate::catalogue::{self, Rated};
use crate::error::RigError;
use crate::model::{
    Band, Cited, DeviceClass, DeviceState, Gear, Loading, Material, Part, PartKind, Purpose, RatedLoading,
    Rig, Standing, Strength,
};
use crate::quantity::{Force, Length, Mass, Ratio};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// What an edit says of a part; `None`: as it is.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(default, deny_unknown_fields)]
pub struct PartEdit {
    /// Its name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub label: Option<String>,
    /// Its rated strength as text with unit; empty: unrated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rating: Option<String>,
    /// Who says so ("team gear list", "judged on site by …").
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rated_by: Option<String>,
    /// Its class in the catalogue, by id: rated as the class is, weakened as the part was.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub catalogue: Option<String>,
    /// Another kind of leg, connector or hitch in its place.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kind: Option<PartKind>,
    /// What it is made of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub material: Option<Material>,
    /// How a connector is loaded.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub loading: Option<Loading>,
    /// What must be taken up before it bears, as text with unit; empty: nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slack: Option<String>,
    /// The team's own piece; an empty name: none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gear: Option<Gear>,
    /// What a device may be used for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub purpose: Option<Purpose>,
    /// What a device's handle does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub class: Option<DeviceClass>,
    /// The load that its maker rates a device for, as text with unit; empty: not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rated_load: Option<String>,
    /// Share of the tension left past a pulley, as text.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub efficiency: Option<String>,
    /// State of a device in the states named, by id of the state.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub state: Option<(String, DeviceState)>,
}

/// Changes what is known of a part.
pub(super) fn change(rig: &mut Rig, id: &str, set: &PartEdit) -> Result<(), RigError> {
    if let Some((state, how)) = &set.state {
        let own = rig.states.iter_mut().find(|s| s.id == *state).ok_or_else(|| unknown("state", state))?;
        own.devices.insert(id.to_string(), *how);
    }
    let part = part_of(rig, id)?;
    if let Some(label) = &set.label {
        if label.trim().is_empty() {
            return Err(RigError::new(format!("{id}.label"), "a part without a name", "name it"));
        }
        part.label = label.trim().to_string();
    }
    if let Some(kind) = set.kind {
        replace(part, kind)?;
    }
    if let Some(class) = set.class {
        reclass(part, class)?;
    }
    if let Some(class) = &set.catalogue {
        part.strength = Some(of_class(part, class)?);
    }
    part.loading = set.loading.or(part.loading);
    if let Some(text) = &set.rating {
        let new = rated(id, text, set.rated_by.as_deref())?;
        part.strength = match (part.loading, new) {
            (Some(loading), Some(new)) if loading != Loading::Major => Some(for_loading(part, loading, new)),
            (_, new) => new,
        };
    }
    if let Some(text) = &set.slack {
        part.slack = typed(text, &format!("{id}.slack"), "0.1m", Length::parse)?;
    }
    if let Some(text) = &set.efficiency {
        part.efficiency = Some(efficiency(part, text)?);
    }
    part.material = set.material.or(part.material);
    if let Some(gear) = &set.gear {
        part.gear = (!gear.name.trim().is_empty()).then(|| gear.clone());
    }
    if set.purpose.is_some() || set.rated_load.is_some() {
        let none = RigError::new(id, format!("{} is no device", part.label), "choose a device");
        let device = part.device.as_mut().ok_or(none)?;
        device.purpose = set.purpose.or(device.purpose);
        if let Some(text) = &set.rated_load {
            device.rated_load = typed(text, &format!("{id}.rated_load"), "280kg", Mass::parse)?;
        }
    }
    Ok(())
}

/// A text with its unit; empty: nothing.
fn typed<T, E: std::fmt::Display>(
    text: &str,
    place: &str,
    like: &str,
    parse: impl Fn(&str) -> Result<T, E>,
) -> Result<Option<T>, RigError> {
    match text.trim() {
        "" => Ok(None),
        some => parse(some)
            .map(Some)
            .map_err(|e| RigError::new(place, e.to_string(), format!("write it like {like}"))),
    }
}

/// A rating from text; what weakened the old one (a knot) does not weaken what the team rates as it is.
fn rated(id: &str, text: &str, by: Option<&str>) -> Result<Option<Strength>, RigError> {
    let place = format!("{id}.rating");
    let rating = typed(text, &place, "22kN, or leave it empty: not checked", Force::parse)?;
    let words = by.map(str::trim).filter(|by| !by.is_empty()).unwrap_or("set by the team").to_string();
    let cited = Cited { words, standing: Standing::TeamGear };
    Ok(rating.map(|rating| Strength::plain(rating, cited)))
}

/// The rating of a class in the catalogue, with what weakened the part: its knot is still in it.
fn of_class(part: &Part, class: &str) -> Result<Strength, RigError> {
    let place = format!("{}.catalogue", part.id);
    let list = classes(part.kind);
    let found = list.iter().find(|c| c.id == class).ok_or_else(|| {
        let what = format!("the catalogue has no class “{class}” for a {}", part.kind.words());
        let known = list.iter().map(|c| c.id).collect::<Vec<_>>().join(", ");
        let remedy = if known.is_empty() {
            "write its rating and who says so, or leave it unrated: not checked".to_string()
        } else {
            format!("use one of: {known}")
        };
        RigError::new(place.clone(), what, remedy)
    })?;
    let strength = found.strength();
    let mut strength =
        strength.ok_or_else(|| RigError::new(place, "a rating without end", "write it yourself"))?;
    strength.factors = part.strength.as_ref().map(|s| s.factors.clone()).unwrap_or_default();
    Ok(strength)
}

/// A rating that speaks of a connector as it is loaded, beside the one it has for its major axis: that is never less.
fn for_loading(part: &Part, loading: Loading, new: Strength) -> Strength {
    let mut whole = part.strength.clone().unwrap_or_else(|| new.clone());
    whole.by_loading.retain(|r| r.loading != loading);
    whole.by_loading.push(RatedLoading { loading, rating: new.rating, cited: new.cited });
    whole
}

fn efficiency(part: &Part, text: &str) -> Result<Band, RigError> {
    let place = format!("{}.efficiency", part.id);
    if part.kind != PartKind::Pulley {
        let what = format!("{} is no pulley", part.label);
        return Err(RigError::new(place, what, "choose a pulley"));
    }
    let value = Ratio::parse(text.trim())
        .map_err(|e| RigError::new(place, e.to_string(), "write it like 0.9 or 90%"))?;
    let words = format!("share of the tension left past {}", part.label);
    let cited = Cited { words, standing: Standing::TeamGear };
    Ok(Band { low: value, nominal: value, high: value, cited })
}

/// Another kind in the same place. What was known of the old piece is not known of the new one.
fn replace(part: &mut Part, kind: PartKind) -> Result<(), RigError> {
    if part.kind == kind {
        return Ok(());
    }
    if !alike(part.kind, kind) {
        let what = format!("a {} cannot take the place of a {}", kind.words(), part.kind.words());
        let place = format!("{}.kind", part.id);
        return Err(RigError::new(place, what, "take the part out and put the other in"));
    }
    part.kind = kind;
    (part.strength, part.material, part.stiffness) = (None, None, None);
    (part.loading, part.gear, part.takes) = (None, None, None);
    Ok(())
}

/// Kinds that can stand in each other's place without another layout.
fn alike(a: PartKind, b: PartKind) -> bool {
    let hitch = |k| matches!(k, PartKind::ProgressCapture | PartKind::FrictionHitch);
    let knot = |k| matches!(k, PartKind::FocalKnot | PartKind::Plate | PartKind::Ring);
    let tie = |k: PartKind| k.is_leg();
    (tie(a) && tie(b)) || (hitch(a) && hitch(b)) || (knot(a) && knot(b))
}

/// Another class in the same place. What the maker says of the old piece is not known of the new one.
fn reclass(part: &mut Part, class: DeviceClass) -> Result<(), RigError> {
    let place = format!("{}.class", part.id);
    if part.kind != PartKind::Device || class == DeviceClass::FrictionHitch {
        let what = format!("a {} is no descent control device of that class", part.kind.words());
        return Err(RigError::new(place, what, "take the part out and put the other in"));
    }
    let device =
        part.device.as_mut().ok_or_else(|| RigError::new(place, "it is no device", "choose a device"))?;
    if device.class != class {
        device.class = class;
        (device.takes, device.rated_load, device.purpose) = (None, None, None);
        (part.strength, part.gear) = (None, None);
    }
    Ok(())
}

/// Classes of the catalogue that a part of a kind can be rated by.
pub fn classes(kind: PartKind) -> Vec<&'static Rated> {
    let legs = |sewn: bool| catalogue::LEGS.iter().filter(|c| (c.id == "sewn sling") == sewn).collect();
    match kind {
        PartKind::Rope | PartKind::EndKnot => catalogue::ROPES.iter().collect(),
        PartKind::Connector => catalogue::CONNECTORS.iter().collect(),
        PartKind::Sling => legs(true),
        PartKind::CordLeg => legs(false),
        PartKind::Pulley => catalogue::PULLEYS.iter().collect(),
        PartKind::Strut => catalogue::DIRECTIONALS.iter().collect(),
        _ => Vec::new(),
    }
}
