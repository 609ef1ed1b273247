//! How long all checks of a rig take, a state: a twin lower with connectors added to each rope's chain, 10 to 500 parts.
//! Prints JSON Lines: parts, ms a state (median of some runs), and what was checked.

use rig::guidelines::Guidelines;
use rig::model::{Line, Part, PartKind, Point, Rig, Support};
use rig::quantity::Length;
use std::collections::BTreeMap;
use std::time::Instant;

fn main() {
    let sizes: Vec<usize> = std::env::args().skip(1).filter_map(|a| a.parse().ok()).collect();
    let sizes = if sizes.is_empty() { vec![28, 60, 120, 250, 500] } else { sizes };
    let guidelines = Guidelines::defaults();
    for size in sizes {
        let rig = chained(size);
        let mut took = Vec::new();
        let began = Instant::now();
        while took.len() < 5 && (took.is_empty() || began.elapsed().as_secs_f64() < 10.0) {
            let once = Instant::now();
            let report = engine::check(&rig, &guidelines, None);
            std::hint::black_box(&report);
            took.push(once.elapsed().as_secs_f64() * 1000.0);
        }
        took.sort_by(f64::total_cmp);
        let state = took[took.len() / 2] / rig.states.len() as f64;
        let losses = engine::check(&rig, &guidelines, None).main.losses.len();
        println!(
            "{{\"what\":\"rig\",\"parts\":{},\"losses\":{losses},\"ms_a_state\":{state:.2},\"goal_ms\":10}}",
            rig.parts.len()
        );
    }
}

/// The twin lower with two focal knots, its edge without friction, each rope's connector made a chain until there are so many parts.
fn chained(parts: usize) -> Rig {
    let set = ["edge_friction", "edge_friction_low", "edge_friction_high"]
        .map(|name| (name.to_string(), "1".to_string()));
    let mut rig =
        rig::templates::make("twin-lower-two-knots", &BTreeMap::from(set)).unwrap_or_else(|e| panic!("{e}"));
    let mut n = 0;
    while rig.parts.len() < parts {
        let number = if n % 2 == 0 { "1" } else { "2" };
        let (last, low) = (format!("connector_{number}"), format!("at_focal_knot_{number}"));
        let (id, at) = (format!("link_{n}"), format!("at_link_{n}"));
        // Between the chain's top and the knot.
        let top = rig.parts.iter().position(|p| p.id == last).unwrap_or_default();
        let knot = rig.points.iter().find(|p| p.id == low).cloned().unwrap_or_else(|| panic!("{low}"));
        let up = 0.001 * (n + 1) as f64;
        let y = Length::metres(knot.y.to_metres() - 0.1 + up.min(0.09)).unwrap_or(knot.y);
        rig.points.push(Point { id: at.clone(), y, fixed: false, ..knot });
        let holder = rig.parts[top].held_by.clone();
        let high = rig.parts[top].at[1].clone();
        let line = if number == "1" { Line::One } else { Line::Two };
        rig.parts.push(Part::plain(&id, &id, PartKind::Connector, line, &[&at, &high], holder));
        rig.parts[top].held_by = Support::Part(id);
        rig.parts[top].at[1] = at;
        n += 1;
    }
    rig
}
