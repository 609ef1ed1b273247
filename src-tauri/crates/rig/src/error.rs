//! Why a rig, or what was set in a template, could not be taken.

use thiserror::Error;

/// What went wrong, where, and what to do next.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("{place}: {what}; {remedy}")]
pub struct RigError {
    /// What went wrong.
    pub what: String,
    /// Path in the file, id, or name of the parameter.
    pub place: String,
    /// What to do next.
    pub remedy: String,
}

impl RigError {
    /// An error at a place.
    pub fn new(place: impl Into<String>, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        RigError { what: what.into(), place: place.into(), remedy: remedy.into() }
    }
}
