//! The marks that stand beside every verdict and finding, decided once for screen and paper.
//!
//! Two sets were sketched. Each mark here is the one whose *outline* is still its own after a third
//! photocopy or under water drops: nothing rests on colour, on a hairline or on what is inside a
//! filled shape alone. So "moves" is an arrow caught by a bar (an open triangle differs from the solid
//! one of "dropped" only by its filling), "overloaded" is a block that sags (a white line in a square is
//! lost beside the cross of "falls short"), a finding is a pennant (a lozenge belongs to "not checked"
//! alone), "late" is an hourglass and a stale signature's bar reaches out of its ring (three rings with
//! a line inside are one). `tests/photocopy.rs` blurs and thresholds every pair. A word always stands
//! beside a mark.

use crate::build::QUARTER;
use crate::list::{DisplayList, Ink, Seg, Stroke};
use crate::metrics::PT;
use ::rig::findings::{LossVerdict, Verdict};

/// A mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mark {
    /// A check holds, a loss is held: ring with tick.
    Holds,
    /// Held only if somebody acts in time: ring, left half filled.
    HeldOnlyIf,
    /// Held after a drop or a swing: arrow down, caught by a bar.
    Moves,
    /// Falls short of what is required: solid square, white cross.
    FallsShort,
    /// A survivor past its strength: solid block that sags.
    Overloaded,
    /// Nothing holds the load: solid triangle, point down.
    Dropped,
    /// Unknown, unsolved, unrated: dashed lozenge with a question mark.
    NotChecked,
    /// Lost alone, it takes the load with it: heavy brackets around "!".
    Critical,
    /// A finding that departs from the guidelines: pennant.
    Departs,
    /// A finding of something good: plus.
    Good,
    /// An order not read back: heavy ring, open to the right.
    Silent,
    /// A wrong readback: ≠.
    Wrong,
    /// A late entry: hourglass, run through.
    Late,
    /// A correction: arrow back.
    Correction,
    /// Stop: solid octagon, white bar.
    Stop,
    /// A role nobody holds: dashed figure.
    Vacant,
    /// Somebody is where nobody should be: triangle, point up, with "!".
    Zone,
    /// A signature that no longer covers the rig: ring, barred through.
    Stale,
    /// On the disk: tick on a bar.
    Saved,
    /// On its way to the disk: dot over a bar.
    Writing,
    /// Not on the disk: cross on a bar.
    NotSaved,
    /// Marked as lost: heavy cross.
    Lost,
}

/// Every mark with its id and its word.
const TABLE: [(Mark, &str, &str); 22] = [
    (Mark::Holds, "holds", "holds"),
    (Mark::HeldOnlyIf, "held_only_if", "held only if"),
    (Mark::Moves, "moves", "moves"),
    (Mark::FallsShort, "falls_short", "falls short"),
    (Mark::Overloaded, "overloaded", "overloaded"),
    (Mark::Dropped, "dropped", "dropped"),
    (Mark::NotChecked, "not_checked", "not checked"),
    (Mark::Critical, "critical", "critical"),
    (Mark::Departs, "departs", "departs"),
    (Mark::Good, "good", "good"),
    (Mark::Silent, "silent", "not read back"),
    (Mark::Wrong, "wrong", "wrong readback"),
    (Mark::Late, "late", "late entry"),
    (Mark::Correction, "correction", "correction"),
    (Mark::Stop, "stop", "STOP"),
    (Mark::Vacant, "vacant", "vacant"),
    (Mark::Zone, "zone", "zone"),
    (Mark::Stale, "stale", "signature stale"),
    (Mark::Saved, "saved", "saved"),
    (Mark::Writing, "writing", "writing"),
    (Mark::NotSaved, "not_saved", "not saved"),
    (Mark::Lost, "lost", "lost"),
];

impl Mark {
    /// All marks, in a fixed order.
    pub fn all() -> impl Iterator<Item = Mark> {
        TABLE.iter().map(|(mark, _, _)| *mark)
    }

