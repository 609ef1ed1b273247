//! A rig that cannot be read says what is wrong, where, and what to do; it never panics.

use proptest::prelude::*;
use std::collections::BTreeMap;

fn good() -> String {
    rig::write(&rig::templates::make("twin-lower-two-knots", &BTreeMap::new()).unwrap())
}

/// Reads the good rig with one piece of text replaced.
fn with(from: &str, to: &str) -> rig::RigError {
    let text = good();
    assert!(text.contains(from), "{from} is not in the rig");
    rig::read(&text.replacen(from, to, 1)).expect_err(to)
}

#[test]
fn each_fault_is_named_with_its_place_and_a_remedy() {
    let cases = [
        ("\"name\": \"lower\"", "\"name\": \"lower\", \"colour\": \"red\"", "colour", "unknown field"),
        ("\"height\": \"20m\"", "\"height\": \"-20m\"", "edge.height", "-20m"),
        ("\"height\": \"20m\"", "\"height\": \"20\"", "edge.height", "unit"),
        ("\"height\": \"20m\"", "\"height\": 20", "edge.height", "invalid type"),
        ("\"height\": \"20m\"", "\"height\": \"NaNm\"", "edge.height", "not a number"),
        ("\"height\": \"20m\"", "\"height\": \"1e999m\"", "edge.height", "unit"),
        ("\"mass\": \"200kg\"", "\"mass\": \"0kg\"", "load.mass", "0kg"),
        ("\"mass\": \"200kg\"", "\"mass\": \"200m\"", "load.mass", "unit"),
        ("\"length\": \"60m\"", "\"length\": \"-60m\"", "ropes[0]", "-60m"),
        ("\"id\": \"anchor_west\"", "\"id\": \"anchor_east\"", "parts[1].id", "twice"),
        ("\"id\": \"anchor_west\"", "\"id\": \"\"", "parts[0].id", "no id"),
        ("\"part\": \"anchor_west\"", "\"part\": \"anchor_north\"", "held_by", "anchor_north"),
        ("\"at_device_1\"\n", "\"at_nowhere\"\n", "at[0]", "at_nowhere"),
        ("        \"rope_one_operator\",\n", "        \"nobody\",\n", "hands", "nobody"),
        ("\"device_1\": \"open\"", "\"device_9\": \"open\"", "states[0]", "device_1"),
        ("\"device_1\": \"open\"", "\"device_1\": \"ajar\"", "states[0].devices", "ajar"),
        ("\"format\": \"ledgebook-rig/0\"", "\"format\": \"ledgebook-rig/7\"", "format", "ledgebook-rig/7"),
        ("\"format\": \"ledgebook-rig/0\"", "\"format\": \"recipe\"", "format", "recipe"),
        ("\"format\": \"ledgebook-rig/0\",", "", "format", "no format"),
        (
            "\"device_1\": \"open\"",
            "\"device_1\": \"tied_off\", \"device_1\": \"open\"",
            "line",
            "stands twice",
        ),
        ("\"rating\": \"22000N\"", "\"rating\": \"-22kN\"", "strength.rating", "-22000N"),
    ];
    named(&cases);
}

/// The same for what a file may say beyond a rig's bones.
#[test]
fn each_fault_in_what_may_be_left_out_is_named_too() {
    let cases = [
        ("\"mass\": \"200kg\"", "\"mass\": \"200kg\", \"pull\": \"95deg\"", "load.pull", "95"),
        (
            "\"mass\": \"200kg\"",
            "\"mass\": \"200kg\", \"bodies\": [{\"id\": \"litter_and_patient\", \"label\": \"litter\", \"mass\": \"110kg\", \"held_by\": \"ground\"}]",
            "load.bodies",
            "110 kg",
        ),
        (
            "\"mass\": \"200kg\"",
            "\"mass\": \"200kg\", \"bodies\": [{\"id\": \"rope_one\", \"label\": \"litter\", \"mass\": \"200kg\", \"held_by\": \"ground\"}]",
            "load.bodies[0].id",
            "twice",
        ),
        (
            "\"length\": \"60m\"",
            "\"length\": \"60m\", \"joints\": [{\"knot\": \"end_knot_1\", \"at\": \"30m\"}]",
            "joints[0].knot",
            "no joining knot",
        ),
        ("\"kind\": \"connector\"", "\"kind\": \"connector\", \"slack\": \"-1m\"", "slack", "-1m"),
        (
            "\"kind\": \"connector\"",
            "\"kind\": \"connector\", \"takes\": [\"12mm\", \"8mm\"]",
            "takes",
            "0.008m",
        ),
        (
            "\"kind\": \"connector\"",
            "\"kind\": \"connector\", \"gear\": {\"name\": \" \"}",
            "gear.name",
            "without a name",
        ),
        ("\"kind\": \"anchor\"", "\"kind\": \"anchor\", \"loading\": \"minor\"", "loading", "anchor"),
        ("\"kind\": \"anchor\"", "\"kind\": \"guy\"", "at", "1 points"),
        (
            "\"motion\": \"lowering\"",
            "\"motion\": \"lowering\", \"without\": [\"nothing\"]",
            "without[0]",
            "nothing",
        ),
    ];
    named(&cases);
}

fn named(cases: &[(&str, &str, &str, &str)]) {
    for (from, to, place, what) in cases {
        let error = with(from, to);
        assert!(error.place.contains(*place), "{to}: {error:?}");
        assert!(error.what.contains(*what), "{to}: {error:?}");
        assert!(!error.remedy.is_empty());
    }
}

