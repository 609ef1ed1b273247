//! What a fall is reckoned with: how quick hands are, how ropes and devices are taken to behave, and what force on the load is too much.
//! A team that has measured its own in drills sets them here.

use super::{Limit, limit};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// A range with its middle and its source: what is drawn for each run lies as often below `likely` as above it, evenly on either side.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Spread {
    /// Low end.
    pub low: f64,
    /// In the middle: as often below as above.
    pub likely: f64,
    /// High end.
    pub high: f64,
    /// Where it comes from, or "assumption …".
    pub source: String,
}

/// A share of all cases with its source.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Share {
    /// From 0 to 1.
    pub value: f64,
    /// Where it comes from.
    pub source: String,
}

/// What falls are reckoned with. Each default means what its absence in an older record is read as; never to be changed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct FallRules {
    /// Seconds from the loss until an operator lets the handle go, or grips.
    #[serde(default = "reaction_s")]
    pub reaction_s: Spread,
    /// Share of cases in which the operator never does.
    #[serde(default = "never_acts")]
    pub never_acts: Share,
    /// Seconds in which a handle that was let go has closed.
    #[serde(default = "closing_s")]
    pub closing_s: Spread,
    /// Seconds from the loss until a tailer's grip, which lies on the rope already, begins to hold.
    #[serde(default = "tailer_s")]
    pub tailer_s: Spread,
    /// Damping time of a rope, s: damping over stiffness.
    #[serde(default = "damping_s")]
    pub damping_s: Spread,
    /// Speed of the load downwards while it is lowered, m/s.
    #[serde(default = "speed_m_s")]
    pub speed_m_s: Spread,
    /// Slack in a belay that runs along without tension, m.
    #[serde(default = "belay_slack_m")]
    pub belay_slack_m: Spread,
    /// Seconds until a belay that is being fed has grabbed.
    #[serde(default = "grab_s")]
    pub grab_s: Spread,
    /// What a belay resists while it is fed, N.
    #[serde(default = "feeding_n", rename = "feeding_N")]
    pub feeding_n: Spread,
    /// How far a load runs back until a progress capture has set, m.
    #[serde(default = "capture_m")]
    pub capture_m: Spread,
    /// Rope that is let loose as it comes off an edge roller or other protection, m.
    #[serde(default = "edge_m")]
    pub edge_m: Spread,
    /// How far behind a lip that broke the ropes come to bear, and by which they are let loose, m.
    #[serde(default = "lip_m")]
    pub lip_m: Spread,
    /// Mass of what holds a device and swings when it loses a leg, kg: knot, plate, connectors, the device itself.
    #[serde(default = "knot_kg")]
    pub knot_kg: Spread,
    /// Most that may pull on the load when it is caught, kN.
    #[serde(default = "peak_kn", rename = "peak_kN")]
    pub peak_kn: Limit,
}

fn assumed(low: f64, likely: f64, high: f64, words: &str) -> Spread {
    let source = if words.is_empty() { "assumption".into() } else { format!("assumption: {words}") };
    Spread { low, likely, high, source }
}

fn reaction_s() -> Spread {
    assumed(0.3, 0.6, 1.0, "a trained operator who expects it; up to 2 s untrained; measure it in drills")
}

fn never_acts() -> Share {
    Share {
        value: 0.0,
        source: "assumption: every operator acts; what if not stands with the hand that freezes on".into(),
    }
}

fn closing_s() -> Spread {
    assumed(0.05, 0.15, 0.4, "")
}

fn tailer_s() -> Spread {
    assumed(0.1, 0.15, 0.3, "the hand is closed on the rope; its grip is full 0.1 s later")
}

fn damping_s() -> Spread {
    assumed(0.01, 0.03, 0.06, "")
}

fn speed_m_s() -> Spread {
    assumed(0.0, 0.3, 0.8, "")
}

fn belay_slack_m() -> Spread {
    assumed(0.1, 0.5, 1.0, "")
}

fn grab_s() -> Spread {
    assumed(0.2, 0.5, 0.8, "it holds in full 0.1 s later")
}

fn feeding_n() -> Spread {
    assumed(0.0, 150.0, 500.0, "")
}

