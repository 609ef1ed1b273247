//! What pulls in a fall that swings, and how that changes with each thing that moves: for steps that go by both.

use super::implicit::State;
use super::{At, Place, Swing, TOUCH};
use crate::drop::Edge;
use crate::drop::stepped::MOST_ROPES;

/// Ties that a fall may have.
pub(super) const MOST_TIES: usize = 24;

/// What a step goes by, as it was when it began: no stage of it looks past a jump.
#[derive(Clone, Copy, Default, PartialEq)]
pub(super) struct By {
    /// The grip of each rope’s device, N, and how it grows, N/s.
    pub grip: [(f64, f64); MOST_ROPES],
    /// What is taut: ties, ropes below their edge or without one, and above it; a bit each.
    pub ties: u32,
    pub below: u32,
    pub above: u32,
    /// The load stands.
    pub stands: bool,
}

/// What pulls at a moment.
#[derive(Clone, Copy)]
pub(super) struct Pulls<const T: usize> {
    /// On the load, N.
    pub on_load: f64,
    pub ties: [f64; T],
    pub devices: [f64; MOST_ROPES],
    /// What damping, slipping and rubbing take, W.
    pub takes: f64,
    /// What pulls, runs and slips; a bit each.
    pub mode: u64,
}

/// An end of what pulls, ready to be looked up.
#[derive(Clone, Copy)]
pub(super) enum End {
    Node(usize),
    /// The load: where it hung, and by how much that is lower now.
    Load(Place),
    Ground(Place),
}

#[derive(Clone, Copy)]
pub(super) struct Tie {
    pub ends: [End; 2],
    pub natural: f64,
    pub k: f64,
    pub c: f64,
}

#[derive(Clone, Copy)]
pub(super) struct Rope {
    pub ends: [End; 2],
    /// Both ends stay: the line between them.
    stays: Option<Line>,
    /// From its device to where it comes from when the loss happens, m.
    placed: f64,
    /// Over its edge as it runs down, and back.
    pub edge: Option<[Ratio; 2]>,
    /// Below the edge, or where there is none, and above it: N/m, N s/m, and stretch when the loss happens, m.
    pub below: Part,
    pub above: Part,
}

/// A ratio; one over what slows rope that runs by it with the part above taut, and slack, m/(N s).
#[derive(Clone, Copy)]
pub(super) struct Ratio {
    ratio: f64,
    taut: f64,
    slack: f64,
}

#[derive(Clone, Copy, Default)]
pub(super) struct Part {
    pub k: f64,
    pub c: f64,
    /// One over that, or 0.
    per_c: f64,
    start: f64,
}

/// A line between two ends: how long, which way, how fast that grows; and how fast it turns, 1/s.
#[derive(Clone, Copy)]
pub(super) struct Line {
    pub long: f64,
    pub way: Place,
    pub grows: f64,
    pub side: Place,
}

/// What a rope does, and how much of each is by what the part below pulls while nothing runs, by the part above, and by the grip.
#[derive(Clone, Copy, Default)]
pub(super) struct Does {
    pub on_load: f64,
    pub at_device: f64,
    pub over: f64,
    pub through: f64,
    pub by: [[f64; 3]; 4],
    pub mode: u64,
}

/// A fall’s values, ready to be stepped through; `P` and `M` as in [`State`], at most `T` ties.
pub(super) struct Pulling<const P: usize, const M: usize, const T: usize> {
    nodes: usize,
    pub ropes: usize,
    pub ties: usize,
    gravity: f64,
    mass: f64,
    node_mass: [f64; P],
    /// One over what each speed moves, 1/kg.
    pub per_mass: [f64; P],
    heights: [f64; P],
    pub tie: [Tie; T],
    pub rope: [Rope; MOST_ROPES],
}

pub(super) fn dot(a: Place, b: Place) -> f64 {
    a.0 * b.0 + a.1 * b.1
}

/// Where a node is among the places.
pub(super) fn first(node: usize) -> usize {
    1 + 2 * node
}

