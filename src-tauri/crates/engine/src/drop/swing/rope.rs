//! A rope that catches a load while what holds its device swings.

use super::{All, At, Node, Place, Rope, apart, end};

/// What a rope does: pulls, and runs.
#[derive(Clone, Copy, Default)]
pub(super) struct Does {
    /// On the load, upwards, N.
    pub on_load: f64,
    /// At the device, N, and which way.
    pub at_device: f64,
    pub way: Place,
    pub ran: [f64; 2],
    /// W that damping, slipping and rubbing take.
    pub takes: f64,
}

/// A rope with what it was like when the loss happened.
pub(super) struct Hung<'a> {
    pub rope: &'a Rope,
    /// From its device to where it comes from, m.
    placed: f64,
    /// N for a metre below, and above the edge.
    below: f64,
    above: f64,
    /// Stretch below, and above, m; below 0 it is slack.
    start: f64,
    start_above: f64,
}

impl<'a> Hung<'a> {
    pub fn new(rope: &'a Rope, nodes: &[Node]) -> Hung<'a> {
        let drop = &rope.drop;
        let device = match rope.device {
            At::Ground(place) => place,
            At::Node(n) => nodes[n].place,
        };
        let above = drop.edge.map_or(f64::INFINITY, |edge| drop.stiffness / edge.above);
        Hung {
            rope,
            placed: libm::hypot(rope.from.0 - device.0, rope.from.1 - device.1),
            below: drop.below_k(),
            above,
            start: drop.stretch(),
            start_above: drop.edge.map_or(0.0, |edge| drop.carried / edge.ratio / above),
        }
    }

    /// From the device to where the rope comes from, m, which way, and how fast that grows.
    fn upper(&self, all: &All) -> (f64, Place, f64) {
        let moves = self.rope.drop.edge.is_none();
        let (fallen, speed) = if moves { (all.fallen, all.speed) } else { (0.0, 0.0) };
        let from = ((self.rope.from.0, self.rope.from.1 - fallen), (0.0, -speed));
        apart(end(self.rope.device, all), from)
    }

    /// How much longer it is than it would be, below and above the edge, m; without an edge all is below.
    fn stretches(&self, all: &All, ran: [f64; 2]) -> [f64; 2] {
        let swung = self.upper(all).0 - self.placed;
        match self.rope.drop.edge {
            None => [self.start + swung - ran[1], 0.0],
            Some(_) => [self.start + all.fallen - ran[0], self.start_above + ran[0] - ran[1] + swung],
        }
    }

    pub fn stored(&self, all: &All, ran: [f64; 2]) -> f64 {
        let [below, above] = self.stretches(all, ran).map(|stretch| stretch.max(0.0));
        let upper = if above > 0.0 { 0.5 * self.above * above * above } else { 0.0 };
        0.5 * self.below * below * below + upper
    }

    /// What it does while its device grips with so much, N.
    pub fn does(&self, grip: f64, all: &All, ran: [f64; 2]) -> Does {
        match self.rope.drop.edge {
            None => self.free(grip, all, ran),
            Some(edge) => self.over(edge.ratio, grip, all, ran),
        }
    }

    fn free(&self, grip: f64, all: &All, ran: [f64; 2]) -> Does {
        let (_, way, grows) = self.upper(all);
        let stretch = self.stretches(all, ran)[0];
        if stretch <= 0.0 {
            return Does { way, ..Does::default() };
        }
        let (spring, c) = (self.below * stretch, self.below * self.rope.drop.damping);
        let held = spring + c * grows;
        let tension = held.min(grip).max(0.0);
        let through = ((held - grip) / c).max(0.0);
        Does {
            on_load: -way.1 * tension,
            at_device: tension,
            way,
            ran: [0.0, through],
            takes: (tension - spring) * (grows - through) + tension * through,
        }
    }

    /// Over an edge the rope sticks, or runs down, or back; its device slips or holds.
    fn over(&self, ratio: f64, grip: f64, all: &All, ran: [f64; 2]) -> Does {
        let (_, way, grows) = self.upper(all);
        let [below, above] = self.stretches(all, ran);
        let damping = self.rope.drop.damping;
        let (springs, c2) = (self.below * below.max(0.0), damping * self.below);
        let b = if below > 0.0 { (springs + c2 * all.speed).max(0.0) } else { 0.0 };
        let spring = if above > 0.0 { self.above * above } else { 0.0 };
        let c1 = if above > 0.0 { damping * self.above } else { 0.0 };
        // Below 0 where its device comes nearer faster than it slackens: rope that runs down may still pull it tight.
        let a = spring + c1 * grows;
        let runs = |ratio: f64| {
            let over = (b - ratio * a) / (c2 + ratio * c1);
            let tension = a + c1 * over;
            if tension < 0.0 {
                (b / c2, 0.0)
            } else if tension <= grip {
                (over, tension)
            } else {
                ((b - ratio * grip) / c2, grip)
            }
        };
        let stuck = a.max(0.0).min(grip);
        let (over, at_device) = if b > ratio * stuck {
            runs(ratio)
        } else if b < stuck / ratio {
            runs(1.0 / ratio)
        } else {
            (0.0, stuck)
        };
        let through = if c1 > 0.0 { ((a + c1 * over - grip) / c1).max(0.0) } else { 0.0 };
        let on_load = (b - c2 * over).max(0.0);
        let takes = (on_load - springs) * (all.speed - over)
            + (at_device - spring) * (over - through + grows)
            + (on_load - at_device) * over
            + at_device * through;
        Does { on_load, at_device, way, ran: [over, through], takes }
    }
}
