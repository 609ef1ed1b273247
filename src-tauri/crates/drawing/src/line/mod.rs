//! The line: time runs down a rope. What control ordered hangs left, what came back hangs right, a stop
//! lies across both; the rope shows the motion, the load's height runs beside it. A silence is cut and its
//! length written.
//!
//! Columns in mm from the left: minute 0, entry to 20, words to 68, seconds 70, rope 77.5 to 82.5, seconds
//! 84.6, words from 91, entry to 157, height 161 to 174.

mod hang;
mod items;
mod paint;
mod place;

use crate::list::DisplayList;
use crate::moment::{Span, in_sequence};
use ::rig::units::Units;

/// What the line shows. Times are ms since the epoch.
#[derive(Clone, Debug, Default)]
pub struct LineInput {
    /// When the operation was opened.
    pub start_ms: i64,
    /// When it ended, or the time of this drawing.
    pub end_ms: i64,
    /// Offset of local time from UTC in minutes.
    pub offset_min: i32,
    /// Height of the edge; `None`: not entered.
    pub edge_height_m: Option<f64>,
    /// Entries in any order; they hang where they happened.
    pub entries: Vec<Entry>,
    /// What the load did, oldest first.
    pub spans: Vec<Span>,
    /// Called heights of the load over the ground, m.
    pub heights: Vec<(i64, f64)>,
    /// Units of its heights.
    pub units: Units,
}

/// An entry as it hangs on the line.
#[derive(Clone, Debug, Default)]
pub struct Entry {
    /// Entry number.
    pub seq: u64,
    /// When it happened.
    pub at_ms: i64,
    /// When it was written, for a late entry.
    pub written_ms: Option<i64>,
    /// Where it hangs.
    pub hang: Hang,
    /// `order`, `readback`, `answer`, `report`, `signal`, `note`, or the event's kind.
    pub kind: String,
    /// Who spoke, short; empty for control and for events.
    pub from: String,
    /// To whom, short.
    pub to: Vec<String>,
    /// The words as they stand now.
    pub text: String,
    /// The words before a correction.
    pub was: Option<String>,
    /// Entry number of the order it answers.
    pub of: Option<u64>,
    /// Seconds from the order to this answer.
    pub after_s: Option<f64>,
    /// A readback that was not as ordered.
    pub wrong: bool,
    /// For an order: who never read it back, short.
    pub silent: Vec<String>,
    /// Entry number it corrects.
    pub corrects: Option<u64>,
    /// Entry number that corrects it.
    pub corrected_by: Option<u64>,
}

/// Where an entry hangs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Hang {
    /// Left: from control.
    Left,
    /// Right: to control, and all events.
    #[default]
    Right,
    /// Across both sides, solid: a stop.
    Stop,
    /// Across both sides, framed: a loss called into a drill.
    Exercise,
    /// A line through the rope: a benchmark.
    Benchmark,
}

impl Hang {
    /// Where an entry of a kind hangs.
    pub fn of(kind: &str, from_control: bool) -> Hang {
        match kind {
            "stop" => Hang::Stop,
            "exercise" => Hang::Exercise,
            "benchmark" => Hang::Benchmark,
            "order" => Hang::Left,
            "answer" | "readback" if from_control => Hang::Left,
            _ => Hang::Right,
        }
    }
    /// Whether it takes both sides.
    fn is_across(self) -> bool {
        matches!(self, Hang::Stop | Hang::Exercise | Hang::Benchmark)
    }
}

/// One page's piece of the line.
#[derive(Clone, Debug)]
pub struct Piece {
    /// The drawing, 174 mm wide and as high as was asked for.
    pub list: DisplayList,
    /// Time of its first entry.
    pub from_ms: i64,
    /// Time of its last entry.
    pub to_ms: i64,
    /// Smallest entry number on it.
    pub first_seq: u64,
    /// Largest entry number on it.
    pub last_seq: u64,
}

/// Width of the line, mm.
pub const WIDTH: f64 = 174.0;
/// The least height of a piece, mm: room for heads, key and the tallest label.
pub const LEAST: f64 = 60.0;

/// The line in pieces: the first as high as the room `first` mm leaves, the others `rest` mm. Empty when
/// there are no entries.
pub fn pieces(input: &LineInput, first: f64, rest: f64) -> Vec<Piece> {
    let input = &LineInput { spans: in_sequence(&input.spans), ..input.clone() };
    let items = items::gather(input);
    let mut out = Vec::new();
    let mut from = 0;
    while from < items.len() {
        let height = if out.is_empty() { first.max(LEAST) } else { rest.max(LEAST) };
        let placed = place::place(input, &items, from, height);
        from = placed.next;
        out.push(paint::piece(input, &placed, height));
    }
    out
}
