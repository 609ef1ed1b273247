//! Times as they are drawn: milliseconds since the epoch (UTC) with the operation's own offset, and
//! the axis they are drawn on.

use crate::build::{Type, pen, size};
use crate::list::{DisplayList, Ink, Stroke};
use crate::pattern::Motion;

/// A stretch of one motion.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// What the load did.
    pub motion: Motion,
    /// Whether it was ordered slow.
    pub slow: bool,
    /// From.
    pub from_ms: i64,
    /// To; `None`: still.
    pub to_ms: Option<i64>,
}

/// Spans by time, each ending where the next begins: the load does one thing at a time.
pub fn in_sequence(spans: &[Span]) -> Vec<Span> {
    let mut out = spans.to_vec();
    out.sort_by_key(|span| span.from_ms);
    let starts: Vec<i64> = out.iter().map(|span| span.from_ms).collect();
    for (span, next) in out.iter_mut().zip(starts.iter().skip(1)) {
        span.to_ms = Some(span.to_ms.map_or(*next, |to| to.min(*next)));
    }
    out
}

/// Local time at an offset from UTC in minutes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Local(pub i32);

impl Local {
    /// Seconds since the epoch as if local time were UTC.
    fn seconds(self, ms: i64) -> i64 {
        ms.div_euclid(1000).saturating_add(i64::from(self.0) * 60)
    }
    /// "16:02".
    pub fn hm(self, ms: i64) -> String {
        let of_day = self.seconds(ms).rem_euclid(86_400);
        format!("{:02}:{:02}", of_day / 3600, of_day % 3600 / 60)
    }
    /// "16:02:31".
    pub fn hms(self, ms: i64) -> String {
        format!("{}{}", self.hm(ms), self.s(ms))
    }
    /// ":31".
    pub fn s(self, ms: i64) -> String {
        format!(":{:02}", self.seconds(ms).rem_euclid(60))
    }
    /// The first multiple of `step` seconds of local time at or after `ms`, in ms.
    pub fn next(self, ms: i64, step: i64) -> i64 {
        let local = self.seconds(ms.saturating_add(999));
        let next = local
            .div_euclid(step)
            .saturating_add(i64::from(local.rem_euclid(step) != 0))
            .saturating_mul(step);
        next.saturating_sub(i64::from(self.0) * 60).saturating_mul(1000)
    }
    /// Whether a time is a whole multiple of `step` seconds of local time.
    pub fn is_multiple(self, ms: i64, step: i64) -> bool {
        self.seconds(ms).rem_euclid(step) == 0
    }
}

/// A length of time in words: "2 h 37 min", "3 min 35 s", "16 s", "4 d 2 h".
pub fn duration(seconds: f64) -> String {
    if !seconds.is_finite() || seconds < 0.0 {
        return "unknown".to_string();
    }
    // Below 10^15 s the cast is exact; a longer time is not a time of ours.
    let s = seconds.round().min(1e15) as i64;
    let (d, h, m, rest) = (s / 86_400, s % 86_400 / 3600, s % 3600 / 60, s % 60);
    match (d, h, m, rest) {
        (0, 0, 0, rest) => format!("{rest} s"),
        (0, 0, m, 0) => format!("{m} min"),
        (0, 0, m, rest) => format!("{m} min {rest:02} s"),
        (0, h, m, _) => format!("{h} h {m:02} min"),
        (d, h, _, _) => format!("{d} d {h} h"),
    }
}

/// A time axis.
#[derive(Clone, Copy, Debug)]
pub struct Axis {
    /// Left end in mm.
    pub x: f64,
    /// Length in mm.
    pub width: f64,
    /// Time at its left end.
    pub start_ms: i64,
    /// Time at its right end, later than the start.
    pub end_ms: i64,
}

const STEPS: [i64; 12] = [60, 120, 300, 600, 900, 1800, 3600, 7200, 10_800, 21_600, 43_200, 86_400];

/// The first step of time that takes at least `least` mm at `per_s` mm a second and is a multiple of `of`.
fn step(per_s: f64, least: f64, of: i64) -> i64 {
    let fits = |s: &i64| *s as f64 * per_s >= least && s % of == 0;
    if let Some(found) = STEPS.into_iter().find(fits) {
        return found;
    }
    let mut days = 86_400_i64.max(of);
    while (days as f64) * per_s < least && days < i64::MAX / 4 {
        days *= 2;
    }
    days
}

