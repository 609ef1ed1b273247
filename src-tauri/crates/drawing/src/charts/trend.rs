//! One measure from operation to operation: a small picture, the last one heavy. What was not measured leaves a gap.

use crate::build::pen;
use crate::list::{DisplayList, Ink, Stroke};

/// Radius of a dot, mm, and of the last one.
const DOT: (f64, f64) = (0.6, 1.1);

/// The picture of these values, oldest first, evenly apart; the lowest line is 0. It carries no words: the numbers stand beside
/// it. Values that are not finite or below 0 are not measured.
pub fn trend(values: &[Option<f64>], width: f64, height: f64) -> DisplayList {
    let mut list = DisplayList::new(width, height);
    let known = |v: &Option<f64>| v.filter(|v| v.is_finite() && *v >= 0.0);
    let highest = values.iter().filter_map(known).fold(0.0, f64::max);
    let (left, foot) = (DOT.1, height - DOT.1);
    list.line((0.0, height - 0.2), (width, height - 0.2), Stroke::solid(Ink::Ink, pen::HAIR));
    let step = if values.len() > 1 { (width - 2.0 * left) / (values.len() - 1) as f64 } else { 0.0 };
    let at = |i: usize, v: f64| {
        let share = if highest > 0.0 { v / highest } else { 0.0 };
        // One value alone stands where the last one stands.
        let x = if values.len() > 1 { left + step * i as f64 } else { width - left };
        (x, foot - share * (foot - DOT.1))
    };
    let points: Vec<Option<(f64, f64)>> =
        values.iter().enumerate().map(|(i, v)| known(v).map(|v| at(i, v))).collect();
    for pair in points.windows(2) {
        if let [Some(a), Some(b)] = pair {
            list.line(*a, *b, Stroke::solid(Ink::Ink, pen::FINE));
        }
    }
    let last = points.len().saturating_sub(1);
    for (i, (x, y)) in points.iter().enumerate().filter_map(|(i, p)| p.map(|p| (i, p))) {
        let radius = if i == last { DOT.1 } else { DOT.0 };
        list.circle(x, y, radius, Some(Ink::Ink), None);
    }
    list
}
