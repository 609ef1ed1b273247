//! What sits on the ropes: anchors, knots, connectors, devices, pulleys, hitches, edge, hands, the load.

use super::Sheet;
use super::layout::{At, load_words};
use super::ropes::{self, Widths};
use crate::build::pen;
use crate::list::{DisplayList, Ink, Seg, Stroke};
use crate::marks::Mark;
use ::rig::model::{DeviceState, HandTask, Line, Part, PartKind, Support};

fn outline() -> Option<Stroke> {
    Some(Stroke::solid(Ink::Ink, pen::MED))
}

/// Outline of a part: dashed where it is lost.
fn edge_of(sheet: &Sheet<'_>, part: &Part) -> Option<Stroke> {
    if sheet.lost.contains(part.id.as_str()) {
        return Some(Stroke::solid(Ink::Ink, pen::FINE).dashed(0.8, 0.6));
    }
    outline()
}

/// Half the size of a part's symbol, across and down, mm.
fn half(kind: PartKind) -> (f64, f64) {
    match kind {
        PartKind::Device => (3.6, 4.2),
        PartKind::Plate => (14.0, 2.4),
        PartKind::Pulley => (2.6, 2.6),
        PartKind::EdgeProtection => (4.5, 1.5),
        PartKind::Connector => (1.3, 2.6),
        PartKind::ProgressCapture | PartKind::HaulHitch | PartKind::FrictionHitch => (2.6, 2.0),
        _ => (1.9, 1.9),
    }
}

/// Where a part's symbol stands. The lip has none: what marks it stands at the end of its line, clear of the ropes.
pub fn place(sheet: &Sheet<'_>, part: &Part) -> Option<At> {
    let at = sheet.layout.of(part)?;
    let lip = part.kind == PartKind::EdgeLip && sheet.rig.edge.slope.is_none();
    Some(if lip { (super::frame::lip(sheet).1 - 1.0, sheet.layout.edge) } else { at })
}

/// Draws a part that is no rope.
pub fn draw(list: &mut DisplayList, sheet: &Sheet<'_>, widths: &Widths, part: &Part) {
    let Some((x, y)) = place(sheet, part) else { return };
    if ropes::is_tied(part) {
        let force = sheet.finding(&part.id).and_then(|f| f.force_kn);
        ropes::strand(list, widths, ropes::tie(sheet, part), force, part.line == Line::Two);
    }
    let pen = edge_of(sheet, part);
    match part.kind {
        PartKind::Anchor => anchor(list, sheet, part, (x, y), pen),
        PartKind::FocalKnot => {
            list.circle(x, y, 1.9, Some(Ink::Sheet), pen);
            list.circle(x, y, 0.72, Some(Ink::Ink), None);
        }
        PartKind::EndKnot => {
            let (x, y) = end_knot(sheet, part, (x, y));
            list.circle(x, y, 1.2, Some(Ink::Ink), Some(Stroke::solid(Ink::Sheet, pen::FINE)));
        }
        PartKind::Connector => link(list, (x, y), direction(sheet, part), pen),
        PartKind::Plate => plate(list, (x, y), pen),
        PartKind::Device => device(list, sheet, part, (x, y), pen),
        PartKind::Pulley => {
            list.circle(x, y, 2.6, Some(Ink::Sheet), pen);
            list.circle(x, y, 0.65, Some(Ink::Ink), None);
        }
        PartKind::HighDirectional => head(list, sheet, part, (x, y), pen),
        PartKind::Ring => list.circle(x, y, 1.9, Some(Ink::Sheet), pen),
        PartKind::ProgressCapture | PartKind::HaulHitch | PartKind::FrictionHitch => {
            hitch(list, (x, y), part.kind == PartKind::HaulHitch)
        }
        PartKind::EdgeProtection => {
            list.round_rect(
                x - 4.5,
                y - 1.4,
                9.0,
                3.0,
                1.5,
                Some(Ink::Sheet),
                Some(Stroke::solid(Ink::Ink, pen::FINE)),
            );
        }
        PartKind::BridleRing | PartKind::HarnessPoint => list.circle(x, y, 1.5, Some(Ink::Sheet), pen),
        PartKind::Harness | PartKind::Attendant => {
            list.circle(x, y, 1.5, Some(Ink::Sheet), pen);
            list.line((x - 1.6, y + 3.2), (x + 1.6, y + 3.2), Stroke::solid(Ink::Ink, pen::MED));
        }
        PartKind::JoiningKnot => {
            list.circle(x, y, 1.4, Some(Ink::Ink), Some(Stroke::solid(Ink::Sheet, pen::FINE)))
        }
        _ => {}
    }
    if sheet.critical.contains(part.id.as_str()) && !part.always_critical {
        brackets(list, (x, y), half(part.kind));
    }
    if sheet.lost.contains(part.id.as_str()) {
        cross(list, (x, y));
    }
}

