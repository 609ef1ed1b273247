//! Laws: applying one by one equals replaying the whole; nothing that is typed makes it fall over.

mod common;
use common::Played;
use proptest::prelude::*;

fn step() -> impl Strategy<Value = String> {
    let role = prop::sample::select(vec![
        "control",
        "rope one operator",
        "rope two operator",
        "edge attendant",
        "haul team",
        "Ada",
        "Zed",
    ]);
    let text = prop::sample::select(vec![
        "lower",
        "raise slow",
        "stop",
        "stopped",
        "tied off",
        "at the edge",
        "landed",
        "load test",
        "9 metres",
        "slack one",
        "equal",
        "roll call",
        "edge clear?",
        "“é”",
    ]);
    let late = prop::option::of(0..400i64);
    (role, text, late, 0..15u8, 1..30u64).prop_map(|(role, text, late, kind, of)| {
        let happened = late.map_or_else(String::new, |s| format!(r#","happened":"PT{s}S""#));
        match kind {
            0..=3 => format!(r#"{{"do":"order","from":"{role}","to":["all"],"text":"{text}"{happened}}}"#),
            4..=5 => format!(r#"{{"do":"readback","from":"{role}","of":"{of}","text":"{text}"{happened}}}"#),
            6..=7 => format!(r#"{{"do":"report","from":"{role}","text":"{text}"{happened}}}"#),
            8 => format!(r#"{{"do":"correct","of":"{of}","text":"{text}"}}"#),
            9 => format!(r#"{{"do":"assign","role":"{role}","person":"Zed"{happened}}}"#),
            10 => format!(r#"{{"do":"zone","person":"Zed","zone":"on_rope"{happened}}}"#),
            11 => r#"{"do":"par","count":3,"of":4}"#.to_string(),
            12 => r#"{"do":"rig","name":"lower","template":"twin-lower-two-knots"}"#.to_string(),
            13 => format!(
                r#"{{"do":"use","rig":"lower","state":"{}"{happened}}}"#,
                ["lowering", "load_test", "tied_off"][of as usize % 3]
            ),
            _ => format!(r#"{{"do":"signal","from":"{role}","count":{}}}"#, of % 5),
        }
    })
}

/// What an entry brought about is looked up at its moment: it must be what going through everything finds.
fn found_as_by_going_through_all(state: &operation::State, seq: u64) -> Result<(), TestCaseError> {
    prop_assert_eq!(state.loop_of(seq), state.loops.iter().rev().find(|l| l.seq == seq));
    prop_assert_eq!(state.stop_of(seq), state.stops.iter().rev().find(|s| s.seq == seq));
    prop_assert_eq!(state.span_of(seq), state.spans.iter().rev().find(|s| s.seq == seq));
    let flags = state.raised.iter().filter(|f| f.entries.last() == Some(&seq));
    prop_assert_eq!(state.flags_of(seq).collect::<Vec<_>>(), flags.collect::<Vec<_>>());
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn one_by_one_equals_the_whole(steps in prop::collection::vec(step(), 1..50)) {
        let mut p = Played::crew();
        for (i, s) in steps.iter().enumerate() {
            let _ = p.try_say(5 + 7 * i as i64, s);
        }
        let mut whole = p.replayed();
        for (seq, k) in p.state.written().iter().enumerate() {
            prop_assert_eq!(k, &whole.written()[seq]);
        }
        // Labels live in the session, not in the entries.
        whole.clone_labels(&p.state);
        prop_assert_eq!(&p.state, &whole);
        for k in p.state.written() {
            prop_assert!(operation::line::row(&p.state, k.seq).is_some());
            prop_assert!(k.first.is_some(), "a stored payload reads back: {}", k.kind);
            found_as_by_going_through_all(&p.state, k.seq)?;
        }
        for from in ["control", "c", "Ada", "Zed", "haul team", "nobody"] {
            let has = p.state.speaks_as(from).iter().any(|r| r == "control");
            prop_assert_eq!(p.state.speaks_for(from, "control"), has, "{}", from);
        }
        let open: Vec<u64> = p.state.loops.iter().filter(|l| l.open()).map(|l| l.seq).collect();
        prop_assert_eq!(p.state.open_loops().map(|l| l.seq).collect::<Vec<_>>(), open);
        let now = p.start.timestamp_millis() + 3_600_000;
        let measured = operation::review::measures(&p.state, now);
        let spans: f64 = measured.motions.value.iter().map(|m| m.total_s).sum();
        prop_assert!((spans - 3600.0).abs() < 0.01, "every second has one motion: {spans}");
        operation::review::findings(&p.state, now);
    }

    #[test]
    fn an_opening_after_other_entries_judges_them_too(steps in prop::collection::vec(step(), 1..12), late in 0..900i64) {
        let mut p = Played::empty();
        let said = format!(r#"{{"do":"report","from":"control","text":"on site","happened":"12:{:02}:{:02}"}}"#, 45 + late / 60, late % 60);
        p.say(1, &said);
        for (i, s) in steps.iter().enumerate() {
            let _ = p.try_say(5 + 7 * i as i64, s);
        }
        p.say(600, r#"{"do":"open","name":"T","purpose":"drill","edge_height":"20m"}"#);
        let mut whole = p.replayed();
        whole.clone_labels(&p.state);
        prop_assert_eq!(&p.state, &whole);
    }

    #[test]
    fn whatever_is_typed_ends_with_a_note(typed in "\\PC{1,20}|[12telhc*w][ >]?[a-z ]{0,8}|-[0-9]{1,3}[smhx] .{0,5}|[0-9]{1,2}:[0-9]{2} .{0,9}") {
        let p = Played::crew();
        let list = operation::free_line::candidates(&p.state, &typed, p.start);
        prop_assert!(typed.trim().is_empty() || !list.is_empty());
        for c in list {
            let mut text = c.step.to_string();
            if text.contains("\"text\":\"\"") { text.clear(); }
            if !text.is_empty() {
                prop_assert!(operation::Step::read(&c.step, "typed").is_ok(), "{}", text);
            }
        }
    }
}
