//! By small steps (Runge–Kutta of the fourth order): one rope or several on the same load, over an edge or not.

use super::{Drop, End, Limits, OutOfRange, Stop};

/// s: within 1e-6 m of a tight solver without an edge, 2e-5 m with one.
pub const STEP: f64 = 0.5e-3;
/// Ropes that may catch a load together.
pub const MOST_ROPES: usize = 4;
/// Slack of this much, m, is taken up: what the search for the moment leaves.
const SNUG: f64 = 1e-11;

/// Where the load is, and its ropes.
#[derive(Clone, Copy)]
struct At<const N: usize> {
    fallen: f64,
    speed: f64,
    /// Of each rope, past the edge and through the device.
    ran: [[f64; 2]; N],
}

/// What a step goes by, as it was when it began: no stage of it looks past a jump.
#[derive(Clone, Copy, Default)]
struct By {
    /// The device’s grip, N, and how it grows, N/s.
    grip: f64,
    grows: f64,
    /// The rope hangs slack.
    slack: bool,
}

struct Rope<'a> {
    drop: &'a Drop,
    below: f64,
    /// Stiffness above the edge; without one nothing lies above.
    above: f64,
    ratio: f64,
    start: f64,
    start_above: f64,
    /// Damping below, and one over it, over that above, and over both together as rope runs down or back over the edge, m/(N s):
    /// no division is left in a step.
    damping: f64,
    per_below: f64,
    per_above: f64,
    per_down: f64,
    per_back: f64,
    /// One over the ratio.
    back: f64,
}

/// What a rope does at a time.
#[derive(Default)]
struct Does {
    on_load: f64,
    at_device: f64,
    over_edge: f64,
    through: f64,
}

/// The most that one rope of several pulled.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Pulled {
    /// On the load, N.
    pub on_load: f64,
    /// On its device, N.
    pub at_device: f64,
    /// Rope that ran through the device, m.
    pub through: f64,
}

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
    if ropes.is_empty() || ropes.len() > MOST_ROPES {
        return Err(OutOfRange {
            what: "the number of ropes",
            value: ropes.len() as f64,
            range: "it must be 1 to 4",
        });
    }
    for drop in ropes {
        drop.check()?;
        if drop.damping <= 0.0 {
            let range = "by steps it must be above 0";
            return Err(OutOfRange { what: "the damping time, s,", value: drop.damping, range });
        }
    }
    Ok(match ropes.len() {
        1 => Falling::<1>::new(ropes).until(limits, step, watch),
        2 => Falling::<2>::new(ropes).until(limits, step, watch),
        3 => Falling::<3>::new(ropes).until(limits, step, watch),
        _ => Falling::<4>::new(ropes).until(limits, step, watch),
    })
}

/// A fall under way.
struct Falling<'a, const N: usize> {
    ropes: [Rope<'a>; N],
    mass: f64,
    gravity: f64,
    at: At<N>,
    time: f64,
    peak: f64,
    pulled: [Pulled; N],
}