/// An anchor under the ground at the top; one that stands aside, lower down, is on ground of its own.
fn anchor(list: &mut DisplayList, sheet: &Sheet<'_>, part: &Part, (x, y): At, pen: Option<Stroke>) {
    let bold = || Stroke::solid(sheet.ink_of(&part.id), pen::BOLD);
    if y < sheet.layout.top + 14.0 {
        list.line((x, sheet.layout.top + 5.0), (x, y), bold());
    } else {
        list.hatch(x - 3.0, y - 4.6, 6.0, 2.4, 1.1, Ink::Ink, pen::HAIR);
        list.line((x - 3.0, y - 2.2), (x + 3.0, y - 2.2), Stroke::solid(Ink::Ink, pen::MED));
        list.line((x, y - 2.2), (x, y), bold());
    }
    list.circle(x, y, 1.6, Some(Ink::Sheet), pen);
}

/// The head of a frame, and the beam that its pulleys hang from when they stand side by side.
fn head(list: &mut DisplayList, sheet: &Sheet<'_>, part: &Part, (x, y): At, pen: Option<Stroke>) {
    list.path(
        vec![
            Seg::Move { x, y: y - 3.4 },
            Seg::Line { x: x + 3.6, y: y + 1.4 },
            Seg::Line { x: x - 3.6, y: y + 1.4 },
            Seg::Close,
        ],
        None,
        pen,
    );
    let apart = part.at.first().and_then(|id| sheet.layout.stand(id, Line::Two));
    if let Some((right, _)) = apart.filter(|at| at.0 > x) {
        list.polyline(&[(2.0 * x - right, y), (right, y)], Stroke::solid(Ink::Ink, pen::BOLD));
    }
}

/// Ground under the foot of a leg or at the end of a guy.
pub fn footing(list: &mut DisplayList, (x, y): At) {
    list.line((x - 2.6, y), (x + 2.6, y), Stroke::solid(Ink::Ink, pen::MED));
    list.hatch(x - 2.6, y, 5.2, 1.8, 1.1, Ink::Ink, pen::HAIR);
}

/// From a ring to the knot of the rope that ends there, mm: clear of the ring and of its brackets.
const TO_KNOT: f64 = 6.5;

/// An end knot sits on its rope as that is drawn, a little above the ring.
pub fn end_knot(sheet: &Sheet<'_>, part: &Part, ring: At) -> At {
    let rope = ropes::rope_of_knot(sheet, part);
    let own = rope.and_then(|rope| sheet.rig.parts.iter().find(|p| p.id == rope.id));
    let first = own.and_then(|own| ropes::pieces(sheet, own).into_iter().next());
    let towards = first.and_then(|(segs, _)| match segs.get(..2) {
        Some(&[Seg::Move { .. }, Seg::Line { x, y } | Seg::Curve { x, y, .. }]) => Some((x, y)),
        _ => None,
    });
    let towards = towards.unwrap_or((ring.0, ring.1 - 9.0));
    let (dx, dy) = (towards.0 - ring.0, towards.1 - ring.1);
    let length = libm::hypot(dx, dy).max(1.0);
    let along = TO_KNOT.min(0.7 * length);
    (ring.0 + dx / length * along, ring.1 + dy / length * along)
}

