//! A check worked out apart from whoever records: it is recorded as it would have been, and never of anything else.

use serde_json::{Value, json};
use service::findings::FallFinding;
use service::rig_look::RigLook;
use service::{Session, Stamp, Step};

fn stamp(n: u64) -> Stamp {
    let mut salt = [7u8; 32];
    salt[..8].copy_from_slice(&n.to_le_bytes());
    Stamp {
        id: service::session::id_v7(1_778_756_520_000 + n, &salt),
        session: "019e0000-0000-7000-8000-00000000000a".into(),
        boot_ms: i64::try_from(n).unwrap(),
        recorded_at: format!("2026-05-14T13:02:00.{n:03}+02:00"),
        salt,
    }
}

fn say(session: &mut Session, n: u64, step: &Value) {
    session.act(&Step::read(step, "a test").unwrap(), &stamp(n)).unwrap_or_else(|e| panic!("{step}: {e}"));
}

/// An operation with a rig, in a folder that goes when the test ends.
fn opened() -> (tempfile::TempDir, Session) {
    let dir = tempfile::tempdir().unwrap();
    let mut session = Session::create_new(&dir.path().join("t.ledge"), "a test").unwrap();
    say(&mut session, 1, &json!({"do": "open", "name": "T", "purpose": "drill", "edge_height": "20m"}));
    say(&mut session, 2, &json!({"do": "rig", "template": "twin-lower-two-knots", "name": "main"}));
    (dir, session)
}

fn last_check(session: &Session) -> &service::findings::CheckReport {
    &session.state.rig_now().unwrap().checks.last().unwrap().report
}

#[test]
fn a_check_that_was_ready_is_recorded_as_one_that_was_not() {
    let (_kept, mut ahead) = opened();
    let ready = ahead.to_check(None).unwrap().reckoned();
    ahead.ready(ready);
    say(&mut ahead, 3, &json!({"do": "check"}));
    let (_kept, mut plain) = opened();
    say(&mut plain, 3, &json!({"do": "check"}));
    assert_eq!(last_check(&ahead), last_check(&plain));
    assert!(ahead.to_check(Some("no such rig")).is_none());
}

#[test]
fn what_was_called_or_changed_meanwhile_makes_it_worthless() {
    let slack = json!({"do": "order", "from": "control", "to": ["rope two operator"], "text": "slack two"});
    let heavier =
        json!({"do": "rig", "template": "twin-lower-two-knots", "name": "main", "set": {"load": "280kg"}});
    for meanwhile in [slack, heavier] {
        let (_kept, mut session) = opened();
        let ready = session.to_check(None).unwrap().reckoned();
        say(&mut session, 3, &meanwhile);
        session.ready(ready);
        say(&mut session, 4, &json!({"do": "check"}));
        let (_kept, mut plain) = opened();
        say(&mut plain, 3, &meanwhile);
        say(&mut plain, 4, &json!({"do": "check"}));
        assert_eq!(last_check(&session), last_check(&plain), "{meanwhile}");
        let (_kept, mut before) = opened();
        say(&mut before, 3, &json!({"do": "check"}));
        assert_ne!(last_check(&session), last_check(&before), "{meanwhile} changes what a check finds");
    }
}

/// First figures are there at once and say that they are; all of them are those of a check.
#[test]
fn a_loss_is_told_from_few_runs_first_and_then_as_the_check_tells_it() {
    let (_kept, mut session) = opened();
    say(&mut session, 3, &json!({"do": "check"}));
    let look = RigLook::of(&session.state);
    let fall = |first| look.drawing(Some("anchor_west"), first).unwrap().fall.unwrap();
    let (first, all) = (fall(true), fall(false));
    assert!(first.first && first.finding.runs < all.finding.runs && !all.first);
    assert!(first.finding.swing_not_reckoned().is_some() && all.finding.swing_not_reckoned().is_none());
    let of_west = |f: &&FallFinding| f.of.contains(&"anchor west".to_string());
    let checked = last_check(&session).main.falls.iter().find(of_west).unwrap();
    assert_eq!(all.finding.words, checked.words);
    // What drops to the ground or stays is told whole at once.
    assert!(!look.drawing(Some("litter"), true).unwrap().fall.unwrap().first);
}
