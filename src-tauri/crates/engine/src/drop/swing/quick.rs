//! The same falls by steps as long as they may be ([`implicit`](super::implicit)): each as long as its two orders agree. Where something
//! comes taut, the load stands, begins to fall or has fallen far enough, a step ends; where a rope turns from one way to go to
//! another and the orders part by it, it is cut there.

use super::implicit::{self, Slopes, State};
use super::pulling::{By, MOST_TIES, Pulling, Pulls};
use super::{FALLS, MOST_NODES, Swing, Swung, WAITS};
use crate::drop::stepped::MOST_ROPES;
use crate::drop::{End, Limits, OutOfRange, Stop};

/// How far the two orders may differ in a step, m; a hundred times that in a speed, m/s. A link that comes taut again over a gap of
/// a tenth of a millimetre pulls as the root of the gap: with three times this, such pulls are a third off.
const NEAR: f64 = 1e-5;
/// The first step, s, the shortest, which is taken as it is, and the longest.
const FIRST: f64 = 2e-4;
const SHORTEST: f64 = 1e-6;
const LONGEST: f64 = 0.05;
/// So far behind a corner a step that is cut there may end, s.
const BEHIND: f64 = 2e-5;
/// A stretch of this much, m, is none yet: what the search for the moment leaves.
const SNUG: f64 = 1e-8;
/// Points within a step at which a pull is looked for that is more than at both its ends.
const WITHIN: u32 = 8;
/// A pull that in the middle of a step is so far, of the most so far, from halfway is looked at within it too.
const BENT: f64 = 0.02;
/// More cuts than this no step takes, and more steps than this no fall.
const MOST_CUTS: u32 = 64;
const MOST_STEPS: u32 = 100_000;

/// What is told of a fall under way.
type Watch<'a> = &'a mut dyn FnMut(f64, f64, f64);

/// Computes a fall as [`fall`](super::fall) does, in a fraction of the time.
///
/// # Errors
/// The first value outside its range; more ties than 24; more steps than it should ever take.
pub fn quick(swing: &Swing, limits: Limits) -> Result<Swung, OutOfRange> {
    watched(swing, limits, f64::INFINITY, &mut |_, _, _| {})
}

/// As [`quick`], told every so many seconds and at its end: s since the loss, m fallen, N on the load.
///
/// # Errors
/// As [`quick`].
pub fn watched(swing: &Swing, limits: Limits, every: f64, watch: Watch<'_>) -> Result<Swung, OutOfRange> {
    swing.check()?;
    if swing.ties.len() > MOST_TIES {
        let value = swing.ties.len() as f64;
        return Err(OutOfRange { what: "the number of ties", value, range: "it must be at most 24" });
    }
    const P: usize = 1 + 2 * MOST_NODES;
    const M: usize = P + 2 * MOST_ROPES;
    match (swing.nodes.len(), swing.ropes.len(), swing.ties.len()) {
        (0..=1, 1, 0..=4) => Going::<3, 5, 4>::new(swing).until(limits, every, watch),
        (0..=1, 2, 0..=4) => Going::<3, 7, 4>::new(swing).until(limits, every, watch),
        (0..=2, 0..=2, 0..=4) => Going::<5, 9, 4>::new(swing).until(limits, every, watch),
        (0..=3, 0..=2, 0..=4) => Going::<7, 11, 4>::new(swing).until(limits, every, watch),
        _ => Going::<P, M, MOST_TIES>::new(swing).until(limits, every, watch),
    }
}

struct Going<'a, const P: usize, const M: usize, const T: usize> {
    swing: &'a Swing,
    pulling: Pulling<P, M, T>,
    at: State<P, M>,
    time: f64,
    by: By,
    /// It has begun to fall.
    falls: bool,
    most: Pulls<T>,
    lost: f64,
}

/// A step that was tried.
struct Tried<const P: usize, const M: usize> {
    long: f64,
    next: State<P, M>,
    /// How far its two orders differ, over how far they may.
    error: f64,
}

/// What changes how fast, and what pulls.
type Moment<const M: usize, const T: usize> = ([f64; M], Pulls<T>);

/// What a step is cut at: a tie, a rope below and above its edge that come taut; the load that begins to fall, stands, or has
/// fallen so far.
#[derive(Clone, Copy, PartialEq)]
enum Cut {
    Tie(usize),
    Rope(usize, usize),
    Begins,
    Stands,
    FellOn,
}