/// The way a part of two points runs; straight down for one of a single point.
fn direction(sheet: &Sheet<'_>, part: &Part) -> At {
    let ends: Vec<At> = part.at.iter().filter_map(|id| sheet.layout.at(id)).collect();
    let (Some(a), Some(b)) = (ends.first(), ends.last()) else { return (0.0, 1.0) };
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let length = libm::hypot(dx, dy);
    if length < 0.1 { (0.0, 1.0) } else { (dx / length, dy / length) }
}

/// A link about a point, along a direction.
fn link(list: &mut DisplayList, (x, y): At, (ux, uy): At, pen: Option<Stroke>) {
    let (long, r) = (1.3, 1.3);
    let at = |along: f64, across: f64| (x + ux * along - uy * across, y + uy * along + ux * across);
    let line = |p: At| Seg::Line { x: p.0, y: p.1 };
    let curve = |a: At, b: At, c: At| Seg::Curve { x1: a.0, y1: a.1, x2: b.0, y2: b.1, x: c.0, y: c.1 };
    let k = crate::build::QUARTER * r;
    let start = at(-long, r);
    let segs = vec![
        Seg::Move { x: start.0, y: start.1 },
        line(at(long, r)),
        curve(at(long + k, r), at(long + r, k), at(long + r, 0.0)),
        curve(at(long + r, -k), at(long + k, -r), at(long, -r)),
        line(at(-long, -r)),
        curve(at(-long - k, -r), at(-long - r, -k), at(-long - r, 0.0)),
        curve(at(-long - r, k), at(-long - k, r), at(-long, r)),
        Seg::Close,
    ];
    list.path(segs, Some(Ink::Sheet), pen);
}

fn plate(list: &mut DisplayList, (x, y): At, pen: Option<Stroke>) {
    list.round_rect(x - 14.0, y - 2.4, 28.0, 4.8, 1.4, Some(Ink::Sheet), pen);
    for hole in [-10.0, -3.4, 3.4, 10.0] {
        list.circle(x + hole, y, 0.9, Some(Ink::Sheet), Some(Stroke::solid(Ink::Ink, pen::FINE)));
    }
}

fn device(list: &mut DisplayList, sheet: &Sheet<'_>, part: &Part, (x, y): At, pen: Option<Stroke>) {
    let side = sheet.layout.side(x);
    list.round_rect(x - 3.6, y - 4.2, 7.2, 8.4, 1.6, Some(Ink::Sheet), pen.clone());
    let state = sheet.layout.state.and_then(|s| s.devices.get(&part.id)).copied();
    let pivot = (x, y + 0.8);
    let handle = match state {
        Some(DeviceState::Open | DeviceState::Feeding) => (x + side * 7.0, y - 2.2),
        _ => (x + side * 1.6, y + 6.4),
    };
    list.line(pivot, handle, Stroke::solid(Ink::Ink, 1.6).rounded());
    list.circle(pivot.0, pivot.1, 1.3, Some(Ink::Sheet), pen);
    if state == Some(DeviceState::TiedOff) {
        for turn in [-2.2, 0.0, 2.2] {
            list.line(
                (x - 4.4, y + turn + 0.6),
                (x + 4.4, y + turn - 0.6),
                Stroke::solid(Ink::Ink, pen::MED),
            );
        }
    }
}

/// A friction hitch: three turns.
fn hitch(list: &mut DisplayList, (x, y): At, wide: bool) {
    let w = if wide { 6.4 } else { 5.0 };
    for turn in [-1.4, 0.0, 1.4] {
        let fine = Some(Stroke::solid(Ink::Ink, pen::FINE));
        list.round_rect(x - w / 2.0, y + turn - 0.55, w, 1.1, 0.55, Some(Ink::Sheet), fine);
    }
}

