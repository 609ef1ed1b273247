//! The live operation as data: what was said and when; what stands some time later. One thing a script (`live.json`).
//!
//! A step is a line: seconds from the opening, then what is done:
//! `10 order control > both: lower` · `12 readback rope one operator of 10: lower` (the order given at 10) · `15 report NAME: WORDS` ·
//! `15 note NAME: WORDS` · `5 in NAME` · `6 out NAME` · `7 NAME is ROLE` · `8 zone NAME on_rope [tied]` · `9 par 4 of 5 missing NAME` ·
//! `9 {…}` (a step as JSON).

mod common;
use common::Played;
use serde::Deserialize;
use serde_json::{Value, json};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Script {
    case: String,
    /// Said after the crew of `Played::crew` is there.
    steps: Vec<String>,
    /// Looked at so many seconds from the opening.
    at: i64,
    motion: Option<String>,
    /// Flags that must stand, each with words it must hold.
    #[serde(default)]
    flags: Vec<(String, String)>,
    /// Flags that must not.
    #[serde(default)]
    none: Vec<String>,
}

fn step_of(line: &str) -> (i64, Value) {
    let (at, rest) = line.split_once(' ').expect("seconds, then what is done");
    let at: i64 = at.parse().expect("seconds");
    if rest.starts_with('{') {
        return (at, serde_json::from_str(rest).expect("a step as JSON"));
    }
    let (word, rest) = rest.split_once(' ').expect("a word and what it is about");
    let said = || rest.split_once(": ").expect("who: what");
    let step = match word {
        "order" => {
            let (who, text) = said();
            let (from, to) = who.split_once(" > ").expect("from > to");
            let to: Vec<&str> = to.split(", ").collect();
            json!({"do": "order", "from": from, "to": to, "text": text, "label": format!("k{at}")})
        }
        "readback" | "answer" => {
            let (who, text) = said();
            let (from, of) = who.split_once(" of ").expect("who of which order");
            json!({"do": word, "from": from, "of": format!("k{of}"), "text": text})
        }
        "report" | "note" => json!({"do": word, "from": said().0, "text": said().1}),
        "in" => json!({"do": "check_in", "person": rest}),
        "out" => json!({"do": "check_out", "person": rest}),
        "zone" => {
            let words: Vec<&str> = rest.split(' ').collect();
            let tied = words.get(2) == Some(&"tied");
            json!({"do": "zone", "person": words[0], "zone": words[1], "tied_in": tied})
        }
        "par" => {
            let words: Vec<&str> = rest.split(' ').collect();
            let number = |i: usize| words[i].parse::<u64>().expect("a number");
            json!({"do": "par", "count": number(0), "of": number(2), "missing": words.get(4..).unwrap_or_default()})
        }
        person => {
            let role = rest.strip_prefix("is ").expect("NAME is ROLE");
            json!({"do": "assign", "person": person, "role": role})
        }
    };
    (at, step)
}

fn scripts() -> Vec<Script> {
    serde_json::from_str(include_str!("live.json")).expect("the scripts are read")
}

#[test]
fn what_stands_is_what_the_scripts_say() {
    let mut faults = vec![];
    for script in scripts() {
        let mut p = Played::crew();
        for line in &script.steps {
            let (at, step) = step_of(line);
            p.say(at, &step.to_string());
        }
        let now = p.start.timestamp_millis() + script.at * 1000;
        let mut states = vec![("step by step", p.state.clone())];
        states.push(("replayed", p.replayed()));
        for (how, state) in states {
            let stand = operation::flags::flags(&state, now);
            if let Some(motion) = &script.motion
                && state.motion.word() != motion
            {
                faults.push(format!("{} ({how}): {}", script.case, state.motion.word()));
            }
            for (id, words) in &script.flags {
                if !stand.iter().any(|f| f.id == id && f.words.contains(words.as_str())) {
                    faults.push(format!("{} ({how}): no {id} with “{words}” in {stand:#?}", script.case));
                }
            }
            for f in stand.iter().filter(|f| script.none.iter().any(|id| id == f.id)) {
                faults.push(format!("{} ({how}): {}: {}", script.case, f.id, f.words));
            }
            for f in &stand {
                let known = f.entries.iter().all(|e| state.at(*e).is_some());
                if f.entries.is_empty() && f.id != "par_overdue" || !known {
                    faults.push(format!("{} ({how}): {} names entries {:?}", script.case, f.id, f.entries));
                }
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn each_script_expects_something_and_has_a_name_of_its_own() {
    let mut names = std::collections::BTreeSet::new();
    for s in scripts() {
        assert!(s.motion.is_some() || !s.flags.is_empty() || !s.none.is_empty(), "{}", s.case);
        assert!(names.insert(s.case.clone()), "{} stands twice", s.case);
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
        let (at, step) = step_of(line);
        p.say(at, &step.to_string());
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
