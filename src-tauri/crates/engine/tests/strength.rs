//! What a part bears: by how it is loaded, tied, bent and what it is made of; and which piece of the team's own it is.

mod rigs;

use rig::findings::{PartFinding, Verdict};
use rig::model::{Gear, Loading, Material};
use rig::quantity::Length;
use rigs::{guidelines, make, part, rated};

const TWIN: &str = "twin-lower-two-knots";
const RAISE: &str = "raise-3-to-1-and-belay";

fn finding(rig: &rig::Rig, id: &str) -> PartFinding {
    part(&engine::check(rig, &guidelines(), None).main, id).clone()
}

fn own<'a>(rig: &'a mut rig::Rig, id: &str) -> &'a mut rig::model::Part {
    rig.parts.iter_mut().find(|p| p.id == id).unwrap()
}

/// Class, how it is loaded, strength in kN; `None`: unrated, so not checked.
const CONNECTORS: &[(&str, Option<Loading>, Option<f64>)] = &[
    ("EN 362 B", None, Some(20.0)),
    ("EN 362 B", Some(Loading::Major), Some(20.0)),
    ("EN 362 B", Some(Loading::Minor), Some(7.0)),
    ("EN 362 B", Some(Loading::OpenGate), None),
    ("EN 362 B", Some(Loading::ThreeWay), None),
    ("EN 362 T", Some(Loading::Minor), None),
    ("EN 362 M", Some(Loading::Minor), Some(15.0)),
    ("EN 12275 K", Some(Loading::OpenGate), Some(8.0)),
    ("EN 12275 A", Some(Loading::Minor), None),
    ("NFPA general", Some(Loading::Minor), Some(10.67)),
    ("NFPA general", Some(Loading::OpenGate), None),
    ("NFPA technical", Some(Loading::OpenGate), Some(7.33)),
];

#[test]
fn a_connector_bears_what_it_is_rated_for_as_it_is_loaded() {
    for (class, loading, expected) in CONNECTORS {
        let mut rig = make(TWIN, &[("connector_class", class)]);
        own(&mut rig, "connector_1").loading = *loading;
        rig::validate(&rig).unwrap();
        let found = finding(&rig, "connector_1");
        assert_eq!(found.strength_kn, *expected, "{class} {loading:?}");
        match expected {
            Some(_) => assert!(found.margin.is_some()),
            None => {
                assert_eq!((found.verdict, found.margin), (Verdict::NotChecked, None), "{class} {loading:?}");
                assert!(
                    found.words.starts_with("no rating ") && found.source == "no published rating",
                    "{found:?}"
                );
            }
        }
    }
}

#[test]
fn a_team_rates_a_connector_as_it_is_loaded() {
    use rig::edit::{Edit, PartEdit, apply};
    let rig = make(TWIN, &[]);
    let set =
        PartEdit { loading: Some(Loading::ThreeWay), rating: Some("5kN".into()), ..PartEdit::default() };
    let edits = [Edit::Part { id: "connector_1".into(), set }];
    let found = finding(&apply(&rig, &edits).unwrap(), "connector_1");
    assert_eq!(found.strength_kn, Some(5.0));
    assert!(found.words.contains("from three ways") && found.source.contains("set by the team"), "{found:?}");
    // Said to be loaded along its axis again, it has its class's rating and not the team's.
    let back = PartEdit { loading: Some(Loading::Major), ..PartEdit::default() };
    let edits = [edits[0].clone(), Edit::Part { id: "connector_1".into(), set: back }];
    assert_eq!(finding(&apply(&rig, &edits).unwrap(), "connector_1").strength_kn, Some(20.0));
}

#[test]
fn a_choked_sling_bears_less_and_a_basket_no_more() {
    let leg = |hitch| finding(&make(TWIN, &[("leg_hitch", hitch)]), "leg_1a").strength_kn.unwrap();
    assert_eq!((leg("as rated"), leg("basket")), (22.0, 22.0));
    assert!((leg("choked") - 22.0 * 0.75).abs() < 1e-9);
    let words = finding(&make(TWIN, &[("leg_hitch", "choked")]), "leg_1a").words;
    assert!(words.contains("choke, low end, 0.75 (from memory)"), "{words}");
}

/// A rope of 11 mm over a sheave: four times as wide leaves 0.75, twice 0.65, its own thickness half.
#[test]
fn a_rope_bent_over_a_small_sheave_bears_less() {
    for (sheave, left) in [("44mm", 0.75), ("43mm", 0.65), ("22mm", 0.65), ("20mm", 0.5), ("88mm", 0.83)] {
        let found = finding(&make(RAISE, &[("pulley_sheave", sheave)]), "rope_one");
        assert!((found.strength_kn.unwrap() - 22.0 * left).abs() < 1e-9, "{sheave}: {found:?}");
        assert!(
            found.how.iter().any(|line| line.contains("bend over") && line.contains("assumed")),
            "{found:?}"
        );
    }
    // Tighter than that nothing is known; not said, the sheave's own rule says so.
    let mut tight = make(RAISE, &[("pulley_sheave", "44mm")]);
    for part in tight.parts.iter_mut().filter(|p| p.sheave.is_some()) {
        part.sheave = Length::metres(0.01);
    }
    assert_eq!(finding(&tight, "rope_one").verdict, Verdict::NotChecked);
    assert_eq!(finding(&make(RAISE, &[]), "rope_one").strength_kn, Some(22.0));
}

