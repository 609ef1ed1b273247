//! Hauling: the advantage, the people it needs, their limit, and what a full team does to a jammed load.

use super::{Seen, finding};
use crate::margin::{self, kilonewtons};
use rig::findings::{Hauling, Jammed, RuleFinding, Verdict};
use rig::quantity::G;

fn hauled<'a>(seen: &'a Seen<'_>) -> Option<&'a Hauling> {
    seen.hauling.and_then(|found| found.as_ref().ok())
}

/// kN in words.
fn kn(force: f64) -> String {
    kilonewtons(force * 1000.0)
}

/// Two digits, never rounded up.
fn down(value: f64) -> f64 {
    libm::floor(value * 100.0 + 1e-9) / 100.0
}

/// A haul that could not be traced is told; it never goes without a word.
pub fn traced(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let Some(Err(why)) = seen.hauling else { return Vec::new() };
    let words = format!("advantage, haul force and jammed load are unknown: {why}");
    vec![finding(
        "haul_traced",
        Verdict::NotChecked,
        "haul traced",
        words,
        "tension through the rope, sheave by sheave",
    )]
}

/// The efficiencies that were used, each once.
fn efficiencies(haul: &Hauling) -> String {
    let mut all: Vec<f64> = haul.pulleys.iter().map(|p| p.efficiency).collect();
    all.sort_by(f64::total_cmp);
    all.dedup();
    match all.as_slice() {
        [] => "no pulley".into(),
        some => {
            let some: Vec<String> = some.iter().map(f64::to_string).collect();
            format!("pulleys that pass {}", some.join(" and "))
        }
    }
}

/// Rope hauled for the height, and resets at the throw there is.
fn travel(seen: &Seen<'_>, haul: &Hauling) -> String {
    let height = seen.model.rig.edge.height.to_metres();
    haul.travel.as_ref().map_or_else(
        || "; throw and resets are unknown".into(),
        |t| {
            format!(
                "; {height} m of height take {:.0} m of haul; {:.1} m of throw until {} meet: at least {} resets",
                t.rope_m, t.throw_m, t.meets, t.resets
            )
        },
    )
}

/// Other systems beside it, for this load over this edge with these pulleys.
fn compared(haul: &Hauling) -> String {
    if haul.beside.is_empty() {
        return "; other systems are not compared: it is not known what their pulleys would pass".into();
    }
    let each = haul.beside.iter().map(|s| {
        let resets = s.resets.map_or_else(String::new, |n| format!(", {n} resets"));
        format!("{} {} and {} people{resets}", s.system, kn(s.haul_kn[0]), s.needed[0])
    });
    format!("; side by side: {}", each.collect::<Vec<_>>().join("; "))
}

/// What the edge does to the haul.
fn over_the_edge(haul: &Hauling) -> String {
    let (with, without) = (haul.haul_kn.nominal, haul.without_edge_kn);
    if (with - without).abs() < 1e-6 {
        return "the haul takes".into();
    }
    format!("without an edge the haul would take {}; over it, × {:.2}, it takes", kn(without), with / without)
}

/// People needed at the guidelines’ pull, against those there are.
pub fn haulers(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let Some(haul) = hauled(seen) else { return Vec::new() };
    let pull = &seen.guidelines.pull_per_person_kn;
    let ([needed, most], there) = (haul.needed, haul.people);
    // Between the two it hangs on the friction of this edge and these pulleys, which is a range.
    let verdict = match there {
        there if there >= most => Verdict::Holds,
        there if there < needed => Verdict::FallsShort,
        _ => Verdict::NotChecked,
    };
    let found = format!(
        "theoretical advantage {} : 1, practical {} : 1 with {}; {} {} (high {}); {needed} people at {} kN each, {most} at the high end, {there} there{}{}",
        down(haul.theoretical),
        down(haul.practical),
        efficiencies(haul),
        over_the_edge(haul),
        kn(haul.haul_kn.nominal),
        kn(haul.haul_kn.high),
        pull.value,
        travel(seen, haul),
        compared(haul),
    );
    let source = format!("pull a person: {}", pull.source);
    vec![finding("haulers", verdict, "haul team strong enough", found, &source)]
}

