//! The motion of the load as a pattern in the rope, on screen and on paper, down and across.
//!
//! Two sets were sketched: strands and chevrons (screens), dark and light areas (report). The program
//! has the second, with three things of the first, by what is left after a photocopy or under water:
//!
//! - *Moving is dark, not moving is light.* That survives blur and shortness: a stretch of one
//!   millimetre still says "moved". Chevrons up and down become the same grey.
//! - *Up is not only a flipped down* (first set): raising has a white seam along its middle, so a
//!   stretch too short for an arrow still tells which way.
//! - *Slow* is a narrower dark core: the rope's white shows at both sides.
//! - *Stopping* and *tied off* stand proud of the rope (first set): teeth, and turns laid round it. In a
//!   copy red goes black, and the outline is then all that tells stopping from lowering. The crosses
//!   of the second set for "tied off" are left: a cross here means lost or falls short.
//!
//! Colour carries nothing. `tests/photocopy.rs` blurs and thresholds all of them.

use crate::build::pen;
use crate::list::{DisplayList, Ink, Seg, Stroke};
use crate::metrics::PT;

/// How far teeth and turns stand out of the rope, mm.
pub const PROUD: f64 = 0.6;

/// What the load is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)]
pub enum Motion {
    AtRest,
    UnderLoadTest,
    AtTheEdge,
    Lowering,
    Raising,
    Stopping,
    Stopped,
    TiedOff,
    Landed,
}

/// All motions in the order of keys, with id and words.
pub const MOTIONS: [(Motion, &str, &str); 9] = [
    (Motion::AtRest, "at_rest", "at rest"),
    (Motion::UnderLoadTest, "under_load_test", "under load test"),
    (Motion::AtTheEdge, "at_the_edge", "at the edge"),
    (Motion::Lowering, "lowering", "lowering"),
    (Motion::Raising, "raising", "raising"),
    (Motion::Stopping, "stopping", "stopping"),
    (Motion::Stopped, "stopped", "stopped"),
    (Motion::TiedOff, "tied_off", "tied off"),
    (Motion::Landed, "landed", "landed"),
];

impl Motion {
    /// The motion of an id or of its words; `None` for none of ours.
    pub fn of(text: &str) -> Option<Motion> {
        MOTIONS.iter().find(|(_, id, words)| *id == text || *words == text).map(|(motion, _, _)| *motion)
    }
    fn row(self) -> &'static (Motion, &'static str, &'static str) {
        MOTIONS.iter().find(|(motion, _, _)| *motion == self).unwrap_or(&MOTIONS[0])
    }
    /// Its id ("tied_off").
    pub fn id(self) -> &'static str {
        self.row().1
    }
    /// Its words ("tied off").
    pub fn words(self) -> &'static str {
        self.row().2
    }
    /// Whether the load moves.
    pub fn moves(self) -> bool {
        matches!(self, Motion::Lowering | Motion::Raising | Motion::Stopping)
    }
    /// Length after which the pattern repeats, mm; `None`: it is the same everywhere.
    fn period(self, slow: bool) -> Option<f64> {
        match self {
            Motion::Lowering | Motion::Raising => Some(if slow { 2.0 * ARROW } else { ARROW }),
            Motion::UnderLoadTest => Some(BARS),
            Motion::AtTheEdge => Some(HATCH * std::f64::consts::SQRT_2),
            Motion::Stopping => Some(TOOTH),
            Motion::TiedOff => Some(TURN),
            Motion::AtRest | Motion::Stopped | Motion::Landed => None,
        }
    }
}

impl From<operation::motion::Motion> for Motion {
    fn from(motion: operation::motion::Motion) -> Motion {
        use operation::motion::Motion as Said;
        match motion {
            Said::AtRest => Motion::AtRest,
            Said::UnderLoadTest => Motion::UnderLoadTest,
            Said::AtTheEdge => Motion::AtTheEdge,
            Said::Lowering => Motion::Lowering,
            Said::Raising => Motion::Raising,
            Said::Stopping => Motion::Stopping,
            Said::Stopped => Motion::Stopped,
            Said::TiedOff => Motion::TiedOff,
            Said::Landed => Motion::Landed,
        }
    }
}

const ARROW: f64 = 3.2;
const BARS: f64 = 1.3;
const HATCH: f64 = 1.1;
const TOOTH: f64 = 1.5;
const TURN: f64 = 2.7;

/// Which way time runs in a stretch of rope.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axis {
    /// Time runs to the right.
    Across,
    /// Time runs down.
    Down,
}

/// A stretch of rope to fill.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Left in mm.
    pub x: f64,
    /// Top in mm.
    pub y: f64,
    /// Width in mm.
    pub w: f64,
    /// Height in mm.
    pub h: f64,
    /// Which way time runs.
    pub axis: Axis,
    /// Close it with a line at both ends.
    pub ends: bool,
}

