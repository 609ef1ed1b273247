//! Rules about people while the load hangs: how long nobody is heard, on rope, hanging still; how many one leads.

use super::{COMMON_PRACTICE, Limit, limit};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// Limits of the clocks that run on people. Each default means what its absence in an older record is read as; never to be
/// changed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct PeopleRules {
    /// Minutes after which anyone who is checked in has not been heard of for too long.
    #[serde(default = "not_heard_min")]
    pub not_heard_min: Limit,
    /// The same for whoever is on rope, at the edge or in the drop zone.
    #[serde(default = "not_heard_exposed_min")]
    pub not_heard_exposed_min: Limit,
    /// Seconds of silence after a call until communications are taken as lost and the agreed act is due.
    #[serde(default = "lost_communications_s")]
    pub lost_communications_s: Limit,
    /// What is then done, unless the brief agreed on something else.
    #[serde(default = "lost_communications_act")]
    pub lost_communications_act: Agreed,
    /// Minutes on rope after which it has been long.
    #[serde(default = "on_rope_min")]
    pub on_rope_min: Limit,
    /// Minutes that someone may hang on a load that stands without being heard of.
    #[serde(default = "motionless_min")]
    pub motionless_min: Limit,
    /// Minutes within which a PAR that matches is had after an event: a stop for an emergency, a landing, a hand-over of the
    /// patient.
    #[serde(default = "par_event_min")]
    pub par_event_min: Limit,
    /// How many one person leads at most: roles that control speaks to (a team answers as one), people in one team.
    #[serde(default = "span_most")]
    pub span_most: Limit,
    /// Hours in one role after which it has been long.
    #[serde(default = "role_h")]
    pub role_h: Limit,
    /// What is called in a drill when something is wrong in earnest.
    #[serde(default = "real_emergency")]
    pub real_emergency: Agreed,
}

/// Something agreed in words, with its source.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub struct Agreed {
    /// What is done, as it is read out.
    pub words: String,
    /// Where it comes from, or "common practice, no source".
    pub source: String,
}

fn not_heard_min() -> Limit {
    limit(30.0, "roll call every 30 min: New Jersey NJAC 5:75-2.10 in a department’s operating procedure")
}

fn not_heard_exposed_min() -> Limit {
    limit(
        10.0,
        "elapsed time checked off every 10 min: Southern Nevada Fire Operations SNFO 01 (2017); New Jersey NJAC 5:75-2.10 says 15 min",
    )
}

fn lost_communications_s() -> Limit {
    limit(60.0, COMMON_PRACTICE)
}

fn lost_communications_act() -> Agreed {
    Agreed {
        words:
            "stop; call on the other channel, then by whistle and hand; move again only after a radio check"
                .into(),
        source: "common practice, no source; each team agrees on its own at the brief".into(),
    }
}

fn real_emergency() -> Agreed {
    Agreed {
        words: "stop, stop, stop: no exercise".into(),
        source: "assumption of this program, no source; each team agrees on its own at the brief".into(),
    }
}

fn on_rope_min() -> Limit {
    limit(60.0, COMMON_PRACTICE)
}

fn motionless_min() -> Limit {
    limit(
        5.0,
        "rescue wanted before 5 to 30 min; median tolerance 29 min (chest) and 31 min (back), shortest 4 and 5 min: NIOSH, \
         Suspension Tolerance in a Full-Body Safety Harness, 2008. Sources differ: pre-syncope in a fifth within 10 min and in \
         most within 1 h, UK HSE first-aid advice 2008 (review RR708, 2009)",
    )
}

fn par_event_min() -> Limit {
    limit(
        5.0,
        "a count on events besides the interval: standard operating procedures of two fire departments; within 5 min is an \
         assumption of this program, the team’s choice",
    )
}

fn span_most() -> Limit {
    limit(
        7.0,
        "3 to 7, best 5: US National Incident Management System 2008; its edition of 2017 gives 5 as a guideline; the team’s choice",
    )
}

fn role_h() -> Limit {
    limit(4.0, "assumption of this program, no source; the team’s choice")
}

/// The same in one breath, for a bar on a screen.
pub const SUSPENSION: &str =
    "get them down: some bear only 4 min (NIOSH 2008), a fifth faint within 10 (UK HSE 2008)";

/// What is done with someone taken out of a harness, and where sources differ.
pub const AFTER_SUSPENSION: &str = "afterwards lie them flat, ordinary ABC; raise the legs if release takes long (UK HSE 2008; many \
     older notes still say keep seated: the two conflict)";

impl Default for PeopleRules {
    fn default() -> Self {
        PeopleRules {
            not_heard_min: not_heard_min(),
            not_heard_exposed_min: not_heard_exposed_min(),
            lost_communications_s: lost_communications_s(),
            lost_communications_act: lost_communications_act(),
            on_rope_min: on_rope_min(),
            motionless_min: motionless_min(),
            par_event_min: par_event_min(),
            span_most: span_most(),
            role_h: role_h(),
            real_emergency: real_emergency(),
        }
    }
}

impl PeopleRules {
    /// Left out of the file where it is what its absence means, so that guidelines of format 1 stay what they were to the letter.
    pub(super) fn as_since_format_1(&self) -> bool {
        *self == PeopleRules::default()
    }

    /// Each limit with its name.
    pub(super) fn limits(&self) -> [(&'static str, &Limit); 8] {
        [
            ("people.not_heard_min", &self.not_heard_min),
            ("people.not_heard_exposed_min", &self.not_heard_exposed_min),
            ("people.lost_communications_s", &self.lost_communications_s),
            ("people.on_rope_min", &self.on_rope_min),
            ("people.motionless_min", &self.motionless_min),
            ("people.par_event_min", &self.par_event_min),
            ("people.span_most", &self.span_most),
            ("people.role_h", &self.role_h),
        ]
    }
}
