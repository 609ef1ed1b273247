//! By small steps (Runge–Kutta of the fourth order), over an edge or not.

use super::{Drop, End, Limits, OutOfRange, Stop};
use rig::quantity::G;

/// s: within 1e-6 m of a tight solver without an edge, 2e-5 m with one.
pub const STEP: f64 = 0.5e-3;
/// Slack of this much, m, is taken up: what the search for the moment leaves.
const SNUG: f64 = 1e-11;

/// Fallen, speed, rope past the edge, rope through the device.
type At = [f64; 4];

/// What a step goes by, as it was when it began: no stage of it looks past a jump.
#[derive(Clone, Copy)]
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
}

/// What the rope does at a time.
struct Does {
    on_load: f64,
    at_device: f64,
    over_edge: f64,
    through: f64,
}

/// Computes a fall by steps of `step` s.
///
/// # Errors
/// The first value outside its range; without an edge a damping time of 0 too.
pub fn fall(drop: &Drop, limits: Limits, step: f64) -> Result<Stop, OutOfRange> {
    drop.check()?;
    if drop.damping <= 0.0 {
        let range = "by steps it must be above 0";
        return Err(OutOfRange { what: "the damping time, s,", value: drop.damping, range });
    }
    let rope = Rope::new(drop);
    let mut at: At = [0.0, drop.speed, 0.0, 0.0];
    let (mut time, mut peak, mut device) = (0.0, 0.0_f64, 0.0_f64);
    let end = loop {
        let (grip, grows, until) = drop.grip.after(time);
        let long = step.min(until - time).min(limits.time - time);
        let by = By { grip, grows, slack: rope.slack(at) > SNUG };
        let (long, next) = rope.until_taut(by, at, long);
        let does = rope.does(by, 0.0, at);
        (peak, device) = (peak.max(does.on_load), device.max(does.at_device));
        if next[1] <= 0.0 {
            // Between two steps, where its speed passes 0.
            let share = if at[1] > next[1] { at[1] / (at[1] - next[1]) } else { 0.0 };
            let last = rope.stepped(by, at, share * long);
            let does = rope.does(by, share * long, last);
            (peak, device) = (peak.max(does.on_load), device.max(does.at_device));
            (at, time) = (last, time + share * long);
            break End::Stopped;
        }
        if next[0] >= limits.fall {
            let share = (limits.fall - at[0]) / (next[0] - at[0]);
            (at, time) = (rope.stepped(by, at, share * long), time + share * long);
            break End::FellOn;
        }
        (at, time) = (next, time + long);
        if time >= limits.time {
            break End::TimedOut;
        }
    };
    Ok(Stop { fall: at[0], peak, at_device: device, through: at[3], time, end })
}

impl Rope<'_> {
    fn new(drop: &Drop) -> Rope<'_> {
        let edge = drop.edge;
        let above = edge.map_or(f64::INFINITY, |edge| drop.stiffness / edge.above);
        let ratio = edge.map_or(1.0, |edge| edge.ratio);
        let start_above = if edge.is_some() { drop.carried / ratio / above } else { 0.0 };
        Rope { drop, below: drop.below_k(), above, ratio, start: drop.stretch(), start_above }
    }

    /// Slack of the rope below the edge, m; below 0 it is stretched.
    fn slack(&self, at: At) -> f64 {
        at[2] + at[3] * f64::from(u8::from(self.drop.edge.is_none())) - at[0] - self.start
    }

    /// What it does `t` s into a step.
    fn does(&self, by: By, t: f64, at: At) -> Does {
        let grip = by.grip + by.grows * t;
        let damping = self.drop.damping * self.below;
        let held = if by.slack { 0.0 } else { (damping * at[1] - self.below * self.slack(at)).max(0.0) };
        match self.drop.edge {
            None => {
                let tension = held.min(grip);
                let through = ((held - grip) / damping).max(0.0);
                Does { on_load: tension, at_device: tension, over_edge: 0.0, through }
            }
            Some(_) => self.over_edge(at, held, grip),
        }
    }

    /// The rope over the edge sticks, or runs down, or back; the device slips or holds.
    fn over_edge(&self, at: At, b: f64, grip: f64) -> Does {
        let (c1, c2) = (self.drop.damping * self.above, self.drop.damping * self.below);
        let a = (self.above * (self.start_above + at[2] - at[3])).max(0.0);
        let stuck = a.min(grip);
        let runs = |ratio: f64| {
            let held = (b - ratio * a) / (c2 + ratio * c1);
            let tension = a + c1 * held;
            if tension <= grip { (held, tension.max(0.0)) } else { ((b - ratio * grip) / c2, grip) }
        };
        let (over_edge, at_device) = if b > self.ratio * stuck {
            runs(self.ratio)
        } else if b < stuck / self.ratio {
            runs(1.0 / self.ratio)
        } else {
            (0.0, stuck)
        };
        let slips = a + c1 * over_edge - grip;
        let through = (slips / c1).max(0.0);
        Does { on_load: (b - c2 * over_edge).max(0.0), at_device, over_edge, through }
    }

    fn rate(&self, by: By, t: f64, at: At) -> At {
        let does = self.does(by, t, at);
        [at[1], G - does.on_load / self.drop.mass, does.over_edge, does.through]
    }

    /// A step, cut short where the slack is taken up within it: there the damping jumps.
    fn until_taut(&self, by: By, at: At, step: f64) -> (f64, At) {
        let (mut long, mut next) = (step, self.stepped(by, at, step));
        let before = self.slack(at);
        for _ in 0..20 {
            let after = self.slack(next);
            if !by.slack || after >= -0.1 * SNUG {
                break;
            }
            long *= before / (before - after);
            next = self.stepped(by, at, long);
        }
        (long, next)
    }

    fn stepped(&self, by: By, at: At, step: f64) -> At {
        let along = |rate: At, by: f64| -> At { std::array::from_fn(|n| at[n] + by * rate[n]) };
        let one = self.rate(by, 0.0, at);
        let two = self.rate(by, step / 2.0, along(one, step / 2.0));
        let three = self.rate(by, step / 2.0, along(two, step / 2.0));
        let four = self.rate(by, step, along(three, step));
        std::array::from_fn(|n| at[n] + step / 6.0 * (one[n] + 2.0 * (two[n] + three[n]) + four[n]))
    }
}
