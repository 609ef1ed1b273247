//! What comes in: the contract's own script, and how a script, a step or a time can be malformed, with place and remedy.

mod common;
use common::Played;
use operation::{Script, Step};

/// The example of the contract, word for word but for the names it leaves open.
const EXAMPLE: &str = r#"{ "format": "ledgebook-script/0", "start": "2026-05-14T13:02:00+02:00", "station": "top", "seed": 7, "steps": [
  {"at": "PT0S",     "do": "open", "name": "N", "place": "P", "purpose": "drill", "edge_height": "22m"},
  {"at": "PT1M",     "do": "check_in", "person": "A", "qualifications": ["q"]},
  {"at": "PT4M",     "do": "assign", "role": "control", "person": "A"},
  {"at": "PT9M",     "do": "rig", "name": "lower", "template": "twin-lower-two-knots", "set": {"load": "250kg"}},
  {"at": "PT10M",    "do": "check"},
  {"at": "PT11M",    "do": "sign", "role": "rigging lead", "person": "A"},
  {"at": "PT12M3S",  "do": "order", "from": "control", "to": ["rope one operator", "rope two operator"], "text": "lower slow", "label": "k1"},
  {"at": "PT12M5S",  "do": "readback", "from": "rope one operator", "of": "k1", "text": "lower slow"},
  {"at": "PT14M",    "do": "order", "from": "edge attendant", "to": ["all"], "text": "stop"},
  {"at": "PT16M",    "do": "report", "from": "edge attendant", "text": "litter attendant over the edge", "happened": "PT13M20S"},
  {"at": "PT17M",    "do": "correct", "of": "k1", "text": "lower"},
  {"at": "PT40M",    "do": "close"} ] }"#;

#[test]
fn the_contracts_example_reads() {
    let script = Script::read(EXAMPLE).unwrap();
    assert_eq!((script.steps.len(), script.seed, script.station.as_str()), (12, 7, "top"));
    assert_eq!(script.steps[6].at_ms, Some(723_000));
    assert_eq!(script.steps[9].happened.as_deref(), Some("PT13M20S"));
}

#[test]
fn what_is_malformed_is_refused_with_place_and_remedy() {
    for (text, place, what) in [
        (r#"{"do":"dance"}"#, "line 4", "not a step"),
        (r#"{"text":"x"}"#, "line 4", "no “do”"),
        (r#"{"do":"order","from":"control","to":["all"]}"#, "line 4, order", "`text`"),
        (r#"{"do":"order","from":"control","to":["all"],"text":" "}"#, "line 4, order", "empty"),
        (r#"{"do":"order","from":"control","to":[],"text":"x"}"#, "line 4, order", "nobody"),
        (r#"{"do":"note","from":"a","text":"x","txet":"y"}"#, "line 4, note", "txet"),
        (r#"{"do":"note","from":"a","text":"x","at":"12:00"}"#, "line 4, note", "not a time"),
        (r#"{"do":"note","from":"a","text":"x","at":"-PT5S"}"#, "line 4, note", "not a time"),
        (
            r#"{"do":"note","from":"a","text":"x","at":"PT99999999999999999999S"}"#,
            "line 4, note",
            "not a time",
        ),
        (r#"{"do":"note","from":"a","text":"x","at":5}"#, "line 4, note", "not text"),
        (r#"{"do":"note","from":"a","text":"x","happened":"yesterday"}"#, "line 4, note", "not a time"),
        (r#"{"do":"note","from":"a","text":"x","happened":"PT1M1M"}"#, "line 4, note", "not a time"),
        (r#"{"do":"report","from":"a","text":"x","metres":-1}"#, "line 4, report", "metres"),
        (r#"{"do":"correct","of":"k"}"#, "line 4, correct", "changes nothing"),
        (r#"{"do":"zone","person":"a","zone":"moon"}"#, "line 4, zone", "moon"),
    ] {
        let error = Step::read(&serde_json::from_str(text).unwrap(), "line 4").expect_err(text);
        assert!(error.place.starts_with(place), "{text}: {error:?}");
        assert!(error.what.contains(what), "{text}: {error:?}");
        assert!(!error.remedy.is_empty());
    }
}

#[test]
fn a_script_that_cannot_be_played_names_the_step() {
    let with = |steps: &str| {
        Script::read(&format!(
            r#"{{"format":"ledgebook-script/0","start":"2026-05-14T13:02:00+02:00","steps":[{{"at":"PT0S","do":"open","name":"N","purpose":"drill"}}{steps}]}}"#
        ))
    };
    assert_eq!(with("").unwrap().station, "top");
    for (steps, place, what) in [
        (r#",{"at":"PT5.001S","do":"close"},{"at":"PT5S","do":"close"}"#, "step 3, close", "runs back"),
        (r#",{"do":"close"}"#, "step 2, close", "no “at”"),
        (r#",{"at":"PT5X","do":"close"}"#, "step 2, close", "not a time"),
        (
            r#",{"at":"PT1S","do":"note","from":"a","text":"x","label":"k"},{"at":"PT2S","do":"note","from":"a","text":"x","label":"k"}"#,
            "step 3",
            "stands at step 2",
        ),
        (r#",{"at":"PT1S","at":"PT2S","do":"close"}"#, "line 1, column", "“at” stands twice"),
        (
            r#",{"at":"PT1S","do":"rig","set":{"load":"1kg","load":"2kg"}}"#,
            "line 1, column",
            "“load” stands twice",
        ),
        (",7", "step 2", "object"),
    ] {
        let error = with(steps).expect_err(steps);
        assert!(error.place.starts_with(place) && error.what.contains(what), "{steps}: {error:?}");
    }
}

#[test]
fn before_the_start_is_recorded_to_the_millisecond_and_flagged() {
    let mut p = Played::crew();
    let seq = p.say(10, r#"{"do":"note","from":"scribe","text":"called out","happened":"-PT20M0.001S"}"#);
    assert_eq!(p.state.at(seq).unwrap().happened_ms, p.start.timestamp_millis() - 1_200_001);
    assert!(p.flags().contains(&"time_out_of_range") && p.flags().contains(&"late_entry"));
}
