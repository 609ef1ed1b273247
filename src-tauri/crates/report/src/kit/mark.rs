//! Marks of findings and verdicts, as the drawings use them: silhouettes that differ in a photocopy,
//! a word always beside.

use rig::findings::{LossVerdict, Verdict};

/// A mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Holds, held.
    Holds,
    /// Held only if someone acts.
    OnlyIf,
    /// A drop or a swing.
    Moves,
    /// Falls short.
    FallsShort,
    /// A survivor is loaded past its strength.
    Overloaded,
    /// Nothing holds the load.
    Dropped,
    /// Unknown.
    NotChecked,
    /// A part whose loss drops or overloads.
    Critical,
    /// A finding that departs from the guidelines.
    Departs,
    /// A finding that was good.
    Good,
    /// An order not read back.
    Open,
    /// A late entry.
    Late,
    /// A correction.
    Correction,
    /// A stop.
    Stop,
}

impl Mark {
    /// The mark of a check's verdict.
    pub fn of(verdict: Verdict) -> Self {
        match verdict {
            Verdict::FallsShort => Mark::FallsShort,
            Verdict::NotChecked => Mark::NotChecked,
            Verdict::Holds => Mark::Holds,
        }
    }

    /// The mark of what becomes of the load.
    pub fn of_loss(verdict: LossVerdict) -> Self {
        match verdict {
            LossVerdict::Dropped => Mark::Dropped,
            LossVerdict::Overloaded => Mark::Overloaded,
            LossVerdict::NotChecked => Mark::NotChecked,
            LossVerdict::HeldIfActs => Mark::OnlyIf,
            LossVerdict::Moves => Mark::Moves,
            LossVerdict::Held => Mark::Holds,
        }
    }
}

impl Mark {
    /// Draws it around a middle, `d` mm across.
    pub fn draw(self, page: &mut crate::kit::Page, cx: f64, cy: f64, d: f64) {
        page.circle(cx, cy, d / 2.0, None, Some(drawing::Stroke::solid(drawing::Ink::Ink, 0.6)));
    }
}
