//! How long a band of 4 000 runs takes: a rope lost in a twin lower over an edge, the same without one, a leg lost (two ropes catch
//! it; without the mass of the knot that swings), an untensioned belay; then a leg lost with that mass. Prints JSON Lines: the time
//! (median of some bands) and a sample of its runs, for `tests/verify/bench_loss.py`; no sample where something swings (that is
//! `verify_swings`).

use engine::drop::Drop;
use engine::falls::setting::Setting;
use engine::falls::{Called, Runs, band, settings_of, swinging};
use rig::guidelines::Guidelines;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::time::Instant;

const RUNS: Runs = Runs { count: 4000, seed: 1 };
const SAMPLE: u32 = 24;

fn main() {
    let flat = [("edge_friction", "1"), ("edge_friction_low", "1"), ("edge_friction_high", "1")];
    for (name, template, set, lost) in [
        ("rope lost, over an edge", "twin-lower-two-knots", &[][..], "rope one"),
        ("rope lost, no edge", "twin-lower-two-knots", &flat[..], "rope one"),
        ("anchor leg lost, two ropes", "twin-lower-two-knots", &[][..], "V leg 1a"),
        ("main lost, untensioned belay", "main-and-belay-lower", &[][..], "rope one"),
    ] {
        let set: BTreeMap<String, String> = set.iter().map(|(k, v)| ((*k).into(), (*v).into())).collect();
        let rig = rig::templates::make(template, &set).unwrap_or_else(|e| panic!("{e}"));
        let all = settings_of(&rig, &Guidelines::defaults(), &rig.states[0].id, &Called::default());
        let (_, mut setting) =
            all.into_iter().find(|(own, _)| own.starts_with(lost)).unwrap_or_else(|| panic!("{lost}"));
        if !set.is_empty() {
            // Nothing is left of the edge.
            for strand in &mut setting.strands {
                (strand.below, strand.above) = (strand.below + strand.above, 0.0);
                strand.over.clear();
            }
        }
        println!("{}", timed(name, &setting));
        if lost.starts_with("V leg") {
            println!("{}", swung("the same, the knot swings", &setting));
        }
    }
}

fn swung(name: &str, setting: &Setting) -> Value {
    let Some(Ok(swings)) = &setting.swings else { panic!("{name}: nothing swings") };
    let (mut took, mut runs) = (Vec::new(), 0);
    for _ in 0..5 {
        let began = Instant::now();
        let plain = band::many(setting, RUNS).unwrap_or_else(|e| panic!("{e}"));
        let sway = swinging::sway(setting, swings, RUNS, &plain).unwrap_or_else(|e| panic!("{e}"));
        std::hint::black_box(sway.band(&band::Band::of(&plain, setting.strands.len())));
        took.push(began.elapsed().as_secs_f64() * 1e3);
        runs = sway.runs;
    }
    took.sort_by(f64::total_cmp);
    json!({"name": format!("{name} in {runs} of them"), "runs": RUNS.count, "ms": took[took.len() / 2], "sample": []})
}

fn timed(name: &str, setting: &Setting) -> Value {
    let mut took: Vec<f64> = (0..9)
        .map(|_| {
            let began = Instant::now();
            std::hint::black_box(band::band(setting, RUNS)).unwrap_or_else(|e| panic!("{e}"));
            began.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    took.sort_by(f64::total_cmp);
    let sample: Vec<Value> = (0..SAMPLE)
        .map(|n| {
            let values = setting.parameters.drawn(RUNS.seed, n);
            let drops = setting.drops(&values, true);
            let run = band::run(&drops, band::STEP).unwrap_or_else(|e| panic!("{e}"));
            json!({
                "mass": setting.mass, "gravity": drops[0].gravity, "speed": drops[0].speed,
                "ropes": drops.iter().map(rope).collect::<Vec<_>>(), "most_m": 100.0, "most_s": 30.0,
                "fall": run.fall, "peak": run.peak,
            })
        })
        .collect();
    json!({"name": name, "runs": RUNS.count, "ms": took[took.len() / 2], "sample": sample})
}

fn rope(d: &Drop) -> Value {
    json!({
        "stiffness": d.stiffness, "damping": d.damping, "below": d.below, "ratio": d.edge.map(|edge| edge.ratio),
        "above": d.edge.map(|edge| edge.above), "slack": d.slack, "carried": d.carried, "grip": d.grip.points(),
    })
}
