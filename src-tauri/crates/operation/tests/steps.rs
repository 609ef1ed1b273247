//! What comes in: the contract's own script, and every way a step can be malformed, with place and remedy.

mod common;
use common::Played;
use operation::step::Act;
use operation::{Payload, Script, Step};

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

/// Every `do` word with every field the contract's table gives it.
const EVERY: [&str; 31] = [
    r#"{"do":"open","name":"N","place":"P","purpose":"rescue","edge_height":"22m","guidelines":{"readback_s":{"value":7,"source":"ours"}}}"#,
    r#"{"do":"close"}"#,
    r#"{"do":"check_in","person":"A","qualifications":["q"],"agency":"B"}"#,
    r#"{"do":"check_out","person":"A","qualifications":["q"],"agency":"B"}"#,
    r#"{"do":"assign","role":"control","person":"A"}"#,
    r#"{"do":"relieve","role":"control","person":"A"}"#,
    r#"{"do":"zone","person":"A","zone":"edge","tied_in":true,"partner":"B"}"#,
    r#"{"do":"rig","name":"lower","template":"twin-lower-two-knots","set":{"load":"250kg"}}"#,
    r#"{"do":"use","rig":"lower","state":"lowering"}"#,
    r#"{"do":"check","rig":"lower"}"#,
    r#"{"do":"sign","role":"rigging lead","person":"A","rig":"lower"}"#,
    r#"{"do":"accept","check":"x","person":"A","reason":"r","rig":"lower"}"#,
    r#"{"do":"order","from":"control","to":["all"],"text":"lower","cause":"c","by":"radio 2","label":"k"}"#,
    r#"{"do":"readback","from":"A","of":"k","text":"lower"}"#,
    r#"{"do":"readback","from":"A","of":12,"text":"lower"}"#,
    r#"{"do":"answer","from":"A","of":"k","text":"yes"}"#,
    r#"{"do":"report","from":"A","text":"9 metres","metres":9}"#,
    r#"{"do":"note","from":"A","text":"t","happened":"-PT5M"}"#,
    r#"{"do":"note","from":"A","text":"t","happened":"14:02"}"#,
    r#"{"do":"note","from":"A","text":"t","happened":"2026-05-14T14:02:00+02:00"}"#,
    r#"{"do":"signal","from":"A","count":2,"by":"whistle"}"#,
    r#"{"do":"signal","from":"A","text":"arm up","by":"hand"}"#,
    r#"{"do":"correct","of":"k","text":"slow"}"#,
    r#"{"do":"par","count":3,"of":4,"missing":["A"]}"#,
    r#"{"do":"patient","mark":"reached","text":"t","vitals":"pulse 88"}"#,
    r#"{"do":"patient","mark":"reached","vitals":{"pulse":88,"alert":"yes"}}"#,
    r#"{"do":"benchmark","name":"on scene"}"#,
    r#"{"do":"hazard","text":"loose rock","control":"kept clear"}"#,
    r#"{"do":"exercise","lose":"rope one","text":"rope one is gone"}"#,
    r#"{"do":"erase","of":3,"person":"A","reason":"law"}"#,
    r#"{"do":"check"}"#,
];

#[test]
fn every_step_of_the_contract_reads_and_its_act_reads_back() {
    for text in EVERY {
        let step = Step::read_text(text, "line 1").unwrap_or_else(|e| panic!("{text}: {e}"));
        let again: Act = serde_json::from_value(serde_json::to_value(&step.act).unwrap()).unwrap();
        assert_eq!(again, step.act, "{text}");
    }
}

