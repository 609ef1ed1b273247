//! An invented operation: people, places and numbers of nobody. The findings are typed, not
//! computed: they exercise the pages, nothing else.
#![allow(dead_code)]

mod checks;
mod stress;

pub use checks::*;
use report::input::*;
pub use stress::*;

/// 2026-09-12T13:02:00+02:00.
pub const START: i64 = 1_789_210_920_000;

/// Local time on the day as ms since the epoch.
pub fn at(h: i64, m: i64, s: i64) -> i64 {
    START + ((h - 13) * 3600 + (m - 2) * 60 + s) * 1000
}

pub const PEOPLE: [&str; 12] = [
    "Hedda Brandsrud",
    "Κλειώ Ανδρεάδη",
    "Rui Abrantes",
    "Żaneta Wójtowska",
    "Lauri Peltokangas",
    "Зоряна Мельник",
    "Tove Lindgård",
    "Emeka Adeyinka",
    "Ngaio Whareaitu",
    "Gáspár Erdélyi",
    "Mireia Quintanilla-Ferrán",
    "Oddný Þórsdóttir",
];

const ROLES: [&str; 12] = [
    "incident commander",
    "safety officer",
    "rigging lead",
    "control",
    "rope one operator",
    "rope two operator",
    "tailer",
    "edge attendant",
    "litter attendant",
    "patient attendant",
    "haul team",
    "scribe",
];

/// A log under way.
pub struct Log {
    pub rows: Vec<LogRow>,
}

impl Log {
    pub fn add(&mut self, at_ms: i64, kind: &str, from: &str, to: &[&str], text: &str) -> &mut LogRow {
        let seq = self.rows.len() as u64 + 1;
        let to = to.iter().map(|t| (*t).to_string()).collect();
        let (kind, from, text) = (kind.to_string(), from.to_string(), text.to_string());
        self.rows.push(LogRow { seq, at_ms, kind, from, to, text, ..LogRow::default() });
        self.rows.last_mut().expect("just pushed")
    }

    /// An order with readbacks after so many seconds, `None`: never.
    pub fn order(&mut self, at_ms: i64, text: &str, to: &[(&str, Option<f64>)]) -> u64 {
        let roles: Vec<&str> = to.iter().map(|(role, _)| *role).collect();
        let order = self.add(at_ms, "order", "control", &roles, text);
        let seq = order.seq;
        order.heard = to
            .iter()
            .map(|(role, after)| Heard {
                role: (*role).into(),
                what: after.map_or(Hearing::Never, Hearing::After),
            })
            .collect();
        for (role, after) in to {
            if let Some(after) = after {
                let back = self.add(at_ms + (after * 1000.0) as i64, "readback", role, &["control"], text);
                back.of = Some(seq);
            }
        }
        seq
    }

    pub fn stop(&mut self, at_ms: i64, from: &str, text: &str, by: &[(&str, f64)]) -> u64 {
        let stop = self.add(at_ms, "stop", from, &["all"], text);
        let seq = stop.seq;
        stop.heard =
            by.iter().map(|(role, s)| Heard { role: (*role).into(), what: Hearing::After(*s) }).collect();
        for (role, s) in by {
            let said = self.add(at_ms + (s * 1000.0) as i64, "report", role, &["control"], "stopped");
            said.of = Some(seq);
        }
        seq
    }
}

