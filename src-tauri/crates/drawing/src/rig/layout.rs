//! Where everything lies: the rig's drawing points above the edge, heights to scale below it.

use super::{Form, RigDrawingOptions, SCREEN_WIDTH, WIDE_WIDTH, WIDTH};
use crate::build::{Type, size};
use crate::list::Seg;
use ::rig::findings::StateFindings;
use ::rig::model::{HandTask, Line, Part, PartKind, Rig, State};
use ::rig::units::{Kind, Side, Units};
use std::collections::BTreeMap;

/// Least and most room between edge and ground, mm.
const BELOW: (f64, f64) = (60.0, 112.0);
/// From the load's rings to the top of the litter, mm.
const BRIDLE: f64 = 5.0;
/// From the harness points of somebody who hangs alone to the words of the load, mm.
const FIGURE: f64 = 10.5;
/// Least room between the edge and the load's rings.
const OVER_RINGS: f64 = 14.0;

/// From the middle of a point to each of two pulleys side by side, mm.
pub const APART: f64 = 5.5;

/// A point of the sheet in mm.
pub type At = (f64, f64);

/// Places of everything.
#[derive(Debug)]
pub struct Layout<'a> {
    rig: &'a Rig,
    /// The state that is drawn; `None` when the rig has none of that id.
    pub state: Option<&'a State>,
    /// Width of the sheet.
    pub width: f64,
    /// Height of the head of the sheet.
    pub top: f64,
    /// Shift of the drawing so that the columns beside it are equal.
    dx: f64,
    /// Least and greatest x of what is drawn above the edge.
    pub extent: (f64, f64),
    /// The edge.
    pub edge: f64,
    /// The ground.
    pub ground: f64,
    /// The load's rings.
    pub rings: f64,
    /// Whether the load had to be drawn off its height.
    pub off_scale: bool,
    /// Half the height of the litter, which goes with the type in it.
    pub litter_half: f64,
    /// Width of the litter, which holds the load in words.
    pub litter_width: f64,
    /// Whether the load is somebody in a harness and no litter.
    pub person: bool,
    /// y of the edge and of the rings on the rig's own drawing.
    own: (f64, f64),
}