impl<'a, const P: usize, const M: usize, const T: usize> Going<'a, P, M, T> {
    fn new(swing: &'a Swing) -> Self {
        let pulling = Pulling::new(swing);
        let mut at = State::NOTHING;
        at.rest[0] = swing.ropes[0].drop.speed;
        for (n, node) in swing.nodes.iter().enumerate() {
            (at.place[1 + 2 * n], at.place[2 + 2 * n]) = node.place;
        }
        let mut going = Going {
            swing,
            pulling,
            at,
            time: 0.0,
            by: By::default(),
            falls: false,
            most: Pulls::NONE,
            lost: 0.0,
        };
        going.by.stands = at.rest[0] <= 0.0;
        for n in 0..swing.ties.len() {
            going.by.ties |= u32::from(going.pulling.tie_stretch(n, &at) >= 0.0) << n;
        }
        for n in 0..swing.ropes.len() {
            let [below, above] = going.pulling.rope_stretch(n, &at);
            going.by.below |= u32::from(below >= 0.0) << n;
            going.by.above |= u32::from(going.pulling.over_edge(n) && above >= 0.0) << n;
        }
        going
    }

    fn until(mut self, limits: Limits, every: f64, watch: Watch<'_>) -> Result<Swung, OutOfRange> {
        let before = self.pulling.energy(&self.at);
        let mut long = FIRST;
        let mut begins: Option<Moment<M, T>> = None;
        let (mut steps, mut next) = (0, if every.is_finite() { 0.0 } else { f64::INFINITY });
        let end = loop {
            steps += 1;
            if steps > MOST_STEPS {
                let value = self.time;
                return Err(OutOfRange {
                    what: "the fall so far, s,",
                    value,
                    range: "it takes too many steps",
                });
            }
            let corner = self.grips();
            let now = begins.take().unwrap_or_else(|| self.pulling.pulls(&self.by, 0.0, &self.at));
            self.feel(&now.1);
            let most = LONGEST.min(corner - self.time).min(limits.time - self.time);
            let (tried, ends, cut) = self.advanced(&now, &mut long, most, limits);
            self.feel(&ends.1);
            self.feel_within(&now, &tried, &ends);
            while next < self.time + tried.long {
                let share = (next - self.time) / tried.long;
                let at = self.at.between(&now.0, &tried.next, &ends.0, tried.long, share);
                let pulls = self.pulling.pulls(&self.by, share * tried.long, &at).1;
                watch(next, at.place[0], pulls.on_load);
                next += every;
            }
            (self.at, self.time) = (tried.next, self.time + tried.long);
            if corner - self.time < 1e-12 {
                self.time = corner;
            }
            let was = self.by;
            match cut {
                Some(Cut::Stands) if self.falls => break End::Stopped,
                Some(Cut::FellOn) => break End::FellOn,
                cut => self.turned(cut),
            }
            if self.by.stands && self.time > WAITS {
                break End::Stopped;
            }
            if self.time >= limits.time {
                break End::TimedOut;
            }
            // Nothing jumps between this step and the next.
            if self.by == was && self.time < corner {
                begins = Some(ends);
            } else {
                long = long.min(FIRST);
            }
        };
        watch(self.time, self.at.place[0], self.pulling.pulls(&self.by, 0.0, &self.at).1.on_load);
        Ok(self.swung(before, end))
    }

    /// What the devices grip with from now on; until when that goes on, s.
    fn grips(&mut self) -> f64 {
        let mut until = f64::INFINITY;
        for (own, rope) in self.by.grip.iter_mut().zip(&self.swing.ropes) {
            let (grip, grows, so_long) = rope.drop.grip.after(self.time);
            *own = (grip, grows);
            until = until.min(so_long);
        }
        until
    }

