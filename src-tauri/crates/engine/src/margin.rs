//! Strength, margin, and how both were got.

mod bears;

pub use bears::bears;

use crate::case::Case;
use crate::statics::{Forces, Scene, kn, uneven};
use crate::support::Model;
use bears::{Bears, gear};
use rig::findings::{PartFinding, Verdict};
use rig::guidelines::{Guidelines, Limit};
use rig::model::{Line, Part, PartKind, Rig, Sliding, Standing};
use rig::quantity::G;

/// Strength of a part at its low end, N; `None` when it has no rating for the way it is loaded.
pub fn strength(rig: &Rig, part: &Part) -> Option<f64> {
    bears(rig, part).ok().map(|b| b.newtons())
}

/// A margin in words, never rounded up.
pub fn ratio(margin: f64) -> String {
    let digits = if margin < 10.0 { 100.0 } else { 10.0 };
    let down = libm::floor(margin * digits + 1e-9) / digits;
    format!("{down} : 1")
}

/// A force in kN with three digits.
pub fn kilonewtons(newtons: f64) -> String {
    format!("{:.3} kN", newtons / 1000.0)
}

/// The margin the guidelines require of a kind of part; its name may be written with _ or spaces.
pub fn required(guidelines: &Guidelines, kind: PartKind) -> &Limit {
    let words = kind.words();
    guidelines
        .required_by_kind
        .get(words)
        .or_else(|| guidelines.required_by_kind.get(&words.replace(' ', "_")))
        .unwrap_or(&guidelines.required_margin)
}

/// Below this force, N, a part carries nothing that shows (0.00 kN): a margin over it would be a number without a meaning.
const CARRIES: f64 = 5.0;

/// The finding of one part.
pub fn finding(
    model: &Model<'_>,
    guidelines: &Guidelines,
    case: &Case,
    part: usize,
    lost: bool,
) -> PartFinding {
    let own = &model.rig.parts[part];
    let limit = required(guidelines, own.kind);
    let force = case.forces.as_ref().ok().filter(|_| !lost).map(|f| f.parts[part]);
    let bears = bears(model.rig, own);
    let strength = bears.as_ref().ok().map(Bears::newtons);
    let over = force.zip(strength).filter(|(f, _)| f[2] > 1e-6).map(|(f, s)| s / f[2]);
    // However little it bears, what is too weak for it falls short.
    let carries = force.is_some_and(|f| f[2] >= CARRIES) || over.is_some_and(|margin| margin < limit.value);
    let margin = over.filter(|_| carries);
    let verdict = match (force, strength, margin) {
        (_, _, Some(margin)) if margin < limit.value => Verdict::FallsShort,
        (_, _, Some(_)) => Verdict::Holds,
        (Some(_), Some(_), None) => Verdict::Holds,
        _ => Verdict::NotChecked,
    };
    PartFinding {
        id: own.id.clone(),
        kind: own.kind.words().into(),
        label: own.label.clone(),
        force_kn: force.map(|f| kn(&f)),
        strength_kn: strength.map(|s| s / 1000.0),
        margin,
        required: Some(limit.value),
        verdict,
        words: words(own, &bears, carries, lost, case),
        source: source(own, &bears),
        how: how(model, case, part, force, &bears, margin, limit),
    }
}

/// Where the strength comes from, and which piece of the team's own it is.
fn source(part: &Part, bears: &Result<Bears<'_>, String>) -> String {
    let rating = match bears {
        Ok(b) => format!("{} ({})", b.cited.words, b.cited.standing.words()),
        Err(_) => "no published rating".into(),
    };
    match &part.gear {
        Some(own) => format!("{rating}; {}", gear(own)),
        None => rating,
    }
}

