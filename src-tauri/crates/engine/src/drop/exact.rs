//! From event to event, each phase by its closed solution: the rope hangs slack, stretches, or slips through its device.

use super::{Drop, End, Limits, OutOfRange, Stop};

/// Where a sign is looked for between two events, a phase is cut into so many pieces.
const PIECES: u32 = 24;
/// More phases than this are no fall.
const PHASES: usize = 10_000;
/// Slower than this, m/s, a load that only creeps towards rest stands still.
const STILL: f64 = 1e-6;

/// What is known at a time.
#[derive(Clone, Copy, Debug)]
struct Now {
    time: f64,
    /// Fallen so far, m, and how fast, m/s.
    fallen: f64,
    speed: f64,
    /// Stretch of the rope, m; below 0 it hangs slack.
    stretch: f64,
    through: f64,
    peak: f64,
}

/// Spring, damping and mass.
#[derive(Clone, Copy)]
struct Spring {
    k: f64,
    c: f64,
    mass: f64,
    gravity: f64,
}

/// Computes a fall without an edge.
///
/// # Errors
/// The first value outside its range.
pub fn fall(drop: &Drop, limits: Limits) -> Result<Stop, OutOfRange> {
    drop.check()?;
    let k = drop.below_k();
    let spring = Spring { k, c: drop.damping * k, mass: drop.mass, gravity: drop.gravity };
    let mut now =
        Now { time: 0.0, fallen: 0.0, speed: drop.speed, stretch: drop.stretch(), through: 0.0, peak: 0.0 };
    for _ in 0..PHASES {
        let (grip, grows, until) = drop.grip.after(now.time);
        let until = until.min(limits.time);
        let phase = spring.phase(&now, grip, grows);
        let (length, stops) = phase.ends(&now, until - now.time);
        let then = phase.at(&now, length);
        let far = |t: f64| phase.at(&now, t).fallen - limits.fall;
        // Downwards all through a phase: it passes the limit once.
        if then.fallen >= limits.fall {
            let at = root(&far, 0.0, length);
            return Ok(stop(&phase.at(&now, at), End::FellOn));
        }
        now = then;
        // Slower than rounding leaves it is its lowest place, whichever event was seen first.
        if stops || (now.stretch >= 0.0 && now.speed < 1e-12) {
            return Ok(stop(&now, End::Stopped));
        }
        if now.time >= limits.time {
            break;
        }
    }
    Ok(stop(&now, End::TimedOut))
}

fn stop(now: &Now, end: End) -> Stop {
    Stop { fall: now.fallen, peak: now.peak, at_device: now.peak, through: now.through, time: now.time, end }
}

/// One closed solution.
enum Phase {
    Slack(f64),
    Stretching(Stretching),
    Slipping(Slipping),
}

/// A damped swing about the place where the rope bears the weight; the device holds as long as its grip is not reached.
struct Stretching {
    spring: Spring,
    /// From that place, m.
    from: f64,
    /// Decay, 1/s, and the square of the swing, 1/s² (below 0: it creeps).
    decay: f64,
    swing2: f64,
    grip: f64,
    grows: f64,
}

/// The rope pulls as hard as the device grips.
struct Slipping {
    spring: Spring,
    grip: f64,
    grows: f64,
}

impl Spring {
    fn phase(&self, now: &Now, grip: f64, grows: f64) -> Phase {
        if now.stretch < 0.0 {
            return Phase::Slack(self.gravity);
        }
        let slipping = Slipping { spring: *self, grip, grows };
        let stretching = Stretching::new(*self, now, grip, grows);
        // How much more it would pull than the device grips, and whether that grows.
        let over = stretching.over(now, 0.0);
        let near = 1e-9 * (1.0 + grip.abs());
        let slips = over > near || (over > -near && stretching.over(now, 1e-9) > over.max(0.0));
        if slips { Phase::Slipping(slipping) } else { Phase::Stretching(stretching) }
    }
}

impl Phase {
    /// After `t` s of it.
    fn at(&self, now: &Now, t: f64) -> Now {
        let mut then = match self {
            Phase::Slack(gravity) => {
                let fell = now.speed * t + 0.5 * gravity * t * t;
                // Where it ends it has no slack left, whatever rounding says.
                let left = now.stretch + fell;
                let stretch = if left.abs() < 1e-12 { 0.0 } else { left };
                Now { fallen: now.fallen + fell, speed: now.speed + gravity * t, stretch, ..*now }
            }
            Phase::Stretching(own) => own.at(now, t),
            Phase::Slipping(own) => own.at(now, t),
        };
        then.time = now.time + t;
        then
    }

