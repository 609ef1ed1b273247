//! What was good: it is found by the same rules, and told with the same care.

use super::Finding;
use crate::motion::Motion;
use crate::review::{measures::Measures, quantile};
use crate::state::State;
use crate::step::ZoneName;

/// Fewer than this say nothing of a habit.
const ENOUGH: usize = 5;

fn well(state: &State, rule: &str, key: u64, at_ms: i64, words: String) -> Finding {
    Finding { departs: false, mark: "good", ..Finding::of(state, rule, key, at_ms).saying(words) }
}

pub(super) fn good(state: &State, measured: &Measures, list: &mut Vec<Finding>) {
    readbacks(state, list);
    put_right(state, list);
    all_read_back(state, measured, list);
    counted(state, measured, list);
    signed(state, measured, list);
    tested(state, list);
}

fn readbacks(state: &State, list: &mut Vec<Finding>) {
    let delays: Vec<f64> = crate::review::readbacks(state).into_iter().flat_map(|r| r.delays_s).collect();
    if let (Some(median), Some(p90)) = (quantile(&delays, 0.5), quantile(&delays, 0.9))
        && p90 <= state.guidelines.readback_s.value
        && delays.len() >= ENOUGH
    {
        // Rounded up: “within” must not promise more than was measured.
        let words = format!("Nine of ten readbacks came within {:.0} s", p90.ceil());
        let answered = || state.loops.iter().filter(|l| !l.stop && l.waits.iter().any(|w| w.done.is_some()));
        let last = answered().next_back();
        let (key, at_ms) = last.map_or((0, 0), |l| (l.seq, l.at_ms));
        list.push(Finding {
            detail: format!(
                "median {median:.0} s of {}; limit {:.0} s",
                delays.len(),
                state.guidelines.readback_s.value
            ),
            entries: answered().map(|l| l.seq).collect(),
            ..well(state, "readbacks", key, at_ms, words)
        });
    }
}

fn put_right(state: &State, list: &mut Vec<Finding>) {
    for r in state.rigs.values() {
        if let (Some(before), Some(after)) =
            (r.checks.iter().find(|c| !c.report.main.critical_parts.is_empty()), r.checks.last())
            && after.report.main.critical_parts.is_empty()
            // What is no longer known is not put right.
            && after.report.main.unknown_parts.iter().all(|u| before.report.main.unknown_parts.contains(u))
            && after.at_ms > before.at_ms
            && state.stays.iter().all(|s| s.zone != ZoneName::OnRope || s.from_ms > after.at_ms)
        {
            let names = before.report.main.critical_parts.join(", ");
            let words = format!(
                "{} of rig {} was found critical before anyone was on rope, and put right",
                names.replace('_', " "),
                before.rig.name
            );
            list.push(Finding {
                detail: "the rig was changed and checked again".into(),
                entries: vec![before.seq, after.seq],
                ..well(state, "critical_put_right", after.seq, after.at_ms, words)
            });
        }
    }
}

/// Every order was read back right.
fn all_read_back(state: &State, measured: &Measures, list: &mut Vec<Finding>) {
    let l = &measured.closed_loop.value;
    if l.by_all != l.orders || (l.orders as usize) < ENOUGH || !l.all.wrong_s.is_empty() {
        return;
    }
    let loops = || state.loops.iter().filter(|l| !l.stop && !l.waits.is_empty());
    let Some(last) = loops().next_back() else { return };
    let words = format!("All {} orders were read back as ordered by everyone they were for", l.orders);
    let found = well(state, "closed_loop", last.seq, last.at_ms, words);
    list.push(Finding { entries: loops().map(|l| l.seq).collect(), ..found });
}

/// Every count came in time and was right.
fn counted(state: &State, measured: &Measures, list: &mut Vec<Finding>) {
    let p = &measured.pars.value;
    if p.kept < 2 || p.late > 0 || p.missed > 0 || p.mismatched > 0 {
        return;
    }
    let Some(last) = p.list.last() else { return };
    let words = format!("PAR was kept: {} counts, each in time and complete", p.kept);
    let found = well(state, "par_kept", last.seq, last.at_ms, words);
    list.push(Finding { entries: p.list.iter().map(|x| x.seq).collect(), ..found });
}

/// The load moved on a signed check of the rig as it was, all the time.
fn signed(state: &State, measured: &Measures, list: &mut Vec<Finding>) {
    let moving = &measured.rig.value.moving;
    let Some(last) = moving.last() else { return };
    if moving.iter().any(|s| s.signed.is_empty()) {
        return;
    }
    let mut entries: Vec<u64> = moving.iter().filter_map(|s| s.check_seq).collect();
    entries.dedup();
    let lasted: f64 = moving.iter().map(|s| s.length_s).sum();
    let words = format!(
        "All {} of movement were on a rig that was signed as it was",
        crate::state::span_words((lasted * 1000.0) as i64)
    );
    let found = well(state, "signed", last.check_seq.unwrap_or(0), last.to_ms, words);
    list.push(Finding { entries, detail: "what the checks found stands with each of them".into(), ..found });
}

/// A load test came before anyone hung over the edge.
fn tested(state: &State, list: &mut Vec<Finding>) {
    let test = state.spans.iter().find(|s| s.motion == Motion::UnderLoadTest);
    let edge = state.spans.iter().find(|s| s.motion == Motion::AtTheEdge || s.motion.moves());
    let flagged = state.raised.iter().any(|f| f.id == "no_load_test");
    if let (Some(test), Some(edge)) = (test, edge)
        && test.from_ms < edge.from_ms
        && !flagged
    {
        let words = "A load test came before the load went to the edge".into();
        let found = well(state, "load_test", test.seq, test.from_ms, words);
        list.push(Finding { entries: vec![test.seq, edge.seq], ..found });
    }
}
