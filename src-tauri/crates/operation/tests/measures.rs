//! Measures of operations small enough to be worked out by hand. The working stands above each; times are seconds after
//! the opening, lines are read as `common/script.rs` tells. The crew: Ada control, Ben rope one, Cleo rope two, Dov edge.

mod common;
use common::{Played, found};
use operation::State;
use operation::review::measures::{LoopMeasure, Standing};
use operation::review::{Measures, measures};
use rig::guidelines::Guidelines;
use serde_json::json;

/// As of `at` seconds, step by step and replayed: both must say the same.
fn measured(p: &Played, at: i64) -> Measures {
    let now = p.start.timestamp_millis() + at * 1000;
    let found = measures(&p.state, now);
    assert_eq!(found, measures(&p.replayed(), now));
    assert!(found.tables().iter().all(|t| !t.how.is_empty()), "each has its formula");
    found
}

fn motion(m: &Measures, word: &str) -> (f64, u64, f64) {
    let t = m.motions.value.iter().find(|t| t.motion == word).expect("a motion");
    (t.total_s, t.spells, t.longest_s)
}

fn of<'a>(list: &'a [LoopMeasure], who: &str) -> &'a LoopMeasure {
    list.iter().find(|l| l.who == who).unwrap_or_else(|| panic!("{who} in {list:#?}"))
}

fn counts(l: &LoopMeasure) -> (u64, u64, u64, u64, u64) {
    (l.due, l.right, l.put_right, l.wrong, l.never)
}

fn delays(l: &LoopMeasure) -> (Option<f64>, Option<f64>, Option<f64>) {
    (l.median_s, l.p90_s, l.worst_s)
}

const LOWER: [&str; 21] = [
    "10 {\"do\":\"benchmark\",\"name\":\"called\"}",
    "60 {\"do\":\"benchmark\",\"name\":\"on scene\"}",
    "100 order c > 1, 2: lower slow",
    "103 readback 1 of 100: lower slow",
    "105 readback 2 of 100: lower slow",
    "130 order c > 1, 2: lower",
    "132 readback 1 of 130: lower",
    "140 readback 2 of 130: lower",
    "160 report e: over the edge",
    "200 order e > all: stop",
    "203 report 1: stopped",
    "207 report 2: stopped",
    "215 report e: rock on the rope",
    "260 order c > 1, 2: lower",
    "266 readback 1 of 260: raise",
    "270 readback 1 of 260: lower",
    "300 report l: on the ground",
    "310 patient reached: awake",
    "340 {\"do\":\"order\",\"from\":\"c\",\"to\":[\"both\"],\"text\":\"tie off\",\"by\":\"channel 4\",\"label\":\"k340\"}",
    "342 readback 1, 2 of 340: tie off",
    "350 report 1, 2: tied off",
];

