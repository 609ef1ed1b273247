//! The house rules as functions from a source or a manifest to what breaks them, so that each can be
//! shown to fail on a bad sample.

pub mod manifests;
pub mod paths;
pub mod rules;
pub mod sources;
pub mod supply;
