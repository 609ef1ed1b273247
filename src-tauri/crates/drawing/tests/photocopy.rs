//! Marks and patterns after a bad photocopy and under water: painted at 300 dpi by a painter of this
//! test's own, blurred, thresholded. What must be told apart must differ in what is left.

use drawing::pattern::{self, Axis, MOTIONS, Motion, Stretch};
use drawing::{DisplayList, Ink, Item, MARK, Mark, Seg, TILE};

/// Pixels in a millimetre (300 dpi).
const DPMM: f64 = 300.0 / 25.4;

/// A grey picture, 0 black to 1 white.
struct Picture {
    w: usize,
    h: usize,
    grey: Vec<f64>,
}

impl Picture {
    fn of(list: &DisplayList) -> Picture {
        let (w, h) = ((list.width * DPMM).ceil() as usize, (list.height * DPMM).ceil() as usize);
        let mut picture = Picture { w, h, grey: vec![1.0; w * h] };
        picture.paint(&list.items);
        picture
    }

    fn paint(&mut self, items: &[Item]) {
        for item in items {
            match item {
                Item::Group { items, .. } => self.paint(items),
                Item::Text { .. } => panic!("a mark or pattern must not rest on a font"),
                Item::Path { segs, fill, stroke } => {
                    let lines = flatten(segs);
                    if let Some(ink) = fill {
                        self.each(|x, y| inside(&lines, x, y), grey(*ink));
                    }
                    if let Some(stroke) = stroke {
                        let half = stroke.width * 25.4 / 72.0 / 2.0;
                        let dashed = dash(&lines, &stroke.dash);
                        self.each(
                            |x, y| dashed.iter().any(|(a, b)| distance(*a, *b, x, y) <= half),
                            grey(stroke.ink),
                        );
                    }
                }
            }
        }
    }

    fn each(&mut self, covers: impl Fn(f64, f64) -> bool, to: f64) {
        for row in 0..self.h {
            for column in 0..self.w {
                if covers((column as f64 + 0.5) / DPMM, (row as f64 + 0.5) / DPMM) {
                    self.grey[row * self.w + column] = to;
                }
            }
        }
    }

    /// Every pixel the mean of those within `radius` mm, twice (nearly a bell curve).
    fn blurred(&self, radius: f64) -> Picture {
        let reach = (radius * DPMM).round() as i64;
        let mut grey = self.grey.clone();
        for _ in 0..2 {
            let before = grey.clone();
            for row in 0..self.h as i64 {
                for column in 0..self.w as i64 {
                    let (mut sum, mut count) = (0.0, 0.0);
                    for r in row - reach..=row + reach {
                        for c in column - reach..=column + reach {
                            let sheet = r < 0 || c < 0 || r >= self.h as i64 || c >= self.w as i64;
                            sum += if sheet { 1.0 } else { before[r as usize * self.w + c as usize] };
                            count += 1.0;
                        }
                    }
                    grey[row as usize * self.w + column as usize] = sum / count;
                }
            }
        }
        Picture { grey, ..*self }
    }

    fn black(&self, threshold: f64) -> Vec<bool> {
        self.grey.iter().map(|g| *g < threshold).collect()
    }
}

fn grey(ink: Ink) -> f64 {
    match ink {
        Ink::Sheet => 1.0,
        Ink::Dark => 0.30,
        Ink::Light => 0.65,
        Ink::Halo => 0.85,
        Ink::Rubric => 0.28,
        Ink::Ink | Ink::Unknown | Ink::Caution => 0.0,
    }
}

type Line = ((f64, f64), (f64, f64));

