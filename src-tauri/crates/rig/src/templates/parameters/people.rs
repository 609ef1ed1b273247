//! What can be set where it is people that differ: operators, a rescuer, attendants, a slope.

use super::{ASSUMED, Parameter, Unit, choice, number, rating};

/// One person at both devices.
pub const ONE_OPERATOR: &[Parameter] = &[
    choice(
        "device_class",
        "what the devices do when their operator lets go",
        &["self-closing", "passive"],
        "the maker’s instructions",
    ),
    choice("tailer", "a tailer behind, on both ropes", &["no", "yes"], "to be said on site"),
];

/// A rescuer on the ropes, without a litter.
pub const RESCUER: &[Parameter] = &[
    rating("harness_point", "rated strength of the harness point that both ropes end at"),
    rating("harness", "rated strength of the harness"),
];

/// A tether from a second point of the harness to one rope.
pub const TETHER: &[Parameter] = &[
    rating("second_point", "rated strength of the second harness point; a gear loop has none"),
    rating("tether", "rated strength of the tether"),
    rating("tether_hitch", "force at which the tether’s hitch on the rope slips or breaks"),
    number("tether_slack", "slack of the tether", Unit::Length, "0.2m", ["0m", "2m"], ASSUMED),
];

/// An attendant on a tether of the own.
pub const ATTENDANT: &[Parameter] = &[
    number(
        "attendant",
        "mass of the attendant with kit, part of the load",
        Unit::Load,
        "",
        ["10kg", "500kg"],
        "unset: 45 % of the load, an assumption",
    ),
    TETHERS,
    rating("attendant_tether", "rated strength of each tether of the attendant"),
];

/// How each attendant hangs on the rings.
const TETHERS: Parameter = choice(
    "attendant_tethers",
    "tethers of each attendant: two, one to each ring; or one, clipped to both",
    &["two", "one"],
    "to be said on site",
);

/// A slope under the load.
pub const SLOPE: &[Parameter] = &[
    number(
        "load",
        "load on the slope: patient, litter, attendants, kit",
        Unit::Load,
        "400kg",
        ["10kg", "1000kg"],
        "a litter with three attendants: assumption",
    ),
    number("attendants", "attendants at the litter", Unit::Count, "3", ["1", "6"], ASSUMED),
    number(
        "attendant",
        "mass of each attendant with kit, part of the load",
        Unit::Load,
        "",
        ["10kg", "200kg"],
        "unset: 70 % of the load among them, an assumption",
    ),
    TETHERS,
    rating("attendant_tether", "rated strength of each tether of the attendants"),
    number(
        "slope",
        "slope of the ground, from the horizontal",
        Unit::Angle,
        "35deg",
        ["5deg", "60deg"],
        ASSUMED,
    ),
    number(
        "slope_friction",
        "coefficient of friction between litter and ground",
        Unit::Ratio,
        "0.1",
        ["0", "1"],
        "attendants carry the litter off the ground: assumption",
    ),
    number("slope_friction_low", "its low end", Unit::Ratio, "0", ["0", "1"], ASSUMED),
    number("slope_friction_high", "its high end", Unit::Ratio, "0.3", ["0", "1"], ASSUMED),
];
