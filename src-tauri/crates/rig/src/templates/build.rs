//! What the templates share: the V, the devices, the ropes over the edge, the load.

use super::values::{Values, metres, newtons, ratio};
use crate::catalogue::{self, Knot, Rated};
use crate::error::RigError;
use crate::model::*;
use crate::quantity::Mass;
use std::collections::BTreeMap;

pub type Made<T> = Result<T, RigError>;

/// Where the load is drawn, as a share of the height of the edge.
pub const LOAD_AT: f64 = 0.35;

/// A rig in the making.
pub struct Builder<'a> {
    pub values: &'a Values,
    pub points: Vec<Point>,
    pub parts: Vec<Part>,
    pub ropes: Vec<Rope>,
    pub hands: Vec<Hand>,
    pub groups: Vec<Group>,
    pub states: Vec<State>,
    pub assumptions: Vec<Assumption>,
    pub bodies: Vec<Body>,
    /// Points of the load that ropes end at.
    pub(super) ends: Vec<String>,
}

/// The id of a part as a rule.
pub fn on(id: &str) -> Support {
    Support::Part(id.into())
}

pub(super) fn assumed(words: &str) -> Cited {
    Cited { words: words.into(), standing: Standing::Assumption }
}

/// A range of force in N, assumed.
pub fn force_band(low: f64, nominal: f64, high: f64, words: &str) -> Made<ForceBand> {
    Ok(ForceBand {
        low: newtons(low)?,
        nominal: newtons(nominal)?,
        high: newtons(high)?,
        cited: assumed(words),
    })
}

fn plain_band(low: f64, nominal: f64, high: f64, words: &str) -> Made<Band> {
    Ok(Band { low: ratio(low)?, nominal: ratio(nominal)?, high: ratio(high)?, cited: assumed(words) })
}

/// Strength of a class in the catalogue.
pub fn class(list: &[Rated], id: &str) -> Option<Strength> {
    catalogue::rated(list, id).and_then(Rated::strength)
}

fn weakened(strength: Option<Strength>, knot: Option<&Knot>) -> Made<Option<Strength>> {
    let (Some(mut strength), Some(knot)) = (strength, knot) else { return Ok(None) };
    strength.factors.push(Factor {
        words: knot.label.into(),
        ratio: Band {
            low: ratio(knot.low)?,
            nominal: ratio((knot.low + knot.high) / 2.0)?,
            high: ratio(knot.high)?,
            cited: Cited { words: knot.words.into(), standing: knot.standing },
        },
    });
    Ok(Some(strength))
}

/// Depth of the focal knots below the anchors: with the legs reaching `a` and `b` across, the depth
/// h at which they enclose the angle: tan θ = (a + b) h / (h² − a b), solved for h > 0.
pub fn depth_of_v(a: f64, b: f64, included_deg: f64) -> f64 {
    let (sin, cos) = libm::sincos(included_deg.to_radians());
    let across = a + b;
    (across * cos + libm::sqrt(across * across * cos * cos + 4.0 * a * b * sin * sin)) / (2.0 * sin)
}

impl<'a> Builder<'a> {
    pub fn new(values: &'a Values) -> Self {
        Builder {
            values,
            points: Vec::new(),
            parts: Vec::new(),
            ropes: Vec::new(),
            hands: Vec::new(),
            groups: Vec::new(),
            states: Vec::new(),
            assumptions: Vec::new(),
            bodies: Vec::new(),
            ends: Vec::new(),
        }
    }

    pub fn point(&mut self, id: &str, real: (f64, f64), draw: [f64; 2], fixed: bool) -> Made<()> {
        self.points.push(Point { id: id.into(), x: metres(real.0)?, y: metres(real.1)?, fixed, draw });
        Ok(())
    }

    pub fn part(
        &mut self,
        id: &str,
        label: &str,
        kind: PartKind,
        line: Line,
        at: &[&str],
        held_by: Support,
    ) -> &mut Part {
        let always_critical =
            matches!(kind, PartKind::Bridle | PartKind::Litter | PartKind::PatientTieIn | PartKind::Harness);
        self.parts.push(Part { always_critical, ..Part::plain(id, label, kind, line, at, held_by) });
        let last = self.parts.len() - 1;
        &mut self.parts[last]
    }