impl<'a> Layout<'a> {
    pub fn new(rig: &'a Rig, findings: &StateFindings, options: &RigDrawingOptions<'_>) -> Layout<'a> {
        let form = options.form;
        let state = rig.states.iter().find(|s| s.id == findings.state).or_else(|| rig.states.first());
        let (width, top, type_scale) = match form {
            Form::Paper => (WIDTH, 12.0, 1.0),
            Form::Screen { scale } => {
                let width = if options.width.is_finite() {
                    options.width.clamp(SCREEN_WIDTH, WIDE_WIDTH)
                } else {
                    SCREEN_WIDTH
                };
                (width, 8.0, if scale.is_finite() { scale.clamp(1.0, 2.0) } else { 1.0 })
            }
        };
        let own_edge = own_edge(rig);
        let own_rings = own_rings(rig).unwrap_or(own_edge + 60.0).max(own_edge + 1.0);
        let mut layout = Layout {
            rig,
            state,
            width,
            top,
            dx: 0.0,
            extent: (60.0, 114.0),
            edge: top + own_edge,
            ground: top + own_edge + BELOW.0,
            rings: 0.0,
            off_scale: false,
            litter_half: 0.6 + 2.4 * type_scale,
            litter_width: (Type::bold(size::S * type_scale).width(&load_words(rig, options.units)) + 8.0)
                .max(34.0),
            person: is_person(rig),
            own: (own_edge, own_rings),
        };
        let (low, high) = layout.raw_extent();
        // The scale of heights stands right of the drawing.
        let scale_room = if form == Form::Paper { 5.0 } else { 7.0 };
        let middle = (low + high + scale_room) / 2.0;
        layout.dx = (width / 2.0 - middle).clamp(-60.0, 60.0);
        let clamped = |x: f64| (x + layout.dx).clamp(0.0, width);
        layout.extent = (clamped(low), clamped(high));
        layout
    }

    /// Sets the ground: as low as `bottom` leaves within its bounds, lower when the labels need it.
    pub fn set_below(&mut self, bottom: f64, needed: f64) {
        let room = (bottom - self.edge).clamp(BELOW.0, BELOW.1);
        self.ground = (self.edge + room).max(needed);
        let height = self.rig.edge.height.to_metres();
        let load = self.load_height();
        let share = if height > 0.0 { ((height - load) / height).clamp(0.0, 1.0) } else { 0.0 };
        let wanted = self.edge + share * (self.ground - self.edge) - self.to_litter();
        // Below the litter its height may stand in words.
        let lowest = self.ground - self.to_litter() - 2.5 * self.litter_half;
        self.rings = wanted.clamp(self.edge + OVER_RINGS, lowest);
        self.off_scale = (self.rings - wanted).abs() > 0.5;
    }

    /// From the load's rings to the middle of the litter.
    pub fn to_litter(&self) -> f64 {
        (if self.person { FIGURE } else { BRIDLE }) + self.litter_half
    }

    /// Height of the load over the ground, m: that of its points.
    pub fn load_height(&self) -> f64 {
        let heights: Vec<f64> =
            self.load_points().filter_map(|id| self.point(id)).map(|p| p.y.to_metres()).collect();
        if heights.is_empty() { 0.0 } else { heights.iter().sum::<f64>() / heights.len() as f64 }
    }

    /// Ids of the load's points.
    pub fn load_points(&self) -> impl Iterator<Item = &'a str> {
        self.rig.load.points.iter().map(String::as_str)
    }

    fn point(&self, id: &str) -> Option<&'a ::rig::model::Point> {
        self.rig.points.iter().find(|p| p.id == id)
    }

    /// Where a point is drawn; `None` for an id that is no point.
    pub fn at(&self, id: &str) -> Option<At> {
        let [x, y] = self.point(id)?.draw;
        if !(x.is_finite() && y.is_finite()) {
            return None;
        }
        let (own_edge, own_rings) = self.own;
        let x = if y > own_rings + 0.5 { self.beside_litter(x) } else { x };
        let y = if y <= own_edge + 0.5 {
            self.top + y.max(0.0)
        } else if y <= own_rings {
            self.edge + (y - own_edge) / (own_rings - own_edge) * (self.rings - self.edge)
        } else {
            (self.rings + y - own_rings).min(self.ground - 3.0)
        };
        Some(((x + self.dx).clamp(2.0, self.width - 2.0), y))
    }

    /// x of a point below the rings: outside the litter, where the words of the load stand.
    fn beside_litter(&self, x: f64) -> f64 {
        let xs: Vec<f64> = self.load_points().filter_map(|id| self.point(id)).map(|p| p.draw[0]).collect();
        let middle = xs.iter().sum::<f64>() / (xs.len().max(1)) as f64;
        // Somebody who hangs alone has the other points of the harness at their side.
        let reach = if self.person { 4.5 } else { self.litter_width / 2.0 + 4.5 };
        if (x - middle).abs() >= reach {
            return x;
        }
        if x < middle { middle - reach } else { middle + reach }
    }

    /// Where a rope of a line runs at a point: pulleys of both ropes at one point stand side by side.
    pub fn stand(&self, id: &str, line: Line) -> Option<At> {
        let (x, y) = self.at(id)?;
        let here = |line: Line| {
            let is_pulley = |p: &Part| p.kind == PartKind::Pulley && p.line == line;
            self.rig.parts.iter().any(|p| is_pulley(p) && p.at.first().is_some_and(|at| at == id))
        };
        if !(here(Line::One) && here(Line::Two)) {
            return Some((x, y));
        }
        Some(match line {
            Line::One => (x - APART, y),
            Line::Two => (x + APART, y),
            Line::Shared => (x, y),
        })
    }

    /// Where a part sits: its point, or the middle of its two.
    pub fn of(&self, part: &Part) -> Option<At> {
        let points: Vec<At> = part.at.iter().filter_map(|id| self.at(id)).collect();
        match points.as_slice() {
            [] => self.rope_of(part),
            [_] if part.kind == PartKind::Pulley => self.stand(part.at.first()?, part.line),
            [one] => Some(*one),
            // A hitch sits where it grips the rope, not half way to its pulley.
            [first, ..]
                if matches!(
                    part.kind,
                    PartKind::ProgressCapture | PartKind::HaulHitch | PartKind::FrictionHitch
                ) =>
            {
                Some(*first)
            }
            [first, .., last] => Some(between(*first, *last, 0.5)),
        }
    }

    /// A place on the rope of the same id, for parts that name no point.
    fn rope_of(&self, part: &Part) -> Option<At> {
        let rope = self.rig.ropes.iter().find(|r| r.id == part.id)?;
        let path: Vec<At> = rope.path.iter().filter_map(|id| self.at(id)).collect();
        Some(between(*path.first()?, *path.get(1).or(path.first())?, 0.6))
    }

    /// -1 left of the drawing's middle, 1 right of it.
    pub fn side(&self, x: f64) -> f64 {
        if x < (self.extent.0 + self.extent.1) / 2.0 { -1.0 } else { 1.0 }
    }

    /// x of the axis of heights.
    pub fn axis(&self) -> f64 {
        self.extent.1 + 3.0
    }

    /// mm a metre below the edge; `None` for an edge of no height.
    pub fn per_metre(&self) -> Option<f64> {
        let height = self.rig.edge.height.to_metres();
        (height > 0.0).then(|| (self.ground - self.edge) / height)
    }

    /// How far left and right the drawing reaches above the edge, before it is centred.
    fn raw_extent(&self) -> (f64, f64) {
        let mut xs: Vec<f64> = self.rig.points.iter().map(|p| p.draw[0]).filter(|x| x.is_finite()).collect();
        if xs.is_empty() {
            xs.push(75.0);
        }
        let (low, high) = (
            xs.iter().copied().fold(f64::INFINITY, f64::min),
            xs.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        );
        let middle = (low + high) / 2.0;
        let (mut left, mut right) = (low - 5.0, high + 5.0);
        for device in self.rig.parts.iter().filter(|p| p.kind == PartKind::Device) {
            let Some(x) = device.at.first().and_then(|id| self.point(id)).map(|p| p.draw[0]) else {
                continue;
            };
            if x < middle {
                left = left.min(x - 15.0);
            } else {
                right = right.max(x + 15.0);
            }
        }
        let hauls = self.rig.hands.iter().any(|h| h.task == HandTask::Haul);
        (if hauls { left - 2.0 } else { left }, right)
    }
}