impl<'a, const N: usize> Falling<'a, N> {
    fn new(drops: &'a [Drop]) -> Falling<'a, N> {
        let first = &drops[0];
        Falling {
            ropes: std::array::from_fn(|n| Rope::new(&drops[n])),
            mass: first.mass,
            gravity: first.gravity,
            at: At { fallen: 0.0, speed: first.speed, ran: [[0.0; 2]; N] },
            time: 0.0,
            peak: 0.0,
            pulled: [Pulled::default(); N],
        }
    }

    fn until(
        mut self,
        limits: Limits,
        step: f64,
        watch: &mut dyn FnMut(f64, f64, f64),
    ) -> (Stop, Vec<Pulled>) {
        let end = loop {
            let (by, until) = self.goes_by();
            let long = step.min(until - self.time).min(limits.time - self.time);
            let (long, next) = self.until_taut(&by, long);
            watch(self.time, self.at.fallen, self.feel(&by, 0.0));
            if next.speed <= 0.0 {
                // Between two steps, where its speed passes 0.
                let (was, now) = (self.at.speed, next.speed);
                let share = if was > now { was / (was - now) } else { 0.0 };
                self.at = self.stepped(&by, share * long);
                self.time += share * long;
                watch(self.time, self.at.fallen, self.feel(&by, share * long));
                break End::Stopped;
            }
            if next.fallen >= limits.fall {
                let share = (limits.fall - self.at.fallen) / (next.fallen - self.at.fallen);
                self.at = self.stepped(&by, share * long);
                self.time += share * long;
                break End::FellOn;
            }
            (self.at, self.time) = (next, self.time + long);
            if self.time >= limits.time {
                break End::TimedOut;
            }
        };
        for (pulled, ran) in self.pulled.iter_mut().zip(&self.at.ran) {
            pulled.through = ran[1];
        }
        let most = |of: fn(&Pulled) -> f64| self.pulled.iter().map(of).fold(0.0, f64::max);
        let stop = Stop {
            fall: self.at.fallen,
            peak: self.peak,
            at_device: most(|p| p.at_device),
            through: most(|p| p.through),
            time: self.time,
            end,
        };
        (stop, self.pulled.to_vec())
    }

    /// What the next step goes by, and until when that is so, s.
    fn goes_by(&self) -> ([By; N], f64) {
        let mut bys = [By::default(); N];
        let mut until = f64::INFINITY;
        for (n, rope) in self.ropes.iter().enumerate() {
            let (grip, grows, so_long) = rope.drop.grip.after(self.time);
            bys[n] = By { grip, grows, slack: rope.slack(self.at.fallen, self.at.ran[n]) > SNUG };
            until = until.min(so_long);
        }
        (bys, until)
    }

    /// Takes in what pulls `t` s into a step: on the load, N.
    fn feel(&mut self, by: &[By; N], t: f64) -> f64 {
        let mut on_load = 0.0;
        let ropes = self.ropes.iter().zip(by).zip(&self.at.ran).zip(&mut self.pulled);
        for (((rope, by), ran), pulled) in ropes {
            let does = rope.does(*by, t, self.at.fallen, self.at.speed, *ran);
            on_load += does.on_load;
            pulled.on_load = pulled.on_load.max(does.on_load);
            pulled.at_device = pulled.at_device.max(does.at_device);
        }
        self.peak = self.peak.max(on_load);
        on_load
    }

    /// How fast each of it changes.
    fn rate(&self, by: &[By; N], t: f64, at: &At<N>) -> At<N> {
        let mut on_load = 0.0;
        let mut ran = [[0.0; 2]; N];
        let ropes = self.ropes.iter().zip(by).zip(&at.ran).zip(&mut ran);
        for (((rope, by), was), ran) in ropes {
            let does = rope.does(*by, t, at.fallen, at.speed, *was);
            on_load += does.on_load;
            *ran = [does.over_edge, does.through];
        }
        At { fallen: at.speed, speed: self.gravity - on_load / self.mass, ran }
    }

    /// A step, cut short where the first slack rope comes taut within it: there the damping jumps.
    fn until_taut(&self, by: &[By; N], step: f64) -> (f64, At<N>) {
        let (mut long, mut next) = (step, self.stepped(by, step));
        for n in (0..N).filter(|n| by[*n].slack) {
            let rope = &self.ropes[n];
            let before = rope.slack(self.at.fallen, self.at.ran[n]);
            for _ in 0..20 {
                let after = rope.slack(next.fallen, next.ran[n]);
                if after >= -0.1 * SNUG {
                    break;
                }
                long *= before / (before - after);
                next = self.stepped(by, long);
            }
        }
        (long, next)
    }

    fn stepped(&self, by: &[By; N], step: f64) -> At<N> {
        let one = self.rate(by, 0.0, &self.at);
        let two = self.rate(by, step / 2.0, &self.at.along(&one, step / 2.0));
        let three = self.rate(by, step / 2.0, &self.at.along(&two, step / 2.0));
        let four = self.rate(by, step, &self.at.along(&three, step));
        let sixth = step / 6.0;
        self.at.along(&one, sixth).along(&two, 2.0 * sixth).along(&three, 2.0 * sixth).along(&four, sixth)
    }
}

impl<const N: usize> At<N> {
    /// Where it is when it changes at a rate for so long, s.
    fn along(&self, rate: &At<N>, long: f64) -> At<N> {
        let mut ran = self.ran;
        for (own, rate) in ran.iter_mut().zip(&rate.ran) {
            own[0] += long * rate[0];
            own[1] += long * rate[1];
        }
        At { fallen: self.fallen + long * rate.fallen, speed: self.speed + long * rate.speed, ran }
    }
}

impl Rope<'_> {
    fn new(drop: &Drop) -> Rope<'_> {
        let edge = drop.edge;
        let above = edge.map_or(f64::INFINITY, |edge| drop.stiffness / edge.above);
        let ratio = edge.map_or(1.0, |edge| edge.ratio);
        let start_above = if edge.is_some() { drop.carried / ratio / above } else { 0.0 };
        let below = drop.below_k();
        let (c1, c2) = (drop.damping * above, drop.damping * below);
        Rope {
            drop,
            below,
            above,
            ratio,
            start: drop.stretch(),
            start_above,
            damping: c2,
            per_below: 1.0 / c2,
            per_above: 1.0 / c1,
            per_down: 1.0 / (c2 + ratio * c1),
            back: 1.0 / ratio,
            per_back: 1.0 / (c2 + c1 / ratio),
        }
    }

    /// Slack of the rope below the edge, m; below 0 it is stretched. `ran`: past the edge and through the device, m.
    fn slack(&self, fallen: f64, ran: [f64; 2]) -> f64 {
        let ran = if self.drop.edge.is_none() { ran[0] + ran[1] } else { ran[0] };
        ran - fallen - self.start
    }

    /// What it does `t` s into a step.
    fn does(&self, by: By, t: f64, fallen: f64, speed: f64, ran: [f64; 2]) -> Does {
        let grip = by.grip + by.grows * t;
        let held = if by.slack {
            0.0
        } else {
            (self.damping * speed - self.below * self.slack(fallen, ran)).max(0.0)
        };
        match self.drop.edge {
            None => {
                let tension = held.min(grip);
                let through = ((held - grip) * self.per_below).max(0.0);
                Does { on_load: tension, at_device: tension, over_edge: 0.0, through }
            }
            Some(_) => self.over_edge(ran[0] - ran[1], held, grip),
        }
    }

    /// The rope over the edge sticks, or runs down, or back; the device slips or holds. `drawn`: past the edge and not through the
    /// device, m; `b`: what the rope below pulls with while none runs, N.
    fn over_edge(&self, drawn: f64, b: f64, grip: f64) -> Does {
        let a = (self.above * (self.start_above + drawn)).max(0.0);
        let stuck = a.min(grip);
        let c1 = self.drop.damping * self.above;
        let runs = |ratio: f64, per: f64| {
            let held = (b - ratio * a) * per;
            let tension = a + c1 * held;
            if tension <= grip {
                (held, tension.max(0.0))
            } else {
                ((b - ratio * grip) * self.per_below, grip)
            }
        };
        let back = self.back;
        let (over_edge, at_device) = if b > self.ratio * stuck {
            runs(self.ratio, self.per_down)
        } else if b < stuck * back {
            runs(back, self.per_back)
        } else {
            (0.0, stuck)
        };
        let slips = a + c1 * over_edge - grip;
        let through = (slips * self.per_above).max(0.0);
        Does { on_load: (b - self.damping * over_edge).max(0.0), at_device, over_edge, through }
    }
}
