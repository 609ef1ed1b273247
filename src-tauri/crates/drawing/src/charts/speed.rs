//! Metres (or feet) a minute between called heights, as they were measured, in steps; one run beside the other at one scale.

use super::{S, XS, nice_step};
use crate::build::{Type, pen, size};
use crate::list::{DisplayList, Ink, Stroke};
use crate::moment::Local;
use ::rig::units::{Kind, Units};

/// How fast the load was between two called heights.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Pace {
    /// When the first was called.
    pub from_ms: i64,
    /// When the second was.
    pub to_ms: i64,
    /// Metres a minute of the time in which it moved between them; down is positive.
    pub m_per_min: f64,
}

/// Longer than this with no pace, and another run begins; a shorter time stays empty.
const APART_MS: i64 = 600_000;
/// Steps narrower than this share a column, mm.
const COLUMN: f64 = 0.6;
/// A way narrower than this gets no name of its own within a run, mm.
const NAMED: f64 = 2.0;
/// Room of the scale at the left, mm.
const LEFT: f64 = 10.0;

/// The chart, `height` mm high over its axis.
pub fn speed(paces: &[Pace], width: f64, height: f64, offset_min: i32, units: Units) -> DisplayList {
    let mut list = DisplayList::new(width, height + 7.4);
    let runs = runs(paces, units);
    let total: f64 = runs.iter().map(|run| lasting(run)).sum();
    if total <= 0.0 {
        list.text((0.0, 4.0), "fewer than two heights were called in one run", S);
        list.height = 6.0;
        return list;
    }
    let top = runs.iter().flatten().map(|s| s.rate).fold(1.0, f64::max);
    let step = nice_step(top, 4.0);
    let full = (top / step).ceil() * step;
    let gap = 8.0_f64.min((width - LEFT) / (4.0 * runs.len() as f64));
    let per_s = (width - LEFT - gap * (runs.len() - 1) as f64 - 0.2) / total;
    let level = |rate: f64| 2.0 + (1.0 - (rate / full).clamp(0.0, 1.0)) * height;
    for i in 0..=(full / step).round() as usize {
        let y = level(i as f64 * step);
        let stroke = Stroke::solid(Ink::Ink, pen::HAIR);
        list.line((LEFT, y), (width, y), if i == 0 { stroke } else { stroke.dashed(0.2, 1.0) });
        list.text((LEFT - 1.2, y + 0.9), &format!("{:.0}", i as f64 * step), XS.end());
    }
    let local = Local(offset_min);
    let (mut x, mut named, mut shared) = (LEFT, f64::NEG_INFINITY, false);
    for run in &runs {
        let at = |ms: i64| x + (ms as f64 - run[0].from as f64) / 1000.0 * per_s;
        shared |= bars(&mut list, run, &at, &level);
        for (i, s) in run.iter().enumerate().filter(|(i, s)| *i == 0 || run[i - 1].down != s.down) {
            let until =
                run[i..].iter().take_while(|other| other.down == s.down).last().map_or(s.to, |s| s.to);
            if i > 0 && at(until) - at(s.from) < NAMED {
                continue;
            }
            let words = format!("{}, {}", if s.down { "lower" } else { "raise" }, local.hm(run[i].from));
            let (set, x) = (Type::bold(size::XS), at(s.from));
            if x >= named + 1.4 && x + set.width(&words) <= width {
                list.text((x, level(0.0) + 3.4), &words, set);
                named = x + set.width(&words);
            }
        }
        x += lasting(run) * per_s + gap;
    }
    if shared {
        list.text((LEFT, level(0.0) + 6.6), "where several share a column, the fastest is drawn", XS);
        list.height += 3.2;
    }
    list
}

struct Step {
    from: i64,
    to: i64,
    rate: f64,
    down: bool,
}

/// Seconds from the first to the last moment of a run.
fn lasting(run: &[Step]) -> f64 {
    match (run.first(), run.last()) {
        (Some(first), Some(last)) => (last.to as f64 - first.from as f64) / 1000.0,
        _ => 0.0,
    }
}

/// What lies close together in time is one run.
fn runs(paces: &[Pace], units: Units) -> Vec<Vec<Step>> {
    let mut paces: Vec<&Pace> =
        paces.iter().filter(|p| p.to_ms > p.from_ms && p.m_per_min.is_finite()).collect();
    paces.sort_by_key(|p| (p.from_ms, p.to_ms));
    let mut out: Vec<Vec<Step>> = Vec::new();
    for p in paces {
        let rate = units.value(Kind::Speed, p.m_per_min.abs());
        let step = Step { from: p.from_ms, to: p.to_ms, rate, down: p.m_per_min >= 0.0 };
        match out.last_mut() {
            Some(run) if run.last().is_some_and(|b| p.from_ms.saturating_sub(b.to) <= APART_MS) => {
                // Two that overlap, which no record gives, stand one after the other.
                let from = run.last().map_or(step.from, |before| before.to.max(step.from));
                if step.to > from {
                    run.push(Step { from, ..step });
                }
            }
            _ => out.push(vec![step]),
        }
    }
    out
}

/// Draws the steps of a run and says whether some share a column.
fn bars(list: &mut DisplayList, run: &[Step], at: &impl Fn(i64) -> f64, level: &impl Fn(f64) -> f64) -> bool {
    let mut shared = false;
    let mut outline: Vec<(f64, f64)> = Vec::new();
    let mut i = 0;
    while i < run.len() {
        let (from, mut to, mut rate) = (at(run[i].from), at(run[i].to), run[i].rate);
        let mut next = i + 1;
        while next < run.len() && to - from < COLUMN && run[next].from == run[next - 1].to {
            (to, rate) = (at(run[next].to), rate.max(run[next].rate));
            next += 1;
        }
        shared |= next > i + 1;
        list.rect(from, level(rate), to - from, level(0.0) - level(rate), Some(Ink::Light), None);
        outline.extend([(from, level(rate)), (to, level(rate))]);
        if next == run.len() || run[next].from != run[next - 1].to {
            // A time of which nothing is known lies between: the outline ends.
            list.polyline(&outline, Stroke::solid(Ink::Ink, pen::FINE));
            outline.clear();
        }
        i = next;
    }
    shared
}
