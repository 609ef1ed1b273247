//! Random falls with what the engine says of them, as JSON Lines for `cargo xtask verify`.
//!
//! `verify_drops SEED CASES`: the same seed gives the same lines.

use engine::drop::{Drop, Edge, End, Grip, Limits, fall};
use engine::falls::setting::Setting;
use engine::falls::within::{Arc, Hung};
use engine::falls::{Called, band, settings_of};
use rig::guidelines::Guidelines;
use serde_json::{Value, json};
use std::collections::BTreeMap;

#[path = "draw/mod.rs"]
mod draw;
use draw::Draw;

const LIMITS: Limits = Limits { fall: 60.0, time: 20.0 };

fn main() {
    let mut args = std::env::args().skip(1).map(|a| a.parse::<u64>().unwrap_or(1));
    let (seed, cases) = (args.next().unwrap_or(1), args.next().unwrap_or(200));
    let mut draw = Draw(seed);
    for _ in 0..cases {
        println!("{}", case(&mut draw));
    }
    of_rigs(&mut draw, cases);
    for _ in 0..cases.div_ceil(2) {
        println!("{}", tether(&mut draw));
    }
}

/// What hangs within the load and lost one of its tethers: taut with the damping of ropes or without, or slack.
fn tether(draw: &mut Draw) -> Value {
    let slack = draw.upto(2) == 0;
    let (long, angle) = (draw.between(0.5, 2.5), draw.between(0.0, 1.2));
    let (mass, gravity) = (draw.between(50.0, 150.0), draw.between(3.0, 9.80665));
    let stiffness = draw.between(20e3, 200e3) / long;
    let less = if slack { draw.between(0.02, 0.4) * long * angle.cos() } else { 0.0 };
    let arc = Arc {
        aside: long * angle.sin(),
        below: long * angle.cos() - less,
        long,
        share: if slack { 0.0 } else { draw.between(0.0, 1.0) * angle.cos() },
    };
    // How much of the first pull damping takes is left out: with none the bound is near, with some it is one.
    let damped = !slack && draw.upto(2) == 0;
    let damping = if damped { draw.between(0.0, 0.06) } else { 0.0 };
    let run = arc.run(&Hung { mass, gravity, stiffness });
    json!({
        "name": if slack { "a tether that is left, slack" } else { "a tether that is left, taut" },
        "tether": { "aside": arc.aside, "below": arc.below, "long": long, "share": arc.share },
        "mass": mass, "gravity": gravity, "stiffness": stiffness, "damping": damping,
        "engine": { "fall": run.fall, "peak": run.peak, "stopped": true },
        // Told as no less than it is; on a slack one the most that its energy allows.
        "short": 0.01, "over": if slack || damped { Value::Null } else { json!(0.3) },
    })
}

/// A belay that hangs slack, two tensioned ropes with hands of all kinds, one tied off; over an edge or not.
fn case(draw: &mut Draw) -> Value {
    let mass = draw.between(80.0, 300.0);
    let edge =
        (draw.upto(2) == 0).then(|| Edge { ratio: draw.between(1.1, 2.6), above: draw.between(1.0, 8.0) });
    let ratio = edge.map_or(1.0, |edge| edge.ratio);
    let (mut slack, mut carried) = (0.0, draw.between(0.2, 0.8) * mass * 9.80665);
    let held = carried / ratio;
    let closed = draw.between(4000.0, 9000.0);
    let grip = match draw.upto(3) {
        0 => {
            (slack, carried) = (draw.between(0.1, 1.0), 0.0);
            let (feeds, grabs) = (draw.between(0.0, 500.0), draw.between(0.2, 0.8));
            vec![(0.0, feeds), (grabs, feeds), (grabs + 0.1, closed)]
        }
        1 => {
            let (tailer, acts, reacts) =
                (draw.between(300.0, 3000.0), draw.between(0.1, 0.3), draw.between(0.4, 1.0));
            let both = held + tailer;
            vec![(0.0, held), (acts, held), (acts + 0.1, both), (reacts, both), (reacts + 0.15, closed)]
        }
        _ => vec![(0.0, 1e9)],
    };
    let drop = Drop {
        mass,
        gravity: 9.80665,
        speed: draw.between(0.0, 0.8),
        stiffness: draw.between(20e3, 130e3),
        damping: draw.between(0.01, 0.06),
        below: draw.between(2.0, 40.0),
        edge,
        slack,
        carried,
        grip: Grip::over_time(grip),
    };
    let told = match fall(&drop, LIMITS) {
        Ok(stop) => json!({
            "fall": stop.fall, "peak": stop.peak, "through": stop.through, "time": stop.time, "stopped": stop.end == End::Stopped,
        }),
        Err(error) => json!({ "error": error.to_string() }),
    };
    let (name, within) =
        if edge.is_some() { ("a fall over an edge", 2e-5) } else { ("a fall without an edge", 1e-6) };
    let whole = told_case(name, std::slice::from_ref(&drop), LIMITS);
    with(whole, json!({ "engine": told, "within_m": within, "within_peak": 1e-3 }))
}

/// Runs as bands draw them: rigs from templates, what is lost in them, two ropes that catch the load together among them.
fn of_rigs(draw: &mut Draw, cases: u64) {
    let guidelines = Guidelines::defaults();
    let mut settings: Vec<(String, Setting)> = Vec::new();
    for template in rig::templates::list() {
        let Ok(rig) = rig::templates::make(template.name, &BTreeMap::new()) else { continue };
        for state in &rig.states {
            let all = settings_of(&rig, &guidelines, &state.id, &Called::default());
            settings.extend(all.into_iter().filter(|(_, setting)| setting.within.is_none()));
        }
    }
    for n in 0..cases {
        let (_, setting) = &settings[draw.upto(settings.len())];
        let values = setting.parameters.drawn(n, 1);
        let drops = setting.drops(&values, true);
        let limits = Limits { fall: 100.0, time: 30.0 };
        let told = match band::run(&drops, band::STEP) {
            Ok(run) => {
                json!({ "fall": run.fall, "peak": run.peak, "time": run.time, "stopped": run.fall.is_finite() })
            }
            Err(error) => json!({ "error": error.to_string() }),
        };
        let name = if drops.len() > 1 { "a run of a band, two ropes" } else { "a run of a band, one rope" };
        let whole = told_case(name, &drops, limits);
        println!("{}", with(whole, json!({ "engine": told, "within_m": 2e-3, "within_peak": 1e-2 })));
    }
}

fn with(mut whole: Value, more: Value) -> Value {
    if let (Some(whole), Value::Object(more)) = (whole.as_object_mut(), more) {
        whole.extend(more);
    }
    whole
}

fn told_case(name: &str, drops: &[Drop], limits: Limits) -> Value {
    let ropes: Vec<Value> = drops
        .iter()
        .map(|d| {
            json!({
                "stiffness": d.stiffness, "damping": d.damping, "below": d.below, "ratio": d.edge.map(|edge| edge.ratio),
                "above": d.edge.map(|edge| edge.above), "slack": d.slack, "carried": d.carried, "grip": d.grip.points(),
            })
        })
        .collect();
    json!({
        "name": name, "mass": drops[0].mass, "gravity": drops[0].gravity, "speed": drops[0].speed, "ropes": ropes,
        "most_m": limits.fall, "most_s": limits.time,
    })
}
