//! An operation from the first step to the report, and after the program was started again.

use serde_json::{Value, json};
use service::wire::View;
use service::{Session, Stamp, Step, read_step, view};
use std::path::Path;

/// The n-th stamp of a session: one second after the one before.
fn stamp(session: char, n: u64) -> Stamp {
    let salt: Vec<u8> = (0..32).map(|i| (n + i) as u8).collect();
    Stamp {
        id: service::session::id_v7(1_747_220_520_000 + n * 1000, &salt.clone().try_into().unwrap()),
        session: format!("019e0000-0000-7000-8000-{session:0>12}"),
        boot_ms: 1000 * i64::try_from(n).unwrap(),
        recorded_at: format!("2026-05-14T13:{:02}:{:02}.000+02:00", n / 60, n % 60),
        salt: salt.try_into().unwrap(),
    }
}

fn step(value: &Value) -> Step {
    Step::read(value, "a test").unwrap()
}

/// An open operation with two people on the ropes, control, and a rig.
fn steps() -> Vec<Value> {
    vec![
        json!({"do": "open", "name": "Tern Ledge", "place": "North face", "purpose": "drill", "edge_height": "18m"}),
        json!({"do": "check_in", "person": "Odile Marn"}),
        json!({"do": "check_in", "person": "Per Aske"}),
        json!({"do": "check_in", "person": "Ruta Vilks"}),
        json!({"do": "assign", "role": "control", "person": "Odile Marn"}),
        json!({"do": "assign", "role": "rope one operator", "person": "Per Aske"}),
        json!({"do": "assign", "role": "rope two operator", "person": "Ruta Vilks"}),
        json!({"do": "rig", "name": "lower", "template": "twin-lower-two-knots", "set": {"load": "220kg"}}),
        json!({"do": "check"}),
        json!({"do": "sign", "role": "rigging lead", "person": "Odile Marn"}),
        json!({"do": "order", "from": "control", "to": ["rope one operator", "rope two operator"], "text": "lower slow"}),
        json!({"do": "readback", "from": "rope one operator", "of": "11", "text": "lower slow"}),
    ]
}

fn begun(file: &Path) -> Session {
    let mut session = Session::create_new(file, "a test").unwrap();
    for (n, one) in (1..).zip(steps()) {
        let ack = session.act(&step(&one), &stamp('a', n)).unwrap();
        assert_eq!(ack.seq, n, "one entry a step");
    }
    session
}

fn now(n: u64) -> i64 {
    1_778_756_400_000 + 1000 * i64::try_from(n).unwrap()
}

fn seen(session: &Session, n: u64) -> View {
    view::view(session, now(n))
}

#[test]
fn the_view_follows_the_steps() {
    let dir = tempfile::tempdir().unwrap();
    let mut session = begun(&dir.path().join("a.ledge"));
    let view = seen(&session, 12);
    assert_eq!((view.motion.motion.as_str(), view.motion.slow), ("lowering", true));
    let waits: Vec<&str> = view.slots.iter().map(|s| s.short.as_str()).collect();
    assert_eq!(waits, ["rope two"]);
    assert_eq!((view.saved.count, view.total_rows, view.rows.len()), (12, 12, 12));
    assert_eq!(view.operation.edge_height_m, Some(18.0));
    let rig = view.rig.unwrap();
    assert_eq!(rig.set.get("edge_height").map(String::as_str), Some("18m"), "the edge is the operation's");
    let check = rig.check.unwrap();
    assert_eq!((check.rig_digest.len(), check.guidelines_digest.len()), (64, 64));
    assert_eq!(rig.signatures[0].covers, 9);
    assert!(!rig.stale && !rig.signatures[0].stale);

    let stop = json!({"do": "order", "from": "edge attendant", "to": ["all"], "text": "stop"});
    let acked = view::act(&mut session, &stop, &stamp('a', 13), now(13)).unwrap();
    assert_eq!(acked.view.motion.motion, "stopping");
    assert_eq!(acked.view.rows.last().unwrap().side, "across");
    let stops: Vec<&str> =
        acked.view.slots.iter().filter(|s| s.state == "stop").map(|s| s.code.as_str()).collect();
    assert_eq!(stops, ["1", "2"]);

    let late =
        json!({"do": "report", "from": "edge attendant", "text": "edge clear", "happened": "13:00:05"});
    let acked = view::act(&mut session, &late, &stamp('a', 14), now(14)).unwrap();
    assert!(acked.went.contains("13:00:05"), "{}", acked.went);
    let order: Vec<u64> = acked.view.rows.iter().map(|row| row.seq).collect();
    assert!(order.iter().position(|s| *s == 14) < order.iter().position(|s| *s == 13), "{order:?}");
}

