//! Tests of the whole: published checks, whole operations, the house rules, the real window.

pub mod cli;
#[cfg(feature = "window")]
pub mod display;
pub mod house;
#[cfg(feature = "window")]
pub mod long;
pub mod place;
pub mod published;
pub mod records;
#[cfg(feature = "window")]
pub mod scribe;
#[cfg(feature = "window")]
pub mod touch;
#[cfg(feature = "window")]
pub mod window;
