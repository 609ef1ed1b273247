//! The team's own rules as one file: required margins, roles, words, signals, intervals.
//! Each default cites its source or says "common practice".

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use ts_rs::TS;

mod falls;
mod own;
mod people;
mod phases;

pub use falls::{FallRules, Share, Spread};
pub use people::{AFTER_SUSPENSION, Agreed, PeopleRules, SUSPENSION};
pub use phases::{PhaseWords, Phrases};

/// The guidelines file's format word.
pub const FORMAT: &str = "ledgebook-guidelines/0";

/// The team's own rules.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Guidelines {
    /// `ledgebook-guidelines/0`.
    pub format: String,
    /// Name and edition ("Ledgebook defaults, edition 1").
    pub name: String,
    /// Required margin (strength over high force) for every part.
    pub required_margin: Limit,
    /// Required margin after any single loss, for a survivor not to be named overloaded (1 = its strength).
    pub required_after_loss: Limit,
    /// Other required margins by kind of part.
    #[serde(default)]
    pub required_by_kind: BTreeMap<String, Limit>,
    /// Roles with the code that names each in the free line.
    pub roles: Vec<RoleRule>,
    /// Seconds until an order that is not read back stands out.
    pub readback_s: Limit,
    /// Seconds within which a stop should be reported by every operator.
    pub stop_s: Limit,
    /// Minutes between personnel accountability reports.
    pub par_min: Limit,
    /// Seconds by which the time of day and the machine's running clock may part before the clock is told as set.
    #[serde(default = "clock_s")]
    pub clock_s: Limit,
    /// Planning pull of one hauler, kN.
    #[serde(rename = "pull_per_person_kN")]
    pub pull_per_person_kn: Limit,
    /// Widest included angle of a load-sharing V, degrees.
    #[serde(default = "v_angle_deg")]
    pub v_angle_deg: Limit,
    /// Haulers times advantage up to which a haul is within every rule known here.
    #[serde(default = "haul_product")]
    pub haul_product: Limit,
    /// Haulers times advantage over which no rule known here allows it; between the two, not checked.
    #[serde(default = "haul_product_most")]
    pub haul_product_most: Limit,
    /// Rope asked for beyond height, way to the anchors and knots, m; with less left its end is near.
    #[serde(default = "rope_spare_m", skip_serializing_if = "as_since_format_1")]
    pub rope_spare_m: Limit,
    /// Clocks that run on people.
    #[serde(default, skip_serializing_if = "PeopleRules::as_since_format_1")]
    pub people: PeopleRules,
    /// What falls are reckoned with.
    #[serde(default, skip_serializing_if = "FallRules::as_since_format_1")]
    pub falls: FallRules,
    /// Words that start or end each motion.
    pub words: MotionWords,
    /// Whistle code: how many blasts mean what.
    pub whistle: BTreeMap<String, String>,
}

/// A number with its source.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Limit {
    /// The number, in the unit its field says.
    pub value: f64,
    /// Where it comes from, or "common practice, no source".
    pub source: String,
}

/// A role.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct RoleRule {
    /// Name ("rope one operator").
    pub role: String,
    /// Short form on the line ("rope one").
    pub short: String,
    /// Code in the free line ("1").
    pub code: String,
    /// Whether a stop waits for this role's report.
    #[serde(default)]
    pub stops: StopsWhen,
}

/// When a stop waits for a role to report stopped.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(rename_all = "snake_case")]
pub enum StopsWhen {
    /// Never.
    #[default]
    Never,
    /// At every stop.
    Always,
    /// Only when the stop ends a raise.
    Raising,
}

/// Words that change the motion, in lower case; the first of each list is the one the keys write.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct MotionWords {
    pub load_test: Vec<String>,
    pub at_the_edge: Vec<String>,
    pub lower: Vec<String>,
    pub raise: Vec<String>,
    pub slow: Vec<String>,
    pub stop: Vec<String>,
    pub stopped: Vec<String>,
    pub tied_off: Vec<String>,
    pub landed: Vec<String>,
    /// What is done inside a motion.
    #[serde(default, skip_serializing_if = "PhaseWords::as_since_format_1")]
    pub phases: PhaseWords,
}

fn limit(value: f64, source: &str) -> Limit {
    Limit { value, source: source.into() }
}

fn words(list: &[&str]) -> Vec<String> {
    list.iter().map(|w| (*w).to_string()).collect()
}

/// Far over what reading two clocks one after the other costs, far under what matters on a rope.
fn clock_s() -> Limit {
    limit(2.0, "assumption of this program: two clocks read one after the other part by less")
}

