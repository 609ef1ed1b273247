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
    for (from, to, place, what) in cases {
        let error = with(from, to);
        assert!(error.place.contains(place), "{to}: {error:?}");
        assert!(error.what.contains(what), "{to}: {error:?}");
        assert!(!error.remedy.is_empty());
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
