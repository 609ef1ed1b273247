//! A lower as it is typed, and what no operation should be but some are: ten thousand calls in a minute, names and words of any
//! script and length, times that cannot be.

use chrono::DateTime;
use serde_json::{Value, json};
use service::{Session, Stamp, Step, view};
use std::path::Path;

/// The n-th stamp, so many milliseconds after the opening.
fn stamp(n: u64, ms: u64) -> Stamp {
    let mut salt = [7u8; 32];
    salt[..8].copy_from_slice(&n.to_le_bytes());
    let s = ms / 1000;
    Stamp {
        id: service::session::id_v7(1_778_756_520_000 + ms, &salt),
        session: "019e0000-0000-7000-8000-00000000000a".into(),
        boot_ms: i64::try_from(ms).unwrap(),
        recorded_at: format!("2026-05-14T13:{:02}:{:02}.{:03}+02:00", 2 + s / 60, s % 60, ms % 1000),
        salt,
    }
}

fn say(session: &mut Session, n: u64, ms: u64, step: &Value) {
    let read = Step::read(step, "a test").unwrap();
    let ack = session.act(&read, &stamp(n, ms)).unwrap_or_else(|e| panic!("{step}: {e}"));
    assert_eq!(ack.seq, n, "{step}");
}

fn opened(file: &Path) -> Session {
    let mut session = Session::create_new(file, "a test").unwrap();
    say(&mut session, 1, 0, &json!({"do": "open", "name": "T", "purpose": "drill", "edge_height": "20m"}));
    session
}

/// The step of a key of an order, as the window records it.
fn of_key(key: &str) -> Option<Value> {
    let both = json!(["rope one operator", "rope two operator"]);
    match key {
        "Esc" => Some(json!({"do": "order", "from": "scribe", "to": ["all"], "text": "stop"})),
        "F2" => Some(json!({"do": "order", "from": "control", "to": both, "text": "lower"})),
        "F4" => Some(json!({"do": "order", "from": "control", "to": both, "text": "slow"})),
        _ => None,
    }
}

/// What the window's trial types at the pace of a real lower means what its list says, and the record follows it.
#[test]
fn each_line_of_the_thirty_call_lower_means_what_its_list_says() {
    let list: Value =
        serde_json::from_str(include_str!("../../../../tests/fixtures/thirty-call-lower.json")).unwrap();
    let dir = tempfile::tempdir().unwrap();
    let mut session = opened(&dir.path().join("t.ledge"));
    let mut n = 1;
    for person in list["people"].as_array().unwrap() {
        let role = session.state.guidelines.role(person[1].as_str().unwrap()).unwrap().role.clone();
        for step in [
            json!({"do": "check_in", "person": person[0]}),
            json!({"do": "assign", "role": role, "person": person[0]}),
        ] {
            n += 1;
            say(&mut session, n, n * 10, &step);
        }
    }
    let calls = list["calls"].as_array().unwrap();
    assert!(calls.len() >= 30);
    for call in calls {
        let ms = 1000 + (call["at"].as_f64().unwrap() * 1000.0) as u64;
        let keys = call["keys"].as_str().unwrap();
        let now = DateTime::parse_from_rfc3339(&stamp(n, ms).recorded_at).unwrap();
        let typed = || view::complete(&session, keys, now).remove(0).step;
        let step = of_key(keys).unwrap_or_else(typed);
        for field in ["from", "text"] {
            assert_eq!(step[field], call[field], "{keys}: {step}");
        }
        assert_eq!(step["do"], call["kind"], "{keys}: {step}");
        n += 1;
        say(&mut session, n, ms, &step);
    }
    let seen = view::view(&session, 1_778_756_520_000 + 60_000);
    assert_eq!(seen.motion.motion, "landed");
    assert_eq!(seen.rows.iter().filter(|row| row.flags.iter().any(|f| f.contains("raise"))).count(), 1);
}