    /// An anchor on the ground at a place, `sheet` across on the drawing; its kind and rating are parameters of its name.
    pub fn anchor(&mut self, id: &str, name: &str, line: Line, real: (f64, f64), sheet: f64) -> Made<()> {
        let at = format!("at_{}", id.trim_start_matches("anchor_"));
        self.point(&at, real, [sheet, 9.0], true)?;
        let label = match self.values.choice(&format!("{id}_is")) {
            "not said" | "" => name.to_string(),
            kind => format!("{name}, {kind}"),
        };
        let strength = self.values.team_rating(id);
        self.part(id, &label, PartKind::Anchor, line, &[&at], Support::Ground).strength = strength;
        Ok(())
    }

    /// Both anchors at the height given.
    pub fn anchors(&mut self, y: f64) -> Made<()> {
        let half = self.values.needed("anchor_spacing")? / 2.0;
        for (side, x, sheet) in [("west", -half, 44.0), ("east", half, 106.0)] {
            let (id, name) = (format!("anchor_{side}"), format!("anchor {side}"));
            self.anchor(&id, &name, Line::Shared, (x, y), sheet)?;
        }
        self.one_boulder(&["anchor_west", "anchor_east"]);
        Ok(())
    }

    /// The common cause of anchors on one boulder or tree, if it is so.
    pub fn one_boulder(&mut self, anchors: &[&str]) {
        if self.values.choice("one_boulder") == "yes" {
            let which = if anchors.len() == 2 { "both" } else { "all" };
            self.groups.push(Group {
                id: "one_boulder".into(),
                label: format!("the boulder or tree that carries {which} anchors"),
                members: anchors.iter().map(|id| (*id).to_string()).collect(),
            });
        }
    }

    /// A cord, sling or connector of the team's rating between two points, load end first.
    pub fn tie(
        &mut self,
        id: &str,
        label: &str,
        kind: PartKind,
        line: Line,
        at: [&str; 2],
        holder: &str,
    ) -> &mut Part {
        let strength = self.values.team_rating(id);
        let part = self.part(id, label, kind, line, &at, on(holder));
        part.strength = strength;
        part
    }

    /// Strength of one leg before its knot.
    fn leg_strength(&self) -> Option<Strength> {
        let set = self.values.team_rating("leg_rating");
        set.or_else(|| class(catalogue::LEGS, self.values.choice("leg_material")))
    }

    /// A focal knot with its two legs; `near` is the anchor on its own side.
    pub fn knot(
        &mut self,
        id: &str,
        label: &str,
        number: &str,
        line: Line,
        near: &str,
        far: &str,
    ) -> Made<()> {
        let legs = self.legs(&format!("at_{id}"), number, line, &[("a", near), ("b", far)])?;
        let held = weakened(self.leg_strength(), catalogue::knot(self.values.choice("focal_knot")))?;
        let at = format!("at_{id}");
        self.part(id, label, PartKind::FocalKnot, line, &[&at], Support::Any(legs)).strength = held;
        Ok(())
    }

    /// Legs from a point to anchors by their sides ("west"); answers what they hold together.
    pub fn legs(&mut self, at: &str, number: &str, line: Line, to: &[(&str, &str)]) -> Made<Vec<Support>> {
        let material = self.values.choice("leg_material").to_string();
        let kind = if material == "sewn sling" { PartKind::Sling } else { PartKind::CordLeg };
        let strength = self.leg_strength();
        let knot = catalogue::knot(self.values.choice("focal_knot"));
        let mut legs = Vec::new();
        for (letter, side) in to {
            let leg = format!("leg_{number}{letter}");
            let words = format!("V leg {number}{letter}, {material}");
            let held = on(&format!("anchor_{side}"));
            let tied =
                if material == "sewn sling" { strength.clone() } else { weakened(strength.clone(), knot)? };
            let own = match self.values.choice("leg_hitch") {
                "choked" => weakened(tied, Some(&catalogue::CHOKED))?,
                // Its two strands share the load; not counted better than one.
                _ => tied,
            };
            self.part(&leg, &words, kind, line, &[at, &format!("at_{side}")], held).strength = own;
            legs.push(on(&leg));
        }
        Ok(legs)
    }

    /// A connector between two points, load end first.
    pub fn connector(&mut self, number: &str, line: Line, at: &[&str], holder: &str) -> Made<()> {
        let strength = class(catalogue::CONNECTORS, self.values.choice("connector_class"));
        let (id, label) = (format!("connector_{number}"), format!("connector {number}"));
        self.part(&id, &label, PartKind::Connector, line, at, on(holder)).strength = strength;
        Ok(())
    }

