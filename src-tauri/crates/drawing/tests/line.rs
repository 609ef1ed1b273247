//! The line over an invented operation and over random ones: every entry hangs on it once, no text lies
//! over text, nothing leaves the sheet.

mod fixtures;

use drawing::audit::{faults, texts};
use drawing::line::{Entry, Hang, LineInput, Piece, pieces};
use drawing::moment::Span;
use drawing::pattern::MOTIONS;
use drawing::{DisplayList, Item};
use proptest::prelude::*;
use rig::units::Units;

fn groups(list: &DisplayList) -> Vec<(String, String)> {
    let group = |item: &Item| match item {
        Item::Group { id, label, .. } => Some((id.clone(), label.clone())),
        _ => None,
    };
    list.items.iter().filter_map(group).collect()
}

fn all_faults(pieces: &[Piece]) -> Vec<String> {
    pieces.iter().flat_map(|piece| faults(&piece.list)).collect()
}

#[test]
fn the_line_of_the_invented_operation_shows_every_order_and_stop() {
    let pieces = pieces(&fixtures::line(), 241.0, 252.0);
    assert_eq!(all_faults(&pieces), Vec::<String>::new());
    assert_eq!(pieces.len(), 2);
    let texts: Vec<String> = pieces.iter().flat_map(|p| texts(&p.list)).collect();
    let all = texts.join("|");
    for words in [
        "STOP",
        "edge attendant → all",
        "patient reached",
        "“lower”, not as ordered",
        "written|03:00:00",
        "not read back by rope two",
        "check-in of 4:",
        "22 min without a call",
    ] {
        assert!(all.contains(words), "{words}: {all}");
    }
    assert_eq!((pieces[0].first_seq, pieces[1].to_ms), (1, 156 * fixtures::MIN));
}

#[test]
fn no_entries_no_line() {
    assert!(pieces(&LineInput::default(), 200.0, 250.0).is_empty());
}

#[test]
fn an_order_at_the_foot_goes_with_its_answer_to_the_next_page() {
    let entries: Vec<Entry> = (0..40)
        .map(|i| Entry {
            seq: i + 1,
            at_ms: i as i64 * 60_000,
            kind: "note".into(),
            text: "said".into(),
            ..Entry::default()
        })
        .collect();
    for length in 8..30 {
        let mut some = entries[..length].to_vec();
        let at_ms = length as i64 * 60_000;
        let order = Entry {
            seq: 90,
            at_ms,
            hang: Hang::Left,
            kind: "order".into(),
            text: "lower".into(),
            ..Entry::default()
        };
        let answer = |seq, s: i64| Entry {
            seq,
            at_ms: at_ms + s * 1000,
            kind: "readback".into(),
            text: format!("lower {seq}"),
            from: "rope one".into(),
            of: Some(90),
            ..Entry::default()
        };
        some.extend([order, answer(91, 9), answer(92, 20), answer(93, 40)]);
        let input = LineInput { entries: some, end_ms: 9_000_000, ..LineInput::default() };
        let pages = pieces(&input, 120.0, 120.0);
        let page_of = |seq: u64| {
            pages.iter().position(|p| groups(&p.list).iter().any(|(id, _)| *id == format!("entry-{seq}")))
        };
        assert_eq!(page_of(90), page_of(91), "after {length} notes");
    }
}

#[test]
fn ten_thousand_entries_are_drawn_each_once() {
    let entries: Vec<Entry> = (0..10_000u64)
        .map(|i| {
            let hang = if i % 5 == 0 { Hang::Left } else { Hang::Right };
            let kind = if i % 5 == 0 { "order" } else { "report" };
            Entry {
                seq: i + 1,
                at_ms: i as i64 * 7000,
                hang,
                kind: kind.into(),
                from: "edge".into(),
                text: format!("call {i}"),
                ..Entry::default()
            }
        })
        .collect();
    let input = LineInput { entries, end_ms: 70_000_000, ..LineInput::default() };
    let pieces = pieces(&input, 241.0, 252.0);
    assert_eq!(pieces.iter().map(|p| groups(&p.list).len()).sum::<usize>(), 10_000);
    assert_eq!(all_faults(&pieces[..20]), Vec::<String>::new());
    assert!(pieces.windows(2).all(|pair| pair[0].last_seq < pair[1].first_seq));
}

