//! The load-path diagram of a rig: anchors at the top, the load below the edge, each rope as wide as its
//! tension, each part with its force, strength, margin and verdict. Above the edge it is a diagram (the
//! rig's own drawing points), below the edge it is to scale. The same code draws it on paper and on screen.
//!
//! Labels stand in two columns beside the drawing, each beside its part as near as the others let it, so
//! that no name, however long, runs into another; a sheet that is too short for its labels grows.

mod below;
mod columns;
mod frame;
mod heights;
mod labels;
mod layout;
mod leaders;
mod ropes;
mod small;
mod strands;
mod symbols;
mod words;

pub use small::small;

use crate::build::{Type, size};
use crate::list::{DisplayList, Ink};
use ::rig::findings::{FallFinding, LossFinding, PartFinding, StateFindings};
use ::rig::model::{Part, Rig};
use ::rig::units::Units;
use std::collections::{BTreeMap, BTreeSet};

/// Width of the sheet on paper, mm.
pub const WIDTH: f64 = 174.0;
/// Width of the sheet on a screen, mm: at 784 px beside the panel of checks, 12 pt type is 16 px high.
pub const SCREEN_WIDTH: f64 = 204.0;

/// The same for a window that is wide for its height, mm: more labels stand on one line, so that the sheet is
/// not as high and its words come out larger there.
pub const WIDE_WIDTH: f64 = 264.0;

/// What becomes of the rig when something is lost, for a drawing of what is left.
#[derive(Clone, Copy, Debug)]
pub struct Lost<'a> {
    /// The loss.
    pub loss: &'a LossFinding,
    /// Forces and margins of the parts after it.
    pub parts: &'a [PartFinding],
    /// How far the load drops, where that was reckoned.
    pub fall: Option<&'a FallFinding>,
}

/// Where a drawing will stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Form {
    /// In the report: 8 pt type, forces and strengths, key and assumptions.
    Paper,
    /// On a screen: margins alone, a sheet wider than high, type `scale` times as large, no key (the screen
    /// has one).
    Screen {
        /// Size of the type over that of the paper; 1 to 2.
        scale: f64,
    },
}

/// How a rig is drawn.
#[derive(Clone, Debug)]
pub struct RigDrawingOptions<'a> {
    /// Who holds which role.
    pub people: BTreeMap<String, String>,
    /// By id of a part: what people said to its finding ("accepted by Tomáš Říha").
    pub accepted: BTreeMap<String, String>,
    /// What is lost.
    pub lost: Option<Lost<'a>>,
    /// Where the drawing will stand.
    pub form: Form,
    /// Height to fill, mm; the sheet is higher when its labels need more.
    pub height: f64,
    /// Width of the sheet on a screen, mm; paper has its own.
    pub width: f64,
    /// Units of its figures.
    pub units: Units,
}

impl RigDrawingOptions<'_> {
    /// As the window shows it, 784 by 650 px beside the checks: 12 pt type is 16 px high there.
    pub fn window() -> Self {
        RigDrawingOptions { form: Form::Screen { scale: 1.5 }, height: 168.0, ..RigDrawingOptions::default() }
    }
}

impl Default for RigDrawingOptions<'_> {
    fn default() -> Self {
        RigDrawingOptions {
            people: BTreeMap::new(),
            accepted: BTreeMap::new(),
            lost: None,
            form: Form::Paper,
            height: 230.0,
            width: SCREEN_WIDTH,
            units: Units::Si,
        }
    }
}

/// A drawn rig.
#[derive(Clone, Debug)]
pub struct RigPicture {
    /// The drawing; each part and hand is a group with its id.
    pub list: DisplayList,
    /// Ids along the load path, anchors to load; without what is not rigged in this state.
    pub order: Vec<String>,
}

/// Everything the pieces of the drawing ask for.
struct Sheet<'a> {
    rig: &'a Rig,
    state: &'a StateFindings,
    options: &'a RigDrawingOptions<'a>,
    /// Findings now, by part.
    now: BTreeMap<&'a str, &'a PartFinding>,
    /// Findings after the loss, by part; empty without one.
    after: BTreeMap<&'a str, &'a PartFinding>,
    critical: BTreeSet<&'a str>,
    lost: BTreeSet<&'a str>,
    left: BTreeSet<&'a str>,
    /// Parts that are not rigged in this state.
    absent: BTreeSet<&'a str>,
    layout: layout::Layout<'a>,
}