    /// What is taut from now on, and whether the load stands.
    fn turned(&mut self, cut: Option<Cut>) {
        for n in 0..self.swing.ties.len() {
            if self.by.ties >> n & 1 == 1 && self.pulling.tie_stretch(n, &self.at) < 0.0 {
                self.by.ties &= !(1 << n);
            }
        }
        for n in 0..self.swing.ropes.len() {
            let [below, above] = self.pulling.rope_stretch(n, &self.at);
            if below < 0.0 {
                self.by.below &= !(1 << n);
            }
            if above < 0.0 {
                self.by.above &= !(1 << n);
            }
        }
        match cut {
            Some(Cut::Tie(n)) => self.by.ties |= 1 << n,
            Some(Cut::Rope(n, 0)) => self.by.below |= 1 << n,
            Some(Cut::Rope(n, _)) => self.by.above |= 1 << n,
            Some(Cut::Begins) => self.by.stands = false,
            Some(Cut::Stands) => {
                // It did not yet fall: it stands until what holds it gives way.
                self.at.rest[0] = 0.0;
                self.by.stands = true;
            }
            _ => {}
        }
        self.falls |= self.at.rest[0] > FALLS;
    }

    /// A step whose two orders agree, cut at the first thing that jumps within it.
    fn advanced(
        &self,
        now: &Moment<M, T>,
        long: &mut f64,
        most: f64,
        limits: Limits,
    ) -> (Tried<P, M>, Moment<M, T>, Option<Cut>) {
        let slopes = self.pulling.slopes(&self.by, 0.0, &self.at);
        let mut tried = self.near_enough(now, &slopes, long, most);
        let mut ends = self.pulling.pulls(&self.by, tried.long, &tried.next);
        let mut first = None;
        // What comes first cuts the step; what then has come before that cuts it again.
        for _ in 0..MOST_CUTS {
            let Some((cut, by)) = self.jumps(now, &tried, &ends.0, first, limits) else { break };
            tried = self.cut_at(now, &slopes, (&tried, &ends.0), (cut, by), limits);
            ends = self.pulling.pulls(&self.by, tried.long, &tried.next);
            first = Some(cut);
        }
        (tried, ends, first)
    }

    fn tried(&self, now: &Moment<M, T>, slopes: &Slopes<P, M>, long: f64) -> Tried<P, M> {
        let (next, part) =
            implicit::step(&self.at, &now.0, slopes, long, |t, at| self.pulling.rates(&self.by, t, at));
        let most = |of: &[f64]| of.iter().fold(0.0, |most: f64, own| most.max(own.abs()));
        let error = most(&part.place).max(0.01 * most(&part.rest[..P])).max(most(&part.rest[P..])) / NEAR;
        Tried { long, next, error }
    }

    /// A step of at most `most` s whose two orders agree, and how long the next one may be.
    fn near_enough(
        &self,
        now: &Moment<M, T>,
        slopes: &Slopes<P, M>,
        long: &mut f64,
        most: f64,
    ) -> Tried<P, M> {
        loop {
            let step = long.min(most);
            let tried = self.tried(now, slopes, step);
            let grows = (0.9 / libm::sqrt(libm::sqrt(tried.error.max(1e-9)))).clamp(0.2, 4.0);
            if tried.error <= 1.0 || step <= SHORTEST {
                // A step that was cut short by something else says little of the next.
                *long = if step < *long { long.min(4.0 * step.max(FIRST)) } else { step * grows.max(0.5) };
                return tried;
            }
            if let Some(tried) = self.up_to_corner(now, slopes, &tried) {
                *long = step;
                return tried;
            }
            // At a corner the two part by less than the fourth power.
            *long = (step * if grows.is_nan() { 0.2 } else { grows.min(0.5) }).max(SHORTEST);
        }
    }

    /// A step whose two orders part because something turns within it from one way to go to another, cut short just behind that place;
    /// nothing where they part up to there too.
    fn up_to_corner(
        &self,
        now: &Moment<M, T>,
        slopes: &Slopes<P, M>,
        step: &Tried<P, M>,
    ) -> Option<Tried<P, M>> {
        let ends = self.pulling.pulls(&self.by, step.long, &step.next);
        if ends.1.mode == now.1.mode {
            return None;
        }
        let (mut low, mut high) = (0.0, 1.0);
        while (high - low) * step.long > BEHIND {
            let middle = 0.5 * (low + high);
            let at = self.at.between(&now.0, &step.next, &ends.0, step.long, middle);
            if self.pulling.pulls(&self.by, middle * step.long, &at).1.mode == now.1.mode {
                low = middle;
            } else {
                high = middle;
            }
        }
        let long = high * step.long;
        if long < SHORTEST || high == 1.0 {
            return None;
        }
        Some(self.tried(now, slopes, long)).filter(|cut| cut.error <= 1.0)
    }

