//! How far the load drops after a loss, and how hard it is stopped.

use super::{Seen, finding};
use rig::findings::{FallFinding, FallOutcome, RuleFinding, Verdict};

const SOURCE: &str = "bands of many runs (Kelvin–Voigt ropes, slipping devices, hands that react) from ranges that are mostly assumptions: \
                      consistency with common practice, no validation";

/// The falls of losses that leave something to catch the load.
fn caught<'a>(seen: &Seen<'a>) -> Option<Vec<&'a FallFinding>> {
    Some(seen.falls?.iter().filter(|fall| fall.outcome != FallOutcome::Dropped).collect())
}

/// A fall of which it is not known whether it ends as reckoned: the one that is not reckoned at all, or the first on a bare edge.
fn open<'a>(falls: &[&'a FallFinding]) -> Option<&'a FallFinding> {
    let not_computed = falls.iter().find(|fall| fall.outcome == FallOutcome::NotComputed);
    not_computed.or_else(|| falls.iter().find(|fall| fall.bare_edge)).copied()
}

/// How far the load drops after a loss, and whether what lies below is nearer.
pub fn drop(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let rule = "after any one loss that something catches, the load stops before it reaches what lies below";
    let Some(falls) = caught(seen) else { return vec![not_asked("drop_after_loss", rule)] };
    // One run that is not stopped before it is one too many to say that it holds; the words say how many.
    let far = |fall: &&&FallFinding| fall.reaches.is_some_and(|reaches| reaches > 0.0);
    let reaches = falls.iter().filter(far).max_by(|a, b| metres(a).total_cmp(&metres(b)));
    let open = open(&falls);
    let worst = falls.iter().filter(|f| f.fall_m.is_some()).max_by(|a, b| metres(a).total_cmp(&metres(b)));
    let (verdict, found) = match (reaches, open, worst) {
        (Some(fall), _, _) => (Verdict::FallsShort, format!("{}: {}", first(fall), fall.words)),
        (None, Some(open), worst) => {
            let other = worst.filter(|worst| !std::ptr::eq(**worst, open));
            let known = other.map(|w| format!("; of the others the worst, {}: {}", first(w), w.words));
            (Verdict::NotChecked, format!("{}: {}{}", first(open), open.words, known.unwrap_or_default()))
        }
        (None, None, Some(worst)) => {
            (Verdict::Holds, format!("worst, {}: {}{}", first(worst), worst.words, lower_down(worst)))
        }
        (None, None, None) => (Verdict::Holds, "no loss that something catches lets the load drop".into()),
    };
    vec![finding("drop_after_loss", verdict, rule, found, SOURCE)]
}

/// How hard it stops: against the guidelines and against what every survivor bears.
pub fn peak(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let limit = &seen.guidelines.falls.peak_kn;
    let rule = format!(
        "peak force when the load is caught: at most {} kN on it, and no survivor past its strength",
        limit.value
    );
    let source = format!("{}; {SOURCE}", limit.source);
    let Some(falls) = caught(seen) else { return vec![not_asked("peak_force", &rule)] };
    let peak = |fall: &FallFinding| fall.peak_force_kn.and_then(|p| p.p90);
    let required = seen.guidelines.required_after_loss.value;
    let breaks = falls.iter().find_map(|fall| {
        let weak = fall.survivors.iter().find(|s| s.margin.is_some_and(|m| m < required))?;
        Some((fall, weak))
    });
    let worst = falls.iter().max_by(|a, b| peak(a).unwrap_or(0.0).total_cmp(&peak(b).unwrap_or(0.0)));
    let open = open(&falls);
    let told = |fall: &FallFinding| match peak(fall) {
        Some(kn) => format!("{}: nine of ten runs stay below {kn:.2} kN", first(fall)),
        None => "no loss that something catches lets the load drop".into(),
    };
    let (verdict, found) = match (breaks, worst, open) {
        (Some((fall, weak)), _, _) => (
            Verdict::FallsShort,
            format!(
                "{}: {} bears {:.2} kN and is pulled with {:.2} kN in one of ten runs or more",
                first(fall),
                weak.label,
                weak.strength_kn.unwrap_or(0.0),
                weak.peak_kn.p90.unwrap_or(0.0)
            ),
        ),
        (None, Some(worst), _) if peak(worst).is_some_and(|kn| kn > limit.value) => {
            (Verdict::FallsShort, told(worst))
        }
        (None, worst, Some(open)) => {
            let known = worst
                .filter(|w| peak(w).is_some())
                .map(|w| format!("; of the others the worst, {}", told(w)));
            (Verdict::NotChecked, format!("{}: {}{}", first(open), open.words, known.unwrap_or_default()))
        }
        (None, Some(worst), None) => match falls.iter().find_map(|fall| unknown(fall)) {
            Some(why) => (Verdict::NotChecked, format!("{}; {why}", told(worst))),
            None => (Verdict::Holds, told(worst)),
        },
        (None, None, None) => (Verdict::Holds, "no loss that something catches lets the load drop".into()),
    };
    vec![finding("peak_force", verdict, &rule, found, &source)]
}

/// What of a fall's peaks is not known: a strength, or what pulls on what swings.
fn unknown(fall: &FallFinding) -> Option<String> {
    let unrated = fall.survivors.iter().find(|s| s.strength_kn.is_none());
    let unrated = unrated.map(|s| format!("{} has no rating", s.label));
    unrated.or_else(|| fall.swing_not_reckoned().map(|why| format!("{}: {why}", first(fall))))
}

/// How far nine of ten runs fall; what has no bound is farthest.
fn metres(fall: &FallFinding) -> f64 {
    fall.fall_m.map_or(0.0, |f| f.p90.unwrap_or(f64::INFINITY))
}

/// The first of the losses that leave this fall, and how many more there are.
fn first(fall: &FallFinding) -> String {
    match fall.of.as_slice() {
        [] => "a loss".into(),
        [one] => format!("{one} lost"),
        [one, rest @ ..] => format!("{one} lost (and {} more)", rest.len()),
    }
}

/// Where on the way down it would reach what lies below.
fn lower_down(fall: &FallFinding) -> String {
    match fall.reaches_between_m.as_slice() {
        [] => String::new(),
        [[0.0, to]] if fall.below == "ground" => {
            format!("; the ground is nearer than that from {to:.1} m above it down")
        }
        _ => fall
            .reaches_words(&|m| format!("{m:.1} m"))
            .map_or_else(String::new, |words| format!("; {words}")),
    }
}

fn not_asked(id: &str, rule: &str) -> RuleFinding {
    finding(id, Verdict::NotChecked, rule, "not computed here", SOURCE)
}
