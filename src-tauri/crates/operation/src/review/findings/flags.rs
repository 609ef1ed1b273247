//! Findings from flags, and from counts that came late or not at all.

use super::{Finding, at, people};
use crate::state::State;
use std::collections::{HashMap, HashSet};

fn detail_of(flag: &str) -> String {
    match flag {
        "no_roll_call" => "who is there and ready is asked after each stop, before the load moves".into(),
        "no_load_test" => "the rig is loaded and watched before a person hangs on it over the edge".into(),
        "handover_unconfirmed" => "both say it: who gives a role and who takes it".into(),
        "par_after_event" => "everyone is counted after an event, besides the interval".into(),
        "rope_end_near" => "length of the rope less rope for knots, its way above the edge as the rig places it, and metres out as called".into(),
        "clock_jump" => "order and lengths of time go on by the machine's running clock; each entry keeps the time of day it was written at".into(),
        other => other.replace('_', " "),
    }
}

pub(super) fn from_flags(state: &State, now_ms: i64, list: &mut Vec<Finding>) {
    // What a flag said before, by its words: a long operation says the same many times.
    let mut said: HashMap<(&str, &str), usize> = HashMap::new();
    let mut named: HashSet<(usize, u64)> = HashSet::new();
    let by_clock = crate::flags::latest(state, now_ms, 0);
    for f in state.raised.iter().chain(&by_clock) {
        let mark = match f.id {
            "order_unanswered" | "wrong_readback" | "late_entry" | "stop_nobody_assigned" => continue,
            id if people::TOLD_HERE.contains(&id) => continue,
            "role_vacant" => "vacant",
            "drop_zone_occupied" | "not_tied_in" => "zone",
            "moved_unsigned" | "rig_changed_since_check" => "stale",
            "moved_on_failing_check" => "falls_short",
            _ => "departs",
        };
        let place = *said.entry((f.id, &f.words)).or_insert(list.len());
        if place == list.len() {
            let (key, at_ms) =
                (f.entries.last().copied().unwrap_or(0), f.entries.last().map_or(0, |s| at(state, *s)));
            let found = Finding::of(state, f.id, key, at_ms);
            // A finding has a place of its own for the source of its rule.
            let words = f.words.replace(&format!(" ({})", found.source), "");
            list.push(Finding { detail: detail_of(f.id), mark, ..found.saying(words) });
        }
        list[place].entries.extend(f.entries.iter().filter(|e| named.insert((place, **e))));
    }
}

/// Counts that came late, and those that never came.
pub(super) fn pars(state: &State, now_ms: i64, list: &mut Vec<Finding>) {
    for (p, due) in state.pars.iter().filter_map(|p| p.due_ms.map(|d| (p, d))) {
        let words = format!("PAR came {} late", crate::state::span_words(p.at_ms - due));
        let detail = match &p.after {
            Some(event) => {
                format!("after {event}; guideline {:.0} min", state.guidelines.people.par_event_min.value)
            }
            None => format!("guideline interval {:.0} min", state.guidelines.par_min.value),
        };
        let found = Finding::of(state, "par_late", p.seq, p.at_ms).saying(words);
        list.push(Finding { detail, entries: vec![p.seq], ..found });
    }
    if list.iter().any(|f| f.id.starts_with("par_overdue")) {
        return; // told as what is due now
    }
    let end = state.facts.closed_ms.unwrap_or(now_ms);
    let missed = crate::review::measures::missed_after_the_last(state, end);
    if let Some((missed, seq)) = missed.filter(|(n, _)| *n > 0) {
        let times = if missed == 1 { "once".into() } else { format!("{missed} times") };
        let found = Finding::of(state, "par_missed", seq, end)
            .saying(format!("PAR was due {times} more while people were exposed, and none was recorded"));
        let detail = format!("guideline interval {:.0} min", state.guidelines.par_min.value);
        list.push(Finding { detail, entries: vec![seq], ..found });
    }
}