    /// What a cut goes by: below 0 before it, above 0 after it; within [`SNUG`] of 0 it is there.
    fn past(&self, cut: Cut, long: f64, at: &State<P, M>, limits: Limits) -> f64 {
        match cut {
            Cut::Tie(n) => self.pulling.tie_stretch(n, at),
            Cut::Rope(n, part) => self.pulling.rope_stretch(n, at)[part],
            // A hundredth of a metre a second squared is none.
            Cut::Begins => 1e-6 * self.pulling.sinks(&self.by, long, at),
            Cut::Stands => -0.01 * at.rest[0],
            Cut::FellOn => at.place[0] - limits.fall,
        }
    }

    /// How fast that grows; 0 for what cannot come and go within a step.
    fn passes(&self, cut: Cut, at: &State<P, M>, rates: &[f64; M]) -> f64 {
        match cut {
            Cut::Tie(n) => self.pulling.tie_grows(n, at),
            Cut::Rope(n, part) => self.pulling.rope_grows(n, at, rates)[part],
            _ => 0.0,
        }
    }

    /// What has jumped within a step, other than `but`, and a share of the step by which it has.
    fn jumps(
        &self,
        now: &Moment<M, T>,
        tried: &Tried<P, M>,
        ends: &[f64; M],
        but: Option<Cut>,
        limits: Limits,
    ) -> Option<(Cut, f64)> {
        let slack = |bits: u32, n: usize| bits >> n & 1 == 0;
        let ropes = 0..self.swing.ropes.len();
        let ties = (0..self.swing.ties.len()).filter(|n| slack(self.by.ties, *n)).map(Cut::Tie);
        let below = ropes.clone().filter(|n| slack(self.by.below, *n)).map(|n| Cut::Rope(n, 0));
        let above = ropes.filter(|n| slack(self.by.above, *n) && self.pulling.over_edge(*n));
        let load = if self.by.stands { [Cut::Begins; 2] } else { [Cut::Stands, Cut::FellOn] };
        let all = ties.chain(below).chain(above.map(|n| Cut::Rope(n, 1))).chain(load);
        for cut in all.filter(|cut| Some(*cut) != but) {
            let last = self.past(cut, tried.long, &tried.next, limits);
            if last > SNUG {
                return Some((cut, 1.0));
            }
            // It may have come taut and gone slack again.
            let (rises, falls) = (self.passes(cut, &self.at, &now.0), -self.passes(cut, &tried.next, ends));
            if rises > 0.0 && falls > 0.0 {
                let first = self.past(cut, 0.0, &self.at, limits);
                let share = highest(first, tried.long * rises, last, -tried.long * falls);
                let at = self.at.between(&now.0, &tried.next, ends, tried.long, share);
                if self.past(cut, share * tried.long, &at, limits) > SNUG {
                    return Some((cut, share));
                }
            }
        }
        None
    }

    /// The step up to where it jumps, which it has by a share of it: between its ends by a cubic, then by steps of that length.
    fn cut_at(
        &self,
        now: &Moment<M, T>,
        slopes: &Slopes<P, M>,
        (tried, ends): (&Tried<P, M>, &[f64; M]),
        (cut, by): (Cut, f64),
        limits: Limits,
    ) -> Tried<P, M> {
        if self.past(cut, 0.0, &self.at, limits) > SNUG {
            return Tried { long: 0.0, next: self.at, error: 0.0 };
        }
        let between = |share: f64| {
            let at = self.at.between(&now.0, &tried.next, ends, tried.long, share);
            self.past(cut, share * tried.long, &at, limits)
        };
        let (mut low, mut high) = (0.0, by);
        for _ in 0..24 {
            let middle = 0.5 * (low + high);
            if between(middle) > 0.0 { high = middle } else { low = middle }
        }
        let mut share = 0.5 * (low + high);
        let slope = (between(by) - between(share)) / (by - share).max(1e-9);
        (low, high) = (0.0, by);
        let mut nearest = self.tried(now, slopes, (share * tried.long).max(1e-12));
        for _ in 0..30 {
            let value = self.past(cut, nearest.long, &nearest.next, limits);
            if value.abs() <= SNUG {
                break;
            }
            if value > 0.0 {
                high = share
            } else {
                low = share
            }
            let newton = share - value / slope;
            share = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
            nearest = self.tried(now, slopes, (share * tried.long).max(1e-12));
        }
        nearest
    }

