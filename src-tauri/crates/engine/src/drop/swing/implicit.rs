//! One step of a stiff fall: Rosenbrock's method of the fourth order with one of the third within it (RODAS; Hairer and Wanner, Solving
//! ordinary differential equations II, 1996, IV.7). It knows how each rate changes with all that there is, so that a stiff tie or a
//! strong damping does not shorten it; at the end of a step what is stiff has died away as it should.
//!
//! Places grow by the speeds alone: they are taken out of the equations before these are solved.

/// What one over the step times this stands on the diagonal.
pub(super) const GAMMA: f64 = 0.25;
/// Stages.
pub(super) const STAGES: usize = 6;
/// What of the stages before it each is evaluated at.
const AT: [[f64; 4]; STAGES - 1] = [
    [0.0; 4],
    [1.544, 0.0, 0.0, 0.0],
    [0.946_678_528_081_582_6, 0.255_701_169_898_328_4, 0.0, 0.0],
    [3.314_825_187_068_521, 2.896_124_015_972_201, 0.998_641_913_997_781_7, 0.0],
    [1.221_224_509_226_641, 6.019_134_481_288_629, 12.537_083_329_320_87, -0.687_886_036_105_895],
];
/// What of the stages before it, over the step, is added to the rates of each.
const ADDS: [[f64; 5]; STAGES] = [
    [0.0; 5],
    [-5.668_8, 0.0, 0.0, 0.0, 0.0],
    [-2.430_093_356_833_875, -0.206_359_915_709_191_5, 0.0, 0.0, 0.0],
    [-0.107_352_905_815_137_5, -9.594_562_251_023_355, -20.470_286_148_096_16, 0.0, 0.0],
    [7.496_443_313_967_647, -10.246_804_314_643_52, -33.999_903_528_199_05, 11.708_908_932_061_6, 0.0],
    [
        8.083_246_795_921_522,
        -7.981_132_988_064_893,
        -31.521_594_328_743_71,
        16.319_305_431_231_36,
        -6.058_818_238_834_054,
    ],
];
/// When each is evaluated, as a share of the step, and what of a rate's own growth in time it takes.
const WHEN: [f64; STAGES] = [0.0, 0.386, 0.21, 0.63, 1.0, 1.0];
const TIMED: [f64; STAGES] = [0.25, -0.1043, 0.1035, -0.036_200_000_000_000_23, 0.0, 0.0];

/// Where everything is: the `P` places along each way that something may go; then, in `M`, how fast each of these grows, and rope
/// that ran.
#[derive(Clone, Copy, Debug)]
pub(super) struct State<const P: usize, const M: usize> {
    pub place: [f64; P],
    pub rest: [f64; M],
}

/// How the rates of speeds and of rope that runs change: with each place, with each of themselves, and with time alone.
#[derive(Clone, Copy)]
pub(super) struct Slopes<const P: usize, const M: usize> {
    pub by_place: [[f64; P]; M],
    pub by_rest: [[f64; M]; M],
    pub by_time: [f64; M],
}

impl<const P: usize, const M: usize> Slopes<P, M> {
    pub const NONE: Self = Slopes { by_place: [[0.0; P]; M], by_rest: [[0.0; M]; M], by_time: [0.0; M] };
}

impl<const P: usize, const M: usize> State<P, M> {
    pub const NOTHING: Self = State { place: [0.0; P], rest: [0.0; M] };

    #[inline]
    fn add(&mut self, times: f64, other: &Self) {
        self.place.iter_mut().zip(&other.place).for_each(|(a, b)| *a += times * b);
        self.rest.iter_mut().zip(&other.rest).for_each(|(a, b)| *a += times * b);
    }

    /// Between two states by a cubic that leaves and reaches them at these rates of what is not a place.
    pub fn between(&self, leaves: &[f64; M], to: &Self, reaches: &[f64; M], long: f64, share: f64) -> Self {
        let (s, rest) = (share, 1.0 - share);
        let from = (1.0 + 2.0 * s) * rest * rest;
        let cubic = |a: f64, da: f64, b: f64, db: f64| {
            from * a + (1.0 - from) * b + long * s * rest * (rest * da - s * db)
        };
        State {
            place: std::array::from_fn(|n| cubic(self.place[n], self.rest[n], to.place[n], to.rest[n])),
            rest: std::array::from_fn(|n| cubic(self.rest[n], leaves[n], to.rest[n], reaches[n])),
        }
    }
}

