//! Moving on a rig whose check falls short, is of another state, or is missing: each case a little operation as data.
//! The rigs have the states of their templates; what a check finds in each is written out.

mod common;
use common::{Played, found::report};
use serde_json::{Value, json};

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
