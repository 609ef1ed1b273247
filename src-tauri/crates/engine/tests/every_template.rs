//! Every template, each part rated: what a rigging lead would call critical or unknown, and what happens when everyone lets go.

mod rigs;

use rig::findings::{LossMode, LossVerdict, StateFindings, Verdict};
use rigs::{fully_rated, guidelines, loss, make, part, twisted};

/// Template, what is set, what is critical and what is unknown in every state, hands-off in the first.
type Row = (
    &'static str,
    &'static [(&'static str, &'static str)],
    &'static [&'static str],
    &'static [&'static str],
    Verdict,
);

const NONE: &[&str] = &[];
const HEAD: &[&str] = &["leg_front", "leg_back", "guy", "high_directional", "pulley_1", "pulley_2"];
use Verdict::{FallsShort, Holds, NotChecked};

const ROWS: &[Row] = &[
    ("twin-lower-two-knots", &[], NONE, NONE, Holds),
    ("twin-lower-two-knots", &[("one_boulder", "yes")], NONE, NONE, Holds),
    ("twin-lower-one-knot", &[], &["focal_knot"], NONE, Holds),
    ("twin-lower-two-vs", &[], NONE, NONE, Holds),
    ("twin-lower-three-legs", &[], &["plate"], NONE, Holds),
    ("twin-lower-three-legs-adjusting", &[], &["cord", "ring"], NONE, Holds),
    ("twin-lower-three-legs-adjusting", &[("limiting_knots", "yes")], &["ring"], NONE, Holds),
    ("twin-lower-plate", &[], &["plate"], NONE, Holds),
    ("twin-lower-plate-backup", &[], NONE, NONE, Holds),
    ("twin-lower-rescuer", &[], &["point"], NONE, Holds),
    ("twin-lower-rescuer-tether", &[], NONE, NONE, Holds),
    ("twin-lower-rescuer-tether", &[("second_point", "")], &["point"], NONE, Holds),
    ("twin-lower-attendant-own", &[], NONE, NONE, Holds),
    ("twin-lower-attendant-own", &[("attendant_tethers", "one")], &["attendant_tether"], NONE, Holds),
    ("low-angle-lower", &[], NONE, NONE, Holds),
    (
        "low-angle-lower",
        &[("attendant_tethers", "one"), ("attendants", "2")],
        &["attendant_tether", "attendant_tether_2"],
        NONE,
        Holds,
    ),
    ("main-and-belay-lower", &[], NONE, NONE, Holds),
    // The team hauls: the load runs back until it is caught.
    ("main-and-belay-raise", &[], NONE, NONE, NotChecked),
    ("raise-3-to-1-and-belay", &[], NONE, NONE, NotChecked),
    ("raise-2-to-1", &[], NONE, NONE, NotChecked),
    ("raise-4-to-1", &[], NONE, NONE, NotChecked),
    ("raise-5-to-1", &[], NONE, NONE, NotChecked),
    ("raise-4-to-1-compound", &[], NONE, NONE, NotChecked),
    ("raise-6-to-1", &[], NONE, NONE, NotChecked),
    ("raise-9-to-1", &[], NONE, NONE, NotChecked),
    ("twin-lower-redirect", &[], NONE, NONE, Holds),
    ("twin-lower-high-directional", &[], NONE, HEAD, Holds),
    ("change-over-lower-to-raise", &[], NONE, NONE, Holds),
    ("change-over-raise-to-lower", &[], NONE, NONE, NotChecked),
    ("knot-pass", &[], NONE, NONE, Holds),
];

fn states(rig: &rig::Rig) -> Vec<StateFindings> {
    let report = engine::check(rig, &guidelines(), None);
    std::iter::once(report.main).chain(report.other_states).collect()
}

#[test]
fn what_a_rigging_lead_calls_critical_is_called_so() {
    for (name, set, critical, unknown, hands_off) in ROWS {
        let found = states(&fully_rated(name, set));
        for state in &found {
            assert_eq!(state.critical_parts, *critical, "{name} {set:?} {}", state.state);
            assert_eq!(state.unknown_parts, *unknown, "{name} {set:?} {}", state.state);
            assert!(state.residual_n.is_some_and(|r| r < 1e-6), "{name} {} is solved", state.state);
            assert!(!state.always_critical.is_empty());
        }
        assert_eq!(found[0].hands_off.verdict, *hands_off, "{name} {set:?}");
    }
    // With one operator it is the operator, while one is at the devices.
    for (class, tailer, hands_off) in
        [("self-closing", "no", Holds), ("passive", "no", FallsShort), ("passive", "yes", FallsShort)]
    {
        let set = [("device_class", class), ("tailer", tailer), ("load", "80kg")];
        let found = states(&fully_rated("twin-lower-one-operator", &set));
        assert_eq!(found[0].hands_off.verdict, hands_off, "{set:?}");
        let critical = tailer == "no";
        assert_eq!(found[0].critical_parts.contains(&"operator".to_string()), critical, "{set:?}");
    }
}

#[test]
fn no_template_is_left_out() {
    for template in rig::templates::list() {
        let told =
            ROWS.iter().any(|row| row.0 == template.name) || template.name == "twin-lower-one-operator";
        assert!(told, "{}", template.name);
    }
}

#[test]
fn other_ids_and_another_order_change_nothing() {
    for (name, set, ..) in ROWS {
        let rig = fully_rated(name, set);
        let (said, other) = (twisted::said(&rig), twisted::said(&twisted::undone(&rig)));
        // The states stand in their order: they are steps.
        assert_eq!(said.len(), other.len());
        for (a, b) in said.iter().zip(&other) {
            let only: Vec<_> = a.symmetric_difference(b).collect();
            assert!(only.is_empty(), "{name} {set:?}: {only:#?}");
        }
    }
}

/// Without ratings nothing is said to hold that rests on one.
#[test]
fn nothing_unrated_is_shown_as_held() {
    for template in rig::templates::list() {
        for state in states(&make(template.name, &[])) {
            for lost in &state.losses {
                let fine =
                    matches!(lost.verdict, LossVerdict::Held | LossVerdict::Moves | LossVerdict::HeldIfActs);
                let mut path = lost.path.iter().filter(|id| !state.always_critical.contains(id));
                let rated = path.all(|id| part(&state, id).strength_kn.is_some());
                assert!(!fine || rated, "{} {} {}", template.name, state.state, lost.label);
            }
        }
    }
}

/// While rope one is built over, each of its steps hangs the load on what is rigged then; the knot bears once it is past.
#[test]
fn each_step_of_a_knot_pass_says_what_bears() {
    let found = states(&fully_rated("knot-pass", &[]));
    let carries = |state: &StateFindings, id: &str| part(state, id).force_kn.is_some_and(|f| f.high > 0.1);
    for (step, bears, idle) in [
        ("lowering", "device_1", "joining_knot"),
        ("knot_near_both_tied_off", "device_1", "pass_hitch"),
        ("hitch_on", "device_1", "joining_knot"),
        ("on_the_hitch", "pass_hitch", "device_1"),
        ("lowering_again", "joining_knot", "pass_hitch"),
    ] {
        let state = found.iter().find(|s| s.state == step).unwrap_or_else(|| panic!("{step}"));
        assert!(carries(state, bears) && !carries(state, idle), "{step}: {bears}, {idle}");
    }
    let last = found.iter().find(|s| s.state == "lowering_again").unwrap();
    assert_eq!(loss(last, "joining_knot", LossMode::Part).verdict, LossVerdict::HeldIfActs);
    assert_eq!(loss(last, "rope_one", LossMode::Part).verdict, LossVerdict::HeldIfActs);
}
