//! What a range says at a corner, and the ratio of tensions at a contact by the way the rope slides.

use super::Corner;
use rig::model::{Band, Sliding};

/// A range at a corner; `bit` says which range it is.
pub(super) fn pick(band: &Band, corner: Corner, bit: usize) -> f64 {
    match corner {
        Corner::Nominal => band.nominal.value(),
        Corner::Ends(bits) if bits >> bit & 1 == 1 => band.high.value(),
        Corner::Ends(_) => band.low.value(),
    }
}

/// Tension past the edge over tension below it. Sliding down the edge helps (÷), sliding up it adds (×);
/// held still it may do either, up to its full ratio.
pub(super) fn over(friction: &Band, motion: Sliding, corner: Corner, bit: usize) -> f64 {
    match (motion, corner) {
        (Sliding::Lowering, _) => 1.0 / pick(friction, corner, bit),
        (Sliding::Raising, _) => pick(friction, corner, bit),
        (Sliding::Held, Corner::Nominal) => 1.0,
        (Sliding::Held, Corner::Ends(bits)) if bits >> bit & 1 == 1 => friction.high.value(),
        (Sliding::Held, Corner::Ends(_)) => 1.0 / friction.high.value(),
    }
}

/// The same for a contact with a coefficient of its own: e^(μ θ).
pub(super) fn rubbed(mu: &Band, turn: f64, motion: Sliding, corner: Corner, bit: usize) -> f64 {
    let ratio = |mu: f64| libm::exp(mu * turn);
    match (motion, corner) {
        (Sliding::Lowering, _) => 1.0 / ratio(pick(mu, corner, bit)),
        (Sliding::Raising, _) => ratio(pick(mu, corner, bit)),
        (Sliding::Held, Corner::Nominal) => 1.0,
        (Sliding::Held, Corner::Ends(bits)) if bits >> bit & 1 == 1 => ratio(mu.high.value()),
        (Sliding::Held, Corner::Ends(_)) => 1.0 / ratio(mu.high.value()),
    }
}

/// Tension past a sheave over tension before it, seen from the load.
pub(super) fn past_sheave(efficiency: &Band, motion: Sliding, corner: Corner) -> f64 {
    match (motion, corner) {
        (Sliding::Lowering, _) => pick(efficiency, corner, 1),
        (Sliding::Raising, _) => 1.0 / pick(efficiency, corner, 1),
        (Sliding::Held, Corner::Nominal) => 1.0,
        (Sliding::Held, Corner::Ends(bits)) if bits >> 1 & 1 == 1 => 1.0 / efficiency.low.value(),
        (Sliding::Held, Corner::Ends(_)) => efficiency.low.value(),
    }
}

/// Whether a range is one: its ends differ.
pub(super) fn varies(band: &Band) -> bool {
    band.low != band.high
}