/// Heavy brackets left and right of a critical part.
pub fn brackets(list: &mut DisplayList, (x, y): At, (across, down): (f64, f64)) {
    for side in [-1.0, 1.0] {
        let (near, far, high) = (x + side * (across + 0.5), x + side * (across + 2.1), down + 1.5);
        let points = [(near, y - high), (far, y - high), (far, y + high), (near, y + high)];
        list.polyline(&points, Stroke::solid(Ink::Rubric, pen::BOLD));
    }
}

/// The cross on what is lost.
pub fn cross(list: &mut DisplayList, (x, y): At) {
    Mark::Lost.draw_in(list, x, y, 8.4, Ink::Sheet);
    Mark::Lost.draw(list, x, y, 7.0);
}

/// Fine lines between parts that hang on each other where neither rope nor leg is drawn between them.
pub fn links(list: &mut DisplayList, sheet: &Sheet<'_>) {
    for part in sheet.parts().filter(|p| p.at.len() == 1 && !p.always_critical) {
        let Some(own) = part.at.first() else { continue };
        for holder in held_by(&part.held_by).into_iter().filter_map(|id| sheet.parts().find(|p| p.id == id)) {
            let Some(other) = holder.at.first().filter(|_| holder.at.len() == 1) else { continue };
            let (Some(a), Some(b)) = (sheet.layout.at(own), sheet.layout.at(other)) else { continue };
            if own != other
                && a.1 < sheet.layout.edge
                && b.1 < sheet.layout.edge
                && !is_joined(sheet, own, other)
            {
                list.line(a, b, Stroke::solid(Ink::Ink, pen::MED));
            }
        }
    }
}

/// Every id that a support rule names.
pub fn held_by(support: &Support) -> Vec<&str> {
    match support {
        Support::Ground => Vec::new(),
        Support::Part(id) => vec![id.as_str()],
        Support::All(list) | Support::Any(list) | Support::Backup(list) => {
            list.iter().flat_map(held_by).collect()
        }
    }
}

/// Whether a rope or a part of two points runs between two points.
fn is_joined(sheet: &Sheet<'_>, a: &str, b: &str) -> bool {
    let both = |x: &str, y: &str| (x == a && y == b) || (x == b && y == a);
    let by_rope = sheet.rig.ropes.iter().any(|r| r.path.windows(2).any(|pair| both(&pair[0], &pair[1])));
    by_rope
        || sheet
            .rig
            .parts
            .iter()
            .any(|p| p.at.len() > 1 && p.at.windows(2).any(|pair| both(&pair[0], &pair[1])))
}

/// A hand at its place.
#[derive(Clone, Debug)]
pub struct Hand<'a> {
    /// Id in the rig.
    pub id: &'a str,
    /// Its role.
    pub role: &'a str,
    /// What it does.
    pub task: HandTask,
    /// Where it is drawn, each with the device it works, if any.
    pub at: Vec<(At, Option<At>)>,
    /// Hitches that it minds from one place between them.
    pub minds: Vec<At>,
}

/// The hands at work in this state.
pub fn hands<'a>(sheet: &Sheet<'a>) -> Vec<Hand<'a>> {
    let at_work = |id: &str| sheet.layout.state.is_none_or(|s| s.hands.iter().any(|h| h == id));
    let hands = sheet.rig.hands.iter().filter(|hand| at_work(&hand.id));
    hands
        .map(|hand| {
            let mut at: Vec<(At, Option<At>)> =
                hand.works.iter().filter_map(|id| hand_at(sheet, hand.task, id)).collect();
            if at.is_empty() {
                at.push(((sheet.layout.extent.0 + 2.0, sheet.layout.edge - 6.0), None));
            }
            let minds = minded(sheet, hand);
            if let (Some(first), true) = (at.first().copied(), minds.len() > 1) {
                let middle = minds.iter().map(|hitch| hitch.1).sum::<f64>() / minds.len() as f64;
                at = vec![((first.0.0, middle), None)];
            }
            Hand { id: &hand.id, role: &hand.role, task: hand.task, at, minds }
        })
        .collect()
}

