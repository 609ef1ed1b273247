//! What differs between two rigs, in words: read before it is recorded.

use crate::model::{Hand, Part, Rig, Rope, Strength};
use serde::Serialize;

/// What lies under the load, in words.
fn below(rig: &Rig) -> String {
    let each = rig.edge.below.iter().map(|b| format!("{} at {}", b.kind.words(), b.height));
    let all: Vec<String> = each.chain(["ground".to_string()]).collect();
    all.join(", ")
}

/// What changed from one rig to another, a line each, in the order of the rig.
pub fn changes(before: &Rig, after: &Rig) -> Vec<String> {
    let mut out = Vec::new();
    if before.load.mass != after.load.mass {
        out.push(format!("load {}, was {}", after.load.mass, before.load.mass));
    }
    if before.edge.height != after.edge.height {
        out.push(format!("edge {} high, was {}", after.edge.height, before.edge.height));
    }
    if before.edge.below != after.edge.below {
        out.push(format!("under the load {}, was {}", below(after), below(before)));
    }
    for part in &before.parts {
        match after.part(&part.id) {
            None => out.push(format!("{} taken out", part.label)),
            Some(now) => part_changes(after, part, now, &mut out),
        }
    }
    for part in after.parts.iter().filter(|p| before.part(&p.id).is_none()) {
        out.push(format!(
            "{} put in: {}, {}",
            part.label,
            part.kind.words(),
            strength(part.strength.as_ref())
        ));
    }
    for rope in &after.ropes {
        if let Some(was) = before.rope(&rope.id) {
            rope_changes(after, was, rope, &mut out);
        }
    }
    places(before, after, &mut out);
    hands(before, after, &mut out);
    for group in &before.groups {
        match after.groups.iter().find(|g| g.id == group.id) {
            None => out.push(format!("no longer one fate: {}", group.label)),
            Some(now) if now != group => {
                out.push(format!("one fate: {}, {}", now.label, names(after, &now.members)))
            }
            Some(_) => {}
        }
    }
    for group in after.groups.iter().filter(|g| before.groups.iter().all(|b| b.id != g.id)) {
        out.push(format!("one fate: {}, {}", group.label, names(after, &group.members)));
    }
    if out.is_empty() && !alike(before, after) {
        out.push("changed in what is not listed here".into());
    }
    out
}

/// The same rig, but for the template it was made from.
fn alike(before: &Rig, after: &Rig) -> bool {
    let mut bare = after.clone();
    bare.template.clone_from(&before.template);
    *before == bare
}

fn name(rig: &Rig, id: &str) -> String {
    let part = rig.part(id).map(|p| p.label.clone());
    let hand = || rig.hand(id).map(|h| h.role.clone());
    let here = || rig.parts.iter().find(|p| p.at.len() == 1 && p.at[0] == id).map(|p| p.label.clone());
    part.or_else(hand).or_else(here).unwrap_or_else(|| id.trim_start_matches("at_").replace('_', " "))
}

fn names(rig: &Rig, ids: &[String]) -> String {
    ids.iter().map(|id| name(rig, id)).collect::<Vec<_>>().join(" and ")
}

fn strength(strength: Option<&Strength>) -> String {
    match strength {
        None => "not rated".into(),
        Some(s) => {
            let kn = s.rating.to_newtons() / 1000.0;
            let weak = s.factors.iter().map(|f| format!(" less its {}", f.words)).collect::<String>();
            format!("rated {kn} kN{weak}, {}", s.cited.words)
        }
    }
}

/// A word of the file as it is said.
fn word<T: Serialize>(value: &T) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(text)) => text.replace('_', " "),
        _ => "not said".into(),
    }
}

