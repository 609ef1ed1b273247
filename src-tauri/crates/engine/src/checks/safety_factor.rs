//! Static system safety factor: the margin of the weakest part that carries.

use super::{Seen, finding};
use crate::margin;
use rig::catalogue;
use rig::findings::{RuleFinding, Verdict};

const RULE: &str = "static system safety factor";

/// The weakest part by name; not checked while anything that carries is unrated, or the forces are not solved.
pub fn safety_factor(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let required = &seen.guidelines.required_margin;
    let others = catalogue::MARGINS.iter().filter(|m| (m.value - required.value).abs() > 1e-9);
    let others: Vec<String> = others.map(|m| format!("{} : 1", m.value)).collect();
    let source = format!(
        "weakest strength over the highest static force there; required: {}; others go by {}, each for its own purpose (`ledgebook rig catalogue`)",
        required.source,
        others.join(", ")
    );
    let (verdict, found) = factor(seen);
    vec![finding("safety_factor", verdict, RULE, found, &source)]
}

fn factor(seen: &Seen<'_>) -> (Verdict, String) {
    let forces = match &seen.intact.forces {
        Ok(forces) => forces,
        Err(why) => return (Verdict::NotChecked, format!("forces not solved: {why}")),
    };
    let mut weakest: Option<(f64, usize)> = None;
    let mut short: Option<(f64, usize)> = None;
    let mut unrated = Vec::new();
    for (part, force) in forces.parts.iter().enumerate().filter(|(_, force)| force[2] > 1e-6) {
        let own = &seen.model.rig.parts[part];
        let Some(strength) = margin::strength(seen.model.rig, own) else {
            unrated.push(own.label.as_str());
            continue;
        };
        let here = strength / force[2];
        if weakest.is_none_or(|(least, _)| here < least) {
            weakest = Some((here, part));
        }
        if here < margin::required(seen.guidelines, own.kind).value
            && short.is_none_or(|(least, _)| here < least)
        {
            short = Some((here, part));
        }
    }
    let named = |(least, part): (f64, usize)| {
        let own = &seen.model.rig.parts[part];
        let limit = margin::required(seen.guidelines, own.kind);
        (format!("{} at {}", margin::ratio(least), own.label), limit.value)
    };
    let Some(least) = weakest else {
        return (Verdict::NotChecked, format!("{} parts that carry have no rating", unrated.len()));
    };
    let words = named(least).0;
    match (short, unrated.len()) {
        (Some(short), _) => {
            let (own, required) = named(short);
            let weakest = if own == words { String::new() } else { format!("at most {words}; ") };
            let at_most = if own == words { "at most " } else { "" };
            (Verdict::FallsShort, format!("{weakest}{at_most}{own}; {required} : 1 is required of it"))
        }
        (None, 0) => (Verdict::Holds, format!("{words}, the weakest of all that carry")),
        (None, n) => {
            let names = unrated.iter().take(4).copied().collect::<Vec<_>>().join(", ");
            let more = if n > 4 { ", …" } else { "" };
            (Verdict::NotChecked, format!("at most {words}; {n} that carry have no rating: {names}{more}"))
        }
    }
}
