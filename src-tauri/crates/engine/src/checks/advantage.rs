//! Hauling: the advantage, the people it needs, their limit, and what a full team does to a jammed load.

use super::{Seen, finding};
use crate::margin;
use crate::statics;
use rig::findings::{RuleFinding, Verdict};
use rig::model::{Hand, HandTask, PartKind, Sliding};
use rig::quantity::G;

/// The haul as it stands in this state.
struct Haul<'a> {
    team: &'a Hand,
    /// Rope hauled, by its place among the ropes that carry.
    rope: usize,
    /// Force on the haul line, N: nominal and high.
    force: (f64, f64),
    /// Load end over haul end with this rig’s pulleys, and the edge left out.
    practical: f64,
    /// The same with perfect pulleys.
    theoretical: f64,
}

fn haul<'a>(seen: &'a Seen<'_>) -> Option<Haul<'a>> {
    let model = seen.model;
    if seen.intact.motion != Sliding::Raising {
        return None;
    }
    let team =
        model.rig.hands.iter().find(|h| h.task == HandTask::Haul && model.state.hands.contains(&h.id))?;
    let scene = seen.intact.scene.as_ref().ok()?;
    let works = |part: usize| team.works.contains(&model.rig.parts[part].id);
    let rope = scene.ropes.iter().position(|r| r.ends_at.is_none() && works(r.part))?;
    let range = statics::haul(model, scene, rope, Sliding::Raising).ok()?;
    Some(Haul {
        team,
        rope,
        force: (range.nominal, range.high),
        practical: range.practical,
        theoretical: range.theoretical,
    })
}

/// What the pulleys pass of a tension, nominal; the least of them where they differ.
fn efficiency(seen: &Seen<'_>) -> f64 {
    let all = seen.model.rig.parts.iter().filter_map(|p| p.efficiency.as_ref());
    all.map(|e| e.nominal.value()).fold(1.0, f64::min)
}

/// Rope hauled for the height, and resets at the throw there is: the way of the haul hitch to what it is hauled towards.
fn travel(seen: &Seen<'_>, haul: &Haul<'_>) -> String {
    let rig = seen.model.rig;
    let height = rig.edge.height.to_metres();
    let hitch = rig.parts.iter().find(|p| p.kind == PartKind::HaulHitch);
    let capture = rig.parts.iter().find(|p| p.kind == PartKind::ProgressCapture);
    let place =
        |id: Option<&String>| id.and_then(|id| rig.point(id)).map(|p| (p.x.to_metres(), p.y.to_metres()));
    let ends = (place(hitch.and_then(|h| h.at.first())), place(capture.and_then(|c| c.at.first())));
    let (Some(low), Some(high)) = ends else { return String::new() };
    let throw = libm::hypot(high.0 - low.0, high.1 - low.1);
    if throw < 1e-6 {
        return String::new();
    }
    let resets = libm::ceil(height / throw - 1e-9) - 1.0;
    format!(
        "; {height} m of height take {:.0} m of haul, {throw:.1} m of throw: at least {resets} resets",
        height * haul.theoretical
    )
}

/// Other systems beside it, for this load over this edge with these pulleys.
fn compared(haul: &Haul<'_>, eta: f64, people: &dyn Fn(f64) -> f64) -> String {
    let load = haul.force.0 * haul.practical;
    let simple = |n: i32| (0..n).map(|i| libm::pow(eta, f64::from(i))).sum::<f64>();
    let systems = [("3:1", simple(3)), ("5:1", simple(5)), ("9:1 compound", simple(3) * simple(3))];
    let each = systems.map(|(name, advantage)| {
        format!("{name} {} and {} people", margin::kilonewtons(load / advantage), people(load / advantage))
    });
    format!("; side by side: {}", each.join(", "))
}

/// Two digits, never rounded up.
fn down(value: f64) -> f64 {
    libm::floor(value * 100.0 + 1e-9) / 100.0
}