impl<'a> Sheet<'a> {
    fn new(rig: &'a Rig, state: &'a StateFindings, options: &'a RigDrawingOptions<'a>) -> Sheet<'a> {
        let by_id = |parts: &'a [PartFinding]| parts.iter().map(|f| (f.id.as_str(), f)).collect();
        let ids = |list: &'a [String]| list.iter().map(String::as_str).collect();
        let loss = options.lost.map(|lost| lost.loss);
        let layout = layout::Layout::new(rig, state, options);
        Sheet {
            rig,
            state,
            options,
            now: by_id(&state.parts),
            after: options.lost.map_or_else(BTreeMap::new, |lost| by_id(lost.parts)),
            critical: ids(&state.critical_parts),
            lost: loss.map_or_else(BTreeSet::new, |loss| ids(&loss.lost)),
            left: loss.map_or_else(BTreeSet::new, |loss| ids(&loss.path)),
            absent: layout.state.map_or_else(BTreeSet::new, |s| ids(&s.without)),
            layout,
        }
    }
    /// The finding that counts: after the loss when there is one.
    fn finding(&self, id: &str) -> Option<&'a PartFinding> {
        let found = if self.options.lost.is_some() { self.after.get(id) } else { None };
        found.or_else(|| self.now.get(id)).copied()
    }
    /// The parts that are rigged in this state, always critical ones too.
    fn parts(&self) -> impl Iterator<Item = &'a Part> + use<'a, '_> {
        self.rig.parts.iter().filter(|part| !self.absent.contains(part.id.as_str()))
    }
    fn is_paper(&self) -> bool {
        self.options.form == Form::Paper
    }
    /// How much larger than on paper the type is.
    fn scale(&self) -> f64 {
        match self.options.form {
            Form::Paper => 1.0,
            Form::Screen { scale } if scale.is_finite() => scale.clamp(1.0, 2.0),
            Form::Screen { .. } => 1.0,
        }
    }
    fn type_of(&self, bold: bool, small: bool) -> Type {
        let pt = if small { size::XS } else { size::S } * self.scale();
        if bold { Type::bold(pt) } else { Type::regular(pt) }
    }
    fn leading(&self) -> f64 {
        3.4 * self.scale()
    }
    fn ink_of(&self, id: &str) -> Ink {
        if self.lost.contains(id) { Ink::Rubric } else { Ink::Ink }
    }
}

/// How large a millimetre of a sheet is in a room of `room` px across and down.
pub fn pixels_per_mm(list: &DisplayList, room: (f64, f64)) -> f64 {
    (room.0 / list.width).min(room.1 / list.height)
}

/// Draws a rig in one of its states.
pub fn draw(rig: &Rig, state: &StateFindings, options: &RigDrawingOptions<'_>) -> RigPicture {
    let mut sheet = Sheet::new(rig, state, options);
    let mut labels = labels::gather(&sheet);
    let foot = frame::foot_height(&sheet);
    let columns = columns::measure(&sheet, &mut labels, options.height - foot);
    sheet.layout.set_below(options.height - foot, columns.needs);
    labels::retarget(&sheet, &mut labels);
    let placed = columns::stack(&sheet, labels);

    let mut list = DisplayList::new(sheet.layout.width, 0.0);
    let widths = ropes::Widths::new(&sheet);
    frame::head(&mut list, &sheet, &widths);
    frame::ground(&mut list, &sheet);
    ropes::halo(&mut list, &sheet);
    symbols::links(&mut list, &sheet);
    let order = placed_order(&placed);
    symbols::load(&mut list, &sheet);
    draw_groups(&mut list, &sheet, &widths, &placed);
    columns::fixed(&mut list, &sheet, &placed);
    heights::draw(&mut list, &sheet, &placed);
    list.height = frame::foot(&mut list, &sheet);
    RigPicture { list, order }
}

/// Ropes and legs first, then what sits on them, each with its label in one group.
fn draw_groups(
    list: &mut DisplayList,
    sheet: &Sheet<'_>,
    widths: &ropes::Widths,
    placed: &[columns::Placed<'_>],
) {
    for wanted in 0..3 {
        for part in sheet.parts().filter(|part| ropes::layer(sheet, part) == wanted) {
            let own: Vec<&columns::Placed<'_>> = placed.iter().filter(|p| p.label.id == part.id).collect();
            let name = own.first().map_or(part.label.as_str(), |p| p.label.spoken.as_str());
            list.group(&part.id, name, |group| {
                if wanted == 0 {
                    ropes::draw(group, sheet, widths, part);
                } else {
                    symbols::draw(group, sheet, widths, part);
                }
                for label in own {
                    columns::draw(group, sheet, label);
                }
            });
        }
    }
    for hand in symbols::hands(sheet) {
        let own: Vec<&columns::Placed<'_>> = placed.iter().filter(|p| p.label.id == hand.id).collect();
        let name = own.first().map_or(hand.id, |p| p.label.spoken.as_str());
        list.group(hand.id, name, |group| {
            symbols::hand(group, sheet, &hand);
            for label in own {
                columns::draw(group, sheet, label);
            }
        });
    }
}

/// Ids by where they are drawn, from the top.
fn placed_order(placed: &[columns::Placed<'_>]) -> Vec<String> {
    let mut sorted: Vec<&columns::Placed<'_>> = placed.iter().filter(|p| !p.label.id.is_empty()).collect();
    sorted.sort_by(|a, b| {
        let (a, b) = (a.label.target, b.label.target);
        a.1.total_cmp(&b.1).then(a.0.total_cmp(&b.0))
    });
    let mut out: Vec<String> = Vec::new();
    for placed in sorted {
        if !out.contains(&placed.label.id) {
            out.push(placed.label.id.clone());
        }
    }
    out
}