    /// How long it lasts, at most `most` s, and whether the load stands still then.
    fn ends(&self, now: &Now, most: f64) -> (f64, bool) {
        match self {
            Phase::Slack(gravity) => {
                let reach = libm::sqrt(now.speed * now.speed - 2.0 * gravity * now.stretch);
                (((reach - now.speed) / gravity).min(most), false)
            }
            Phase::Stretching(own) => own.ends(now, most),
            Phase::Slipping(own) => own.ends(now, most),
        }
    }
}

impl Stretching {
    fn new(spring: Spring, now: &Now, grip: f64, grows: f64) -> Stretching {
        let decay = spring.c / (2.0 * spring.mass);
        Stretching {
            spring,
            from: now.stretch - spring.mass * spring.gravity / spring.k,
            decay,
            swing2: spring.k / spring.mass - decay * decay,
            grip,
            grows,
        }
    }

    /// cos and sin / ω of the swing, or what stands for them where it creeps; both times the decay.
    fn waves(&self, t: f64) -> (f64, f64) {
        let (c, s) = if self.swing2 > 1e-9 {
            let w = libm::sqrt(self.swing2);
            let (sin, cos) = libm::sincos(w * t);
            (cos, sin / w)
        } else if self.swing2 < -1e-9 {
            let w = libm::sqrt(-self.swing2);
            // With the decay taken in, so that neither grows without bounds.
            let (up, down) = (libm::exp((w - self.decay) * t), libm::exp(-(w + self.decay) * t));
            return ((up + down) / 2.0, (up - down) / (2.0 * w));
        } else {
            (1.0, t)
        };
        let e = libm::exp(-self.decay * t);
        (e * c, e * s)
    }

    /// Distance from the place where it bears the weight, and speed.
    fn moved(&self, now: &Now, t: f64) -> (f64, f64) {
        let (c, s) = self.waves(t);
        let (x, v) = (self.from, now.speed);
        let w2 = self.spring.k / self.spring.mass;
        (x * c + (v + self.decay * x) * s, v * c - (self.decay * v + w2 * x) * s)
    }

    fn tension(&self, now: &Now, t: f64) -> f64 {
        let (x, v) = self.moved(now, t);
        self.spring.k * x + self.spring.mass * self.spring.gravity + self.spring.c * v
    }

    /// How fast the tension grows, N/s: k v + c v̇, v̇ = g − T / m.
    fn tightens(&self, now: &Now, t: f64) -> f64 {
        let (_, v) = self.moved(now, t);
        self.spring.k * v + self.spring.c * (self.spring.gravity - self.tension(now, t) / self.spring.mass)
    }

    fn over(&self, now: &Now, t: f64) -> f64 {
        self.tension(now, t) - (self.grip + self.grows * t)
    }

    fn at(&self, now: &Now, t: f64) -> Now {
        let (x, speed) = self.moved(now, t);
        let moved = x - self.from;
        // The most within: at an end, or where it no longer tightens.
        let mut peak = now.peak.max(self.tension(now, 0.0)).max(self.tension(now, t));
        let tightens = |t: f64| self.tightens(now, t);
        if let Some(most) = first_fall(&tightens, t) {
            peak = peak.max(self.tension(now, most));
        }
        Now { fallen: now.fallen + moved, speed, stretch: now.stretch + moved, peak, ..*now }
    }

    /// When the load stands still, s: at its lowest.
    fn stands(&self, now: &Now) -> f64 {
        let v = now.speed.max(0.0);
        let lean = self.decay * v + self.spring.k / self.spring.mass * self.from;
        if v <= 0.0 && lean >= 0.0 {
            return 0.0;
        }
        if self.swing2 > 1e-9 {
            let w = libm::sqrt(self.swing2);
            return libm::atan2(v * w, lean) / w;
        }
        // It creeps: from its fastest the speed falls to nothing at once, or by ever smaller parts.
        let speed = |t: f64| self.moved(now, t).1 - STILL;
        let mut far = 1e-3;
        while far < 1e6 && speed(far) <= 0.0 && self.moved(now, far).0 < 0.0 {
            far *= 2.0;
        }
        let fast = if speed(far) > 0.0 { far } else { 0.0 };
        while speed(far) > 0.0 && far < 1e6 {
            far *= 2.0;
        }
        root(&|t| -speed(t), fast, far)
    }