#[test]
fn the_range_of_a_knot_does_not_speak_of_slippery_or_brittle_fibres() {
    for (material, known) in [
        (Material::Polyester, true),
        (Material::Nylon, true),
        (Material::Hmpe, false),
        (Material::Aramid, false),
    ] {
        let mut rig = make(TWIN, &[("leg_material", "low-stretch rope")]);
        for part in &mut rig.parts {
            if part.kind.is_leg() {
                part.material = Some(material);
            }
        }
        rig.ropes.iter_mut().for_each(|rope| rope.material = Some(material));
        for id in ["leg_1a", "focal_knot_1", "end_knot_1"] {
            let found = finding(&rig, id);
            assert_eq!(found.strength_kn.is_some(), known, "{material:?}: {found:?}");
            assert!(
                known || (found.verdict == Verdict::NotChecked && found.words.contains("range of a")),
                "{found:?}"
            );
        }
        // The rope itself has no knot in it.
        assert!(finding(&rig, "rope_one").strength_kn.is_some());
    }
}

#[test]
fn the_teams_own_gear_is_named_where_its_strength_stands() {
    let mut rig = rated(TWIN, &[("rope_rating", "31kN")]);
    own(&mut rig, "rope_one").gear = Some(Gear {
        name: "blue rope 2".into(),
        serial: Some("B-2-0417".into()),
        in_service_since: Some("2024-03".into()),
    });
    let found = finding(&rig, "rope_one");
    let words = "gear: blue rope 2, serial B-2-0417, in service since 2024-03";
    assert!(found.source.ends_with(words) && found.source.contains("set by the team"), "{found:?}");
    assert!(found.how.iter().any(|line| line == words));
    assert_eq!(found.strength_kn, Some(31.0));
}

/// What a catalogue says goes into the rig when it is made: a rig of an older catalogue keeps what it was made with.
#[test]
fn an_old_rig_keeps_the_ratings_it_was_made_with() {
    let mut old = make(TWIN, &[]);
    old.catalogue = "1".into();
    own(&mut old, "connector_1").strength.as_mut().unwrap().rating =
        rig::quantity::Force::newtons(18_000.0).unwrap();
    assert_eq!(finding(&rig::read(&rig::write(&old)).unwrap(), "connector_1").strength_kn, Some(18.0));
    assert_eq!(make(TWIN, &[]).catalogue, rig::catalogue::VERSION);
}

/// The margin that is asked is the team's own by kind, and its source stands beside it.
#[test]
fn the_margin_that_is_asked_is_the_teams_choice() {
    let rig = rated(TWIN, &[("load", "200kg")]);
    for (kind, value, source) in [("sling", 5.0, "DOE-STD-1090-96, 11.3"), ("rope", 15.0, "NFPA 1983")] {
        let mut guidelines = guidelines();
        let limit = rig::guidelines::Limit { value, source: source.into() };
        guidelines.required_by_kind.insert(kind.into(), limit);
        let main = engine::check(&rig, &guidelines, None).main;
        for found in main.parts.iter().filter(|p| p.margin.is_some()) {
            let asked = if found.kind == kind { value } else { 10.0 };
            assert_eq!(found.required, Some(asked), "{}", found.id);
            assert_eq!(found.verdict == Verdict::Holds, found.margin.unwrap() >= asked, "{}", found.id);
            assert_eq!(
                found.kind == kind,
                found.how.iter().any(|line| line.contains(source)),
                "{}",
                found.id
            );
        }
    }
}

/// A leg that all but hangs loose: what bears next to nothing shows no margin, but what is too weak even for that falls short.
#[test]
fn a_part_that_bears_next_to_nothing_is_still_no_better_than_its_strength() {
    let rated_at = |force: f64| {
        let mut rig = rated("twin-lower-redirect", &[]);
        let cited = rig::quantity::Force::newtons(force).unwrap();
        let strength = own(&mut rig, "leg_1a").strength.clone().unwrap();
        own(&mut rig, "leg_1a").strength = Some(rig::model::Strength::plain(cited, strength.cited));
        finding(&rig, "leg_1a")
    };
    let slack = rated_at(22_000.0);
    assert!(slack.force_kn.unwrap().high < 0.005, "{slack:?}");
    assert_eq!((slack.verdict, slack.margin), (Verdict::Holds, None));
    assert!(slack.words.contains("carries nothing in this state"), "{}", slack.words);
    let weak = rated_at(1.0);
    assert_eq!(weak.verdict, Verdict::FallsShort, "{weak:?}");
    assert!(weak.margin.unwrap() < 10.0);
}
