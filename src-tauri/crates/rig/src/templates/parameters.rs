//! What can be set in each template: names, units, defaults, ranges and the sources of the defaults.

mod below;
mod people;

pub use people::{ATTENDANT, ONE_OPERATOR, RESCUER, SLOPE, TETHER};

/// What a parameter's text must be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// A mass, or a force that is turned into one by standard gravity.
    Load,
    /// A length.
    Length,
    /// An angle.
    Angle,
    /// A force.
    Force,
    /// A plain number.
    Ratio,
    /// A whole number.
    Count,
    /// One of the choices.
    Choice,
}

impl Unit {
    /// The unit that stands beside the field.
    pub fn symbol(self) -> &'static str {
        match self {
            Unit::Load => "kg",
            Unit::Length => "m",
            Unit::Angle => "deg",
            Unit::Force => "kN",
            Unit::Ratio | Unit::Count | Unit::Choice => "",
        }
    }
}

/// A parameter of a template.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Parameter {
    /// Name ("v_angle").
    pub name: &'static str,
    /// In words, with its convention.
    pub label: &'static str,
    /// What its text must be.
    pub unit: Unit,
    /// Default as text with unit; empty: unset, and what rests on it reads "not checked".
    pub default: &'static str,
    /// Least value, as text with unit.
    pub low: &'static str,
    /// Greatest value.
    pub high: &'static str,
    /// Fixed choices.
    pub choices: &'static [&'static str],
    /// Where the default comes from.
    pub source: &'static str,
}

const ASSUMED: &str = "assumption";
const UNSET: &str = "no published rating: unset, so not checked, until the team sets its own";

const fn number(
    name: &'static str,
    label: &'static str,
    unit: Unit,
    default: &'static str,
    range: [&'static str; 2],
    source: &'static str,
) -> Parameter {
    Parameter { name, label, unit, default, low: range[0], high: range[1], choices: &[], source }
}

const fn rating(name: &'static str, label: &'static str) -> Parameter {
    number(name, label, Unit::Force, "", ["1kN", "200kN"], UNSET)
}

const fn choice(
    name: &'static str,
    label: &'static str,
    choices: &'static [&'static str],
    source: &'static str,
) -> Parameter {
    Parameter { name, label, unit: Unit::Choice, default: choices[0], low: "", high: "", choices, source }
}

/// What an anchor is built on; none has a published strength.
pub const ANCHOR_KINDS: &[&str] =
    &["not said", "bolts", "tree", "boulder", "rock gear", "pickets", "vehicle", "structure"];