    /// Takes in what pulls at a moment.
    fn feel(&mut self, pulls: &Pulls<T>) {
        let most = &mut self.most;
        most.on_load = most.on_load.max(pulls.on_load);
        most.ties.iter_mut().zip(&pulls.ties).for_each(|(most, own)| *most = most.max(*own));
        most.devices.iter_mut().zip(&pulls.devices).for_each(|(most, own)| *most = most.max(*own));
    }

    /// Takes in what pulls within a step, and what it takes: by a cubic through both its ends; by more points where something pulls
    /// harder in the middle than at both ends, or turns.
    fn feel_within(&mut self, now: &Moment<M, T>, step: &Tried<P, M>, ends: &Moment<M, T>) {
        let at = |share: f64| {
            let at = self.at.between(&now.0, &step.next, &ends.0, step.long, share);
            self.pulling.pulls(&self.by, share * step.long, &at).1
        };
        let middle = at(0.5);
        self.lost += step.long / 6.0 * (now.1.takes + 4.0 * middle.takes + ends.1.takes);
        if now.1.mode == ends.1.mode && !middle.is_over(&now.1, &ends.1, &self.most) {
            return;
        }
        let points: [Pulls<T>; WITHIN as usize - 1] =
            std::array::from_fn(|n| at((n + 1) as f64 / f64::from(WITHIN)));
        let mut last = [&now.1, &points[0]];
        for next in points[1..].iter().chain([&ends.1]) {
            let of = |get: &dyn Fn(&Pulls<T>) -> f64| top([get(last[0]), get(last[1]), get(next)]);
            self.most.on_load = self.most.on_load.max(of(&|own| own.on_load));
            for n in 0..self.swing.ties.len() {
                self.most.ties[n] = self.most.ties[n].max(of(&|own| own.ties[n]));
            }
            for n in 0..self.swing.ropes.len() {
                self.most.devices[n] = self.most.devices[n].max(of(&|own| own.devices[n]));
            }
            last = [last[1], next];
        }
    }

    fn swung(self, before: f64, end: End) -> Swung {
        let first = &self.swing.ropes[0].drop;
        let given = self.at.place[0] * first.mass * first.gravity;
        let devices = self.most.devices[..self.swing.ropes.len()].to_vec();
        Swung {
            stop: Stop {
                fall: self.at.place[0],
                peak: self.most.on_load,
                at_device: devices.iter().copied().fold(0.0, f64::max),
                through: (0..devices.len()).map(|n| self.at.rest[P + 2 * n + 1]).fold(0.0, f64::max),
                time: self.time,
                end,
            },
            balance: (self.pulling.energy(&self.at) + self.lost) / (before + given),
            ties: self.most.ties[..self.swing.ties.len()].to_vec(),
            devices,
        }
    }
}

/// Where between 0 and 1 a cubic is highest that begins at `a` rising by `da` and ends at `b` falling by `db`.
fn highest(a: f64, da: f64, b: f64, db: f64) -> f64 {
    // Its slope is a parabola, above 0 at the one end and below at the other.
    let (c, d) = (3.0 * (b - a) - 2.0 * da - db, 2.0 * (a - b) + da + db);
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..20 {
        let middle = 0.5 * (low + high);
        if da + middle * (2.0 * c + 3.0 * d * middle) > 0.0 { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// The most of a parabola through three values at equal distances, if that lies within; else the most of them.
fn top([a, b, c]: [f64; 3]) -> f64 {
    let bends = 2.0 * b - a - c;
    if b >= a && b >= c && bends > 0.0 { b + (c - a) * (c - a) / (8.0 * bends) } else { a.max(b).max(c) }
}

impl<const T: usize> Pulls<T> {
    /// Whether something pulls harder in the middle of a step than at both its ends, or so far from halfway between them that it may
    /// do so elsewhere.
    fn is_over(&self, begins: &Self, ends: &Self, most: &Self) -> bool {
        let over = |own: f64, begins: f64, ends: f64, most: f64| {
            own > begins.max(ends) || (own - 0.5 * (begins + ends)).abs() > BENT * most
        };
        over(self.on_load, begins.on_load, ends.on_load, most.on_load)
            || (0..T).any(|n| over(self.ties[n], begins.ties[n], ends.ties[n], most.ties[n]))
            || (0..MOST_ROPES)
                .any(|n| over(self.devices[n], begins.devices[n], ends.devices[n], most.devices[n]))
    }
}
