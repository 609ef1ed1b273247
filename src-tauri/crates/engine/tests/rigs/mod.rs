//! Rigs for the tests: templates with every part rated, and small ones made by hand.
#![allow(dead_code)]

use rig::Rig;
use rig::findings::{LossFinding, LossMode, PartFinding, StateFindings};
use rig::guidelines::{Guidelines, Limit};
use std::collections::BTreeMap;

/// A template with what is set.
pub fn make(name: &str, set: &[(&str, &str)]) -> Rig {
    let set: BTreeMap<String, String> = set.iter().map(|(k, v)| ((*k).into(), (*v).into())).collect();
    rig::templates::make(name, &set).unwrap_or_else(|e| panic!("{name}: {e}"))
}

/// A template with every part rated, and what is set besides.
pub fn rated(name: &str, set: &[(&str, &str)]) -> Rig {
    let mut all: BTreeMap<&str, &str> = [
        "anchor_west",
        "anchor_east",
        "device",
        "edge_protection",
        "edge_lip",
        "bridle_ring",
        "bridle",
        "litter",
        "patient_tie_in",
        "harness",
    ]
    .into_iter()
    .map(|name| (name, "30kN"))
    .collect();
    if name.starts_with("raise") {
        all.extend([("pulley", "30kN"), ("haul_hitch", "9kN"), ("progress_capture", "9kN")]);
    }
    all.extend(set.iter().copied());
    make(name, &all.into_iter().collect::<Vec<_>>())
}

/// A template with every rating it asks for set: 30 kN, hitches and captures 9 kN; and what is set besides.
pub fn fully_rated(name: &str, set: &[(&str, &str)]) -> Rig {
    let template =
        rig::templates::list().into_iter().find(|t| t.name == name).unwrap_or_else(|| panic!("{name}"));
    let asked =
        template.parameters.iter().filter(|p| p.unit == rig::templates::Unit::Force && p.default.is_empty());
    let slips = |name: &str| name.contains("hitch") || name == "progress_capture";
    let mut all: BTreeMap<&str, &str> =
        asked.map(|p| (p.name, if slips(p.name) { "9kN" } else { "30kN" })).collect();
    all.extend(set.iter().copied());
    make(name, &all.into_iter().collect::<Vec<_>>())
}

fn limit(value: f64) -> Limit {
    Limit { value, source: "common practice, no source".into() }
}

/// The defaults, with the margins the tests are written for said here.
pub fn guidelines() -> Guidelines {
    Guidelines {
        required_margin: limit(10.0),
        required_after_loss: limit(1.0),
        pull_per_person_kn: limit(0.222),
        ..Guidelines::defaults()
    }
}

/// The finding of a part.
pub fn part<'a>(state: &'a StateFindings, id: &str) -> &'a PartFinding {
    state.parts.iter().find(|p| p.id == id).unwrap_or_else(|| panic!("no part {id}"))
}

/// The finding of a loss.
pub fn loss<'a>(state: &'a StateFindings, id: &str, mode: LossMode) -> &'a LossFinding {
    state
        .losses
        .iter()
        .find(|l| l.mode == mode && l.lost.iter().any(|i| i == id))
        .unwrap_or_else(|| panic!("no loss {id}"))
}

pub mod small {
    //! Small rigs made by hand, everything rated 30 kN, no edge.

    use rig::Rig;
    use rig::model::*;
    use rig::quantity::{Angle, Force, Length, Mass, Ratio};

    fn cited() -> Cited {
        Cited { words: "for the tests".into(), standing: Standing::Assumption }
    }
    fn m(v: f64) -> Length {
        Length::metres(v).unwrap()
    }
    fn newtons(v: f64) -> Force {
        Force::newtons(v).unwrap()
    }
    pub fn band(low: f64, nominal: f64, high: f64) -> Band {
        let r = |v| Ratio::new(v).unwrap();
        Band { low: r(low), nominal: r(nominal), high: r(high), cited: cited() }
    }
    fn forces(low: f64, nominal: f64, high: f64) -> ForceBand {
        ForceBand { low: newtons(low), nominal: newtons(nominal), high: newtons(high), cited: cited() }
    }
    /// 30 kN.
    pub fn strong() -> Option<Strength> {
        Some(Strength::plain(newtons(30_000.0), cited()))
    }
    /// A rule of one id.
    pub fn on(id: &str) -> Support {
        Support::Part(id.into())
    }
    /// Any of the ids.
    pub fn any(ids: &[&str]) -> Support {
        Support::Any(ids.iter().map(|id| on(id)).collect())
    }
    /// The first of the ids, then the next.
    pub fn backup(ids: &[&str]) -> Support {
        Support::Backup(ids.iter().map(|id| on(id)).collect())
    }

