//! Ledges and water under the load, at their heights beside the axis.

use super::Sheet;
use super::heights::{Taken, meets_load};
use crate::build::pen;
use crate::list::{DisplayList, Ink, Stroke};
use crate::words::short_length;
use ::rig::model::BelowKind;

/// Draws what lies between ground and edge where the axis is to scale. `note`: right end of the words under the litter;
/// `lowest`: where what stands at the top ends. Answers the heights on the sheet of what is drawn, which no number may lie on, and the
/// words that found no place.
pub fn draw(
    list: &mut DisplayList,
    sheet: &Sheet<'_>,
    taken: &Taken,
    note: f64,
    lowest: f64,
) -> (Vec<f64>, Vec<String>) {
    let layout = &sheet.layout;
    let (x, large) = (layout.axis(), sheet.scale());
    let (mut drawn, mut left_over) = (Vec::new(), Vec::new());
    for below in &sheet.rig.edge.below {
        let metres = below.height.to_metres();
        let words = format!("{}, {}", below.kind.words(), short_length(sheet.options.units, metres));
        let y = layout.per_metre().map(|per_metre| layout.ground - metres * per_metre);
        let Some(y) = y.filter(|y| *y > layout.edge && *y < layout.ground - 0.5) else {
            left_over.push(words);
            continue;
        };
        let reach = 7.0 * large;
        match below.kind {
            BelowKind::Ledge => {
                list.line((x - reach, y), (x, y), Stroke::solid(Ink::Ink, pen::BOLD));
                list.hatch(x - reach, y, reach, 1.4 * large, 1.1, Ink::Ink, pen::HAIR);
            }
            BelowKind::Water => {
                for (n, part) in [1.0, 0.7, 0.4].into_iter().enumerate() {
                    let at = y + 0.9 * large * n as f64;
                    let stroke = Stroke::solid(Ink::Ink, pen::FINE).dashed(1.6 * large, 0.8 * large);
                    list.line((x - reach * part, at), (x, at), stroke);
                }
            }
        }
        let set = sheet.type_of(true, false).end();
        let at = (x - reach - 1.0 * large, y + 0.9 * large);
        let left = at.0 - set.width(&words);
        let clear = y - lowest > 4.1 * large
            && layout.ground - y > 4.4 * large
            && drawn.iter().all(|other: &f64| (other - y).abs() > 4.1 * large);
        if clear && !meets_load(sheet, note, left, y) && taken.through(at, &words, set) == 0 {
            list.text_on_patch(at, &words, set, 0.3);
        } else {
            left_over.push(words);
        }
        drawn.push(y);
    }
    (drawn, left_over)
}
