//! Random networks, rigs and hauling systems with what the engine says of them, as JSON Lines for `cargo xtask verify`.
//!
//! `verify_cases SEED CASES`: the same seed gives the same lines.

use engine::statics::network::{Contact, Network, Run, Tie};
use engine::statics::{self, Scene, settle};
use engine::support::{Lost, Model};
use rig::model::{DeviceState, Line, Part, PartKind, Sliding, Support};
use serde_json::{Value, json};
use std::collections::BTreeMap;

#[path = "draw/mod.rs"]
mod draw;
use draw::Draw;

fn main() {
    let mut args = std::env::args().skip(1).map(|a| a.parse::<u64>().unwrap_or(1));
    let (seed, cases) = (args.next().unwrap_or(1), args.next().unwrap_or(300));
    let mut draw = Draw(seed);
    for _ in 0..cases {
        println!("{}", network(&mut draw));
        println!("{}", settled(&mut draw));
        println!("{}", support(&mut draw));
    }
    for template in rig::templates::list() {
        println!("{}", whole(template.name));
        // A change-over hauls in one of its steps alone.
        if template.name.starts_with("raise") || template.name == "main-and-belay-raise" {
            println!("{}", advantage(template.name));
        }
    }
}

/// One or two knots on two to five legs each, some of them long, a load on each; at times the second hangs on the first.
fn network(draw: &mut Draw) -> Value {
    let mut net = Network { points: vec![(0.0, 0.0)], fixed: vec![false], ..Network::default() };
    let legs = 2 + draw.upto(4);
    for n in 0..legs {
        let spread = -1.1 + 2.2 * (n as f64 + draw.between(0.2, 0.8)) / legs as f64;
        let length = draw.between(1.0, 4.0);
        net.points.push((length * libm::sin(spread), length * libm::cos(spread)));
        net.fixed.push(true);
        let gap = if draw.upto(4) == 0 { draw.between(0.0, 0.05) } else { 0.0 };
        let stiffness = draw.between(2e4, 2e5);
        net.ties.push(Tie { low: 0, high: n + 1, stiffness, gap, strut: false });
    }
    let way = draw.between(-0.25, 0.25);
    let size = draw.between(500.0, 8000.0);
    net.forces.push((0, (size * libm::sin(way), -size * libm::cos(way))));
    if draw.upto(2) == 0 {
        // A rope from below over the knot's own ring pulls it too.
        let below = net.points.len();
        net.points.push((draw.between(-0.5, 0.5), -5.0));
        net.fixed.push(false);
        net.points.push((draw.between(-0.5, 0.5), 3.0));
        net.fixed.push(true);
        let tension = Some(draw.between(100.0, 2000.0));
        let ratio = draw.between(0.5, 1.0);
        net.runs.push(Run::over(vec![below, 0, below + 1], vec![Contact::Ratio(ratio)], tension));
    }
    let said = match net.solve() {
        Ok(solution) => json!({"ties": solution.ties, "runs": solution.runs, "shared": solution.shared,
                               "moved": solution.moved, "residual": solution.residual, "rest": solution.at_rest.is_some()}),
        Err(why) => json!({"unsolved": format!("{why:?}")}),
    };
    json!({"case": "network", "points": net.points, "fixed": net.fixed, "ties": ties_of(&net), "runs": runs_of(&net),
           "forces": net.forces, "engine": said})
}