fn log() -> Vec<LogRow> {
    let mut log = Log { rows: Vec::new() };
    log.add(at(13, 2, 0), "open", "scribe", &[], "drill; edge height 22 m; station top");
    for (i, person) in PEOPLE.iter().enumerate() {
        log.add(at(13, 4, i as i64 * 20), "check_in", "scribe", &[], person);
    }
    for (role, person) in ROLES.iter().zip(PEOPLE) {
        log.add(at(13, 10, 0), "assign", "incident commander", &[], &format!("{role}: {person}"));
    }
    log.add(at(13, 20, 0), "note", "scribe", &[], "wind rising in the gully; radio on channel 4");
    log.add(at(13, 25, 10), "rig", "rigging lead", &[], "lower, from twin-lower-one-knot");
    log.add(at(13, 26, 5), "check", "rigging lead", &[], "lower: 1 critical part, 1 falls short");
    log.add(at(13, 30, 0), "rig", "rigging lead", &[], "lower, from twin-lower-two-knots");
    log.add(at(13, 31, 5), "check", "rigging lead", &[], "lower: 1 falls short, 3 not checked");
    log.add(at(13, 32, 0), "accept", "rigging lead", &[], "check 30: V leg 1a");
    log.add(at(13, 32, 40), "sign", "rigging lead", &[], "check 30");
    log.add(at(13, 33, 10), "sign", "safety officer", &[], "check 30");
    log.add(at(13, 34, 0), "par", "incident commander", &["all"], "12 of 12");
    let (one, two) = ("rope one operator", "rope two operator");
    log.order(at(13, 36, 0), "load test, three on the lines", &[(one, Some(3.1)), (two, Some(4.6))]);
    log.add(at(13, 37, 10), "benchmark", "scribe", &[], "load test");
    log.order(at(13, 40, 3), "lower slow", &[(one, Some(2.0)), (two, Some(3.4))]);
    log.order(at(13, 42, 31), "match rope one", &[(two, None)]);
    log.add(at(13, 44, 0), "report", "litter attendant", &["control"], "fifteen metres");
    log.stop(at(13, 46, 0), "edge attendant", "STOP, roller shifted", &[(one, 1.9), (two, 4.9)]);
    log.add(at(13, 47, 20), "report", "edge attendant", &["control"], "roller set and tied");
    log.order(at(13, 48, 30), "lower slow", &[(one, Some(2.3)), (two, Some(3.6))]);
    let was = log.add(at(13, 52, 32), "report", "litter attendant", &["control"], "five metres").seq;
    let fix = log.add(at(13, 53, 1), "report", "scribe", &[], "four metres");
    fix.corrects = Some(was);
    let by = fix.seq;
    log.rows[was as usize - 1].corrected_by = Some(by);
    log.add(at(13, 55, 0), "report", "litter attendant", &["control"], "landed");
    let late = log.add(at(13, 57, 11), "report", "edge attendant", &["control"], "litter over the edge");
    late.happened_ms = Some(at(13, 40, 50));
    log.add(at(13, 58, 0), "patient", "patient attendant", &[], "reached");
    log.add(at(14, 4, 0), "patient", "patient attendant", &[], "packaged");
    log.add(at(14, 8, 0), "rig", "rigging lead", &[], "raise, from raise-3-to-1-and-belay");
    while log.rows.len() < 71 {
        log.add(at(14, 9, 0), "note", "scribe", &[], "haul team on the line");
    }
    log.add(at(14, 10, 0), "check", "rigging lead", &[], "raise: 1 falls short, 3 not checked");
    log.add(at(14, 11, 0), "sign", "rigging lead", &[], "check 72");
    let slow = log.order(at(14, 14, 0), "haul slow", &[("haul team", Some(2.1)), (two, None)]);
    let order = &mut log.rows[slow as usize - 1];
    order.heard[1].what = Hearing::Wrong(slow + 2);
    let wrong = log.add(at(14, 14, 6), "readback", two, &["control"], "haul");
    wrong.of = Some(slow);
    wrong.wrong = true;
    log.order(at(14, 14, 20), "haul slow", &[(two, Some(1.8))]);
    log.add(at(14, 28, 0), "report", "edge attendant", &["control"], "at the top");
    log.add(at(14, 31, 0), "patient", "patient attendant", &[], "handed over");
    log.add(at(14, 40, 0), "par", "incident commander", &["all"], "12 of 12");
    for person in PEOPLE {
        log.add(at(14, 44, 0), "check_out", "scribe", &[], person);
    }
    log.add(at(14, 46, 0), "close", "scribe", &[], "operation closed");
    log.rows
}

