//! The force at which a rope slips through its device, over time.

use super::OutOfRange;

/// Piecewise linear: s after the loss, N. Before the first and after the last it stays; two points at one time are a jump.
#[derive(Clone, Debug, PartialEq)]
pub struct Grip(Vec<(f64, f64)>);

impl Grip {
    /// Points in the order of time.
    pub fn over_time(points: Vec<(f64, f64)>) -> Grip {
        Grip(points)
    }

    /// The same at all times.
    pub fn constant(newtons: f64) -> Grip {
        Grip(vec![(0.0, newtons)])
    }

    /// It never slips: the rope is tied off.
    pub fn tied_off() -> Grip {
        Grip::constant(1e12)
    }

    /// Its points: s, N.
    pub fn points(&self) -> &[(f64, f64)] {
        &self.0
    }

    pub(super) fn check(&self) -> Result<(), OutOfRange> {
        let wrong = |value| OutOfRange {
            what: "the device’s grip, N,",
            value,
            range: "it must be 0 or more, in the order of time",
        };
        if let Some((_, force)) = self.0.iter().find(|(t, f)| !(t.is_finite() && f.is_finite() && *f >= 0.0))
        {
            return Err(wrong(*force));
        }
        match self.0.windows(2).find(|pair| pair[1].0 < pair[0].0) {
            Some(pair) => Err(wrong(pair[1].0)),
            None if self.0.is_empty() => Err(wrong(f64::NAN)),
            None => Ok(()),
        }
    }

    /// Force and how fast it grows right after a time: N, N/s; and until when that is so, s.
    pub(super) fn after(&self, time: f64) -> (f64, f64, f64) {
        // The last point that has come; at a jump its upper one.
        let next = self.0.partition_point(|(t, _)| *t <= time);
        match (next.checked_sub(1).map(|n| self.0[n]), self.0.get(next)) {
            (Some((from, force)), Some((until, then))) => {
                let slope = (then - force) / (until - from);
                (force + slope * (time - from), slope, *until)
            }
            (Some((_, force)), None) => (force, 0.0, f64::INFINITY),
            (None, Some((until, force))) => (*force, 0.0, *until),
            (None, None) => (0.0, 0.0, f64::INFINITY),
        }
    }
}
