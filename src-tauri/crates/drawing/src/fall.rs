//! How far the load drops after a loss, to scale: the load on its rope, the band of nine in ten runs below it, and what lies
//! further down. One scale from the load down; where what lies below is far off, a break says so.

use crate::build::{Type, pen, size};
use crate::list::{DisplayList, Ink, Stroke};
use crate::metrics::{self, PT};
use crate::words::length;
use ::rig::findings::{FallFinding, FallOutcome, Percentiles};
use ::rig::model::BelowKind;
use ::rig::units::{Kind, Side, Units};
use serde::Serialize;
use ts_rs::TS;

/// A fall as it is drawn, with what a screen needs to let it play.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub struct FallPicture {
    /// The drawing.
    pub list: DisplayList,
    /// Where the load hangs before the loss, mm; `None` where nothing is drawn to scale.
    pub load: Option<[f64; 2]>,
    /// Where the rope comes from, mm from the top.
    pub rope_from: f64,
    /// mm of the drawing for one metre.
    pub scale: f64,
}

/// Room over the load for its rope, and for the metres below it, mm: on paper, and on a screen, which is low.
const PAPER: (f64, f64) = (20.0, 62.0);
const SCREEN: (f64, f64) = (13.0, 27.0);
/// The picture reaches at least so much deeper than nine in ten runs.
const BEYOND: f64 = 1.5;

/// Draws a fall `width` mm wide, type `larger` times as large as on paper.
pub fn draw(fall: &FallFinding, width: f64, larger: f64) -> FallPicture {
    draw_in(Units::Si, fall, width, larger)
}

/// The same with its figures in the units asked for. What the check stored in words stays as it was stored.
pub fn draw_in(units: Units, fall: &FallFinding, width: f64, larger: f64) -> FallPicture {
    let page = Page { set: Type::regular(size::S * larger), larger, width, units };
    match (fall.outcome, fall.fall_m) {
        (FallOutcome::Stops | FallOutcome::MayNotStop, Some(metres)) => page.band(fall, metres),
        _ => page.words(fall),
    }
}

struct Page {
    set: Type,
    larger: f64,
    width: f64,
    units: Units,
}

impl Page {
    fn leading(&self) -> f64 {
        size::leading(size::S) * self.larger
    }

    fn bold(&self) -> Type {
        Type { face: crate::list::Face::Bold, ..self.set }
    }

    /// Lines of words from `y` down; returns where the next would stand.
    fn paragraph(&self, list: &mut DisplayList, y: f64, text: &str, set: Type) -> f64 {
        let lines = metrics::wrap(&metrics::clean(text, set.face), set.face, set.size, self.width);
        for (n, line) in lines.iter().enumerate() {
            list.text((0.0, y + self.leading() * n as f64), line, set);
        }
        y + self.leading() * lines.len() as f64
    }

    /// Where there is no band, the words alone.
    fn words(&self, fall: &FallFinding) -> FallPicture {
        let mut list = DisplayList::new(self.width, 0.0);
        let ink = match fall.outcome {
            FallOutcome::Dropped => Ink::Rubric,
            FallOutcome::NotComputed => Ink::Unknown,
            _ => Ink::Ink,
        };
        let set = if ink == Ink::Ink { self.set } else { self.bold().ink(ink) };
        let end = self.paragraph(&mut list, self.leading(), &fall.words, set);
        list.height = end;
        FallPicture { list, load: None, rope_from: 0.0, scale: 0.0 }
    }

    fn band(&self, fall: &FallFinding, metres: Percentiles) -> FallPicture {
        let far = metres.p90.map_or(fall.clearance_m, |p90| p90 * BEYOND).max(1.0);
        let near = far >= fall.clearance_m;
        let deep = if near { fall.clearance_m.max(0.1) } else { far };
        let (over, room) = if self.larger > 1.0 { SCREEN } else { PAPER };
        let (over, room) = (over * self.larger, room * self.larger);
        let scale = room / deep;
        let x = 16.0 * self.larger;
        let mut list = DisplayList::new(self.width, 0.0);
        let at = |m: f64| over + m * scale;
        let floor = at(deep) + if near { 0.0 } else { 6.0 * self.larger };
        self.place(&mut list, fall, x, over, floor, near);
        self.figures(&mut list, metres, x, &at, floor);
        let mut y = floor + 3.0 * self.larger + self.leading();
        for (words, set) in self.below(fall) {
            y = self.paragraph(&mut list, y, &words, set);
        }
        list.height = y - self.leading() + 1.2 * self.larger;
        FallPicture { list, load: Some([x, over]), rope_from: 1.0, scale }
    }