    /// An empty rig with a load.
    pub fn rig(kilograms: f64, held_by: Support, points: &[&str]) -> Rig {
        Rig {
            format: FORMAT.into(),
            name: "small".into(),
            title: "small".into(),
            template: None,
            load: Load {
                mass: Mass::kilograms(kilograms).unwrap(),
                share_one: band(0.3, 0.5, 0.7),
                points: points.iter().map(|p| (*p).into()).collect(),
                held_by,
                pull: None,
                shares: std::collections::BTreeMap::new(),
                bodies: Vec::new(),
            },
            edge: Edge {
                height: m(20.0),
                friction: band(1.1, 1.48, 2.6),
                turn: Angle::degrees(90.0).unwrap(),
                slope: None,
                below: Vec::new(),
            },
            points: Vec::new(),
            parts: Vec::new(),
            ropes: Vec::new(),
            hands: Vec::new(),
            groups: Vec::new(),
            states: Vec::new(),
            assumptions: Vec::new(),
            catalogue: "1".into(),
        }
    }

    pub fn point(rig: &mut Rig, id: &str, x: f64, y: f64, fixed: bool) {
        rig.points.push(Point { id: id.into(), x: m(x), y: m(y), fixed, draw: [x, y] });
    }

    pub fn part<'a>(
        rig: &'a mut Rig,
        id: &str,
        kind: PartKind,
        line: Line,
        at: &[&str],
        held_by: Support,
    ) -> &'a mut Part {
        let label = id.replace('_', " ");
        rig.parts.push(Part { strength: strong(), ..Part::plain(id, &label, kind, line, at, held_by) });
        rig.parts.last_mut().unwrap()
    }

    pub fn device(rig: &mut Rig, id: &str, class: DeviceClass, line: Line, at: &str, held_by: Support) {
        part(rig, id, PartKind::Device, line, &[at], held_by).device = Some(Device {
            class,
            takes: None,
            closed: forces(4000.0, 6000.0, 9000.0),
            gain: Some(band(6.0, 10.0, 15.0)),
            residual: Some(forces(100.0, 200.0, 400.0)),
            purpose: None,
            rated_load: None,
        });
    }

    pub fn rope(rig: &mut Rig, id: &str, line: Line, path: &[&str], held_by: Support) {
        part(rig, id, PartKind::Rope, line, &[], held_by);
        rig.ropes.push(Rope {
            id: id.into(),
            label: id.into(),
            line,
            path: path.iter().map(|p| (*p).into()).collect(),
            length: m(60.0),
            length_said: None,
            diameter: m(0.011),
            stiffness: forces(20_000.0, 30_000.0, 61_000.0),
            knots: m(3.0),
            material: None,
            joints: Vec::new(),
            stopper: None,
        });
    }

    pub fn hand(rig: &mut Rig, id: &str, task: HandTask, works: &[&str]) {
        let grip = match task {
            HandTask::Tailer => forces(50.0, 80.0, 200.0),
            _ => forces(150.0, 250.0, 400.0),
        };
        rig.hands.push(Hand {
            id: id.into(),
            role: id.replace('_', " "),
            task,
            works: works.iter().map(|w| (*w).into()).collect(),
            grip: Some(grip),
            people: 1,
        });
    }

    /// One state with every device in `how` and every hand at work.
    pub fn state(rig: &mut Rig, motion: Sliding, how: DeviceState) {
        let devices = rig.parts.iter().filter(|p| p.device.is_some()).map(|p| (p.id.clone(), how)).collect();
        let hands = rig.hands.iter().map(|h| h.id.clone()).collect();
        let (id, label) = ("now".into(), "now".into());
        rig.states.push(State { id, label, motion, devices, hands, without: Vec::new() });
        rig::validate(rig).unwrap_or_else(|e| panic!("{e}"));
    }

    /// Two ropes from `points` up to two devices of a class, each on an anchor of its own.
    pub fn two_ropes(rig: &mut Rig, class: DeviceClass, points: [&str; 2]) {
        for (n, line, load) in [("1", Line::One, points[0]), ("2", Line::Two, points[1])] {
            let x = if n == "1" { 0.0 } else { 0.5 };
            if rig.point(load).is_none() {
                point(rig, load, x, 0.0, false);
            }
            let (top, anchor, dev) = (format!("top_{n}"), format!("anchor_{n}"), format!("device_{n}"));
            point(rig, &top, if points[0] == points[1] { 0.0 } else { x }, 10.0, true);
            part(rig, &anchor, PartKind::Anchor, line, &[&top], Support::Ground);
            device(rig, &dev, class, line, &top, on(&anchor));
            rope(rig, &format!("rope_{n}"), line, &[load, &top], on(&dev));
            part(rig, &format!("knot_{n}"), PartKind::EndKnot, line, &[load], on(&format!("rope_{n}")));
        }
    }
}

