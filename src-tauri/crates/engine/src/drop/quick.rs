//! The same falls as `stepped`, by steps as long as they may be: Dormand and Prince's pair of the fifth and the fourth order (A family
//! of embedded Runge-Kutta formulae, 1980), each step as long as the two agree. Where a rope begins to run, sticks or slips the two
//! part, and the step shortens; where it comes taut, the load stands or has fallen far enough, a step ends.

use super::under_way::{At, By, Does, Falling, Pulled, SNUG, check};
use super::{Drop, End, Limits, OutOfRange, Stop};

/// How far the two may differ in a step, m; ten times that in the speed, m/s.
const NEAR: f64 = 1e-7;
/// The first step, s, and the shortest: one so short is taken as it is.
const FIRST: f64 = 1e-3;
const SHORTEST: f64 = 1e-5;
/// So far behind a corner a step that is cut there may end, s.
const BEHIND: f64 = 1e-5;
/// Points within a step at which a pull is looked for that is more than at both its ends.
const WITHIN: usize = 8;
/// How often a step is halved to find a corner in it.
const HALVINGS: u32 = 14;

/// Where in a step each stage lies but the last two, which stand at its end.
const AT: [f64; 4] = [1.0 / 5.0, 3.0 / 10.0, 4.0 / 5.0, 8.0 / 9.0];
/// What of the stages before it each goes by; by the last one the step goes.
const TWO: [f64; 1] = [1.0 / 5.0];
const THREE: [f64; 2] = [3.0 / 40.0, 9.0 / 40.0];
const FOUR: [f64; 3] = [44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0];
const FIVE: [f64; 4] = [19372.0 / 6561.0, -25360.0 / 2187.0, 64448.0 / 6561.0, -212.0 / 729.0];
const SIX: [f64; 5] = [9017.0 / 3168.0, -355.0 / 33.0, 46732.0 / 5247.0, 49.0 / 176.0, -5103.0 / 18656.0];
const STEP: [f64; 5] = [35.0 / 384.0, 500.0 / 1113.0, 125.0 / 192.0, -2187.0 / 6784.0, 11.0 / 84.0];
/// The fifth order less the fourth, without the second stage, which neither knows.
const PART: [f64; 6] =
    [71.0 / 57600.0, -71.0 / 16695.0, 71.0 / 1920.0, -17253.0 / 339_200.0, 22.0 / 525.0, -1.0 / 40.0];

/// Computes a fall onto several ropes at once, by steps of at most `longest` s. What it answers is what
/// [`super::stepped::together`] answers.
///
/// # Errors
/// The first value outside its range; a damping time of 0; no rope, or more than
/// [`MOST_ROPES`](super::stepped::MOST_ROPES).
pub fn together(ropes: &[Drop], limits: Limits, longest: f64) -> Result<(Stop, Vec<Pulled>), OutOfRange> {
    check(ropes)?;
    Ok(match ropes.len() {
        1 => Falling::<1>::new(ropes).quick(limits, longest),
        2 => Falling::<2>::new(ropes).quick(limits, longest),
        3 => Falling::<3>::new(ropes).quick(limits, longest),
        _ => Falling::<4>::new(ropes).quick(limits, longest),
    })
}

/// What pulls at a moment, and how fast each of it changes.
#[derive(Clone, Copy)]
struct Moment<const N: usize> {
    on_load: f64,
    does: [Does; N],
    rate: At<N>,
}

/// What pulls on the load, N, and what each rope does.
type Pulls<const N: usize> = (f64, [Does; N]);

/// A step that was tried.
struct Tried<const N: usize> {
    long: f64,
    next: At<N>,
    ends: Moment<N>,
    /// How far its two orders differ, over how far they may.
    error: f64,
    /// Some stage pulled harder than both its ends, on the load or on a rope.
    humps: bool,
    /// It ends just behind a corner, which so is felt at its end.
    cornered: bool,
}

