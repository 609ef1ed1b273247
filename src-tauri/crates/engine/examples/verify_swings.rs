//! Falls in which what holds a device swings, from templates that lose a leg, an anchor or a plate, with what the engine says of
//! them, as JSON Lines for `cargo xtask verify`.
//!
//! `verify_swings SEED CASES`: the same seed gives the same lines.

use engine::drop::End;
use engine::drop::swing::{At, Swing, quick};
use engine::falls::swinging::{limits, swing_of};
use engine::falls::{Called, settings_of};
use rig::guidelines::Guidelines;
use serde_json::{Value, json};
use std::collections::BTreeMap;

#[path = "draw/mod.rs"]
mod draw;
use draw::Draw;

/// As many cases as a patient reader waits for: the other solver takes seconds for each.
const MOST: u64 = 20;

fn main() {
    let mut args = std::env::args().skip(1).map(|a| a.parse::<u64>().unwrap_or(1));
    let (seed, cases) = (args.next().unwrap_or(1), args.next().unwrap_or(40).min(MOST));
    let mut draw = Draw(seed);
    let guidelines = Guidelines::defaults();
    let mut swings = Vec::new();
    for template in rig::templates::list() {
        let Ok(rig) = rig::templates::make(template.name, &BTreeMap::new()) else { continue };
        for state in &rig.states {
            for (lost, setting) in settings_of(&rig, &guidelines, &state.id, &Called::default()) {
                if let Some(Ok(own)) = setting.swings.clone() {
                    swings.push((format!("{} {} without {lost}", template.name, state.id), setting, own));
                }
            }
        }
    }
    for _ in 0..cases {
        let (of, setting, own) = &swings[draw.upto(swings.len())];
        // Any run of a band will do.
        let values = setting.parameters.drawn(draw.between(0.0, 1e6) as u64, 1);
        println!("{}", case(of, &swing_of(setting, own, &values, true)));
    }
}

fn case(of: &str, swing: &Swing) -> Value {
    let end = |at: At| match at {
        At::Node(n) => json!({ "node": n }),
        At::Ground((x, y)) => json!({ "at": [x, y] }),
    };
    let ties: Vec<Value> = swing
        .ties
        .iter()
        .map(|t| {
            let ends: Vec<Value> = t.ends.into_iter().map(end).collect();
            json!({ "ends": ends, "natural": t.natural, "stiffness": t.stiffness, "damping": t.damping })
        })
        .collect();
    let ropes: Vec<Value> = swing
        .ropes
        .iter()
        .map(|r| {
            let d = &r.drop;
            json!({
                "stiffness": d.stiffness, "damping": d.damping, "below": d.below, "slack": d.slack, "carried": d.carried,
                "ratio": d.edge.map(|e| e.ratio), "above": d.edge.map(|e| e.above), "grip": d.grip.points(),
                "device": end(r.device), "from": [r.from.0, r.from.1],
            })
        })
        .collect();
    let nodes: Vec<Value> =
        swing.nodes.iter().map(|n| json!({ "at": [n.place.0, n.place.1], "mass": n.mass })).collect();
    let first = &swing.ropes[0].drop;
    let told = match quick(swing, limits()) {
        Ok(found) => json!({
            "fall": found.stop.fall, "peak": found.stop.peak, "ties": found.ties, "devices": found.devices,
            "stopped": found.stop.end == End::Stopped,
        }),
        Err(error) => json!({ "error": error.to_string() }),
    };
    json!({
        "of": of, "mass": first.mass, "gravity": first.gravity, "speed": first.speed, "nodes": nodes, "ties": ties, "ropes": ropes,
        "engine": told,
    })
}
