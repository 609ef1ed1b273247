//! Random calls against a plain reading of the contract's rules of motion, its phases and closed loop (`common/reference.rs`), which shares
//! no code with the program: after each call, both must say the same.

mod common;
use common::Played;
use common::reference::{Kind, Reference, Step};
use proptest::prelude::*;

const ROLES: [&str; 6] =
    ["control", "rope one operator", "rope two operator", "tailer", "edge attendant", "haul team"];
const PEOPLE: [&str; 5] = ["Ada", "Ben", "Cleo", "Dov", "Zed"];

fn speaker() -> impl Strategy<Value = &'static str> {
    prop_oneof![
        4 => Just("control"),
        2 => Just("rope one operator"),
        2 => Just("rope two operator"),
        1 => prop::sample::select(&ROLES[..]),
        2 => prop::sample::select(&PEOPLE[..]),
    ]
}

/// Orders, and whether one is also what another order is read back as, where that is not in its own words.
const ORDERS: [(&str, bool); 20] = [
    ("lower", true),
    ("lower slow", true),
    ("down", true),
    ("raise", true),
    ("haul slow", true),
    ("up", true),
    ("slow", true),
    ("load test", true),
    ("stop", true),
    ("at the edge", true),
    ("set", true),
    ("slack one", true),
    ("tension one", false),
    ("slack two", false),
    ("roll call", false),
    ("ready?", false),
    ("do not lower", false),
    ("knot pass", true),
    ("reset", true),
    ("change over to raise", true),
];

fn order() -> impl Strategy<Value = &'static str> {
    // A reset twice as often as any other.
    prop_oneof![20 => prop::sample::select(ORDERS.map(|(words, _)| words).to_vec()), 1 => Just("reset")]
}

fn read_back() -> impl Strategy<Value = &'static str> {
    let as_one: Vec<&str> =
        ORDERS.iter().filter(|(_, read_back)| *read_back).map(|(words, _)| *words).collect();
    prop::sample::select(as_one)
}

fn step() -> impl Strategy<Value = Step> {
    const SAID: [&str; 15] = [
        "stopped",
        "stopped",
        "tied off",
        "tied off",
        "not stopped",
        "landed",
        "at the edge",
        "stop",
        "9 metres",
        "nearly at the top",
        "lower",
        "knot passed",
        "ready to haul",
        "changed over",
        "changed over",
    ];
    const NOTED: [&str; 6] = ["stopped", "tied off", "stop", "on the ground", "size-up: wet", "knot passed"];
    let to = prop::sample::select(vec![
        vec!["both"],
        vec!["all"],
        vec!["rope one operator"],
        vec!["rope two operator", "edge attendant"],
        vec!["haul team", "both"],
    ]);
    let call =
        |kind, from: &'static str, to: Vec<&'static str>, text, of| Step::Call { kind, from, to, text, of };
    prop_oneof![
        6 => (speaker(), to, order())
            .prop_map(move |(f, t, w)| call(Kind::Order, f, t, w, 0)),
        // `None`: in the words of the order.
        5 => (speaker(), prop::option::weighted(0.4, read_back()), 0..40usize)
            .prop_map(move |(f, w, of)| call(Kind::Readback, f, vec![], w.unwrap_or(""), of)),
        1 => (speaker(), 0..40usize).prop_map(move |(f, of)| call(Kind::Answer, f, vec![], "ready", of)),
        6 => (speaker(), prop::sample::select(&SAID[..]))
            .prop_map(move |(f, w)| call(Kind::Report, f, vec![], w, 0)),
        1 => (speaker(), prop::sample::select(&NOTED[..]))
            .prop_map(move |(f, w)| call(Kind::Note, f, vec![], w, 0)),
        1 => (speaker(), 0..5usize).prop_map(move |(f, n)| call(Kind::Whistle, f, vec![], "", n)),
        1 => (prop::sample::select(&ROLES[..]), prop::sample::select(&PEOPLE[..]))
            .prop_map(|(role, person)| Step::Assign { role, person }),
        1 => (prop::sample::select(&ROLES[..]), prop::sample::select(&PEOPLE[..]))
            .prop_map(|(role, person)| Step::Relieve { role, person }),
    ]
}

/// What both must agree on, in words that show where they part.
fn of_program(p: &Played, now: i64) -> String {
    let waiting: Vec<(u64, Vec<String>)> = p
        .state
        .unanswered()
        .map(|l| {
            let mut waits: Vec<String> =
                l.waits.iter().filter(|w| w.waits()).map(|w| w.role.clone()).collect();
            waits.sort();
            (l.seq, waits)
        })
        .collect();
    let stand = operation::flags::flags(&p.state, now);
    let counted = common::reference::FLAGS.map(|id| (id, stand.iter().filter(|f| f.id == id).count()));
    let seconds = |ms: i64| (ms - p.start.timestamp_millis()) / 1000;
    let since = seconds(p.state.motion_since());
    let phase = p.state.phase().map(|p| (p.words(), seconds(p.from_ms)));
    format!(
        "{} slow {} since {since}; {phase:?}; waiting {waiting:?}; flags {counted:?}",
        p.state.motion.word(),
        p.state.slow
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_program_and_a_plain_reading_of_the_contract_agree(steps in prop::collection::vec(step(), 1..60)) {
        let mut p = Played::crew();
        let mut plain = Reference::crew();
        for (i, step) in steps.iter().enumerate() {
            let at = 5 + 3 * i as i64;
            let Some(json) = plain.written(step) else { continue };
            let seq = p.say(at, &json.to_string());
            plain.take(step, seq, at);
            let now = at + 1;
            let program = of_program(&p, p.start.timestamp_millis() + now * 1000);
            prop_assert_eq!(plain.says(now), program, "after {} at {}: {}", seq, at, json);
        }
    }
}
