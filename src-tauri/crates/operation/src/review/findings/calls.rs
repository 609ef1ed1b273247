//! Findings about calls: orders nobody read back, wrong readbacks, stops.

use super::Finding;
use crate::state::State;

/// Orders nobody answered. One that was read back wrong was heard: it has a finding of its own.
pub(super) fn unheard(state: &State, list: &mut Vec<Finding>) {
    for l in state.loops.iter().filter(|l| !l.stop) {
        let silent: Vec<String> = l
            .waits
            .iter()
            .filter(|w| w.done.is_none() && w.wrong.is_empty())
            .map(|w| state.guidelines.short(&w.role).to_string())
            .collect();
        if silent.is_empty() {
            continue;
        }
        // Who read it back wrong did not read it back either; what they said has a finding of its own.
        let wrong: Vec<String> = l
            .waits
            .iter()
            .filter(|w| w.done.is_none() && !w.wrong.is_empty())
            .map(|w| state.guidelines.short(&w.role).to_string())
            .collect();
        let also = if wrong.is_empty() {
            String::new()
        } else {
            format!("; {} read it back wrong", wrong.join(", "))
        };
        list.push(Finding {
            mark: "silent",
            detail: format!("order from {}{also}", l.from),
            entries: vec![l.seq],
            ..Finding::of(state, "silent", l.seq, l.at_ms).saying(format!(
                "“{}” was never read back by {}",
                l.text,
                silent.join(", ")
            ))
        });
    }
}

pub(super) fn wrong(state: &State, list: &mut Vec<Finding>) {
    for l in &state.loops {
        for w in &l.waits {
            for (seq, when, said, differs) in &w.wrong {
                // A later order in the same words to the same role puts it right as well; “tied off” is no readback of
                // “lower”: that the order was repeated later puts nothing right.
                let report = crate::meant::is_a_report(&l.text, said, &state.guidelines.words);
                let right = w.done.or(w.put_right).map(|d| d.1).filter(|_| !report);
                let again = w.put_right.map(|p| p.0).filter(|_| w.done.is_none() && !report);
                let put = right.map_or_else(
                    || {
                        if report {
                            "words of a report, not of a readback".into()
                        } else {
                            "not put right".into()
                        }
                    },
                    |t| {
                        let across = if state.across_restart(*when, t) { ", across a restart" } else { "" };
                        let how =
                            again.map_or(String::new(), |o| format!(", by order {o} in the same words"));
                        format!("put right after {:.0} s{across}{how}", (t - when) as f64 / 1000.0)
                    },
                );
                let mut entries = vec![l.seq, *seq];
                entries.extend(again);
                let words = format!("{} read back “{said}” to “{}”", state.guidelines.short(&w.role), l.text);
                list.push(Finding {
                    mark: "wrong",
                    detail: format!("{differs}; {put}"),
                    entries,
                    ..Finding::of(state, "wrong_readback", *seq, *when).saying(words)
                });
            }
        }
    }
}

pub(super) fn stops(state: &State, list: &mut Vec<Finding>) {
    let limit = state.guidelines.stop_s.value;
    for s in &state.stops {
        let silent: Vec<String> = s.silent().iter().map(|r| state.guidelines.short(r).to_string()).collect();
        let times: Vec<(String, f64)> = s
            .operators
            .iter()
            .filter_map(|(r, t)| {
                t.map(|t| (state.guidelines.short(r).to_string(), (t - s.at_ms) as f64 / 1000.0))
            })
            .collect();
        let each = times.iter().map(|(r, t)| format!("{r} {t:.1} s")).collect::<Vec<_>>().join(", ");
        let slow = times.iter().any(|(_, t)| *t > limit);
        let words = if s.operators.is_empty() {
            format!("STOP by {}: nobody was assigned to a device", s.from)
        } else if !silent.is_empty() {
            format!("STOP by {}: {} never reported stopped", s.from, silent.join(", "))
        } else if slow {
            format!("STOP by {} took longer than {limit:.0} s", s.from)
        } else {
            format!("STOP by {} was heard by all within {limit:.0} s", s.from)
        };
        let departs = s.operators.is_empty() || !silent.is_empty() || slow;
        let cause = if s.cause.is_empty() { "no cause said".to_string() } else { s.cause.clone() };
        let mut detail = if each.is_empty() { cause } else { format!("{each}; {cause}") };
        let until = s.operators.iter().filter_map(|(_, t)| *t).max().unwrap_or(s.at_ms);
        if state.across_restart(s.at_ms, until) {
            detail.push_str("; across a restart of the program");
        }
        list.push(Finding {
            departs,
            detail,
            mark: if departs { "stop" } else { "good" },
            entries: vec![s.seq],
            ..Finding::of(state, "stop", s.seq, s.at_ms).saying(words)
        });
    }
}
