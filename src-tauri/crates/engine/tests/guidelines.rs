//! A team's own limits decide, not the defaults.

mod rigs;
use rig::findings::Verdict::{self, FallsShort, Holds, NotChecked};
use rig::guidelines::{Guidelines, Limit};
use rigs::make;

/// A rule, a template with its parameters, the limit that is changed, and the verdict at each value of it.
type Case = (
    &'static str,
    &'static str,
    &'static [(&'static str, &'static str)],
    fn(&mut Guidelines, f64),
    &'static [(f64, Verdict)],
);

const CASES: &[Case] = &[
    (
        "v_angle",
        "twin-lower-two-knots",
        &[("v_angle", "80deg")],
        |g, v| g.v_angle_deg = own(v),
        &[(90.0, Holds), (80.0, Holds), (79.9, FallsShort), (60.0, FallsShort)],
    ),
    (
        "hauler_limit",
        "raise-3-to-1-and-belay",
        &[("haulers", "5")],
        |g, v| g.haul_product = own(v),
        &[(12.0, NotChecked), (14.9, NotChecked), (15.0, Holds)],
    ),
    (
        "hauler_limit",
        "raise-3-to-1-and-belay",
        &[("haulers", "5")],
        |g, v| g.haul_product_most = own(v),
        &[(18.0, NotChecked), (14.0, FallsShort)],
    ),
];

fn own(value: f64) -> Limit {
    Limit { value, source: "our own rule".into() }
}

#[test]
fn a_changed_limit_changes_the_verdict_and_stands_beside_it() {
    for (rule, template, set, change, expected) in CASES {
        for (value, verdict) in *expected {
            let mut guidelines = Guidelines::defaults();
            change(&mut guidelines, *value);
            let report = engine::check(&make(template, set), &guidelines, None);
            let found: Vec<_> = report.main.checks.iter().filter(|c| c.id == *rule).collect();
            assert!(!found.is_empty(), "{rule} was left out");
            for finding in found {
                assert_eq!(finding.verdict, *verdict, "{rule} at {value}: {}", finding.found);
            }
        }
        let mut guidelines = Guidelines::defaults();
        change(&mut guidelines, 15.0);
        let report = engine::check(&make(template, set), &guidelines, None);
        assert!(
            report.main.checks.iter().any(|c| c.id == *rule && c.source.contains("our own rule")),
            "{rule}"
        );
    }
}
