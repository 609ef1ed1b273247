//! With nothing lost the load is held, and every force is known.

use super::{Seen, finding};
use crate::support::Hold;
use rig::findings::{RuleFinding, Verdict};

/// The load is held by the rules of support; parts that only hold each other are named.
pub fn load_held(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let hold = seen.intact.outcome.load;
    let (verdict, found) = match hold {
        Hold::Held => (Verdict::Holds, "held from the ground up".to_string()),
        Hold::IfGrips | Hold::IfActs => {
            (Verdict::Holds, "held while the hands at work keep hold; see hands-off".to_string())
        }
        Hold::Unknown => (Verdict::NotChecked, "a device may not grip".to_string()),
        Hold::Not => {
            let unheld = seen.model.unheld();
            let names: Vec<&str> = unheld.iter().map(|p| seen.model.rig.parts[*p].label.as_str()).collect();
            let list = if names.is_empty() { "the load itself".into() } else { names.join("; ") };
            (Verdict::FallsShort, format!("nothing that reaches the ground holds: {list}"))
        }
    };
    vec![finding("load_held", verdict, "load held with nothing lost", found, "support rules of the rig")]
}

/// The forces were solved.
pub fn solved(seen: &Seen<'_>) -> Vec<RuleFinding> {
    let (verdict, found) = match &seen.intact.forces {
        Ok(forces) => (Verdict::Holds, format!("all points in balance within {:.1e} N", forces.residual)),
        Err(why) => (Verdict::NotChecked, why.clone()),
    };
    let source = "balance of forces at every point, plane statics";
    vec![finding("forces_solved", verdict, "forces solved in this state", found, source)]
}
