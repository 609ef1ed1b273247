//! Where labels lie on one page: by time, pushed down by what hangs above on their own side.

use super::items::{Label, Node};
use super::{Hang, LineInput};

/// Where the line begins below the column heads.
pub const TOP: f64 = 8.8;
/// Room of the key at the foot.
pub const KEY: f64 = 7.2;
/// mm a second.
const PER_S: f64 = 0.085;
/// Most that a silence may take; a longer one is cut.
const MOST: f64 = 13.0;
/// Room of the words of a silence.
const SILENCE: f64 = 4.6;
/// From the top of a label to its thread.
pub const THREAD: f64 = 1.75;

/// A label with its place.
#[derive(Clone, Debug)]
pub struct Placed<'a> {
    /// The label.
    pub label: &'a Label,
    /// Its top.
    pub y: f64,
    /// Seconds of a silence that was cut before it, and where the cut begins.
    pub silence: Option<(f64, f64)>,
}

/// The labels of one page.
#[derive(Clone, Debug)]
pub struct Page<'a> {
    /// Labels from the top.
    pub labels: Vec<Placed<'a>>,
    /// Where the rope ends.
    pub end: f64,
    /// Time at the top and at the end of the rope.
    pub times: (i64, i64),
    /// Which label comes first on the next page.
    pub next: usize,
    /// Time and y, rising.
    points: Vec<(i64, f64)>,
}

impl Page<'_> {
    /// Where a time lies.
    pub fn at(&self, ms: i64) -> f64 {
        let after = self.points.partition_point(|(at, _)| *at < ms);
        let (Some(first), Some(last)) = (self.points.first(), self.points.last()) else { return TOP };
        let (Some(earlier), Some(later)) = (self.points.get(after.wrapping_sub(1)), self.points.get(after))
        else {
            return if after == 0 { first.1 } else { last.1 };
        };
        let span = later.0 as f64 - earlier.0 as f64;
        let share = if span > 0.0 { (ms as f64 - earlier.0 as f64) / span } else { 1.0 };
        earlier.1 + (later.1 - earlier.1) * share.clamp(0.0, 1.0)
    }
    /// Whether a height lies inside a silence that was cut.
    pub fn is_cut(&self, y: f64) -> bool {
        self.labels
            .iter()
            .any(|placed| placed.silence.is_some_and(|(_, from)| y > from + THREAD && y < placed.y + THREAD))
    }
}

/// Places labels from the one numbered `from` on a page `height` mm high: at least one.
pub fn place<'a>(input: &LineInput, all: &'a [Label], from: usize, height: f64) -> Page<'a> {
    let foot = height - KEY;
    let mut labels: Vec<Placed<'a>> = Vec::new();
    let (mut left, mut right, mut last_y) = (TOP, TOP, TOP);
    let before = from.checked_sub(1).and_then(|i| all.get(i));
    let start = before.map_or(input.start_ms, |label| label.until).min(all[from].at);
    let mut last_at = start;
    let mut next = from;
    for label in all.iter().skip(from) {
        let seconds = (label.at as f64 - last_at as f64).max(0.0) / 1000.0;
        let is_silence = PER_S * seconds > MOST;
        let mut y = last_y + (PER_S * seconds).min(MOST);
        if is_silence {
            y = y.max(left + SILENCE).max(right + SILENCE);
        }
        y = match label.hang {
            Hang::Left => y.max(left),
            Hang::Right => y.max(right),
            Hang::Stop | Hang::Exercise | Hang::Benchmark => y.max(left).max(right),
        };
        if y + label.height > foot && !labels.is_empty() {
            break;
        }
        labels.push(Placed { label, y, silence: is_silence.then_some((seconds, last_y)) });
        match label.hang {
            Hang::Left => left = y + label.height,
            Hang::Right => right = y + label.height,
            _ => (left, right) = (y + label.height, y + label.height),
        }
        last_y = y;
        last_at = last_at.max(label.until);
        next += 1;
    }
    keep_answers(&mut labels, &mut next, all, foot);
    let end = labels.iter().map(|p| p.y + p.label.height).fold(TOP, f64::max) + 1.0;
    let until = all.get(next).map_or(input.end_ms, |label| label.at);
    let last = labels.last().map_or(start, |p| p.label.at);
    let times = (start, until.max(last.saturating_add(1)));
    let mut points = vec![(times.0, TOP)];
    points.extend(labels.iter().map(|p| (p.label.at, p.y + THREAD)));
    points.push((times.1, end));
    Page { labels, end, times, next, points }
}

/// An order whose answers would stand on the next page goes there with them, if little room is lost.
fn keep_answers(labels: &mut Vec<Placed<'_>>, next: &mut usize, all: &[Label], foot: f64) {
    let is_answer = |i: usize| all.get(i).is_some_and(|l| matches!(l.node, Node::Answer | Node::Wrong));
    let low = |labels: &Vec<Placed<'_>>| labels.last().is_some_and(|p| p.y > TOP + (foot - TOP) * 0.85);
    if !is_answer(*next) {
        return;
    }
    let (kept, kept_next) = (labels.clone(), *next);
    while labels.len() > 4 && low(labels) {
        labels.pop();
        *next -= 1;
        if !is_answer(*next) {
            return;
        }
    }
    // No order was found within the foot of the page: nothing would be kept together.
    *labels = kept;
    *next = kept_next;
}