    /// Wall, rope, load, ground.
    fn place(&self, list: &mut DisplayList, fall: &FallFinding, x: f64, over: f64, floor: f64, near: bool) {
        let large = self.larger;
        let wall = 3.0 * large;
        list.hatch(0.0, 1.0, wall, floor - 1.0, 1.6 * large, Ink::Ink, pen::HAIR);
        list.line((wall, 1.0), (wall, floor), Stroke::solid(Ink::Ink, pen::MED * large));
        list.line((x, 1.0), (x, over - 4.0 * large), Stroke::solid(Ink::Ink, pen::BOLD * large));
        let half = 6.0 * large;
        for side in [-1.0, 1.0] {
            let to = (x + side * half * 0.8, over - 1.6 * large);
            list.line((x, over - 4.0 * large), to, Stroke::solid(Ink::Ink, pen::FINE * large));
        }
        let stroke = Some(Stroke::solid(Ink::Ink, pen::MED * large));
        list.round_rect(
            x - half,
            over - 1.6 * large,
            2.0 * half,
            1.6 * large,
            0.8 * large,
            Some(Ink::Sheet),
            stroke,
        );
        let label = (x + 8.6 * large, over - 1.0 * large - self.leading());
        if let Some(free) = fall.free_length_m {
            let of = if fall.who.is_empty() { "rope" } else { "tether" };
            list.text(label, &format!("{} of {of}", length(self.units, free, 1)), self.set);
            list.text((label.0, label.1 + self.leading()), "free above it", self.set);
        }
        if !near {
            // A break: what lies below is not to scale.
            for dy in [-4.2, -2.8] {
                let y = floor + dy * large;
                let ends = [(wall - 1.2 * large, y + 0.7 * large), (wall + 1.2 * large, y - 0.7 * large)];
                list.line(ends[0], ends[1], Stroke::solid(Ink::Ink, pen::MED * large));
            }
        }
        let right = self.width;
        list.line((0.0, floor), (right, floor), Stroke::solid(Ink::Ink, pen::BOLD * large));
        if fall.below == BelowKind::Water.words() {
            for n in 1..=2 {
                let at = floor + 1.1 * large * f64::from(n);
                let stroke = Stroke::solid(Ink::Ink, pen::FINE * large).dashed(2.4 * large, 1.2 * large);
                list.line((0.0, at), (right, at), stroke);
            }
        } else {
            list.hatch(0.0, floor, right, 2.4 * large, 1.6 * large, Ink::Ink, pen::HAIR);
        }
    }