/// Times. At rest 0–100: 100 s. Lowering 100–200 (the change from slow to plain is no new stretch) and 260–300:
/// 100 + 40 = 140 s in 2 stretches, longest 100. Stopping 200–207: 7. Stopped 207–260: 53. Landed 300–350: 50. Tied off
/// 350–460: 110. 100 + 140 + 7 + 53 + 50 + 110 = 460, the close.
///
/// Moments: called 10; on scene 60 (+50); load first moved 100 (+40, the order); over the edge 160 (+60, a report); load at
/// the end 300 (+140, landed); patient reached 310 (+10); all clear 400 (+90; 390 after the first). Packaged and handed over
/// were not said.
///
/// Stop: 200 to the order at 260: 60 s. Rope one 203: 3 s; rope two 207: 7 s; all after 7 s, over the limit of 5 s. Cause:
/// the caller's first report after it.
#[test]
fn a_lower_that_is_stopped_once() {
    let mut p = Played::through(&LOWER);
    p.go_on(&["400 {\"do\":\"benchmark\",\"name\":\"all clear\"}", "460 {\"do\":\"close\"}"]);
    let m = measured(&p, 9999);
    assert!(m.closed);
    assert_eq!((m.to_ms - m.from_ms) / 1000, 460);
    for (word, expected) in [
        ("at_rest", (100.0, 1, 100.0)),
        ("under_load_test", (0.0, 0, 0.0)),
        ("lowering", (140.0, 2, 100.0)),
        ("stopping", (7.0, 1, 7.0)),
        ("stopped", (53.0, 1, 53.0)),
        ("landed", (50.0, 1, 50.0)),
        ("tied_off", (110.0, 1, 110.0)),
    ] {
        assert_eq!(motion(&m, word), expected, "{word}");
    }
    let moments: Vec<(&str, Option<f64>, Option<f64>, &str)> = m
        .milestones
        .value
        .iter()
        .map(|x| (x.id.as_str(), x.since_first_s, x.since_before_s, x.from.as_str()))
        .collect();
    assert_eq!(
        moments,
        [
            ("called", Some(0.0), None, "benchmark"),
            ("on_scene", Some(50.0), Some(50.0), "benchmark"),
            ("first_moved", Some(90.0), Some(40.0), "motion"),
            ("over_the_edge", Some(150.0), Some(60.0), "call"),
            ("at_the_end", Some(290.0), Some(140.0), "motion"),
            ("patient_reached", Some(300.0), Some(10.0), "patient"),
            ("all_clear", Some(390.0), Some(90.0), "benchmark"),
            ("packaged", None, None, ""),
            ("handed_over", None, None, ""),
        ]
    );
    let stops = &m.stops.value;
    assert_eq!((stops.count, stops.total_s, stops.longest_s, stops.limit_s), (1, 60.0, Some(60.0), 5.0));
    let stop = &stops.list[0];
    assert_eq!((stop.all_stopped_s, stop.within_limit, stop.ended), (Some(7.0), Some(false), true));
    assert_eq!((stop.cause.as_str(), stops.causes[0].count), ("rock on the rope", 1));
    assert_eq!(stop.operators[1].people, ["Cleo"]);
    let reactions: Vec<(&str, &[f64])> =
        m.reactions.value.iter().map(|r| (r.role.as_str(), r.after_s.as_slice())).collect();
    assert_eq!(reactions, [("rope one operator", &[3.0][..]), ("rope two operator", &[7.0][..])]);
}

/// Orders at 100, 130, 260, 340, each to both operators: 8 readbacks due. Rope one: 3, 2, 10 (right after a wrong one at 6)
/// and 2 s: sorted 2 2 3 10, median the 2nd, nine of ten the 4th. Rope two: 5, 10, never, 2: sorted 2 5 10, median the 2nd,
/// nine of ten the 3rd. Together 7 of 8: sorted 2 2 2 3 5 10 10, median the 4th = 3, nine of ten the 7th = 10. By all: 3 of 4.
/// On channel 4 only the order at 340: 2 of 2; on the others nobody said a channel: 5 of 6.
#[test]
fn the_closed_loop_of_that_lower() {
    let p = Played::through(&LOWER);
    let m = measured(&p, 400);
    let l = &m.closed_loop.value;
    assert_eq!((l.orders, l.by_all, l.limit_s), (4, 3, 10.0));
    assert_eq!(counts(&l.all), (8, 7, 0, 0, 1));
    assert_eq!((l.all.rate, delays(&l.all)), (Some(7.0 / 8.0), (Some(3.0), Some(10.0), Some(10.0))));
    let one = of(&l.by_role, "rope one operator");
    assert_eq!((counts(one), delays(one)), ((4, 4, 0, 0, 0), (Some(2.0), Some(10.0), Some(10.0))));
    assert_eq!(one.wrong_s, [6.0]);
    let two = of(&l.by_role, "rope two operator");
    assert_eq!((counts(two), delays(two)), ((4, 3, 0, 0, 1), (Some(5.0), Some(10.0), Some(10.0))));
    assert_eq!(
        (counts(of(&l.by_person, "Ben")), counts(of(&l.by_person, "Cleo"))),
        (counts(one), counts(two))
    );
    assert_eq!(l.by_person.len(), 2);
    assert_eq!(counts(of(&l.by_channel, "channel 4")), (2, 2, 0, 0, 0));
    assert_eq!(counts(of(&l.by_channel, "not said")), (6, 5, 0, 0, 1));
    // The same in words.
    let tables = m.tables();
    let rows = &tables.iter().find(|t| t.head == "Closed loop").unwrap().rows;
    let all = rows.iter().find(|r| r.words == "all readbacks").unwrap();
    assert_eq!(all.value, "7 of 8, 87 %; median 3 s, 9 in 10 10 s, worst 10 s; never 1");
}