impl<const P: usize, const M: usize, const T: usize> Pulling<P, M, T> {
    pub fn new(swing: &Swing) -> Self {
        let load = &swing.ropes[0].drop;
        let end = |at: At| match at {
            At::Node(n) => End::Node(n),
            At::Ground(place) => End::Ground(place),
        };
        let none = Tie { ends: [End::Ground((0.0, 0.0)); 2], natural: 1.0, k: 0.0, c: 0.0 };
        let tie = |n: usize| {
            swing.ties.get(n).map_or(none, |tie| Tie {
                ends: tie.ends.map(end),
                natural: tie.natural,
                k: tie.stiffness,
                c: tie.stiffness * tie.damping,
            })
        };
        let rope = |n: usize| {
            let own = &swing.ropes[n.min(swing.ropes.len() - 1)];
            let device = match own.device {
                At::Node(n) => swing.nodes[n].place,
                At::Ground(place) => place,
            };
            let drop = &own.drop;
            let part = |long: f64, start: f64| {
                let k = drop.stiffness / long;
                Part { k, c: drop.damping * k, per_c: 1.0 / (drop.damping * k), start }
            };
            let above = |e: &Edge| part(e.above, drop.carried / e.ratio * e.above / drop.stiffness);
            let (below, above) =
                (part(drop.below, drop.stretch()), drop.edge.as_ref().map_or(Part::default(), above));
            let ratio =
                |ratio: f64| Ratio { ratio, taut: 1.0 / (below.c + ratio * above.c), slack: 1.0 / below.c };
            let from = if drop.edge.is_some() { End::Ground(own.from) } else { End::Load(own.from) };
            let ends = [end(own.device), from];
            let stays = ends.iter().all(|end| matches!(end, End::Ground(_)));
            Rope {
                ends,
                stays: stays.then(|| Self::between(&ends, &State::NOTHING)),
                placed: libm::hypot(own.from.0 - device.0, own.from.1 - device.1),
                edge: drop.edge.map(|edge| [ratio(edge.ratio), ratio(1.0 / edge.ratio)]),
                below,
                above,
            }
        };
        let mut own = Pulling {
            nodes: swing.nodes.len(),
            ropes: swing.ropes.len(),
            ties: swing.ties.len(),
            gravity: load.gravity,
            mass: load.mass,
            node_mass: [0.0; P],
            per_mass: [0.0; P],
            heights: [0.0; P],
            tie: std::array::from_fn(tie),
            rope: std::array::from_fn(rope),
        };
        own.per_mass[0] = 1.0 / load.mass;
        for (n, node) in swing.nodes.iter().enumerate() {
            own.node_mass[n] = node.mass;
            own.heights[n] = node.place.1;
            own.per_mass[first(n)] = 1.0 / node.mass;
            own.per_mass[first(n) + 1] = 1.0 / node.mass;
        }
        own
    }

    /// Stretch of a tie, m; below 0 it is slack.
    pub fn tie_stretch(&self, n: usize, at: &State<P, M>) -> f64 {
        Self::between(&self.tie[n].ends, at).long - self.tie[n].natural
    }

    /// Stretch of a rope below its edge or without one, and above it, m.
    pub fn rope_stretch(&self, n: usize, at: &State<P, M>) -> [f64; 2] {
        let (rope, [q, u]) = (&self.rope[n], self.ran(n, at));
        let swung = self.line(n, at).long - rope.placed;
        match rope.edge {
            None => [rope.below.start + swung - u, 0.0],
            Some(_) => [rope.below.start + at.place[0] - q, rope.above.start + q - u + swung],
        }
    }

    /// How fast a tie’s stretch grows, m/s.
    pub fn tie_grows(&self, n: usize, at: &State<P, M>) -> f64 {
        Self::between(&self.tie[n].ends, at).grows
    }

    /// How fast a rope’s stretches grow at these rates, m/s.
    pub fn rope_grows(&self, n: usize, at: &State<P, M>, rates: &[f64; M]) -> [f64; 2] {
        let (swung, q, u) = (self.line(n, at).grows, rates[P + 2 * n], rates[P + 2 * n + 1]);
        if self.over_edge(n) { [at.rest[0] - q, q - u + swung] } else { [swung - u, 0.0] }
    }

    pub fn over_edge(&self, n: usize) -> bool {
        self.rope[n].edge.is_some()
    }

    fn ran(&self, n: usize, at: &State<P, M>) -> [f64; 2] {
        [at.rest[P + 2 * n], at.rest[P + 2 * n + 1]]
    }

    #[inline]
    fn end(end: End, at: &State<P, M>) -> (Place, Place) {
        match end {
            End::Ground(place) => (place, (0.0, 0.0)),
            End::Node(n) => {
                let k = first(n);
                ((at.place[k], at.place[k + 1]), (at.rest[k], at.rest[k + 1]))
            }
            End::Load((x, y)) => ((x, y - at.place[0]), (0.0, -at.rest[0])),
        }
    }

    #[inline]
    pub fn between(ends: &[End; 2], at: &State<P, M>) -> Line {
        let (from, to) = (Self::end(ends[0], at), Self::end(ends[1], at));
        let (dx, dy) = (to.0.0 - from.0.0, to.0.1 - from.0.1);
        let (vx, vy) = (to.1.0 - from.1.0, to.1.1 - from.1.1);
        let long = libm::sqrt(dx * dx + dy * dy).max(TOUCH);
        let per = 1.0 / long;
        let way = (dx * per, dy * per);
        let grows = dot(way, (vx, vy));
        Line { long, way, grows, side: ((vx - grows * way.0) * per, (vy - grows * way.1) * per) }
    }

