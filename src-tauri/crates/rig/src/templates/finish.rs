//! The last steps of every template: what is assumed, what the team said of its gear, and the whole put together.

use super::build::{Builder, Made, assumed};
use super::values::{Values, metres};
use crate::catalogue;
use crate::error::RigError;
use crate::model::*;
use crate::quantity::{Angle, Mass};
use std::collections::BTreeMap;

impl Builder<'_> {
    pub(super) fn assume(&mut self, label: &str, value: String, cited: Cited) {
        self.assumptions.push(Assumption { label: label.into(), value, cited });
    }

    /// The hands' grips that this rig's operators and tailers are taken to have.
    fn grips_assumed(&mut self) {
        let tasks: Vec<HandTask> = self.hands.iter().map(|h| h.task).collect();
        let rows = [
            (HandTask::Operator, "grip of an operator", "250 N (150 to 400)"),
            (HandTask::Tailer, "grip of the tailer", "80 N (50 to 200) on each rope"),
        ];
        for (_, label, value) in rows.into_iter().filter(|(task, _, _)| tasks.contains(task)) {
            self.assume(label, value.into(), assumed("twin-tension model"));
        }
    }

    /// What the team said of its pulleys and of the cord of its hitches.
    fn dress(&mut self) -> Made<()> {
        let values = self.values;
        let range = |of: &str| match (
            values.number(&format!("{of}_takes_low")),
            values.number(&format!("{of}_takes_high")),
        ) {
            (Some(low), Some(high)) => Ok(Some([metres(low)?, metres(high)?])),
            _ => Ok(None),
        };
        let (takes, hitch_takes) = (range("pulley")?, range("hitch")?);
        let sheave = values.number("pulley_sheave").map(metres).transpose()?;
        let cord = match values.choice("hitch_cord") {
            "nylon" => Some(Material::Nylon),
            "polyester" => Some(Material::Polyester),
            "aramid" => Some(Material::Aramid),
            "HMPE, bare" => Some(Material::Hmpe),
            _ => None,
        };
        for part in &mut self.parts {
            match part.kind {
                PartKind::Pulley => (part.takes, part.sheave) = (takes, sheave),
                PartKind::FrictionHitch | PartKind::HaulHitch | PartKind::ProgressCapture => {
                    (part.material, part.takes) = (cord, hitch_takes);
                }
                _ => {}
            }
        }
        Ok(())
    }

    /// The slope under the load, where the template has one.
    fn slope(&mut self) -> Made<Option<Slope>> {
        let Some(degrees) = self.values.number("slope") else { return Ok(None) };
        let angle =
            Angle::degrees(degrees).ok_or_else(|| RigError::new("slope", "not finite", "set an angle"))?;
        let friction = self.values.band("slope_friction")?;
        let range = format!("{} ({} to {})", friction.nominal, friction.low, friction.high);
        self.assume("friction between litter and ground", range, friction.cited.clone());
        Ok(Some(Slope { angle, friction }))
    }

    /// Puts the rig together.
    pub fn finish(mut self, name: &str, load_rule: Support) -> Made<Rig> {
        let share = self.values.band("share")?;
        let friction = self.values.band("edge_friction")?;
        let range = |b: &Band| format!("{} ({} to {})", b.nominal, b.low, b.high);
        self.assume("share of the load on rope one", range(&share), share.cited.clone());
        self.assume("tension ratio over the edge", range(&friction), friction.cited.clone());
        self.assume(
            "rope over the edge",
            format!("turns {}°", self.values.needed("edge_turn")?),
            self.values.cited("edge_turn"),
        );
        self.assume(
            "ropes, legs and devices",
            "in one plane, unfolded at the edge; weight of rope not counted".into(),
            assumed("model"),
        );
        self.assume("closed device slips at", "6 kN (4 to 9)".into(), assumed("twin-tension model"));
        self.assume(
            "device over a hand’s grip",
            "10 times (6 to 15), and 0.2 kN (0.1 to 0.4) with no hand".into(),
            assumed("twin-tension model"),
        );
        if self.parts.iter().any(|p| p.efficiency.is_some()) {
            let efficiency = self.values.band("pulley_efficiency")?;
            self.assume("tension left past each pulley", range(&efficiency), efficiency.cited.clone());
        }
        self.grips_assumed();
        self.dress()?;
        let slope = self.slope()?;
        let values = self.values;
        let mass = Mass::kilograms(values.needed("load")?)
            .ok_or_else(|| RigError::new("load", "not finite", "set a mass"))?;
        let turn = Angle::degrees(values.needed("edge_turn")?)
            .ok_or_else(|| RigError::new("edge_turn", "not finite", "set an angle"))?;
        Ok(Rig {
            format: FORMAT.into(),
            name: name.into(),
            title: String::new(),
            template: None,
            load: Load {
                mass,
                share_one: share,
                points: self.ends,
                held_by: load_rule,
                pull: None,
                shares: BTreeMap::new(),
                bodies: self.bodies,
            },
            edge: Edge {
                height: values.length("edge_height")?,
                friction,
                turn,
                slope,
                below: below(values)?,
            },
            points: self.points,
            parts: self.parts,
            ropes: self.ropes,
            hands: self.hands,
            groups: self.groups,
            states: self.states,
            assumptions: self.assumptions,
            catalogue: catalogue::VERSION.into(),
        })
    }
}

/// What lies under the load, where it was said.
fn below(values: &Values) -> Made<Vec<Below>> {
    let kinds = [("ledge", BelowKind::Ledge), ("water", BelowKind::Water)];
    let said = kinds.into_iter().filter_map(|(name, kind)| Some((kind, values.number(name)?)));
    said.map(|(kind, height)| Ok(Below { kind, height: metres(height)? })).collect()
}
