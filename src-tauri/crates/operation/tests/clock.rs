//! Clocks that are set, moved, slept through or changed with the machine: a table of histories, and a world in which
//! the true time is known.

use chrono::{DateTime, FixedOffset};
use operation::clock::Reading;
use operation::event::{Began, Call, Machine, Slept};
use operation::{Entry, NewEvent, Payload, State};
use proptest::prelude::*;
use rig::guidelines::Guidelines;

const START: &str = "2026-10-25T02:50:00+02:00";

/// One entry of a history: what both clocks showed, and what the program knew besides.
#[derive(Clone, Debug)]
struct Tick {
    session: char,
    boot_s: i64,
    /// Seconds of the time of day after [`START`].
    wall_s: i64,
    offset_h: i32,
    payload: Option<Payload>,
}

fn tick(session: char, boot_s: i64, wall_s: i64) -> Tick {
    Tick { session, boot_s, wall_s, offset_h: 2, payload: None }
}

fn began(machine: Option<Machine>) -> Option<Payload> {
    Some(Payload::SessionBegan(Began { program: "0".into(), machine, left_by: None }))
}

fn entry(seq: u64, t: &Tick) -> Entry {
    let start = DateTime::parse_from_rfc3339(START).unwrap();
    let local = FixedOffset::east_opt(t.offset_h * 3600).unwrap();
    let at = (start + chrono::Duration::seconds(t.wall_s)).with_timezone(&local).to_rfc3339();
    let note = Payload::Note(Call { from: "scribe".into(), text: "x".into(), ..Call::default() });
    let event = NewEvent::of(t.payload.as_ref().unwrap_or(&note)).unwrap();
    Entry {
        seq,
        id: format!("id-{seq}"),
        station: "top".into(),
        station_seq: seq,
        session: t.session.into(),
        boot_ms: t.boot_s * 1000,
        recorded_at: at.clone(),
        happened_at: at,
        author: None,
        kind: event.kind,
        version: event.version,
        payload: Some(event.payload),
        corrects: None,
        hash: String::new(),
    }
}

fn state_of(ticks: &[Tick]) -> State {
    let entries: Vec<Entry> = (1..).zip(ticks).map(|(seq, t)| entry(seq, t)).collect();
    let mut state = State::default();
    entries.iter().for_each(|e| state.apply(e));
    assert_eq!(state, State::replay(Guidelines::defaults(), &entries), "one by one as the whole");
    state
}

/// Seconds between the entries one after the other, on the line.
fn steps(state: &State) -> Vec<i64> {
    let line: Vec<i64> = state.written().iter().map(|k| k.line_ms / 1000).collect();
    line.windows(2).map(|w| w[1] - w[0]).collect()
}

struct Case {
    name: &'static str,
    ticks: Vec<Tick>,
    /// Entries flagged `clock_jump`.
    jumps: &'static [u64],
    /// Parts of the words told of the clocks, in order.
    told: &'static [&'static str],
    /// Seconds between entries.
    steps: &'static [i64],
    /// Whether the time from the first entry to the last goes across a restart.
    across: bool,
}

fn cases() -> Vec<Case> {
    let moved = |session, boot_s, wall_s| Tick { offset_h: 1, ..tick(session, boot_s, wall_s) };
    vec![
        Case {
            name: "both clocks run alike, but for what reading them costs",
            ticks: vec![tick('a', 0, 0), tick('a', 60, 61), tick('a', 120, 120)],
            jumps: &[],
            told: &[],
            steps: &[61, 59],
            across: false,
        },
        Case {
            name: "set back by an hour: the line runs on",
            ticks: vec![
                tick('a', 0, 0),
                tick('a', 60, 60),
                tick('a', 90, 90 - 3600),
                tick('a', 100, 100 - 3600),
            ],
            jumps: &[3],
            told: &["set back by 1 h"],
            steps: &[60, 30, 10],
            across: false,
        },
        Case {
            name: "set forward, then put right",
            ticks: vec![tick('a', 0, 0), tick('a', 10, 10 + 600), tick('a', 20, 20)],
            jumps: &[2, 3],
            told: &["set forward by 10 min", "set back by 10 min"],
            steps: &[10, 10],
            across: false,
        },
        Case {
            name: "pushed a second at a time: told once it has parted by more than the tolerance",
            ticks: vec![tick('a', 0, 0), tick('a', 10, 11), tick('a', 20, 22), tick('a', 30, 33)],
            jumps: &[4],
            told: &["set forward by 3 s"],
            // The line is never behind itself: it waits where it was ahead by the tolerance.
            steps: &[11, 11, 8],
            across: false,
        },
        Case {
            name: "daylight saving ends: local time moves, the clock does not",
            ticks: vec![tick('a', 0, 0), moved('a', 900, 900), moved('a', 960, 960)],
            jumps: &[],
            told: &["local time went from UTC+2:00 to UTC+1:00"],
            steps: &[900, 60],
            across: false,
        },
        Case {
            name: "suspended: the boot clock runs on through it",
            ticks: vec![
                tick('a', 0, 0),
                Tick { payload: Some(Payload::Slept(Slept { ms: 720_000 })), ..tick('a', 800, 800) },
                tick('a', 800, 800),
            ],
            jumps: &[],
            told: &["the machine slept for 12 min"],
            steps: &[800, 0],
            across: false,
        },
    ]
}

