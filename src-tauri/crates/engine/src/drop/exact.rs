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
            let at = halved(&far, 0.0, length);
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
        let (over, _) = stretching.over(now, 0.0);
        let near = 1e-9 * (1.0 + grip.abs());
        let slips = over > near || (over > -near && stretching.over(now, 1e-9).0 > over.max(0.0));
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

    /// Tension, and how fast it grows, N/s: k v + c v̇, v̇ = g − T / m.
    fn pull(&self, (x, v): (f64, f64)) -> (f64, f64) {
        let Spring { k, c, mass, gravity } = self.spring;
        let tension = k * x + mass * gravity + c * v;
        (tension, k * v + c * (gravity - tension / mass))
    }

    fn tension(&self, now: &Now, t: f64) -> f64 {
        self.pull(self.moved(now, t)).0
    }

    /// How much more it would pull than the device grips, and how fast that grows.
    fn over(&self, now: &Now, t: f64) -> (f64, f64) {
        let (tension, tightens) = self.pull(self.moved(now, t));
        (tension - (self.grip + self.grows * t), tightens - self.grows)
    }

    fn at(&self, now: &Now, t: f64) -> Now {
        let (x, speed) = self.moved(now, t);
        let moved = x - self.from;
        // The most within: at an end, or where it no longer tightens.
        let mut peak = now.peak.max(self.tension(now, 0.0)).max(self.tension(now, t));
        if let Some(most) = self.tightest(now, t) {
            peak = peak.max(self.tension(now, most));
        }
        Now { fallen: now.fallen + moved, speed, stretch: now.stretch + moved, peak, ..*now }
    }

    /// When it first no longer tightens, if that is before `last` s.
    fn tightest(&self, now: &Now, last: f64) -> Option<f64> {
        if self.swing2 <= 1e-9 {
            return first_fall(&|t| self.pull(self.moved(now, t)).1, last);
        }
        // As the stretch, so the tension and its growth swing and decay: e^(−d t) (p cos ω t + q sin ω t), which falls through 0
        // a quarter of a turn after its phase.
        let w = libm::sqrt(self.swing2);
        let Spring { k, c, mass, .. } = self.spring;
        let faster = |x: f64, v: f64| -2.0 * self.decay * v - k / mass * x;
        let (v, quicker) = (now.speed, faster(self.from, now.speed));
        let p = k * v + c * quicker;
        let q = (k * quicker + c * faster(v, quicker) + self.decay * p) / w;
        let turn = std::f64::consts::TAU;
        let phase = libm::atan2(q, p) + turn / 4.0;
        let most = phase.rem_euclid(turn) / w;
        (most < last).then_some(most)
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
        halved(&|t| -speed(t), fast, far)
    }

    fn ends(&self, now: &Now, most: f64) -> (f64, bool) {
        let stands = self.stands(now);
        let last = stands.min(most);
        match self.slips(now, last) {
            Some(slips) => (slips, false),
            None => (last, stands <= most),
        }
    }

    /// When it first pulls harder than the device grips, if that is before `last` s, when it stands at the latest.
    fn slips(&self, now: &Now, last: f64) -> Option<f64> {
        let over = |t: f64| self.over(now, t);
        if self.grows != 0.0 || self.swing2 <= 1e-9 {
            return first_rise(&over, last);
        }
        // From going down to standing it swings by half a turn at most: within that it is tightest once, and tightens till then.
        let top = self.tightest(now, f64::INFINITY).unwrap_or(last);
        let from = (top - std::f64::consts::PI / libm::sqrt(self.swing2)).clamp(0.0, last);
        let top = top.min(last);
        (over(top).0 > 0.0).then(|| root(&over, from, top))
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

    /// When its speed first falls to nothing, s.
    fn stands(&self, now: &Now) -> Option<f64> {
        // −v = a t² + b t − v₀, v₀ at least 0.
        let a = 0.5 * self.grows / self.spring.mass;
        let b = self.grip / self.spring.mass - self.spring.gravity;
        let v = now.speed.max(0.0);
        let root2 = b * b + 4.0 * a * v;
        if root2 < 0.0 {
            return None;
        }
        let root = libm::sqrt(root2);
        // Of two forms of the same the one that takes nothing from its like.
        let stands = if b > 0.0 { 2.0 * v / (b + root) } else { (root - b) / (2.0 * a) };
        ((b > 0.0 || a > 0.0) && stands.is_finite()).then_some(stands)
    }

    fn ends(&self, now: &Now, most: f64) -> (f64, bool) {
        // Far enough that the fall or the time ends it.
        let most = most.min(1e4);
        let stands = self.stands(now).filter(|t| *t <= most);
        let last = stands.unwrap_or(most);
        let Spring { k, c, mass, gravity } = self.spring;
        let (tau, grows) = (c / k, self.grows / k);
        let holds = |t: f64| {
            let (_, stretches) = self.stretch(now, t);
            let bends = if tau > 0.0 { (stretches - grows) / -tau } else { 0.0 };
            (stretches - self.speed(now, t), bends - (gravity - (self.grip + self.grows * t) / mass))
        };
        match first_rise(&holds, last) {
            Some(held) => (held, false),
            None => (last, stands.is_some()),
        }
    }
}

