//! Tensions from equations of balance. Where there are as many as unknowns they follow from them alone. Where there are more
//! unknowns (three legs on one knot, legs side by side) the shares follow from how the ties give way: the complementary
//! energy ½ Σ (l / EA) T² + Σ gap · T is least among all tensions in balance (Castigliano, least work), in the shape as placed.

/// How an unknown tension gives way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Yield {
    /// Length over stiffness EA, m/N; 0: not at all.
    pub per_newton: f64,
    /// What must be taken up before it bears, m.
    pub gap: f64,
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The unknown tensions, N.
    pub forces: Vec<f64>,
    /// For each column behind the unknowns, how far it is from bearing, m.
    pub clear: Vec<f64>,
    /// There were more unknowns than equations.
    pub shared: bool,
}

/// Rows `[a | b]` of balance with `count` unknowns, then the columns of what is slack; `None`: not determined even so.
pub fn tensions(rows: Vec<Vec<f64>>, count: usize, energy: &[Yield]) -> Option<Found> {
    let slack = energy.len() - count;
    if slack == 0 {
        return peeled(rows, count, energy);
    }
    let own: Vec<Vec<f64>> = rows.iter().map(|row| without(row, count, slack)).collect();
    if let Some(forces) = eliminate(own, count) {
        let clear = shared(&rows, count, energy).map_or(vec![0.0; slack], |found| found.clear);
        return Some(Found { forces, clear, shared: false });
    }
    shared(&rows, count, energy)
}

/// Nothing is slack: what a single row determines alone (a chain of connectors) is taken out first, then the rest is solved.
fn peeled(mut rows: Vec<Vec<f64>>, count: usize, energy: &[Yield]) -> Option<Found> {
    let mut left: Vec<Vec<usize>> =
        rows.iter().map(|row| (0..count).filter(|n| row[*n].abs() > 1e-12).collect()).collect();
    let mut holds: Vec<Vec<usize>> = vec![Vec::new(); count];
    for (r, unknowns) in left.iter().enumerate() {
        unknowns.iter().for_each(|n| holds[*n].push(r));
    }
    let (mut forces, mut done) = (vec![0.0; count], vec![false; count]);
    let mut used = vec![false; rows.len()];
    let mut open: Vec<usize> = (0..rows.len()).collect();
    while let Some(r) = open.pop() {
        let [n] = left[r][..] else { continue };
        if used[r] || rows[r][n].abs() < 0.1 {
            continue;
        }
        (used[r], done[n]) = (true, true);
        forces[n] = rows[r][count] / rows[r][n];
        for other in &holds[n] {
            if !used[*other] {
                rows[*other][count] -= rows[*other][n] * forces[n];
                left[*other].retain(|unknown| *unknown != n);
                open.push(*other);
            }
        }
    }
    let rest: Vec<usize> = (0..count).filter(|n| !done[*n]).collect();
    if rest.is_empty() {
        return Some(Found { forces, clear: Vec::new(), shared: false });
    }
    let small = |row: &Vec<f64>| rest.iter().map(|n| row[*n]).chain([row[count]]).collect::<Vec<f64>>();
    let small: Vec<Vec<f64>> =
        rows.iter().zip(&used).filter(|(_, used)| !**used).map(|(row, _)| small(row)).collect();
    let yields: Vec<Yield> = rest.iter().map(|n| energy[*n]).collect();
    let found = match eliminate(small.clone(), rest.len()) {
        Some(found) => Found { forces: found, clear: Vec::new(), shared: false },
        None => shared(&small, rest.len(), &yields)?,
    };
    for (n, force) in rest.iter().zip(found.forces) {
        forces[*n] = force;
    }
    Some(Found { forces, clear: Vec::new(), shared: found.shared })
}