    /// What grips a rope, by its class; forces are assumptions of the twin-tension model.
    pub fn grip(&self, class: DeviceClass) -> Made<Device> {
        let takes = match (self.values.number("device_takes_low"), self.values.number("device_takes_high")) {
            (Some(low), Some(high)) => Some([metres(low)?, metres(high)?]),
            _ => None,
        };
        Ok(Device {
            class,
            takes: takes.filter(|_| class != DeviceClass::FrictionHitch),
            closed: force_band(4000.0, 6000.0, 9000.0, "closed device slips")?,
            gain: Some(plain_band(6.0, 10.0, 15.0, "device over a hand’s grip")?),
            residual: Some(force_band(100.0, 200.0, 400.0, "open device without a hand")?),
            purpose: match self.values.choice("device_purpose") {
                _ if class == DeviceClass::FrictionHitch => None,
                "descent and belay" => Some(Purpose::Both),
                "descent only" => Some(Purpose::Descent),
                "belay only" => Some(Purpose::Belay),
                _ => None,
            },
            rated_load: match class {
                DeviceClass::FrictionHitch => None,
                _ => self.values.number("device_rated_load").and_then(Mass::kilograms),
            },
        })
    }

    /// A self-closing device at a point.
    pub fn device(&mut self, number: &str, line: Line, holder: &str) -> Made<()> {
        self.device_of(DeviceClass::SelfClosing, number, line, holder)
    }

    /// A device of a class at a point.
    pub fn device_of(&mut self, class: DeviceClass, number: &str, line: Line, holder: &str) -> Made<()> {
        let device = self.grip(class)?;
        let strength = self.values.team_rating("device");
        let (id, label) = (format!("device_{number}"), format!("device {number}"));
        let part =
            self.part(&id, &label, PartKind::Device, line, &[&format!("at_device_{number}")], on(holder));
        part.device = Some(device);
        part.strength = strength;
        Ok(())
    }

    /// A rope over the edge with its roller, end knot and bridle ring; `x` real, `sheet` on the drawing.
    pub fn rope(&mut self, number: &str, x: f64, sheet: f64, above: &[&str], held_by: Support) -> Made<()> {
        let inward = if number == "1" { 9.0 } else { -9.0 };
        let ring = format!("at_ring_{number}");
        let height = self.values.needed("edge_height")?;
        self.point(&ring, (x, height * LOAD_AT), [sheet + inward, 180.0], false)?;
        self.rope_over_edge(number, x, sheet, &ring, above, held_by)?;
        let line = if number == "1" { Line::One } else { Line::Two };
        let strength = self.values.team_rating("bridle_ring");
        let (id, label) = (format!("bridle_ring_{number}"), format!("bridle ring {number}"));
        let end = on(&format!("end_knot_{number}"));
        self.part(&id, &label, PartKind::BridleRing, line, &[&ring], end).strength = strength;
        Ok(())
    }

    /// A rope from a point of the load over the edge, with its roller and end knot.
    pub fn rope_over_edge(
        &mut self,
        number: &str,
        x: f64,
        sheet: f64,
        ring: &str,
        above: &[&str],
        held_by: Support,
    ) -> Made<()> {
        let line = if number == "1" { Line::One } else { Line::Two };
        let edge = format!("at_edge_{number}");
        self.point(&edge, (x, self.values.needed("edge_height")?), [sheet, 98.0], true)?;
        let roller = self.values.team_rating("edge_protection");
        let (id, label) = (format!("roller_{number}"), format!("edge roller {number}"));
        self.part(&id, &label, PartKind::EdgeProtection, line, &[&edge], Support::Ground).strength = roller;
        let path: Vec<&str> = [ring, &edge].into_iter().chain(above.iter().copied()).collect();
        self.rope_along(number, ring, &path, held_by)
    }

    /// A rope along a path from a point of the load, with its end knot.
    pub fn rope_along(&mut self, number: &str, ring: &str, path: &[&str], held_by: Support) -> Made<()> {
        let (line, word) = if number == "1" { (Line::One, "one") } else { (Line::Two, "two") };
        let rope = format!("rope_{word}");
        let rating = self.rope_part(&rope, &format!("rope {word}"), line, held_by)?;
        let end = weakened(rating, catalogue::knot(self.values.choice("end_knot")))?;
        let (id, label) = (format!("end_knot_{number}"), format!("end knot {number}"));
        self.part(&id, &label, PartKind::EndKnot, line, &[ring], on(&rope)).strength = end;
        if !self.ends.iter().any(|known| known == ring) {
            self.ends.push(ring.to_string());
        }
        self.run(&rope, &format!("rope {word}"), line, path)
    }

