//! What lies under the load, where it is said.

use super::{Parameter, Unit, number};

/// A ledge.
pub const LEDGE: Parameter = number(
    "ledge",
    "height of a ledge under the load, over the ground; empty: none",
    Unit::Length,
    "",
    ["0.1m", "1000m"],
    "to be said on site",
);

/// Water.
pub const WATER: Parameter = number(
    "water",
    "height of a surface of water under the load, over the ground; empty: none",
    Unit::Length,
    "",
    ["0m", "1000m"],
    "to be said on site",
);
