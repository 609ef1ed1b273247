//! Charts over an invented operation and over random numbers: no text over text, nothing off the sheet,
//! and what is unknown says so.

mod fixtures;

use drawing::audit::{faults, texts};
use drawing::charts::{
    Delays, Exposure, Margin, Pace, ROWS, StopTime, Stopped, delays, exposure, margins, speed, stop_times,
    time_in_motion, trend,
};
use drawing::pattern::MOTIONS;
use proptest::prelude::*;
use rig::findings::Verdict;
use rig::units::Units;

const HALF: f64 = 85.2;
const FULL: f64 = 174.0;

#[test]
fn charts_of_the_invented_operation_have_no_fault() {
    for (name, list) in fixtures::charts() {
        assert_eq!(faults(&list), Vec::<String>::new(), "{name}");
    }
}

#[test]
fn empty_charts_say_so() {
    let cases = [
        (time_in_motion(&[], HALF), "no motion was recorded"),
        (exposure(&[], HALF, None), "nobody was on rope or in a zone, by the entries"),
        (delays(&[], FULL), "no order asked for a readback"),
        (stop_times(&[], HALF, 0), "nobody called a stop"),
        (speed(&[], HALF, 22.0, 0, Units::Si), "fewer than two heights were called in one run"),
    ];
    for (list, words) in cases {
        assert_eq!(faults(&list), Vec::<String>::new());
        assert!(texts(&list).iter().any(|t| t == words), "{words}");
    }
}

#[test]
fn a_trend_has_a_dot_for_each_value_and_a_gap_for_what_was_not_measured() {
    let whole = [Some(8.0), Some(6.0), Some(7.0), Some(4.0)];
    let gap = [Some(8.0), None, Some(7.0), Some(f64::NAN)];
    // A base line, lines between neighbours, and a dot for each.
    for (values, items) in [(&whole[..], 1 + 3 + 4), (&gap[..], 1 + 2), (&whole[..1], 1 + 1), (&[][..], 1)] {
        let list = trend(values, 30.0, 8.0);
        assert_eq!(faults(&list), Vec::<String>::new(), "{values:?}");
        assert_eq!(list.items.len(), items, "{values:?}: {:?}", list.items);
    }
    assert_eq!(faults(&trend(&[Some(0.0), Some(0.0)], 30.0, 8.0)), Vec::<String>::new());
}

#[test]
fn a_part_that_was_not_checked_shows_no_margin() {
    let row = Margin {
        label: "anchor east, tree".into(),
        verdict: Verdict::NotChecked,
        now: Some(15.0),
        required: Some(10.0),
        after: None,
        required_after: Some(1.0),
        which: "strength unknown".into(),
    };
    let texts = texts(&margins(&[row], FULL, 4.6));
    assert!(texts.iter().any(|t| t == "not checked") && texts.iter().any(|t| t == "?"));
    assert!(!texts.iter().any(|t| t == "15.0"), "{texts:?}");
}

#[test]
fn a_stop_that_nobody_answered_is_among_the_four_shown() {
    let mut stops: Vec<StopTime> = (0..9)
        .map(|i| StopTime {
            at_ms: i * 60_000,
            words: format!("stop {i}"),
            operators: vec![Stopped { rope_two: false, after_s: Some(5.0 + i as f64) }],
            ..StopTime::default()
        })
        .collect();
    stops[2].operators.push(Stopped { rope_two: true, after_s: None });
    let texts = texts(&stop_times(&stops, HALF, 0));
    for words in ["00:02 stop 2", "00:06 stop 6", "00:07 stop 7", "00:08 stop 8", "never"] {
        assert!(texts.iter().any(|t| t == words), "{words}: {texts:?}");
    }
}

#[test]
fn a_stop_of_minutes_is_not_told_in_tenths_of_seconds() {
    let stop = |after_s| StopTime {
        operators: vec![Stopped { rope_two: true, after_s: Some(after_s) }],
        ..StopTime::default()
    };
    let texts = texts(&stop_times(&[stop(4.94), stop(59.9), stop(59.96), stop(2871.0)], HALF, 0));
    for words in ["4.9 s", "59.9 s", "1 min", "47 min 51 s"] {
        assert!(texts.iter().any(|t| t == words), "{words}: {texts:?}");
    }
}

