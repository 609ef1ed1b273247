//! Part of the line: what is asked for, and what stays in sight whatever is asked for.

mod common;

use common::Played;
use operation::sift::{Kind, Sift, sift};

/// A crew that lowers, is stopped by the edge attendant, and goes on.
fn lowered() -> Played {
    let mut p = Played::crew();
    let says = [
        (
            10,
            r#"{"do":"order","from":"control","to":["rope one operator","rope two operator"],"text":"lower"}"#,
        ),
        (12, r#"{"do":"readback","from":"rope one operator","of":"latest","text":"lower"}"#),
        (14, r#"{"do":"readback","from":"rope two operator","of":"latest","text":"raise"}"#),
        (20, r#"{"do":"note","from":"scribe","text":"fog comes in"}"#),
        (30, r#"{"do":"order","from":"edge attendant","to":["all"],"text":"stop, rope rubs"}"#),
        (31, r#"{"do":"note","from":"scribe","text":"it rubs on the lip"}"#),
        (32, r#"{"do":"report","from":"rope one operator","text":"stopped"}"#),
        (34, r#"{"do":"report","from":"rope two operator","text":"stopped"}"#),
        (40, r#"{"do":"note","from":"scribe","text":"padded"}"#),
        (41, r#"{"do":"report","from":"edge attendant","text":"stop there"}"#),
        (42, r#"{"do":"report","from":"rope one operator","text":"stopped"}"#),
        (43, r#"{"do":"report","from":"rope two operator","text":"stopped"}"#),
        (
            50,
            r#"{"do":"order","from":"control","to":["rope one operator","rope two operator"],"text":"lower, padded now"}"#,
        ),
        (60, r#"{"do":"report","from":"rope two operator","text":"roller turns"}"#),
    ];
    for (at, step) in says {
        let latest = p.state.written().iter().rev().find(|k| k.kind == "order").map(|k| k.id.to_string());
        p.say(at, &step.replace("latest", &latest.unwrap_or_default()));
    }
    p
}

fn texts(p: &Played, asked: &Sift) -> Vec<String> {
    let now = p.start.timestamp_millis() + 70_000;
    let rows = sift(&p.state, asked, now).into_iter().filter_map(|seq| operation::line::row(&p.state, seq));
    rows.filter(|row| row.at_ms >= p.start.timestamp_millis() + 10_000).map(|row| row.text).collect()
}

/// What belongs to the stop, and what changed the motion.
const STAYS: [&str; 9] = [
    "lower",
    "stop, rope rubs",
    "it rubs on the lip",
    "stopped",
    "stopped",
    "stop there",
    "stopped",
    "stopped",
    "lower, padded now",
];

#[test]
fn whatever_is_asked_for_nothing_about_a_stop_is_hidden_and_the_motion_is_told_whole() {
    let p = lowered();
    let nobody = Sift { who: Some("Nobody At All".into()), ..Sift::default() };
    assert_eq!(texts(&p, &nobody), STAYS);
    for kind in ["orders", "readbacks", "reports", "notes", "people", "rig"] {
        let asked = Sift { kind: Kind::of(kind), ..Sift::default() };
        let shown = texts(&p, &asked);
        let mut rest = shown.iter();
        assert!(STAYS.iter().all(|text| rest.any(|one| one == text)), "{kind}: {shown:?}");
    }
    assert_eq!(Kind::of("stops"), None);
}

#[test]
fn each_way_of_asking_shows_what_it_is_for() {
    let p = lowered();
    let shown = |asked: Sift| -> Vec<String> {
        let mut stays: Vec<&str> = STAYS.to_vec();
        let all = texts(&p, &asked);
        all.into_iter()
            .filter(|text| match stays.iter().position(|one| one == text) {
                Some(i) => {
                    stays.remove(i);
                    false
                }
                None => true,
            })
            .collect()
    };
    let kind = |word: &str| Sift { kind: Kind::of(word), ..Sift::default() };
    assert_eq!(shown(kind("notes")), ["fog comes in", "padded"]);
    assert_eq!(shown(kind("readbacks")), ["lower", "raise"]);
    assert_eq!(shown(kind("reports")), ["roller turns"]);
    assert_eq!(shown(kind("rig")), Vec::<String>::new());
    let two = p.state.holder("rope two operator").remove(0);
    let who = |person: &str| Sift { who: Some(person.into()), ..Sift::default() };
    assert_eq!(shown(who(&two)), ["raise", "roller turns"]);
    let both = Sift { kind: Kind::of("reports"), ..who(&two) };
    assert_eq!(shown(both), ["roller turns"]);
    assert_eq!(shown(Sift { flagged: true, ..Sift::default() }), ["raise"], "the wrong readback");
    let all = sift(&p.state, &Sift::default(), 0);
    assert_eq!(all, p.state.happened(), "nothing asked: the whole line");
}
