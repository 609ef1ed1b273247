//! One display list for rig, line and charts, painted on screen and on paper.

pub mod list;

pub use list::{DisplayList, Item};
