//! Falls beside each other: the same site and load on several systems, and what moves a fall most, each as a bar on a scale of metres.

use crate::build::{Type, pen, size};
use crate::list::{DisplayList, Face, Ink, Stroke};
use crate::metrics;
use ::rig::findings::{FallParameter, SystemFall};

/// So many of what moves a fall are drawn.
const RANKS: usize = 6;
/// What lies below is drawn where it is at most so many times as far as the farthest fall.
const NEAR: f64 = 1.5;

struct Page {
    list: DisplayList,
    set: Type,
    larger: f64,
    y: f64,
    /// m at the right end of the scale.
    most: f64,
}

impl Page {
    fn new(width: f64, larger: f64, most: f64) -> Page {
        let set = Type::regular(size::S * larger);
        Page { list: DisplayList::new(width, 0.0), set, larger, y: 0.0, most: most.max(0.1) }
    }

    fn lead(&self) -> f64 {
        size::leading(size::S) * self.larger
    }

    fn bold(&self) -> Type {
        Type { face: Face::Bold, ..self.set }
    }

    fn words(&mut self, text: &str, set: Type) {
        let width = self.list.width;
        for line in metrics::wrap(&metrics::clean(text, set.face), set.face, set.size, width) {
            self.y += self.lead();
            self.list.text((0.0, self.y), &line, set);
        }
    }

    fn at(&self, metres: f64) -> f64 {
        (metres / self.most).clamp(0.0, 1.0) * self.list.width
    }

    /// A bar from one fall to another; `None`: nothing stops it, which goes on past the end of the scale. `middle` is marked.
    fn bar(&mut self, from: Option<f64>, middle: Option<f64>, to: Option<f64>) {
        let high = 2.6 * self.larger;
        let top = self.y + 1.0 * self.larger;
        let right = self.list.width;
        let (a, b) = (from.map_or(right, |m| self.at(m)), to.map_or(right, |m| self.at(m)));
        let (a, b) = (a.min(b), a.max(b));
        // What a range does not move is still seen.
        let wide = (b - a).max(0.6 * self.larger);
        let a = a.min(right - wide);
        let fine = Stroke::solid(Ink::Ink, pen::FINE * self.larger);
        self.list.line((0.0, top + high / 2.0), (a, top + high / 2.0), Stroke::solid(Ink::Ink, pen::HAIR));
        self.list.rect(a, top, wide, high, Some(Ink::Halo), Some(fine));
        if let Some(middle) = middle {
            let x = self.at(middle);
            self.list.line((x, top), (x, top + high), Stroke::solid(Ink::Ink, pen::BOLD * self.larger));
        }
        if from.is_none() || to.is_none() {
            let (tip, w) = (right - 0.2, 1.6 * self.larger);
            let middle = top + high / 2.0;
            let arrow = [(tip - 1.6 * w, middle - 0.6 * w), (tip - 1.6 * w, middle + 0.6 * w), (tip, middle)];
            self.list.polygon(&arrow, Some(Ink::Rubric), None);
        }
        self.y = top + high;
    }

    fn done(mut self) -> DisplayList {
        self.list.height = self.y + 1.2 * self.larger;
        self.list
    }
}

/// "1.32 m"; "no stop" where nothing stops it.
fn metres(value: Option<f64>) -> String {
    value.map_or_else(|| "no stop".into(), |m| format!("{m:.2} m"))
}

/// Systems beside each other, `width` mm wide, type `larger` times as large as on paper: a bar from one in ten runs to nine in ten
/// each, half of them marked, on one scale; what lies `clearance` m below, where it is near.
pub fn systems(all: &[SystemFall], clearance: f64, below: &str, width: f64, larger: f64) -> DisplayList {
    let far = all.iter().filter_map(|s| s.fall_m.p90.or(s.fall_m.p50).or(s.fall_m.p10)).fold(0.0, f64::max);
    let near = clearance <= NEAR * far || far == 0.0;
    let mut page = Page::new(width, larger, if near { far.max(clearance) * 1.04 } else { far * 1.04 });
    let percent = |share: f64| format!("{:.0} in 100 runs", (share * 100.0).ceil());
    let mut bars = Vec::new();
    for system in all {
        let f = system.fall_m;
        let bold = page.bold();
        page.words(&system.label, bold);
        let from = page.y;
        page.bar(f.p10, f.p50, f.p90);
        bars.push((from, page.y));
        let mut words = format!("{} – {} – {}", metres(f.p10), metres(f.p50), metres(f.p90));
        if let Some((p50, p90)) = system.peak_force_kn.p50.zip(system.peak_force_kn.p90) {
            words.push_str(&format!("; pull {p50:.2} – {p90:.2} kN"));
        }
        let set = page.set;
        page.words(&words, set);
        let alarm = bold.ink(Ink::Rubric);
        if system.never_stops > 0.0 {
            page.words(&format!("nothing stops it in {}", percent(system.never_stops)), alarm);
        }
        if system.reaches > 0.0 {
            page.words(&format!("reaches the {below} in {}", percent(system.reaches)), alarm);
        }
        if !system.note.is_empty() {
            page.words(&system.note, set);
        }
        page.y += 1.2 * larger;
    }
    let set = page.set;
    if near {
        let x = page.at(clearance);
        for (from, to) in bars {
            page.list.line(
                (x, from + 0.6 * larger),
                (x, to + 0.4 * larger),
                Stroke::solid(Ink::Ink, pen::BOLD * larger),
            );
        }
        page.words(&format!("the upright line: the {below}, {clearance:.1} m below"), set);
    } else {
        page.words(&format!("the {below} is {clearance:.1} m below, beyond the scale"), set);
    }
    page.done()
}

/// What moves a fall most, `width` mm wide: a bar each, from the fall with it at the one end of its range to that at the other,
/// all else in the middle.
pub fn ranks(parameters: &[FallParameter], width: f64, larger: f64) -> DisplayList {
    let moving: Vec<&FallParameter> =
        parameters.iter().filter(|p| p.moves_m[0] != p.moves_m[1]).take(RANKS).collect();
    let far = moving.iter().flat_map(|p| p.moves_m).flatten().fold(0.0, f64::max);
    let mut page = Page::new(width, larger, far * 1.04);
    for parameter in moving {
        let unit = if parameter.unit.is_empty() { String::new() } else { format!(" {}", parameter.unit) };
        let standing = if parameter.assumed { ", assumed" } else { "" };
        let bold = page.bold();
        page.words(&parameter.label, bold);
        let [low, high] = parameter.moves_m;
        page.bar(low, None, high);
        let words = format!(
            "{} at {}{unit}, {} at {}{unit}{standing}",
            metres(low),
            plain(parameter.low),
            metres(high),
            plain(parameter.high)
        );
        let set = page.set;
        page.words(&words, set);
        page.y += 0.8 * larger;
    }
    if page.y == 0.0 {
        let set = page.set;
        page.words("nothing that is drawn moves it", set);
    }
    page.done()
}

/// A value without a tail of zeros, at most three digits behind the point.
fn plain(value: f64) -> String {
    let words = format!("{value:.3}");
    words.trim_end_matches('0').trim_end_matches('.').to_string()
}