impl<const N: usize> Falling<'_, N> {
    fn quick(mut self, limits: Limits, longest: f64) -> (Stop, Vec<Pulled>) {
        let mut long = FIRST.min(longest);
        let mut begins: Option<Moment<N>> = None;
        let end = loop {
            let (by, until) = self.goes_by();
            let now = begins.take().unwrap_or_else(|| self.moment(&by, 0.0, &self.at));
            self.feel(now.on_load, &now.does);
            // A load that falls free cannot turn within a step.
            let longest = if by.iter().all(|by| by.slack) { f64::INFINITY } else { longest };
            let most = longest.min(until - self.time).min(limits.time - self.time);
            let tried = self.near_enough(&by, &now, &mut long, most);
            let whole = tried.long;
            let tried = self.up_to_taut(&by, &now, tried);
            if tried.long < whole {
                // Taut, what it pulls with jumps: the next step begins small.
                long = FIRST;
            }
            let (tried, end) = self.until_over(&by, &now, tried, limits);
            if tried.humps {
                self.feel_within(&by, &now, &tried);
            }
            if !tried.cornered {
                self.feel_corners(&by, &now, &tried);
            }
            (self.at, self.time) = (tried.next, self.time + tried.long);
            if end == Some(End::Stopped) {
                self.feel(tried.ends.on_load, &tried.ends.does);
            }
            if let Some(end) = end {
                break end;
            }
            if self.time >= limits.time {
                break End::TimedOut;
            }
            // Nothing jumps between this step and the next.
            let same = self.time < until && self.slacks() == by.map(|by| by.slack);
            begins = same.then_some(tried.ends);
        };
        self.stop(end)
    }

    fn slacks(&self) -> [bool; N] {
        std::array::from_fn(|n| self.ropes[n].slack(self.at.fallen, self.at.ran[n]) > SNUG)
    }

    fn moment(&self, by: &[By; N], t: f64, at: &At<N>) -> Moment<N> {
        let (on_load, does) = self.does(by, t, at);
        Moment { on_load, does, rate: self.rate(at, on_load, &does) }
    }

    /// A step of at most `most` s whose two orders agree, and how long the next one may be.
    fn near_enough(&self, by: &[By; N], now: &Moment<N>, long: &mut f64, most: f64) -> Tried<N> {
        loop {
            let step = long.min(most);
            let tried = self.tried(by, now, step);
            let grows = (0.9 * per_fifth_root(tried.error.max(1e-9))).clamp(0.2, 4.0);
            if tried.error <= 1.0 || step <= SHORTEST {
                // A step that was cut short by something else says little of the next.
                *long = if step < *long { long.min(4.0 * step.max(FIRST)) } else { step * grows.max(0.5) };
                return tried;
            }
            if let Some(tried) = self.up_to_corner(by, now, &tried) {
                *long = step;
                return tried;
            }
            // At a corner the two part by less than the fifth power.
            *long = (step * grows.min(0.4)).max(SHORTEST);
        }
    }

    /// A step whose two orders part because a rope turns within it from one way to go to another, cut short just behind that place;
    /// nothing where they part up to there too.
    fn up_to_corner(&self, by: &[By; N], now: &Moment<N>, step: &Tried<N>) -> Option<Tried<N>> {
        let turned = |does: &[Does; N]| does.iter().zip(&now.does).any(|(own, began)| own.mode != began.mode);
        if !turned(&step.ends.does) {
            return None;
        }
        let (mut low, mut high) = (0.0, 1.0);
        while (high - low) * step.long > BEHIND {
            let middle = 0.5 * (low + high);
            if turned(&self.within(by, now, step, middle).1) {
                high = middle;
            } else {
                low = middle;
            }
        }
        let long = high * step.long;
        if long < SHORTEST {
            return None;
        }
        let cut = Tried { cornered: true, ..self.tried(by, now, long) };
        (cut.error <= 1.0).then_some(cut)
    }

    fn tried(&self, by: &[By; N], now: &Moment<N>, long: f64) -> Tried<N> {
        let at = |n: usize, next: At<N>| self.moment(by, AT[n] * long, &next);
        let one = &now.rate;
        let two = at(0, self.at.after(long, TWO, [one]));
        let three = at(1, self.at.after(long, THREE, [one, &two.rate]));
        let four = at(2, self.at.after(long, FOUR, [one, &two.rate, &three.rate]));
        let five = at(3, self.at.after(long, FIVE, [one, &two.rate, &three.rate, &four.rate]));
        let before_last = self.at.after(long, SIX, [one, &two.rate, &three.rate, &four.rate, &five.rate]);
        let six = self.moment(by, long, &before_last).rate;
        let next = self.at.after(long, STEP, [one, &three.rate, &four.rate, &five.rate, &six]);
        let ends = self.moment(by, long, &next);
        let rates = [one, &three.rate, &four.rate, &five.rate, &six, &ends.rate];
        let error = At::apart(long, rates) / NEAR;
        let humps = [&two, &three, &four, &five].iter().any(|stage| stage.is_over(now, &ends));
        Tried { long, next, error, humps, cornered: false, ends }
    }

    /// Cut short where the first slack rope comes taut within it: there the damping jumps.
    fn up_to_taut(&self, by: &[By; N], now: &Moment<N>, mut tried: Tried<N>) -> Tried<N> {
        for n in (0..N).filter(|n| by[*n].slack) {
            let slack = |at: &At<N>| self.ropes[n].slack(at.fallen, at.ran[n]);
            if slack(&tried.next) < -0.1 * SNUG {
                tried = self.cut(by, now, tried, &slack, 0.1 * SNUG);
            }
        }
        tried
    }

    /// Cut short where the load has fallen far enough, or stands.
    fn until_over(
        &self,
        by: &[By; N],
        now: &Moment<N>,
        tried: Tried<N>,
        limits: Limits,
    ) -> (Tried<N>, Option<End>) {
        if tried.next.speed <= 0.0 {
            let tried = self.cut(by, now, tried, &|at| at.speed, 1e-8);
            return (tried, Some(End::Stopped));
        }
        if tried.next.fallen >= limits.fall {
            let tried = self.cut(by, now, tried, &|at| limits.fall - at.fallen, 1e-10);
            return (tried, Some(End::FellOn));
        }
        (tried, None)
    }

    /// The same step as long as `of`, a sum of what changes, above 0 where it begins, is within `near` of 0: by Newton's steps,
    /// and by halving where one would leave the step.
    fn cut(
        &self,
        by: &[By; N],
        now: &Moment<N>,
        tried: Tried<N>,
        of: &dyn Fn(&At<N>) -> f64,
        near: f64,
    ) -> Tried<N> {
        if of(&self.at) <= near {
            return self.tried(by, now, 0.0);
        }
        let (mut low, mut high) = (0.0, tried.long);
        let mut cut = tried;
        for _ in 0..60 {
            let value = of(&cut.next);
            if value.abs() <= near {
                break;
            }
            if value > 0.0 {
                low = cut.long
            } else {
                high = cut.long
            }
            // What it grows by is what it is of the rates: less what it is of nothing.
            let newton = cut.long - value / (of(&cut.ends.rate) - of(&At::NOTHING));
            let inside = newton > low && newton < high;
            cut = self.tried(by, now, if inside { newton } else { 0.5 * (low + high) });
        }
        cut
    }

    /// What pulls within a step, at a share of it: by a cubic through both its ends.
    fn within(&self, by: &[By; N], now: &Moment<N>, step: &Tried<N>, share: f64) -> Pulls<N> {
        let at = self.at.between(&now.rate, &step.next, &step.ends.rate, step.long, share);
        self.does(by, share * step.long, &at)
    }

    /// Takes in what pulls where a rope turns from one way to go to another within a step: found by halving.
    fn feel_corners(&mut self, by: &[By; N], now: &Moment<N>, step: &Tried<N>) {
        for n in (0..N).filter(|n| now.does[*n].mode != step.ends.does[*n].mode) {
            let (mut low, mut high) = (0.0, 1.0);
            for _ in 0..HALVINGS {
                let middle = 0.5 * (low + high);
                let (on_load, does) = self.within(by, now, step, middle);
                if does[n].mode == now.does[n].mode {
                    low = middle;
                } else {
                    high = middle;
                }
                self.feel(on_load, &does);
            }
        }
    }

    /// Takes in what pulls within a step: the most of a parabola through each three of some points.
    fn feel_within(&mut self, by: &[By; N], now: &Moment<N>, step: &Tried<N>) {
        let mut last = [(now.on_load, now.does); 2];
        for n in 1..=WITHIN {
            let share = n as f64 / WITHIN as f64;
            let next = if n == WITHIN {
                (step.ends.on_load, step.ends.does)
            } else {
                self.within(by, now, step, share)
            };
            if n > 1 {
                let of = |get: &dyn Fn(&Pulls<N>) -> f64| top([get(&last[0]), get(&last[1]), get(&next)]);
                self.peak = self.peak.max(of(&|(on_load, _)| *on_load));
                for (rope, pulled) in self.pulled.iter_mut().enumerate() {
                    pulled.on_load = pulled.on_load.max(of(&|(_, does)| does[rope].on_load));
                    pulled.at_device = pulled.at_device.max(of(&|(_, does)| does[rope].at_device));
                }
            }
            last = [last[1], next];
        }
    }
}