    fn row(self) -> &'static (Mark, &'static str, &'static str) {
        // The table has a row for each mark: a test holds it.
        TABLE.iter().find(|(mark, _, _)| *mark == self).unwrap_or(&TABLE[6])
    }

    /// Its id ("not_checked").
    pub fn id(self) -> &'static str {
        self.row().1
    }

    /// The word that stands beside it.
    pub fn word(self) -> &'static str {
        self.row().2
    }

    /// The mark of an id; `None` for none of ours.
    pub fn of(id: &str) -> Option<Mark> {
        TABLE.iter().find(|(_, known, _)| *known == id).map(|(mark, _, _)| *mark)
    }

    /// Its ink: rubric for what departs, its own ink for what is unknown or hangs on somebody.
    pub fn ink(self) -> Ink {
        match self {
            Mark::FallsShort
            | Mark::Overloaded
            | Mark::Dropped
            | Mark::Departs
            | Mark::Wrong
            | Mark::Stop => Ink::Rubric,
            Mark::Critical | Mark::NotSaved | Mark::Lost => Ink::Rubric,
            Mark::NotChecked => Ink::Unknown,
            Mark::HeldOnlyIf | Mark::Moves | Mark::Silent | Mark::Zone => Ink::Caution,
            _ => Ink::Ink,
        }
    }

    /// Draws it about (cx, cy), `d` mm across, in its own ink.
    pub fn draw(self, list: &mut DisplayList, cx: f64, cy: f64, d: f64) {
        self.draw_in(list, cx, cy, d, self.ink());
    }

    /// The same in another ink.
    pub fn draw_in(self, list: &mut DisplayList, cx: f64, cy: f64, d: f64, ink: Ink) {
        let hand = Hand { cx, cy, r: d / 2.0, ink };
        match self {
            Mark::Holds | Mark::HeldOnlyIf | Mark::Silent | Mark::Stale => hand.rings(list, self),
            Mark::FallsShort | Mark::Overloaded | Mark::Dropped | Mark::Stop => hand.solids(list, self),
            Mark::Saved | Mark::Writing | Mark::NotSaved => hand.disks(list, self),
            Mark::NotChecked | Mark::Critical | Mark::Zone => hand.asks(list, self),
            Mark::Moves | Mark::Correction | Mark::Departs | Mark::Late => hand.pointers(list, self),
            Mark::Good | Mark::Wrong | Mark::Lost => hand.signs(list, self),
            Mark::Vacant => hand.figure(list),
        }
    }
}

impl From<Verdict> for Mark {
    fn from(verdict: Verdict) -> Mark {
        match verdict {
            Verdict::Holds => Mark::Holds,
            Verdict::FallsShort => Mark::FallsShort,
            Verdict::NotChecked => Mark::NotChecked,
        }
    }
}

impl From<LossVerdict> for Mark {
    fn from(verdict: LossVerdict) -> Mark {
        match verdict {
            LossVerdict::Dropped => Mark::Dropped,
            LossVerdict::Overloaded => Mark::Overloaded,
            LossVerdict::NotChecked => Mark::NotChecked,
            LossVerdict::HeldIfActs => Mark::HeldOnlyIf,
            LossVerdict::Moves => Mark::Moves,
            LossVerdict::Held => Mark::Holds,
        }
    }
}

/// The words of a verdict, as tables print them.
pub fn verdict_words(verdict: Verdict) -> &'static str {
    Mark::from(verdict).word()
}

/// The words of a loss verdict, as tables print them.
pub fn loss_words(verdict: LossVerdict) -> &'static str {
    match verdict {
        LossVerdict::Held => "held",
        other => Mark::from(other).word(),
    }
}

/// A place and a size to draw a mark in; lengths below are parts of its radius.
struct Hand {
    cx: f64,
    cy: f64,
    r: f64,
    ink: Ink,
}

impl Hand {
    fn at(&self, u: f64, v: f64) -> (f64, f64) {
        (self.cx + u * self.r, self.cy + v * self.r)
    }
    fn all<const N: usize>(&self, points: [(f64, f64); N]) -> Vec<(f64, f64)> {
        points.iter().map(|&(u, v)| self.at(u, v)).collect()
    }
    /// A pen as wide as a part of the radius.
    fn pen(&self, part: f64) -> Stroke {
        Stroke::solid(self.ink, part * self.r / PT)
    }
    fn white(&self, part: f64) -> Stroke {
        Stroke::solid(Ink::Sheet, part * self.r / PT)
    }
    fn ring(&self, list: &mut DisplayList, radius: f64, pen: f64) {
        list.circle(self.cx, self.cy, radius * self.r, Some(Ink::Sheet), Some(self.pen(pen)));
    }
    fn curve(&self, c1: (f64, f64), c2: (f64, f64), to: (f64, f64)) -> Seg {
        let ((x1, y1), (x2, y2), (x, y)) = (self.at(c1.0, c1.1), self.at(c2.0, c2.1), self.at(to.0, to.1));
        Seg::Curve { x1, y1, x2, y2, x, y }
    }
    fn start(&self, u: f64, v: f64) -> Seg {
        let (x, y) = self.at(u, v);
        Seg::Move { x, y }
    }
    fn dot(&self, list: &mut DisplayList, u: f64, v: f64, radius: f64) {
        let (x, y) = self.at(u, v);
        list.circle(x, y, radius * self.r, Some(self.ink), None);
    }

