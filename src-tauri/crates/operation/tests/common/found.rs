//! Findings of a check, written out: no engine runs here.

use operation::state::RigState;
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
pub fn report(states: &Value) -> CheckReport {
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

/// A check in which every state of the rig holds.
pub fn all_holds(rig: &RigState) -> CheckReport {
    let states: Vec<Value> = rig.rig.states.iter().map(|s| json!({"state": s.id})).collect();
    report(&json!(states))
}