impl Stretch {
    fn along(&self) -> f64 {
        if self.axis == Axis::Across { self.w } else { self.h }
    }
    fn broad(&self) -> f64 {
        if self.axis == Axis::Across { self.h } else { self.w }
    }
    /// The point `along` mm after its start and `over` mm from its top or left side.
    fn at(&self, along: f64, over: f64) -> (f64, f64) {
        match self.axis {
            Axis::Across => (self.x + along, self.y + over),
            Axis::Down => (self.x + over, self.y + along),
        }
    }
    /// A box from one share of its breadth to another, over its whole length.
    fn lane(&self, list: &mut DisplayList, from: f64, to: f64, ink: Ink) {
        let (low, high) = (self.at(0.0, from * self.broad()), self.at(self.along(), to * self.broad()));
        list.rect(low.0, low.1, high.0 - low.0, high.1 - low.1, Some(ink), None);
    }
}

/// Fills a stretch of rope with the pattern of a motion; nothing when it has no extent.
pub fn draw(list: &mut DisplayList, motion: Motion, slow: bool, stretch: Stretch) {
    if !(stretch.w > 0.0 && stretch.h > 0.0) {
        return;
    }
    match motion {
        Motion::Stopping => teeth(list, stretch),
        _ => stretch.lane(list, 0.0, 1.0, Ink::Sheet),
    }
    match motion {
        Motion::AtRest | Motion::Stopping => {}
        Motion::Lowering | Motion::Raising => moving(list, motion == Motion::Raising, slow, stretch),
        Motion::UnderLoadTest => bars(list, stretch),
        Motion::AtTheEdge => {
            list.hatch(stretch.x, stretch.y, stretch.w, stretch.h, HATCH, Ink::Ink, pen::FINE)
        }
        Motion::Stopped => {
            for over in [0.3, 0.7] {
                let over = over * stretch.broad();
                list.line(
                    stretch.at(0.0, over),
                    stretch.at(stretch.along(), over),
                    Stroke::solid(Ink::Ink, pen::MED),
                );
            }
        }
        Motion::TiedOff => turns(list, stretch),
        Motion::Landed => match stretch.axis {
            Axis::Across => stretch.lane(list, 0.62, 1.0, Ink::Ink),
            Axis::Down => stretch.lane(list, 0.0, 0.38, Ink::Ink),
        },
    }
    outline(list, motion, stretch);
}

fn outline(list: &mut DisplayList, motion: Motion, stretch: Stretch) {
    let (along, broad) = (stretch.along(), stretch.broad());
    let side = if stretch.axis == Axis::Down { pen::ROPE } else { pen::FINE };
    if motion != Motion::Stopping {
        for over in [0.0, broad] {
            list.line(stretch.at(0.0, over), stretch.at(along, over), Stroke::solid(Ink::Ink, side));
        }
    }
    if stretch.ends {
        for end in [0.0, along] {
            list.line(stretch.at(end, 0.0), stretch.at(end, broad), Stroke::solid(Ink::Ink, pen::HAIR));
        }
    }
}

/// How many whole marks of a pitch fit, and the pitch that fills the length with them.
fn spread(length: f64, pitch: f64) -> (usize, f64) {
    // A stretch is at most a page long, and a pitch at least a millimetre: the count is small.
    let count = (length / pitch + 1e-6).floor().clamp(0.0, 10_000.0) as usize;
    (count, if count > 0 { length / count as f64 } else { length })
}

fn moving(list: &mut DisplayList, up: bool, slow: bool, stretch: Stretch) {
    let core = if slow { (0.2, 0.8) } else { (0.0, 1.0) };
    stretch.lane(list, core.0, core.1, Ink::Dark);
    if up {
        let seam = (0.09f64).max(0.35 / stretch.broad().max(0.7)).min(0.16) / 2.0;
        stretch.lane(list, 0.5 - seam, 0.5 + seam, Ink::Sheet);
    }
    let pitch = if slow { 2.0 * ARROW } else { ARROW };
    let (count, step) = spread(stretch.along(), pitch);
    // A short slow stretch still gets its arrow where one fits.
    let (count, step) =
        if count == 0 && stretch.along() >= ARROW { (1, stretch.along()) } else { (count, step) };
    let half = (stretch.broad() * (core.1 - core.0) * 0.3).min(1.05);
    let way = if up { -1.0 } else { 1.0 };
    for i in 0..count {
        let (cx, cy) = stretch.at((i as f64 + 0.5) * step, stretch.broad() / 2.0);
        let (tail, tip) = (cy - way * half * 0.75, cy + way * half * 0.95);
        list.polygon(&[(cx - half, tail), (cx + half, tail), (cx, tip)], Some(Ink::Sheet), None);
    }
}

