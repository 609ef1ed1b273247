//! Moving on a rig whose check falls short, is of another state, or is missing: each case a little operation as data.
//! The rigs have the states of their templates; what a check finds in each is written out.

mod common;
use common::Played;
use rig::findings::CheckReport;
use serde_json::{Value, json};

/// A check's findings of one state: parts that fall short with their margin, critical parts, whether it was solved.
fn findings(state: &str, found: &Value) -> Value {
    let parts: Vec<Value> = found["short"]
        .as_object()
        .into_iter()
        .flatten()
        .map(|(id, margin)| {
            json!({"id": id, "kind": "part", "label": id.replace('_', " "), "force_kN": null, "strength_kN": null,
                "margin": margin, "required": 10.0, "verdict": "falls_short", "words": "", "source": "", "how": []})
        })
        .collect();
    let empty = vec![];
    let critical = found["critical"].as_array().unwrap_or(&empty);
    let losses: Vec<Value> = critical
        .iter()
        .map(|id| {
            json!({"lost": [id], "label": id.as_str().unwrap().replace('_', " "), "mode": "part", "verdict": "dropped",
                "moves": true, "words": "", "acts": [], "weakest": null, "path": []})
        })
        .collect();
    let mut checks: Vec<Value> = found["rules"]
        .as_object()
        .into_iter()
        .flatten()
        .map(|(id, verdict)| {
            json!({"id": id, "verdict": verdict, "rule": id.replace('_', " "), "found": state, "source": ""})
        })
        .collect();
    if !critical.is_empty() {
        checks.push(
            json!({"id": "no_single_critical_part", "verdict": "falls_short", "rule": "no single part",
            "found": "", "source": ""}),
        );
    }
    json!({"state": state, "parts": parts, "critical_parts": critical, "unknown_parts": [], "always_critical": [],
        "critical_pairs": [], "hands_off": {"verdict": "holds", "moves": false, "words": ""}, "losses": losses,
        "checks": checks, "residual_n": if found["unsolved"] == true { None } else { Some(0.0) }})
}

/// The first state leads; the rest are the others.
fn report(states: &Value) -> CheckReport {
    let mut all: Vec<Value> =
        states.as_array().unwrap().iter().map(|s| findings(s["state"].as_str().unwrap(), s)).collect();
    let mut main = all.remove(0);
    let whole = main.as_object_mut().unwrap();
    for (key, value) in [
        ("format", json!("ledgebook-check/0")),
        ("engine", json!("a test")),
        ("rig_digest", json!("")),
        ("guidelines_digest", json!("")),
        ("verdict", json!("falls_short")),
        ("other_states", json!(all)),
        ("assumptions", json!([])),
        ("caution", json!("")),
    ] {
        whole.insert(key.into(), value);
    }
    serde_json::from_value(main).unwrap()
}

/// Short words of the table as steps.
fn step(word: &str) -> Value {
    let order =
        |text: &str| json!({"do": "order", "from": "control", "to": ["rope one operator"], "text": text});
    match word.split_once(' ').unwrap_or((word, "")) {
        ("rig", template) => json!({"do": "rig", "name": "main", "template": template}),
        ("use", state) => json!({"do": "use", "rig": "main", "state": state}),
        ("check", _) => json!({"do": "check"}),
        ("sign", _) => json!({"do": "sign", "role": "rigging lead", "person": "Fay"}),
        ("accept", what) => json!({"do": "accept", "check": what, "person": "Gil", "reason": "watched"}),
        ("order", text) => order(text),
        other => panic!("{other:?}"),
    }
}

/// Plays a case; every flag of its last entry with its words.
fn flags(case: &Value) -> Vec<(String, String)> {
    let mut p = Played::crew();
    if !case["found"].is_null() {
        p.report = Some(report(&case["found"]));
    }
    let mut seq = 0;
    for (i, word) in case["steps"].as_array().unwrap().iter().enumerate() {
        seq = p.say(10 + i as i64, &step(word.as_str().unwrap()).to_string());
    }
    let rigs = ["moved_unsigned", "rig_changed_since_check", "moved_on_failing_check"];
    let of = |f: &&operation::flags::Flag| f.entries.last() == Some(&seq) && rigs.contains(&f.id);
    let raised: Vec<_> = p.state.raised.iter().filter(of).collect();
    let whole = p.replayed();
    assert_eq!(whole.raised, p.state.raised, "the whole replayed says the same: {case}");
    raised.iter().map(|f| (f.id.to_string(), f.words.clone())).collect()
}

#[test]
fn the_state_the_team_is_on_decides_and_nothing_unknown_passes() {
    let cases: Value = serde_json::from_str(include_str!("moved.json")).unwrap();
    for case in cases.as_array().unwrap() {
        let found = flags(case);
        let wanted = case["flags"].as_array().unwrap();
        let ids: Vec<&str> = found.iter().map(|f| f.0.as_str()).collect();
        let wanted_ids: Vec<&str> = wanted.iter().map(|w| w[0].as_str().unwrap()).collect();
        assert_eq!(ids, wanted_ids, "{}: {found:?}", case["case"]);
        for (flag, want) in found.iter().zip(wanted) {
            for words in want.as_array().unwrap().iter().skip(1) {
                assert!(flag.1.contains(words.as_str().unwrap()), "{}: {words} in {flag:?}", case["case"]);
            }
        }
        for never in case["never"].as_array().into_iter().flatten() {
            assert!(
                found.iter().all(|f| !f.1.contains(never.as_str().unwrap())),
                "{}: {found:?}",
                case["case"]
            );
        }
    }
}
