//! Section 4: the line.

use crate::input::ReportInput;
use crate::kit::Book;

/// Sets the section.
pub fn set(book: &mut Book, _input: &ReportInput) {
    book.open("The line");
    book.head("4", "The line", "time runs down; a silence is shortened and its length written");
    book.nothing("Nothing was said.");
}
