//! A sheave is at least four times as wide as its rope is thick.

use super::fits_pulley::through;
use super::{Seen, finding};
use rig::findings::{RuleFinding, Verdict};
use rig::model::PartKind;

const TIMES: f64 = 4.0;

/// One finding for all pulleys.
pub fn sheave(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let (mut small, mut unsaid, mut wide) = (Vec::new(), Vec::new(), 0);
    for part in super::there(seen, &[PartKind::Pulley]) {
        let thick = through(seen, part).map(|rope| rope.diameter.to_metres()).fold(0.0, f64::max);
        match part.sheave.map(|s| s.to_metres()) {
            None => unsaid.push(part.label.clone()),
            // A sheave of just four times must not fall short by rounding.
            Some(own) if own < TIMES * thick * (1.0 - 1e-9) => {
                small.push(format!(
                    "{}: {:.0} mm for a rope of {:.1} mm",
                    part.label,
                    own * 1000.0,
                    thick * 1000.0
                ));
            }
            Some(_) => wide += 1,
        }
    }
    let (verdict, found) = match (small.is_empty(), unsaid.is_empty(), wide) {
        (false, ..) => (Verdict::FallsShort, format!("{}; less than {TIMES} × its rope", small.join("; "))),
        (_, false, _) => (Verdict::NotChecked, format!("sheave not set: {}", unsaid.join(", "))),
        (_, _, 0) => return Vec::new(),
        (_, _, n) => (Verdict::Holds, format!("{n} pulleys, each at least {TIMES} × its rope")),
    };
    let source = "pulley at least 4 × the rope’s diameter: fire-engineering journal article (published)";
    vec![finding("sheave_size", verdict, "sheave at least 4 × the rope", found, source)]
}