    /// The part that bears a rope's strength; answers its rating.
    pub fn rope_part(
        &mut self,
        id: &str,
        name: &str,
        line: Line,
        held_by: Support,
    ) -> Made<Option<Strength>> {
        let diameter = self.values.length("rope_diameter")?;
        let millimetres = libm::round(diameter.to_metres() * 10_000.0) / 10.0;
        let set = self.values.team_rating("rope_rating");
        let rating = set.or_else(|| class(catalogue::ROPES, self.values.choice("rope_class")));
        let label = format!("{name}, {millimetres} mm");
        self.part(id, &label, PartKind::Rope, line, &[], held_by).strength = rating.clone();
        Ok(rating)
    }

    /// The run of a rope over its points.
    pub fn run(&mut self, id: &str, label: &str, line: Line, path: &[&str]) -> Made<()> {
        self.ropes.push(Rope {
            id: id.into(),
            label: label.into(),
            line,
            path: path.iter().map(|s| (*s).to_string()).collect(),
            length: self.values.length("rope_length")?,
            length_said: None,
            diameter: self.values.length("rope_diameter")?,
            stiffness: force_band(20_000.0, 30_000.0, 61_000.0, "EA of low-stretch rope")?,
            knots: self.values.length("rope_for_knots")?,
            material: None,
            joints: Vec::new(),
            stopper: match self.values.choice("stopper") {
                "yes" => Some(true),
                "no" => Some(false),
                _ => None,
            },
        });
        Ok(())
    }

    /// The edge lip under both ropes, and its common cause.
    pub fn edge_lip(&mut self) {
        let strength = self.values.team_rating("edge_lip");
        let at = ["at_edge_1", "at_edge_2"];
        self.part("edge_lip", "edge lip", PartKind::EdgeLip, Line::Shared, &at, Support::Ground).strength =
            strength;
        self.groups.push(Group {
            id: "edge_cuts_both".into(),
            label: "edge lip cuts both ropes".into(),
            members: vec!["rope_one".into(), "rope_two".into()],
        });
    }

    /// Bridle, litter, tie-in and harness: what a wearer cannot double.
    pub fn load(&mut self, rings: Support) {
        let rows = [
            ("litter_bridle", "litter bridle", PartKind::Bridle, "bridle", rings),
            ("litter", "litter", PartKind::Litter, "litter", on("litter_bridle")),
            ("patient_tie_in", "patient tie-in", PartKind::PatientTieIn, "patient_tie_in", on("litter")),
            ("harness", "attendant’s harness", PartKind::Harness, "harness", on("litter_bridle")),
        ];
        for (id, label, kind, parameter, held_by) in rows {
            let strength = self.values.team_rating(parameter);
            let at: &[&str] = if kind == PartKind::Bridle { &["at_ring_1", "at_ring_2"] } else { &[] };
            self.part(id, label, kind, Line::Shared, at, held_by).strength = strength;
        }
    }

    pub fn hand(&mut self, id: &str, task: HandTask, works: &[&str], grip: Option<ForceBand>, people: u32) {
        self.hands.push(Hand {
            id: id.into(),
            role: id.replace('_', " "),
            task,
            works: works.iter().map(|s| (*s).to_string()).collect(),
            grip,
            people,
        });
    }

    pub fn state(&mut self, id: &str, motion: Sliding, devices: &[(&str, DeviceState)], hands: &[&str]) {
        self.states.push(State {
            id: id.into(),
            label: id.replace('_', " "),
            motion,
            devices: devices.iter().map(|(d, s)| ((*d).to_string(), *s)).collect::<BTreeMap<_, _>>(),
            hands: hands.iter().map(|s| (*s).to_string()).collect(),
            without: Vec::new(),
        });
    }

    /// Grip of an operator’s hand, N.
    pub fn operator_grip() -> Made<Option<ForceBand>> {
        force_band(150.0, 250.0, 400.0, "grip of one hand on a moving rope").map(Some)
    }
}

/// The load hangs in its litter and harness.
pub fn load_rule() -> Support {
    Support::All(vec![on("patient_tie_in"), on("harness")])
}
