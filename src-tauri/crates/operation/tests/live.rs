//! The live operation as data: what was said and when; what stands some time later.
//!
//! The format of the scripts stands in `common/script.rs`; what they expect is worked out by hand from the contract and the
//! guidelines, not copied from what the program says.

mod common;
use common::{Played, script::Script, script::steps_of};
use serde_json::json;
use std::fs;
use std::path::Path;

/// Scripts of one thing each.
fn scripts() -> Vec<Script> {
    [
        include_str!("live.json"),
        include_str!("motion.json"),
        include_str!("phases.json"),
        include_str!("rope-left.json"),
        include_str!("change-over.json"),
    ]
    .iter()
    .flat_map(|t| Script::all(t))
    .collect()
}

/// Whole operations, a file each.
fn long() -> Vec<Script> {
    let dir = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/long");
    let mut files: Vec<_> = fs::read_dir(dir).expect("tests/long").map(|f| f.unwrap().path()).collect();
    files.sort();
    let read = |f: &std::path::PathBuf| serde_json::from_str(&fs::read_to_string(f).unwrap()).expect("JSON");
    files.iter().map(|f| Script::read(&read(f))).collect()
}

#[test]
fn what_stands_is_what_the_scripts_say() {
    let faults: Vec<String> = scripts().iter().flat_map(Script::faults).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn what_stands_in_whole_operations_is_what_their_scripts_say() {
    let faults: Vec<String> = long().iter().flat_map(Script::faults).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn each_script_expects_something_and_has_a_name_of_its_own() {
    let mut names = std::collections::BTreeSet::new();
    let (one, whole) = (scripts(), long());
    assert!(one.len() >= 60 && whole.len() >= 10, "{} and {}", one.len(), whole.len());
    for s in one.iter().chain(&whole) {
        for l in &s.looks {
            let said = l.motion.is_some() || l.only.is_some() || !l.flags.is_empty() || !l.none.is_empty();
            assert!(
                said || l.phase.is_some()
                    || l.owed.is_some()
                    || l.waiting.is_some()
                    || l.par_in.is_some()
                    || l.metres.is_some()
                    || l.ropes.is_some(),
                "{}",
                s.case
            );
        }
        assert!(!s.looks.is_empty() && names.insert(s.case.clone()), "{} stands twice", s.case);
    }
    for s in &whole {
        assert!(s.steps.len() >= 30 && s.looks.len() >= 5, "{} is not long", s.case);
    }
}

#[test]
fn a_teams_own_limits_hold() {
    let mut p = Played::empty();
    let own = json!({"on_rope_min": {"value": 5, "source": "own"}, "not_heard_exposed_min": {"value": 99, "source": "own"}});
    let open = json!({"do": "open", "name": "T", "purpose": "drill", "guidelines": {"people": own}});
    p.say(0, &open.to_string());
    p.say(1, r#"{"do":"check_in","person":"Dov"}"#);
    p.say(10, r#"{"do":"zone","person":"Dov","zone":"on_rope","tied_in":true}"#);
    let stand = |at: i64| {
        let flags = operation::flags::flags(&p.state, p.start.timestamp_millis() + at * 1000);
        flags.into_iter().map(|f| f.id).collect::<Vec<_>>()
    };
    assert_eq!(stand(300), Vec::<&str>::new());
    assert_eq!(stand(1000), ["on_rope_long"]);
}

#[test]
fn what_was_long_stays_in_the_review() {
    let mut p = Played::crew();
    for line in [
        "10 zone Dov on_rope tied",
        "700 report edge attendant: down here",
        "800 report control: Dov motionless",
        "860 report control: Dov is moving",
        "3700 zone Dov clear",
        "3800 {\"do\":\"close\"}",
    ] {
        for (at, step) in steps_of(line) {
            p.say(at, &step.to_string());
        }
    }
    let found = operation::review::findings(&p.state, p.start.timestamp_millis() + 99_000_000);
    let words: Vec<&str> = found.iter().map(|f| f.words.as_str()).collect();
    for expected in [
        "Dov was not heard of for 11 min 30 s",
        "Dov was on rope for 1 h 1 min",
        "Dov was said to hang motionless for 1 min",
    ] {
        assert!(words.contains(&expected), "{expected}: {words:#?}");
    }
    assert!(
        !words.iter().any(|w| w.contains("Ada")),
        "whoever goes silent as it closes is no finding: {words:#?}"
    );
}

#[test]
fn a_whistle_without_end_is_help() {
    let mut p = Played::crew();
    let first = operation::free_line::candidates(&p.state, "w* e", p.start).remove(0);
    assert_eq!((first.who.as_str(), first.text.as_str()), ("edge attendant, whistle, continuous:", "help"));
    let seq = p.say(10, &first.step.to_string());
    assert_eq!(operation::line::row(&p.state, seq).unwrap().text, "continuous: help");
}
