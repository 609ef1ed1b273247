//! Where a second window goes on a display that the first one is on: beside it, above or below it, wherever there is most room;
//! else over the older part of its line, where it hides nothing that is needed now.

/// A rectangle in logical pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Area {
    /// Left.
    pub x: f64,
    /// Top.
    pub y: f64,
    /// Width.
    pub w: f64,
    /// Height.
    pub h: f64,
}

/// Where the second window goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Its area, the window's own frame not counted.
    pub area: Area,
    /// Where the first window's left side goes so that there is room; `None`: it stays.
    pub first_x: Option<f64>,
    /// It lies over the first window and must stay on top of it.
    pub over: bool,
}

/// Its widest: half of the display that it is drawn for.
pub const WIDEST: f64 = 960.0;
/// Its narrowest: a third of it.
pub const NARROWEST: f64 = 640.0;
const SHAPE: f64 = 9.0 / 16.0;
/// A window system's frame: its title bar above, its edges.
const TITLE: f64 = 36.0;
const EDGE: f64 = 2.0;
/// Past the rail, and under the strip and the line's head.
const RAIL: f64 = 104.0;
const UNDER_HEAD: f64 = 128.0;

/// A place for it on this display, beside the window that is `first` with its frame.
pub fn place(first: Area, display: Area) -> Place {
    let stays = |area| Place { area, first_x: None, over: false };
    if let Some(area) = beside(first, display) {
        return stays(area);
    }
    // Moved to the left, a first window in the middle of a wide display leaves room.
    let moved = Area { x: display.x, ..first };
    if let Some(area) = beside(moved, display) {
        return Place { first_x: Some(moved.x), ..stays(area) };
    }
    let x = (first.x + RAIL).min(display.x + display.w - NARROWEST).max(display.x);
    let h = NARROWEST * SHAPE;
    let y = (first.y + UNDER_HEAD).min(display.y + display.h - h).max(display.y);
    Place { over: true, ..stays(Area { x, y, w: NARROWEST, h }) }
}

/// The largest that fits beside it without covering any of it.
fn beside(first: Area, display: Area) -> Option<Area> {
    let (right, bottom) = (display.x + display.w, display.y + display.h);
    let at_right = Area { x: first.x + first.w, w: right - first.x - first.w, ..display };
    let at_left = Area { w: first.x - display.x, ..display };
    let below = Area { y: first.y + first.h, h: bottom - first.y - first.h, ..display };
    let above = Area { h: first.y - display.y, ..display };
    let fitted = [at_right, at_left, above, below].map(inside);
    let widest = fitted.into_iter().reduce(|best, one| if one.w > best.w { one } else { best })?;
    (widest.w >= NARROWEST).then_some(widest)
}

/// The largest window in a free area, in its upper left.
fn inside(free: Area) -> Area {
    let w = (free.w - 2.0 * EDGE).min((free.h - TITLE - EDGE) / SHAPE).clamp(0.0, WIDEST).floor();
    Area { x: free.x, y: free.y, w, h: (w * SHAPE).floor() }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(x: f64, y: f64, w: f64, h: f64) -> Area {
        Area { x, y, w, h }
    }

    /// Whether a window with its frame covers any of another.
    fn covers(place: Area, first: Area) -> bool {
        let (w, h) = (place.w + 2.0 * EDGE, place.h + TITLE + EDGE);
        place.x < first.x + first.w
            && first.x < place.x + w
            && place.y < first.y + first.h
            && first.y < place.y + h
    }

    #[test]
    fn it_goes_where_there_is_most_room() {
        let display = area(0.0, 0.0, 2560.0, 1440.0);
        let at = |x, y| place(area(x, y, 1280.0, 836.0), display).area;
        assert_eq!((at(0.0, 0.0).x, at(0.0, 0.0).w), (1280.0, WIDEST));
        assert_eq!((at(1280.0, 0.0).x, at(1280.0, 0.0).w), (0.0, WIDEST));
        assert_eq!(at(640.0, 0.0).y, 836.0, "below");
        assert_eq!(at(640.0, 604.0).y, 0.0, "above");
    }

    #[test]
    fn a_window_in_the_middle_makes_room_by_moving_to_the_left() {
        let got = place(area(320.0, 140.0, 1276.0, 836.0), area(0.0, 0.0, 1920.0, 1080.0));
        assert_eq!((got.first_x, got.area.x, got.area.w, got.over), (Some(0.0), 1276.0, 640.0, false));
    }

    #[test]
    fn on_a_small_display_it_lies_over_the_older_line_and_stays_on_top() {
        for (w, h) in [(1366.0, 768.0), (1280.0, 800.0), (1024.0, 768.0)] {
            let got = place(area(0.0, 0.0, w, h), area(0.0, 0.0, w, h));
            assert!(got.over && got.first_x.is_none(), "{got:?}");
            assert!(got.area.y >= 120.0, "the strip and the line's head stay in sight");
            assert!(got.area.y + got.area.h + TITLE <= h - 132.0 - 108.0, "the free line and two slots too");
        }
    }

    #[test]
    fn wherever_it_goes_it_is_on_the_display_and_covers_nothing_unless_it_says_so() {
        for display in [area(0.0, 0.0, 1920.0, 1080.0), area(-1920.0, 40.0, 2560.0, 1440.0)] {
            for i in 0..400 {
                let (a, b, c) = (f64::from(i % 20), f64::from(i / 20), f64::from(i % 7));
                let (w, h) = (1024.0 + c * 120.0, 700.0 + c * 50.0);
                let x = display.x + a / 19.0 * (display.w - w).max(0.0);
                let y = display.y + b / 19.0 * (display.h - h).max(0.0);
                let first = area(x, y, w, h);
                let got = place(first, display);
                let moved = Area { x: got.first_x.unwrap_or(first.x), ..first };
                assert_eq!(covers(got.area, moved), got.over, "{first:?} {got:?}");
                let (right, bottom) = (got.area.x + got.area.w, got.area.y + got.area.h);
                assert!(got.area.x >= display.x && right <= display.x + display.w, "{got:?}");
                assert!(got.area.y >= display.y && bottom <= display.y + display.h, "{got:?}");
                assert!(got.area.w >= NARROWEST && got.area.w <= WIDEST, "{got:?}");
            }
        }
    }
}