#[test]
fn what_is_malformed_is_refused_with_place_and_remedy() {
    for (text, place, what) in [
        (r#"{"do":"dance"}"#, "line 4", "not a step"),
        (r#"{"text":"x"}"#, "line 4", "no “do”"),
        (r#"{"do":"order","from":"control","to":["all"]}"#, "line 4, order, text", "no “text”"),
        (r#"{"do":"order","from":"control","to":["all"],"text":null}"#, "line 4, order, text", "no “text”"),
        (r#"{"do":"order","from":"control","to":["all"],"text":" "}"#, "line 4, order, text", "empty"),
        (r#"{"do":"order","from":"control","to":[],"text":"x"}"#, "line 4, order, to", "nobody"),
        (r#"{"do":"order","from":"control","to":"all","text":"x"}"#, "line 4, order", "cannot be read"),
        (r#"{"do":"note","from":"a","text":"x","txet":"y"}"#, "line 4, note, txet", "unknown field"),
        (r#"{"do":"note","from":"a","text":"x","text":"y"}"#, "line 4, column", "stands twice"),
        (r#"{"do":"note","from":"a","text":"x","at":"12:00"}"#, "line 4, note, at", "not a time"),
        (r#"{"do":"note","from":"a","text":"x","at":5}"#, "line 4, note, at", "not text"),
        (r#"{"do":"note","from":"a","text":"x","at":"-PT5S"}"#, "line 4, note, at", "not a time"),
        (
            r#"{"do":"note","from":"a","text":"x","at":"PT99999999999999999999S"}"#,
            "line 4, note, at",
            "not a time",
        ),
        (
            r#"{"do":"note","from":"a","text":"x","happened":"yesterday"}"#,
            "line 4, note, happened",
            "not a time",
        ),
        (
            r#"{"do":"note","from":"a","text":"x","happened":"PT1M1M"}"#,
            "line 4, note, happened",
            "not a time",
        ),
        (r#"{"do":"report","from":"a","text":"x","metres":-1}"#, "line 4, report, metres", "metres"),
        (r#"{"do":"signal","from":"a"}"#, "line 4, signal", "neither"),
        (r#"{"do":"correct","of":"k"}"#, "line 4, correct", "changes nothing"),
        (r#"{"do":"readback","from":"a","of":1.5,"text":"x"}"#, "line 4, readback", "of"),
        (r#"{"do":"zone","person":"a","zone":"moon"}"#, "line 4, zone", "moon"),
        (r#"{"do":"par","count":-1}"#, "line 4, par", "cannot be read"),
        (
            r#"{"do":"open","name":"N","purpose":"drill","edge_height":"-3m"}"#,
            "line 4, open, edge_height",
            "edge_height",
        ),
        (r#"{"do":"open","name":"N","purpose":"party"}"#, "line 4, open", "party"),
        (
            r#"{"do":"open","name":"N","purpose":"drill","guidelines":{"par_min":{"value":0,"source":"x"}}}"#,
            "line 4, open, guidelines par_min.value",
            "not over 0",
        ),
        (r#"["do"]"#, "line 4", "not a JSON object"),
        (r#"{"do":"note""#, "line 4, column", "EOF"),
    ] {
        let error = Step::read_text(text, "line 4").expect_err(text);
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
        (r#",{"at":"PT5S","do":"close"},{"at":"PT4S","do":"close"}"#, "step 3, close, at", "runs back"),
        (r#",{"do":"close"}"#, "step 2, close, at", "no “at”"),
        (r#",{"at":"PT5X","do":"close"}"#, "step 2, close, at", "not a time"),
        (
            r#",{"at":"PT1S","do":"note","from":"a","text":"x","label":"k"},{"at":"PT2S","do":"note","from":"a","text":"x","label":"k"}"#,
            "step 3",
            "stands at step 2",
        ),
        (r#",{"at":"PT1S","at":"PT2S","do":"close"}"#, "line 1", "stands twice"),
        (",7", "step 2", "not a JSON object"),
    ] {
        let error = with(steps).expect_err(steps);
        assert!(error.place.starts_with(place) && error.what.contains(what), "{steps}: {error:?}");
    }
    for (text, place) in [
        ("", "line 1"),
        (r#"{"format":"other","start":"2026-05-14T13:02:00+02:00","steps":[]}"#, "format"),
        (r#"{"format":"ledgebook-script/0","start":"2026-05-14 13:02","steps":[]}"#, "start"),
        (r#"{"format":"ledgebook-script/0","start":"2026-05-14T13:02:00+02:00","steps":[]}"#, "step 1"),
        (r#"{"format":"ledgebook-script/0","start":"2026-05-14T13:02:00+02:00","steps":[],"x":1}"#, "line 1"),
    ] {
        assert!(Script::read(text).expect_err(text).place.starts_with(place), "{text}");
    }
}

#[test]
fn a_teams_own_guidelines_enter_with_open_and_rule_from_then_on() {
    let mut p = Played::empty();
    p.say(
        0,
        r#"{"do":"open","name":"N","purpose":"drill","guidelines":{"name":"Our team, edition 2","readback_s":{"value":4,"source":"rule 2"},
            "words":{"stop":["halt"],"stopped":["steht"]}}}"#,
    );
    assert_eq!(
        (p.state.guidelines.name.as_str(), p.state.guidelines.readback_s.value),
        ("Our team, edition 2", 4.0)
    );
    let Some(Payload::Open(open)) = p.state.payload(1) else { panic!("an open") };
    assert_eq!(open.guidelines.as_ref().unwrap().words.lower[0], "lower", "the whole is stored");
    p.say(1, r#"{"do":"assign","role":"rope one operator","person":"A"}"#);
    p.say(2, r#"{"do":"report","from":"edge attendant","text":"Halt!"}"#);
    assert_eq!(p.state.motion, operation::Motion::Stopping);
    p.say(3, r#"{"do":"report","from":"rope one operator","text":"steht"}"#);
    assert_eq!(p.state.motion, operation::Motion::Stopped);
}

#[test]
fn a_correction_of_a_correction_corrects_the_entry_itself() {
    let mut p = Played::crew();
    let order = p.say(10, r#"{"do":"order","from":"control","to":["both"],"text":"lower","label":"k"}"#);
    let first = p.say(20, r#"{"do":"correct","of":"k","text":"lower slow"}"#);
    let second = p.say(30, &format!(r#"{{"do":"correct","of":{first},"text":"raise"}}"#));
    let kept = p.state.at(order).unwrap();
    assert_eq!(kept.corrected_by, [first, second]);
    assert_eq!(kept.now.as_deref().and_then(|p| p.call()).unwrap().text, "raise");
    assert_eq!(p.state.motion, operation::Motion::Raising);
}

#[test]
fn before_the_start_is_recorded_and_flagged() {
    let mut p = Played::crew();
    let seq = p.say(10, r#"{"do":"note","from":"scribe","text":"called out","happened":"-PT20M"}"#);
    assert_eq!(p.state.at(seq).unwrap().happened_ms, p.start.timestamp_millis() - 1_200_000);
    assert!(p.flags().contains(&"time_out_of_range") && p.flags().contains(&"late_entry"));
}

#[test]
fn before_the_start_is_recorded_to_the_millisecond_and_flagged() {
    let mut p = Played::crew();
    let seq = p.say(10, r#"{"do":"note","from":"scribe","text":"called out","happened":"-PT20M0.001S"}"#);
    assert_eq!(p.state.at(seq).unwrap().happened_ms, p.start.timestamp_millis() - 1_200_001);
    assert!(p.flags().contains(&"time_out_of_range") && p.flags().contains(&"late_entry"));
}