fn flatten(segs: &[Seg]) -> Vec<Line> {
    let (mut at, mut start, mut out) = ((0.0, 0.0), (0.0, 0.0), Vec::new());
    for seg in segs {
        match *seg {
            Seg::Move { x, y } => (at, start) = ((x, y), (x, y)),
            Seg::Line { x, y } => {
                out.push((at, (x, y)));
                at = (x, y);
            }
            Seg::Curve { x1, y1, x2, y2, x, y } => {
                let from = at;
                for i in 1..=16 {
                    let t = f64::from(i) / 16.0;
                    let s = 1.0 - t;
                    let mix = |a: f64, b: f64, c: f64, d: f64| {
                        s * s * s * a + 3.0 * s * s * t * b + 3.0 * s * t * t * c + t * t * t * d
                    };
                    let to = (mix(from.0, x1, x2, x), mix(from.1, y1, y2, y));
                    out.push((at, to));
                    at = to;
                }
            }
            Seg::Close => {
                out.push((at, start));
                at = start;
            }
        }
    }
    out
}

/// Even–odd; an open path is closed as a painter would.
fn inside(lines: &[Line], x: f64, y: f64) -> bool {
    let crossing =
        |((ax, ay), (bx, by)): &Line| (*ay > y) != (*by > y) && x < (bx - ax) * (y - ay) / (by - ay) + ax;
    lines.iter().filter(|line| crossing(line)).count() % 2 == 1
}

fn dash(lines: &[Line], pattern: &[f64]) -> Vec<Line> {
    let [on, off] = pattern else { return lines.to_vec() };
    let (mut run, mut out) = (0.0, Vec::new());
    for ((ax, ay), (bx, by)) in lines {
        let length = (bx - ax).hypot(by - ay);
        let steps = (length / 0.02).ceil().max(1.0) as usize;
        for i in 0..steps {
            let part = |k: usize| {
                (ax + (bx - ax) * k as f64 / steps as f64, ay + (by - ay) * k as f64 / steps as f64)
            };
            if run % (on + off) < *on {
                out.push((part(i), part(i + 1)));
            }
            run += length / steps as f64;
        }
    }
    out
}

fn distance((ax, ay): (f64, f64), (bx, by): (f64, f64), x: f64, y: f64) -> f64 {
    let (dx, dy) = (bx - ax, by - ay);
    let square = dx * dx + dy * dy;
    let t = if square > 0.0 { (((x - ax) * dx + (y - ay) * dy) / square).clamp(0.0, 1.0) } else { 0.0 };
    (x - ax - t * dx).hypot(y - ay - t * dy)
}

/// The share of the blackened pixels that are black in one only.
fn difference(a: &[bool], b: &[bool]) -> f64 {
    let either = a.iter().zip(b).filter(|(a, b)| **a || **b).count();
    let one = a.iter().zip(b).filter(|(a, b)| a != b).count();
    one as f64 / either.max(1) as f64
}

fn mark(mark: Mark, ink: Option<Ink>) -> Picture {
    let mut list = DisplayList::new(TILE, TILE);
    mark.draw_in(&mut list, TILE / 2.0, TILE / 2.0, MARK, ink.unwrap_or(mark.ink()));
    Picture::of(&list)
}

/// A third copy (blur 0.1 mm, threshold 60 %) and a wet sheet (blur 0.2 mm, 50 %).
const DAMAGE: [(&str, f64, f64, f64); 2] = [("copy", 0.10, 0.60, 0.30), ("wet", 0.20, 0.50, 0.30)];

#[test]
fn every_two_marks_still_differ() {
    for (name, radius, threshold, least) in DAMAGE {
        let left: Vec<(Mark, Vec<bool>)> =
            Mark::all().map(|m| (m, mark(m, None).blurred(radius).black(threshold))).collect();
        let mut closest = (1.0, Mark::Holds, Mark::Holds);
        for (i, (a, pa)) in left.iter().enumerate() {
            assert!(pa.iter().filter(|black| **black).count() > 60, "{name}: {a:?} is gone");
            for (b, pb) in &left[i + 1..] {
                let found = difference(pa, pb);
                if found < closest.0 {
                    closest = (found, *a, *b);
                }
            }
        }
        println!("{name}: closest {closest:?}");
        assert!(closest.0 >= least, "{name}: {closest:?}");
    }
}

