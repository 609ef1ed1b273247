//! Findings: each names its rule, its source, how sure it is and the entries it rests on; what people say to them stands beside
//! and deletes nothing.

mod common;
use common::Played;
use operation::review::{Finding, Sure, findings, quarantined};
use serde_json::json;

/// Step by step and replayed alike.
fn found_at(p: &Played, at: i64) -> Vec<Finding> {
    let now = p.start.timestamp_millis() + at * 1000;
    let list = findings(&p.state, now);
    assert_eq!(list, findings(&p.replayed(), now));
    for f in &list {
        assert!(!f.rule.is_empty() && (!f.source.is_empty() || f.sure == Sure::Opinion), "{f:?}");
        assert!(f.entries.iter().all(|e| p.state.at(*e).is_some()), "{f:?}");
        assert!(!f.rule.contains('_'), "a rule in words: {f:?}");
    }
    let mut ids: Vec<&str> = list.iter().map(|f| f.id.as_str()).collect();
    ids.sort_unstable();
    let all = ids.len();
    ids.dedup();
    assert_eq!(ids.len(), all, "each has a name of its own");
    list
}

fn of<'a>(list: &'a [Finding], rule: &str) -> &'a Finding {
    let starts = format!("{rule}:");
    list.iter().find(|f| f.id.starts_with(&starts)).unwrap_or_else(|| panic!("{rule} in {list:#?}"))
}

fn named<'a>(list: &'a [Finding], id: &str) -> &'a Finding {
    list.iter().find(|f| f.id == id).unwrap_or_else(|| panic!("{id} in {list:#?}"))
}

const LOWER: [&str; 12] = [
    "5 in Eve",
    "20 rig twin-lower-two-knots",
    "22 check",
    "23 sign Ada",
    "30 order c > 1, 2: load test",
    "32 readback 1, 2 of 30: load test",
    "60 order c > 1, 2: lower",
    "63 readback 1 of 60: lower",
    "100 order e > all: stop",
    "102 report 1: stopped",
    "109 report 2: stopped",
    "120 order c > 1, 2: lower",
];

#[test]
fn what_departs_and_what_was_good_name_their_rule_and_entries() {
    let p = Played::through(&LOWER);
    let list = found_at(&p, 200);
    let silent = of(&list, "silent");
    assert_eq!((silent.sure, silent.departs), (Sure::NotRecorded, true));
    assert!(silent.words.contains("“lower” was never read back by rope two"), "{silent:?}");
    assert_eq!(silent.source, "common practice, no source");
    let stop = of(&list, "stop");
    assert_eq!((stop.sure, stop.departs, stop.mark), (Sure::Measured, true, "stop"));
    assert!(stop.detail.contains("rope two 9.0 s") && stop.rule.contains("within 5 s"), "{stop:?}");
    // Nobody is tailer, whom the rig asks for; no roll call after the stop; nobody is said to be ready.
    assert!(of(&list, "role_vacant").words.contains("tailer"));
    assert!(of(&list, "no_roll_call").departs);
    // Good ones: the load test came first; the check was signed before anything moved.
    assert!(!of(&list, "load_test").departs);
    let signed = of(&list, "signed");
    // 60–100 and 120–200.
    assert_eq!(signed.words, "All 2 min of movement were on a rig that was signed as it was");
    let first_good = list.iter().position(|f| !f.departs).unwrap();
    assert!(list[first_good..].iter().all(|f| !f.departs), "departures come first");
}