/// Haulers times advantage, beside the two rules there are of it.
pub fn hauler_limit(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let Some(haul) = hauled(seen) else { return Vec::new() };
    let (sure, most) = (&seen.guidelines.haul_product, &seen.guidelines.haul_product_most);
    let (low, high) = (sure.value, most.value);
    let product = f64::from(haul.people) * libm::round(haul.theoretical * 1e6) / 1e6;
    let (verdict, words) = if product > high {
        (Verdict::FallsShort, format!("over both limits, {high} and {low}"))
    } else if product > low {
        let words = format!("within {high}, over {low}: the sources disagree, the team must choose");
        (Verdict::NotChecked, words)
    } else {
        (Verdict::Holds, format!("within both limits, {high} and {low}"))
    };
    let found = format!("{} people × {} = {}: {words}", haul.people, down(haul.theoretical), down(product));
    let source = format!("{high}: {}; {low}: {}", most.source, sure.source);
    vec![finding("hauler_limit", verdict, "haulers × advantage", found, &source)]
}

/// Of what bears at full haul: the weakest with its margin, and what has no rating. What a wearer cannot double needs none here.
fn weakest<'a>(seen: &Seen<'_>, jammed: &'a [Jammed]) -> (Option<(&'a Jammed, f64)>, Vec<&'a str>) {
    let doubled = |j: &&Jammed| seen.model.rig.part(&j.id).is_some_and(|p| !p.always_critical);
    let least = jammed.iter().filter_map(|j| j.margin.map(|margin| (j, margin))).fold(
        None,
        |best: Option<(&Jammed, f64)>, one| match best {
            Some(best) if best.1 <= one.1 => Some(best),
            _ => Some(one),
        },
    );
    (least, jammed.iter().filter(|j| j.margin.is_none()).filter(doubled).map(|j| j.label.as_str()).collect())
}

/// The whole team pulls and the load does not move.
pub fn jammed(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let Some(haul) = hauled(seen) else { return Vec::new() };
    let source = "tension traced back from the team’s whole pull, with these losses and with none, and never less than while hauling; other ropes as while hauling";
    let rule = "jammed load at full haul";
    if haul.jammed.is_empty() {
        let words = "forces with the whole team on a jammed load were not solved".to_string();
        return vec![finding("jammed_load", Verdict::NotChecked, rule, words, source)];
    }
    let (least, unrated) = weakest(seen, &haul.jammed);
    let weight = seen.model.rig.load.mass.to_kilograms() * G / 1000.0;
    let load_end = haul.full_haul_kn * haul.theoretical;
    let mut found = format!(
        "{} people pull {}: up to {} at the load’s side, {:.2} times the load’s weight",
        haul.people,
        kn(haul.full_haul_kn),
        kn(load_end),
        load_end / weight
    );
    if let Some((part, least)) = least {
        found.push_str(&format!("; weakest then {}, {}", part.label, margin::ratio(least)));
    }
    for anchor in haul.anchors.iter().filter_map(|a| a.jammed_kn.map(|jam| (a, jam))) {
        let (anchor, jam) = anchor;
        found.push_str(&format!(
            "; {} {} hauling, {} jammed (high)",
            anchor.label,
            kn(anchor.hauling_kn.high),
            kn(jam.high)
        ));
    }
    let required = seen.guidelines.required_after_loss.value;
    let verdict = match (least, unrated.is_empty()) {
        (Some((_, margin)), _) if margin < required => Verdict::FallsShort,
        (Some(_), true) => Verdict::Holds,
        _ => Verdict::NotChecked,
    };
    match unrated.as_slice() {
        [] => {}
        [one] => found.push_str(&format!("; {one} has no rating")),
        [one, rest @ ..] => found.push_str(&format!("; {one} and {} more have no rating", rest.len())),
    }
    vec![finding("jammed_load", verdict, rule, found, source)]
}
