//! An invented operation: people, places and numbers of nobody. The findings are typed, not
//! computed: they exercise the pages, nothing else.
#![allow(dead_code)]

use report::input::*;
use rig::findings::{
    CAUTION, CheckReport, HandsOff, LossFinding, LossMode, LossVerdict, PartFinding, RuleFinding,
    StateFindings, Survivor, Verdict,
};
use rig::quantity::BandKn;

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

fn part(id: &str, label: &str, kind: &str, high: f64, strength: Option<f64>, words: &str) -> PartFinding {
    let margin = strength.map(|s| s / high);
    let verdict = match margin {
        None => Verdict::NotChecked,
        Some(m) if m < 10.0 => Verdict::FallsShort,
        Some(_) => Verdict::Holds,
    };
    PartFinding {
        id: id.into(),
        kind: kind.into(),
        label: label.into(),
        force_kn: Some(BandKn { low: high * 0.4, nominal: high * 0.7, high }),
        strength_kn: strength,
        margin,
        required: Some(10.0),
        verdict,
        words: words.into(),
        source: String::new(),
        how: Vec::new(),
    }
}

fn loss(id: &str, label: &str, mode: LossMode, verdict: LossVerdict, words: &str) -> LossFinding {
    LossFinding {
        lost: vec![id.into()],
        label: label.into(),
        mode,
        verdict,
        moves: matches!(verdict, LossVerdict::Moves | LossVerdict::HeldIfActs),
        words: words.into(),
        acts: Vec::new(),
        weakest: Some(Survivor { id: "device_2".into(), label: "device 2".into(), margin: 4.4 }),
        path: Vec::new(),
    }
}

pub fn rule(id: &str, verdict: Verdict, rule: &str, found: &str) -> RuleFinding {
    RuleFinding {
        id: id.into(),
        verdict,
        rule: rule.into(),
        found: found.into(),
        source: "common practice, no source".into(),
    }
}

pub fn lower_parts() -> Vec<PartFinding> {
    vec![
        part("leg_1a", "V leg 1a, cord 8 mm", "cord leg", 1.33, Some(12.2), "knot, low end, 0.81"),
        part("anchor_east", "anchor east, tree", "anchor", 1.80, None, "no rating; judged on site"),
        part("anchor_west", "anchor west, two bolts", "anchor", 1.80, Some(25.0), "team gear list"),
        part("leg_1b", "V leg 1b, cord 8 mm", "cord leg", 0.77, Some(12.2), "knot, low end, 0.81"),
        part("leg_2a", "V leg 2a, sewn sling", "sling", 1.33, Some(22.0), "EN 566"),
        part("leg_2b", "V leg 2b, sewn sling", "sling", 0.77, Some(22.0), "EN 566"),
        part("focal_1", "focal knot 1", "focal knot", 1.56, Some(17.1), "knot, low end, 0.57"),
        part("focal_2", "focal knot 2", "focal knot", 1.56, Some(17.1), "knot, low end, 0.57"),
        part("connector_1", "connector 1", "connector", 1.56, Some(22.0), "EN 362, major axis"),
        part("connector_2", "connector 2", "connector", 1.56, Some(22.0), "EN 362, major axis"),
        part("device_1", "device 1, self-closing", "device", 1.56, Some(16.0), "team gear list"),
        part("device_2", "device 2, self-closing", "device", 1.56, Some(16.0), "team gear list"),
        part("rope_1", "rope one 11 mm, end knot", "rope", 1.72, Some(20.0), "EN 1891 A; knot 0.67"),
        part("rope_2", "rope two 11 mm, end knot", "rope", 1.72, Some(20.0), "EN 1891 A; knot 0.67"),
        part("ring_1", "bridle ring 1", "bridle ring", 1.72, Some(22.0), "team gear list"),
        part("ring_2", "bridle ring 2", "bridle ring", 1.72, Some(22.0), "team gear list"),
    ]
}

