//! What a person says while orders are open: whose order it repeats, or what it reports.

mod common;
use common::Played;
use serde::Deserialize;

#[derive(Deserialize)]
struct Case {
    case: String,
    /// Codes of the roles (“12”, “*” is all), then the words, in this order.
    orders: Vec<String>,
    /// Lines typed and taken before.
    #[serde(default)]
    first: Vec<String>,
    typed: String,
    #[serde(rename = "do")]
    kind: String,
    /// Which order it belongs to, counted from 0.
    of: Option<usize>,
    /// Whether the readback is right.
    right: Option<bool>,
    motion: Option<String>,
}

fn cases() -> Vec<Case> {
    serde_json::from_str(include_str!("said.json")).expect("the cases are read")
}

/// Gives the orders; returns their entry ids.
fn ordered(p: &mut Played, orders: &[String]) -> Vec<String> {
    let mut given = vec![];
    for (i, order) in orders.iter().enumerate() {
        let (codes, text) = order.split_once(' ').expect("codes and words");
        let role = |c: char| p.state.guidelines.role(&c.to_string()).map(|r| r.role.clone());
        let to: Vec<String> = codes.chars().map(|c| role(c).unwrap_or_else(|| "all".into())).collect();
        let step = serde_json::json!({"do": "order", "from": "control", "to": to, "text": text});
        let seq = p.say(10 + i as i64, &step.to_string());
        given.push(format!("id-{seq}"));
    }
    given
}

/// Types a line and takes its first candidate.
fn taken(p: &mut Played, at_s: i64, typed: &str) -> serde_json::Value {
    let list = operation::free_line::candidates(&p.state, typed, p.start);
    let step = list.first().expect("a candidate").step.clone();
    p.say(at_s, &step.to_string());
    step
}