fn words(part: &Part, bears: &Result<Bears<'_>, String>, carries: bool, lost: bool, case: &Case) -> String {
    if lost {
        return "lost".into();
    }
    if case.forces.is_err() {
        return "force not solved".into();
    }
    let bears = match bears {
        Ok(bears) => bears,
        Err(why) if part.kind == PartKind::EdgeLip && !carries => {
            return format!("{why}; no rope bears on it while its protection stands");
        }
        Err(why) => return why.clone(),
    };
    let edition = bears.cited.words.split(", ").next().unwrap_or_default();
    let mut words = format!("{edition}{}", aside(bears.cited.standing));
    if let Some(loading) = part.loading.filter(|l| *l != rig::model::Loading::Major) {
        words.push_str(&format!(", {}", loading.words()));
    }
    for weak in &bears.weakened {
        let end = if weak.low < weak.high { ", low end" } else { "" };
        words.push_str(&format!("; {}{end}, {}{}", weak.words, weak.low, aside(weak.standing)));
    }
    if !carries {
        words.push_str("; carries nothing in this state");
    }
    words
}

/// What was not read in the text itself says so wherever it stands.
fn aside(standing: Standing) -> String {
    match standing {
        Standing::Memory | Standing::SecondHand => format!(" ({})", standing.words()),
        _ => String::new(),
    }
}

#[allow(clippy::too_many_arguments)]
fn how(
    model: &Model<'_>,
    case: &Case,
    part: usize,
    force: Option<[f64; 3]>,
    bears: &Result<Bears<'_>, String>,
    margin: Option<f64>,
    limit: &Limit,
) -> Vec<String> {
    let own = &model.rig.parts[part];
    let mut lines = Vec::new();
    match (force, &case.forces) {
        (Some(force), Ok(forces)) => {
            force_lines(model, case, part, &mut lines);
            lines.push(format!(
                "force {} (low {}, high {}): least and most over every combination of these ranges",
                kilonewtons(force[1]),
                kilonewtons(force[0]),
                kilonewtons(force[2])
            ));
            lines.push(format!("all points in balance within {:.1e} N", forces.residual));
        }
        (_, Err(why)) => lines.push(format!("force not solved: {why}")),
        (None, Ok(_)) => lines.push("lost: it carries nothing".into()),
    }
    strength_lines(own, bears, &mut lines);
    if let (Some(margin), Some(force), Ok(bears)) = (margin, force, bears) {
        lines.push(format!(
            "margin {} ÷ {} = {}; required {} : 1 ({})",
            kilonewtons(bears.newtons()),
            kilonewtons(force[2]),
            ratio(margin),
            limit.value,
            limit.source
        ));
    }
    lines
}

/// From the rating to the strength, one line a step.
fn strength_lines(own: &Part, bears: &Result<Bears<'_>, String>, lines: &mut Vec<String>) {
    lines.extend(own.gear.as_ref().map(gear));
    let bears = match (bears, &own.strength) {
        (Ok(bears), _) => bears,
        (Err(_), None) => {
            lines.push("strength unknown: no published rating, and none set by the team".into());
            return;
        }
        (Err(why), Some(_)) => {
            lines.push(format!("strength unknown: {why}"));
            return;
        }
    };
    let way = own.loading.map(|l| format!(" {}", l.words())).unwrap_or_default();
    lines.push(format!(
        "rated {}{way}: {} ({})",
        kilonewtons(bears.rating),
        bears.cited.words,
        bears.cited.standing.words()
    ));
    for weak in &bears.weakened {
        let range = if weak.low < weak.high {
            format!(", low end of {} to {}", weak.low, weak.high)
        } else {
            String::new()
        };
        lines.push(format!(
            "× {} for the {}{range}: {} ({})",
            weak.low,
            weak.words,
            weak.source,
            weak.standing.words()
        ));
    }
    lines.push(format!("strength {}", kilonewtons(bears.newtons())));
}