fn lower_losses(one_knot: bool) -> Vec<LossFinding> {
    use LossMode::{CommonCause, FreezesOn, HandOff, Part};
    let two = "held only if rope two operator releases";
    let one = "held only if rope one operator releases";
    let mut out = vec![
        loss("lip", "edge lip cuts both ropes", CommonCause, LossVerdict::Dropped, "dropped"),
        loss("rope_1", "rope one 11 mm, end knot", Part, LossVerdict::HeldIfActs, two),
        loss("device_1", "device 1, self-closing", Part, LossVerdict::HeldIfActs, two),
        loss("connector_1", "connector 1", Part, LossVerdict::HeldIfActs, two),
        loss("rope_2", "rope two 11 mm, end knot", Part, LossVerdict::HeldIfActs, one),
        loss("device_2", "device 2, self-closing", Part, LossVerdict::HeldIfActs, one),
        loss("connector_2", "connector 2", Part, LossVerdict::HeldIfActs, one),
        loss("op_1", "rope one operator freezes on", FreezesOn, LossVerdict::HeldIfActs, two),
        loss("op_2", "rope two operator freezes on", FreezesOn, LossVerdict::HeldIfActs, one),
        loss("anchor_west", "anchor west, two bolts", Part, LossVerdict::NotChecked, "onto anchor east"),
        loss("anchor_east", "anchor east, tree", Part, LossVerdict::Moves, "moves onto anchor west"),
        loss("leg_1a", "V leg 1a, cord 8 mm", Part, LossVerdict::Moves, "moves onto V leg 1b"),
        loss("leg_1b", "V leg 1b, cord 8 mm", Part, LossVerdict::Held, "held"),
        loss("leg_2b", "V leg 2b, sewn sling", Part, LossVerdict::Held, "held"),
        loss("op_1_off", "rope one operator, hand off", HandOff, LossVerdict::Held, "held, device closes"),
        loss("op_2_off", "rope two operator, hand off", HandOff, LossVerdict::Held, "held, device closes"),
    ];
    if one_knot {
        out.insert(0, loss("focal", "focal knot", Part, LossVerdict::Dropped, "dropped"));
    }
    out
}

pub fn lower_state(one_knot: bool) -> StateFindings {
    let mut parts = lower_parts();
    if one_knot {
        parts.retain(|p| p.id != "focal_2");
        if let Some(knot) = parts.iter_mut().find(|p| p.id == "focal_1") {
            knot.id = "focal".into();
            knot.label = "focal knot".into();
        }
    }
    StateFindings {
        state: "lowering".into(),
        parts,
        critical_parts: if one_knot { vec!["focal".into()] } else { Vec::new() },
        unknown_parts: vec!["anchor_west".into()],
        always_critical: vec!["litter_bridle".into(), "litter".into(), "patient_tie_in".into()],
        critical_pairs: vec![
            ["rope_1".into(), "rope_2".into()],
            ["rope_1".into(), "device_2".into()],
            ["device_1".into(), "device_2".into()],
            ["anchor_east".into(), "anchor_west".into()],
        ],
        hands_off: HandsOff {
            verdict: Verdict::NotChecked,
            moves: false,
            words: "both devices close when released; run-back is not simulated".into(),
        },
        losses: lower_losses(one_knot),
        checks: vec![
            rule("rope_long_enough", Verdict::Holds, "rope long enough", "60 m each; 22 m height, 24 m left"),
            rule("rope_fits", Verdict::Holds, "rope diameter against device", "11 mm; takes 10.5 to 11.5 mm"),
            rule("edge_lip", Verdict::NotChecked, "edge lip under rope two", "sharp edge; rollers set"),
        ],
        residual_n: Some(0.0),
    }
}

pub fn check_report(main: StateFindings, others: Vec<StateFindings>) -> CheckReport {
    CheckReport {
        format: "ledgebook-check/0".into(),
        engine: "0.1.0".into(),
        rig_digest: "3c1f88a0".repeat(8),
        guidelines_digest: "5b0e91d2".repeat(8),
        verdict: Verdict::FallsShort,
        main,
        other_states: others,
        assumptions: vec![
            "share of each rope 0.5 (0.3 to 0.7), assumption".into(),
            "edge friction ratio 1.48 (1.1 to 2.6), assumption".into(),
        ],
        caution: CAUTION.into(),
    }
}

fn rigs() -> Vec<RigChapter> {
    let mut tied = lower_state(false);
    tied.state = "tied_off".into();
    tied.losses.iter_mut().filter(|l| l.verdict == LossVerdict::HeldIfActs).for_each(|l| {
        l.verdict = LossVerdict::Moves;
        l.words = "moves".into();
    });
    let lower = RigChapter {
        name: "lower".into(),
        title: "Twin lower, two focal knots".into(),
        rig: None,
        checks: vec![
            StoredCheck {
                seq: 28,
                at_ms: at(13, 26, 5),
                rig: None,
                bound: Vec::new(),
                report: check_report(lower_state(true), Vec::new()),
            },
            StoredCheck {
                seq: 30,
                at_ms: at(13, 31, 5),
                rig: None,
                bound: Vec::new(),
                report: check_report(lower_state(false), vec![tied]),
            },
        ],
        signed: vec![
            signed(31, at(13, 32, 0), true, "rigging lead", "Rui Abrantes", 30),
            signed(32, at(13, 32, 40), false, "rigging lead", "Rui Abrantes", 30),
            signed(33, at(13, 33, 10), false, "safety officer", "Κλειώ Ανδρεάδη", 30),
        ],
        stale: false,
    };
    let mut raise_state = lower_state(false);
    raise_state.state = "raising".into();
    let raise = RigChapter {
        name: "raise".into(),
        title: "Raise 3 to 1 and belay".into(),
        rig: None,
        checks: vec![StoredCheck {
            seq: 72,
            at_ms: at(14, 10, 0),
            rig: None,
            bound: Vec::new(),
            report: check_report(raise_state, Vec::new()),
        }],
        signed: vec![signed(73, at(14, 11, 0), false, "rigging lead", "Rui Abrantes", 72)],
        stale: false,
    };
    vec![lower, raise]
}