/// People needed at the guidelines’ pull, against those there are.
pub fn haulers(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let Some(haul) = haul(seen) else { return Vec::new() };
    let pull = &seen.guidelines.pull_per_person_kn;
    let people = |force: f64| libm::ceil(force / (pull.value * 1000.0) - 1e-9);
    let (needed, most) = (people(haul.force.0), people(haul.force.1));
    let there = f64::from(haul.team.people);
    // Between the two it hangs on the friction of this edge and these pulleys, which is a range.
    let verdict = match there {
        there if there >= most => Verdict::Holds,
        there if there < needed => Verdict::FallsShort,
        _ => Verdict::NotChecked,
    };
    let eta = efficiency(seen);
    let found = format!(
        "theoretical advantage {} : 1, practical {} : 1 with pulleys that pass {eta}; over the edge the haul takes {} (high {}); {needed} people at {} kN each, {most} at the high end, {there} there{}{}",
        down(haul.theoretical),
        down(haul.practical),
        margin::kilonewtons(haul.force.0),
        margin::kilonewtons(haul.force.1),
        pull.value,
        travel(seen, &haul),
        compared(&haul, eta, &people),
    );
    vec![finding(
        "haulers",
        verdict,
        "haul team strong enough",
        found,
        &format!("pull a person: {}", pull.source),
    )]
}

/// Haulers times advantage, beside the two rules there are of it.
pub fn hauler_limit(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let Some(haul) = haul(seen) else { return Vec::new() };
    let (sure, most) = (&seen.guidelines.haul_product, &seen.guidelines.haul_product_most);
    let (low, high) = (sure.value, most.value);
    let product = f64::from(haul.team.people) * libm::round(haul.theoretical * 1e6) / 1e6;
    let (verdict, words) = if product > high {
        (Verdict::FallsShort, format!("over both limits, {high} and {low}"))
    } else if product > low {
        let words = format!("within {high}, over {low}: the sources disagree, the team must choose");
        (Verdict::NotChecked, words)
    } else {
        (Verdict::Holds, format!("within both limits, {high} and {low}"))
    };
    let found =
        format!("{} people × {} = {}: {words}", haul.team.people, down(haul.theoretical), down(product));
    let source = format!("{high}: {}; {low}: {}", most.source, sure.source);
    vec![finding("hauler_limit", verdict, "haulers × advantage", found, &source)]
}

/// The whole team pulls and the load does not move: every force of the haul rope grows with the pull.
pub fn jammed(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let Some(haul) = haul(seen) else { return Vec::new() };
    let (Ok(scene), Ok(forces)) = (&seen.intact.scene, &seen.intact.forces) else { return Vec::new() };
    let pull = f64::from(haul.team.people) * seen.guidelines.pull_per_person_kn.value * 1000.0;
    let growth = pull / haul.force.0;
    let line = scene.ropes[haul.rope].line;
    let mut weakest: Option<(f64, &str)> = None;
    let mut unrated = None;
    for (part, force) in forces.parts.iter().enumerate() {
        let own = &seen.model.rig.parts[part];
        // From the high force of ordinary hauling, or a jam would read better than none.
        let jams = force[2] * growth.max(1.0);
        if own.line != line || force[2] < 1e-6 || own.always_critical {
            continue;
        }
        match margin::strength(seen.model.rig, own) {
            Some(strength) if weakest.is_none_or(|(least, _)| strength / jams < least) => {
                weakest = Some((strength / jams, own.label.as_str()));
            }
            Some(_) => {}
            None => {
                unrated.get_or_insert(own.label.as_str());
            }
        }
    }
    let load_end = pull * haul.practical;
    let weight = seen.model.rig.load.mass.to_kilograms() * G;
    let least = weakest.map_or_else(String::new, |(m, who)| {
        format!("; weakest of the haul line {who}, {}", margin::ratio(m))
    });
    let found = format!(
        "{} people pull {}: {} at the load end without the edge, {} of the load’s weight{least}",
        haul.team.people,
        margin::kilonewtons(pull),
        margin::kilonewtons(load_end),
        format_args!("{:.2} times", load_end / weight),
    );
    let required = seen.guidelines.required_after_loss.value;
    let (verdict, found) = match (weakest, unrated) {
        (Some((margin, _)), _) if margin < required => (Verdict::FallsShort, found),
        (_, Some(who)) => (Verdict::NotChecked, format!("{found}; {who} has no rating")),
        (None, None) => (Verdict::NotChecked, found),
        (Some(_), None) => (Verdict::Holds, found),
    };
    vec![finding(
        "jammed_load",
        verdict,
        "jammed load at full haul",
        found,
        "high forces scaled to the team’s whole pull; anchors that also hold rope two are not scaled",
    )]
}
