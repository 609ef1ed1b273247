//! The record, tried the way a store is tried. [`promise::PROMISES`] is the list of what is promised; each
//! promise has a trial that runs from a seed, so that what failed once can be had again.

#![cfg(unix)]

pub mod chance;
pub mod command;
pub mod day;
pub mod entries;
pub mod faults;
pub mod flips;
pub mod fuzz;
pub mod kills;
pub mod model;
pub mod part;
pub mod place;
pub mod promise;
pub mod whole;
pub mod writer;