/// Common to every template.
pub const COMMON: &[Parameter] = &[
    number(
        "load",
        "load below the edge: people, litter, kit",
        Unit::Load,
        "200kg",
        ["10kg", "1000kg"],
        "rescue load of 200 kg, a convention from memory; others use 280 kg or 600 lbf",
    ),
    number(
        "edge_height",
        "height of the edge over the ground",
        Unit::Length,
        "20m",
        ["1m", "1000m"],
        ASSUMED,
    ),
    below::LEDGE,
    below::WATER,
    number(
        "v_angle",
        "angle between the two legs of a V at its focal knot (included)",
        Unit::Angle,
        "60deg",
        ["5deg", "170deg"],
        "common practice, no source",
    ),
    number(
        "anchor_spacing",
        "distance between the two anchors",
        Unit::Length,
        "2m",
        ["0.2m", "30m"],
        ASSUMED,
    ),
    number("rope_length", "length of each rope", Unit::Length, "60m", ["5m", "1000m"], ASSUMED),
    number("rope_diameter", "diameter of each rope", Unit::Length, "11mm", ["8mm", "16mm"], ASSUMED),
    choice(
        "rope_class",
        "class of each rope",
        &["EN 1891 A", "EN 1891 B", "NFPA general", "NFPA technical"],
        "ratings in the catalogue, each with its source",
    ),
    rating("rope_rating", "rated strength of each rope, in place of its class’s"),
    choice(
        "end_knot",
        "knot at the load end of each rope",
        &["figure eight loop", "figure nine loop", "bowline", "alpine butterfly"],
        "common practice, no source",
    ),
    choice(
        "focal_knot",
        "focal knot, tied in the legs",
        &["figure eight loop", "figure nine loop", "overhand loop", "alpine butterfly"],
        "common practice, no source",
    ),
    choice(
        "leg_material",
        "what the legs of the V are",
        &["sewn sling", "low-stretch rope", "cord, tied"],
        "ratings in the catalogue; cord the team tied has none",
    ),
    rating("leg_rating", "rated strength of each leg, in place of its material’s"),
    choice(
        "leg_hitch",
        "how each leg holds its anchor; a basket is not counted better than one strand",
        &["as rated", "basket", "choked"],
        "to be said on site; a choke leaves 0.75 to 0.80 (sling practice, from memory)",
    ),
    choice(
        "connector_class",
        "class of the connectors",
        &[
            "EN 362 B",
            "EN 362 M",
            "EN 362 T",
            "EN 362 A",
            "EN 362 Q",
            "EN 12275 B",
            "EN 12275 H",
            "EN 12275 K",
            "EN 12275 A",
            "EN 12275 Q",
            "EN 12275 X",
            "NFPA general",
            "NFPA technical",
        ],
        "ratings in the catalogue, each with its source",
    ),
    choice("anchor_west_is", "what anchor west is built on", ANCHOR_KINDS, "to be said on site"),
    choice("anchor_east_is", "what anchor east is built on", ANCHOR_KINDS, "to be said on site"),
    rating("anchor_west", "strength of anchor west, judged or tested by the team"),
    rating("anchor_east", "strength of anchor east, judged or tested by the team"),
    choice("one_boulder", "both anchors on one boulder or tree", &["no", "yes"], "to be said on site"),
    rating("device", "rated strength of each descent control device"),
    number(
        "device_takes_low",
        "thinnest rope the device takes",
        Unit::Length,
        "",
        ["5mm", "20mm"],
        "the maker’s instructions: unset, so not checked",
    ),
    number(
        "device_takes_high",
        "thickest rope the device takes",
        Unit::Length,
        "",
        ["5mm", "20mm"],
        "the maker’s instructions: unset, so not checked",
    ),
    choice(
        "device_purpose",
        "what the devices may be used for",
        &["not said", "descent and belay", "descent only", "belay only"],
        "the maker’s instructions",
    ),
    number(
        "device_rated_load",
        "greatest load the devices are rated for",
        Unit::Load,
        "",
        ["10kg", "2000kg"],
        "the maker’s instructions: unset, so not checked",
    ),
    choice(
        "stopper",
        "the far end of each rope is stopped or tied off",
        &["not said", "yes", "no"],
        "to be said on site",
    ),
    rating("edge_protection", "rated strength of each edge roller"),
    rating("edge_lip", "force at which a rope over the bare lip still holds, judged by the team"),
    number(
        "edge_to_device",
        "distance from the edge back to the device",
        Unit::Length,
        "4m",
        ["0.5m", "100m"],
        ASSUMED,
    ),
    number("rope_for_knots", "rope taken by knots and tails", Unit::Length, "3m", ["0m", "20m"], ASSUMED),
    number(
        "edge_friction",
        "tension ratio over the edge when the rope slides",
        Unit::Ratio,
        "1.48",
        ["1", "10"],
        ASSUMED,
    ),
    number("edge_friction_low", "its low end", Unit::Ratio, "1.1", ["1", "10"], ASSUMED),
    number("edge_friction_high", "its high end", Unit::Ratio, "2.6", ["1", "10"], ASSUMED),
    number(
        "edge_turn",
        "angle a rope turns over the edge (deflection)",
        Unit::Angle,
        "90deg",
        ["0deg", "150deg"],
        ASSUMED,
    ),
];

/// A litter on its bridle with an attendant.
pub const LITTER: &[Parameter] = &[
    rating("bridle_ring", "rated strength of each bridle ring"),
    rating("bridle", "rated strength of the litter bridle"),
    rating("litter", "rated strength of the litter"),
    rating("patient_tie_in", "rated strength of the patient’s tie-in"),
    rating("harness", "rated strength of the attendant’s harness"),
];

