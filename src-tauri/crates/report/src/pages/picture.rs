//! The picture of page 1.

use crate::input::ReportInput;
use crate::kit::Page;

/// Sets the picture; returns the y below it.
pub fn set(_page: &mut Page, _input: &ReportInput, (_x, y): (f64, f64), height: f64) -> f64 {
    y + height + 40.0
}