/// Raising 60–160 and 200–300: 200 s. Heights: 20 m at 90, 14 m at 150: 6 m up in 60 s of raising = 6 m/min. 14 m at 150, 8 m
/// at 240: raised 150–160 and 200–240, 50 s: 6 m in 50 s = 7.2 m/min; over all 90 s it would read 4, which is wrong.
/// Reset ordered at 180, raise at 200: 20 s. Reset at 250, raise at 270: 20 s, though the load counts as raising all along.
/// Stop 160: rope one 162, rope two 163, haul team 164: 2, 3 and 4 s, all within 5 s. The haul team are two: a readback of
/// theirs is the team's.
#[test]
fn a_raise_with_two_resets() {
    let p = Played::through(&[
        "3 in Eve",
        "4 Eve is haul team",
        "5 in Fay",
        "6 Fay is haul team",
        "60 order c > h, 1, 2: raise",
        "62 readback h, 1, 2 of 60: raise",
        "90 report e: 20 metres out",
        "150 report e: 14 metres out",
        "160 order e > all: stop",
        "162 report 1: stopped",
        "163 report 2: stopped",
        "164 report h: stopped",
        "180 order c > h: reset",
        "182 readback h of 180: reset",
        "200 order c > h, 1, 2: raise",
        "202 readback h, 1, 2 of 200: raise",
        "240 report e: 8 metres out",
        "250 order c > h: reset",
        "252 readback h of 250: reset",
        "270 order c > h: raise",
        "271 readback h of 270: raise",
        "300 report e: at the top",
        "320 {\"do\":\"close\"}",
    ]);
    let m = measured(&p, 9999);
    assert_eq!(motion(&m, "raising"), (200.0, 2, 100.0));
    assert_eq!(
        (motion(&m, "stopping").0, motion(&m, "stopped").0, motion(&m, "landed").0),
        (4.0, 36.0, 20.0)
    );
    let speeds: Vec<(f64, f64)> = m.speeds.value.iter().map(|s| (s.moving_s, s.m_per_min)).collect();
    assert_eq!(speeds.len(), 2);
    for (found, expected) in speeds.iter().zip([(60.0, -6.0), (50.0, -7.2)]) {
        assert!(found.0 == expected.0 && (found.1 - expected.1).abs() < 1e-9, "{found:?}");
    }
    let resets: Vec<Option<f64>> = m.resets.value.iter().map(|r| r.until_raise_s).collect();
    assert_eq!(resets, [Some(20.0), Some(20.0)]);
    let stop = &m.stops.value.list[0];
    assert_eq!((stop.all_stopped_s, stop.within_limit, stop.length_s), (Some(4.0), Some(true), 40.0));
    assert_eq!(stop.cause, "", "nobody said why");
    // Orders to the team: raise, reset, raise, reset, raise.
    assert_eq!(counts(of(&m.closed_loop.value.by_person, "haul team, 2 people")), (5, 5, 0, 0, 0));
}

/// Knot pass ordered at 160 while the load stands (stopped 140–300), reported done at 250: 90 s. Reset ordered at 400, hauled on
/// at 430: 30 s, nobody said that it is done; reset again at 500, “ready to haul” at 520: 20 s; together 50 s, longest 30. The
/// change-over ordered at 600 still lasts at 640: 40 s. Each lies in its motion and takes nothing from it: stopped is still
/// 142–300, 158 s.
#[test]
fn time_in_each_phase_is_told_beside_the_motions() {
    let mut p = Played::through(&[
        "100 order c > 1, 2: lower",
        "140 order c > all: stop",
        "141 report 1: stopped",
        "142 report 2: stopped",
        "160 order c > 1: knot pass on one",
        "250 report 1: knot passed",
        "300 order c > 1, 2: raise",
        "400 order c > 1, 2: reset",
        "430 order c > 1, 2: raise",
        "500 order c > 1, 2: reset",
        "520 report 1: ready to haul",
        "530 order c > 1, 2: raise",
        "600 order c > all: change over to lower",
    ]);
    let m = measured(&p, 640);
    let found: Vec<(&str, f64, u64, f64, u64, bool)> = m
        .phases
        .value
        .iter()
        .map(|t| (t.phase.as_str(), t.total_s, t.spells, t.longest_s, t.unsaid, t.lasts))
        .collect();
    assert_eq!(
        found,
        [
            ("knot_pass", 90.0, 1, 90.0, 0, false),
            ("reset", 50.0, 2, 30.0, 1, false),
            ("change_over", 40.0, 1, 40.0, 0, true),
        ]
    );
    assert_eq!(motion(&m, "stopped").0, 158.0);
    let rows = |m: &Measures| -> Vec<(String, String)> {
        let tables = m.tables();
        let table = tables.iter().find(|t| t.head == "Time in each phase").expect("a table");
        table.rows.iter().map(|r| (r.words.clone(), r.value.clone())).collect()
    };
    let told = |words: &str, value: &str| (words.to_string(), value.to_string());
    assert_eq!(
        rows(&m),
        [
            told("knot pass", "1:30"),
            told("reset", "0:50, 2 times, longest 0:30; not reported done 1 of 2"),
            told("change-over", "0:40; still lasts"),
        ]
    );
    // The close ends it, and nobody had said that it is done.
    p.go_on(&["660 {\"do\":\"close\"}"]);
    assert_eq!(rows(&measured(&p, 9999))[2], told("change-over", "1:00; not reported done"));
    assert!(measured(&Played::through(&LOWER), 400).phases.value.is_empty());
}

