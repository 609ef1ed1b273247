//! What a scribe does at the keyboard, in the window, step by step; no mouse.

use crate::window::{Window, key};
use std::path::Path;
use std::time::Duration;

/// Starts an operation from the first screen, and stays on what comes then (Size-up).
pub async fn starts_operation(window: &Window, name: &str, place: &str, edge_m: &str) {
    window.get("start-name").await;
    window.tab_to("start-name").await;
    window.press(name).await;
    window.tab_to("start-place").await;
    window.press(place).await;
    window.tab_to("start-purpose-rescue").await;
    // The other of the two purposes: a drill.
    window.press(key::DOWN).await;
    window.tab_to("start-edge").await;
    window.press(edge_m).await;
    window.press(key::ENTER).await;
    window.get("strip-saved").await;
}

/// Checks people in, each with a role by its code, one after the other.
pub async fn checks_in(window: &Window, people: &[(&str, &str)]) {
    window.control('2').await;
    // While nobody is here, Team begins with the name of the first.
    window.get("in-name").await;
    for (name, code) in people {
        window.tab_to("in-name").await;
        window.press(*name).await;
        window.tab_to("in-role").await;
        window.press(*code).await;
        window.press(key::ENTER).await;
        window.find(format!("[data-person=\"{name}\"]")).await;
        // The form is empty for the next one only once this one is recorded.
        window.until("return document.querySelector(\"[data-testid='in-name']\").value === ''".into()).await;
    }
}

/// Makes a rig from the template of this number, with values set by parameter, and has it checked.
pub async fn makes_rig(window: &Window, template: char, values: &[(&str, &str)]) {
    window.control('3').await;
    window.get("rig-empty").await;
    window.until("return document.querySelectorAll(\"[data-testid^='template-']\").length >= 3".into()).await;
    window.press(template).await;
    window.get("form-rig").await;
    for (name, value) in values {
        window.tab_to(&format!("param-{name}")).await;
        window.control('a').await;
        window.press(*value).await;
    }
    window.press(key::ENTER).await;
    window.get("rig-checks").await;
}

/// Rates the chosen part of the rig by hand, looks at what is not recorded yet, and records the whole rig with its check.
pub async fn rates_a_part(window: &Window, rating: &str) {
    let before = saved(window).await;
    window.press("e").await;
    window.get("form-part").await;
    window.tab_to("part-rating").await;
    window.control('a').await;
    window.press(rating).await;
    window.press(key::ENTER).await;
    window.get("rig-draft").await;
    window.picture("2b-rig-draft").await;
    window.press("r").await;
    until_saved(window, before + 2).await;
    window.until("return document.querySelector(\"[data-testid='rig-draft']\") === null".into()).await;
    window.get("rig-checks").await;
}

/// Lets the one who holds the next signing role sign the check that stands.
pub async fn signs(window: &Window, times: usize) {
    let before = window.attributes("[data-testid='rig-signature']", "data-stale").await.len();
    window.press("s").await;
    window.get("form-sign").await;
    window.until("return document.activeElement?.dataset.testid === 'sign-role'".into()).await;
    window.press(key::ENTER).await;
    let wanted = before + times;
    window
        .until(format!(
            "return document.querySelectorAll(\"[data-testid='rig-signature']\").length === {wanted}"
        ))
        .await;
}

/// Types a line into the free line and records what it stands for.
pub async fn says(window: &Window, line: &str) {
    window.until("return document.activeElement?.dataset.testid === 'free-line'".into()).await;
    let before = saved(window).await;
    window.press(line).await;
    window.press(key::ENTER).await;
    until_saved(window, before + 1).await;
}

/// Presses the keys of a call one after the other, as fast as a scribe types: a line with its Enter, a key of an order, or Esc.
pub async fn types(window: &Window, keys: &str, a_key: Duration) {
    let pressed: String = match (keys, keys.strip_prefix('F').map(str::parse)) {
        ("Esc", _) => key::ESC.into(),
        (_, Some(Ok(number))) => key::function(number).into(),
        _ => format!("{keys}{}", key::ENTER),
    };
    for (i, one) in pressed.chars().enumerate() {
        if i > 0 {
            tokio::time::sleep(a_key).await;
        }
        window.press(one).await;
    }
}

/// Presses a key that records at once.
pub async fn presses(window: &Window, what: char) {
    let before = saved(window).await;
    window.press(what).await;
    until_saved(window, before + 1).await;
}

/// How many entries the screen shows as saved.
pub async fn saved(window: &Window) -> u64 {
    let shown = window.attributes("[data-testid='strip-saved'][data-state='saved']", "data-count").await;
    shown.first().and_then(|count| count.parse().ok()).unwrap_or(0)
}

/// Waits until the screen shows at least so many entries as saved.
pub async fn until_saved(window: &Window, count: u64) {
    let strip = "document.querySelector(\"[data-testid='strip-saved']\")";
    window
        .until(format!(
            "return {strip}?.dataset.state === 'saved' && Number({strip}.dataset.count) >= {count}"
        ))
        .await;
}

/// Waits until so many stand on the line who have not read back.
pub async fn waits_for(window: &Window, slots: usize) {
    window
        .until(format!("return document.querySelectorAll(\"[data-testid='slot']\").length === {slots}"))
        .await;
}

/// Waits for a motion on the strip.
pub async fn sees_motion(window: &Window, motion: &str) {
    window.find(format!("[data-testid='strip-motion'][data-motion='{motion}']")).await;
}

/// Closes the operation and has the report written; answers where it lies.
pub async fn closes_and_reports(window: &Window) -> String {
    window.control('5').await;
    window.get("review-record").await;
    window.until("return document.activeElement?.tagName !== 'INPUT'".into()).await;
    window.press("c").await;
    window.get("review-close-confirm").await;
    window.press(key::ENTER).await;
    window.get("review-another").await;
    window.control('p').await;
    window.find("[data-testid='review-report-path'][data-state='written']".into()).await;
    let file = window
        .run("return document.querySelector(\"[data-testid='review-report-path'] bdi\").innerText")
        .await;
    let file = file.as_str().unwrap_or_default().to_string();
    assert!(Path::new(&file).is_file(), "the report is said to lie in {file:?}");
    file
}
