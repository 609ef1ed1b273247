//! A fall in which what holds the device swings: a knot that lost a leg, a plate that hangs on its backup. In the plane, by small
//! steps: the load as in [`stepped`](super::stepped), the points that swing as masses between ties that pull and never push, each
//! a spring with damping (Kelvin–Voigt). A rope's device hangs on such a point, or on the ground.
//!
//! [`fall`] goes by small even steps, [`quick`] by steps as long as they may be, from equations of its own: it is what bands are made
//! of, and each is the other’s second opinion. With no point that swings it is [`stepped`](super::stepped) over again. Limits beside those: a tie has no mass of its own, nothing is in
//! the way, nothing turns.

mod implicit;
mod pulling;
mod quick;
mod rope;
mod slopes;

use super::stepped::MOST_ROPES;
use super::{Drop, End, Limits, OutOfRange, Stop};
pub use quick::{quick, watched};
use rope::{Does, Hung};

/// s between two steps, at most.
pub const STEP: f64 = 1e-4;
/// Points that may swing.
pub const MOST_NODES: usize = 8;
/// Most steps of one fall: what would need more is refused.
const MOST_STEPS: f64 = 1e7;
/// Faster than this, m/s, it falls.
const FALLS: f64 = 1e-3;
/// What has not given way by then, s, stays.
const WAITS: f64 = 2.0;
/// Nearer than this, m, two points pull in no direction.
const TOUCH: f64 = 1e-9;

/// A place in the plane, m: across, and up.
pub type Place = (f64, f64);

/// A point that swings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Node {
    /// Where it is when the loss happens.
    pub place: Place,
    /// kg.
    pub mass: f64,
}

/// What a tie or a rope ends at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum At {
    /// One of the points that swing.
    Node(usize),
    /// A place that stays.
    Ground(Place),
}

/// Something that pulls between two places when it is longer than its natural length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tie {
    /// Its ends.
    pub ends: [At; 2],
    /// How long it is while nothing pulls, m.
    pub natural: f64,
    /// N for a metre of stretch.
    pub stiffness: f64,
    /// Damping over stiffness, s.
    pub damping: f64,
}

/// A rope that catches the load.
#[derive(Clone, Debug, PartialEq)]
pub struct Rope {
    /// As without a swing; what comes loose by it is not in its slack.
    pub drop: Drop,
    /// Where its device is.
    pub device: At,
    /// Where it comes from: the last thing it runs over, or the load.
    pub from: Place,
}

/// A fall and all that swings in it. The load, its speed and what pulls it down are those of the first rope.
#[derive(Clone, Debug, PartialEq)]
pub struct Swing {
    /// What swings.
    pub nodes: Vec<Node>,
    /// What it swings on.
    pub ties: Vec<Tie>,
    /// What catches the load.
    pub ropes: Vec<Rope>,
}

/// How it went.
#[derive(Clone, Debug, PartialEq)]
pub struct Swung {
    /// The load; `at_device` and `through` are the most at any device.
    pub stop: Stop,
    /// The most that pulled on each tie, N.
    pub ties: Vec<f64>,
    /// The most that each rope pulled on its device, N.
    pub devices: Vec<f64>,
    /// Energy at the end, and what damping, slipping and rubbing took, J, over all that there was and that gravity gave: 1 where the sum
    /// is closed.
    pub balance: f64,
}

/// Computes a fall by steps of `step` s at most, smaller where what swings is stiff. It is over when the load stands; what swings
/// may swing on.
///
/// # Errors
/// The first value outside its range; so stiff, or so light, that it would need millions of steps.
pub fn fall(swing: &Swing, limits: Limits, step: f64) -> Result<Swung, OutOfRange> {
    swing.check()?;
    let step = swing.fine(step);
    if limits.time / step > MOST_STEPS {
        return Err(OutOfRange {
            what: "the step, s,",
            value: step,
            range: "what swings is so stiff that it is not stepped through",
        });
    }
    Ok(Going::new(swing).until(limits, step))
}