/// One over a fifth root, or up to 8 in a hundred more, by the bits of the number: its exponent, and with it what lies between two of
/// them, divided by five. The error of a step goes by the fifth power of its length.
fn per_fifth_root(of: f64) -> f64 {
    let one = 1.0_f64.to_bits();
    f64::from_bits(one + one / 5 - of.to_bits() / 5)
}

/// The most of a parabola through three values at equal distances, if that lies within; else the most of them.
fn top([a, b, c]: [f64; 3]) -> f64 {
    let bends = 2.0 * b - a - c;
    if b >= a && b >= c && bends > 0.0 { b + (c - a) * (c - a) / (8.0 * bends) } else { a.max(b).max(c) }
}

impl<const N: usize> Moment<N> {
    /// Whether something pulls harder than at both ends of a step.
    #[inline]
    fn is_over(&self, begins: &Moment<N>, ends: &Moment<N>) -> bool {
        let over = |own: f64, begins: f64, ends: f64| own > begins.max(ends);
        over(self.on_load, begins.on_load, ends.on_load)
            || (0..N).any(|n| {
                let [own, begins, ends] = [self, begins, ends].map(|moment| moment.does[n]);
                over(own.on_load, begins.on_load, ends.on_load)
                    || over(own.at_device, begins.at_device, ends.at_device)
            })
    }
}