fn v_angle_deg() -> Limit {
    limit(90.0, COMMON_PRACTICE)
}

/// Left out where it is what its absence means, so that guidelines of format 1 stay what they were to the letter. Never
/// to be changed.
fn as_since_format_1(spare: &Limit) -> bool {
    *spare == rope_spare_m()
}

fn rope_spare_m() -> Limit {
    limit(3.0, "assumption of this program: an end that is seen before it comes to the device")
}

fn haul_product() -> Limit {
    limit(12.0, "rule of 12: a climbing site")
}

fn haul_product_most() -> Limit {
    limit(18.0, "rule of 18: fire-service journal article, 2009")
}

const COMMON_PRACTICE: &str = "common practice, no source";

impl Guidelines {
    /// What holds until the team enters its own; each default cites its source or says "common practice".
    pub fn defaults() -> Guidelines {
        let role = |role: &str, short: &str, code: &str, stops: StopsWhen| RoleRule {
            role: role.into(),
            short: short.into(),
            code: code.into(),
            stops,
        };
        use StopsWhen::{Always, Never, Raising};
        Guidelines {
            format: FORMAT.into(),
            name: "Ledgebook defaults, edition 1".into(),
            required_margin: limit(
                10.0,
                "10:1 static factor, common practice since the 1980s, now questioned (ITRS 2014 abstract on static system safety factors)",
            ),
            required_after_loss: limit(
                1.0,
                "a survivor must not be loaded past its strength (definition of overloaded)",
            ),
            required_by_kind: BTreeMap::new(),
            roles: vec![
                role("control", "control", "c", Never),
                role("rope one operator", "rope one", "1", Always),
                role("rope two operator", "rope two", "2", Always),
                role("tailer", "tailer", "t", Never),
                role("edge attendant", "edge", "e", Never),
                role("litter attendant", "litter", "l", Never),
                role("haul team", "haul team", "h", Raising),
                role("rigging lead", "rigging lead", "r", Never),
                role("safety officer", "safety officer", "s", Never),
                role("scribe", "scribe", "n", Never),
                role("incident commander", "commander", "i", Never),
                role("patient attendant", "patient attendant", "p", Never),
            ],
            readback_s: limit(10.0, COMMON_PRACTICE),
            stop_s: limit(5.0, COMMON_PRACTICE),
            par_min: limit(
                30.0,
                "30 min plus events: standard operating procedures of two fire departments; others use 10, 15 or 20 min",
            ),
            clock_s: clock_s(),
            pull_per_person_kn: limit(
                0.222,
                "50 lbf a person: fire-service journal article, 2009; a second article agrees",
            ),
            v_angle_deg: v_angle_deg(),
            haul_product: haul_product(),
            haul_product_most: haul_product_most(),
            rope_spare_m: rope_spare_m(),
            people: PeopleRules::default(),
            falls: FallRules::default(),
            words: MotionWords {
                load_test: words(&["load test"]),
                at_the_edge: words(&["at the edge"]),
                lower: words(&["lower", "down", "lowering"]),
                raise: words(&["raise", "haul", "up", "raising"]),
                slow: words(&["slow", "slowly"]),
                stop: words(&["stop"]),
                stopped: words(&["stopped"]),
                tied_off: words(&["tied off"]),
                landed: words(&["landed", "on the ground", "at the top"]),
                phases: PhaseWords::default(),
            },
            whistle: [("1", "stop"), ("2", "up"), ("3", "down"), ("4", "off rope"), ("continuous", "help")]
                .iter()
                .map(|(n, m)| ((*n).to_string(), (*m).to_string()))
                .collect(),
        }
    }

    /// The margin required of a kind of part.
    pub fn required_for(&self, kind: &str) -> &Limit {
        self.required_by_kind.get(kind).unwrap_or(&self.required_margin)
    }

    /// The rule of a role, by its name, short name or code.
    pub fn role(&self, name: &str) -> Option<&RoleRule> {
        self.roles
            .iter()
            .find(|r| r.role == name)
            .or_else(|| self.roles.iter().find(|r| r.short == name || r.code == name))
    }

    /// The short name of a role, or the name itself.
    pub fn short<'a>(&'a self, role: &'a str) -> &'a str {
        self.roles.iter().find(|r| r.role == role).map_or(role, |r| &r.short)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn defaults_can_be_used_and_read_back() {
        let g = Guidelines::defaults();
        assert_eq!(g.fault(), None);
        let text = serde_json::to_string(&g).unwrap();
        assert_eq!(serde_json::from_str::<Guidelines>(&text).unwrap(), g);
    }
}