impl Swing {
    fn check(&self) -> Result<(), OutOfRange> {
        let wrong = |what, value, range| Err(OutOfRange { what, value, range });
        if self.ropes.is_empty() || self.ropes.len() > MOST_ROPES {
            return wrong("the number of ropes", self.ropes.len() as f64, "it must be 1 to 4");
        }
        if self.nodes.len() > MOST_NODES {
            return wrong("the number of points that swing", self.nodes.len() as f64, "it must be at most 8");
        }
        for rope in &self.ropes {
            rope.drop.check()?;
            if rope.drop.damping <= 0.0 {
                return wrong("the damping time, s,", rope.drop.damping, "by steps it must be above 0");
            }
        }
        if let Some(node) = self.nodes.iter().find(|n| n.mass.is_nan() || n.mass <= 0.0) {
            return wrong("the mass of what swings, kg,", node.mass, "it must be above 0");
        }
        for tie in &self.ties {
            if tie.stiffness.is_nan() || tie.stiffness <= 0.0 {
                return wrong("the stiffness of a tie, N/m,", tie.stiffness, "it must be above 0");
            }
            if tie.natural.is_nan() || tie.natural <= 0.0 {
                return wrong("the length of a tie, m,", tie.natural, "it must be above 0");
            }
        }
        Ok(())
    }

    /// A quarter of the shortest swing's radian, half of the fastest damping, at most `most`, s.
    fn fine(&self, most: f64) -> f64 {
        let mut stiff = vec![0.0; self.nodes.len()];
        let mut damped = vec![0.0; self.nodes.len()];
        for tie in &self.ties {
            for end in tie.ends {
                if let At::Node(n) = end {
                    stiff[n] += tie.stiffness;
                    damped[n] += tie.stiffness * tie.damping;
                }
            }
        }
        for rope in &self.ropes {
            if let At::Node(n) = rope.device {
                let drop = &rope.drop;
                let k = drop.stiffness / drop.edge.map_or(drop.below, |edge| edge.above);
                stiff[n] += k;
                damped[n] += k * drop.damping;
            }
        }
        let nodes = self.nodes.iter().zip(stiff.iter().zip(&damped));
        nodes.fold(most, |step, (node, (k, c))| {
            let swings = if *k > 0.0 { 0.25 * libm::sqrt(node.mass / k) } else { most };
            let damps = if *c > 0.0 { 0.5 * node.mass / c } else { most };
            step.min(swings).min(damps)
        })
    }
}

/// Where everything is, or how fast it changes; no step takes memory anew.
#[derive(Clone, Copy, Debug)]
struct All {
    fallen: f64,
    speed: f64,
    /// Place and speed of each node.
    nodes: [[f64; 4]; MOST_NODES],
    /// Of each rope, past the edge and through the device.
    ran: [[f64; 2]; MOST_ROPES],
    /// What damping, slipping and rubbing took, J.
    lost: f64,
}

impl All {
    /// Where it is when it changes at a rate for so long, s.
    fn along(mut self, rate: &All, long: f64) -> All {
        let add = |to: &mut [f64], by: &[f64]| to.iter_mut().zip(by).for_each(|(a, b)| *a += long * b);
        self.nodes.iter_mut().zip(&rate.nodes).for_each(|(a, b)| add(a, b));
        self.ran.iter_mut().zip(&rate.ran).for_each(|(a, b)| add(a, b));
        self.fallen += long * rate.fallen;
        self.speed += long * rate.speed;
        self.lost += long * rate.lost;
        self
    }
}

struct Going<'a> {
    swing: &'a Swing,
    ropes: Vec<Hung<'a>>,
    at: All,
    time: f64,
    /// It has begun to fall.
    falls: bool,
    peak: f64,
    ties: Vec<f64>,
    devices: Vec<f64>,
}