    fn rings(&self, list: &mut DisplayList, mark: Mark) {
        let k = QUARTER;
        match mark {
            Mark::Holds => {
                self.ring(list, 0.9, 0.17);
                list.polyline(&self.all([(-0.45, 0.02), (-0.1, 0.4), (0.48, -0.38)]), self.pen(0.24));
            }
            Mark::HeldOnlyIf => {
                self.ring(list, 0.9, 0.2);
                let q = 0.9;
                let half = vec![
                    self.start(0.0, -q),
                    self.curve((-q * k, -q), (-q, -q * k), (-q, 0.0)),
                    self.curve((-q, q * k), (-q * k, q), (0.0, q)),
                    Seg::Close,
                ];
                list.path(half, Some(self.ink), None);
            }
            Mark::Stale => {
                self.ring(list, 0.66, 0.2);
                list.line(self.at(-0.92, 0.92), self.at(0.92, -0.92), self.pen(0.3));
            }
            _ => {
                let q = 0.78;
                let open = vec![
                    self.start(q * 0.76, -q * 0.68),
                    self.curve((q * 0.25, -q * 1.2), (-q, -q * 0.95), (-q, 0.0)),
                    self.curve((-q, q * 0.95), (q * 0.25, q * 1.2), (q * 0.76, q * 0.68)),
                ];
                list.path(open, None, Some(self.pen(0.42)));
            }
        }
    }

    fn solids(&self, list: &mut DisplayList, mark: Mark) {
        match mark {
            Mark::FallsShort => {
                list.polygon(
                    &self.all([(-0.95, -0.95), (0.95, -0.95), (0.95, 0.95), (-0.95, 0.95)]),
                    Some(self.ink),
                    None,
                );
                list.line(self.at(-0.5, -0.5), self.at(0.5, 0.5), self.white(0.34));
                list.line(self.at(-0.5, 0.5), self.at(0.5, -0.5), self.white(0.34));
            }
            Mark::Overloaded => {
                let (x, y) = self.at(-1.0, 0.9);
                let block = vec![
                    self.start(-1.0, -0.9),
                    self.curve((-0.75, 0.62), (0.75, 0.62), (1.0, -0.9)),
                    Seg::Line { x: self.at(1.0, 0.9).0, y },
                    Seg::Line { x, y },
                    Seg::Close,
                ];
                list.path(block, Some(self.ink), None);
            }
            Mark::Dropped => {
                list.polygon(&self.all([(-1.05, -0.85), (1.05, -0.85), (0.0, 1.0)]), Some(self.ink), None);
            }
            _ => {
                octagon(list, (self.cx, self.cy), self.r, self.ink);
                list.line(self.at(-0.55, 0.0), self.at(0.55, 0.0), self.white(0.36));
            }
        }
    }

    fn disks(&self, list: &mut DisplayList, mark: Mark) {
        list.line(self.at(-0.95, 0.8), self.at(0.95, 0.8), self.pen(0.34));
        match mark {
            Mark::Saved => {
                list.polyline(&self.all([(-0.62, -0.2), (-0.18, 0.3), (0.68, -0.85)]), self.pen(0.28))
            }
            Mark::Writing => self.dot(list, 0.0, -0.25, 0.36),
            _ => {
                list.line(self.at(-0.5, -0.88), self.at(0.5, 0.18), self.pen(0.3));
                list.line(self.at(-0.5, 0.18), self.at(0.5, -0.88), self.pen(0.3));
            }
        }
    }

    fn asks(&self, list: &mut DisplayList, mark: Mark) {
        match mark {
            Mark::NotChecked => {
                let sides = self.all([(0.0, -1.12), (1.12, 0.0), (0.0, 1.12), (-1.12, 0.0)]);
                let dashed = self.pen(0.2).dashed(0.46 * self.r, 0.23 * self.r);
                list.polygon(&sides, Some(Ink::Sheet), Some(dashed));
                let hook = vec![
                    self.start(-0.3, -0.26),
                    self.curve((-0.3, -0.68), (0.34, -0.68), (0.34, -0.26)),
                    self.curve((0.34, 0.0), (0.0, -0.02), (0.0, 0.26)),
                ];
                list.path(hook, None, Some(self.pen(0.22)));
                self.dot(list, 0.0, 0.52, 0.15);
            }
            Mark::Critical => {
                for side in [-1.0, 1.0] {
                    let bracket = [
                        (side * 0.55, -0.88),
                        (side * 0.92, -0.88),
                        (side * 0.92, 0.88),
                        (side * 0.55, 0.88),
                    ];
                    list.polyline(&self.all(bracket), self.pen(0.3));
                }
                list.line(self.at(0.0, -0.8), self.at(0.0, 0.24), self.pen(0.34));
                self.dot(list, 0.0, 0.66, 0.21);
            }
            _ => {
                let sides = self.all([(0.0, -0.95), (1.02, 0.82), (-1.02, 0.82)]);
                list.polygon(&sides, Some(Ink::Sheet), Some(self.pen(0.22)));
                list.line(self.at(0.0, -0.36), self.at(0.0, 0.26), self.pen(0.24));
                self.dot(list, 0.0, 0.54, 0.15);
            }
        }
    }

