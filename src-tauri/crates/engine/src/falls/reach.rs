//! Where on the way down a fall would end on what lies below, from falls at some heights of the lower.

use rig::findings::FallAt;

/// Stretches, m over the ground and rising, in which the ninetieth of a hundred falls reaches the surface below; `surfaces`: their
/// heights, rising, the ground first. Between two heights the fall goes by the straight line, beyond the lowest of them as there;
/// where nothing stops it, it reaches whatever there is. Stretches that touch are one.
pub fn stretches(surfaces: &[f64], heights: &[FallAt]) -> Vec<[f64; 2]> {
    // From the ground up: height, and how far it falls from there.
    let rising: Vec<(f64, f64)> =
        heights.iter().rev().map(|at| (at.above_ground_m, at.fall_m.p90.unwrap_or(f64::INFINITY))).collect();
    let Some(top) = rising.last().map(|at| at.0) else { return Vec::new() };
    let mut found: Vec<[f64; 2]> = Vec::new();
    let ends = surfaces.iter().skip(1).copied().chain([f64::INFINITY]);
    for (surface, next) in surfaces.iter().copied().zip(ends).filter(|(surface, _)| *surface < top) {
        let next = next.min(top);
        let inner = rising.iter().map(|at| at.0).filter(|height| *height > surface && *height < next);
        let places: Vec<f64> = [surface].into_iter().chain(inner).chain([next]).collect();
        let over: Vec<(f64, f64)> =
            places.iter().map(|height| (*height, fall_from(&rising, *height) - (height - surface))).collect();
        for pair in over.windows(2) {
            if let Some(stretch) = reached(pair[0], pair[1]) {
                join(&mut found, stretch);
            }
        }
    }
    found
}

/// How far it falls from a height.
fn fall_from(rising: &[(f64, f64)], height: f64) -> f64 {
    let after = rising.partition_point(|at| at.0 < height);
    let (Some(low), Some(high)) = (rising.get(after.saturating_sub(1)), rising.get(after)) else {
        return rising.last().map_or(0.0, |at| at.1);
    };
    if after == 0 || high.0 <= low.0 || low.1.is_infinite() || high.1.is_infinite() {
        return if after == 0 || height >= high.0 { high.1 } else { low.1.max(high.1) };
    }
    low.1 + (high.1 - low.1) * (height - low.0) / (high.0 - low.0)
}

/// The part of the stretch between two heights in which what it falls, less what there is below, is not under 0.
fn reached((low, at_low): (f64, f64), (high, at_high): (f64, f64)) -> Option<[f64; 2]> {
    if high <= low {
        return None;
    }
    match (at_low >= 0.0, at_high >= 0.0) {
        (true, true) => Some([low, high]),
        (false, false) => None,
        (falls, _) => {
            // Where nothing stops it at one end, it is taken not to be stopped up to the other.
            let whole = at_low.is_infinite() || at_high.is_infinite();
            let crossing = low + (high - low) * at_low.abs() / (at_low.abs() + at_high.abs());
            let crossing = if whole { if falls { high } else { low } } else { crossing };
            Some(if falls { [low, crossing] } else { [crossing, high] })
        }
    }
}

fn join(found: &mut Vec<[f64; 2]>, stretch: [f64; 2]) {
    match found.last_mut() {
        Some(last) if stretch[0] <= last[1] + 1e-9 => last[1] = last[1].max(stretch[1]),
        _ => found.push(stretch),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rig::findings::Percentiles;

    /// Falls from heights, from the top down; `None`: nothing stops it.
    fn heights(from_the_top: &[(f64, Option<f64>)]) -> Vec<FallAt> {
        let at = |(above_ground_m, p90): &(f64, Option<f64>)| FallAt {
            above_ground_m: *above_ground_m,
            clearance_m: *above_ground_m,
            below: String::new(),
            fall_m: Percentiles { p10: Some(0.1), p50: Some(0.2), p90: *p90 },
            reaches: 0.0,
        };
        from_the_top.iter().map(at).collect()
    }

    fn near(found: &[[f64; 2]], wanted: &[[f64; 2]]) {
        assert_eq!(found.len(), wanted.len(), "{found:?}");
        for (a, b) in found.iter().flatten().zip(wanted.iter().flatten()) {
            assert!((a - b).abs() < 1e-9, "{found:?} {wanted:?}");
        }
    }

    /// It falls 2 m from anywhere: up to 2 m over each surface it would reach it.
    #[test]
    fn each_ledge_has_its_own_stretch_over_it() {
        let all: Vec<(f64, Option<f64>)> = (1..=10).rev().map(|n| (2.0 * f64::from(n), Some(2.0))).collect();
        near(&stretches(&[0.0], &heights(&all)), &[[0.0, 2.0]]);
        near(&stretches(&[0.0, 9.0], &heights(&all)), &[[0.0, 2.0], [9.0, 11.0]]);
        // A ledge 1.5 m up: from the ground to 2 m over the ledge it never hangs clear.
        near(&stretches(&[0.0, 1.5], &heights(&all)), &[[0.0, 3.5]]);
        // One above where it hangs is behind it; one a metre under the top is reached from the top.
        near(&stretches(&[0.0, 25.0], &heights(&all)), &[[0.0, 2.0]]);
        near(&stretches(&[0.0, 19.0], &heights(&all)), &[[0.0, 2.0], [19.0, 20.0]]);
    }

    /// It falls half of what is below the top: h/2 + 1 from h … at 0: 1, at 20: 11.
    #[test]
    fn between_two_heights_it_goes_by_the_straight_line() {
        let all = [(20.0, Some(11.0)), (10.0, Some(6.0)), (5.0, Some(3.5))];
        // fall(h) = 1 + h/2 reaches h itself up to h = 2, but below 5 m it is taken as at 5 m: 3.5.
        near(&stretches(&[0.0], &heights(&all)), &[[0.0, 3.5]]);
        // From a ledge at 10: fall(h) = 1 + h/2 over h - 10 reaches it everywhere up to 20 (11 over 10).
        near(&stretches(&[0.0, 10.0], &heights(&all)), &[[0.0, 3.5], [10.0, 20.0]]);
    }

    #[test]
    fn what_nothing_stops_reaches_it_and_no_height_says_nothing() {
        near(&stretches(&[0.0], &heights(&[(20.0, None), (10.0, None)])), &[[0.0, 20.0]]);
        near(&stretches(&[0.0], &heights(&[(20.0, Some(1.0)), (10.0, None)])), &[[0.0, 20.0]]);
        assert!(stretches(&[0.0, 3.0], &[]).is_empty());
    }
}