/// The state `long` s on, and by how much the two orders part. `rates`: how fast what is not a place changes so many s into the step;
/// `first`: that at its beginning.
pub(super) fn step<const P: usize, const M: usize>(
    from: &State<P, M>,
    first: &[f64; M],
    slopes: &Slopes<P, M>,
    long: f64,
    rates: impl Fn(f64, &State<P, M>) -> [f64; M],
) -> (State<P, M>, State<P, M>) {
    let solver = Solver::new(slopes, GAMMA * long);
    let mut stages = [State::NOTHING; STAGES];
    let mut at = *from;
    for n in 0..STAGES {
        let mut wanted = State::NOTHING;
        if n == 0 {
            wanted.rest = *first;
        } else {
            // The last two go on from where the one before them stood.
            if n < STAGES - 1 {
                at = *from;
                (0..n).for_each(|k| at.add(AT[n][k], &stages[k]));
            } else {
                at.add(1.0, &stages[n - 1]);
            }
            wanted.rest = rates(WHEN[n] * long, &at);
        }
        wanted.place.copy_from_slice(&at.rest[..P]);
        (0..n).for_each(|k| wanted.add(ADDS[n][k] / long, &stages[k]));
        if TIMED[n] != 0.0 {
            wanted.rest.iter_mut().zip(&slopes.by_time).for_each(|(a, b)| *a += TIMED[n] * long * b);
        }
        stages[n] = solver.solve(slopes, wanted);
    }
    let parts = stages[STAGES - 1];
    at.add(1.0, &parts);
    (at, parts)
}

/// The equations of a step, as two triangles.
struct Solver<const P: usize, const M: usize> {
    short: f64,
    own: [[f64; M]; M],
    /// One over the diagonal.
    per: [f64; M],
    rows: [usize; M],
}

impl<const P: usize, const M: usize> Solver<P, M> {
    fn new(slopes: &Slopes<P, M>, short: f64) -> Self {
        let mut own = [[0.0; M]; M];
        for (n, row) in own.iter_mut().enumerate() {
            for (k, value) in row.iter_mut().enumerate() {
                *value = -slopes.by_rest[n][k];
                if k < P {
                    *value -= short * slopes.by_place[n][k];
                }
            }
            row[n] += 1.0 / short;
        }
        let mut solver = Solver { short, own, per: [0.0; M], rows: std::array::from_fn(|n| n) };
        solver.split();
        solver
    }

    /// Gauss, each column by its largest.
    fn split(&mut self) {
        for n in 0..M {
            let mut most = n;
            for k in n + 1..M {
                if self.own[k][n].abs() > self.own[most][n].abs() {
                    most = k;
                }
            }
            self.own.swap(n, most);
            self.rows.swap(n, most);
            let per = 1.0 / self.own[n][n];
            self.per[n] = per;
            let pivot = self.own[n];
            for row in &mut self.own[n + 1..] {
                if row[n] == 0.0 {
                    continue;
                }
                let times = row[n] * per;
                row[n] = times;
                for k in n + 1..M {
                    row[k] -= times * pivot[k];
                }
            }
        }
    }

    fn solve(&self, slopes: &Slopes<P, M>, mut wanted: State<P, M>) -> State<P, M> {
        for (value, row) in wanted.rest.iter_mut().zip(&slopes.by_place) {
            let by: f64 = row.iter().zip(&wanted.place).map(|(a, b)| a * b).sum();
            *value += self.short * by;
        }
        let mut rest: [f64; M] = std::array::from_fn(|n| wanted.rest[self.rows[n]]);
        for n in 1..M {
            let known: f64 = (0..n).map(|k| self.own[n][k] * rest[k]).sum();
            rest[n] -= known;
        }
        for n in (0..M).rev() {
            let known: f64 = (n + 1..M).map(|k| self.own[n][k] * rest[k]).sum();
            rest[n] = (rest[n] - known) * self.per[n];
        }
        State { place: std::array::from_fn(|n| self.short * (wanted.place[n] + rest[n])), rest }
    }
}

#[cfg(test)]
mod tests {
    use super::{Slopes, State, step};

    /// A pendulum in its angle, with a first-order follower of its sine and a push that grows with time.
    fn rates(t: f64, at: &State<1, 2>) -> [f64; 2] {
        [-9.0 * libm::sin(at.place[0]) + t * t, -5.0 * (at.rest[1] - at.place[0] * at.rest[0])]
    }

    fn slopes(t: f64, at: &State<1, 2>) -> Slopes<1, 2> {
        Slopes {
            by_place: [[-9.0 * libm::cos(at.place[0])], [5.0 * at.rest[0]]],
            by_rest: [[0.0, 0.0], [5.0 * at.place[0], -5.0]],
            by_time: [2.0 * t, 0.0],
        }
    }

    fn over(steps: u32) -> State<1, 2> {
        let long = 1.0 / f64::from(steps);
        let mut at = State { place: [1.0], rest: [0.5, 0.2] };
        for n in 0..steps {
            let t = f64::from(n) * long;
            let first = rates(t, &at);
            at = step(&at, &first, &slopes(t, &at), long, |s, own| rates(t + s, own)).0;
        }
        at
    }

    /// Half the step, a sixteenth of what is left: the method is of the fourth order, all its figures and the slopes as they should be.
    #[test]
    fn half_the_step_leaves_a_sixteenth() {
        let exact = over(4096);
        let off = |steps: u32| {
            let at = over(steps);
            (at.place[0] - exact.place[0]).abs().max((at.rest[1] - exact.rest[1]).abs())
        };
        let (one, half) = (off(64), off(128));
        assert!((15.0..17.5).contains(&(one / half)), "{one} {half}");
    }
}