/// A load that moves with nobody logged on it is what a scribe forgot: the view says so until somebody is.
#[test]
fn a_load_that_moves_with_nobody_on_rope_is_said() {
    let dir = tempfile::tempdir().unwrap();
    let mut session = begun(&dir.path().join("tern.ledge"));
    assert!(seen(&session, 20).motion.nobody_on_rope, "lowering, and nobody is on rope");
    let on = json!({"do": "zone", "person": "Ruta Vilks", "zone": "on_rope"});
    session.act(&step(&on), &stamp('a', 13)).unwrap();
    assert!(!seen(&session, 20).motion.nobody_on_rope);
    let off = json!({"do": "zone", "person": "Ruta Vilks", "zone": "clear"});
    session.act(&step(&off), &stamp('a', 14)).unwrap();
    let landed = json!({"do": "report", "from": "edge attendant", "text": "landed"});
    session.act(&step(&landed), &stamp('a', 15)).unwrap();
    assert!(!seen(&session, 20).motion.nobody_on_rope, "the load does not move");
}

/// A second rig comes into use as it is made, as a `rig` entry always did: the view names the one before it.
#[test]
fn a_second_rig_names_the_one_it_took_the_place_of() {
    let dir = tempfile::tempdir().unwrap();
    let mut session = begun(&dir.path().join("a.ledge"));
    let raise = json!({"do": "rig", "name": "raise", "template": "raise-3-to-1-and-belay"});
    session.act(&step(&raise), &stamp('a', 13)).unwrap();
    let rig = seen(&session, 14).rig.unwrap();
    let before = rig.instead_of.unwrap();
    assert_eq!((rig.name.as_str(), before.rig.as_str(), before.seq), ("raise", "lower", 13));
    assert_eq!((before.state.as_str(), before.time.as_str()), ("lowering", "13:00:13"));
    session.act(&step(&json!({"do": "use", "rig": "lower"})), &stamp('a', 15)).unwrap();
    let rig = seen(&session, 16).rig.unwrap();
    assert!(rig.name == "lower" && rig.instead_of.is_none());
}

#[test]
fn a_refused_step_records_nothing_and_names_the_field() {
    let dir = tempfile::tempdir().unwrap();
    let mut session = begun(&dir.path().join("a.ledge"));
    for (bad, place) in [
        (json!({"do": "rig", "template": "twin-lower-two-knots", "set": {"v_angle": "wide"}}), "v_angle"),
        (json!({"do": "rig", "template": "twin-lower-two-knots", "set": {"load": "-5kg"}}), "load"),
        (json!({"do": "rig", "template": "no-such-rig"}), "template"),
        (json!({"do": "rig"}), "rig"),
        (json!({"do": "use", "rig": "raise"}), "use"),
        (json!({"do": "correct", "of": "99", "text": "x"}), "correct"),
        (json!({"do": "open", "name": "again", "purpose": "drill"}), "open"),
        (json!({"do": "note", "from": "control", "text": "x", "at": "PT1S"}), "at"),
    ] {
        let trouble = view::act(&mut session, &bad, &stamp('a', 13), now(13)).unwrap_err();
        assert_eq!(trouble.place, place, "{bad}: {trouble}");
        assert!(!trouble.remedy.is_empty());
        assert_eq!(session.head().count, 12, "{bad}");
    }
    // A record that was refused nothing goes on.
    session.act(&step(&json!({"do": "note", "from": "control", "text": "on"})), &stamp('a', 13)).unwrap();
}

