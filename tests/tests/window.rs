//! The real window: a whole operation by keyboard alone through a pulled plug, another by touch alone, a lower at the pace of a
//! real one, a loss looked at and called into the drill, the commander's window, a file that is not ours.

use ledgebook_tests::cli::{self, text_of_pdf};
use ledgebook_tests::window::{Window, key};
use ledgebook_tests::{display, scribe, touch};
use serde_json::Value;
use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

const PEOPLE: &[(&str, &str)] = &[
    ("Nadja Orlik", "c"),
    ("Tomé Vidal", "1"),
    ("Ása Brandt", "2"),
    ("Piet Okafor", "e"),
    ("Wanda Lisiecka", "l"),
    ("Hugo Sarr", "r"),
    ("Ines Køhler", "s"),
    ("Bram Teles", "n"),
];

/// Every row the line shows as saved: number, kind and words.
async fn rows(window: &Window) -> Vec<(String, String)> {
    let saved = "[data-testid='row'][data-state='saved']";
    let numbers = window.attributes(saved, "data-seq").await;
    let kinds = window.attributes(saved, "data-kind").await;
    numbers.into_iter().zip(kinds).collect()
}

async fn prepares(window: &Window) {
    scribe::starts_operation(window, "Curlew Gully", "Curlew Gully, second pitch", "18").await;
    window.picture("1-size-up").await;
    scribe::checks_in(window, PEOPLE).await;
    window.picture("2-team").await;
    scribe::makes_rig(window, '1', &[("load", "240kg"), ("edge_height", "18m")]).await;
    window.picture("3-rig").await;
    scribe::rates_a_part(window, "40kN").await;
    scribe::signs(window, 1).await;
    window.picture("4-signed").await;
}

async fn lowers(window: &Window) {
    window.control('4').await;
    window.get("free-line").await;
    scribe::says(window, "c load test").await;
    scribe::sees_motion(window, "under_load_test").await;
    both_read_back(window).await;
    scribe::says(window, "l at the edge").await;
    scribe::sees_motion(window, "at_the_edge").await;
    scribe::presses(window, key::function(2)).await;
    scribe::sees_motion(window, "lowering").await;
    scribe::waits_for(window, 2).await;
    window.picture("5-lowering").await;
    both_read_back(window).await;
}

async fn both_read_back(window: &Window) {
    scribe::waits_for(window, 2).await;
    scribe::says(window, "1").await;
    scribe::waits_for(window, 1).await;
    scribe::says(window, "2").await;
    scribe::waits_for(window, 0).await;
}

async fn stops(window: &Window) {
    scribe::presses(window, key::ESC).await;
    scribe::sees_motion(window, "stopping").await;
    window.picture("6-stopping").await;
    scribe::says(window, "1 stopped").await;
    scribe::says(window, "2 stopped").await;
    scribe::sees_motion(window, "stopped").await;
}

/// Corrects the last entry and adds a late one.
async fn mends(window: &Window) {
    scribe::says(window, "e rope rubs on the lip").await;
    window.press(key::BACKSPACE).await;
    window.control('a').await;
    let before = scribe::saved(window).await;
    window.press("rope rubs on the left lip").await;
    window.press(key::ENTER).await;
    scribe::until_saved(window, before + 1).await;
    scribe::says(window, "-2m l patient in sight").await;
    window.picture("7-corrected-and-late").await;
}

#[tokio::test]
async fn a_whole_operation_by_keyboard_through_a_pulled_plug() {
    let home = tempfile::tempdir().unwrap();
    let window = Window::open(home.path(), None).await;
    prepares(&window).await;
    lowers(&window).await;
    stops(&window).await;
    let count = scribe::saved(&window).await;
    let shown = rows(&window).await;
    assert!(shown.len() > 5, "{shown:?}");
    window.kill().await;

    let file = home.path().join("Ledgebook/Curlew Gully.ledge");
    assert!(file.is_file(), "the operation lies where it was said to be kept");
    let window = Window::open(home.path(), Some(&file)).await;
    scribe::until_saved(&window, count).await;
    window.control('4').await;
    scribe::sees_motion(&window, "stopped").await;
    assert_eq!(rows(&window).await, shown, "all that was shown as saved is there");

    mends(&window).await;
    scribe::presses(&window, key::function(2)).await;
    scribe::says(&window, "1").await;
    scribe::says(&window, "l landed").await;
    scribe::sees_motion(&window, "landed").await;
    let report = scribe::closes_and_reports(&window).await;
    window.picture("8-review").await;
    window.close().await;
    holds_the_operation(&file, &report);
}

