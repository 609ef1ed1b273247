//! Charts of measures and margins. Each is as wide as it is told and as high as its rows need; a name
//! that is too long is wrapped, never lost. All inputs are plain numbers that were summed before.

mod delays;
mod margins;
mod speed;
mod spells;
mod stops;
mod trend;

pub use delays::{Delays, delays};
pub use margins::{Margin, ROWS, margins};
pub use speed::{Pace, speed};
pub use spells::{Exposure, exposure, time_in_motion};
pub use stops::{StopTime, Stopped, stop_times};
pub use trend::trend;

use crate::build::{Type, pen, size};
use crate::list::{DisplayList, Face, Ink, Stroke};
use crate::metrics;

/// Leading of wrapped labels, mm.
const LEAD: f64 = 3.3;

/// A label wrapped to a measure, its first baseline at `y`; with [`lines`] the room it needs.
fn label(list: &mut DisplayList, x: f64, y: f64, lines: &[String], set: Type) {
    for (i, line) in lines.iter().enumerate() {
        list.text((x, y + LEAD * i as f64), line, set);
    }
}

/// A text in lines of a measure.
fn lines(text: &str, set: Type, measure: f64) -> Vec<String> {
    metrics::wrap(&metrics::clean(text, set.face), set.face, set.size, measure)
}

/// Height of a row with so many lines that is `least` high with one.
fn row_height(count: usize, least: f64) -> f64 {
    least + LEAD * count.saturating_sub(1) as f64
}

/// A step of 1, 2 or 5 times a power of ten (60 and its multiples from 30 s on) so that `full` has at
/// most `most` steps.
fn nice_step(full: f64, most: f64) -> f64 {
    let steps = [
        1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1800.0, 3600.0, 7200.0, 14_400.0,
        43_200.0,
    ];
    if let Some(found) = steps.into_iter().find(|step| full / step <= most) {
        return found;
    }
    let mut step = 86_400.0;
    while full / step > most && step < 1e300 {
        step *= 2.0;
    }
    step
}

/// A scale of seconds from 0 at `x`.
struct Seconds {
    x: f64,
    width: f64,
    full: f64,
    step: f64,
}

impl Seconds {
    fn new(x: f64, width: f64, longest: f64) -> Seconds {
        let longest = if longest.is_finite() { longest.clamp(1.0, 1e9) } else { 1.0 };
        let step = nice_step(longest, (width / if longest > 3600.0 { 11.0 } else { 7.5 }).clamp(1.0, 10.0));
        Seconds { x, width, full: (longest / step).ceil() * step, step }
    }
    fn at(&self, seconds: f64) -> f64 {
        self.x + (seconds / self.full).clamp(0.0, 1.0) * self.width
    }
    fn marks(&self) -> impl Iterator<Item = f64> + '_ {
        // At most ten steps by `nice_step`.
        let count = (self.full / self.step).round() as usize;
        (0..=count).map(|i| i as f64 * self.step)
    }
    /// Dotted lines down from `top` to `foot`.
    fn guides(&self, list: &mut DisplayList, top: f64, foot: f64) {
        for mark in self.marks() {
            let x = self.at(mark);
            list.line((x, top), (x, foot), Stroke::solid(Ink::Ink, pen::HAIR).dashed(0.2, 1.0));
        }
    }
    /// The numbers below `y`, the last with its unit.
    fn numbers(&self, list: &mut DisplayList, y: f64) {
        let (unit, of) = match self.step {
            step if step >= 86_400.0 => ("d", 86_400.0),
            step if step >= 3600.0 => ("h", 3600.0),
            step if step >= 60.0 => ("min", 60.0),
            _ => ("s", 1.0),
        };
        for mark in self.marks() {
            let last = mark + self.step / 2.0 > self.full;
            let number = format!("{:.0}", mark / of);
            let words = if last { format!("{number} {unit}") } else { number };
            list.text((self.at(mark), y), &words, Type::regular(size::XS).middle());
        }
    }
}

/// The value below which a share of sorted values lies, between neighbours.
fn percentile(sorted: &[f64], share: f64) -> Option<f64> {
    let last = sorted.len().checked_sub(1)?;
    let place = share * last as f64;
    let below = place.floor() as usize;
    let (low, high) = (sorted.get(below)?, sorted.get((below + 1).min(last))?);
    Some(low + (high - low) * (place - below as f64))
}

/// Finite values, sorted.
fn sorted(values: &[f64]) -> Vec<f64> {
    let mut out: Vec<f64> = values.iter().copied().filter(|v| v.is_finite() && *v >= 0.0).collect();
    out.sort_by(f64::total_cmp);
    out
}

/// A ring, solid or open.
fn ring(list: &mut DisplayList, (x, y): (f64, f64), r: f64, solid: bool) {
    let fill = if solid { Ink::Ink } else { Ink::Sheet };
    list.circle(x, y, r, Some(fill), Some(Stroke::solid(Ink::Ink, pen::MED)));
}

/// Regular 8 pt.
const S: Type = Type::regular(size::S);
/// Bold 8 pt.
const SB: Type = Type::bold(size::S);
/// Regular 7 pt.
const XS: Type = Type { size: size::XS, face: Face::Regular, ..S };

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn percentiles_lie_between_neighbours() {
        let v = [1.0, 2.0, 3.0, 4.0];
        assert_eq!(percentile(&v, 0.5), Some(2.5));
        assert_eq!(percentile(&v, 0.9), Some(3.7));
        assert_eq!(
            (percentile(&v, 1.0), percentile(&[7.0], 0.9), percentile(&[], 0.5)),
            (Some(4.0), Some(7.0), None)
        );
    }

    #[test]
    fn a_scale_has_few_steps_and_holds_its_longest() {
        for longest in [0.0, 0.4, 7.7, 61.0, 5000.0, 3e7, 1e200, f64::NAN] {
            let scale = Seconds::new(10.0, 60.0, longest);
            assert!(scale.marks().count() <= 11, "{longest}");
            assert!(!longest.is_finite() || scale.full >= longest.min(1e9));
        }
    }
}