    /// The band with its three figures, each beside its height as near as the others let it.
    fn figures(
        &self,
        list: &mut DisplayList,
        metres: Percentiles,
        x: f64,
        at: &dyn Fn(f64) -> f64,
        floor: f64,
    ) {
        let large = self.larger;
        let half = 5.0 * large;
        let end = |m: Option<f64>| m.map_or(floor, |m| at(m).min(floor));
        let (top, middle, low) = (end(metres.p10), end(metres.p50), end(metres.p90));
        let dotted = Stroke::solid(Ink::Ink, pen::FINE * large).dashed(0.7 * large, 1.0 * large);
        list.line((x, at(0.0)), (x, top), dotted);
        list.rect(
            x - half,
            top,
            2.0 * half,
            low - top,
            Some(Ink::Halo),
            Some(Stroke::solid(Ink::Ink, pen::FINE * large)),
        );
        let bar = Stroke::solid(Ink::Ink, pen::BOLD * 1.4 * large);
        if metres.p50.is_some() && middle <= floor {
            list.line((x - half, middle), (x + half, middle), bar);
        }
        if metres.p90.is_none() || low >= floor {
            let tip = floor - 0.4 * large;
            let w = 1.8 * large;
            let arrow = [(x - w, tip - 2.0 * w), (x + w, tip - 2.0 * w), (x, tip)];
            list.polygon(&arrow, Some(Ink::Rubric), None);
        }
        let rows = [
            (metres.p10, top, "1 in 10 runs"),
            (metres.p50, middle, "half of them"),
            (metres.p90, low, "9 in 10"),
        ];
        let lead = self.leading() * 1.15;
        let mut places: Vec<f64> = rows.iter().map(|(_, y, _)| y + 0.36 * self.set.size * PT).collect();
        // From the foot up they make room, then from the top down.
        let last = floor - 1.2 * large;
        for n in (0..3).rev() {
            let most = last - lead * (2 - n) as f64;
            places[n] = places[n].min(most);
        }
        // Clear of what stands beside the rope above the load, where there is room for that.
        let clear = at(0.0) - large + lead;
        if clear + 2.0 * lead <= last {
            places[0] = places[0].max(clear);
        }
        for n in 1..3 {
            places[n] = places[n].max(places[n - 1] + lead);
        }
        let words = x + half + 4.0 * large;
        for ((metres, y, name), place) in rows.iter().zip(&places) {
            let level = place - 0.36 * self.set.size * PT;
            let leader = Stroke::solid(Ink::Ink, pen::HAIR * large);
            list.polyline(
                &[(x + half, *y), (x + half + 2.6 * large, level), (words - 0.8 * large, level)],
                leader,
            );
            let figure = metres.map_or_else(|| "no stop".to_string(), |m| length(self.units, m, 2));
            let heavy = if metres.is_none() { self.bold().ink(Ink::Rubric) } else { self.bold() };
            let wide = list.text((words, *place), &figure, heavy);
            list.text((words + wide + 1.4 * large, *place), name, self.set);
        }
    }

    /// What stands under the ground.
    fn below(&self, fall: &FallFinding) -> Vec<(String, Type)> {
        let percent = |share: f64| format!("{:.0} in 100", (share * 100.0).ceil());
        let clear = length(self.units, fall.clearance_m, 1);
        let mut out = vec![(format!("{}, {clear} below", fall.below), self.bold())];
        if let Some(reaches) = fall.reaches.filter(|r| *r > 0.0) {
            out.push((format!("reached in {} runs", percent(reaches)), self.bold().ink(Ink::Rubric)));
        }
        if let Some(never) = fall.never_stops.filter(|n| *n > 0.0) {
            out.push((format!("nothing stops it in {} runs", percent(never)), self.bold().ink(Ink::Rubric)));
        }
        if fall.bare_edge {
            let words = "on a bare edge: whether it cuts a rope is not checked";
            out.push((words.into(), self.bold().ink(Ink::Unknown)));
        }
        if let Some((p50, p90)) = fall.peak_force_kn.and_then(|p| p.p50.zip(p.p90)) {
            let pull = |kn: f64| self.units.told(Kind::Force, kn, &format!("{kn:.2}"), Side::Near);
            let words =
                format!("pull on {}: half {}, 9 in 10 under {}", fall.dropper(), pull(p50), pull(p90));
            out.push((words, self.set));
        }
        if let Some(words) = fall.reaches_words(&|m| length(self.units, m, 1)) {
            out.push((words, self.set));
        }
        out.extend(fall.taken.iter().map(|taken| (taken.clone(), self.set)));
        if fall.team_lets_go {
            out.push(("the haul team is taken to let go".into(), self.set));
        }
        if !fall.swing.is_empty() {
            out.push((fall.swing.clone(), self.set));
        }
        let assumed = fall.parameters.iter().filter(|p| p.assumed).count();
        out.push((
            format!("{} runs; {assumed} of {} ranges are assumptions", fall.runs, fall.parameters.len()),
            self.set,
        ));
        out
    }
}