/// Histories with a restart in them.
fn restarts() -> Vec<Case> {
    let again = |session, boot_s, wall_s, m| Tick { payload: began(m), ..tick(session, boot_s, wall_s) };
    vec![
        Case {
            name: "the program started again while the machine ran on: the boot clock still holds",
            ticks: vec![
                tick('a', 1000, 0),
                again('b', 1060, 60 - 3600, Some(Machine::SameRun)),
                tick('b', 1070, 70 - 3600),
            ],
            jumps: &[2],
            told: &["the program was started again before", "set back by 1 h"],
            steps: &[60, 10],
            across: true,
        },
        Case {
            name: "the machine restarted: the time of day is all there is",
            ticks: vec![
                tick('a', 5000, 0),
                again('b', 30, 300, Some(Machine::Restarted)),
                tick('b', 40, 310),
            ],
            jumps: &[],
            told: &["after the machine was restarted"],
            steps: &[300, 10],
            across: true,
        },
        Case {
            name: "another machine whose clock stands back: the line never goes back",
            ticks: vec![
                tick('a', 5000, 0),
                again('b', 90_000, -1800, Some(Machine::Another)),
                tick('b', 90_010, -1790),
            ],
            jumps: &[2],
            told: &["on another machine", "set back by 30 min"],
            steps: &[0, 10],
            across: true,
        },
        Case {
            name: "a clock that starts at nothing and is set once there is a network",
            ticks: vec![tick('a', 20, -1_700_000_000), tick('a', 80, -1_700_000_000 + 60), tick('a', 90, 0)],
            jumps: &[3],
            told: &["set forward by"],
            steps: &[60, 10],
            across: false,
        },
        Case {
            name: "nobody knows which machine: as if it were restarted",
            ticks: vec![tick('a', 100, 0), again('b', 200, 90, None), tick('b', 210, 100)],
            jumps: &[],
            told: &["whether on the same machine is not known"],
            steps: &[90, 10],
            across: true,
        },
    ]
}

#[test]
fn every_history_keeps_its_order_and_tells_what_became_of_the_clock() {
    for case in cases().into_iter().chain(restarts()) {
        let state = state_of(&case.ticks);
        let jumps: Vec<u64> =
            state.raised.iter().filter(|f| f.id == "clock_jump").flat_map(|f| f.entries.clone()).collect();
        assert_eq!(jumps, case.jumps, "{}", case.name);
        let told: Vec<String> = state.clock_notes.iter().map(|n| n.words()).collect();
        assert_eq!(told.len(), case.told.len(), "{}: {told:?}", case.name);
        for (words, part) in told.iter().zip(case.told) {
            assert!(words.contains(part), "{}: {words}", case.name);
        }
        assert_eq!(steps(&state), case.steps, "{}", case.name);
        let order: Vec<u64> = (1..=case.ticks.len() as u64).collect();
        assert_eq!(state.happened(), order, "{}: never reorders", case.name);
        let line = |seq: u64| state.at(seq).unwrap().line_ms;
        assert_eq!(state.across_restart(line(1), line(order.len() as u64)), case.across, "{}", case.name);
    }
}

