//! By small steps (Runge–Kutta of the fourth order): one rope or several on the same load, over an edge or not.

use super::under_way::{At, By, Falling, SNUG, check};
pub use super::under_way::{MOST_ROPES, Pulled};
use super::{Drop, End, Limits, OutOfRange, Stop};

/// s: within 1e-6 m of a tight solver without an edge, 2e-5 m with one.
pub const STEP: f64 = 0.2e-3;

/// Computes a fall onto one rope by steps of `step` s.
///
/// # Errors
/// As [`together`].
pub fn fall(drop: &Drop, limits: Limits, step: f64) -> Result<Stop, OutOfRange> {
    together(std::slice::from_ref(drop), limits, step).map(|(stop, _)| stop)
}

/// Computes a fall onto several ropes at once, by steps of `step` s. The load, its speed and what pulls it down are the first
/// one's. Of the stop, `peak` is what all of them pulled on the load at one time, `at_device` the most at any device, `through`
/// the most that ran through one.
///
/// # Errors
/// The first value outside its range; a damping time of 0; no rope, or more than [`MOST_ROPES`].
pub fn together(ropes: &[Drop], limits: Limits, step: f64) -> Result<(Stop, Vec<Pulled>), OutOfRange> {
    watched(ropes, limits, step, &mut |_, _, _| {})
}

/// As [`together`], told at every step: s since the loss, m fallen, N on the load.
///
/// # Errors
/// As [`together`].
pub fn watched(
    ropes: &[Drop],
    limits: Limits,
    step: f64,
    watch: &mut dyn FnMut(f64, f64, f64),
) -> Result<(Stop, Vec<Pulled>), OutOfRange> {
    check(ropes)?;
    Ok(match ropes.len() {
        1 => Falling::<1>::new(ropes).until(limits, step, watch),
        2 => Falling::<2>::new(ropes).until(limits, step, watch),
        3 => Falling::<3>::new(ropes).until(limits, step, watch),
        _ => Falling::<4>::new(ropes).until(limits, step, watch),
    })
}

impl<const N: usize> Falling<'_, N> {
    fn until(
        mut self,
        limits: Limits,
        step: f64,
        watch: &mut dyn FnMut(f64, f64, f64),
    ) -> (Stop, Vec<Pulled>) {
        let end = loop {
            let (by, until) = self.goes_by();
            let long = step.min(until - self.time).min(limits.time - self.time);
            let (on_load, begins) = self.felt(&by, 0.0);
            watch(self.time, self.at.fallen, on_load);
            let (long, next) = self.until_taut(&by, &begins, long);
            if next.speed <= 0.0 {
                // Between two steps, where its speed passes 0.
                let (was, now) = (self.at.speed, next.speed);
                let share = if was > now { was / (was - now) } else { 0.0 };
                self.at = self.stepped(&by, &begins, share * long);
                self.time += share * long;
                let (on_load, _) = self.felt(&by, share * long);
                watch(self.time, self.at.fallen, on_load);
                break End::Stopped;
            }
            if next.fallen >= limits.fall {
                let share = (limits.fall - self.at.fallen) / (next.fallen - self.at.fallen);
                self.at = self.stepped(&by, &begins, share * long);
                self.time += share * long;
                break End::FellOn;
            }
            (self.at, self.time) = (next, self.time + long);
            if self.time >= limits.time {
                break End::TimedOut;
            }
        };
        self.stop(end)
    }

    /// A step, cut short where the first slack rope comes taut within it: there the damping jumps.
    fn until_taut(&self, by: &[By; N], begins: &At<N>, step: f64) -> (f64, At<N>) {
        let (mut long, mut next) = (step, self.stepped(by, begins, step));
        for n in (0..N).filter(|n| by[*n].slack) {
            let rope = &self.ropes[n];
            let before = rope.slack(self.at.fallen, self.at.ran[n]);
            for _ in 0..20 {
                let after = rope.slack(next.fallen, next.ran[n]);
                if after >= -0.1 * SNUG {
                    break;
                }
                long *= before / (before - after);
                next = self.stepped(by, begins, long);
            }
        }
        (long, next)
    }

    /// Where it is after a step; `begins`: how fast each of it changes at its beginning.
    fn stepped(&self, by: &[By; N], begins: &At<N>, step: f64) -> At<N> {
        let two = self.rate_at(by, step / 2.0, &self.at.along(begins, step / 2.0));
        let three = self.rate_at(by, step / 2.0, &self.at.along(&two, step / 2.0));
        let four = self.rate_at(by, step, &self.at.along(&three, step));
        let sixth = step / 6.0;
        self.at.along(begins, sixth).along(&two, 2.0 * sixth).along(&three, 2.0 * sixth).along(&four, sixth)
    }
}
