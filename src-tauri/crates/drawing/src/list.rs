//! The display list: plain items in millimetres from the top left; text sizes in points, y of text
//! is its baseline. No pattern, gradient or transparency: hatches are lines, circles four Béziers.

use serde::Serialize;
use ts_rs::TS;

/// A drawing of a known size.
#[derive(Clone, Debug, Default, PartialEq, Serialize, TS)]
pub struct DisplayList {
    /// Width in mm.
    pub width: f64,
    /// Height in mm.
    pub height: f64,
    /// Items in painting order.
    pub items: Vec<Item>,
}

/// One item.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
#[serde(tag = "item", rename_all = "snake_case")]
pub enum Item {
    /// Outline and filling of a path.
    Path {
        /// Segments.
        segs: Vec<Seg>,
        /// Filling.
        fill: Option<Ink>,
        /// Outline.
        stroke: Option<Stroke>,
    },
    /// A line of text.
    Text {
        /// Left, middle or right end, by `anchor`, in mm.
        x: f64,
        /// Baseline in mm.
        y: f64,
        /// Size in pt.
        size: f64,
        /// Face.
        face: Face,
        /// What `x` is.
        anchor: Anchor,
        /// Ink.
        ink: Ink,
        /// The text.
        text: String,
        /// Degrees clockwise about (x, y).
        turn: f64,
    },
    /// Items that belong to one part or entry, for touch and for reading aloud.
    Group {
        /// Id of the part or entry.
        id: String,
        /// What it is, in words.
        label: String,
        /// Its items.
        items: Vec<Item>,
    },
}

/// A path segment.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, TS)]
#[serde(tag = "seg", rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum Seg {
    Move { x: f64, y: f64 },
    Line { x: f64, y: f64 },
    Curve { x1: f64, y1: f64, x2: f64, y2: f64, x: f64, y: f64 },
    Close,
}

/// An outline.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub struct Stroke {
    /// Ink.
    pub ink: Ink,
    /// Width in pt.
    pub width: f64,
    /// Dash pattern in mm; empty: solid.
    pub dash: Vec<f64>,
    /// Round ends and joins.
    pub round: bool,
}

/// Inks by role: on paper black, greys and one rubric; on screen the tokens of the look.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, TS)]
#[serde(rename_all = "snake_case")]
pub enum Ink {
    /// Text and outlines (paper: black; screen: ink).
    Ink,
    /// The sheet (paper: white; screen: sheet).
    Sheet,
    /// Dark area (paper: 0.30 grey).
    Dark,
    /// Light area (paper: 0.65 grey).
    Light,
    /// What departs from normal (paper: rubric; screen: red).
    Rubric,
    /// Not checked (paper: black; screen: violet).
    Unknown,
    /// Held only if, moves (paper: black; screen: amber-ink).
    Caution,
    /// What-if path (screen: halo; paper: 0.85 grey).
    Halo,
}

/// Faces of the drawing's font.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, TS)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum Face {
    Regular,
    Bold,
    Mono,
}

/// Which end of a text its `x` names.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, TS)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum Anchor {
    Start,
    Middle,
    End,
}