/// Down at 2 m/min for 50 min, a quarter of an hour of which nothing is known, then up and down in turn every 5 s.
#[test]
fn a_pace_that_changes_often_is_drawn_by_its_fastest_and_says_so() {
    let pace = |from_s: i64, to_s: i64, m_per_min: f64| Pace {
        from_ms: from_s * 1000,
        to_ms: to_s * 1000,
        m_per_min,
    };
    let slow = [pace(0, 3000, 2.0)];
    let plain = texts(&speed(&slow, HALF, 22.0, 0, Units::Si));
    assert!(plain.iter().any(|t| t == "lower, 00:00"), "{plain:?}");
    assert!(!plain.iter().any(|t| t.contains("fastest")), "{plain:?}");
    let turns = (0..1500).map(|i| pace(3900 + 5 * i, 3905 + 5 * i, if i % 2 == 0 { -1.0 } else { 3.5 }));
    let many: Vec<Pace> = slow.into_iter().chain(turns).collect();
    let list = speed(&many, HALF, 22.0, 0, Units::Si);
    let said = texts(&list);
    for words in ["lower, 00:00", "raise, 01:05", "4", "where several share a column, the fastest is drawn"] {
        assert!(said.iter().any(|t| t == words), "{words}: {said:?}");
    }
    assert_eq!(said.iter().filter(|t| t.contains(", ")).count(), 3, "a turn of 5 s has no name: {said:?}");
    // 85.2 mm hold 142 columns of 0.6 mm: no step for each of 1500 turns.
    assert!(list.items.len() < 200, "{}", list.items.len());
    assert_eq!(faults(&list), Vec::<String>::new());
}

fn seconds() -> impl Strategy<Value = f64> {
    prop_oneof![0.0f64..20.0, 0.0f64..5000.0, 0.0f64..1e8, Just(f64::NAN)]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_bar_chart_has_a_fault(times in prop::collection::vec(seconds(), 9), people in prop::collection::vec(("[ -~ÀžЖθ日]{0,60}", seconds(), seconds(), seconds()), 0..25)) {
        let rows: Vec<_> = MOTIONS.iter().zip(&times).map(|((m, _, _), s)| (*m, *s)).collect();
        prop_assert_eq!(faults(&time_in_motion(&rows, HALF)), Vec::<String>::new());
        let people: Vec<Exposure> = people.into_iter().map(|(person, on_rope_s, edge_s, drop_s)| Exposure { person, on_rope_s, edge_s, drop_s }).collect();
        prop_assert_eq!(faults(&exposure(&people, HALF, None)), Vec::<String>::new());
    }

    #[test]
    fn no_delay_chart_has_a_fault(rows in prop::collection::vec(("[ -~Žя]{0,50}", 0usize..4000, prop::collection::vec(seconds(), 0..90), prop::collection::vec(seconds(), 0..3), 0usize..99), 0..12)) {
        let rows: Vec<Delays> = rows.into_iter().map(|(role, due, right_s, wrong_s, never)| Delays { role, due, wrong: wrong_s.len(), right_s, wrong_s, never }).collect();
        prop_assert_eq!(faults(&delays(&rows, FULL)), Vec::<String>::new());
    }

    #[test]
    fn no_stop_chart_has_a_fault(rows in prop::collection::vec((proptest::option::of(1usize..9), 0i64..1_000_000_000, "[ -~Žя]{0,70}", prop::collection::vec((any::<bool>(), proptest::option::of(seconds())), 0..5)), 0..9)) {
        let rows: Vec<StopTime> = rows.into_iter().map(|(number, at_ms, words, who)| StopTime { number, at_ms, words, operators: who.into_iter().map(|(rope_two, after_s)| Stopped { rope_two, after_s }).collect() }).collect();
        prop_assert_eq!(faults(&stop_times(&rows, HALF, 90)), Vec::<String>::new());
    }

    #[test]
    fn no_speed_chart_has_a_fault(paces in prop::collection::vec((0i64..20_000_000, 0i64..900_000, -300.0f64..300.0), 0..60)) {
        let paces: Vec<Pace> = paces.into_iter().map(|(from_ms, long, m_per_min)| Pace { from_ms, to_ms: from_ms + long, m_per_min }).collect();
        for units in [Units::Si, Units::Us] {
            prop_assert_eq!(faults(&speed(&paces, HALF, 22.0, 60, units)), Vec::<String>::new());
        }
    }

    #[test]
    fn no_margin_chart_has_a_fault(rows in prop::collection::vec(("[ -~Žя]{0,60}", 0usize..3, proptest::option::of(0.0f64..5000.0), proptest::option::of(0.0f64..300.0), "[ -~θ]{0,80}"), 0..20), least in prop::sample::select(ROWS.to_vec())) {
        let verdicts = [Verdict::Holds, Verdict::FallsShort, Verdict::NotChecked];
        let rows: Vec<Margin> = rows.into_iter().map(|(label, v, now, after, which)| Margin { label, verdict: verdicts[v], now, required: Some(10.0), after, required_after: Some(1.0), which }).collect();
        prop_assert_eq!(faults(&margins(&rows, FULL, least)), Vec::<String>::new());
    }
}
