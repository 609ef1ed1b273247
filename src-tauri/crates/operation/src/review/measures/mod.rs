//! Measures: what the record says in numbers, each section with its formula in words. One source for the screen, the
//! command line and the paper: whoever shows a measure takes it from here and works nothing out anew.
//!
//! Times are the line's, ms since the epoch; lengths are seconds. What the record does not say is `None`, never 0.

mod drills;
mod load;
mod phases;
mod rigs;
mod roles;
mod rows;
mod said;
mod stops;
mod times;

pub use drills::{CalledLoss, DrillMeasures};
pub use load::{Reset, RopeLeast, Speed};
pub use phases::PhaseTime;
pub use rigs::{CheckMade, MovingMinute, MovingSpell, RigChange, RigMeasures, Standing, StandingTime};
pub use roles::{DoubledSpell, Exposure, RoleMeasures, RoleSpell, VacantSpell, ZoneSpell};
pub use rows::{MeasureRow, MeasureTable, metres_told, named};
pub use said::{ClosedLoop, LoopMeasure};
pub use stops::{OperatorStopped, Reaction, StopCause, StopMeasure, StopMeasures};
pub(crate) use times::missed_after_the_last;
pub use times::{ClockLine, Milestone, MotionTime, ParMeasure, ParMeasures};

use crate::event::Payload;
use crate::state::State;
use serde::Serialize;
use ts_rs::TS;

/// A measure or a group of them, with the formula.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct Measured<T> {
    /// The formula, in words, with the limits it was held against.
    pub how: String,
    /// What came out.
    pub value: T,
}

/// All measures of an operation.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct Measures {
    /// From: the opening, or the first entry of a record that was never opened.
    pub from_ms: i64,
    /// To: the close, or the moment it was asked for.
    pub to_ms: i64,
    /// Whether the operation was closed; if not, lengths that are not over run to `to_ms`.
    pub closed: bool,
    /// Entries in the record.
    pub entries: u64,
    /// What is missing, in words: an operation still open, no rig, no calls, one person, entries lost.
    pub missing: Vec<String>,
    /// Named moments: those that were said, by time, then those that were not.
    pub milestones: Measured<Vec<Milestone>>,
    /// Time in each motion, in the motions' order.
    pub motions: Measured<Vec<MotionTime>>,
    /// Time in each phase inside the motions: knot pass, reset, change-over; those that were had.
    pub phases: Measured<Vec<PhaseTime>>,
    /// Stops.
    pub stops: Measured<StopMeasures>,
    /// From STOP to “stopped”, by operator.
    pub reactions: Measured<Vec<Reaction>>,
    /// Losses called into the drill, in words only.
    pub drills: Measured<DrillMeasures>,
    /// Speed between called heights, oldest first.
    pub speeds: Measured<Vec<Speed>>,
    /// The least rope that was left on each loaded rope of each rig, in the order they came into use.
    pub ropes: Measured<Vec<RopeLeast>>,
    /// Resets of the hauling system, oldest first.
    pub resets: Measured<Vec<Reset>>,
    /// Orders and what came back.
    pub closed_loop: Measured<ClosedLoop>,
    /// Personnel accountability reports.
    pub pars: Measured<ParMeasures>,
    /// Time in each zone by person, longest on rope first.
    pub exposure: Measured<Vec<Exposure>>,
    /// Roles held, vacant, doubled.
    pub roles: Measured<RoleMeasures>,
    /// Changes of the rig, checks, and what stood at each moment of movement.
    pub rig: Measured<RigMeasures>,
    /// What became of the clocks.
    pub clocks: Measured<Vec<ClockLine>>,
}

/// All measures as of `now_ms` (not looked at once the operation is closed).
pub fn measures(state: &State, now_ms: i64) -> Measures {
    let end = state.facts.closed_ms.unwrap_or(now_ms);
    let first = state.happened().first().and_then(|seq| state.at(*seq)).map_or(end, |k| k.happened_ms);
    Measures {
        from_ms: if state.is_open() { state.facts.opened_ms } else { first },
        to_ms: end,
        closed: state.facts.closed_ms.is_some(),
        entries: state.count() as u64,
        missing: missing(state),
        milestones: times::milestones(state),
        motions: times::motions(state, end),
        phases: phases::phases(state, end),
        stops: stops::stops(state, end),
        reactions: stops::reactions(state),
        drills: drills::drills(state),
        speeds: load::speeds(state, end),
        ropes: load::ropes(state),
        resets: load::resets(state),
        closed_loop: said::closed_loop(state),
        pars: times::pars(state, end),
        exposure: roles::exposure(state, end),
        roles: roles::roles(state, end),
        rig: rigs::rig(state, end),
        clocks: times::clocks(state),
    }
}

/// Seconds between two moments.
fn seconds(from_ms: i64, to_ms: i64) -> f64 {
    to_ms.saturating_sub(from_ms) as f64 / 1000.0
}

/// What a reader would look for and not find.
fn missing(state: &State) -> Vec<String> {
    let mut list = vec![];
    let mut say = |is: bool, words: &str| {
        if is {
            list.push(words.to_string());
        }
    };
    say(state.count() == 0, "the record has no entries");
    say(!state.is_open(), "the operation was never opened: its name, place and purpose are not known");
    say(
        state.is_open() && state.facts.closed_ms.is_none(),
        "the operation was not closed: what is not over is measured to the last moment known",
    );
    say(state.rigs.is_empty(), "no rig was entered: nothing of it was checked");
    let called = state.written().iter().any(|k| k.now.as_deref().and_then(Payload::call).is_some());
    say(!called, "no calls were recorded");
    match state.people.iter().filter(|p| p.in_ms.is_some()).count() {
        0 => say(true, "nobody was checked in"),
        1 => say(true, "only one person was checked in"),
        _ => {}
    }
    say(state.facts.edge_height_m.is_none(), "the height of the edge was not said");
    say(state.heights.is_empty(), "no height of the load was called: its speed is not known");
    let erased = state.written().iter().filter(|k| k.erased).count();
    say(erased > 0, &format!("the words of {erased} entries were erased by law"));
    let unread = state.written().iter().filter(|k| k.unread.is_some()).count();
    say(unread > 0, &format!("{unread} entries are of kinds that this program does not know"));
    for kept in state.written() {
        if let Some(Payload::Salvaged(s)) = kept.first.as_deref() {
            say(true, &format!("the record was {}", crate::line::salvaged(s)));
        }
    }
    list
}