    fn ends(&self, now: &Now, most: f64) -> (f64, bool) {
        let stands = self.stands(now);
        let last = stands.min(most);
        let over = |t: f64| self.over(now, t);
        match first_rise(&over, &|t| self.tightens(now, t) - self.grows, last) {
            Some(slips) => (slips, false),
            None => (last, stands <= most),
        }
    }
}

impl Slipping {
    fn speed(&self, now: &Now, t: f64) -> f64 {
        now.speed + self.spring.gravity * t - (self.grip * t + 0.5 * self.grows * t * t) / self.spring.mass
    }

    /// Stretch, and how fast it grows.
    fn stretch(&self, now: &Now, t: f64) -> (f64, f64) {
        let k = self.spring.k;
        let grip = (self.grip + self.grows * t) / k;
        if self.spring.c <= 0.0 {
            return (grip, self.grows / k);
        }
        let tau = self.spring.c / k;
        let off = now.stretch - self.grip / k + self.grows * tau / k;
        let e = off * libm::exp(-t / tau);
        (grip - self.grows * tau / k + e, self.grows / k - e / tau)
    }

    fn at(&self, now: &Now, t: f64) -> Now {
        let square = t * t / self.spring.mass;
        let fell = now.speed * t + 0.5 * self.spring.gravity * t * t
            - (0.5 * self.grip + self.grows * t / 6.0) * square;
        let (stretch, _) = self.stretch(now, t);
        let through = now.through + (fell - (stretch - now.stretch)).max(0.0);
        let peak = now.peak.max(self.grip).max(self.grip + self.grows * t);
        Now { fallen: now.fallen + fell, speed: self.speed(now, t), stretch, through, peak, ..*now }
    }

    fn ends(&self, now: &Now, most: f64) -> (f64, bool) {
        // Far enough that the fall or the time ends it.
        let most = most.min(1e4);
        let slows = |t: f64| self.grip + self.grows * t - self.spring.mass * self.spring.gravity;
        let stands = first_rise(&|t| -self.speed(now, t), &slows, most);
        let last = stands.unwrap_or(most);
        let holds = |t: f64| self.stretch(now, t).1 - self.speed(now, t);
        let tau = self.spring.c / self.spring.k;
        let bends = |t: f64| {
            let slope =
                if tau > 0.0 { (self.stretch(now, t).1 - self.grows / self.spring.k) / -tau } else { 0.0 };
            slope - (self.spring.gravity - (self.grip + self.grows * t) / self.spring.mass)
        };
        match first_rise(&holds, &bends, last) {
            Some(held) => (held, false),
            None => (last, stands.is_some()),
        }
    }
}

/// The first time in (0, last] at which `of` rises through 0; it may start there. `slope` is how it grows.
fn first_rise(of: &dyn Fn(f64) -> f64, slope: &dyn Fn(f64) -> f64, last: f64) -> Option<f64> {
    let piece = last / f64::from(PIECES);
    let mut before = 0.0;
    for n in 1..=PIECES {
        let t = if n == PIECES { last } else { piece * f64::from(n) };
        if of(t) > 0.0 {
            return Some(root(of, before, t));
        }
        // It may rise and fall again within one piece.
        if slope(before) > 0.0 && slope(t) < 0.0 {
            let top = root(&|t| -slope(t), before, t);
            if of(top) > 0.0 {
                return Some(root(of, before, top));
            }
        }
        before = t;
    }
    None
}

/// The first time in (0, last) at which `of` falls through 0.
fn first_fall(of: &dyn Fn(f64) -> f64, last: f64) -> Option<f64> {
    let piece = last / f64::from(PIECES);
    (0..PIECES)
        .map(|n| (piece * f64::from(n), piece * f64::from(n + 1)))
        .find_map(|(from, to)| (of(from) > 0.0 && of(to) <= 0.0).then(|| root(&|t| -of(t), from, to)))
}

/// Where `of` passes 0 from at most 0 at `low` to above it at `high`, by halving.
fn root(of: &dyn Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        if of(middle) > 0.0 { high = middle } else { low = middle }
    }
    high
}
