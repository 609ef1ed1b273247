//! How much rope is left, in words beside the metres out.

use crate::wire::{RopeLine, RopesView};
use operation::State;
use operation::motion::Motion;
use operation::state::{RopeLeft, RopesLeft};
use rig::units::{Kind, Side, Units};

/// What stands now.
pub fn ropes(state: &State) -> Option<RopesView> {
    let called = !state.heights.is_empty();
    let Some(now) = state.ropes.now() else {
        let note = "rope left not checked: no rig was entered".into();
        return called.then_some(RopesView { lines: vec![], note });
    };
    let lines = lines(now, Units::Si);
    let note = if lines.is_empty() {
        "rope left not checked: no rope of the rig ends at the load".to_string()
    } else if lines.iter().all(|line| line.left_m.is_none()) {
        String::new()
    } else {
        [by_now(state).to_string(), taken(state)]
            .into_iter()
            .filter(|words| !words.is_empty())
            .collect::<Vec<_>>()
            .join("; ")
    };
    Some(RopesView { lines, note })
}

/// What it rests on that the rig's template took by itself: "assumed: 3 m for knots, 4 m from the edge to the device".
fn taken(state: &State) -> String {
    let rig = state.rig_in_use.as_ref().and_then(|name| state.rigs.get(name));
    let told = |(metres, words): (f64, &str)| {
        format!("{} {words}", Units::Si.told(Kind::Length, metres, &metres.to_string(), Side::Near))
    };
    let told: Vec<String> =
        rig.map_or_else(Vec::new, |used| used.rig.rope_taken().into_iter().map(told).collect());
    if told.is_empty() { String::new() } else { format!("assumed: {}", told.join(", ")) }
}

/// What the motion has done to it since the metres were called.
fn by_now(state: &State) -> &'static str {
    let called = state.heights.last().map_or(i64::MIN, |h| h.at_ms);
    let since = |motion: Motion| {
        state
            .spans
            .iter()
            .rev()
            .take_while(|s| s.to_ms.is_none_or(|to| to > called))
            .any(|s| s.motion == motion)
    };
    match (since(Motion::Lowering), since(Motion::Raising)) {
        (true, true) => "at that call; moved both ways since",
        (true, false) => "at that call; less by now",
        (false, true) => "at that call; more by now",
        (false, false) => "",
    }
}

/// Ropes of which the same is said stand together; said in the units asked for.
pub fn lines(now: &RopesLeft, units: Units) -> Vec<RopeLine> {
    let mut lines: Vec<(RopeLine, Vec<&RopeLeft>)> = vec![];
    for rope in &now.ropes {
        let words = rope.words_in(units);
        match lines.iter_mut().find(|(line, _)| line.words == words && line.near == rope.near) {
            Some((line, ropes)) => {
                ropes.push(rope);
                // The least of what reads the same.
                line.left_m = line.left_m.zip(rope.left.ok()).map(|(a, b)| a.min(b));
            }
            None => {
                let line = RopeLine { ropes: String::new(), left_m: rope.left.ok(), words, near: rope.near };
                lines.push((line, vec![rope]));
            }
        }
    }
    let alike = lines.len() == 1;
    let named = |(line, ropes): (RopeLine, Vec<&RopeLeft>)| {
        let names: Vec<&str> = ropes.iter().map(|r| &*r.label).collect();
        let ropes = match names.len() {
            2 if alike => "both ropes".into(),
            3.. if alike => "all ropes".into(),
            _ => names.join(" and "),
        };
        RopeLine { ropes, ..line }
    };
    lines.into_iter().map(named).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use operation::Entry;
    use rig::guidelines::Guidelines;
    use serde_json::{Value, json};

    /// The note beside the rope left of a lower with these settings, 12 m out.
    fn note(set: &Value) -> String {
        let script = json!({ "format": "ledgebook-script/0", "start": "2026-03-02T09:00:00+01:00", "station": "top", "seed": 1, "steps": [
            { "at": "PT0S", "do": "open", "name": "Kettle Steps", "place": "Kettle Steps", "purpose": "drill", "edge_height": "30m" },
            { "at": "PT1M", "do": "rig", "name": "lower", "template": "twin-lower-two-knots", "set": set },
            { "at": "PT2M", "do": "order", "from": "control", "to": ["rope one operator", "rope two operator"], "text": "lower" },
            { "at": "PT3M", "do": "report", "from": "litter attendant", "text": "12 metres", "metres": 12 },
        ]});
        let dir = tempfile::tempdir().unwrap();
        crate::rehearse::rehearse(&script.to_string(), dir.path()).unwrap();
        let journal = journal::Journal::open_read_only(&dir.path().join(crate::rehearse::OPERATION)).unwrap();
        let entries: Vec<Entry> = journal.stored().unwrap().into_iter().map(|row| row.entry).collect();
        ropes(&State::replay(Guidelines::defaults(), &entries)).unwrap().note
    }

    #[test]
    fn what_the_template_takes_by_itself_is_called_an_assumption() {
        let by_now = "at that call; less by now";
        let all = note(&json!({ "rope_length": "80m" }));
        assert_eq!(all, format!("{by_now}; assumed: 3 m for knots, 4 m from the edge to the device"));
        let one = note(&json!({ "rope_length": "80m", "rope_for_knots": "2m" }));
        assert_eq!(one, format!("{by_now}; assumed: 4 m from the edge to the device"));
        let none = note(&json!({ "rope_length": "80m", "rope_for_knots": "2m", "edge_to_device": "6m" }));
        assert_eq!(none, by_now);
        assert_eq!(note(&json!({})), "", "no number, nothing it rests on");
    }
}
