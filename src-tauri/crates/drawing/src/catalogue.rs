//! All marks and patterns as drawings, so that the screens paint the very same.

use crate::list::{DisplayList, Item, Seg};
use crate::marks::Mark;
use crate::pattern::{self, Axis, MOTIONS};

/// Side of a mark's tile in mm; the mark in it is [`MARK`] mm across.
pub const TILE: f64 = 3.0;
/// Size of a mark beside 8 pt text, mm.
pub const MARK: f64 = 2.5;
/// Breadth of the rope in a pattern's tile, mm.
pub const ROPE: f64 = 5.0;

/// Every mark (`mark/not_checked`) and pattern (`pattern/lowering_slow/down`) with its drawing, in a
/// fixed order, numbers rounded to a thousandth of a mm.
pub fn catalogue() -> Vec<(String, DisplayList)> {
    let mut out = Vec::new();
    for mark in Mark::all() {
        let mut list = DisplayList::new(TILE, TILE);
        mark.draw(&mut list, TILE / 2.0, TILE / 2.0, MARK);
        out.push((format!("mark/{}", mark.id()), rounded(list)));
    }
    for (motion, id, _) in MOTIONS {
        for slow in [false, true] {
            if slow && !pattern::has_slow(motion) {
                continue;
            }
            let slow_word = if slow { "_slow" } else { "" };
            for (axis, word) in [(Axis::Down, "down"), (Axis::Across, "across")] {
                let list = pattern::tile(motion, slow, axis, ROPE);
                out.push((format!("pattern/{id}{slow_word}/{word}"), rounded(list)));
            }
        }
    }
    out
}

fn round(value: &mut f64) {
    *value = (*value * 1000.0).round() / 1000.0 + 0.0;
}

/// The drawing with every length rounded to a thousandth of a mm.
pub fn rounded(mut list: DisplayList) -> DisplayList {
    round(&mut list.width);
    round(&mut list.height);
    round_items(&mut list.items);
    list
}

fn round_items(items: &mut [Item]) {
    for item in items {
        match item {
            Item::Path { segs, stroke, .. } => {
                for seg in segs {
                    match seg {
                        Seg::Move { x, y } | Seg::Line { x, y } => [x, y].into_iter().for_each(round),
                        Seg::Curve { x1, y1, x2, y2, x, y } => {
                            [x1, y1, x2, y2, x, y].into_iter().for_each(round)
                        }
                        Seg::Close => {}
                    }
                }
                if let Some(stroke) = stroke {
                    round(&mut stroke.width);
                    stroke.dash.iter_mut().for_each(round);
                }
            }
            Item::Text { x, y, size, turn, .. } => [x, y, size, turn].into_iter().for_each(round),
            Item::Group { items, .. } => round_items(items),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn has_every_mark_and_motion_once_and_repeats_to_the_byte() {
        let all = catalogue();
        assert_eq!(all.len(), Mark::all().count() + (9 + 2) * 2);
        assert!(all.iter().all(|(_, list)| !list.items.is_empty()));
        assert_eq!(format!("{all:?}"), format!("{:?}", catalogue()));
        let mut names: Vec<&str> = all.iter().map(|(name, _)| name.as_str()).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), all.len());
    }
}