fn spans() -> Vec<MotionSpan> {
    let times = [
        ("at_rest", at(13, 2, 0)),
        ("under_load_test", at(13, 36, 0)),
        ("at_rest", at(13, 38, 0)),
        ("at_the_edge", at(13, 39, 0)),
        ("lowering", at(13, 40, 3)),
        ("stopping", at(13, 46, 0)),
        ("stopped", at(13, 46, 5)),
        ("lowering", at(13, 48, 30)),
        ("landed", at(13, 55, 0)),
        ("tied_off", at(13, 57, 0)),
        ("raising", at(14, 14, 0)),
        ("at_the_edge", at(14, 27, 0)),
        ("landed", at(14, 28, 0)),
        ("tied_off", at(14, 30, 0)),
        ("at_rest", at(14, 46, 0)),
    ];
    times
        .windows(2)
        .map(|pair| MotionSpan {
            motion: pair[0].0.into(),
            slow: pair[0].0 == "lowering",
            from_ms: pair[0].1,
            to_ms: Some(pair[1].1),
        })
        .collect()
}

fn benchmark(at_ms: i64, words: &str, seq: u64) -> Benchmark {
    Benchmark { at_ms, words: words.into(), seq }
}

fn people() -> Vec<Person> {
    PEOPLE
        .iter()
        .zip(ROLES)
        .enumerate()
        .map(|(i, (name, role))| Person {
            name: (*name).into(),
            agency: (i == 9).then(|| "Vellmar ambulance".into()),
            qualifications: vec![role.into(), "rope technician".into()],
            roles: vec![role.into()],
            in_ms: Some(at(13, 4, i as i64 * 20)),
            out_ms: Some(at(14, 44, 0)),
        })
        .collect()
}

fn duties() -> Vec<Duty> {
    let mut duties: Vec<Duty> = PEOPLE
        .iter()
        .zip(ROLES)
        .map(|(name, role)| Duty {
            role: role.into(),
            person: Some((*name).into()),
            from_ms: at(13, 10, 0),
            to_ms: None,
        })
        .collect();
    duties[3].to_ms = Some(at(14, 7, 30));
    let taken = Duty {
        role: "control".into(),
        person: Some("Tove Lindgård".into()),
        from_ms: at(14, 7, 30),
        to_ms: None,
    };
    duties.insert(4, taken);
    duties[7].to_ms = Some(at(14, 7, 0));
    let vacant =
        Duty { role: "tailer".into(), person: None, from_ms: at(14, 7, 0), to_ms: Some(at(14, 30, 0)) };
    duties.insert(8, vacant);
    duties
}

/// The whole operation.
pub fn operation() -> ReportInput {
    let log = log();
    let count = log.len() as u64;
    ReportInput {
        program: "0.1.0".into(),
        paper: Paper::A4,
        operation: OperationFacts {
            name: "Skarnhew Gorge, north rim: walker on the lower ledge".into(),
            place: "Skarnhew Gorge, north rim, pitch four".into(),
            drill: true,
            edge_height_m: Some(22.0),
            opened_ms: START,
            closed_ms: Some(at(14, 46, 0)),
            offset_min: 120,
            guidelines: "Ledgebook defaults, edition 1".into(),
            guidelines_digest: "5b0e91d2".repeat(8),
        },
        record: RecordFacts {
            count,
            erased: 0,
            head: "9e4170c25ab83f1d66027c915fe3b8ad048c7d1be5920a63f7148cb05d2e9a31".into(),
            stations: vec![StationFacts { station: "top".into(), count, sessions: 1 }],
            last_ms: at(14, 46, 0),
            jsonl: b"{\"seq\":1}\n".repeat(count as usize),
            ..RecordFacts::default()
        },
        people: people(),
        duties: duties(),
        zones: [(8, "on_rope", 40, 100), (9, "on_rope", 40, 100), (7, "edge", 34, 90), (2, "edge", 36, 42)]
            .into_iter()
            .map(|(who, zone, from, to)| ZoneStay {
                person: PEOPLE[who].into(),
                zone: zone.into(),
                from_ms: at(13, from, 0),
                to_ms: Some(at(13, to, 0)),
            })
            .collect(),
        site: vec![
            ("hazards".into(), "loose rock left of the fall line; sharp lip, two rollers set".into()),
            ("weather".into(), "dry, 11 °C, wind NW 6 m/s".into()),
            ("light".into(), "sunset 19:41".into()),
            ("objective".into(), "lower litter and attendants, package, raise to the rim".into()),
        ],
        benchmarks: vec![
            benchmark(at(13, 2, 0), "called", 1),
            benchmark(at(13, 37, 10), "load test", 38),
            benchmark(at(13, 40, 50), "over the edge", 58),
            benchmark(at(13, 58, 0), "patient reached", 60),
            benchmark(at(14, 28, 0), "at the top", 80),
        ],
        patient: vec![
            benchmark(at(13, 58, 0), "reached", 60),
            benchmark(at(14, 4, 0), "packaged", 61),
            benchmark(at(14, 31, 0), "handed over", 81),
        ],
        rigs: rigs(),
        log,
        short_names: vec![
            ("rope one operator".into(), "rope one".into()),
            ("rope two operator".into(), "rope two".into()),
        ],
        spans: spans(),
        review: review(),
        ..ReportInput::default()
    }
}