/// A call of the lower that is read out: when it is spoken, what the scribe presses, what the record must say.
#[derive(serde::Deserialize)]
struct Spoken {
    at: f64,
    keys: String,
    kind: String,
    from: String,
    text: String,
}

/// One letter of a scribe who types fast.
const A_KEY: Duration = Duration::from_millis(100);
/// A call is on the disk this soon after it was begun to be spoken.
const IN_TIME: Duration = Duration::from_secs(2);

#[tokio::test]
async fn a_thirty_call_lower_is_logged_at_the_pace_it_is_spoken() {
    let list: Value = serde_json::from_str(include_str!("../fixtures/thirty-call-lower.json")).unwrap();
    let calls: Vec<Spoken> = serde_json::from_value(list["calls"].clone()).unwrap();
    let people: Vec<(String, String)> = serde_json::from_value(list["people"].clone()).unwrap();
    let people: Vec<(&str, &str)> = people.iter().map(|p| (p.0.as_str(), p.1.as_str())).collect();
    let home = tempfile::tempdir().unwrap();
    let window = Window::open(home.path(), None).await;
    scribe::starts_operation(&window, "Dunlin Wall", "Dunlin Wall", "20").await;
    scribe::checks_in(&window, &people).await;
    window.control('4').await;
    window.until("return document.activeElement?.dataset.testid === 'free-line'".into()).await;
    let before = scribe::saved(&window).await;
    let begin = Instant::now();
    let mut late = vec![];
    for (i, call) in (1..).zip(&calls) {
        let spoken = Duration::from_secs_f64(call.at);
        tokio::time::sleep(spoken.saturating_sub(begin.elapsed())).await;
        scribe::types(&window, &call.keys, A_KEY).await;
        scribe::until_saved(&window, before + i).await;
        // A scribe who falls behind comes to the next call late too.
        let took = begin.elapsed() - spoken;
        if took > IN_TIME {
            late.push(format!("“{}” at {} s was saved after {took:?}", call.keys, call.at));
        }
    }
    window.picture("9-at-pace").await;
    scribe::sees_motion(&window, "landed").await;
    window.close().await;
    assert!(late.is_empty(), "behind: {late:#?}");

    // The record says the same: each call in its words, in its order, and when it was spoken.
    let file = home.path().join("Ledgebook/Dunlin Wall.ledge");
    let shown = cli::run(&["log", "show", &file.display().to_string(), "--json"]).done().json_lines();
    let written = &shown[shown.len() - calls.len()..];
    let ms = |entry: &Value| entry["boot_ms"].as_i64().unwrap();
    for (call, entry) in calls.iter().zip(written) {
        assert_eq!(entry["kind"], call.kind.as_str(), "{entry}");
        let said: Value = serde_json::from_str(entry["payload"].as_str().unwrap()).unwrap();
        assert_eq!((&said["from"], &said["text"]), (&Value::from(&*call.from), &Value::from(&*call.text)));
        let after = Duration::from_millis((ms(entry) - ms(&written[0])).try_into().unwrap());
        let spoken = Duration::from_secs_f64(call.at);
        // Counted from when the first was written, and that was within its time.
        assert!(after + IN_TIME >= spoken && after <= spoken + IN_TIME, "{} at {after:?}", call.keys);
    }
}

/// The report can be trusted by other programs, and the file can be copied alone.
fn holds_the_operation(file: &Path, report: &str) {
    let text = text_of_pdf(Path::new(report));
    for (name, _) in PEOPLE {
        assert!(text.contains(name), "{name} is not in the report");
    }
    for words in ["Curlew Gully", "load test", "rope rubs on the left lip", "patient in sight", "stopped"] {
        assert!(text.contains(words), "{words:?} is not in the report");
    }
    let beside = fs::read_dir(file.parent().unwrap()).unwrap();
    let left: Vec<String> =
        beside.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned()).collect();
    let open = left.iter().filter(|name| name.ends_with("-wal") || name.ends_with("-shm"));
    assert_eq!(open.count(), 0, "a clean close leaves one file: {left:?}");
}

