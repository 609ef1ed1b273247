//! From STOP to stopped, by operator.

use super::{S, SB, Seconds, XS, label, lines, ring, row_height};
use crate::build::pen;
use crate::list::{DisplayList, Ink, Stroke};
use crate::marks::Mark;
use crate::moment::{Local, duration};
use crate::picture::numbered_stop;

/// A stop.
#[derive(Clone, Debug, Default)]
pub struct StopTime {
    /// Its number on the first page, if it has one.
    pub number: Option<usize>,
    /// When it was called.
    pub at_ms: i64,
    /// Why, in a few words.
    pub words: String,
    /// Each operator it waited for.
    pub operators: Vec<Stopped>,
}

/// What one operator did.
#[derive(Clone, Debug, Default)]
pub struct Stopped {
    /// Whether rope two (open ring), else rope one or the haul (solid).
    pub rope_two: bool,
    /// Seconds until "stopped" was reported; `None`: never.
    pub after_s: Option<f64>,
}

impl StopTime {
    fn slowest(&self) -> f64 {
        self.operators.iter().filter_map(|o| o.after_s).filter(|s| s.is_finite()).fold(0.0, f64::max)
    }
    /// "4.9 s", "47 min 51 s".
    fn seconds(&self) -> Option<String> {
        let slowest = self.slowest();
        (slowest > 0.0).then(|| if slowest < 59.95 { format!("{slowest:.1} s") } else { duration(slowest) })
    }
    /// "never", "2 never", "no operator".
    fn lacking(&self) -> Option<String> {
        match (self.operators.len(), self.unreported()) {
            (0, _) => Some("no operator".to_string()),
            (_, 0) => None,
            (_, 1) => Some("never".to_string()),
            (_, several) => Some(format!("{several} never")),
        }
    }
    /// Room of what stands right of the last ring.
    fn tail(&self) -> f64 {
        let seconds = self.seconds().map_or(0.0, |words| SB.width(&words) + 1.4);
        2.0 + seconds + self.lacking().map_or(0.0, |words| SB.width(&words) + 2.8) + 0.5
    }
    fn unreported(&self) -> usize {
        self.operators.iter().filter(|o| o.after_s.is_none()).count()
    }
}

/// The four worst stops in the order they were called: those that an operator never answered, then the slowest.
pub fn stop_times(stops: &[StopTime], width: f64, offset_min: i32) -> DisplayList {
    let mut shown: Vec<&StopTime> = stops.iter().collect();
    shown.sort_by(|a, b| b.unreported().cmp(&a.unreported()).then(b.slowest().total_cmp(&a.slowest())));
    shown.truncate(4);
    shown.sort_by_key(|s| s.at_ms);
    let names = 37.0;
    let scale = Seconds::new(
        names,
        (width - names - shown.iter().map(|s| s.tail()).fold(8.0, f64::max)).max(12.0),
        shown.iter().map(|s| s.slowest()).fold(1.0, f64::max),
    );
    let local = Local(offset_min);
    let words: Vec<Vec<String>> = shown
        .iter()
        .map(|s| lines(format!("{} {}", local.hm(s.at_ms), s.words).trim_end(), S, names - 7.0))
        .collect();
    let foot = words.iter().map(|w| row_height(w.len(), 5.2)).sum::<f64>().max(5.2) + 0.6;
    let mut list = DisplayList::new(width, 0.0);
    scale.guides(&mut list, 0.0, foot);
    if shown.is_empty() {
        list.text_on_patch((0.5, 3.8), "nobody called a stop", S, 0.4);
    }
    let mut y = 0.0;
    for (stop, words) in shown.iter().zip(&words) {
        row(&mut list, stop, words, &scale, y + 2.9);
        y += row_height(words.len(), 5.2);
    }
    list.line((names, foot), (scale.at(scale.full), foot), Stroke::solid(Ink::Ink, pen::HAIR));
    scale.numbers(&mut list, foot + 2.9);
    ring(&mut list, (1.2, foot + 2.0), 1.0, true);
    list.text((3.2, foot + 2.9), "rope one, haul", XS);
    ring(&mut list, (1.2, foot + 5.4), 1.0, false);
    list.text((3.2, foot + 6.3), "rope two", XS);
    list.height = foot + 7.4;
    list
}

fn row(list: &mut DisplayList, stop: &StopTime, words: &[String], scale: &Seconds, y: f64) {
    match stop.number {
        Some(number) => numbered_stop(list, (1.9, y), number),
        None => Mark::Stop.draw(list, 1.9, y, 3.2),
    }
    label(list, 5.0, y + 0.9, words, S);
    let slowest = stop.slowest();
    let end = scale.at(slowest);
    if slowest > 0.0 {
        list.line((scale.at(0.0), y), (end, y), Stroke::solid(Ink::Ink, pen::MED));
    }
    for operator in &stop.operators {
        if let Some(seconds) = operator.after_s.filter(|s| s.is_finite()) {
            ring(list, (scale.at(seconds), y), 1.1, !operator.rope_two);
        }
    }
    let mut x = end + 2.0;
    if let Some(words) = stop.seconds() {
        x += list.text_on_patch((x, y + 0.9), &words, SB, 0.4) + 1.4;
    }
    if let Some(words) = stop.lacking() {
        Mark::Silent.draw_in(list, x + 1.1, y, 2.2, Ink::Rubric);
        list.text_on_patch((x + 2.8, y + 0.9), &words, SB.ink(Ink::Rubric), 0.4);
    }
}
