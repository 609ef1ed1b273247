//! A fall under way: where the load and its ropes are, and how fast each of it changes. The ways to go on from there are
//! `stepped` and `quick`.

use super::{Drop, End, OutOfRange, Stop};

/// Ropes that may catch a load together.
pub const MOST_ROPES: usize = 4;
/// Slack of this much, m, is taken up: what the search for the moment leaves.
pub(super) const SNUG: f64 = 1e-11;

/// Where the load is, and its ropes.
#[derive(Clone, Copy)]
pub(super) struct At<const N: usize> {
    pub fallen: f64,
    pub speed: f64,
    /// Of each rope, past the edge and through the device.
    pub ran: [[f64; 2]; N],
}

/// What a step goes by, as it was when it began: no stage of it looks past a jump.
#[derive(Clone, Copy, Default)]
pub(super) struct By {
    /// The device’s grip, N, and how it grows, N/s.
    pub grip: f64,
    pub grows: f64,
    /// The rope hangs slack.
    pub slack: bool,
}

pub(super) struct Rope<'a> {
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

/// How a rope goes; where that turns, what it does has a corner.
#[derive(Clone, Copy, Default, PartialEq)]
pub(super) struct Mode {
    /// It runs down over its edge, or back.
    pub down: bool,
    pub back: bool,
    /// It slips through its device.
    pub slips: bool,
}

/// What a rope does at a time.
#[derive(Clone, Copy, Default)]
pub(super) struct Does {
    pub mode: Mode,
    pub on_load: f64,
    pub at_device: f64,
    pub over_edge: f64,
    pub through: f64,
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

/// # Errors
/// The first value outside its range; a damping time of 0; no rope, or more than [`MOST_ROPES`].
pub(super) fn check(ropes: &[Drop]) -> Result<(), OutOfRange> {
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
    Ok(())
}

/// A fall under way.
pub(super) struct Falling<'a, const N: usize> {
    pub ropes: [Rope<'a>; N],
    /// One over the mass of the load, 1/kg.
    pub per_mass: f64,
    pub gravity: f64,
    pub at: At<N>,
    pub time: f64,
    pub peak: f64,
    pub pulled: [Pulled; N],
}

impl<'a, const N: usize> Falling<'a, N> {
    pub fn new(drops: &'a [Drop]) -> Falling<'a, N> {
        let first = &drops[0];
        Falling {
            ropes: std::array::from_fn(|n| Rope::new(&drops[n])),
            per_mass: 1.0 / first.mass,
            gravity: first.gravity,
            at: At { fallen: 0.0, speed: first.speed, ran: [[0.0; 2]; N] },
            time: 0.0,
            peak: 0.0,
            pulled: [Pulled::default(); N],
        }
    }

    /// What the next step goes by, and until when that is so, s.
    pub fn goes_by(&self) -> ([By; N], f64) {
        let mut bys = [By::default(); N];
        let mut until = f64::INFINITY;
        for (n, rope) in self.ropes.iter().enumerate() {
            let (grip, grows, so_long) = rope.drop.grip.after(self.time);
            bys[n] = By { grip, grows, slack: rope.slack(self.at.fallen, self.at.ran[n]) > SNUG };
            until = until.min(so_long);
        }
        (bys, until)
    }

    /// Takes in what pulls `t` s into a step; answers what pulls on the load, N, and how fast each of it changes.
    pub fn felt(&mut self, by: &[By; N], t: f64) -> (f64, At<N>) {
        let (on_load, does) = self.does(by, t, &self.at);
        self.feel(on_load, &does);
        (on_load, self.rate(&self.at, on_load, &does))
    }

    /// Takes in what pulls on the load, N, and what each rope does.
    pub fn feel(&mut self, on_load: f64, does: &[Does; N]) {
        for (pulled, does) in self.pulled.iter_mut().zip(does) {
            pulled.on_load = pulled.on_load.max(does.on_load);
            pulled.at_device = pulled.at_device.max(does.at_device);
        }
        self.peak = self.peak.max(on_load);
    }

    /// What pulls on the load, N, and what each rope does, `t` s into a step.
    #[inline]
    pub fn does(&self, by: &[By; N], t: f64, at: &At<N>) -> (f64, [Does; N]) {
        let does: [Does; N] =
            std::array::from_fn(|n| self.ropes[n].does(by[n], t, at.fallen, at.speed, at.ran[n]));
        (does.iter().map(|does| does.on_load).sum(), does)
    }

    /// How fast each of it changes.
    #[inline]
    pub fn rate(&self, at: &At<N>, on_load: f64, does: &[Does; N]) -> At<N> {
        let ran = std::array::from_fn(|n| [does[n].over_edge, does[n].through]);
        At { fallen: at.speed, speed: self.gravity - on_load * self.per_mass, ran }
    }

    #[inline]
    pub fn rate_at(&self, by: &[By; N], t: f64, at: &At<N>) -> At<N> {
        let (on_load, does) = self.does(by, t, at);
        self.rate(at, on_load, &does)
    }

    /// What became of it, of all ropes and of each.
    pub fn stop(mut self, end: End) -> (Stop, Vec<Pulled>) {
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
}

impl<const N: usize> At<N> {
    /// Where it is when it changes at a rate for so long, s.
    #[inline]
    pub fn along(&self, rate: &At<N>, long: f64) -> At<N> {
        let mut ran = self.ran;
        for (own, rate) in ran.iter_mut().zip(&rate.ran) {
            own[0] += long * rate[0];
            own[1] += long * rate[1];
        }
        At { fallen: self.fallen + long * rate.fallen, speed: self.speed + long * rate.speed, ran }
    }
}

impl Rope<'_> {
    pub fn new(drop: &Drop) -> Rope<'_> {
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
    pub fn slack(&self, fallen: f64, ran: [f64; 2]) -> f64 {
        let ran = if self.drop.edge.is_none() { ran[0] + ran[1] } else { ran[0] };
        ran - fallen - self.start
    }

    /// What it does `t` s into a step.
    #[inline(always)]
    pub fn does(&self, by: By, t: f64, fallen: f64, speed: f64, ran: [f64; 2]) -> Does {
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
                let mode = Mode { slips: through > 0.0, ..Mode::default() };
                Does { mode, on_load: tension, at_device: tension, over_edge: 0.0, through }
            }
            Some(_) => self.over_edge(ran[0] - ran[1], held, grip),
        }
    }

    /// The rope over the edge sticks, or runs down, or back; the device slips or holds. `drawn`: past the edge and not through the
    /// device, m; `b`: what the rope below pulls with while none runs, N.
    #[inline]
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
        let mode = Mode { down: over_edge > 0.0, back: over_edge < 0.0, slips: through > 0.0 };
        Does { mode, on_load: (b - self.damping * over_edge).max(0.0), at_device, over_edge, through }
    }
}
