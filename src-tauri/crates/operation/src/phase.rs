//! What is done inside a motion: a knot pass, a reset of the haul, a change-over. A phase is something of its own beside the
//! motion and changes none: control's order begins it, a report that it is done ends it, or the motion goes on.

use crate::motion::Motion;

/// What is done inside a motion.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Phase {
    /// A knot in a loaded rope goes through or round its device.
    KnotPass,
    /// A haul system is drawn out again.
    Reset,
    /// The devices are changed from lowering to raising or back.
    ChangeOver,
}

impl Phase {
    /// The word in files.
    pub fn word(self) -> &'static str {
        match self {
            Phase::KnotPass => "knot_pass",
            Phase::Reset => "reset",
            Phase::ChangeOver => "change_over",
        }
    }

    /// The words on screen and paper.
    pub fn words(self) -> &'static str {
        match self {
            Phase::KnotPass => "knot pass",
            Phase::Reset => "reset",
            Phase::ChangeOver => "change-over",
        }
    }
}

/// How a phase ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PhaseEnd {
    /// Reported done.
    Done,
    /// The load moved on or landed, another phase began, or the operation was closed; nobody had said that it is done.
    Unsaid,
}

/// A phase from control's order on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PhaseSpan {
    /// What.
    pub phase: Phase,
    /// What a change-over changes to, where the order says it: lowering or raising.
    pub to: Option<Motion>,
    /// Entry number of the order.
    pub seq: u64,
    /// When, ms.
    pub from_ms: i64,
    /// When it ended, ms; `None`: still.
    pub to_ms: Option<i64>,
    /// How it ended, and the entry number.
    pub end: Option<(PhaseEnd, u64)>,
    /// Ropes that the order names; none: whichever have an operator.
    pub(crate) ropes: Vec<String>,
    /// Ropes it was reported done on, one by one.
    pub(crate) ropes_done: Vec<String>,
}

impl PhaseSpan {
    /// “change-over to raise”.
    pub fn words(&self) -> String {
        match self.to {
            Some(Motion::Raising) => format!("{} to raise", self.phase.words()),
            Some(Motion::Lowering) => format!("{} to lower", self.phase.words()),
            _ => self.phase.words().into(),
        }
    }
}