    /// From a rope’s device to where it comes from.
    #[inline]
    pub fn line(&self, n: usize, at: &State<P, M>) -> Line {
        self.rope[n].stays.unwrap_or_else(|| Self::between(&self.rope[n].ends, at))
    }

    #[inline]
    pub fn rope_does(&self, n: usize, by: &By, t: f64, line: &Line, at: &State<P, M>) -> (Does, f64) {
        let rope = &self.rope[n];
        let grip = by.grip[n].0 + by.grip[n].1 * t;
        let [q, u] = self.ran(n, at);
        let taut = (by.below >> n & 1 == 1, by.above >> n & 1 == 1);
        let swung = line.long - rope.placed;
        let Some(edge) = &rope.edge else {
            let stretch = rope.below.start + swung - u;
            if !taut.0 {
                return (Does::default(), 0.0);
            }
            let spring = rope.below.k * stretch;
            let does = free(spring + rope.below.c * line.grows, grip, rope.below.per_c);
            let takes = (does.at_device - spring.max(0.0)) * (line.grows - does.through)
                + does.at_device * does.through;
            return (does, takes);
        };
        let spring = |part: &Part, taut: bool, stretch: f64| if taut { part.k * stretch } else { 0.0 };
        let springs = spring(&rope.below, taut.0, rope.below.start + at.place[0] - q);
        let spring = spring(&rope.above, taut.1, rope.above.start + q - u + swung);
        let b = if taut.0 { springs + rope.below.c * at.rest[0] } else { 0.0 };
        let c1 = if taut.1 { rope.above.c } else { 0.0 };
        let does = over(edge, b, spring + c1 * line.grows, grip, &rope.below, taut.1.then_some(&rope.above));
        let takes = (does.on_load - springs.max(0.0)) * (at.rest[0] - does.over)
            + (does.at_device - spring.max(0.0)) * (does.over - does.through + line.grows)
            + (does.on_load - does.at_device) * does.over
            + does.at_device * does.through;
        (does, takes)
    }

    /// How fast all changes that is not a place, `t` s into a step, and with `PULLS` what pulls.
    #[inline]
    fn look<const PULLS: bool>(&self, by: &By, t: f64, at: &State<P, M>, pulls: &mut Pulls<T>) -> [f64; M] {
        let mut rates = [0.0; M];
        for n in 0..self.ties {
            if by.ties >> n & 1 == 0 {
                continue;
            }
            let tie = &self.tie[n];
            let line = Self::between(&tie.ends, at);
            let spring = tie.k * (line.long - tie.natural);
            let force = (spring + tie.c * line.grows).max(0.0);
            if force > 0.0 {
                self.push(&mut rates, &tie.ends, &line, force);
            }
            if PULLS {
                pulls.ties[n] = force;
                pulls.takes += (force - spring.max(0.0)) * line.grows;
                pulls.mode |= u64::from(force > 0.0) << n;
            }
        }
        for n in 0..self.ropes {
            let rope = &self.rope[n];
            let line = self.line(n, at);
            let (does, takes) = self.rope_does(n, by, t, &line, at);
            self.push(&mut rates, &rope.ends, &line, does.at_device);
            rates[0] -= does.on_load * self.per_mass[0];
            rates[P + 2 * n] = does.over;
            rates[P + 2 * n + 1] = does.through;
            if PULLS {
                let upright = if rope.edge.is_some() { does.on_load } else { -line.way.1 * does.at_device };
                pulls.on_load += upright;
                pulls.devices[n] = does.at_device;
                pulls.takes += takes;
                pulls.mode |= does.mode << (32 + 4 * n);
            }
        }
        rates[0] += self.gravity;
        for n in 0..self.nodes {
            rates[first(n) + 1] -= self.gravity;
        }
        if by.stands {
            rates[0] = 0.0;
        }
        rates
    }

    pub fn rates(&self, by: &By, t: f64, at: &State<P, M>) -> [f64; M] {
        let mut none = Pulls::NONE;
        self.look::<false>(by, t, at, &mut none)
    }

    pub fn pulls(&self, by: &By, t: f64, at: &State<P, M>) -> ([f64; M], Pulls<T>) {
        let mut pulls = Pulls::NONE;
        let rates = self.look::<true>(by, t, at, &mut pulls);
        (rates, pulls)
    }

    /// How fast the load would gain speed downwards, m/s², did it not stand.
    pub fn sinks(&self, by: &By, t: f64, at: &State<P, M>) -> f64 {
        self.gravity - self.pulls(by, t, at).1.on_load / self.mass
    }

