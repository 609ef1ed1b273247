//! The tape of a replay says of every moment what `ledgebook state --at` says of it, which goes through the record anew.

use operation::review::measures;
use operation::{Entry, State};
use rig::guidelines::Guidelines;
use service::wire::{Tape, TapeHeld};
use std::collections::BTreeMap;
use std::path::Path;

fn at(held: &[TapeHeld], ms: f64) -> impl Iterator<Item = &TapeHeld> {
    held.iter().filter(move |h| h.from_ms <= ms && h.to_ms.is_none_or(|to| to > ms))
}

fn by_what(held: &[TapeHeld], ms: f64) -> BTreeMap<String, Vec<String>> {
    let mut all: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for h in at(held, ms) {
        all.entry(h.what.clone()).or_default().push(h.person.clone());
    }
    all.values_mut().for_each(|people| people.sort());
    all
}

#[test]
fn a_moment_of_the_tape_is_the_state_at_that_moment() {
    let scripts = ["demonstration.json", "what-was-left-out.json"];
    for script in scripts {
        let dir = tempfile::tempdir().unwrap();
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../tests/operations").join(script);
        service::rehearse::rehearse(&std::fs::read_to_string(path).unwrap(), dir.path()).unwrap();
        let rows = journal::Journal::open_read_only(&dir.path().join(service::rehearse::OPERATION))
            .and_then(|journal| journal.stored())
            .unwrap();
        let entries: Vec<Entry> = rows.iter().map(|row| row.entry.clone()).collect();
        let state = State::replay(Guidelines::defaults(), &entries);
        let now_ms = state.last_line_ms();
        let tape: Tape = service::review::tape(&state, &measures(&state, now_ms), rig::units::Units::Si);
        let opened = state.facts.opened_ms;
        let mut moments: Vec<i64> = state
            .written()
            .iter()
            .map(|k| k.happened_ms)
            .filter(|ms| *ms >= opened && state.facts.closed_ms.is_none_or(|closed| *ms < closed))
            .collect();
        moments.sort_unstable();
        moments.dedup();
        assert!(moments.len() > 20, "{script}");
        for ms in moments.into_iter().step_by(3) {
            let asked = format!("PT{}S", (ms - opened) as f64 / 1000.0);
            let then = service::state_at::state_at(rows.clone(), Some(&asked)).unwrap();
            let span = state.spans.iter().rev().find(|s| s.from_ms <= ms).unwrap();
            assert_eq!(span.motion.word(), then.motion, "{script} at {asked}");
            let mut roles = then.roles.clone();
            roles.values_mut().for_each(|people| people.sort());
            assert_eq!(by_what(&tape.roles, ms as f64), roles, "{script} at {asked}");
            let phase = tape.phases.iter().rev().find(|p| p.from_ms <= ms as f64);
            let phase = phase.filter(|p| p.to_ms.is_none_or(|to| to > ms as f64)).map(|p| p.words.clone());
            assert_eq!(phase, then.phase.map(|p| p.words), "{script} at {asked}");
            let ropes = tape.ropes.iter().rev().find(|r| r.at_ms <= ms as f64);
            let told = ropes.iter().flat_map(|r| &r.lines).map(|l| (l.words.as_str(), l.near));
            let mut left: Vec<(&str, bool)> = vec![];
            for rope in &then.rope_left {
                if !left.contains(&(rope.words.as_str(), rope.near)) {
                    left.push((&rope.words, rope.near));
                }
            }
            assert_eq!(told.collect::<Vec<_>>(), left, "{script} at {asked}");
            let zones = by_what(&tape.zones, ms as f64);
            for zone in ["on_rope", "edge", "drop"] {
                let mut people = then.zones[zone].clone();
                people.sort();
                assert_eq!(
                    zones.get(zone).cloned().unwrap_or_default(),
                    people,
                    "{script} at {asked}: {zone}"
                );
            }
        }
        assert_eq!(tape.order.len(), entries.len());
    }
}
