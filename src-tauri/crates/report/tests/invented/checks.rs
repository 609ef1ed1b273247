//! Checks, typed.

use super::at;
use report::input::*;
use rig::findings::{
    CAUTION, CheckReport, HandsOff, LossFinding, LossMode, LossVerdict, PartFinding, RuleFinding,
    StateFindings, Survivor, Verdict,
};
use rig::quantity::BandKn;
use std::collections::BTreeMap;

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

pub fn loss(id: &str, label: &str, mode: LossMode, verdict: LossVerdict, words: &str) -> LossFinding {
    LossFinding {
        group: None,
        lost: vec![id.into()],
        label: label.into(),
        mode,
        verdict,
        moves: matches!(verdict, LossVerdict::Moves | LossVerdict::HeldIfActs),
        words: words.into(),
        acts: Vec::new(),
        weakest: Some(Survivor { id: "device_2".into(), label: "device 2".into(), margin: 4.4 }),
        path: Vec::new(),
        fall: None,
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
        part("focal_knot_1", "focal knot 1", "focal knot", 1.56, Some(17.1), "knot, low end, 0.57"),
        part("focal_knot_2", "focal knot 2", "focal knot", 1.56, Some(17.1), "knot, low end, 0.57"),
        part("connector_1", "connector 1", "connector", 1.56, Some(22.0), "EN 362, major axis"),
        part("connector_2", "connector 2", "connector", 1.56, Some(22.0), "EN 362, major axis"),
        part("device_1", "device 1, self-closing", "device", 1.56, Some(16.0), "team gear list"),
        part("device_2", "device 2, self-closing", "device", 1.56, Some(16.0), "team gear list"),
        part("rope_one", "rope one 11 mm, end knot", "rope", 1.72, Some(20.0), "EN 1891 A; knot 0.67"),
        part("rope_two", "rope two 11 mm, end knot", "rope", 1.72, Some(20.0), "EN 1891 A; knot 0.67"),
        part("bridle_ring_1", "bridle ring 1", "bridle ring", 1.72, Some(22.0), "team gear list"),
        part("bridle_ring_2", "bridle ring 2", "bridle ring", 1.72, Some(22.0), "team gear list"),
    ]
}

fn lower_losses(one_knot: bool) -> Vec<LossFinding> {
    use LossMode::{CommonCause, FreezesOn, HandOff, Part};
    let two = "held only if rope two operator releases";
    let one = "held only if rope one operator releases";
    let mut out = vec![
        loss("lip", "edge lip cuts both ropes", CommonCause, LossVerdict::Dropped, "dropped"),
        loss("rope_one", "rope one 11 mm, end knot", Part, LossVerdict::HeldIfActs, two),
        loss("device_1", "device 1, self-closing", Part, LossVerdict::HeldIfActs, two),
        loss("connector_1", "connector 1", Part, LossVerdict::HeldIfActs, two),
        loss("rope_two", "rope two 11 mm, end knot", Part, LossVerdict::HeldIfActs, one),
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
        out.insert(0, loss("focal_knot", "focal knot", Part, LossVerdict::Dropped, "dropped"));
    }
    out
}

pub fn lower_state(one_knot: bool) -> StateFindings {
    let mut parts = lower_parts();
    if one_knot {
        parts.retain(|p| p.id != "focal_knot_2");
        if let Some(knot) = parts.iter_mut().find(|p| p.id == "focal_knot_1") {
            knot.id = "focal_knot".into();
            knot.label = "focal knot".into();
        }
    }
    StateFindings {
        state: "lowering".into(),
        parts,
        critical_parts: if one_knot { vec!["focal_knot".into()] } else { Vec::new() },
        unknown_parts: vec!["anchor_west".into()],
        always_critical: vec!["litter_bridle".into(), "litter".into(), "patient_tie_in".into()],
        critical_pairs: vec![
            ["rope_one".into(), "rope_two".into()],
            ["rope_one".into(), "device_2".into()],
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
        hauling: None,
        falls: Vec::new(),
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

fn made(template: &str) -> Option<rig::Rig> {
    rig::templates::make(template, &BTreeMap::new()).ok()
}

fn bound() -> Vec<(String, String)> {
    let names = [("rope one operator", "Rui Abrantes"), ("rope two operator", "Κλειώ Ανδρεάδη")];
    names.map(|(role, person)| (role.to_string(), person.to_string())).to_vec()
}

pub fn rigs() -> Vec<RigChapter> {
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
                rig: made("twin-lower-one-knot"),
                bound: Vec::new(),
                report: check_report(lower_state(true), Vec::new()),
            },
            StoredCheck {
                seq: 30,
                at_ms: at(13, 31, 5),
                rig: made("twin-lower-two-knots"),
                bound: bound(),
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
            rig: made("raise-3-to-1-and-belay"),
            bound: bound(),
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