fn bars(list: &mut DisplayList, stretch: Stretch) {
    let (count, step) = spread(stretch.along(), BARS);
    let segs = (0..count.max(1)).flat_map(|i| {
        let along = if count == 0 { stretch.along() / 2.0 } else { (i as f64 + 0.5) * step };
        let (from, to) = (stretch.at(along, 0.0), stretch.at(along, stretch.broad()));
        [Seg::Move { x: from.0, y: from.1 }, Seg::Line { x: to.0, y: to.1 }]
    });
    list.path(segs.collect(), None, Some(Stroke::solid(Ink::Ink, pen::FINE)));
}

/// A solid body whose sides are teeth that stand out of the rope.
fn teeth(list: &mut DisplayList, stretch: Stretch) {
    let (count, step) = spread(stretch.along(), TOOTH);
    let count = count.max(1);
    let step = if step > stretch.along() { stretch.along() } else { step };
    let sides = |over: f64, out: f64| -> Vec<(f64, f64)> {
        (0..count)
            .flat_map(|i| {
                let from = i as f64 * step;
                [stretch.at(from, over), stretch.at(from + step / 2.0, over + out)]
            })
            .chain([stretch.at(stretch.along(), over)])
            .collect()
    };
    let mut body = sides(0.0, -PROUD);
    body.extend(sides(stretch.broad(), PROUD).into_iter().rev());
    list.polygon(&body, Some(Ink::Rubric), None);
}

/// Turns laid round the rope: oblique bars that stand out of it.
fn turns(list: &mut DisplayList, stretch: Stretch) {
    let (count, step) = spread(stretch.along(), TURN);
    let rise = (stretch.broad() * 0.3).min(0.7).min(stretch.along() / 2.0 - 0.4).max(0.0);
    let pen = (0.3 * stretch.along()).min(0.5) / PT;
    let segs = (0..count.max(1)).flat_map(|i| {
        let along = if count == 0 { stretch.along() / 2.0 } else { (i as f64 + 0.5) * step };
        let (from, to) =
            (stretch.at(along - rise, -PROUD), stretch.at(along + rise, stretch.broad() + PROUD));
        [Seg::Move { x: from.0, y: from.1 }, Seg::Line { x: to.0, y: to.1 }]
    });
    list.path(segs.collect(), None, Some(Stroke::solid(Ink::Ink, pen)));
}

/// One repeat of a pattern `broad` mm wide, without ends, for screens that tile it. The drawing is as
/// wide as the rope and what stands out of it on both sides.
pub fn tile(motion: Motion, slow: bool, axis: Axis, broad: f64) -> DisplayList {
    let length = match motion.period(slow) {
        Some(period) if motion == Motion::AtTheEdge => 3.0 * period,
        Some(period) => period,
        None => 1.0,
    };
    let (w, h) = if axis == Axis::Across { (length, broad) } else { (broad, length) };
    let (x, y) = if axis == Axis::Across { (0.0, PROUD) } else { (PROUD, 0.0) };
    let mut list = DisplayList::new(w + 2.0 * x, h + 2.0 * y);
    draw(&mut list, motion, slow, Stretch { x, y, w, h, axis, ends: false });
    list
}

/// The motions that can be slow.
pub fn has_slow(motion: Motion) -> bool {
    matches!(motion, Motion::Lowering | Motion::Raising)
}

/// The nine patterns with their words, in one row over `width` mm; returns its height in mm.
pub fn key(list: &mut DisplayList, x: f64, y: f64, width: f64) -> f64 {
    use crate::build::{Type, size};
    let words = Type::regular(size::XS);
    let broad = 6.4;
    let used: f64 = MOTIONS.iter().map(|(_, _, name)| broad + 1.2 + words.width(name)).sum();
    let gap = (width - used) / (MOTIONS.len() - 1) as f64;
    let mut left = x;
    for (motion, _, name) in MOTIONS {
        draw(
            list,
            motion,
            false,
            Stretch { x: left, y: y + PROUD, w: broad, h: 3.0, axis: Axis::Across, ends: true },
        );
        left += broad + 1.2;
        left += list.text((left, y + PROUD + 2.4), name, words) + gap;
    }
    3.0 + 2.0 * PROUD
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_motion_of_an_operation_has_its_pattern_under_its_own_word() {
        for (motion, (drawn, id, _)) in operation::motion::ALL.into_iter().zip(MOTIONS) {
            assert_eq!(
                (Motion::from(motion), Motion::of(motion.word()), motion.word()),
                (drawn, Some(drawn), id)
            );
        }
        assert_eq!(Motion::of("flying"), None);
    }
}
