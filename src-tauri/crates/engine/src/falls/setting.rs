//! A fall as the rig sets it: what catches the load, over what, held by whom; every value a parameter.

use super::Runs;
use super::parameter::{At, Parameters};
use super::swinging::Swings;
use super::within::Within;
use crate::drop::{Drop, Edge, Grip};
use rig::quantity::G;

/// A grip that closes on a rope, hand or belay, is full after this, s: assumed.
const GRIPS_WITHIN: f64 = 0.1;

/// A fall with its parameters.
#[derive(Clone, Debug, PartialEq)]
pub struct Setting {
    /// Mass of the load, kg.
    pub mass: f64,
    /// What pulls it down.
    pub pull: Pull,
    /// Its speed downwards at the loss; `None`: it stands, or goes up.
    pub speed: Option<At>,
    /// Damping time of the ropes.
    pub damping: At,
    /// What catches it.
    pub strands: Vec<Strand>,
    /// Share of the runs in which no operator acts.
    pub never_acts: f64,
    /// Where the load hangs, m above the ground.
    pub above_ground: f64,
    /// The haul team is taken to let go, so that the load runs back to the capture.
    pub team_lets_go: bool,
    /// Ropes come down on a bare edge: whether it cuts them is not known.
    pub bare_edge: bool,
    /// What drops is not the load: it hangs within it, by a tether that is left.
    pub within: Option<Within>,
    /// What holds a device and swings; in words why that is not reckoned in the plane; `None`: nothing swings.
    pub swings: Option<Result<Swings, String>>,
    /// All parameters.
    pub parameters: Parameters,
}

/// What pulls the load down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Pull {
    /// It hangs free.
    Free,
    /// It lies on a slope: its angle, radians, and the friction.
    Slope(f64, At),
}

/// A rope that catches the load.
#[derive(Clone, Debug, PartialEq)]
pub struct Strand {
    /// The rope's part.
    pub rope: usize,
    /// The part that grips it.
    pub device: Option<usize>,
    /// EA.
    pub stiffness: At,
    /// From the load to the first thing it runs over, or to the device, m.
    pub below: f64,
    /// From there to the device, m; 0 where it runs over nothing.
    pub above: f64,
    /// What holds back a rope that runs over it, one after the other.
    pub over: Vec<Over>,
    /// What held it back before the loss: its device ran at what that left.
    pub ran_over: Vec<Over>,
    /// What it carries of the load before.
    pub carried: Carried,
    /// Rope let loose by what it hung on or ran over, m.
    pub loose: f64,
    /// Slack that is drawn.
    pub slack: Vec<At>,
    /// How it is held.
    pub hold: Hold,
    /// A hand behind the device.
    pub tailer: Option<Tailer>,
}

/// Something that a rope runs over.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Over {
    /// Tension on the one side over that on the other.
    Ratio(At),
    /// Coefficient of friction, over this turn in radians.
    Rub(At, f64),
    /// Efficiency of a sheave.
    Sheave(At),
}

/// What a rope carries of the load before the loss.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Carried {
    /// All of it.
    All,
    /// A share.
    Share(At),
    /// What a share leaves.
    Rest(At),
    /// Nothing: it runs along slack.
    Nothing,
}

/// How a rope is held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Hold {
    /// Tied off: nothing slips.
    TiedOff,
    /// Closed: it slips at this.
    Closed(At),
    /// Open as far as it ran, until it closes: after a reaction (`None`: at once), within a time, to what it slips at.
    Closes {
        /// The reaction; `None`: it was let go with the loss.
        after: Option<At>,
        /// How long it takes to close.
        within: At,
        /// What it slips at, closed.
        to: At,
    },
    /// Open as far as it ran, until a hand grips: after a reaction, within a time; residual, gain, grip.
    Gripped {
        /// The reaction.
        after: At,
        /// How long the hand takes to grip.
        within: At,
        /// What the device resists, open.
        residual: At,
        /// How many times the grip it resists beside that.
        gain: At,
        /// The grip.
        grip: At,
    },
    /// Open as far as it ran, and nobody changes that.
    Open,
    /// Fed, until it grabs: what it resists before, when it grabs, what it slips at then.
    Fed {
        /// What it resists while it is fed.
        feeds: At,
        /// When it grabs.
        grabs: At,
        /// What it slips at then.
        to: At,
    },
}

/// A hand on the rope behind the device.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tailer {
    /// When it holds.
    pub after: At,
    /// How many times its grip the device resists.
    pub gain: At,
    /// Its grip.
    pub grip: At,
}

/// Tension on the load's side over that on the device's, over all of these.
fn times(over: &[Over], values: &[f64]) -> f64 {
    over.iter().fold(1.0, |ratio, over| {
        ratio
            * match over {
                Over::Ratio(at) => values[*at].max(1.0),
                Over::Rub(at, turn) => libm::exp(values[*at] * turn),
                Over::Sheave(at) => 1.0 / values[*at].clamp(0.01, 1.0),
            }
    })
}