/// 60 m of rope, 3 m for knots, 4 m from edge to device: 53 m less what is out. 20 m: 33; 51 m: 2, the least, less than the 3 m
/// asked to spare, flagged once though 51.5 m is called after it (1.5 m left: the least); 30 m: 23. The other rig’s ropes nobody
/// measured.
#[test]
fn the_least_rope_that_was_left_is_told_with_the_call_it_rests_on() {
    let p = Played::through(&[
        "100 {\"do\":\"rig\",\"name\":\"lower\",\"template\":\"twin-lower-two-knots\",\"set\":{\"rope_length\":\"60m\"}}",
        "110 order c > 1, 2: lower",
        "120 report e: 20 metres",
        "130 report e: 51 metres",
        "140 report e: 51.5 metres",
        "150 order c > 1, 2: raise",
        "160 report e: 30 metres",
        "170 rig raise-3-to-1-and-belay",
    ]);
    let m = measured(&p, 200);
    let seq = |metres: f64| p.state.heights.iter().find(|h| h.metres == metres).unwrap().seq;
    let found: Vec<(&str, &str, Option<f64>, bool)> =
        m.ropes.value.iter().map(|r| (r.rig.as_str(), r.label.as_str(), r.left_m, r.near)).collect();
    assert_eq!(
        found,
        [
            ("lower", "rope one", Some(1.5), true),
            ("lower", "rope two", Some(1.5), true),
            ("main", "rope one", None, false),
            ("main", "rope two", None, false),
        ]
    );
    assert_eq!(m.ropes.value[0].seq, seq(51.5));
    let tables = m.tables();
    let rows = &tables.iter().find(|t| t.head == "Rope left").unwrap().rows;
    assert_eq!(rows[0].words, "rope one of “lower”");
    assert_eq!(rows[0].value, "least: 1.5 m left, at 51.5 m out; less than is asked to spare");
    assert_eq!(rows[2].value, "rope length not known");
    let flags = p.state.raised.iter().filter(|f| f.id == "rope_end_near");
    assert_eq!(flags.map(|f| f.entries.clone()).collect::<Vec<_>>(), [vec![seq(51.0)], vec![seq(51.0)]]);
}

/// Eve on rope 900–7500: 6600 s; Dov at the edge 300–7000: 6700 s.
///
/// PAR every 30 min (1800 s), the first due after Dov came to the edge: 300 + 1800 = 2100; it came at 2000, in time. The next
/// was due at 3800 and came at 4000: 200 s late, no whole interval missed. Then none: due 5800, 7600; the last exposed (Eve)
/// was clear at 7500, so one is missed by the interval, and the landing at 7400 asked for one by 7700, which never came: two.
///
/// Needed by the rig: control, rope one and two operators, tailer. Nobody is tailer: vacant 1000–7400, all of it moving. Ben
/// left at 2500, Dov took rope one at 2560: vacant 60 s. Dov then is edge attendant and rope one operator 2560–2600: doubled
/// for 40 s, one device. Cleo took rope one too at 2600 and has both to the close at 8000: 5400 s, two devices.
#[test]
fn roles_zones_and_counts_on_a_long_lower() {
    let p = Played::through(&[
        "200 rig twin-lower-two-knots",
        "300 zone Dov edge tied",
        "600 in Eve",
        "601 Eve is litter attendant",
        "900 zone Eve on_rope tied",
        "1000 order c > 1, 2: lower",
        "1003 readback 1, 2 of 1000: lower",
        "2000 par 5 of 5",
        "2500 out Ben",
        "2560 Dov is rope one operator",
        "2600 Cleo is rope one operator",
        "4000 par 4 of 4",
        "7000 zone Dov clear",
        "7400 report l: on the ground",
        "7500 zone Eve clear",
        "8000 {\"do\":\"close\"}",
    ]);
    let m = measured(&p, 9999);
    let e = &m.exposure.value;
    assert_eq!((e[0].person.as_str(), e[0].on_rope_s, e[0].longest_on_rope_s), ("Eve", 6600.0, 6600.0));
    assert_eq!((e[1].person.as_str(), e[1].edge_s, e[1].on_rope_s), ("Dov", 6700.0, 0.0));
    let pars = &m.pars.value;
    assert_eq!((pars.kept, pars.late, pars.missed, pars.mismatched), (1, 1, 2, 0));
    assert_eq!(pars.list[1].late_s, Some(200.0));
    let roles = &m.roles.value;
    let vacant: Vec<(&str, f64, f64)> =
        roles.vacant.iter().map(|v| (v.role.as_str(), v.length_s, v.moving_s)).collect();
    assert_eq!(vacant, [("tailer", 6400.0, 6400.0), ("rope one operator", 60.0, 60.0)]);
    let doubled: Vec<(&str, bool, f64, bool)> =
        roles.doubled.iter().map(|d| (d.person.as_str(), d.devices, d.length_s, d.to_ms.is_none())).collect();
    assert_eq!(doubled, [("Dov", false, 40.0, false), ("Cleo", true, 5400.0, true)]);
}