/// Hitches over each other that one person minds: a place between them keeps the leaders of hand and hitches apart.
fn minded(sheet: &Sheet<'_>, hand: &::rig::model::Hand) -> Vec<At> {
    if hand.task != HandTask::HitchMinder {
        return Vec::new();
    }
    let parts = hand.works.iter().filter_map(|id| sheet.rig.parts.iter().find(|p| p.id == *id));
    let hitches: Vec<At> =
        parts.filter(|p| p.kind == PartKind::FrictionHitch).filter_map(|p| sheet.layout.of(p)).collect();
    let near = |a: &At, b: &At| (a.0 - b.0).abs() < 1.0 && (a.1 - b.1).abs() < 20.0;
    let together = hitches.iter().all(|one| hitches.first().is_some_and(|first| near(one, first)));
    if together && hitches.len() == hand.works.len() { hitches } else { Vec::new() }
}

/// On which side of a device the tail of its rope lies: outside, unless the rope leaves to that side for a
/// redirect.
fn tail_side(sheet: &Sheet<'_>, device: At) -> f64 {
    let side = sheet.layout.side(device.0);
    let before = sheet.rig.ropes.iter().find_map(|rope| {
        let places: Vec<At> = rope.path.iter().filter_map(|id| sheet.layout.at(id)).collect();
        let at = places.iter().position(|at| *at == device)?;
        places.get(at.checked_sub(1)?).copied()
    });
    let leaves_outside =
        before.is_some_and(|to| (to.0 - device.0) * side > 2.0 && to.1 < sheet.layout.edge - 0.5);
    if leaves_outside { -side } else { side }
}

/// Where a hand that works a part or a rope is drawn.
fn hand_at(sheet: &Sheet<'_>, task: HandTask, id: &str) -> Option<(At, Option<At>)> {
    let part = sheet.rig.parts.iter().find(|p| p.id == id);
    let rope = sheet.rig.ropes.iter().find(|r| r.id == id);
    let line = part.map(|p| p.line).or(rope.map(|r| r.line))?;
    if task == HandTask::Haul {
        let end = rope.and_then(|r| r.path.last()).and_then(|id| sheet.layout.at(id));
        return Some((end.or_else(|| part.and_then(|p| sheet.layout.of(p)))?, None));
    }
    let is_device = |p: &&Part| p.kind == PartKind::Device;
    let on_line = || sheet.rig.parts.iter().find(|p| is_device(p) && p.line == line && line != Line::Shared);
    let device = part.filter(is_device).or_else(on_line);
    let Some((x, y)) = device.and_then(|d| sheet.layout.of(d)) else {
        let (x, y) = part.and_then(|p| sheet.layout.of(p))?;
        return Some(((x + sheet.layout.side(x) * 7.0, y), None));
    };
    let side = tail_side(sheet, (x, y));
    let at = match task {
        HandTask::Tailer => (x + side * 12.0, y + 22.4),
        HandTask::HitchMinder => (x + side * 8.0, y + 14.0),
        _ => (x + side * 9.6, y + 9.4),
    };
    Some((at, Some((x, y))))
}

/// Draws a hand, and the tail of the rope it holds.
pub fn hand(list: &mut DisplayList, sheet: &Sheet<'_>, hand: &Hand<'_>) {
    for (at, device) in &hand.at {
        if let (Some((x, y)), true) = (device, hand.task != HandTask::HitchMinder) {
            let side = tail_side(sheet, (*x, *y));
            let (t1, t2) = (x + side * 10.0, x + side * 13.0);
            let mut tail = vec![
                Seg::Move { x: x + side * 3.6, y: y + 3.0 },
                Seg::Curve { x1: x + side * 8.0, y1: y + 3.5, x2: t1, y2: y + 6.0, x: t1, y: y + 13.0 },
            ];
            if hand.task == HandTask::Tailer {
                tail.push(Seg::Curve { x1: t1, y1: y + 20.0, x2: t2, y2: y + 23.0, x: t2, y: y + 31.0 });
            }
            list.path(tail, None, Some(Stroke::solid(Ink::Ink, 1.3)));
        }
        let side = sheet.layout.side(at.0);
        for hitch in &hand.minds {
            list.line((hitch.0 + side * 2.5, hitch.1), *at, Stroke::solid(Ink::Ink, pen::FINE));
        }
        disc(list, *at);
        if sheet.lost.contains(hand.id) {
            cross(list, *at);
        }
        if hand.task == HandTask::Haul {
            for more in [4.2, 8.4] {
                disc(list, (at.0, at.1 + more));
            }
        }
    }
}