    fn pointers(&self, list: &mut DisplayList, mark: Mark) {
        match mark {
            Mark::Moves => {
                list.line(self.at(0.0, -1.0), self.at(0.0, 0.4), self.pen(0.28));
                list.polyline(&self.all([(-0.6, -0.16), (0.0, 0.5), (0.6, -0.16)]), self.pen(0.28));
                list.line(self.at(-0.95, 0.86), self.at(0.95, 0.86), self.pen(0.28));
            }
            Mark::Correction => {
                list.polyline(&self.all([(0.85, 0.85), (0.85, -0.25), (-0.7, -0.25)]), self.pen(0.26));
                list.polyline(&self.all([(-0.15, -0.85), (-0.8, -0.25), (-0.15, 0.35)]), self.pen(0.26));
            }
            Mark::Departs => {
                list.line(self.at(-0.72, -1.0), self.at(-0.72, 1.0), self.pen(0.24));
                list.polygon(&self.all([(-0.72, -0.98), (0.95, -0.32), (-0.72, 0.34)]), Some(self.ink), None);
            }
            _ => {
                list.polygon(&self.all([(-0.7, -0.9), (0.7, -0.9), (0.0, 0.0)]), None, Some(self.pen(0.18)));
                list.polygon(
                    &self.all([(-0.7, 0.9), (0.7, 0.9), (0.0, 0.0)]),
                    Some(self.ink),
                    Some(self.pen(0.18)),
                );
            }
        }
    }

    fn signs(&self, list: &mut DisplayList, mark: Mark) {
        match mark {
            Mark::Good => {
                list.line(self.at(-0.8, 0.0), self.at(0.8, 0.0), self.pen(0.4));
                list.line(self.at(0.0, -0.8), self.at(0.0, 0.8), self.pen(0.4));
            }
            Mark::Wrong => {
                list.line(self.at(-0.9, -0.38), self.at(0.9, -0.38), self.pen(0.34));
                list.line(self.at(-0.9, 0.38), self.at(0.9, 0.38), self.pen(0.34));
                list.line(self.at(-0.42, 0.95), self.at(0.42, -0.95), self.pen(0.3));
            }
            _ => {
                list.line(self.at(-0.9, -0.9), self.at(0.9, 0.9), self.pen(0.42));
                list.line(self.at(-0.9, 0.9), self.at(0.9, -0.9), self.pen(0.42));
            }
        }
    }

    /// Head and shoulders, dashed.
    fn figure(&self, list: &mut DisplayList) {
        let dashed = || self.pen(0.24).dashed(0.4 * self.r, 0.24 * self.r);
        let (x, y) = self.at(0.0, -0.5);
        list.circle(x, y, 0.42 * self.r, None, Some(dashed()));
        let shoulders = vec![
            self.start(-0.85, 1.0),
            self.curve((-0.85, 0.1), (-0.4, 0.1), (0.0, 0.1)),
            self.curve((0.4, 0.1), (0.85, 0.1), (0.85, 1.0)),
        ];
        list.path(shoulders, None, Some(dashed()));
    }
}

/// A solid octagon about a point.
pub fn octagon(list: &mut DisplayList, (cx, cy): (f64, f64), r: f64, ink: Ink) {
    let corners: Vec<(f64, f64)> = (0..8)
        .map(|i| {
            let angle = (22.5 + 45.0 * f64::from(i)) * std::f64::consts::PI / 180.0;
            (cx + 1.05 * r * libm::cos(angle), cy + 1.05 * r * libm::sin(angle))
        })
        .collect();
    list.polygon(&corners, Some(ink), None);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_mark_has_its_own_row_id_and_word() {
        for (i, (mark, id, word)) in TABLE.iter().enumerate() {
            assert_eq!((mark.id(), mark.word(), Mark::of(id)), (*id, *word, Some(*mark)));
            assert!(TABLE[..i].iter().all(|(_, other, words)| other != id && words != word));
        }
        assert_eq!(Mark::of("nothing"), None);
    }

    #[test]
    fn a_verdict_that_is_not_known_never_gets_the_mark_of_one_that_holds() {
        assert_eq!(Mark::from(Verdict::NotChecked), Mark::NotChecked);
        assert_eq!(Mark::from(LossVerdict::NotChecked), Mark::NotChecked);
        assert_eq!(Mark::from(LossVerdict::HeldIfActs), Mark::HeldOnlyIf);
        assert_eq!(
            (loss_words(LossVerdict::Held), loss_words(LossVerdict::HeldIfActs)),
            ("held", "held only if")
        );
    }
}