impl Axis {
    /// Where a time lies; what lies before or after lies at the end.
    pub fn at(&self, ms: i64) -> f64 {
        let whole = (self.end_ms as f64 - self.start_ms as f64).max(1.0);
        let share = (ms as f64 - self.start_ms as f64) / whole;
        self.x + share.clamp(0.0, 1.0) * self.width
    }

    /// Draws it at `y`: ticks at the first step that leaves 4.5 mm, labels at the first that leaves 16.
    /// It takes [`Axis::HEIGHT`].
    pub fn draw(&self, list: &mut DisplayList, y: f64, local: Local) {
        let per_s = self.width * 1000.0 / (self.end_ms as f64 - self.start_ms as f64).max(1.0);
        let tick = step(per_s, 4.5, 1);
        let label = step(per_s, 16.0, tick);
        list.line((self.x, y), (self.x + self.width, y), Stroke::solid(Ink::Ink, pen::FINE));
        let mut at = local.next(self.start_ms, tick);
        // Ticks are 4.5 mm apart, so they are few; the bound is for an axis at the end of time.
        for _ in 0..1000 {
            if at > self.end_ms {
                break;
            }
            let big = local.is_multiple(at, label);
            let (length, width) = if big { (2.0, pen::FINE) } else { (1.0, pen::HAIR) };
            let x = self.at(at);
            list.line((x, y), (x, y + length), Stroke::solid(Ink::Ink, width));
            if big {
                let (words, set) = (self.label(at, label, local), Type::bold(size::XS).middle());
                let half = set.width(&words) / 2.0;
                let middle = x.max(self.x + half).min(self.x + self.width - half);
                list.text((middle, y + 4.6), &words, set);
            }
            at = at.saturating_add(tick.saturating_mul(1000));
        }
    }

    /// Height of an axis with its labels, mm.
    pub const HEIGHT: f64 = 5.2;

    fn label(&self, at: i64, step: i64, local: Local) -> String {
        if step >= 86_400 {
            let day = at.saturating_sub(self.start_ms) / 86_400_000 + 1;
            // A number that wide says nothing and would run into the next.
            return if day < 1_000_000 { format!("day {day}") } else { String::new() };
        }
        local.hm(at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn local_times() {
        // 2026-05-14 11:02:09 UTC at +02:00.
        let ms = 1_778_756_529_500;
        assert_eq!(Local(120).hms(ms), "13:02:09");
        assert_eq!(Local(-570).hm(ms), "01:32");
        assert_eq!(Local(0).hms(-1), "23:59:59");
        assert_eq!(Local(120).next(ms, 60), 1_778_756_580_000);
        assert_eq!(Local(120).next(1_778_756_580_000, 60), 1_778_756_580_000);
        assert_eq!(Local(330).hm(Local(330).next(ms, 1800)), "17:00");
    }

    #[test]
    fn durations() {
        let cases = [
            (0.0, "0 s"),
            (15.6, "16 s"),
            (59.6, "1 min"),
            (215.0, "3 min 35 s"),
            (3600.0, "1 h 00 min"),
            (9420.0, "2 h 37 min"),
            (180_000.0, "2 d 2 h"),
            (f64::NAN, "unknown"),
            (-3.0, "unknown"),
        ];
        for (seconds, words) in cases {
            assert_eq!(duration(seconds), words);
        }
    }

    #[test]
    fn an_axis_of_any_length_has_labels_apart() {
        for seconds in [1_i64, 60, 900, 9000, 86_400, 2_000_000, 40_000_000_000] {
            let axis = Axis { x: 0.0, width: 154.0, start_ms: 1_000, end_ms: 1_000 + seconds * 1000 };
            let mut list = DisplayList::new(154.0, Axis::HEIGHT);
            axis.draw(&mut list, 0.0, Local(60));
            assert_eq!(crate::audit::faults(&list), Vec::<String>::new(), "{seconds} s");
        }
    }
}