fn signed(seq: u64, at_ms: i64, accepted: bool, role: &str, person: &str, check: u64) -> Signed {
    let (finding, reason) = if accepted {
        ("leg_1a".to_string(), "knot strength is taken at its low end; a doubled leg crosses rope two".into())
    } else {
        (String::new(), String::new())
    };
    Signed {
        seq,
        at_ms,
        accepted,
        role: role.into(),
        person: person.into(),
        check_seq: Some(check),
        finding,
        reason,
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
        .map(|pair| MotionSpan { motion: pair[0].0.into(), from_ms: pair[0].1, to_ms: Some(pair[1].1) })
        .collect()
}

fn benchmark(at_ms: i64, words: &str, seq: u64) -> Benchmark {
    Benchmark { at_ms, words: words.into(), seq }
}

/// The whole operation.
pub fn operation() -> ReportInput {
    let log = log();
    let count = log.len() as u64;
    let people = PEOPLE
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
            on_rope_s: if (8..10).contains(&i) { 2400.0 } else { 0.0 },
            edge_s: if i == 7 { 3300.0 } else { 0.0 },
            drop_s: 0.0,
        })
        .collect();
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
        },
        people,
        duties,
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
        spans: spans(),
        review: review(),
    }
}

fn review() -> Review {
    let measure = |role: &str, delays: &[f64], wrong, never| ReadbackMeasure {
        role: role.into(),
        due: delays.len() + wrong + never,
        delays_s: delays.to_vec(),
        wrong,
        never,
    };
    let finding = |departs, words: &str, detail: &str, entries: &[u64]| Finding {
        departs,
        words: words.into(),
        detail: detail.into(),
        entries: entries.to_vec(),
        people: String::new(),
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
        measures: Vec::new(),
    }
}

/// A name of `n` characters.
pub fn long_name(n: usize) -> String {
    "Wolfsteinhohenauer-Papandreadaki ".chars().cycle().take(n).collect::<String>().trim_end().to_string()
        + "x"
}

/// Everything too much at once: people, names, texts, parts, stops.
pub fn stress() -> ReportInput {
    let mut input = operation();
    input.operation.name = "Gemeinsame Übung der Bergrettung an der Nordwand ".repeat(9);
    input.operation.place = "Nordwand, dritter Absatz, beim alten Steinbruch; ".repeat(11);
    input.people.clear();
    input.duties.clear();
    for i in 0..60 {
        let name = match i % 10 {
            0 => long_name(80),
            1 => "Θάλασσα Παπαδημητρίου".to_string(),
            2 => "Аграфена Невзорова".to_string(),
            3 => "山田 花子".to_string(),
            4 => "مريم ال".to_string(),
            5 => "W".repeat(80),
            6 => "Sam\u{0}\u{1b}[31m \u{202e}Okonkwo\u{ad}\t\u{200b}🧗".to_string(),
            _ => "Anne".to_string(),
        };
        let name = format!("{name} {i}");
        let role =
            if i < 40 { "haul team".to_string() } else { format!("role {i} of the second party below") };
        input.people.push(Person {
            name: name.clone(),
            qualifications: vec!["rope technician".into(), long_name(if i % 7 == 0 { 90 } else { 12 })],
            roles: vec![role.clone()],
            in_ms: Some(at(13, 4, 0)),
            on_rope_s: 5.0 * f64::from(i),
            ..Person::default()
        });
        let from_ms = at(13, 10, 0) + i64::from(i % 13) * 500_000;
        let to_ms = (i % 3 == 0).then_some(from_ms + 20_000);
        input.duties.push(Duty { role, person: Some(name), from_ms, to_ms });
    }
    input.site.push(("a label of a fact that is too long".into(), "said at length, ".repeat(120)));
    for i in 0..100 {
        let stop = Stop {
            seq: 45,
            at_ms: at(13, 46, 0) + i * 30_000,
            from: "edge attendant".into(),
            cause: if i % 2 == 0 { "rock from above the third ledge ".repeat(6) } else { String::new() },
            stopped_s: vec![("rope one operator".into(), (i % 4 != 0).then_some(1.0 + i as f64))],
            held_s: (i % 5 != 0).then_some(4000.0),
        };
        input.review.stops.push(stop);
        let words = format!("Finding {i} with words that go on for quite a while and then some");
        let detail = ": and a detail that is longer than the words before it, by far, to see it wrap.".into();
        let entries = (0..i as u64).map(|n| n * 3 + 1).collect();
        input.review.findings.push(Finding {
            departs: i % 3 != 0,
            words,
            detail,
            entries,
            people: String::new(),
        });
    }
    stress_log(&mut input);
    stress_rigs(&mut input);
    input
}