#[test]
fn looking_changes_nothing_and_a_new_session_begins_with_its_first_step() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("a.ledge");
    begun(&file).close().unwrap();
    let before = service::paper::report(&file, &service::paper::Asked::default()).unwrap().bytes;
    Session::open(&file, "a test").unwrap().close().unwrap();
    assert!(
        service::paper::report(&file, &service::paper::Asked::default()).unwrap().bytes == before,
        "opening changed the report"
    );

    let mut session = Session::open(&file, "a test").unwrap();
    let ack = session
        .act(&step(&json!({"do": "note", "from": "control", "text": "on again"})), &stamp('b', 60))
        .unwrap();
    assert_eq!(ack.seq, 14, "13 says that the program was started again");
    let ack = session.act(&step(&json!({"do": "close"})), &stamp('b', 61)).unwrap();
    assert_eq!(ack.seq, 15);
    let kinds: Vec<String> = session.state.written().iter().map(|kept| kept.kind.to_string()).collect();
    assert_eq!(kinds[12..], ["session_began", "note", "close"]);
    session.close().unwrap();
    let reread = Session::look(&file).unwrap();
    assert_eq!(reread.head().count, 15);
    assert!(reread.state.facts.closed_ms.is_some());
}

#[test]
fn a_sleep_and_another_machine_stand_in_the_record_and_mark_what_is_measured_across() {
    use service::{Now, Reading};
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("a.ledge");
    let mut session = begun(&file);
    session.slept(90_000);
    assert!(seen(&session, 13).clock.notes[0].contains("slept for 1 min 30 s"), "said before it is written");
    let note = json!({"do": "note", "from": "control", "text": "on"});
    assert_eq!(session.act(&step(&note), &stamp('a', 13)).unwrap().seq, 14, "13 says that the machine slept");
    assert_eq!(session.act(&step(&note), &stamp('a', 14)).unwrap().seq, 15, "it is told once");
    session.close().unwrap();

    let mut session = Session::open(&file, "a test").unwrap();
    session.on_machine(Some(operation::event::Machine::Another));
    let reading = Reading { session: "b".into(), boot_ms: 5, wall_ms: now(60), offset_min: 120 };
    let present: Now = session.now(&reading);
    assert!(present.again);
    let view = view::view(&session, present);
    assert!(view.clock.restart_ms.is_some_and(|at| view.motion.since_ms < at), "lowering goes across it");
    session.act(&step(&note), &stamp('b', 60)).unwrap();
    session.close().unwrap();
    let state = service::state_at::of_file(&file, None).unwrap();
    assert_eq!(state.motion, "lowering");
    assert!(state.since_across_restart && state.unanswered[0].since_across_restart);
    assert!(state.clock[1].contains("on another machine"), "{:?}", state.clock);
    let before = service::state_at::of_file(&file, Some("13:00:13")).unwrap();
    assert!(!before.since_across_restart);
}