/// A knot on some legs that has lost one of them, a second that may hang from it and be held aside by a guy, a rope over the knot's
/// own ring or over a pulley on a sling: at rest by stiffness, and with what is taut as long as it was drawn.
fn settled(draw: &mut Draw) -> Value {
    let mut net = Network { points: vec![(0.0, 0.0)], fixed: vec![false], ..Network::default() };
    let legs = 2 + draw.upto(3);
    let lost = draw.upto(legs);
    let stiff = |draw: &mut Draw| draw.between(2e4, 2e5);
    for n in (0..legs).filter(|n| *n != lost) {
        let spread = -1.1 + 2.2 * (n as f64 + draw.between(0.2, 0.8)) / legs as f64;
        let at = ground(draw, &mut net, spread, (1.0, 4.0));
        let gap = if draw.upto(4) == 0 { draw.between(0.0, 0.3) } else { 0.0 };
        net.ties.push(Tie { low: 0, high: at, stiffness: stiff(draw), gap, strut: false });
    }
    let (way, size) = (draw.between(-0.4, 0.4), draw.between(500.0, 8000.0));
    let force = (size * libm::sin(way), -size * libm::cos(way));
    if draw.upto(2) == 0 {
        let below = net.points.len();
        net.points.push((draw.between(-0.5, 0.5), -1.5));
        net.fixed.push(false);
        net.ties.push(Tie { stiffness: stiff(draw), ..Tie::plain(below, 0) });
        net.forces.push((below, force));
        if draw.upto(2) == 0 {
            let side = if draw.upto(2) == 0 { 2.0 } else { -2.0 };
            net.points.push((side, draw.between(-1.5, 0.5)));
            net.fixed.push(true);
            let guy = Tie::plain(below, below + 1);
            net.ties.push(Tie { gap: draw.between(0.0, 0.6), stiffness: stiff(draw), ..guy });
        }
    } else {
        net.forces.push((0, force));
    }
    if draw.upto(2) == 0 {
        let load = net.points.len();
        let over = if draw.upto(2) == 0 { 0 } else { load + 2 };
        net.points
            .extend([(draw.between(-0.5, 0.5), -6.0), (draw.between(-5.0, 5.0), draw.between(-2.0, 3.0))]);
        net.fixed.extend([false, true]);
        if over != 0 {
            net.points.extend([(draw.between(2.0, 3.0), 0.5), (3.0, 2.0)]);
            net.fixed.extend([false, true]);
            net.ties.push(Tie { stiffness: stiff(draw), ..Tie::plain(over, over + 1) });
        }
        let ratio = draw.between(0.5, 1.0);
        let tension = Some(draw.between(100.0, 2000.0));
        net.runs.push(Run::over(vec![load, over, load + 1], vec![Contact::Ratio(ratio)], tension));
    }
    let held = |p: usize| net.runs.iter().any(|run| run.path[0] == p);
    let free: Vec<bool> = (0..net.points.len()).map(|p| !net.fixed[p] && !held(p)).collect();
    let elastic = match settle::rest(&net, &free, 1e6, settle::Lengths::Unloaded, None) {
        Ok(rest) => json!({"ties": rest.ties, "points": rest.points}),
        Err(why) => json!({"unsolved": format!("{why:?}")}),
    };
    let kept = match net.solve() {
        Ok(found) => json!({"ties": found.ties, "points": found.places(&net), "shared": found.shared,
                            "rest": found.at_rest.is_some()}),
        Err(why) => json!({"unsolved": format!("{why:?}")}),
    };
    json!({"case": "settled", "points": net.points, "free": free, "ties": ties_of(&net), "runs": runs_of(&net),
           "forces": net.forces, "engine": {"elastic": elastic, "kept": kept}})
}

/// A point of the ground at this angle from straight up.
fn ground(draw: &mut Draw, net: &mut Network, angle: f64, far: (f64, f64)) -> usize {
    let length = draw.between(far.0, far.1);
    net.points.push((length * libm::sin(angle), length * libm::cos(angle)));
    net.fixed.push(true);
    net.points.len() - 1
}

fn ties_of(net: &Network) -> Vec<Value> {
    net.ties.iter().map(|t| json!({"low": t.low, "high": t.high, "ea": t.stiffness, "gap": t.gap})).collect()
}

fn runs_of(net: &Network) -> Vec<Value> {
    let ratio = |c: &Contact| if let Contact::Ratio(r) = c { *r } else { f64::NAN };
    let one = |r: &Run| {
        let ratios: Vec<f64> = r.contacts.iter().map(ratio).collect();
        json!({"path": r.path, "ratios": ratios, "tension": r.tension})
    };
    net.runs.iter().map(one).collect()
}

