//! One display list for rig, line and charts, painted on screen and on paper.
//!
//! Everything here is plain geometry in mm and measured text: the same list is turned into PDF
//! operations by `report`, and painted by the screens. No clock, no files, no chance.

pub mod audit;
pub mod build;
mod catalogue;
pub mod charts;
pub mod fall;
pub mod fall_beside;
pub mod line;
pub mod list;
pub mod marks;
pub mod metrics;
pub mod moment;
pub mod pattern;
pub mod picture;
pub mod rig;
pub mod svg;
pub mod words;

pub use build::{Type, pen, size};
pub use catalogue::{MARK, ROPE, TILE, catalogue, rounded};
pub use list::{Anchor, DisplayList, Face, Ink, Item, Seg, Stroke};
pub use marks::Mark;
pub use metrics::Run;