#[test]
fn what_was_erased_is_gone_from_memory_file_report_and_export() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("a.ledge");
    let mut session = begun(&file);
    let words = "insulin pump, left hip";
    session.act(&step(&json!({"do": "note", "from": "control", "text": words})), &stamp('a', 13)).unwrap();
    let erase =
        json!({"do": "erase", "of": "13", "person": "Odile Marn", "reason": "asked for by the patient"});
    session.act(&step(&erase), &stamp('a', 14)).unwrap();
    assert!(!format!("{:?}", session.state).contains("insulin"), "still in memory");
    assert!(session.state.at(13).unwrap().erased);
    let told = "erased by law, by Odile Marn: asked for by the patient (entry 14)";
    let rows = seen(&session, 14).rows;
    assert_eq!(rows.iter().find(|row| row.seq == 13).unwrap().text, told);
    assert_eq!(rows.last().unwrap().text, "erased the words of entry 13: asked for by the patient");
    assert!(service::log::show(&file).unwrap().rows[12][4].contains(told));
    session.close().unwrap();
    for kind in [service::export::Kind::Csv, service::export::Kind::Jsonl] {
        let (bytes, count) = service::export::of_file(&file, kind).unwrap();
        assert_eq!(count, 14);
        assert!(!String::from_utf8(bytes).unwrap().contains("insulin"));
    }
    let on_disk = std::fs::read(&file).unwrap();
    assert!(!on_disk.windows(7).any(|w| w == b"insulin"), "still on the disk");
    assert!(service::witness::verify(&file, None).is_ok_and(|v| matches!(
        v,
        service::witness::Verdict::Consistent(record) if record.erased == [13]
    )));
}

#[test]
fn erased_words_that_someone_still_reads_are_told_at_once() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("a.ledge");
    let mut session = begun(&file);
    let note = |text: &str| json!({"do": "note", "from": "scribe", "text": text});
    session.act(&step(&note("insulin pump")), &stamp('a', 13)).unwrap();
    let (reads, reading) = std::sync::mpsc::channel();
    let (leave, left) = std::sync::mpsc::channel::<()>();
    let path = file.clone();
    let reader = std::thread::spawn(move || {
        let journal = journal::Journal::open_read_only(&path).unwrap();
        let mut first = true;
        journal.each(|_| {
            if std::mem::take(&mut first) {
                reads.send(()).unwrap();
                left.recv().unwrap();
            }
        })
    });
    reading.recv().unwrap();
    let erase = json!({"do": "erase", "of": "13", "person": "Odile Marn", "reason": "asked for"});
    let went = view::act(&mut session, &erase, &stamp('a', 14), now(14)).unwrap().went;
    assert!(went.contains("the erased words may still lie in"), "{went}");
    let trouble = service::wire::Trouble::of_erased_words(&session).unwrap();
    assert_eq!(trouble.code, "erased_words_linger");
    assert!(trouble.place.ends_with("a.ledge-wal"), "{trouble:?}");
    leave.send(()).unwrap();
    reader.join().unwrap().unwrap();
    let went = view::act(&mut session, &note("on"), &stamp('a', 15), now(15)).unwrap().went;
    assert_eq!((went.as_str(), service::wire::Trouble::of_erased_words(&session)), ("", None));
    session.close().unwrap();
}

#[test]
fn a_second_program_looks_and_is_told_why_it_cannot_write() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("a.ledge");
    let first = begun(&file);
    let mut second = Session::open_or_look(&file, "the other").unwrap();
    assert!(!second.writes());
    assert_eq!(second.state.facts.name, "Tern Ledge");
    let trouble = second.act(&step(&json!({"do": "close"})), &stamp('c', 80)).unwrap_err();
    assert_eq!(trouble.code, "file_locked");
    assert!(trouble.what.contains("a test"), "{trouble}");
    assert!(seen(&second, 13).saved.trouble.is_some());
    first.close().unwrap();
}

#[test]
fn a_second_program_reads_along_and_may_write_once_the_first_is_gone() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("a.ledge");
    let mut first = begun(&file);
    let mut second = Session::open_or_look(&file, "the other").unwrap();
    let note = |text: &str| step(&json!({"do": "note", "from": "control", "text": text}));
    for n in 13..16 {
        first.act(&note(&format!("note {n}")), &stamp('a', n)).unwrap();
        second.follow().unwrap();
        assert_eq!((second.head(), second.state.count()), (first.head(), n as usize));
    }
    let erase = json!({"do": "erase", "of": "13", "person": "Odile Marn", "reason": "asked for"});
    first.act(&step(&erase), &stamp('a', 16)).unwrap();
    second.follow().unwrap();
    assert!(second.state.at(13).unwrap().erased && !format!("{:?}", second.state).contains("note 13"));
    let saved = seen(&second, 16).saved;
    assert!(!saved.writes && !saved.may_take_over);
    assert!(saved.holder.is_some_and(|who| who.contains("a test")));
    first.close().unwrap();
    assert!(seen(&second, 16).saved.may_take_over, "offered, not done");
    assert!(!second.writes());
    second.close().unwrap();
    let mut second = Session::open_or_look(&file, "the other").unwrap();
    second.act(&note("mine now"), &stamp('c', 80)).unwrap();
}

