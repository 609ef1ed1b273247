//! Which orders and calls make sense in the present motion. Nothing is ever forbidden: this only weighs.

use crate::motion::Motion;
use crate::state::State;

/// The order keys, whose place and key never change.
pub const ORDER_KEYS: [(&str, &str); 10] = [
    ("F2", "lower"),
    ("F3", "raise"),
    ("F4", "slow"),
    ("F5", "set"),
    ("F6", "slack one"),
    ("F7", "slack two"),
    ("F8", "tension"),
    ("F9", "equal"),
    ("F10", "rock"),
    ("F11", "abort"),
];

/// Whether an order key makes sense now.
pub fn makes_sense(motion: Motion, text: &str) -> bool {
    use Motion::{AtRest, AtTheEdge, Landed, Lowering, Raising, Stopped, Stopping, TiedOff, UnderLoadTest};
    match text {
        "lower" => matches!(motion, AtRest | AtTheEdge | UnderLoadTest | Stopped | Raising | TiedOff),
        "raise" => {
            matches!(motion, AtRest | AtTheEdge | UnderLoadTest | Stopped | Lowering | TiedOff | Landed)
        }
        "slow" => matches!(motion, Lowering | Raising),
        "set" => !matches!(motion, Landed),
        "rock" => matches!(motion, Lowering | Raising | AtTheEdge),
        "abort" => true,
        _ => !matches!(motion, Landed | Stopping),
    }
}

/// A call that makes sense beside the order keys.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Also {
    /// Words on the key.
    pub label: String,
    /// What it types into the free line.
    pub line: String,
    /// Whom the entry will name as having said it: a role's short name. A key must not credit words to somebody unseen.
    pub who: String,
}

/// What else makes sense: label, the code for the free line, and who says it.
pub fn also(state: &State) -> Vec<Also> {
    use Motion::{AtRest, AtTheEdge, Landed, Lowering, Raising, Stopped, Stopping, TiedOff, UnderLoadTest};
    let list: &[(&str, &str)] = match state.motion {
        AtRest => &[
            ("radio check", "c>* radio check"),
            ("roll call", "c>* roll call"),
            ("load test", "c load test"),
            ("to the edge", "c>l to the edge"),
        ],
        UnderLoadTest => &[
            ("load test held", "r load test held"),
            ("roll call", "c>* roll call"),
            ("to the edge", "c>l to the edge"),
            ("radio check", "c>* radio check"),
        ],
        AtTheEdge => &[
            ("edge clear", "e edge clear"),
            ("over the edge", "l over the edge"),
            ("roll call", "c>* roll call"),
            ("metres", "l 1m"),
        ],
        Lowering => &[
            ("metres", "l 1m"),
            ("edge clear", "e edge clear"),
            ("radio check", "c>* radio check"),
            ("on the ground", "l on the ground"),
        ],
        Raising => &[
            ("metres", "l 1m"),
            ("edge clear", "e edge clear"),
            ("reset", "c reset"),
            ("at the top", "e at the top"),
        ],
        Stopping => &[
            ("stopped, one", "1 stopped"),
            ("stopped, two", "2 stopped"),
            ("roll call", "c>* roll call"),
            ("tied off", "1 tied off"),
        ],
        Stopped => &[
            ("roll call", "c>* roll call"),
            ("edge clear", "e edge clear"),
            ("tied off, one", "1 tied off"),
            ("tied off, two", "2 tied off"),
        ],
        TiedOff => &[
            ("roll call", "c>* roll call"),
            ("radio check", "c>* radio check"),
            ("load test", "c load test"),
            ("to the edge", "c>l to the edge"),
        ],
        Landed => &[
            ("tie off", "c tie off"),
            ("tied off, one", "1 tied off"),
            ("tied off, two", "2 tied off"),
            ("radio check", "c>* radio check"),
        ],
    };
    let who = |line: &str| {
        let code = line.split([' ', '>']).next().unwrap_or("");
        state.guidelines.role(code).map(|r| state.guidelines.short(&r.role).to_string()).unwrap_or_default()
    };
    list.iter().map(|(l, c)| Also { label: (*l).into(), line: (*c).into(), who: who(c) }).collect()
}

#[cfg(test)]
mod tests {
    use super::also;
    use crate::State;
    use crate::motion::ALL;
    use chrono::DateTime;

    #[test]
    fn a_key_names_whom_its_entry_names() {
        let now = DateTime::parse_from_rfc3339("2026-05-14T14:10:00+02:00").unwrap();
        for motion in ALL {
            let mut state = State::default();
            state.motion = motion;
            for key in also(&state) {
                let step = crate::free_line::candidates(&state, &key.line, now).remove(0).step;
                let from = step["from"].as_str().unwrap();
                assert_eq!(key.who, state.guidelines.short(from), "{motion:?}: {key:?}");
            }
        }
    }
}
