//! What a part bears: its rating for the way it is loaded, times what weakens it; or why that is not known.

use rig::catalogue::{self, bend, knot_range_holds};
use rig::model::{Cited, Gear, Line, Loading, Material, Part, PartKind, Rig, Standing};
use std::borrow::Cow;

/// What a part bears, and how that is made up.
pub struct Bears<'a> {
    /// Rating for the way it is loaded, N.
    pub rating: f64,
    /// Where the rating comes from.
    pub cited: &'a Cited,
    /// What weakens it.
    pub weakened: Vec<Weak<'a>>,
}

/// Something that weakens a part; the low end counts.
pub struct Weak<'a> {
    /// What it is ("figure eight loop").
    pub words: Cow<'a, str>,
    /// What is left at the low end.
    pub low: f64,
    /// What is left at the high end.
    pub high: f64,
    /// Where that comes from.
    pub source: &'a str,
    /// How well it is known.
    pub standing: Standing,
}

impl Bears<'_> {
    /// At its low end, N.
    pub fn newtons(&self) -> f64 {
        self.weakened.iter().fold(self.rating, |whole, weak| whole * weak.low)
    }
}

/// What a part bears.
///
/// # Errors
/// Why it is not known, in words.
pub fn bears<'a>(rig: &'a Rig, part: &'a Part) -> Result<Bears<'a>, String> {
    let strength = part.strength.as_ref().ok_or("no rating")?;
    let (rating, cited) = strength.loaded(part.loading).ok_or_else(|| {
        let how = part.loading.unwrap_or(Loading::Major).words();
        format!("no rating {how}; the one there is speaks of the major axis, gate locked")
    })?;
    let mut weakened = Vec::new();
    for factor in &strength.factors {
        if knots().any(|label| label == factor.words)
            && let Some(material) = materials(rig, part).find(|m| !knot_range_holds(Some(*m)))
        {
            return Err(format!(
                "no rating: the range of a {} is of nylon and polyester, not of {}",
                factor.words,
                words(material)
            ));
        }
        weakened.push(Weak {
            words: Cow::Borrowed(&factor.words),
            low: factor.ratio.low.value(),
            high: factor.ratio.high.value(),
            source: &factor.ratio.cited.words,
            standing: factor.ratio.cited.standing,
        });
    }
    weakened.extend(bent(rig, part)?);
    Ok(Bears { rating: rating.to_newtons(), cited, weakened })
}

fn knots() -> impl Iterator<Item = &'static str> {
    catalogue::KNOTS.iter().map(|knot| knot.label)
}

/// In trade's words.
pub fn words(material: Material) -> &'static str {
    match material {
        Material::Hmpe => "HMPE",
        Material::Aramid => "aramid",
        Material::Polyester => "polyester",
        Material::Nylon => "nylon",
        Material::Steel => "steel",
        Material::Aluminium => "aluminium",
        Material::Other => "another material",
    }
}

/// What a part is made of, and what it is tied in: a knot is of its rope's or its legs' material.
fn materials<'a>(rig: &'a Rig, part: &'a Part) -> impl Iterator<Item = Material> + 'a {
    let at = part.at.first();
    let ropes = rig.ropes.iter().filter(move |rope| {
        rope.id == part.id || (part.kind == PartKind::EndKnot && rope.path.first() == at && at.is_some())
    });
    let legs = rig.parts.iter().filter(move |leg| {
        part.kind == PartKind::FocalKnot && leg.kind.is_leg() && leg.at.first() == at && at.is_some()
    });
    part.material.into_iter().chain(ropes.filter_map(|r| r.material)).chain(legs.filter_map(|l| l.material))
}

/// The tightest bend of a rope over the sheaves whose size is said.
fn bent<'a>(rig: &'a Rig, part: &Part) -> Result<Option<Weak<'a>>, String> {
    let Some(rope) = rig.rope(&part.id) else { return Ok(None) };
    let over = rig
        .parts
        .iter()
        .filter(|p| p.kind == PartKind::Pulley && (p.line == rope.line || p.line == Line::Shared))
        .filter(|p| p.at.first().is_some_and(|at| rope.path.contains(at)))
        .filter_map(|p| Some((p.sheave?.to_metres() / rope.diameter.to_metres(), p.label.as_str())))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let Some((ratio, label)) = over else { return Ok(None) };
    let (left, source) = bend(ratio)
        .ok_or_else(|| format!("no rating: bent over {label}, narrower than the rope is thick"))?;
    Ok(Some(Weak {
        words: format!("bend over {label}, {ratio:.1} × the rope").into(),
        low: left,
        high: left,
        source,
        standing: Standing::Assumption,
    }))
}

/// The team's own piece in words.
pub fn gear(gear: &Gear) -> String {
    let serial = gear.serial.as_ref().map(|s| format!(", serial {s}")).unwrap_or_default();
    let since = gear.in_service_since.as_ref().map(|s| format!(", in service since {s}")).unwrap_or_default();
    format!("gear: {}{serial}{since}", gear.name)
}