#[test]
fn a_late_entry_hangs_where_the_scribe_meant_whatever_the_clock_showed() {
    // The clock is set back by an hour; then someone tells what happened two minutes before by the new clock.
    let ticks =
        [tick('a', 0, 0), tick('a', 600, 600), tick('a', 610, 610 - 3600), tick('a', 730, 730 - 3600)];
    let mut entries: Vec<Entry> = (1..).zip(&ticks).map(|(seq, t)| entry(seq, t)).collect();
    entries[3].happened_at = entries[2].recorded_at.clone();
    let state = State::replay(Guidelines::defaults(), &entries);
    assert_eq!(state.at(4).unwrap().happened_ms, state.at(3).unwrap().line_ms);
    assert_eq!(state.happened(), [1, 2, 3, 4]);
    assert!(state.raised.iter().any(|f| f.id == "late_entry" && f.words.contains("2 min")));
    assert!(
        !state.raised.iter().any(|f| f.id == "time_out_of_range"),
        "the first hour was not before the start"
    );
}

#[test]
fn the_present_is_measured_like_an_entry_of_that_moment() {
    for case in cases().into_iter().chain(restarts()) {
        let (last, before) = case.ticks.split_last().unwrap();
        let state = state_of(before);
        let e = entry(case.ticks.len() as u64, last);
        let reading = Reading {
            session: e.session.clone(),
            boot_ms: e.boot_ms,
            wall_ms: e.recorded_ms(),
            offset_min: e.offset_min(),
        };
        let now = state.now(&reading, None);
        let mut then = state.clone();
        then.apply(&e);
        assert_eq!(now.line_ms, then.last_line_ms(), "{}", case.name);
        assert_eq!(now.line_ms + now.to_wall_ms, e.recorded_ms(), "{}", case.name);
        assert!(!now.again);
    }
    let state = state_of(&[tick('a', 0, 0)]);
    let reading = Reading { session: "b".into(), boot_ms: 5, wall_ms: 0, offset_min: 120 };
    assert!(state.now(&reading, None).again, "a session without an entry looks across a restart");
}

/// What may become of the world between two entries.
#[derive(Clone, Debug)]
enum World {
    Runs,
    Set(i64),
    Program,
    Machine,
}

fn world() -> impl Strategy<Value = (i64, World)> {
    let what = prop_oneof![
        5 => Just(World::Runs),
        2 => prop_oneof![-90_000..-3i64, 3..90_000i64].prop_map(World::Set),
        1 => Just(World::Program),
        1 => Just(World::Machine),
    ];
    (0..5000i64, what)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    /// The naive twin is the true time of an invented world, which no clock in it shows.
    #[test]
    fn within_one_run_of_the_machine_the_line_is_the_true_time(history in prop::collection::vec(world(), 1..40)) {
        let (mut truth, mut wrong_by, mut boot, mut session, mut run) = (0i64, 0i64, 777i64, 0u8, 0);
        let mut ticks = vec![tick('A', boot, 0)];
        // True second, run of the machine, and by how much the clock had been set just then.
        let mut known = vec![(0i64, 0, 0i64)];
        for (passed, what) in history {
            (truth, boot) = (truth + passed, boot + passed);
            let mut set = 0;
            let mut payload = None;
            match what {
                World::Runs => {}
                World::Set(by) => (set, wrong_by) = (by, wrong_by + by),
                World::Program => (session, payload) = (session + 1, began(Some(Machine::SameRun))),
                World::Machine => {
                    (session, run, boot) = (session + 1, run + 1, 5);
                    payload = began(Some(Machine::Restarted));
                }
            }
            ticks.push(Tick { payload, ..tick(char::from(b'A' + session), boot, truth + wrong_by) });
            known.push((truth, run, set));
        }
        let state = state_of(&ticks);
        let order: Vec<u64> = (1..=ticks.len() as u64).collect();
        prop_assert_eq!(state.happened(), &order[..]);
        for (i, (true_s, run, set)) in known.iter().enumerate() {
            let kept = &state.written()[i];
            for (other, (then_s, its_run, _)) in known.iter().enumerate().take(i) {
                if run == its_run {
                    let apart = (kept.line_ms - state.written()[other].line_ms) / 1000;
                    prop_assert_eq!(apart, true_s - then_s, "entries {} and {}", other + 1, i + 1);
                }
            }
            let flagged = state.raised.iter().any(|f| f.id == "clock_jump" && f.entries == vec![kept.seq]);
            prop_assert_eq!(flagged, *set != 0, "entry {}", i + 1);
        }
    }
}