pub mod twisted {
    //! The same rig with every id another and every list the other way round: what is said of it must not change.

    use super::guidelines;
    use rig::Rig;
    use rig::findings::StateFindings;
    use serde_json::Value;
    use std::collections::{BTreeMap, BTreeSet};

    /// Keys under which ids of the rig stand.
    const IDS: [&str; 14] = [
        "id", "at", "path", "held_by", "part", "any", "all", "backup", "works", "members", "hands",
        "without", "points", "knot",
    ];
    /// Lists whose order says nothing.
    const UNORDERED: [&str; 8] = ["points", "parts", "ropes", "hands", "groups", "any", "all", "members"];

    /// Every id of a rig with its other name, alphabetically the other way round.
    fn names(rig: &Rig) -> BTreeMap<String, String> {
        let parts = rig.parts.iter().map(|p| &p.id).chain(rig.ropes.iter().map(|r| &r.id));
        let rest = rig.points.iter().map(|p| &p.id).chain(rig.hands.iter().map(|h| &h.id));
        let groups = rig.groups.iter().map(|g| &g.id).chain(rig.load.bodies.iter().map(|b| &b.id));
        let all: BTreeSet<&String> = parts.chain(rest).chain(groups).collect();
        let count = all.len();
        all.into_iter().enumerate().map(|(n, id)| (id.clone(), format!("n{:04}", count - n))).collect()
    }

    fn twist(value: &mut Value, key: &str, names: &BTreeMap<String, String>) {
        match value {
            Value::String(text) if IDS.contains(&key) => {
                if let Some(other) = names.get(text) {
                    text.clone_from(other);
                }
            }
            Value::Array(list) => {
                list.iter_mut().for_each(|one| twist(one, key, names));
                if UNORDERED.contains(&key) {
                    list.reverse();
                }
            }
            Value::Object(map) => {
                if ["devices", "shares"].contains(&key) {
                    let renamed = |id: String| names.get(&id).cloned().unwrap_or(id);
                    *map = std::mem::take(map).into_iter().map(|(id, v)| (renamed(id), v)).collect();
                }
                map.iter_mut().for_each(|(key, value)| twist(value, key, names));
            }
            _ => {}
        }
    }

    /// The rig renamed and turned round.
    pub fn undone(rig: &Rig) -> Rig {
        let mut value = serde_json::to_value(rig).unwrap();
        let names = names(rig);
        let map = value.as_object_mut().unwrap();
        for key in ["load", "points", "parts", "ropes", "hands", "groups", "states"] {
            twist(map.get_mut(key).unwrap(), key, &names);
        }
        let other: Rig = serde_json::from_value(value).unwrap();
        rig::validate(&other).unwrap_or_else(|e| panic!("{e}"));
        assert!(other.parts.len() < 2 || other.parts[0].id != rig.parts[0].id);
        other
    }

    /// What is said of a rig in each state, by labels: losses, hands-off, forces, critical pairs.
    pub fn said(rig: &Rig) -> Vec<BTreeSet<String>> {
        let report = engine::check(rig, &guidelines(), None);
        let label = |id: &String| {
            let part = rig.part(id).map(|p| format!("{} {:?}", p.label, p.at.len()));
            part.or_else(|| rig.hand(id).map(|h| h.role.clone())).unwrap_or_else(|| panic!("{id}"))
        };
        let of = |state: &StateFindings| {
            let mut said = BTreeSet::new();
            for lost in &state.losses {
                let acts: BTreeSet<&String> = lost.acts.iter().collect();
                let path: BTreeSet<String> = lost.path.iter().map(label).collect();
                said.insert(format!(
                    "{} {:?} {:?} {} {acts:?} {path:?}",
                    lost.label, lost.mode, lost.verdict, lost.moves
                ));
            }
            for (what, ids) in [("critical", &state.critical_parts), ("unknown", &state.unknown_parts)] {
                said.extend(ids.iter().map(|id| format!("{what} {}", label(id))));
            }
            for pair in &state.critical_pairs {
                let pair: BTreeSet<String> = pair.iter().map(label).collect();
                said.insert(format!("pair {pair:?}"));
            }
            for part in &state.parts {
                let force = part.force_kn.map(|f| {
                    [f.low, f.nominal, f.high].map(|kn| format!("{kn:.6}").replace("-0.000000", "0.000000"))
                });
                said.insert(format!("{} {force:?} {:?}", part.label, part.verdict));
            }
            said.insert(format!("{:?} {}", state.hands_off.verdict, state.hands_off.moves));
            said
        };
        std::iter::once(&report.main).chain(&report.other_states).map(of).collect()
    }
}