fn part_changes(rig: &Rig, was: &Part, now: &Part, out: &mut Vec<String>) {
    let mut said = Vec::new();
    if was.label != now.label {
        said.push(format!("was {}", was.label));
    }
    if was.kind != now.kind {
        said.push(format!("a {}, was a {}", now.kind.words(), was.kind.words()));
    }
    if was.strength != now.strength {
        said.push(format!("{}; was {}", strength(now.strength.as_ref()), strength(was.strength.as_ref())));
    }
    for (what, is, before) in [
        ("made of", word(&now.material), word(&was.material)),
        ("loaded", word(&now.loading), word(&was.loading)),
        (
            "slack",
            now.slack.map_or("none".into(), |s| s.to_string()),
            was.slack.map_or("none".into(), |s| s.to_string()),
        ),
        (
            "the team’s",
            now.gear.as_ref().map_or("not said".into(), |g| g.name.clone()),
            was.gear.as_ref().map_or("not said".into(), |g| g.name.clone()),
        ),
        ("passes on", word_of(now.efficiency.as_ref()), word_of(was.efficiency.as_ref())),
    ] {
        if is != before {
            said.push(format!("{what} {is}, was {before}"));
        }
    }
    if let (Some(is), Some(before)) = (&now.device, &was.device) {
        if is.class != before.class {
            said.push(format!("{}, was {}", word(&is.class), word(&before.class)));
        }
        if is.purpose != before.purpose {
            said.push(format!("may be used for {}, was {}", word(&is.purpose), word(&before.purpose)));
        }
        if is.rated_load != before.rated_load {
            let load = is.rated_load.map_or("not said".to_string(), |m| m.to_string());
            said.push(format!("rated for a load of {load}"));
        }
    }
    if was.at != now.at && now.at.len() == 2 {
        said.push(format!("from {}", names(rig, &now.at).replace(" and ", " to ")));
    }
    if said.is_empty() && was.gear != now.gear {
        said.push("gear".into());
    }
    if !said.is_empty() {
        out.push(format!("{}: {}", now.label, said.join("; ")));
    }
}

fn word_of(band: Option<&crate::model::Band>) -> String {
    band.map_or("not said".into(), |b| b.nominal.value().to_string())
}

fn rope_changes(rig: &Rig, was: &Rope, now: &Rope, out: &mut Vec<String>) {
    let mut said = Vec::new();
    if was.length != now.length {
        said.push(format!("{} long, was {}", now.length, was.length));
    }
    if was.diameter != now.diameter {
        said.push(format!("{} thick, was {}", now.diameter, was.diameter));
    }
    if was.stopper != now.stopper {
        let words = match now.stopper {
            Some(true) => "its end stopped",
            Some(false) => "its end not stopped",
            None => "its end not said",
        };
        said.push(words.into());
    }
    if was.path != now.path {
        said.push(format!("runs over {}", names(rig, &now.path).replace(" and ", ", ")));
    }
    if !said.is_empty() {
        out.push(format!("{}: {}", now.label, said.join("; ")));
    }
}

/// Points that moved, but with the edge.
fn places(before: &Rig, after: &Rig, out: &mut Vec<String>) {
    let rise = after.edge.height.to_metres() - before.edge.height.to_metres();
    if rise != 0.0 {
        return;
    }
    for now in &after.points {
        let Some(was) = before.point(&now.id) else { continue };
        let (dx, dy) = (now.x.to_metres() - was.x.to_metres(), now.y.to_metres() - was.y.to_metres());
        if libm::hypot(dx, dy) > 5e-4 {
            let far = (libm::hypot(dx, dy) * 100.0).round() / 100.0;
            out.push(format!("{} moved by {far:.2} m", name(after, &now.id)));
        }
    }
}

fn hands(before: &Rig, after: &Rig, out: &mut Vec<String>) {
    let works = |hand: &Hand| names(after, &hand.works);
    for hand in &before.hands {
        match after.hand(&hand.id) {
            None => out.push(format!("{} taken away", hand.role)),
            Some(now) if now.works != hand.works => out.push(format!("{} works {}", now.role, works(now))),
            Some(_) => {}
        }
    }
    for hand in after.hands.iter().filter(|h| before.hand(&h.id).is_none()) {
        out.push(format!("{} put to work on {}", hand.role, works(hand)));
    }
    for state in &after.states {
        let Some(was) = before.states.iter().find(|s| s.id == state.id) else { continue };
        for (id, how) in &state.devices {
            if was.devices.get(id).is_some_and(|before| before != how) {
                out.push(format!("{} {} while {}", name(after, id), word(how), state.label));
            }
        }
    }
}
