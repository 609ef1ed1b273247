//! How soon a fall is seen in the real window: each part of a rig is chosen and then marked lost, from the key to the second frame
//! after the first figures stand, to that after the rig stands drawn without the part, and until the figures of all runs stand. Run
//! by `cargo xtask bench loss`.

use ledgebook_tests::cli::{run, run_in};
use ledgebook_tests::window::{Window, key};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// Notes, from the time of the key's own event, when the second frame after the fall stood on the screen began, the same of the rig
/// drawn without the part (the list of changed margins stands with it), and when it was no longer told of few runs.
const WATCH: &str = "
    window.falls = []
    let press = null
    const find = (what) => document.querySelector(what)
    const since = () => performance.now() - press.at
    const second = (name) => {
        const of = press
        if (of[name] !== undefined) return
        of[name] = null
        requestAnimationFrame(() => requestAnimationFrame((began) => { of[name] = began - of.at }))
    }
    const look = () => {
        const fall = find(\"[data-testid='rig-fall']\")
        if (press === null || !fall) return
        second('first')
        if (find('.after li')) second('drawn')
        if (!fall.textContent.includes('First figures')) press.whole ??= since()
    }
    addEventListener('keydown', (event) => { if (event.key === 'x') { press = { at: event.timeStamp }; look() } }, true)
    new MutationObserver(look).observe(document.body, { childList: true, subtree: true, characterData: true })
    window.pick = (id) => {
        press = null
        find(`[data-part='${id}'] .hit`).dispatchEvent(new MouseEvent('click', { bubbles: true }))
    }
    window.done = () => {
        const times = [press?.first, press?.drawn, press?.whole]
        if (times.some((time) => typeof time !== 'number')) return false
        window.falls.push(times)
        press = null
        return true
    }
";

/// Who loses a part looks at it first.
const CHOSEN: Duration = Duration::from_millis(500);

#[tokio::main(flavor = "current_thread")]
async fn main() {
    let home = tempfile::tempdir().expect("a folder of its own");
    let file = rigged(home.path());
    let window = Window::open(home.path(), Some(&file)).await;
    window.get("strip-saved").await;
    window.control('3').await;
    window.until("return document.querySelector(\"[data-part] .hit\") !== null".into()).await;
    window.run(WATCH).await;
    let parts = [
        "rope_one",
        "rope_two",
        "device_1",
        "device_2",
        "connector_1",
        "connector_2",
        "leg_1a",
        "leg_2a",
        "anchor_west",
        "anchor_east",
    ];
    let known = window
        .run(&format!(
            "return {}.filter((id) => document.querySelector(`[data-part='${{id}}'] .hit`))",
            json!(parts)
        ))
        .await;
    for id in known.as_array().into_iter().flatten().filter_map(Value::as_str) {
        window.run(&format!("window.pick({id:?})")).await;
        tokio::time::sleep(CHOSEN).await;
        window.press('x').await;
        window.until("return window.done()".into()).await;
        window.press(key::BACKSPACE).await;
        window.until("return !document.querySelector(\"[data-testid='rig-fall']\")".into()).await;
    }
    let falls = window.run("return window.falls").await;
    for (at, (what, goal)) in
        [("loss_to_first_picture", Some(50.0)), ("loss_to_drawing", None), ("loss_to_all_runs", None)]
            .iter()
            .enumerate()
    {
        told(
            what,
            *goal,
            falls.as_array().into_iter().flatten().filter_map(|fall| fall[at].as_f64()).collect(),
        );
    }
    window.close().await;
}

fn told(what: &str, goal_ms: Option<f64>, mut times: Vec<f64>) {
    times.sort_by(f64::total_cmp);
    assert!(times.len() >= 8, "only {} parts were lost", times.len());
    let (middle, worst) = (times[times.len() / 2], times[times.len() - 1]);
    let mut line = json!({ "what": what, "losses": times.len(), "middle_ms": middle, "worst_ms": worst });
    if let Some(goal) = goal_ms {
        line["goal_ms"] = goal.into();
        line["goal_met"] = (worst <= goal).into();
    }
    println!("{line}");
}

/// An operation with a rig that is not checked.
fn rigged(dir: &Path) -> PathBuf {
    let file = dir.join("rigged.ledge");
    let name = file.to_string_lossy().into_owned();
    let steps = [
        json!({ "do": "open", "name": "Bench", "place": "Bench", "purpose": "drill", "edge_height": "40m" }),
        json!({ "do": "rig", "name": "lower", "template": "twin-lower-two-knots", "set": { "rope_length": "80m", "edge_height": "40m" } }),
    ];
    let lines: String = steps.iter().map(|step| format!("{step}\n")).collect();
    run(&["log", "new", &name]).done();
    run_in(dir, &[], &["log", "append", &name], &lines).done();
    file
}