/// The least of the complementary energy.
fn shared(rows: &[Vec<f64>], count: usize, energy: &[Yield]) -> Option<Found> {
    let slack = energy.len() - count;
    // Stationary: per_newton · T + gap + Aᵀλ = 0 for each unknown, and A T = b.
    let size = count + rows.len();
    let mut all = Vec::with_capacity(size);
    for n in 0..count {
        let mut row = vec![0.0; size + 1];
        row[n] = energy[n].per_newton * SCALE;
        for (r, balance) in rows.iter().enumerate() {
            row[count + r] = balance[n];
        }
        row[size] = -energy[n].gap * SCALE;
        all.push(row);
    }
    for balance in rows {
        let mut row = vec![0.0; size + 1];
        row[..count].copy_from_slice(&balance[..count]);
        row[size] = balance[count + slack];
        all.push(row);
    }
    let x = least(all, size, count)?;
    let pull = |n: usize| rows.iter().enumerate().map(|(r, row)| row[n] * x[count + r]).sum::<f64>() / SCALE;
    let clear = (count..count + slack).map(|n| energy[n].gap + pull(n)).collect();
    Some(Found { forces: x[..count].to_vec(), clear, shared: true })
}

/// Metres are counted in this many parts, so that stiffness and balance are of one size.
const SCALE: f64 = 1e5;

/// A row without the columns of what is slack.
fn without(row: &[f64], count: usize, slack: usize) -> Vec<f64> {
    let mut own = row[..count].to_vec();
    own.push(row[count + slack]);
    own
}

/// Gauss with full pivoting on rows `[a | b]`; every unknown must be determined.
fn eliminate(mut rows: Vec<Vec<f64>>, count: usize) -> Option<Vec<f64>> {
    let mut order = Vec::new();
    let mut used = vec![false; rows.len()];
    for _ in 0..count {
        let mut best = (0.0, 0, 0);
        for (r, row) in rows.iter().enumerate().filter(|(r, _)| !used[*r]) {
            for (c, cell) in row[..count].iter().enumerate() {
                if cell.abs() > best.0 {
                    best = (cell.abs(), r, c);
                }
            }
        }
        let (size, r, c) = best;
        if size < 1e-10 {
            return None;
        }
        used[r] = true;
        order.push((r, c));
        let pivot = rows[r].clone();
        for (other, row) in rows.iter_mut().enumerate().filter(|(other, _)| *other != r) {
            let factor = row[c] / pivot[c];
            if factor != 0.0 {
                row.iter_mut().zip(&pivot).for_each(|(a, b)| *a -= factor * b);
                row[c] = 0.0;
            }
            debug_assert!(other != r);
        }
    }
    let mut x = vec![0.0; count];
    for (r, c) in order {
        x[c] = rows[r][count] / rows[r][c];
    }
    Some(x)
}

/// The same where equations may repeat each other; the first `needed` unknowns must be determined, the others are multipliers.
fn least(mut rows: Vec<Vec<f64>>, count: usize, needed: usize) -> Option<Vec<f64>> {
    let mut order: Vec<(usize, usize)> = Vec::new();
    let mut used = vec![false; rows.len()];
    for _ in 0..count {
        let mut best = (0.0, 0, 0);
        for (r, row) in rows.iter().enumerate().filter(|(r, _)| !used[*r]) {
            for (c, cell) in row[..count].iter().enumerate() {
                if cell.abs() > best.0 {
                    best = (cell.abs(), r, c);
                }
            }
        }
        let (size, r, c) = best;
        if size < 1e-9 {
            break;
        }
        used[r] = true;
        order.push((r, c));
        let pivot = rows[r].clone();
        for (_, row) in rows.iter_mut().enumerate().filter(|(other, _)| *other != r) {
            let factor = row[c] / pivot[c];
            if factor != 0.0 {
                row.iter_mut().zip(&pivot).for_each(|(a, b)| *a -= factor * b);
                row[c] = 0.0;
            }
        }
    }
    let mut x = vec![0.0; count];
    let mut found = vec![false; count];
    for (r, c) in order {
        // A multiplier that nothing determines is 0; a tension must not hang on one.
        let open = (0..count).any(|other| other != c && other < needed && rows[r][other].abs() > 1e-9);
        if c < needed && open {
            return None;
        }
        x[c] = rows[r][count] / rows[r][c];
        found[c] = true;
    }
    found[..needed].iter().all(|f| *f).then_some(x)
}