    /// A force along a line pushes what is at its ends.
    #[inline]
    fn push(&self, rates: &mut [f64; M], ends: &[End; 2], line: &Line, force: f64) {
        for (end, sign) in ends.iter().zip([force, -force]) {
            match *end {
                End::Node(n) => {
                    let k = first(n);
                    rates[k] += sign * line.way.0 * self.per_mass[k];
                    rates[k + 1] += sign * line.way.1 * self.per_mass[k];
                }
                End::Load(_) => rates[0] -= sign * line.way.1 * self.per_mass[0],
                End::Ground(_) => {}
            }
        }
    }

    /// What moves and what is stretched, and how high what swings is, J.
    pub fn energy(&self, at: &State<P, M>) -> f64 {
        let half = |k: f64, stretch: f64| 0.5 * k * stretch.max(0.0) * stretch.max(0.0);
        let mut energy = 0.5 * self.mass * at.rest[0] * at.rest[0];
        for n in 0..self.nodes {
            let (k, mass) = (first(n), self.node_mass[n]);
            energy += 0.5 * mass * (at.rest[k] * at.rest[k] + at.rest[k + 1] * at.rest[k + 1]);
            energy += mass * self.gravity * (at.place[k + 1] - self.heights[n]);
        }
        for n in 0..self.ties {
            energy += half(self.tie[n].k, self.tie_stretch(n, at));
        }
        for n in 0..self.ropes {
            let [below, above] = self.rope_stretch(n, at);
            energy += half(self.rope[n].below.k, below) + half(self.rope[n].above.k, above);
        }
        energy
    }
}

impl<const T: usize> Pulls<T> {
    pub const NONE: Self =
        Pulls { on_load: 0.0, ties: [0.0; T], devices: [0.0; MOST_ROPES], takes: 0.0, mode: 0 };
}

/// A rope that runs over nothing, `held` by as much while its device does not slip.
fn free(held: f64, grip: f64, per_c: f64) -> Does {
    let (tension, through) = (held.min(grip).max(0.0), ((held - grip) * per_c).max(0.0));
    let mut does = Does { at_device: tension, through, ..Does::default() };
    if held > grip {
        does.by[1][2] = 1.0;
        does.by[3] = [0.0, per_c, -per_c];
        does.mode = 0b1001;
    } else if held > 0.0 {
        does.by[1][1] = 1.0;
        does.mode = 1;
    }
    does
}

/// A rope over an edge. `b` and `a`: what it pulls with below and above while none runs; `above`: where that is taut.
#[inline]
fn over(edge: &[Ratio; 2], b: f64, a: f64, grip: f64, below: &Part, above: Option<&Part>) -> Does {
    let mut does = Does::default();
    let stuck = a.max(0.0).min(grip);
    let (down, back) = (b > edge[0].ratio * stuck, b < edge[1].ratio * stuck);
    let (c1, per_c1) = above.map_or((0.0, 0.0), |part| (part.c, part.per_c));
    if down || back {
        let own = &edge[usize::from(back)];
        let (ratio, per) = (own.ratio, if above.is_some() { own.taut } else { own.slack });
        does.over = (b - ratio * a) * per;
        does.at_device = a + c1 * does.over;
        (does.by[1], does.by[2]) = ([c1 * per, below.c * per, 0.0], [per, -ratio * per, 0.0]);
        let per = below.per_c;
        if does.at_device > grip {
            (does.over, does.at_device) = ((b - ratio * grip) * per, grip);
            (does.by[1], does.by[2]) = ([0.0, 0.0, 1.0], [per, 0.0, -ratio * per]);
        } else if does.at_device < 0.0 {
            (does.over, does.at_device) = (b * per, 0.0);
            (does.by[1], does.by[2]) = ([0.0; 3], [per, 0.0, 0.0]);
        }
    } else {
        does.at_device = stuck;
        does.by[1] = if a > grip { [0.0, 0.0, 1.0] } else { [0.0, f64::from(u8::from(a > 0.0)), 0.0] };
    }
    let slips = (a - grip) * per_c1 + does.over;
    if above.is_some() && slips > 0.0 {
        does.through = slips;
        let over = does.by[2];
        does.by[3] = [over[0], over[1] + per_c1, over[2] - per_c1];
    }
    does.on_load = b - below.c * does.over;
    if does.on_load > 0.0 {
        does.by[0] = does.by[2].map(|own| -below.c * own);
        does.by[0][0] += 1.0;
    } else {
        does.on_load = 0.0;
    }
    let bit = |on: bool, n: u32| u64::from(on) << n;
    does.mode = bit(does.at_device > 0.0, 0) | bit(down, 1) | bit(back, 2) | bit(does.through > 0.0, 3);
    does
}