fn crew() -> Played {
    let mut p = Played::crew();
    p.say(3, r#"{"do":"assign","role":"litter attendant","person":"Eve"}"#);
    p
}

#[test]
fn what_is_said_is_booked_to_the_order_it_resembles_or_is_a_report() {
    for c in cases() {
        let mut p = crew();
        let given = ordered(&mut p, &c.orders);
        for (i, line) in c.first.iter().enumerate() {
            taken(&mut p, 40 + i as i64, line);
        }
        let step = taken(&mut p, 60, &c.typed);
        assert_eq!(step["do"], c.kind.as_str(), "{}: {step}", c.case);
        assert_eq!(step["of"].as_str(), c.of.map(|i| given[i].as_str()), "{}: {step}", c.case);
        if let Some(motion) = &c.motion {
            assert_eq!(p.state.motion.word(), motion, "{}", c.case);
        }
        let wrong = p.flags().contains(&"wrong_readback");
        assert_eq!(wrong, c.right == Some(false), "{}: {:?}", c.case, p.state.raised);
    }
}

#[test]
fn what_is_not_the_first_guess_can_still_be_chosen() {
    for c in cases().into_iter().filter(|c| c.kind == "report" && !c.typed.contains("metres")) {
        let mut p = crew();
        ordered(&mut p, &c.orders);
        let list = operation::free_line::candidates(&p.state, &c.typed, p.start);
        assert!(
            list.iter().any(|one| matches!(one.step["do"].as_str(), Some("readback" | "answer"))),
            "{}: {list:?}",
            c.case
        );
    }
}

#[test]
fn a_report_booked_as_a_readback_is_not_put_right_by_a_later_one() {
    let details = |said: &str| -> Vec<String> {
        let mut p = crew();
        let order = &ordered(&mut p, &["2 lower".to_string()])[0];
        for (at, text) in [(20, said), (24, "lower")] {
            let step =
                serde_json::json!({"do": "readback", "from": "rope two operator", "of": order, "text": text});
            p.say(at, &step.to_string());
        }
        let now = p.start.timestamp_millis() + 60_000;
        let found = operation::review::findings(&p.state, now);
        found.into_iter().filter(|f| f.mark == "wrong").map(|f| f.detail).collect()
    };
    assert_eq!(
        details("tied off"),
        ["said “tie”, which was not ordered; words of a report, not of a readback"]
    );
    assert_eq!(details("raise"), ["said “raise”, which was not ordered; put right after 4 s"]);
}

/// The order given again in the same words and read back right settles it, for `state`, the screens and the report alike.
#[test]
fn a_wrong_readback_put_right_by_the_same_order_again_waits_for_nobody() {
    let mut p = crew();
    let order = |p: &mut Played, at: i64, to: &str, text: &str| -> u64 {
        let step = serde_json::json!({"do": "order", "from": "control", "to": [to], "text": text});
        p.say(at, &step.to_string())
    };
    let back = |p: &mut Played, at: i64, of: u64, text: &str| {
        let of = format!("id-{of}");
        let step = serde_json::json!({"do": "readback", "from": "rope two operator", "of": of, "text": text});
        p.say(at, &step.to_string());
    };
    let details = |p: &Played| -> Vec<String> {
        let now = p.start.timestamp_millis() + 90_000;
        operation::review::findings(&p.state, now)
            .into_iter()
            .filter(|f| f.mark == "wrong")
            .map(|f| f.detail)
            .collect()
    };
    let waiting = |p: &Played| p.state.unanswered().map(|l| l.seq).collect::<Vec<u64>>();
    let unanswered = |p: &Played| {
        let now = p.start.timestamp_millis() + 90_000;
        operation::flags::flags(&p.state, now).into_iter().filter(|f| f.id == "order_unanswered").count()
    };
    let first = order(&mut p, 10, "rope two operator", "lower slow");
    back(&mut p, 12, first, "raise slow");
    let silent = order(&mut p, 14, "rope one operator", "lower slow");
    let again = order(&mut p, 20, "rope two operator", "lower slow");
    assert_eq!((waiting(&p), unanswered(&p)), (vec![first, silent, again], 3));
    assert!(details(&p)[0].ends_with("not put right"), "{:?}", details(&p));
    back(&mut p, 23, again, "lower slow");
    // Who never answered is still waited for; who answered wrong is not.
    assert_eq!((waiting(&p), unanswered(&p)), (vec![silent], 1));
    let by = format!("put right after 11 s, by order {again} in the same words");
    assert!(details(&p)[0].ends_with(&by), "{:?}", details(&p));
    assert_eq!(p.replayed().unanswered().count(), 1);
    // It was put right, and was not read back itself: the measure counts it as it was.
    let measured = operation::review::measures(&p.state, p.start.timestamp_millis() + 90_000);
    let measured = operation::review::named(&measured);
    assert_eq!(measured[0], ("read back by all, of 3 orders".to_string(), "1".to_string()));
}

/// What was left out before an order is told while it is typed, before it is recorded; nothing is in the way of it.
#[test]
fn what_was_left_out_is_told_while_the_order_is_typed() {
    let doubt = |p: &Played, typed: &str| {
        let list = operation::free_line::candidates(&p.state, typed, p.start);
        let first = list.first().expect("a candidate");
        assert_eq!(first.step["do"], "order", "{typed}: {first:?}");
        first.doubt.clone()
    };
    let mut p = crew();
    assert_eq!(doubt(&p, "lower"), "", "the first movement asks for no roll call");
    assert_eq!(doubt(&p, "c>l to the edge"), "no load test");
    for (at, line) in [(10, "lower"), (12, "1 lower"), (13, "2 lower"), (20, "e stop")] {
        taken(&mut p, at, line);
    }
    assert_eq!(p.state.motion.word(), "stopping");
    assert_eq!(doubt(&p, "lower"), "", "while it is stopping nothing moves: that is told otherwise");
    taken(&mut p, 22, "1 stopped");
    taken(&mut p, 23, "2 stopped");
    assert_eq!(p.state.motion.word(), "stopped");
    assert!(doubt(&p, "lower").starts_with("no roll call since the stop by edge attendant"));
    assert_eq!(doubt(&p, "e stop"), "", "a stop is never doubted");
    taken(&mut p, 24, "c>* roll call");
    assert_eq!(doubt(&p, "lower"), "");
    p.say(30, r#"{"do":"check_in","person":"Fay"}"#);
    p.say(31, r#"{"do":"assign","role":"rope two operator","person":"Fay"}"#);
    assert!(doubt(&p, "lower").starts_with("wait until Cleo had said that Fay has rope two operator"));
    p.say(32, r#"{"do":"report","from":"Cleo","text":"Fay has rope two"}"#);
    assert_eq!(doubt(&p, "lower"), "");
}