#[test]
fn a_person_agrees_sets_aside_and_adds_and_nothing_is_deleted() {
    let mut p = Played::through(&LOWER);
    let list = found_at(&p, 200);
    let (count, silent) = (list.len(), of(&list, "silent").id.clone());
    let aside =
        json!({"do": "set_aside", "of": silent, "person": "Cleo", "reason": "read back by hand signal"});
    let aside = p.say(210, &aside.to_string());
    let list = found_at(&p, 220);
    assert_eq!(list.len(), count, "it stays");
    let f = named(&list, &silent);
    assert!(f.set_aside && f.departs);
    assert_eq!((f.said[0].seq, f.said[0].reason.as_str()), (aside, "read back by hand signal"));
    // Behind the departures that nobody set aside.
    let last = list.iter().rfind(|f| f.departs).unwrap();
    assert_eq!(last.id, silent);
    // Another agrees with it: it stays set aside by the first. The first thinks again: it stands.
    for (at, person, aside) in [(230, "Ben", true), (240, "Cleo", false)] {
        p.say(at, &json!({"do": "agree", "of": silent, "person": person}).to_string());
        let list = found_at(&p, 250);
        assert_eq!(named(&list, &silent).set_aside, aside, "{person}");
    }
    assert_eq!(named(&found_at(&p, 250), &silent).said.len(), 3);
    let add = json!({"do": "finding", "person": "Dov", "text": "the edge was told late of the stop", "entries": [14]});
    let seq = p.say(260, &add.to_string());
    let list = found_at(&p, 270);
    let added = list.iter().find(|f| f.by.is_some()).unwrap();
    assert_eq!((added.by.as_deref(), added.sure, added.departs), (Some("Dov"), Sure::Opinion, true));
    assert_eq!(added.entries, [14, seq]);
    assert_eq!(list.iter().filter(|f| f.sure == Sure::Opinion).count(), 1, "facts are not opinions");
    p.say(280, &json!({"do": "agree", "of": added.id, "person": "Ada", "text": "heard it too"}).to_string());
    assert_eq!(of(&found_at(&p, 290), "added").said[0].person, "Ada");
}

#[test]
fn what_was_said_to_a_finding_stays_when_a_correction_takes_the_finding_away() {
    let mut p = Played::through(&LOWER);
    let silent = of(&found_at(&p, 200), "silent").id.clone();
    p.say(210, &json!({"do": "agree", "of": silent, "person": "Ben", "text": "true"}).to_string());
    let order: u64 = silent.split(':').next_back().unwrap().parse().unwrap();
    let late = json!({"do": "readback", "from": "2", "of": order, "text": "lower", "happened": "13:01:04"});
    p.say(220, &late.to_string());
    let list = found_at(&p, 230);
    let kept = list.iter().find(|f| f.id == silent).unwrap();
    assert!(kept.detail.contains("no longer found"), "{kept:?}");
    assert_eq!(kept.said.len(), 1);
    assert!(kept.words.contains("never read back"), "as it was shown: {kept:?}");
}

#[test]
fn steps_of_the_review_that_name_nothing_are_refused_in_words() {
    let mut p = Played::through(&LOWER);
    for (step, words) in [
        (json!({"do": "agree", "of": "silent:9999", "person": "Ben"}), "there is no finding “silent:9999”"),
        (json!({"do": "agree", "of": "", "person": "Ben"}), "“of” is empty"),
        (json!({"do": "set_aside", "of": "stop:1", "person": "Ben"}), "set_aside has no “reason”"),
        (json!({"do": "set_aside", "of": "stop:1", "person": "Ben", "reason": " "}), "“reason” is empty"),
        (json!({"do": "finding", "person": "Ben", "text": "x", "entries": [999]}), "there is no entry “999”"),
        (json!({"do": "finding", "person": "Ben", "text": "x", "entries": "1"}), "not a list of entries"),
        (
            json!({"do": "return_to_service", "gear": "rope A", "person": "Ben", "reason": "x"}),
            "not in quarantine",
        ),
        (json!({"do": "quarantine", "gear": "", "person": "Ben", "reason": "x"}), "“gear” is empty"),
    ] {
        let count = p.entries.len();
        let refused = p.try_say(300, &step.to_string()).unwrap_err();
        assert!(refused.to_string().contains(words), "{step}: {refused}");
        assert_eq!(p.entries.len(), count);
    }
}

#[test]
fn gear_goes_out_of_use_and_comes_back() {
    let mut p = Played::through(&LOWER);
    p.say(300, r#"{"do":"close"}"#);
    let raised = p.state.raised.len();
    for gear in ["rope A, 60 m", "device on rope two"] {
        let step =
            json!({"do": "quarantine", "gear": gear, "person": "Ada", "reason": "shock load at the stop"});
        p.say(310, &step.to_string());
    }
    assert_eq!(quarantined(&p.state).len(), 2);
    let back = json!({"do": "return_to_service", "gear": "rope A, 60 m", "person": "Eve", "reason": "gone through by hand"});
    p.say(320, &back.to_string());
    let out = quarantined(&p.state);
    assert_eq!((out.len(), out[0].gear.as_str()), (1, "device on rope two"));
    assert_eq!(p.state.raised.len(), raised, "the review is written after the close, and that is no fault");
    assert_eq!(out, quarantined(&p.replayed()));
}