fn disc(list: &mut DisplayList, (x, y): At) {
    list.circle(x, y, 1.75, Some(Ink::Ink), Some(Stroke::solid(Ink::Sheet, pen::FINE)));
    list.circle(x, y, 0.6, Some(Ink::Sheet), None);
}

/// Somebody in a harness whose point is at `(x, y)`: head between the ropes, legs below.
fn figure(list: &mut DisplayList, (x, y): At) {
    let limb = || Stroke::solid(Ink::Ink, pen::BOLD).rounded();
    list.circle(x, y - 5.6, 1.7, Some(Ink::Sheet), Some(Stroke::solid(Ink::Ink, pen::BOLD)));
    list.line((x, y - 3.9), (x, y + 3.6), limb());
    list.polyline(&[(x - 3.4, y + 1.6), (x, y - 2.6), (x + 3.4, y + 1.6)], limb());
    list.polyline(&[(x - 2.6, y + 9.6), (x, y + 3.6), (x + 2.6, y + 9.6)], limb());
}

/// The litter with its bridle below the rings, or whoever hangs in a harness, and the load in words.
pub fn load(list: &mut DisplayList, sheet: &Sheet<'_>) {
    let rings: Vec<At> = sheet.layout.load_points().filter_map(|id| sheet.layout.at(id)).collect();
    let Some(middle) = litter_middle(sheet) else { return };
    let y = middle.1;
    if sheet.layout.person {
        let waist = (middle.0, sheet.layout.rings + 3.6);
        for point in sheet.parts().filter(|p| p.kind == PartKind::HarnessPoint) {
            let own = sheet.layout.of(point).filter(|at| at.1 > sheet.layout.rings + 0.5);
            own.into_iter().for_each(|at| list.line(at, waist, Stroke::solid(Ink::Ink, pen::MED)));
        }
        figure(list, (middle.0, sheet.layout.rings));
        let set = sheet.type_of(true, false).middle();
        list.text_on_patch(
            (middle.0, y + 1.0 * sheet.scale()),
            &load_words(sheet.rig, sheet.options.units),
            set,
            0.3,
        );
        return;
    }
    let half = sheet.layout.litter_half;
    let top = y - half + 0.4;
    for (x, ring_y) in &rings {
        let out = if *x < middle.0 { -1.0 } else { 1.0 };
        let bridle = [(x + out * 9.0, top), (*x, *ring_y), (x - out * 5.0, top)];
        list.polyline(&bridle, Stroke::solid(Ink::Ink, pen::MED).rounded());
    }
    let (words, set) = (load_words(sheet.rig, sheet.options.units), sheet.type_of(true, false).middle());
    let wide = sheet.layout.litter_width;
    list.round_rect(
        middle.0 - wide / 2.0,
        y - half,
        wide,
        2.0 * half,
        half,
        Some(Ink::Sheet),
        Some(Stroke::solid(Ink::Ink, pen::BOLD)),
    );
    list.text((middle.0, y + 1.0 * sheet.scale()), &words, set);
}

/// The middle of the litter.
pub fn litter_middle(sheet: &Sheet<'_>) -> Option<At> {
    let xs: Vec<f64> =
        sheet.layout.load_points().filter_map(|id| sheet.layout.at(id)).map(|at| at.0).collect();
    if xs.is_empty() {
        return None;
    }
    Some((xs.iter().sum::<f64>() / xs.len() as f64, sheet.layout.rings + sheet.layout.to_litter()))
}