fn review() -> Review {
    let measure = |role: &str, delays: &[f64], wrong: usize, never: usize| ReadbackMeasure {
        role: role.into(),
        due: delays.len() + wrong + never,
        delays_s: delays.to_vec(),
        wrong_s: vec![6.0; wrong],
        wrong,
        never,
    };
    let finding = |departs, words: &str, detail: &str, entries: &[u64]| Finding {
        departs,
        words: words.into(),
        detail: detail.into(),
        entries: entries.to_vec(),
        people: String::new(),
        ..Finding::default()
    };
    Review {
        readbacks: vec![
            measure("rope two operator", &[4.6, 3.4, 3.6, 1.8], 1, 1),
            measure("rope one operator", &[3.1, 2.0, 2.3], 0, 0),
            measure("haul team", &[2.1], 0, 0),
        ],
        stops: vec![Stop {
            seq: 45,
            at_ms: at(13, 46, 0),
            from: "edge attendant".into(),
            cause: "roller shifted".into(),
            stopped_s: vec![("rope one operator".into(), Some(1.9)), ("rope two operator".into(), Some(4.9))],
            held_s: Some(150.0),
            ..Stop::default()
        }],
        findings: vec![
            finding(
                true,
                "One order was never read back",
                ": “match rope one” to the rope two operator.",
                &[43],
            ),
            finding(true, "“Haul slow” was read back as “haul”", "by the rope two operator.", &[74, 76]),
            finding(
                true,
                "Moved with one check that falls short",
                "(V leg 1a), accepted by Rui Abrantes.",
                &[30, 31],
            ),
            finding(true, "Tailer vacant for the whole raise", "from 14:07 to 14:30.", &[72]),
            finding(false, "STOP to all stopped within 5 s", "; the guideline asks 6 s.", &[45]),
        ],
        pars: vec![
            Par { at_ms: at(13, 34, 0), due_ms: None, count: 12, of: Some(12), seq: 34 },
            Par { at_ms: at(14, 40, 0), due_ms: Some(at(14, 34, 0)), count: 12, of: Some(12), seq: 81 },
        ],
        heights: vec![
            (at(13, 40, 3), 22.0),
            (at(13, 44, 0), 15.0),
            (at(13, 48, 30), 13.0),
            (at(13, 52, 32), 4.0),
            (at(13, 55, 0), 0.0),
            (at(14, 14, 0), 0.0),
            (at(14, 28, 0), 22.0),
        ],
        speeds: speeds(),
        measures: Vec::new(),
    }
}

fn speeds() -> Vec<Speed> {
    [(13, 40, 3, 4.0, 1.75), (13, 44, 0, 4.5, 2.0), (13, 48, 30, 4.0, 2.25), (13, 52, 32, 2.4, 1.6)]
        .map(|(h, m, s, minutes, m_per_min)| speed(at(h, m, s), minutes, m_per_min))
        .into_iter()
        .chain([speed(at(14, 14, 0), 14.0, -1.6)])
        .collect()
}

fn speed(from_ms: i64, minutes: f64, m_per_min: f64) -> Speed {
    Speed { from_ms, to_ms: from_ms + (minutes * 60_000.0) as i64, m_per_min }
}