fn stress_log(input: &mut ReportInput) {
    let mut log = Log { rows: std::mem::take(&mut input.log) };
    let said = "the litter swings left and the edge attendant asks to hold, ".repeat(34);
    log.add(at(14, 50, 0), "report", "edge attendant", &["control"], &said[..2000]);
    log.add(at(14, 50, 0), "note", &long_name(80), &[&long_name(60), &long_name(60)], &"x".repeat(2000));
    log.add(at(14, 50, 0), "note", "scribe", &[], "");
    log.add(
        at(14, 50, 0),
        "note",
        "scribe",
        &[],
        "two\nlines\r\nand\ttab \u{7} 山 **not bold** ~~not struck~~",
    );
    for i in 0..30 {
        let to: Vec<(String, Option<f64>)> = (0..i % 9 + 1)
            .map(|k| (format!("role {k}"), (k % 2 == 0).then_some(1.5 * f64::from(k))))
            .collect();
        let to: Vec<(&str, Option<f64>)> = to.iter().map(|(role, s)| (role.as_str(), *s)).collect();
        log.order(at(15, 0, 0) + i64::from(i) * 60_000, "hold and report what you see at the lip", &to);
    }
    input.log = log.rows;
}

fn stress_rigs(input: &mut ReportInput) {
    let mut state = lower_state(true);
    for i in 0..64 {
        let mut part = lower_parts()[i % 16].clone();
        part.id = format!("part_{i}");
        part.label = if i % 5 == 0 { long_name(70) } else { format!("part {i}") };
        part.words =
            if i % 9 == 0 { "rests on a long story about its origin ".repeat(4) } else { part.words };
        state.losses.push(loss(
            &part.id,
            &part.label,
            LossMode::Part,
            LossVerdict::Overloaded,
            "overloads rope one",
        ));
        state.critical_parts.push(part.id.clone());
        for k in 0..6 {
            state.critical_pairs.push([part.id.clone(), format!("part_{k}")]);
        }
        state.parts.push(part);
    }
    for i in 0..30 {
        state.checks.push(rule(
            &format!("r{i}"),
            Verdict::FallsShort,
            "a rule of some length",
            &long_name(200),
        ));
    }
    let others: Vec<StateFindings> = (0..4).map(|_| state.clone()).collect();
    for i in 0..5 {
        let mut rig = input.rigs[0].clone();
        rig.name = format!("{} {i}", long_name(60));
        rig.stale = i == 1;
        rig.checks[1].report = check_report(state.clone(), others.clone());
        if i == 2 {
            rig.checks.clear();
        }
        if i == 3 {
            rig.signed.clear();
        }
        input.rigs.push(rig);
    }
}

/// So many calls over the operation, an order and what it got in turn.
pub fn calls(n: usize) -> ReportInput {
    let mut input = operation();
    let mut log = Log { rows: std::mem::take(&mut input.log) };
    let mut t = at(14, 50, 0);
    while log.rows.len() < n {
        t += 25_000;
        let said = ["lower slow", "match rope one, then equal", "hold", "slack on rope two, one metre"];
        let never = log.rows.len() % 7 == 0;
        let two = if never { None } else { Some(2.6) };
        log.order(
            t,
            said[log.rows.len() % 4],
            &[("rope one operator", Some(1.9)), ("rope two operator", two)],
        );
        log.add(
            t + 9_000,
            "report",
            "litter attendant",
            &["control"],
            "clear of the lip, both ropes on rollers",
        );
    }
    input.record.last_ms = t + 10_000;
    input.operation.closed_ms = Some(t + 10_000);
    input.log = log.rows;
    input
}
