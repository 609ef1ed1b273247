//! Lessons: entries of the review, by name, that come after the close, can be put right and erased, and raise no flag.

mod common;
use common::Played;
use operation::review::{findings, lessons};
use serde_json::json;

fn closed() -> Played {
    let mut p = Played::crew();
    p.say(60, r#"{"do":"order","from":"control","to":["rope one operator"],"text":"lower"}"#);
    p.say(300, r#"{"do":"close"}"#);
    p
}

#[test]
fn a_lesson_comes_after_the_close_and_says_who_and_by_when() {
    let mut p = closed();
    let (raised, found) = (p.state.raised.len(), findings(&p.state, p.state.last_line_ms()).len());
    let change = json!({"do": "lesson", "what": "change", "person": "Ada", "text": "a spare roller on each edge",
        "who": "whoever keeps the ropes", "by_when": "the next drill"});
    p.say(310, &change.to_string());
    p.say(320, r#"{"do":"lesson","what":"keep","person":"Ben","text":"roll call before the edge"}"#);
    let told = lessons(&p.state);
    let words = |i: usize| operation::line::row(&p.state, told[i].seq).unwrap().text;
    assert_eq!(words(0), "change: a spare roller on each edge (whoever keeps the ropes, by the next drill)");
    assert_eq!(words(1), "keep: roll call before the edge");
    assert_eq!((told[0].change, told[1].change), (true, false));
    assert_eq!((told[0].who.as_str(), told[1].who.as_str()), ("whoever keeps the ropes", ""));
    assert_eq!(p.state.raised.len(), raised, "it is written after the close, and that is no fault");
    assert_eq!(
        findings(&p.state, p.state.last_line_ms()).len(),
        found,
        "an opinion of its own is no finding"
    );
    assert_eq!(told, lessons(&p.replayed()));
}

#[test]
fn a_lesson_is_put_right_by_a_new_entry_and_what_is_erased_is_gone() {
    let mut p = closed();
    p.say(310, r#"{"do":"lesson","what":"change","person":"Ada","text":"a spare roler","label":"l"}"#);
    p.say(320, r#"{"do":"correct","of":"l","text":"a spare roller","by_when":"May"}"#);
    let told = lessons(&p.state);
    assert_eq!((told.len(), told[0].text.as_str()), (1, "a spare roller"));
    assert_eq!(told[0].by_when, "May");
    assert_eq!(told, lessons(&p.replayed()));
}

#[test]
fn what_is_no_lesson_is_refused_in_words() {
    let mut p = closed();
    for (step, words) in [
        (json!({"do": "lesson", "what": "keep", "person": "Ben"}), "lesson has no “text”"),
        (json!({"do": "lesson", "what": "keep", "person": " ", "text": "x"}), "“person” is empty"),
        (json!({"do": "lesson", "what": "keep", "person": "Ben", "text": ""}), "“text” is empty"),
        (json!({"do": "lesson", "person": "Ben", "text": "x"}), "lesson has no “what”"),
        (json!({"do": "lesson", "what": "drop", "person": "Ben", "text": "x"}), "unknown variant"),
        (
            json!({"do": "lesson", "what": "keep", "person": "Ben", "text": "x", "when": "May"}),
            "unknown field “when”",
        ),
    ] {
        let count = p.entries.len();
        let refused = p.try_say(400, &step.to_string()).unwrap_err();
        assert!(refused.to_string().contains(words), "{step}: {refused}");
        assert_eq!(p.entries.len(), count);
    }
}
