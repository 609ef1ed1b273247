//! A rig's drawing, and what it replaced.

use crate::input::{RigChapter, StoredCheck};
use crate::kit::Book;
use crate::words::Clock;

/// Sets the drawing.
pub fn set(_book: &mut Book, _chapter: &RigChapter, _check: &StoredCheck) {}

/// Rigs that were replaced, small, with what they lacked.
pub fn replaced(_book: &mut Book, _chapter: &RigChapter, _clock: Clock) {}
