//! How much rope is left, in words beside the metres out.

use crate::wire::{RopeLine, RopesView};
use operation::State;
use operation::motion::Motion;
use operation::state::{RopeLeft, RopesLeft};
use rig::units::Units;

/// What stands now.
pub fn ropes(state: &State) -> Option<RopesView> {
    let called = !state.heights.is_empty();
    let Some(now) = state.ropes.now() else {
        let note = "rope left not checked: no rig was entered".into();
        return called.then_some(RopesView { lines: vec![], note });
    };
    let lines = lines(now, Units::Si);
    let note = if lines.is_empty() {
        "rope left not checked: no rope of the rig ends at the load".to_string()
    } else if lines.iter().all(|line| line.left_m.is_none()) {
        String::new()
    } else {
        by_now(state).into()
    };
    Some(RopesView { lines, note })
}

/// What the motion has done to it since the metres were called.
fn by_now(state: &State) -> &'static str {
    let called = state.heights.last().map_or(i64::MIN, |h| h.at_ms);
    let since = |motion: Motion| {
        state
            .spans
            .iter()
            .rev()
            .take_while(|s| s.to_ms.is_none_or(|to| to > called))
            .any(|s| s.motion == motion)
    };
    match (since(Motion::Lowering), since(Motion::Raising)) {
        (true, true) => "at that call; moved both ways since",
        (true, false) => "at that call; less by now",
        (false, true) => "at that call; more by now",
        (false, false) => "",
    }
}

/// Ropes of which the same is said stand together; said in the units asked for.
pub fn lines(now: &RopesLeft, units: Units) -> Vec<RopeLine> {
    let mut lines: Vec<(RopeLine, Vec<&RopeLeft>)> = vec![];
    for rope in &now.ropes {
        let words = rope.words_in(units);
        match lines.iter_mut().find(|(line, _)| line.words == words && line.near == rope.near) {
            Some((line, ropes)) => {
                ropes.push(rope);
                // The least of what reads the same.
                line.left_m = line.left_m.zip(rope.left.ok()).map(|(a, b)| a.min(b));
            }
            None => {
                let line = RopeLine { ropes: String::new(), left_m: rope.left.ok(), words, near: rope.near };
                lines.push((line, vec![rope]));
            }
        }
    }
    let alike = lines.len() == 1;
    let named = |(line, ropes): (RopeLine, Vec<&RopeLeft>)| {
        let names: Vec<&str> = ropes.iter().map(|r| &*r.label).collect();
        let ropes = match names.len() {
            2 if alike => "both ropes".into(),
            3.. if alike => "all ropes".into(),
            _ => names.join(" and "),
        };
        RopeLine { ropes, ..line }
    };
    lines.into_iter().map(named).collect()
}
