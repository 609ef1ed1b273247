use super::*;
use crate::model::{Line, PartKind};

fn set(pairs: &[(&str, &str)]) -> BTreeMap<String, String> {
    pairs.iter().map(|(k, v)| ((*k).to_string(), (*v).to_string())).collect()
}

#[test]
fn every_template_makes_a_rig_that_reads_back_as_it_was_written() {
    for template in list() {
        let rig = make(template.name, &set(&[])).unwrap();
        let text = crate::write(&rig);
        assert_eq!(crate::read(&text).unwrap(), rig, "{}", template.name);
        assert_eq!(rig.title, template.title);
    }
}

#[test]
fn what_was_stored_makes_the_same_rig_again() {
    for template in list() {
        let rig = make(template.name, &set(&[("load", "600lbf"), ("anchor_west", "25kN")])).unwrap();
        let again = make(template.name, &rig.template.clone().unwrap().set).unwrap();
        assert_eq!(again, rig, "{}", template.name);
    }
}

#[test]
fn every_default_fits_its_own_range_and_the_three_asked_for_are_there() {
    for template in list() {
        for name in ["load", "v_angle", "edge_height"] {
            assert!(template.parameters.iter().any(|p| p.name == name), "{name}");
        }
        for parameter in template.parameters {
            let given = set(&[(parameter.name, parameter.default)]);
            assert!(make(template.name, &given).is_ok(), "{}", parameter.name);
            for choice in parameter.choices {
                assert!(make(template.name, &set(&[(parameter.name, choice)])).is_ok(), "{choice}");
            }
            assert!(!parameter.source.is_empty() && !parameter.label.is_empty());
        }
    }
}

#[test]
fn a_bad_value_is_refused_with_the_parameter_named() {
    let cases = [
        ("load", "heavy", "load"),
        ("load", "250", "load"),
        ("load", "-250kg", "load"),
        ("load", "1e9kg", "load"),
        ("v_angle", "180deg", "v_angle"),
        ("v_angle", "60", "v_angle"),
        ("edge_height", "22kg", "edge_height"),
        ("edge_height", "NaNm", "edge_height"),
        ("rope_length", "-60m", "rope_length"),
        ("leg_material", "steel", "leg_material"),
        ("colour", "red", "colour"),
        ("focal_knot_spacing", "3m", "focal_knot_spacing"),
        ("anchor_west", "0kN", "anchor_west"),
    ];
    for (name, text, place) in cases {
        let error = make("twin-lower-two-knots", &set(&[(name, text)])).unwrap_err();
        assert_eq!(error.place, place, "{error}");
        assert!(!error.what.is_empty() && !error.remedy.is_empty());
    }
    assert_eq!(make("spider", &set(&[])).unwrap_err().place, "template");
}

#[test]
fn the_legs_of_each_knot_enclose_the_angle_that_was_set() {
    for degrees in [5.0, 60.0, 90.0, 120.0, 170.0] {
        let rig = make("twin-lower-two-knots", &set(&[("v_angle", &format!("{degrees}deg"))])).unwrap();
        for line in [Line::One, Line::Two] {
            let legs: Vec<_> =
                rig.parts.iter().filter(|p| p.kind == PartKind::Sling && p.line == line).collect();
            let way = |i: usize| {
                let (a, b) = (rig.point(&legs[i].at[0]).unwrap(), rig.point(&legs[i].at[1]).unwrap());
                (b.x.to_metres() - a.x.to_metres(), b.y.to_metres() - a.y.to_metres())
            };
            let (a, b) = (way(0), way(1));
            let cos = (a.0 * b.0 + a.1 * b.1) / (a.0.hypot(a.1) * b.0.hypot(b.1));
            assert!((cos.acos().to_degrees() - degrees).abs() < 1e-9, "{degrees}");
        }
    }
}

#[test]
fn a_force_as_load_is_turned_into_a_mass() {
    let rig = make("twin-lower-one-knot", &set(&[("load", "1961.33N")])).unwrap();
    assert!((rig.load.mass.to_kilograms() - 200.0).abs() < 1e-9);
}

#[test]
fn without_a_published_rating_a_part_has_no_strength_until_the_team_sets_one() {
    let rig =
        make("twin-lower-two-knots", &set(&[("leg_material", "cord, tied"), ("device", "16kN")])).unwrap();
    for id in ["anchor_west", "leg_1a", "focal_knot_1", "bridle_ring_1", "litter", "roller_1"] {
        assert_eq!(rig.part(id).unwrap().strength, None, "{id}");
    }
    let device = rig.part("device_1").unwrap().strength.clone().unwrap();
    assert_eq!(device.rating.to_newtons(), 16_000.0);
    assert_eq!(device.cited.standing, crate::model::Standing::TeamGear);
}

#[test]
fn an_end_of_a_range_on_the_wrong_side_is_refused() {
    let made = |set: &[(&str, &str)]| {
        let set = set.iter().map(|(k, v)| ((*k).to_string(), (*v).to_string())).collect();
        make("twin-lower-two-knots", &set)
    };
    // A nominal value past a default end takes the end along.
    for set in [&[("share", "0.8")][..], &[("share_low", "0.6"), ("share", "0.6"), ("share_high", "0.6")]] {
        assert!(made(set).is_ok(), "{set:?}");
    }
    for (set, place) in [
        (&[("share_low", "0.9")][..], "share_low"),
        (&[("share_high", "0.3")], "share_high"),
        (&[("edge_friction_low", "3"), ("edge_friction_high", "1.2")], "edge_friction_low"),
        (&[("share", "0.4"), ("share_low", "0.45"), ("share_high", "0.7")], "share_low"),
    ] {
        assert_eq!(made(set).expect_err(place).place, place, "{set:?}");
    }
}
