//! The page kit: the grid, text of several looks, pages, tables, the book that holds them.
//! Millimetres from the top left, type in points, the y of a text is its baseline.

pub mod book;
pub mod page;
pub mod rich;
pub mod table;
#[cfg(test)]
mod table_tests;

pub use crate::input::Paper;
pub use book::Book;
pub use page::Page;
pub use rich::Rich;
pub use table::{Row, Table};

/// Width of the measure: the same on A4 and Letter, so that every drawing and column is the same.
pub const MEASURE: f64 = 174.0;

/// Top of the content.
pub const TOP: f64 = 23.4;

/// Left edge of column `n` of twelve, from the left of the measure.
pub fn column(n: u32) -> f64 {
    14.8 * f64::from(n)
}

/// Width of `n` columns with the gutters between them.
pub fn columns(n: u32) -> f64 {
    14.8 * f64::from(n) - 3.6
}

/// The largest number up to `most` that fits, where a larger one never fits when a smaller does not; 1
/// at least.
pub fn most_that_fit(most: usize, fits: impl Fn(usize) -> bool) -> usize {
    let (mut fitting, mut beyond) = (1, most + 1);
    while fitting + 1 < beyond {
        let middle = usize::midpoint(fitting, beyond);
        if fits(middle) {
            fitting = middle;
        } else {
            beyond = middle;
        }
    }
    fitting
}
