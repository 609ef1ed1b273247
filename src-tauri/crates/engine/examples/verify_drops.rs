//! Random falls with what the engine says of them, as JSON Lines for `cargo xtask verify`.
//!
//! `verify_drops SEED CASES`: the same seed gives the same lines.

use engine::drop::{Drop, Edge, End, Grip, Limits, fall};
use serde_json::{Value, json};

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
        speed: draw.between(0.0, 0.8),
        stiffness: draw.between(20e3, 130e3),
        damping: draw.between(0.01, 0.06),
        below: draw.between(2.0, 40.0),
        edge,
        slack,
        carried,
        grip: Grip::over_time(grip.clone()),
    };
    let told = match fall(&drop, LIMITS) {
        Ok(stop) => json!({
            "fall": stop.fall, "peak": stop.peak, "through": stop.through, "time": stop.time, "stopped": stop.end == End::Stopped,
        }),
        Err(error) => json!({ "error": error.to_string() }),
    };
    json!({
        "mass": mass, "speed": drop.speed, "stiffness": drop.stiffness, "damping": drop.damping, "below": drop.below,
        "ratio": edge.map(|edge| edge.ratio), "above": edge.map(|edge| edge.above), "slack": slack, "carried": carried,
        "grip": grip, "most_m": LIMITS.fall, "most_s": LIMITS.time, "engine": told,
    })
}