/// Times this near, s, are one.
const NEAR: f64 = 1e-13;

/// The first time in (0, last] at which `of` (its value, and how that grows) rises through 0; it may start there.
fn first_rise(of: &impl Fn(f64) -> (f64, f64), last: f64) -> Option<f64> {
    let piece = last / f64::from(PIECES);
    let mut before = (0.0, of(0.0).1);
    for n in 1..=PIECES {
        let t = if n == PIECES { last } else { piece * f64::from(n) };
        let (value, slope) = of(t);
        if value > 0.0 {
            return Some(root(of, before.0, t));
        }
        // It may rise and fall again within one piece.
        if before.1 > 0.0
            && slope < 0.0
            && let Some(above) = above(of, before, (t, slope))
        {
            return Some(root(of, before.0, above));
        }
        before = (t, slope);
    }
    None
}

/// A time between two at which `of` is above 0, where it grows at the first and falls at the second (times with how it grows there).
fn above(of: &impl Fn(f64) -> (f64, f64), mut low: (f64, f64), mut high: (f64, f64)) -> Option<f64> {
    for n in 0..100 {
        // Where a straight line between the two slopes is level; now and then the middle, so that both ends close in.
        let share = if n % 3 == 2 { 0.5 } else { low.1 / (low.1 - high.1) };
        let t = low.0 + share * (high.0 - low.0);
        let (value, slope) = of(t);
        if value > 0.0 {
            return Some(t);
        }
        // At its top it is level: a billionth of a second beside it makes no difference.
        if (t - low.0).min(high.0 - t) < 1e-9 {
            break;
        }
        if slope > 0.0 { low = (t, slope) } else { high = (t, slope) }
    }
    None
}

/// The first time in (0, last) at which `of` falls through 0.
fn first_fall(of: &impl Fn(f64) -> f64, last: f64) -> Option<f64> {
    let piece = last / f64::from(PIECES);
    (0..PIECES)
        .map(|n| (piece * f64::from(n), piece * f64::from(n + 1)))
        .find_map(|(from, to)| (of(from) > 0.0 && of(to) <= 0.0).then(|| halved(&|t| -of(t), from, to)))
}

/// Where `of` (its value, and how that grows) passes 0 from at most 0 at `low` to above it at `high`: by Newton's steps, and by halving
/// where one would leave the two or they close in too slowly.
fn root(of: &impl Fn(f64) -> (f64, f64), mut low: f64, mut high: f64) -> f64 {
    let mut t = 0.5 * (low + high);
    for n in 1..300 {
        let (value, slope) = of(t);
        if value > 0.0 {
            high = t
        } else {
            low = t
        }
        let middle = 0.5 * (low + high);
        if high - low <= 4.0 * NEAR || middle <= low || middle >= high {
            break;
        }
        // Just past where it points, so that the other end closes in too.
        let past = if value > 0.0 { -NEAR } else { NEAR };
        let newton = t - value / slope + past;
        t = if n % 8 != 0 && newton > low && newton < high { newton } else { middle };
    }
    high
}

/// Where `of` passes 0 from at most 0 at `low` to above it at `high`, by halving.
fn halved(of: &impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        if of(middle) > 0.0 { high = middle } else { low = middle }
    }
    high
}
