//! Findings: what departs from the guidelines first, then what was good.

use super::quantile;
use crate::state::State;
use serde::Serialize;
use std::collections::{HashMap, HashSet};

/// A finding.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// Departs; false: was good.
    pub departs: bool,
    /// Bold words.
    pub words: String,
    /// What follows.
    pub detail: String,
    /// Mark (`silent`, `wrong`, `stop`, `late`, `zone`, `vacant`, `stale`, `good` …).
    pub mark: &'static str,
    /// Entry numbers.
    pub entries: Vec<u64>,
    /// When.
    pub at_ms: i64,
}

/// All findings, departures first, each group by time.
pub fn findings(state: &State, now_ms: i64) -> Vec<Finding> {
    let mut list = vec![];
    unheard(state, &mut list);
    wrong(state, &mut list);
    stops(state, &mut list);
    from_flags(state, now_ms, &mut list);
    super::people::findings(state, now_ms, &mut list);
    good(state, &mut list);
    list.sort_by_key(|f| (!f.departs, f.at_ms));
    list
}

fn at(state: &State, seq: u64) -> i64 {
    state.at(seq).map_or(0, |k| k.happened_ms)
}

/// Orders nobody answered. One that was read back wrong was heard: it has a finding of its own.
fn unheard(state: &State, list: &mut Vec<Finding>) {
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
            departs: true,
            words: format!("“{}” was never read back by {}", l.text, silent.join(", ")),
            detail: format!("order from {}{also}", l.from),
            mark: "silent",
            entries: vec![l.seq],
            at_ms: l.at_ms,
        });
    }
}

fn wrong(state: &State, list: &mut Vec<Finding>) {
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
                list.push(Finding {
                    departs: true,
                    words: format!("{} read back “{said}” to “{}”", state.guidelines.short(&w.role), l.text),
                    detail: format!("{differs}; {put}"),
                    mark: "wrong",
                    entries,
                    at_ms: *when,
                });
            }
        }
    }
}

fn stops(state: &State, list: &mut Vec<Finding>) {
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
            words,
            detail,
            mark: if departs { "stop" } else { "good" },
            entries: vec![s.seq],
            at_ms: s.at_ms,
        });
    }
}

fn detail_of(flag: &str) -> String {
    match flag {
        "no_roll_call" => "who is there and ready is asked after each stop, before the load moves".into(),
        "no_load_test" => "the rig is loaded and watched before a person hangs on it over the edge".into(),
        "handover_unconfirmed" => "both say it: who gives a role and who takes it".into(),
        "par_after_event" => "everyone is counted after an event, besides the interval".into(),
        "clock_jump" => "order and lengths of time go on by the machine's running clock; each entry keeps the time of day it was written at".into(),
        other => other.replace('_', " "),
    }
}

fn from_flags(state: &State, now_ms: i64, list: &mut Vec<Finding>) {
    // What a flag said before, by its words: a long operation says the same many times.
    let mut said: HashMap<(&str, &str), usize> = HashMap::new();
    let mut named: HashSet<(usize, u64)> = HashSet::new();
    let by_clock = crate::flags::latest(state, now_ms, 0);
    for f in state.raised.iter().chain(&by_clock) {
        let mark = match f.id {
            "order_unanswered" | "wrong_readback" | "late_entry" | "stop_nobody_assigned" => continue,
            id if super::people::TOLD_HERE.contains(&id) => continue,
            "role_vacant" => "vacant",
            "drop_zone_occupied" | "not_tied_in" => "zone",
            "moved_unsigned" | "rig_changed_since_check" => "stale",
            "moved_on_failing_check" => "falls_short",
            _ => "departs",
        };
        let place = *said.entry((f.id, &f.words)).or_insert(list.len());
        if place == list.len() {
            list.push(Finding {
                departs: true,
                words: f.words.clone(),
                detail: detail_of(f.id),
                mark,
                entries: vec![],
                at_ms: f.entries.last().map_or(0, |s| at(state, *s)),
            });
        }
        list[place].entries.extend(f.entries.iter().filter(|e| named.insert((place, **e))));
    }
    for p in state.pars.iter().filter_map(|p| p.due_ms.map(|d| (p, d))) {
        let (p, due) = p;
        list.push(Finding {
            departs: true,
            words: format!("PAR came {} late", crate::state::span_words(p.at_ms - due)),
            detail: match &p.after {
                Some(event) => {
                    format!("after {event}; guideline {:.0} min", state.guidelines.people.par_event_min.value)
                }
                None => format!("guideline interval {:.0} min", state.guidelines.par_min.value),
            },
            mark: "departs",
            entries: vec![p.seq],
            at_ms: p.at_ms,
        });
    }
}

fn good(state: &State, list: &mut Vec<Finding>) {
    let delays: Vec<f64> = super::readbacks(state).into_iter().flat_map(|r| r.delays_s).collect();
    if let (Some(median), Some(p90)) = (quantile(&delays, 0.5), quantile(&delays, 0.9))
        && p90 <= state.guidelines.readback_s.value
        && delays.len() >= 5
    {
        // Rounded up: “within” must not promise more than was measured.
        let words = format!("Nine of ten readbacks came within {:.0} s", p90.ceil());
        let answered = || state.loops.iter().filter(|l| !l.stop && l.waits.iter().any(|w| w.done.is_some()));
        list.push(Finding {
            departs: false,
            words,
            detail: format!(
                "median {median:.0} s of {}; limit {:.0} s",
                delays.len(),
                state.guidelines.readback_s.value
            ),
            mark: "good",
            entries: answered().map(|l| l.seq).collect(),
            at_ms: answered().next_back().map_or(0, |l| l.at_ms),
        });
    }
    for r in state.rigs.values() {
        if let (Some(before), Some(after)) =
            (r.checks.iter().find(|c| !c.report.main.critical_parts.is_empty()), r.checks.last())
            && after.report.main.critical_parts.is_empty()
            // What is no longer known is not put right.
            && after.report.main.unknown_parts.iter().all(|u| before.report.main.unknown_parts.contains(u))
            && after.at_ms > before.at_ms
            && state.stays.iter().all(|s| s.zone != crate::step::ZoneName::OnRope || s.from_ms > after.at_ms)
        {
            let names = before.report.main.critical_parts.join(", ");
            let words = format!(
                "{} of rig {} was found critical before anyone was on rope, and put right",
                names.replace('_', " "),
                before.report_name()
            );
            list.push(Finding {
                departs: false,
                words,
                detail: "the rig was changed and checked again".into(),
                mark: "good",
                entries: vec![before.seq, after.seq],
                at_ms: after.at_ms,
            });
        }
    }
}

impl crate::state::CheckState {
    fn report_name(&self) -> &str {
        &self.rig.name
    }
}