/// A rig of plain parts with random rules over one another, from the ground up, with unfounded cycles among them.
fn support(draw: &mut Draw) -> Value {
    let mut rig =
        rig::templates::make("twin-lower-two-knots", &BTreeMap::new()).unwrap_or_else(|e| panic!("{e}"));
    let count = 6 + draw.upto(8);
    let plain_only = draw.upto(3) == 0;
    let id = |n: usize| format!("p{n}");
    let mut parts = Vec::new();
    for n in 0..count {
        let rule = if n < 2 || draw.upto(8) == 0 {
            Support::Ground
        } else {
            let some = (0..1 + draw.upto(3)).map(|_| Support::Part(id(draw.upto(count)))).collect::<Vec<_>>();
            match draw.upto(3) {
                _ if plain_only => Support::Any(some),
                0 => Support::All(some),
                1 => Support::Backup(some),
                _ => Support::Any(some),
            }
        };
        parts.push(Part::plain(&id(n), &id(n), PartKind::Plate, Line::Shared, &[], rule));
    }
    rig.parts = parts;
    rig.ropes.clear();
    rig.hands.clear();
    rig.groups.clear();
    rig.load.held_by = Support::Any(vec![Support::Part(id(count - 1)), Support::Part(id(draw.upto(count)))]);
    for state in &mut rig.states {
        state.devices = BTreeMap::<String, DeviceState>::new();
        state.hands.clear();
    }
    let model = Model::new(&rig, &rig.states[0]);
    let held = |lost: &Lost| model.solve(lost).load > engine::support::Hold::Not;
    let lost = |parts: Vec<usize>| Lost { parts, hands: Vec::new() };
    let whole = held(&Lost::default());
    let singles: Vec<String> = (0..count).filter(|n| !held(&lost(vec![*n]))).map(id).collect();
    // As the critical pairs are found: many at once.
    let each: Vec<Lost> = (0..count).map(|n| lost(vec![n])).collect();
    let two: Vec<(usize, usize)> = (0..count).flat_map(|a| (a + 1..count).map(move |b| (a, b))).collect();
    let dropped = model.drops_each(&two.iter().map(|(a, b)| [&each[*a], &each[*b]]).collect::<Vec<_>>());
    let pairs: Vec<[String; 2]> =
        two.iter().zip(dropped).filter(|(_, dropped)| *dropped).map(|((a, b), _)| [id(*a), id(*b)]).collect();
    let rules: BTreeMap<String, &Support> = rig.parts.iter().map(|p| (p.id.clone(), &p.held_by)).collect();
    json!({"case": "support", "rules": rules, "load": rig.load.held_by, "plain": plain_only,
           "engine": {"held": whole, "singles": singles, "pairs": pairs}})
}

/// A template's first state: forces at the nominal values with what they follow from.
fn whole(template: &str) -> Value {
    let rig = rig::templates::make(template, &BTreeMap::new()).unwrap_or_else(|e| panic!("{template}: {e}"));
    let found = engine::check(&rig, &rig::guidelines::Guidelines::defaults(), None).main;
    let forces: BTreeMap<&str, Option<f64>> =
        found.parts.iter().map(|p| (p.id.as_str(), p.force_kn.map(|f| f.nominal * 1000.0))).collect();
    json!({"case": "template", "name": template, "rig": rig, "state": found.state, "engine": {"forces": forces}})
}

/// A hauling template: its layout, and its theoretical advantage as traced.
fn advantage(template: &str) -> Value {
    let set = BTreeMap::from([("share_low".to_string(), "1".to_string())]);
    let rig = rig::templates::make(template, &set).unwrap_or_else(|e| panic!("{template}: {e}"));
    let state = rig.state(Some("raising")).unwrap_or_else(|| panic!("{template}"));
    let model = Model::new(&rig, state);
    let outcome = model.solve(&Lost::default());
    let scene = Scene::new(&model, &outcome, &[]).unwrap_or_else(|e| panic!("{template}: {e}"));
    let team = rig.hands.iter().find(|h| h.id == "haul_team").map(|h| h.works[0].clone()).unwrap_or_default();
    let rope = scene.ropes.iter().position(|r| rig.parts[r.part].id == team).unwrap_or_default();
    let found =
        statics::haul(&model, &scene, rope, Sliding::Raising).unwrap_or_else(|e| panic!("{template}: {e}"));
    json!({"case": "advantage", "name": template, "rig": rig, "hauled": team, "engine": {"theoretical": found.theoretical}})
}