/// Lowering 200–400. Checked at 110 (all holds), signed at 120: 200–300 holds, signed. Entered again at 300: changed until the
/// check at 330, which finds a part that falls short: 330–350 falls short, unsigned. Accepted at 350: 350–360 accepted,
/// unsigned. Signed at 360: 360–400 accepted, signed. By minute of the operation: minute 3 (180–240) 40 s, minute 4 (240–300)
/// 60 s, both holding and signed; minute 5 (300–360) 60 s, worst changed, not signed; minute 6 (360–420) 40 s, accepted, signed.
#[test]
fn the_rig_is_changed_checked_accepted_and_signed_while_it_moves() {
    let mut p = Played::through(&[
        "100 rig twin-lower-two-knots",
        "110 check",
        "120 sign Fay",
        "200 order c > 1, 2: lower",
        "300 rig twin-lower-two-knots",
    ]);
    p.report = Some(found::report(&json!([{"state": "lowering", "short": {"rope_one": 8.0}}])));
    p.go_on(&[
        "330 check",
        "350 {\"do\":\"accept\",\"check\":\"rope_one\",\"person\":\"Fay\",\"reason\":\"watched\"}",
        "360 sign Fay",
        "400 report l: on the ground",
    ]);
    let m = measured(&p, 500);
    let rig = &m.rig.value;
    let spells: Vec<(f64, Standing, usize)> =
        rig.moving.iter().map(|s| (s.length_s, s.standing, s.signed.len())).collect();
    assert_eq!(
        spells,
        [
            (100.0, Standing::Holds, 1),
            (30.0, Standing::Changed, 0),
            (20.0, Standing::FallsShort, 0),
            (10.0, Standing::Accepted, 0),
            (40.0, Standing::Accepted, 1),
        ]
    );
    let minutes: Vec<(i64, f64, Standing, bool)> =
        rig.minutes.iter().map(|x| (x.minute, x.moving_s, x.standing, x.signed)).collect();
    assert_eq!(
        minutes,
        [
            (3, 40.0, Standing::Holds, true),
            (4, 60.0, Standing::Holds, true),
            (5, 60.0, Standing::Changed, false),
            (6, 40.0, Standing::Accepted, true),
        ]
    );
    let whats: Vec<(&str, &str)> = rig.changes.iter().map(|c| (c.what.as_str(), c.motion.as_str())).collect();
    assert_eq!(whats, [("entered", "at_rest"), ("changed", "lowering")]);
    assert_eq!((rig.checks.len(), rig.checks[1].accepted), (2, 1));
    assert_eq!(rig.checks[1].signed_by, ["Fay"]);
    assert_eq!(rig.totals.iter().map(|t| t.length_s).sum::<f64>(), 200.0);
}

/// A state that the check did not look at is not checked, and never holds.
#[test]
fn a_state_that_was_not_looked_at_is_not_checked() {
    let mut p = Played::through(&["100 rig twin-lower-two-knots"]);
    p.report = Some(found::report(&json!([{"state": "lowering"}])));
    p.go_on(&["110 check", "120 use load_test", "130 order c > 1, 2: lower"]);
    let m = measured(&p, 190);
    let s = &m.rig.value.moving[0];
    assert_eq!((s.standing, s.state.as_deref(), s.not_checked), (Standing::NotChecked, Some("load_test"), 1));
}

