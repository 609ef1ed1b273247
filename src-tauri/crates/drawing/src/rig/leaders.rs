//! The ways of leaders: level inside the column, then straight to what they point to. Labels of one column change places where
//! their leaders would cross.

use super::Sheet;
use super::columns::{Placed, edges};
use super::layout::At;
use crate::metrics::{CAP, PT, line_width};

/// From the words of a label to the beginning of its leader, mm.
const AFTER_WORDS: f64 = 1.2;
/// From the rings up to a leader that passes over the knots, mm.
const OVER_KNOTS: f64 = 8.6;
/// What passes so far over the litter, mm, need not go round it.
const CLEAR: f64 = 2.0;
/// Most changes of places in a column.
const ROUNDS: usize = 12;

/// Words, bend at the column's edge, bend beside the litter (that at the column's edge again where there is none), end.
pub type Way = [At; 4];

/// The ways of a label's leader: each begins at its words, bends at the column's edge and ends at what it points to.
pub fn ways(sheet: &Sheet<'_>, placed: &Placed<'_>) -> Vec<Way> {
    let label = &placed.label;
    if !label.has_leader() {
        return Vec::new();
    }
    let sign = if placed.left { 1.0 } else { -1.0 };
    let edge = if placed.left { 0.0 } else { sheet.layout.width };
    let size = sheet.type_of(false, false).size;
    let middle = placed.y + size * PT * (0.9 - CAP / 2.0);
    let used = label.lines.first().map_or(0.0, |line| line_width(line, size));
    let start = (edge + sign * (label.indent(sheet) + used + AFTER_WORDS), middle);
    let (left, right) = edges(sheet);
    let bend = (if placed.left { left.max(start.0) } else { right.min(start.0) }, middle);
    let level = |to: At| if (to.1 - middle).abs() < 0.3 { (to.0, middle) } else { to };
    label
        .targets()
        .map(|to| [start, bend, beside_litter(sheet, bend, to).unwrap_or(bend), level(to)])
        .collect()
}

/// From below, a leader goes round the litter, in which the words of the load stand, to the rings and knots over it.
fn beside_litter(sheet: &Sheet<'_>, bend: At, to: At) -> Option<At> {
    let (x, y) = super::symbols::litter_middle(sheet)?;
    let half = sheet.layout.litter_width / 2.0 + 1.5;
    let top = y - sheet.layout.litter_half;
    let near = if bend.0 < x { x - half } else { x + half };
    // Where the straight way would pass the near side of the litter.
    let passes = bend.1 + (to.1 - bend.1) * (near - bend.0) / (to.0 - bend.0);
    let under = !sheet.layout.person
        && bend.1 > top
        && passes > top - CLEAR
        && (to.1 - sheet.layout.rings + 3.0).abs() < 5.0
        && (to.0 - x).abs() < half
        && (bend.0 - x).abs() > half;
    // What lies on the far side is reached over the knot of the near one.
    let height = if (bend.0 < x) == (to.0 < x) { to.1 } else { sheet.layout.rings - OVER_KNOTS };
    under.then_some((near, height))
}

/// Whether two straight lines cross; ends that touch do not count.
fn cross(a: (At, At), b: (At, At)) -> bool {
    let turn = |p: At, q: At, r: At| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    let apart = |x: f64, y: f64| (x > 1e-6 && y < -1e-6) || (x < -1e-6 && y > 1e-6);
    apart(turn(a.0, a.1, b.0), turn(a.0, a.1, b.1)) && apart(turn(b.0, b.1, a.0), turn(b.0, b.1, a.1))
}

/// Whether two ways cross somewhere.
fn meet(a: &Way, b: &Way) -> bool {
    let lines = |way: &Way| [(way[0], way[1]), (way[1], way[2]), (way[2], way[3])];
    lines(a).into_iter().any(|one| lines(b).into_iter().any(|other| cross(one, other)))
}

/// The pairs of leaders that cross, by their places in the column.
fn crossings(all: &[Vec<Way>]) -> Vec<(usize, usize)> {
    let both = |a: &[Way], b: &[Way]| a.iter().any(|a| b.iter().any(|b| meet(a, b)));
    let mut out = Vec::new();
    for (i, a) in all.iter().enumerate() {
        out.extend(all.iter().enumerate().skip(i + 1).filter(|(_, b)| both(a, b)).map(|(k, _)| (i, k)));
    }
    out
}

/// Lets labels of a column change places until as few leaders cross as is found; `stack` places a column anew in a given
/// order. A change that mends one crossing may make another that the next one mends, so orders that are no better are gone on
/// from too, but none twice.
pub fn uncross<'a>(
    sheet: &Sheet<'a>,
    column: Vec<Placed<'a>>,
    stack: impl Fn(Vec<Placed<'a>>) -> Vec<Placed<'a>>,
) -> Vec<Placed<'a>> {
    let crossed = |order: &[usize]| {
        let placed = stack(order.iter().filter_map(|i| column.get(*i).cloned()).collect());
        let pairs = crossings(&placed.iter().map(|one| ways(sheet, one)).collect::<Vec<_>>());
        (pairs, placed)
    };
    let mut order: Vec<usize> = (0..column.len()).collect();
    let (mut pairs, mut best) = crossed(&order);
    let (mut least, mut seen) = (pairs.len(), vec![order.clone()]);
    for _ in 0..ROUNDS {
        if least == 0 {
            break;
        }
        let mut tried = Vec::new();
        for next in pairs.iter().flat_map(|pair| changes(&order, *pair)) {
            if !seen.contains(&next) {
                seen.push(next.clone());
                let (left, placed) = crossed(&next);
                tried.push((next, left, placed));
            }
        }
        let Some((next, left, placed)) = tried.into_iter().min_by_key(|(_, left, _)| left.len()) else {
            break;
        };
        if left.len() < least {
            (least, best) = (left.len(), placed);
        }
        (order, pairs) = (next, left);
    }
    best
}

/// An order with the upper of two labels put under the lower, the lower over the upper, or each in the other's place.
fn changes(order: &[usize], (upper, lower): (usize, usize)) -> Vec<Vec<usize>> {
    let moved = |from: usize, to: usize| {
        let mut next = order.to_vec();
        let one = next.remove(from);
        next.insert(to, one);
        next
    };
    let mut swapped = order.to_vec();
    swapped.swap(upper, lower);
    let mut out = vec![moved(upper, lower), moved(lower, upper), swapped];
    out.dedup();
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_cross_in_their_middles_and_not_at_their_ends() {
        assert!(cross(((0.0, 0.0), (4.0, 4.0)), ((0.0, 4.0), (4.0, 0.0))));
        assert!(!cross(((0.0, 0.0), (4.0, 4.0)), ((4.0, 4.0), (8.0, 0.0))));
        assert!(!cross(((0.0, 0.0), (4.0, 0.0)), ((0.0, 1.0), (4.0, 1.0))));
        let level = |y: f64, to: At| [(0.0, y), (10.0, y), (10.0, y), to];
        let (upper, lower) = (level(0.0, (20.0, 9.0)), level(5.0, (16.0, 2.0)));
        assert!(meet(&upper, &lower));
        assert_eq!(crossings(&[vec![upper], vec![lower], vec![level(20.0, (20.0, 30.0))]]), [(0, 1)]);
    }
}