#[tokio::test]
async fn a_file_that_is_not_ours_is_said_on_the_first_screen() {
    let home = tempfile::tempdir().unwrap();
    let file = home.path().join("foreign.ledge");
    fs::write(&file, "not an operation").unwrap();
    let window = Window::open(home.path(), Some(&file)).await;
    window.shows_in("start-trouble", "foreign.ledge").await;
    window.picture("9-foreign-file").await;
    assert_eq!(fs::read_to_string(&file).unwrap(), "not an operation", "it was not touched");
    scribe::starts_operation(&window, "Plover Slab", "Plover Slab", "9").await;
    window.shows("Plover Slab").await;
    window.close().await;
}

const CREW: &[(&str, &str)] = &[
    ("Nadja Orlik", "control"),
    ("Tomé Vidal", "rope one"),
    ("Ása Brandt", "rope two"),
    ("Wanda Lisiecka", "litter attendant"),
    ("Hugo Sarr", "rigging lead"),
];

/// Checks the crew in and puts the litter attendant on rope.
async fn musters_by_touch(window: &Window) {
    touch::touch_id(window, "rail-team").await;
    for (name, role) in CREW {
        touch::fills(window, "in-name", name).await;
        touch::picks(window, "in-role", role).await;
        touch::touch_id(window, "form-check-in-record").await;
        window.find(format!("[data-person=\"{name}\"]")).await;
        window.until("return document.querySelector(\"[data-testid='in-name']\").value === ''".into()).await;
    }
    touch::touch_id(window, "form-check-in-away").await;
    touch::touch(window, "[data-testid='team-row'][data-person='Wanda Lisiecka']").await;
    touch::touch_id(window, "team-move-on_rope").await;
    touch::touch_id(window, "zone-tied").await;
    touch::records(window, "form-zone-record").await;
}

#[tokio::test]
async fn a_whole_operation_by_touch_alone() {
    let home = tempfile::tempdir().unwrap();
    let window = Window::open(home.path(), None).await;
    window.get("start-name").await;
    window
        .run("window.heard = 0; addEventListener('keydown', () => (window.heard += 1), true); return true")
        .await;
    touch::fills(&window, "start-name", "Plover Slab").await;
    touch::fills(&window, "start-place", "Plover Slab, left").await;
    touch::touch_id(&window, "start-purpose-drill").await;
    touch::fills(&window, "start-edge", "12").await;
    touch::touch_id(&window, "start-create").await;
    musters_by_touch(&window).await;

    touch::touch_id(&window, "rail-rig").await;
    touch::touch(&window, "[data-testid^='template-']").await;
    touch::touch_id(&window, "form-rig-record").await;
    window.get("rig-checks").await;
    touch::touch_id(&window, "rig-sign").await;
    touch::records(&window, "form-sign-record").await;

    touch::touch_id(&window, "rail-calls").await;
    touch::calls_also(&window, "load test").await;
    scribe::sees_motion(&window, "under_load_test").await;
    touch::all_answer(&window, 2).await;
    touch::calls_also(&window, "at the edge").await;
    scribe::sees_motion(&window, "at_the_edge").await;
    touch::records(&window, "order-F2").await;
    scribe::sees_motion(&window, "lowering").await;
    touch::all_answer(&window, 2).await;
    touch::records(&window, "stop").await;
    scribe::sees_motion(&window, "stopping").await;
    touch::all_answer(&window, 2).await;
    scribe::sees_motion(&window, "stopped").await;
    window.picture("t1-stopped-by-touch").await;
    // A part of the line, and the whole again.
    touch::touch_id(&window, "part-key").await;
    touch::touch_id(&window, "part-kind-orders").await;
    window.get("part").await;
    window.picture("t2-part-of-the-line").await;
    touch::touch_id(&window, "part-whole").await;
    touch::touch_id(&window, "part-done").await;
    touch::records(&window, "order-F2").await;
    touch::all_answer(&window, 2).await;
    touch::calls_also(&window, "on the ground").await;
    scribe::sees_motion(&window, "landed").await;
    let report = touch::closes_and_reports(&window).await;
    assert_eq!(window.run("return window.heard").await, 0, "not one key was pressed");
    window.close().await;
    let text = text_of_pdf(Path::new(&report));
    for words in ["Plover Slab", "Wanda Lisiecka", "load test", "on the ground", "stopped"] {
        assert!(text.contains(words), "{words:?} is not in the report");
    }
}

