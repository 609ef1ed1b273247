//! Metres (or feet) a minute between called heights, as steps; one run beside the other at one scale.

use super::{S, XS, nice_step};
use crate::build::{Type, pen, size};
use crate::list::{DisplayList, Ink, Stroke};
use crate::moment::{Local, Span};
use crate::picture::runs_of;
use ::rig::units::{Kind, Units};

/// The chart, `height` mm high over its axis. `heights` are called heights over the ground.
pub fn speed(
    heights: &[(i64, f64)],
    spans: &[Span],
    width: f64,
    height: f64,
    offset_min: i32,
    units: Units,
) -> DisplayList {
    let mut list = DisplayList::new(width, height + 7.4);
    let runs: Vec<Vec<(i64, f64)>> =
        runs_of(heights, spans).into_iter().filter(|run| run.len() > 1).collect();
    let lasting = |run: &[(i64, f64)]| match (run.first(), run.last()) {
        (Some(first), Some(last)) => (last.0 as f64 - first.0 as f64) / 1000.0,
        _ => 0.0,
    };
    let total: f64 = runs.iter().map(|run| lasting(run)).sum();
    if total <= 0.0 {
        list.text((0.0, 4.0), "fewer than two heights were called in one run", S);
        list.height = 6.0;
        return list;
    }
    let steps: Vec<Vec<Step>> = runs.iter().map(|run| speeds(run, units)).collect();
    let top = steps.iter().flatten().map(|s| s.rate).fold(1.0, f64::max);
    let step = nice_step(top, 4.0);
    let full = (top / step).ceil() * step;
    let left = 10.0;
    let gap = 8.0_f64.min((width - left) / (4.0 * runs.len() as f64));
    let per_s = (width - left - gap * (runs.len() - 1) as f64 - 0.2) / total;
    let level = |rate: f64| 2.0 + (1.0 - (rate / full).clamp(0.0, 1.0)) * height;
    for i in 0..=(full / step).round() as usize {
        let y = level(i as f64 * step);
        let stroke = Stroke::solid(Ink::Ink, pen::HAIR);
        list.line((left, y), (width, y), if i == 0 { stroke } else { stroke.dashed(0.2, 1.0) });
        list.text((left - 1.2, y + 0.9), &format!("{:.0}", i as f64 * step), XS.end());
    }
    let local = Local(offset_min);
    let (mut x, mut named) = (left, f64::NEG_INFINITY);
    for (run, steps) in runs.iter().zip(&steps) {
        let at = |ms: i64| x + (ms as f64 - run[0].0 as f64) / 1000.0 * per_s;
        let mut outline = Vec::new();
        for s in steps {
            let (from, to) = (at(s.from), at(s.to));
            list.rect(from, level(s.rate), to - from, level(0.0) - level(s.rate), Some(Ink::Light), None);
            outline.extend([(from, level(s.rate)), (to, level(s.rate))]);
        }
        list.polyline(&outline, Stroke::solid(Ink::Ink, pen::FINE));
        let way = if run[run.len() - 1].1 > run[0].1 { "raise" } else { "lower" };
        let words = format!("{way}, {}", local.hm(run[0].0));
        let set = Type::bold(size::XS);
        if x >= named + 1.4 && x + set.width(&words) <= width {
            list.text((x, level(0.0) + 3.4), &words, set);
            named = x + set.width(&words);
        }
        x += lasting(run) * per_s + gap;
    }
    list
}

struct Step {
    from: i64,
    to: i64,
    rate: f64,
}

/// Metres or feet a minute from each call to the next; two calls of one second say nothing.
fn speeds(run: &[(i64, f64)], units: Units) -> Vec<Step> {
    let pairs = run.iter().zip(run.iter().skip(1)).filter(|(a, b)| b.0.saturating_sub(a.0) >= 1000);
    pairs
        .map(|(a, b)| {
            let minutes = (b.0 as f64 - a.0 as f64) / 60_000.0;
            Step { from: a.0, to: b.0, rate: units.value(Kind::Speed, ((b.1 - a.1) / minutes).abs()) }
        })
        .collect()
}