const RIGHT_TO_LEFT: &str = "يوسف بن حداد";
const PICTURES: &str = "🧗‍♀️ Ana 🪢👨‍👩‍👧‍👦";
const CONTROLS: &str = "Eve\u{202e}txet\u{7}\u{1b}[31m \u{0}Marn\u{2028}x\r\ny";
const MARKUP: &str = "<img src=x onerror=alert(1)>&lt;b&gt;'; DROP TABLE event; --";

fn texts() -> Vec<String> {
    let no_end = "Llan".repeat(125);
    let combining = format!("Z{}", "\u{301}".repeat(500));
    [RIGHT_TO_LEFT, PICTURES, CONTROLS, MARKUP, &no_end, &combining, "ＲＯＰＥ　ｔｗｏ", "\u{feff}", "%s%n{}"]
        .map(String::from)
        .to_vec()
}

/// Whatever people are called and whatever they say stands in the record letter by letter, and every view of it is made.
#[test]
fn whatever_is_said_is_recorded_letter_by_letter() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("t.ledge");
    let mut session = opened(&file);
    let mut said: Vec<(u64, String)> = vec![];
    let mut n = 1;
    let roles = ["control", "rope one operator", "rope two operator", "edge attendant", "my own role"];
    for (i, text) in texts().into_iter().enumerate() {
        let role = roles[i % roles.len()];
        for step in [
            json!({"do": "check_in", "person": text, "agency": text, "qualifications": [text]}),
            json!({"do": "assign", "role": role, "person": text}),
            json!({"do": "zone", "person": text, "zone": "on_rope", "partner": text}),
            json!({"do": "order", "from": "control", "to": [text], "text": text}),
            json!({"do": "report", "from": text, "text": text}),
            json!({"do": "hazard", "text": text, "control": text}),
            json!({"do": "patient", "mark": text, "text": text, "vitals": text}),
            json!({"do": "benchmark", "name": text}),
            json!({"do": "exercise", "lose": text, "text": text}),
        ] {
            n += 1;
            say(&mut session, n, n * 200, &step);
            said.push((n, text.clone()));
        }
        // The free line takes it too, whatever it makes of it.
        let now = DateTime::parse_from_rfc3339(&stamp(n, n * 200).recorded_at).unwrap();
        assert!(view::complete(&session, &text, now).len() <= 5);
        assert!(
            view::complete(&session, &format!("1 {text}"), now).iter().any(|c| c.text.contains(text.trim()))
        );
    }
    let seen = view::view(&session, 1_778_756_520_000 + 60_000);
    for (seq, text) in &said {
        let kept = session.state.at(*seq).unwrap();
        let payload = kept.first.as_deref().unwrap().write().unwrap();
        let stored: Value = serde_json::from_str(&payload).unwrap();
        let holds = |v: &Value| v == text || v.as_array().is_some_and(|l| l.iter().any(|one| one == text));
        assert!(stored.as_object().unwrap().values().any(holds), "{payload}");
    }
    assert_eq!(seen.people.len(), texts().len(), "each is a person of its own");
    view::commander(&session, 1_778_756_520_000 + 60_000);
    service::review::view(&session, 1_778_756_520_000 + 60_000, rig::units::Units::Si);
    session.close().unwrap();
    let at = service::state_at::of_file(&file, None).unwrap();
    assert_eq!(at.on_rope.len(), texts().len());
}