#[test]
fn what_is_bad_or_unknown_is_far_from_what_holds() {
    for (name, radius, threshold, _) in DAMAGE {
        let holds = mark(Mark::Holds, None).blurred(radius).black(threshold);
        for other in [
            Mark::NotChecked,
            Mark::FallsShort,
            Mark::HeldOnlyIf,
            Mark::Moves,
            Mark::Dropped,
            Mark::Overloaded,
        ] {
            let found = difference(&holds, &mark(other, None).blurred(radius).black(threshold));
            assert!(found > 0.38, "{name}: {other:?} {found}");
        }
    }
}

#[test]
fn no_mark_rests_on_colour() {
    // In black alone each is what it was.
    for m in Mark::all() {
        let (own, black) = (mark(m, None).black(0.6), mark(m, Some(Ink::Ink)).black(0.6));
        assert!(difference(&own, &black) < 0.01, "{m:?}");
    }
}

fn strip(motion: Motion, slow: bool, axis: Axis, length: f64) -> Picture {
    let broad = 5.0;
    let (w, h) = if axis == Axis::Across { (length, broad) } else { (broad, length) };
    let mut list = DisplayList::new(w + 2.0, h + 2.0);
    pattern::draw(&mut list, motion, slow, Stretch { x: 1.0, y: 1.0, w, h, axis, ends: false });
    Picture::of(&list)
}

fn all_motions() -> Vec<(Motion, bool)> {
    let slow = MOTIONS.iter().filter(|(m, _, _)| pattern::has_slow(*m)).map(|(m, _, _)| (*m, true));
    MOTIONS.iter().map(|(m, _, _)| (*m, false)).chain(slow).collect()
}

#[test]
fn every_two_motions_still_differ_down_and_across() {
    for (name, radius, threshold, _) in DAMAGE {
        for (axis, length) in
            [(Axis::Down, 10.0), (Axis::Across, 10.0), (Axis::Down, 3.4), (Axis::Across, 3.4)]
        {
            let left: Vec<_> = all_motions()
                .into_iter()
                .map(|(m, slow)| ((m, slow), strip(m, slow, axis, length).blurred(radius).black(threshold)))
                .collect();
            for (i, (a, pa)) in left.iter().enumerate() {
                for (b, pb) in &left[i + 1..] {
                    let found = difference(pa, pb);
                    assert!(found > 0.1, "{name} {axis:?} {length}: {a:?} {b:?} {found}");
                }
            }
        }
    }
}

/// The share of black in the middle part of a strip's breadth, where the patterns live.
fn darkness(picture: &Picture, axis: Axis, threshold: f64) -> f64 {
    let (broad, along) = if axis == Axis::Across { (picture.h, picture.w) } else { (picture.w, picture.h) };
    let black = picture.black(threshold);
    let (mut dark, mut all) = (0.0, 0.0);
    for over in broad * 3 / 10..broad * 7 / 10 {
        for at in DPMM as usize..along - DPMM as usize {
            let (row, column) = if axis == Axis::Across { (over, at) } else { (at, over) };
            dark += f64::from(u8::from(black[row * picture.w + column]));
            all += 1.0;
        }
    }
    dark / all
}

#[test]
fn moving_is_dark_and_not_moving_is_light_from_a_millimetre_on() {
    for (name, radius, threshold, _) in DAMAGE {
        for axis in [Axis::Down, Axis::Across] {
            for length in [1.0, 1.2, 1.6, 3.4, 12.0] {
                let shares = |moves: bool| {
                    let chosen = all_motions().into_iter().filter(move |(motion, _)| motion.moves() == moves);
                    chosen.map(move |(motion, slow)| {
                        darkness(&strip(motion, slow, axis, length).blurred(radius), axis, threshold)
                    })
                };
                let lightest_moving = shares(true).fold(1.0, f64::min);
                let darkest_still = shares(false).fold(0.0, f64::max);
                assert!(
                    lightest_moving > darkest_still + 0.1,
                    "{name} {axis:?} {length} mm: moving {lightest_moving:.2}, still {darkest_still:.2}"
                );
            }
        }
    }
}