/// The kinds of the last entries of a file, the newest last.
fn last_kinds(file: &Path, count: usize) -> Vec<String> {
    let shown = cli::run(&["log", "show", &file.display().to_string(), "--json"]).done().json_lines();
    let kinds = shown[shown.len() - count..].iter().map(|entry| entry["kind"].as_str().unwrap().to_string());
    kinds.collect()
}

#[tokio::test]
async fn a_loss_is_shown_played_set_beside_others_and_called_into_the_drill() {
    let home = tempfile::tempdir().unwrap();
    let window = Window::open(home.path(), None).await;
    scribe::starts_operation(&window, "Dunlin Wall", "Dunlin Wall", "20").await;
    scribe::checks_in(&window, &PEOPLE[..4]).await;
    scribe::makes_rig(&window, '1', &[("load", "240kg"), ("ledge", "6m")]).await;
    // The first part along the load path, an anchor: its knots swing.
    window.press("x").await;
    window.find("[data-testid='rig-fall'] svg[aria-label*='ledge']".into()).await;
    window.picture("f1-loss").await;
    window.press("m").await;
    window.get("rig-ranks").await;
    window.press("o").await;
    window.shows_in("rig-beside", "two loaded ropes, tied off").await;
    window.picture("f2-beside").await;
    window.tab_to("rig-fall-slow").await;
    window.press(key::ENTER).await;
    window
        .until("return document.querySelector(\"[data-testid='rig-fall'] rect.load\") !== null".into())
        .await;
    window.picture("f3-plays").await;
    let before = scribe::saved(&window).await;
    window.press("k").await;
    scribe::until_saved(&window, before + 1).await;
    window.shows("nothing real is released").await;
    window.picture("f4-exercise").await;

    // A check takes its time: STOP goes first.
    let before = scribe::saved(&window).await;
    window.press("c").await;
    window.press(key::ESC).await;
    scribe::until_saved(&window, before + 2).await;
    window.close().await;
    let file = home.path().join("Ledgebook/Dunlin Wall.ledge");
    assert_eq!(last_kinds(&file, 3), ["exercise", "order", "rig_checked"]);
}

const COMMANDERS: &str = "Ledgebook: commander";

/// Waits until the commander's window is there, or is gone.
async fn commanders_window(there: bool) {
    for _ in 0..200 {
        if display::has_window(COMMANDERS).unwrap() == there {
            return;
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    panic!("the commander's window {}", if there { "did not come" } else { "stayed" });
}

#[tokio::test]
async fn the_commanders_window_comes_and_goes_and_takes_no_key_from_the_scribe() {
    let home = tempfile::tempdir().unwrap();
    let window = Window::open(home.path(), None).await;
    window.get("start-name").await;
    // Before an operation is open, and through its opening.
    window.control('b').await;
    commanders_window(true).await;
    scribe::starts_operation(&window, "Plover Slab", "Plover Slab", "9").await;
    window.control('4').await;
    scribe::says(&window, "fog").await;
    window.press("e rope ru").await;
    window.control('b').await;
    commanders_window(false).await;
    window.control('b').await;
    commanders_window(true).await;
    assert_ne!(display::focused_title().unwrap(), COMMANDERS);
    window.press("bs").await;
    let typed = window.run("return document.querySelector(\"[data-testid='free-line']\").value").await;
    assert_eq!(typed, "e rope rubs", "every key came to the scribe");
    // Its own close button: the scribe's window hears of it, and stays.
    display::close_window(COMMANDERS).unwrap();
    commanders_window(false).await;
    window.find("[data-testid='to-commander'][aria-pressed='false']".into()).await;
    // The scribe's window closes: nothing stays behind.
    window.control('b').await;
    commanders_window(true).await;
    window.close().await;
    commanders_window(false).await;
}