/// The program is started again between 203 and 207: what is measured across it says so, what lies on one side does not.
#[test]
fn lengths_across_a_restart_are_marked() {
    let p = Played::through(&LOWER);
    let at = |s: i64| p.start.timestamp_millis() + s * 1000;
    let mut entries = p.entries.clone();
    for e in entries.iter_mut().filter(|e| e.recorded_ms() >= at(205)) {
        e.session = "t".into();
        e.boot_ms -= 100_000;
    }
    let m = measures(&State::replay(Guidelines::defaults(), &entries), at(460));
    let across = |word: &str| m.motions.value.iter().find(|t| t.motion == word).unwrap().across_restart;
    assert!(across("stopping") && !across("at_rest") && !across("landed"));
    assert!(m.stops.value.list[0].across_restart);
    assert_eq!(m.clocks.value.len(), 1);
}

/// What is not there is said, and nothing is made up for it.
#[test]
fn what_is_missing_is_said() {
    let none = measured(&Played::empty(), 100);
    assert!(none.missing.iter().any(|w| w == "the record has no entries"), "{:?}", none.missing);
    assert_eq!(none.closed_loop.value.all.rate, None);
    let mut alone = Played::empty();
    alone.go_on(&["0 {\"do\":\"open\",\"name\":\"T\",\"purpose\":\"drill\"}", "5 in Ada"]);
    let m = measured(&alone, 100);
    for part in ["not closed", "no rig was entered", "no calls", "only one person", "height of the edge"] {
        assert!(m.missing.iter().any(|w| w.contains(part)), "{part}: {:?}", m.missing);
    }
    assert_eq!(motion(&m, "at_rest"), (100.0, 1, 100.0));
    let unopened = measured(
        &{
            let mut p = Played::empty();
            p.say(50, r#"{"do":"report","from":"control","text":"on scene"}"#);
            p
        },
        100,
    );
    assert!(unopened.missing.iter().any(|w| w.contains("never opened")));
    assert_eq!(unopened.to_ms - unopened.from_ms, 50_000);
}

/// A loss is called into the drill at 140; Dov calls STOP at 142, Ben has stopped at 143, Cleo at 145: 3 and 5 s, the median by nearest rank
/// 3. The second, at 200, is followed by no STOP.
#[test]
fn a_loss_called_into_the_drill_is_answered_in_so_many_seconds() {
    let mut p = Played::through(&[
        "100 order c > 1, 2: lower",
        "103 readback 1 of 100: lower",
        "104 readback 2 of 100: lower",
        "140 {\"do\":\"exercise\",\"lose\":\"rope_one\",\"text\":\"rope one lost\"}",
        "142 order e > *: stop",
    ]);
    for (at, who) in [(143, "rope one operator"), (145, "rope two operator")] {
        p.say(at, &format!("{{\"do\":\"report\",\"from\":\"{who}\",\"text\":\"stopped\"}}"));
    }
    p.go_on(&["200 {\"do\":\"exercise\",\"lose\":\"rope_two\",\"text\":\"rope two lost\"}"]);
    let drills = measured(&p, 300).drills.value;
    assert_eq!(drills.list.len(), 2);
    let first = &drills.list[0];
    assert_eq!((first.text.as_str(), first.stop_s), ("rope one lost", Some(2.0)));
    let after: Vec<Option<f64>> = first.operators.iter().map(|o| o.after_s).collect();
    assert_eq!(after, [Some(3.0), Some(5.0)]);
    assert_eq!((drills.list[1].stop_s, drills.list[1].operators.len()), (None, 0));
    assert_eq!((drills.reaction_s, drills.answers), (Some([3.0, 3.0, 5.0]), 2));
    let text = drills.for_guidelines.expect("what a guidelines file takes");
    let own = Guidelines::read(&text).expect("as it stands");
    let reaction = own.falls.reaction_s;
    assert_eq!((reaction.low, reaction.likely, reaction.high), (3.0, 3.0, 5.0));
    assert!(reaction.source.contains("2 answers"));
    let rows = measured(&p, 300).tables();
    let table = rows.iter().find(|t| t.head == "Losses called into the drill").expect("a table");
    assert!(table.rows[1].value.contains("no STOP followed") && table.rows[2].value.contains("median 3 s"));
}