impl<'a> Going<'a> {
    fn new(swing: &'a Swing) -> Going<'a> {
        let place = |n: usize| swing.nodes.get(n).map_or([0.0; 4], |n| [n.place.0, n.place.1, 0.0, 0.0]);
        Going {
            swing,
            ropes: swing.ropes.iter().map(|rope| Hung::new(rope, &swing.nodes)).collect(),
            at: All {
                fallen: 0.0,
                speed: swing.ropes[0].drop.speed,
                nodes: std::array::from_fn(place),
                ran: [[0.0; 2]; MOST_ROPES],
                lost: 0.0,
            },
            time: 0.0,
            falls: false,
            peak: 0.0,
            ties: vec![0.0; swing.ties.len()],
            devices: vec![0.0; swing.ropes.len()],
        }
    }

    fn until(mut self, limits: Limits, step: f64) -> Swung {
        let before = self.energy();
        let mass = self.swing.ropes[0].drop.mass;
        let end = loop {
            let corner =
                self.swing.ropes.iter().map(|r| r.drop.grip.after(self.time).2).fold(f64::INFINITY, f64::min);
            let long = step.min(corner - self.time).min(limits.time - self.time);
            let mut next = self.stepped(long);
            self.feel();
            self.comes_taut(&next);
            self.falls |= next.speed > FALLS;
            if next.speed <= 0.0 && !self.falls {
                // It stands until what holds it gives way, as long as that may take.
                (next.speed, next.fallen) = (0.0, self.at.fallen);
                if self.time > WAITS {
                    break End::Stopped;
                }
            } else if next.speed <= 0.0 {
                let (was, now) = (self.at.speed, next.speed);
                let long = if was > now { long * was / (was - now) } else { 0.0 };
                self.at = self.stepped(long);
                self.time += long;
                break End::Stopped;
            }
            (self.at, self.time) = (next, self.time + long);
            if self.at.fallen >= limits.fall {
                break End::FellOn;
            }
            if self.time >= limits.time {
                break End::TimedOut;
            }
        };
        self.feel();
        let given = self.at.fallen * mass * self.swing.ropes[0].drop.gravity;
        Swung {
            stop: Stop {
                fall: self.at.fallen,
                peak: self.peak,
                at_device: self.devices.iter().copied().fold(0.0, f64::max),
                through: self.at.ran.iter().map(|r| r[1]).fold(0.0, f64::max),
                time: self.time,
                end,
            },
            balance: (self.energy() + self.at.lost) / (before + given),
            ties: self.ties,
            devices: self.devices,
        }
    }

    fn stepped(&self, step: f64) -> All {
        let one = self.rate(0.0, &self.at);
        let two = self.rate(step / 2.0, &self.at.along(&one, step / 2.0));
        let three = self.rate(step / 2.0, &self.at.along(&two, step / 2.0));
        let four = self.rate(step, &self.at.along(&three, step));
        let sixth = step / 6.0;
        self.at.along(&one, sixth).along(&two, 2.0 * sixth).along(&three, 2.0 * sixth).along(&four, sixth)
    }

    /// Takes in what pulls now.
    fn feel(&mut self) {
        for (most, tie) in self.ties.iter_mut().zip(&self.swing.ties) {
            *most = most.max(pull(tie, &self.at).0);
        }
        let mut on_load = 0.0;
        for n in 0..self.swing.ropes.len() {
            let does = self.does(n, 0.0, &self.at);
            self.devices[n] = self.devices[n].max(does.at_device);
            on_load += does.on_load;
        }
        self.peak = self.peak.max(on_load);
    }

    /// What comes taut within a step is pulled by its damping at once, at most by the faster of its ends.
    fn comes_taut(&mut self, next: &All) {
        for (tie, most) in self.swing.ties.iter().zip(&mut self.ties) {
            let (now, then) = (between(tie.ends, &self.at), between(tie.ends, next));
            if now.0 <= tie.natural && then.0 > tie.natural {
                *most = most.max(tie.stiffness * tie.damping * now.2.max(then.2));
            }
        }
    }

    /// How fast everything changes, `t` s into a step.
    fn rate(&self, t: f64, at: &All) -> All {
        let first = &self.swing.ropes[0].drop;
        let own = |n: usize| self.swing.nodes.get(n).map_or(0.0, |n| n.mass);
        let mut push: [Place; MOST_NODES] = std::array::from_fn(|n| (0.0, -own(n) * first.gravity));
        let mut lost = 0.0;
        for tie in &self.swing.ties {
            let (force, way, takes) = pull(tie, at);
            lost += takes;
            for (end, sign) in tie.ends.into_iter().zip([1.0, -1.0]) {
                if let At::Node(n) = end {
                    push[n] = (push[n].0 + sign * force * way.0, push[n].1 + sign * force * way.1);
                }
            }
        }
        let mut on_load = 0.0;
        let mut ran = [[0.0; 2]; MOST_ROPES];
        for (n, rope) in self.swing.ropes.iter().enumerate() {
            let does = self.does(n, t, at);
            on_load += does.on_load;
            lost += does.takes;
            ran[n] = does.ran;
            if let At::Node(n) = rope.device {
                let (x, y) = (does.at_device * does.way.0, does.at_device * does.way.1);
                push[n] = (push[n].0 + x, push[n].1 + y);
            }
        }
        let moves = |n: usize| {
            let mass = own(n).max(f64::MIN_POSITIVE);
            [at.nodes[n][2], at.nodes[n][3], push[n].0 / mass, push[n].1 / mass]
        };
        let count = self.swing.nodes.len();
        All {
            fallen: at.speed,
            speed: first.gravity - on_load / first.mass,
            nodes: std::array::from_fn(|n| if n < count { moves(n) } else { [0.0; 4] }),
            ran,
            lost,
        }
    }

    /// What the n-th rope does `t` s into a step.
    fn does(&self, n: usize, t: f64, at: &All) -> Does {
        let hung = &self.ropes[n];
        let (grip, grows, _) = hung.rope.drop.grip.after(self.time);
        hung.does(grip + grows * t, at, at.ran[n])
    }

    /// What moves and what is stretched, and how high what swings is, J.
    fn energy(&self) -> f64 {
        let first = &self.swing.ropes[0].drop;
        let load = 0.5 * first.mass * self.at.speed * self.at.speed;
        let nodes = self.at.nodes.iter().zip(&self.swing.nodes).map(|(now, own)| {
            let speed = now[2] * now[2] + now[3] * now[3];
            0.5 * own.mass * speed + own.mass * first.gravity * (now[1] - own.place.1)
        });
        let ties = self.swing.ties.iter().map(|tie| {
            let stretch = (between(tie.ends, &self.at).0 - tie.natural).max(0.0);
            0.5 * tie.stiffness * stretch * stretch
        });
        let ropes = self.ropes.iter().zip(&self.at.ran).map(|(hung, ran)| hung.stored(&self.at, *ran));
        load + nodes.sum::<f64>() + ties.sum::<f64>() + ropes.sum::<f64>()
    }
}

/// Where an end is, and how fast it goes.
fn end(at: At, all: &All) -> (Place, Place) {
    match at {
        At::Ground(place) => (place, (0.0, 0.0)),
        At::Node(n) => ((all.nodes[n][0], all.nodes[n][1]), (all.nodes[n][2], all.nodes[n][3])),
    }
}

/// From one place to another: how far, which way, and how fast that grows.
fn apart(from: (Place, Place), to: (Place, Place)) -> (f64, Place, f64) {
    let (dx, dy) = (to.0.0 - from.0.0, to.0.1 - from.0.1);
    // Metres need no care against overflow, for which `hypot` takes several times as long.
    let long = libm::sqrt(dx * dx + dy * dy).max(TOUCH);
    let way = (dx / long, dy / long);
    (long, way, way.0 * (to.1.0 - from.1.0) + way.1 * (to.1.1 - from.1.1))
}

fn between(ends: [At; 2], all: &All) -> (f64, Place, f64) {
    apart(end(ends[0], all), end(ends[1], all))
}

/// What a tie pulls with, N, which way its first end, and what its damping takes, W.
fn pull(tie: &Tie, all: &All) -> (f64, Place, f64) {
    let (long, way, grows) = between(tie.ends, all);
    let stretch = long - tie.natural;
    if stretch <= 0.0 {
        return (0.0, way, 0.0);
    }
    let spring = tie.stiffness * stretch;
    let force = (spring + tie.stiffness * tie.damping * grows).max(0.0);
    (force, way, (force - spring) * grows)
}
