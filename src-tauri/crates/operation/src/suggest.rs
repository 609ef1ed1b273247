//! Which orders and calls make sense in the present motion. Nothing is ever forbidden: this only weighs.

use crate::motion::Motion;
use crate::phase::Phase;
use crate::state::State;
use rig::guidelines::StopsWhen;

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
            // Without a keyboard the motion could not be called otherwise.
            ("at the edge", "l at the edge"),
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
    let key =
        |(label, line): &(&str, &str)| Also { label: (*label).into(), line: (*line).into(), who: who(line) };
    list.iter().map(key).collect()
}

/// Who by a key says that the phase that lasts is done, and in which words: whoever leads the rigging or hauls; where nobody
/// does, control sees it.
pub fn phase_done(state: &State) -> Option<(String, String)> {
    let words = &state.guidelines.words.phases;
    let (role, said) = match state.phase()?.phase {
        Phase::KnotPass => ("rigging lead", &words.knot_pass.done),
        Phase::Reset => ("haul team", &words.reset.done),
        Phase::ChangeOver => ("rigging lead", &words.change_over.done),
    };
    let role = if state.held(role) { role } else { "control" };
    Some((role.to_string(), said.first()?.clone()))
}

/// What `role` likely says next, likeliest first: what it owes, then what makes sense in the present motion.
pub(crate) fn leading(state: &State, role: &str) -> Vec<String> {
    let mut out: Vec<String> = vec![];
    let stopping = state.motion == Motion::Stopping;
    if stopping && state.stops.last().is_some_and(|s| s.silent().iter().any(|r| r == role)) {
        out.push("stopped".into());
    }
    let open = state.unanswered().filter(|l| !l.stop && l.waits.iter().any(|w| w.role == role && w.waits()));
    out.extend(open.map(|l| l.text.to_lowercase()));
    if role == "control" {
        let sense = ORDER_KEYS.iter().filter(|(_, text)| makes_sense(state.motion, text));
        out.extend(sense.map(|(_, text)| (*text).to_string()));
    }
    let works = |role: &str| state.guidelines.role(role).is_some_and(|r| r.stops == StopsWhen::Always);
    out.extend(phase_done(state).filter(|(by, _)| by == role).map(|(_, said)| said));
    for key in also(state) {
        let Some((code, text)) = key.line.split_once(' ') else { continue };
        let code = code.split('>').next().unwrap_or(code);
        let Some(by) = state.guidelines.role(code) else { continue };
        // What one device does, the other may.
        if by.role == role || (works(role) && works(&by.role)) {
            out.push(text.into());
        }
    }
    let mut seen = std::collections::BTreeSet::new();
    out.retain(|text| seen.insert(text.clone()));
    out
}

#[cfg(test)]
mod tests {
    use super::{ORDER_KEYS, also, makes_sense};
    use crate::State;
    use crate::motion::{ALL, Motion};
    use chrono::DateTime;

    /// The first candidate for a line typed in this motion: what it would record.
    fn first(motion: Motion, typed: &str) -> String {
        let now = DateTime::parse_from_rfc3339("2026-05-14T14:10:00+02:00").unwrap();
        let mut state = State::default();
        state.motion = motion;
        let step = crate::free_line::candidates(&state, typed, now).remove(0).step;
        format!("{} {}", step["do"].as_str().unwrap(), step["text"].as_str().unwrap())
    }

    #[test]
    fn the_same_letters_are_completed_by_what_makes_sense_in_the_motion() {
        use Motion::{AtRest, AtTheEdge, Landed, Lowering, Raising, Stopped, Stopping};
        let cases = [
            (AtRest, "c l", "order lower"),
            (Lowering, "c l", "order l"),
            (Lowering, "c s", "order slow"),
            (Stopped, "c s", "order set"),
            (Lowering, "c ra", "order raise"),
            (AtRest, "c ro", "order roll call"),
            (Lowering, "c ro", "order rock"),
            (Raising, "c re", "order reset"),
            (AtRest, "c re", "order ready"),
            (Lowering, "1 st", "order stop"),
            (Stopped, "1 ti", "report tied off"),
            (AtTheEdge, "l ov", "report over the edge"),
            (Lowering, "e ed c", "report edge clear"),
            (Landed, "c ti", "order tie off"),
            // Nothing is forbidden: written out it is taken as it is.
            (Stopping, "c lower", "order lower"),
            (Lowering, "c lower", "order lower"),
            (Raising, "e rdy", "report ready"),
            // Without a code, what a key of control says is control's.
            (Lowering, "slow", "order slow"),
            (Lowering, "rock", "note rock"),
            (Lowering, "rope rubs", "note rope rubs"),
        ];
        for (motion, typed, wanted) in cases {
            assert_eq!(first(motion, typed), wanted, "{motion:?}: {typed}");
        }
    }

    #[test]
    fn the_keys_of_orders_never_change_their_places() {
        for motion in ALL {
            let weighed: Vec<bool> = ORDER_KEYS.iter().map(|(_, text)| makes_sense(motion, text)).collect();
            assert!(weighed.contains(&true), "{motion:?}: abort at least");
        }
        assert_eq!(
            ORDER_KEYS.map(|(key, _)| key),
            ["F2", "F3", "F4", "F5", "F6", "F7", "F8", "F9", "F10", "F11"]
        );
    }

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