/// What may be left out of a file is read where it stands, and written back as it was.
#[test]
fn what_may_be_left_out_is_kept_where_it_stands() {
    let cited = "\"cited\": {\"words\": \"measured\", \"standing\": \"team_gear\"}";
    let band = format!("{{\"low\": \"0.1\", \"nominal\": \"0.2\", \"high\": \"0.3\", {cited}}}");
    let forces = format!("{{\"low\": \"1000N\", \"nominal\": \"2000N\", \"high\": \"3000N\", {cited}}}");
    let body =
        "{\"id\": \"all\", \"label\": \"all\", \"mass\": \"200kg\", \"held_by\": {\"part\": \"harness\"}}";
    let gear = "{\"name\": \"blue\", \"serial\": \"7\", \"in_service_since\": \"2024-03\"}";
    let slope = format!("{{\"angle\": \"35deg\", \"friction\": {band}}}");
    let cases = [
        ("\"mass\": \"200kg\",", "pull", "\"-12deg\"".to_string()),
        ("\"mass\": \"200kg\",", "bodies", format!("[{body}]")),
        ("\"mass\": \"200kg\",", "shares", format!("{{\"rope_one\": {band}}}")),
        ("\"height\": \"20m\",", "slope", slope),
        ("\"length\": \"60m\",", "stopper", "false".into()),
        ("\"length\": \"60m\",", "material", "\"polyester\"".into()),
        ("\"motion\": \"lowering\",", "without", "[\"tether\"]".replace("tether", "connector_1")),
        ("\"kind\": \"connector\",", "loading", "\"three_way\"".into()),
        ("\"kind\": \"connector\",", "gear", gear.into()),
        ("\"kind\": \"connector\",", "takes", "[\"0.01m\", \"0.0115m\"]".into()),
        ("\"kind\": \"connector\",", "sheave", "\"0.05m\"".into()),
        ("\"kind\": \"connector\",", "slack", "\"0.3m\"".into()),
        ("\"kind\": \"connector\",", "stiffness", forces),
        ("\"kind\": \"connector\",", "friction", band.clone()),
        ("\"class\": \"self_closing\",", "purpose", "\"descent\"".into()),
        ("\"class\": \"self_closing\",", "rated_load", "\"250kg\"".into()),
    ];
    for (after, name, value) in cases {
        let text = good().replacen(after, &format!("{after} \"{name}\": {value},"), 1);
        assert_ne!(text, good(), "{name}");
        let rig = rig::read(&text).unwrap_or_else(|e| panic!("{name}: {e}"));
        let written = rig::write(&rig);
        assert_eq!(rig::read(&written).unwrap(), rig, "{name}");
        let (given, kept): (serde_json::Value, serde_json::Value) =
            (serde_json::from_str(&text).unwrap(), serde_json::from_str(&written).unwrap());
        assert_eq!(given, kept, "{name} is written back as it was");
    }
}

#[test]
fn numbers_beyond_all_numbers_and_deep_nests_are_refused() {
    let draw = good().find("\"draw\": [").unwrap();
    let text = good();
    let end = draw + text[draw..].find(']').unwrap();
    let huge = format!("{}\"draw\": [1e999, 0.0{}", &text[..draw], &text[end..]);
    assert!(rig::read(&huge).is_err());
    let far = format!("{}\"draw\": [1e9, 0.0{}", &text[..draw], &text[end..]);
    assert!(rig::read(&far).unwrap_err().place.contains("draw"));
    for depth in [40, 100, 10_000] {
        let nest = format!("\"held_by\": {}\"ground\"{}", "{\"any\":[".repeat(depth), "]}".repeat(depth));
        assert!(rig::read(&text.replacen("\"held_by\": \"ground\"", &nest, 1)).is_err(), "{depth}");
    }
    let digits = format!("\"height\": \"{}m\"", "9".repeat(400));
    assert!(rig::read(&text.replacen("\"height\": \"20m\"", &digits, 1)).is_err());
    for text in [
        "",
        "null",
        "[]",
        "{}",
        "{\"format\":1}",
        "\u{feff}",
        "SQLite format 3\0",
        "{\"format\": \"ledgebook-rig/0\"}",
    ] {
        assert!(rig::read(text).is_err());
    }
    assert!(rig::read(&" ".repeat(5_000_000)).unwrap_err().what.contains("bytes"));
}

#[test]
fn every_field_left_out_is_missed_by_name_or_has_a_default() {
    let value: serde_json::Value = serde_json::from_str(&good()).unwrap();
    for field in value.as_object().unwrap().keys() {
        let mut less = value.clone();
        less.as_object_mut().unwrap().remove(field);
        let read = rig::read(&less.to_string());
        match field.as_str() {
            "template" => assert!(read.is_ok()),
            _ => {
                let error = read.unwrap_err();
                assert!(error.to_string().contains(field.as_str()), "{field}: {error}");
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn a_damaged_rig_never_panics(cut in 0_usize..20_000, byte in 0_u8..128, keep in any::<bool>()) {
        let text = good();
        let at = cut % text.len();
        if text.is_char_boundary(at) && text.is_char_boundary(at + 1) {
            let rest = if keep { &text[at + 1..] } else { "" };
            let damaged = format!("{}{}{rest}", &text[..at], char::from(byte));
            if let Err(error) = rig::read(&damaged) {
                prop_assert!(!error.place.is_empty() && !error.what.is_empty() && !error.remedy.is_empty());
            }
        }
    }
}
