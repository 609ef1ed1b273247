//! While one rope is built over the other is tied off: a step that takes parts out of one rope, or puts them in.

use super::{Seen, finding};
use rig::findings::{RuleFinding, Verdict};
use rig::model::{DeviceState, Line, State};

/// One finding for a rig whose states differ in what is there; the steps are its states in order.
pub fn converted(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let rig = seen.model.rig;
    let mut changes = 0;
    let mut wrong = Vec::new();
    for steps in rig.states.windows(2) {
        let [before, after] = steps else { continue };
        for line in changed(seen, before, after) {
            changes += 1;
            // It is built over as the step before stands.
            if let Some(open) = open_on_other(seen, before, line) {
                wrong.push(format!("from {} to {}: {open} is not tied off", before.label, after.label));
            }
        }
    }
    if changes == 0 {
        return Vec::new();
    }
    let (verdict, found) = if wrong.is_empty() {
        (Verdict::Holds, format!("{changes} changes of a rope, the other tied off each time"))
    } else {
        (Verdict::FallsShort, wrong.join("; "))
    };
    vec![finding(
        "converted_tied_off",
        verdict,
        "the other rope tied off while one is converted",
        found,
        "common practice, no source",
    )]
}

/// Lines whose parts come or go between two steps.
fn changed(seen: &Seen<'_>, before: &State, after: &State) -> Vec<Line> {
    let differs = |id: &String| before.without.contains(id) != after.without.contains(id);
    let mut lines: Vec<Line> = Vec::new();
    for part in seen.model.rig.parts.iter().filter(|p| differs(&p.id) && p.line != Line::Shared) {
        if !lines.contains(&part.line) {
            lines.push(part.line);
        }
    }
    lines
}

/// A device of the other rope that is there and not tied off.
fn open_on_other<'a>(seen: &'a Seen<'_>, state: &State, line: Line) -> Option<&'a str> {
    let other = |p: &&rig::model::Part| p.line != line && p.line != Line::Shared && p.device.is_some();
    let open =
        seen.model.rig.parts.iter().filter(other).find(|p| {
            !state.without.contains(&p.id) && state.devices.get(&p.id) != Some(&DeviceState::TiedOff)
        });
    open.map(|p| p.label.as_str())
}
