use super::*;

fn names() -> Names {
    let people = [
        "Kofi Mensah-Baird",
        "Dunja Perić",
        "Оксана Лисенко",
        "Anna Stone",
        "Anna Lind",
        "May Down",
        "Control",
    ];
    let trade = ["down", "lower", "stop", "control"].map(String::from).into();
    Names::new(&people.map(String::from), &trade)
}

#[test]
fn a_name_is_found_however_it_was_typed() {
    let names = names();
    for (text, expected) in [
        ("Kofi Mensah-Baird takes the role tailer", "Person 1 takes the role tailer"),
        ("kofi mensah baird: slack", "Person 1: slack"),
        ("Kofi’s rope, MENSAH too", "Person 1’s rope, Person 1 too"),
        ("peric at the edge", "Person 2 at the edge"),
        ("Peri\u{301}c at the edge", "Person 2 at the edge"),
        ("Oksana writes; Лисенко checks", "Person 3 writes; Person 3 checks"),
        ("Anna hears it, Stone does not", "a person hears it, Person 4 does not"),
        ("Anna Lind is in", "Person 5 is in"),
        ("down slow, May Down watches", "down slow, Person 6 watches"),
        ("control orders stop", "control orders stop"),
        ("Control", "Person 7"),
        ("“lower”", "“lower”"),
        ("", ""),
    ] {
        assert_eq!(names.hide(text), expected, "{text}");
    }
}

#[test]
fn whom_a_patient_is_handed_to_is_named_where_it_begins_large() {
    for (text, whom) in [
        ("to Marta Lind, ambulance; written summary", Some("Marta Lind")),
        ("taken over by Olle Zetterlund-Bråth of the ambulance", Some("Olle Zetterlund-Bråth")),
        ("to Marta. Card given", Some("Marta")),
        ("to paramedic Marta Lind", Some("Marta Lind")),
        ("to ნინო ბერიძე, ambulance", Some("ნინო ბერიძე")),
        ("to ليلى الحداد. card given", Some("ليلى الحداد")),
        ("taken over by 山田花子 of the ambulance", Some("山田花子")),
        ("to 2 paramedics", None),
        ("to Hospital", None),
        ("to the ambulance crew", None),
        ("spoken summary to", None),
        ("awake", None),
    ] {
        assert_eq!(taken_over_by(text), whom, "{text}");
    }
}

#[test]
fn what_may_be_a_name_goes_as_a_whole() {
    let mut names = names();
    let trade = ["lower", "stop"].map(String::from).into();
    for text in
        ["berta from the shop", "bertil krona", "whoever keeps the ropes", "everyone", "lower stop", "kofi"]
    {
        names.as_a_whole(text, &trade);
    }
    let hidden = "Person 8 sees to it; krona stays, berta from the shop too, everyone, Person 1";
    assert_eq!(
        names.hide("Bertil Krona sees to it; krona stays, berta from the shop too, everyone, kofi"),
        hidden
    );
}

#[test]
fn words_of_the_program_are_left() {
    let mut value =
        serde_json::json!({"kind": "anna", "text": ["Anna Stone"], "in": {"motion": "stone", "n": 3}});
    names().hide_in(&mut value);
    let expected =
        serde_json::json!({"kind": "anna", "text": ["Person 4"], "in": {"motion": "stone", "n": 3}});
    assert_eq!(value, expected);
}

#[test]
fn a_name_in_letters_that_know_no_large_and_small_is_one() {
    for (text, is) in [
        ("გიორგი ბერიძე", true),
        ("ليلى الحداد", true),
        ("สมชาย ใจดี", true),
        ("山田 花子", true),
        ("Berta Holm", true),
        ("gear officer", false),
        ("Лариса из базы", false),
    ] {
        assert_eq!(looks_like_a_name(text), is, "{text}");
    }
}

#[test]
fn signs_beside_a_name_go_with_it() {
    let names = Names::new(&["🧗 Robin 🪢".to_string(), "Ada (day)".to_string()], &BTreeSet::new());
    for (text, expected) in [
        ("🧗 Robin 🪢 takes the role scribe", "Person 1 takes the role scribe"),
        ("robin writes 🧗", "Person 1 writes 🧗"),
        ("🧗 Robin 🪢", "Person 1"),
        ("Ada (day) is in", "Person 2 is in"),
    ] {
        assert_eq!(names.hide(text), expected, "{text}");
    }
}