/// For two ropes that both carry.
pub const LOWER: &[Parameter] = &[
    number("share", "share of the load on rope one", Unit::Ratio, "0.5", ["0", "1"], ASSUMED),
    number("share_low", "its low end", Unit::Ratio, "0.3", ["0", "1"], ASSUMED),
    number("share_high", "its high end", Unit::Ratio, "0.7", ["0", "1"], ASSUMED),
];

/// Where each rope has a focal knot of its own.
pub const TWO_KNOTS: &[Parameter] = &[number(
    "focal_knot_spacing",
    "distance between the two focal knots",
    Unit::Length,
    "0.3m",
    ["0m", "5m"],
    ASSUMED,
)];

/// For a main rope and a belay that runs along.
pub const MAIN: &[Parameter] = &[
    number(
        "share",
        "share of the load on the main rope",
        Unit::Ratio,
        "1",
        ["0", "1"],
        "the belay runs along without load",
    ),
    number("share_low", "its low end", Unit::Ratio, "0.7", ["0", "1"], ASSUMED),
    number("share_high", "its high end", Unit::Ratio, "1", ["0", "1"], ASSUMED),
];

/// For a belay by two friction hitches on a load-release hitch.
pub const TANDEM: &[Parameter] = &[
    rating("belay_hitch", "force at which each belay hitch slips or breaks"),
    rating("load_release_hitch", "rated strength of the load-release hitch"),
];

/// What friction hitches are tied of.
pub const HITCHES: &[Parameter] = &[
    choice(
        "hitch_cord",
        "what the friction hitches are tied of",
        &["not said", "nylon", "polyester", "aramid", "HMPE, bare"],
        "to be said on site",
    ),
    number(
        "hitch_takes_low",
        "thinnest rope the friction hitches grip",
        Unit::Length,
        "",
        ["5mm", "20mm"],
        "by their cord, or their maker: unset, so not checked",
    ),
    number(
        "hitch_takes_high",
        "thickest rope the friction hitches grip",
        Unit::Length,
        "",
        ["5mm", "20mm"],
        "by their cord, or their maker: unset, so not checked",
    ),
];

/// A joining knot and the hitch it is passed on.
pub const PASS: &[Parameter] = &[
    number(
        "knot_at",
        "joining knot of rope one, from the load’s end",
        Unit::Length,
        "15m",
        ["0.5m", "990m"],
        ASSUMED,
    ),
    rating("joining_knot", "rated strength of the joining knot"),
    rating("pass_hitch", "force at which the hitch for the pass slips or breaks"),
    rating("load_release_hitch", "rated strength of the load-release hitch"),
];

/// Where both ropes hang on one rigging plate.
pub const PLATE: &[Parameter] = &[rating("plate", "rated strength of the rigging plate")];

/// A cord past the plate.
pub const BACKUP: &[Parameter] = &[
    rating("backup_cord", "rated strength of the backup cord with its knots"),
    number("backup_slack", "slack of the backup cord", Unit::Length, "0.1m", ["0m", "2m"], ASSUMED),
];

/// A ring that runs on one cord over three anchors.
pub const ADJUSTING: &[Parameter] = &[
    choice(
        "leg_material",
        "what the cord is",
        &["cord, tied", "low-stretch rope", "sewn sling"],
        "ratings in the catalogue; cord the team tied has none",
    ),
    rating("ring", "rated strength of the ring that runs on the cord"),
    choice(
        "limiting_knots",
        "limiting knots in the cord, so that it holds when it is cut in one leg",
        &["no", "yes"],
        "to be said on site",
    ),
    rating("cord", "rated strength of the cord at the ring, as tied"),
];

/// A third anchor between the two.
pub const MIDDLE: &[Parameter] =
    &[rating("anchor_middle", "strength of the middle anchor, judged or tested by the team")];

/// Anchors of the second V.
pub const SECOND_V: &[Parameter] = &[
    rating("anchor_west_2", "strength of the west anchor of rope two"),
    rating("anchor_east_2", "strength of the east anchor of rope two"),
    number("v_spacing", "distance between the two Vs", Unit::Length, "3m", ["0.2m", "50m"], ASSUMED),
];