/// Whether people hang on the ropes without a litter.
fn is_person(rig: &Rig) -> bool {
    let any = |kinds: &[PartKind]| rig.parts.iter().any(|p| kinds.contains(&p.kind));
    any(&[PartKind::Harness, PartKind::HarnessPoint, PartKind::Attendant])
        && !any(&[PartKind::Litter, PartKind::Bridle, PartKind::BridleRing, PartKind::PatientTieIn])
}

/// "load 250 kg".
pub fn load_words(rig: &Rig, units: Units) -> String {
    let mass = rig.load.mass.to_kilograms();
    format!("load {}", units.told(Kind::Mass, mass, &format!("{mass:.0}"), Side::Near))
}

/// y of the edge on the rig's own drawing: where its edge parts lie.
fn own_edge(rig: &Rig) -> f64 {
    let places: BTreeMap<&str, f64> = rig.points.iter().map(|p| (p.id.as_str(), p.draw[1])).collect();
    let edge_parts =
        rig.parts.iter().filter(|p| matches!(p.kind, PartKind::EdgeProtection | PartKind::EdgeLip));
    let lowest = edge_parts.flat_map(|p| &p.at).filter_map(|id| places.get(id.as_str())).copied();
    let lowest = lowest.filter(|y| y.is_finite()).fold(f64::NEG_INFINITY, f64::max);
    if lowest.is_finite() {
        return lowest.clamp(20.0, 200.0);
    }
    // The legs of a frame stand on the edge.
    let legs = rig.parts.iter().filter(|p| p.kind == PartKind::Strut).filter_map(|p| p.at.last());
    let feet = legs.filter_map(|id| places.get(id.as_str())).copied().filter(|y| y.is_finite());
    let feet = feet.fold(f64::NEG_INFINITY, f64::max);
    if feet.is_finite() {
        return feet.clamp(20.0, 200.0);
    }
    // No part at the edge: under the lowest point that is not below it.
    let height = rig.edge.height.to_metres();
    let above = rig.points.iter().filter(|p| p.y.to_metres() >= height - 1e-6).map(|p| p.draw[1]);
    // And under the hands that hold the ropes behind the devices.
    let devices = rig.parts.iter().filter(|p| p.kind == PartKind::Device).filter_map(|p| p.at.first());
    let hands = devices.filter_map(|id| places.get(id.as_str())).map(|y| y + 26.0);
    above.chain(hands).filter(|y| y.is_finite()).fold(20.0, f64::max).clamp(20.0, 200.0) + 8.0
}

/// y of the load's points on the rig's own drawing.
fn own_rings(rig: &Rig) -> Option<f64> {
    let ys: Vec<f64> = rig
        .points
        .iter()
        .filter(|p| rig.load.points.contains(&p.id))
        .map(|p| p.draw[1])
        .filter(|y| y.is_finite())
        .collect();
    ys.iter().copied().reduce(f64::max)
}

/// The point a share of the way from one to another.
pub fn between(a: At, b: At, share: f64) -> At {
    (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share)
}

/// y of the end of a segment.
pub fn y_of(seg: &Seg) -> Option<f64> {
    match *seg {
        Seg::Move { y, .. } | Seg::Line { y, .. } | Seg::Curve { y, .. } => Some(y),
        Seg::Close => None,
    }
}