fn any_entry() -> impl Strategy<Value = Entry> {
    let words = "[ -~ÀžЖθ日\n]{0,120}";
    let kind = prop::sample::select(vec![
        "order",
        "readback",
        "answer",
        "report",
        "signal",
        "note",
        "stop",
        "exercise",
        "benchmark",
        "check_in",
        "assign",
        "par",
        "zone",
        "correct",
        "rig",
    ]);
    (
        (
            0u64..100_000,
            -1_000_000i64..40_000_000,
            proptest::option::of(0i64..40_000_000),
            kind,
            any::<bool>(),
        ),
        ("[ -~ß]{0,30}", prop::collection::vec("[a-zé ]{0,24}", 0..5), words, proptest::option::of(words)),
        (
            proptest::option::of(0u64..60),
            proptest::option::of(-5.0f64..9000.0),
            any::<bool>(),
            prop::collection::vec("[a-z ]{0,30}", 0..3),
        ),
        (proptest::option::of(0u64..99), proptest::option::of(0u64..99)),
    )
        .prop_map(
            |(
                (seq, at_ms, written_ms, kind, control),
                (from, to, text, was),
                (of, after_s, wrong, silent),
                (corrects, corrected_by),
            )| Entry {
                seq,
                at_ms,
                written_ms: written_ms.filter(|w| w % 3 == 0),
                hang: Hang::of(kind, control),
                kind: kind.into(),
                from,
                to,
                text,
                was: was.filter(|w| w.len() % 4 == 0),
                of: of.filter(|_| kind == "readback" || kind == "answer"),
                after_s,
                wrong,
                silent: if kind == "order" { silent } else { Vec::new() },
                corrects,
                corrected_by,
            },
        )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn no_line_has_text_over_text_or_leaves_its_sheet(
        entries in prop::collection::vec(any_entry(), 0..120),
        heights in prop::collection::vec((0i64..40_000_000, -5.0f64..300.0), 0..20),
        spans in prop::collection::vec((-100_000i64..40_000_000, 0usize..9, any::<bool>(), 1i64..4_000_000), 0..40),
        first in 40.0f64..260.0,
        edge in proptest::option::of(0.0f64..250.0),
    ) {
        let spans = spans.into_iter().map(|(from_ms, m, slow, long)| Span { motion: MOTIONS[m].0, slow, from_ms, to_ms: (long % 9 != 0).then_some(from_ms + long) }).collect();
        let count = entries.len();
        let input = LineInput { start_ms: 0, end_ms: 30_000_000, offset_min: -330, edge_height_m: edge, entries, spans, heights, units: if count % 2 == 0 { Units::Si } else { Units::Us } };
        let pages = pieces(&input, first, 250.0);
        prop_assert_eq!(all_faults(&pages), Vec::<String>::new());
        prop_assert!(count == 0 || !pages.is_empty());
    }

    #[test]
    fn five_hundred_rows_and_times_at_the_ends_of_time(
        entries in prop::collection::vec((any_entry(), any::<i64>(), any::<bool>()), 0..500),
        ends in (any::<i64>(), any::<i64>()),
        heights in prop::collection::vec((any::<i64>(), any::<f64>()), 0..9),
        spans in prop::collection::vec((any::<i64>(), 0usize..9, any::<i64>()), 0..9),
    ) {
        let entries = entries.into_iter().map(|(e, at, far)| Entry { at_ms: if far { at } else { e.at_ms }, ..e }).collect();
        let spans = spans.into_iter().map(|(from_ms, m, to)| Span { motion: MOTIONS[m].0, slow: false, from_ms, to_ms: Some(to) }).collect();
        let input = LineInput { start_ms: ends.0, end_ms: ends.1, offset_min: 840, edge_height_m: Some(22.0), entries, spans, heights, units: Units::Us };
        prop_assert_eq!(all_faults(&pieces(&input, 200.0, 250.0)), Vec::<String>::new());
    }
}