impl Setting {
    /// The falls of one run: one for each rope. `values` by parameter; `acts`: whether operators do.
    pub fn drops(&self, values: &[f64], acts: bool) -> Vec<Drop> {
        let gravity = match self.pull {
            Pull::Free => G,
            Pull::Slope(angle, mu) => {
                let (sin, cos) = libm::sincos(angle);
                // Where the ground alone would hold it, it still comes down somehow: not less than a hundredth of its weight.
                (G * (sin - values[mu] * cos)).max(G / 100.0)
            }
        };
        let weight = self.mass * gravity;
        self.strands.iter().map(|strand| strand.drop(self, values, weight, gravity, acts)).collect()
    }

    /// What a run draws, and whether operators act in it.
    pub fn drawn(&self, runs: Runs, run: u32) -> (Vec<f64>, bool) {
        let values = self.parameters.drawn(runs.seed, run);
        let acts = values[values.len() - 1] >= self.never_acts;
        (values, acts)
    }

    /// The same with the load hanging `by` m higher.
    pub fn raised(&self, by: f64) -> Setting {
        let mut raised = self.clone();
        raised.above_ground += by;
        for strand in &mut raised.strands {
            strand.below = (strand.below - by).max(0.5);
        }
        raised
    }

    /// The longest stretch below, m.
    pub fn free_length(&self) -> f64 {
        self.strands.iter().map(|s| s.below).fold(0.0, f64::max)
    }
}

impl Strand {
    fn drop(&self, setting: &Setting, values: &[f64], weight: f64, gravity: f64, acts: bool) -> Drop {
        let (ratio, ran_over) = (times(&self.over, values), times(&self.ran_over, values));
        let before = match self.carried {
            Carried::All => weight,
            Carried::Share(at) => values[at] * weight,
            Carried::Rest(at) => (1.0 - values[at]) * weight,
            Carried::Nothing => 0.0,
        };
        let stiffness = values[self.stiffness];
        // What was let loose first takes the stretch out of it.
        let loose = self.loose + self.slack.iter().map(|at| values[*at]).sum::<f64>();
        let stretch = before * self.below / stiffness;
        let (slack, carried) = if loose > stretch {
            (loose - stretch, 0.0)
        } else {
            (0.0, before * (1.0 - loose / stretch.max(1e-12)))
        };
        Drop {
            mass: setting.mass,
            gravity,
            speed: setting.speed.map_or(0.0, |at| values[at]),
            stiffness,
            damping: values[setting.damping],
            below: self.below,
            edge: (!self.over.is_empty() && self.above > 0.0).then_some(Edge { ratio, above: self.above }),
            slack,
            carried: if slack > 0.0 { 0.0 } else { carried },
            grip: self.grip(values, before / ran_over, acts),
        }
    }

    /// The device's grip over time, N. `ran`: at which the rope ran through it before.
    fn grip(&self, values: &[f64], ran: f64, acts: bool) -> Grip {
        let tailed = |t: f64| match &self.tailer {
            Some(tailer) if t > values[tailer.after] => {
                let share = ((t - values[tailer.after]) / GRIPS_WITHIN).min(1.0);
                share * values[tailer.gain] * values[tailer.grip]
            }
            _ => 0.0,
        };
        let (after, within, to) = match self.hold {
            Hold::TiedOff => return Grip::tied_off(),
            Hold::Closed(at) => return Grip::constant(values[at]),
            Hold::Fed { feeds, grabs, to } => {
                let (feeds, grabs) = (values[feeds], values[grabs]);
                return Grip::over_time(vec![
                    (0.0, feeds),
                    (grabs, feeds),
                    (grabs + GRIPS_WITHIN, values[to].max(feeds)),
                ]);
            }
            Hold::Open => (None, 0.0, 0.0),
            Hold::Closes { after, within, to } => {
                let when = after.map_or(0.0, |at| values[at]);
                ((acts || after.is_none()).then_some(when), values[within], values[to])
            }
            Hold::Gripped { after, within, residual, gain, grip } => (
                acts.then_some(values[after]),
                values[within],
                values[residual] + values[gain] * values[grip],
            ),
        };
        // Every corner of the tailer's and the operator's, each with what both come to there.
        let mut corners: Vec<f64> = vec![0.0];
        corners.extend(self.tailer.iter().flat_map(|t| [values[t.after], values[t.after] + GRIPS_WITHIN]));
        let before = |t: f64| ran + tailed(t);
        let Some(after) = after else {
            corners.sort_by(f64::total_cmp);
            return Grip::over_time(corners.into_iter().map(|t| (t, before(t))).collect());
        };
        let held = before(after);
        // What it closes to takes the place of what it ran at; a hand that helps more than that goes on helping.
        let full = to.max(before(f64::INFINITY));
        corners.retain(|t| *t < after);
        corners.sort_by(f64::total_cmp);
        let mut points: Vec<(f64, f64)> = corners.into_iter().map(|t| (t, before(t))).collect();
        points.extend([(after, held), (after + within, full)]);
        Grip::over_time(points)
    }
}
