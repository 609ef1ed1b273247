use super::runs_of;
use crate::moment::Span;
use crate::pattern::Motion;

#[test]
fn a_load_that_nobody_moved_is_not_joined_to_where_it_was_before() {
    let span = |motion, from_ms, to_ms| Span { motion, slow: false, from_ms, to_ms: Some(to_ms) };
    let spans =
        [span(Motion::Lowering, 60, 77), span(Motion::TiedOff, 77, 113), span(Motion::Raising, 116, 130)];
    let heights = [(60, 25.0), (77, 0.0), (116, 5.0), (121, 18.0)];
    let lengths: Vec<usize> = runs_of(&heights, &spans).iter().map(Vec::len).collect();
    assert_eq!(lengths, [2, 2]);
    // The raise began before its first height was called: the rest between still parts the two.
    let spans =
        [span(Motion::Lowering, 60, 77), span(Motion::TiedOff, 77, 113), span(Motion::Raising, 113, 130)];
    let lengths: Vec<usize> = runs_of(&heights, &spans).iter().map(Vec::len).collect();
    assert_eq!(lengths, [2, 2]);
}
