//! The picture of page 1: over an invented operation and over random ones, no text lies over text and
//! nothing leaves the sheet.

mod fixtures;

use drawing::audit::{faults, texts};
use drawing::list::{Item, Seg};
use drawing::moment::Span;
use drawing::pattern::MOTIONS;
use drawing::picture::{PictureInput, draw, height, legend};
use fixtures::lower_and_raise;
use proptest::prelude::*;
use rig::units::Units;

#[test]
fn the_picture_of_a_lower_and_a_raise_has_no_fault_and_numbers_its_stops() {
    for curve in [21.0, 24.0, 30.0, 38.0] {
        let picture = draw(&lower_and_raise(), 174.0, curve);
        assert_eq!(faults(&picture.list), Vec::<String>::new());
        assert_eq!(picture.numbered, [0, 1]);
        let texts = texts(&picture.list);
        for words in ["38 m", "edge", "ground", "on rope", "all clear", "packaged", "02:00"] {
            assert!(texts.iter().any(|t| t == words), "{words}: {texts:?}");
        }
    }
    assert_eq!(faults(&legend(174.0)), Vec::<String>::new());
}

/// A stop before any height was called stands on a dashed line from edge to ground, not at the ground.
#[test]
fn a_stop_without_a_height_is_not_set_at_the_ground() {
    let mut input = lower_and_raise();
    let first = input.heights.iter().map(|(at, _)| *at).min().unwrap();
    input.stops_ms = vec![first - 60_000];
    let none = PictureInput { heights: Vec::new(), ..input.clone() };
    assert_eq!(
        (faults(&draw(&none, 174.0, 30.0).list), draw(&none, 174.0, 30.0).numbered),
        (Vec::new(), vec![0])
    );
    let picture = draw(&input, 174.0, 30.0);
    assert_eq!((faults(&picture.list), picture.numbered), (Vec::new(), vec![0]));
    let long = picture.list.items.iter().filter_map(|item| match item {
        Item::Path { segs, stroke: Some(stroke), .. } if !stroke.dash.is_empty() => match segs.as_slice() {
            [Seg::Move { x: a, y: from }, Seg::Line { x: b, y: to }] if a == b => Some((to - from).abs()),
            _ => None,
        },
        _ => None,
    });
    assert!(
        long.into_iter().any(|long: f64| (long - 30.0).abs() < 0.5),
        "no dashed line of the whole height"
    );
}

#[test]
fn an_empty_operation_says_what_is_missing() {
    let picture = draw(&PictureInput::default(), 174.0, 30.0);
    assert_eq!(faults(&picture.list), Vec::<String>::new());
    let said = texts(&picture.list);
    assert!(said.iter().any(|t| t == "no height of the load was called"));
    assert!(said.iter().any(|t| t == "? m") && said.iter().any(|t| t == "no motion was recorded"));
    let us = draw(&PictureInput { units: Units::Us, ..PictureInput::default() }, 174.0, 30.0);
    assert!(
        texts(&us.list).iter().any(|t| t == "? ft") && texts(&us.list).iter().all(|t| !t.ends_with(" m"))
    );
}

fn any_input() -> impl Strategy<Value = PictureInput> {
    let time = -5_000_000i64..40_000_000;
    let word = "[ -~ÀžЖθ日]{0,30}";
    (
        (0i64..40_000_000, -800i32..800, proptest::option::of(0.0f64..400.0)),
        prop::collection::vec((time.clone(), word), 0..14),
        prop::collection::vec((time.clone(), -20.0f64..500.0), 0..30),
        prop::collection::vec((time.clone(), 0usize..9, any::<bool>(), 0i64..4_000_000), 0..40),
        prop::collection::vec(time.clone(), 0..60),
        prop::collection::vec((time.clone(), time.clone()), 0..12),
        prop::collection::vec((time.clone(), any::<bool>()), 0..80),
        prop::collection::vec((time.clone(), proptest::option::of(time)), 0..9),
    )
        .prop_map(|((end, offset, edge), benchmarks, heights, spans, stops, zones, orders, pars)| {
            PictureInput {
                start_ms: 0,
                end_ms: end,
                offset_min: offset,
                edge_height_m: edge,
                benchmarks,
                heights,
                spans: spans
                    .into_iter()
                    .map(|(from, motion, slow, long)| Span {
                        motion: MOTIONS[motion].0,
                        slow,
                        from_ms: from,
                        to_ms: (long > 9).then_some(from + long),
                    })
                    .collect(),
                stops_ms: stops,
                on_rope: zones.clone(),
                edge_zone: zones,
                orders,
                pars,
                units: if offset % 2 == 0 { Units::Si } else { Units::Us },
            }
        })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn no_picture_has_text_over_text_or_leaves_its_sheet(input in any_input(), curve in 15.0f64..40.0) {
        let picture = draw(&input, 174.0, curve);
        prop_assert_eq!(faults(&picture.list), Vec::<String>::new());
        prop_assert!(picture.numbered.len() <= 8);
        prop_assert_eq!(picture.list.height, height(&input, 174.0, curve));
    }

    #[test]
    fn times_and_heights_at_the_ends_of_their_range(
        ends in (any::<i64>(), any::<i64>()),
        times in prop::collection::vec(any::<i64>(), 12),
        metres in prop::collection::vec(any::<f64>(), 6),
        edge in proptest::option::of(any::<f64>()),
    ) {
        let input = PictureInput {
            start_ms: ends.0,
            end_ms: ends.1,
            offset_min: -720,
            edge_height_m: edge,
            benchmarks: times.iter().map(|t| (*t, "mark".to_string())).collect(),
            heights: times.iter().copied().zip(metres).collect(),
            spans: times.iter().enumerate().map(|(i, t)| Span { motion: MOTIONS[i % 9].0, slow: i > 6, from_ms: *t, to_ms: times.get(i + 1).copied() }).collect(),
            stops_ms: times.clone(),
            on_rope: vec![(times[0], times[1])],
            edge_zone: vec![(times[2], times[3])],
            orders: times.iter().map(|t| (*t, t % 2 == 0)).collect(),
            pars: times.iter().map(|t| (*t, Some(t.wrapping_mul(3)))).collect(),
            units: if ends.0 % 2 == 0 { Units::Si } else { Units::Us },
        };
        prop_assert_eq!(faults(&draw(&input, 174.0, 30.0).list), Vec::<String>::new());
    }
}
