//! A team's own limits decide: change one in the guidelines and the verdict follows.

mod rigs;

use rig::findings::Verdict::{self, FallsShort, Holds, NotChecked};
use rig::guidelines::Guidelines;
use rigs::rated;

/// The verdict of a rule, what was found and its source, by guidelines as they are changed here.
fn rule(
    id: &str,
    template: &str,
    set: &[(&str, &str)],
    change: &dyn Fn(&mut Guidelines),
) -> (Verdict, String) {
    let mut guidelines = Guidelines::defaults();
    change(&mut guidelines);
    assert_eq!(guidelines.fault(), None);
    let checks = engine::check(&rated(template, set), &guidelines, None).main.checks;
    let own: Vec<_> = checks.iter().filter(|c| c.id == id).collect();
    let worst = own.iter().map(|c| c.verdict).min().unwrap_or_else(|| panic!("{id} in {checks:?}"));
    (worst, own.iter().map(|c| format!("{} {} {}", c.rule, c.found, c.source)).collect())
}

#[test]
fn the_widest_angle_of_a_v_is_the_teams() {
    for (angle, widest, verdict) in [
        ("90deg", 90.0, Holds),
        ("91deg", 90.0, FallsShort),
        ("91deg", 91.0, Holds),
        ("60deg", 59.0, FallsShort),
        ("119deg", 120.0, Holds),
    ] {
        let change = |g: &mut Guidelines| {
            g.v_angle_deg.value = widest;
            g.v_angle_deg.source = "team rule 7".into();
        };
        let (found, words) = rule("v_angle", "twin-lower-two-knots", &[("v_angle", angle)], &change);
        assert_eq!(found, verdict, "{angle} against {widest}");
        assert!(
            words.contains(&format!("no wider than {widest}°")) && words.contains("team rule 7"),
            "{words}"
        );
    }
}

#[test]
fn the_limits_on_haulers_are_the_teams() {
    // Three to one: 4 people make 12, 6 make 18, 7 make 21.
    for (people, hold, most, verdict) in [
        ("4", 12.0, 18.0, Holds),
        ("5", 12.0, 18.0, NotChecked),
        ("6", 12.0, 18.0, NotChecked),
        ("7", 12.0, 18.0, FallsShort),
        ("6", 18.0, 18.0, Holds),
        ("5", 12.0, 12.0, FallsShort),
        ("7", 12.0, 21.0, NotChecked),
        ("4", 10.0, 11.0, FallsShort),
    ] {
        let change = |g: &mut Guidelines| {
            g.haul_product.value = hold;
            g.haul_product_most.value = most;
        };
        let (found, words) = rule("hauler_limit", "raise-3-to-1-and-belay", &[("haulers", people)], &change);
        assert_eq!(found, verdict, "{people} people against {hold} and {most}: {words}");
        assert!(words.contains(&most.to_string()), "{words}");
    }
}

#[test]
fn the_rope_to_spare_is_the_teams() {
    // 60 m less 4 m above the edge, 3 m of knots and 48 m of height leave 5 m.
    for (spare, verdict) in [(5.0, Holds), (5.1, FallsShort)] {
        let change = |g: &mut Guidelines| {
            g.rope_spare_m.value = spare;
            g.rope_spare_m.source = "team rule 9".into();
        };
        let set = [("rope_length", "60m"), ("edge_height", "48m"), ("stopper", "no")];
        for id in ["rope_long_enough", "rope_end_stopped"] {
            let (found, words) = rule(id, "twin-lower-two-knots", &set, &change);
            assert_eq!(found, verdict, "{id}, {spare} m to spare: {words}");
            assert!(words.contains("team rule 9"), "{words}");
        }
    }
}
