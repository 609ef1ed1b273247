//! Charts of section 6.

use crate::input::ReportInput;
use crate::kit::Book;

/// Sets the charts.
pub fn set(_book: &mut Book, _input: &ReportInput) {}