fn capture_m() -> Spread {
    assumed(0.02, 0.05, 0.15, "minded well; a neglected hitch sets later")
}

fn edge_m() -> Spread {
    assumed(0.02, 0.05, 0.15, "a rope turns over it and lies the lower by up to its height")
}

fn lip_m() -> Spread {
    assumed(
        0.1,
        0.3,
        1.0,
        "what breaks off is that deep; a load that hangs again below where its ropes then bear hangs as much lower",
    )
}

fn knot_kg() -> Spread {
    assumed(1.0, 2.0, 4.0, "knot or plate, connectors and device")
}

fn peak_kn() -> Limit {
    limit(
        6.0,
        "6 kN on the body: Alberta OHS Code Explanation Guide 2009, s.828. Others: 8 kN, Washington WAC 296-880-40020 (as 29 CFR \
         1926.502(d)); 15 kN for a belay test with 200 kg, trade summary tied to ASTM F2436 (second-hand), 12 kN by some users (from \
         memory); the team’s choice",
    )
}

impl Default for FallRules {
    fn default() -> Self {
        FallRules {
            reaction_s: reaction_s(),
            never_acts: never_acts(),
            closing_s: closing_s(),
            tailer_s: tailer_s(),
            damping_s: damping_s(),
            speed_m_s: speed_m_s(),
            belay_slack_m: belay_slack_m(),
            grab_s: grab_s(),
            feeding_n: feeding_n(),
            capture_m: capture_m(),
            edge_m: edge_m(),
            lip_m: lip_m(),
            knot_kg: knot_kg(),
            peak_kn: peak_kn(),
        }
    }
}

/// What a value of each spread may be, and why not less or more.
const MOST: [(&str, f64, f64); 12] = [
    ("reaction_s", 0.0, 30.0),
    ("closing_s", 0.0, 10.0),
    ("tailer_s", 0.0, 30.0),
    // Rope that runs over an edge has no speed of its own without damping.
    ("damping_s", 0.001, 1.0),
    ("speed_m_s", 0.0, 10.0),
    ("belay_slack_m", 0.0, 20.0),
    ("grab_s", 0.0, 30.0),
    ("feeding_N", 0.0, 5000.0),
    ("capture_m", 0.0, 5.0),
    ("edge_m", 0.0, 5.0),
    ("lip_m", 0.0, 10.0),
    ("knot_kg", 0.1, 100.0),
];

impl FallRules {
    /// Left out of the file where it is what its absence means, so that guidelines of format 1 stay what they were to the letter.
    pub(super) fn as_since_format_1(&self) -> bool {
        *self == FallRules::default()
    }

    fn spreads(&self) -> [&Spread; 12] {
        [
            &self.reaction_s,
            &self.closing_s,
            &self.tailer_s,
            &self.damping_s,
            &self.speed_m_s,
            &self.belay_slack_m,
            &self.grab_s,
            &self.feeding_n,
            &self.capture_m,
            &self.edge_m,
            &self.lip_m,
            &self.knot_kg,
        ]
    }

    /// What is wrong with these, and in which field.
    pub(super) fn fault(&self) -> Option<(String, String)> {
        for (spread, (name, least, most)) in self.spreads().into_iter().zip(MOST) {
            let place = |field: &str| format!("falls.{name}.{field}");
            for (field, value) in [("low", spread.low), ("likely", spread.likely), ("high", spread.high)] {
                if !(value >= least && value <= most) {
                    return Some((place(field), format!("{value} is not from {least} to {most}")));
                }
            }
            if spread.low > spread.likely || spread.likely > spread.high {
                return Some((place("likely"), "low, likely and high do not rise in this order".into()));
            }
            if spread.source.trim().is_empty() {
                return Some((place("source"), "there is no source; name one or write “assumption”".into()));
            }
        }
        let share = &self.never_acts;
        if !(0.0..=1.0).contains(&share.value) {
            return Some(("falls.never_acts.value".into(), format!("{} is not from 0 to 1", share.value)));
        }
        share.source.trim().is_empty().then(|| {
            ("falls.never_acts.source".into(), "there is no source; name one or write “assumption”".into())
        })
    }
}