/// Which of the load a rope takes, and what that rests on.
fn share_lines(model: &Model<'_>, case: &Case, scene: &Scene, line: Line, lines: &mut Vec<String>) {
    if let Ok(Forces { off_as_drawn: true, .. }) = case.forces {
        lines.push(
            "the drawing is not in balance: nominal as drawn; the range also covers where it would come to rest"
                .into(),
        );
    }
    if let Some([one, two]) = scene.apart(model) {
        lines.push(format!(
            "the ropes leave the load apart: its balance gives them {one:.3} and {two:.3} of it; the range also covers the \
             stated shares"
        ));
    }
    if scene.ropes.len() == 2 {
        let share = &model.rig.load.share_one;
        let whose = if line == Line::Two { "rope two carries 1 − " } else { "" };
        lines.push(format!(
            "share of rope one {} ({} to {}), {}; {whose}share × load",
            share.nominal,
            share.low,
            share.high,
            share.cited.standing.words()
        ));
    } else {
        lines.push("one rope carries the whole load".into());
    }
}

/// From the load to the force, one line a step.
fn force_lines(model: &Model<'_>, case: &Case, part: usize, lines: &mut Vec<String>) {
    let own = &model.rig.parts[part];
    let load = &model.rig.load;
    let weight = load.mass.to_kilograms() * G;
    lines.push(format!("load {} × {G} m/s² = {}", load.mass, kilonewtons(weight)));
    let Ok(scene) = &case.scene else { return };
    if own.always_critical {
        lines.push("it bears the whole load".into());
        return;
    }
    share_lines(model, case, scene, own.line, lines);
    let above_edge = !scene.below[part];
    if above_edge {
        let friction = &model.rig.edge.friction;
        let way = match case.motion {
            Sliding::Lowering => "sliding down: tension past the edge is that below ÷ ratio",
            Sliding::Raising => "sliding up: tension past the edge is that below × ratio",
            Sliding::Held => "held still: friction may act either way, ÷ to × the high ratio",
        };
        lines.push(format!(
            "edge ratio {} ({} to {}), {}; {way}",
            friction.nominal,
            friction.low,
            friction.high,
            friction.cited.standing.words()
        ));
    }
    if own.line != Line::Two
        && above_edge
        && let Some(efficiency) = model.rig.parts.iter().find_map(|p| p.efficiency.as_ref())
    {
        lines.push(format!(
            "each pulley passes {} ({} to {}) of the tension, {}",
            efficiency.nominal,
            efficiency.low,
            efficiency.high,
            efficiency.cited.standing.words()
        ));
    }
    lines.extend(shape(model, own));
    if case.forces.as_ref().is_ok_and(|f| f.shared) && scene.ties.contains(&part) {
        let ([low, nominal, high], from) = uneven::stiffness(own);
        lines.push(format!(
            "legs beside each other share by stiffness: EA {} ({} to {}), {from}",
            kilonewtons(nominal),
            kilonewtons(low),
            kilonewtons(high)
        ));
        lines.push(format!(
            "and by how they were tied: each in turn {} % shorter and longer than drawn (assumed)",
            uneven::TIED * 100.0
        ));
    }
}

/// What of the geometry counts.
fn shape(model: &Model<'_>, own: &Part) -> Option<String> {
    let [low, high] = own.at.as_slice() else {
        return match own.kind {
            PartKind::Anchor => Some("vector sum of all that hangs on it".into()),
            PartKind::FocalKnot | PartKind::Plate => Some("vector sum of what hangs below it".into()),
            PartKind::Pulley => Some("vector sum of the rope’s strands".into()),
            PartKind::EdgeProtection => Some(format!(
                "√(T₁² + T₂² − 2 T₁ T₂ cos {}°) of the rope’s turn",
                model.rig.edge.turn.to_degrees()
            )),
            _ => None,
        };
    };
    let (low, high) = (model.rig.point(low)?, model.rig.point(high)?);
    let (dx, dy) = (high.x.to_metres() - low.x.to_metres(), high.y.to_metres() - low.y.to_metres());
    let degrees = libm::atan2(dx.abs(), dy).to_degrees();
    Some(format!("balance of its ends; it lies {degrees:.1}° from the line of the ropes"))
}
