//! The page of working figures.

use serde::Serialize;
use ts_rs::TS;

/// A sum and what it asks for.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct SumView {
    pub name: String,
    pub title: String,
    pub fields: Vec<SumField>,
}

/// A field of a sum: typed, or one of the choices.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct SumField {
    pub name: String,
    pub label: String,
    /// What to write, with its unit.
    pub like: String,
    /// Id and words; empty: typed.
    pub choices: Vec<(String, String)>,
}

/// What a sum answers.
#[derive(Clone, Debug, Serialize, TS)]
pub struct SumAnswer {
    /// The quantity asked for first.
    pub results: Vec<SumFigure>,
    /// The formula.
    pub method: String,
    /// Where it stands.
    pub source: String,
    /// How angles were read, what is assumed, where published conventions differ.
    pub notes: Vec<String>,
    /// What it is not.
    pub caution: String,
}

/// A figure with its unit.
#[derive(Clone, Debug, Serialize, TS)]
#[allow(missing_docs)]
pub struct SumFigure {
    pub name: String,
    pub value: f64,
    pub unit: String,
}
