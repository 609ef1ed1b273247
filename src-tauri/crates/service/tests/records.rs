//! The records of a folder: hours, gear, search. What is counted stands in the comments, worked out by hand.

use serde_json::{Value, json};
use service::records::records;
use std::path::{Path, PathBuf};

fn made(dir: &Path, name: &str, day: u32, steps: &[Value]) -> PathBuf {
    let script = json!({"format": "ledgebook-script/0", "start": format!("2026-05-{day:02}T09:00:00+02:00"), "station": "top",
        "seed": day, "steps": steps});
    let out = dir.join(format!("made {name}"));
    service::rehearse::rehearse(&script.to_string(), &out).unwrap();
    let file = dir.join(format!("{name}.ledge"));
    std::fs::rename(out.join(service::rehearse::OPERATION), &file).unwrap();
    file
}

/// An hour: Ada is there from 60 s to the close (3540 s) as control from 120 s (3480 s); Ben comes at 60 s, goes at 1860 s (1800 s)
/// and comes again at 2400 s until the close at 3600 s (1200 s): 3000 s. He is on rope 600–1200 s: 600 s.
/// The load goes from 5 m to 20 m out in one lower: 15 m on both ropes and both devices.
fn lower(name: &str, place: &str) -> Vec<Value> {
    vec![
        json!({"at": "PT0S", "do": "open", "name": name, "place": place, "purpose": "drill", "edge_height": "30m"}),
        json!({"at": "PT60S", "do": "check_in", "person": "Ada Müller"}),
        json!({"at": "PT60S", "do": "check_in", "person": "Ben Okafor"}),
        json!({"at": "PT120S", "do": "assign", "role": "control", "person": "Ada Müller"}),
        json!({"at": "PT300S", "do": "rig", "name": "main", "template": "twin-lower-two-knots", "set": {"load": "250kg"}}),
        json!({"at": "PT310S", "do": "check"}),
        json!({"at": "PT600S", "do": "zone", "person": "Ben Okafor", "zone": "on_rope", "tied_in": true}),
        json!({"at": "PT700S", "do": "order", "from": "control", "to": ["both"], "text": "lower"}),
        json!({"at": "PT760S", "do": "report", "from": "Ben Okafor", "text": "5 metres", "metres": 5}),
        json!({"at": "PT900S", "do": "report", "from": "Ben Okafor", "text": "20 metres, loose flake at my feet", "metres": 20}),
        json!({"at": "PT910S", "do": "exercise", "lose": "rope_one", "text": "rope one is cut"}),
        json!({"at": "PT950S", "do": "report", "from": "Ben Okafor", "text": "on the ground"}),
        json!({"at": "PT1200S", "do": "zone", "person": "Ben Okafor", "zone": "clear"}),
        json!({"at": "PT1860S", "do": "check_out", "person": "Ben Okafor"}),
        json!({"at": "PT2400S", "do": "check_in", "person": "Ben Okafor"}),
        json!({"at": "PT3600S", "do": "close"}),
    ]
}

#[test]
fn hours_and_gear_are_summed_over_operations_and_a_copy_counts_once() {
    let dir = tempfile::tempdir().unwrap();
    made(dir.path(), "one", 1, &lower("Tern Ledge", "North face"));
    let mut second = lower("Heron Step", "South face");
    second.push(json!({"at": "PT3700S", "do": "quarantine", "gear": "rope one", "person": "Ada Müller", "reason": "core feels soft"}));
    let two = made(dir.path(), "two", 2, &second);
    std::fs::copy(&two, dir.path().join("two, copied.ledge")).unwrap();
    std::fs::write(dir.path().join("torn.ledge"), b"torn").unwrap();
    let found = records(dir.path(), "").unwrap();
    assert_eq!(
        found.operations.iter().map(|o| o.name.as_str()).collect::<Vec<_>>(),
        ["Heron Step", "Tern Ledge"]
    );
    assert_eq!((found.unread.len(), found.hits.len()), (1, 0));
    let person = |name: &str| found.people.iter().find(|p| p.person == name).unwrap();
    let (ada, ben) = (person("Ada Müller"), person("Ben Okafor"));
    assert_eq!(
        (ada.operations, ada.here_s, &ada.roles),
        (2, 2.0 * 3540.0, &vec![("control".to_string(), 2.0 * 3480.0)])
    );
    assert_eq!((ben.operations, ben.here_s, ben.on_rope_s), (2, 2.0 * 3000.0, 2.0 * 600.0));
    let gear = |name: &str| {
        found.gear.iter().find(|g| g.gear == name).unwrap_or_else(|| panic!("{:#?}", found.gear))
    };
    let (one, two) = (gear("rope one"), gear("rope two"));
    assert_eq!((one.operations, one.metres, one.losses), (2, 30.0, 2));
    assert_eq!((two.operations, two.metres, two.losses, two.quarantined), (2, 30.0, 0, false));
    assert!(one.quarantined && one.inspect.last().unwrap().contains("core feels soft"), "{one:?}");
    // What the stored checks say of each rope, and nothing else, makes it one that carried too much.
    let fell_short = |id: &str| {
        let review = service::review::entries(&dir.path().join("one.ledge")).unwrap().0;
        let check = review.iter().find(|r| r.entry.kind == "rig_checked").unwrap();
        let report: Value = serde_json::from_str(check.entry.payload.as_deref().unwrap()).unwrap();
        let parts = report["report"]["parts"].as_array().unwrap().clone();
        parts.iter().any(|p| p["id"] == id && p["verdict"] == "falls_short")
    };
    for (id, g) in [("rope_one", one), ("rope_two", two)] {
        assert_eq!(g.beyond, if fell_short(id) { 2 } else { 0 }, "{id}");
    }
    assert_eq!(found.gear.iter().filter(|g| g.what == "device").count(), 2);
}

#[test]
fn words_are_found_in_calls_people_places_and_gear() {
    let dir = tempfile::tempdir().unwrap();
    made(dir.path(), "one", 1, &lower("Tern Ledge", "North face"));
    made(dir.path(), "two", 2, &lower("Heron Step", "South face"));
    let count = |words: &str| records(dir.path(), words).unwrap().hits.len();
    // Each word must be there, in any order, without case or accents.
    assert_eq!(count("FLAKE loose"), 2);
    assert_eq!(count("loose anchor"), 0);
    assert_eq!(count("north face"), 1);
    assert_eq!(count("muller control"), 4, "the assignment and her order, in each");
    assert_eq!(count("rope one cut"), 2);
    let hit = &records(dir.path(), "flake").unwrap().hits[0];
    assert_eq!((hit.operation.as_str(), hit.time.as_str()), ("Heron Step", "09:15:00"));
    assert!(count("focal knot") >= 2, "a rig is found by its parts");
}

#[test]
fn a_folder_that_is_not_there_or_is_empty_says_so() {
    let dir = tempfile::tempdir().unwrap();
    let none = records(dir.path(), "x").unwrap();
    assert!(none.operations.is_empty() && none.people.is_empty() && none.gear.is_empty());
    assert_eq!(records(&dir.path().join("no such"), "").unwrap_err().code, "file_missing");
}
