//! What a lesson asks for.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What a lesson asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum LessonKind {
    Keep,
    Change,
}

impl LessonKind {
    /// The word in files.
    pub fn word(self) -> &'static str {
        match self {
            LessonKind::Keep => "keep",
            LessonKind::Change => "change",
        }
    }
}