/// A pulley that turns rope one on its way from its device to the edge.
pub const REDIRECT: &[Parameter] = &[
    number(
        "pulley_efficiency",
        "share of the tension left past each pulley",
        Unit::Ratio,
        "0.9",
        ["0.3", "1"],
        "loss of 10 % a sheave, planning value of rigging manuals, from memory",
    ),
    number("pulley_efficiency_low", "its low end", Unit::Ratio, "0.8", ["0.3", "1"], ASSUMED),
    number("pulley_efficiency_high", "its high end", Unit::Ratio, "0.95", ["0.3", "1"], ASSUMED),
    rating("pulley", "rated strength of each pulley"),
    number(
        "pulley_takes_low",
        "thinnest rope the pulleys take",
        Unit::Length,
        "",
        ["5mm", "20mm"],
        "the maker’s instructions: unset, so not checked",
    ),
    number(
        "pulley_takes_high",
        "thickest rope the pulleys take",
        Unit::Length,
        "",
        ["5mm", "20mm"],
        "the maker’s instructions: unset, so not checked",
    ),
    number(
        "pulley_sheave",
        "diameter of the pulleys’ sheaves",
        Unit::Length,
        "",
        ["10mm", "200mm"],
        "the maker’s instructions: unset, so not checked",
    ),
];

/// The redirect's own anchor.
pub const REDIRECT_ANCHOR: &[Parameter] = &[
    rating("redirect_anchor", "strength of the redirect’s anchor, judged or tested by the team"),
    rating("redirect_sling", "rated strength of the redirect’s sling"),
    number(
        "redirect_offset",
        "how far the redirect stands aside",
        Unit::Length,
        "1.5m",
        ["0.2m", "20m"],
        ASSUMED,
    ),
];

/// A frame over the edge.
pub const FRAME: &[Parameter] = &[
    rating("frame", "rated strength of the high directional at its head"),
    rating("frame_leg", "rated compression of each leg"),
    rating("guy", "rated strength of the guy with its knots"),
    number("frame_height", "height of its head over the edge", Unit::Length, "2m", ["0.5m", "6m"], ASSUMED),
    number(
        "frame_reach",
        "how far its head stands out past the edge",
        Unit::Length,
        "0.3m",
        ["0m", "3m"],
        ASSUMED,
    ),
    number("frame_stance", "front foot to back foot", Unit::Length, "1.8m", ["0.3m", "6m"], ASSUMED),
    number("guy_length", "back foot to the guy’s anchor", Unit::Length, "4m", ["0.5m", "30m"], ASSUMED),
];

/// For the raise.
pub const HAULING: &[Parameter] = &[
    number(
        "pulley_efficiency",
        "share of the tension left past each pulley",
        Unit::Ratio,
        "0.9",
        ["0.3", "1"],
        "loss of 10 % a sheave, planning value of rigging manuals, from memory",
    ),
    number("pulley_efficiency_low", "its low end", Unit::Ratio, "0.8", ["0.3", "1"], ASSUMED),
    number("pulley_efficiency_high", "its high end", Unit::Ratio, "0.95", ["0.3", "1"], ASSUMED),
    number("haulers", "people on the haul team", Unit::Count, "5", ["1", "30"], ASSUMED),
    number(
        "throw",
        "haul hitch to fixed pulley at the start of a pull",
        Unit::Length,
        "3m",
        ["0.5m", "50m"],
        ASSUMED,
    ),
    rating("pulley", "rated strength of each pulley"),
    number(
        "pulley_takes_low",
        "thinnest rope the pulleys take",
        Unit::Length,
        "",
        ["5mm", "20mm"],
        "the maker’s instructions: unset, so not checked",
    ),
    number(
        "pulley_takes_high",
        "thickest rope the pulleys take",
        Unit::Length,
        "",
        ["5mm", "20mm"],
        "the maker’s instructions: unset, so not checked",
    ),
    number(
        "pulley_sheave",
        "diameter of the pulleys’ sheaves",
        Unit::Length,
        "",
        ["10mm", "200mm"],
        "the maker’s instructions: unset, so not checked",
    ),
    rating("haul_hitch", "force at which the haul hitch slips or breaks"),
    rating("progress_capture", "force at which the progress capture slips or breaks"),
];