#[test]
fn an_entry_whose_acknowledgement_was_lost_is_answered_again_and_recorded_once() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("a.ledge");
    let mut session = begun(&file);
    let note = step(&json!({"do": "note", "from": "control", "text": "once"}));
    let first = session.act(&note, &stamp('a', 13)).unwrap();
    // Tried again later: the clocks moved on, the id is the same.
    let again = Stamp { id: stamp('a', 13).id, ..stamp('a', 20) };
    assert_eq!(session.act(&note, &again).unwrap(), first);
    session.close().unwrap();
    // And after the program was started again.
    let mut session = Session::open(&file, "a test").unwrap();
    let again = Stamp { id: stamp('a', 13).id, ..stamp('b', 60) };
    assert_eq!(session.act(&note, &again).unwrap(), first);
    assert_eq!(session.head().count, 13, "no entry and no new session");
}

#[test]
fn a_step_outside_a_script_has_no_at() {
    let trouble =
        read_step(r#"{"do":"note","from":"control","text":"x","at":"PT1S"}"#, "line 3").unwrap_err();
    assert!(trouble.place.starts_with("line 3"), "{trouble}");
    assert!(read_step("{\"do\":", "line 4").unwrap_err().place.starts_with("line 4"));
    assert!(read_step(r#"{"do":"note","from":"control","text":"x"}"#, "line 5").is_ok());
}

#[test]
fn a_new_operation_gets_a_file_of_its_own() {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().join("Ledgebook");
    let asked = service::folder::NewOperation {
        name: "Tern/Ledge: 2",
        place: "",
        purpose: "rescue",
        edge_height: Some("60ft"),
    };
    for (n, name) in [(1, "Tern-Ledge- 2.ledge"), (2, "Tern-Ledge- 2 2.ledge")] {
        let session = service::folder::new_operation(&folder, &asked, "a test", &stamp('a', n)).unwrap();
        assert_eq!(session.file(), folder.join(name));
        assert_eq!(session.state.facts.name, "Tern/Ledge: 2");
        assert!((session.state.facts.edge_height_m.unwrap() - 18.288).abs() < 1e-9);
        session.close().unwrap();
    }
    let bad = service::folder::NewOperation { edge_height: Some("high"), ..asked };
    let trouble = service::folder::new_operation(&folder, &bad, "a test", &stamp('a', 3)).unwrap_err();
    assert_eq!(trouble.place, "edge_height");
    let found = service::folder::found(&folder);
    assert_eq!(found.len(), 2, "a refused operation left a file: {found:?}");
    assert!(found.iter().all(|f| f.name == "Tern/Ledge: 2" && !f.closed && f.when.starts_with("2026-05-14")));
}

/// The window keeps a session on a thread of its own.
#[test]
fn a_session_can_move_to_another_thread() {
    fn sendable<T: Send + 'static>() {}
    sendable::<Session>();
}

/// A rig is changed part by part before it is recorded: nothing is in the record until it is, and then the whole is.
#[test]
fn a_rig_is_changed_part_by_part_and_recorded_whole() {
    use service::rig_draft::{Edit, PartEdit, draft};
    use service::rig_look::RigLook;
    let dir = tempfile::tempdir().unwrap();
    let mut session = begun(&dir.path().join("tern.ledge"));
    let rate = |id: &str| Edit::Part {
        id: id.into(),
        set: PartEdit {
            rating: Some("30kN".into()),
            rated_by: Some("judged on site".into()),
            ..PartEdit::default()
        },
    };
    let before = draft(&RigLook::of(&session.state), &[], None).unwrap();
    let after =
        draft(&RigLook::of(&session.state), &[rate("anchor_west"), rate("anchor_east")], None).unwrap();
    assert!(after.not_checked < before.not_checked);
    assert!(before.changes.is_empty() && before.findings.state == "lowering", "{:?}", before.changes);
    assert!(after.changes.iter().any(|c| c.contains("rated 30 kN, judged on site")), "{:?}", after.changes);
    let knot = before.parts.iter().find(|p| p.id == "focal_knot_1").unwrap();
    assert!(knot.angle_deg.is_some_and(|angle| (angle - 60.0).abs() < 1e-6), "{:?}", knot.angle_deg);
    let link = before.parts.iter().find(|p| p.id == "connector_1").unwrap();
    assert!(link.length_m.is_some_and(|metres| metres > 0.0) && link.classes.len() > 1);
    let west = after.parts.iter().find(|p| p.id == "anchor_west").unwrap();
    assert_eq!((west.rating.as_str(), west.rated_by.as_str()), ("30kN", "judged on site"));
    assert_eq!(session.head().count, 12, "nothing is recorded by looking");
    let lost = draft(&RigLook::of(&session.state), &[rate("anchor_west")], Some("anchor_east")).unwrap();
    assert!(lost.drawing.loss.is_some());
    let error =
        draft(&RigLook::of(&session.state), &[Edit::Remove { id: "rope_one".into() }], None).unwrap_err();
    assert!(error.place.starts_with("edit 1"), "{error}");
    // As recorded it is the same rig; its signature no longer covers it.
    let step_of = json!({"do": "rig", "name": "lower", "rig": after.rig});
    session.act(&step(&step_of), &stamp('a', 13)).unwrap();
    session.act(&step(&json!({"do": "check"})), &stamp('a', 14)).unwrap();
    let view = seen(&session, 20);
    let rig = view.rig.unwrap();
    assert_eq!(rig.template, None);
    assert!(rig.signatures.iter().all(|s| s.stale));
    let checked = rig.check.unwrap().main.parts.into_iter().find(|p| p.id == "anchor_west").unwrap();
    assert_eq!(checked.strength_kn, Some(30.0));
}

/// The screens count by these; what is agreed at the brief stands before the guidelines' act.
#[test]
fn the_view_has_the_clocks_on_people_and_the_brief() {
    let dir = tempfile::tempdir().unwrap();
    let mut session = begun(&dir.path().join("a.ledge"));
    let view = seen(&session, 12);
    let silent = view.watches.iter().find(|w| w.id == "lost_communications").expect("rope two is silent");
    assert_eq!((silent.who.as_str(), silent.due_ms - silent.since_ms), ("rope two", 60_000.0));
    assert_eq!(silent.then, view.brief.lost_communications);
    assert!(view.brief.whistle.contains(&("continuous".into(), "help".into())));
    let note = json!({"do": "note", "from": "scribe", "text": "lost communications: tie off, send a runner"});
    let acked = view::act(&mut session, &note, &stamp('e', 13), now(13)).unwrap();
    assert_eq!(acked.view.brief.lost_communications, "tie off, send a runner");
    assert_eq!(acked.view.size_up["lost communications"].text, "tie off, send a runner");
    let then = acked.view.watches.into_iter().find(|w| w.id == "lost_communications").unwrap().then;
    assert_eq!(then, "tie off, send a runner");
}

#[test]
fn the_commanders_window_is_told_who_stands_where_and_not_what_was_said() {
    let dir = tempfile::tempdir().unwrap();
    let mut session = begun(&dir.path().join("a.ledge"));
    let mut n = 12;
    let mut told = |session: &mut Session, one: Value| {
        n += 1;
        session.act(&step(&one), &stamp('a', n)).unwrap();
        view::commander(session, now(n))
    };
    let board = told(&mut session, json!({"do": "zone", "person": "Ruta Vilks", "zone": "on_rope"}));
    assert_eq!((board.name.as_str(), board.purpose.as_str()), ("Tern Ledge", "drill"));
    assert_eq!((board.motion.motion.as_str(), board.motion.slow), ("lowering", true));
    let on_rope = board.people.iter().find(|p| p.zone == "on_rope").unwrap();
    assert_eq!((on_rope.person.as_str(), on_rope.note.as_str()), ("Ruta Vilks", "not said to be tied in"));
    assert_eq!(board.slots.iter().map(|s| s.short.as_str()).collect::<Vec<_>>(), ["rope two"]);
    assert_eq!(board.par_missing, None);
    let rig = board.rig.unwrap();
    assert!(rig.signed && rig.check != "stale" && rig.check != "not_checked", "{rig:?}");
    assert!(board.roles.iter().all(|role| role.needed));
    let board = told(&mut session, json!({"do": "par", "count": 2}));
    assert_eq!((board.par_missing, board.par.expected), (Some(1), 3));
    // Tension called unequal stands until “equal”, and once; a note of the scribe is not told.
    told(&mut session, json!({"do": "note", "from": "scribe", "text": "the patient is Nobody At All"}));
    let board = told(
        &mut session,
        json!({"do": "order", "from": "control", "to": ["rope one operator"], "text": "slack one"}),
    );
    let unequal: Vec<_> = board.flags.iter().filter(|f| f.id == "unequal_tension").collect();
    assert!(unequal.len() == 1 && unequal[0].stands, "{:?}", board.flags);
    assert!(!serde_json::to_string(&board).unwrap().contains("Nobody At All"));
    let board = told(&mut session, json!({"do": "order", "from": "control", "to": ["all"], "text": "equal"}));
    assert!(!board.flags.iter().any(|f| f.id == "unequal_tension" && f.stands), "{:?}", board.flags);
    let board = told(&mut session, json!({"do": "close"}));
    assert!(board.closed_ms.is_some() && board.watches.is_empty());
}

#[test]
fn a_part_of_the_line_is_found_by_its_places_and_every_stop_is_in_it() {
    let dir = tempfile::tempdir().unwrap();
    let mut session = begun(&dir.path().join("a.ledge"));
    for n in 13..813 {
        let one = match n % 40 {
            0 => json!({"do": "order", "from": "control", "to": ["all"], "text": "stop"}),
            _ if n % 2 == 0 => json!({"do": "note", "from": "scribe", "text": format!("note {n}")}),
            _ => json!({"do": "report", "from": "rope two operator", "text": format!("report {n}")}),
        };
        session.act(&step(&one), &stamp('a', n)).unwrap();
    }
    let asked = |who: Option<&str>, kind: Option<&str>| service::wire::Asked {
        who: who.map(String::from),
        kind: kind.map(String::from),
        flagged: false,
    };
    let part = |asked, from, count| view::sifted(&session, &asked, from, count, now(900)).unwrap();
    let last = part(asked(Some("Ruta Vilks"), None), None, 5);
    assert_eq!((last.rows.len(), last.from), (5, last.total - 5));
    let first = part(asked(Some("Ruta Vilks"), None), Some(0), 7);
    assert_eq!((first.rows.len(), first.from, first.total), (7, 0, last.total));
    let stops = part(asked(None, Some("rig")), Some(0), 1000)
        .rows
        .into_iter()
        .filter(|row| row.text == "stop")
        .count();
    assert_eq!(stops, 20, "every stop is in every part");
    let wrong = view::sifted(&session, &asked(None, Some("stops")), None, 5, now(900)).unwrap_err();
    assert_eq!((wrong.code.as_str(), wrong.place.as_str()), ("bad_part", "kind"));
}