/// Ten thousand calls in a minute are ten thousand entries, in their order, and the last is seen as the first was.
#[test]
fn ten_thousand_calls_in_a_minute_are_all_there() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("t.ledge");
    let mut session = Session::create(&file, "top", "a test", journal::Durability::AtClose).unwrap();
    say(&mut session, 1, 0, &json!({"do": "open", "name": "T", "purpose": "drill"}));
    for (n, role) in (2..).zip(["control", "rope one operator", "rope two operator"]) {
        say(&mut session, n, 1, &json!({"do": "assign", "role": role, "person": format!("P{n}")}));
    }
    for n in 5..10_005u64 {
        let step = match n % 4 {
            0 => json!({"do": "order", "from": "control", "to": ["all"], "text": format!("lower {n}")}),
            1 => {
                json!({"do": "readback", "from": "rope one operator", "of": (n - 1).to_string(), "text": "lower"})
            }
            2 => json!({"do": "report", "from": "rope two operator", "text": "stop"}),
            _ => json!({"do": "note", "from": "scribe", "text": format!("note {n}")}),
        };
        // The first of these answers what was said before there was an order.
        let step = if n == 5 { json!({"do": "note", "from": "scribe", "text": "begins"}) } else { step };
        say(&mut session, n, n * 6, &step);
    }
    let seen = view::view(&session, 1_778_756_520_000 + 61_000);
    assert_eq!((seen.total_rows, seen.saved.count), (10_004, 10_004));
    assert_eq!(seen.rows.last().map(|row| row.seq), Some(10_004));
    assert!(seen.rows.windows(2).all(|two| two[0].seq < two[1].seq));
    session.close().unwrap();
    let verdict = service::witness::verify(&file, None).unwrap();
    assert!(!matches!(verdict, service::witness::Verdict::Altered { .. }));
}

/// Vital signs alone are no mark on the patient's way: each has a list of its own.
#[test]
fn vital_signs_alone_are_no_mark_on_the_way() {
    let dir = tempfile::tempdir().unwrap();
    let mut session = opened(&dir.path().join("t.ledge"));
    let step = |mark: &str, vitals: &str| json!({"do": "patient", "mark": mark, "vitals": vitals});
    for (n, (mark, vitals)) in
        (2..).zip([("reached", "awake"), ("vitals", "pulse 92"), ("vitals", " "), ("packaged", "pulse 90")])
    {
        say(&mut session, n, n * 1000, &step(mark, vitals));
    }
    let seen = view::view(&session, 1_778_756_520_000 + 9_000);
    assert_eq!(seen.patient, ["reached: awake 13:02:02", "packaged: pulse 90 13:02:05"]);
    let said: Vec<_> = seen.vitals.iter().map(|v| (v.time.as_str(), v.text.as_str())).collect();
    assert_eq!(said, [("13:02:02", "awake"), ("13:02:03", "pulse 92"), ("13:02:05", "pulse 90")]);
}

fn refused(session: &mut Session, step: &Value) -> bool {
    match Step::read(step, "a test") {
        Ok(step) => session.act(&step, &stamp(7, 80_000)).is_err(),
        Err(_) => true,
    }
}

/// A time before the operation, in the future, or none at all: the first two are recorded and flagged, the last refused whole.
#[test]
fn times_that_cannot_be_are_recorded_and_flagged() {
    let dir = tempfile::tempdir().unwrap();
    let mut session = opened(&dir.path().join("t.ledge"));
    for (n, (happened, flag)) in (2..).zip([
        ("2026-05-14T12:40:00+02:00", "time_out_of_range"),
        ("2026-05-14T19:00:00+02:00", "time_out_of_range"),
        ("1970-01-01T00:00:00Z", "time_out_of_range"),
        ("2999-12-31T23:59:59+14:00", "time_out_of_range"),
        ("2026-05-14T13:02:10+02:00", "late_entry"),
    ]) {
        let step = json!({"do": "report", "from": "scribe", "text": "seen", "happened": happened});
        say(&mut session, n, n * 10_000, &step);
        let flags: Vec<_> = session.state.flags_of(n).map(|f| f.id).collect();
        assert!(flags.contains(&flag), "{happened}: {flags:?}");
    }
    let seen = view::view(&session, 1_778_756_520_000 + 90_000);
    assert_eq!(seen.total_rows, 6);
    for wrong in ["25:61", "yesterday", "2026-13-01T00:00:00Z", "\u{0}", ""] {
        let step = json!({"do": "report", "from": "scribe", "text": "seen", "happened": wrong});
        assert!(refused(&mut session, &step), "{wrong:?}");
    }
    assert_eq!(session.head().count, 6, "nothing of what was refused is there");
}