impl<const N: usize> At<N> {
    const NOTHING: At<N> = At { fallen: 0.0, speed: 0.0, ran: [[0.0; 2]; N] };

    /// Where it is after so long, s, at these rates by their weights.
    #[inline]
    fn after<const K: usize>(&self, long: f64, weights: [f64; K], rates: [&At<N>; K]) -> At<N> {
        self.along(&At::sum(weights, rates), long)
    }

    #[inline]
    fn sum<const K: usize>(weights: [f64; K], rates: [&At<N>; K]) -> At<N> {
        let mut sum = At::NOTHING;
        for (weight, rate) in weights.into_iter().zip(rates) {
            sum = sum.along(rate, weight);
        }
        sum
    }

    /// How far the two orders of a step differ, m; a tenth of it in the speed.
    #[inline]
    fn apart(long: f64, rates: [&At<N>; 6]) -> f64 {
        let apart = At::sum(PART, rates);
        let ran = apart.ran.as_flattened().iter().fold(0.0, |most: f64, ran| most.max(ran.abs()));
        long * apart.fallen.abs().max(0.1 * apart.speed.abs()).max(ran)
    }

    /// Between two places, by a cubic that leaves and reaches them at these rates.
    fn between(&self, leaves: &At<N>, to: &At<N>, reaches: &At<N>, long: f64, share: f64) -> At<N> {
        let (s, rest) = (share, 1.0 - share);
        let from = (1.0 + 2.0 * s) * rest * rest;
        let cubic = |a: f64, da: f64, b: f64, db: f64| {
            from * a + (1.0 - from) * b + long * s * rest * (rest * da - s * db)
        };
        At {
            fallen: cubic(self.fallen, leaves.fallen, to.fallen, reaches.fallen),
            speed: cubic(self.speed, leaves.speed, to.speed, reaches.speed),
            ran: std::array::from_fn(|n| {
                std::array::from_fn(|k| {
                    cubic(self.ran[n][k], leaves.ran[n][k], to.ran[n][k], reaches.ran[n][k])
                })
            }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::per_fifth_root;

    #[test]
    fn the_root_that_a_step_grows_by_is_never_under_and_little_over() {
        for n in -900_i32..=900 {
            let of = libm::exp(f64::from(n) / 40.0);
            let ratio = per_fifth_root(of) / libm::pow(of, -0.2);
            assert!((0.9999..1.08).contains(&ratio), "{of}: {ratio}");
        }
    }
}
