//! Motion, stops and loops, as the contract's appendix says; each case a little operation.

mod common;
use common::Played;
use operation::Motion;

fn order(from: &str, text: &str) -> String {
    format!(
        r#"{{"do":"order","from":"{from}","to":["rope one operator","rope two operator"],"text":"{text}","label":"{text}"}}"#
    )
}
fn said(kind: &str, from: &str, text: &str) -> String {
    format!(r#"{{"do":"{kind}","from":"{from}","text":"{text}"}}"#)
}

#[test]
fn only_control_sets_the_load_in_motion() {
    let mut p = Played::crew();
    p.say(10, &order("edge attendant", "lower"));
    assert_eq!(p.state.motion, Motion::AtRest);
    p.say(11, &order("control", "load test"));
    assert_eq!(p.state.motion, Motion::UnderLoadTest);
    p.say(12, &order("control", "lower slow"));
    assert_eq!((p.state.motion, p.state.slow), (Motion::Lowering, true));
    p.say(13, &order("control", "raise"));
    assert_eq!((p.state.motion, p.state.slow), (Motion::Raising, false));
}

#[test]
fn a_stop_waits_for_every_operator_and_only_control_ends_it() {
    let mut p = Played::crew();
    p.say(10, &order("control", "lower"));
    let stop = p.say(20, r#"{"do":"order","from":"edge attendant","to":["all"],"text":"stop","label":"s"}"#);
    assert_eq!(p.state.motion, Motion::Stopping);
    p.say(21, r#"{"do":"readback","from":"rope one operator","of":"s","text":"stop"}"#);
    assert_eq!(p.state.motion, Motion::Stopping, "a readback of stop does not count");
    assert_eq!(p.state.stops[0].silent().len(), 2);
    p.say(22, &said("report", "rope one operator", "stopped"));
    p.say(23, &order("control", "lower"));
    assert_eq!(p.state.motion, Motion::Stopping);
    assert!(p.flags().contains(&"move_during_stop"));
    p.say(24, &said("report", "rope two operator", "stopped"));
    assert_eq!(p.state.motion, Motion::Stopped);
    p.say(25, &order("edge attendant", "lower slow"));
    assert_eq!(p.state.motion, Motion::Stopped);
    p.say(26, r#"{"do":"order","from":"control","to":["both"],"text":"lower, slow","cause":"roller set"}"#);
    assert_eq!(p.state.motion, Motion::Lowering);
    assert_eq!(
        (p.state.stops[0].seq, p.state.stops[0].cause.as_str(), p.state.stops[0].ended_ms.is_some()),
        (stop, "roller set", true)
    );
}

#[test]
fn a_stop_with_nobody_assigned_stays_stopping_and_is_flagged() {
    let mut p = Played::empty();
    p.say(0, r#"{"do":"open","name":"T","purpose":"drill"}"#);
    p.say(1, &said("report", "edge attendant", "stop"));
    assert_eq!(p.state.motion, Motion::Stopping);
    assert!(p.flags().contains(&"stop_nobody_assigned"));
    p.say(2, &said("report", "rope one operator", "stopped"));
    assert_eq!(p.state.motion, Motion::Stopping);
}

#[test]
fn a_stop_in_a_raise_waits_for_the_haul_team_too() {
    let mut p = Played::crew();
    p.say(5, r#"{"do":"assign","role":"haul team","person":"Eli"}"#);
    p.say(10, &order("control", "raise"));
    p.say(11, r#"{"do":"signal","from":"litter attendant","count":1,"by":"whistle"}"#);
    assert_eq!(p.state.motion, Motion::Stopping);
    p.say(12, &said("report", "rope one operator", "stopped"));
    p.say(13, &said("report", "rope two operator", "stopped"));
    assert_eq!(p.state.stops[0].silent(), ["haul team"]);
    p.say(14, &said("report", "Eli", "stopped"));
    assert_eq!(p.state.motion, Motion::Stopped);
}

#[test]
fn tied_off_needs_all_operators_and_landed_anyone() {
    let mut p = Played::crew();
    p.say(10, &order("control", "lower"));
    p.say(20, &said("report", "edge attendant", "litter on the ground"));
    assert_eq!(p.state.motion, Motion::Landed);
    p.say(30, &said("report", "rope one operator", "tied off"));
    assert_eq!(p.state.motion, Motion::Landed);
    p.say(31, &said("report", "rope two operator", "tied off"));
    assert_eq!(p.state.motion, Motion::TiedOff);
}

#[test]
fn loops_close_by_role_and_a_wrong_readback_stands_out() {
    let mut p = Played::crew();
    p.say(10, r#"{"do":"order","from":"control","to":["both"],"text":"lower slow","label":"k"}"#);
    p.say(12, r#"{"do":"readback","from":"rope one operator","of":"k","text":"lower slow"}"#);
    p.say(13, r#"{"do":"readback","from":"rope two operator","of":"k","text":"raise slow"}"#);
    let l = &p.state.loops[0];
    assert_eq!(
        (l.waits[0].done.is_some(), l.waits[1].done.is_some(), l.waits[1].wrong.len()),
        (true, false, 1)
    );
    assert!(p.flags().contains(&"wrong_readback"));
    p.say(20, r#"{"do":"readback","from":"rope two operator","of":"k","text":"lower slow"}"#);
    assert!(!p.state.loops[0].open());
}

#[test]
fn an_order_read_back_wrong_is_told_once_and_is_not_one_that_nobody_answered() {
    let mut p = Played::crew();
    p.say(10, r#"{"do":"order","from":"control","to":["both"],"text":"lower slow","label":"k"}"#);
    p.say(12, r#"{"do":"readback","from":"rope one operator","of":"k","text":"lower slow"}"#);
    p.say(13, r#"{"do":"readback","from":"rope two operator","of":"k","text":"lower"}"#);
    p.say(30, r#"{"do":"order","from":"control","to":["rope two operator"],"text":"match rope one"}"#);
    let now = (p.start + chrono::Duration::seconds(600)).timestamp_millis();
    let marks = |mark: &str| {
        operation::review::findings(&p.state, now).iter().filter(|found| found.mark == mark).count()
    };
    assert_eq!((marks("silent"), marks("wrong")), (1, 1));
    for role in operation::review::readbacks(&p.state) {
        let expected = if role.role == "rope two operator" { (2, 0, 1, 1) } else { (1, 1, 0, 0) };
        let counted = (role.due, role.delays_s.len(), role.wrong_s.len(), role.never);
        assert_eq!(counted, expected, "{}", role.role);
    }
}

#[test]
fn a_readback_is_judged_by_the_words_as_they_stood_then() {
    let mut p = Played::crew();
    p.say(10, r#"{"do":"order","from":"control","to":["both"],"text":"lower slow","label":"k"}"#);
    p.say(12, r#"{"do":"readback","from":"rope one operator","of":"k","text":"lower slow"}"#);
    p.say(30, r#"{"do":"correct","of":"k","text":"lower"}"#);
    p.say(31, r#"{"do":"readback","from":"rope two operator","of":"k","text":"lower"}"#);
    assert!(!p.state.loops[0].open(), "{:?}", p.state.loops);
    assert!(!p.flags().contains(&"wrong_readback"));
    assert!(!p.state.slow, "the corrected words move the load");
    assert_eq!(p.entries.len(), 13, "both stay in the log");
}

#[test]
fn a_late_entry_counts_from_when_it_happened() {
    let mut p = Played::crew();
    p.say(10, &order("control", "lower"));
    p.say(60, r#"{"do":"order","from":"control","to":["both"],"text":"stop","happened":"PT20S"}"#);
    let s = &p.state.stops[0];
    assert_eq!(s.at_ms, p.start.timestamp_millis() + 20_000);
    assert!(p.flags().contains(&"late_entry"));
    p.say(61, r#"{"do":"correct","of":"10","happened":"PT15S"}"#);
    assert_eq!(
        p.state.spans[1].from_ms,
        p.start.timestamp_millis() + 15_000,
        "a correction moves an entry on the line"
    );
}

#[test]
fn what_is_not_there_is_refused_and_what_was_said_is_not() {
    let mut p = Played::crew();
    for bad in [
        r#"{"do":"readback","from":"control","of":"nothing","text":"x"}"#,
        r#"{"do":"correct","of":"99","text":"x"}"#,
        r#"{"do":"correct","of":"1","colour":"x"}"#,
        r#"{"do":"use","rig":"none"}"#,
        r#"{"do":"open","name":"again","purpose":"drill"}"#,
    ] {
        assert!(p.try_say(10, bad).is_err(), "{bad}");
    }
    p.say(11, r#"{"do":"close"}"#);
    p.say(12, &said("note", "scribe", "one more"));
    assert!(p.flags().contains(&"after_close"));
    p.say(13, r#"{"do":"note","from":"scribe","text":"early","happened":"2020-01-01T00:00:00Z"}"#);
    assert!(p.flags().contains(&"time_out_of_range"));
}

#[test]
fn an_order_contradicts_only_the_last_one_still_open() {
    let mut p = Played::crew();
    p.say(10, &order("control", "lower"));
    p.say(12, r#"{"do":"order","from":"control","to":["both"],"text":"raise","label":"up"}"#);
    assert_eq!(p.flags().iter().filter(|f| **f == "contradicting_orders").count(), 1);
    for role in ["rope one operator", "rope two operator"] {
        p.say(14, &format!(r#"{{"do":"readback","from":"{role}","of":"up","text":"raise"}}"#));
    }
    p.say(20, r#"{"do":"order","from":"control","to":["both"],"text":"raise slow"}"#);
    assert_eq!(p.flags().iter().filter(|f| **f == "contradicting_orders").count(), 1);
}

#[test]
fn a_teams_own_guidelines_hold_from_the_opening_on_and_faulty_ones_are_refused() {
    let mut own = rig::guidelines::Guidelines::defaults();
    own.required_margin.value = 15.0;
    own.name = "Team rules".into();
    let open = |g: &rig::guidelines::Guidelines| {
        serde_json::json!({"do": "open", "name": "T", "purpose": "drill", "guidelines": g}).to_string()
    };
    let mut p = Played::empty();
    p.say(0, &open(&own));
    assert_eq!(p.state.guidelines, own);
    assert_eq!(p.replayed().guidelines, own, "the record means the same when it is read again");
    own.required_margin.value = 0.0;
    let mut p = Played::empty();
    assert!(p.try_say(0, &open(&own)).is_err());
    assert!(p.entries.is_empty(), "nothing is stored");
}

#[test]
fn what_a_check_or_a_signature_rests_on_is_entered_anew_never_corrected() {
    let mut p = Played::crew();
    let rig = p.say(10, r#"{"do":"rig","name":"lower","template":"twin-lower-two-knots"}"#);
    p.say(11, r#"{"do":"rig","name":"raise","template":"raise-3-to-1-and-belay"}"#);
    let sign = p.say(12, r#"{"do":"sign","role":"rigging lead","person":"Fay","rig":"lower"}"#);
    assert_eq!(p.state.rigs["lower"].signed.len(), 1, "a named rig is signed, not the one in use");
    assert!(p.try_say(13, r#"{"do":"sign","role":"rigging lead","person":"Fay","rig":"none"}"#).is_err());
    for fields in [
        format!(r#""of":"{rig}","name":"x""#),
        format!(r#""of":"{sign}","check_seq":1"#),
        format!(r#""of":"{sign}","rig":"raise""#),
        r#""of":"1","guidelines":null"#.into(),
    ] {
        assert!(p.try_say(14, &format!(r#"{{"do":"correct",{fields}}}"#)).is_err(), "{fields}");
    }
    p.say(15, &format!(r#"{{"do":"correct","of":"{sign}","person":"Gil"}}"#));
    assert_eq!(p.state.rigs["lower"].signed[0].person, "Gil");
}

#[test]
fn a_finding_of_an_order_never_read_back_names_who_read_it_back_wrong_as_well() {
    let mut p = Played::crew();
    p.say(10, r#"{"do":"order","from":"control","to":["both"],"text":"lower slow","label":"k"}"#);
    p.say(12, r#"{"do":"readback","from":"rope one operator","of":"k","text":"lower"}"#);
    let now = (p.start + chrono::Duration::seconds(600)).timestamp_millis();
    let silent = |p: &Played| {
        let all = operation::review::findings(&p.state, now);
        all.into_iter().find(|f| f.mark == "silent").map(|f| format!("{}: {}", f.words, f.detail))
    };
    assert_eq!(
        silent(&p).unwrap(),
        "“lower slow” was never read back by rope two: order from control; rope one read it back wrong"
    );
    p.say(20, r#"{"do":"readback","from":"rope one operator","of":"k","text":"lower slow"}"#);
    assert_eq!(silent(&p).unwrap(), "“lower slow” was never read back by rope two: order from control");
}

#[test]
fn an_acceptance_is_told_by_the_name_of_the_part_and_the_role_of_the_person() {
    let mut p = Played::crew();
    p.say(3, r#"{"do":"assign","role":"rigging lead","person":"Fay"}"#);
    p.say(10, r#"{"do":"rig","name":"lower","template":"twin-lower-two-knots"}"#);
    let seq = p.say(11, r#"{"do":"accept","check":"end_knot_1","person":"Fay","reason":"watched"}"#);
    p.say(12, r#"{"do":"relieve","role":"rigging lead","person":"Fay"}"#);
    let row = operation::line::row(&p.state, seq).unwrap();
    assert_eq!(
        (row.who.as_str(), row.text.as_str()),
        ("Fay", "accepted end knot 1 as rigging lead: watched")
    );
}

/// A `rig` entry has always put its rig in use. What nobody said is told, with the way back, until somebody says `use`.
#[test]
fn a_rig_in_use_because_it_was_made_is_told_with_the_one_before_until_somebody_says_use() {
    let was = |p: &Played| p.state.by_making.as_ref().map(|m| (m.was.clone(), m.seq));
    let mut p = Played::crew();
    p.say(10, r#"{"do":"rig","name":"lower","template":"twin-lower-two-knots"}"#);
    assert_eq!(was(&p), None, "the first rig took nobody's place");
    p.say(11, r#"{"do":"rig","name":"lower","template":"twin-lower-one-knot"}"#);
    assert_eq!(was(&p), None, "the same rig, changed");
    let raise = p.say(12, r#"{"do":"rig","name":"raise","template":"raise-3-to-1-and-belay"}"#);
    assert_eq!((p.state.rig_in_use.as_deref(), was(&p)), (Some("raise"), Some(("lower".into(), raise))));
    let third = p.say(13, r#"{"do":"rig","name":"spare","template":"raise-3-to-1-and-belay"}"#);
    assert_eq!(was(&p), Some(("lower".into(), third)), "back to the one that was chosen");
    let mut q = Played::crew();
    q.entries = p.entries.clone();
    q.state = p.replayed();
    p.say(14, r#"{"do":"use","rig":"lower"}"#);
    assert_eq!((p.state.rig_in_use.as_deref(), was(&p)), (Some("lower"), None));
    q.say(14, r#"{"do":"use","rig":"spare"}"#);
    assert_eq!((q.state.rig_in_use.as_deref(), was(&q)), (Some("spare"), None));
    q.say(15, r#"{"do":"rig","name":"lower","template":"twin-lower-two-knots"}"#);
    q.say(16, r#"{"do":"rig","name":"spare","template":"raise-3-to-1-and-belay"}"#);
    assert_eq!((q.state.rig_in_use.as_deref(), was(&q)), (Some("spare"), None), "made again: back by itself");
}

#[test]
fn who_was_missing_at_a_count_stays_missing_whoever_comes_or_goes() {
    let mut p = Played::empty();
    p.say(0, r#"{"do":"open","name":"T","purpose":"drill"}"#);
    for (at, person) in [(1, "Ada"), (2, "Bo"), (3, "Cy")] {
        p.say(at, &format!(r#"{{"do":"check_in","person":"{person}"}}"#));
    }
    p.say(10, r#"{"do":"par","count":2}"#);
    let missing = |p: &Played| p.state.pars.last().map(operation::state::ParState::missing);
    assert_eq!(missing(&p), Some(1));
    p.say(11, r#"{"do":"check_out","person":"Ada"}"#);
    p.say(12, r#"{"do":"check_in","person":"Dee"}"#);
    assert_eq!(missing(&p), Some(1));
    p.say(13, r#"{"do":"par","count":3,"of":4}"#);
    assert_eq!(missing(&p), Some(1), "it speaks of more than are checked in");
    p.say(14, r#"{"do":"par","count":3}"#);
    assert_eq!(missing(&p), Some(0));
}

/// A slip of the hour: what is said to happen only in years stands where it was written, and what is written after it is taken in
/// as the next thing, not by going through everything anew.
#[test]
fn an_hour_in_the_future_does_not_put_what_follows_before_it() {
    let mut p = Played::crew();
    let slip = p.say(60, r#"{"do":"note","from":"scribe","text":"slip","happened":"2031-01-01T00:00:00Z"}"#);
    let next = p.say(70, r#"{"do":"note","from":"scribe","text":"next"}"#);
    assert_eq!(p.state.happened().last(), Some(&next));
    let at = |seq| p.state.at(seq).unwrap().happened_ms;
    assert_eq!(at(next) - at(slip), 10_000);
}
