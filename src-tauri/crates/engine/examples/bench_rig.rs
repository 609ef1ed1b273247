//! How long all checks of one state take: a twin lower without friction, its connectors made chains, 10 to 500 parts.
//! Prints JSON Lines: each rig with ms (median of some runs) and what the checks found, for `tests/verify/bench_rig.py`.

use rig::findings::{LossMode, LossVerdict};
use rig::guidelines::Guidelines;
use rig::model::{Line, Part, PartKind, Point, Rig, Support};
use rig::quantity::Length;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::time::Instant;

fn main() {
    let sizes: Vec<usize> = std::env::args().skip(1).filter_map(|a| a.parse().ok()).collect();
    let sizes = if sizes.is_empty() { vec![10, 28, 60, 120, 250, 500] } else { sizes };
    let guidelines = Guidelines::defaults();
    for size in sizes {
        let rig = chained(size);
        let mut took = Vec::new();
        let began = Instant::now();
        while took.len() < 25 && (took.len() < 5 || began.elapsed().as_secs_f64() < 3.0) {
            let once = Instant::now();
            let report = engine::check(&rig, &guidelines, None);
            std::hint::black_box(&report);
            took.push(once.elapsed().as_secs_f64() * 1000.0);
        }
        took.sort_by(f64::total_cmp);
        println!("{}", found(&rig, &guidelines, took[took.len() / 2]));
    }
}

/// What the checks found of every loss, and every part's force and margin after each that leaves the load held.
fn found(rig: &Rig, guidelines: &Guidelines, ms: f64) -> Value {
    let main = engine::check(rig, guidelines, None).main;
    let state = rig.states.first().map(|s| s.id.as_str());
    let mut losses = Vec::new();
    for (n, loss) in main.losses.iter().enumerate() {
        let name = match (loss.mode, &loss.group) {
            (_, Some(group)) => group.clone(),
            (LossMode::HandOff, _) => format!("{}:hand_off", loss.lost[0]),
            (LossMode::FreezesOn, _) => format!("{}:freezes_on", loss.lost[0]),
            _ => loss.lost[0].clone(),
        };
        let dropped = loss.verdict == LossVerdict::Dropped;
        let mut after = BTreeMap::new();
        // Each asks anew for all of them: of the largest rigs a sample.
        let asked = !dropped && (rig.parts.len() <= 120 || n % 64 == 0);
        if let Some(found) = asked.then(|| engine::what_if(rig, guidelines, state, &name)).flatten() {
            for part in found.parts.iter().filter(|p| !loss.lost.contains(&p.id)) {
                let force = part.force_kn.map(|f| [f.low, f.nominal, f.high]);
                after.insert(part.id.clone(), json!([force, part.margin]));
            }
        }
        losses.push(
            json!({"name": name, "lost": loss.lost, "mode": loss.mode, "dropped": dropped, "after": after}),
        );
    }
    json!({"parts": rig.parts.len(), "ms": ms, "rig": rig, "losses": losses, "pairs": main.critical_pairs})
}

/// The twin lower with two focal knots in one state, its edge without friction, each rope's connector made a chain until there are
/// so many parts; with fewer parts than it has, one rope of it alone.
fn chained(parts: usize) -> Rig {
    let set = ["edge_friction", "edge_friction_low", "edge_friction_high"]
        .map(|name| (name.to_string(), "1".to_string()));
    let mut rig =
        rig::templates::make("twin-lower-two-knots", &BTreeMap::from(set)).unwrap_or_else(|e| panic!("{e}"));
    rig.states.truncate(1);
    if parts < rig.parts.len() {
        alone(&mut rig);
        return rig;
    }
    let links = parts - rig.parts.len();
    for n in 0..links {
        let number = if n % 2 == 0 { "1" } else { "2" };
        let (last, low) = (format!("connector_{number}"), format!("at_focal_knot_{number}"));
        let (id, at) = (format!("link_{n}"), format!("at_link_{n}"));
        let top = rig.parts.iter().position(|p| p.id == last).unwrap_or_default();
        let knot = rig.points.iter().find(|p| p.id == low).cloned().unwrap_or_else(|| panic!("{low}"));
        // Each link lies under the one before it, between the device and the knot.
        let down = 0.14 * (n / 2 + 1) as f64 / (links / 2 + 2) as f64;
        let y = Length::metres(knot.y.to_metres() - down).unwrap_or(knot.y);
        rig.points.push(Point { id: at.clone(), y, fixed: false, ..knot });
        let holder = rig.parts[top].held_by.clone();
        let high = rig.parts[top].at[1].clone();
        let line = if number == "1" { Line::One } else { Line::Two };
        let mut link = Part::plain(&id, &id, PartKind::Connector, line, &[&at, &high], holder);
        link.strength.clone_from(&rig.parts[top].strength);
        rig.parts.push(link);
        rig.parts[top].held_by = Support::Part(id);
        rig.parts[top].at[1] = at;
    }
    rig
}

/// One rope with its anchors, and nothing at the edge: ten parts.
fn alone(rig: &mut Rig) {
    let ring = "bridle_ring_1";
    rig.parts.retain(|p| {
        let own = p.line == Line::One || p.kind == PartKind::Anchor;
        own && p.kind != PartKind::EdgeProtection
    });
    rig.ropes.retain(|r| r.line == Line::One);
    rig.ropes.iter_mut().for_each(|r| r.path.retain(|at| at != "at_edge_1"));
    rig.groups.clear();
    rig.hands.retain(|h| h.id == "rope_one_operator");
    rig.load.points = vec!["at_ring_1".into()];
    rig.load.held_by = Support::Part(ring.into());
    for state in &mut rig.states {
        state.devices.retain(|id, _| id == "device_1");
        state.hands.retain(|id| id == "rope_one_operator");
    }
}
