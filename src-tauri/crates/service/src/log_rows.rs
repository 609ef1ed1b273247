//! The log as the report prints it: every entry in the order it was written.

use crate::words;
use operation::state::{Kept, Loop, State, Wait};
use operation::{Payload, event::Call};
use report::input::{Heard, Hearing, LogRow};
use std::collections::{BTreeMap, BTreeSet};

/// Every entry.
pub fn log(state: &State) -> Vec<LogRow> {
    let loops: BTreeMap<u64, &Loop> = state.loops.iter().map(|l| (l.seq, l)).collect();
    let mut flags: BTreeMap<u64, Vec<String>> = BTreeMap::new();
    for flag in &state.raised {
        // The report has its own words for these, beside the entry.
        if matches!(flag.id, "late_entry" | "wrong_readback" | "order_unanswered") {
            continue;
        }
        if let Some(seq) = flag.entries.last() {
            flags.entry(*seq).or_default().push(flag.words.clone());
        }
    }
    let wrong: BTreeSet<u64> =
        state.loops.iter().flat_map(|l| &l.waits).flat_map(|w| w.wrong.iter().map(|wrong| wrong.0)).collect();
    // Who reports "stopped" names no order: the report stands with the stop it answers.
    let stopped: BTreeMap<u64, u64> = state
        .loops
        .iter()
        .filter(|l| l.stop)
        .flat_map(|l| l.waits.iter().filter_map(|w| w.done.map(|(seq, _)| (seq, l.seq))))
        .collect();
    let mut channel = String::new();
    state
        .written()
        .iter()
        .map(|kept| {
            let mut row = row(state, kept, loops.get(&kept.seq).copied());
            row.wrong = wrong.contains(&kept.seq);
            row.of = row.of.or_else(|| stopped.get(&kept.seq).copied());
            row.flags = flags.remove(&kept.seq).unwrap_or_default();
            name_channel(&mut row, kept, &mut channel);
            let phase = state.phase_words(kept.seq);
            if !phase.is_empty() {
                row.text = format!("{} ({phase})", row.text);
            }
            row
        })
        .collect()
}

/// By what a call was made is said where it changes, not at every call.
fn name_channel(row: &mut LogRow, kept: &Kept, channel: &mut String) {
    let by = kept.first.as_deref().and_then(Payload::call).and_then(|call| call.by.as_ref());
    if let Some(by) = by.filter(|by| *by != channel) {
        row.text = format!("{} [{by}]", row.text);
        channel.clone_from(by);
    }
}

fn row(state: &State, kept: &Kept, of_loop: Option<&Loop>) -> LogRow {
    let late = (kept.first_happened_ms - kept.recorded_ms).abs() >= 1000;
    let mut row = LogRow {
        seq: kept.seq,
        at_ms: kept.recorded_ms,
        happened_ms: late.then_some(kept.first_happened_ms),
        kind: kept.kind.to_string(),
        corrects: kept.corrects,
        corrected_by: kept.corrected_by.last().copied().filter(|by| *by != kept.seq),
        ..LogRow::default()
    };
    match kept.first.as_deref() {
        None if kept.erased => row.text = format!("({})", operation::line::erased_words(state, kept)),
        None => row.text = format!("({})", operation::line::unread_words(kept)),
        Some(payload) => said(&mut row, state, payload),
    }
    if let Some(l) = of_loop {
        if l.stop {
            row.kind = "stop".into();
        }
        row.heard = l.waits.iter().map(|wait| heard(wait, l.at_ms)).collect();
    }
    if let Some(of) = kept.corrects
        && let Some(old) = state.at(of)
    {
        corrected(&mut row, state, old, kept);
    }
    row
}

/// Who said what to whom.
fn said(row: &mut LogRow, state: &State, payload: &Payload) {
    row.text = words::in_state(state, payload);
    if let Some(call) = payload.call() {
        row.from = call.from.clone();
        row.to = addressed(call);
        row.of = call.of.as_deref().and_then(|id| state.seq_of(id));
    }
}

fn addressed(call: &Call) -> Vec<String> {
    if call.to.is_empty() { call.to_roles.clone() } else { call.to.clone() }
}

/// A correction reads as the entry it corrects reads from then on, with what else it changed.
fn corrected(row: &mut LogRow, state: &State, old: &Kept, kept: &Kept) {
    let Some(Payload::Corrected(c)) = kept.first.as_deref() else { return };
    let others: Vec<String> = c
        .fields
        .iter()
        .filter(|(name, _)| *name != "text")
        .map(|(name, value)| match value {
            serde_json::Value::String(text) => format!("{name}: {text}"),
            other => format!("{name}: {other}"),
        })
        .collect();
    let then = old.corrected_by.iter().filter(|by| **by <= kept.seq);
    let mut payload = old.first.as_deref().cloned();
    for by in then {
        if let Some(Payload::Corrected(c)) = state.payload(*by) {
            let mut fields = c.fields.clone();
            fields.remove("happened");
            payload = payload.as_ref().and_then(|p| p.with(&fields)).or(payload);
        }
    }
    let Some(payload) = payload else { return };
    said(row, state, &payload);
    if !others.is_empty() && payload.call().is_some() {
        row.text = format!("{} ({})", row.text, others.join("; "));
    }
    row.of = None;
    // A correction that was itself overtaken points to the one that counts.
    row.corrected_by = old.corrected_by.last().copied().filter(|by| *by > kept.seq);
}

/// What one role did with an order given at `at_ms`.
fn heard(wait: &Wait, at_ms: i64) -> Heard {
    let what = match (wait.done, wait.wrong.last()) {
        (Some((_, done)), _) => Hearing::After((done - at_ms) as f64 / 1000.0),
        (None, Some((seq, ..))) => Hearing::Wrong(*seq),
        (None, None) => Hearing::Never,
    };
    Heard { role: wait.role.clone(), what }
}
