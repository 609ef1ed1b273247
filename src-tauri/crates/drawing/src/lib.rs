//! One display list for rig, line and charts, painted on screen and on paper.
//!
//! Everything here is plain geometry in mm and measured text: the same list is turned into PDF
//! operations by `report`, and painted by the screens. No clock, no files, no chance.

pub mod build;
pub mod list;
pub mod metrics;

pub use build::{Type, pen, size};
pub use list::{Anchor, DisplayList, Face, Ink, Item, Seg, Stroke};
pub use metrics::Run;
