//! What is not known for this rope or this pull is never told as holding.

mod rigs;

use rig::findings::{LossVerdict, StateFindings, Verdict};
use rig::guidelines::Guidelines;
use rigs::rated;

fn main_state(template: &str, set: &[(&str, &str)], guidelines: &Guidelines) -> StateFindings {
    engine::check(&rated(template, set), guidelines, None).main
}

fn verdict_of(state: &StateFindings, rule: &str) -> Verdict {
    state.checks.iter().find(|c| c.id == rule).unwrap_or_else(|| panic!("no {rule}")).verdict
}

#[test]
fn a_device_that_does_not_take_the_rope_holds_nothing_for_sure() {
    // The rope is of 11 mm.
    for (low, high, fits) in
        [("10mm", "12mm", true), ("11mm", "11mm", true), ("12mm", "13mm", false), ("8mm", "10.9mm", false)]
    {
        for template in ["twin-lower-two-knots", "twin-lower-one-knot"] {
            let set = [("device_takes_low", low), ("device_takes_high", high)];
            let state = main_state(template, &set, &Guidelines::defaults());
            let case = format!("{template}, takes {low} to {high}");
            assert_eq!(state.hands_off.verdict == Verdict::Holds, fits, "{case}: {:?}", state.hands_off);
            assert_eq!(verdict_of(&state, "load_held") == Verdict::Holds, fits, "{case}");
            if !fits {
                let good: Vec<_> = state
                    .losses
                    .iter()
                    .filter(|l| l.verdict > LossVerdict::NotChecked)
                    .map(|l| &l.label)
                    .collect();
                assert!(good.is_empty(), "{case}: {good:?}");
                assert_ne!(verdict_of(&state, "no_single_critical_part"), Verdict::Holds, "{case}");
            }
        }
    }
}

#[test]
fn a_jammed_load_is_never_told_milder_than_ordinary_hauling() {
    for mass in ["100kg", "200kg", "280kg"] {
        for haulers in ["2", "4", "6"] {
            let set = [("load", mass), ("haulers", haulers)];
            let state = main_state("raise-3-to-1-and-belay", &set, &Guidelines::defaults());
            let margin = |p: &rig::findings::PartFinding| p.margin.map(|m| (m, p.id.clone()));
            let ordinary = ["haul_hitch", "end_knot_1", "rope_one"].map(|id| rigs::part(&state, id));
            let (weakest, who) =
                ordinary.into_iter().filter_map(margin).min_by(|a, b| a.0.total_cmp(&b.0)).unwrap();
            // Asked for a little more than ordinary hauling leaves, the jam must fall short too.
            let mut guidelines = Guidelines::defaults();
            guidelines.required_after_loss.value = weakest * 1.001;
            let state = main_state("raise-3-to-1-and-belay", &set, &guidelines);
            let case = format!("{mass}, {haulers} haulers, {who} {weakest:.2}");
            assert_eq!(verdict_of(&state, "jammed_load"), Verdict::FallsShort, "{case}");
        }
    }
}

#[test]
fn a_rope_whose_operator_let_go_may_come_to_bear_the_whole_load() {
    // The other operator still lets rope run: by hand, the end knot is left with its strength over the whole weight.
    let weight = 250.0 * rig::quantity::G / 1000.0;
    let state = main_state("twin-lower-two-knots", &[("load", "250kg")], &Guidelines::defaults());
    for (hand, knot) in [("rope_one_operator", "end_knot_1"), ("rope_two_operator", "end_knot_2")] {
        let loss = rigs::loss(&state, hand, rig::findings::LossMode::HandOff);
        let strength = rigs::part(&state, knot).strength_kn.unwrap();
        let weakest = loss.weakest.as_ref().unwrap();
        assert!(weakest.margin <= strength / weight + 1e-9, "{hand}: {weakest:?}, {knot} {strength} kN");
    }
    // A knot that bears seven tenths of the load and not the whole is overloaded.
    let weak = [("load", "250kg"), ("rope_rating", "3kN")];
    let state = main_state("twin-lower-two-knots", &weak, &Guidelines::defaults());
    let knot = rigs::part(&state, "end_knot_1");
    assert!(knot.margin.unwrap() > 1.0 && knot.strength_kn.unwrap() < weight, "{knot:?}");
    let loss = rigs::loss(&state, "rope_one_operator", rig::findings::LossMode::HandOff);
    assert_eq!(loss.verdict, LossVerdict::Overloaded, "{loss:?}");
}

#[test]
fn what_lies_behind_a_broken_lip_is_told_as_judged_or_not_checked() {
    for template in ["twin-lower-two-knots", "twin-lower-one-knot", "raise-3-to-1-and-belay"] {
        for (rating, verdict) in [("", LossVerdict::NotChecked), ("5kN", LossVerdict::Moves)] {
            let state = main_state(template, &[("edge_lip", rating)], &Guidelines::defaults());
            let loss = rigs::loss(&state, "edge_lip", rig::findings::LossMode::Part);
            assert!(loss.verdict <= verdict, "{template}, {rating}: {loss:?}");
            assert!(loss.words.contains("team’s judgement"), "{template}, {rating}: {loss:?}");
        }
    }
}
