//! Bars of time: in each motion, and of each person on rope and in zones.

use super::{S, XS, label, lines, row_height};
use crate::build::{Type, pen, size};
use crate::list::{DisplayList, Ink, Stroke};
use crate::moment::duration;
use crate::pattern::{self, Axis, Motion, Stretch};

/// Time in each motion as bars in their patterns, in the order given.
pub fn time_in_motion(seconds: &[(Motion, f64)], width: f64) -> DisplayList {
    let rows: Vec<(Motion, f64)> =
        seconds.iter().copied().filter(|(_, s)| s.is_finite() && *s > 0.0).collect();
    let mut list = DisplayList::new(width, 4.8 * rows.len().max(1) as f64);
    if rows.is_empty() {
        list.text((0.0, 3.2), "no motion was recorded", S);
        return list;
    }
    let words: Vec<String> = rows.iter().map(|(_, s)| duration(*s)).collect();
    let names = 24.0;
    let room = words.iter().map(|w| S.width(w)).fold(0.0, f64::max) + 1.8;
    let longest = rows.iter().map(|(_, s)| *s).fold(0.0, f64::max);
    for (i, ((motion, s), words)) in rows.iter().zip(&words).enumerate() {
        let y = 4.8 * i as f64;
        list.text((0.0, y + 3.2), motion.words(), S);
        let w = (s / longest * (width - names - room)).max(0.5);
        let bar = Stretch { x: names, y: y + pattern::PROUD, w, h: 3.6, axis: Axis::Across, ends: true };
        pattern::draw(&mut list, *motion, false, bar);
        list.text((names + w + 1.4, y + 3.2), words, S);
    }
    list
}

/// How long one person was where.
#[derive(Clone, Debug, Default)]
pub struct Exposure {
    /// Name.
    pub person: String,
    /// Seconds on rope.
    pub on_rope_s: f64,
    /// Seconds in the edge zone.
    pub edge_s: f64,
    /// Seconds in the drop zone.
    pub drop_s: f64,
}

impl Exposure {
    fn parts(&self) -> [f64; 3] {
        [self.on_rope_s, self.edge_s, self.drop_s].map(|s| if s.is_finite() { s.max(0.0) } else { 0.0 })
    }
    /// Seconds in all.
    pub fn total_s(&self) -> f64 {
        self.parts().iter().sum()
    }
}

/// Minutes of each person on rope (dark), in the edge zone (hatched) and in the drop zone (white), with a
/// key. `longest_s`: the longest bar of a chart that goes on elsewhere, so that both have one scale.
pub fn exposure(people: &[Exposure], width: f64, longest_s: Option<f64>) -> DisplayList {
    let names = 39.0;
    let room = 16.0;
    let people: Vec<(&Exposure, Vec<String>)> =
        people.iter().filter(|p| p.total_s() > 0.0).map(|p| (p, lines(&p.person, S, names - 1.5))).collect();
    let longest = people.iter().map(|(p, _)| p.total_s()).fold(longest_s.unwrap_or(0.0), f64::max).max(1.0);
    let mut list = DisplayList::new(width, 0.0);
    let mut y = 0.0;
    if people.is_empty() {
        list.text((0.0, 3.2), "nobody was on rope or in a zone, by the entries", S);
        y += 5.2;
    }
    for (person, name) in &people {
        label(&mut list, 0.0, y + 3.2, name, S);
        let mut x = names;
        for (zone, seconds) in person.parts().into_iter().enumerate() {
            let w = seconds / longest * (width - names - room);
            zone_bar(&mut list, zone, (x, y + 0.5), (w, 3.8));
            let minutes = format!("{:.0}", seconds / 60.0);
            let set = Type::bold(size::XS).middle();
            if w > set.width(&minutes) + 2.0 {
                let at = (x + w / 2.0, y + 3.3);
                match zone {
                    0 => list.text(at, &minutes, set.ink(Ink::Sheet)),
                    _ => list.text_on_patch(at, &minutes, set, 0.5),
                };
            }
            x += w;
        }
        list.text((x + 1.4, y + 3.2), &minutes(person.total_s()), S);
        y += row_height(name.len(), 5.2);
    }
    let mut x = 0.0;
    for (zone, words) in ["on rope", "edge zone", "drop zone"].into_iter().enumerate() {
        zone_bar(&mut list, zone, (x, y + 1.2), (5.0, 2.6));
        x += 6.2 + list.text((x + 6.2, y + 3.4), words, XS) + 3.5;
    }
    list.text((width, y + 3.4), "minutes", XS.end());
    list.height = y + 5.0;
    list
}

fn minutes(seconds: f64) -> String {
    let minutes = seconds / 60.0;
    if minutes < 1000.0 { format!("{minutes:.0} min") } else { format!("{:.0} h", minutes / 60.0) }
}

fn zone_bar(list: &mut DisplayList, zone: usize, (x, y): (f64, f64), (w, h): (f64, f64)) {
    let outline = Some(Stroke::solid(Ink::Ink, pen::FINE));
    match zone {
        0 => list.rect(x, y, w, h, Some(Ink::Dark), outline),
        1 => {
            list.rect(x, y, w, h, Some(Ink::Sheet), None);
            list.hatch(x, y, w, h, 1.1, Ink::Ink, pen::FINE);
            list.rect(x, y, w, h, None, outline);
        }
        _ => list.rect(x, y, w, h, Some(Ink::Sheet), outline),
    }
}
