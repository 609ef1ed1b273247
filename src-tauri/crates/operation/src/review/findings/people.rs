//! Findings about people: how long they hung, were not heard of, or hung still. What the clocks flag while it lasts is gone
//! from the flags once it ends; here it stays.

use super::Finding;
use crate::state::{State, span_words};
use crate::step::ZoneName;

/// Flags of the clock that are told here, as what was, and not as what stood at the end.
pub(super) const TOLD_HERE: [&str; 5] =
    ["not_heard", "on_rope_long", "motionless_in_harness", "lost_communications", "role_held_long"];

fn finding(state: &State, rule: &str, (words, detail): (String, String), seq: u64, at_ms: i64) -> Finding {
    Finding { detail, entries: vec![seq], ..Finding::of(state, rule, seq, at_ms).saying(words) }
}

pub(super) fn findings(state: &State, now_ms: i64, list: &mut Vec<Finding>) {
    let now = state.facts.closed_ms.unwrap_or(now_ms);
    let rules = &state.guidelines.people;
    for gap in &state.gaps {
        let words = format!("{} was not heard of for {}", gap.who, span_words(gap.to_ms - gap.from_ms));
        let detail = format!(
            "guidelines: {} min, in a zone of danger {} min",
            rules.not_heard_min.value, rules.not_heard_exposed_min.value
        );
        list.push(finding(state, "not_heard", (words, detail), gap.seq, gap.to_ms));
    }
    for s in state.stays.iter().filter(|s| s.zone == ZoneName::OnRope) {
        let ms = s.to_ms.unwrap_or(now) - s.from_ms;
        if ms as f64 > rules.on_rope_min.value * 60_000.0 {
            let words = format!("{} was on rope for {}", s.person, span_words(ms));
            let detail = format!("guidelines: {} min", rules.on_rope_min.value);
            list.push(finding(state, "on_rope_long", (words, detail), s.seq, s.from_ms));
        }
    }
    hours(state, now, list);
    for s in &state.stills {
        let ms = s.to_ms.unwrap_or(now) - s.from_ms;
        let until = if s.to_ms.is_some() { "" } else { ", and nothing says that it ended" };
        let words = format!("{} was said to hang motionless for {}{until}", s.who, span_words(ms));
        let detail = rules.motionless_min.source.clone();
        list.push(finding(state, "motionless_in_harness", (words, detail), s.seq, s.from_ms));
    }
}

/// Everyone who was long in one role, in one finding: on a long day it is the whole team.
fn hours(state: &State, now: i64, list: &mut Vec<Finding>) {
    let limit = &state.guidelines.people.role_h;
    let limit_ms = (limit.value * 3_600_000.0) as i64;
    let long = || state.duties.iter().filter(|d| d.to_ms.unwrap_or(now) - d.from_ms > limit_ms);
    let each = long()
        .map(|d| format!("{} as {} {}", d.person, d.role, span_words(d.to_ms.unwrap_or(now) - d.from_ms)));
    let Some(at_ms) = long().map(|d| d.from_ms + limit_ms).min() else { return };
    let words = format!("Over {} h in one role: {}", limit.value, each.collect::<Vec<_>>().join(", "));
    let key = long().map(|d| d.seq).min().unwrap_or(0);
    list.push(Finding {
        detail: format!("guidelines: {} h", limit.value),
        entries: long().map(|d| d.seq).collect(),
        ..Finding::of(state, "role_held_long", key, at_ms).saying(words)
    });
}
